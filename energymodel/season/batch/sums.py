"""Sums of a chunk of variants over blocks of states."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array
from energymodel.season.batch.blocks import STATES_PER_BLOCK, Block, RowWeights
from energymodel.season.batch.segments import Buffers, Climb

Totals: TypeAlias = tuple[Array, Array]
"""Power of a function and of what waits, which may be the same array."""

_PRODUCT_ON_ONE_CORE = 2**18
"""Multiplications up to which common matrix libraries start no threads: waking them for products
as small as these costs several times what they bring."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lines:
    """Load lines of a chunk of variants, for one function.

    Parameters
    ----------
    slope_w_per_k, balance_c
        Shape (variants,); the balance temperature is negated for cooling.
    power_scale
        1 / in-service factor, shape (variants,).
    """

    slope_w_per_k: Array
    balance_c: Array
    power_scale: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sums:
    """Sums over the states, kWh; shape (cells, variants).

    Parameters
    ----------
    compressor, defrost
        At an in-service factor of 1.
    backup, unmet
        Of the function.
    electricity
        Everything electric together, as installed; then the uses by themselves stay zero. None:
        by use.
    run
        Idle energy that is saved while the compressor runs, shape (idle uses x cells, variants).
    """

    compressor: Array
    defrost: Array
    backup: Array
    unmet: Array
    electricity: Array | None
    run: Array


def no_sums(cells: int, run_rows: int, variants: int, *, by_use: bool) -> Sums:
    """Return sums of nothing.

    Parameters
    ----------
    cells, run_rows, variants
        Sizes.
    by_use
        Whether the uses are wanted by themselves.

    Returns
    -------
    Sums
        Zeros.
    """
    four = np.zeros((4, cells, variants))
    return Sums(
        compressor=four[0],
        defrost=four[1],
        backup=four[2],
        unmet=four[3],
        electricity=None if by_use else four[0],
        run=np.zeros((run_rows, variants)),
    )


@dataclass(slots=True, kw_only=True, eq=False)
class Workspace:
    """Working arrays, made once and written over by every block of every chunk.

    Parameters
    ----------
    flat
        Shape (arrays, values).
    product
        For the products with the hours.
    """

    flat: Array
    product: Array
    shapes: dict[tuple[int, int], list[Array]] = field(default_factory=dict)

    def arrays(self, states: int, variants: int) -> list[Array]:
        """Working arrays of a shape.

        Parameters
        ----------
        states, variants
            The shape.

        Returns
        -------
        list of Array
            Views of the same memory for every shape.
        """
        key = (states, variants)
        if key not in self.shapes:
            size = states * variants
            self.shapes[key] = [row[:size].reshape(key) for row in self.flat]
        return self.shapes[key]

    def add_product(self, hours: RowWeights, values: Array, total: Array) -> None:
        """Add hours x values to a total.

        Parameters
        ----------
        hours
            Of some rows of the total.
        values
            Shape (states, variants).
        total
            Shape (all rows, variants), added to.
        """
        weights = hours.weights
        if not len(weights):
            return
        shape = (len(weights), total.shape[1])
        out = self.product[: shape[0] * shape[1]].reshape(shape)
        width = max(_PRODUCT_ON_ONE_CORE // weights.size, 1)
        for start in range(0, shape[1], width):
            piece = slice(start, start + width)
            np.matmul(weights, values[:, piece], out=out[:, piece])
        if hours.rows is None:
            np.add(total, out, out=total)
            return
        for row, found in zip(hours.rows.tolist(), out, strict=True):
            np.add(total[row], found, out=total[row])


def workspace(variants: int, product_rows: int) -> Workspace:
    """Make the working arrays.

    Parameters
    ----------
    variants
        Largest chunk.
    product_rows
        Most rows of hours in one product.

    Returns
    -------
    Workspace
        Uninitialised memory.
    """
    return Workspace(
        flat=np.empty((10, STATES_PER_BLOCK * variants)), product=np.empty(product_rows * variants)
    )


def add_block(
    block: Block,
    lines: Lines,
    space: Workspace,
    sums: Sums,
    totals: Totals | None,
) -> None:
    """Add the energy of one block of states to the sums.

    Parameters
    ----------
    block
        States.
    lines
        Load lines of the chunk.
    space
        Working arrays.
    sums
        Added to.
    totals
        Electric power at all states, of the function and of what waits, shape (states, variants),
        added to; None: not wanted.
    """
    most_w = lines.slope_w_per_k.max() * (lines.balance_c.max() - block.depth_c)
    if not (most_w > 0).any():
        return
    load, *rest = space.arrays(len(block.depth_c), lines.balance_c.size)
    np.subtract(lines.balance_c, block.depth_c, out=load)
    np.maximum(load, 0.0, out=load)
    np.multiply(load, lines.slope_w_per_k, out=load)
    passed = block.frosted.speeds_passed(most_w)
    first = Buffers(lower=rest[0], upper=rest[1], curve=rest[2], cycling=rest[3])
    climb = block.frosted.rule(block.frosted, load, passed, first)
    met, power, cycling = climb.met_w, climb.power_w, climb.cycling_w
    extra = _extra(block, climb, most_w, rest[4:]) if sums.electricity is None else None
    if block.part_share is not None and block.full_share is not None:
        share = np.where(load >= block.frosted.edge_w[-1], block.full_share, block.part_share)
        met, power, cycling = met * share, power * share, cycling * share
        extra = None if extra is None else extra * share
    space.add_product(block.run_hours, cycling, sums.run)
    backup = None
    if block.part_share is not None or passed == len(block.frosted.edge_w):
        backup = _backup(block, np.subtract(load, met, out=load), space, sums)
    if totals is not None:
        idle_w = totals[1][block.rows]
        idle_w -= np.multiply(cycling, block.run_w, out=rest[8])
    if totals is not None or sums.electricity is not None:
        together = np.multiply(power, lines.power_scale, out=rest[8])
        _add_together(block, (together, backup), space, sums, totals)
    if sums.electricity is None:
        _add_by_use(block, (power, extra, backup), space, sums)


def _extra(block: Block, climb: Climb, most_w: Array, arrays: list[Array]) -> Array | None:
    """Power with frost less power without, for the same heat."""
    if block.clear is None:
        return None
    buffers = Buffers(lower=arrays[0], upper=arrays[1], curve=arrays[2], cycling=arrays[3])
    passed = block.clear.speeds_passed(np.minimum(most_w, block.frosted.edge_w[-1]))
    without = block.clear.rule(block.clear, climb.met_w, passed, buffers)
    extra = np.subtract(climb.power_w, without.power_w, out=without.power_w)
    return np.maximum(extra, 0.0, out=extra)


def _backup(block: Block, missing: Array, space: Workspace, sums: Sums) -> Array | None:
    """Power of resistance backup; the rest of what is missing stays unmet."""
    if block.strips_w is None:
        space.add_product(block.hours, missing, sums.unmet)
        return None
    if not np.isfinite(block.strips_w).any():
        return missing
    backup: Array = np.minimum(missing, block.strips_w)
    space.add_product(block.hours, missing - backup, sums.unmet)
    return backup


def _add_together(
    block: Block,
    powers: tuple[Array, Array | None],
    space: Workspace,
    sums: Sums,
    totals: Totals | None,
) -> None:
    together, backup = powers
    if backup is not None:
        together += backup
    if totals is not None:
        own_w = totals[0][block.rows]
        own_w += together
    if sums.electricity is not None:
        space.add_product(block.hours, together, sums.electricity)


def _add_by_use(
    block: Block,
    powers: tuple[Array, Array | None, Array | None],
    space: Workspace,
    sums: Sums,
) -> None:
    power, extra, backup = powers
    if extra is not None:
        space.add_product(block.hours, extra, sums.defrost)
        power = np.subtract(power, extra, out=extra)
    space.add_product(block.hours, power, sums.compressor)
    if backup is not None:
        space.add_product(block.hours, backup, sums.backup)
