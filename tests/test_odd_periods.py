"""Periods that do not go with the others are named, and no others are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.meters.periods import Meter, MeterPeriods, Period
from energymodel.study.house.bill_load import MeteredSystem, heating_load
from energymodel.study.house.from_bills import fit_readings
from energymodel.study.house.odd_periods import find_odd_periods
from energymodel.study.house.period_weather import DailyWeather, daily_weather
from energymodel.weather.library import shipped_year

FURNACE = MeteredSystem(efficiency=0.8)


@pytest.fixture(scope="module")
def weather() -> DailyWeather:
    return daily_weather([shipped_year("newark-nj-2013")])


def gas(weather: DailyWeather, *, noise: float = 0.01, seed: int = 1) -> MeterPeriods:
    """Therms of an invented house of 250 W/K below 16 degC, in whole units."""
    random = np.random.default_rng([33, seed])
    edges = [date(2013, month, 2) for month in range(1, 13)] + [date(2013, 12, 30)]
    periods = []
    for first, end in pairwise(edges):
        period = Period(first_day=first, end_day=end, amount=1.0)
        daily_c = weather.days_of(period).mean(axis=1)
        kwh = (250.0 * 24 / 1000 * np.maximum(16.0 - daily_c, 0.0) / 0.8 + 13.0).sum()
        therms = round(float(kwh) / 29.3071 * (1.0 + noise * random.normal()))
        periods.append(replace(period, amount=float(therms)))
    return MeterPeriods(meter=Meter(carrier="natural gas", unit="therm"), periods=tuple(periods))


def changed(readings: MeterPeriods, amounts: dict[int, float]) -> MeterPeriods:
    periods = [
        replace(one, amount=amounts.get(at, one.amount)) for at, one in enumerate(readings.periods)
    ]
    return replace(readings, periods=tuple(periods))


def told(readings: MeterPeriods, weather: DailyWeather) -> str:
    with pytest.raises(InputError) as refused:
        heating_load(fit_readings(readings, weather), FURNACE, indoor_c=20.0)
    return str(refused.value)


def test_a_slipped_decimal_point_is_named_with_its_factor(weather: DailyWeather) -> None:
    right = gas(weather)
    text = told(changed(right, {5: 100.0 * right.periods[5].amount}), weather)
    assert "2013-06-02 to 2013-07-02 shows" in text
    assert "about 100 times as much" in text
    assert "add bills of summer" not in text
    assert text.count(" shows ") == 1


def test_an_unmarked_estimate_and_the_read_after_it_are_named_together(
    weather: DailyWeather,
) -> None:
    right = gas(weather)
    low, high = 0.5 * right.periods[1].amount, right.periods[2].amount
    text = told(changed(right, {1: low, 2: high + low}), weather)
    assert "two neighbouring periods stand out: 2013-02-02 to 2013-03-02" in text
    assert "2013-03-02 to 2013-04-02" in text
    assert "mark the first one estimated" in text


def test_a_fit_that_still_gives_a_load_says_which_period_stands_out(
    weather: DailyWeather,
) -> None:
    right = gas(weather)
    bills = fit_readings(changed(right, {0: 1.4 * right.periods[0].amount}), weather)
    texts = [note.text for note in bills.notices if "stands out" in note.text]
    assert len(texts) == 1
    assert "2013-01-02 to 2013-02-02" in texts[0]
    assert texts[0].startswith("Not repaired")


@pytest.mark.parametrize("seed", range(4))
def test_bills_that_scatter_as_bills_do_name_no_period(seed: int, weather: DailyWeather) -> None:
    bills = fit_readings(gas(weather, noise=0.06, seed=seed), weather)
    assert find_odd_periods(bills.fit) is None
    assert not [note for note in bills.notices if "stand" in note.text]


def test_a_meter_that_only_cools_has_no_odd_period(weather: DailyWeather) -> None:
    random = np.random.default_rng(7)
    right = gas(weather)
    amounts = {}
    for at, period in enumerate(right.periods):
        daily_c = weather.days_of(period).mean(axis=1)
        kwh = (14.0 + 2.5 * np.maximum(daily_c - 20.0, 0.0)).sum()
        amounts[at] = float(kwh * (1.0 + 0.12 * random.normal()))
    power = replace(changed(right, amounts), meter=Meter(carrier="electricity", unit="kWh"))
    bills = fit_readings(power, weather)
    assert not [note for note in bills.notices if "stand" in note.text]


def test_a_use_that_never_follows_the_cold_is_not_blamed_on_one_period(
    weather: DailyWeather,
) -> None:
    amounts: Sequence[float] = [60.0, 61.0] * 6
    text = told(changed(gas(weather), dict(enumerate(amounts))), weather)
    assert "does not rise in the cold" in text
    assert " shows " not in text
