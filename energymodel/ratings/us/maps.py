"""The performance map behind a US rating: the procedures' own lines as speed curves.

The curves keep the raw lines, with the jump of the frost lines at 45 F. This is the second way to
a rating, apart from the clauses of `us_cooling` and `us_heating`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.equipment.curves import Frost, Function, PerformanceMap, SpeedCurve
from energymodel.equipment.kernel import AirCycling, modulating, time_shared
from energymodel.ratings.us.cooling_points import (
    single_cooling,
    two_capacity_cooling,
    variable_cooling,
)
from energymodel.ratings.us.curves import BrokenLine, FanBlend
from energymodel.ratings.us.degradation import Cd, Findings
from energymodel.ratings.us.editions import M1, BelowFiveF, Edition, LimitingReference
from energymodel.ratings.us.heating_points import (
    single_heating,
    two_capacity_heating,
    variable_heating,
)
from energymodel.ratings.us.points import (
    CoolingLine,
    FrostLine,
    Rate,
    SinglePoints,
    StagedCooling,
    StagedHeating,
)
from energymodel.ratings.us.units import (
    FanPower,
    SingleSpeedUnit,
    TwoCapacityUnit,
    UsUnit,
    VariableSpeedUnit,
)
from energymodel.units import BTU_PER_WH, c_from_f


class _Knot(NamedTuple):
    """A point in degC and W."""

    outdoor_c: float
    values: Array


class _Piece(NamedTuple):
    """A line through a knot with slopes per kelvin, valid from an edge up."""

    from_c: float
    knot: _Knot
    slopes: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """Turns the procedures' Btu/h into W by a given number of Btu per Wh."""

    btu_per_wh: float

    def knot(self, outdoor_f: float, rate: Rate) -> _Knot:
        values = np.array([rate.capacity_btu_h / self.btu_per_wh, rate.power_w])
        return _Knot(c_from_f(outdoor_f), values)


def _slopes(cold: _Knot, warm: _Knot) -> Array:
    rise: Array = warm.values - cold.values
    return rise / (warm.outdoor_c - cold.outdoor_c)


def _line(from_c: float, cold: _Knot, warm: _Knot) -> _Piece:
    return _Piece(from_c, cold, _slopes(cold, warm))


def _curves(pieces: Sequence[_Piece]) -> tuple[BrokenLine, BrokenLine]:
    """Capacity and power as broken lines; pieces from cold to warm, the first open below."""
    capacity, power = (
        BrokenLine(
            edges_c=frozen([piece.from_c for piece in pieces[1:]]),
            anchor_c=frozen([piece.knot.outdoor_c for piece in pieces]),
            anchor_value=frozen([piece.knot.values[i] for piece in pieces]),
            slope_per_k=frozen([piece.slopes[i] for piece in pieces]),
        )
        for i in (0, 1)
    )
    return capacity, power


def _speed(name: str, pieces: Sequence[_Piece], knots: Sequence[_Knot]) -> SpeedCurve:
    """Frost is always included.

    Curves through a 35 F point contain it. A minimum speed tested at 47 and 62 F has none there,
    and below its coldest point the site keeps its ratio to full speed, which contains it.
    """
    capacity, power = _curves(pieces)
    points = frozen([(knot.outdoor_c, *knot.values) for knot in knots])
    return SpeedCurve(
        name=name,
        capacity_w=capacity,
        power_w=power,
        coldest_c=float(points[0, 0]),
        warmest_c=float(points[-1, 0]),
        frost=Frost.INCLUDED,
        points=points,
    )


_OPEN = -np.inf
_FROST_EDGE_C = c_from_f(45.0)


def _frost_speed(name: str, line: FrostLine, below: BelowFiveF, scale: _Scale) -> SpeedCurve:
    """Line 17-47 above 45 F and up to 17 F, line 17-35 between; a 5 F point bends the cold end."""
    at17, at35, at47 = (
        scale.knot(t, rate) for t, rate in ((17.0, line.at17), (35.0, line.at35), (47.0, line.at47))
    )
    dry = _slopes(at17, at47)
    knots = [at17, at35, at47]
    cold = [_Piece(_OPEN, at17, dry)]
    if line.at5 is not None:
        at5 = scale.knot(5.0, line.at5)
        knots = [at5, *knots]
        outer = _slopes(at5, at17) if below is BelowFiveF.SLOPE_5_17 else dry
        cold = [_Piece(_OPEN, at5, outer), _line(at5.outdoor_c, at5, at17)]
    pieces = [
        *cold,
        _line(at17.outdoor_c, at17, at35),
        _Piece(_FROST_EDGE_C, at47, dry),
    ]
    return _speed(name, pieces, knots)


def _cooling_speed(name: str, line: CoolingLine, scale: _Scale) -> SpeedCurve:
    knots = [scale.knot(82.0, line.at82), scale.knot(95.0, line.at95)]
    return _speed(name, [_line(_OPEN, *knots)], knots)


def _fan_share(fan: FanPower) -> tuple[Array, Array]:
    power = np.array(fan.power_w)
    share = (power - fan.minimum_w) / (fan.full_w - fan.minimum_w)
    return frozen(c_from_f(np.array(fan.outdoor_f))), frozen(share)


def _with_fan(full: SpeedCurve, least: SpeedCurve, fan: FanPower) -> SpeedCurve:
    share_c, share = _fan_share(fan)
    capacity, power = (
        FanBlend(least=low, full=high, share_c=share_c, share=share)
        for low, high in (
            (least.capacity_w, full.capacity_w),
            (least.power_w, full.power_w),
        )
    )
    outdoor_c = full.points[:, 0]
    return SpeedCurve(
        name=full.name,
        capacity_w=capacity,
        power_w=power,
        coldest_c=full.coldest_c,
        warmest_c=full.warmest_c,
        frost=full.frost,
        points=frozen(np.column_stack([outdoor_c, capacity(outdoor_c), power(outdoor_c)])),
    )


def _single_cooling(points: SinglePoints[CoolingLine], scale: _Scale) -> tuple[SpeedCurve, ...]:
    full = _cooling_speed("full", points.full, scale)
    if points.minimum is None:
        return (full,)
    least = _cooling_speed("full", points.minimum.line, scale)
    return (_with_fan(full, least, points.minimum.fan),)


def _single_heating(
    points: SinglePoints[FrostLine], below: BelowFiveF, scale: _Scale
) -> tuple[SpeedCurve, ...]:
    full = _frost_speed("full", points.full, below, scale)
    if points.minimum is None:
        return (full,)
    least = _frost_speed("full", points.minimum.line, below, scale)
    return (_with_fan(full, least, points.minimum.fan),)


def _staged_cooling(points: StagedCooling, scale: _Scale) -> tuple[SpeedCurve, ...]:
    low = [scale.knot(67.0, points.low67), scale.knot(82.0, points.low82)]
    if points.mid87 is None:
        low_stage = _speed("low stage", [_line(_OPEN, *low)], low)
        return low_stage, _cooling_speed("high stage", points.full, scale)
    minimum = _speed("minimum", [_line(_OPEN, *low)], low)
    full = _cooling_speed("full", points.full, scale)
    mid = scale.knot(87.0, points.mid87)
    high = [scale.knot(82.0, points.full.at82), scale.knot(95.0, points.full.at95)]
    slopes = _blended(mid, (minimum, _slopes(*low)), (full, _slopes(*high)))
    return minimum, _speed("intermediate", [_Piece(_OPEN, mid, slopes)], [mid]), full


def _blended(mid: _Knot, low: tuple[SpeedCurve, Array], full: tuple[SpeedCurve, Array]) -> Array:
    """Slopes of the intermediate line: those of its neighbours, weighted by where it lies."""
    place = np.array([mid.outdoor_c])
    below = np.array([low[0].capacity_w(place)[0], low[0].power_w(place)[0]])
    above = np.array([full[0].capacity_w(place)[0], full[0].power_w(place)[0]])
    weight = (mid.values - below) / (above - below)
    slopes: Array = (1.0 - weight) * low[1] + weight * full[1]
    return slopes


def _two_capacity_heating(
    points: StagedHeating, below: BelowFiveF, scale: _Scale
) -> tuple[SpeedCurve, ...]:
    at47, at62 = scale.knot(47.0, points.low47), scale.knot(62.0, points.low62)
    pieces = [_line(_OPEN, at47, at62)]
    knots = [at47, at62]
    if points.low_frost is not None:
        at17, at35 = (
            scale.knot(17.0, points.low_frost.at17),
            scale.knot(35.0, points.low_frost.at35),
        )
        pieces = [
            _line(_OPEN, at17, at47),
            _line(at17.outdoor_c, at17, at35),
            _line(c_from_f(40.0), at47, at62),
        ]
        knots = [at17, at35, *knots]
    high = _frost_speed("high stage", points.full, below, scale)
    return _speed("low stage", pieces, knots), high


def _variable_heating(
    points: StagedHeating, edition: Edition, scale: _Scale
) -> tuple[SpeedCurve, ...]:
    at47, at62 = scale.knot(47.0, points.low47), scale.knot(62.0, points.low62)
    mid = scale.knot(35.0, points.mid35 or points.full.at35)
    full = _frost_speed("full", points.full, _below(edition), scale)
    steady = _speed("minimum", [_line(_OPEN, at47, at62)], [at47, at62])
    raised = _speed("minimum", [_line(_OPEN, mid, at47)], [mid, at47])
    by_47 = edition.minimum_speed_limiting is not LimitingReference.LINE_35_47
    reference = steady if by_47 or not points.limiting else raised
    cold = _slopes(scale.knot(17.0, points.full.at17), scale.knot(35.0, points.full.at35))
    slopes = _blended(mid, (reference, _slopes(at47, at62)), (full, cold))
    intermediate = _Piece(_OPEN, mid, slopes)
    minimum = steady
    if points.limiting:
        pieces = [intermediate, _line(mid.outdoor_c, mid, at47), _line(at47.outdoor_c, at47, at62)]
        minimum = _speed("minimum", pieces, [mid, at47, at62])
    return minimum, _speed("intermediate", [intermediate], [mid]), full


def _below(edition: Edition) -> BelowFiveF:
    return edition.five_f.below if edition.five_f else BelowFiveF.SLOPE_17_47


def cooling_map(
    unit: UsUnit, *, edition: Edition = M1, btu_per_wh: float = BTU_PER_WH
) -> PerformanceMap:
    """Build the cooling map of a unit from its test points.

    Parameters
    ----------
    unit
        The unit.
    edition
        The procedure whose lines the map follows.
    btu_per_wh
        Btu per Wh; a rating takes the edition's, a site run the exact one.

    Returns
    -------
    PerformanceMap
        One, two or three speeds with the raw lines of section 4.1.

    Raises
    ------
    EquipmentError
        If a test is missing or cannot be true beside another one.
    """
    scale = _Scale(btu_per_wh=btu_per_wh)
    findings = Findings()
    match unit:
        case SingleSpeedUnit():
            single = single_cooling(unit, edition, findings)
            return _map(Function.COOLING, _single_cooling(single, scale), single.cd)
        case TwoCapacityUnit():
            staged = two_capacity_cooling(unit, edition, findings)
        case VariableSpeedUnit():
            staged = variable_cooling(unit, edition, findings)
    return _map(Function.COOLING, _staged_cooling(staged, scale), staged.cd)


def heating_map(
    unit: UsUnit, *, edition: Edition = M1, btu_per_wh: float = BTU_PER_WH
) -> PerformanceMap:
    """Build the heating map of a unit from its test points.

    Parameters
    ----------
    unit
        The unit.
    edition
        The procedure whose lines the map follows.
    btu_per_wh
        Btu per Wh; a rating takes the edition's, a site run the exact one.

    Returns
    -------
    PerformanceMap
        One, two or three speeds with the raw lines of section 4.2; frost is included.

    Raises
    ------
    EquipmentError
        If a test is missing or cannot be true beside another one.
    """
    scale = _Scale(btu_per_wh=btu_per_wh)
    findings = Findings()
    below = _below(edition)
    match unit:
        case SingleSpeedUnit():
            single = single_heating(unit, edition, findings)
            return _map(Function.HEATING, _single_heating(single, below, scale), single.cd)
        case TwoCapacityUnit():
            staged = two_capacity_heating(unit, edition, findings)
            speeds = _two_capacity_heating(staged, below, scale)
        case VariableSpeedUnit():
            staged = variable_heating(unit, edition, findings)
            speeds = _variable_heating(staged, edition, scale)
    return _map(Function.HEATING, speeds, staged.cd)


def _map(function: Function, speeds: tuple[SpeedCurve, ...], cd: Cd) -> PerformanceMap:
    factors = (cd.low, *(cd.full for _ in speeds[1:]))
    return PerformanceMap(
        function=function,
        speeds=speeds,
        staging=time_shared if len(speeds) == 2 else modulating,
        cycling=tuple(AirCycling(cd=one) for one in factors),
    )
