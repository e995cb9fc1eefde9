"""A speed map for a site from European test points.

A European declared capacity is what the unit gave at the load of the test, not what it could
give. At and below the bivalent temperature (in cooling at 35 degC) that is full output. At milder
points a capacity ratio of 0.9 or more means that the compressor had slowed down to the load; a
lower one that it cycled at its lowest speed. Full output at milder points was never tested.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.equipment.curves import (
    COOLING_COLD_LIMIT_C,
    HEATING_WARM_LIMIT_C,
    Curve,
    Frost,
    Function,
    PerformanceMap,
    PiecewiseLinear,
    SpeedCurve,
)
from energymodel.equipment.kernel import modulating, time_shared
from energymodel.equipment.limits import carnot_cooling, carnot_heating, kindest_carnot
from energymodel.ratings.europe.curve import LoadLine
from energymodel.ratings.europe.points import (
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    HeatingDeclaration,
    PartLoadRules,
    capacity_ratio,
)
from energymodel.ratings.europe.tables import COOLING_DESIGN_C, HeatingSeason

MODULATING_FROM = 0.9
"""Capacity ratio from which a point is a modulating one (our choice)."""
HOTTEST_C = 50.0
"""The cooling lines are laid out to here; they were tested to 35 degC (our choice)."""


class Speed(Enum):
    """Speeds that European points tell of, lowest first."""

    MINIMUM = "minimum"
    MODULATING = "modulating"
    FULL = "full"


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """Capacity and power of one speed at one temperature.

    Parameters
    ----------
    capacity_w, power_w
        W.
    """

    capacity_w: float
    power_w: float

    @property
    def cop(self) -> float:
        """Capacity over power."""
        return self.capacity_w / self.power_w


def heating_site_map(
    declaration: HeatingDeclaration, season: HeatingSeason, rules: PartLoadRules
) -> PerformanceMap:
    """Speed map of a heat pump from its European heating points.

    Parameters
    ----------
    declaration
        Checked test points.
    season
        Climate they were declared for.
    rules
        Their cycling loss is that of the map.

    Returns
    -------
    PerformanceMap
        Fixed speed: one speed through all points. Otherwise minimum, modulating and full as far
        as the points tell of them.

    Notes
    -----
    Our choices where nothing was tested: above the bivalent temperature full output is that at
    the bivalent temperature, or the declared capacity if larger; its COP rises with the ideal
    COP at the wide approaches of full speed, never above the declared one. The minimum speed
    keeps its ratio to full speed in capacity and power, never above the capacity or below the
    COP of the next speed, and not closer to the ideal COP than where it was tested. Where only
    the minimum speed is known, the modulating one lies on the straight COP line between minimum
    and full. Beyond the mildest point the values are held. Capacity and COP are linear in
    between, as the standard interpolates them.
    """
    line = LoadLine(design_load_w=declaration.design_load_w, design_c=season.design_c)
    ordered = sorted(declaration.points, key=lambda point: point.outdoor_c)
    layout = _Layout(
        function=Function.HEATING,
        points=tuple(p for p in ordered if p.outdoor_c >= declaration.bivalent_c),
        beyond=tuple(p for p in ordered if p.outdoor_c < declaration.bivalent_c),
        load_w=line,
        mild_end_c=HEATING_WARM_LIMIT_C,
    )
    return _site_map(layout, declaration.control, rules)


def cooling_site_map(declaration: CoolingDeclaration, rules: PartLoadRules) -> PerformanceMap:
    """Speed map of an air conditioner from its European cooling points.

    Parameters
    ----------
    declaration
        Checked test points.
    rules
        Their cycling loss is that of the map.

    Returns
    -------
    PerformanceMap
        As in heating, with point A (35 degC) as the full output and below it as the mild side.
        Above 35 degC capacities are held and EERs fall with the ideal one.
    """
    ordered = sorted(declaration.points, key=lambda point: -point.outdoor_c)
    layout = _Layout(
        function=Function.COOLING,
        points=tuple(ordered),
        beyond=(),
        load_w=LoadLine(design_load_w=declaration.design_load_w, design_c=COOLING_DESIGN_C),
        mild_end_c=COOLING_COLD_LIMIT_C,
    )
    return _site_map(layout, declaration.control, rules)


def _full_ideal(function: Function, outdoor_c: float) -> float:
    """Ideal COP at the wide approaches of full speed."""
    at = np.array([outdoor_c])
    if function is Function.HEATING:
        return float(carnot_heating(at, condenser_k=20.0, evaporator_k=10.0)[0])
    return float(carnot_cooling(at, condenser_k=15.0, evaporator_k=18.0)[0])


def _slow_ideal(function: Function, outdoor_c: float) -> float:
    """Ideal COP at the closest approaches, those of the lowest speed."""
    return float(kindest_carnot(function, np.array([outdoor_c]))[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Layout:
    """Points of one function: `points` from full output towards mild weather, `beyond` harsher."""

    function: Function
    points: tuple[DeclaredPoint, ...]
    beyond: tuple[DeclaredPoint, ...]
    load_w: Curve
    mild_end_c: float

    def speed_at(self, point: DeclaredPoint) -> Speed:
        """Speed at which the point was taken."""
        if point in self.beyond or point is self.points[0]:
            return Speed.FULL
        load = float(self.load_w(np.array(point.outdoor_c)))
        slowed = capacity_ratio(load, point.capacity_w) >= MODULATING_FROM
        return Speed.MODULATING if slowed else Speed.MINIMUM


@dataclass(frozen=True, slots=True, kw_only=True)
class _PowerByCop:
    """Power from a capacity and a COP line."""

    capacity_w: Curve
    cop: Curve

    def __call__(self, outdoor_c: Array) -> Array:
        return self.capacity_w(outdoor_c) / self.cop(outdoor_c)


_Rungs = dict[Speed, Output]
_Column = tuple[float, _Rungs]


def _site_map(layout: _Layout, control: Control, rules: PartLoadRules) -> PerformanceMap:
    if control is Control.FIXED:
        table = [(p.outdoor_c, {Speed.FULL: _declared(p)}) for p in layout.beyond + layout.points]
    else:
        table = _columns(layout)
    given = [point.outdoor_c for point in layout.beyond + layout.points]
    present = [speed for speed in Speed if speed in table[0][1]]
    return PerformanceMap(
        function=layout.function,
        speeds=tuple(_speed_curve(speed, table, given) for speed in present),
        staging=time_shared if control is Control.STAGED else modulating,
        cycling=tuple(rules.degradation.cycling() for _ in present),
    )


def _speed_curve(speed: Speed, table: Sequence[_Column], given: Sequence[float]) -> SpeedCurve:
    rows = sorted((t, rungs[speed].capacity_w, rungs[speed].power_w) for t, rungs in table)
    points = frozen(rows)
    capacity = PiecewiseLinear(points[:, 0], points[:, 1])
    return SpeedCurve(
        name=speed.value,
        capacity_w=capacity,
        power_w=_PowerByCop(
            capacity_w=capacity,
            cop=PiecewiseLinear(points[:, 0], points[:, 1] / points[:, 2]),
        ),
        coldest_c=min(given),
        warmest_c=max(given),
        frost=Frost.INCLUDED,
        points=frozen([row for row in rows if min(given) <= row[0] <= max(given)]),
    )


def _columns(layout: _Layout) -> list[_Column]:
    """All speeds at every temperature, so that they keep their order between them too."""
    fulls = _full_outputs(layout)
    speeds = {point: layout.speed_at(point) for point in layout.beyond + layout.points}
    lowest = _first(Speed.MINIMUM, layout.points, speeds)
    slowed = _first(Speed.MODULATING, layout.points[::-1], speeds)
    table: list[_Column] = []
    for point, speed in speeds.items():
        rungs = {Speed.FULL: fulls[point]}
        if slowed:
            share = slowed.capacity_w / fulls[slowed].capacity_w
            rungs[Speed.MODULATING] = _modulating(point, speed, share, fulls[point])
        if lowest:
            kept = _kept_minimum(layout.function, lowest, fulls[lowest], (point, fulls[point]))
            rungs[Speed.MINIMUM] = _minimum(point, speed, kept, rungs)
        table.append((point.outdoor_c, rungs))
    table.append((layout.mild_end_c, table[-1][1]))
    if layout.function is Function.COOLING:
        table.append(_hottest(table[0]))
    return table


def _full_outputs(layout: _Layout) -> dict[DeclaredPoint, Output]:
    anchor = layout.points[0]
    fulls = {point: _declared(point) for point in (*layout.beyond, anchor)}
    ideal = _full_ideal(layout.function, anchor.outdoor_c)
    capacity = anchor.capacity_w
    for point in layout.points[1:]:
        capacity = max(capacity, point.capacity_w)
        gain = _full_ideal(layout.function, point.outdoor_c) / ideal
        fulls[point] = _output(capacity, min(anchor.cop * gain, point.cop))
    return fulls


def _first(
    wanted: Speed, points: Sequence[DeclaredPoint], speeds: dict[DeclaredPoint, Speed]
) -> DeclaredPoint | None:
    """First of the points that was taken at a speed; None if there is none."""
    return next((point for point in points if speeds[point] is wanted), None)


def _modulating(point: DeclaredPoint, speed: Speed, share: float, full: Output) -> Output:
    if speed is Speed.FULL:
        return full
    capacity = min(share * full.capacity_w, full.capacity_w)
    if speed is Speed.MODULATING or capacity <= point.capacity_w:
        return _declared(point)
    place = (capacity - point.capacity_w) / (full.capacity_w - point.capacity_w)
    return _output(capacity, point.cop + place * (full.cop - point.cop))


def _kept_minimum(
    function: Function,
    lowest: DeclaredPoint,
    full_there: Output,
    wanted: tuple[DeclaredPoint, Output],
) -> Output:
    """Lowest speed elsewhere: its ratio to full speed, no closer to the ideal COP than tested."""
    point, full = wanted
    capacity = lowest.capacity_w / full_there.capacity_w * full.capacity_w
    slow = _slow_ideal(function, point.outdoor_c) / _slow_ideal(function, lowest.outdoor_c)
    return _output(capacity, lowest.cop * min(full.cop / full_there.cop, slow))


def _minimum(point: DeclaredPoint, speed: Speed, kept: Output, rungs: _Rungs) -> Output:
    if speed is Speed.MINIMUM:
        return _declared(point)
    above = rungs.get(Speed.MODULATING, rungs[Speed.FULL])
    if kept.capacity_w >= above.capacity_w:
        return above
    return _output(kept.capacity_w, max(kept.cop, above.cop))


def _hottest(last: _Column) -> _Column:
    """Speeds at the hot end: capacities held, all EERs fallen with the ideal one."""
    place, rungs = last
    fall = _full_ideal(Function.COOLING, HOTTEST_C) / _full_ideal(Function.COOLING, place)
    return HOTTEST_C, {
        speed: Output(capacity_w=rung.capacity_w, power_w=rung.power_w / fall)
        for speed, rung in rungs.items()
    }


def _declared(point: DeclaredPoint) -> Output:
    return _output(point.capacity_w, point.cop)


def _output(capacity_w: float, cop: float) -> Output:
    return Output(capacity_w=capacity_w, power_w=capacity_w / cop)
