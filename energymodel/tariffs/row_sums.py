"""Sums and maxima of few rows with many columns: what a bill needs of cells and windows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowSums:
    """Rows that are added up: few rows, many columns.

    Parameters
    ----------
    target
        Sum of each row, negative: none, shape (rows,).
    count
        Number of sums.
    """

    target: Index
    count: int

    def total(self, values: Array) -> Array:
        """Add up.

        Parameters
        ----------
        values
            Shape (rows, columns).

        Returns
        -------
        Array
            Shape (count, columns).
        """
        out = np.zeros((self.count, values.shape[1]))
        for target, row in zip(self.target.tolist(), values, strict=True):
            if target >= 0:
                out[target] += row
        return out

    def by_bill(self, values: Array, bills: int) -> Array:
        """Add up by bill and what stands in each.

        Parameters
        ----------
        values
            Shape (rows, columns).
        bills
            Number of bills.

        Returns
        -------
        Array
            Shape (bills, parts, columns).
        """
        return self.total(values).reshape(bills, -1, values.shape[1])

    def highest(self, values: Array) -> Array:
        """Take maxima.

        Parameters
        ----------
        values
            Shape (rows, columns), >= 0.

        Returns
        -------
        Array
            Shape (count, columns); 0 where a sum has no row.
        """
        out = np.zeros((self.count, values.shape[1]))
        for target, row in zip(self.target.tolist(), values, strict=True):
            if target >= 0:
                np.maximum(out[target], row, out=out[target])
        return out
