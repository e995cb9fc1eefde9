"""Periods laid on calendar months: days and use of each month."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from energymodel.meters.periods import MeterPeriods, Period


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthShare:
    """What of one calendar month the periods cover.

    Parameters
    ----------
    year, month
        Calendar month.
    days
        Days covered.
    amount
        Use in the meter's unit, spread evenly over the days of each period.
    """

    year: int
    month: int
    days: int
    amount: float


def days_by_month(period: Period) -> dict[tuple[int, int], int]:
    """Days of one period in each calendar month.

    Parameters
    ----------
    period
        The period.

    Returns
    -------
    dict of int
        By (year, month), in order; they add up to the days of the period.

    Examples
    --------
    >>> days_by_month(Period(first_day=date(2023, 12, 15), end_day=date(2024, 1, 14), amount=0.0))
    {(2023, 12): 17, (2024, 1): 13}
    """
    found: dict[tuple[int, int], int] = {}
    day = period.first_day
    while day < period.end_day:
        after = date(day.year + day.month // 12, day.month % 12 + 1, 1)
        end = min(after, period.end_day)
        found[day.year, day.month] = (end - day).days
        day = end
    return found


def month_shares(readings: MeterPeriods) -> Sequence[MonthShare]:
    """Days and use of each calendar month.

    Parameters
    ----------
    readings
        Periods of a meter.

    Returns
    -------
    sequence of MonthShare
        Months with covered days, in order; days and use add up to those of the periods.
    """
    days: dict[tuple[int, int], int] = {}
    amount: dict[tuple[int, int], float] = {}
    for period in readings.periods:
        for month, count in days_by_month(period).items():
            days[month] = days.get(month, 0) + count
            amount[month] = amount.get(month, 0.0) + count * period.per_day
    return [
        MonthShare(year=month[0], month=month[1], days=days[month], amount=amount[month])
        for month in sorted(days)
    ]
