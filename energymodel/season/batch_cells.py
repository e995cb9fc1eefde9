"""Hours and base loads of a year sorted by state: what energy and demand charges need of it."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.season.states import States


def hours_in_cells(states: States, cell_of_hour: Index, cells: int) -> Array:
    """Hours of each state in each cell.

    Parameters
    ----------
    states
        Index of the year.
    cell_of_hour
        Cell, such as month x tariff period, of each hour, shape (hours,); negative: none.
    cells
        Number of cells.

    Returns
    -------
    Array
        Shape (cells, states).
    """
    counts = np.zeros((cells, len(states)))
    inside = cell_of_hour >= 0
    np.add.at(counts, (cell_of_hour[inside], states.inverse[inside]), 1.0)
    return counts


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
