"""A performance map from the filled points of a plate; part load enters as added speed curves."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import (
    FULL_SPEED_REACH_K,
    HEATING_WARM_LIMIT_C,
    Frost,
    Function,
    PerformanceMap,
    PiecewiseLinear,
    TablePoint,
    map_from_table,
)
from energymodel.equipment.limits import CARNOT_QUESTIONED, kindest_carnot
from energymodel.ratings.plate.grid import Grid
from energymodel.ratings.plate.input import Level, PlateKind
from energymodel.ratings.plate.shapes import PartLoadShape, RatedSize, parabola
from energymodel.units import c_from_f

ADDED = {"low": 1.0 / 3.0, "middle": 2.0 / 3.0}
"""Speeds added between minimum and rated, as shares of the way: five outputs in all."""
POWER_BELOW = 0.98
"""A guessed power is at most this share of the next speed's (our choice)."""
CAPACITY_BELOW = 0.95
"""At 65 F a speed gives at most this share of the next one (our choice); its COP is kept."""
HIGHEST_HUMP = 1.10
"""A parabola through three efficiencies stays below this multiple of the larger of minimum and
rated (our choice)."""
_COLD_C, _WARM_C = c_from_f(17.0), c_from_f(47.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recipe:
    """What a map is built from.

    Parameters
    ----------
    grid
        Filled points.
    kind
        Kind of unit.
    cd
        Degradation coefficient.
    shape
        Part-load shape; None: a parabola in output through minimum, rated and maximum.
    size
        Size of the unit, for the shape.
    off_c
        Heating: outdoor temperature at which the compressor stops, degC; None: never.
    """

    grid: Grid
    kind: PlateKind
    cd: float
    shape: PartLoadShape | None
    size: RatedSize
    off_c: float | None


@dataclass(slots=True, eq=False)
class _Speeds:
    """Capacity and power by level at common places, W, and which efficiencies are given."""

    outdoor_c: Array
    capacity_w: dict[Level, Array]
    power_w: dict[Level, Array]
    fixed: dict[Level, np.ndarray[tuple[int, ...], np.dtype[np.bool_]]]


def build(recipe: Recipe, multiplier: float) -> PerformanceMap:
    """Build the map of one function.

    Parameters
    ----------
    recipe
        Points and how to fill between them.
    multiplier
        On the power of every point whose efficiency was guessed.

    Returns
    -------
    PerformanceMap
        Heating is steady: frost is not in it. Guessed efficiencies stay below 0.60 of Carnot and
        guessed powers rise with speed; given ones are not touched. Not yet checked.

    Notes
    -----
    Capacity and power are linear in temperature, as the federal procedure takes them (from
    memory). Heating goes on to 65 F with the slope between 17 and 47 F, and the highest speed to
    the cut-out with the slope of its two coldest points.
    """
    speeds = _tabled(recipe, multiplier)
    if recipe.grid.function is Function.HEATING:
        _to_65_f(speeds)
    _powers_in_order(speeds)
    rows = [
        TablePoint(
            speed=recipe.kind.speeds[level],
            outdoor_c=float(t),
            capacity_w=float(q),
            power_w=float(p),
        )
        for level in speeds.capacity_w
        for t, q, p in zip(
            speeds.outdoor_c, speeds.capacity_w[level], speeds.power_w[level], strict=True
        )
    ]
    heats = recipe.grid.function is Function.HEATING
    return map_from_table(
        [*rows, *_added(recipe, speeds), *_to_cut_out(recipe, speeds)],
        function=recipe.grid.function,
        frost=Frost.STEADY if heats else Frost.INCLUDED,
        cd=recipe.cd,
        staging=recipe.kind.staging,
    )


def _tabled(recipe: Recipe, multiplier: float) -> _Speeds:
    grid = recipe.grid
    most = CARNOT_QUESTIONED * kindest_carnot(grid.function, grid.outdoor_c)
    capacity = {level: row.capacity.value.copy() for level, row in grid.rows.items()}
    cop = {
        level: np.where(row.cop.given, row.cop.value, np.minimum(row.cop.value / multiplier, most))
        for level, row in grid.rows.items()
    }
    return _Speeds(
        outdoor_c=grid.outdoor_c,
        capacity_w=capacity,
        power_w={level: capacity[level] / cop[level] for level in capacity},
        fixed={level: row.cop.given for level, row in grid.rows.items()},
    )


def _to_65_f(speeds: _Speeds) -> None:
    """Go on above the warmest place with the slope between 17 and 47 F."""
    warmest = float(speeds.outdoor_c[-1])
    if warmest >= HEATING_WARM_LIMIT_C - 0.5:
        return
    most = CARNOT_QUESTIONED * kindest_carnot(Function.HEATING, np.array([HEATING_WARM_LIMIT_C]))
    above = np.inf
    for level in reversed(speeds.capacity_w):
        ends = []
        for values in (speeds.capacity_w[level], speeds.power_w[level]):
            cold, warm = PiecewiseLinear(speeds.outdoor_c, values)(np.array([_COLD_C, _WARM_C]))
            slope = (warm - cold) / (_WARM_C - _COLD_C)
            beyond = values[-1] + slope * (HEATING_WARM_LIMIT_C - warmest)
            ends.append(float(max(beyond, 0.5 * values[-1])))
        capacity = min(ends[0], CAPACITY_BELOW * above)
        power = max(ends[1] * capacity / ends[0], capacity / float(most[0]))
        speeds.capacity_w[level] = np.append(speeds.capacity_w[level], capacity)
        speeds.power_w[level] = np.append(speeds.power_w[level], power)
        speeds.fixed[level] = np.append(speeds.fixed[level], False)
        above = capacity
    speeds.outdoor_c = np.append(speeds.outdoor_c, HEATING_WARM_LIMIT_C)


def _powers_in_order(speeds: _Speeds) -> None:
    levels = list(speeds.power_w)
    pairs = list(pairwise(levels))
    power, fixed = speeds.power_w, speeds.fixed
    for low, high in pairs:
        raised = np.maximum(power[high], power[low] / POWER_BELOW)
        # a guess above a given power that is itself below gives way
        power[high] = np.where(fixed[high] | ~fixed[low], power[high], raised)
    for low, high in reversed(pairs):
        lowered = np.minimum(power[low], POWER_BELOW * power[high])
        power[low] = np.where(fixed[low], power[low], lowered)


def _added(recipe: Recipe, speeds: _Speeds) -> list[TablePoint]:
    """Curves between minimum and rated speed of an inverter."""
    if Level.MAXIMUM not in recipe.kind.speeds:
        return []
    q_low, q_rated = (speeds.capacity_w[level] for level in (Level.MINIMUM, Level.RATED))
    p_low, p_rated = (speeds.power_w[level] for level in (Level.MINIMUM, Level.RATED))
    points: list[TablePoint] = []
    for name, share in ADDED.items():
        capacity = q_low + share * (q_rated - q_low)
        cop = _between(recipe, speeds, capacity)
        floor, ceiling = (
            p_low + low * (p_rated - p_low) for low in (0.1 * share, 0.9 + 0.1 * share)
        )
        power = np.clip(capacity / cop, floor, ceiling)
        points += [
            TablePoint(speed=name, outdoor_c=float(t), capacity_w=float(q), power_w=float(p))
            for t, q, p in zip(speeds.outdoor_c, capacity, power, strict=True)
        ]
    return points


def _between(recipe: Recipe, speeds: _Speeds, capacity: Array) -> Array:
    """COP at a capacity between minimum and rated."""
    q_low, q_rated = (speeds.capacity_w[level] for level in (Level.MINIMUM, Level.RATED))
    low = q_low / speeds.power_w[Level.MINIMUM]
    rated = q_rated / speeds.power_w[Level.RATED]
    way = (capacity - q_low) / np.maximum(q_rated - q_low, 1e-9)
    line: Array = low + way * (rated - low)
    shape, size = recipe.shape, recipe.size
    if shape is not None:
        at, at_low, at_rated = (
            shape.relative_cop(recipe.grid.function, size, speeds.outdoor_c, q / size.rated_w)
            for q in (capacity, q_low, q_rated)
        )
        scale = (low / at_low) ** (1.0 - way) * (rated / at_rated) ** way
        return at * scale
    if Level.MAXIMUM not in speeds.capacity_w:
        return line
    q_full = speeds.capacity_w[Level.MAXIMUM]
    full = q_full / speeds.power_w[Level.MAXIMUM]
    apart = (q_full > 1.05 * q_rated) & (q_rated > 1.05 * q_low)
    knots = (q_low, np.where(apart, q_rated, q_low + 1.0), np.where(apart, q_full, q_low + 2.0))
    curve = parabola(capacity, knots, (low, rated, full))
    bent = np.clip(curve, np.minimum(low, rated), HIGHEST_HUMP * np.maximum(low, rated))
    return np.where(apart, bent, line)


def _to_cut_out(recipe: Recipe, speeds: _Speeds) -> list[TablePoint]:
    """Highest speed at the cut-out, where that lies beyond the reach of its coldest point."""
    coldest = float(speeds.outdoor_c[0])
    off_c = recipe.off_c
    heats = recipe.grid.function is Function.HEATING
    if not heats or off_c is None or off_c >= coldest - FULL_SPEED_REACH_K:
        return []
    level = list(speeds.capacity_w)[-1]
    at = np.array([off_c])
    capacity, power = (
        max(float(PiecewiseLinear(speeds.outdoor_c, y)(at)[0]), 0.2 * float(y[0]))
        for y in (speeds.capacity_w[level], speeds.power_w[level])
    )
    most = CARNOT_QUESTIONED * float(kindest_carnot(Function.HEATING, at)[0])
    return [
        TablePoint(
            speed=recipe.kind.speeds[level],
            outdoor_c=off_c,
            capacity_w=capacity,
            power_w=max(power, capacity / most),
        )
    ]
