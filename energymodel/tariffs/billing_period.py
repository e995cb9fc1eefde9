"""Billing periods: calendar months, or what lies between two meter readings."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.dates import Dates, day_of_month, month_lengths, month_starts, months_of
from energymodel.tariffs.tariff import MonthlyAmounts

_USUAL_DAYS = (25, 36)
_ONE_DAY = np.timedelta64(1, "D")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BillingPeriods:
    """Consecutive billing periods.

    Parameters
    ----------
    starts
        First date of each, datetime64[D], shape (periods,).
    ends
        Date after the last of each, shape (periods,).
    whole_days
        Length of the uncut period of which each is a part (the edge of the data may cut it), days.
    without_leap_day
        29 February does not count as a day: the data leave it out.
    """

    starts: Dates
    ends: Dates
    whole_days: Array
    without_leap_day: bool = False

    def __post_init__(self) -> None:
        for array in (self.starts, self.ends, self.whole_days):
            array.flags.writeable = False

    def __len__(self) -> int:
        return len(self.starts)

    @property
    def days(self) -> Array:
        """Days of each period, shape (periods,)."""
        dates, owner = self.each_day()
        del dates
        return np.bincount(owner, minlength=len(self)).astype(np.float64)

    def each_day(self) -> tuple[Dates, Index]:
        """All dates that are billed.

        Returns
        -------
        dates
            datetime64[D], shape (days,).
        owner
            Number of the period of each date, shape (days,).
        """
        dates = np.arange(self.starts[0], self.ends[-1])
        if self.without_leap_day:
            dates = dates[~_is_leap_day(dates)]
        return dates, self.owner(dates)

    def owner(self, dates: Dates) -> Index:
        """Period in which dates lie.

        Parameters
        ----------
        dates
            datetime64[D], shape (n,).

        Returns
        -------
        Index
            Number of the period, shape (n,).

        Raises
        ------
        InputError
            If a date lies before the first or after the last period.
        """
        outside = (dates < self.starts[0]) | (dates >= self.ends[-1])
        if outside.any():
            raise InputError(
                f"{dates[outside][0]} lies in no billing period",
                expected=f"{self.starts[0]} to {self.ends[-1] - _ONE_DAY}",
            )
        return np.searchsorted(self.starts, dates, side="right").astype(np.intp) - 1

    @property
    def month_of_end(self) -> Index:
        """Calendar month in which the last day of each period lies, 1..12."""
        return months_of(self.ends - _ONE_DAY)

    @property
    def calendar_shares(self) -> Array:
        """Calendar months in each period: days in a month over the days of that month."""
        dates, owner = self.each_day()
        length = month_lengths(dates)
        if self.without_leap_day:
            length = np.where(length == 29.0, 28.0, length)
        shares: Array = np.bincount(owner, 1.0 / length, len(self)).astype(np.float64)
        return shares

    def months(self, rule: MonthlyAmounts) -> Array:
        """Count the amounts per month that are due on each bill.

        Parameters
        ----------
        rule
            Of the tariff.

        Returns
        -------
        Array
            Shape (periods,). A period that the edge of the data cuts counts with its share of
            days, so that the parts of a cut period add up to the whole.
        """
        if rule is MonthlyAmounts.BY_DAYS:
            return self.calendar_shares
        return self.days / self.whole_days

    def notices(self, rule: MonthlyAmounts) -> tuple[Notice, ...]:
        """Say what the reader should know about uncommon lengths.

        Parameters
        ----------
        rule
            Of the tariff.

        Returns
        -------
        tuple of Notice
            Empty where all periods have a usual length.
        """
        low, high = _USUAL_DAYS
        odd = (self.whole_days < low) | (self.whole_days > high)
        if rule is MonthlyAmounts.BY_DAYS or not odd.any():
            return ()
        text = (
            f"{int(odd.sum())} billing periods are shorter than {low} or longer than {high} days;"
            " amounts per month are due once on each. If the tariff counts days, say so in it."
        )
        return (Notice(topic="billing periods", text=text),)


def _is_leap_day(dates: Dates) -> Mask:
    leap: Mask = (months_of(dates) == 2) & (day_of_month(dates) == 29)
    return leap


def _between(marks: Dates, clock: WallClock) -> BillingPeriods:
    """Cut uncut periods, given by the first date of each and of the next, to the data."""
    first, after = clock.first_date, clock.last_date + _ONE_DAY
    starts, ends = marks[:-1], marks[1:]
    inside = (starts < after) & (ends > first)
    starts, ends = starts[inside], ends[inside]
    whole = (ends - starts).astype(np.float64)
    if clock.without_leap_day:
        gone = np.arange(first, after)
        gone = gone[_is_leap_day(gone)]
        whole -= [
            ((start <= gone) & (gone < end)).sum() for start, end in zip(starts, ends, strict=True)
        ]
    return BillingPeriods(
        starts=np.maximum(starts, first),
        ends=np.minimum(ends, after),
        whole_days=whole,
        without_leap_day=clock.without_leap_day,
    )


def calendar_months(clock: WallClock) -> BillingPeriods:
    """Bill by calendar month.

    Parameters
    ----------
    clock
        Rows that will be billed.

    Returns
    -------
    BillingPeriods
        The months that the rows touch.
    """
    return monthly_from_day(1, clock)


def monthly_from_day(day: int, clock: WallClock) -> BillingPeriods:
    """Bill from the same day of each month on.

    Parameters
    ----------
    day
        First day of each period, 1..28.
    clock
        Rows that will be billed; the first and the last period may be cut by their edge.

    Returns
    -------
    BillingPeriods
        Consecutive.

    Raises
    ------
    InputError
        If the day is not in every month.
    """
    if not 1 <= day <= 28:
        raise InputError(f"bills from day {day} of the month", expected="1 to 28")
    first = clock.first_date.astype("datetime64[M]") - 1
    last = clock.last_date.astype("datetime64[M]") + 2
    months = np.arange(first, last + 1)
    return _between(month_starts(months) + np.timedelta64(day - 1, "D"), clock)


def between_readings(reading_dates: Sequence[date], clock: WallClock) -> BillingPeriods:
    """Bill from one meter reading to the next.

    Parameters
    ----------
    reading_dates
        Dates of the readings, rising. The day of a reading belongs to the period that begins with
        it, so that the days of all periods add up to the calendar.
    clock
        Rows that will be billed; they must lie between the first and the last reading.

    Returns
    -------
    BillingPeriods
        One less than there are readings.

    Raises
    ------
    InputError
        If the dates do not rise or do not enclose the rows.
    """
    marks = _rising(reading_dates)
    if marks[0] > clock.first_date or marks[-1] <= clock.last_date:
        raise InputError(
            f"readings from {marks[0]} to {marks[-1]} do not enclose the rows",
            expected=f"a first reading by {clock.first_date}, a last one after {clock.last_date}",
        )
    return _between(marks, clock)


def of_readings(reading_dates: Sequence[date]) -> BillingPeriods:
    """Billing periods between meter readings, without rows.

    Parameters
    ----------
    reading_dates
        Dates of the readings, rising.

    Returns
    -------
    BillingPeriods
        One less than there are readings.

    Raises
    ------
    InputError
        If the dates do not rise.

    Examples
    --------
    >>> of_readings([date(2023, 12, 15), date(2024, 1, 14)]).days.tolist()
    [30.0]
    """
    marks = _rising(reading_dates)
    return BillingPeriods(
        starts=marks[:-1], ends=marks[1:], whole_days=np.diff(marks).astype(np.float64)
    )


def of_months(months: Sequence[tuple[int, int]]) -> BillingPeriods:
    """Whole calendar months as billing periods, without rows.

    Parameters
    ----------
    months
        (year, month) in order, none left out.

    Returns
    -------
    BillingPeriods
        One per month.

    Raises
    ------
    InputError
        If a month is missing or out of order.

    Examples
    --------
    >>> of_months([(2024, 2)]).days.tolist()
    [29.0]
    """
    starts = [date(year, month, 1) for year, month in months]
    year, month = months[-1]
    last = date(year + month // 12, month % 12 + 1, 1)
    for one, other in zip(starts, [*starts[1:], last], strict=True):
        if (other - one).days != calendar.monthrange(one.year, one.month)[1]:
            raise InputError(f"after {one:%B %Y} comes {other:%B %Y}", expected="every month")
    return of_readings([*starts, last])


def _rising(reading_dates: Sequence[date]) -> Dates:
    marks = np.array(reading_dates, dtype="datetime64[D]")
    if len(marks) < 2 or (np.diff(marks) <= np.timedelta64(0, "D")).any():
        raise InputError(
            "the dates of the readings do not rise", expected="two dates or more, in order"
        )
    return marks
