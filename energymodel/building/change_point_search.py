"""Search for the change points: a grid over all of them, then Gauss-Newton steps.

Many responses to the same weather are searched at once, so that a thousand resamples of the use
cost little more than one fit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.building.change_point_forms import (
    Form,
    change_columns,
    enough_on_each_side,
    regression_columns,
    slopes_have_their_sign,
)
from energymodel.building.period_use import PeriodTemperatures

SETTLED_K = 1e-10
"""Step of a change point below which a fit is finished, K."""
SETTLED_RESAMPLE_K = 1e-3
"""The same for resamples, whose spread is a thousand times larger, K."""
_GRID_OF_ONE = 96
_GRID_OF_TWO = 36
_AT_ONCE = 200
_STEPS = 40
_RIDGE = 1e-14


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Regression:
    """What all responses of a search share.

    Parameters
    ----------
    form
        Form of the regression.
    seen
        Temperatures as the form counts them.
    weights
        Weight of each period, shape (periods,).
    """

    form: Form
    seen: PeriodTemperatures
    weights: Array

    def columns(self, change_c: Array) -> Array:
        """Columns of the linear part.

        Parameters
        ----------
        change_c
            Change points, degC, shape (candidates, 2).

        Returns
        -------
        Array
            Shape (candidates, periods, columns).
        """
        return regression_columns(self.form, self.seen, change_c)

    def solved(self, use: Array, change_c: Array) -> tuple[Array, Array]:
        """Least squares at given change points.

        Parameters
        ----------
        use
            Use per day, shape (responses, periods).
        change_c
            Change points of each response, degC, shape (responses, 2).

        Returns
        -------
        coefficients : Array
            Shape (responses, columns).
        squares : Array
            Weighted sums of squared residuals, shape (responses,).
        """
        return solve_columns(self.columns(change_c), use, self.weights)

    def allowed(self, change_c: Array, coefficients: Array) -> Mask:
        """Whether enough periods lie on each side and the slopes have their sign.

        Parameters
        ----------
        change_c
            Change points, degC, shape (responses, 2).
        coefficients
            Shape (responses, columns).

        Returns
        -------
        Mask
            Shape (responses,).
        """
        enough = enough_on_each_side(self.form, self.seen.mean_c, change_c)
        return np.asarray(enough & slopes_have_their_sign(self.form, coefficients))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """Best change points of each response.

    Parameters
    ----------
    change_c
        Heating and cooling change point, degC, shape (responses, 2); nan where no candidate has
        slopes of the right sign.
    coefficients
        Of the columns, shape (responses, columns).
    squares
        Weighted sum of squared residuals, shape (responses,).
    """

    change_c: Array
    coefficients: Array
    squares: Array


def candidates(form: Form, seen: PeriodTemperatures) -> Array:
    """Change points on a grid between the coldest and the warmest period.

    Parameters
    ----------
    form
        Form of the regression, with at least one change point.
    seen
        Temperatures as the form counts them.

    Returns
    -------
    Array
        Heating and cooling change point, degC, shape (candidates, 2); only those with enough
        periods on each side, so perhaps none.
    """
    mean_c = seen.mean_c
    two = form.change_points == 2
    grid = np.linspace(mean_c.min(), mean_c.max(), _GRID_OF_TWO if two else _GRID_OF_ONE)
    if two:
        first, second = np.triu_indices(grid.size)
        pairs = np.stack([grid[first], grid[second]], axis=1)
    else:
        pairs = np.stack([grid, grid], axis=1)
    return np.asarray(pairs[enough_on_each_side(form, mean_c, pairs)])


def search(regression: Regression, use: Array, *, settled_k: float = SETTLED_K) -> Found:
    """Find the change points with the least weighted squares, for many responses.

    Parameters
    ----------
    regression
        Form with at least one change point, temperatures and weights.
    use
        Use per day, shape (responses, periods).
    settled_k
        Step of the change points below which a response is finished, K.

    Returns
    -------
    Found
        nan for responses without a feasible candidate.
    """
    grid = candidates(regression.form, regression.seen)
    columns = 1 + int(regression.form.heating) + int(regression.form.cooling)
    found = Found(
        change_c=np.full((use.shape[0], 2), np.nan),
        coefficients=np.full((use.shape[0], columns), np.nan),
        squares=np.full(use.shape[0], np.nan),
    )
    if not grid.size:
        return found
    best, feasible = _best_of_grid(regression, grid, use)
    found.change_c[feasible] = grid[best[feasible]]
    _refine(regression, use, found, settled_k)
    return found


def _best_of_grid(regression: Regression, grid: Array, use: Array) -> tuple[Index, Mask]:
    """Index of the best candidate of each response, and whether there is one."""
    root = np.sqrt(regression.weights)
    response = (use * root).T
    best = np.zeros(use.shape[0], dtype=np.intp)
    most = np.full(use.shape[0], -np.inf)
    for start in range(0, grid.shape[0], _AT_ONCE):
        columns = regression.columns(grid[start : start + _AT_ONCE])
        score = _explained(regression.form, columns * root[:, None], response)
        at = score.argmax(axis=0)
        value = np.take_along_axis(score, at[None], axis=0)[0]
        best = np.where(value > most, at + start, best)
        most = np.maximum(value, most)
    return best, np.isfinite(most)


def _explained(form: Form, columns: Array, response: Array) -> Array:
    """Squares that each candidate explains, -inf where a slope has the wrong sign."""
    orthogonal, triangle = np.linalg.qr(columns)
    size = np.abs(np.diagonal(triangle, axis1=1, axis2=2)).max(axis=1)
    regular = triangle + _RIDGE * size[:, None, None] * np.eye(triangle.shape[1])
    explained = np.swapaxes(orthogonal, 1, 2) @ response
    coefficients = np.swapaxes(np.linalg.solve(regular, explained), 1, 2)
    allowed = slopes_have_their_sign(form, coefficients)
    return np.where(allowed, (explained**2).sum(axis=1), -np.inf)


def solve_columns(columns: Array, use: Array, weights: Array) -> tuple[Array, Array]:
    """Least squares of many responses, each with columns of its own.

    Parameters
    ----------
    columns
        Shape (responses, periods, columns).
    use
        Shape (responses, periods).
    weights
        Weight of each period, shape (periods,).

    Returns
    -------
    coefficients : Array
        Shape (responses, columns).
    squares : Array
        Weighted sums of squared residuals, shape (responses,).
    """
    scale = np.sqrt((weights[:, None] * columns**2).sum(axis=1))
    scale = np.where(scale > 0, scale, 1.0)
    scaled = columns / scale[:, None, :]
    weighted = np.swapaxes(scaled * weights[:, None], 1, 2)
    square = weighted @ scaled + _RIDGE * np.eye(columns.shape[2])
    solved = np.linalg.solve(square, weighted @ use[:, :, None])
    residual = use - (scaled @ solved)[:, :, 0]
    return solved[:, :, 0] / scale, np.asarray((weights * residual**2).sum(axis=1))


def _refine(regression: Regression, use: Array, found: Found, settled_k: float) -> None:
    """Take Gauss-Newton steps from the grid, halved until the squares fall; never uphill."""
    active = np.flatnonzero(~np.isnan(found.change_c[:, 0]))
    found.coefficients[active], found.squares[active] = regression.solved(
        use[active], found.change_c[active]
    )
    damping = np.ones(use.shape[0])
    for _ in range(_STEPS):
        if not active.size:
            return
        step = _step(regression, use[active], found, active) * damping[active, None]
        moved = found.change_c[active] + step
        coefficients, squares = regression.solved(use[active], moved)
        better = (squares < found.squares[active]) & regression.allowed(moved, coefficients)
        into = active[better]
        found.change_c[into] = moved[better]
        found.coefficients[into] = coefficients[better]
        found.squares[into] = squares[better]
        damping[active] = np.where(better, 1.0, damping[active] / 2.0)
        active = active[np.abs(step).max(axis=1) > settled_k]


def _step(regression: Regression, use: Array, found: Found, active: Index) -> Array:
    """Gauss-Newton step of both change points, K, shape (active, 2)."""
    form, seen = regression.form, regression.seen
    change_c = found.change_c[active]
    columns = regression.columns(change_c)
    moving = change_columns(form, seen, change_c, found.coefficients[active])
    both = np.concatenate([columns, moving], axis=2)
    raw = solve_columns(both, use, regression.weights)[0][:, columns.shape[2] :]
    longest = float(np.ptp(seen.mean_c)) / 10.0
    step = np.clip(np.nan_to_num(raw), -longest, longest)
    if form.change_points == 1:
        return np.repeat(step, 2, axis=1)
    crossing = change_c[:, 0] + step[:, 0] > change_c[:, 1] + step[:, 1]
    return np.where(crossing[:, None], 0.0, step)
