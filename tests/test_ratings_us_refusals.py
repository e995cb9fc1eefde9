"""Test points and controls that the US procedures cannot rate, refused by name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from energymodel.equipment.operation import Operation, SpeedLockout
from energymodel.errors import EquipmentError, InputError
from energymodel.ratings.conditions import (
    CyclicPoint,
    ImpossiblePointError,
    MissingTestError,
    TestPoint,
    condition,
)
from energymodel.ratings.us.degradation import degradation_coefficient
from energymodel.ratings.us.editions import M1, M_BEFORE_2016, M
from energymodel.ratings.us.seasonal import apf, eer2, hspf, hspf2, seer, seer2
from energymodel.ratings.us.units import (
    DemandDefrost,
    FanPower,
    Service,
    SingleSpeedUnit,
    TwoCapacityUnit,
    UsUnit,
    VariableSpeedUnit,
    heating_operation_f,
)
from energymodel.units import c_from_f


def measured(**points: tuple[float, float]) -> dict[str, TestPoint]:
    return {name: TestPoint(capacity_btu_h=q, power_w=p) for name, (q, p) in points.items()}


SINGLE = SingleSpeedUnit(
    tests=measured(
        A=(36_000, 3000), B=(38_400, 2640), H1=(35_000, 2900), H2=(28_800, 2740), H3=(21_000, 2480)
    )
)
TWO = TwoCapacityUnit(
    tests=measured(
        A2=(36_000, 2950),
        B2=(38_600, 2590),
        B1=(27_800, 1650),
        F1=(29_900, 1480),
        H0_1=(27_500, 1750),
        H1_1=(24_000, 1720),
        H3_1=(15_000, 1600),
        H1_2=(35_000, 2850),
        H2_2=(29_000, 2700),
        H3_2=(21_500, 2450),
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
    )
)


def changed(unit: UsUnit, **points: tuple[float, float]) -> UsUnit:
    return replace(unit, tests={**unit.tests, **measured(**points)})


def lacking(unit: UsUnit, name: str) -> UsUnit:
    return replace(unit, tests={n: p for n, p in unit.tests.items() if n != name})


# --- missing tests --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("unit", "name", "rating"),
    [
        *[(SINGLE, name, seer2) for name in ("A", "B")],
        *[(SINGLE, name, hspf2) for name in ("H1", "H2", "H3", "A")],
        *[(TWO, name, seer2) for name in ("A2", "B2", "B1", "F1")],
        *[(TWO, name, hspf2) for name in ("H0_1", "H1_1", "H3_1", "H1_2", "H2_2", "H3_2")],
        *[(VARIABLE, name, seer2) for name in ("A2", "B2", "E_V", "B1", "F1")],
        *[(VARIABLE, name, hspf2) for name in ("H0_1", "H1_1", "H2_V", "H3_2")],
        (VARIABLE, "H1_N", hspf),
    ],
)
def test_a_missing_test_is_refused_by_its_name_and_temperature(
    unit: UsUnit, name: str, rating: Callable[[UsUnit], object]
) -> None:
    with pytest.raises(MissingTestError) as caught:
        rating(lacking(unit, name))
    message = str(caught.value)
    assert f"test {name} is missing" in message
    assert f"outdoor {condition(name).outdoor_f:g} F" in message


def test_a_missing_test_for_the_eer_is_named() -> None:
    with pytest.raises(MissingTestError, match="test A is missing"):
        eer2(lacking(SINGLE, "A"))


def test_the_steady_partner_of_a_cyclic_test_is_needed() -> None:
    cycle = CyclicPoint(capacity_btu=3000.0, energy_wh=300.0, cycle_h=0.5)
    with pytest.raises(MissingTestError, match="test C is missing"):
        seer2(replace(SINGLE, cyclic={"D": cycle}))


# --- impossible points ----------------------------------------------------------------------------


def test_an_unknown_test_name_is_answered_with_the_nearest_one() -> None:
    with pytest.raises(EquipmentError, match="no test named 'H1N'") as caught:
        SingleSpeedUnit(tests=measured(H1N=(24_000, 1800)))
    assert 'did you mean "H1_N"?' in str(caught.value)


@pytest.mark.parametrize("bad", [(0.0, 100.0), (100.0, -1.0), (float("nan"), 1.0)])
def test_a_point_without_capacity_or_power_is_refused_by_name(bad: tuple[float, float]) -> None:
    with pytest.raises(ImpossiblePointError, match="test H3_2 has a capacity"):
        changed(VARIABLE, H3_2=bad)


def test_a_cyclic_test_among_the_steady_ones_is_refused() -> None:
    with pytest.raises(EquipmentError, match="test D is a dry coil cyclic test"):
        changed(SINGLE, D=(36_000, 3000))


@pytest.mark.parametrize(
    ("unit", "name", "cop"),
    [(SINGLE, "H1", 11.8), (SINGLE, "H3", 7.0), (VARIABLE, "H2_V", 9.0), (TWO, "H0_1", 16.0)],
)
def test_a_heating_cop_above_the_second_law_limit_is_refused_by_name(
    unit: UsUnit, name: str, cop: float
) -> None:
    capacity = unit.tests[name].capacity_btu_h
    points = {name: (capacity, capacity / 3.412 / cop)}
    with pytest.raises(EquipmentError, match=f"test point {name} has COP .* second-law limit"):
        hspf2(changed(unit, **points))


def test_a_cooling_eer_above_the_second_law_limit_is_refused_by_name() -> None:
    with pytest.raises(EquipmentError, match=r"test point A2 has EER .* second-law limit"):
        seer2(changed(VARIABLE, A2=(18_000, 300)))


def test_a_fixed_speed_that_gives_more_in_colder_air_is_refused_by_name() -> None:
    with pytest.raises(ImpossiblePointError, match=r"capacity rises with cold: test H3 .* test H1"):
        hspf2(changed(SINGLE, H3=(36_500, 3900)))
    with pytest.raises(ImpossiblePointError, match=r"rises with cold: test H4 .* test H1"):
        hspf2(changed(SINGLE, H4=(36_500, 4500)))
    with pytest.raises(ImpossiblePointError, match=r"capacity rises with cold: test H3_1"):
        hspf2(changed(TWO, H3_1=(25_000, 2300), H3_2=(30_000, 2700), H2_2=(31_000, 2750)))


def test_a_fast_compressor_may_give_more_in_colder_air_with_a_notice() -> None:
    rating = hspf2(changed(VARIABLE, H3_2=(22_500, 2700)))
    assert any("Inverters can do this" in str(notice) for notice in rating.notices)


@pytest.mark.parametrize(
    ("points", "text"),
    [
        ({"B1": (27_800, 2700)}, "power falls with speed: test B2"),
        ({"B1": (39_000, 2300)}, "capacity falls with speed: test B2"),
    ],
)
def test_a_stage_below_the_one_beneath_it_is_refused_by_name(
    points: dict[str, tuple[float, float]], text: str
) -> None:
    with pytest.raises(ImpossiblePointError, match=text):
        seer2(changed(TWO, **points))


def test_a_heating_stage_below_the_one_beneath_it_is_refused_by_name() -> None:
    with pytest.raises(ImpossiblePointError, match="power falls with speed: test H3_2"):
        hspf2(changed(TWO, H3_1=(15_000, 2500)))
    with pytest.raises(ImpossiblePointError, match="capacity falls with speed: test H2_2"):
        hspf2(changed(TWO, H2_1=(29_500, 2500)))
    with pytest.raises(ImpossiblePointError, match="capacity falls with speed: test H1_N"):
        hspf2(changed(VARIABLE, H1_N=(6000, 1800)))


@pytest.mark.parametrize("capacity", [5000.0, 20_500.0])
def test_an_intermediate_cooling_test_outside_the_speeds_is_refused(capacity: float) -> None:
    with pytest.raises(ImpossiblePointError, match=r"test E_V lies outside .* at 87 F: capacity"):
        seer2(changed(VARIABLE, E_V=(capacity, 560)))


@pytest.mark.parametrize("power", [540.0, 1600.0])
def test_an_intermediate_heating_test_outside_the_speeds_is_refused(power: float) -> None:
    with pytest.raises(ImpossiblePointError, match=r"test H2_V lies outside .* at 35 F: power"):
        hspf2(changed(VARIABLE, H2_V=(11_000, power), H1_1=(6600, 600), H0_1=(8200, 650)))


def test_lines_that_cross_where_the_load_needs_them_are_refused_with_their_bin() -> None:
    # low stage nearly as large as high stage at 47 F: above the high stage's frost line at 42 F
    unit = changed(TWO, A2=(20_000, 1700), B2=(21_000, 1500), B1=(15_000, 900), F1=(16_000, 800),
                   H1_1=(34_000, 2600), H0_1=(36_000, 2650), H2_1=(28_000, 2400),
                   H3_1=(21_000, 2300))  # fmt: skip
    with pytest.raises(EquipmentError, match=r"42 F bin: the lines of low and high speed cross"):
        hspf2(unit)


def test_a_minimum_line_below_zero_is_refused_only_where_the_load_needs_it() -> None:
    # a steep minimum-speed line reaches zero near 2 F; the load there is far above it
    steep = changed(VARIABLE, H0_1=(8800, 460), H1_1=(6600, 430), H2_V=(11_000, 800))
    assert hspf2(steep).value_btu_per_wh > 9.0
    # with a small load the colder bins lie between minimum and intermediate speed
    small = changed(steep, A2=(5000, 400))
    with pytest.raises(ImpossiblePointError, match="sunk below zero"):
        hspf2(small)


def test_the_older_rule_needs_a_capacity_that_meets_the_load() -> None:
    # towards the cold this minimum speed gains faster than the load, which it never meets
    steep = changed(VARIABLE, H1_1=(6600, 430), H0_1=(1500, 400))
    with pytest.raises(ImpossiblePointError, match="never equals the load"):
        hspf(steep, edition=M_BEFORE_2016)


# --- degradation, defrost, fan --------------------------------------------------------------------


def test_a_coefficient_given_twice_is_refused() -> None:
    cycle = CyclicPoint(capacity_btu=3000.0, energy_wh=300.0, cycle_h=0.5)
    with pytest.raises(EquipmentError, match=r"given as 0\.1 and also by test D"):
        seer2(replace(changed(SINGLE, C=(36_000, 2600)), cyclic={"D": cycle}, cd_cooling=0.1))


@pytest.mark.parametrize("cd", [-0.1, 1.0])
def test_a_coefficient_outside_zero_to_one_is_refused(cd: float) -> None:
    with pytest.raises(ImpossiblePointError, match="C_D in heating"):
        hspf2(replace(SINGLE, cd_heating=cd))


def test_a_cycle_that_gives_more_than_steady_running_is_refused() -> None:
    steady = TestPoint(capacity_btu_h=36_000.0, power_w=3000.0)
    with pytest.raises(ImpossiblePointError, match=r"1\.11 of a steady cycle"):
        degradation_coefficient(
            steady, CyclicPoint(capacity_btu=20_000.0, energy_wh=1500.0, cycle_h=0.5)
        )


def test_a_cycle_without_length_is_refused() -> None:
    with pytest.raises(ImpossiblePointError, match="cycle of 0 h"):
        replace(SINGLE, cyclic={"D": CyclicPoint(capacity_btu=1.0, energy_wh=1.0, cycle_h=0.0)})


def test_more_time_between_defrosts_than_the_control_allows_is_refused() -> None:
    with pytest.raises(EquipmentError, match="8 h between defrosts"):
        hspf2(replace(SINGLE, defrost=DemandDefrost(between_h=8.0, longest_h=6.0)))


@pytest.mark.parametrize(
    ("fault", "match"),
    [
        ({"outdoor_f": (95.0, 65.0)}, "rising temperatures"),
        ({"power_w": (200.0,)}, "rising temperatures"),
        ({"minimum_w": 500.0}, "0 < minimum < full"),
        ({"power_w": (100.0, 450.0)}, "leaves the range"),
    ],
)
def test_a_fan_schedule_that_cannot_be_is_refused(
    fault: dict[str, tuple[float, ...] | float], match: str
) -> None:
    values = {
        "minimum_w": 200.0, "full_w": 450.0, "outdoor_f": (65.0, 95.0), "power_w": (200.0, 450.0),
    }  # fmt: skip
    with pytest.raises(EquipmentError, match=match):
        FanPower(**{**values, **fault})  # type: ignore[arg-type]


# --- controls and editions ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "unit",
    [
        replace(TWO, heating_operation=Operation(lockouts=(SpeedLockout(speed=1, below_c=0.0),))),
        replace(TWO, heating_operation=Operation(lockouts=(SpeedLockout(speed=0, above_c=0.0),))),
        replace(SINGLE, heating_operation=heating_operation_f(low_locked_below_f=32.0)),
    ],
)
def test_a_lock_out_without_a_clause_is_refused(unit: UsUnit) -> None:
    with pytest.raises(EquipmentError, match="no lock-out of"):
        hspf2(unit)


def test_a_cooling_lock_out_without_a_clause_is_refused() -> None:
    cold = Operation(lockouts=(SpeedLockout(speed=0, below_c=20.0),))
    with pytest.raises(EquipmentError, match="no lock-out of cooling below"):
        seer2(replace(TWO, cooling_operation=cold))


def test_limits_inside_the_bins_are_refused_where_no_clause_covers_them() -> None:
    warm = Operation(off_above_c=c_from_f(60.0))
    with pytest.raises(EquipmentError, match="heating stops above 60 F"):
        hspf2(replace(SINGLE, heating_operation=warm))
    for limit in (Operation(off_c=c_from_f(70.0)), Operation(off_above_c=c_from_f(100.0))):
        with pytest.raises(EquipmentError, match="inside the bins"):
            seer2(replace(TWO, cooling_operation=limit))


def test_figures_a_unit_or_an_edition_does_not_have_are_refused() -> None:
    with pytest.raises(EquipmentError, match="air conditioner has no HSPF2"):
        hspf2(replace(SINGLE, service=Service.AIR_CONDITIONER))
    with pytest.raises(EquipmentError, match="heating-only unit has no SEER2"):
        seer2(replace(SINGLE, service=Service.HEATING_ONLY))
    with pytest.raises(InputError, match="Appendix M has no SEER2"):
        seer2(SINGLE, edition=M)
    with pytest.raises(InputError, match="Appendix M1 has no HSPF"):
        hspf(SINGLE, edition=M1)
    with pytest.raises(InputError, match="annual performance factor from HSPF2"):
        apf(SINGLE, cooling=seer(SINGLE), heating=hspf2(SINGLE))
