"""Hours and base loads of a year sorted by state: what energy and demand charges need of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.errors import InputError
from energymodel.season.states import States


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PeakWindows:
    """Billing windows whose highest power is looked for.

    Parameters
    ----------
    base_w
        Largest base load in each window at each state, W, shape (windows, states), from
        :func:`largest_base_w`.
    heating, cooling, idle
        Windows in which that electricity stands on top of the base load, shape (windows,).
    """

    base_w: Array
    heating: Mask
    cooling: Mask
    idle: Mask

    def __post_init__(self) -> None:
        if np.isnan(self.base_w).any() or np.isposinf(self.base_w).any():
            raise InputError("base_w has a value that is not a number", expected="W in every hour")
        empty = np.flatnonzero(np.isneginf(self.base_w).all(axis=-1))
        if empty.size:
            raise InputError(
                f"window {empty[0]} of base_w has no hour", expected="at least one hour per window"
            )


def windows_of_all(base_w: Array) -> PeakWindows:
    """Windows in which all electricity of the option counts.

    Parameters
    ----------
    base_w
        As in :class:`PeakWindows`.

    Returns
    -------
    PeakWindows
        Heating, cooling and idle power on top of the base load.
    """
    every = np.ones(len(base_w), dtype=bool)
    return PeakWindows(base_w=base_w, heating=every, cooling=every, idle=every)


def hours_in_cells(
    states: States, cell_of_hour: Index, cells: int, *, weight: Array | None = None
) -> Array:
    """Hours of each state in each cell.

    Parameters
    ----------
    states
        Index of the year.
    cell_of_hour
        Cell, such as month x tariff period, of each hour, shape (hours,); negative: none.
    cells
        Number of cells.
    weight
        What each hour counts, such as its price, shape (hours,); None: one.

    Returns
    -------
    Array
        Shape (cells, states).
    """
    inside = np.flatnonzero(cell_of_hour >= 0)
    place = cell_of_hour[inside] * len(states) + states.inverse[inside]
    counts = np.bincount(
        place, None if weight is None else weight[inside], minlength=cells * len(states)
    )
    return counts.astype(np.float64).reshape(cells, len(states))


def largest_base_w(states: States, base_w: Array, window_of_hour: Index, windows: int) -> Array:
    """Largest base load in each billing window at each state.

    Parameters
    ----------
    states
        Index of the year.
    base_w
        Load of everything else, W, shape (hours,).
    window_of_hour
        Window of the demand charge of each hour, shape (hours,); negative: none.
    windows
        Number of windows.

    Returns
    -------
    Array
        W, shape (windows, states); minus infinity where the state does not occur in the window.

    Notes
    -----
    All hours of a state have the same heat pump power, so the peak of a window is the largest over
    the states of this base load plus that power: exact.
    """
    largest = np.full((windows, len(states)), -np.inf)
    inside = window_of_hour >= 0
    np.maximum.at(largest, (window_of_hour[inside], states.inverse[inside]), base_w[inside])
    return largest
