"""Words of a tariff file for times: dates, days, hours."""

from __future__ import annotations

import re
from collections.abc import Iterable

from energymodel.errors import InputError
from energymodel.tariffs.windows import (
    EVERY_DAY,
    MONTH_NAMES,
    WEEKDAYS,
    WEEKENDS,
    DayKind,
    HourSpan,
    Span,
)

_DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun", "holidays")
_DATE = re.compile(r"^\s*(\d{1,2})\s+([A-Za-z]+)\s*$")
_HOURS = re.compile(r"^\s*(\d{1,2})(?::(\d\d))?\s*(?:-|to)\s*(\d{1,2})(?::(\d\d))?\s*$")


def read_month(text: str) -> int:
    """Read the name of a month.

    Parameters
    ----------
    text
        Its first three letters or all of it.

    Returns
    -------
    int
        1..12.

    Raises
    ------
    InputError
        If it is not a month.
    """
    name = text.strip()[:3].capitalize()
    if name not in MONTH_NAMES:
        raise InputError(f'"{text}" is not a month', expected='"Apr" or "April"')
    return MONTH_NAMES.index(name) + 1


def read_date(text: str) -> tuple[int, int]:
    """Read a date of any year.

    Parameters
    ----------
    text
        Such as "1 May".

    Returns
    -------
    tuple of int
        Month and day.

    Raises
    ------
    InputError
        If it is not a date.
    """
    match = _DATE.match(text)
    if match is None:
        raise InputError(f'"{text}" is not a date', expected='"1 May"')
    return read_month(match.group(2)), int(match.group(1))


def date_text(month: int, day: int) -> str:
    """Write a date of any year.

    Parameters
    ----------
    month, day
        1..12 and 1..31.

    Returns
    -------
    str
        Such as "1 May".
    """
    return f"{day} {MONTH_NAMES[month - 1]}"


def read_span(text: str) -> Span:
    """Read a span of dates.

    Parameters
    ----------
    text
        Such as "1 May to 31 Oct".

    Returns
    -------
    Span
        Both dates included.

    Raises
    ------
    InputError
        If it is not a span.
    """
    parts = text.split(" to ")
    if len(parts) != 2:
        raise InputError(f'"{text}" is not a span of dates', expected='"1 May to 31 Oct"')
    from_month, from_day = read_date(parts[0])
    to_month, to_day = read_date(parts[1])
    return Span(from_month=from_month, from_day=from_day, to_month=to_month, to_day=to_day)


def span_text(span: Span) -> str:
    """Write a span of dates.

    Parameters
    ----------
    span
        Both dates included.

    Returns
    -------
    str
        Such as "1 May to 31 Oct".
    """
    first = date_text(span.from_month, span.from_day)
    return f"{first} to {date_text(span.to_month, span.to_day)}"


def read_days(words: Iterable[str]) -> frozenset[DayKind]:
    """Read kinds of day.

    Parameters
    ----------
    words
        Among "every day", "weekdays", "weekends", "holidays" and the days' names.

    Returns
    -------
    frozenset of DayKind
        All of them.

    Raises
    ------
    InputError
        If a word is none of these.

    Examples
    --------
    >>> sorted(day.name for day in read_days(["weekends", "holidays"]))
    ['HOLIDAY', 'SATURDAY', 'SUNDAY']
    """
    groups = {"every day": EVERY_DAY, "weekdays": WEEKDAYS, "weekends": WEEKENDS}
    kinds: set[DayKind] = set()
    for word in words:
        name = word if word in (*groups, "holidays") else word[:3].capitalize()
        if name in groups:
            kinds |= groups[name]
        elif name in _DAY_NAMES:
            kinds.add(DayKind(_DAY_NAMES.index(name)))
        else:
            known = ", ".join((*groups, *_DAY_NAMES))
            raise InputError(f'"{word}" is not a kind of day', expected=f"one of {known}")
    return frozenset(kinds)


def days_words(days: frozenset[DayKind]) -> list[str]:
    """Write kinds of day.

    Parameters
    ----------
    days
        At least one.

    Returns
    -------
    list of str
        Few words.
    """
    if days == EVERY_DAY:
        return ["every day"]
    words, left = [], set(days)
    for name, group in (("weekdays", WEEKDAYS), ("weekends", WEEKENDS)):
        if group <= left:
            words.append(name)
            left -= group
    return words + [_DAY_NAMES[kind] for kind in sorted(left)]


def read_hours(text: str) -> HourSpan:
    """Read a span of hours.

    Parameters
    ----------
    text
        Such as "7-11", "6:30-9" or "22-5", in the 24-hour clock.

    Returns
    -------
    HourSpan
        The second time excluded.

    Raises
    ------
    InputError
        If it is not a span of hours.
    """
    match = _HOURS.match(text)
    if match is None:
        raise InputError(f'"{text}" is not a span of hours', expected='"7-11" or "6:30-9"')
    hour, minute, to_hour, to_minute = (int(part or 0) for part in match.groups())
    if minute > 59 or to_minute > 59:
        raise InputError(f'"{text}" has more than 59 minutes in an hour')
    return HourSpan(from_minute=hour * 60 + minute, to_minute=to_hour * 60 + to_minute)


def hours_text(span: HourSpan) -> str:
    """Write a span of hours.

    Parameters
    ----------
    span
        The second time excluded.

    Returns
    -------
    str
        Such as "7-11" or "6:30-9".
    """

    def time(minute: int) -> str:
        return f"{minute // 60}:{minute % 60:02d}" if minute % 60 else f"{minute // 60}"

    return f"{time(span.from_minute)}-{time(span.to_minute)}"
