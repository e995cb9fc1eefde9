"""Weighted least squares: the linear core of every bill regression."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.errors import InputError

_DEPENDENT = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinearFit:
    """Result of a weighted least-squares fit.

    Parameters
    ----------
    coefficients, standard_errors
        One per column, in the unit of the response per unit of the column, shape (columns,).
    fitted
        Fitted response, shape (rows,).
    leverage
        Share of each row's own weight in its fitted value, 0..1, shape (rows,).
    sum_of_squares
        Weighted sum of squared residuals.
    degrees_of_freedom
        Rows less columns.
    """

    coefficients: Array
    standard_errors: Array
    fitted: Array
    leverage: Array
    sum_of_squares: float
    degrees_of_freedom: int


def fit_linear(columns: Array, response: Array, weights: Array | None = None) -> LinearFit:
    """Fit a response by a linear combination of columns.

    Parameters
    ----------
    columns
        One column per coefficient; a column of ones for the intercept, shape (rows, columns).
    response
        What is to be explained, shape (rows,).
    weights
        Weight of each row, > 0, shape (rows,); None: all equal. Only their ratios matter to
        coefficients and standard errors.

    Returns
    -------
    LinearFit
        Least-squares coefficients and their standard errors.

    Raises
    ------
    InputError
        If there are not more rows than columns, or the columns depend on each other.

    Notes
    -----
    Orthogonal (QR) factors of the weighted columns, each scaled to unit length; the normal
    equations would square the condition number. Standard errors from s^2 (X' W X)^-1 with
    s^2 = sum of squares / (rows - columns).

    Examples
    --------
    >>> line = fit_linear(np.array([[1.0, 0.0], [1.0, 1.0], [1.0, 2.0]]), np.array([1.0, 3.0, 5.0]))
    >>> line.coefficients.round(9).tolist()
    [1.0, 2.0]
    """
    rows, count = columns.shape
    if rows <= count:
        raise InputError(
            f"{rows} rows for {count} coefficients", expected="more rows than coefficients"
        )
    root = np.ones(rows) if weights is None else np.sqrt(weights)
    weighted = columns * root[:, None]
    scale = np.sqrt((weighted**2).sum(axis=0))
    if not (scale > 0).all():
        raise InputError("a column of the regression holds only zeros")
    orthogonal, triangle = np.linalg.qr(weighted / scale)
    if np.abs(np.diagonal(triangle)).min() < _DEPENDENT:
        raise InputError("the columns of the regression depend on each other")
    coefficients = np.linalg.solve(triangle, orthogonal.T @ (response * root)) / scale
    fitted = columns @ coefficients
    squares = float((((response - fitted) * root) ** 2).sum())
    inverse = np.linalg.inv(triangle) / scale[:, None]
    return LinearFit(
        coefficients=frozen(coefficients),
        standard_errors=frozen(np.sqrt(squares / (rows - count) * (inverse**2).sum(axis=1))),
        fitted=frozen(fitted),
        leverage=frozen((orthogonal**2).sum(axis=1)),
        sum_of_squares=squares,
        degrees_of_freedom=rows - count,
    )
