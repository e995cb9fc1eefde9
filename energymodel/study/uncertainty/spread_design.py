"""The sets of inputs of an uncertainty run: draws, crossed draws, single ends and winters."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.study.uncertainty.draws import sobol_points
from energymodel.study.uncertainty.influence import crossed_design
from energymodel.study.uncertainty.inputs import Kind, UncertainInput

CROSSED = 1024
"""Draws behind the Sobol indices; each costs as many runs as there are inputs, and two."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpreadDesign:
    """Rows at which every option is run.

    Parameters
    ----------
    inputs
        In the order of the columns.
    quantiles
        0..1, nan: as likely, shape (rows, inputs): draws, crossed draws, single ends, winters.
    draws
        Number of draws.
    crossed_inputs
        Columns that change the yearly cost, and so have an influence on it.
    winters
        Number of real winters.
    """

    inputs: tuple[UncertainInput, ...]
    quantiles: Array
    draws: int
    crossed_inputs: tuple[int, ...]
    winters: int

    def drawn(self, values: Array) -> Array:
        """Values at the draws.

        Parameters
        ----------
        values
            At all rows, shape (rows,).

        Returns
        -------
        Array
            Shape (draws,).
        """
        return values[: self.draws]

    def crossed(self, values: Array) -> Array:
        """Values at the crossed draws.

        Parameters
        ----------
        values
            At all rows, shape (rows,).

        Returns
        -------
        Array
            Shape ((crossed inputs + 2) n,).
        """
        return values[self.draws : len(values) - self._singles - self.winters]

    def ends(self, values: Array) -> Array:
        """Values with one input at an end and all others as likely.

        Parameters
        ----------
        values
            At all rows, shape (rows,).

        Returns
        -------
        Array
            Shape (crossed inputs, 2): low end, high end.
        """
        first = len(values) - self._singles - self.winters
        return values[first : first + self._singles].reshape(-1, 2)

    def in_winters(self, values: Array) -> Array:
        """Values in each winter, all else as likely.

        Parameters
        ----------
        values
            At all rows, shape (rows,).

        Returns
        -------
        Array
            Shape (winters,).
        """
        return values[len(values) - self.winters :]

    @property
    def _singles(self) -> int:
        return 2 * len(self.crossed_inputs)


def spread_design(
    inputs: tuple[UncertainInput, ...], *, draws: int, seed: int, winters: int
) -> SpreadDesign:
    """Lay out the rows of an uncertainty run.

    Parameters
    ----------
    inputs
        What is varied, at least one.
    draws
        A power of two.
    seed
        Of the draws; the crossed draws take the next one.
    winters
        Number of real winters.

    Returns
    -------
    SpreadDesign
        All rows.
    """
    columns = tuple(column for column, one in enumerate(inputs) if one.kind is not Kind.INSTALLED)
    parts = [sobol_points(draws, len(inputs), seed=seed)]
    if columns:
        points = sobol_points(min(CROSSED, draws), 2 * len(columns), seed=seed + 1)
        parts.append(_widened(crossed_design(points), columns, len(inputs)))
        parts.append(_widened(_single_ends(len(columns)), columns, len(inputs)))
    parts.append(_winter_rows(inputs, winters))
    return SpreadDesign(
        inputs=inputs,
        quantiles=np.concatenate(parts),
        draws=draws,
        crossed_inputs=columns,
        winters=winters,
    )


def _widened(rows: Array, columns: tuple[int, ...], width: int) -> Array:
    wide = np.full((len(rows), width), np.nan)
    wide[:, list(columns)] = rows
    return wide


def _single_ends(inputs: int) -> Array:
    rows = np.full((2 * inputs, inputs), np.nan)
    for column in range(inputs):
        rows[2 * column, column], rows[2 * column + 1, column] = 0.0, 1.0
    return rows


def _winter_rows(inputs: tuple[UncertainInput, ...], winters: int) -> Array:
    rows = np.full((winters, len(inputs)), np.nan)
    for column, one in enumerate(inputs):
        if one.kind is Kind.WINTER:
            rows[:, column] = (np.arange(winters) + 0.5) / winters
    return rows
