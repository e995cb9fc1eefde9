"""A tariff in plain words, and its prices by the hour."""

from __future__ import annotations

import numpy as np

from energymodel.tariffs.hour_prices import first_unit_prices
from energymodel.tariffs.toml_form import tariff_from_toml
from energymodel.tariffs.windows import DayKind
from energymodel.tariffs.words import tariff_words

TARIFF = tariff_from_toml(
    """
    name = "all kinds"
    [seasons]
    summer = ["1 Jun to 30 Sep"]
    [holidays]
    country = "CA"
    subdivision = "ON"
    every_year = ["24 Dec"]
    [[baseline]]
    per_day = "9.5 kWh"
    [[fixed]]
    name = "Customer charge"
    price = "12.5 per month"
    [[energy]]
    name = "Energy"
    [[energy.period]]
    name = "on-peak"
    when = { seasons = "summer", days = "weekdays", hours = ["6:30-9", "17-20"] }
    price = 0.3
    [[energy.period]]
    name = "off-peak"
    blocks = [{ up_to = "1 x baseline", price = 0.1 }, { up_to = "30 kWh per day", price = 0.12 },
              { price = 0.2 }]
    [[rider]]
    name = "Fuel"
    price = [0.01, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]
    [[demand]]
    name = "Demand"
    blocks = [{ up_to = "20 kW", price = 0 }, { price = 4 }]
    interval = "30 min"
    minimum = "5 kW"
    ratchet = { percent = 80, look_back = 11, months = ["Jul", "Aug"] }
    [[reactive]]
    name = "Reactive"
    price = 2.7
    allowance = 0.4
    [export]
    rule = "net billing"
    price = 0.05
    cap_percent = 120
    by_size = [{ below = "10 kW", percent = 100 }]
    [[minimum]]
    name = "Minimum"
    price = "4.50 per month"
    of = ["Energy"]
    [[percent]]
    name = "Rebate"
    percent = -11.7
    [[interruption]]
    name = "Cold evenings"
    at_or_below = "15 degF"
    when = { hours = "17-21" }
    """
)


def test_every_charge_is_said_in_a_sentence_with_all_its_numbers() -> None:
    assert tariff_words(TARIFF) == (
        "Season summer: 1 Jun to 30 Sep.",
        "Holidays (the public list of CA-ON, 24 Dec): billed as weekends.",
        "Baseline: 9.5 kWh a day.",
        "Customer charge: 12.50 a month.",
        "Energy, on-peak: 0.30 per kWh; summer weekdays 6:30-9 and 17-20 h.",
        "Energy, off-peak: 0.10 up to 1 times the baseline, 0.12 up to 30 kWh a day, 0.20 above,"
        " per kWh; all other hours.",
        "Energy: the use of all periods fills the blocks together; limits count all days of the"
        " bill, and each season has the blocks in its share of the use.",
        "Fuel, per kWh: Jan 0.01, Feb 0.00, Mar 0.00, Apr 0.00, May 0.00, Jun 0.00, Jul 0.00,"
        " Aug 0.00, Sep 0.00, Oct 0.00, Nov 0.00, Dec 0.00.",
        "Demand: 0.00 up to 20 kW, 4.00 above, per kW of the highest 30 minutes of the bill.",
        "Demand: at least 80 % of the highest of the 11 bills before in Jul, Aug.",
        "Demand: at least 5 kW are billed.",
        "Reactive: 2.70 per kvar above 0.4 kvar per kW.",
        "Export credit: net billing, settled with the bill in which Dec ends.",
        "Export credit: nothing is set off: what the meter counts in costs its price, what it"
        " counts out earns the export price.",
        "Export credit: 0.05 per kWh.",
        "Export credit: credit that is left then is lost.",
        "Export credit: 100 % for generators below 10 kW (exactly 10 is above).",
        "Export credit: at most 120 % of the use of the year before.",
        "Minimum: at least 4.50 a month in all, counting Energy.",
        "Rebate: -11.7 % of everything above.",
        "Cold evenings: no supply 17-21 h, outdoors at or below 15 degF.",
        "Rounding: each line, to 2 decimals, half away from zero; amounts a month are due one per"
        " bill.",
    )


def test_prices_by_the_hour_are_those_of_the_first_block_and_the_riders() -> None:
    weekday = first_unit_prices(TARIFF, DayKind.WEDNESDAY)
    weekend = first_unit_prices(TARIFF, DayKind.SUNDAY)
    assert weekday.shape == (12, 24)
    expected = np.full((12, 24), 0.1)
    expected[0] += 0.01
    assert np.allclose(weekend, expected)
    # an hour takes the price of its start: 6:00 is before 6:30
    expected[5:9, [7, 8, 17, 18, 19]] = 0.3
    assert np.allclose(weekday, expected)
