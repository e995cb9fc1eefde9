"""Day, month and year of many stamps under one single format, decided by whether they rise."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from energymodel.arrays import Index, Mask
from energymodel.meters.import_report import MeterError, ReadAs, place
from energymodel.meters.remedies import say_one_of
from energymodel.meters.stamps import Stamp, looks_like_stamp, looks_like_time
from energymodel.meters.wall_clock import DAY_S, Seconds, label_text

DateOrder: TypeAlias = Literal["dmy", "mdy", "ymd"]
_WORDS: dict[DateOrder, str] = {
    "dmy": "day, month, year",
    "mdy": "month, day, year",
    "ymd": "year, month, day",
}
_AGAIN = "stands again after line"
_BACK_S = 3600
"""Stamps may step back by this much where the clock is put back."""
_SHOWN = re.compile(r"[\d\s./:,+T-]{1,32}(?:[AaPp]\.?\s?[Mm]\.?|Z)?")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StampColumn:
    """The stamps of a table.

    Parameters
    ----------
    file
        File name.
    lines
        Line of each stamp.
    cells
        Text of each stamp, for messages.
    stamps
        The same taken apart.
    second
        Second of the day of each stamp, shape (rows,).
    groups
        Rows of each channel in file order; one group for a plain table.
    """

    file: str
    lines: Sequence[int]
    cells: Sequence[str]
    stamps: Sequence[Stamp]
    second: Seconds
    groups: tuple[Index, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Dated:
    """Stamps under one date order.

    Parameters
    ----------
    local_s
        Label as the file's clock reads, s since 1970, shape (rows,).
    utc_s
        The same in UTC where the cells say their offset, else None.
    groups
        Rows of each channel, put into rising order.
    read_as
        How the dates were read.
    """

    local_s: Seconds
    utc_s: Seconds | None
    groups: tuple[Index, ...]
    read_as: ReadAs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Reading:
    order: DateOrder
    local_s: Seconds
    fault: str
    row: int
    uncovered_s: float


def shown_stamp(cell: str) -> str:
    """Return a stamp for a message if it holds nothing but a date and a time.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    str
        The quoted stamp, or words that do not repeat the cell.
    """
    is_one = looks_like_stamp(cell) or looks_like_time(cell)
    return repr(cell) if is_one and _SHOWN.fullmatch(cell) else "text (not repeated here)"


def read_dates(column: StampColumn, *, order: DateOrder | None = None) -> Dated:
    """Find the one date order under which all stamps exist and rise (or fall) throughout.

    Parameters
    ----------
    column
        Stamps.
    order
        Date order if the user knows it.

    Returns
    -------
    Dated
        Labels and rising rows.

    Raises
    ------
    MeterError
        If the cells mix formats, no order fits, or several fit equally well.
    """
    _refuse_mixed(column)
    offset = _offsets(column)
    orders = (order,) if order else _possible(column.stamps[0].shape)
    readings = [_reading(column, one, offset) for one in orders]
    sound = [reading for reading in readings if not reading.fault]
    if not sound:
        raise _no_order(column, readings)
    basis = "given" if order else "format" if len(orders) == 1 else "the stamps rise only so"
    chosen = sound[0]
    if len(sound) > 1:
        chosen, basis = _clearest(column, sound)
    return Dated(
        local_s=chosen.local_s,
        utc_s=None if offset is None else chosen.local_s - offset,
        groups=tuple(_rising(chosen.local_s, offset, group) for group in column.groups),
        read_as=ReadAs(name="dates", value=_WORDS[chosen.order], basis=basis),
    )


def _refuse_mixed(column: StampColumn) -> None:
    first = column.stamps[0]
    for row, stamp in enumerate(column.stamps):
        if stamp.shape != first.shape:
            fault = "the dates are spelled in two formats"
        elif stamp.half_day != first.half_day and None not in (stamp.second, first.second):
            fault = "some stamps have a 12-hour clock with a.m. and p.m., others have not"
        else:
            continue
        raise MeterError(
            f"{fault}: {shown_stamp(column.cells[0])} in line {column.lines[0]}, "
            f"{shown_stamp(column.cells[row])} here",
            where=place(column.file, column.lines[row]),
            expected="one single date format in the whole file",
            remedy="export the file again; a spreadsheet may have rewritten part of the dates",
        )


def _offsets(column: StampColumn) -> Seconds | None:
    known = [stamp.offset_s is not None for stamp in column.stamps]
    if not any(known):
        return None
    if not all(known):
        raise MeterError(
            "some stamps have an offset from UTC and some have none",
            where=place(column.file, column.lines[known.index(not known[0])]),
            expected="all stamps of one kind",
        )
    return np.array([stamp.offset_s for stamp in column.stamps], dtype=np.int64)


def _possible(shape: str) -> tuple[DateOrder, ...]:
    if shape.startswith("y compact") or " y0" in shape:
        return ("ymd",)
    if "month 0" in shape:
        return ("mdy",)
    if "month 1" in shape:
        return ("dmy",)
    return ("dmy", "mdy") if " y2" in shape else ("dmy", "mdy", "ymd")


def _reading(column: StampColumn, order: DateOrder, offset: Seconds | None) -> _Reading:
    parts = np.array([stamp.parts for stamp in column.stamps], dtype=np.int64)
    year, month, day = (parts[:, order.index(letter)] for letter in "ymd")
    days, wrong = _days(np.where(year < 100, year + 2000, year), month, day)
    local = days * DAY_S + column.second
    fault, row = "", 0
    if wrong.any():
        row = int(np.argmax(wrong))
        fault = f"{shown_stamp(column.cells[row])} does not exist"
    else:
        ordered = local if offset is None else local - offset
        for group in column.groups:
            if not fault:
                fault, row = _against_order(column, ordered, group)
    return _Reading(
        order=order,
        local_s=local,
        fault=fault,
        row=row,
        uncovered_s=0.0 if fault else sum(_uncovered_s(local[group]) for group in column.groups),
    )


def _days(year: Seconds, month: Seconds, day: Seconds) -> tuple[Seconds, Mask]:
    wrong = (year < 1900) | (year > 2200) | (month < 1) | (month > 12) | (day < 1) | (day > 31)
    months = (np.clip(year, 1900, 2200) - 1970) * 12 + np.clip(month, 1, 12) - 1
    starts = months.astype("datetime64[M]")
    dates = starts.astype("datetime64[D]") + (np.clip(day, 1, 31) - 1)
    wrong |= dates.astype("datetime64[M]") != starts
    return dates.astype(np.int64), wrong


def _against_order(column: StampColumn, ordered: Seconds, group: Index) -> tuple[str, int]:
    steps = np.diff(ordered[group])
    falling = steps.sum() < 0
    wrong = steps > _BACK_S if falling else steps < -_BACK_S
    if not wrong.any():
        return "", 0
    place = int(np.argmax(wrong)) + 1
    row = int(group[place])
    earlier = np.flatnonzero(ordered[group[:place]] == ordered[row])
    shown = shown_stamp(column.cells[row])
    if earlier.size:
        return f"{shown} {_AGAIN} {column.lines[int(group[earlier[0]])]}", row
    return f"{shown} comes out of order", row


def _rising(local: Seconds, offset: Seconds | None, group: Index) -> Index:
    ordered = local if offset is None else local - offset
    return group[::-1] if ordered[group[-1]] < ordered[group[0]] else group


def _uncovered_s(local: Seconds) -> float:
    steps = np.abs(np.diff(local))
    if not (steps > 0).any():
        return 0.0
    step = float(np.median(steps[steps > 0]))
    return float((steps[steps > 1.5 * step + _BACK_S]).sum())


def _no_order(column: StampColumn, readings: Sequence[_Reading]) -> MeterError:
    tried = "; ".join(
        f"read as {_WORDS[reading.order]}: {reading.fault} (line {column.lines[reading.row]})"
        for reading in readings
    )
    repeated = next((reading for reading in readings if _AGAIN in reading.fault), None)
    if repeated is not None:
        return _repeated(column, repeated)
    twelve = "" if any(stamp.half_day for stamp in column.stamps) else _twelve_hours(column)
    return MeterError(
        f"the stamps do not rise under any single date format: {tried}{twelve}",
        where=place(column.file, column.lines[max(reading.row for reading in readings)]),
        expected="all dates in one format, in order of time",
        remedy="export the file again from the portal; a spreadsheet may have swapped day and "
        "month in part of the dates",
    )


def _repeated(column: StampColumn, reading: _Reading) -> MeterError:
    return MeterError(
        f"read as {_WORDS[reading.order]}, {reading.fault}, behind later rows",
        where=place(column.file, column.lines[reading.row]),
        expected="each row once, in order of time",
        remedy="leave out the row that is doubled or corrected, or put the rows in order",
    )


def _twelve_hours(column: StampColumn) -> str:
    hours = column.second // 3600
    return "; the hours run from 1 to 12 without a.m. or p.m." * bool(
        hours.size > 24 and hours.min() >= 1 and hours.max() == 12
    )


def _clearest(column: StampColumn, sound: Sequence[_Reading]) -> tuple[_Reading, str]:
    if all(np.array_equal(one.local_s, sound[0].local_s) for one in sound):
        return sound[0], "all orders give the same dates"
    best, second = sorted(sound, key=lambda reading: reading.uncovered_s)[:2]
    if second.uncovered_s > 0 and best.uncovered_s <= 0.1 * second.uncovered_s:
        return best, "the stamps follow each other without gaps only so"
    row = int(np.argmax(best.local_s != second.local_s))
    raise MeterError(
        f"the dates can be read in two ways: {shown_stamp(column.cells[row])} is "
        f"{label_text(int(best.local_s[row]))} as {_WORDS[best.order]} or "
        f"{label_text(int(second.local_s[row]))} as {_WORDS[second.order]}",
        where=place(column.file, column.lines[row]),
        expected="at least one date that is possible in one order only",
        remedy=say_one_of("date_order", best.order, second.order),
    )
