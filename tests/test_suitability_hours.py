"""Units against hours: what is short, the coldest spell, cold-hour counts, cycling, pull-up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.building.load import LoadLine
from energymodel.equipment.curves import Frost, Function, PerformanceMap, TablePoint, map_from_table
from energymodel.equipment.heat_pump import HeatPump, no_indoor_effect
from energymodel.equipment.operation import Operation
from energymodel.scenario.catalogue import catalogue_unit
from energymodel.study.suitability.capacity import cold_hours, service_fit
from energymodel.study.suitability.hours import (
    Duty,
    Installed,
    coldest_spell,
    cycles_per_hour,
    longest_run_h,
    shortfall,
)
from energymodel.study.suitability.use import PullUp, SpareDuct, shared_unit
from energymodel.units import c_from_f
from energymodel.weather.library import shipped_year
from energymodel.weather.year import Site, WeatherYear

LINE = LoadLine(slope_w_per_k=100.0, balance_c=15.0, indoor_c=20.0, heating=True)
HEATING = Duty(function=Function.HEATING, line=LINE, indoor_c=20.0)


def made_year(outdoor_c: np.ndarray) -> WeatherYear:
    """A year of invented hours; the rest of it is at 15 degC, without a load."""
    whole = np.full(8760, 15.0)
    whole[: outdoor_c.size] = outdoor_c
    site = Site(
        name="made", latitude_deg=45.0, longitude_deg=-90.0, elevation_m=0.0, utc_offset_h=-6.0
    )
    starts = np.datetime64("2019-01-01T00", "s") + np.arange(8760) * np.timedelta64(3600, "s")
    columns = {"outdoor_c": whole, "relative_humidity_pct": np.full(8760, 50.0)}
    return WeatherYear(
        site=site, starts=starts, columns=columns, kind="observed", source="invented"
    )


def constant_map(lowest_w: float, full_w: float) -> PerformanceMap:
    """Two speeds that give the same at every temperature."""
    points = [
        TablePoint(speed=name, outdoor_c=at, capacity_w=w, power_w=w / cop)
        for name, w, cop in (("minimum", lowest_w, 4.0), ("full", full_w, 2.0))
        for at in (-30.0, 20.0)
    ]
    return map_from_table(points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.0)


def constant_unit(lowest_w: float, full_w: float, **limits: float) -> Installed:
    pump = HeatPump(
        performance=constant_map(lowest_w, full_w),
        operation=Operation(**limits),
        indoor_factors=no_indoor_effect,
    )
    return Installed(pump=pump)


# --- analytic cases -----------------------------------------------------------------------------


def test_hours_energy_and_longest_run_short_are_those_of_the_arithmetic():
    # 100 W/K from 15 degC: 2,500 W at -10 degC, 3,500 W at -20 degC; the unit gives 3,000 W.
    year = made_year(np.array([-10.0, -20.0, -20.0, -10.0, -20.0]))
    fit = service_fit(constant_unit(500.0, 3000.0), HEATING, [year], design_c=-10.0)
    short = fit.worst.short
    assert (short.hours, short.longest_run_h) == (3, 2)
    assert short.energy_kwh == pytest.approx(1.5)
    assert short.load_kwh == pytest.approx(2 * 2.5 + 3 * 3.5)
    assert fit.cover_w == pytest.approx(500.0)
    assert fit.size_ratio == pytest.approx(3000.0 / 2500.0)
    assert not fit.short_at_design


def test_a_unit_as_large_as_the_design_load_carries_it_and_one_watt_less_does_not():
    year = made_year(np.array([-10.0]))
    assert service_fit(constant_unit(500.0, 2500.0), HEATING, [year], design_c=-10.0).carries
    assert not service_fit(constant_unit(500.0, 2499.0), HEATING, [year], design_c=-10.0).carries


def test_at_the_lowest_temperature_nothing_is_given_and_all_of_the_load_is_short():
    year = made_year(np.array([-5.0, -18.0, -18.1, 0.0]))
    fit = service_fit(constant_unit(500.0, 9000.0, off_c=-18.0), HEATING, [year], design_c=-5.0)
    assert fit.below_h == 2
    assert fit.worst.below_kwh == pytest.approx(3.3 + 3.31)
    assert fit.worst.short.energy_kwh == pytest.approx(3.3 + 3.31)


def test_the_worst_year_decides():
    mild, hard = made_year(np.array([-10.0])), made_year(np.array([-10.0, -25.0]))
    fit = service_fit(constant_unit(500.0, 3000.0), HEATING, [mild, hard], design_c=-10.0)
    assert [year.short.hours for year in fit.years] == [0, 1]
    assert fit.worst is fit.years[1]
    assert not fit.carries


def test_below_the_lowest_output_the_hours_and_starts_are_those_of_the_law():
    # 500 W at 10 degC is half of the lowest output: N = Nmax = 3 (common practice).
    year = made_year(np.array([10.0, 10.0, 0.0]))
    cycling = service_fit(constant_unit(1000.0, 9000.0), HEATING, [year], design_c=0.0).cycling
    assert (cycling.hours, cycling.loaded_h) == (2, 3)
    assert cycling.energy_share == pytest.approx(1.0 / 2.5)
    assert cycling.per_hour == pytest.approx(3.0)
    assert cycling.starts == pytest.approx(6.0)


@given(share=st.floats(0.0, 1.0), most=st.floats(0.5, 12.0))
def test_starts_are_most_at_half_load_and_the_same_on_both_sides_of_it(share, most):
    both = cycles_per_hour(np.array([share, 1.0 - share, 0.5]), most=most)
    assert both[0] == pytest.approx(both[1], abs=1e-9)
    assert both[0] <= both[2] + 1e-12 == pytest.approx(most)


@given(st.lists(st.booleans(), max_size=60))
def test_the_longest_run_is_that_of_a_count_one_by_one(values):
    best = run = 0
    for value in values:
        run = run + 1 if value else 0
        best = max(best, run)
    assert longest_run_h(np.array(values, dtype=bool)) == best


@given(
    load=st.lists(st.floats(0.0, 1e4), min_size=1, max_size=40),
    share=st.floats(0.0, 1.0),
)
def test_what_is_short_is_between_nothing_and_the_load(load, share):
    load_w = np.array(load)
    short = shortfall(load_w, load_w * share)
    assert 0.0 <= short.energy_kwh <= short.load_kwh * (1.0 + 1e-12)
    assert short.longest_run_h <= short.hours <= load_w.size


def test_the_coldest_spell_is_found_where_it_was_put():
    cold = np.full(400, 15.0)
    cold[200:272] = -20.0
    spell = coldest_spell(made_year(cold))
    assert (spell.start, spell.mean_c, spell.lowest_c) == (200, -20.0, -20.0)
    assert spell.begins == "9 January"  # hour 200 of the year


def test_of_two_speeds_that_differ_only_in_ducts_the_room_gets_the_efficiency():
    year = made_year(np.array([-10.0, -10.0]))
    bare = constant_unit(500.0, 3000.0)
    ducted = Installed(pump=bare.pump, carried=0.8)
    fit = service_fit(ducted, HEATING, [year], design_c=-10.0)
    assert fit.design_output_w == pytest.approx(2400.0)
    assert fit.worst.short.energy_kwh == pytest.approx(2 * 0.1)


# --- cold-hour counts of real files -------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "counts"),
    [
        # Hours at or below 32, 17 and 5 F as read from the TMY3 file of Greensboro 723170 that
        # pvlib 0.16.1 brings, and of Newark EWR 2013 as observed, of which the fill of 30 hours
        # adds none at or below 17 F (computed).
        ("greensboro-nc", {32.0: 849, 17.0: 136, 5.0: 6}),
        ("newark-nj-2013", {17.0: 46, 5.0: 0}),
    ],
)
def test_a_room_that_cools_all_year_has_the_cold_hours_of_the_file(key, counts):
    cooling = Duty(
        function=Function.COOLING,
        line=LoadLine(slope_w_per_k=20.0, balance_c=-60.0, indoor_c=24.0, heating=False),
        indoor_c=24.0,
    )
    year = shipped_year(key)
    for limit_f, hours in counts.items():
        assert cold_hours(cooling, [year], c_from_f(limit_f) + 1e-9).hours == hours


def test_hours_in_which_a_standard_unit_stands_still_are_the_cold_hours_of_the_file():
    # 20 F: lowest cooling temperature of the standard unit. Of the 5 F bins of Greensboro the ones
    # below 20 F hold 5 + 12 + 48 + 166 hours as read, lower edge included (computed).
    unit = catalogue_unit("inverter-standard-12")
    assert unit.cooling is not None
    pump = HeatPump(performance=unit.cooling, operation=Operation(off_c=c_from_f(20.0)))
    line = LoadLine(slope_w_per_k=10.0, balance_c=-60.0, indoor_c=24.0, heating=False)
    duty = Duty(function=Function.COOLING, line=line, indoor_c=24.0)
    year = shipped_year("greensboro-nc")
    fit = service_fit(Installed(pump=pump), duty, [year], design_c=33.0)
    at_20_f = int(np.isclose(year.outdoor_c, c_from_f(20.0), atol=1e-6).sum())
    assert fit.below_h - at_20_f == 5 + 12 + 48 + 166
    assert fit.worst.short.hours == fit.below_h


def test_heating_hours_below_the_cut_out_of_a_cold_year_are_counted_for_heating_alone():
    year = shipped_year("greensboro-nc")
    fit = service_fit(
        constant_unit(500.0, 9000.0, off_c=c_from_f(5.0) + 1e-9), HEATING, [year], design_c=-5.0
    )
    assert fit.below_h == 6  # at or below 5 F (computed), all of them with a heating load
    assert fit.above_h == 0


# --- rooms in use now and then, ducts, shared units ---------------------------------------------

ROOM = PullUp(line=LINE, capacity_j_per_k=3.6e6, from_c=5.0, hours=2.0)


def test_with_hardly_any_heat_loss_the_pull_up_is_heat_capacity_over_time():
    tight = PullUp(
        line=LoadLine(slope_w_per_k=1e-6, balance_c=20.0, indoor_c=20.0, heating=True),
        capacity_j_per_k=3.6e6,
        from_c=5.0,
        hours=2.0,
    )
    # 3.6 MJ/K = 1 kWh/K; 15 K in 2 h.
    assert tight.needed_w(0.0) == pytest.approx(7500.0, rel=1e-6)


def test_with_all_the_time_of_the_world_the_pull_up_is_the_load():
    slow = PullUp(line=LINE, capacity_j_per_k=3.6e6, from_c=5.0, hours=1000.0)
    assert slow.needed_w(-10.0) == pytest.approx(2500.0)


def test_the_pull_up_agrees_with_small_steps_of_time():
    needed_w, room_c, step_s = ROOM.needed_w(-10.0), 5.0, 1.0
    gains_w = 100.0 * (20.0 - 15.0)  # set-point less balance temperature, times UA
    for _ in range(7200):
        room_c += step_s * (needed_w + gains_w - 100.0 * (room_c + 10.0)) / 3.6e6
    assert room_c == pytest.approx(20.0, abs=2e-3)


@given(hours=st.floats(0.2, 24.0), outdoor_c=st.floats(-30.0, 4.0))
def test_the_output_of_the_pull_up_takes_its_time(hours, outdoor_c):
    pull = PullUp(line=LINE, capacity_j_per_k=3.6e6, from_c=5.0, hours=hours)
    assert pull.time_h(pull.needed_w(outdoor_c), outdoor_c) == pytest.approx(hours, rel=1e-6)


def test_an_output_below_the_load_never_warms_the_room():
    assert math.isinf(ROOM.time_h(2400.0, -10.0))


def test_keeping_from_freezing_takes_the_load_at_the_lower_set_point():
    # 15 K lower set-point: balance at 0 degC, 10 K above -10 degC.
    assert ROOM.frost_load_w(-10.0) == pytest.approx(1000.0)
    assert ROOM.frost_load_w(3.0) == 0.0


def test_ducts_carry_an_addition_up_to_their_spare_capacity():
    spare = {"refused": False, "capacity_w": 10e3, "house_load_w": 7e3, "measured": True}
    even = SpareDuct(room_load_w=2400.0, efficiency=0.8, **spare)
    assert even.spare_w == even.needed_w == pytest.approx(3000.0)
    assert even.lost_w == pytest.approx(600.0)
    assert even.carries
    assert not SpareDuct(room_load_w=2401.0, efficiency=0.8, **spare).carries
    assert SpareDuct(room_load_w=3000.0, efficiency=None, **spare).carries


def test_ducts_to_a_garage_are_refused_however_much_they_could_carry():
    garage = SpareDuct(
        refused=True, capacity_w=1e5, house_load_w=0.0, room_load_w=1.0, efficiency=1.0,
        measured=True,
    )  # fmt: skip
    assert not garage.carries


def test_a_shared_outdoor_unit_is_held_against_one_room_alone():
    year = made_year(np.array([10.0, 5.0, -5.0, -15.0]))  # 500, 1,000, 2,000, 3,000 W
    # Turn-down of several heads 2.5:1 to 4:1 (common practice).
    guessed = shared_unit(3, 8000.0, None, HEATING, year)
    assert guessed.lowest_w == pytest.approx((2000.0, 3200.0))
    assert guessed.below == (0.5, 1.0)
    known = shared_unit(3, 8000.0, 600.0, HEATING, year)
    assert known.below == (0.25, 0.25)
