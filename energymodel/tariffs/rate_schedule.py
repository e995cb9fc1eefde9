"""Month-by-hour schedules into seasons and windows, without loss."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from energymodel.tariffs.rate_record import Grid
from energymodel.tariffs.windows import (
    EVERY_DAY,
    MONTH_NAMES,
    WEEKDAYS,
    WEEKENDS,
    DayKind,
    HourSpan,
    Season,
    Span,
    Window,
)

_ANY_LEAP_YEAR = 2024
_OFF_DAYS = WEEKENDS | {DayKind.HOLIDAY}


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A schedule in words.

    Parameters
    ----------
    seasons
        Groups of months with the same rows; empty where all are alike.
    windows
        By period number; a period with an empty tuple takes the hours that are left.
    """

    seasons: tuple[Season, ...]
    windows: Mapping[int, tuple[Window, ...]]


def _runs(numbers: Sequence[int], length: int) -> list[tuple[int, int]]:
    """First and last of each run of numbers on a ring of `length`."""
    there = set(numbers)
    if len(there) == length:
        return [(0, length - 1)]
    firsts = [number for number in sorted(there) if (number - 1) % length not in there]
    runs = []
    for first in firsts:
        last = first
        while (last + 1) % length in there:
            last = (last + 1) % length
        runs.append((first, last))
    return runs


def _season(months: Sequence[int], first_days: Mapping[int, int]) -> Season:
    names, spans = [], []
    for first, last in _runs(months, 12):
        after = (last + 1) % 12 + 1
        begins = date(_ANY_LEAP_YEAR, first + 1, first_days.get(first + 1, 1))
        ends = date(_ANY_LEAP_YEAR, after, first_days.get(after, 1)) - timedelta(days=1)
        spans.append(
            Span(from_month=begins.month, from_day=begins.day, to_month=ends.month, to_day=ends.day)
        )
        one = MONTH_NAMES[first]
        names.append(one if first == last else f"{one}-{MONTH_NAMES[last]}")
    return Season(name=", ".join(names), spans=tuple(spans))


def _hours(row: Sequence[int], period: int) -> tuple[HourSpan, ...] | None:
    """Hours of a period within a day; None: none of them; empty: all day."""
    there = [hour for hour, value in enumerate(row) if value == period]
    if not there:
        return None
    if len(there) == 24:
        return ()
    return tuple(
        HourSpan(from_minute=first * 60, to_minute=(last + 1) * 60)
        for first, last in _runs(there, 24)
    )


def _windows_of(
    period: int, rows: tuple[Sequence[int], Sequence[int]], seasons: tuple[str, ...]
) -> list[Window]:
    on_weekdays, on_weekends = (_hours(row, period) for row in rows)
    if on_weekdays is not None and on_weekdays == on_weekends:
        return [Window(seasons=seasons, days=EVERY_DAY, hours=on_weekdays)]
    found = []
    for days, hours in ((WEEKDAYS, on_weekdays), (frozenset(_OFF_DAYS), on_weekends)):
        if hours is not None:
            found.append(Window(seasons=seasons, days=days, hours=hours))
    return found


def schedule_of(weekday: Grid, weekend: Grid, first_days: Mapping[int, int]) -> Schedule:
    """Turn two month-by-hour schedules into seasons and windows.

    Parameters
    ----------
    weekday, weekend
        Period of each month (12 rows) and hour (24); holidays take the weekend's.
    first_days
        By month (1..12): the day on which a season that begins in that month begins, where the
        tariff sheet breaks seasons inside a month. Others begin on the first.

    Returns
    -------
    Schedule
        Gives every hour the period that the schedules give it.

    Examples
    --------
    >>> rows = tuple((1,) * 24 if 4 < month < 11 else (0,) * 24 for month in range(1, 13))
    >>> [season.name for season in schedule_of(rows, rows, {}).seasons]
    ['Nov-Apr', 'May-Oct']
    """
    groups: dict[tuple[tuple[int, ...], tuple[int, ...]], list[int]] = {}
    for month, rows in enumerate(zip(weekday, weekend, strict=True)):
        groups.setdefault(rows, []).append(month)
    several = len(groups) > 1
    seasons = [_season(months, first_days) for months in groups.values()] if several else []
    windows: dict[int, list[Window]] = {}
    hours: dict[int, int] = {}
    for number, (rows, months) in enumerate(groups.items()):
        named = (seasons[number].name,) if several else ()
        for period in sorted({*rows[0], *rows[1]}):
            windows.setdefault(period, []).extend(_windows_of(period, rows, named))
            count = 5 * rows[0].count(period) + 2 * rows[1].count(period)
            hours[period] = hours.get(period, 0) + len(months) * count
    return Schedule(
        seasons=tuple(seasons),
        windows=_with_a_rest({p: tuple(w) for p, w in windows.items()}, hours),
    )


def _with_a_rest(
    windows: Mapping[int, tuple[Window, ...]], hours: Mapping[int, int]
) -> dict[int, tuple[Window, ...]]:
    """Let the period with the most hours take what is left, unless periods are whole seasons."""
    if len(windows) > 1 and not any(w.needs_clock for ws in windows.values() for w in ws):
        return dict(windows)
    most = max(hours, key=lambda period: (hours[period], -period))
    return {period: () if period == most else ws for period, ws in windows.items()}
