"""The run behind every batch: functions summed chunk by chunk, idle power, loads and peaks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.errors import InputError
from energymodel.season.batch.blocks import variants_per_chunk
from energymodel.season.batch.cells import PeakWindows
from energymodel.season.batch.idle import IdleWeights, idle_weights
from energymodel.season.batch.loads import balance_depth_c, load_sums
from energymodel.season.batch.machine import products_of
from energymodel.season.batch.peaks import POWERS, Mix, highest_w, mixes_of
from energymodel.season.batch.segments import no_batch
from energymodel.season.batch.side import Chunk, Side, SideInputs, SideMaker
from energymodel.season.batch.sums import workspace
from energymodel.season.batch.variants import Rows, Variants, check_balances
from energymodel.season.option import Option
from energymodel.season.result import COOLING, HEATING, IDLE
from energymodel.season.states import States


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BatchResult:
    """A year of every variant.

    Parameters
    ----------
    names
        Names of the uses, as the columns of a single year have them.
    kwh
        Shape (variants, cells, uses); in memory a use is contiguous, then a cell.
    peak_kw
        Largest hourly mean power with the base load, kW, shape (variants, windows); None where no
        base load was given.
    """

    names: tuple[str, ...]
    kwh: Array
    peak_kw: Array | None

    def column(self, name: str) -> Array:
        """Energy of one use.

        Parameters
        ----------
        name
            Such as "heating_electricity_compressor_kwh"; a use that the option does not have is
            zero.

        Returns
        -------
        Array
            kWh, shape (variants, cells).
        """
        if name not in self.names:
            return np.zeros(self.kwh.shape[:2])
        values: Array = self.kwh[:, :, self.names.index(name)]
        return values

    def cells(self, names: Iterable[str], cells: slice = slice(None)) -> Array:
        """Sum of several uses in each cell.

        Parameters
        ----------
        names
            Uses; those that the option does not have are zero.
        cells
            Which cells; by default all.

        Returns
        -------
        Array
            kWh, shape (cells, variants).
        """
        by_use = self.kwh.T[:, cells]
        there = [self.names.index(name) for name in names if name in self.names]
        if not there:
            return np.zeros(by_use.shape[1:])
        total: Array = by_use[there[0]].copy()
        for number in there[1:]:
            total += by_use[number]
        return total

    def names_of(self, function: str, kind: str) -> list[str]:
        """Names of the uses of one function and kind.

        Parameters
        ----------
        function
            "heating", "cooling" or "idle".
        kind
            "electricity" or "fuel".

        Returns
        -------
        list of str
            In the order in which they were made.
        """
        return [name for name in self.names if name.startswith(f"{function}_{kind}_")]

    def electricity_kwh(self) -> Array:
        """All electricity.

        Returns
        -------
        Array
            kWh, shape (variants, cells).
        """
        names = [name for name in self.names if "_electricity_" in name]
        return sum((self.column(name) for name in names), np.zeros(self.kwh.shape[:2]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BatchPlan:
    """What is wanted of a batch.

    Parameters
    ----------
    hours
        Hours of each state in each cell, or any weight of them, shape (cells, states); None: the
        months.
    windows
        Where peaks are looked for; None: nowhere.
    loads
        Functions whose load and delivered energy are wanted too.
    by_use
        Whether each electric use is wanted by itself. If not, "..._electricity_all_kwh" stands for
        all electricity of heating, of cooling and of what waits.
    chunk
        Variants at a time; None: as many as the cache holds.
    """

    hours: Array | None = None
    windows: PeakWindows | None = None
    loads: frozenset[str] = frozenset()
    by_use: bool = True
    chunk: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Run:
    """Everything that is the same for all chunks, and what they write to."""

    sides: tuple[Side, ...]
    hours: Array
    outdoor_c: Array
    off_w: Array
    off_kwh: Array
    idle_uses: tuple[str, ...]
    plan: BatchPlan
    windows: PeakWindows | None
    mixes: tuple[Mix, ...]
    names: tuple[str, ...]
    kwh: Array
    peak_kw: Array | None
    place: dict[str, int] = field(default_factory=dict)


def run_batch(
    option: Option, states: States, variants: Variants, plan: BatchPlan, make_side: SideMaker
) -> BatchResult:
    """Run the same year for many variants of an option.

    Parameters
    ----------
    option
        Without a memory.
    states
        States of its year.
    variants
        Load lines and factors.
    plan
        What is wanted.
    make_side
        Makes heating and cooling ready.

    Returns
    -------
    BatchResult
        Energy by variant, cell and use, and the peaks.

    Raises
    ------
    NoBatchError
        If the option has a memory, or `make_side` cannot represent it.
    InputError
        If the columns or the shapes do not fit.
    """
    size = variants_per_chunk() if plan.chunk is None else plan.chunk
    if size < 1:
        raise InputError(f"chunks of {size} variants", expected="at least 1")
    run = _prepared(option, states, variants, plan, make_side)
    space = workspace(min(size, len(variants)), max(_product_rows(run), 1))
    for rows in _chunks(run, len(variants), size):
        first = rows.start if isinstance(rows, slice) else int(rows[0])
        count = rows.stop - rows.start if isinstance(rows, slice) else rows.size
        chunk = Chunk(
            rows=rows,
            first=first,
            size=count,
            space=space,
            idle_kwh=np.repeat(run.off_kwh[..., np.newaxis], count, axis=2),
            power_w=_powers(run, count),
        )
        _run_chunk(run, chunk)
    peak_kw = None if run.peak_kw is None else run.peak_kw.T
    return BatchResult(names=run.names, kwh=run.kwh.T, peak_kw=peak_kw)


def _prepared(
    option: Option, states: States, variants: Variants, plan: BatchPlan, make_side: SideMaker
) -> _Run:
    if option.has_memory:
        raise no_batch(f"{option.name} depends on the hour before", "an option without memory")
    order = np.argsort(states.outdoor_c, kind="stable")
    hours = _table(states.hours_in_month if plan.hours is None else plan.hours, order, "hours")
    ordered = _ordered(states, order)
    weights = idle_weights(option, ordered)
    weights = weights if plan.by_use else weights.together()
    sides = _sides(option, ordered, variants, (hours, weights, plan.by_use), make_side)
    names = _names(sides, weights, plan)
    windows = plan.windows
    if windows is not None:
        windows = replace(windows, base_w=_table(windows.base_w, order, "base_w"))
    return _Run(
        sides=sides,
        hours=hours,
        outdoor_c=ordered.outdoor_c,
        off_w=weights.off_w.sum(axis=0)[:, np.newaxis],
        off_kwh=weights.off_w @ hours.T / 1000.0,
        idle_uses=weights.uses,
        plan=plan,
        windows=windows,
        mixes=() if windows is None else mixes_of(windows),
        names=names,
        kwh=np.zeros((len(names), len(hours), len(variants))),
        peak_kw=None if windows is None else np.zeros((len(windows.base_w), len(variants))),
        place={name: number for number, name in enumerate(names)},
    )


def _ordered(states: States, order: Index) -> States:
    return replace(
        states,
        outdoor_c=states.outdoor_c[order],
        relative_humidity_pct=states.relative_humidity_pct[order],
        month_of_state=states.month_of_state[order],
        inverse=np.argsort(order)[states.inverse],
        hours_in_month=states.hours_in_month[:, order],
        no_supply={function: cut[order] for function, cut in states.no_supply.items()},
    )


def _table(table: Array, order: Index, name: str) -> Array:
    if table.ndim != 2 or table.shape[1] != order.size:
        raise InputError(
            f"{name} has the shape {table.shape}",
            expected=f"one row per cell or window and {order.size} columns, one per state",
        )
    return np.ascontiguousarray(table[:, order])


def _sides(
    option: Option,
    states: States,
    variants: Variants,
    tables: tuple[Array, IdleWeights, bool],
    make_side: SideMaker,
) -> tuple[Side, ...]:
    hours, weights, by_use = tables
    made = [
        make_side(
            SideInputs(
                option=option,
                states=states,
                variants=variants,
                function=function,
                products=products_of(function, hours, weights),
                by_use=by_use,
            )
        )
        for function in (HEATING, COOLING)
    ]
    sides = tuple(side for side in made if side is not None)
    if len(sides) == 2:
        check_balances(sides[0].columns, sides[1].columns)
    return sides


def _names(sides: tuple[Side, ...], weights: IdleWeights, plan: BatchPlan) -> tuple[str, ...]:
    idle = (weights.off_w + weights.heating_saved_w + weights.cooling_saved_w).any(axis=1)
    names = [name for side in sides for name in side.names]
    names += [_idle_name(weights.uses[use]) for use in np.flatnonzero(idle).tolist()]
    for side in sides:
        if side.function in plan.loads:
            names += [f"{side.function}_load_kwh", f"{side.function}_delivered_kwh"]
    return tuple(names)


def _idle_name(use: str) -> str:
    return f"idle_electricity_{use}_kwh"


def _product_rows(run: _Run) -> int:
    uses = [side.products.saving_uses.size for side in run.sides]
    return len(run.hours) * max([1, *uses])


def _chunks(run: _Run, variants: int, size: int) -> Iterator[Rows]:
    """Variants that share the coefficients of both functions, at most `size` at a time."""
    kinds = np.zeros(variants, dtype=np.intp)
    for side in run.sides:
        kinds = kinds * (int(side.kinds.max()) + 1) + side.kinds
    for kind in np.flatnonzero(np.bincount(kinds)):
        rows = np.flatnonzero(kinds == kind)
        for start in range(0, rows.size, size):
            yield _compact(rows[start : start + size])


def _compact(rows: Index) -> Rows:
    first, last = int(rows[0]), int(rows[-1])
    return slice(first, last + 1) if last - first + 1 == rows.size else rows


def _powers(run: _Run, size: int) -> dict[str, Array]:
    """One array for all power where every window counts all of it, else one for each kind."""
    if run.windows is None:
        return {}
    waiting_w = np.repeat(run.off_w, size, axis=1)
    windows = run.windows
    if windows.heating.all() and windows.cooling.all() and windows.idle.all():
        return dict.fromkeys(POWERS, waiting_w)
    shape = waiting_w.shape
    return {HEATING: np.zeros(shape), COOLING: np.zeros(shape), IDLE: waiting_w}


def _run_chunk(run: _Run, chunk: Chunk) -> None:
    for side in run.sides:
        energies = side.run(chunk)
        for name, energy_kwh in energies.items():
            run.kwh[run.place[name]][:, chunk.rows] = energy_kwh
        if side.function in run.plan.loads:
            balance_c = balance_depth_c(side.function, side.columns, chunk.rows)
            slope = side.columns.slope_w_per_k[chunk.rows]
            load_kwh = load_sums(run.hours, side.depth_c, slope, balance_c)
            unmet_kwh = energies[f"{side.function}_unmet_kwh"]
            run.kwh[run.place[f"{side.function}_load_kwh"]][:, chunk.rows] = load_kwh
            delivered = run.place[f"{side.function}_delivered_kwh"]
            run.kwh[delivered][:, chunk.rows] = load_kwh - unmet_kwh
    for use, energy_kwh in zip(run.idle_uses, chunk.idle_kwh, strict=True):
        if _idle_name(use) in run.place:
            run.kwh[run.place[_idle_name(use)]][:, chunk.rows] = energy_kwh
    if run.peak_kw is not None:
        run.peak_kw[:, chunk.rows] = highest_w(run.mixes, chunk.power_w) / 1000.0
