"""Bins, regions, load lines, defaults and roundings of the US procedures."""

from __future__ import annotations

from dataclasses import replace

import pytest

from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.ratings.conditions import CyclicPoint, TestPoint, condition, conditions
from energymodel.ratings.us.degradation import defrost_factor, degradation_coefficient
from energymodel.ratings.us.editions import M1, M_BEFORE_2016, DefrostCredit, M
from energymodel.ratings.us.load import (
    CapacityRule,
    Requirement,
    RequirementRule,
    Tie,
    nearest_requirement,
)
from energymodel.ratings.us.result import (
    nearest,
    published_cooling_capacity,
    published_off_mode,
    published_ratio,
)
from energymodel.ratings.us.seasonal import off_mode_power_w
from energymodel.ratings.us.tables import (
    RATING_HOURS_M,
    RATING_HOURS_M1,
    Region,
    cooling_bins,
    heating_bins,
    region_constants,
    standard_requirements,
)
from energymodel.ratings.us.units import DemandDefrost, Service, SingleSpeedUnit, VariableSpeedUnit


def point(capacity: float, power: float) -> TestPoint:
    return TestPoint(capacity_btu_h=capacity, power_w=power)


SINGLE = SingleSpeedUnit(tests={"A": point(36_000, 3000), "H1": point(35_000, 2900)})
VARIABLE = VariableSpeedUnit(tests={"A2": point(18_000, 1440), "H1_N": point(24_000, 1800)})


# --- bins: Appendix M and M1, Tables 19 and 20 (from memory) ----------------------------


def test_the_cooling_fractions_sum_to_one() -> None:
    assert [one.outdoor_f for one in cooling_bins()] == [67, 72, 77, 82, 87, 92, 97, 102]
    assert sum(one.fraction for one in cooling_bins()) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("region", Region)
def test_every_heating_column_sums_to_one(region: Region) -> None:
    assert sum(one.fraction for one in heating_bins(region)) == pytest.approx(1.0, abs=1e-12)


# sums of Appendix M1: computed, and from memory
@pytest.mark.parametrize(
    ("region", "total"),
    list(zip(Region, (0.709, 0.596, 0.705, 0.757, 0.802, 0.681), strict=True)),
)
def test_fractions_below_the_zero_load_temperature_sum_to_the_known_totals(
    region: Region, total: float
) -> None:
    zero = region_constants(region).zero_load_m1_f
    below = [one.fraction for one in heating_bins(region) if one.outdoor_f < zero]
    assert sum(below) == pytest.approx(total, abs=1e-12)


# season lengths, h, computed from HLH / sum of f (Tbal - Tj)/(Tbal - T_OD), M then M1
SEASONS = {
    Region.I: (1826, 1828),
    Region.II: (3148, 3149),
    Region.III: (4453, 4452),
    Region.IV: (5643, 5643),
    Region.V: (6956, 6956),
    Region.VI: (6258, 6260),
}


def load_share(region: Region, zero_f: float) -> float:
    design = region_constants(region).design_f
    return sum(
        one.fraction * max(zero_f - one.outdoor_f, 0.0) / (zero_f - design)
        for one in heating_bins(region)
    )


@pytest.mark.parametrize("region", Region)
def test_both_editions_give_one_season_length_per_region(region: Region) -> None:
    row = region_constants(region)
    old = row.load_hours_m / load_share(region, 65.0)
    new = row.load_hours_m1 / load_share(region, row.zero_load_m1_f)
    assert (round(old), round(new)) == SEASONS[region]


# computed from the M data and T_zl alone
@pytest.mark.parametrize(
    ("region", "hours"),
    list(zip(Region, ("492.5", "856.7", "1247.3", "1700.8", "2202.0", "1841.5"), strict=True)),
)
def test_load_hours_of_the_newer_edition_follow_from_the_older_one(
    region: Region, hours: str
) -> None:
    row = region_constants(region)
    season = row.load_hours_m / load_share(region, 65.0)
    predicted = season * load_share(region, row.zero_load_m1_f)
    assert f"{predicted:.1f}" == hours
    assert predicted == pytest.approx(row.load_hours_m1, abs=0.6)


@pytest.mark.parametrize("region", Region)
def test_a_zero_load_temperature_one_degree_off_misses_the_load_hours(region: Region) -> None:
    row = region_constants(region)
    season = row.load_hours_m / load_share(region, 65.0)
    for off in (-1.0, 1.0):
        # 35 h or more in the region with the shortest season it is proportionally less
        missed = abs(season * load_share(region, row.zero_load_m1_f + off) - row.load_hours_m1)
        assert missed > 0.015 * row.load_hours_m1


def test_the_variable_speed_slope_is_093_of_the_other_except_in_region_one() -> None:
    for region in Region:
        row = region_constants(region)
        if region is Region.I:  # remembered as 1.03: doubtful
            assert (row.c_variable_speed, round(0.93 * row.c, 2)) == (1.03, 1.02)
        else:
            assert round(0.93 * row.c, 2) == row.c_variable_speed


def test_load_hours_of_the_rating_values_scale_like_region_four() -> None:
    # 2080 x 1701/2250 = 1572.48, computed
    four = region_constants(Region.IV)
    scaled = RATING_HOURS_M.heating_h * four.load_hours_m1 / four.load_hours_m
    assert scaled == pytest.approx(1572.48, abs=0.005)
    assert round(scaled) == RATING_HOURS_M1.heating_h


# cooling load hours, from memory
def test_cooling_load_hours_fall_from_region_one_to_six() -> None:
    hours = [region_constants(region).cooling_hours for region in Region]
    assert hours == [2400, 1800, 1200, 800, 400, 200]


# --- load lines -------------------------------------------------------------------------


# slopes in shares of Qc(95) per F with the constant 5 F, computed
@pytest.mark.parametrize(
    ("region", "share"),
    list(zip(Region, ("0.0208", "0.0204", "0.0255", "0.0230", "0.0232", "0.0213"), strict=True)),
)
def test_a_constant_denominator_gives_nearly_one_house_in_all_regions(
    region: Region, share: str
) -> None:
    load = CapacityRule().load(SINGLE, region, Requirement.MINIMUM)
    assert f"{-load.slope_btu_h_per_f / 36_000:.4f}" == share


def test_a_regional_denominator_spreads_the_slopes_three_to_one() -> None:
    rule = CapacityRule(design_f=None)
    slopes = [-rule.load(SINGLE, r, Requirement.MINIMUM).slope_btu_h_per_f for r in Region]
    assert 2.5 < max(slopes) / min(slopes) < 3.5
    assert rule.load(SINGLE, Region.IV, Requirement.MINIMUM) == CapacityRule().load(
        SINGLE, Region.IV, Requirement.MINIMUM
    )


def test_the_doubtful_slope_of_region_one_can_be_replaced() -> None:
    rule = CapacityRule(c_variable_speed={Region.I: 1.02})
    ratio = (
        rule.load(VARIABLE, Region.I, Requirement.MINIMUM).slope_btu_h_per_f
        / CapacityRule().load(VARIABLE, Region.I, Requirement.MINIMUM).slope_btu_h_per_f
    )
    assert ratio == pytest.approx(1.02 / 1.03)


def test_a_heating_only_unit_is_sized_by_its_heating_capacity() -> None:
    unit = replace(SINGLE, service=Service.HEATING_ONLY)
    load = CapacityRule().load(unit, Region.IV, Requirement.MINIMUM)
    assert load.at(5.0) == pytest.approx(1.15 * 35_000)


def test_the_newer_edition_has_no_maximum_requirement() -> None:
    with pytest.raises(InputError, match="no maximum design heating requirement"):
        CapacityRule().load(SINGLE, Region.IV, Requirement.MAXIMUM)


# computed with the machine of 35 000 Btu/h at 47 F: minimum and maximum, kBtu/h, regions I to VI
@pytest.mark.parametrize(
    ("region", "least", "most"),
    list(zip(Region, (15, 20, 30, 35, 35, 20), (35, 40, 60, 70, 80, 40), strict=True)),
)
def test_design_requirements_land_on_standard_values(
    region: Region, least: float, most: float
) -> None:
    rule = RequirementRule()
    minimum = rule.load(SINGLE, region, Requirement.MINIMUM).requirement_btu_h
    maximum = rule.load(SINGLE, region, Requirement.MAXIMUM).requirement_btu_h
    assert (minimum, maximum) == (least * 1000, most * 1000)


def test_the_tie_rule_of_the_requirement_is_a_choice() -> None:
    assert nearest_requirement(45_000, tie=Tie.UP) == 50_000
    assert nearest_requirement(45_000, tie=Tie.DOWN) == 40_000
    assert nearest_requirement(44_999, tie=Tie.UP) == 40_000
    assert nearest_requirement(1e6, tie=Tie.UP) == 130_000
    for standard in standard_requirements():
        assert nearest_requirement(standard, tie=Tie.DOWN) == standard


# --- test conditions (from memory) ------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "function", "outdoor", "wet_bulb"),
    [
        ("A2", Function.COOLING, 95.0, 75.0),
        ("B1", Function.COOLING, 82.0, 65.0),
        ("E_V", Function.COOLING, 87.0, 69.0),
        ("F1", Function.COOLING, 67.0, 53.5),
        ("D", Function.COOLING, 82.0, None),
        ("H0_1", Function.HEATING, 62.0, 56.5),
        ("H1_N", Function.HEATING, 47.0, 43.0),
        ("H2_V", Function.HEATING, 35.0, 33.0),
        ("H3_2", Function.HEATING, 17.0, 15.0),
        ("H4_2", Function.HEATING, 5.0, 4.0),
    ],
)
def test_tests_stand_at_their_temperatures(
    name: str, function: Function, outdoor: float, wet_bulb: float | None
) -> None:
    at = condition(name)
    assert (at.function, at.outdoor_f, at.outdoor_wet_bulb_f) == (function, outdoor, wet_bulb)


def test_indoor_conditions_are_80_67_in_cooling_80_57_dry_and_70_60_in_heating() -> None:
    for at in conditions().values():
        indoor = (at.indoor_f, at.indoor_wet_bulb_f)
        if at.function is Function.HEATING:
            assert indoor == (70.0, 60.0)
        else:
            assert indoor == ((80.0, 57.0) if "dry coil" in at.what else (80.0, 67.0))


# --- degradation, defrost, off mode, rounding -------------------------------------------


def test_default_degradation_coefficients_are_those_of_each_edition() -> None:
    assert (M1.cd.cooling_fixed, M.cd.cooling_fixed, M_BEFORE_2016.cd.cooling_fixed) == (
        0.20,
        0.20,
        0.25,  # quoted in a public engineering forum
    )
    for edition in (M1, M, M_BEFORE_2016):
        rest = (edition.cd.cooling_unmatched, edition.cd.cooling_variable, edition.cd.heating)
        assert rest == (0.25, 0.25, 0.25)


def test_a_cyclic_test_without_loss_gives_no_degradation() -> None:
    steady = point(36_000, 3000)
    same = CyclicPoint(capacity_btu=3600.0, energy_wh=300.0, cycle_h=0.5)
    better = CyclicPoint(capacity_btu=3600.0, energy_wh=290.0, cycle_h=0.5)
    assert degradation_coefficient(steady, same) == pytest.approx(0.0, abs=1e-12)
    assert degradation_coefficient(steady, better) == 0.0


def test_the_degradation_coefficient_gives_the_cyclic_efficiency_back() -> None:
    # PLF = 1 - C_D (1 - CLF) times the steady efficiency is the efficiency of the cycle
    steady = point(36_000, 3000)
    cycle = CyclicPoint(capacity_btu=3300.0, energy_wh=310.0, cycle_h=0.5)
    load_factor = 3300.0 / (36_000 * 0.5)
    plf = 1.0 - degradation_coefficient(steady, cycle) * (1.0 - load_factor)
    assert plf * 12.0 == pytest.approx(3300.0 / 310.0)


@pytest.mark.parametrize(
    ("between", "longest", "factor"),
    [(1.5, 12.0, 1.03), (6.0, 12.0, 1.0171429), (12.0, 12.0, 1.0), (0.5, 6.0, 1.03), (6, 6, 1.0)],
)
def test_the_defrost_credit_runs_from_three_per_cent_to_none(
    between: float, longest: float, factor: float
) -> None:
    defrost = DemandDefrost(between_h=between, longest_h=longest)
    assert defrost_factor(defrost, DefrostCredit()) == pytest.approx(factor, abs=5e-8)


def test_a_control_that_allows_more_than_twelve_hours_counts_as_twelve() -> None:
    long = defrost_factor(DemandDefrost(between_h=6.0, longest_h=24.0), DefrostCredit())
    assert long == defrost_factor(DemandDefrost(between_h=6.0, longest_h=12.0), DefrostCredit())


def test_off_mode_power_is_a_mean_and_shrinks_with_size_above_three_tons() -> None:
    # section 4.3, from memory
    small = off_mode_power_w(shoulder_w=24.0, heating_w=42.0, cooling_capacity_btu_h=30_000)
    at_base = off_mode_power_w(shoulder_w=24.0, heating_w=42.0, cooling_capacity_btu_h=36_000)
    large = off_mode_power_w(shoulder_w=24.0, heating_w=42.0, cooling_capacity_btu_h=72_000)
    assert (small, at_base, large) == (33.0, 33.0, 16.5)


# steps: 10 CFR 430.23(m) (published); ties go up
def test_published_numbers_stand_on_their_official_steps() -> None:
    assert published_ratio(13.0909) == 13.1
    assert published_ratio(13.0874) == 13.075
    assert published_ratio(13.0875) == 13.1
    assert published_off_mode(32.25) == 32.5
    assert published_off_mode(32.24) == 32.0
    assert published_cooling_capacity(19_974) == 19_950
    assert published_cooling_capacity(19_975) == 20_000
    assert published_cooling_capacity(20_050) == 20_100
    assert published_cooling_capacity(37_949) == 37_900
    assert published_cooling_capacity(38_125) == 38_250
    assert nearest(0.0, 0.025) == 0.0


def test_capacities_of_another_procedure_are_not_rounded() -> None:
    with pytest.raises(InputError, match="65,000"):
        published_cooling_capacity(65_000)
