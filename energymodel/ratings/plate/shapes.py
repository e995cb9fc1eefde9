"""How efficiency changes with output at one outdoor temperature: part-load shapes of inverters.

A shape says COP at an output over COP at the rated output, at the same outdoor temperature. It
enters a map as added speed curves; the kernel stays linear in COP between curves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Protocol

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function
from energymodel.ratings.plate.ratios import LARGEST_ROOM_UNIT_W

LEAST_LOAD = 0.05
"""The polynomials are not used below this share of the maximum rated output."""
VALID_C = {Function.HEATING: (-15.0, 20.0), Function.COOLING: (20.0, 46.0)}
"""Range of outdoor temperature in which the polynomials are used; held beyond (heating published,
cooling our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedSize:
    """Size of a room unit.

    Parameters
    ----------
    cooling_w
        Rated cooling capacity, W.
    rated_w, maximum_w
        Rated and maximum capacity of the function at hand at its rating temperature (7 or 35
        degC), W.
    """

    cooling_w: float
    rated_w: float
    maximum_w: float


class PartLoadShape(Protocol):
    """COP against output."""

    @property
    def name(self) -> str:
        """Name as printed."""
        ...

    def relative_cop(
        self, function: Function, size: RatedSize, outdoor_c: Array, output: Array
    ) -> Array:
        """COP at an output over COP at the rated output, at the same outdoor temperature.

        Parameters
        ----------
        function
            Heating or cooling.
        size
            Size of the unit.
        outdoor_c
            Outdoor temperature, degC.
        output
            Output over the rated output at 7 degC (heating) or 35 degC (cooling), broadcast
            against `outdoor_c`.

        Returns
        -------
        Array
            Broadcast shape; 1 where the output is 1.
        """
        ...


class _Polynomial(Protocol):
    def __call__(self, function: Function, cooling_w: float) -> Array:
        """Coefficients p, shape (5 powers of x, 3 powers of th), both falling."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class NationalStandardShape:
    """A shape of the national calculation standard for room air conditioners.

    Parameters
    ----------
    name
        As printed.
    polynomial
        Coefficients for a function and a rated cooling capacity.

    Notes
    -----
    Input = f_th(x)/f_rated(1/r) x qH/e, x = output over maximum rated output, r = maximum over
    rated output, so COP(y) over COP(1) at th is y f_th(1/r)/f_th(y/r) with y = output over rated
    output. Coefficients are read at -15 to 20 degC in heating and 20 to 46 degC in cooling, and
    never below x = 0.05.

    References
    ----------
    A national calculation standard for room air conditioners (Japan), chapter 4 section 3
    (published).
    """

    name: str
    polynomial: _Polynomial

    def relative_cop(
        self, function: Function, size: RatedSize, outdoor_c: Array, output: Array
    ) -> Array:
        """COP at an output over COP at the rated output, at the same outdoor temperature.

        Parameters
        ----------
        function
            Heating or cooling.
        size
            Size of the unit.
        outdoor_c
            Outdoor temperature, degC.
        output
            Output over the rated output at 7 degC (heating) or 35 degC (cooling).

        Returns
        -------
        Array
            As :class:`PartLoadShape` says.
        """
        rated_x = size.rated_w / size.maximum_w
        x = np.maximum(output * rated_x, LEAST_LOAD)
        held = np.maximum(output, LEAST_LOAD / rated_x)
        coefficients = self.polynomial(function, size.cooling_w)
        at_rated = _input(coefficients, function, outdoor_c, np.full_like(x, rated_x))
        ratio: Array = held * at_rated / _input(coefficients, function, outdoor_c, x)
        return ratio


def _input(coefficients: Array, function: Function, outdoor_c: Array, x: Array) -> Array:
    """f_th(x) = sum of a_j x^j with a_j = p2 th^2 + p1 th + p0."""
    th = np.clip(outdoor_c, *VALID_C[function])
    a = [np.polyval(row, th) for row in coefficients]
    return sum((a_j * x**j for a_j, j in zip(a, range(4, -1, -1), strict=True)), np.zeros_like(x))


@cache
def _ordinary_table(function: Function) -> Array:
    rows = sorted(
        (r for r in read_table("ratings", "part_load_ordinary.csv") if _is_for(r, function)),
        key=lambda row: -int(row["j"]),
    )
    return frozen([[[float(r[f"{c}{i}"]) for i in (2, 1, 0)] for c in "st"] for r in rows])


def _ordinary(function: Function, cooling_w: float) -> Array:
    table = _ordinary_table(function)
    k = min(cooling_w, LARGEST_ROOM_UNIT_W) / 1000.0
    coefficients: Array = table[:, 0] * k + table[:, 1]
    return coefficients


@cache
def _low_capacity_table(function: Function) -> tuple[Array, Array]:
    rows = [r for r in read_table("ratings", "part_load_low_capacity.csv") if _is_for(r, function)]
    sizes = sorted({float(row["cooling_kw"]) for row in rows})
    by_place = {(int(r["j"]), float(r["cooling_kw"])): r for r in rows}
    table = [
        [[float(by_place[j, size][f"p{i}"]) for size in sizes] for i in (2, 1, 0)]
        for j in range(4, -1, -1)
    ]
    return frozen(sizes), frozen(table)


def _low_capacity(function: Function, cooling_w: float) -> Array:
    sizes, table = _low_capacity_table(function)
    return np.apply_along_axis(
        lambda values: np.interp(cooling_w / 1000.0, sizes, values), 2, table
    )


def _is_for(row: Mapping[str, str], function: Function) -> bool:
    return row["function"] == function.value


ORDINARY = NationalStandardShape(name="ordinary inverter", polynomial=_ordinary)
"""Best at 50 to 75 % of rated output, worse at 25 %."""
LOW_CAPACITY_COMPRESSOR = NationalStandardShape(
    name="low-capacity compressor", polynomial=_low_capacity
)
"""Two-cylinder or variable-displacement compressor: COP still rises down to about 25 %."""


def parabola(
    x: Array, knots: tuple[Array, Array, Array], values: tuple[Array, Array, Array]
) -> Array:
    """Parabola through three points.

    Parameters
    ----------
    x
        Where.
    knots, values
        Places and values of the three points, each of the shape of `x`; the places differ.

    Returns
    -------
    Array
        Same shape.
    """
    x0, x1, x2 = knots
    y0, y1, y2 = values
    return (
        y0 * (x - x1) * (x - x2) / ((x0 - x1) * (x0 - x2))
        + y1 * (x - x0) * (x - x2) / ((x1 - x0) * (x1 - x2))
        + y2 * (x - x0) * (x - x1) / ((x2 - x0) * (x2 - x1))
    )
