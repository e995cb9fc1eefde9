"""Bills from monthly use: where the tariff allows it, and why not where it does not."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.bill import prepare
from energymodel.tariffs.billing_period import of_months, of_readings
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.printed_bill import print_bills, rounded
from energymodel.tariffs.readings import Readings, bill_readings
from energymodel.tariffs.toml_form import tariff_from_toml

YEAR = of_months([(2023, month) for month in range(1, 13)])
TIME_OF_USE = tariff_from_toml(
    """
    name = "time of use"
    [[energy]]
    name = "Energy"
    [[energy.period]]
    name = "on-peak"
    price = 0.2
    when = { hours = "8-20" }
    [[energy.period]]
    name = "off-peak"
    price = 0.1
    """
)


def _refusal(text: str, **readings: object) -> str:
    with pytest.raises(ManyFaultsError) as refused:
        bill_readings(
            tariff_from_toml(text),
            YEAR,
            Readings(use=np.full(12, 500.0), **readings),  # type: ignore[arg-type]
        )
    return str(refused.value)


def test_time_of_use_is_refused_because_a_month_does_not_say_when() -> None:
    with pytest.raises(ManyFaultsError) as refused:
        bill_readings(TIME_OF_USE, YEAR, Readings(use=np.full(12, 500.0)))
    assert "does not say when it was" in str(refused.value)
    assert "registers on-peak, off-peak" in str(refused.value)


def test_registers_of_the_periods_are_billed_and_must_add_up() -> None:
    registers = {"on-peak": np.full(12, 200.0), "off-peak": np.full(12, 300.0)}
    bill = bill_readings(TIME_OF_USE, YEAR, Readings(use=np.full(12, 500.0), by_period=registers))
    assert bill.total == pytest.approx(12 * (40.0 + 30.0))
    with pytest.raises(InputError, match="do not add up"):
        bill_readings(TIME_OF_USE, YEAR, Readings(use=np.full(12, 600.0), by_period=registers))


def test_demand_is_refused_because_a_month_does_not_contain_it() -> None:
    text = 'name = "d"\n[[demand]]\nname = "Demand"\nprice = 5'
    assert "highest 15 minutes, which the use of a month does not contain" in _refusal(text)


def test_hourly_prices_are_refused() -> None:
    assert "its price changes every hour" in _refusal('name = "h"\n[[hourly]]\nname = "Market"')


def test_every_charge_that_cannot_be_billed_is_named_at_once() -> None:
    text = """
    name = "all of it"
    [[hourly]]
    name = "Market"
    [[demand]]
    name = "Demand"
    price = 5
    [[energy]]
    name = "Energy"
    blocks = [{ up_to = "100 kWh per kW", price = 0.2 }, { price = 0.1 }]
    """
    assert _refusal(text).count("\n- ") == 3


def test_negative_use_is_refused() -> None:
    with pytest.raises(ManyFaultsError, match="below zero"):
        bill_readings(TIME_OF_USE, YEAR, Readings(use=np.full(12, -1.0)))


SEASONAL = tariff_from_toml(
    """
    name = "seasonal blocks"
    [seasons]
    summer = "1 Jun to 30 Sep"
    [[fixed]]
    name = "Customer charge"
    price = "10 per month"
    [[fixed]]
    name = "Heat meter"
    price = "4 per month"
    seasons = "summer"
    [[energy]]
    name = "Energy"
    [[energy.period]]
    name = "summer"
    when = { seasons = "summer" }
    blocks = [{ up_to = "400 kWh per month", price = 0.10 }, { price = 0.16 }]
    [[energy.period]]
    name = "winter"
    blocks = [{ up_to = "600 kWh per month", price = 0.08 }, { price = 0.06 }]
    [[rider]]
    name = "Fuel"
    price = [0.01, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]
    """
)


def test_monthly_use_is_billed_like_intervals_where_only_seasons_matter() -> None:
    clock = year_clock(2023, zone=None)
    load = np.random.default_rng(2).gamma(2.0, 0.5, 8760)
    use = np.bincount(clock.months, weights=load, minlength=13)[1:]
    by_month = bill_readings(SEASONAL, YEAR, Readings(use=use))
    by_hour = prepare(SEASONAL, clock).bill(load)
    assert by_month.total_by_period == pytest.approx(by_hour.total_by_period, rel=1e-9)


def test_a_season_inside_a_bill_divides_the_use_by_days_and_says_so() -> None:
    reads = of_readings([date(2023, 5, 22), date(2023, 6, 21)])
    bill = bill_readings(SEASONAL, reads, Readings(use=[900.0]))
    # 10 of 30 days in winter, 20 in summer; each season has its blocks in its share of the use:
    # winter 300 kWh: 200 at .08, 100 at .06; summer 600 kWh: 400/900 and 500/900 (computed)
    summer = 600.0 / 900.0 * (400 * 0.10 + 500 * 0.16)
    winter = 300.0 / 900.0 * (600 * 0.08 + 300 * 0.06)
    assert bill.of_charge("Energy")[0] == pytest.approx(summer + winter)
    assert bill.of_charge("Heat meter")[0] == pytest.approx(4.0 * 20 / 30)
    assert any("divided by days" in notice.text for notice in bill.notices)


def test_many_columns_of_readings_are_billed_at_once() -> None:
    use = np.outer(np.arange(1, 13), [50.0, 80.0])
    bill = bill_readings(SEASONAL, YEAR, Readings(use=use))
    assert bill.total.shape == (2,)
    single = bill_readings(SEASONAL, YEAR, Readings(use=use[:, 1]))
    assert bill.total[1] == pytest.approx(float(single.total))


@pytest.mark.parametrize(
    ("use", "total"),
    # the minimum binds only where the charges are lower: a bill under 4.50 a month is lifted to it
    # (California PUC decision, published), amounts computed
    [(10.0, "4.50"), (100.0, "12.00"), (0.0, "4.50")],
)
def test_a_minimum_bill_is_no_fixed_charge(use: float, total: str) -> None:
    tariff = tariff_from_toml(
        """
        name = "minimum"
        [[energy]]
        name = "Energy"
        price = 0.12
        [[minimum]]
        name = "Minimum"
        price = "4.50 per month"
        """
    )
    january = of_months([(2023, 1)])
    printed = print_bills(bill_readings(tariff, january, Readings(use=[use])))[0]
    assert str(printed.total) == total


def test_a_minimum_of_the_year_is_settled_on_the_last_bill() -> None:
    tariff = tariff_from_toml(
        'name = "m"\n[[energy]]\nname = "E"\nprice = 0.1\n[[minimum]]\nname = "M"\n'
        'price = "300 per year"'
    )
    bill = bill_readings(tariff, YEAR, Readings(use=np.full(12, 200.0)))
    assert bill.total_by_period.tolist() == pytest.approx([20.0] * 11 + [80.0])
    assert [float(one.total) for one in print_bills(bill)] == pytest.approx([20.0] * 11 + [80.0])


def test_baseline_allowance_counts_days_and_seasons() -> None:
    tariff = tariff_from_toml(
        """
        name = "baseline"
        [seasons]
        summer = "1 May to 31 Oct"
        winter = "1 Nov to 30 Apr"
        [[baseline]]
        per_day = "10 kWh"
        seasons = "summer"
        [[baseline]]
        per_day = "20 kWh"
        seasons = "winter"
        [[energy]]
        name = "Energy"
        blocks = [
          { up_to = "1 x baseline", price = 0.10 },
          { up_to = "4 x baseline", price = 0.20 },
          { price = 0.50 },
        ]
        """
    )
    # seasons change on 1 May and 1 November (published, cpuc.ca.gov); prices computed
    reads = of_readings([date(2023, 4, 21), date(2023, 5, 21)])
    bill = bill_readings(tariff, reads, Readings(use=[2000.0]))
    allowance = 10 * 20 + 20 * 10
    expected = 0.10 * allowance + 0.20 * 3 * allowance + 0.50 * (2000 - 4 * allowance)
    assert float(bill.total) == pytest.approx(expected)


@pytest.mark.parametrize(("rule", "months"), [("one per bill", 1.0), ("by days", 2.0)])
def test_an_amount_per_month_is_due_per_bill_or_by_days(rule: str, months: float) -> None:
    tariff = tariff_from_toml(
        f'name = "two months"\nmonthly_amounts = "{rule}"\n[[fixed]]\nname = "C"\n'
        'price = "10 per month"\n[[energy]]\nname = "E"\n'
        "blocks = [{ up_to = '675 kWh per month', price = 0.1 }, { price = 0.2 }]"
    )
    reads = of_readings([date(2023, 3, 1), date(2023, 5, 1)])
    bill = bill_readings(tariff, reads, Readings(use=[1350.0]))
    # a two-step rate states its step also as 1,350 kWh per two months (quoted)
    assert float(bill.of_charge("C")[0]) == pytest.approx(10.0 * months)
    over = 1350.0 - 675.0 * months
    assert float(bill.of_charge("E")[0]) == pytest.approx(0.1 * (1350 - over) + 0.2 * over)


def test_rounding_of_the_total_alone_keeps_the_lines_exact() -> None:
    text = 'name = "r"\nround = "total"\n[[energy]]\nname = "E"\nprice = 0.0475\n'
    tariff = tariff_from_toml(text + '[[rider]]\nname = "R"\nprice = 0.00001')
    printed = print_bills(bill_readings(tariff, of_months([(2023, 1)]), Readings(use=[550.0])))[0]
    assert [str(line.amount) for line in printed.lines] == ["26.1250", "0.00550"]
    assert str(printed.total) == "26.13"


def test_halves_are_rounded_away_from_zero_in_decimal() -> None:
    # Python's round is half to even on binary floats and would print 26.12 (computed)
    from decimal import Decimal

    assert str(rounded(Decimal("26.125"), 2)) == "26.13"
    assert str(rounded(Decimal("-302.375"), 2)) == "-302.38"
    assert round(26.125, 2) == 26.12


def test_a_demand_of_one_window_is_asked_for_by_its_name_alone() -> None:
    text = 'name = "t"\n[[demand]]\nname = "Peak"\nprice = 5\nwhen = { hours = "17-20" }\n'
    tariff = tariff_from_toml(text)
    with pytest.raises(ManyFaultsError) as refused:
        bill_readings(tariff, of_months([(2024, 7)]), Readings(use=[500.0]))
    assert str(refused.value).splitlines()[1].endswith("the recorded demand (kW) of Peak")
    readings = Readings(use=[500.0], demand_kw={"Peak": [4.0]})
    assert bill_readings(tariff, of_months([(2024, 7)]), readings).total == pytest.approx(20.0)


def test_notices_that_change_money_stand_first() -> None:
    text = (
        'name = "t"\neffective = 2013-01-01\nexpires = 2013-12-31\n[seasons]\n'
        'w = "1 Nov to 14 Apr"\ns = "15 Apr to 31 Oct"\n[[energy]]\nname = "E"\n'
        '[[energy.period]]\nname = "w"\nprice = 1\nwhen = { seasons = "w" }\n'
        '[[energy.period]]\nname = "s"\nprice = 2\n[[reactive]]\nname = "R"\nprice = 2\n'
    )
    bill = bill_readings(tariff_from_toml(text), of_months([(2023, 4)]), Readings(use=[300.0]))
    assert [one.topic for one in bill.notices] == ["prices", "reactive demand", "seasons"]
    assert bill.notices[0].text.startswith("Prices in force from 2013-01-01 to 2013-12-31 are used")
