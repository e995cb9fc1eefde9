"""A year by hours, by distinct states and by bins: the same answer where it must be the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.curves import (
    Frost,
    Function,
    PerformanceMap,
    TablePoint,
    map_from_table,
)
from energymodel.equipment.flows import Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.kernel import modulating, time_shared
from energymodel.equipment.operation import Operation
from energymodel.equipment.resistance import Resistance
from energymodel.season.annual import annual
from energymodel.season.option import IdleUnit, Option
from energymodel.season.result import AnnualResult
from energymodel.season.states import (
    Indexing,
    bins_1k,
    bins_5f,
    distinct_states,
    every_hour,
)
from energymodel.units import c_from_f
from energymodel.weather.year import Site, WeatherYear, year_of_table

_TRIES = settings(max_examples=12, deadline=None)
_SITE = Site(
    name="invented", latitude_deg=45.0, longitude_deg=0.0, elevation_m=0.0, utc_offset_h=0.0
)


def _year(outdoor_c: Array, humidity_pct: Array) -> WeatherYear:
    index = pd.date_range("2023-01-01", periods=outdoor_c.size, freq="h")
    table = pd.DataFrame(
        {"outdoor_c": outdoor_c, "relative_humidity_pct": humidity_pct}, index=index
    )
    return year_of_table(table, site=_SITE, kind="typical", source="invented, seeded random")


def invented_year(seed: int) -> WeatherYear:
    """A cold-winter year of invented hours in steps of 0.1 K; some have no humidity."""
    random = np.random.default_rng(seed)
    hours = np.arange(8760)
    season = 9.0 - 15.0 * np.cos(2 * np.pi * (hours - 400) / 8760)
    day = -4.0 * np.cos(2 * np.pi * (hours - 3) / 24)
    noise = 5.0 * np.sin(hours / 37.0 + seed) + random.normal(0.0, 2.0, hours.size)
    humidity = np.round(random.uniform(35.0, 100.0, hours.size))
    humidity[random.random(hours.size) < 0.02] = np.nan
    return _year(np.round(season + day + noise, 1), humidity)


YEAR = invented_year(7)


def _map(function: Function, *, speeds: int, frost: Frost, staging: object) -> PerformanceMap:
    cold_f, warm_f = (5.0, 47.0) if function is Function.HEATING else (82.0, 95.0)
    cold_share = 0.7 if function is Function.HEATING else 1.05
    points = [
        TablePoint(
            speed=f"speed {speed}",
            outdoor_c=c_from_f(outdoor_f),
            capacity_w=1200.0 * 1.7**speed * share,
            power_w=1200.0 * 1.7**speed * share / cop * 1.04**speed,
        )
        for speed in range(speeds)
        for outdoor_f, share, cop in ((cold_f, cold_share, 2.0), (warm_f, 1.0, 3.8))
    ]
    return map_from_table(points, function=function, frost=frost, cd=0.2, staging=staging)  # type: ignore[arg-type]


@st.composite
def heating_sources(draw: st.DrawFn) -> Source:
    """A heat pump alone, with strips, or in turn with a furnace; or resistance."""
    performance = _map(
        Function.HEATING,
        speeds=draw(st.integers(1, 3)),
        frost=draw(st.sampled_from(Frost)),
        staging=draw(st.sampled_from([modulating, time_shared])),
    )
    pump = HeatPump(
        performance=performance,
        operation=Operation(
            off_c=draw(st.sampled_from([None, -12.0])), on_c=None, stop_below_cop_1=True
        ),
        in_service_factor=draw(st.sampled_from([1.0, 0.9])),
        frost_loss=draw(st.booleans()),
    )
    strips = Resistance(use="backup", capacity_w=draw(st.sampled_from([None, 1500.0])))
    furnace = Resistance(use="furnace", capacity_w=12_000.0)
    return draw(
        st.sampled_from(
            [
                pump,
                BackupWith(main=pump, backup=strips),
                BackupInstead(main=pump, backup=furnace),
                Resistance(),
            ]
        )
    )


_MONTHS = st.frozensets(st.integers(1, 12), max_size=4)


@st.composite
def options(draw: st.DrawFn) -> Option:
    """Any option without memory."""
    cooler = HeatPump(
        performance=_map(Function.COOLING, speeds=2, frost=Frost.STEADY, staging=modulating)
    )
    idle = IdlePower(controls_w=4.0, crankcase_w=30.0, pan_w=70.0, indoor_fan_w=12.0)
    return Option(
        name="invented",
        heating=draw(heating_sources()),
        cooling=draw(st.sampled_from([None, cooler])),
        heating_load=LoadLine(
            slope_w_per_k=draw(st.floats(40.0, 250.0)), balance_c=15.0, indoor_c=20.0, heating=True
        ),
        cooling_load=LoadLine(
            slope_w_per_k=draw(st.floats(40.0, 250.0)), balance_c=19.0, indoor_c=24.0, heating=False
        ),
        idle=draw(
            st.sampled_from(
                [
                    (),
                    (IdleUnit(idle=idle, heats=True, cools=True, months_off=draw(_MONTHS)),),
                    (
                        IdleUnit(idle=idle, heats=True, cools=False),
                        IdleUnit(idle=idle, heats=False, cools=True, months_off=draw(_MONTHS)),
                    ),
                ]
            )
        ),
        heating_indoor_c=draw(st.sampled_from([20.0, 21.1])),
        cooling_indoor_c=24.0,
        months_without_cooling=draw(_MONTHS),
    )


def assert_same_year(first: AnnualResult, second: AnnualResult, *, share: float) -> None:
    """Every column by month, as a share of the year's load, and the peaks."""
    year_kwh = first.total("heating_load_kwh") + first.total("cooling_load_kwh")
    assert list(first.columns) == list(second.columns)
    for name in first.columns:
        room = share * (8760.0 if name.endswith("_h") else year_kwh)
        assert first.month_totals(name) == pytest.approx(
            second.month_totals(name), rel=0, abs=room
        ), name
    assert first.peak_hour_kw == pytest.approx(second.peak_hour_kw, rel=1e-12)
    assert first.peak_running_kw == pytest.approx(second.peak_running_kw, rel=1e-12)


@_TRIES
@given(options())
def test_distinct_states_give_the_hourly_year_per_month_and_use(option: Option) -> None:
    hourly = annual(option, YEAR, indexing=every_hour)
    states = annual(option, YEAR, indexing=distinct_states)
    assert_same_year(hourly, states, share=1e-12)
    assert states.hourly_electricity_kwh() == pytest.approx(
        hourly.hourly_electricity_kwh(), rel=1e-12, abs=1e-12
    )
    assert len(states.states) < len(hourly.states)


@_TRIES
@given(options(), st.sampled_from([distinct_states, every_hour, bins_5f, bins_1k]))
def test_delivered_and_unmet_add_up_to_the_load_in_every_state(
    option: Option, indexing: Indexing
) -> None:
    year = annual(option, YEAR, indexing=indexing)
    for function in ("heating", "cooling"):
        if f"{function}_load_kwh" not in year.columns:
            continue
        load = year.columns[f"{function}_load_kwh"]
        parts = year.columns[f"{function}_delivered_kwh"] + year.columns[f"{function}_unmet_kwh"]
        assert parts == pytest.approx(load, rel=0, abs=1e-9 * float(load.max()))
    assert year.states.hours_in_month.sum() == 8760
    idle = [year.columns[name] for name in year.names("idle", "electricity")]
    assert all(np.all(values >= 0) for values in idle)


@_TRIES
@given(options())
def test_bins_of_5_f_are_exact_on_a_year_whose_hours_sit_on_their_centres(option: Option) -> None:
    whole = np.floor((YEAR.outdoor_c * 1.8 + 32) / 5.0)
    humidity = np.round(60.0 + 25.0 * np.sin(whole))  # one humidity per bin
    centred = _year(c_from_f(whole * 5.0 + 2.0), humidity)
    hourly = annual(option, centred, indexing=every_hour)
    assert_same_year(hourly, annual(option, centred, indexing=bins_5f), share=1e-12)


@_TRIES
@given(options())
def test_bins_of_1_k_are_exact_on_a_year_of_whole_degrees(option: Option) -> None:
    whole = np.round(YEAR.outdoor_c)
    centred = _year(whole, np.round(60.0 + 25.0 * np.sin(whole)))
    hourly = annual(option, centred, indexing=every_hour)
    assert_same_year(hourly, annual(option, centred, indexing=bins_1k), share=1e-12)


def _plain(**changes: object) -> Option:
    option = Option(
        name="invented",
        heating=Resistance(),
        cooling=None,
        heating_load=LoadLine(slope_w_per_k=100.0, balance_c=15.0, indoor_c=20.0, heating=True),
        cooling_load=None,
        heating_indoor_c=20.0,
        cooling_indoor_c=24.0,
    )
    return replace(option, **changes)  # type: ignore[arg-type]


def test_resistance_uses_the_degree_hours_of_the_year() -> None:
    # Analytic: kWh = UA x sum of (balance - T)+ over the hours / 1000.
    year = annual(_plain(), YEAR)
    degree_hours = float(np.maximum(15.0 - YEAR.outdoor_c, 0.0).sum())
    assert year.total("heating_electricity_resistance_kwh") == pytest.approx(
        degree_hours * 100.0 / 1000.0, rel=1e-12
    )
    assert year.cop_season("heating") == pytest.approx(1.0, rel=1e-12)


def test_hours_without_humidity_are_run_at_80_percent() -> None:
    # 80 % is our choice where a file has no humidity.
    pump = HeatPump(
        performance=_map(Function.HEATING, speeds=2, frost=Frost.STEADY, staging=modulating)
    )
    none = _year(YEAR.outdoor_c, np.full(8760, np.nan))
    steady = _year(YEAR.outdoor_c, np.full(8760, 80.0))
    first, second = (annual(_plain(heating=pump), year) for year in (none, steady))
    assert first.total("heating_electricity_defrost_kwh") > 0
    assert_same_year(first, second, share=1e-12)


def test_months_without_cooling_have_no_cooling_load_and_the_others_keep_theirs() -> None:
    cooler = HeatPump(
        performance=_map(Function.COOLING, speeds=1, frost=Frost.STEADY, staging=modulating)
    )
    line = LoadLine(slope_w_per_k=100.0, balance_c=18.0, indoor_c=24.0, heating=False)
    always = _plain(cooling=cooler, cooling_load=line)
    some = replace(always, months_without_cooling=frozenset({5, 9}))
    full, cut = (annual(option, YEAR).month_totals("cooling_load_kwh") for option in (always, some))
    assert full[4] > 0
    assert full[8] > 0
    expected = np.where(np.isin(np.arange(1, 13), [5, 9]), 0.0, full)
    assert cut == pytest.approx(expected, rel=1e-12)


def test_a_leap_year_keeps_its_8784_hours() -> None:
    outdoor_c = np.concatenate([YEAR.outdoor_c, YEAR.outdoor_c[:24]])
    index = pd.date_range("2024-01-01", periods=8784, freq="h")
    table = pd.DataFrame({"outdoor_c": outdoor_c, "relative_humidity_pct": 70.0}, index=index)
    leap = year_of_table(table, site=_SITE, kind="observed", source="invented")
    year = annual(_plain(), leap)
    assert year.states.hours_in_month[1].sum() == 29 * 24
    assert year.states.hours_in_month.sum() == 8784
    assert len(year.hourly(table.index)) == 8784
