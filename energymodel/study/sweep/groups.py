"""Which fields of a sweep change only numbers, and the pieces in which its variants run."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.arrays import Index
from energymodel.scenario.field_path import Step, read_path
from energymodel.scenario.files import Scenario
from energymodel.study.sweep.plan import Axis, SweepPlan

ROWS_PER_CHUNK = 8192
"""Option-years in one piece: a few MB, month rows included."""
SMALLEST_BATCH = 8
"""Variants of one structure from which a batch pays."""
SINGLES_PER_CHUNK = 16


class AxisKind(Enum):
    """What a field changes."""

    STRUCTURE = "what there is: place, unit, tariff, set-points"
    ENERGY = "loads and in-service factors"
    PRICE = "flat prices"
    COST = "installed costs"


_NOT_THE_LINE = frozenset({"months_without", "sensible_heat_ratio"})
_FLAT = frozenset({"energy", "per", "heat_content"})


def axis_kind(base: Scenario, axis: Axis) -> AxisKind:
    """Tell what a field of the sweep changes.

    Parameters
    ----------
    base
        The scenario.
    axis
        The field, or several that vary together.

    Returns
    -------
    AxisKind
        Structure where its fields are of different kinds.
    """
    kinds = {_kind(base, read_path(path)) for path in axis.paths}
    return kinds.pop() if len(kinds) == 1 else AxisKind.STRUCTURE


def _kind(base: Scenario, steps: tuple[Step, ...]) -> AxisKind:
    first, last = steps[0], steps[-1]
    if first == "room" and len(steps) > 2 and steps[1] in ("heating", "cooling"):
        return AxisKind.STRUCTURE if steps[2] in _NOT_THE_LINE else AxisKind.ENERGY
    if first == "option" and len(steps) == 3:
        numbers = {"load_factor": AxisKind.ENERGY, "installed_cost": AxisKind.COST}
        return numbers.get(str(last), AxisKind.STRUCTURE)
    if first == "option" and len(steps) == 4 and last == "in_service":
        return AxisKind.ENERGY
    flat = first == "price" and len(steps) == 3 and last in _FLAT
    if flat and "tariff" not in base.written["price"][steps[1]]:
        return AxisKind.PRICE
    return AxisKind.STRUCTURE


def axes_of(plan: SweepPlan, kind: AxisKind) -> tuple[Axis, ...]:
    """List the fields of one kind.

    Parameters
    ----------
    plan
        The sweep.
    kind
        What they change.

    Returns
    -------
    tuple of Axis
        In the order of the plan.
    """
    return tuple(axis for axis in plan.axes if axis_kind(plan.base, axis) is kind)


def combined(axes: Sequence[Axis], variants: Index) -> tuple[Index, Index]:
    """Find the combinations of some fields that occur among variants.

    Parameters
    ----------
    axes
        The fields.
    variants
        Numbers of variants.

    Returns
    -------
    first
        Position of a variant with each combination, shape (combinations,).
    which
        Combination of each variant, shape (variants,).
    """
    which = np.zeros(variants.size, dtype=np.intp)
    for axis in axes:
        key = which * len(axis.values) + axis.code(variants)
        which = np.unique(key, return_inverse=True)[1]
    _, first, which = np.unique(which, return_index=True, return_inverse=True)
    return first, which


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chunk:
    """A piece of a sweep.

    Parameters
    ----------
    variants
        Numbers of its variants, ascending.
    together
        Whether they share one structure, and are enough for a batch.
    """

    variants: Index
    together: bool


def chunks_of(plan: SweepPlan) -> tuple[Chunk, ...]:
    """Cut a sweep into pieces, each of one structure where that has variants enough.

    Parameters
    ----------
    plan
        The sweep.

    Returns
    -------
    tuple of Chunk
        The same for the same plan, whoever runs it.
    """
    everything = np.arange(plan.count, dtype=np.intp)
    _, which = combined(axes_of(plan, AxisKind.STRUCTURE), everything)
    # variants with the same loads side by side: a piece runs each different load once
    _, loads = combined(axes_of(plan, AxisKind.ENERGY), everything)
    order = np.lexsort((loads, which))
    counts = np.bincount(which)
    ends = np.cumsum(counts)
    groups = [order[end - n : end] for end, n in zip(ends, counts, strict=True)]
    few = [group for group in groups if group.size < SMALLEST_BATCH]
    size = max(SMALLEST_BATCH, ROWS_PER_CHUNK // len(plan.options))
    chunks = [
        Chunk(variants=piece, together=True)
        for group in groups
        if group.size >= SMALLEST_BATCH
        for piece in _pieces(group, size)
    ]
    singles = np.sort(np.concatenate(few)) if few else everything[:0]
    chunks += [Chunk(variants=p, together=False) for p in _pieces(singles, SINGLES_PER_CHUNK)]
    return tuple(sorted(chunks, key=lambda chunk: int(chunk.variants[0])))


def _pieces(variants: Index, size: int) -> Iterator[Index]:
    if variants.size:
        for piece in np.array_split(variants, -(-variants.size // size)):
            yield np.sort(piece)
