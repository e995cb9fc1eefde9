"""Random plates: whatever is given stays, whatever is guessed is possible, the label is met."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.equipment.limits import CARNOT_QUESTIONED, check_map, kindest_carnot
from energymodel.ratings.plate.calibration import Calibration, calibrate
from energymodel.ratings.plate.facts import facts_of
from energymodel.ratings.plate.input import (
    INVERTER,
    INVERTER_COLD_CLIMATE,
    SINGLE_SPEED,
    TWO_STAGE,
    Level,
    Plate,
    PlateKind,
    PlatePoint,
)
from energymodel.ratings.plate.metrics import Label, Metric
from energymodel.ratings.plate.ratios import Case
from energymodel.ratings.plate.set import PlateSet, plate_set
from energymodel.ratings.plate.shapes import LOW_CAPACITY_COMPRESSOR, ORDINARY
from energymodel.ratings.us.season import cooling_season, heating_season, kernel_rating
from energymodel.ratings.us.seasonal import hspf2, seer2
from energymodel.ratings.us.units import SingleSpeedUnit
from energymodel.units import c_from_f, w_from_btu_h

HEATING, COOLING = Function.HEATING, Function.COOLING


def share(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(min_value=low, max_value=high)


@dataclass(frozen=True)
class Draw:
    """Shorthand for numbers of a random plate."""

    of: st.DrawFn

    def __call__(self, low: float, high: float) -> float:
        return self.of(share(low, high))

    def maybe(self, low: float, high: float) -> float | None:
        return self.of(st.one_of(st.none(), share(low, high)))

    def yes(self) -> bool:
        return self.of(st.booleans())


def point(
    function: Function, level: Level, outdoor_f: float, kbtu_h: float | None, cop: float | None
) -> PlatePoint:
    return PlatePoint(
        function=function,
        level=level,
        outdoor_c=c_from_f(outdoor_f),
        capacity_w=None if kbtu_h is None else w_from_btu_h(1000.0 * kbtu_h),
        cop=cop,
    )


def heating_points(draw: Draw, kind: PlateKind, cooling: float) -> list[PlatePoint]:
    """Some points of a possible unit."""
    q47, cop = cooling * draw(0.95, 1.15), draw(3.1, 4.2)
    points = []
    if draw.yes():
        points.append(point(HEATING, Level.RATED, 47.0, q47, cop if draw.yes() else None))
    if draw.yes():
        q17, cop17 = q47 * draw(0.6, 0.7), cop * draw(0.66, 0.74)
        points.append(point(HEATING, Level.RATED, 17.0, q17, cop17 if draw.yes() else None))
    if kind.ratios.startswith("inverter"):
        if draw.yes():
            q17, cop17 = q47 * draw(0.8, 1.05), draw(2.0, 2.5)
            points.append(point(HEATING, Level.MAXIMUM, 17.0, q17, cop17 if draw.yes() else None))
        if draw.yes():
            points.append(point(HEATING, Level.MINIMUM, 47.0, q47 * draw(0.2, 0.35), None))
    return points


@st.composite
def plates(draw_: st.DrawFn) -> Plate:
    draw = Draw(draw_)
    kind = draw_(st.sampled_from([INVERTER, INVERTER_COLD_CLIMATE, SINGLE_SPEED, TWO_STAGE]))
    inverter = kind.ratios.startswith("inverter")
    cooling = draw(6.0, 60.0)
    eer = draw.maybe(3.2, 3.9)
    points = [point(COOLING, Level.RATED, 95.0, cooling, eer), *heating_points(draw, kind, cooling)]
    hspf2_label = draw(8.0, 11.0) if inverter else draw(6.5, 8.5)
    seer2_label = draw(15.0, 24.0) if inverter else draw(12.5, 16.5)
    return Plate(
        kind=kind,
        points=tuple(points),
        heating_label=Label(metric=Metric.HSPF2, value=hspf2_label),
        cooling_label=Label(metric=Metric.SEER2, value=seer2_label),
        shape=draw_(st.sampled_from([None, ORDINARY, LOW_CAPACITY_COMPRESSOR]))
        if inverter
        else None,
        cd_heating=draw.maybe(0.0, 0.25),
    )


def likely(plate: Plate) -> PlateSet:
    return plate_set(facts_of(plate, Case.LIKELY))


def on_map(performance: PerformanceMap, name: str, outdoor_c: float) -> tuple[float, float]:
    curve = next(one for one in performance.speeds if one.name == name)
    place = np.array([outdoor_c])
    capacity, power = float(curve.capacity_w(place)[0]), float(curve.power_w(place)[0])
    return capacity, capacity / power


RANDOM = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@RANDOM
@given(plate=plates())
def test_the_label_is_met_by_clause_and_by_kernel_or_the_miss_is_known(plate: Plate) -> None:
    one = likely(plate)
    heating, cooling = one.heating_calibration, one.cooling_calibration
    assert heating is not None
    assert cooling is not None
    rating = hspf2(one.unit)
    by_kernel = kernel_rating(heating_season(one.unit)) * rating.defrost_factor
    assert by_kernel == pytest.approx(rating.value_btu_per_wh, rel=1e-9)
    assert rating.value_btu_per_wh == pytest.approx(heating.reached, rel=1e-9)
    assert seer2(one.unit).value_btu_per_wh == pytest.approx(cooling.reached, rel=1e-9)
    if not isinstance(one.unit, SingleSpeedUnit):  # published as a closed form
        assert kernel_rating(cooling_season(one.unit)) == pytest.approx(cooling.reached, rel=1e-9)
    for found in (heating, cooling):
        assert found.met or found.multiplier == 1.0
        assert 0.5 <= found.multiplier <= 2.0


@RANDOM
@given(plate=plates())
def test_given_values_stay_and_the_map_is_possible(plate: Plate) -> None:
    one = likely(plate)
    for performance in (one.mapped.heating, one.mapped.cooling):
        assert performance is not None
        check_map(performance)
        mine = [p for p in plate.points if p.function is performance.function]
        for given_point in mine:
            name = plate.kind.speeds[given_point.level]
            capacity, cop = on_map(performance, name, given_point.outdoor_c)
            if given_point.capacity_w is not None:
                assert capacity == pytest.approx(given_point.capacity_w, rel=1e-9)
            if given_point.cop is not None:
                assert cop == pytest.approx(given_point.cop, rel=1e-9)
        places = performance.speeds[0].points[:, 0]  # the cut-out has the highest speed only
        capacity_w, power_w = performance.raw(places)
        assert np.all(np.diff(capacity_w, axis=0) >= -1e-6)
        assert np.all(np.diff(power_w, axis=0) >= -1e-6)


@RANDOM
@given(plate=plates())
def test_what_was_guessed_stays_away_from_the_second_law_limit(plate: Plate) -> None:
    one = likely(plate)
    for grid, performance in (
        (one.heating_grid, one.mapped.heating),
        (one.cooling_grid, one.mapped.cooling),
    ):
        assert grid is not None
        assert performance is not None
        most = CARNOT_QUESTIONED * kindest_carnot(performance.function, grid.outdoor_c)
        for level, row in grid.rows.items():
            name = plate.kind.speeds[level]
            cops = [on_map(performance, name, float(t))[1] for t in grid.outdoor_c]
            guessed = ~row.cop.given
            assert np.all(np.array(cops)[guessed] <= most[guessed] * (1.0 + 1e-9))


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plate=plates(), factor=share(0.5, 2.0))
def test_a_plate_scaled_in_size_keeps_its_ratings(plate: Plate, factor: float) -> None:
    # true by algebra for maps without a size in them: no part-load shape, no room-unit relation
    assume(plate.kind in (SINGLE_SPEED, TWO_STAGE))
    larger = Plate(
        kind=plate.kind,
        points=tuple(
            PlatePoint(
                function=p.function,
                level=p.level,
                outdoor_c=p.outdoor_c,
                capacity_w=None if p.capacity_w is None else factor * p.capacity_w,
                cop=p.cop,
            )
            for p in plate.points
        ),
        heating_label=plate.heating_label,
        cooling_label=plate.cooling_label,
        cd_heating=plate.cd_heating,
    )
    first, second = likely(plate), likely(larger)
    pairs = (
        (first.heating_calibration, second.heating_calibration),
        (first.cooling_calibration, second.cooling_calibration),
    )
    for one, other in pairs:
        assert one is not None
        assert other is not None
        assert one.multiplier == pytest.approx(other.multiplier, rel=1e-6)


@given(power=share(0.7, 1.6), before=share(8.0, 12.0))
def test_a_rating_that_falls_with_power_finds_its_multiplier(power: float, before: float) -> None:
    label = Label(metric=Metric.HSPF2, value=before / power)
    found = calibrate(lambda m: before / m, label, guesses=True)
    assert found.multiplier == pytest.approx(power, rel=1e-9)
    assert found.met


def test_a_multiplier_far_from_one_is_not_used() -> None:
    label = Label(metric=Metric.HSPF2, value=10.0)
    expected = Calibration(label=label, before=4.0, multiplier=1.0, reached=4.0)
    assert calibrate(lambda m: 4.0 / m, label, guesses=True) == expected
    assert calibrate(lambda m: 4.0, label, guesses=True) == expected
    assert calibrate(lambda m: 4.0 / m, label, guesses=False) == expected
    assert expected.miss == pytest.approx(-0.6)
