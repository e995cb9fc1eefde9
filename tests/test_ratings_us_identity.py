"""Two ways to one rating: clause by clause, and the season kernel under the rating's bins."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from energymodel.equipment.curves import Frost
from energymodel.errors import EquipmentError
from energymodel.ratings.conditions import ImpossiblePointError, TestPoint, condition
from energymodel.ratings.us.editions import (
    M1,
    M_BEFORE_2016,
    BelowFiveF,
    BetweenSpeeds,
    Edition,
    FiveFRule,
    LimitingReference,
    M,
)
from energymodel.ratings.us.load import CapacityRule, Requirement
from energymodel.ratings.us.maps import cooling_map, heating_map
from energymodel.ratings.us.older_rule import older_rule
from energymodel.ratings.us.season import cooling_season, heating_season, kernel_rating
from energymodel.ratings.us.seasonal import hspf, hspf2, seer, seer2, seer_bin_form
from energymodel.ratings.us.tables import Region
from energymodel.ratings.us.units import (
    DemandDefrost,
    FanPower,
    SingleSpeedUnit,
    TwoCapacityUnit,
    UsUnit,
    VariableSpeedUnit,
    cooling_operation_f,
    heating_operation_f,
)
from energymodel.units import BTU_PER_WH, c_from_f

CLOSE = 1e-9


def point(capacity: float, cop: float) -> TestPoint:
    return TestPoint(capacity_btu_h=capacity, power_w=capacity / cop / 3.412)


def share(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(min_value=low, max_value=high, allow_nan=False)


@dataclass(frozen=True)
class Draw:
    """Shorthand for numbers of a random machine."""

    of: st.DrawFn

    def __call__(self, low: float, high: float) -> float:
        return self.of(share(low, high))

    def maybe(self, low: float, high: float) -> float | None:
        return self.of(st.one_of(st.none(), share(low, high)))


def controls(draw: Draw, low_locked: float | None = None) -> dict[str, object]:
    off = draw.maybe(-15.0, 25.0)
    on = None if off is None else off + draw(0.0, 15.0)
    return {
        "cd_cooling": draw.maybe(0.0, 0.2),
        "cd_heating": draw.maybe(0.0, 0.25),
        "heating_operation": heating_operation_f(off_f=off, on_f=on, low_locked_below_f=low_locked),
    }


@st.composite
def single_speed(draw_: st.DrawFn) -> SingleSpeedUnit:
    draw = Draw(draw_)
    cold, heat = draw(6000, 60_000), draw(6000, 60_000)
    eer, cop = draw(2.3, 4.0), draw(2.4, 4.2)
    q17, cop17 = heat * draw(0.35, 0.95), cop * draw(0.5, 0.9)
    tests = {
        "A": point(cold, eer),
        "B": point(cold * draw(1.0, 1.15), eer * draw(1.02, 1.3)),
        "H1": point(heat, cop),
        "H2": point(q17 + (heat - q17) * draw(0.1, 0.9), cop * draw(0.75, 0.95)),
        "H3": point(q17, cop17),
    }
    if draw_(st.booleans()):
        tests["H4"] = point(q17 * draw(0.4, 1.0), cop17 * draw(0.6, 1.0))
    return SingleSpeedUnit(tests=tests, **controls(draw))  # type: ignore[arg-type]


@st.composite
def two_capacity(draw_: st.DrawFn) -> TwoCapacityUnit:
    draw = Draw(draw_)
    cold, heat = draw(15_000, 60_000), draw(15_000, 60_000)
    eer, cop = draw(2.5, 4.0), draw(2.6, 4.0)
    ratio = draw(0.5, 0.75)
    q17 = heat * draw(0.5, 0.9)
    low17 = heat * ratio * draw(0.55, 0.9)
    full82 = cold * draw(1.0, 1.12)
    tests = {
        "A2": point(cold, eer),
        "B2": point(full82, eer * 1.2),
        "B1": point(full82 * ratio, eer * 1.2 * draw(0.95, 1.25)),
        "F1": point(full82 * ratio * draw(1.0, 1.15), eer * draw(1.5, 1.8)),
        "H0_1": point(heat * ratio * draw(1.05, 1.25), cop * draw(1.05, 1.25)),
        "H1_1": point(heat * ratio, cop * draw(0.95, 1.15)),
        "H3_1": point(min(low17, 0.8 * q17), cop * draw(0.6, 0.75)),
        "H1_2": point(heat, cop),
        "H2_2": point(q17 + (heat - q17) * draw(0.3, 0.7), cop * draw(0.75, 0.9)),
        "H3_2": point(q17, cop * draw(0.6, 0.75)),
    }
    if draw_(st.booleans()):
        tests["H4_2"] = point(q17 * draw(0.7, 1.0), cop * draw(0.45, 0.6))
    locked = draw.maybe(0.0, 50.0)
    return TwoCapacityUnit(
        tests=tests,
        cd_heating_full=draw.maybe(0.0, 0.25),
        cd_cooling_full=draw.maybe(0.0, 0.2),
        cooling_operation=cooling_operation_f(low_locked_above_f=draw.maybe(70.0, 110.0)),
        **controls(draw, locked),  # type: ignore[arg-type]
    )


def on_line(low: TestPoint, high: TestPoint, n: float, m: float) -> TestPoint:
    return TestPoint(
        capacity_btu_h=low.capacity_btu_h + n * (high.capacity_btu_h - low.capacity_btu_h),
        power_w=low.power_w + m * (high.power_w - low.power_w),
    )


@st.composite
def variable_speed(draw_: st.DrawFn) -> VariableSpeedUnit:
    draw = Draw(draw_)
    cold = draw(6000, 48_000)
    heat = cold * draw(0.9, 1.3)
    eer, cop = draw(3.0, 4.2), draw(3.2, 4.5)
    low, q17 = draw(0.2, 0.4), heat * draw(0.65, 1.0)
    b2 = point(cold * draw(1.0, 1.12), eer * 1.25)
    b1 = point(b2.capacity_btu_h * low, eer * draw(1.5, 2.2))
    f1 = point(b1.capacity_btu_h * draw(1.0, 1.15), eer * draw(2.2, 2.6))
    a2 = point(cold, eer)
    low87 = on_line(f1, b1, 20 / 15, 20 / 15)
    full87 = on_line(b2, a2, 5 / 13, 5 / 13)
    n = draw(0.2, 0.6)
    h1_2, h3_2 = point(heat, cop), point(q17, cop * draw(0.6, 0.8))
    h1_1 = point(heat * low, cop * draw(0.9, 1.2))
    h0_1 = point(h1_1.capacity_btu_h * draw(1.1, 1.3), cop * draw(1.25, 1.5))
    low35 = on_line(h0_1, h1_1, 27 / 15, 27 / 15)
    mid35 = on_line(h3_2, h1_2, 0.6, 0.6)
    full35 = TestPoint(capacity_btu_h=0.90 * mid35.capacity_btu_h, power_w=0.985 * mid35.power_w)
    n_heat = draw(0.2, 0.6)
    tests = {
        "A2": a2, "B2": b2, "B1": b1, "F1": f1,
        "E_V": on_line(low87, full87, n, n * draw(0.5, 1.0)),
        "H1_2": h1_2, "H1_1": h1_1, "H0_1": h0_1, "H3_2": h3_2,
        "H1_N": point(heat * draw(0.95, 1.0), cop),
        "H2_V": on_line(low35, full35, n_heat, n_heat * draw(0.5, 1.0)),
    }  # fmt: skip
    if draw_(st.booleans()):
        tests["H4_2"] = point(q17 * draw(0.75, 1.0), cop * draw(0.5, 0.6))
    return VariableSpeedUnit(
        tests=tests,
        minimum_speed_limiting=draw_(st.booleans()),
        **controls(draw),  # type: ignore[arg-type]
    )


NEWER = [
    M1,
    replace(M1, btu_per_wh=3.412, heating_load=CapacityRule(design_f=None)),
    replace(
        M1,
        five_f=FiveFRule(below=BelowFiveF.SLOPE_5_17),
        minimum_speed_limiting=LimitingReference.LINE_35_47,
    ),
]
QUADRATIC_M1 = replace(M1, between_speeds=BetweenSpeeds.QUADRATIC_IN_TEMPERATURE)


def same_heating(unit: UsUnit, edition: Edition, region: Region, requirement: Requirement) -> None:
    """Both ways give one figure, or both refuse the machine."""
    by_kernel = by_clause = None
    with suppress(EquipmentError):
        season = heating_season(unit, edition=edition, region=region, requirement=requirement)
        by_kernel = kernel_rating(season, edition=edition)
    try:
        if edition.heating_metric == "HSPF2":
            by_clause = hspf2(unit, edition=edition, region=region).value_btu_per_wh
        else:
            by_clause = hspf(
                unit, edition=edition, region=region, requirement=requirement
            ).value_btu_per_wh
    except ImpossiblePointError:
        assert by_kernel is None
        return
    except EquipmentError:
        assume(by_clause is not None)  # refused by the second-law or crossing check of the map
    assert by_clause == pytest.approx(by_kernel, rel=CLOSE)


def same_cooling(unit: UsUnit, edition: Edition) -> None:
    by_kernel = by_clause = None
    with suppress(EquipmentError):
        by_kernel = kernel_rating(cooling_season(unit, edition=edition), edition=edition)
    try:
        if isinstance(unit, SingleSpeedUnit):
            by_clause = seer_bin_form(unit, edition=edition).value_btu_per_wh
        elif edition.cooling_metric == "SEER2":
            by_clause = seer2(unit, edition=edition).value_btu_per_wh
        else:
            by_clause = seer(unit, edition=edition).value_btu_per_wh
    except ImpossiblePointError:
        assert by_kernel is None
        return
    except EquipmentError:
        assume(by_clause is not None)
    assert by_clause == pytest.approx(by_kernel, rel=CLOSE)


ANY_UNIT = st.one_of(single_speed(), two_capacity(), variable_speed())


@settings(max_examples=100, deadline=None)
@given(unit=ANY_UNIT, edition=st.sampled_from(NEWER), region=st.sampled_from(Region))
def test_the_kernel_gives_hspf2_of_any_machine(
    unit: UsUnit, edition: Edition, region: Region
) -> None:
    same_heating(unit, edition, region, Requirement.MINIMUM)


@settings(max_examples=100, deadline=None)
@given(
    unit=ANY_UNIT,
    edition=st.sampled_from([M, replace(M, btu_per_wh=3.412)]),
    region=st.sampled_from(Region),
    requirement=st.sampled_from(Requirement),
)
def test_the_kernel_gives_hspf_of_any_machine(
    unit: UsUnit, edition: Edition, region: Region, requirement: Requirement
) -> None:
    same_heating(unit, edition, region, requirement)


@settings(max_examples=100, deadline=None)
@given(unit=ANY_UNIT, edition=st.sampled_from([M1, M, M_BEFORE_2016]))
def test_the_kernel_gives_seer2_and_seer_of_any_machine(unit: UsUnit, edition: Edition) -> None:
    assume(not isinstance(unit, VariableSpeedUnit) or edition is not M_BEFORE_2016)
    same_cooling(unit, edition)


@settings(max_examples=40, deadline=None)
@given(
    unit=variable_speed(),
    region=st.sampled_from(Region),
    requirement=st.sampled_from(Requirement),
)
def test_the_older_rule_gives_one_hspf_through_its_load_line_curve(
    unit: VariableSpeedUnit, region: Region, requirement: Requirement
) -> None:
    same_heating(unit, M_BEFORE_2016, region, requirement)


@settings(max_examples=40, deadline=None)
@given(unit=variable_speed(), edition=st.sampled_from([M_BEFORE_2016, QUADRATIC_M1]))
def test_the_older_rule_gives_one_seer_through_its_load_line_curve(
    unit: VariableSpeedUnit, edition: Edition
) -> None:
    same_cooling(unit, edition)


# --- fixed machines -------------------------------------------------------------------------------


def measured(**points: tuple[float, float]) -> dict[str, TestPoint]:
    return {name: TestPoint(capacity_btu_h=q, power_w=p) for name, (q, p) in points.items()}


SINGLE = SingleSpeedUnit(
    tests=measured(
        A=(36_000, 3000), B=(38_400, 2640), H1=(35_000, 2900), H2=(28_800, 2740), H3=(21_000, 2480)
    )
)
VARIABLE = VariableSpeedUnit(
    tests=measured(
        A2=(18_000, 1440),
        B2=(19_600, 1240),
        E_V=(11_200, 560),
        B1=(6600, 270),
        F1=(7200, 210),
        H0_1=(8200, 480),
        H1_1=(6600, 430),
        H1_N=(24_000, 1800),
        H1_2=(21_600, 1600),
        H2_V=(11_000, 800),
        H3_2=(15_600, 1560),
        H4_2=(13_200, 1540),
    )
)


def test_the_kernel_knows_nothing_of_the_defrost_credit() -> None:
    unit = replace(SINGLE, defrost=DemandDefrost(between_h=1.5, longest_h=12.0))
    rating = hspf2(unit)
    assert rating.defrost_factor == pytest.approx(1.03)
    by_kernel = kernel_rating(heating_season(unit))
    assert rating.value_btu_per_wh / 1.03 == pytest.approx(by_kernel, rel=CLOSE)


def test_the_bin_table_of_the_kernel_is_that_of_the_clauses() -> None:
    table = heating_season(VARIABLE).run()
    rows = sorted(hspf2(VARIABLE).rows, key=lambda row: row.outdoor_f)
    k = M1.btu_per_wh
    for name, values in (
        ("load_btu_h", table.load_w * k),
        ("delivered_btu_h", table.delivered_w * k),
        ("power_w", table.power_w),
        ("resistance_w", table.backup_w),
        ("fraction", table.hours),
        ("cop", table.cop),
    ):
        expected = [getattr(row, name) for row in rows]
        np.testing.assert_allclose(values, expected, rtol=CLOSE, atol=1e-9, err_msg=name)


def test_a_blower_that_follows_the_weather_gives_one_rating_both_ways() -> None:
    fan = FanPower(minimum_w=200.0, full_w=450.0, outdoor_f=(20.0, 60.0), power_w=(450.0, 220.0))
    cool = FanPower(minimum_w=200.0, full_w=450.0, outdoor_f=(70.0, 95.0), power_w=(200.0, 450.0))
    unit = SingleSpeedUnit(
        tests=measured(
            A2=(36_000, 3000), A1=(32_500, 2770), B2=(38_400, 2640), B1=(34_000, 2400),
            H1_2=(35_000, 2900), H1_1=(32_000, 2700), H2_2=(28_800, 2740),
            H3_2=(21_000, 2480), H3_1=(19_500, 2300),
        ),
        cooling_fan=cool,
        heating_fan=fan,
    )  # fmt: skip
    by_kernel = kernel_rating(cooling_season(unit))
    assert seer2(unit).value_btu_per_wh == pytest.approx(by_kernel, rel=CLOSE)
    assert hspf2(unit).value_btu_per_wh == pytest.approx(
        kernel_rating(heating_season(unit)), rel=CLOSE
    )


def test_the_map_goes_through_every_test_point() -> None:
    for unit, build in ((SINGLE, heating_map), (VARIABLE, heating_map), (VARIABLE, cooling_map)):
        performance = build(unit)
        points = np.concatenate([speed.points for speed in performance.speeds])
        heats = build is heating_map
        for name, tested in unit.tests.items():
            at = condition(name)
            if (at.function.value == "heating") is not heats or name == "H1_N":
                continue
            wanted = (c_from_f(at.outdoor_f), tested.capacity_btu_h / BTU_PER_WH, tested.power_w)
            assert np.isclose(points, wanted, rtol=1e-12).all(axis=1).any(), name


def test_the_full_speed_line_jumps_at_45_f_and_runs_on_past_its_points() -> None:
    full = heating_map(SINGLE, btu_per_wh=1.0).speeds[-1]
    places = c_from_f(np.array([17.0, 35.0, 44.999999, 45.0, 47.0, 77.0, -13.0]))
    expected = [21_000, 28_800, 21_000 + 7800 * 28 / 18, 21_000 + 14_000 * 28 / 30, 35_000,
                49_000, 7000]  # fmt: skip
    np.testing.assert_allclose(full.capacity_w(places), expected, rtol=1e-6)
    assert full.frost is Frost.INCLUDED


def test_the_load_line_curve_of_the_older_rule_holds_only_on_its_own_line() -> None:
    season = heating_season(VARIABLE, edition=M)
    curve = older_rule(season)
    other = older_rule(heating_season(VARIABLE, edition=M, requirement=Requirement.MAXIMUM))
    at = np.array([c_from_f(32.0)])
    assert curve.cop(at)[0] != pytest.approx(other.cop(at)[0], rel=1e-3)
    # between the crossings the unit runs exactly at the load
    assert curve.capacity_w(at)[0] == pytest.approx(season.load.load_w(at)[0])


def test_a_cut_out_that_went_through_another_conversion_still_meets_its_bin() -> None:
    nudged = heating_operation_f(off_f=17.0)
    assert nudged.off_c is not None
    for ulp in (-3e-14, 3e-14):
        unit = replace(SINGLE, heating_operation=replace(nudged, off_c=nudged.off_c + ulp))
        rows = {row.outdoor_f: row.allowed_share for row in hspf2(unit).rows}
        assert (rows[17.0], rows[22.0]) == (0.0, 1.0)
        by_kernel = kernel_rating(heating_season(unit))
        assert hspf2(unit).value_btu_per_wh == pytest.approx(by_kernel, rel=CLOSE)
