"""Which columns of a meter table say when."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from energymodel.meters.facts import Label, TableFacts
from energymodel.meters.header_words import END, HOUR, START, is_time_word, words_of
from energymodel.meters.import_report import MeterError
from energymodel.meters.remedies import say
from energymodel.meters.stamps import (
    hour_number,
    is_range,
    looks_like_stamp,
    looks_like_time,
    read_stamp,
)
from energymodel.meters.table import MeterTable

_MOST = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeColumns:
    """The columns that say when.

    Parameters
    ----------
    date
        Column of the date, with or without the time, from 0.
    time
        Column of the time of the day, if it stands apart.
    hour
        Column of hour numbers, if there is one.
    label
        Whether the header says that stamps are starts or ends.
    """

    date: int
    time: int | None
    hour: int | None
    label: Label | None


def named_column(table: MeterTable, name: str | int) -> int:
    """Return the column that the user named.

    Parameters
    ----------
    table
        Table.
    name
        Header cell, or number from 1.

    Returns
    -------
    int
        Column, from 0.

    Raises
    ------
    MeterError
        If there is no such column.
    """
    if isinstance(name, int) and 1 <= name <= table.width:
        return name - 1
    wanted = str(name).strip().lower()
    found = [index for index, cell in enumerate(table.header) if cell.lower() == wanted]
    if len(found) == 1:
        return found[0]
    raise MeterError(
        f"the table has {'several columns' if found else 'no column'} {name!r}",
        where=table.name,
        expected=f"a header cell, or a number from 1 to {table.width}",
    )


def mostly(table: MeterTable, index: int, test: Callable[[str], bool]) -> bool:
    """Return whether nearly all cells of a column pass a test.

    Parameters
    ----------
    table
        Table.
    index
        Column, from 0.
    test
        Test of one cell.

    Returns
    -------
    bool
        False if the column is blank.
    """
    cells = table.sample(index)
    return bool(cells) and sum(map(test, cells)) >= _MOST * len(cells)


def find_time_columns(table: MeterTable, facts: TableFacts) -> TimeColumns:
    """Find the columns that say when, by content and header.

    Parameters
    ----------
    table
        Table.
    facts
        What the user knows.

    Returns
    -------
    TimeColumns
        Columns.

    Raises
    ------
    MeterError
        If there is no time column, or several could be it.
    """
    dates = [index for index in range(table.width) if mostly(table, index, looks_like_stamp)]
    if facts.time_column is not None:
        dates = [named_column(table, facts.time_column)]
    if not dates:
        raise MeterError(
            "no column holds dates",
            where=table.name,
            expected="a column with the date and time of each interval",
            remedy="export the file again with its time column",
        )
    date, label = _chosen(table, dates)
    stamps = [read_stamp(cell) for cell in table.sample(date)]
    # some portals write 00:00 behind every date and the time in a column of its own
    if any(stamp is not None and stamp.second for stamp in stamps):
        return TimeColumns(date=date, time=None, hour=None, label=label)
    others = [index for index in range(table.width) if index not in dates]
    times = [index for index in others if _is_time_column(table, index)]
    if times:
        time, own = _chosen(table, times)
        return TimeColumns(date=date, time=time, hour=None, label=own or label)
    hours = [index for index in others if _is_hour_column(table, index)]
    if hours:
        hour, own = _chosen(table, hours)
        return TimeColumns(date=date, time=None, hour=hour, label=own or label)
    return TimeColumns(date=date, time=None, hour=None, label=label)


def _is_time_column(table: MeterTable, index: int) -> bool:
    """Take "00.15" for a time only under a header that speaks of time."""
    if mostly(table, index, looks_like_time):
        return True
    return is_time_word(table.title(index)) and mostly(
        table, index, lambda cell: "." in cell and looks_like_time(cell.replace(".", ":"))
    )


def _is_hour_column(table: MeterTable, index: int) -> bool:
    return bool(words_of(table.title(index)) & HOUR) and mostly(
        table, index, lambda cell: hour_number(cell) is not None
    )


def _chosen(table: MeterTable, candidates: Sequence[int]) -> tuple[int, Label | None]:
    """Take the column of starts; of several without such words none."""
    words = {index: words_of(table.title(index)) for index in candidates}
    starts = [index for index in candidates if words[index] & START]
    ends = [index for index in candidates if words[index] & END and index not in starts]
    rest = [index for index in candidates if index not in starts and index not in ends]
    if any(is_range(cell) for cell in table.sample(candidates[0])):
        return candidates[0], "start"
    if len(starts) == 1:
        return starts[0], "start"
    if not starts and len(rest) == 1:
        return rest[0], "start" if ends else None
    if not starts and not rest and len(ends) == 1:
        return ends[0], "end"
    raise MeterError(
        "several columns hold dates or times: columns "
        + ", ".join(str(index + 1) for index in candidates),
        where=table.name,
        expected="one column, or one of them headed start",
        remedy=say(time_column="NUMBER"),
    )
