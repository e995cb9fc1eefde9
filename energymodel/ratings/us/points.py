"""Points of a unit as the ratings use them, complete with official estimates.

Both ways to a rating start from them: the clauses (`us_cooling`, `us_heating`) and the performance
map (`us_maps`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, NamedTuple, TypeVar

from energymodel.ratings.conditions import TestPoint, needed
from energymodel.ratings.us.degradation import Cd
from energymodel.ratings.us.units import FanPower

LOW_STAGE_BREAK_F = 40.0
"""Below this the low stage of two capacity follows its frost line (section 4.2.3; published in an
old edition)."""

TOUCHING = 1e-9
"""Lines that differ by less than this share of full capacity touch, they do not cross."""


class Rate(NamedTuple):
    """Capacity, Btu/h, and power, W, at one temperature; extrapolated values may be negative."""

    capacity_btu_h: float
    power_w: float


class FrostLine(NamedTuple):
    """Points of a speed at 17, 35 and 47 F, and the optional one at 5 F."""

    at17: Rate
    at35: Rate
    at47: Rate
    at5: Rate | None


class CoolingLine(NamedTuple):
    """Points of a speed at 82 and 95 F."""

    at82: Rate
    at95: Rate


Line = TypeVar("Line", CoolingLine, FrostLine)


@dataclass(frozen=True, slots=True, kw_only=True)
class MinimumAir(Generic[Line]):
    """Minimum air volume of a blower that follows the outdoor temperature.

    Parameters
    ----------
    line
        Points at minimum air volume.
    fan
        Fan power in the tests and against outdoor temperature.
    """

    line: Line
    fan: FanPower


@dataclass(frozen=True, slots=True, kw_only=True)
class SinglePoints(Generic[Line]):
    """Single speed, one function.

    Parameters
    ----------
    full
        Points at full (or the only) air volume.
    minimum
        Points at minimum air volume; None: fixed-speed blower.
    cd
        Degradation coefficients.
    """

    full: Line
    minimum: MinimumAir[Line] | None
    cd: Cd


@dataclass(frozen=True, slots=True, kw_only=True)
class StagedCooling:
    """Two capacity or variable speed in cooling.

    Parameters
    ----------
    low67, low82
        Low stage or minimum speed at 67 and 82 F (F1, B1).
    mid87
        Intermediate speed at 87 F (E_V); None: two capacity.
    full
        High stage or full speed (B2, A2).
    cd
        Degradation coefficients.
    """

    low67: Rate
    low82: Rate
    mid87: Rate | None
    full: CoolingLine
    cd: Cd


@dataclass(frozen=True, slots=True, kw_only=True)
class StagedHeating:
    """Two capacity or variable speed in heating.

    Parameters
    ----------
    low62, low47
        Low stage or minimum speed at 62 and 47 F (H0_1, H1_1).
    low_frost
        Low stage below 40 F; None: variable speed, or low stage never runs there.
    mid35
        Intermediate speed at 35 F (H2_V); None: two capacity.
    full
        High stage or full speed.
    limiting
        The minimum speed rises below 47 F.
    cd
        Degradation coefficients.
    """

    low62: Rate
    low47: Rate
    low_frost: FrostLine | None
    mid35: Rate | None
    full: FrostLine
    limiting: bool
    cd: Cd


def between(outdoor_f: float, cold: tuple[float, Rate], warm: tuple[float, Rate]) -> Rate:
    """Capacity and power on the straight line through two points.

    Parameters
    ----------
    outdoor_f
        Outdoor temperature, degF.
    cold, warm
        Temperature, degF, and rate of the two points.

    Returns
    -------
    Rate
        Inside or outside the two.

    Examples
    --------
    >>> between(92.0, (82.0, Rate(38400.0, 2640.0)), (95.0, Rate(36000.0, 3000.0))).power_w
    2916.923076923077
    """
    (t_cold, y_cold), (t_warm, y_warm) = cold, warm
    share = (outdoor_f - t_cold) / (t_warm - t_cold)
    return Rate(
        y_cold.capacity_btu_h + (y_warm.capacity_btu_h - y_cold.capacity_btu_h) * share,
        y_cold.power_w + (y_warm.power_w - y_cold.power_w) * share,
    )


def frost_estimate(at17: Rate, at47: Rate) -> Rate:
    """Estimate of an untested frost-accumulation point at 35 F.

    Parameters
    ----------
    at17, at47
        The same speed at 17 and 47 F.

    Returns
    -------
    Rate
        0.90 of the interpolated capacity, 0.985 of the interpolated power.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, section 3.6 (from memory; quoted in a state code
    method).

    Examples
    --------
    >>> frost_estimate(Rate(15_000.0, 1600.0), Rate(24_000.0, 1720.0))
    Rate(capacity_btu_h=18360.0, power_w=1646.92)
    """
    dry = between(35.0, (17.0, at17), (47.0, at47))
    return Rate(0.90 * dry.capacity_btu_h, 0.985 * dry.power_w)


def needed_rate(tests: Mapping[str, TestPoint], name: str, purpose: str) -> Rate:
    """Return a test that a rating cannot do without, as a rate.

    Parameters
    ----------
    tests
        Test points by name.
    name
        The test.
    purpose
        What needs it, for the message.

    Returns
    -------
    Rate
        Its capacity and power.
    """
    return rate_of(needed(tests, name, purpose))


def rate_of(point: TestPoint) -> Rate:
    """Return a test point as a rate.

    Parameters
    ----------
    point
        The test point.

    Returns
    -------
    Rate
        Its capacity and power.
    """
    return Rate(point.capacity_btu_h, point.power_w)


def at_fan_power(outdoor_f: float, fan: FanPower, least: Rate, full: Rate) -> Rate:
    """Rate at the fan power that the control sets, sections 4.1.2 and 4.2.2.

    Parameters
    ----------
    outdoor_f
        Outdoor temperature, degF.
    fan
        Fan power in the tests and against outdoor temperature.
    least, full
        Rates at minimum and full air volume at that temperature.

    Returns
    -------
    Rate
        Q1 + (Q2 - Q1)/(FP2 - FP1) (FP(T) - FP1), power likewise.
    """
    fan_w = interpolated(outdoor_f, fan.outdoor_f, fan.power_w)
    return between(fan_w, (fan.minimum_w, least), (fan.full_w, full))


def interpolated(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    """Straight lines through points, held beyond the ends.

    Parameters
    ----------
    x
        Place.
    xs, ys
        Points, `xs` rising.

    Returns
    -------
    float
        Value at `x`.

    Examples
    --------
    >>> interpolated(5.0, (0.0, 10.0), (1.0, 3.0)), interpolated(99.0, (0.0, 10.0), (1.0, 3.0))
    (2.0, 3.0)
    """
    if x <= xs[0]:
        return ys[0]
    for x0, x1, y0, y1 in zip(xs, xs[1:], ys, ys[1:], strict=False):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return ys[-1]
