"""Records of the open US utility rate database."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.bill import prepare
from energymodel.tariffs.billing_period import of_months
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.charges import BlockCount, BlockPer, Measured, Per
from energymodel.tariffs.customer import Customer
from energymodel.tariffs.export import ExportRule
from energymodel.tariffs.holiday import HolidayRule
from energymodel.tariffs.metering import tariff_hours
from energymodel.tariffs.printed_bill import print_bills
from energymodel.tariffs.rate_choices import RatchetIn, RateChoices
from energymodel.tariffs.rate_database import ImportedTariff, tariff_from_record
from energymodel.tariffs.rate_record import read_record
from energymodel.tariffs.rate_schedule import schedule_of
from energymodel.tariffs.readings import Readings, bill_readings
from energymodel.tariffs.schedule import period_index
from energymodel.tariffs.toml_form import tariff_from_toml, tariff_to_toml

_FOLDER = Path(__file__).parent / "rates"
# A municipal utility's industrial primary service, label 539f6a23ec4f024411ec8bf9, and a
# residential rate with two tiers: inputs quoted from public data of the database
INDUSTRIAL: dict[str, Any] = json.loads((_FOLDER / "industrial.json").read_text())
RESIDENTIAL: dict[str, Any] = json.loads((_FOLDER / "residential.json").read_text())
JULY = of_months([(2013, 7)])
YEAR = of_months([(2013, month) for month in range(1, 13)])


def _tariff(content: dict[str, Any], **choices: Any) -> ImportedTariff:
    return tariff_from_record(read_record(content), RateChoices(**choices))


def _without(content: dict[str, Any], *keys: str, **more: Any) -> dict[str, Any]:
    return {**{key: value for key, value in content.items() if key not in keys}, **more}


def test_the_industrial_record_bills_its_july_with_and_without_the_ratchet() -> None:
    tariff = _tariff(INDUSTRIAL, zone="America/Denver").tariff
    readings = Readings(use=[200_000.0], demand_kw={"Demand": [450.0]})
    plain = bill_readings(tariff, JULY, readings)
    # computed: 275 + 15,415.20 + 5,175.00; with 1,500 kW in the look-back 525 kW are billed
    assert [str(line.amount) for line in print_bills(plain)[0].lines] == [
        "275.00", "15415.20", "5175.00",
    ]  # fmt: skip
    assert str(print_bills(plain)[0].total) == "20865.20"
    before = Customer(demand_before_kw={"Demand": (1500.0, *[300.0] * 9)})
    lifted = bill_readings(tariff, JULY, readings, customer=before)
    assert lifted.of_charge("Demand")[0] == pytest.approx(6037.50)
    assert str(print_bills(lifted)[0].total) == "21727.70"


def test_the_residential_record_bills_its_tiers() -> None:
    tariff = _tariff(RESIDENTIAL).tariff
    month = bill_readings(tariff, JULY, Readings(use=[1500.0]))
    assert float(month.total) == pytest.approx(141.225, abs=1e-9)  # computed
    year = bill_readings(tariff, YEAR, Readings(use=np.full(12, 2000.0)))
    assert float(year.total) == pytest.approx(2342.88, abs=1e-9)  # computed


def test_dates_are_local_midnights_and_not_utc_ones() -> None:
    # 1372658400 is 2013-07-01 06:00 UTC, 1383199200 is 2013-10-31 06:00 UTC (computed)
    with_zone = _tariff(INDUSTRIAL, zone="America/Denver").tariff
    assert with_zone.effective == date(2013, 7, 1)
    assert with_zone.expires == date(2013, 10, 31)
    guessed = _tariff(INDUSTRIAL)
    assert guessed.tariff.effective == date(2013, 7, 1)
    assert any("No time zone is given" in notice.text for notice in guessed.notices)


@pytest.mark.parametrize(
    ("seconds", "day"),
    # stored as midnight of standard time or of summer time, one hour off on the other side of the
    # clock change (computed)
    [
        (1372654800, date(2013, 7, 1)),
        (1372651200, date(2013, 7, 1)),
        (1388548800, date(2014, 1, 1)),
    ],
)
def test_a_midnight_an_hour_off_is_still_that_day(seconds: int, day: date) -> None:
    content = _without(INDUSTRIAL, "enddate", startdate=seconds)
    assert _tariff(content, zone="America/New_York").tariff.effective == day


def test_every_choice_that_was_taken_is_listed() -> None:
    texts = " ".join(notice.text for notice in _tariff(INDUSTRIAL).notices)
    for words in (
        "11 bills before", "No demand window is given: 15 minutes", "holds no taxes",
        "Seasons begin on the first of a month", 'ratchet is applied to "Demand"',
    ):  # fmt: skip
        assert words in texts, words


def test_conditions_and_source_of_the_record_reach_the_tariff() -> None:
    tariff = _tariff(INDUSTRIAL).tariff
    assert tariff.conditions == "Industrial, peakkwcapacitymin 400"
    assert "539f6a23ec4f024411ec8bf9" in tariff.source


def test_a_ratchet_in_percent_is_refused_until_it_is_chosen() -> None:
    content = _without(INDUSTRIAL, demandratchetpercentage=[35.0] * 12)
    with pytest.raises(InputError, match="a ratchet of 35 as a fraction") as refused:
        _tariff(content)
    assert "energymodel tariff FILE --choose ratchet=percent" in refused.value.remedy
    ratchet = _tariff(content, ratchet_in=RatchetIn.PERCENT).tariff.demand[0].ratchet
    assert ratchet is not None
    assert ratchet.percents == (35.0,)


def test_newer_look_back_fields_make_the_ratchet() -> None:
    content = _without(
        INDUSTRIAL, "demandratchetpercentage", lookbackpercent=0.8, lookbackrange=11,
        lookbackmonths=[0, 0, 0, 0, 0, 1, 1, 1, 1, 0, 0, 0],
    )  # fmt: skip
    ratchet = _tariff(content).tariff.demand[0].ratchet
    assert ratchet is not None
    assert (ratchet.percents, ratchet.look_back, ratchet.months) == ((80.0,), 11, (6, 7, 8, 9))


FULL: dict[str, Any] = {
    **RESIDENTIAL,
    "fixedchargefirstmeter": 0.4,
    "fixedchargeunits": "$/day",
    "fixedchargeeaaddl": 0.2,
    "mincharge": 10,
    "minchargeunits": "$/month",
    "annualmincharge": 150,
    "fueladjustmentsmonthly": [0.001] * 6 + [-0.002] * 6,
    "demandratestructure": [[{"rate": 0}], [{"max": 20, "rate": 2.0}, {"rate": 3, "adj": 0.5}]],
    "demandweekdayschedule": [[0] * 14 + [1] * 6 + [0] * 4] * 12,
    "demandweekendschedule": [[0] * 24] * 12,
    "demandrateunit": "kW",
    "demandwindow": 30,
    "dgrules": "Net Billing Instantaneous",
    "coincidentratestructure": [[{"rate": 0}], [{"rate": 1.25}]],
    "coincidentrateschedule": [[0] * 17 + [1] + [0] * 6] * 12,
    "coincidentrateunit": "kW",
    "basicinformationcomments": "comment",
    "voltagecategory": "Secondary",
    "phasewiring": "Single Phase",
    "something_new": 7,
}


def test_every_field_of_a_record_finds_its_place() -> None:
    found = _tariff(FULL)
    tariff = found.tariff
    assert (tariff.fixed[0].amount, tariff.fixed[0].per) == (0.4, Per.DAY)
    assert [(one.amount, one.per) for one in tariff.minimum] == [(10, Per.MONTH), (150, Per.YEAR)]
    assert tariff.riders[0].price_of(6) == 0.001
    assert tariff.riders[0].price_of(7) == -0.002
    assert [charge.name for charge in tariff.demand] == ["Time-of-use demand", "Coincident demand"]
    assert tariff.demand[0].interval_min == 30
    priced = tariff.demand[0].periods[1]
    assert [(block.up_to_kw, block.price) for block in priced.blocks] == [(20, 2.0), (None, 3.5)]
    assert tariff.export is not None
    assert tariff.export.rule is ExportRule.NET_BILLING
    texts = " ".join(notice.text for notice in found.notices)
    assert "Fields that are not used: something_new." in texts
    assert "no price for feed-in is given" in texts
    assert "further meter is not billed" in texts


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        ("Net Metering", ExportRule.NET_METERING),
        ("Net Billing Hourly", ExportRule.HOURLY_NET_BILLING),
        ("Buy All Sell All", ExportRule.SELL_ALL),
    ],
)
def test_rules_for_feed_in(rule: str, expected: ExportRule) -> None:
    tiers = [[{"rate": 0.1, "sell": 0.03}]]
    content = _without(RESIDENTIAL, dgrules=rule, energyratestructure=tiers)
    export = _tariff(content).tariff.export
    assert export is not None
    assert export.rule is expected
    if export.periods:
        assert export.periods[0].blocks[0].price == 0.03


def test_the_older_flag_means_that_feed_in_is_worth_what_use_costs() -> None:
    export = _tariff(_without(RESIDENTIAL, usenetmetering=True)).tariff.export
    assert export is not None
    assert export.rule is ExportRule.NET_METERING


@pytest.mark.parametrize(
    ("unit", "per"),
    [
        ("kWh", BlockPer.MONTH), ("kWh daily", BlockPer.DAY), ("kWh/kW", BlockPer.KW),
        ("kWh/kW daily", BlockPer.KW_AND_DAY),
    ],
)  # fmt: skip
def test_units_of_tiers(unit: str, per: BlockPer) -> None:
    tiers = [[{"max": 200, "unit": unit, "rate": 0.1}, {"rate": 0.05, "unit": unit}]]
    content = _without(INDUSTRIAL, energyratestructure=tiers, energyweekdayschedule=[[0] * 24] * 12,
                       energyweekendschedule=[[0] * 24] * 12)  # fmt: skip
    charge = _tariff(content).tariff.energy[0]
    assert charge.periods[0].blocks[0].per is per
    assert (charge.demand == "Demand") is ("kW" in unit.replace("kWh", ""))


@pytest.mark.parametrize(
    ("unit", "price", "measured"),
    [
        ("kW", 11.5, Measured.BILL), ("kW daily", 11.5, Measured.DAY),
        ("hp", 11.5 / 0.745699872, Measured.BILL),  # 550 ft lbf/s, from memory
        ("kVA", 11.5 / 0.9, Measured.BILL),
    ],
)  # fmt: skip
def test_units_of_demand(unit: str, price: float, measured: Measured) -> None:
    content = _without(INDUSTRIAL, flatdemandunit=unit)
    charge = _tariff(content, power_factor=0.9).tariff.demand[0]
    assert charge.periods[0].blocks[0].price == pytest.approx(price) or charge.periods[1].blocks[
        0
    ].price == pytest.approx(price)
    assert charge.measured is measured


def test_missing_units_are_taken_and_listed_and_unknown_ones_refused() -> None:
    content = _without(
        INDUSTRIAL, "flatdemandunit", "fixedmonthlycharge", fixedchargefirstmeter=275
    )
    texts = " ".join(notice.text for notice in _tariff(content).notices)
    assert "Demand: no unit is given: kW are taken" in texts
    assert "Fixed charge: no unit is given: $/month is taken" in texts
    with pytest.raises(InputError, match="the unit 'MW'"):
        _tariff(_without(INDUSTRIAL, flatdemandunit="MW"))
    with pytest.raises(InputError, match=r"the unit '\$/week'"):
        _tariff(_without(content, fixedchargeunits="$/week"))


def test_a_season_that_breaks_inside_a_month_can_be_given_by_date() -> None:
    tariff = _tariff(INDUSTRIAL, season_first_days={5: 15, 11: 10}).tariff
    spans = {season.name: season.spans[0] for season in tariff.seasons}
    assert (spans["May-Oct"].from_day, spans["May-Oct"].to_month, spans["May-Oct"].to_day) == (
        15, 11, 9,
    )  # fmt: skip
    assert (spans["Nov-Apr"].from_day, spans["Nov-Apr"].to_month, spans["Nov-Apr"].to_day) == (
        10, 5, 14,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"energyweekdayschedule": [[0] * 24] * 11}, "12 months of 24 hours"),
        ({"energyweekdayschedule": [[2] * 24] * 12}, "whole numbers from 0 to 1"),
        ({"flatdemandmonths": [0] * 11}, "11 period numbers"),
        ({"demandratchetpercentage": [0.3] * 6}, "6 numbers"),
        ({"fixedmonthlycharge": "ten"}, "a number"),
        ({"energyratestructure": [[], [{"rate": 1}]]}, "a period without tiers"),
        ({"energyratestructure": [["x"], [{"rate": 1}]]}, "not a tier"),
        ({"usenetmetering": "yes"}, "true or false"),
    ],
)
def test_fields_of_the_wrong_shape_are_refused_by_name(change: dict[str, Any], words: str) -> None:
    with pytest.raises(ManyFaultsError) as refused:
        read_record({**INDUSTRIAL, **change}, where="rate.json")
    assert "rate.json" in str(refused.value)
    assert words in str(refused.value)
    assert next(iter(change)) in str(refused.value)


def test_a_tier_without_bound_before_the_last_is_refused() -> None:
    tiers = [[{"rate": 0.1}, {"rate": 0.2}]]
    with pytest.raises(InputError, match="without max that is not the last"):
        _tariff(_without(RESIDENTIAL, energyratestructure=tiers))


def test_holidays_take_the_weekend_schedule_where_a_list_is_chosen() -> None:
    rows = [[0] * 8 + [1] * 12 + [0] * 4] * 12
    content = _without(
        RESIDENTIAL, energyratestructure=[[{"rate": 0.1}], [{"rate": 0.3}]],
        energyweekdayschedule=rows,
    )  # fmt: skip
    clock = year_clock(2023, zone="America/New_York")
    noon = (clock.starts == np.datetime64("2023-07-04T12:00")).astype(np.float64)
    plain = prepare(_tariff(content).tariff, clock).bill(noon)
    assert float(plain.total) == pytest.approx(0.3)
    listed = _tariff(content, holidays=HolidayRule(country="US"))
    assert float(prepare(listed.tariff, clock).bill(noon).total) == pytest.approx(0.1)
    assert any("Holidays are billed as weekends" in notice.text for notice in listed.notices)


grids = st.lists(
    st.lists(st.integers(0, 3), min_size=24, max_size=24), min_size=12, max_size=12
).map(lambda rows: tuple(tuple(row) for row in rows))
few_rows = st.lists(st.lists(st.integers(0, 2), min_size=24, max_size=24), min_size=1, max_size=3)


@st.composite
def _schedules(draw: st.DrawFn) -> tuple[tuple[int, ...], ...]:
    """Twelve rows out of a few, as real schedules have them."""
    rows = draw(few_rows)
    return tuple(tuple(draw(st.sampled_from(rows))) for _ in range(12))


@settings(max_examples=30, deadline=None)
@given(weekday=st.one_of(grids, _schedules()), weekend=st.one_of(grids, _schedules()))
def test_schedules_in_words_give_every_hour_its_period(
    weekday: tuple[tuple[int, ...], ...], weekend: tuple[tuple[int, ...], ...]
) -> None:
    content = _without(
        RESIDENTIAL, energyratestructure=[[{"rate": number}] for number in range(4)],
        energyweekdayschedule=[list(row) for row in weekday],
        energyweekendschedule=[list(row) for row in weekend],
    )  # fmt: skip
    tariff = _tariff(content).tariff
    tariff = tariff_from_toml(tariff_to_toml(tariff))
    clock = year_clock(2024, zone="America/New_York", rows=8784)
    periods = tariff.energy[0].periods
    index = period_index(periods, tariff_hours(tariff, clock))
    prices = np.array([period.blocks[0].price for period in periods])[index]
    off = (clock.dates.astype(int) + 3) % 7 >= 5
    table = np.where(
        off[:, None],
        np.array(weekend)[clock.months - 1],
        np.array(weekday)[clock.months - 1],
    )
    assert (prices == table[np.arange(len(clock)), clock.minutes // 60]).all()


def test_seasons_are_named_by_their_months() -> None:
    rows = tuple(tuple(row) for row in INDUSTRIAL["energyweekdayschedule"])
    assert [season.name for season in schedule_of(rows, rows, {}).seasons] == ["Nov-Apr", "May-Oct"]


def test_tiers_over_several_periods_follow_the_chosen_rule() -> None:
    tiers = [{"max": 100, "unit": "kWh", "rate": 0.1}, {"rate": 0.2, "unit": "kWh"}]
    content = _without(
        RESIDENTIAL, energyratestructure=[tiers, tiers],
        energyweekdayschedule=[[0] * 12 + [1] * 12] * 12,
        energyweekendschedule=[[0] * 12 + [1] * 12] * 12,
    )  # fmt: skip
    clock = year_clock(2023, zone="America/New_York")
    totals = {
        count: float(prepare(_tariff(content, count=count).tariff, clock).bill(np.ones(8760)).total)
        for count in BlockCount
    }
    whole = 8760 * 0.2 - 12 * 100 * 0.1
    assert totals[BlockCount.MONTH_TOTAL] == pytest.approx(whole)
    assert totals[BlockCount.TIME_ORDER] == pytest.approx(whole)
    assert totals[BlockCount.EACH_PERIOD] == pytest.approx(whole - 12 * 100 * 0.1)
