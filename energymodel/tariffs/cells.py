"""Sums and maxima of many load columns over cells of hours, prepared once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index

_COLUMNS_AT_ONCE = 256
"""The rearranged copy of the load stays small whatever the number of columns."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cells:
    """Intervals sorted into cells (billing period and period of the charge).

    Parameters
    ----------
    count
        Number of cells.
    order
        Intervals that lie in a cell, cell by cell, in time order within each.
    starts
        First place of each cell that has intervals, within `order`.
    present
        Cells that have intervals.
    in_order
        `order` is 0, 1, 2, ...: nothing to rearrange.
    """

    count: int
    order: Index
    starts: Index
    present: Index
    in_order: bool

    def _reduced(self, how: np.ufunc, values: Array) -> Array:
        out = np.zeros((self.count, values.shape[1]))
        if not len(self.present):
            return out
        for first in range(0, values.shape[1], _COLUMNS_AT_ONCE):
            part = values[:, first : first + _COLUMNS_AT_ONCE]
            rows = part if self.in_order else part[self.order]
            reduced = how.reduceat(rows, self.starts, axis=0)
            out[self.present, first : first + _COLUMNS_AT_ONCE] = reduced
        return out

    def total(self, values: Array) -> Array:
        """Sum in each cell.

        Parameters
        ----------
        values
            Shape (intervals, columns).

        Returns
        -------
        Array
            Shape (cells, columns); 0 where a cell has no interval.
        """
        return self._reduced(np.add, values)

    def highest(self, values: Array) -> Array:
        """Maximum in each cell.

        Parameters
        ----------
        values
            Shape (intervals, columns), >= 0.

        Returns
        -------
        Array
            Shape (cells, columns); 0 where a cell has no interval.
        """
        return self._reduced(np.maximum, values)

    def running_total(self, values: Array) -> Array:
        """Sum within the cell, from its first interval to each interval.

        Parameters
        ----------
        values
            Shape (intervals, columns).

        Returns
        -------
        Array
            Same shape; 0 in intervals that lie in no cell.
        """
        rows = np.cumsum(values[self.order], axis=0)
        before = np.zeros((len(self.starts), values.shape[1]))
        before[1:] = rows[self.starts[1:] - 1]
        lengths = np.diff(np.append(self.starts, len(self.order)))
        out = np.zeros_like(values)
        out[self.order] = rows - np.repeat(before, lengths, axis=0)
        return out


def make_cells(index: Index, count: int) -> Cells:
    """Sort intervals into cells.

    Parameters
    ----------
    index
        Cell of each interval, negative: none; shape (intervals,).
    count
        Number of cells.

    Returns
    -------
    Cells
        Ready to sum any number of load columns.

    Examples
    --------
    >>> cells = make_cells(np.array([0, 1, 1, -1]), 3)
    >>> cells.total(np.array([[1.0], [2.0], [3.0], [4.0]])).ravel().tolist()
    [1.0, 5.0, 0.0]
    """
    order = np.argsort(index, kind="stable")
    order = order[int((index < 0).sum()) :]
    ordered = index[order]
    starts = np.flatnonzero(np.r_[True, ordered[1:] != ordered[:-1]]) if len(order) else order
    return Cells(
        count=count,
        order=order,
        starts=starts.astype(np.intp),
        present=ordered[starts],
        in_order=len(order) == len(index) and bool((order == np.arange(len(index))).all()),
    )
