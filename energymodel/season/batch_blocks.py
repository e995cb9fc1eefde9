"""States of one function in blocks that fit the cache, and their sums over a chunk of variants."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.season.segments import Buffers, PumpSegments, Segments

STATES_PER_BLOCK = 32
_LEVEL_2 = "SC_LEVEL2_CACHE_SIZE"
_SMALL_LEVEL_2_BYTES = 512 * 1024
_ARRAYS_IN_CACHE = 2
"""Measured: with fewer variants at a time the calls cost more than the memory saves."""
_PRODUCT_ON_ONE_CORE = 2**18
"""Multiplications up to which common matrix libraries start no threads: waking them for products
as small as these costs several times what they bring."""


def variants_per_chunk() -> int:
    """Return the number of variants at a time, from the size of the second-level cache.

    Returns
    -------
    int
        256 to 2048.
    """
    known = _LEVEL_2 in getattr(os, "sysconf_names", {})
    size = os.sysconf(_LEVEL_2) if known else 0
    size = size if size > 0 else _SMALL_LEVEL_2_BYTES
    return int(np.clip(size // (8 * _ARRAYS_IN_CACHE * STATES_PER_BLOCK), 256, 2048))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block:
    """Neighbouring states, coldest first (cooling: in the same order, temperatures negated).

    Parameters
    ----------
    rows
        Where they stand among all states.
    depth_c
        Outdoor temperature, degC, shape (states, 1); negated for cooling, and infinite where the
        function is switched off.
    frosted, clear
        Coefficients; clear is None outside the frost band.
    part_share, full_share
        Shares of the time below and at the full output, shape (states, 1); None: always 1.
    strips_w
        Largest output of resistance backup, W, shape (states, 1): infinite without a limit, 0
        where locked out; None: no resistance backup.
    hours_kwh
        Thousandths of the hours of each state in each cell, shape (cells, states): kWh per W.
    run_hours_kwh
        The same, weighted by idle power over the lowest speed's power, shape (idle uses x cells,
        states); no rows: no idle power depends on this function.
    run_w
        Idle power, all uses together, over the lowest speed's power, shape (states, 1).
    """

    rows: slice
    depth_c: Array
    frosted: Segments
    clear: Segments | None
    part_share: Array | None
    full_share: Array | None
    strips_w: Array | None
    hours_kwh: Array
    run_hours_kwh: Array
    run_w: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FunctionStates:
    """What all blocks of one function are cut from; states coldest first.

    Parameters
    ----------
    depth_c
        As in :class:`Block`, shape (states, 1).
    pump
        Heat pump at the states.
    part_share, full_share
        Shape (states, 1).
    strips_w
        Largest output of resistance backup, W, shape (states, 1): infinite without a limit, 0
        where locked out; None: no resistance backup.
    hours
        Hours of each state in each cell, shape (cells, states).
    run_hours
        Hours weighted by idle power over the lowest speed's power, shape (idle uses x cells,
        states).
    run_w
        As in :class:`Block`.
    """

    depth_c: Array
    pump: PumpSegments
    part_share: Array
    full_share: Array
    strips_w: Array | None
    hours: Array
    run_hours: Array
    run_w: Array


def blocks_of(states: FunctionStates) -> list[Block]:
    """Cut the states into blocks that need the same steps.

    Parameters
    ----------
    states
        One function.

    Returns
    -------
    list of Block
        Every state is in one of them.
    """
    limited = ((states.part_share != 1.0) | (states.full_share != 1.0))[:, 0]
    frost = states.pump.frost_band & (states.pump.clear is not None)
    return [_block(states, rows) for rows in _runs(limited + 2 * frost.astype(np.intp))]


def _runs(kind: Index) -> Iterator[slice]:
    starts = np.flatnonzero(np.r_[True, kind[1:] != kind[:-1]])
    for start, stop in zip(starts, np.r_[starts[1:], kind.size], strict=True):
        pieces = -(-(stop - start) // STATES_PER_BLOCK)
        edges = np.linspace(start, stop, pieces + 1).round().astype(int)
        yield from (slice(a, b) for a, b in pairwise(edges.tolist()))


def _block(states: FunctionStates, rows: slice) -> Block:
    part, full = states.part_share[rows], states.full_share[rows]
    limited = bool((part != 1.0).any() or (full != 1.0).any())
    pump = states.pump
    frosts = pump.clear is not None and bool(pump.frost_band[rows].any())
    return Block(
        rows=rows,
        depth_c=states.depth_c[rows],
        frosted=pump.frosted.at(rows),
        clear=pump.clear.at(rows) if frosts and pump.clear is not None else None,
        part_share=part if limited else None,
        full_share=full if limited else None,
        strips_w=None if states.strips_w is None else states.strips_w[rows],
        hours_kwh=states.hours[:, rows] / 1000.0,
        run_hours_kwh=states.run_hours[:, rows] / 1000.0,
        run_w=states.run_w[rows],
    )


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
    """Sums over the states, kWh, at an in-service factor of 1; shape (cells, variants).

    Parameters
    ----------
    compressor, defrost, backup, unmet
        Of the function.
    run
        Idle energy that is saved while the compressor runs, shape (idle uses x cells, variants).
    """

    compressor: Array
    defrost: Array
    backup: Array
    unmet: Array
    run: Array


def no_sums(cells: int, run_rows: int, variants: int) -> Sums:
    """Return sums of nothing.

    Parameters
    ----------
    cells, run_rows, variants
        Sizes.

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

    def add_product(self, hours: Array, values: Array, total: Array) -> None:
        """Add hours x values to a total.

        Parameters
        ----------
        hours
            Shape (cells, states).
        values
            Shape (states, variants).
        total
            Shape (cells, variants), added to.
        """
        out = self.product[: total.size].reshape(total.shape)
        width = max(_PRODUCT_ON_ONE_CORE // hours.size, 1)
        for start in range(0, values.shape[1], width):
            piece = slice(start, start + width)
            np.matmul(hours, values[:, piece], out=out[:, piece])
        np.add(total, out, out=total)


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
        flat=np.empty((9, STATES_PER_BLOCK * variants)), product=np.empty(product_rows * variants)
    )


def add_block(
    block: Block, lines: Lines, space: Workspace, sums: Sums, total_w: Array | None
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
    total_w
        Electric power at all states, shape (states, variants), added to; None: not wanted.
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
    extra = _extra(block, met, power, most_w, rest[4:])
    if block.part_share is not None and block.full_share is not None:
        share = np.where(load >= block.frosted.edge_w[-1], block.full_share, block.part_share)
        met, power, cycling = met * share, power * share, cycling * share
        extra = None if extra is None else extra * share
    if len(sums.run):
        space.add_product(block.run_hours_kwh, cycling, sums.run)
    if total_w is not None:
        _add_total(block, power, cycling, lines, total_w)
    if extra is not None:
        space.add_product(block.hours_kwh, extra, sums.defrost)
        power = np.subtract(power, extra, out=extra)
    space.add_product(block.hours_kwh, power, sums.compressor)
    if block.part_share is not None or passed == len(block.frosted.edge_w):
        _missing(block, np.subtract(load, met, out=load), space, sums, total_w)


def _extra(
    block: Block, met: Array, power: Array, most_w: Array, arrays: list[Array]
) -> Array | None:
    """Power with frost less power without, for the same heat."""
    if block.clear is None:
        return None
    buffers = Buffers(lower=arrays[0], upper=arrays[1], curve=arrays[2], cycling=arrays[3])
    passed = block.clear.speeds_passed(np.minimum(most_w, block.frosted.edge_w[-1]))
    without = block.clear.rule(block.clear, met, passed, buffers)
    extra = np.subtract(power, without.power_w, out=without.power_w)
    return np.maximum(extra, 0.0, out=extra)


def _add_total(block: Block, power: Array, cycling: Array, lines: Lines, total_w: Array) -> None:
    at = total_w[block.rows]
    at += power * lines.power_scale
    at -= cycling * block.run_w


def _missing(
    block: Block, missing: Array, space: Workspace, sums: Sums, total_w: Array | None
) -> None:
    if block.strips_w is None:
        space.add_product(block.hours_kwh, missing, sums.unmet)
        return
    backup = missing
    if np.isfinite(block.strips_w).any():
        backup = np.minimum(missing, block.strips_w)
        space.add_product(block.hours_kwh, missing - backup, sums.unmet)
    space.add_product(block.hours_kwh, backup, sums.backup)
    if total_w is not None:
        total_w[block.rows] += backup
