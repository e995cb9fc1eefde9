"""Readings, bills and tank fills: days, estimates, gaps, money."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.errors import InputError, ManyFaultsError
from energymodel.meters.bills import Bill, LastDay, last_day_rule, periods_from_bills
from energymodel.meters.month_shares import days_by_month, month_shares
from energymodel.meters.periods import Meter, MeterPeriods, Period, add_meters
from energymodel.meters.readings import (
    Reading,
    periods_from_fills,
    periods_from_index,
    periods_from_use,
)

GAS = Meter(carrier="natural gas", unit="therm")
POWER = Meter(carrier="electricity", unit="kWh")
OIL = Meter(carrier="heating oil", unit="gallon")


def reads(*rows: tuple[str, float] | tuple[str, float, str]) -> list[Reading]:
    return [
        Reading(read_on=date.fromisoformat(row[0]), amount=row[1], estimated=len(row) == 3)
        for row in rows
    ]


def bills(*rows: tuple[str, str, float] | tuple[str, str, float, str]) -> list[Bill]:
    return [
        Bill(
            first_day=date.fromisoformat(row[0]),
            last_day=date.fromisoformat(row[1]),
            amount=row[2],
            estimated=len(row) == 4,
            where=f"line {line}",
        )
        for line, row in enumerate(rows, start=2)
    ]


def texts(found: MeterPeriods) -> str:
    return " ".join(notice.text for notice in found.notices)


# user problem A19 (homeowner blog): two monitored heads, 682 + 217 kWh in 53 days, 17 c; printed
# 899 kWh, just under 17 kWh a day, $2.88 a day
def test_two_monitored_heads_add_up_to_the_published_use_per_day() -> None:
    span = date(2024, 1, 1), date(2024, 1, 1) + timedelta(days=53)
    heads = [
        MeterPeriods(
            meter=POWER, periods=(Period(first_day=span[0], end_day=span[1], amount=amount),)
        )
        for amount in (682.0, 217.0)
    ]
    both = add_meters(heads)
    assert both.amount.tolist() == [899.0]
    assert both.per_day[0] == pytest.approx(16.96, abs=0.005)
    assert both.per_day[0] * 0.17 == pytest.approx(2.88, abs=0.01)
    assert both.per_day[0] * 0.15 == pytest.approx(2.54, abs=0.01)


def test_meters_of_other_units_or_days_are_not_added() -> None:
    winter = Period(first_day=date(2024, 1, 1), end_day=date(2024, 2, 1), amount=10.0)
    later = Period(first_day=date(2024, 1, 2), end_day=date(2024, 2, 1), amount=10.0)
    one = MeterPeriods(meter=POWER, periods=(winter,))
    with pytest.raises(InputError, match="cannot be added"):
        add_meters([one, MeterPeriods(meter=GAS, periods=(winter,))])
    with pytest.raises(InputError, match="different days"):
        add_meters([one, MeterPeriods(meter=POWER, periods=(later,))])


# a bill "15 December to 14 January" has 30 or 31 days, depending on whether the read day counts
# twice; the days of all bills must add up to the calendar (computed)
@pytest.mark.parametrize(("next_first", "days", "rule"), [
    ("2024-01-14", 30, LastDay.OPENS_THE_NEXT),
    ("2024-01-15", 31, LastDay.INCLUDED),
])  # fmt: skip
def test_the_bill_after_it_tells_whether_the_last_day_counts(
    next_first: str, days: int, rule: LastDay
) -> None:
    found = bills(("2023-12-15", "2024-01-14", 90.0), (next_first, "2024-02-13", 95.0))
    assert last_day_rule(found) is rule
    periods = periods_from_bills(found, GAS)
    assert periods.periods[0].days == days
    assert periods.periods[0].end_day == periods.periods[1].first_day
    assert rule.value in texts(periods)


def test_a_single_bill_asks_what_its_last_day_means() -> None:
    alone = bills(("2023-12-15", "2024-01-14", 90.0))
    with pytest.raises(InputError, match="30 or 31 days"):
        periods_from_bills(alone, GAS)
    assert periods_from_bills(alone, GAS, last_day=LastDay.INCLUDED).days.tolist() == [31]


@given(
    start=st.dates(date(1990, 1, 1), date(2030, 1, 1)),
    lengths=st.lists(st.integers(1, 100), min_size=2, max_size=15),
    included=st.booleans(),
)
def test_day_shares_of_all_bills_add_up_to_the_calendar(
    start: date, lengths: list[int], included: bool
) -> None:
    found, day = [], start
    for length in lengths:
        end = day + timedelta(days=length)
        last = end - timedelta(days=1) if included else end
        found.append(Bill(first_day=day, last_day=last, amount=float(length)))
        day = end
    rule = LastDay.INCLUDED if included else LastDay.OPENS_THE_NEXT
    meter = Meter(carrier="electricity", unit="kWh")
    if len(set(lengths)) < len(lengths):  # equal amounts may look like an equal-payment plan
        found = [
            Bill(first_day=bill.first_day, last_day=bill.last_day, amount=at + 1.0)
            for at, bill in enumerate(found)
        ]
    periods = periods_from_bills(found, meter, last_day=rule)
    shares = month_shares(periods)
    assert sum(share.days for share in shares) == (day - start).days
    assert sum(share.amount for share in shares) == pytest.approx(periods.amount.sum())
    inner = shares[1:-1]
    for share in inner:  # a month wholly inside is a whole calendar month
        first = date(share.year, share.month, 1)
        after = date(share.year + share.month // 12, share.month % 12 + 1, 1)
        assert share.days == (after - first).days


def test_days_of_one_period_by_month_cross_a_leap_february() -> None:
    period = Period(first_day=date(2024, 1, 31), end_day=date(2024, 3, 2), amount=1.0)
    assert days_by_month(period) == {(2024, 1): 1, (2024, 2): 29, (2024, 3): 1}


def test_overlapping_bills_are_refused_and_each_pair_is_named() -> None:
    found = bills(
        ("2024-01-01", "2024-02-05", 9.0), ("2024-02-01", "2024-03-01", 8.0),
        ("2024-02-20", "2024-04-01", 7.0),
    )  # fmt: skip
    with pytest.raises(ManyFaultsError) as refused:
        periods_from_bills(found, GAS, last_day=LastDay.OPENS_THE_NEXT)
    message = str(refused.value)
    assert "line 3: 2024-02-01 to 2024-02-29 overlaps 2024-01-01 to 2024-02-04" in message
    assert "line 4: 2024-02-20 to 2024-03-31 overlaps" in message


def test_days_without_a_bill_are_named_and_left_out() -> None:
    found = periods_from_bills(
        bills(
            ("2024-01-01", "2024-01-31", 90.0), ("2024-02-01", "2024-02-29", 80.0),
            ("2024-04-01", "2024-04-30", 40.0),
        ),
        GAS,
    )  # fmt: skip
    assert found.days.tolist() == [31, 29, 30]
    assert "No bill covers 2024-03-01 to 2024-03-31 (31 days)" in texts(found)


def test_a_bill_without_days_is_refused() -> None:
    with pytest.raises(InputError, match="has no days"):
        periods_from_bills(
            bills(("2024-01-15", "2024-01-15", 1.0)), GAS, last_day=LastDay.OPENS_THE_NEXT
        )


# seen on utility pages: estimated reads are trued up on the next actual read
def test_estimated_bills_are_merged_with_the_next_actual_one_and_counted() -> None:
    found = periods_from_bills(
        bills(
            ("2024-01-01", "2024-01-31", 90.0), ("2024-02-01", "2024-02-29", 100.0, "E"),
            ("2024-03-01", "2024-03-31", 20.0), ("2024-04-01", "2024-04-30", 30.0, "E"),
        ),
        GAS,
    )  # fmt: skip
    assert found.amount.tolist() == [90.0, 120.0]
    assert found.days.tolist() == [31, 60]
    assert found.merged == 1
    assert "1 estimated read was merged" in texts(found)
    assert "No actual read follows the estimated 2024-04-01 to 2024-04-30" in texts(found)


def test_estimates_before_a_gap_cannot_be_trued_up() -> None:
    found = periods_from_bills(
        bills(
            ("2024-01-01", "2024-01-31", 90.0), ("2024-02-01", "2024-02-29", 70.0, "E"),
            ("2024-04-01", "2024-04-30", 60.0), ("2024-05-01", "2024-05-31", 50.0),
        ),
        GAS,
    )  # fmt: skip
    assert found.amount.tolist() == [90.0, 60.0, 50.0]
    assert "No actual read follows the estimated 2024-02-01" in texts(found)


def test_an_index_gives_the_use_between_actual_reads() -> None:
    found = periods_from_index(
        reads(
            ("2024-01-05", 100.0, "E"), ("2024-02-05", 1000.0), ("2024-03-06", 1150.0, "E"),
            ("2024-04-05", 1200.0), ("2024-05-06", 1240.0), ("2024-06-05", 1260.0, "E"),
        ),
        POWER,
    )  # fmt: skip
    assert found.amount.tolist() == [200.0, 40.0]
    assert found.days.tolist() == [60, 31]
    assert found.merged == 1
    assert "1 estimated reads before the first actual one" in texts(found)
    assert "1 estimated reads after the last actual one" in texts(found)


def test_a_falling_index_is_refused_unless_the_counter_ran_past_its_end() -> None:
    rows = reads(("2024-01-05", 99_900.0), ("2024-02-05", 150.0))
    with pytest.raises(InputError, match="falls from 99900"):
        periods_from_index(rows, POWER)
    # from 99,900 to 100,000 and on to 150 (analytic)
    assert periods_from_index(rows, POWER, dials=5).amount.tolist() == [250.0]


def test_uses_since_the_previous_read_need_that_read() -> None:
    found = periods_from_use(
        reads(("2024-01-05", 80.0), ("2024-02-05", 90.0), ("2024-03-06", 70.0)), GAS
    )
    assert found.amount.tolist() == [90.0, 70.0]
    assert found.days.tolist() == [31, 30]
    assert "its use of 80 therm is left out" in texts(found)


def test_a_true_up_of_an_unknown_estimate_is_left_out_too() -> None:
    found = periods_from_use(
        reads(
            ("2024-01-05", 80.0, "E"), ("2024-02-05", 300.0), ("2024-03-06", 70.0),
        ),
        GAS,
    )  # fmt: skip
    assert found.amount.tolist() == [70.0]


def test_what_was_burned_between_two_fills_is_what_the_second_put_back() -> None:
    found = periods_from_fills(
        reads(
            ("2023-11-02", 210.0), ("2023-12-20", 120.0), ("2024-01-15", 60.0, "part"),
            ("2024-02-03", 95.0),
        ),
        OIL,
    )  # fmt: skip
    assert found.amount.tolist() == [120.0, 155.0]
    assert found.days.tolist() == [48, 45]
    assert found.merged == 1


def test_reads_out_of_order_or_twice_on_a_day_are_refused() -> None:
    with pytest.raises(InputError, match="2024-01-05 follows that of 2024-02-05"):
        periods_from_use(reads(("2024-02-05", 1.0), ("2024-01-05", 2.0)), GAS)
    with pytest.raises(InputError, match="oldest first"):
        periods_from_use(reads(("2024-02-05", 1.0), ("2024-02-05", 2.0)), GAS)


def test_one_actual_read_is_no_period() -> None:
    with pytest.raises(InputError, match="3 readings of natural gas with 1 actual ones"):
        periods_from_index(
            reads(("2024-01-05", 1.0), ("2024-02-05", 2.0, "E"), ("2024-03-05", 3.0, "E")), GAS
        )


def test_a_credit_is_refused() -> None:
    with pytest.raises(InputError, match="a use of -5 therm"):
        periods_from_use(reads(("2024-01-05", 1.0), ("2024-02-05", -5.0)), GAS)


# seen in homeowner blogs: equal-payment bills; dollars are not energy
@pytest.mark.parametrize("unit", ["$", "USD", "dollars", "EUR", "US$", "cost"])
def test_money_is_refused_as_energy(unit: str) -> None:
    with pytest.raises(InputError, match="money"):
        Meter(carrier="natural gas", unit=unit)


def test_a_missing_unit_is_asked_for() -> None:
    with pytest.raises(InputError, match="no unit"):
        Meter(carrier="natural gas", unit=" ")


def test_equal_payments_are_recognised() -> None:
    rows = [
        (f"2023-{month:02d}-01", f"2023-{month + 1:02d}-01", 120.0 if month < 11 else 310.0)
        for month in range(1, 12)
    ]
    with pytest.raises(InputError, match=r"10 of 11 periods .* equal-payment plan"):
        periods_from_bills(bills(*rows), GAS)


def test_equal_small_summer_uses_and_zeros_are_no_equal_payments() -> None:
    amounts = [120.0, 110.0, 80.0, 40.0, 9.0, 9.0, 9.0, 9.0, 30.0, 70.0, 100.0]
    rows = [
        (f"2023-{month:02d}-01", f"2023-{month + 1:02d}-01", amount)
        for month, amount in enumerate(amounts, start=1)
    ]
    assert len(periods_from_bills(bills(*rows), GAS)) == 11
    zeros = [(first, last, 0.0 if 3 < at < 11 else amount) for at, (first, last, amount) in
             enumerate(rows)]  # fmt: skip
    assert len(periods_from_bills(bills(*zeros), GAS)) == 11


def test_periods_between_two_dates_leave_out_the_rest_with_a_notice() -> None:
    found = periods_from_use(
        reads(("2024-01-05", 0.0), ("2024-02-05", 9.0), ("2024-03-06", 8.0), ("2024-04-05", 7.0)),
        GAS,
    )
    after = found.between(date(2024, 2, 1), date(2024, 4, 10))
    assert after.amount.tolist() == [8.0, 7.0]
    assert "Only periods from 2024-02-01 until 2024-04-10 are taken: 1 left out" in texts(after)
    with pytest.raises(InputError, match="no period of natural gas lies between"):
        found.between(date(2025, 1, 1), date(2025, 2, 1))


def test_use_per_day_is_amount_over_days() -> None:
    period = Period(first_day=date(2024, 2, 1), end_day=date(2024, 3, 1), amount=58.0)
    assert period.per_day == 2.0
    assert period.label == "2024-02-01 to 2024-02-29"
    assert np.isclose(MeterPeriods(meter=GAS, periods=(period,)).per_day[0], 2.0)
