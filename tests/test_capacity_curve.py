"""Load and output against outdoor temperature, and where they meet; straight lines as truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.building.load import LoadLine
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.curves import Frost, Function, TablePoint, map_from_table
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.electric_furnace import ElectricFurnace
from energymodel.equipment.flows import Conditions, Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.operation import Operation
from energymodel.equipment.resistance import Resistance
from energymodel.season.option import Option
from energymodel.study.comparison.capacity_curve import capacity_curve
from energymodel.study.pump_changes import pump_alone
from energymodel.units import c_from_f
from energymodel.weather.year import Site, WeatherYear, year_of_table

RATED_INDOOR_C = c_from_f(70.0)  # indoor factors are 1 there
SITE = Site(
    name="Somewhere", latitude_deg=40.0, longitude_deg=-75.0, elevation_m=0.0, utc_offset_h=-5.0
)
LINE = LoadLine(slope_w_per_k=100.0, balance_c=15.0, indoor_c=RATED_INDOOR_C, heating=True)


def weather(coldest_c: float = -20.0, hottest_c: float = 35.0) -> WeatherYear:
    hours = pd.date_range("2001-01-01", periods=8760, freq="h", name="hour")
    swing = 0.5 * (1.0 - np.cos(2.0 * np.pi * np.arange(8760) / 8760.0))
    outdoor_c = coldest_c + (hottest_c - coldest_c) * swing
    humidity = np.where(outdoor_c < 0.0, 90.0, 60.0)
    return year_of_table(
        pd.DataFrame({"outdoor_c": outdoor_c, "relative_humidity_pct": humidity}, index=hours),
        site=SITE,
        kind="observed",
        source="computed",
    )


YEAR = weather()
NEAR_K = 1e-6  # a load counts as carried to 1e-9 of it, which is some 1e-8 K here


def pump(
    *rows: tuple[float, float], frost: Frost = Frost.INCLUDED, speed: str = "full"
) -> HeatPump:
    points = [TablePoint(speed=speed, outdoor_c=t, capacity_w=q, power_w=q / 2.5) for t, q in rows]
    performance = map_from_table(points, function=Function.HEATING, frost=frost, cd=0.25)
    return HeatPump(performance=performance)


# Q = 4000 + 100 T meets 100 (15 - T) at -12.5
STRAIGHT = pump((-20.0, 2000.0), (10.0, 5000.0))


def option(heating: Source | None, line: LoadLine = LINE) -> Option:
    return Option(
        name="test",
        heating=heating,
        cooling=None,
        heating_load=line,
        cooling_load=None,
        heating_indoor_c=RATED_INDOOR_C,
        cooling_indoor_c=24.0,
    )


def balances(source: Source, year: WeatherYear = YEAR) -> tuple[float, ...]:
    curve = capacity_curve(option(source), year, Function.HEATING)
    assert curve is not None
    return curve.capacity_balances_c


def test_the_capacity_balance_is_where_two_straight_lines_meet() -> None:
    assert balances(STRAIGHT) == pytest.approx((-12.5,), abs=NEAR_K)


def test_derates_move_the_capacity_balance() -> None:
    # 0.9 (4000 + 100 T) = 100 (15 - T)
    derated = replace(STRAIGHT, capacity_factor=0.9)
    assert balances(derated) == pytest.approx((-2100.0 / 190.0,), abs=NEAR_K)


def test_ducts_move_the_capacity_balance_and_their_fan_helps_to_heat() -> None:
    # 0.8 (4000 + 100 T + F) = 100 (15 - T)
    for fan_w in (0.0, 100.0):
        ducted = Ducted(
            source=STRAIGHT, efficiency=0.8, function=Function.HEATING, extra_fan_w=fan_w
        )
        expected = (1500.0 - 0.8 * (4000.0 + fan_w)) / 180.0
        assert balances(ducted) == pytest.approx((expected,), abs=NEAR_K)


@pytest.mark.parametrize(
    "source",
    [
        BackupWith(main=STRAIGHT, backup=Resistance()),
        BackupInstead(main=STRAIGHT, backup=ElectricFurnace(capacity_w=9000.0, blower_w=200.0)),
        BackupWith(main=BackupWith(main=STRAIGHT, backup=Resistance()), backup=Resistance()),
    ],
    ids=["with", "instead", "twice"],
)
def test_backup_does_not_count(source: Source) -> None:
    assert pump_alone(source) is STRAIGHT
    assert balances(source) == pytest.approx((-12.5,), abs=NEAR_K)


def test_heaters_have_no_curve() -> None:
    assert pump_alone(None) is None
    assert pump_alone(Resistance()) is None
    furnace = ElectricFurnace(capacity_w=9000.0, blower_w=200.0)
    ducted = Ducted(source=furnace, efficiency=0.8, function=Function.HEATING)
    assert pump_alone(ducted) is None
    assert capacity_curve(option(ducted), YEAR, Function.HEATING) is None
    assert capacity_curve(option(STRAIGHT), YEAR, Function.COOLING) is None


def test_a_cut_out_above_the_crossing_is_the_balance() -> None:
    cut = replace(STRAIGHT, operation=Operation(off_c=-5.0))
    assert balances(cut) == pytest.approx((-5.0,), abs=NEAR_K)
    curve = capacity_curve(option(cut), YEAR, Function.HEATING)
    assert curve is not None
    below = curve.outdoor_c <= -5.0
    assert not curve.full_w[below].any()
    assert curve.short[below].all()


def test_between_cut_out_and_cut_in_half_of_the_load_is_short_however_large_the_output() -> None:
    half = replace(STRAIGHT, operation=Operation(off_c=-5.0, on_c=0.0))
    assert balances(half) == pytest.approx((0.0,), abs=NEAR_K)
    curve = capacity_curve(option(half), YEAR, Function.HEATING)
    assert curve is not None
    between = (curve.outdoor_c > -4.9) & (curve.outdoor_c < -0.1)
    np.testing.assert_allclose(curve.delivered_w[between], 0.5 * curve.load_w[between])


def test_several_crossings_are_listed_from_the_mildest() -> None:
    # 1200 + 380 T and 1200 - 140 T against 1500 - 100 T
    dip = pump((-15.0, 3300.0), (0.0, 1200.0), (10.0, 5000.0))
    assert balances(dip, weather(coldest_c=-15.0)) == pytest.approx((0.625, -7.5), abs=NEAR_K)


def test_a_large_unit_always_and_a_stopped_unit_never_carries_the_load() -> None:
    large = capacity_curve(option(pump((-20.0, 9000.0))), YEAR, Function.HEATING)
    assert large is not None
    assert large.capacity_balance_c is None
    assert not large.short.any()
    assert large.short_c.size == 0
    stopped = replace(STRAIGHT, operation=Operation(off_c=20.0))
    never = capacity_curve(option(stopped), YEAR, Function.HEATING)
    assert never is not None
    assert never.capacity_balance_c is None
    assert never.short[:-1].all()


@given(
    at_zero_w=st.floats(1000.0, 6000.0),
    rise_w_per_k=st.floats(20.0, 150.0),
    slope_w_per_k=st.floats(50.0, 300.0),
)
def test_any_two_straight_lines_meet_where_algebra_says(
    at_zero_w: float, rise_w_per_k: float, slope_w_per_k: float
) -> None:
    meets_c = (slope_w_per_k * 15.0 - at_zero_w) / (slope_w_per_k + rise_w_per_k)
    cold_w = at_zero_w - 20.0 * rise_w_per_k
    if not (-19.9 < meets_c < 14.8 and cold_w > 100.0):
        return
    unit = pump((-20.0, cold_w), (15.0, at_zero_w + 15.0 * rise_w_per_k))
    line = replace(LINE, slope_w_per_k=slope_w_per_k)
    curve = capacity_curve(option(unit, line), YEAR, Function.HEATING)
    assert curve is not None
    assert curve.capacity_balances_c == pytest.approx((meets_c,), abs=NEAR_K)


def test_short_hours_are_the_hours_colder_than_the_balance() -> None:
    curve = capacity_curve(option(STRAIGHT), YEAR, Function.HEATING)
    assert curve is not None
    assert curve.short_c.size == int((YEAR.outdoor_c < -12.5).sum())
    assert curve.short_c.max() < -12.5


def test_the_curve_reaches_the_design_temperature_and_ends_where_the_load_does() -> None:
    curve = capacity_curve(option(STRAIGHT), YEAR, Function.HEATING, also_c=[-23.0])
    assert curve is not None
    assert curve.outdoor_c[0] == pytest.approx(-23.0)
    assert curve.outdoor_c[-1] == pytest.approx(15.0)
    assert curve.load_w[-1] == 0.0
    assert curve.extrapolated[0]
    assert not curve.extrapolated[curve.outdoor_c > -20.0].any()


def test_frost_is_drawn_at_the_mean_humidity_of_hours_below_45_f() -> None:
    steady = pump((-20.0, 2000.0), (10.0, 5000.0), frost=Frost.STEADY)
    curve = capacity_curve(option(steady), YEAR, Function.HEATING)
    assert curve is not None
    cold = YEAR.outdoor_c < c_from_f(45.0)
    expected = YEAR.relative_humidity_pct[cold].mean()
    assert curve.humidity_pct == pytest.approx(expected)
    warm = curve.outdoor_c > c_from_f(45.0)
    clear = 4000.0 + 100.0 * curve.outdoor_c
    np.testing.assert_allclose(curve.full_w[warm], clear[warm])
    assert (curve.full_w[~warm] < clear[~warm]).all()
    without = capacity_curve(option(STRAIGHT), YEAR, Function.HEATING)
    assert without is not None
    assert without.humidity_pct is None


def test_the_lowest_output_is_that_of_the_lowest_speed_in_the_room() -> None:
    points = [
        TablePoint(speed=name, outdoor_c=t, capacity_w=q, power_w=q / 3.0)
        for name, t, q in [
            ("minimum", -20.0, 600.0),
            ("minimum", 15.0, 1300.0),
            ("full", -20.0, 3000.0),
            ("full", 15.0, 6500.0),
        ]
    ]
    inverter = HeatPump(
        performance=map_from_table(
            points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25
        ),
        capacity_factor=0.9,
        operation=Operation(off_c=-10.0),
    )
    ducted = Ducted(source=inverter, efficiency=0.8, function=Function.HEATING, extra_fan_w=50.0)
    curve = capacity_curve(option(ducted), weather(coldest_c=-9.0), Function.HEATING)
    assert curve is not None
    unit_w = 0.9 * (1000.0 + 20.0 * curve.outdoor_c)
    np.testing.assert_allclose(curve.lowest_w, 0.8 * (unit_w + 50.0))
    np.testing.assert_allclose(curve.full_w, 0.8 * (5.0 * unit_w + 50.0), rtol=1e-6)
    at = Conditions(
        outdoor_c=np.array([-12.0, 5.0]),
        relative_humidity_pct=np.array([80.0, 80.0]),
        indoor_c=RATED_INDOOR_C,
    )
    np.testing.assert_allclose(inverter.lowest_output_w(at), [0.0, 0.9 * 1100.0])


def test_months_with_open_windows_have_no_short_hours() -> None:
    points = [TablePoint(speed="full", outdoor_c=35.0, capacity_w=500.0, power_w=200.0)]
    cooler = HeatPump(
        performance=map_from_table(points, function=Function.COOLING, frost=Frost.INCLUDED, cd=0.25)
    )
    cooled = replace(
        option(None),
        cooling=cooler,
        cooling_load=LoadLine(slope_w_per_k=80.0, balance_c=20.0, indoor_c=24.0, heating=False),
        months_without_cooling=frozenset({6, 7}),
    )
    curve = capacity_curve(cooled, YEAR, Function.COOLING)
    assert curve is not None
    assert curve.capacity_balance_c == pytest.approx(20.0 + 500.0 / 80.0)
    beyond = YEAR.outdoor_c > 20.0 + 500.0 / 80.0
    assert curve.short_c.size == int((beyond & ~np.isin(YEAR.month, [6, 7])).sum())
