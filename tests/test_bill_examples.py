"""Bills printed by utilities and handbooks, to the cent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

import numpy as np
import pytest

from energymodel.tariffs.bill import Bill, prepare
from energymodel.tariffs.billing_period import of_readings
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.difference import difference
from energymodel.tariffs.printed_bill import PrintedBill, print_bills
from energymodel.tariffs.readings import Readings, bill_readings
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_form import tariff_from_toml

JANUARY = (date(2023, 1, 1), date(2023, 2, 1))
THIRTY_DAYS = (date(2023, 4, 1), date(2023, 5, 1))


def _bill(tariff: Tariff, use: float, reads: Sequence[date] = JANUARY, **registers: object) -> Bill:
    readings = Readings(use=[use], **registers)  # type: ignore[arg-type]
    return bill_readings(tariff, of_readings(reads), readings)


def _printed(bill: Bill) -> PrintedBill:
    return print_bills(bill)[0]


def _amounts(bill: PrintedBill) -> list[str]:
    return [str(line.amount) for line in bill.lines]


DECLINING = """
name = "declining blocks"
[[fixed]]
name = "Customer charge"
price = "7.50 per month"
[[energy]]
name = "Energy"
blocks = [
  {blocks}
]
[[rider]]
name = "Power cost"
price = 0.085
[[percent]]
name = "Tax"
percent = 1
"""
WINTER_BLOCKS = """{ up_to = "250 kWh per month", price = 0.064 },
  { up_to = "700 kWh per month", price = 0.049 },
  { price = 0.0446 },"""
SUMMER_BLOCKS = """{ up_to = "250 kWh per month", price = 0.064 },
  { up_to = "700 kWh per month", price = 0.049 },
  { up_to = "1250 kWh per month", price = 0.0475 },
  { price = 0.0446 },"""


@pytest.mark.parametrize(
    ("blocks", "use", "lines", "total"),
    [
        # A municipal utility's bill comparison, winter 1,200 kWh (published)
        (WINTER_BLOCKS, 1200.0, "7.50 16.00 22.05 22.30 102.00 1.70", "171.55"),
        # the same, summer 2,000 kWh: block 3 is 26.125, printed 26.13 (published)
        (SUMMER_BLOCKS, 2000.0, "7.50 16.00 22.05 26.13 33.45 170.00 2.75", "277.88"),
    ],
)
def test_declining_blocks_with_power_cost_and_tax_print_as_the_utility_prints_them(
    blocks: str, use: float, lines: str, total: str
) -> None:
    printed = _printed(_bill(tariff_from_toml(DECLINING.replace("{blocks}", blocks)), use))
    assert _amounts(printed) == lines.split()
    assert str(printed.total) == total


def test_flat_price_and_availability_charge_make_the_power_boards_bill() -> None:
    tariff = tariff_from_toml(
        """
        name = "flat"
        [[fixed]]
        name = "Availability"
        price = "18.48 per month"
        [[energy]]
        name = "Energy"
        price = 0.0951
        """
    )
    printed = _printed(_bill(tariff, 9975 - 8865))
    # a municipal power board's example: 1,110 kWh @ .0951 = 105.56, + 18.48 (published)
    assert _amounts(printed) == ["18.48", "105.56"]
    assert str(printed.total) == "124.04"  # computed


STANDARD = """
name = "standard"
[[fixed]]
name = "Customer charge"
price = "14 per month"
[[energy]]
name = "Energy"
price = 0.1110
"""
TIME_OF_USE = """
name = "time of use"
[[fixed]]
name = "Customer charge"
price = "14 per month"
[[energy]]
name = "Energy"
[[energy.period]]
name = "on-peak"
price = 0.1910
when = { days = "weekdays", hours = "8-20" }
[[energy.period]]
name = "off-peak"
price = 0.0660
"""


@pytest.mark.parametrize(
    ("on_share", "total"),
    # A municipal utility (Wisconsin), comparison of load shifts in percent of the TOTAL use
    # (published); the fixed charge of 14.00 is implied (computed)
    [(0.45, "96.58"), (0.35, "88.14"), (0.30, "83.92"), (0.25, "79.70")],
)
def test_shifted_time_of_use_registers_cost_what_the_utility_prints(
    on_share: float, total: str
) -> None:
    use = 675.54
    assert str(_printed(_bill(tariff_from_toml(STANDARD), use)).total) == "88.98"  # published
    registers = {"on-peak": [on_share * use], "off-peak": [(1 - on_share) * use]}
    bill = _bill(tariff_from_toml(TIME_OF_USE), use, by_period=registers)
    assert str(_printed(bill).total) == total


def test_handbook_store_bill_with_fuel_credit_and_demand() -> None:
    tariff = tariff_from_toml(
        """
        name = "general service"
        [[fixed]]
        name = "Customer charge"
        price = "3.74 per month"
        [[energy]]
        name = "Energy"
        price = 0.09444
        [[rider]]
        name = "Adjustment"
        price = -0.017192
        [[demand]]
        name = "Demand"
        price = 8.7447
        """
    )
    printed = _printed(_bill(tariff, 17588, demand_kw={"Demand": [30.0]}))
    # energy-management handbook sec. 18.5.1 (quoted); the demand blocks are not shown there, the
    # price is their average (computed)
    assert _amounts(printed) == ["3.74", "1661.01", "-302.37", "262.34"]
    assert str(printed.total) == "1624.72"


def test_manufacturing_bill_adds_up_with_its_reactive_penalty_above_the_allowance() -> None:
    # University of Nebraska extension G2312 (2018), Table I (published). The prices of demand and
    # dividend are not printed: the printed amounts stand for them.
    tariff = tariff_from_toml(
        """
        name = "industrial"
        [[fixed]]
        name = "Customer charge"
        price = "250 per month"
        [[fixed]]
        name = "Demand as printed"
        price = "13617.50 per month"
        [[energy]]
        name = "Energy"
        price = 0.0265
        [[demand]]
        name = "Highest demand"
        price = 0
        [[reactive]]
        name = "Reactive penalty"
        price = 2.5951
        allowance = 0.40
        """
    )
    bill = _bill(tariff, 470_600, demand_kw={"Highest demand": [986.40]}, reactive_kvar=[482.60])
    lines = {line.label: line for line in _printed(bill).lines}
    assert str(lines["Energy"].amount) == "12470.90"
    assert lines["Reactive penalty"].quantity == Decimal("88.04")  # excess over 394.56 (published)
    assert str(lines["Reactive penalty"].amount) == "228.47"
    assert str(_printed(bill).total) == "26566.87"
    assert _printed(bill).total + Decimal("775.98") == Decimal("27342.85")


def test_two_part_distribution_schedule() -> None:
    tariff = tariff_from_toml(
        """
        name = "residential distribution"
        [[fixed]]
        name = "Customer charge"
        price = "7 per month"
        [[energy]]
        name = "Distribution"
        blocks = [{ up_to = "800 kWh per month", price = 0.02244 }, { price = 0.01271 }]
        """
    )
    printed = _printed(_bill(tariff, 1500))
    # a regulated utility's schedule filed in Virginia, 2015 (quoted); sum (computed)
    assert _amounts(printed) == ["7.00", "17.95", "8.90"]
    assert str(printed.total) == "33.85"


TWO_STEPS = tariff_from_toml(
    """
    name = "two steps"
    [[fixed]]
    name = "Basic charge"
    price = "0.2253 per day"
    [[energy]]
    name = "Energy"
    blocks = [{ up_to = "675 kWh per month", price = 0.1097 }, { price = 0.1408 }]
    """
)


def test_heat_pump_that_crosses_the_step_pays_more_than_the_average_before() -> None:
    # trade article on a Canadian province's two-step rate: prices (quoted), bills (computed)
    before, after = _bill(TWO_STEPS, 600, THIRTY_DAYS), _bill(TWO_STEPS, 1200, THIRTY_DAYS)
    assert str(_printed(before).total) == "72.58"
    assert str(_printed(after).total) == "154.73"
    added = difference(after, before)
    assert float(added.marginal_price_per_kwh) == pytest.approx(0.1369, abs=5e-5)
    assert float(before.average_price_per_kwh) == pytest.approx(0.1210, abs=5e-5)


def test_marginal_price_is_the_difference_of_two_bills_and_not_the_average() -> None:
    tariff = tariff_from_toml(
        """
        name = "flat"
        [[fixed]]
        name = "Customer charge"
        price = "20 per month"
        [[energy]]
        name = "Energy"
        price = 0.08
        """
    )
    before, after = _bill(tariff, 1000), _bill(tariff, 2000)
    # user problem, case A17, forum (published answer): 8 c, 180 and not 200
    assert before.total == pytest.approx(100.0)
    assert after.total == pytest.approx(180.0)
    assert float(difference(after, before).marginal_price_per_kwh) == pytest.approx(0.08)
    assert float(before.average_price_per_kwh) * 2000 == pytest.approx(200.0)


TIERED = tariff_from_toml(
    """
    name = "regulated price plan, tiered"
    currency = "CAD"
    effective = 2022-11-01
    [seasons]
    summer = "1 May to 31 Oct"
    winter = "1 Nov to 30 Apr"
    [[energy]]
    name = "Energy"
    [[energy.period]]
    name = "summer"
    when = { seasons = "summer" }
    blocks = [{ up_to = "600 kWh per month", price = 0.087 }, { price = 0.103 }]
    [[energy.period]]
    name = "winter"
    when = { seasons = "winter" }
    blocks = [{ up_to = "1000 kWh per month", price = 0.087 }, { price = 0.103 }]
    [[percent]]
    name = "Rebate"
    percent = -11.7
    """
)


def test_tiers_with_seasonal_thresholds() -> None:
    # Ontario regulated plan, effective 1 Nov 2022 (published); January 138.50 (computed)
    printed = _printed(_bill(TIERED, 1500))
    assert _amounts(printed)[:2] == ["87.00", "51.50"]
    assert str(printed.lines[-1].amount) == "-16.20"  # 11.7 % of 138.50, half up (computed)
    july = _printed(_bill(TIERED, 1500, (date(2023, 7, 1), date(2023, 8, 1))))
    assert _amounts(july)[:2] == ["52.20", "92.70"]  # 600 and 900 kWh (computed)


def _hours_of(bill: Bill, part: str) -> float:
    return float(sum(line.quantity.sum() for line in bill.lines if line.part == part))


ONTARIO_TOU = tariff_from_toml(
    """
    name = "regulated price plan, time of use"
    currency = "CAD"
    effective = 2022-11-01
    [seasons]
    summer = "1 May to 31 Oct"
    winter = "1 Nov to 30 Apr"
    [holidays]
    country = "CA"
    subdivision = "ON"
    [[energy]]
    name = "Energy"
    [[energy.period]]
    name = "on-peak"
    price = 0.151
    when = [
      { seasons = "winter", days = "weekdays", hours = ["7-11", "17-19"] },
      { seasons = "summer", days = "weekdays", hours = "11-17" },
    ]
    [[energy.period]]
    name = "mid-peak"
    price = 0.102
    when = [
      { seasons = "summer", days = "weekdays", hours = ["7-11", "17-19"] },
      { seasons = "winter", days = "weekdays", hours = "11-17" },
    ]
    [[energy.period]]
    name = "off-peak"
    price = 0.074
    """
)


def _one_kw_at(local: Mapping[str, str]) -> None:
    clock = year_clock(2023, zone="America/Toronto")
    prepared = prepare(ONTARIO_TOU, clock)
    for moment, part in local.items():
        load = (clock.starts == np.datetime64(moment)).astype(np.float64)
        assert load.sum() == 1
        assert _hours_of(prepared.bill(load), part) == 1.0, moment


def test_regulated_time_of_use_hours_fall_into_the_printed_periods() -> None:
    # Ontario regulated plan, effective 1 Nov 2022: winter weekdays on 7-11 and 17-19, mid 11-17;
    # the summer swaps them, weekends and holidays are off-peak (published, swap implied)
    _one_kw_at(
        {
            "2023-01-10T07:00": "on-peak",
            "2023-01-10T11:00": "mid-peak",
            "2023-01-10T18:00": "on-peak",
            "2023-01-10T19:00": "off-peak",
            "2023-07-11T11:00": "on-peak",
            "2023-07-11T17:00": "mid-peak",
            "2023-07-15T12:00": "off-peak",
            "2023-09-04T12:00": "off-peak",  # Labour Day
            "2023-04-07T08:00": "off-peak",  # Good Friday
        }
    )


THREE_PERIODS = tariff_from_toml(
    """
    name = "three periods"
    [holidays]
    country = "US"
    [[energy]]
    name = "Energy"
    [[energy.period]]
    name = "peak"
    price = 0.39
    when = { days = "weekdays", hours = "6-9" }
    [[energy.period]]
    name = "super off-peak"
    price = 0.043
    when = { hours = "22-5" }
    [[energy.period]]
    name = "off-peak"
    price = 0.067
    """
)


def test_moving_a_kwh_out_of_the_peak_saves_the_difference_of_the_prices() -> None:
    # homeowner blog, three-period tariff: prices (quoted), saving and limit (computed)
    clock = year_clock(2023, zone="America/New_York")
    prepared = prepare(THREE_PERIODS, clock)
    at_seven = (clock.starts == np.datetime64("2023-01-10T07:00")).astype(np.float64)
    at_five = (clock.starts == np.datetime64("2023-01-10T05:00")).astype(np.float64)
    peak, preheated = float(prepared.bill(at_seven).total), float(prepared.bill(at_five).total)
    assert peak - preheated == pytest.approx(0.323)
    assert peak / preheated == pytest.approx(5.82, abs=0.005)
    holiday = (clock.starts == np.datetime64("2023-07-04T07:00")).astype(np.float64)
    assert float(prepared.bill(holiday).total) == pytest.approx(0.067)
    night = (clock.starts == np.datetime64("2023-07-04T22:00")).astype(np.float64)
    assert float(prepared.bill(night).total) == pytest.approx(0.043)
