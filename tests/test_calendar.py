"""Wall-clock time: clock changes, holidays, typical years, billing periods."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.errors import InputError
from energymodel.tariffs.billing_period import (
    between_readings,
    calendar_months,
    monthly_from_day,
    of_months,
    of_readings,
)
from energymodel.tariffs.calendar import (
    clock_from_standard_time,
    clock_from_utc,
    day_kinds,
    standard_offset_h,
    year_clock,
)
from energymodel.tariffs.holiday import HolidayAs, HolidayRule, holiday_dates
from energymodel.tariffs.tariff import MonthlyAmounts
from energymodel.tariffs.windows import DayKind

NEW_YORK = "America/New_York"


def _rows_on(year: int, day: str, zone: str = NEW_YORK) -> list[int]:
    clock = year_clock(year, zone=zone)
    return (clock.minutes[clock.dates == np.datetime64(day)] // 60).tolist()


def test_clock_change_days_have_23_and_25_hours() -> None:
    # second Sunday of March and first Sunday of November (Energy Policy Act of 2005, from memory)
    assert _rows_on(2023, "2023-03-12") == [0, 1, *range(3, 24)]
    assert _rows_on(2023, "2023-11-05") == [0, 1, 1, *range(2, 24)]
    assert len(_rows_on(2023, "2023-03-13")) == 24


def test_european_clocks_change_on_the_last_sundays() -> None:
    # Directive 2000/84/EC: last Sunday of March and of October (from memory)
    assert len(_rows_on(2023, "2023-03-26", "Europe/Berlin")) == 23
    assert len(_rows_on(2023, "2023-10-29", "Europe/Berlin")) == 25


@settings(max_examples=40, deadline=None)
@given(
    zone=st.sampled_from([NEW_YORK, "America/Denver", "Europe/Berlin", "Asia/Tokyo"]),
    hour=st.integers(0, 8759),
    year=st.integers(2010, 2030),
)
def test_every_hour_agrees_with_the_zone_rules_of_the_standard_library(
    zone: str, hour: int, year: int
) -> None:
    clock = year_clock(year, zone=zone)
    standard = datetime(year, 1, 1) + timedelta(hours=hour)
    if clock.without_leap_day and standard >= datetime(year, 2, 29):
        standard += timedelta(days=1)
    offset = timezone(timedelta(hours=standard_offset_h(zone)))
    wall = standard.replace(tzinfo=offset).astimezone(ZoneInfo(zone)).replace(tzinfo=None)
    assert clock.starts[hour].astype(object) == wall


def test_a_typical_year_on_a_leap_year_leaves_29_february_out_and_says_so() -> None:
    clock = year_clock(2024, zone=NEW_YORK)
    assert len(clock) == 8760
    assert not (clock.dates == np.datetime64("2024-02-29")).any()
    assert "29 February left out" in clock.notices[0].text
    assert calendar_months(clock).days.tolist()[:3] == [31, 28, 31]
    observed = year_clock(2024, zone=NEW_YORK, rows=8784)
    assert calendar_months(observed).days.tolist()[:3] == [31, 29, 31]


@pytest.mark.parametrize(("year", "rows"), [(2023, 8784), (2024, 8000), (2023, 8736)])
def test_rows_that_do_not_fit_the_year_are_refused(year: int, rows: int) -> None:
    with pytest.raises(InputError, match=f"hours for the year {year}"):
        year_clock(year, zone=NEW_YORK, rows=rows)


def test_daylight_saving_at_the_turn_of_the_year_wraps_the_last_hour_to_the_first() -> None:
    clock = year_clock(2023, zone="Australia/Sydney")
    assert clock.starts[0] == np.datetime64("2023-01-01T01:00")
    assert clock.starts[-1] == np.datetime64("2023-01-01T00:00")
    assert calendar_months(clock).days.sum() == 365


def test_without_a_zone_the_clock_keeps_standard_time_and_says_so() -> None:
    clock = year_clock(2023, zone=None)
    assert (clock.minutes // 60 == np.tile(np.arange(24), 365)).all()
    assert "no time zone is given" in clock.notices[0].text


def test_a_zone_that_keeps_another_standard_time_than_the_rows_is_refused() -> None:
    with pytest.raises(InputError, match="UTC-6"):
        year_clock(2023, zone=NEW_YORK, utc_offset_h=-6.0)


def test_an_unknown_zone_is_answered_with_the_nearest_name() -> None:
    with pytest.raises(InputError) as refused:
        year_clock(2023, zone="America/NewYork")
    assert refused.value.remedy == 'did you mean "America/New_York"?'


def test_gaps_in_the_rows_are_refused_with_their_place() -> None:
    starts = np.array(["2023-01-01T00:00", "2023-01-01T02:00"], dtype="datetime64[m]")
    with pytest.raises(InputError, match="after 2023-01-01T00:00 comes 2023-01-01T02:00"):
        clock_from_utc(starts, zone=NEW_YORK, step_min=60)


def test_standard_time_rows_and_utc_rows_give_the_same_wall_clock() -> None:
    utc = np.arange("2023-03-01T05:00", "2023-04-01T05:00", 15, dtype="datetime64[m]")
    from_utc = clock_from_utc(utc, zone=NEW_YORK, step_min=15)
    standard = clock_from_standard_time(
        utc - np.timedelta64(300, "m"), zone=NEW_YORK, step_min=15, utc_offset_h=-5.0
    )
    assert (from_utc.starts == standard.starts).all()


SIX_US_HOLIDAYS = HolidayRule(
    country="US",
    only=(
        "New Year's Day", "Memorial Day", "Independence Day", "Labor Day", "Thanksgiving Day",
        "Christmas Day",
    ),
    observed=False,
)  # fmt: skip


def test_the_six_usual_holidays_fall_on_their_days() -> None:
    # dates of 2023 by the rules of 5 U.S.C. 6103 (from memory)
    assert [str(day) for day in holiday_dates(SIX_US_HOLIDAYS, [2023])] == [
        "2023-01-01", "2023-05-29", "2023-07-04", "2023-09-04", "2023-11-23", "2023-12-25",
    ]  # fmt: skip


def test_holidays_are_billed_as_the_rule_says() -> None:
    days = np.array(["2023-07-03", "2023-07-04", "2023-12-24"], dtype="datetime64[D]")
    yearly = ((12, 24),)

    def kinds(count_as: HolidayAs) -> list[int]:
        rule = HolidayRule(
            country="US", only=("Independence Day",), every_year=yearly, count_as=count_as
        )
        return day_kinds(days, rule).tolist()

    assert kinds(HolidayAs.WEEKEND) == [DayKind.MONDAY, DayKind.SUNDAY, DayKind.SUNDAY]
    assert kinds(HolidayAs.ORDINARY_DAY) == [DayKind.MONDAY, DayKind.TUESDAY, DayKind.SUNDAY]
    assert kinds(HolidayAs.HOLIDAY) == [DayKind.MONDAY, DayKind.HOLIDAY, DayKind.HOLIDAY]
    assert day_kinds(days, None).tolist() == [0, 1, 6]


def test_own_dates_count_in_their_year_and_29_february_only_in_leap_years() -> None:
    rule = HolidayRule(dates=(date(2023, 11, 24),), every_year=((2, 29),))
    assert holiday_dates(rule, [2023, 2024]) == (date(2023, 11, 24), date(2024, 2, 29))
    assert holiday_dates(rule, [2022]) == ()


def test_a_misspelt_holiday_and_an_unknown_country_are_refused() -> None:
    with pytest.raises(InputError) as refused:
        holiday_dates(HolidayRule(country="US", only=("Labour Day",)), [2023])
    assert refused.value.remedy == 'did you mean "Labor Day"?'
    with pytest.raises(InputError, match="no list of holidays"):
        holiday_dates(HolidayRule(country="ZZ"), [2023])
    with pytest.raises(InputError, match="without a country"):
        HolidayRule(only=("Labor Day",))


def test_a_holiday_younger_than_the_year_is_no_misspelling() -> None:
    rule = HolidayRule(country="US", only=("Juneteenth National Independence Day",))
    assert holiday_dates(rule, [2015]) == ()


def test_the_day_of_a_reading_counts_once() -> None:
    # own check: 15 Dec to 14 Jan is 30 days if the days of all bills shall add up to
    # the calendar (own test)
    periods = of_readings([date(2023, 12, 15), date(2024, 1, 14), date(2024, 2, 15)])
    assert periods.days.tolist() == [30.0, 32.0]
    assert periods.days.sum() == (date(2024, 2, 15) - date(2023, 12, 15)).days


def test_reading_dates_must_rise_and_enclose_the_rows() -> None:
    with pytest.raises(InputError, match="do not rise"):
        of_readings([date(2023, 1, 1), date(2023, 1, 1)])
    clock = year_clock(2023, zone=None)
    with pytest.raises(InputError, match="do not enclose"):
        between_readings([date(2023, 1, 5), date(2024, 1, 5)], clock)
    assert (
        len(between_readings([date(2022, 12, 20), date(2023, 6, 1), date(2024, 1, 1)], clock)) == 2
    )


def test_months_must_follow_each_other() -> None:
    assert of_months([(2023, 12), (2024, 1)]).days.tolist() == [31, 31]
    with pytest.raises(InputError, match="after January 2024 comes March 2024"):
        of_months([(2024, 1), (2024, 3)])


@settings(max_examples=30, deadline=None)
@given(day=st.integers(1, 28), year=st.integers(2020, 2026))
def test_periods_from_any_day_cover_the_year_and_carry_twelve_monthly_amounts(
    day: int, year: int
) -> None:
    clock = year_clock(year, zone=NEW_YORK)
    periods = monthly_from_day(day, clock)
    assert periods.days.sum() == 365
    assert (np.bincount(periods.owner(clock.dates)) > 0).all()
    assert periods.calendar_shares.sum() == pytest.approx(12.0)
    by_days = periods.months(MonthlyAmounts.BY_DAYS)
    assert by_days.sum() == pytest.approx(12.0)
    per_bill = periods.months(MonthlyAmounts.ONE_PER_BILL)
    assert per_bill[1:-1] == pytest.approx(1.0)
    if day > 1:  # the period that the year's end cuts is the same one at both ends
        assert per_bill[0] + per_bill[-1] == pytest.approx(1.0)


def test_a_short_or_long_bill_is_remarked_where_amounts_are_due_once_per_bill() -> None:
    periods = of_readings([date(2023, 1, 1), date(2023, 3, 1), date(2023, 3, 12)])
    assert "2 billing periods are shorter" in periods.notices(MonthlyAmounts.ONE_PER_BILL)[0].text
    assert periods.notices(MonthlyAmounts.BY_DAYS) == ()


def test_a_date_outside_all_periods_is_refused() -> None:
    with pytest.raises(InputError, match="lies in no billing period"):
        of_months([(2023, 1)]).owner(np.array(["2023-02-01"], dtype="datetime64[D]"))
