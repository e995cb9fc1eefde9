"""A house from its bills beside the catalogue, the rule of thumb and hot water."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest

from energymodel.building.fit_bands import Band
from energymodel.building.rough_load import Insulation
from energymodel.errors import InputError
from energymodel.meters.periods import Meter, MeterPeriods, Period
from energymodel.meters.reading_files import HouseReadings
from energymodel.study.house.bill_load import MeteredSystem, heating_load
from energymodel.study.house.billed_house import (
    HouseFacts,
    billed_house,
    covered_by,
    heating_carrier,
)
from energymodel.study.house.design_sizes import Carries, sizes_at_design, thumb_rules
from energymodel.study.house.from_bills import fit_readings
from energymodel.study.house.hot_water import HOT_C, mains_of, without_hot_water_rise
from energymodel.study.house.period_weather import DailyWeather, daily_weather
from energymodel.units import w_from_btu_h
from energymodel.weather.library import shipped_year

THERM_KWH = 29.3071


@pytest.fixture(scope="module")
def weather() -> DailyWeather:
    return daily_weather([shipped_year("newark-nj-2013")])


def monthly(amounts: np.ndarray, *, unit: str = "therm") -> MeterPeriods:
    edges = [date(2013, month, 2) for month in range(1, 13)] + [date(2013, 12, 30)]
    periods = tuple(
        Period(first_day=first, end_day=end, amount=float(amount))
        for (first, end), amount in zip(pairwise(edges), amounts, strict=True)
    )
    carrier = "electricity" if unit == "kWh" else "natural gas"
    return MeterPeriods(meter=Meter(carrier=carrier, unit=unit), periods=periods)


def gas_with_hot_water(
    weather: DailyWeather, *, water_kwh: float, other_kwh: float
) -> MeterPeriods:
    """Gas of 150 W/K below 15 degC at 80 %, and of hot water that follows the mains."""
    mains = mains_of(weather)
    warmest = HOT_C - mains.on_days(np.arange(1.0, 366.0)).max()
    amounts = []
    for period in monthly(np.zeros(12)).periods:
        daily_c = weather.days_of(period).mean(axis=1)
        days = [period.first_day + timedelta(days=at) for at in range(period.days)]
        number = np.array([float(day.timetuple().tm_yday) for day in days])
        water = water_kwh * (HOT_C - mains.on_days(number)) / warmest
        heat = 150.0 * 24 / 1000 / 0.8 * np.maximum(15.0 - daily_c, 0.0)
        amounts.append((heat + water + other_kwh).sum() / THERM_KWH)
    return monthly(np.array(amounts))


def test_the_winter_rise_of_hot_water_is_taken_off_the_heat_loss(weather: DailyWeather) -> None:
    bills = fit_readings(gas_with_hot_water(weather, water_kwh=12.0, other_kwh=3.0), weather)
    plain = heating_load(bills, MeteredSystem(efficiency=0.8), indoor_c=20.0)
    found = without_hot_water_rise(bills, weather, share_of_base=0.8)
    load = heating_load(found.bills, MeteredSystem(efficiency=0.8), indoor_c=20.0)
    # by construction (analytic): 150 W/K below 15 degC, 15 kWh a day in the warmest time
    assert load.line.slope_w_per_k == pytest.approx(150.0, rel=0.01)
    assert load.line.balance_c == pytest.approx(15.0, abs=0.15)
    assert load.base_kwh_per_day.likely == pytest.approx(15.0, rel=0.02)
    at_design = [one.load_w(-10.0).likely for one in (plain, load)]
    assert at_design[0] > 1.02 * at_design[1]
    assert found.rise_kwh > 300.0
    assert "taken as hot water" in found.notices[0].text


def test_no_share_of_hot_water_changes_nothing_and_an_impossible_one_is_refused(
    weather: DailyWeather,
) -> None:
    bills = fit_readings(gas_with_hot_water(weather, water_kwh=12.0, other_kwh=3.0), weather)
    same = without_hot_water_rise(bills, weather, share_of_base=0.0)
    np.testing.assert_allclose(same.bills.fit.coefficients, bills.fit.coefficients, rtol=1e-9)
    with pytest.raises(InputError, match="share of hot water of 80"):
        without_hot_water_rise(bills, weather, share_of_base=80.0)


def test_the_mains_lag_behind_the_air_and_swing_less(weather: DailyWeather) -> None:
    mains = mains_of(weather)
    year = mains.on_days(np.arange(1.0, 366.0))
    # a mean of about 6 F above that of the air (the form's own offset, from memory)
    assert year.mean() == pytest.approx(mains.mean_c + 6 / 1.8, abs=0.1)
    assert np.ptp(year) < mains.swing_k
    coldest, warmest = int(year.argmin()) + 1, int(year.argmax()) + 1
    assert 30 < coldest < 60
    assert 210 < warmest < 245
    with pytest.raises(InputError, match="yearly course"):
        mains_of(replace(weather, outdoor_c=weather.outdoor_c[:100]))


def test_sizes_are_told_by_what_of_the_band_they_carry() -> None:
    load = Band(low=3000.0, likely=3500.0, high=4000.0)
    sizes = sizes_at_design(load, design_c=-10.0, indoor_c=21.1)
    assert [size.output_w for size in sizes] == sorted(size.output_w for size in sizes)
    for size in sizes:
        assert size.share == pytest.approx(size.output_w / 3500.0)
        expected = (
            Carries.ALL
            if size.output_w >= 4000.0
            else Carries.LIKELY
            if size.output_w >= 3500.0
            else Carries.LOW
            if size.output_w >= 3000.0
            else Carries.NONE
        )
        assert size.carries is (Carries.STOPPED if size.output_w <= 0 else expected)
    # the class is the rated cooling capacity; cold-climate units give more than others there
    outputs = {size.key: size.output_w for size in sizes}
    assert outputs["inverter-cold-climate-12"] > outputs["inverter-standard-12"]
    assert outputs["inverter-cold-climate-24"] > outputs["inverter-cold-climate-12"]


def test_what_ducts_lose_is_taken_off_ducted_units_alone() -> None:
    load = Band(low=3000.0, likely=3500.0, high=4000.0)
    rated = {one.key: one for one in sizes_at_design(load, design_c=-5.0, indoor_c=21.0)}
    behind = sizes_at_design(load, design_c=-5.0, indoor_c=21.0, duct_efficiency=0.8)
    for size in behind:
        ducted = size.key in ("single-speed-24", "single-speed-36", "two-stage-36")
        factor = 0.8 if ducted else 1.0
        assert size.output_w == pytest.approx(factor * rated[size.key].output_w), size.key


def test_the_rule_of_thumb_is_the_trade_shortcut_over_the_load() -> None:
    load = Band(low=3000.0, likely=3500.0, high=4000.0)
    rules = {one.insulation: one for one in thumb_rules(load, floor_area_m2=100.0, height_m=2.4)}
    # 5 Btu/h per ft3, trade shortcut (quoted); 240 m3 are 8,475.5 ft3
    assert rules[Insulation.MEDIUM].load_w == pytest.approx(w_from_btu_h(5 * 8475.5), rel=1e-4)
    assert rules[Insulation.MEDIUM].share == pytest.approx(rules[Insulation.MEDIUM].load_w / 3500.0)


FACTS = HouseFacts(
    heating=MeteredSystem(efficiency=0.8), cooling=MeteredSystem(efficiency=3.0), design_c=-10.0
)


def test_the_one_fuel_heats_and_two_fuels_are_asked_about(weather: DailyWeather) -> None:
    gas = gas_with_hot_water(weather, water_kwh=8.0, other_kwh=2.0)
    power = monthly(np.full(12, 400.0) + np.arange(12), unit="kWh")
    both = HouseReadings(meters={"electricity": power, "natural gas": gas}, reports=())
    assert heating_carrier(both) == "natural gas"
    assert heating_carrier(both, "electricity") == "electricity"
    three = replace(both, meters={**both.meters, "propane": gas})
    with pytest.raises(InputError, match="electricity and natural gas and propane"):
        heating_carrier(three)
    with pytest.raises(InputError, match="are of electricity and natural gas"):
        heating_carrier(both, "propane")


def test_the_design_temperature_comes_from_the_weather_where_none_is_given(
    weather: DailyWeather,
) -> None:
    gas = HouseReadings(
        meters={"natural gas": gas_with_hot_water(weather, water_kwh=8.0, other_kwh=2.0)},
        reports=(),
    )
    year = shipped_year("newark-nj-2013")
    house = billed_house(gas, [year], replace(FACTS, design_c=None))
    assert house.design_c == pytest.approx(float(np.quantile(year.outdoor_c, 0.01)))
    assert house.design_load_w == house.heating.load_w(house.design_c)  # type: ignore[union-attr]
    assert billed_house(gas, [year], FACTS).design_c == -10.0


def test_electricity_that_heats_needs_to_know_by_what(weather: DailyWeather) -> None:
    gas = gas_with_hot_water(weather, water_kwh=8.0, other_kwh=2.0)
    power = monthly(gas.amount * THERM_KWH, unit="kWh")
    readings = HouseReadings(meters={"electricity": power}, reports=())
    year = shipped_year("newark-nj-2013")
    with pytest.raises(InputError, match="what turns it into heat is not said"):
        billed_house(readings, [year], replace(FACTS, heating=None))
    found = billed_house(readings, [year], FACTS)
    assert found.heating is not None
    assert found.cooling is None


def test_weather_that_covers_nothing_says_which_years_are_needed(weather: DailyWeather) -> None:
    gas = gas_with_hot_water(weather, water_kwh=8.0, other_kwh=2.0)
    later = replace(weather, first_day=date(2015, 1, 1), label="2015")
    with pytest.raises(InputError, match="covers no period") as refused:
        covered_by(gas, later)
    assert "2013-01-02" in refused.value.expected
