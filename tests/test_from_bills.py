"""The house from its bills: weather on exact days, fit, load, base, normal year, savings."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from energymodel.building.change_point_forms import HEATING_3P, HEATING_DEGREE_DAYS, MEAN
from energymodel.economics.fuels import heat_content
from energymodel.errors import InputError
from energymodel.meters.bills import Bill, periods_from_bills
from energymodel.meters.periods import Meter, MeterPeriods
from energymodel.meters.reading_file import read_readings
from energymodel.study.house.base_use import base_use
from energymodel.study.house.bill_line import check_bill_line
from energymodel.study.house.bill_load import MeteredSystem, cooling_load, heating_load
from energymodel.study.house.from_bills import BillFit, fit_readings
from energymodel.study.house.normal_year import normal_use, normalised_saving, set_point_effect
from energymodel.study.house.period_weather import (
    DailyWeather,
    daily_weather,
    temperatures_of_days,
    temperatures_of_hours,
    year_of_days,
)
from energymodel.units import KWH_PER_THERM
from energymodel.weather.degree_days import degree_days_daily_mean
from energymodel.weather.library import shipped_year
from energymodel.weather.year import WeatherYear, with_table

UA_W_PER_K = 180.0
BALANCE_C = 15.5
BASE_KWH = 14.0
AFUE = 0.80
READ_DAYS = (
    "2013-01-03 2013-02-04 2013-03-06 2013-04-03 2013-05-06 2013-06-04 2013-07-03 2013-08-05 "
    "2013-09-04 2013-10-02 2013-11-04 2013-12-03 2013-12-31"
)


@pytest.fixture(scope="module")
def newark() -> WeatherYear:
    return shipped_year("newark-nj-2013")


@pytest.fixture(scope="module")
def days_2013(newark: WeatherYear) -> DailyWeather:
    return daily_weather([newark])


def gas_of_a_house(
    weather: DailyWeather, *, noise: float = 0.0, ua_w_per_k: float = UA_W_PER_K, seed: int = 1
) -> MeterPeriods:
    """Therms that a house of known heat loss burns between ragged read days (computed)."""
    random = np.random.default_rng([2013, seed])
    read_days = [date.fromisoformat(day) for day in READ_DAYS.split()]
    bills = []
    for first, last in pairwise(read_days):
        start = (first - weather.first_day).days
        daily_c = weather.daily_c[start : start + (last - first).days]
        heat_kwh = ua_w_per_k * 24 / 1000 * np.maximum(BALANCE_C - daily_c, 0.0).sum()
        kwh = heat_kwh / AFUE + BASE_KWH * daily_c.size
        therm = kwh / KWH_PER_THERM * (1.0 + noise * random.normal())
        bills.append(Bill(first_day=first, last_day=last, amount=float(therm)))
    return periods_from_bills(bills, Meter(carrier="natural gas", unit="therm"))


@pytest.fixture(scope="module")
def exact(days_2013: DailyWeather) -> BillFit:
    return fit_readings(gas_of_a_house(days_2013), days_2013)


@pytest.fixture(scope="module")
def noisy(days_2013: DailyWeather) -> BillFit:
    return fit_readings(gas_of_a_house(days_2013, noise=0.05), days_2013)


def texts(notices: object) -> str:
    return " ".join(notice.text for notice in notices)  # type: ignore[attr-defined]


def test_bills_without_noise_give_back_the_house(exact: BillFit) -> None:
    assert exact.fit.form is HEATING_DEGREE_DAYS
    load = heating_load(exact, MeteredSystem(efficiency=AFUE), indoor_c=20.0)
    # by construction (analytic)
    assert load.line.slope_w_per_k == pytest.approx(UA_W_PER_K, rel=1e-6)
    assert load.line.balance_c == pytest.approx(BALANCE_C, abs=1e-5)
    assert load.base_kwh_per_day.likely == pytest.approx(BASE_KWH, rel=1e-5)
    assert load.load_w(-10.0).likely == pytest.approx(UA_W_PER_K * (BALANCE_C + 10.0), rel=1e-5)


def test_bands_of_noisy_bills_mostly_hold_the_house(days_2013: DailyWeather) -> None:
    held = []
    for seed in range(16):
        bills = fit_readings(gas_of_a_house(days_2013, noise=0.05, seed=seed), days_2013)
        load = heating_load(bills, MeteredSystem(efficiency=AFUE), indoor_c=20.0)
        bands = load.slope_w_per_k, load.balance_c, load.base_kwh_per_day, load.load_w(-10.0)
        design_w = UA_W_PER_K * (BALANCE_C + 10.0)
        true = UA_W_PER_K, BALANCE_C, BASE_KWH, design_w
        held.append([band.holds(value) for band, value in zip(bands, true, strict=True)])
    # nominal 90 %; the slow test of the bands measures the coverage on 400 sets
    assert (np.mean(held, axis=0) >= 0.75).all()


def test_the_design_load_is_known_better_than_the_slope(noisy: BillFit) -> None:
    load = heating_load(noisy, MeteredSystem(efficiency=AFUE), indoor_c=20.0)
    design, slope = load.load_w(-10.0), load.slope_w_per_k
    # slope and balance temperature vary against each other
    assert (design.high - design.low) / design.likely < (slope.high - slope.low) / slope.likely


def test_ducts_and_an_uncertain_efficiency_scale_and_widen_the_load(noisy: BillFit) -> None:
    plain = heating_load(noisy, MeteredSystem(efficiency=0.8), indoor_c=20.0)
    ducted = heating_load(noisy, MeteredSystem(efficiency=0.8, duct_efficiency=0.75), indoor_c=20.0)
    unsure = heating_load(noisy, MeteredSystem(efficiency=0.8, uncertainty=0.15), indoor_c=20.0)
    assert ducted.line.slope_w_per_k == pytest.approx(0.75 * plain.line.slope_w_per_k)
    assert ducted.line.balance_c == plain.line.balance_c
    widths = [load.slope_w_per_k.high - load.slope_w_per_k.low for load in (plain, unsure)]
    # independent errors add in squares: +-15 % of the slope beside the band of the fit
    both = np.hypot(widths[0], 0.30 * plain.line.slope_w_per_k)
    assert widths[1] == pytest.approx(both, rel=0.15)
    assert "taken as exact" in texts(plain.notices)
    assert "taken as exact" not in texts(unsure.notices)


def test_a_balance_above_the_set_point_is_pointed_out(exact: BillFit) -> None:
    load = heating_load(exact, MeteredSystem(efficiency=AFUE), indoor_c=14.0)
    assert "above the set-point" in texts(load.notices)


def test_an_impossible_efficiency_is_refused() -> None:
    with pytest.raises(InputError, match="efficiency of 80"):
        MeteredSystem(efficiency=80.0)
    with pytest.raises(InputError, match="uncertainty of 8"):
        MeteredSystem(efficiency=0.8, uncertainty=8.0)


def test_gas_gives_no_cooling_load(exact: BillFit) -> None:
    with pytest.raises(InputError, match="no cooling load line"):
        cooling_load(exact, MeteredSystem(efficiency=3.0), indoor_c=24.0)


def test_electricity_that_heats_and_cools_gives_both_lines(days_2013: DailyWeather) -> None:
    gas = gas_of_a_house(days_2013)
    temperatures = temperatures_of_days(gas, days_2013)
    heat = temperatures.degrees_below(np.array([14.0]))[0]
    cool = temperatures.degrees_above(np.array([20.0]))[0]
    per_day = 12.0 + 3.0 * heat + 1.5 * cool
    periods = tuple(
        replace(period, amount=use * period.days)
        for period, use in zip(gas.periods, per_day, strict=True)
    )
    readings = MeterPeriods(meter=Meter(carrier="electricity", unit="kWh"), periods=periods)
    bills = fit_readings(readings, days_2013)
    heating = heating_load(bills, MeteredSystem(efficiency=1.0), indoor_c=20.0)
    cooling = cooling_load(bills, MeteredSystem(efficiency=3.2), indoor_c=24.0)
    # 3 and 1.5 kWh per day and kelvin x 1000 / 24 (analytic)
    assert heating.line.slope_w_per_k == pytest.approx(125.0, rel=1e-5)
    assert cooling.line.slope_w_per_k == pytest.approx(200.0, rel=1e-5)
    assert (heating.line.heating, cooling.line.heating) == (True, False)
    assert cooling.load_w(30.0).likely == pytest.approx(2000.0, rel=1e-5)
    assert "Summer periods hold cooling" in texts(base_use(bills).notices)


def test_use_that_does_not_follow_the_weather_gives_no_load(days_2013: DailyWeather) -> None:
    gas = gas_of_a_house(days_2013)
    periods = tuple(
        replace(period, amount=period.days * (10.0 + 0.2 * (-1.0) ** at))
        for at, period in enumerate(gas.periods)
    )
    bills = fit_readings(replace(gas, periods=periods), days_2013)
    assert bills.fit.form is MEAN
    with pytest.raises(InputError, match="does not rise in the cold"):
        heating_load(bills, MeteredSystem(efficiency=AFUE), indoor_c=20.0)


def test_base_methods_stand_side_by_side_with_their_spread(exact: BillFit) -> None:
    base = base_use(exact)
    methods = [estimate.method for estimate in base.estimates]
    assert methods[0].startswith("fit")
    assert methods[1:] == ["mean of the 3 lowest periods", "mean of the 3 summer periods"]
    # the fit knows the base; the simple rules hold a little heating of cool days (analytic)
    assert base.estimates[0].kwh_per_day == pytest.approx(BASE_KWH, rel=1e-5)
    assert all(BASE_KWH - 1e-6 <= one.kwh_per_day < 1.2 * BASE_KWH for one in base.estimates)
    assert base.high_kwh_per_day >= base.low_kwh_per_day
    assert "Water heating takes more in winter" in texts(base.notices)


def test_a_normal_year_is_base_and_slope_times_degree_days(exact: BillFit) -> None:
    greensboro = shipped_year("greensboro-nc")
    year = normal_use(exact, [year_of_days(greensboro)])
    degree_days = degree_days_daily_mean(greensboro.outdoor_c, BALANCE_C).heating_k_day
    expected = 365 * BASE_KWH + UA_W_PER_K * 24 / 1000 * degree_days / AFUE
    assert year.mean_kwh.likely == pytest.approx(expected, rel=1e-5)
    assert year.years[0].label == "typical year"


def test_several_years_give_median_and_spread(noisy: BillFit, days_2013: DailyWeather) -> None:
    colder = replace(days_2013, outdoor_c=days_2013.outdoor_c - 1.0, label="colder")
    milder = replace(days_2013, outdoor_c=days_2013.outdoor_c + 1.0, label="milder")
    result = normal_use(noisy, [days_2013, colder, milder])
    low, high = result.spread_kwh
    assert low < result.median_kwh < high
    assert result.median_kwh == result.years[0].use_kwh.likely
    assert result.mean_kwh.low < result.mean_kwh.likely < result.mean_kwh.high
    with pytest.raises(InputError, match="no weather year"):
        normal_use(noisy, [])


def test_a_saving_is_stated_under_one_weather_with_its_band(
    noisy: BillFit, days_2013: DailyWeather
) -> None:
    sealed = fit_readings(
        gas_of_a_house(days_2013, noise=0.05, ua_w_per_k=0.75 * UA_W_PER_K, seed=2), days_2013
    )
    year = year_of_days(shipped_year("greensboro-nc"))
    saving = normalised_saving(noisy, sealed, year)
    degree_days = np.maximum(BALANCE_C - year.daily_c, 0.0).sum()
    true = 0.25 * UA_W_PER_K * 24 / 1000 * degree_days / AFUE
    assert saving.saved_kwh.holds(true)
    assert saving.is_certain
    assert not normalised_saving(noisy, noisy, year).is_certain
    assert saving.saved_share.low < saving.saved_share.likely < saving.saved_share.high


def test_savings_between_fuels_are_refused(noisy: BillFit, days_2013: DailyWeather) -> None:
    other = replace(
        noisy, readings=replace(noisy.readings, meter=Meter(carrier="electricity", unit="kWh"))
    )
    with pytest.raises(InputError, match="compare fuels by their cost"):
        normalised_saving(noisy, other, days_2013)


def test_a_higher_set_point_moves_the_balance_by_as_much(
    exact: BillFit, days_2013: DailyWeather
) -> None:
    effect = set_point_effect(exact, days_2013, 2.0)
    daily = days_2013.daily_c
    more = np.maximum(BALANCE_C + 2.0 - daily, 0).sum() - np.maximum(BALANCE_C - daily, 0).sum()
    assert effect.likely == pytest.approx(UA_W_PER_K * 24 / 1000 * more / AFUE, rel=1e-5)
    assert set_point_effect(exact, days_2013, -2.0).likely < 0


def test_weather_is_taken_from_exactly_the_days_of_a_period(
    newark: WeatherYear, days_2013: DailyWeather
) -> None:
    readings = gas_of_a_house(days_2013)
    first = newark.table["outdoor_c"]["2013-01-03":"2013-02-03"]
    days, hours = (of(readings, days_2013) for of in (temperatures_of_days, temperatures_of_hours))
    assert days.count[0] == 32
    assert hours.count[0] == 32 * 24
    assert days.mean_c[0] == pytest.approx(first.mean(), abs=1e-9)
    assert hours.mean_c[0] == pytest.approx(first.mean(), abs=1e-9)


def test_a_period_that_the_weather_does_not_cover_is_named(days_2013: DailyWeather) -> None:
    late = Bill(first_day=date(2013, 12, 20), last_day=date(2014, 1, 20), amount=5.0)
    early = Bill(first_day=date(2013, 11, 20), last_day=date(2013, 12, 20), amount=4.0)
    readings = periods_from_bills([early, late], Meter(carrier="natural gas", unit="therm"))
    with pytest.raises(InputError, match="does not cover 2013-12-20 to 2014-01-20"):
        temperatures_of_days(readings, days_2013)


def test_observed_years_are_joined_and_gaps_between_them_stay_open(newark: WeatherYear) -> None:
    shifted = newark.table.copy()
    shifted.index = shifted.index + timedelta(days=730)
    later = with_table(newark, shifted)
    joined = daily_weather([later, newark])
    assert joined.first_day == date(2013, 1, 1)
    assert joined.end_day == date(2016, 1, 1)
    assert np.isnan(joined.daily_c).sum() == 365
    with pytest.raises(InputError, match="stands twice"):
        daily_weather([newark, newark])
    with pytest.raises(InputError, match="no weather year"):
        daily_weather([])


def test_a_typical_year_has_no_real_days() -> None:
    with pytest.raises(InputError, match="no real days"):
        daily_weather([shipped_year("greensboro-nc")])


# seen on utility pages: too few actual periods are refused
def test_too_few_actual_periods_are_refused_with_the_merged_count(
    days_2013: DailyWeather,
) -> None:
    whole = gas_of_a_house(days_2013)
    bills = [
        Bill(
            first_day=period.first_day,
            last_day=period.end_day,
            amount=period.amount,
            estimated=at % 3 != 2,
        )
        for at, period in enumerate(whole.periods)
    ]
    readings = periods_from_bills(bills, whole.meter)
    with pytest.raises(InputError, match=r"4 actual periods .* merging 8 estimated ones"):
        fit_readings(readings, days_2013)


def test_winter_bills_alone_give_no_load_line_and_say_what_is_missing(
    days_2013: DailyWeather,
) -> None:
    readings = gas_of_a_house(days_2013, noise=0.01)
    cold = [
        period for period in readings.periods if period.first_day.month in (1, 2, 3, 10, 11, 12)
    ]
    winter = replace(readings, periods=tuple(cold[:7]))
    bills = fit_readings(winter, days_2013)
    assert "a season is missing" in texts(bills.notices)
    with pytest.raises(InputError, match="give no heating load line") as refused:
        heating_load(bills, MeteredSystem(efficiency=AFUE), indoor_c=20.0)
    assert "summer" in refused.value.remedy
    assert "--balance" in refused.value.remedy
    assert "degC" not in str(refused.value)
    assert len(str(refused.value)) < 450


def test_a_volume_lists_its_heat_content_and_asks_for_the_factor(
    days_2013: DailyWeather,
) -> None:
    therm = gas_of_a_house(days_2013)
    ccf = replace(therm, meter=Meter(carrier="natural gas", unit="ccf"))
    assumed = fit_readings(ccf, days_2013)
    assert assumed.used_defaults[0].value == "1,037 Btu/cubic_foot, edition EIA 2019"
    assert "ask the supplier" in texts(assumed.notices)
    given = fit_readings(ccf, days_2013, given_heat_content="1.02 therm/ccf")
    assert given.used_defaults == ()
    ratio = given.bands.base_per_day.likely / fit_readings(therm, days_2013).fit.base_per_day
    assert ratio == pytest.approx(1.02, rel=1e-9)


def test_a_unit_that_the_carrier_is_not_sold_in_is_refused(days_2013: DailyWeather) -> None:
    wrong = replace(gas_of_a_house(days_2013), meter=Meter(carrier="natural gas", unit="gallon"))
    with pytest.raises(InputError, match="not sold per 'gallon'"):
        fit_readings(wrong, days_2013)


def test_forms_can_be_chosen_by_hand(days_2013: DailyWeather) -> None:
    bills = fit_readings(gas_of_a_house(days_2013), days_2013, forms=[HEATING_3P])
    assert bills.fit.form is HEATING_3P


# user problem A21 (data-import issue): 24 m3 on a bill are 264 kWh; m3 shown as kWh cost 5.8 times
# too little (11.0 kWh per m3, computed from the published pair)
def test_cubic_metres_taken_for_kwh_are_caught_against_the_bill() -> None:
    with pytest.raises(InputError, match="cubic metres of gas against kWh"):
        check_bill_line(24.0, heat_content("natural gas", "kWh"), "264 kWh")
    metres = heat_content("natural gas", "m3", given="11.0 kWh/m3")
    assert check_bill_line(24.0, metres, "264 kWh").ratio == pytest.approx(1.0)


# seen in data-import issues: therms labelled ccf; confirmed against one bill line
def test_therms_labelled_ccf_are_caught_against_the_bill() -> None:
    as_ccf = heat_content("natural gas", "ccf", given="1.037 therm/ccf")
    with pytest.raises(InputError, match="ccf against therm"):
        check_bill_line(50.0, as_ccf, "50 therm")
    with pytest.raises(InputError, match="therm against kWh"):
        check_bill_line(1465.0, heat_content("natural gas", "therm"), "1465 kWh")


def test_twelve_ragged_bills_on_disk_take_under_two_seconds(
    tmp_path: Path, days_2013: DailyWeather
) -> None:
    rows = [
        f"{period.first_day},{period.end_day},{period.amount:.1f}"
        for period in gas_of_a_house(days_2013, noise=0.03).periods
    ]
    path = tmp_path / "gas.csv"
    path.write_text("from,to,use (therm)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    start = time.process_time()
    bills = fit_readings(read_readings(path, carrier="natural gas"), days_2013)
    load = heating_load(bills, MeteredSystem(efficiency=AFUE), indoor_c=20.0)
    assert time.process_time() - start < 2.0
    assert load.line.slope_w_per_k == pytest.approx(UA_W_PER_K, rel=0.2)
