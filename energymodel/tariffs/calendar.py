"""Wall-clock time: the only place that knows daylight saving, weekends and holidays.

Rows come labelled by the START of each interval in the site's local standard time (weather years,
results) or in UTC (meters); they leave with their wall-clock date and minute.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from difflib import get_close_matches
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

import numpy as np

from energymodel.arrays import Index
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.tariffs.dates import Dates, months_of
from energymodel.tariffs.holiday import HolidayAs, HolidayRule, holiday_dates
from energymodel.tariffs.windows import MINUTES_PER_DAY, DayKind

_HOURS_OF_A_YEAR = 8760
_HOURS_OF_A_LEAP_YEAR = 8784
_MONDAY_BEFORE_EPOCH = 3
"""1 January 1970 was a Thursday, day 3 of a week that begins on Monday."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WallClock:
    """Wall-clock time of every interval.

    Parameters
    ----------
    dates
        Local date of the start of each interval, datetime64[D], shape (intervals,).
    minutes
        Minute of the local day at its start, 0..1439, shape (intervals,).
    step_min
        Length of the intervals, minutes.
    zone
        Name of the time zone; None: standard time all year, no daylight saving known.
    cyclic
        The rows are a whole year that stands for any year: what comes before its first hour is
        its end.
    without_leap_day
        29 February was left out of a leap year.
    notices
        What the reader should know.
    """

    dates: Dates
    minutes: Index
    step_min: int
    zone: str | None
    cyclic: bool = False
    without_leap_day: bool = False
    notices: tuple[Notice, ...] = ()

    def __post_init__(self) -> None:
        self.dates.flags.writeable = False
        self.minutes.flags.writeable = False

    def __len__(self) -> int:
        return len(self.dates)

    @property
    def months(self) -> Index:
        """Calendar month of each interval, 1..12, shape (intervals,)."""
        return months_of(self.dates)

    @property
    def starts(self) -> Dates:
        """Wall-clock start of each interval, datetime64[m], shape (intervals,)."""
        starts: Dates = self.dates.astype("datetime64[m]") + self.minutes.astype("timedelta64[m]")
        return starts

    @property
    def last_date(self) -> np.datetime64:
        """Last local date."""
        return np.datetime64(self.dates.max(), "D")

    @property
    def first_date(self) -> np.datetime64:
        """First local date."""
        return np.datetime64(self.dates.min(), "D")


def day_kinds(dates: Dates, rule: HolidayRule | None) -> Index:
    """Find what each date is billed as.

    Parameters
    ----------
    dates
        datetime64[D], shape (n,).
    rule
        Holidays of the tariff; None: it has none.

    Returns
    -------
    Index
        Values of :class:`DayKind`, shape (n,).

    Examples
    --------
    >>> monday_and_holiday = np.array(["2022-07-01", "2022-07-04"], dtype="datetime64[D]")
    >>> rule = HolidayRule(country="US", only=("Independence Day",))
    >>> [DayKind(kind).name for kind in day_kinds(monday_and_holiday, rule)]
    ['FRIDAY', 'SUNDAY']
    """
    kinds: Index = (dates.astype(np.intp) + _MONDAY_BEFORE_EPOCH) % 7
    if rule is None or rule.count_as is HolidayAs.ORDINARY_DAY or not len(dates):
        return kinds
    years = np.unique(dates.astype("datetime64[Y]").astype(np.intp) + 1970).tolist()
    holidays = np.array(holiday_dates(rule, years), dtype="datetime64[D]")
    billed = DayKind.SUNDAY if rule.count_as is HolidayAs.WEEKEND else DayKind.HOLIDAY
    return np.where(np.isin(dates, holidays), int(billed), kinds)


def standard_offset_h(zone: str) -> float:
    """Local standard time less UTC.

    Parameters
    ----------
    zone
        Name of the time zone, such as "America/New_York".

    Returns
    -------
    float
        Hours, without daylight saving.

    Raises
    ------
    InputError
        If the zone is not known.

    Examples
    --------
    >>> standard_offset_h("America/New_York")
    -5.0
    """
    info = zone_info(zone)
    offsets = [datetime(2024, month, 1, tzinfo=info).utcoffset() for month in (1, 7)]
    return min(offset or timedelta() for offset in offsets) / timedelta(hours=1)


def zone_info(zone: str) -> ZoneInfo:
    """Find a time zone.

    Parameters
    ----------
    zone
        Name, such as "America/New_York".

    Returns
    -------
    ZoneInfo
        Its rules.

    Raises
    ------
    InputError
        If the zone is not known.
    """
    try:
        return ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        near = get_close_matches(zone, available_timezones(), n=1)
        raise InputError(
            f"the time zone {zone!r} is not known",
            expected='a name such as "America/New_York"',
            remedy=f'did you mean "{near[0]}"?' if near else "",
        ) from None


def _checked_offset(zone: str | None, utc_offset_h: float | None) -> float:
    if zone is None:
        return 0.0
    own = standard_offset_h(zone)
    if utc_offset_h is not None and abs(own - utc_offset_h) > 1e-9:
        raise InputError(
            f"rows in UTC{utc_offset_h:+g} h, but {zone} keeps UTC{own:+g} h",
            expected="the zone of the place",
        )
    return own


def wall_times(utc: Dates, zone: str) -> Dates:
    """Wall-clock times of moments.

    Parameters
    ----------
    utc
        datetime64, shape (n,).
    zone
        Name of the time zone.

    Returns
    -------
    Dates
        datetime64[m], shape (n,).
    """
    import pandas as pd  # noqa: PLC0415 - a third of a second, and flat prices do without

    stamps = pd.DatetimeIndex(utc.astype("datetime64[s]")).tz_localize("UTC").tz_convert(zone)
    return stamps.tz_localize(None).to_numpy().astype("datetime64[m]")


def _check_steps(starts: Dates, step_min: int) -> None:
    if step_min <= 0 or 60 % step_min:
        raise InputError(f"intervals of {step_min} minutes", expected="60, 30, 20, 15, 10 or 5")
    gaps = np.flatnonzero(np.diff(starts) != np.timedelta64(step_min, "m"))
    if len(gaps):
        raise InputError(
            f"the rows do not follow each other every {step_min} minutes: after {starts[gaps[0]]}"
            f" comes {starts[gaps[0] + 1]}",
            remedy="fill or cut gaps before billing",
        )


def _clock(wall: Dates, step_min: int, zone: str | None) -> WallClock:
    dates = wall.astype("datetime64[D]")
    minutes = (wall - dates.astype("datetime64[m]")).astype(np.intp)
    return WallClock(dates=dates, minutes=minutes, step_min=step_min, zone=zone)


def clock_from_utc(starts: Dates, *, zone: str, step_min: int) -> WallClock:
    """Wall-clock time of meter intervals.

    Parameters
    ----------
    starts
        UTC start of each interval, datetime64, evenly spaced, shape (intervals,).
    zone
        Name of the time zone.
    step_min
        Length of the intervals, minutes.

    Returns
    -------
    WallClock
        The hour that daylight saving repeats comes twice, the one it skips not at all.

    Raises
    ------
    InputError
        If the rows have gaps or the zone is not known.

    Examples
    --------
    >>> spring = np.arange("2024-03-10T05:00", "2024-03-11T04:00", 60, dtype="datetime64[m]")
    >>> clock = clock_from_utc(spring, zone="America/New_York", step_min=60)
    >>> len(clock), (clock.minutes[:4] // 60).tolist()
    (23, [0, 1, 3, 4])
    """
    utc = np.asarray(starts).astype("datetime64[m]")
    _check_steps(utc, step_min)
    zone_info(zone)
    return _clock(wall_times(utc, zone), step_min, zone)


def clock_from_standard_time(
    starts: Dates, *, zone: str | None, step_min: int = 60, utc_offset_h: float | None = None
) -> WallClock:
    """Wall-clock time of rows in the site's local standard time.

    Parameters
    ----------
    starts
        Start of each interval in local standard time, datetime64, evenly spaced.
    zone
        Name of the time zone; None: the wall clock keeps standard time.
    step_min
        Length of the intervals, minutes.
    utc_offset_h
        Standard time less UTC as the rows state it, to be checked against the zone, hours.

    Returns
    -------
    WallClock
        Of the same rows.

    Raises
    ------
    InputError
        If the rows have gaps, or the zone is not known or keeps another standard time.
    """
    standard = np.asarray(starts).astype("datetime64[m]")
    _check_steps(standard, step_min)
    return _clock(_wall(standard, zone, utc_offset_h), step_min, zone)


def _wall(standard: Dates, zone: str | None, utc_offset_h: float | None) -> Dates:
    offset_h = _checked_offset(zone, utc_offset_h)
    if zone is None:
        return standard
    return wall_times(standard - np.timedelta64(round(offset_h * 60), "m"), zone)


def year_clock(
    year: int,
    *,
    zone: str | None,
    rows: int = _HOURS_OF_A_YEAR,
    step_min: int = 60,
    utc_offset_h: float | None = None,
) -> WallClock:
    """Lay a year of rows in local standard time on a calendar year.

    Parameters
    ----------
    year
        Calendar year: it decides weekdays, holidays and the days of clock change.
    zone
        Name of the time zone; None: the wall clock keeps standard time.
    rows
        Number of rows: 365 days (29 February is left out of a leap year) or 366 (leap years only).
    step_min
        Length of the intervals, minutes.
    utc_offset_h
        Standard time less UTC as the weather states it, to be checked against the zone, hours.

    Returns
    -------
    WallClock
        Cyclic: with daylight saving at the turn of the year the last standard hour is the first
        of 1 January of the same year.

    Raises
    ------
    InputError
        If the number of rows does not fit the year, or the zone does not fit.

    Examples
    --------
    >>> clock = year_clock(2024, zone="America/New_York")
    >>> len(clock), clock.without_leap_day, int((clock.dates == np.datetime64("2024-11-03")).sum())
    (8760, True, 25)
    """
    first = np.datetime64(f"{year:04d}-01-01T00:00", "m")
    after = np.datetime64(f"{year + 1:04d}-01-01T00:00", "m")
    standard = np.arange(first, after, np.timedelta64(step_min, "m"))
    drop = _drops_leap_day(year, rows * step_min, len(standard) * step_min)
    if drop:
        standard = standard[standard.astype("datetime64[D]") != np.datetime64(f"{year}-02-29")]
    wall = _wall(standard, zone, utc_offset_h)
    over = wall >= after
    wall = np.where(over, wall - (after - first), wall)
    clock = _clock(wall, step_min, zone)
    return WallClock(
        dates=clock.dates,
        minutes=clock.minutes,
        step_min=step_min,
        zone=zone,
        cyclic=True,
        without_leap_day=drop,
        notices=_laid(year, zone, dropped=drop),
    )


def _drops_leap_day(year: int, minutes: int, minutes_of_year: int) -> bool:
    if minutes == minutes_of_year:
        return False
    if minutes == minutes_of_year - MINUTES_PER_DAY and minutes == _HOURS_OF_A_YEAR * 60:
        return True
    hours = minutes / 60
    raise InputError(
        f"{hours:g} hours for the year {year}",
        expected=f"{minutes_of_year // 60:,} or, without 29 February, {_HOURS_OF_A_YEAR:,}",
        remedy="choose a leap year" if hours == _HOURS_OF_A_LEAP_YEAR else "give a whole year",
    )


def _laid(year: int, zone: str | None, *, dropped: bool) -> tuple[Notice, ...]:
    words = f"The hours are billed as those of {year}"
    if dropped:
        words += ", 29 February left out"
    if zone is None:
        words += "; no time zone is given, so clocks keep standard time all year"
    return (Notice(topic="calendar", text=words + "."),)
