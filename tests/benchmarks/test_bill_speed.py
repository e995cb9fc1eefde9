"""How long a year of bills takes; nothing about time is asserted."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from energymodel.tariffs.bill import Bill, prepare
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_form import tariff_from_toml

pytestmark = pytest.mark.benchmark
ZONE = "America/Toronto"

# Prices and hours of the Ontario regulated plans of 1 Nov 2022, time of use and tiered (published),
# with the seasonal demand and ratchet of an industrial record of the open US utility rate database
# (quoted): tiers x periods x seasons x demand in one tariff.
TEXT = """
name = "tiers, time of use, seasons, demand"
[seasons]
summer = "1 May to 31 Oct"
winter = "1 Nov to 30 Apr"
[holidays]
country = "CA"
subdivision = "ON"
[[fixed]]
name = "Fixed charge"
price = "275 per month"
[[energy]]
name = "Energy"
blocks_count = "{count}"
[[energy.period]]
name = "on-peak"
blocks = [{{ up_to = "600 kWh per month", price = 0.151 }}, {{ price = 0.167 }}]
when = [
  {{ seasons = "winter", days = "weekdays", hours = ["7-11", "17-19"] }},
  {{ seasons = "summer", days = "weekdays", hours = "11-17" }},
]
[[energy.period]]
name = "mid-peak"
blocks = [{{ up_to = "600 kWh per month", price = 0.102 }}, {{ price = 0.118 }}]
when = [
  {{ seasons = "summer", days = "weekdays", hours = ["7-11", "17-19"] }},
  {{ seasons = "winter", days = "weekdays", hours = "11-17" }},
]
[[energy.period]]
name = "off-peak"
blocks = [{{ up_to = "600 kWh per month", price = 0.074 }}, {{ price = 0.090 }}]
[[demand]]
name = "Demand"
interval = "60 min"
ratchet = {{ percent = 35, look_back = 11 }}
[[demand.period]]
name = "summer"
price = 11.5
when = {{ seasons = "summer" }}
[[demand.period]]
name = "winter"
price = 10.5
when = {{ seasons = "winter" }}
[[percent]]
name = "Rebate"
percent = -11.7
"""


def _load(columns: int) -> np.ndarray:
    return np.random.default_rng(1).gamma(2.0, 1.0, (8760, columns))


def _bill_from_scratch(tariff: Tariff, load: np.ndarray) -> Bill:
    return prepare(tariff, year_clock(2022, zone=ZONE)).bill(load)


@pytest.mark.parametrize("count", ["month total", "time order"])
def test_a_year_of_hours_with_its_calendar(benchmark: Callable[..., Any], count: str) -> None:
    tariff = tariff_from_toml(TEXT.format(count=count))
    bill = benchmark(_bill_from_scratch, tariff, _load(1)[:, 0])
    assert len(bill.periods) == 12
    assert bill.total > 0


@pytest.mark.parametrize("columns", [1, 100])
def test_a_year_of_hours_on_a_calendar_laid_once(
    benchmark: Callable[..., Any], columns: int
) -> None:
    prepared = prepare(
        tariff_from_toml(TEXT.format(count="month total")), year_clock(2022, zone=ZONE)
    )
    bill = benchmark(prepared.bill, _load(columns))
    assert bill.total.shape == (columns,)
