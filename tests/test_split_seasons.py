"""Seasons that begin inside a bill, end on 28 February or leave dates out: no energy is lost.

Loads, rates and prices are invented; what is expected of them is computed beside each check.
"""

from __future__ import annotations

import calendar

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.bill import prepare
from energymodel.tariffs.bill_line import LineKind
from energymodel.tariffs.billing_period import of_months
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.charges import Block, EnergyPeriod
from energymodel.tariffs.metering import tariff_hours
from energymodel.tariffs.plausible import tariff_notices
from energymodel.tariffs.printed_bill import print_bills
from energymodel.tariffs.readings import Readings, bill_readings
from energymodel.tariffs.schedule import whole_index
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_form import tariff_from_toml
from energymodel.tariffs.windows import Window
from energymodel.tariffs.words import tariff_words

LEAP_YEAR = year_clock(2024, zone=None, rows=8784)


def _two_seasons(winter: str, summer: str, prices: str = "price = 1\n|price = 2\n") -> Tariff:
    of_winter, of_summer = prices.split("|")
    return tariff_from_toml(
        f'name = "seasons"\n[seasons]\nwinter = "{winter}"\nsummer = "{summer}"\n[[energy]]\n'
        f'name = "E"\nblocks_count = "each period"\n[[energy.period]]\nname = "winter"\n'
        f'when = {{ seasons = "winter" }}\n{of_winter}[[energy.period]]\nname = "summer"\n'
        f'when = {{ seasons = "summer" }}\n{of_summer}'
    )


def test_29_february_belongs_to_a_season_that_ends_on_the_28th_where_none_names_it() -> None:
    tariff = _two_seasons("1 Dec to 28 Feb", "1 Mar to 30 Nov")
    bill = prepare(tariff, LEAP_YEAR).bill(np.ones(8784))
    # analytic: 1 kWh an hour, 29 days of February at 1
    assert bill.total_by_period[1] == pytest.approx(696.0)
    assert bill.total == pytest.approx(24 * (91 * 1 + 275 * 2))
    assert [notice.topic for notice in tariff_notices(tariff)] == ["seasons"]
    assert "Season winter: 1 Dec to 28 Feb, 29 Feb too." in tariff_words(tariff)
    by_month = bill_readings(tariff, of_months([(2024, 2)]), Readings(use=[696.0]))
    assert by_month.total == pytest.approx(696.0)


@pytest.mark.parametrize(
    ("winter", "summer"),
    [("1 Dec to 29 Feb", "1 Mar to 30 Nov"), ("1 Dec to 28 Feb", "29 Feb to 30 Nov")],
)
def test_a_season_that_names_29_february_keeps_it(winter: str, summer: str) -> None:
    tariff = _two_seasons(winter, summer)
    assert tariff_notices(tariff) == ()
    february = prepare(tariff, LEAP_YEAR).bill(np.ones(8784)).total_by_period[1]
    assert february == pytest.approx(696.0 if winter.endswith("29 Feb") else 672.0 + 2 * 24.0)


@pytest.mark.parametrize(
    ("winter", "summer", "day"),
    [
        ("1 Nov to 30 Apr", "1 May to 30 Oct", "31 Oct"),
        ("1 Dec to 27 Feb", "1 Mar to 30 Nov", "28 Feb"),
        ("1 Jan to 29 Apr", "1 May to 31 Dec", "30 Apr"),
    ],
)
def test_a_single_date_without_a_price_is_refused_and_named(
    winter: str, summer: str, day: str
) -> None:
    with pytest.raises(ManyFaultsError) as refused:
        _two_seasons(winter, summer)
    assert f"(if {day} is one) lies in no period" in str(refused.value)


def _next(date: tuple[int, int]) -> tuple[int, int]:
    month, day = date
    if day < calendar.monthrange(2024, month)[1]:
        return month, day + 1
    return month % 12 + 1, 1


def _text(date: tuple[int, int]) -> str:
    return f"{date[1]} {calendar.month_abbr[date[0]]}"


_DATES = st.integers(1, 12).flatmap(
    lambda month: st.tuples(st.just(month), st.integers(1, calendar.monthrange(2024, month)[1]))
)


@given(_DATES, _DATES)
def test_every_kwh_is_billed_once_whatever_the_dates_of_the_seasons(
    last_of_winter: tuple[int, int], last_of_summer: tuple[int, int]
) -> None:
    if last_of_winter == last_of_summer:
        return
    tariff = _two_seasons(
        f"{_text(_next(last_of_summer))} to {_text(last_of_winter)}",
        f"{_text(_next(last_of_winter))} to {_text(last_of_summer)}",
    )
    bill = prepare(tariff, LEAP_YEAR).bill(np.ones(8784))
    lines = [line.quantity for line in bill.lines if line.kind is LineKind.ENERGY]
    # analytic: the lines of each month hold all of its hours
    assert np.sum(lines, axis=0) == pytest.approx(np.bincount(LEAP_YEAR.months)[1:])


def test_intervals_without_a_period_are_an_error_and_never_left_out() -> None:
    tariff = _two_seasons("1 Dec to 29 Feb", "1 Mar to 30 Nov")
    only_winter = (
        EnergyPeriod(name="w", blocks=(Block(price=1.0),), when=(Window(seasons=("winter",)),)),
    )
    with pytest.raises(InputError, match="6,600 intervals lie in no period"):
        whole_index(only_winter, tariff_hours(tariff, LEAP_YEAR), where="E")


BLOCKS = (
    'blocks = [{ up_to = "30 kWh per day", price = 1 }, { price = 0 }]\n'
    '|blocks = [{ up_to = "15 kWh per day", price = 1 }, { price = 0 }]\n'
)


def test_limits_of_each_period_count_the_days_of_the_bill_in_its_season() -> None:
    tariff = _two_seasons("1 Nov to 14 Apr", "15 Apr to 31 Oct", BLOCKS)
    clock = year_clock(2023, zone=None)
    bill = prepare(tariff, clock).bill(np.full(8760, 100.0))
    # computed: April has 14 days of winter at 30 kWh and 16 of summer at 15
    assert bill.total_by_period[2:5].tolist() == pytest.approx(
        [31 * 30.0, 14 * 30.0 + 16 * 15.0, 31 * 15.0]
    )
    assert any("days of the bill in that season" in text for text in tariff_words(tariff))
    listed = [str(default) for default in bill.defaults]
    assert any(one.startswith("seasons of E: the limits of a season") for one in listed)


def test_limits_per_month_and_of_the_baseline_count_the_days_of_the_season_too() -> None:
    allowances = (
        '[[baseline]]\nper_day = "5 kWh"\n[[baseline]]\nper_day = "4 kWh"\nseasons = "summer"\n'
    )
    body = (
        'name = "s"\n[seasons]\nwinter = "1 Nov to 14 Apr"\nsummer = "15 Apr to 31 Oct"\n'
        f"{allowances}"
        '[[energy]]\nname = "E"\nblocks_count = "each period"\n[[energy.period]]\nname = "w"\n'
        'when = { seasons = "winter" }\n'
        'blocks = [{ up_to = "900 kWh per month", price = 1 }, { price = 0 }]\n'
        '[[energy.period]]\nname = "s"\n'
        'blocks = [{ up_to = "1 x baseline", price = 1 }, { price = 0 }]\n'
    )
    bill = prepare(tariff_from_toml(body), year_clock(2023, zone=None)).bill(np.full(8760, 100.0))
    # computed: 14 of 30 days of 900 kWh, and 16 days of 5 + 4 kWh
    assert bill.total_by_period[3] == pytest.approx(900.0 * 14 / 30 + 16 * 9.0)


def test_by_month_total_each_season_has_the_blocks_in_its_share_of_the_use() -> None:
    text = 'blocks = [{ up_to = "300 kWh per month", price = 1 }, { price = 0 }]\n'
    each = _two_seasons("1 Nov to 14 Apr", "15 Apr to 31 Oct", f"{text}|{text}")
    joined = Tariff(
        name="joined",
        seasons=each.seasons,
        energy=(type(each.energy[0])(name="E", periods=each.energy[0].periods),),
    )
    bill = prepare(joined, year_clock(2023, zone=None)).bill(np.ones(8760))
    # analytic: equal blocks in both seasons bill as one
    assert bill.total_by_period.tolist() == pytest.approx([300.0] * 12)
    assert any("seasons of E: limits count all days" in str(one) for one in bill.defaults)


DEMAND = """
name = "winter demand"
[seasons]
winter = "1 Nov to 14 Apr"
[[energy]]
name = "E"
price = 0.1
[[demand]]
name = "Peak"
price = 10
interval = "60 min"
when = { seasons = "winter" }
ratchet = { percent = 80, look_back = 3 }
[[demand]]
name = "Any time"
price = 1
interval = "60 min"
minimum = "7 kW"
"""


def test_a_seasonal_demand_shows_what_was_measured_and_for_how_many_days_it_is_billed() -> None:
    tariff = tariff_from_toml(DEMAND)
    clock = year_clock(2023, zone=None)
    load = np.ones(8760)
    load[np.flatnonzero(clock.months == 3)[5]] = 10.0
    load[np.flatnonzero(clock.months == 7)[5]] = 20.0
    bill = prepare(tariff, clock).bill(load)
    # computed: April measures 1 kW, is lifted to 80 % of March's 10 kW and counts 14 of 30 days;
    # from May on the charge does not exist, and its ratchet lifts nothing
    assert bill.of_charge("Peak")[2:10].tolist() == pytest.approx(
        [100.0, 80.0 * 14 / 30, *[0.0] * 6]
    )
    april = {line.charge: line.text for line in print_bills(bill)[3].lines}
    assert april["Peak"] == "Peak (measured 1 kW; 8 kW billed for 14 of 30 days)"
    assert april["Any time"] == "Any time (measured 1 kW)"
    july = {line.charge: line.text for line in print_bills(bill)[6].lines}
    assert july["Any time"] == "Any time"
    listed = [str(default) for default in bill.defaults]
    assert any("kW count by its share of days (our choice)" in one for one in listed)
    assert any("the ratchet lifts none of them (our choice)" in one for one in listed)
    words = tariff_words(tariff)
    assert (
        "Peak: in a bill that its season begins or ends in, its kW count by its share of days."
        in words
    )
    assert (
        "Peak: bills outside its season bill nothing, and the ratchet lifts none of them." in words
    )
    assert not any(one.startswith("Any time: in a bill") for one in words)
