"""Site map from European test points: what each point says, and the map rule's share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.equipment.curves import Frost, PerformanceMap
from energymodel.equipment.kernel import modulating, time_shared
from energymodel.equipment.limits import check_map
from energymodel.ratings.europe.curve import heating_curve
from energymodel.ratings.europe.map import cooling_site_map, heating_site_map
from energymodel.ratings.europe.map_rule import cooling_map_rule, heating_map_rule
from energymodel.ratings.europe.points import (
    AirDegradation,
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    HeatingDeclaration,
    PartLoadRules,
    WaterDegradation,
)
from energymodel.ratings.europe.tables import Climate, cooling_bins, heating_season

AVERAGE = heating_season(Climate.AVERAGE)
AIR = PartLoadRules()


def points(*rows: tuple[float, float, float]) -> tuple[DeclaredPoint, ...]:
    return tuple(DeclaredPoint(outdoor_c=t, capacity_w=q, cop=c) for t, q, c in rows)


# Invented variable-capacity unit; the expected numbers are computed
VARIABLE = HeatingDeclaration(
    design_load_w=3_000,
    bivalent_c=-7,
    limit_c=-10,
    control=Control.VARIABLE,
    points=points(
        (-10, 2_550, 2.50),
        (-7, 3_000 * 23 / 26, 2.80),
        (2, 3_000 * 14 / 26, 4.60),
        (7, 1_100, 5.80),
        (12, 1_300, 7.00),
    ),
)
AIR_CONDITIONER = CoolingDeclaration(
    design_load_w=2_500,
    control=Control.VARIABLE,
    points=points(
        (35, 2_500, 3.9), (30, 2_500 * 14 / 19, 6.0), (25, 2_500 * 9 / 19, 9.5), (20, 1_000, 12.0)
    ),
)
# EN 14825:2018 Annex H, fixed-capacity air-to-water unit (inputs from memory)
FIXED = HeatingDeclaration(
    design_load_w=11_460,
    bivalent_c=-6,
    limit_c=-10,
    control=Control.FIXED,
    points=points(
        (-10, 7_800, 2.60),
        (-7, 9_550, 3.26),
        (-6, 9_700, 3.30),
        (2, 11_170, 4.00),
        (7, 12_660, 4.91),
        (12, 14_300, 5.50),
    ),
)


def at(performance: PerformanceMap, name: str, outdoor_c: float) -> tuple[float, float]:
    """Capacity, W, and COP of a speed."""
    speed = next(s for s in performance.speeds if s.name == name)
    place = np.array([outdoor_c])
    capacity, power = speed.capacity_w(place).item(), speed.power_w(place).item()
    return capacity, capacity / power


def test_a_fixed_speed_map_degrades_in_every_bin() -> None:
    # 3.625: computed for degradation in every bin instead of at the points
    rule = heating_map_rule(FIXED, AVERAGE, PartLoadRules(degradation=WaterDegradation()))
    assert [speed.name for speed in rule.performance.speeds] == ["full"]
    assert rule.map_cop == pytest.approx(3.6249, abs=5e-5)
    assert rule.clause_cop == pytest.approx(3.5976, abs=5e-5)
    assert rule.change_kwh_per_kwh == pytest.approx(1 / 3.6249 - 1 / 3.5976, abs=1e-5)


def test_points_that_follow_the_load_are_modulating_and_cycling_ones_minimum_speed() -> None:
    performance = heating_site_map(VARIABLE, AVERAGE, AIR)
    assert [speed.name for speed in performance.speeds] == ["minimum", "modulating", "full"]
    assert at(performance, "modulating", 2) == pytest.approx((3_000 * 14 / 26, 4.60))
    assert at(performance, "modulating", 7) == pytest.approx((1_100, 5.80))
    assert at(performance, "minimum", 12) == pytest.approx((1_300, 7.00))
    assert at(performance, "full", -7) == pytest.approx((3_000 * 23 / 26, 2.80))
    assert at(performance, "full", -10) == pytest.approx((2_550, 2.50))


def test_full_output_above_the_bivalent_point_is_not_limited_to_the_load_of_the_test() -> None:
    performance = heating_site_map(VARIABLE, AVERAGE, AIR)
    capacity, cop = at(performance, "full", 7)
    assert capacity == pytest.approx(3_000 * 23 / 26)
    assert 2.80 < cop < 5.80


def test_the_minimum_speed_keeps_its_ratio_to_full_speed_towards_the_cold() -> None:
    performance = heating_site_map(VARIABLE, AVERAGE, AIR)
    full, cold = at(performance, "full", 12)[0], at(performance, "full", -10)[0]
    assert at(performance, "minimum", -10)[0] == pytest.approx(1_300 / full * cold)


def test_the_map_knows_its_tested_range_and_contains_frost() -> None:
    for speed in heating_site_map(VARIABLE, AVERAGE, AIR).speeds:
        assert (speed.coldest_c, speed.warmest_c) == (-10, 12)
        assert speed.frost is Frost.INCLUDED


def test_a_staged_unit_shares_time_between_its_stages() -> None:
    staged = replace(VARIABLE, control=Control.STAGED)
    assert heating_site_map(staged, AVERAGE, AIR).staging is time_shared
    assert heating_site_map(VARIABLE, AVERAGE, AIR).staging is modulating


def test_the_map_rule_of_a_variable_unit_is_small_and_stands_beside_the_label() -> None:
    heating = heating_map_rule(VARIABLE, AVERAGE, AIR)
    assert heating.clause_cop == pytest.approx(4.50717, abs=5e-6)  # computed
    assert heating.map_cop == pytest.approx(heating.clause_cop, rel=0.005)
    clauses = heating_curve(VARIABLE, AVERAGE, AIR).on_bins(AVERAGE.bins)
    follows = (heating.bins.outdoor_c >= -7) & (heating.bins.outdoor_c <= 2)
    assert heating.bins.cop[follows] == pytest.approx(clauses.cop[follows], rel=1e-9)
    cooling = cooling_map_rule(AIR_CONDITIONER, cooling_bins(), AIR)
    assert cooling.clause_cop == pytest.approx(7.8840, abs=5e-5)  # computed
    assert cooling.map_cop == pytest.approx(cooling.clause_cop, rel=0.01)


def test_the_map_meets_the_load_as_far_as_the_declared_capacity_does() -> None:
    rule = heating_map_rule(VARIABLE, AVERAGE, AIR)
    assert rule.bins.backup_kwh.sum() == pytest.approx(11.40, abs=0.005)  # computed
    carried = rule.bins.delivered_w + rule.bins.backup_w
    assert carried == pytest.approx(rule.bins.load_w, rel=1e-12)


def test_a_unit_at_its_operation_limit_leaves_everything_to_backup() -> None:
    unit = replace(
        VARIABLE, limit_c=-7, points=tuple(p for p in VARIABLE.points if p.outdoor_c >= -7)
    )
    bins = heating_map_rule(unit, AVERAGE, AIR).bins
    cold = bins.outdoor_c < -7
    assert bins.backup_w[cold] == pytest.approx(bins.load_w[cold])
    assert np.all(bins.backup_w[~cold] < 1e-6)


def random_heating(shares: list[float], cops: list[float], control: Control) -> HeatingDeclaration:
    places = (-10.0, -7.0, 2.0, 7.0, 12.0)
    loads = [3_000 * (16 - t) / 26 for t in places]
    capacities = [load * share for load, share in zip(loads, shares, strict=True)]
    rows = zip(places, capacities, cops, strict=True)
    return HeatingDeclaration(
        design_load_w=3_000, bivalent_c=-7, limit_c=-10, control=control, points=points(*rows)
    )


SHARES = st.tuples(
    st.floats(0.4, 0.88),
    st.floats(0.95, 1.05),
    *[st.floats(0.95, 2.5)] * 2,
    st.floats(0.95, 4.0),
).map(list)
CARRIED = st.tuples(
    st.floats(0.4, 0.88), st.just(1.0), *[st.floats(1.0, 2.5)] * 2, st.floats(1.0, 4.0)
).map(list)
COPS = st.tuples(*[st.floats(1.5, high) for high in (3.0, 3.5, 5.0, 6.0, 7.0)]).map(list)


@settings(max_examples=100, deadline=None)
@given(SHARES, COPS, st.sampled_from([Control.STAGED, Control.VARIABLE]))
def test_speeds_keep_their_order_in_any_map(
    shares: list[float], cops: list[float], control: Control
) -> None:
    performance = heating_site_map(random_heating(shares, cops, control), AVERAGE, AIR)
    check_map(performance)
    outdoor = np.linspace(-10.0, 18.3, 120)
    capacity, power = performance.raw(outdoor)
    assert np.all(np.diff(capacity, axis=0) >= -1e-6)
    assert np.all(capacity > 0)
    assert np.all(power > 0)


@settings(max_examples=100, deadline=None)
@given(
    st.tuples(*[st.floats(0.95, 3.0)] * 4).map(list),
    st.tuples(*[st.floats(2.0, high) for high in (6.0, 8.0, 9.0, 12.0)]).map(list),
)
def test_speeds_keep_their_order_in_any_cooling_map(shares: list[float], eers: list[float]) -> None:
    places = (35.0, 30.0, 25.0, 20.0)
    capacities = [2_500 * (t - 16) / 19 * s for t, s in zip(places, shares, strict=True)]
    unit = replace(AIR_CONDITIONER, points=points(*zip(places, capacities, eers, strict=True)))
    performance = cooling_site_map(unit, AIR)
    check_map(performance)
    capacity, power = performance.raw(np.linspace(18.4, 50.0, 120))
    assert np.all(np.diff(capacity, axis=0) >= -1e-6)
    assert np.all(power > 0)


@settings(max_examples=50, deadline=None)
@given(CARRIED, st.floats(1.5, 3.0), st.sampled_from(Control))
def test_constant_cop_without_cycling_loss_leaves_no_map_rule(
    shares: list[float], cop: float, control: Control
) -> None:
    unit = random_heating(shares, [cop] * 5, control)
    lossless = PartLoadRules(degradation=AirDegradation(cd=0.0))
    rule = heating_map_rule(unit, AVERAGE, lossless)
    runs = rule.bins.power_w > 0
    assert rule.bins.cop[runs] == pytest.approx(cop, rel=1e-9)
