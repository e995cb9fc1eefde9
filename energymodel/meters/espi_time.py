"""The clock of an ESPI file: offset from UTC and bit-coded daylight-saving rules.

References
----------
NAESB REQ.21 (Energy Services Provider Interface), LocalTimeParameters: `tzOffset`, `dstOffset`,
`dstStartRule`, `dstEndRule`.
"""

from __future__ import annotations

import calendar
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np

from energymodel.meters.decimal_marks import is_whole
from energymodel.meters.import_report import MeterError
from energymodel.meters.remedies import say
from energymodel.meters.wall_clock import ZoneClock

_NO_RULE = 0xFFFFFFFF
_WEEKDAYS = ("", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_ORDINALS = {2: "first", 3: "second", 4: "third", 5: "fourth", 6: "fifth", 7: "last"}
_LARGEST_OFFSET_S = 15 * 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class DstRule:
    """One moment of each year.

    Parameters
    ----------
    month
        1 to 12.
    operator
        0: that day of the month; 1: that weekday on or after the day; 2 to 6: first to fifth of
        that weekday in the month (the last one where there is no fifth); 7: last one.
    day
        Day of the month, 0 where it does not count.
    weekday
        1 Monday to 7 Sunday, 0 where it does not count.
    second
        Second of the day on the wall clock.
    """

    month: int
    operator: int
    day: int
    weekday: int
    second: int

    def date_in(self, year: int) -> date:
        """Return the date of the rule in one year.

        Parameters
        ----------
        year
            Calendar year.

        Returns
        -------
        date
            Date.
        """
        if self.operator == 0:
            return date(year, self.month, self.day)
        if self.operator == 1:
            first = date(year, self.month, self.day)
            return first + timedelta(days=(self.weekday - first.isoweekday()) % 7)
        days = [
            day
            for day in calendar.Calendar().itermonthdates(year, self.month)
            if day.month == self.month and day.isoweekday() == self.weekday
        ]
        place = -1 if self.operator == 7 else min(self.operator - 2, len(days) - 1)
        return days[place]

    def wall_s(self, year: int) -> int:
        """Return the moment of the rule in one year on the wall clock.

        Parameters
        ----------
        year
            Calendar year.

        Returns
        -------
        int
            Seconds since 1970 of the wall clock as it reads just before the change.
        """
        midnight = datetime(*self.date_in(year).timetuple()[:3], tzinfo=UTC)
        return int(midnight.timestamp()) + self.second

    def __str__(self) -> str:
        clock = f"{self.second // 3600:02d}:{self.second % 3600 // 60:02d}"
        month = calendar.month_name[self.month]
        weekday = _WEEKDAYS[self.weekday]
        if self.operator == 0:
            return f"{month} {self.day} {clock}"
        if self.operator == 1:
            return f"{weekday} on or after {month} {self.day} {clock}"
        return f"{_ORDINALS[self.operator]} {weekday} of {month} {clock}"


def decode_dst_rule(text: str, *, where: str = "") -> DstRule | None:
    """Decode a bit-coded daylight-saving rule.

    Parameters
    ----------
    text
        Four bytes in hexadecimal.
    where
        Place for an error.

    Returns
    -------
    DstRule or None
        None for FFFFFFFF: no daylight saving.

    Raises
    ------
    MeterError
        If the text is no such rule.

    Notes
    -----
    Bits 0-11 seconds, 12-16 hour, 17-19 day of the week, 20-24 day of the month, 25-27 operator,
    28-31 month (NAESB REQ.21, DstRuleType).

    Examples
    --------
    >>> print(decode_dst_rule("360E2000"))
    second Sunday of March 02:00
    >>> print(decode_dst_rule("B40E2000"))
    first Sunday of November 02:00
    """
    try:
        bits = int(text.strip(), 16)
    except ValueError:
        bits = -1
    if bits == _NO_RULE:
        return None
    rule = DstRule(
        second=(bits & 0xFFF) + (bits >> 12 & 0x1F) * 3600,
        weekday=bits >> 17 & 0x7,
        day=bits >> 20 & 0x1F,
        operator=bits >> 25 & 0x7,
        month=bits >> 28 & 0xF,
    )
    needs_day = rule.operator in (0, 1)
    day_fits = not needs_day or 1 <= rule.day <= 28 + 3 * (rule.operator == 0)
    sound = 0 <= bits < _NO_RULE and 1 <= rule.month <= 12 and rule.second <= 86_400
    if not (sound and day_fits and (rule.operator == 0 or rule.weekday)) or (
        rule.operator == 0 and rule.day > calendar.monthrange(2023, rule.month)[1]
    ):
        raise MeterError(
            "a daylight-saving rule cannot be decoded",
            where=where,
            expected='four bytes in hexadecimal, such as "360E2000", or "FFFFFFFF" for none',
        )
    return rule


@dataclass(frozen=True, slots=True, kw_only=True)
class EspiClock:
    """The local clock that an ESPI file states.

    Parameters
    ----------
    standard_offset_s
        Local standard time less UTC, s.
    dst_offset_s
        What daylight saving adds, s.
    start, end
        Rules between which it is added; None without daylight saving.
    """

    standard_offset_s: int
    dst_offset_s: int = 0
    start: DstRule | None = None
    end: DstRule | None = None

    def __str__(self) -> str:
        sign = "-" if self.standard_offset_s < 0 else "+"
        hours, minutes = divmod(abs(self.standard_offset_s) // 60, 60)
        name = f"UTC{sign}{hours:02d}:{minutes:02d}"
        if self.start is None or self.end is None:
            return name
        return f"{name}, {self.dst_offset_s / 3600:+g} h from {self.start} to {self.end}"

    def clock(self, first_s: int, last_s: int) -> ZoneClock:
        """Return the offsets over a span of time.

        Parameters
        ----------
        first_s, last_s
            Span of the data, s since 1970, UTC; a year is added on both sides.

        Returns
        -------
        ZoneClock
            Offsets. The rules are taken as readings of the wall clock just before each change.
        """
        changes: list[tuple[int, int]] = []
        if self.start is not None and self.end is not None and self.dst_offset_s:
            summer = self.standard_offset_s + self.dst_offset_s
            first, last = (datetime.fromtimestamp(s, UTC).year for s in (first_s, last_s))
            for year in range(first - 1, last + 2):
                changes.append((self.start.wall_s(year) - self.standard_offset_s, summer))
                changes.append((self.end.wall_s(year) - summer, self.standard_offset_s))
        changes.sort()
        # before the first change the clock reads what it reads after the second one
        before = changes[1][1] if changes else self.standard_offset_s
        return ZoneClock(
            name=str(self),
            standard_offset_s=self.standard_offset_s,
            changes_utc_s=np.array([moment for moment, _ in changes], dtype=np.int64),
            offsets_s=np.array([before, *(offset for _, offset in changes)], dtype=np.int64),
        )


def read_espi_clock(fields: Mapping[str, str], *, where: str) -> EspiClock:
    """Read the time block of an ESPI file.

    Parameters
    ----------
    fields
        Text of `tzOffset`, `dstOffset`, `dstStartRule` and `dstEndRule`, as far as they are there.
    where
        Place for an error.

    Returns
    -------
    EspiClock
        Clock.

    Raises
    ------
    MeterError
        If the offset is missing or impossible, or a rule cannot be decoded.
    """
    standard = _seconds(fields, "tzOffset", where)
    if standard is None:
        raise MeterError(
            "the time block has no tzOffset",
            where=where,
            expected="local standard time less UTC, in seconds",
            remedy=say(zone="America/New_York") + ", for example",
        )
    added = _seconds(fields, "dstOffset", where) or 0
    start, end = (
        decode_dst_rule(fields.get(name, "FFFFFFFF"), where=where)
        for name in ("dstStartRule", "dstEndRule")
    )
    if (start is None) != (end is None):
        raise MeterError(
            "one of the two daylight-saving rules is missing", where=where, expected="both or none"
        )
    return EspiClock(standard_offset_s=standard, dst_offset_s=added, start=start, end=end)


def _seconds(fields: Mapping[str, str], name: str, where: str) -> int | None:
    text = fields.get(name, "").strip()
    if not text:
        return None
    if not is_whole(text) or abs(int(text)) > _LARGEST_OFFSET_S:
        raise MeterError(
            f"{name} is no offset",
            where=where,
            expected="seconds between -54000 and 54000, such as -18000",
        )
    return int(text)
