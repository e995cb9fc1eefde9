"""European reference seasons: sums, load line, hours by mode, classes."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.ratings.bin_table import Bins
from energymodel.ratings.europe.seasonal import scop_class, seer_class, space_heating_efficiency
from energymodel.ratings.europe.tables import (
    COOLING_DESIGN_C,
    Climate,
    ModePower,
    UnitKind,
    cooling_bins,
    full_load_hours,
    heating_season,
    mode_hours,
    part_load_ratio,
)

# Hours: from memory. Load-weighted hours: computed. Active hours of hydronic units: Regulation
# (EU) 811/2013 Annex VII(4), published.
SEASONS = [
    (Climate.AVERAGE, -10.0, 4910, 2065.6, 2066),
    (Climate.WARMER, 2.0, 3590, 1335.8, 1336),
    (Climate.COLDER, -22.0, 6446, 2464.8, 2465),
]


@pytest.mark.parametrize(("climate", "design_c", "hours", "weighted", "published"), SEASONS)
def test_heating_bins_give_the_published_active_hours_of_hydronic_units(
    climate: Climate, design_c: float, hours: float, weighted: float, published: float
) -> None:
    season = heating_season(climate)
    assert season.design_c == design_c
    assert season.bins.hours.sum() == hours
    assert full_load_hours(season.bins, design_c) == pytest.approx(weighted, abs=0.05)
    assert round(full_load_hours(season.bins, design_c)) == published
    hydronic = mode_hours(UnitKind.HYDRONIC_HEATING_ONLY, Function.HEATING, climate)
    assert hydronic.active_h == published


@pytest.mark.parametrize(
    ("climate", "coldest_c"), [("average", -10), ("warmer", 2), ("colder", -22)]
)
def test_the_coldest_bin_is_the_design_temperature(climate: str, coldest_c: float) -> None:
    # EN 14825, reference heating seasons (from memory); highest bin +15 below the limit of 16
    outdoor = heating_season(Climate(climate)).bins.outdoor_c
    assert outdoor[0] == coldest_c
    assert outdoor[-1] == 15.0
    assert np.all(np.diff(outdoor) == 1.0)


def test_a_240_hour_bin_at_0_degrees_with_6_2_kw_means_a_design_load_of_10_08_kw() -> None:
    # "Calculation of SCOP for heat pumps according to EN 14825", Danish Energy Agency, 31 Dec
    # 2011: 240 h at 0 degC and 6.2 kW (published); design load computed
    season = heating_season(Climate.AVERAGE)
    assert season.bins.hours[season.bins.outdoor_c == 0.0].item() == 240
    at_zero = float(part_load_ratio(np.array(0.0), season.design_c))
    assert 6.2 / at_zero == pytest.approx(10.08, abs=0.0051)
    assert 10.0 * at_zero == pytest.approx(6.15, abs=0.005)


def test_cooling_bins_give_the_recalled_corrected_active_hours() -> None:
    # EN 14825:2012 Table 36 and Annex D Table D.1 (954 h), from memory; 953.9 computed
    bins = cooling_bins()
    assert bins.hours.sum() == 2602
    assert full_load_hours(bins, COOLING_DESIGN_C) == pytest.approx(953.9, abs=0.05)
    assert round(full_load_hours(bins, COOLING_DESIGN_C)) == 954


# Part-load ratios, %: computed; the rounded ones are those of EN 14825 (from memory)
@pytest.mark.parametrize(
    ("design_c", "outdoor_c", "exact", "printed"),
    [
        (35, [35, 30, 25, 20], [100, 73.68, 47.37, 21.05], [100, 74, 47, 21]),
        (-10, [-7, 2, 7, 12], [88.46, 53.85, 34.62, 15.38], [88, 54, 35, 15]),
        (2, [2, 7, 12], [100, 64.29, 28.57], [100, 64, 29]),
        (-22, [-7, 2, 7, 12, -15], [60.53, 36.84, 23.68, 10.53, 81.58], [61, 37, 24, 11, 82]),
    ],
)
def test_part_load_ratios_round_to_those_of_the_standard(
    design_c: float, outdoor_c: list[float], exact: list[float], printed: list[float]
) -> None:
    ratio = 100.0 * part_load_ratio(np.array(outdoor_c, dtype=float), design_c)
    assert ratio == pytest.approx(exact, abs=0.005)
    assert np.rint(ratio).tolist() == printed


def test_the_load_is_zero_at_16_degrees_and_never_negative() -> None:
    outdoor = np.array([15.0, 16.0, 17.0])
    assert part_load_ratio(outdoor, -10.0).tolist() == pytest.approx([1 / 26, 0.0, 0.0])
    assert part_load_ratio(outdoor, 35.0).tolist() == pytest.approx([0.0, 0.0, 1 / 19])


def test_design_limits_are_those_of_the_regulation() -> None:
    # Regulation (EU) 206/2012 Annex II Table 3, quoted in a regulation that repeats it
    limits = {c: (heating_season(c).bivalent_max_c, heating_season(c).limit_max_c) for c in Climate}
    assert limits == {
        Climate.AVERAGE: (2.0, -7.0),
        Climate.WARMER: (7.0, 2.0),
        Climate.COLDER: (-7.0, -15.0),
    }


def test_air_conditioner_hours_by_mode_add_up_to_the_year() -> None:
    # EN 14825:2012 Annex D Tables D.1-D.4, from memory; sums computed
    cooling = mode_hours(UnitKind.COOLING_ONLY, Function.COOLING)
    reversible = mode_hours(UnitKind.REVERSIBLE, Function.COOLING)
    active_before_set_back_h = 1309.0
    season_h = cooling.thermostat_off_h + cooling.standby_h + active_before_set_back_h
    assert season_h == 3672
    assert season_h + cooling.off_h == 8760
    assert cooling.crankcase_h - cooling.off_h == reversible.crankcase_h == 2672
    assert active_before_set_back_h - 355 == round(full_load_hours(cooling_bins(), 35.0))
    assert cooling.active_h == reversible.active_h == 350
    assert reversible.off_h == 0


def test_heating_only_hours_of_the_average_climate_add_up() -> None:
    # EN 14825:2012 Annex D, from memory; the sum computed
    hours = mode_hours(UnitKind.HEATING_ONLY, Function.HEATING, Climate.AVERAGE)
    assert hours.off_h + hours.thermostat_off_h == hours.crankcase_h == 3851
    cooling = mode_hours(UnitKind.COOLING_ONLY, Function.COOLING)
    season = heating_season(Climate.AVERAGE).bins.hours.sum() + hours.thermostat_off_h
    assert season == cooling.off_h + 1


def test_two_doubtful_crankcase_hours_stay_as_recalled() -> None:
    # EN 14825:2012 Annex D, from memory: as if H_TO of the two climates were swapped (computed)
    warmer = mode_hours(UnitKind.HEATING_ONLY, Function.HEATING, Climate.WARMER)
    colder = mode_hours(UnitKind.HEATING_ONLY, Function.HEATING, Climate.COLDER)
    assert (warmer.active_h, colder.active_h) == (1400, 2100)
    assert warmer.crankcase_h == warmer.off_h + colder.thermostat_off_h == 4476
    assert colder.crankcase_h == colder.off_h + warmer.thermostat_off_h == 2944


@pytest.mark.parametrize("climate", list(Climate))
def test_reversible_heating_hours_keep_crankcase_and_thermostat_off_equal(climate: Climate) -> None:
    # Regulation (EU) 206/2012 Annex II Table 4, from memory
    hours = mode_hours(UnitKind.REVERSIBLE, Function.HEATING, climate)
    assert hours.crankcase_h == hours.thermostat_off_h
    assert hours.standby_h == hours.off_h == 0


@pytest.mark.parametrize("climate", list(Climate))
def test_hydronic_hours_fill_the_year(climate: Climate) -> None:
    # Regulations (EU) 811/2013 and 813/2013, from memory; identities computed
    hours = mode_hours(UnitKind.HYDRONIC_HEATING_ONLY, Function.HEATING, climate)
    bins_h = heating_season(climate).bins.hours.sum()
    assert hours.crankcase_h == hours.thermostat_off_h + hours.off_h
    assert bins_h + hours.thermostat_off_h + hours.off_h == 8760


def test_standby_weighs_1_48_times_more_than_the_bins_imply() -> None:
    # computed: 2066 h of the bins against the 1400 h of Regulation (EU) 206/2012
    season = heating_season(Climate.AVERAGE)
    hours = mode_hours(UnitKind.REVERSIBLE, Function.HEATING, Climate.AVERAGE)
    ratio = full_load_hours(season.bins, season.design_c) / hours.active_h
    assert ratio == pytest.approx(1.48, abs=0.005)


@pytest.mark.parametrize(
    ("unit", "function", "climate"),
    [
        (UnitKind.COOLING_ONLY, Function.HEATING, Climate.AVERAGE),
        (UnitKind.HYDRONIC_HEATING_ONLY, Function.COOLING, None),
        (UnitKind.REVERSIBLE, Function.HEATING, None),
    ],
)
def test_a_kind_of_unit_without_the_season_is_refused(
    unit: UnitKind, function: Function, climate: Climate | None
) -> None:
    with pytest.raises(InputError, match=unit.value):
        mode_hours(unit, function, climate)


def test_mode_energy_is_hours_times_power() -> None:
    powers = ModePower(thermostat_off_w=10, standby_w=1.5, off_w=1.5)
    hours = mode_hours(UnitKind.COOLING_ONLY, Function.COOLING)
    assert powers.yearly_kwh(hours) == pytest.approx(13.055)  # computed


# Regulation (EU) 626/2011 Annex II Table 1, from memory
@pytest.mark.parametrize(
    ("name", "seer", "scop"),
    [
        ("A+++", 8.5, 5.1),
        ("A++", 6.1, 4.6),
        ("A+", 5.6, 4.0),
        ("A", 5.1, 3.4),
        ("B", 4.6, 3.1),
        ("C", 4.1, 2.8),
        ("D", 3.6, 2.5),
        ("E", 3.1, 2.2),
        ("F", 2.6, 1.9),
    ],
)
def test_a_class_begins_at_its_lower_bound(name: str, seer: float, scop: float) -> None:
    assert (seer_class(seer), scop_class(scop)) == (name, name)
    assert seer_class(seer - 0.01) != name
    assert scop_class(scop - 0.01) != name


def test_below_the_last_bound_the_class_is_g() -> None:
    assert (seer_class(2.59), scop_class(1.0)) == ("G", "G")  # from memory


def test_minimum_requirements_fall_on_the_expected_classes() -> None:
    # Regulation (EU) 206/2012 Annex I, from memory: SEER 3.60 (2013), 4.60 and 4.30 (2014,
    # below and above 6 kW); SCOP 3.40 (2013), 3.80 (2014)
    assert [seer_class(value) for value in (3.60, 4.60, 4.30)] == ["D", "B", "C"]
    assert [scop_class(value) for value in (3.40, 3.80)] == ["A", "A"]


def test_space_heating_efficiency_takes_off_its_corrections() -> None:
    # computed; CC 2.5 of Regulation (EU) 2016/2281 Annex I(1), F(1) and F(2) from memory
    assert space_heating_efficiency(4.4985) == pytest.approx(1.7694, abs=5e-5)
    assert space_heating_efficiency(4.47215) == pytest.approx(1.7589, abs=5e-5)
    water = space_heating_efficiency(4.4985, corrections=(0.03, 0.05))
    assert space_heating_efficiency(4.4985) - water == pytest.approx(0.05)
    later = space_heating_efficiency(4.4985, conversion_coefficient=1.9)
    assert later == pytest.approx(4.4985 / 1.9 - 0.03)


def test_an_impossible_scop_has_no_space_heating_efficiency() -> None:
    with pytest.raises(InputError, match="above zero"):
        space_heating_efficiency(0.0)


def test_bins_that_do_not_fit_together_are_refused() -> None:
    with pytest.raises(InputError, match="2 temperatures and 1 hours"):
        Bins(outdoor_c=np.array([1.0, 2.0]), hours=np.array([1.0]))
    with pytest.raises(InputError, match="do not rise"):
        Bins(outdoor_c=np.array([2.0, 1.0]), hours=np.array([1.0, 1.0]))
    with pytest.raises(InputError, match="zero or more"):
        Bins(outdoor_c=np.array([1.0, 2.0]), hours=np.array([1.0, -1.0]))


def test_shipped_tables_have_one_row_for_each_bin() -> None:
    assert len(read_table("ratings", "europe_heating_bins.csv")) == 38
    assert len(read_table("ratings", "europe_cooling_bins.csv")) == 24
