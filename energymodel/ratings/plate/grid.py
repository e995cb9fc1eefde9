"""Speeds by temperatures of a plate: what is given stays, what is missing follows a template."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from energymodel.arrays import Array, Mask, frozen
from energymodel.equipment.curves import Function, PiecewiseLinear
from energymodel.ratings.plate.input import SAME_K, Level, PlatePoint

_SMALLEST = 0.05
"""A template never falls below this share of its largest value, wherever it is read."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Template:
    """Usual capacity and efficiency of one speed.

    Parameters
    ----------
    outdoor_c
        Temperatures, degC, rising, shape (places,).
    capacity_w, cop
        Values there, shape (places,).
    capacity_source, cop_source
        Where each of them comes from.
    """

    outdoor_c: Array
    capacity_w: Array
    cop: Array
    capacity_source: tuple[str, ...]
    cop_source: tuple[str, ...]

    def at(self, outdoor_c: Array) -> tuple[Array, Array]:
        """Read the template at any temperature.

        Parameters
        ----------
        outdoor_c
            Temperatures, degC.

        Returns
        -------
        capacity_w, cop : Array
            Capacity and power are linear; the end lines go on beyond the ends.
        """
        power = self.capacity_w / self.cop
        capacity, power_w = (
            np.maximum(PiecewiseLinear(self.outdoor_c, y)(outdoor_c), _SMALLEST * y.max())
            for y in (self.capacity_w, power)
        )
        return capacity, capacity / power_w

    def nearest(self, outdoor_c: float) -> int:
        """Index of the nearest place.

        Parameters
        ----------
        outdoor_c
            Temperature, degC.

        Returns
        -------
        int
            Where the source of a value is found.
        """
        return int(np.argmin(np.abs(self.outdoor_c - outdoor_c)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Quantity:
    """Capacities, or efficiencies, of one speed.

    Parameters
    ----------
    value
        Shape (places,).
    given
        Which of them stand on the plate.
    source
        Where each comes from.
    """

    value: Array
    given: Mask
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpeedRow:
    """One speed at all places of a grid.

    Parameters
    ----------
    capacity
        W.
    cop
        COP, in cooling EER in W/W.
    """

    capacity: Quantity
    cop: Quantity


def row_at(row: SpeedRow, outdoor_c: Array, wanted_c: Array) -> tuple[Array, Array]:
    """Read a filled speed at other temperatures.

    Parameters
    ----------
    row
        The speed.
    outdoor_c
        Its places, degC.
    wanted_c
        Where it is read, degC.

    Returns
    -------
    capacity_w, cop : Array
        Shape of `wanted_c`.
    """
    as_template = Template(
        outdoor_c=outdoor_c,
        capacity_w=row.capacity.value,
        cop=row.cop.value,
        capacity_source=row.capacity.source,
        cop_source=row.cop.source,
    )
    return as_template.at(wanted_c)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Grid:
    """All speeds of one function.

    Parameters
    ----------
    function
        Heating or cooling.
    outdoor_c
        Places, degC, rising.
    rows
        Speeds by level.
    """

    function: Function
    outdoor_c: Array
    rows: Mapping[Level, SpeedRow]

    @property
    def guesses(self) -> bool:
        """Whether any efficiency was guessed, so that a multiplier has something to act on."""
        return any(not row.cop.given.all() for row in self.rows.values())


def places(usual_c: Sequence[float], points: Sequence[PlatePoint]) -> Array:
    """Temperatures of a grid: the usual ones and those of the plate.

    Parameters
    ----------
    usual_c
        Temperatures the ratios are for, degC.
    points
        Points of the function.

    Returns
    -------
    Array
        Rising, degC; a given temperature takes the place of a usual one close by.
    """
    mine: list[float] = []
    for place in sorted(point.outdoor_c for point in points):
        if not mine or place - mine[-1] > SAME_K:
            mine.append(place)
    usual = [t for t in usual_c if all(abs(t - place) > SAME_K for place in mine)]
    return frozen(sorted([*mine, *usual]))


def filled(points: Sequence[PlatePoint], template: Template, outdoor_c: Array) -> SpeedRow:
    """Fill a speed: given values stay, the template is scaled to them.

    Parameters
    ----------
    points
        Points of this speed.
    template
        Usual values.
    outdoor_c
        Places of the grid, degC.

    Returns
    -------
    SpeedRow
        Where nothing is given the template stands as it is; else it is multiplied by given over
        usual, linear in temperature between the given points and held beyond them.
    """
    capacity, cop = template.at(outdoor_c)
    return SpeedRow(
        capacity=_quantity(
            [(point.outdoor_c, point.capacity_w) for point in points],
            capacity,
            outdoor_c,
            _sources(template, template.capacity_source, outdoor_c),
        ),
        cop=_quantity(
            [(point.outdoor_c, point.cop) for point in points],
            cop,
            outdoor_c,
            _sources(template, template.cop_source, outdoor_c),
        ),
    )


def _sources(template: Template, sources: tuple[str, ...], outdoor_c: Array) -> list[str]:
    return [sources[template.nearest(float(t))] for t in outdoor_c]


def _quantity(
    points: Sequence[tuple[float, float | None]],
    usual: Array,
    outdoor_c: Array,
    sources: list[str],
) -> Quantity:
    known = {
        int(np.argmin(np.abs(outdoor_c - place))): value
        for place, value in points
        if value is not None
    }
    given = np.zeros(outdoor_c.size, dtype=bool)
    value = usual.copy()
    if known:
        at = sorted(known)
        ratio = [known[index] / usual[index] for index in at]
        value = usual * np.interp(outdoor_c, outdoor_c[at], ratio)
        for index in at:
            value[index], given[index] = known[index], True
    return Quantity(value=frozen(value), given=given, source=tuple(sources))


def in_order(rows: Mapping[Level, SpeedRow]) -> dict[Level, SpeedRow]:
    """Bring guessed capacities into the order of the speeds; given ones are left alone.

    Parameters
    ----------
    rows
        Speeds by level, lowest first.

    Returns
    -------
    dict
        The same with guessed capacities between those of their neighbours.
    """
    values = {level: row.capacity.value.copy() for level, row in rows.items()}
    given = {level: row.capacity.given for level, row in rows.items()}
    levels = list(rows)
    for low, high in pairwise(levels):
        values[high] = np.where(given[high], values[high], np.maximum(values[high], values[low]))
    for low, high in reversed(list(pairwise(levels))):
        below = values[high] * (MINIMUM_BELOW if low is Level.MINIMUM else 1.0)
        values[low] = np.where(given[low], values[low], np.minimum(values[low], below))
    return {level: _with_capacity(row, values[level]) for level, row in rows.items()}


MINIMUM_BELOW = 0.9
"""A guessed minimum is at most this share of the next speed (our choice)."""


def _with_capacity(row: SpeedRow, value: Array) -> SpeedRow:
    old = row.capacity
    capacity = Quantity(value=frozen(value), given=old.given, source=old.source)
    return SpeedRow(capacity=capacity, cop=row.cop)
