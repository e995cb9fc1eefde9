"""How one date-and-time cell is spelled."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

_DATE = (
    r"(?P<date>\d{1,4}(?P<sep>[-/.])\d{1,2}(?P=sep)\d{1,4}\.?|\d{8}"
    r"|\d{1,2}[-/. ]+[^\W\d_]{3,9}\.?[-/., ]+\d{2,4}"
    r"|[^\W\d_]{3,9}\.?[-/ ]\d{1,2},?[-/ ]\d{2,4})"
)
_TIME = r"(?P<time>\d{1,2}[:.]\d{2}(?:[:.]\d{2}(?:[.,]\d+)?)?|\d{4}(?:\d{2})?|\d{1,2}(?=\s*[AaPp]))"
_HALF = r"(?:\s*(?P<half>[AaPp])\.?\s?[Mm]\.?)?"
_OFFSET = r"(?:\s*(?P<offset>Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)|\s+(?P<letters>[A-Z]{3,5}))?"
_STAMP = re.compile(rf"{_DATE}(?:(?:[T\s]|,\s?|\s?-\s)\s*{_TIME}{_HALF}{_OFFSET})?")
_COMPACT = re.compile(
    r"(?P<date>\d{8})(?P<time>\d{4}(?:\d{2})?)(?P<half>)(?P<offset>Z)?(?P<letters>)"
)
_TIME_ALONE = re.compile(r"(?P<time>\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?)" + _HALF)
_RANGE = re.compile(r"\s+(?:-|\u2013|\u2014|to|bis|till|a|au|tot)\s+")
_TIME_RANGE = re.compile(r"(\d{1,2}[:.]\d{2})\s*[-\u2013]\s*(\d{1,2}[:.]\d{2})")
_HOUR = re.compile(r"(?:HE|H)?\s*(\d{1,2})\s?([AB])?", re.IGNORECASE)
_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan ene gen",
            "feb fev",
            "mar mrz maa mrt",
            "apr abr avr",
            "may mai mag maj mei",
            "jun giu juin",
            "jul lug juil",
            "aug ago aou",
            "sep set",
            "oct okt ott out",
            "nov",
            "dec dez dic des",
        ),
        start=1,
    )
    for name in names.split()
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """One date and time, not yet put in order.

    Parameters
    ----------
    parts
        The three numbers of the date in the order of the cell; a month name is its number.
    shape
        Format of the date: separator, place of a four-digit year or of a month name.
    second
        Second of the day, 0 to 86,400 (24:00); None where the cell holds only a date.
    half_day
        Whether the clock says a.m. or p.m.
    offset_s
        Local time less UTC, s, where the cell says it.
    letters
        Letters of a zone behind the time, such as "EST"; else empty.
    """

    parts: tuple[int, int, int]
    shape: str
    second: int | None
    half_day: bool
    offset_s: int | None
    letters: str


def first_of_range(cell: str) -> str:
    """Return the first stamp of a range such as "01.01.2024 00:00 - 01.01.2024 00:15".

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    str
        The part before the dash, or the whole cell if it is no range.
    """
    if cell.isdecimal():
        return cell
    times = _TIME_RANGE.fullmatch(cell.strip())
    if times is not None:
        return times.group(1)
    parts = _RANGE.split(cell, maxsplit=1)
    if len(parts) == 1 or not any(map(str.isdecimal, parts[1])):
        return cell
    date_then_time = ":" in parts[1] and ":" not in parts[0]
    return cell if date_then_time else parts[0]


def is_range(cell: str) -> bool:
    """Return whether a cell holds the first and the last moment of an interval.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    bool
        True for "00:00-00:15" and for two stamps with a dash between.
    """
    return first_of_range(cell) != cell


def looks_like_stamp(cell: str) -> bool:
    """Return whether a cell is spelled like a date, with or without a time.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    bool
        False for numbers, words and times alone.
    """
    return read_stamp(cell) is not None


def looks_like_time(cell: str) -> bool:
    """Return whether a cell is spelled like a time of the day alone.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    bool
        True for "00:15", "1:00 PM", "24:00" and ranges of them. "0.15" may as well be a number.
    """
    match = _TIME_ALONE.fullmatch(first_of_range(cell).strip())
    return match is not None and _second(match) is not None


def hour_number(cell: str) -> int | None:
    """Return the number of an hour label.

    Parameters
    ----------
    cell
        Text such as "7", "HE 07" or "2B" (second pass of the doubled hour).

    Returns
    -------
    int or None
        0 to 25, None if the cell is no hour label.
    """
    match = _HOUR.fullmatch(cell.strip())
    if match is None or int(match.group(1)) > 25:
        return None
    return int(match.group(1))


def read_stamp(cell: str) -> Stamp | None:
    """Take a cell apart.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    Stamp or None
        None if the cell is not spelled like a date.
    """
    text = first_of_range(cell).strip()
    match = _STAMP.fullmatch(text) or _COMPACT.fullmatch(text)
    if match is None:
        return None
    date = _date(match.group("date"))
    second = _second(match) if match.group("time") else None
    if date is None or (match.group("time") and second is None):
        return None
    return Stamp(
        parts=date[0],
        shape=date[1],
        second=second,
        half_day=bool(match.group("half")),
        offset_s=_offset(match.group("offset")),
        letters=match.group("letters") or "",
    )


def _second(match: re.Match[str]) -> int | None:
    text = match.group("time")
    fields = (
        re.split(r"[:.,]", text) if not text.isdecimal() else [text[i : i + 2] for i in (0, 2, 4)]
    )
    if text.isdecimal() and len(text) <= 2:
        fields = [text]
    hour, minute, second = (int(field or 0) for field in (*fields, "0", "0")[:3])
    if match.group("half"):
        if hour > 12:
            return None
        hour = hour % 12 + (12 if match.group("half") in "pP" else 0)
    total = hour * 3600 + minute * 60 + second
    return None if minute > 59 or second > 59 or total > 86_400 else total


@lru_cache(maxsize=2048)
def _date(text: str) -> tuple[tuple[int, int, int], str] | None:
    if text.isdecimal():
        parts = (int(text[:4]), int(text[4:6]), int(text[6:]))
        sound = 1900 <= parts[0] <= 2200 and 1 <= parts[1] <= 12 and 1 <= parts[2] <= 31
        return (parts, "y compact") if sound else None
    fields = [field for field in re.split(r"[-/., ]+", text) if field]
    if len(fields) != 3:
        return None
    named = [place for place, field in enumerate(fields) if not field.isdecimal()]
    numbers = [int(field) if field.isdecimal() else month_number(field) for field in fields]
    if 0 in numbers[: 3 - bool(named)] and named:
        return None
    mark = next(letter for letter in text if not letter.isalnum())
    long = [place for place, field in enumerate(fields) if field.isdecimal() and len(field) == 4]
    if any(len(field) == 3 for field in fields if field.isdecimal()) or len(long) > 1:
        return None
    year = "y" + str(long[0]) if long else "short year"
    shape = f"{mark} {year}" + (f" month {named[0]}" if named else "")
    return (numbers[0], numbers[1], numbers[2]), shape


def month_number(word: str) -> int:
    """Return the number of a month by its name in several languages.

    Parameters
    ----------
    word
        Name, in full or cut to three letters or more.

    Returns
    -------
    int
        1 to 12; 0 if it is no month.

    Examples
    --------
    >>> month_number("March"), month_number("d\u00e9c"), month_number("Reading")
    (3, 12, 0)
    """
    plain = "".join(
        letter
        for letter in unicodedata.normalize("NFKD", word.lower())
        if not unicodedata.combining(letter)
    )
    return _MONTHS.get(plain[:4], _MONTHS.get(plain[:3], 0))


def _offset(text: str | None) -> int | None:
    if not text:
        return None
    if text in ("Z", "UTC", "GMT"):
        return 0
    digits = text[1:].replace(":", "")
    seconds = int(digits[:2]) * 3600 + int(digits[2:] or 0) * 60
    return -seconds if text.startswith("-") else seconds
