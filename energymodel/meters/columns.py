"""Which column of a meter table is which."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from energymodel.meters.decimal_marks import is_number
from energymodel.meters.facts import TableFacts
from energymodel.meters.header_words import (
    EXPORT,
    FLOW,
    IDENTITY,
    IMPORT,
    MONEY,
    NET,
    OTHER_QUANTITY,
    OWN_PRODUCTION,
    QUALITY,
    TIME,
    UNIT,
    USE,
    words_of,
)
from energymodel.meters.import_report import MeterError, ReportEntry
from energymodel.meters.meter_units import MeterUnit, find_unit
from energymodel.meters.remedies import option_of, say
from energymodel.meters.table import MeterTable
from energymodel.meters.time_columns import (
    TimeColumns,
    find_time_columns,
    mostly,
    named_column,
)

Role: TypeAlias = Literal["use", "export", "net"]
_MOST_CHOICES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueColumn:
    """One column of values.

    Parameters
    ----------
    index
        Column, from 0.
    role
        Use (from the grid), export (to the grid), or net of both.
    unit
        Unit named in the header, if any.
    """

    index: int
    role: Role
    unit: MeterUnit | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The roles of a table's columns.

    Parameters
    ----------
    times
        When.
    values
        One column, or one of use and one of export.
    unit
        Column with the unit of each row, if any.
    flow
        Column with the direction of each row, if any.
    quality
        Column with the quality of each row, if any.
    entries
        Columns left out that the user should know of.
    """

    times: TimeColumns
    values: tuple[ValueColumn, ...]
    unit: int | None
    flow: int | None
    quality: int | None
    entries: tuple[ReportEntry, ...]


def find_columns(table: MeterTable, facts: TableFacts) -> Columns:
    """Find the columns by their header words and their content.

    Parameters
    ----------
    table
        Table.
    facts
        What the user knows.

    Returns
    -------
    Columns
        Roles.

    Raises
    ------
    MeterError
        If the time column is missing, or several columns could be the values.
    """
    times = find_time_columns(table, facts)
    taken = {index for index in (times.date, times.time, times.hour) if index is not None}
    texts = [
        index
        for index in range(table.width)
        if index not in taken and not mostly(table, index, is_number)
    ]
    unit = next((index for index in texts if _is_unit_column(table, index)), None)
    flow = next((index for index in texts if words_of(table.title(index)) & FLOW), None)
    quality = next((index for index in texts if words_of(table.title(index)) & QUALITY), None)
    values, entries = _value_columns(table, facts, taken)
    return Columns(
        times=times, values=values, unit=unit, flow=flow, quality=quality, entries=entries
    )


def _is_unit_column(table: MeterTable, index: int) -> bool:
    return bool(words_of(table.title(index)) & UNIT) and mostly(
        table, index, lambda cell: find_unit(cell) is not None
    )


def _value_columns(
    table: MeterTable, facts: TableFacts, taken: set[int]
) -> tuple[tuple[ValueColumn, ...], tuple[ReportEntry, ...]]:
    if facts.value_column is not None:
        return _named_values(table, facts, facts.value_column), ()
    numeric = [
        index
        for index in range(table.width)
        if index not in taken and mostly(table, index, is_number)
    ]
    found = [_value_column(table, index) for index in _candidates(table, numeric)]
    own = [column for column in found if words_of(table.title(column.index)) & OWN_PRODUCTION]
    found = [column for column in found if column not in own or column.role == "export"]
    if any(column.unit is not None and column.unit.kind != "power" for column in found):
        found = [column for column in found if column.unit is None or column.unit.kind != "power"]
    return _one_of_each(table, found, facts), _own_entries(table, own)


def _named_values(table: MeterTable, facts: TableFacts, name: str | int) -> tuple[ValueColumn, ...]:
    index = named_column(table, name)
    value = ValueColumn(index=index, role="use", unit=find_unit(table.title(index)))
    if facts.export_column is None:
        return (value,)
    index = named_column(table, facts.export_column)
    return value, ValueColumn(index=index, role="export", unit=find_unit(table.title(index)))


def _candidates(table: MeterTable, numeric: Sequence[int]) -> list[int]:
    """Columns headed by a unit or a word for use, else all that vary."""
    titles = {index: words_of(table.title(index)) for index in numeric}
    numeric = [index for index in numeric if not titles[index] & (MONEY | OTHER_QUANTITY)]
    named = [
        index
        for index in numeric
        if find_unit(table.title(index))
        or (titles[index] & (USE | EXPORT | NET) and not titles[index] & IDENTITY)
    ]
    if named:
        return named
    rest = [index for index in numeric if not titles[index] & (IDENTITY | TIME)]
    varying = [index for index in rest if len(set(table.column(index))) > 1]
    return varying or rest


def _value_column(table: MeterTable, index: int) -> ValueColumn:
    words = words_of(table.title(index))
    role: Role = "export" if words & EXPORT and not words & IMPORT else "use"
    if words & NET:
        role = "net"
    return ValueColumn(index=index, role=role, unit=find_unit(table.title(index)))


def _one_of_each(
    table: MeterTable, found: Sequence[ValueColumn], facts: TableFacts
) -> tuple[ValueColumn, ...]:
    uses, exports, nets = (
        [column for column in found if column.role == role] for role in ("use", "export", "net")
    )
    if facts.export_column is not None:
        index = named_column(table, facts.export_column)
        exports = [ValueColumn(index=index, role="export", unit=find_unit(table.title(index)))]
        uses = [column for column in uses if column.index != index]
    # a net column beside use alone may hold export that would get lost
    if len(uses) == 1 and (len(exports) == 1 or not (exports or nets)):
        return (*uses, *exports)
    if not uses and not exports and len(nets) == 1:
        return (nets[0],)
    listed = ", ".join(
        f"column {column.index + 1} ({column.unit.name if column.unit else 'no unit'})"
        for column in found
    )
    raise MeterError(
        f"the values could stand in {listed}" if found else "no column holds the values",
        where=table.name,
        expected="one column of use, and at most one of export",
        remedy="turn the table into one row per interval"
        if len(found) > _MOST_CHOICES
        else say(value_column="NUMBER")
        + "; the column of export likewise by "
        + option_of("export_column"),
    )


def _own_entries(table: MeterTable, own: Sequence[ValueColumn]) -> tuple[ReportEntry, ...]:
    return tuple(
        ReportEntry(
            file=table.name,
            row="",
            found=f"column {column.index + 1} is headed as own production",
            expected="use from the grid, and export to it",
            done="left out; " + say(export_column="NUMBER") + " if it is what flows to the grid",
        )
        for column in own
        if column.role != "export"
    )
