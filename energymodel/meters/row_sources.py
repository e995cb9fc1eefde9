"""Rows of a table or of a feed, as they are named where something is missing."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from energymodel.meters.columns import Columns
from energymodel.meters.date_order import shown_stamp
from energymodel.meters.decimal_marks import is_missing
from energymodel.meters.stamps import hour_number
from energymodel.meters.table import MeterTable
from energymodel.meters.wall_clock import Seconds, ZoneClock, label_text


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TableRows:
    """Rows of a table.

    Parameters
    ----------
    table
        Table.
    columns
        Roles of its columns.
    """

    table: MeterTable
    columns: Columns

    @property
    def noun(self) -> str:
        """What rows are counted by."""
        return "line"

    def _cells(self, row: int) -> tuple[str, ...]:
        return self.table.rows[bisect_left(self.table.lines, row)]

    def label(self, row: int) -> str:
        """Return the date and time of a line as the file spells them.

        Parameters
        ----------
        row
            Line.

        Returns
        -------
        str
            Quoted.
        """
        cells, times = self._cells(row), self.columns.times
        if times.time is not None:
            return shown_stamp(f"{cells[times.date]} {cells[times.time]}")
        number = None if times.hour is None else hour_number(cells[times.hour])
        hour = "" if number is None else f" hour {number}"
        return shown_stamp(cells[times.date]) + hour

    def is_blank(self, row: int) -> bool:
        """Return whether a value cell of a line is blank.

        Parameters
        ----------
        row
            Line.

        Returns
        -------
        bool
            False for codes such as 9999.
        """
        cells = self._cells(row)
        return any(is_missing(cells[column.index]) for column in self.columns.values)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FeedRows:
    """Readings of a feed, which labels them in UTC; they are shown on the clock of the place.

    Parameters
    ----------
    start_s
        Start of each reading in the order of the file, UTC, shape (readings,).
    clock
        Clock of the place.
    """

    start_s: Seconds
    clock: ZoneClock

    @property
    def noun(self) -> str:
        """What rows are counted by."""
        return "reading"

    def label(self, row: int) -> str:
        """Return the start of a reading on the clock of the place.

        Parameters
        ----------
        row
            Reading, from 1.

        Returns
        -------
        str
            Local label.
        """
        start = self.start_s[row - 1 : row]
        return label_text(int((start + self.clock.offset_s(start))[0]))

    def is_blank(self, row: int) -> bool:
        """Return whether a reading has no value.

        Parameters
        ----------
        row
            Reading, from 1.

        Returns
        -------
        bool
            Always true: a feed has no codes for missing values.
        """
        return 1 <= row <= self.start_s.size
