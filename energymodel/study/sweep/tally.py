"""What a sweep says as a whole: which option is cheapest where, and by how much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from energymodel.arrays import Array, Index
from energymodel.scenario.field_path import read_path
from energymodel.study.sweep.frame import RUNS
from energymodel.study.sweep.plan import Axis, SweepPlan

_LARGEST_MAP = 2_000_000
_SHOWN_REASONS = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FieldTally:
    """One field that varies.

    Parameters
    ----------
    axis
        The field.
    cheapest
        How often each option is cheapest at each value, shape (values, options).
    variants
        Variants with each value that were not refused, shape (values,).
    mean_cost
        Mean yearly cost of each option at each value, money, shape (values, options); nan where
        there is none.
    """

    axis: Axis
    cheapest: Array
    variants: Array
    mean_cost: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SweepSummary:
    """A sweep as a whole.

    Parameters
    ----------
    options
        Names.
    variants, refused
        Numbers of variants.
    reasons
        Variant and reason of the first refused ones.
    batch
        Variants that ran in a batch; the others ran one by one.
    cheapest
        How often each option is cheapest among those that carry the load, shape (options,).
    cost, saving
        Lowest and highest yearly cost and saving against the present option, money per year,
        shape (options, 2); nan where there is none.
    fields
        One entry per field that varies.
    price_map
        How often each option is cheapest over the first two price fields, shape (values of the
        first, of the second, options); None: fewer than two vary.
    """

    options: tuple[str, ...]
    variants: int
    refused: int
    reasons: tuple[tuple[int, str], ...]
    batch: int
    cheapest: Array
    cost: Array
    saving: Array
    fields: tuple[FieldTally, ...]
    price_map: Array | None


def price_axes(plan: SweepPlan) -> tuple[Axis, ...]:
    """List the fields that are prices of energy.

    Parameters
    ----------
    plan
        The sweep.

    Returns
    -------
    tuple of Axis
        `price.CARRIER.energy` with two values or more.
    """
    return tuple(
        axis
        for axis in plan.axes
        if len(axis.values) > 1
        and all((steps := read_path(p))[0] == "price" and steps[-1] == "energy" for p in axis.paths)
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PieceRows:
    """What a piece adds to the summary.

    Parameters
    ----------
    variants
        Numbers of the variants that were not refused, from 0, shape (n,).
    best
        Position of the cheapest option of each; -1: none carries the load.
    cost, saving
        Yearly cost and saving against the present option, shape (n, options).
    batch
        Variants that ran in a batch.
    refused
        Number of refused variants.
    reasons
        The first of them, with their reasons.
    """

    variants: Index
    best: Index
    cost: Array
    saving: Array
    batch: int
    refused: int
    reasons: tuple[tuple[int, str], ...]


def piece_rows(years: pd.DataFrame, options: int) -> PieceRows:
    """Take from the years of a piece what the summary needs.

    Parameters
    ----------
    years
        All options of each variant.
    options
        Number of options.

    Returns
    -------
    PieceRows
        Small, whatever varies.
    """
    refused = years["option"].isna().to_numpy()
    gone, good = years[refused].iloc[:_SHOWN_REASONS], years[~refused]
    reasons = zip(gone["variant"].tolist(), gone["refused"].astype(str), strict=True)
    carries = _square(good, "carries", options) == 1
    like = np.where(carries, _square(good, "like_cost", options), np.inf)
    best = np.argmin(like, axis=1) if len(good) else np.zeros(0, dtype=np.intp)
    return PieceRows(
        variants=good["variant"].to_numpy()[::options].astype(np.intp) - 1,
        best=np.where(np.isfinite(like).any(axis=1), best, -1),
        cost=_square(good, "yearly_cost", options),
        saving=_square(good, "saving", options),
        batch=int((good["run"].astype(str) == RUNS[1]).sum()) // options,
        refused=int(refused.sum()),
        reasons=tuple((int(number), reason) for number, reason in reasons),
    )


class Tally:
    """Adds up the pieces of a sweep, in any order.

    Parameters
    ----------
    plan
        The sweep.
    """

    def __init__(self, plan: SweepPlan) -> None:
        self.plan = plan
        count = len(plan.options)
        self._cheapest = [np.zeros((len(axis.values), count)) for axis in plan.axes]
        self._variants = [np.zeros(len(axis.values)) for axis in plan.axes]
        self._cost_sum = [np.zeros((len(axis.values), count)) for axis in plan.axes]
        self._all = np.zeros(count)
        self._cost = np.tile([np.inf, -np.inf], (count, 1))
        self._saving = np.tile([np.inf, -np.inf], (count, 1))
        self._pair = price_axes(plan)[:2]
        self._map = self._empty_map()
        self._refused: dict[int, str] = {}
        self._counts = {"variants": 0, "refused": 0, "batch": 0}

    def _empty_map(self) -> Array | None:
        if len(self._pair) < 2:
            return None
        shape = (*(len(axis.values) for axis in self._pair), len(self.plan.options))
        return np.zeros(shape) if np.prod(shape) <= _LARGEST_MAP else None

    def add(self, rows: PieceRows) -> None:
        """Add a piece.

        Parameters
        ----------
        rows
            From :func:`piece_rows`.
        """
        self._refused.update(dict(rows.reasons))
        self._counts["refused"] += rows.refused
        self._counts["variants"] += rows.variants.size + rows.refused
        self._counts["batch"] += rows.batch
        if rows.variants.size:
            self._widen(self._cost, rows.cost)
            self._widen(self._saving, rows.saving)
            self._place(rows.variants, rows.best, rows.cost)

    def _place(self, variants: Index, best: Index, cost: Array) -> None:
        there = best >= 0
        np.add.at(self._all, best[there], 1.0)
        for number, axis in enumerate(self.plan.axes):
            codes = axis.code(variants)
            np.add.at(self._variants[number], codes, 1.0)
            np.add.at(self._cost_sum[number], codes, cost)
            np.add.at(self._cheapest[number], (codes[there], best[there]), 1.0)
        if self._map is not None:
            first, second = (axis.code(variants)[there] for axis in self._pair)
            np.add.at(self._map, (first, second, best[there]), 1.0)

    @staticmethod
    def _widen(ends: Array, values: Array) -> None:
        ends[:, 0] = np.fmin(ends[:, 0], np.fmin.reduce(values, axis=0))
        ends[:, 1] = np.fmax(ends[:, 1], np.fmax.reduce(values, axis=0))

    def summary(self) -> SweepSummary:
        """Return what has been added up so far.

        Returns
        -------
        SweepSummary
            Of all pieces.
        """
        fields = [
            FieldTally(axis=axis, cheapest=cheapest, variants=variants,
                       mean_cost=_mean(cost, variants))
            for axis, cheapest, variants, cost in zip(
                self.plan.axes, self._cheapest, self._variants, self._cost_sum, strict=True)
        ]  # fmt: skip
        reasons = sorted(self._refused.items())[:_SHOWN_REASONS]
        return SweepSummary(
            options=self.plan.options,
            variants=self._counts["variants"],
            refused=self._counts["refused"],
            reasons=tuple(reasons),
            batch=self._counts["batch"],
            cheapest=self._all.copy(),
            cost=_known(self._cost),
            saving=_known(self._saving),
            fields=tuple(fields),
            price_map=self._map,
        )


def _square(rows: pd.DataFrame, name: str, count: int) -> Array:
    return rows[name].to_numpy(dtype=np.float64).reshape(-1, count)


def _mean(total: Array, variants: Array) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(variants[:, np.newaxis] > 0, total / variants[:, np.newaxis], np.nan)


def _known(ends: Array) -> Array:
    return np.where(np.isfinite(ends), ends, np.nan)
