"""A list of readings, bills or tank fills on disk -> periods with days and use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.meters.bills import Bill
from energymodel.meters.date_order import DateOrder, StampColumn, read_dates
from energymodel.meters.decimal_marks import NumberColumn, read_numbers
from energymodel.meters.header_words import word_set, words_of
from energymodel.meters.import_report import MeterError, place
from energymodel.meters.meter_text import MeterText, read_meter_text
from energymodel.meters.periods import (
    MONEY_SIGNS,
    Meter,
    MeterPeriods,
    is_money,
    readings_notice,
    repair_notice,
)
from energymodel.meters.reading_columns import (
    ReadingColumns,
    find_reading_columns,
    holds_only_money,
    only_money,
    unit_in,
    units_elsewhere,
)
from energymodel.meters.reading_repeats import refuse_intervals, rows_once
from energymodel.meters.reading_rows import ReadingFacts, ReadingRows, periods_of_rows
from energymodel.meters.readings import Reading
from energymodel.meters.stamps import read_stamp
from energymodel.meters.table import MeterTable, find_table
from energymodel.notices import Notice

__all__ = ["ReadingFacts", "ReadingRows", "read_readings", "read_rows", "table_of_file"]

_ESTIMATED = word_set("e est estimated estimate estimation part partial")
_ACTUAL = word_set("a act actual read measured customer full filled")
_YES = word_set("yes y true x 1")
_NO = word_set("no n false 0")
_ASKS_ACTUAL = word_set("full actual")
_MOST_DAYS = 400
_EPOCH = date(1970, 1, 1)
_ORDERS: dict[str, DateOrder] = {
    "day, month, year": "dmy",
    "month, day, year": "mdy",
    "year, month, day": "ymd",
}


def read_readings(
    path: Path | str, *, carrier: str, facts: ReadingFacts | None = None
) -> MeterPeriods:
    """Read a list of one meter: counter readings, uses, bills with two dates, or tank fills.

    Parameters
    ----------
    path
        Text table with a line of headings, such as "from, to, use (therm), estimated", "date,
        index (kWh), read" or "date, filled (gallon), full". Lines before it may be personal;
        they are left out and never repeated.
    carrier
        "electricity", "natural gas", "propane", "heating oil", ... Where a column names the
        carrier of each row, only rows of this one are read.
    facts
        What the list does not say.

    Returns
    -------
    MeterPeriods
        Actual periods, with notices of how the list was read, merged and cut.

    Raises
    ------
    InputError
        If the list is money, has no unit, or its dates or numbers cannot be read in one way;
        if reads overlap, fall or are too few.
    """
    return periods_of_rows(read_rows(path, carrier=carrier, facts=facts), facts=facts)


def read_rows(path: Path | str, *, carrier: str, facts: ReadingFacts | None = None) -> ReadingRows:
    """Read the rows of one list, which may be a single bill.

    Parameters
    ----------
    path, carrier, facts
        As for :func:`read_readings`.

    Returns
    -------
    ReadingRows
        Rows, oldest first.

    Raises
    ------
    InputError
        As for :func:`read_readings`, but for what only shows between rows.
    """
    facts = facts or ReadingFacts()
    table = _table_of(_without_comments(read_meter_text(path)))
    columns = find_reading_columns(table, carrier, named=facts.value_column)
    rows, repeated = rows_once(table, columns, _rows_of(table, columns, carrier))
    listed = _List(table=table, columns=columns, rows=rows, carrier=carrier, facts=facts)
    meter = Meter(carrier=carrier, unit=_unit(listed))
    amounts, how = _amounts(listed)
    left_out = [repair_notice(f"{entry}.") for entry in (*table.entries, *repeated)]
    return _dated_rows(listed, amounts, meter, [*left_out, *how])


def _without_comments(text: MeterText) -> MeterText:
    """Blank lines that begin with #, so that line numbers stay."""
    return replace(text, lines=tuple("" if line.startswith("#") else line for line in text.lines))


def table_of_file(path: Path | str, carrier: str) -> tuple[MeterTable, ReadingColumns | None]:
    """Find the table of a file and, if they can be told, its columns.

    Parameters
    ----------
    path
        Text table.
    carrier
        Whose units are looked for in headings.

    Returns
    -------
    table : MeterTable
        Rows of the list.
    columns : ReadingColumns or None
        None: they cannot be told.

    Raises
    ------
    InputError
        If the file is no table, or its only numbers are money.
    """
    table = _table_of(_without_comments(read_meter_text(path)))
    try:
        return table, find_reading_columns(table, carrier)
    except InputError:
        if holds_only_money(table):
            raise only_money(table.name) from None
        return table, None


def _table_of(text: MeterText) -> MeterTable:
    try:
        return find_table(text)
    except MeterError:
        if any(sign in line for line in text.lines for sign in MONEY_SIGNS):
            raise only_money(text.name) from None
        raise


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _List:
    table: MeterTable
    columns: ReadingColumns
    rows: Sequence[int]
    carrier: str
    facts: ReadingFacts

    def cells(self, column: int) -> list[str]:
        return [self.table.rows[row][column] for row in self.rows]

    @property
    def lines(self) -> list[int]:
        return [self.table.lines[row] for row in self.rows]

    @property
    def where(self) -> list[str]:
        return [place(self.table.name, line) for line in self.lines]


def _rows_of(table: MeterTable, columns: ReadingColumns, carrier: str) -> list[int]:
    if columns.carrier is None:
        return list(range(len(table.rows)))
    wanted = words_of(carrier)
    cells = table.column(columns.carrier)
    rows = [at for at, cell in enumerate(cells) if words_of(cell) & wanted]
    if not rows:
        raise InputError(
            f"no row of the list is of {carrier}",
            where=table.name,
            expected="rows whose carrier column says so",
        )
    return rows


def _unit(listed: _List) -> str:
    said = {listed.facts.unit, listed.columns.unit_word} - {None}
    if listed.columns.unit is not None:
        cells = listed.cells(listed.columns.unit)
        said |= {
            _unit_of_cell(cell, listed.carrier, where)
            for cell, where in zip(cells, listed.where, strict=True)
        }
    if not said and listed.table.stated_unit is not None:
        said = {listed.table.stated_unit.name}
    if not said:
        _refuse_other_carrier(listed)
    units = sorted({unit_in(str(word), listed.carrier) or str(word) for word in said})
    if len(units) > 1:
        raise InputError(
            f"the list speaks of {' and of '.join(units)}",
            where=listed.table.name,
            expected="one unit for all rows",
        )
    return units[0] if units else ""


def _refuse_other_carrier(listed: _List) -> None:
    title = listed.table.title(listed.columns.amount)
    found = units_elsewhere(title, listed.carrier)
    if found is None:
        return
    unit, carriers = found
    raise InputError(
        f"the heading says {unit}, a unit of {' or '.join(carriers)} and not of {listed.carrier}",
        where=listed.table.name,
        expected=f"readings of {listed.carrier}",
        remedy=f"`energymodel bill` takes them under a tariff that counts {unit}; "
        f"`energymodel from-bills` finds the heating load from them",
    )


def _unit_of_cell(cell: str, carrier: str, where: str) -> str:
    unit = unit_in(cell, carrier)
    if unit is None and not is_money(cell):
        raise InputError(
            f"a cell of the unit column names no unit of {carrier}",
            where=where,
            expected="the unit of the quantity, as on the bill",
        )
    return unit or cell


def _amounts(listed: _List) -> tuple[Array, list[Notice]]:
    column = NumberColumn(
        file=listed.table.name,
        lines=listed.lines,
        cells=listed.cells(listed.columns.amount),
        separator=listed.table.separator,
        noun=listed.columns.kind.value,
    )
    amounts, read_as, thousands = read_numbers(column, mark=listed.facts.decimal_mark)
    if np.isnan(amounts).any():
        raise InputError(
            "a row has a date but no number",
            where=listed.where[int(np.argmax(np.isnan(amounts)))],
            expected="a quantity in every row",
            remedy="leave out the row, or give the amount",
        )
    repairs = [repair_notice(f"{entry}.") for entry in thousands]
    plain = read_as.basis == "all rows: whole numbers"
    return amounts, repairs if plain else [readings_notice(f"Read {read_as}."), *repairs]


def _dated_rows(
    listed: _List, amounts: Array, meter: Meter, notices: Sequence[Notice]
) -> ReadingRows:
    dates = _dates(listed)
    refuse_intervals(listed.table.name, dates.ends)
    days = _printed_days(listed)
    estimated = _estimated(listed)
    bills: list[Bill] = []
    readings: list[Reading] = []
    for at in dates.order:
        amount, where = float(amounts[at]), listed.where[at]
        if dates.starts is None:
            readings.append(
                Reading(
                    read_on=dates.ends[at],
                    amount=amount,
                    estimated=estimated[at],
                    where=where,
                    days=days[at],
                )
            )
            continue
        bills.append(
            Bill(
                first_day=dates.starts[at],
                last_day=dates.ends[at],
                amount=amount,
                estimated=estimated[at],
                where=where,
            )
        )
    return ReadingRows(
        meter=meter,
        kind=listed.columns.kind if dates.starts is None else None,
        bills=tuple(bills),
        readings=tuple(readings),
        date_order=dates.date_order,
        notices=(*notices, readings_notice(dates.read_as)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Dates:
    starts: list[date] | None
    ends: list[date]
    order: list[int]
    date_order: DateOrder
    read_as: str


def _dates(listed: _List) -> _Dates:
    """Read one or two columns of dates under one single order of day, month and year."""
    columns = [at for at in (listed.columns.start, listed.columns.end) if at is not None]
    count = len(listed.rows)
    cells = [cell for at in columns for cell in listed.cells(at)]
    stamps = [read_stamp(cell) for cell in cells]
    if None in stamps:
        raise InputError(
            "a cell of the date column is no date",
            where=listed.where[stamps.index(None) % count],
        )
    column = StampColumn(
        file=listed.table.name,
        lines=[*listed.lines] * len(columns),
        cells=cells,
        stamps=[stamp for stamp in stamps if stamp is not None],
        second=np.zeros(len(cells), dtype=np.int64),
        groups=tuple(np.arange(at * count, (at + 1) * count) for at in range(len(columns))),
    )
    dated = read_dates(column, order=listed.facts.date_order)
    days = [_EPOCH + timedelta(seconds=int(second)) for second in dated.local_s]
    order = [int(row) % count for row in dated.groups[-1]]
    turned = " (newest first: turned round)" if order[0] > order[-1] else ""
    return _Dates(
        starts=days[:count] if len(columns) == 2 else None,
        ends=days[-count:],
        order=order,
        date_order=_ORDERS[dated.read_as.value],
        read_as=f"Read {dated.read_as}{turned}.",
    )


def _printed_days(listed: _List) -> list[int | None]:
    if listed.columns.days is None:
        return [None] * len(listed.rows)
    cells = listed.cells(listed.columns.days)
    return [
        int(cell) if cell.isdecimal() and 0 < int(cell) <= _MOST_DAYS else None for cell in cells
    ]


def _estimated(listed: _List) -> list[bool]:
    if listed.columns.estimated is None:
        return [False] * len(listed.rows)
    cells = listed.cells(listed.columns.estimated)
    title = words_of(listed.table.title(listed.columns.estimated))
    asks_actual = bool(title & _ASKS_ACTUAL)
    return [
        _is_estimate(cell, where, asks_actual=asks_actual)
        for cell, where in zip(cells, listed.where, strict=True)
    ]


def _is_estimate(cell: str, where: str, *, asks_actual: bool) -> bool:
    words = words_of(cell)
    if words & _ESTIMATED:
        return True
    if words & _ACTUAL or not words:
        return False
    if words & _YES:
        return not asks_actual
    if words & _NO:
        return asks_actual
    raise InputError(
        "a cell does not say whether the read was estimated",
        where=where,
        expected='"estimated" or "actual" (also E or A, yes or no, blank for actual)',
    )
