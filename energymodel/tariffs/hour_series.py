"""Values by the hour from a file - prices, emission rates - laid on the hours of a clock.

The first column is the start of each hour: by the wall clock ("2024-01-31 15:00"; the hour that
the autumn change repeats stands twice, in order), or with its offset from UTC
("2024-01-31T15:00-05:00", "2024-01-31T20:00Z"), which is then honoured exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from energymodel.arrays import Array, Index, frozen
from energymodel.csv_lines import csv_rows
from energymodel.errors import InputError
from energymodel.tariffs.calendar import WallClock, wall_times
from energymodel.tariffs.clock_changes import repeated_and_skipped
from energymodel.tariffs.dates import Dates
from energymodel.tariffs.text_file import read_text

Rows = Sequence[tuple[int, list[str]]]
"""Line of the file and cells."""
_LARGEST_BYTES = 20_000_000
_SHAPE = "2024-01-31 15:00 or 2024-01-31T15:00-05:00"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourSeries:
    """Values by hour, in the order of the file.

    Parameters
    ----------
    starts
        Start of each hour as written, without its offset, datetime64[m], shape (hours,).
    utc
        The same moments in UTC; None: written by the wall clock.
    values
        One per hour, shape (hours,).
    lines
        Line of the file of each, for messages.
    name
        Of the file.
    noun
        What the values are: "price", "rate".
    """

    starts: Dates
    utc: Dates | None
    values: Array
    lines: Index
    name: str
    noun: str

    def place(self, number: int) -> str:
        """Name a row for messages.

        Parameters
        ----------
        number
            Of the hour, from 0.

        Returns
        -------
        str
            File and row.
        """
        return f"{self.name}, row {int(self.lines[number])}"


def read_rows(path: str | Path) -> Rows:
    """Read the lines of a CSV file.

    Parameters
    ----------
    path
        Of the file.

    Returns
    -------
    sequence of int and list of str
        Lines that are not empty, with their number.

    Raises
    ------
    InputError
        If the file cannot be read.
    """
    text = read_text(path, largest=_LARGEST_BYTES, expected="a table in CSV")
    rows = csv_rows(text.splitlines(), where=Path(path).name)
    return [(number, row) for number, row in enumerate(rows, start=1) if row]


def hour_series(rows: Rows, *, name: str, noun: str) -> HourSeries:
    """Read the hours of a file.

    Parameters
    ----------
    rows
        All of it, the heading "start,<noun>" first.
    name
        Of the file.
    noun
        What the values are.

    Returns
    -------
    HourSeries
        As in the file.

    Raises
    ------
    InputError
        If the heading is another, a cell cannot be read, or an hour stands too often.
    """
    head = ["start", noun]
    if not rows or [cell.strip().lower() for cell in rows[0][1]] != head:
        raise InputError(
            f"the heading {','.join(rows[0][1]) if rows else ''!r}",
            where=name,
            expected=",".join(head),
        )
    if len(rows) < 2:
        raise InputError("no hour in it", where=name, expected=f"{_SHAPE},0.1234")
    read = [_row(row, f"{name}, row {line}", noun) for line, row in rows[1:]]
    given = [moment.tzinfo is not None for moment, _ in read]
    if any(given) and not all(given):
        odd = given.index(not given[0])
        raise InputError(
            "some starts have an offset from UTC and some have none",
            where=f"{name}, row {rows[odd + 1][0]}",
            expected="an offset on every row, or on none",
        )
    series = HourSeries(
        starts=_minutes([moment.replace(tzinfo=None) for moment, _ in read]),
        utc=_minutes([m.astimezone(UTC).replace(tzinfo=None) for m, _ in read])
        if all(given)
        else None,
        values=frozen([value for _, value in read]),
        lines=np.array([line for line, _ in rows[1:]], dtype=np.intp),
        name=name,
        noun=noun,
    )
    _refuse_repeats(series)
    return series


def _minutes(moments: Sequence[datetime]) -> Dates:
    return np.array(moments, dtype="datetime64[m]")


def _row(row: list[str], where: str, noun: str) -> tuple[datetime, float]:
    expected = f"{_SHAPE}, a comma, a number"
    if len(row) != 2:
        raise InputError(f"{len(row)} cells", where=where, expected=f"start,{noun}")
    try:
        start, value = datetime.fromisoformat(row[0].strip()), float(row[1])
    except ValueError:
        raise InputError(f"{row[0]!r}, {row[1]!r}", where=where, expected=expected) from None
    if start.minute or start.second or not math.isfinite(value):
        raise InputError(
            f"{row[0]!r}, {row[1]!r}", where=where, expected=f"whole hours: {expected}"
        )
    return start, value


def _again(stamps: Dates) -> Index:
    """How often each stamp stood before, shape (hours,)."""
    order = np.argsort(stamps, kind="stable")
    ordered = stamps[order]
    first = np.flatnonzero(np.r_[True, ordered[1:] != ordered[:-1]])
    count = np.diff(np.append(first, len(ordered)))
    again = np.empty(len(stamps), dtype=np.intp)
    again[order] = np.arange(len(stamps)) - np.repeat(first, count)
    return again


def _refuse_repeats(series: HourSeries) -> None:
    """Without a zone: the wall clock repeats at most one hour a year, and shows it twice."""
    again = _again(series.starts if series.utc is None else series.utc)
    allowed = np.zeros(len(again), dtype=np.bool_)
    if series.utc is None:
        years = series.starts[again == 1].astype("datetime64[Y]")
        seen = np.unique(years, return_index=True)[1]
        allowed[np.flatnonzero(again == 1)[seen]] = True
    wrong = np.flatnonzero((again > 0) & ~allowed)
    if wrong.size:
        raise _repeat(series, int(wrong[0]))


def _repeat(series: HourSeries, number: int) -> InputError:
    return InputError(
        f"the hour {series.starts[number]} stands more often than the clock shows it",
        where=series.place(number),
        expected="each hour once; only the hour that clocks repeat in autumn twice, in order",
        remedy=f"take out the {series.noun} that does not hold",
    )


def check_hours(series: HourSeries, zone: str | None) -> None:
    """Refuse wall-clock hours that the clock of a place does not show, or not so often.

    Parameters
    ----------
    series
        From a file; hours with an offset are not in question.
    zone
        Time zone of the place; None: clocks keep standard time, no hour is repeated.

    Raises
    ------
    InputError
        If an hour stands twice that comes once, or stands there and is skipped.
    """
    if series.utc is not None:
        return
    again = _again(series.starts)
    none = np.zeros(len(series.starts), dtype=np.bool_)
    repeated, skipped = (none, none) if zone is None else repeated_and_skipped(series.starts, zone)
    twice = np.flatnonzero((again > 0) & ~repeated)
    if twice.size:
        raise _repeat(series, int(twice[0]))
    if skipped.any():
        number = int(np.flatnonzero(skipped)[0])
        raise InputError(
            f"the clocks of {zone} skip the hour {series.starts[number]}, and it has a"
            f" {series.noun}: the hours are probably those of standard time",
            where=series.place(number),
            expected="hours by the wall clock, or starts with their offset from UTC",
            remedy=_write_offsets(series.starts[0]),
        )


def _write_offsets(start: np.datetime64) -> str:
    return f"write each start with its offset from UTC, such as {start}-05:00"


def values_on(series: HourSeries, clock: WallClock) -> Array:
    """Lay a series on the intervals of a clock.

    Parameters
    ----------
    series
        From a file.
    clock
        Of the rows.

    Returns
    -------
    Array
        Value at each row, shape (rows,).

    Raises
    ------
    InputError
        If an hour of the clock has no value, or an hour of the series is impossible.
    """
    stamps, order = _by_wall_clock(series, clock)
    rows = clock.starts
    have, want = _keys(stamps), _keys(rows)
    sorted_by_key = np.argsort(have, kind="stable")
    place = np.minimum(np.searchsorted(have[sorted_by_key], want), len(have) - 1)
    found = sorted_by_key[place]
    missing = have[found] != want
    if missing.any():
        first = int(np.flatnonzero(missing)[0])
        raise _missing(series, rows[first], is_second=bool(want[first] % 2), there=stamps)
    return series.values[order[found]]


def _by_wall_clock(series: HourSeries, clock: WallClock) -> tuple[Dates, Index]:
    """Wall-clock stamps in order of time, and the place of each in the series."""
    if series.utc is None:
        check_hours(series, clock.zone)
        return series.starts, np.arange(len(series.starts))
    if clock.zone is None:
        raise InputError(
            "its hours have an offset from UTC, and the time zone of the place is not known",
            where=series.name,
            expected='a zone such as "America/New_York"',
        )
    order = np.argsort(series.utc, kind="stable")
    stamps = wall_times(series.utc[order], clock.zone)
    odd = np.flatnonzero(stamps != stamps.astype("datetime64[h]"))
    if odd.size:
        raise InputError(
            f"the hours begin inside the hours of {clock.zone}",
            where=series.place(int(order[odd[0]])),
            expected="starts on whole hours of the place",
        )
    return stamps, order


def _keys(stamps: Dates) -> Index:
    """Give each stamp the number of its hour, another one where the stamp stood before."""
    hours: Index = stamps.astype("datetime64[h]").astype(np.intp) * 2 + (_again(stamps) > 0)
    return hours


def _missing(
    series: HourSeries, stamp: np.datetime64, *, is_second: bool, there: Dates
) -> InputError:
    hour = stamp.astype("datetime64[h]").astype("datetime64[m]")
    if is_second and (there == hour).any():
        shown = hour.astype(datetime)
        return InputError(
            f"the hour {hour} comes twice on that day, since clocks go back, and has only one"
            f" {series.noun}",
            where=series.name,
            expected=f"two rows of {shown:%Y-%m-%d %H:%M}, in order",
            remedy="add the second row; or, if the hours are those of standard time,"
            f" {_write_offsets(series.starts[0])}",
        )
    first, last = there.min(), there.max()
    return InputError(
        f"no {series.noun} for {stamp}",
        where=series.name,
        expected=f"a {series.noun} for every wall-clock hour of the rows; the file has"
        f" {first} to {last}",
    )


def span_of(series: HourSeries) -> tuple[datetime, datetime]:
    """First start and last end as written.

    Parameters
    ----------
    series
        From a file.

    Returns
    -------
    tuple of datetime
        Both without offset.
    """
    first, last = series.starts.min().astype(datetime), series.starts.max().astype(datetime)
    return first, last + timedelta(hours=1)
