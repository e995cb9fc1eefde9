"""Frost as a label counts it, put on steady curves; on site the humidity of each hour counts."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment import frost as frost_loss
from energymodel.equipment.curves import Curve, Frost, Function, PerformanceMap, SpeedCurve
from energymodel.ratings.europe.map_declarations import TEST_HUMIDITY_PCT
from energymodel.units import c_from_f

_COLD_C, _TEST_C, _WARM_C = c_from_f(17.0), c_from_f(35.0), c_from_f(45.0)
_CAPACITY_35, _POWER_35 = 0.90, 0.985
"""Frost test over steady values at 35 F, section 3.6 of Appendices M and M1 (from memory; quoted in
a state code method)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Times:
    """A curve times a factor of outdoor temperature."""

    curve: Curve
    factor: Curve

    def __call__(self, outdoor_c: Array) -> Array:
        return self.curve(outdoor_c) * self.factor(outdoor_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class _UsFactor:
    """1 up to 17 F, straight to its value at 35 F and on to 45 F, 1 from there up."""

    at_35_f: float

    def __call__(self, outdoor_c: Array) -> Array:
        line = 1.0 + (self.at_35_f - 1.0) * (outdoor_c - _COLD_C) / (_TEST_C - _COLD_C)
        inside = (outdoor_c > _COLD_C) & (outdoor_c < _WARM_C)
        return np.where(inside, line, 1.0)


def _european_capacity(outdoor_c: Array) -> Array:
    return frost_loss.capacity_factor(outdoor_c, np.full_like(outdoor_c, TEST_HUMIDITY_PCT))


def _european_power(outdoor_c: Array) -> Array:
    return frost_loss.power_factor(_european_capacity(outdoor_c))


def with_us_frost(performance: PerformanceMap) -> PerformanceMap:
    """Put the frost of the US procedures on the steady curves of a map.

    Parameters
    ----------
    performance
        Heating or cooling map; cooling is given back as it is.

    Returns
    -------
    PerformanceMap
        All curves marked as containing frost: capacity x 0.90 and power x 0.985 at 35 F, straight
        lines between 17 and 45 F.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M1, sections 3.6 and 4.2 (from memory).
    """
    return _frosted(performance, _UsFactor(at_35_f=_CAPACITY_35), _UsFactor(at_35_f=_POWER_35))


def with_european_frost(performance: PerformanceMap) -> PerformanceMap:
    """Put the frost of the European tests on the steady curves of a map.

    Parameters
    ----------
    performance
        Heating or cooling map; cooling is given back as it is.

    Returns
    -------
    PerformanceMap
        All curves marked as containing frost, as at 85 % humidity.
    """
    return _frosted(performance, _european_capacity, _european_power)


def _frosted(performance: PerformanceMap, capacity: Curve, power: Curve) -> PerformanceMap:
    if performance.function is Function.COOLING:
        return performance
    return replace(
        performance,
        speeds=tuple(_speed(speed, capacity, power) for speed in performance.speeds),
    )


def _speed(speed: SpeedCurve, capacity: Curve, power: Curve) -> SpeedCurve:
    if speed.frost is Frost.INCLUDED:
        return speed
    return replace(
        speed,
        capacity_w=_Times(curve=speed.capacity_w, factor=capacity),
        power_w=_Times(curve=speed.power_w, factor=power),
        frost=Frost.INCLUDED,
    )
