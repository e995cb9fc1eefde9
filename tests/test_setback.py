"""Setback and preheating against steady heat: energy, peak, backup, cost, fall and recovery."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.report.room_day.table import saved_words
from energymodel.scenario.files import read_scenario
from energymodel.study.room_day.room_case import RoomCase, RoomCases, RoomChoice, room_cases
from energymodel.study.room_day.set_points import SetPeriod, day_set_points, read_period
from energymodel.study.room_day.setback import (
    SetbackResult,
    WinterRun,
    recovery,
    setback,
    winter_hours,
)
from energymodel.units import c_from_f
from energymodel.weather.year import with_table

# Room, price and tariff of this file are invented; only relations between results are checked.
ROOM = """
[place]
weather = "greensboro-nc"
[room]
area = "380 ft2"
indoor = { heating = "70 degF", cooling = "75 degF" }
heating = { ua = "170 Btu/(h degF)", balance_temperature = "60 degF" }
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Strips"
[option.heating]
kind = "heat pump"
unit = "single-speed-24"
backup = { heater = { kind = "electric resistance", capacity = "8 kW" } }
"""
FLAT = '[price.electricity]\nenergy = 0.14\nper = "kWh"\n'
TARIFF = """name = "Rate"
currency = "USD"
effective = 2026-01-01
[[energy]]
name = "E"
[[energy.period]]
name = "on"
price = 0.40
when = [ { days = "every day", hours = "6-9" } ]
[[energy.period]]
name = "off"
price = 0.10
"""
NIGHT = SetPeriod(indoor_c=c_from_f(62.0), start_min=22 * 60, end_min=6 * 60)


def _scenario(folder: Path, price: str = FLAT) -> Path:
    (folder / "rate.toml").write_text(TARIFF, "utf-8")
    (folder / "room.toml").write_text(ROOM + price, "utf-8")
    return folder / "room.toml"


@pytest.fixture(scope="module")
def night(tmp_path_factory: pytest.TempPathFactory) -> SetbackResult:
    return setback(_scenario(tmp_path_factory.mktemp("room")), lower=[NIGHT],
                   options=["Baseboard", "Strips"])  # fmt: skip


@pytest.fixture(scope="module")
def cases(tmp_path_factory: pytest.TempPathFactory) -> RoomCases:
    scenario = read_scenario(_scenario(tmp_path_factory.mktemp("cases")))
    return room_cases(scenario, ["Baseboard"], RoomChoice())


def _in_weather(cases: RoomCases, outdoor_c: np.ndarray) -> RoomCase:
    weather = cases.model.weather
    table = weather.table.assign(outdoor_c=outdoor_c)
    model = replace(cases.model, weather=with_table(weather, table))
    return replace(cases.cases[0], model=model)


def test_a_setback_saves_the_heat_that_the_cooler_room_does_not_lose(cases: RoomCases) -> None:
    # analytic: in steady cold, over whole days, heat saved = UA x mean fall of the room
    case = _in_weather(cases, np.full(8760, -5.0))
    hours = np.arange(24 * 12)
    base_c = c_from_f(70.0)
    steady = case.run(hours, np.full(hours.size * 60, base_c))
    changed = case.run(hours, np.tile(day_set_points(base_c, [NIGHT]), 12))
    last = slice(-24 * 60 * 6, None)
    saved_w = steady.heat_w[last].mean() - changed.heat_w[last].mean()
    fall_k = steady.mean_air_c[last].mean() - changed.mean_air_c[last].mean()
    assert fall_k > 0.5
    assert saved_w == pytest.approx(case.room.ua_w_per_k * fall_k, rel=0.03)


def test_a_room_left_alone_falls_by_its_two_exponentials(cases: RoomCases) -> None:
    # analytic: the air is a sum of two exponentials, so values at equal spans are tied by the sum
    # and the product of the two decays
    case = _in_weather(cases, np.full(8760, -5.0))
    hours = np.arange(24)
    # the heater's usual set-point lies far below: it never starts in these hours
    targets = np.concatenate([np.full(60, 21.0), np.full(23 * 60, -40.0)])
    trace = case.run(hours, targets)
    air = trace.air_c[70::180][:5]  # every three hours
    assert trace.heat_w[71:].max() == 0.0
    rest_c = -5.0 + case.room.gains_w / case.room.ua_w_per_k
    slow, fast = case.room.rates_per_s()
    one, two = np.exp(-slow * 3 * 3600.0), np.exp(-fast * 3 * 3600.0)
    over = air - rest_c
    np.testing.assert_allclose(
        over[2:], (one + two) * over[1:-1] - one * two * over[:-2], rtol=1e-6
    )


def test_no_change_of_set_point_changes_nothing(tmp_path: Path) -> None:
    at_rest = SetPeriod(indoor_c=c_from_f(70.0), start_min=300, end_min=360)
    result = setback(_scenario(tmp_path), preheat=[at_rest], options=["Baseboard"])
    one = result.outcomes[0]
    assert one.changed.electricity_kwh == pytest.approx(one.steady.electricity_kwh, rel=1e-12)
    assert one.recovery.nights == 0
    assert not [notice for notice in result.notices if notice.topic == "pipes"]


def test_a_setback_saves_heat_and_raises_the_peak(night: SetbackResult) -> None:
    for one in night.outcomes:
        assert one.changed.heat_kwh < one.steady.heat_kwh
        assert one.changed.lowest_c < one.steady.lowest_c
        assert one.changed.peak_kw >= one.changed.peak_hour_kw * (1.0 - 1e-12)
    strips = night.outcomes[1]
    assert strips.changed.peak_kw > strips.steady.peak_kw + 1.0


def test_recovery_on_strips_costs_backup_hours(night: SetbackResult) -> None:
    plain, strips = night.outcomes
    assert strips.changed.backup_h > strips.steady.backup_h
    assert plain.changed.backup_h == 0.0
    # 8 kW whenever they are on
    assert strips.changed.backup_kwh == pytest.approx(8.0 * strips.changed.backup_h, rel=1e-9)


def test_a_flat_price_times_the_energy_is_the_cost(night: SetbackResult) -> None:
    for one in night.outcomes:
        for run in (one.steady, one.changed):
            assert run.cost == pytest.approx(0.14 * run.electricity_kwh, rel=1e-12)


def test_fall_and_recovery_are_within_the_change_of_the_set_point(night: SetbackResult) -> None:
    change_k, band_k = 8.0 / 1.8, 1.0
    for one in night.outcomes:
        usual_k, most_k = one.recovery.fall_k
        assert 0.5 < usual_k <= most_k
        # on warm evenings the room starts above its set-point, up to the cooling set-point
        assert most_k < change_k + band_k + 5.0 / 1.8
        usual_h, longest_h = one.recovery.hours
        assert 0.0 < usual_h <= longest_h < 16.0
        assert one.recovery.not_reached == 0


def test_preheating_moves_use_out_of_the_dear_hours_and_pays_under_time_of_use(
    tmp_path: Path,
) -> None:
    scenario = _scenario(tmp_path, '[price.electricity]\ntariff = "rate.toml"\n')
    one = setback(
        scenario,
        lower=[read_period("65 degF 6-9")],
        preheat=[read_period("73 degF 4-6")],
        options=["Baseboard"],
    ).outcomes[0]
    assert one.changed.cost < one.steady.cost
    # between the lowest and the highest price, and much nearer to the lowest than when steady
    steady, changed = (run.cost / run.electricity_kwh for run in (one.steady, one.changed))
    assert 0.10 < changed < steady < 0.40
    # held steady, 3 of 24 hours are dear, and they are the coldest of the day
    assert steady == pytest.approx(0.10 + 0.30 * 3.0 / 24.0, rel=0.10)


def test_the_winter_is_joined_over_new_year(cases: RoomCases) -> None:
    hours = winter_hours(cases)
    stamps = cases.model.weather.table.index[hours]
    assert isinstance(stamps, pd.DatetimeIndex)
    months = list(dict.fromkeys(stamps.month))
    assert months[0] > 8
    assert 12 in months
    assert months.index(1) == months.index(12) + 1
    assert 7 not in months
    load_w = cases.cases[0].line.load_w(cases.model.weather.outdoor_c)
    assert load_w[hours].sum() > 0.97 * load_w.sum()


def test_a_winter_of_the_south_is_found_too(cases: RoomCases) -> None:
    outdoor_c = np.roll(cases.model.weather.outdoor_c, 4380)
    case = _in_weather(cases, outdoor_c)
    hours = winter_hours(replace(cases, model=case.model, cases=(case,)))
    months = list(dict.fromkeys(case.model.weather.month[hours]))
    assert 7 in months
    assert 1 not in months
    assert (np.diff(hours) == 1).all()


def test_a_room_that_is_not_warm_in_time_is_counted(cases: RoomCases) -> None:
    case = _in_weather(cases, np.full(8760, -25.0))
    targets = day_set_points(21.1, [replace(NIGHT, indoor_c=12.0, start_min=7 * 60)])
    found = recovery(case.run(np.arange(72), np.tile(targets, 3)))
    assert found.not_reached > 0
    assert found.hours[1] == pytest.approx(1.0)  # all of the hour between 6 and 7


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("65 degF 22-6", (1320, 360)),
        ("18.5 degC 5:30-7:15", (330, 435)),
        (" 65degF  0-24 ", None),
        ("65 degF 24-6", (0, 360)),
    ],
)
def test_a_period_is_read_as_it_is_written(text: str, minutes: tuple[int, int] | None) -> None:
    if minutes is None:
        with pytest.raises(InputError, match="same time"):
            read_period(text)
        return
    period = read_period(text)
    assert (period.start_min, period.end_min) == minutes


@pytest.mark.parametrize(
    "text", ["65 degF", "65 22-6", "22-6", "65 degF 25-6", "65 degF 5:70-6", "120 degF 1-2", ""]
)
def test_a_period_that_cannot_be_meant_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read_period(text, where="--setback")
    assert caught.value.expected
    assert caught.value.where == "--setback"


@given(start=st.integers(0, 1439), end=st.integers(0, 1439))
def test_a_period_covers_the_minutes_between_its_ends(start: int, end: int) -> None:
    period = SetPeriod(indoor_c=18.0, start_min=start, end_min=end)
    covered = period.minutes()
    length = (end - start) % 1440
    assert covered.sum() == (length or 1440)
    if length:
        assert covered[start]
        assert not covered[end]
        assert period.hours == pytest.approx(length / 60.0)


def test_preheating_holds_where_it_meets_a_setback() -> None:
    warm = SetPeriod(indoor_c=21.0, start_min=300, end_min=360)
    minutes = day_set_points(21.0, [NIGHT], [warm])
    assert minutes[299] == NIGHT.indoor_c
    assert (minutes[300:] >= NIGHT.indoor_c).all()
    assert (minutes[300:1320] == 21.0).all()


@pytest.mark.parametrize(
    ("text", "usual"), [("75 degF 22-6", "70 degF"), ("24 degC 22-6", "21.1 degC")]
)
def test_a_setback_that_is_none_is_refused_in_the_unit_it_was_written_in(
    text: str, usual: str
) -> None:
    period = read_period(text)
    with pytest.raises(ManyFaultsError) as caught:
        day_set_points(c_from_f(70.0), [period])
    (fault,) = caught.value.faults
    written = text.removesuffix(" 22-6")
    assert fault.what == f"a setback to {written} is not below the usual set-point of {usual}"
    assert fault.where == "--setback"
    assert usual in fault.expected
    assert "--preheat" in fault.remedy


def test_a_printed_saving_is_the_difference_of_the_printed_costs() -> None:
    steady = WinterRun(
        electricity_kwh=1178.0, fuel_kwh={}, heat_kwh=1.0, backup_kwh=0.0, backup_h=0.0,
        peak_kw=1.0, peak_hour_kw=1.0, cost=216.8, mean_c=21.0, lowest_c=20.6,
    )  # fmt: skip
    changed = replace(steady, electricity_kwh=1140.0, cost=209.4)
    # 217 and 209 are printed: 7.4 between them would be a third number
    assert saved_words(steady, changed, "USD") == "$8 less a winter"
    assert saved_words(changed, steady, "USD") == "$8 more a winter"
    assert saved_words(steady, replace(steady, cost=216.9), "USD") == "the same cost"


def test_all_faults_of_a_schedule_are_told_at_once() -> None:
    warm = SetPeriod(indoor_c=23.0, start_min=0, end_min=60)
    with pytest.raises(EnergyModelError) as caught:
        day_set_points(21.0, [warm, warm], [replace(NIGHT, indoor_c=15.0)])
    for part in ("not below", "lies below", "overlap"):
        assert part in str(caught.value)
