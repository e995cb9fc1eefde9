"""Which rows are use from the grid and which are export, and which values are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.meters.columns import Columns, Role
from energymodel.meters.facts import Signs
from energymodel.meters.header_words import EXPORT, IMPORT, USE, words_of
from energymodel.meters.import_report import MeterError, ReportEntry, place
from energymodel.meters.remedies import say
from energymodel.meters.table import MeterTable
from energymodel.meters.wall_clock import Seconds


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Channel:
    """Rows that share one sequence of stamps.

    Parameters
    ----------
    rows
        Rows of the table in file order, shape (n,).
    columns
        Column of each series, from 0.
    roles
        Role of each series.
    """

    rows: Index
    columns: tuple[int, ...]
    roles: tuple[Role, ...]


def channels_of(table: MeterTable, columns: Columns) -> tuple[Channel, ...]:
    """Divide the rows by their direction.

    Parameters
    ----------
    table
        Table.
    columns
        Roles of its columns.

    Returns
    -------
    tuple of Channel
        One channel, or one of use and one of export.

    Raises
    ------
    MeterError
        If the direction of a row is not recognised.
    """
    everything = np.arange(len(table.rows), dtype=np.intp)
    whole = Channel(
        rows=everything,
        columns=tuple(column.index for column in columns.values),
        roles=tuple(column.role for column in columns.values),
    )
    if columns.flow is None or len(columns.values) > 1:
        return (whole,)
    cells = table.column(columns.flow)
    known = {cell: _direction(cell) for cell in dict.fromkeys(cells)}
    if len(known) == 1 and next(iter(known.values())) != "export":
        return (whole,)
    unknown = next((row for row, cell in enumerate(cells) if known[cell] is None), None)
    if unknown is not None:
        raise MeterError(
            "the direction of this row is not recognised",
            where=place(table.name, table.lines[unknown]),
            expected="a word such as import, delivered, export or received in every row",
        )
    roles: tuple[Role, Role] = ("use", "export")
    return tuple(
        Channel(rows=rows, columns=whole.columns, roles=(role,))
        for role in roles
        if (rows := np.flatnonzero([known[cell] == role for cell in cells])).size
    )


def _direction(cell: str) -> Role | None:
    words = words_of(cell)
    if words & EXPORT:
        return "export"
    return "use" if words & (IMPORT | USE) else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Series:
    """Energy of one direction in rising order.

    Parameters
    ----------
    file
        File name.
    lines
        Line or reading of each row, shape (rows,).
    kwh
        Energy as the file signs it, kWh, nan where missing, shape (rows,).
    noun
        What `lines` counts: "line" or "reading".
    """

    file: str
    lines: Seconds
    kwh: Array
    noun: str = "line"


def split_net(series: Series, signs: Signs | None) -> tuple[Array, Array]:
    """Divide values into import and export by their sign.

    Parameters
    ----------
    series
        Energy.
    signs
        Whether negative values are export, as the file or the user says.

    Returns
    -------
    tuple of Array
        Import and export, kWh, both >= 0, shape (rows,).

    Raises
    ------
    MeterError
        If there are negative values and they are not said to be export.
    """
    negative = series.kwh < 0.0
    if negative.any() and signs != "net":
        row = int(np.argmax(negative))
        line = int(series.lines[row])
        question = "a load cannot be negative" if signs == "load" else "is the column load or net?"
        raise MeterError(
            f"{int(negative.sum())} values are negative: {question}",
            where=place(series.file, line, noun=series.noun),
            expected="values of 0 or more, or the statement that negative values are export",
            remedy=say(signs="net") + " if the column is use less export; if it is the load of the "
            "house, correct the negative values",
        )
    export = np.where(negative, -series.kwh, 0.0 * series.kwh)
    return np.where(negative, 0.0, series.kwh), export


def export_only(series: Series) -> tuple[Array, tuple[ReportEntry, ...]]:
    """Return an export column as positive values, whichever sign the file gives it.

    Parameters
    ----------
    series
        Energy of the export column.

    Returns
    -------
    tuple
        Export, kWh, >= 0, shape (rows,), and what was done.

    Raises
    ------
    MeterError
        If the column has both signs.
    """
    negative = series.kwh < 0.0
    if not negative.any():
        return series.kwh, ()
    if (series.kwh > 0.0).any():
        row = int(np.argmax(negative))
        line = int(series.lines[row])
        raise MeterError(
            "the export column has values of both signs",
            where=place(series.file, line, noun=series.noun),
            expected="export of one sign",
        )
    entry = ReportEntry(
        file=series.file,
        row="",
        found="the export stands as negative values in a column of its own",
        expected="export of 0 or more",
        done="the sign was turned",
    )
    return -series.kwh, (entry,)
