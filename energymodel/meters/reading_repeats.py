"""Rows of a list of readings that stand in it twice, and lists that are none of readings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from energymodel.errors import InputError
from energymodel.meters.import_report import ReportEntry, place
from energymodel.meters.reading_columns import Kind, ReadingColumns
from energymodel.meters.table import MeterTable

_FEWEST_ROWS_A_DAY = 4


def rows_once(
    table: MeterTable, columns: ReadingColumns, rows: Sequence[int]
) -> tuple[list[int], tuple[ReportEntry, ...]]:
    """Leave out rows that repeat an earlier one cell by cell.

    Parameters
    ----------
    table
        Rows of the list.
    columns
        Positions of its columns.
    rows
        Rows that are read, from 0.

    Returns
    -------
    tuple
        Rows that are kept, and what was left out.

    Raises
    ------
    InputError
        If a fill of a tank stands twice: it may be two fills of one day.
    """
    first: dict[tuple[str, ...], int] = {}
    kept: list[int] = []
    entries: list[ReportEntry] = []
    for row in rows:
        before = first.setdefault(table.rows[row], row)
        if before == row:
            kept.append(row)
            continue
        line, earlier = table.lines[row], table.lines[before]
        if columns.kind is Kind.FILL and columns.start is None:
            raise InputError(
                f"the row stands twice, first in line {earlier}",
                where=place(table.name, line),
                expected="one row for each day of a fill",
                remedy="add the amounts up if there were two fills on that day, else leave the "
                "row out",
            )
        entries.append(
            ReportEntry(
                file=table.name,
                row=f"line {line}",
                found=f"the row stands twice, first in line {earlier}",
                expected="each row once",
                done="counted once",
            )
        )
    return kept, tuple(entries)


def refuse_intervals(name: str, days: Sequence[date]) -> None:
    """Refuse a list with many rows a day, which holds intervals and no reads.

    Parameters
    ----------
    name
        File name.
    days
        Day of each row.

    Raises
    ------
    InputError
        If there are four rows a day or more on average.
    """
    if len(days) < _FEWEST_ROWS_A_DAY * len(set(days)):
        return
    raise InputError(
        f"the list has about {len(days) / len(set(days)):.0f} rows a day: these are interval "
        "data, not reads of a meter",
        where=name,
        expected="one row for each read or bill",
        remedy="`energymodel bill` reads interval data; for the load of a house sum them by month "
        "or take the bills",
    )
