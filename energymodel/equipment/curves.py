"""Performance maps: capacity and power of each speed against outdoor temperature.

Every map is net as rated: power = compressor + both fans + controls; the heat of the indoor fan
is inside the heating capacity and taken out of the cooling capacity.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array, Mask, frozen
from energymodel.equipment.kernel import AirCycling, PartLoadFactor, StagingRule, modulating
from energymodel.errors import EquipmentError
from energymodel.units import c_from_f

Curve: TypeAlias = Callable[[Array], Array]
"""W against outdoor temperature in degC, defined at every temperature."""

FULL_SPEED_REACH_K = 10.0 * 5.0 / 9.0
"""Full speed may go this far below its coldest point before it stops: 10 F (our choice)."""
HEATING_WARM_LIMIT_C = c_from_f(65.0)
COOLING_COLD_LIMIT_C = c_from_f(65.0)


class Function(Enum):
    """What a map or a load is for."""

    HEATING = "heating"
    COOLING = "cooling"


class Frost(Enum):
    """Whether a curve's points already contain the loss by frost and defrost."""

    INCLUDED = "included"
    STEADY = "steady"


@dataclass(frozen=True, slots=True, eq=False)
class PiecewiseLinear:
    """Straight lines through points; the end lines go on beyond the first and the last point.

    Parameters
    ----------
    outdoor_c
        Temperatures of the points, degC, rising, shape (points,).
    value
        Values at the points, shape (points,).

    Examples
    --------
    >>> line = PiecewiseLinear(np.array([0.0, 10.0]), np.array([2.0, 4.0]))
    >>> line(np.array([-5.0, 5.0])).tolist()
    [1.0, 3.0]
    """

    outdoor_c: Array
    value: Array

    def __call__(self, outdoor_c: Array) -> Array:
        """Value at each temperature."""
        if self.outdoor_c.size == 1:
            return np.full_like(outdoor_c, self.value[0])
        segment = np.clip(
            np.searchsorted(self.outdoor_c, outdoor_c, side="right") - 1, 0, self.outdoor_c.size - 2
        )
        slope = np.diff(self.value) / np.diff(self.outdoor_c)
        result: Array = self.value[segment] + slope[segment] * (outdoor_c - self.outdoor_c[segment])
        return result


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpeedCurve:
    """Capacity and power of one speed.

    Parameters
    ----------
    name
        "minimum", "rated", "full", or the maker's word.
    capacity_w, power_w
        Curves against outdoor temperature; raw lines, not limited to the tested range.
    coldest_c, warmest_c
        Range of the tested points, degC.
    frost
        Whether the points contain the frost loss.
    points
        The points the curve was made of: rows of (outdoor degC, capacity W, power W).
    """

    name: str
    capacity_w: Curve
    power_w: Curve
    coldest_c: float
    warmest_c: float
    frost: Frost
    points: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evaluated:
    """A map at given temperatures, with the site's limits on extrapolation.

    Parameters
    ----------
    capacity_w, power_w
        W, shape (speeds, *states).
    available
        Shape (speeds, *states): the speed has data, or a permitted extension, there.
    extrapolated
        Shape of the states: outside the tested range of the full speed and the extension that
        rating procedures make (heating up to 65 F, cooling down to 65 F).
    """

    capacity_w: Array
    power_w: Array
    available: Mask
    extrapolated: Mask


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PerformanceMap:
    """All speeds of a unit for one function, lowest first.

    Parameters
    ----------
    function
        Heating or cooling.
    speeds
        At least one; capacity rises with the speed.
    staging
        Rule between two speeds.
    cycling
        Part-load factor of each speed.
    """

    function: Function
    speeds: tuple[SpeedCurve, ...]
    staging: StagingRule
    cycling: tuple[PartLoadFactor, ...]

    def raw(self, outdoor_c: Array) -> tuple[Array, Array]:
        """Capacity and power of each speed on the raw lines, as rating procedures use them.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        capacity_w, power_w : Array
            Shape (speeds, *states).
        """
        capacity = np.stack([speed.capacity_w(outdoor_c) for speed in self.speeds])
        power = np.stack([speed.power_w(outdoor_c) for speed in self.speeds])
        return capacity, power

    def on_site(self, outdoor_c: Array) -> Evaluated:
        """Capacity and power of each speed with the limits for site runs.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Evaluated
            Heating: a lower speed keeps its ratio to full speed below its coldest point; full
            speed reaches 10 F below its coldest point, then stops; above 65 F, or the warmest
            point if that is warmer, values are held. Cooling: below 65 F, or the coldest point
            if that is colder, values are held.
        """
        if self.function is Function.HEATING:
            return self._heating(outdoor_c)
        return self._cooling(outdoor_c)

    def _heating(self, outdoor_c: Array) -> Evaluated:
        full = self.speeds[-1]
        warm = max(HEATING_WARM_LIMIT_C, full.warmest_c)
        held = np.minimum(outdoor_c, warm)
        capacity, power = self.raw(held)
        for index, speed in enumerate(self.speeds[:-1]):
            cold = held < speed.coldest_c
            if cold.any():
                edge = np.array([speed.coldest_c])
                capacity[index] = np.where(
                    cold,
                    capacity[-1] * speed.capacity_w(edge) / full.capacity_w(edge),
                    capacity[index],
                )
                power[index] = np.where(
                    cold, power[-1] * speed.power_w(edge) / full.power_w(edge), power[index]
                )
        reach = outdoor_c >= full.coldest_c - FULL_SPEED_REACH_K - 1e-9
        available = np.broadcast_to(reach, capacity.shape) & (capacity > 0) & (power > 0)
        outside = (outdoor_c < full.coldest_c) | (outdoor_c > warm)
        return Evaluated(
            capacity_w=capacity, power_w=power, available=available, extrapolated=outside
        )

    def _cooling(self, outdoor_c: Array) -> Evaluated:
        full = self.speeds[-1]
        held = np.stack(
            [
                np.maximum(outdoor_c, min(COOLING_COLD_LIMIT_C, speed.coldest_c))
                for speed in self.speeds
            ]
        )
        capacity = np.stack([s.capacity_w(t) for s, t in zip(self.speeds, held, strict=True)])
        power = np.stack([s.power_w(t) for s, t in zip(self.speeds, held, strict=True)])
        available = (capacity > 0) & (power > 0)
        cold = min(COOLING_COLD_LIMIT_C, full.coldest_c)
        outside = (outdoor_c < cold) | (outdoor_c > full.warmest_c)
        return Evaluated(
            capacity_w=capacity, power_w=power, available=available, extrapolated=outside
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TablePoint:
    """One row of a performance table.

    Parameters
    ----------
    speed
        Name of the speed.
    outdoor_c
        Outdoor dry-bulb temperature, degC.
    capacity_w, power_w
        Net capacity and total power, W.
    """

    speed: str
    outdoor_c: float
    capacity_w: float
    power_w: float


def map_from_table(
    points: Sequence[TablePoint],
    *,
    function: Function,
    frost: Frost,
    cd: float,
    staging: StagingRule = modulating,
) -> PerformanceMap:
    """Build a map from any table of points; capacity and power are linear between them.

    Parameters
    ----------
    points
        Rows in any order; each speed needs one or more temperatures.
    function
        Heating or cooling.
    frost
        Whether the rows contain the frost loss (cooling: any).
    cd
        Degradation coefficient of cycling, all speeds.
    staging
        Rule between two speeds.

    Returns
    -------
    PerformanceMap
        Speeds sorted by mean capacity; checked for possibility by
        :func:`energymodel.equipment.limits.check_map`.

    Raises
    ------
    EquipmentError
        If there are no points, a temperature stands twice for a speed, or a value is not positive.

    Notes
    -----
    Linear in power, not in COP: 10 CFR 430 Subpart B, Appendix M1, section 4 (from memory).
    """
    names = list(dict.fromkeys(point.speed for point in points))
    if not names:
        raise EquipmentError("a performance table without a row", expected="at least one point")
    curves = [_curve(name, [p for p in points if p.speed == name], frost) for name in names]
    middle = float(np.mean([point.outdoor_c for point in points]))
    curves.sort(key=lambda curve: float(curve.capacity_w(np.array([middle]))[0]))
    return PerformanceMap(
        function=function,
        speeds=tuple(curves),
        staging=staging,
        cycling=tuple(AirCycling(cd=cd) for _ in curves),
    )


def _curve(name: str, rows: Sequence[TablePoint], frost: Frost) -> SpeedCurve:
    ordered = sorted(rows, key=lambda row: row.outdoor_c)
    table = frozen([(row.outdoor_c, row.capacity_w, row.power_w) for row in ordered])
    if np.any(np.diff(table[:, 0]) <= 0):
        raise EquipmentError(
            f"speed {name!r} has the same outdoor temperature twice",
            remedy="keep one row per speed and temperature",
        )
    if np.any(~np.isfinite(table)) or np.any(table[:, 1:] <= 0):
        raise EquipmentError(f"speed {name!r} has a capacity or power that is not positive")
    return SpeedCurve(
        name=name,
        capacity_w=PiecewiseLinear(table[:, 0], table[:, 1]),
        power_w=PiecewiseLinear(table[:, 0], table[:, 2]),
        coldest_c=float(table[0, 0]),
        warmest_c=float(table[-1, 0]),
        frost=frost,
        points=table,
    )
