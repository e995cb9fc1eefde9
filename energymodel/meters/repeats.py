"""Rows whose stamp stands twice because the clock was put forward.

Some portals deliver a fixed number of intervals per day, also on the short spring day, so that
stamps repeat on that day or at the beginning of the next.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.meters.facts import Repeats
from energymodel.meters.import_report import MeterError, ReportEntry, place
from energymodel.meters.remedies import say
from energymodel.meters.wall_clock import DAY_S, Seconds, ZoneClock, day_text, label_text

_LISTED = 8
_DOUBLED_S = 3600


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """Energy of rows with their instants.

    Parameters
    ----------
    file
        File name.
    lines
        Line of each row, shape (rows,).
    start_s
        Start of each interval, UTC, shape (rows,).
    kwh
        Energy of each channel, kWh, nan where blank, shape (channels, rows).
    noun
        What `lines` counts: "line" or "reading".
    """

    file: str
    lines: Seconds
    start_s: Seconds
    kwh: Array
    noun: str = "line"


def settled(rows: Rows, clock: ZoneClock, rule: Repeats) -> tuple[Rows, tuple[ReportEntry, ...]]:
    """Put rows into order and settle the repeats of a short day.

    Parameters
    ----------
    rows
        Rows in the order of the file, rising.
    clock
        Clock of the place.
    rule
        "fold" adds the energy of the repeats to the interval, so that the total of the file stays;
        "drop" keeps the first row and is refused if the repeats differ. Blank and zero repeats are
        left out under both.

    Returns
    -------
    tuple
        Rows with rising starts, and what was done.

    Raises
    ------
    MeterError
        If rows repeat or step back anywhere else.
    """
    _refuse_disorder(rows, clock)
    rows = _taken(rows, np.argsort(rows.start_s, kind="stable").astype(np.intp))
    if np.unique(rows.start_s).size == rows.start_s.size:
        return rows, ()
    _refuse_elsewhere(rows, _repeated(rows), clock)
    rows, empty = _without_void(rows, clock)
    repeat = _repeated(rows)
    if not repeat.any():
        return rows, empty
    start, first, inverse = np.unique(rows.start_s, return_index=True, return_inverse=True)
    if rule == "drop":
        _refuse_loss(rows, first[inverse], repeat)
    kwh = _folded(rows.kwh, inverse, start.size) if rule == "fold" else rows.kwh[:, first]
    kept = replace(rows, lines=rows.lines[first], start_s=start, kwh=kwh)
    return kept, (*empty, _entry(rows, repeat, _done(rows, first[inverse], repeat, rule), clock))


def _repeated(rows: Rows) -> Mask:
    """Return which rows have the start of the row before them; rows are in order."""
    repeat: Mask = np.zeros(rows.start_s.size, dtype=np.bool_)
    repeat[1:] = np.diff(rows.start_s) == 0
    return repeat


def _without_void(rows: Rows, clock: ZoneClock) -> tuple[Rows, tuple[ReportEntry, ...]]:
    """Leave out blank and zero rows that share their start with another row."""
    void = (np.nan_to_num(rows.kwh) == 0.0).all(axis=0)
    _, inverse = np.unique(rows.start_s, return_inverse=True)
    filled = np.bincount(inverse, ~void)[inverse] > 0
    twice = np.bincount(inverse)[inverse] > 1
    extra = void & twice & (filled | _repeated(rows))
    if not extra.any():
        return rows, ()
    done = "dropped: zero or blank, the total is unchanged"
    return _taken(rows, np.flatnonzero(~extra)), (_entry(rows, extra, done, clock),)


def _taken(rows: Rows, order: Index) -> Rows:
    return replace(
        rows,
        lines=rows.lines[order],
        start_s=rows.start_s[order],
        kwh=rows.kwh[:, order],
    )


def on_short_day(start_s: Seconds, clock: ZoneClock) -> Mask:
    """Return which instants lie on a day on which the clock is put forward.

    Parameters
    ----------
    start_s
        Instants, UTC, shape (rows,).
    clock
        Clock of the place.

    Returns
    -------
    Mask
        Shape (rows,). The 24 hours from the midnight before are meant, which reach into the first
        hour of the next day.
    """
    short: Mask = np.zeros(start_s.size, dtype=np.bool_)
    forward = np.diff(clock.offsets_s)
    for change, before, jump in zip(
        clock.changes_utc_s, clock.offsets_s[:-1], forward, strict=True
    ):
        if jump > 0:
            midnight = (change + before) // DAY_S * DAY_S - before
            short |= (start_s >= midnight) & (start_s < midnight + DAY_S)
    return short


def _near_change(start_s: Seconds, clock: ZoneClock) -> Mask:
    """Return which instants lie in an hour that comes twice: its rows may stand side by side."""
    near: Mask = np.zeros(start_s.size, dtype=np.bool_)
    for change in clock.changes_utc_s:
        near |= np.abs(start_s - change) <= _DOUBLED_S
    return near


def _refuse_disorder(rows: Rows, clock: ZoneClock) -> None:
    back = np.diff(rows.start_s) < 0
    back &= ~(on_short_day(rows.start_s[1:], clock) | _near_change(rows.start_s[1:], clock))
    if back.any():
        row = int(np.argmax(back)) + 1
        raise MeterError(
            "the row lies before the one above it",
            where=place(rows.file, int(rows.lines[row]), noun=rows.noun),
            expected="rows in order of time",
            remedy="export the file again, sorted by time",
        )


def _refuse_elsewhere(rows: Rows, repeat: Mask, clock: ZoneClock) -> None:
    wrong = repeat & ~on_short_day(rows.start_s, clock)
    if not wrong.any():
        return
    row = int(np.argmax(wrong))
    label = label_text(int(rows.start_s[row]) + clock.standard_offset_s)
    raise MeterError(
        f"the interval that begins at {label} standard time stands twice, first in {rows.noun} "
        f"{rows.lines[row - 1]} ({int(wrong.sum())} such rows)",
        where=place(rows.file, int(rows.lines[row]), noun=rows.noun),
        expected="each interval once",
        remedy="leave out the repeated rows",
    )


def _refuse_loss(rows: Rows, kept: Index, repeat: Mask) -> None:
    kwh = np.nan_to_num(rows.kwh)
    lost = repeat & (kwh != 0.0).any(axis=0) & (kwh != kwh[:, kept]).any(axis=0)
    if lost.any():
        row = int(np.argmax(lost))
        raise MeterError(
            "a repeated row differs from the first one, so that dropping it would lose energy",
            where=place(rows.file, int(rows.lines[row]), noun=rows.noun),
            expected="repeats that equal the first row, or are zero or blank",
            remedy=say(repeats="fold") + " to add them to the interval",
        )


def _folded(kwh: Array, inverse: Index, count: int) -> Array:
    sums = [np.bincount(inverse, np.nan_to_num(row), minlength=count) for row in kwh]
    known = [np.bincount(inverse, ~np.isnan(row), minlength=count) > 0 for row in kwh]
    folded: Array = np.where(known, sums, np.nan)
    return folded


def _entry(rows: Rows, repeat: Mask, done: str, clock: ZoneClock) -> ReportEntry:
    lines = rows.lines[repeat]
    listed = ", ".join(str(line) for line in lines[:_LISTED]) + ", ..." * (lines.size > _LISTED)
    days = sorted({day_text(int(s) + clock.standard_offset_s) for s in rows.start_s[repeat]})
    return ReportEntry(
        file=rows.file,
        row=f"{rows.noun} {listed}",
        found=f"{lines.size} row{'s' * (lines.size > 1)} more than the hours of "
        f"{', '.join(days)}: a stamp stands twice, or is one that the clock skips",
        expected="23 hours on the day on which the clock is put forward",
        done=done,
    )


def _done(rows: Rows, kept: Index, repeat: Mask, rule: Repeats) -> str:
    kwh = float(np.nansum(rows.kwh[:, repeat]))
    if rule == "drop":
        return f"dropped: they equal the first rows; {kwh:.3f} kWh counted once"
    equal = bool((rows.kwh[:, kept] == rows.kwh)[:, repeat].all())
    doubt = "; they equal the first rows: if the portal sent them twice, " + say(repeats="drop")
    return f"folded: {kwh:.3f} kWh added to the interval, the total is unchanged" + doubt * equal
