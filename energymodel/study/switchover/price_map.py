"""Which option is cheapest at which prices of electricity and of a fuel.

Under flat prices the energy of a year does not depend on the prices, so each option's yearly cost
is a plane over the two prices. The cheapest option holds where its plane is lowest: a convex area,
cut out exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Index, frozen
from energymodel.errors import InputError
from energymodel.scenario.prices import ELECTRICITY
from energymodel.study.comparison.linear_cost import LinearCost, PriceAxis, linear_cost, price_axis
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.switchover.left_out import why_left_out

STEPS = 61
REACH = 3.0
"""The map reaches from 0 to three times today's prices by default (our choice)."""
_SAME = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PriceArea:
    """Prices at which one option is cheapest.

    Parameters
    ----------
    option
        Name of the option.
    also
        Options that cost the same everywhere.
    corners
        Corners of the convex area in turn, electricity price first, shape (corners, 2).
    share
        Area over that of the whole map, 0..1.
    """

    option: str
    also: tuple[str, ...]
    corners: Array
    share: float

    @property
    def middle(self) -> tuple[float, float]:
        """Centre of the area."""
        x, y = self.corners.T
        cross = x * np.roll(y, -1) - np.roll(x, -1) * y
        whole = cross.sum() / 2.0
        centre_x = ((x + np.roll(x, -1)) * cross).sum() / (6.0 * whole)
        centre_y = ((y + np.roll(y, -1)) * cross).sum() / (6.0 * whole)
        return float(centre_x), float(centre_y)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PriceBoundary:
    """Prices at which two neighbours on the map cost the same.

    Parameters
    ----------
    first, second
        Names of the options.
    line
        Its ends, electricity price first, shape (2, 2).
    """

    first: str
    second: str
    line: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PriceMap:
    """Cheapest option over the price of electricity and the price of a fuel.

    Parameters
    ----------
    electricity, fuel
        The two prices with their units.
    electricity_prices, fuel_prices
        Grid, rising, shapes (x,) and (y,).
    options
        Names of the options that carry the load.
    cost
        Yearly cost on like services, money, shape (options, y, x).
    cheapest
        Place of the cheapest in `options`, shape (y, x); the first of several that tie.
    areas
        By size, the largest first.
    boundaries
        Between neighbouring areas.
    held
        Other fuels, whose prices stay as they are.
    spread_years
        Years over which the installed cost is spread; None: it is left out.
    """

    electricity: PriceAxis
    fuel: PriceAxis
    electricity_prices: Array
    fuel_prices: Array
    options: tuple[str, ...]
    cost: Array
    cheapest: Index
    areas: tuple[PriceArea, ...]
    boundaries: tuple[PriceBoundary, ...]
    held: tuple[str, ...]
    spread_years: float | None = None

    @property
    def today(self) -> tuple[float, float]:
        """Today's prices: electricity, fuel."""
        return self.electricity.today, self.fuel.today


def map_fuels(comparison: Comparison) -> tuple[str, ...]:
    """Fuels over whose price a map can be drawn.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    tuple of str
        Those that an option uses which carries the load, in the order of the price tables.
    """
    used = {
        carrier
        for outcome in comparison.outcomes
        if outcome.carries
        for carrier in linear_cost(comparison, outcome).units
    }
    return tuple(one for one in comparison.model.prices if one in used and one != ELECTRICITY)


def price_map(
    comparison: Comparison,
    *,
    fuel: str | None = None,
    most: tuple[float, float] | None = None,
    spread_years: float | None = None,
    steps: int = STEPS,
) -> PriceMap:
    """Find the cheapest option over two prices.

    Parameters
    ----------
    comparison
        All options; those that do not carry the load are left out.
    fuel
        Carrier of the second price; None: the first that an option uses.
    most
        Highest price of electricity and of the fuel, per unit of sale; None: three times today's.
        Under a tariff the first is a multiple of all its prices.
    spread_years
        Years over which the installed cost is spread evenly, without interest, and added to the
        yearly cost; None: energy only.
    steps
        Grid points on each axis.

    Returns
    -------
    PriceMap
        Areas and boundaries are exact; the grid is for tables.

    Raises
    ------
    InputError
        If no option uses a fuel, fewer than two options carry the load, or the years or an end of
        the map are not above zero.
    """
    fuels = map_fuels(comparison)
    carrier = fuel or (fuels[0] if fuels else None)
    if carrier is None or carrier not in fuels:
        raise _no_such_map(comparison, carrier, fuels)
    axes = price_axis(comparison, ELECTRICITY), price_axis(comparison, carrier)
    lines = [_line(comparison, one, spread_years) for one in comparison.outcomes if one.carries]
    if len(lines) < 2:
        raise InputError("one option alone carries the load", expected="two or more to compare")
    held = {name: price_axis(comparison, name).today for name in fuels if name != carrier}
    planes = np.array([_plane(line, carrier, held) for line in lines])
    top = _top(axes, most)
    x, y = (np.linspace(0.0, end, steps) for end in top)
    cost = planes[:, :1, None] * x + planes[:, 1:2, None] * y[:, None] + planes[:, 2:, None]
    names = [line.name for line in lines]
    areas = _areas(names, planes, top)
    return PriceMap(
        electricity=axes[0],
        fuel=axes[1],
        electricity_prices=frozen(x),
        fuel_prices=frozen(y),
        options=tuple(names),
        cost=frozen(cost),
        cheapest=np.argmin(cost, axis=0),
        areas=areas,
        boundaries=_boundaries(areas, dict(zip(names, planes, strict=True)), top),
        held=tuple(held),
        spread_years=spread_years,
    )


def _no_such_map(comparison: Comparison, carrier: str | None, fuels: tuple[str, ...]) -> InputError:
    """Name the options that use the fuel and what they lack."""
    lacking = [
        f"{one.name}: {why_left_out(one)}"
        for one in comparison.outcomes
        if not one.carries and _burns(comparison, one, carrier)
    ]
    expected = f"an option that burns {carrier or 'a fuel'} and carries the load"
    if fuels:
        expected = f"one of {', '.join(fuels)}"
    if not lacking:
        return InputError(
            f"no option uses {carrier or 'a fuel'}",
            expected=expected,
            remedy="" if fuels else "leave out what is for the price map",
        )
    return InputError(
        f"every option that uses {carrier or 'a fuel'} is left out of the price map, where all"
        f" carry the load ({'; '.join(lacking)})",
        expected=expected,
        remedy=f"give {'that option' if len(lacking) == 1 else 'one of them'} what it lacks, such"
        " as a larger unit",
    )


def _burns(comparison: Comparison, outcome: Outcome, carrier: str | None) -> bool:
    used = set(linear_cost(comparison, outcome).units) - {ELECTRICITY}
    return bool(used) if carrier is None else carrier in used


def _line(comparison: Comparison, outcome: Outcome, spread_years: float | None) -> LinearCost:
    line = linear_cost(comparison, outcome)
    if spread_years is None:
        return line
    if not (np.isfinite(spread_years) and spread_years > 0):
        raise InputError(f"the cost is spread over {spread_years:g} years", expected="above 0")
    return replace(line, fixed=line.fixed + outcome.first_cost / spread_years)


def _top(
    axes: tuple[PriceAxis, PriceAxis], most: tuple[float, float] | None
) -> tuple[float, float]:
    chosen = most or (REACH * axes[0].today, REACH * axes[1].today)
    for axis, end in zip(axes, chosen, strict=True):
        if not (np.isfinite(end) and end > 0):
            raise InputError(
                f"the map of {axis.name} ends at {end:g}",
                expected="a highest price above zero",
                remedy="give the highest prices of the map where today's price is zero",
            )
    return chosen


def _plane(line: LinearCost, carrier: str, held: dict[str, float]) -> tuple[float, float, float]:
    """Yearly cost per price of electricity, per price of the fuel, and the rest."""
    rest = line.fixed + sum(line.units.get(name, 0.0) * price for name, price in held.items())
    return line.units.get(ELECTRICITY, 0.0), line.units.get(carrier, 0.0), rest


def _areas(names: Sequence[str], planes: Array, top: tuple[float, float]) -> tuple[PriceArea, ...]:
    scale = np.array([*top, 1.0])
    size = float(np.abs(planes * scale).max()) or 1.0
    found: list[PriceArea] = []
    done: set[int] = set()
    for index, plane in enumerate(planes):
        if index in done:
            continue
        alike = np.abs((planes - plane) * scale).max(axis=1) <= _SAME * size
        same = [int(k) for k in np.flatnonzero(alike)]
        done.update(same)
        corners = np.array([[0.0, 0.0], [top[0], 0.0], [top[0], top[1]], [0.0, top[1]]])
        for other in np.flatnonzero(~alike):
            corners = _cut(corners, planes[other] - plane)
        corners = _distinct(corners, top)
        share = _area(corners) / (top[0] * top[1])
        if share > _SAME:
            found.append(
                PriceArea(
                    option=names[index],
                    also=tuple(names[k] for k in same if k != index),
                    corners=frozen(corners),
                    share=share,
                )
            )
    return tuple(sorted(found, key=lambda area: -area.share))


def _cut(corners: Array, plane: Array) -> Array:
    """Keep the part of a convex area where a plane is not negative."""
    if not len(corners):
        return corners
    value = corners @ plane[:2] + plane[2]
    kept: list[Array] = []
    for k, here in enumerate(corners):
        after = (k + 1) % len(corners)
        if value[k] >= 0:
            kept.append(here)
        if (value[k] >= 0) != (value[after] >= 0):
            share = value[k] / (value[k] - value[after])
            kept.append(here + share * (corners[after] - here))
    return np.array(kept).reshape(-1, 2)


def _area(corners: Array) -> float:
    if len(corners) < 3:
        return 0.0
    x, y = corners.T
    return abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2.0


def _boundaries(
    areas: Sequence[PriceArea], planes: dict[str, Array], top: tuple[float, float]
) -> tuple[PriceBoundary, ...]:
    """Edges that two areas share: both ends lie on the line where the two cost the same."""
    found = []
    for k, one in enumerate(areas):
        for other in areas[k + 1 :]:
            plane = planes[one.option] - planes[other.option]
            size = float(np.abs(plane * np.array([*top, 1.0])).max())
            value = one.corners @ plane[:2] + plane[2]
            at = _distinct(one.corners[np.abs(value) <= _SAME * size * 10.0], top)
            if len(at) == 2 and _touches(other, at.mean(axis=0), top):
                found.append(PriceBoundary(first=one.option, second=other.option, line=frozen(at)))
    return tuple(found)


def _distinct(points: Array, top: tuple[float, float]) -> Array:
    _, first = np.unique(np.round(points / np.array(top), 9), axis=0, return_index=True)
    return points[np.sort(first)]


def _touches(area: PriceArea, point: Array, top: tuple[float, float]) -> bool:
    """Whether a point lies on the rim of an area."""
    start = area.corners / np.array(top)
    step = np.roll(start, -1, axis=0) - start
    away = point / np.array(top) - start
    length = (step**2).sum(axis=1)
    along = np.clip((away * step).sum(axis=1) / np.where(length > 0, length, 1.0), 0.0, 1.0)
    gap = away - along[:, np.newaxis] * step
    return bool(np.sqrt((gap**2).sum(axis=1)).min() <= 1e-7)
