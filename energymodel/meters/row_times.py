"""When each row of a table begins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from energymodel.meters.columns import Columns
from energymodel.meters.date_order import Dated, StampColumn, read_dates, shown_stamp
from energymodel.meters.directions import Channel
from energymodel.meters.facts import Label, TableFacts
from energymodel.meters.hour_labels import HourColumn, hour_label, on_wall_clock, second_of_hour
from energymodel.meters.import_report import MeterError, ReadAs, place
from energymodel.meters.remedies import say
from energymodel.meters.stamps import Stamp, first_of_range, hour_number, read_stamp
from energymodel.meters.table import MeterTable
from energymodel.meters.wall_clock import (
    DAY_S,
    Seconds,
    ZoneClock,
    label_text,
    offsets_by_letters,
    zone_clock,
)

_JITTER = 0.1
_WANDER = 0.02


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RowTimes:
    """Labels of the rows and what they mean.

    Parameters
    ----------
    dated
        Labels, and the rows of each channel in rising order.
    step_s
        Length of the intervals, s.
    is_end
        Whether labels are the ends of their intervals.
    clock
        Clock of the place.
    read_as
        How the stamps were read.
    """

    dated: Dated
    step_s: int
    is_end: bool
    clock: ZoneClock
    read_as: tuple[ReadAs, ...]


def read_times(
    table: MeterTable,
    columns: Columns,
    channels: Sequence[Channel],
    facts: TableFacts,
    zone: str,
) -> RowTimes:
    """Read the stamps of a table.

    Parameters
    ----------
    table
        Table.
    columns
        Roles of its columns.
    channels
        Rows of each direction.
    facts
        What the user knows.
    zone
        Zone of the meter's place.

    Returns
    -------
    RowTimes
        Labels.

    Raises
    ------
    MeterError
        If a stamp cannot be read, or their order or distance is unclear.
    """
    stamps = _with_letters(table, _stamps(table, columns.times.date), zone)
    label, basis, second = _seconds(table, columns, facts, stamps)
    column = StampColumn(
        file=table.name,
        lines=table.lines,
        cells=[first_of_range(cell) for cell in table.column(columns.times.date)],
        stamps=stamps,
        second=second,
        groups=tuple(channel.rows for channel in channels),
    )
    dated = read_dates(column, order=facts.date_order)
    local = dated.local_s
    clock = zone_clock(zone, int(local.min()), int(local.max()), where=table.name)
    if columns.times.hour is not None:
        day = local - second
        if facts.clock in (None, "wall"):
            local = on_wall_clock(local, day, clock)
        dated = Dated(local_s=local, utc_s=None, groups=dated.groups, read_as=dated.read_as)
    step, how = _step(table.name, dated, facts)
    if label is None:
        label, basis = _label_by_edges(dated, step)
    ends = label == "end" and columns.times.hour is None
    read_as = (
        dated.read_as,
        ReadAs(name="interval", value=f"{step / 60:g} min", basis=how),
        ReadAs(name="stamps", value=f"interval {label}", basis=basis),
    )
    return RowTimes(dated=dated, step_s=step, is_end=ends, clock=clock, read_as=read_as)


def _stamps(table: MeterTable, index: int) -> list[Stamp]:
    stamps = []
    for line, cell in zip(table.lines, table.column(index), strict=True):
        stamp = read_stamp(cell)
        if stamp is None:
            raise MeterError(
                f"{shown_stamp(cell)} stands where the date should be",
                where=place(table.name, line),
                expected="a date such as 2024-01-31 23:00 or 01/31/2024 11:00 PM",
            )
        stamps.append(stamp)
    return stamps


def _with_letters(table: MeterTable, stamps: Sequence[Stamp], zone: str) -> Sequence[Stamp]:
    """Turn letters such as EST and EDT into offsets by the zone that was given."""
    if not any(stamp.letters for stamp in stamps):
        return stamps
    known = offsets_by_letters(zone, where=table.name)
    strange = next(
        (
            row
            for row, stamp in enumerate(stamps)
            if stamp.offset_s is None and stamp.letters not in known
        ),
        None,
    )
    if strange is not None:
        raise MeterError(
            f"the letters behind this stamp are none of the zone {zone}",
            where=place(table.name, table.lines[strange]),
            expected=" or ".join(known) + " in every row",
            remedy="name the zone of the meter's place",
        )
    return [
        replace(stamp, offset_s=known[stamp.letters]) if stamp.letters else stamp
        for stamp in stamps
    ]


def _seconds(
    table: MeterTable, columns: Columns, facts: TableFacts, stamps: Sequence[Stamp]
) -> tuple[Label | None, str, Seconds]:
    """Return the label where it is known, its basis, and the second of the day of each row."""
    known = facts.label or columns.times.label
    basis = "given" if facts.label else "header"
    if columns.times.hour is not None:
        hours = _hours(table, columns.times.hour)
        label, basis = hour_label(HourColumn(file=table.name, hours=hours, label=known))
        return label, basis, second_of_hour(hours, label)
    if columns.times.time is not None:
        second = _times(table, columns.times.time)
    else:
        second = np.array([stamp.second or 0 for stamp in stamps], dtype=np.int64)
    if known is None and (second == DAY_S).any():
        return "end", "a stamp says 24:00", second
    return known, basis, second


def _hours(table: MeterTable, index: int) -> Seconds:
    hours = [hour_number(cell) for cell in table.column(index)]
    if None in hours:
        raise MeterError(
            "this row has no hour number",
            where=place(table.name, table.lines[hours.index(None)]),
            expected="a number from 0 to 25",
        )
    return np.array(hours, dtype=np.int64)


def _times(table: MeterTable, index: int) -> Seconds:
    seconds: dict[str, int] = {}
    cells = table.column(index)
    halves = {cell: "m" in cell.lower() for cell in dict.fromkeys(cells)}
    for row, cell in enumerate(cells):
        if cell in seconds and halves[cell] == halves[cells[0]]:
            continue
        # a date in front makes it a stamp
        stamp = read_stamp(f"2000-01-01 {first_of_range(cell)}")
        if stamp is None or stamp.second is None or halves[cell] != halves[cells[0]]:
            raise MeterError(
                f"{shown_stamp(cell)} is no time of the day in the format of the first row",
                where=place(table.name, table.lines[row]),
                expected=f"times such as {shown_stamp(cells[0])}",
            )
        seconds[cell] = stamp.second
    return np.array([seconds[cell] for cell in cells], dtype=np.int64)


def _step(file: str, dated: Dated, facts: TableFacts) -> tuple[int, str]:
    ordered = dated.local_s if dated.utc_s is None else dated.utc_s
    steps = np.concatenate([np.diff(ordered[group]) for group in dated.groups])
    steps = steps[steps > 0]
    given = None if facts.interval_min is None else round(facts.interval_min * 60.0)
    if not steps.size:
        if given is None or given <= 0:
            raise MeterError(
                "the length of the interval is not known, as there is only one stamp",
                where=file,
                expected="several intervals",
                remedy=say(interval_min=60) + ", for example",
            )
        return given, "given"
    found, times = np.unique(steps, return_counts=True)
    step = int(found[np.argmax(times)])
    # clocks that wander by seconds still mean whole minutes
    whole = round(step / 60) * 60
    if whole and abs(step - whole) <= _WANDER * step:
        step = whole
    if given is not None and abs(given - step) > _JITTER * step:
        raise MeterError(
            f"the stamps are {step / 60:g} min apart",
            where=file,
            expected=f"the interval of {given / 60:g} min that was given",
        )
    return (step, "distance of the stamps") if given is None else (given, "given")


def _label_by_edges(dated: Dated, step: int) -> tuple[Label, str]:
    if dated.utc_s is not None or step >= DAY_S:
        return "start", "common practice"
    group = dated.groups[0]
    first, last = (int(dated.local_s[group[i]]) % DAY_S for i in (0, -1))
    basis = f"the file begins at {label_text(first)[11:]} and ends at {label_text(last)[11:]}"
    if first == step and last == 0:
        return "end", basis
    if first == 0 and last == DAY_S - step:
        return "start", basis
    return "start", "common practice"


def on_grid(start_s: Seconds, step_s: int, offset_s: int) -> tuple[Seconds, int]:
    """Move stamps with a few seconds of wander onto even intervals.

    Parameters
    ----------
    start_s
        Start of each interval, UTC, shape (rows,).
    step_s
        Length of the intervals, s.
    offset_s
        Local standard time less UTC, s: even intervals begin at midnight there.

    Returns
    -------
    tuple
        Starts, and the largest move, s; -1 where the stamps do not lie on any even grid.
    """
    if step_s >= DAY_S:
        return start_s, 0
    largest = -1
    for origin in (-offset_s, int(start_s[0])):
        wander = (start_s - origin + step_s // 2) % step_s - step_s // 2
        largest = int(np.abs(wander).max())
        if largest <= _JITTER * step_s:
            return start_s - wander, largest
    return start_s, -1
