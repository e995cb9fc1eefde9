"""Highest power of many variants in the windows of demand charges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.season.batch.cells import PeakWindows
from energymodel.season.result import COOLING, HEATING, IDLE

POWERS = (HEATING, COOLING, IDLE)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mix:
    """Windows in which the same powers count.

    Parameters
    ----------
    counts
        Names of those powers.
    windows
        Number, states and base load at them, W, shape (states, 1), of each.
    """

    counts: tuple[str, ...]
    windows: tuple[tuple[int, Index, Array], ...]


def mixes_of(windows: PeakWindows) -> tuple[Mix, ...]:
    """Sort windows by what counts in them.

    Parameters
    ----------
    windows
        Base load at the states in the order of the powers.

    Returns
    -------
    tuple of Mix
        Every window is in one of them.
    """
    counted = np.stack([windows.heating, windows.cooling, windows.idle])
    mixes = []
    for mix in np.unique(counted, axis=1).T:
        same = np.flatnonzero((counted == mix[:, np.newaxis]).all(axis=0))
        there = [np.flatnonzero(np.isfinite(windows.base_w[window])) for window in same]
        mixes.append(
            Mix(
                counts=tuple(name for name, on in zip(POWERS, mix, strict=True) if on),
                windows=tuple(
                    (window, rows, windows.base_w[window, rows, np.newaxis])
                    for window, rows in zip(same.tolist(), there, strict=True)
                ),
            )
        )
    return tuple(mixes)


def highest_w(mixes: tuple[Mix, ...], power_w: Mapping[str, Array]) -> Array:
    """Find the largest base load plus what counts, in each window.

    Parameters
    ----------
    mixes
        From :func:`mixes_of`.
    power_w
        By "heating", "cooling" and "idle", shape (states, variants); the same array may stand
        under several names and is then counted once.

    Returns
    -------
    Array
        W, shape (windows, variants).
    """
    count = sum(len(mix.windows) for mix in mixes)
    found = np.empty((count, power_w[IDLE].shape[1]))
    for mix in mixes:
        total_w = _total_w(power_w, mix.counts)
        for window, rows, base_w in mix.windows:
            np.maximum.reduce(total_w[rows] + base_w, axis=0, out=found[window])
    return found


def _total_w(power_w: Mapping[str, Array], counts: tuple[str, ...]) -> Array:
    arrays = list({id(power_w[name]): power_w[name] for name in counts}.values())
    if not arrays:
        return np.zeros_like(power_w[IDLE])
    return reduce(np.add, arrays)
