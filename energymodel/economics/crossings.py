"""Where a curve changes sign: found on a grid, then halved down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError

Curve: TypeAlias = Callable[[Array], Array]
"""Values of a curve at an array of places, same shape; infinite where nothing runs, never nan."""

_HALVINGS = 50
_JUMP = 1e-3
_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """A place where a curve goes from one sign to the other.

    Parameters
    ----------
    at
        The place.
    below, above
        Places just on either side of a step; both the place itself where the curve meets zero.
    rises
        From negative to positive.
    is_step
        The curve jumps there, as where a unit stops, and is nowhere zero.
    """

    at: float
    below: float
    above: float
    rises: bool
    is_step: bool


def clear_difference(first: Array, second: Array) -> Array:
    """Difference of two costs, 0 where they differ by no more than rounding.

    Parameters
    ----------
    first, second
        Costs, same shape; nowhere infinite in both.

    Returns
    -------
    Array
        First less second; two curves that are the same on paper do not cross all the time.

    Examples
    --------
    >>> clear_difference(np.array([0.3, 2.0]), np.array([0.1 + 0.2, 1.5])).tolist()
    [0.0, 0.5]
    """
    difference = first - second
    size = np.maximum(np.abs(first), np.abs(second))
    same = np.isfinite(size) & (np.abs(difference) <= _ROUNDING * size)
    return np.where(same, 0.0, difference)


def crossings(curve: Curve, grid: Array) -> tuple[Crossing, ...]:
    """Find the sign changes of a curve.

    Parameters
    ----------
    curve
        Called with arrays of places.
    grid
        Places to look at first, rising; two crossings between neighbours escape.

    Returns
    -------
    tuple of Crossing
        In rising order. Touching zero without a change of sign is no crossing; where the curve is
        zero over a stretch between two signs the middle of the stretch is given.

    Raises
    ------
    InputError
        If the curve has no value somewhere.

    Examples
    --------
    >>> found = crossings(lambda x: x * x - 2.0, np.linspace(0.0, 3.0, 7))
    >>> round(found[0].at, 9), found[0].rises, found[0].is_step
    (1.414213562, True, False)
    """
    values = _values(curve, grid)
    signed = np.flatnonzero(values)
    turns = np.flatnonzero(np.diff(np.sign(values[signed])))
    return tuple(
        _crossing(curve, grid, values=values, left=int(left), right=int(right))
        for left, right in zip(signed[turns], signed[turns + 1], strict=True)
    )


def _crossing(curve: Curve, grid: Array, *, values: Array, left: int, right: int) -> Crossing:
    rises = bool(values[right] > 0)
    if right - left > 1:  # the grid itself meets zero, once or over a stretch
        middle = float(grid[left + 1] + grid[right - 1]) / 2.0
        return Crossing(at=middle, below=middle, above=middle, rises=rises, is_step=False)
    low, high = _halved(curve, float(grid[left]), float(grid[right]), rises=rises)
    ends = np.array([values[left], values[right]])
    scale = float(np.abs(ends[np.isfinite(ends)]).max(initial=0.0))
    below, above = _values(curve, np.array([low, high]))
    is_step = not abs(above - below) <= _JUMP * scale
    middle = (low + high) / 2.0
    if not is_step:
        low = high = middle
    return Crossing(at=middle, below=low, above=high, rises=rises, is_step=bool(is_step))


def _values(curve: Curve, at: Array) -> Array:
    values = np.broadcast_to(np.asarray(curve(at), dtype=np.float64), at.shape)
    missing = np.isnan(values)
    if missing.any():
        raise InputError(
            f"the curve has no value at {at[missing][0]:g}",
            expected="a number at every place; infinity where a source does not run",
        )
    return values


def _halved(curve: Curve, low: float, high: float, *, rises: bool) -> tuple[float, float]:
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        value = float(_values(curve, np.array([middle]))[0])
        if value == 0:
            return middle, middle
        if (value > 0) == rises:
            high = middle
        else:
            low = middle
    return low, high
