"""The clock of the meter's place: when it changes, and what instant a wall-clock label means."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from difflib import get_close_matches
from typing import TypeAlias
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

import numpy as np
from numpy.typing import NDArray

from energymodel.arrays import Mask
from energymodel.meters.import_report import MeterError

Seconds: TypeAlias = NDArray[np.int64]
"""Whole seconds since 1970-01-01 00:00 of UTC or of a local clock, or a length."""

DAY_S = 86_400
_MARGIN_S = 400 * DAY_S
_YEAR_OF_LETTERS = 2024
_FIXED = re.compile(r"(?:UTC|GMT)?\s*([+-])(\d{1,2})(?::?(\d{2}))?", re.IGNORECASE)
_COMPUTERS_OWN = frozenset({"localtime", "posixrules", "factory", "local"})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ZoneClock:
    """Offsets of a local clock from UTC over a span of time.

    Parameters
    ----------
    name
        Zone as given, or the rule in words.
    standard_offset_s
        Local standard time less UTC, s.
    changes_utc_s
        Instants at which the offset changes, UTC, rising, shape (changes,).
    offsets_s
        Local time less UTC before, between and after the changes, shape (changes + 1,).
    """

    name: str
    standard_offset_s: int
    changes_utc_s: Seconds
    offsets_s: Seconds

    def offset_s(self, utc_s: Seconds) -> Seconds:
        """Return local time less UTC.

        Parameters
        ----------
        utc_s
            Instants, UTC, shape (n,).

        Returns
        -------
        Seconds
            Offset, s, shape (n,).
        """
        return self.offsets_s[np.searchsorted(self.changes_utc_s, utc_s, side="right")]

    def utc_of_label(self, local_s: Seconds) -> Seconds:
        """Return the instant of a wall-clock label by the offset that held before a change.

        Parameters
        ----------
        local_s
            Labels, local clock, shape (n,).

        Returns
        -------
        Seconds
            Instants, UTC, shape (n,). A label that comes twice means its first pass; a label that
            the clock skips means the instant as if it had not been put forward.
        """
        # a change is passed once the label lies beyond both its old and its new reading
        passed = self.changes_utc_s + np.maximum(self.offsets_s[:-1], self.offsets_s[1:])
        return local_s - self.offsets_s[np.searchsorted(passed, local_s, side="right")]

    def windows(self) -> tuple[Seconds, Seconds, Seconds]:
        """Return where the clock skips or repeats labels.

        Returns
        -------
        tuple of Seconds
            First label, label behind the last one, and the change of the offset (positive: labels
            skipped; negative: labels repeated), each of shape (changes,).
        """
        before = self.changes_utc_s + self.offsets_s[:-1]
        after = self.changes_utc_s + self.offsets_s[1:]
        return np.minimum(before, after), np.maximum(before, after), after - before


def within(local_s: Seconds, first_s: int, end_s: int) -> Mask:
    """Return which labels lie in a window.

    Parameters
    ----------
    local_s
        Labels, shape (n,).
    first_s, end_s
        First label, and the label behind the last one.

    Returns
    -------
    Mask
        Shape (n,).
    """
    return (local_s >= first_s) & (local_s < end_s)


def zone_clock(zone: str, first_s: int, last_s: int, *, where: str = "") -> ZoneClock:
    """Return the clock of a named zone.

    Parameters
    ----------
    zone
        IANA name ("America/New_York") or a fixed offset ("UTC-05:00").
    first_s, last_s
        Span of the data, s since 1970; a year and more is added on both sides.
    where
        Place for an error.

    Returns
    -------
    ZoneClock
        Its offsets. Local standard time is the smallest offset of the span, whatever the zone's
        own law calls it.

    Raises
    ------
    MeterError
        If there is no such zone, or it means the zone of the computer.
    """
    fixed = _FIXED.fullmatch(zone.strip())
    if fixed is not None:
        return fixed_clock(zone.strip(), _fixed_offset_s(fixed))
    there = _zone_info(zone.strip(), where)
    days = range(first_s - _MARGIN_S, last_s + _MARGIN_S + DAY_S, DAY_S)
    offsets = [_offset_s(there, day) for day in days]
    changes = [
        _change_between(there, day, day + DAY_S)
        for day, offset, later in zip(days, offsets, offsets[1:], strict=False)
        if offset != later
    ]
    kept = [offsets[0], *(_offset_s(there, change) for change in changes)]
    return ZoneClock(
        name=zone,
        standard_offset_s=min(kept),
        changes_utc_s=np.array(changes, dtype=np.int64),
        offsets_s=np.array(kept, dtype=np.int64),
    )


def offsets_by_letters(zone: str, *, where: str = "") -> Mapping[str, int]:
    """Return the offsets that the letters of a zone stand for.

    Parameters
    ----------
    zone
        IANA name.
    where
        Place for an error.

    Returns
    -------
    mapping
        Local time less UTC, s, by letters such as "EST" and "EDT"; empty for a fixed offset.

    Raises
    ------
    MeterError
        If there is no such zone.
    """
    if _FIXED.fullmatch(zone.strip()) is not None:
        return {}
    there = _zone_info(zone.strip(), where)
    moments = [datetime(_YEAR_OF_LETTERS, month, 1, tzinfo=there) for month in range(1, 13)]
    offsets = {str(moment.tzname()): moment.utcoffset() for moment in moments}
    letters = {
        name: int(offset.total_seconds()) for name, offset in offsets.items() if offset is not None
    }
    german = {"MEZ": "CET", "MESZ": "CEST"}
    return letters | {word: letters[name] for word, name in german.items() if name in letters}


def fixed_clock(name: str, offset_s: int) -> ZoneClock:
    """Return a clock that never changes.

    Parameters
    ----------
    name
        Name for reports.
    offset_s
        Local time less UTC, s.

    Returns
    -------
    ZoneClock
        Clock without changes.
    """
    return ZoneClock(
        name=name,
        standard_offset_s=offset_s,
        changes_utc_s=np.array([], dtype=np.int64),
        offsets_s=np.array([offset_s], dtype=np.int64),
    )


def _fixed_offset_s(match: re.Match[str]) -> int:
    seconds = int(match.group(2)) * 3600 + int(match.group(3) or 0) * 60
    return -seconds if match.group(1) == "-" else seconds


def _zone_info(zone: str, where: str) -> ZoneInfo:
    if zone.lower() not in _COMPUTERS_OWN:
        try:
            return ZoneInfo(zone)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            pass
    near = get_close_matches(zone, sorted(available_timezones() - _COMPUTERS_OWN), n=1)
    raise MeterError(
        f"the time zone {zone!r} is not known",
        where=where,
        expected='the zone of the meter\'s place, such as "America/New_York" or "UTC-05:00"',
        remedy=f'did you mean "{near[0]}"?' if near else "",
    )


def _offset_s(zone: ZoneInfo, utc_s: int) -> int:
    offset = datetime.fromtimestamp(utc_s, UTC).astimezone(zone).utcoffset()
    return 0 if offset is None else int(offset.total_seconds())


def _change_between(zone: ZoneInfo, low: int, high: int) -> int:
    before = _offset_s(zone, low)
    while high - low > 1:
        middle = (low + high) // 2
        if _offset_s(zone, middle) == before:
            low = middle
        else:
            high = middle
    return high


def label_text(local_s: int) -> str:
    """Return a local label in words.

    Parameters
    ----------
    local_s
        Local clock, s since 1970.

    Returns
    -------
    str
        For example "2024-03-10 02:00".
    """
    text = np.datetime64(int(local_s), "s").item().strftime("%Y-%m-%d %H:%M:%S")
    return str(text).removesuffix(":00")


def day_text(local_s: int) -> str:
    """Return the date of a local label.

    Parameters
    ----------
    local_s
        Local clock, s since 1970.

    Returns
    -------
    str
        For example "2024-03-10".
    """
    return label_text(local_s)[:10]
