"""A list of readings, bills or tank fills on disk -> periods with days and use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.meters.bills import Bill, LastDay, periods_from_bills
from energymodel.meters.date_order import DateOrder, StampColumn, read_dates
from energymodel.meters.decimal_marks import Mark, NumberColumn, read_numbers
from energymodel.meters.header_words import word_set, words_of
from energymodel.meters.import_report import MeterError, place
from energymodel.meters.meter_text import MeterText, read_meter_text
from energymodel.meters.periods import (
    MONEY_SIGNS,
    Meter,
    MeterPeriods,
    is_money,
    readings_notice,
)
from energymodel.meters.reading_columns import (
    Kind,
    ReadingColumns,
    find_reading_columns,
    only_money,
    unit_in,
)
from energymodel.meters.readings import (
    Reading,
    periods_from_fills,
    periods_from_index,
    periods_from_use,
)
from energymodel.meters.stamps import read_stamp
from energymodel.meters.table import MeterTable, find_table
from energymodel.notices import Notice

_ESTIMATED = word_set("e est estimated estimate estimation part partial")
_ACTUAL = word_set("a act actual read measured customer full filled")
_YES = word_set("yes y true x 1")
_NO = word_set("no n false 0")
_ASKS_ACTUAL = word_set("full actual")
_EPOCH = date(1970, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingFacts:
    """What the user knows of a list of readings that the list may not say.

    Parameters
    ----------
    unit
        Unit of the numbers.
    last_day
        What the last day of a bill means.
    dials
        Number of dials of a counter that began again at zero.
    date_order
        Order of day, month and year.
    decimal_mark
        Decimal mark of the numbers.
    value_column
        Heading or number, from 1, of the column with the numbers.
    """

    unit: str | None = None
    last_day: LastDay | None = None
    dials: int | None = None
    date_order: DateOrder | None = None
    decimal_mark: Mark | None = None
    value_column: str | int | None = None


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
    facts = facts or ReadingFacts()
    table = _table_of(read_meter_text(path))
    columns = find_reading_columns(table, carrier, named=facts.value_column)
    rows = _rows_of(table, columns, carrier)
    listed = _List(table=table, columns=columns, rows=rows, carrier=carrier, facts=facts)
    meter = Meter(carrier=carrier, unit=_unit(listed))
    amounts, how = _amounts(listed)
    found = _periods(listed, amounts, meter)
    left_out = [readings_notice(f"{entry}.") for entry in table.entries]
    return replace(found, notices=(*left_out, *how, *found.notices))


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
    units = sorted({unit_in(str(word), listed.carrier) or str(word) for word in said})
    if len(units) > 1:
        raise InputError(
            f"the list speaks of {' and of '.join(units)}",
            where=listed.table.name,
            expected="one unit for all rows",
        )
    return units[0] if units else ""


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
    amounts, read_as = read_numbers(column, mark=listed.facts.decimal_mark)
    if np.isnan(amounts).any():
        raise InputError(
            "a row has a date but no number",
            where=listed.where[int(np.argmax(np.isnan(amounts)))],
            expected="a quantity in every row",
            remedy="leave out the row, or give the amount",
        )
    plain = "whole numbers" in read_as.basis
    return amounts, [] if plain else [readings_notice(f"Read {read_as}.")]


def _periods(listed: _List, amounts: Array, meter: Meter) -> MeterPeriods:
    days, order, read_as = _days(listed, listed.columns.end)
    estimated = _estimated(listed)
    if listed.columns.start is not None:
        starts = _days(listed, listed.columns.start)[0]
        bills = [
            Bill(
                first_day=starts[at],
                last_day=days[at],
                amount=float(amounts[at]),
                estimated=estimated[at],
                where=listed.where[at],
            )
            for at in order
        ]
        found = periods_from_bills(bills, meter, last_day=listed.facts.last_day)
    else:
        readings = [
            Reading(
                read_on=days[at],
                amount=float(amounts[at]),
                estimated=estimated[at],
                where=listed.where[at],
            )
            for at in order
        ]
        found = _from_readings(listed, readings, meter)
    return replace(found, notices=(readings_notice(read_as), *found.notices))


def _from_readings(listed: _List, readings: Sequence[Reading], meter: Meter) -> MeterPeriods:
    if listed.columns.kind is Kind.INDEX:
        return periods_from_index(readings, meter, dials=listed.facts.dials)
    if listed.columns.kind is Kind.FILL:
        return periods_from_fills(readings, meter)
    return periods_from_use(readings, meter)


def _days(listed: _List, at: int) -> tuple[list[date], list[int], str]:
    cells = listed.cells(at)
    stamps = [read_stamp(cell) for cell in cells]
    if None in stamps:
        raise InputError(
            "a cell of the date column is no date", where=listed.where[stamps.index(None)]
        )
    column = StampColumn(
        file=listed.table.name,
        lines=listed.lines,
        cells=cells,
        stamps=[stamp for stamp in stamps if stamp is not None],
        second=np.zeros(len(cells), dtype=np.int64),
        groups=(np.arange(len(cells)),),
    )
    dated = read_dates(column, order=listed.facts.date_order)
    days = [_EPOCH + timedelta(seconds=int(second)) for second in dated.local_s]
    order = [int(row) for row in dated.groups[0]]
    turned = " (newest first: turned round)" if order[0] > order[-1] else ""
    return days, order, f"Read {dated.read_as}{turned}."


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
