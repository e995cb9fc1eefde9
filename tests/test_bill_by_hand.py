"""One year under one tariff, added up hour by hour without the package's arrays."""

from __future__ import annotations

from calendar import monthrange
from collections import defaultdict
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import holidays
import numpy as np
import pytest

from energymodel.tariffs.bill import prepare
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.toml_form import tariff_from_toml

ZONE = "America/New_York"
TEXT = """
name = "all kinds of lines"
[seasons]
summer = "15 May to 14 Oct"
[holidays]
country = "US"
[[baseline]]
per_day = "9 kWh"
seasons = "summer"
[[fixed]]
name = "Customer charge"
price = "12.50 per month"
[[fixed]]
name = "Meter"
price = "0.10 per day"
[[energy]]
name = "Generation"
[[energy.period]]
name = "on-peak"
when = { seasons = "summer", days = "weekdays", hours = ["14-20", "6:30-7"] }
blocks = [{ up_to = "1 x baseline", price = 0.21 }, { price = 0.34 }]
[[energy.period]]
name = "off-peak"
blocks = [{ up_to = "300 kWh per month", price = 0.08 }, { up_to = "25 kWh per day", price = 0.11 },
          { price = 0.15 }]
[[rider]]
name = "Fuel"
price = [-0.01, 0.0, 0.01, 0.0, 0.0, 0.02, 0.02, 0.0, 0.0, 0.0, 0.0, -0.01]
[[demand]]
name = "Demand"
interval = "60 min"
price = 3.0
ratchet = { percent = 60, look_back = 2 }
when = { hours = "7-22" }
[[minimum]]
name = "Minimum"
price = "100 per month"
[[percent]]
name = "Tax"
percent = 6.5
"""
FUEL = [-0.01, 0.0, 0.01, 0.0, 0.0, 0.02, 0.02, 0.0, 0.0, 0.0, 0.0, -0.01]


def _in_summer(day: date) -> bool:
    return (5, 15) <= (day.month, day.day) <= (10, 14)


def _blocks(use: float, limits: list[float], prices: list[float]) -> float:
    money, low = 0.0, 0.0
    for limit, price in zip([*limits, float("inf")], prices, strict=True):
        money += max(min(use, limit) - low, 0.0) * price
        low = max(low, min(use, limit))
    return money


def _by_hand(load: np.ndarray, year: int) -> list[float]:
    off = set(holidays.country_holidays("US", years=year))
    use: dict[tuple[int, str], float] = defaultdict(float)
    peak: dict[int, float] = defaultdict(float)
    moment = datetime(year, 1, 1, tzinfo=ZoneInfo(ZONE)).timestamp()
    for kwh in load:
        wall = datetime.fromtimestamp(moment, tz=ZoneInfo(ZONE))
        working = wall.weekday() < 5 and wall.date() not in off
        on_peak = _in_summer(wall.date()) and working and 14 <= wall.hour < 20
        use[wall.month, "on" if on_peak else "off"] += kwh
        if 7 <= wall.hour < 22:
            peak[wall.month] = max(peak[wall.month], kwh)
        moment += 3600.0
    return [_month(month, year, use, peak) for month in range(1, 13)]


def _month(
    month: int, year: int, use: dict[tuple[int, str], float], peak: dict[int, float]
) -> float:
    days = monthrange(year, month)[1]
    on, other = use.get((month, "on"), 0.0), use[month, "off"]
    total = on + other
    dates = [date(year, month, 1) + timedelta(days=number) for number in range(days)]
    baseline = 9.0 * sum(map(_in_summer, dates))
    energy = on / total * _blocks(total, [baseline], [0.21, 0.34])
    energy += other / total * _blocks(total, [300.0, 25.0 * days], [0.08, 0.11, 0.15])
    before = max(peak[(month - 2) % 12 + 1], peak[(month - 3) % 12 + 1])
    demand = 3.0 * max(peak[month], 0.6 * before)
    charges = 12.5 + 0.1 * days + energy + FUEL[month - 1] * total + demand
    return max(charges, 100.0) * 1.065


@pytest.mark.parametrize("year", [2022, 2023])
def test_a_year_of_bills_is_what_adding_up_hour_by_hour_gives(year: int) -> None:
    load = np.random.default_rng(year).gamma(1.2, 0.6, 8760)
    load[3000:3100] *= 8.0
    bill = prepare(tariff_from_toml(TEXT), year_clock(year, zone=ZONE)).bill(load)
    assert bill.total_by_period.tolist() == pytest.approx(_by_hand(load, year), rel=1e-10)
    topped_up = bill.of_charge("Minimum")
    assert (topped_up > 0).any()
    assert (topped_up == 0).any()
