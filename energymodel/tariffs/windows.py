"""When a price applies: seasons by date, kinds of day, hours of the clock.

An interval belongs to the window in which it STARTS, in wall-clock time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

import numpy as np

from energymodel.arrays import Mask
from energymodel.errors import InputError

MONTH_NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
MINUTES_PER_DAY = 1440
KEYS_PER_YEAR = 13 * 32
"""Room for every `month * 32 + day`."""
_ANY_LEAP_YEAR = 2024
_LAST_OF_FEBRUARY, _LEAP_DAY = (2, 28), (2, 29)


class DayKind(IntEnum):
    """What a date is billed as; a date that counts as a holiday of its own is no weekday."""

    MONDAY = 0
    TUESDAY = 1
    WEDNESDAY = 2
    THURSDAY = 3
    FRIDAY = 4
    SATURDAY = 5
    SUNDAY = 6
    HOLIDAY = 7


WEEKDAYS = frozenset(DayKind(number) for number in range(5))
WEEKENDS = frozenset({DayKind.SATURDAY, DayKind.SUNDAY})
EVERY_DAY = frozenset(DayKind)


def date_key(month: int, day: int) -> int:
    """Return the number of a date within any year.

    Parameters
    ----------
    month, day
        1..12 and 1..31.

    Returns
    -------
    int
        `month * 32 + day`, rising through the year.
    """
    return month * 32 + day


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """From one date to another, both included; a span may pass the end of the year.

    Parameters
    ----------
    from_month, from_day, to_month, to_day
        29 February is a date; a span "to 28 February" leaves it out, but see
        :func:`season_holds`.
    """

    from_month: int
    from_day: int
    to_month: int
    to_day: int

    def __post_init__(self) -> None:
        for month, day in ((self.from_month, self.from_day), (self.to_month, self.to_day)):
            try:
                date(_ANY_LEAP_YEAR, month, day)
            except ValueError:
                raise InputError(
                    f"month {month}, day {day} is not a date", expected='dates such as "1 May"'
                ) from None

    def holds(self) -> Mask:
        """Dates of the span.

        Returns
        -------
        Mask
            Shape (KEYS_PER_YEAR,), at :func:`date_key`.
        """
        keys = np.arange(KEYS_PER_YEAR)
        first = date_key(self.from_month, self.from_day)
        last = date_key(self.to_month, self.to_day)
        if first <= last:
            return (keys >= first) & (keys <= last)
        return (keys >= first) | (keys <= last)


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """A named part of the year.

    Parameters
    ----------
    name
        As on the tariff sheet.
    spans
        One span of dates or more.
    """

    name: str
    spans: tuple[Span, ...]

    def holds(self) -> Mask:
        """Dates of the season.

        Returns
        -------
        Mask
            Shape (KEYS_PER_YEAR,), at :func:`date_key`.
        """
        return any_of([span.holds() for span in self.spans])


def with_leap_day(seasons: Sequence[Season]) -> tuple[str, ...]:
    """Seasons in which 29 February counts although they end on the 28th.

    Parameters
    ----------
    seasons
        All seasons of the tariff.

    Returns
    -------
    tuple of str
        Names; empty where a season names 29 February, or none ends on the 28th.

    Notes
    -----
    A sheet that says "1 December to 28 February" means the end of February. Without this choice
    29 February would have no price, or that of a season it does not belong to (`our choice`).
    """
    if any(season.holds()[date_key(*_LEAP_DAY)] for season in seasons):
        return ()
    ends = [{(span.to_month, span.to_day) for span in season.spans} for season in seasons]
    return tuple(
        season.name for season, last in zip(seasons, ends, strict=True) if _LAST_OF_FEBRUARY in last
    )


def season_holds(season: Season, seasons: Sequence[Season]) -> Mask:
    """Dates of one season among all of a tariff.

    Parameters
    ----------
    season
        One of them.
    seasons
        All of them.

    Returns
    -------
    Mask
        Shape (KEYS_PER_YEAR,), at :func:`date_key`; 29 February counts in a season that ends on
        the 28th where no season names it.
    """
    dates = season.holds()
    if season.name in with_leap_day(seasons):
        dates[date_key(*_LEAP_DAY)] = True
    return dates


@dataclass(frozen=True, slots=True, kw_only=True)
class HourSpan:
    """From one time of the day to another, the second one excluded.

    Parameters
    ----------
    from_minute, to_minute
        Minutes since midnight, 0..1440. A span such as 19:00 to 07:00 means the hours before
        07:00 and from 19:00 on, of the SAME date.
    """

    from_minute: int
    to_minute: int

    def __post_init__(self) -> None:
        for minute in (self.from_minute, self.to_minute):
            if not 0 <= minute <= MINUTES_PER_DAY:
                raise InputError(f"minute {minute} of a day", expected="0 to 1440")
        if self.from_minute == self.to_minute:
            raise InputError("hours that begin and end at the same time", expected='"7-19"')

    def holds(self) -> Mask:
        """Minutes of the span.

        Returns
        -------
        Mask
            Shape (1440,).
        """
        minutes = np.arange(MINUTES_PER_DAY)
        if self.from_minute < self.to_minute:
            return (minutes >= self.from_minute) & (minutes < self.to_minute)
        return (minutes >= self.from_minute) | (minutes < self.to_minute)


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """Season, days and hours that must all hold.

    Parameters
    ----------
    seasons
        Names of seasons; empty: the whole year.
    days
        Kinds of day.
    hours
        Spans of hours; empty: all day.
    """

    seasons: tuple[str, ...] = ()
    days: frozenset[DayKind] = EVERY_DAY
    hours: tuple[HourSpan, ...] = ()

    def __post_init__(self) -> None:
        if not self.days:
            raise InputError("a window without days", expected='"weekdays", "weekends", ...')

    @property
    def needs_clock(self) -> bool:
        """Whether days or hours matter, not only dates."""
        return bool(self.hours) or self.days != EVERY_DAY


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WindowTables:
    """A window as three look-up tables.

    Parameters
    ----------
    dates
        Shape (KEYS_PER_YEAR,).
    days
        Shape (8,).
    minutes
        Shape (1440,).
    """

    dates: Mask
    days: Mask
    minutes: Mask


def window_tables(window: Window, seasons: Sequence[Season]) -> WindowTables:
    """Turn a window into look-up tables.

    Parameters
    ----------
    window
        Names its seasons.
    seasons
        All seasons of the tariff.

    Returns
    -------
    WindowTables
        By date, kind of day and minute.

    Examples
    --------
    >>> tables = window_tables(
    ...     Window(days=WEEKDAYS, hours=(HourSpan(from_minute=420, to_minute=660),)), ()
    ... )
    >>> int(tables.minutes.sum()), int(tables.days.sum())
    (240, 5)
    """
    dates = season_dates(window.seasons, seasons)
    days = np.array([kind in window.days for kind in DayKind])
    minutes = np.ones(MINUTES_PER_DAY, dtype=np.bool_)
    if window.hours:
        minutes = any_of([span.holds() for span in window.hours])
    return WindowTables(dates=dates, days=days, minutes=minutes)


def season_dates(names: Sequence[str], seasons: Sequence[Season]) -> Mask:
    """Dates on which any of the named seasons holds.

    Parameters
    ----------
    names
        Empty: all dates.
    seasons
        All seasons of the tariff.

    Returns
    -------
    Mask
        Shape (KEYS_PER_YEAR,), at :func:`date_key`.
    """
    if not names:
        return np.ones(KEYS_PER_YEAR, dtype=np.bool_)
    by_name = {season.name: season for season in seasons}
    missing = [name for name in names if name not in by_name]
    if missing:
        raise InputError(
            f'the season "{missing[0]}" is not defined',
            expected="one of " + ", ".join(by_name) if by_name else "a table [seasons]",
        )
    return any_of([season_holds(by_name[name], seasons) for name in names])


def any_of(masks: Sequence[Mask]) -> Mask:
    """Join masks by "or".

    Parameters
    ----------
    masks
        One or more, same shape.

    Returns
    -------
    Mask
        True where any of them is.
    """
    joined: Mask = np.logical_or.reduce(masks)
    return joined
