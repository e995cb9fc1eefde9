"""States of one function in blocks that fit the cache."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.season.batch.segments import PumpSegments, Segments

STATES_PER_BLOCK = 32
_LEVEL_2 = "SC_LEVEL2_CACHE_SIZE"
_SMALL_LEVEL_2_BYTES = 512 * 1024
_ARRAYS_IN_CACHE = 2
"""Measured: with fewer variants at a time the calls cost more than the memory saves."""


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
class RowWeights:
    """Weights of the states of a block in the rows of a sum that have any.

    Parameters
    ----------
    rows
        Those rows; None: all.
    weights
        Shape (rows, states).
    """

    rows: Index | None
    weights: Array


def row_weights(table: Array) -> RowWeights:
    """Leave out the rows without a weight: the cold is in few months.

    Parameters
    ----------
    table
        Shape (all rows, states).

    Returns
    -------
    RowWeights
        The rest.
    """
    rows = np.flatnonzero(table.any(axis=1))
    if rows.size == len(table):
        return RowWeights(rows=None, weights=np.ascontiguousarray(table))
    return RowWeights(rows=rows, weights=table[rows])


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
    hours
        Thousandths of the hours of each state in each cell: kWh per W.
    run_hours
        The same for idle uses x cells, weighted by idle power over the lowest speed's power; no
        rows: no idle power depends on this function.
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
    hours: RowWeights
    run_hours: RowWeights
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
        hours=row_weights(states.hours[:, rows] / 1000.0),
        run_hours=row_weights(states.run_hours[:, rows] / 1000.0),
        run_w=states.run_w[rows],
    )
