"""Energy of each direction of a table, placed in time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.meters.clock_change import Labels, instants
from energymodel.meters.columns import Columns, Role
from energymodel.meters.decimal_marks import NumberColumn, read_numbers
from energymodel.meters.directions import Channel, Series, export_only, split_net
from energymodel.meters.facts import ClockKind, MeterFacts, TableFacts
from energymodel.meters.import_report import MeterError, ReadAs, ReportEntry, place
from energymodel.meters.long_day import divided
from energymodel.meters.meter_units import kwh_per_unit
from energymodel.meters.plausibility import (
    ValueRows,
    refuse_register,
    refuse_unit_change,
    without_missing_codes,
)
from energymodel.meters.repeats import Rows, settled
from energymodel.meters.row_times import RowTimes, on_grid
from energymodel.meters.table import MeterTable
from energymodel.meters.unit_choice import UnitChoice
from energymodel.meters.wall_clock import DAY_S, Seconds

_NEW_STEP_ROWS = 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Draft:
    """What is known of a table before its energy is placed in time.

    Parameters
    ----------
    table, columns, times, choice
        Table, roles of its columns, labels of its rows, unit.
    facts, meter
        What the user knows.
    """

    table: MeterTable
    columns: Columns
    times: RowTimes
    choice: UnitChoice
    facts: TableFacts
    meter: MeterFacts


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Placed:
    """One channel in rising order.

    Parameters
    ----------
    roles
        Role of each series.
    rows
        Energy and instants.
    entries
        Repairs.
    clock
        What the stamps follow.
    """

    roles: tuple[Role, ...]
    rows: Rows
    entries: tuple[ReportEntry, ...]
    clock: ReadAs


def column_values(
    table: MeterTable, columns: Columns, facts: TableFacts
) -> tuple[Mapping[int, Array], tuple[ReadAs, ...], tuple[ReportEntry, ...]]:
    """Read the numbers of the value columns.

    Parameters
    ----------
    table
        Table.
    columns
        Roles of its columns.
    facts
        What the user knows.

    Returns
    -------
    tuple
        Values by column, nan where blank, each of shape (rows,); their decimal marks; and what
        was taken for thousands.

    Raises
    ------
    MeterError
        If a cell is no number, or the decimal mark cannot be told.
    """
    values, marks = {}, []
    entries: list[ReportEntry] = []
    for column in columns.values:
        cells = NumberColumn(
            file=table.name,
            lines=table.lines,
            cells=table.column(column.index),
            separator=table.separator,
            noun="values" if column.role != "export" else "export values",
        )
        values[column.index], mark, listed = read_numbers(cells, mark=facts.decimal_mark)
        marks.append(mark)
        entries.extend(listed)
    return values, tuple(dict.fromkeys(marks)), tuple(entries)


def place_channel(
    draft: Draft, values: Mapping[int, Array], channel: Channel, rising: Index
) -> Placed:
    """Turn the values of one channel into energy at instants.

    Parameters
    ----------
    draft
        What is known of the table.
    values
        Values by column.
    channel
        Columns and roles.
    rising
        Its rows in rising order, shape (n,).

    Returns
    -------
    Placed
        Energy with rising starts.

    Raises
    ------
    MeterError
        If values or stamps cannot be true.
    """
    lines = np.array(draft.table.lines, dtype=np.int64)[rising]
    kwh, entries = _energy(draft, values, channel, rising, lines)
    start, kind, clock = _starts(draft, rising, lines, kwh)
    start, moved = on_grid(start, draft.times.step_s, draft.times.clock.standard_offset_s)
    entries.extend(_wander(draft, moved))
    rows, repeats = settled(
        Rows(
            file=draft.table.name,
            lines=lines,
            start_s=start,
            kwh=kwh,
        ),
        draft.times.clock,
        draft.meter.repeats,
    )
    if kind == "wall":
        rows, single = divided(rows, draft.times.clock, draft.times.step_s)
        repeats = (*repeats, *single)
    _refuse_new_step(draft, rows)
    together = ValueRows(
        file=draft.table.name, lines=rows.lines, values=np.abs(rows.kwh).sum(axis=0)
    )
    refuse_unit_change(together, rows.start_s + draft.times.clock.standard_offset_s)
    return Placed(roles=channel.roles, rows=rows, entries=(*entries, *repeats), clock=clock)


def _refuse_new_step(draft: Draft, rows: Rows) -> None:
    """Refuse a file that goes over to longer intervals: they would pass for gaps."""
    steps = np.diff(rows.start_s)
    if draft.times.step_s >= DAY_S or steps.size < _NEW_STEP_ROWS:
        return
    wide = (steps[1:] == steps[:-1]) & (steps[1:] > draft.times.step_s)
    runs = np.convolve(wide, np.ones(_NEW_STEP_ROWS), mode="valid") >= _NEW_STEP_ROWS
    if not runs.any():
        return
    row = int(np.argmax(runs))
    raise MeterError(
        f"from here on the stamps are {steps[row] / 60:g} min apart, elsewhere "
        f"{draft.times.step_s / 60:g} min",
        where=place(draft.table.name, int(rows.lines[row])),
        expected="one interval in the whole file",
        remedy="read the parts as files of their own",
    )


def _energy(
    draft: Draft,
    values: Mapping[int, Array],
    channel: Channel,
    rising: Index,
    lines: Seconds,
) -> tuple[Array, list[ReportEntry]]:
    series: list[Array] = []
    entries: list[ReportEntry] = []
    factor = _factors(draft)[rising]
    for index, role in zip(channel.columns, channel.roles, strict=True):
        rows = ValueRows(file=draft.table.name, lines=lines, values=values[index][rising])
        if role == "use":
            refuse_register(rows)
        clean, coded = without_missing_codes(rows)
        series.append(clean * factor)
        entries.extend(coded)
    kwh: Array = np.array(series)
    if channel.roles == ("use", "export"):
        blank = np.isnan(kwh[1]) & ~np.isnan(kwh[0])
        if blank.any() and not blank.all():
            entries.append(_blank_export(draft.table.name, lines, blank))
        kwh[1, blank] = 0.0
    return kwh, entries


def _blank_export(name: str, lines: Seconds, blank: Mask) -> ReportEntry:
    return ReportEntry(
        file=name,
        row=f"line {lines[int(np.argmax(blank))]}",
        found=f"{int(blank.sum())} export cells are blank while the use beside them is not",
        expected="a number in every cell",
        done="taken as no export",
    )


def _factors(draft: Draft) -> Array:
    hours = draft.times.step_s / 3600.0
    units = draft.choice.of_rows or (draft.choice.main,) * len(draft.table.rows)
    factor = {
        unit: kwh_per_unit(
            unit,
            hours=hours,
            heat_kwh_per_m3=draft.meter.heat_kwh_per_m3,
            where=draft.table.name,
        )
        for unit in set(units)
    }
    return np.array([factor[unit] for unit in units])


def _starts(
    draft: Draft, rising: Index, lines: Seconds, kwh: Array
) -> tuple[Seconds, ClockKind, ReadAs]:
    times = draft.times
    if times.dated.utc_s is not None:
        start = times.dated.utc_s[rising] - times.step_s * times.is_end
        return start, "utc", ReadAs(name="clock", value="offset from UTC", basis="in every stamp")
    same = np.zeros(rising.size, dtype=np.bool_)
    same[1:] = (kwh[:, 1:] == kwh[:, :-1]).all(axis=0)
    labels = Labels(
        file=draft.table.name,
        lines=lines,
        local_s=times.dated.local_s[rising],
        same_value=same,
        void=(np.nan_to_num(kwh) == 0.0).all(axis=0),
        use=kwh[0],
        step_s=times.step_s,
        is_end=times.is_end,
    )
    return instants(labels, times.clock, draft.facts.clock)


def _wander(draft: Draft, moved: int) -> tuple[ReportEntry, ...]:
    if moved == 0:
        return ()
    step = f"{draft.times.step_s / 60:g} min"
    if moved < 0:
        raise MeterError(
            f"the stamps do not lie {step} apart",
            where=draft.table.name,
            expected="intervals of one length",
            remedy="export interval data, not single events",
        )
    return (
        ReportEntry(
            file=draft.table.name,
            row="",
            found=f"the stamps lie up to {moved} s beside even steps of {step}",
            expected=f"stamps every {step}",
            done="moved to the even step",
        ),
    )


def join_channels(
    draft: Draft, placed: Sequence[Placed]
) -> tuple[Seconds, Array, Array, tuple[ReportEntry, ...]]:
    """Bring use and export together.

    Parameters
    ----------
    draft
        What is known of the table.
    placed
        One channel, or one of use and one of export.

    Returns
    -------
    tuple
        Starts (UTC), import and export in kWh, each of shape (intervals,), and repairs.

    Raises
    ------
    MeterError
        If the channels do not cover the same intervals, or signs are unclear.
    """
    start = placed[0].rows.start_s
    if any(not np.array_equal(one.rows.start_s, start) for one in placed[1:]):
        raise MeterError(
            "the rows of use and of export do not cover the same intervals",
            where=draft.table.name,
            expected="one row of each for every interval",
        )
    imported: Array = np.zeros(start.size)
    exported: Array = np.zeros(start.size)
    entries: tuple[ReportEntry, ...] = ()
    for one in placed:
        for role, kwh in zip(one.roles, one.rows.kwh, strict=True):
            series = Series(file=draft.table.name, lines=one.rows.lines, kwh=kwh)
            if role == "export":
                out, turned = export_only(series)
                exported, entries = exported + out, (*entries, *turned)
                continue
            drawn, out = split_net(series, "net" if role == "net" else draft.meter.signs)
            imported, exported = imported + drawn, exported + out
    return start, imported, exported, entries
