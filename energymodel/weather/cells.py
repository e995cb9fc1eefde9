"""The comma-separated cells of many rows, cut column by column."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from energymodel.arrays import Array, Index
from energymodel.errors import WeatherError
from energymodel.weather.filetext import DOWNLOAD_AGAIN, FileText, numbers

_COMMA, _LINE_FEED = 44, 10
Fields: TypeAlias = NDArray[np.bytes_]
"""One column as the file spells it, shape (rows,)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CellTable:
    """The comma-separated cells of a file's hours, cut column by column when asked for.

    Parameters
    ----------
    text
        File.
    first
        Index of the first data line.
    characters
        All data lines, each closed by a line feed, as bytes.
    ends
        Position of the separator behind each cell, shape (rows, columns).
    """

    text: FileText
    first: int
    characters: NDArray[np.uint8]
    ends: Index

    def column(self, index: int) -> Fields:
        """Return one column as it is spelled.

        Parameters
        ----------
        index
            Column, from 0.

        Returns
        -------
        Fields
            Text of each cell, shape (rows,).
        """
        ends = self.ends[:, index]
        before = self.ends[:, index - 1] if index else np.append(-1, self.ends[:-1, -1])
        width = max(int((ends - before).max()) - 1, 1)
        places = before[:, None] + np.arange(1, width + 1)
        cells = self.characters[np.minimum(places, self.characters.size - 1)]
        cells[places >= ends[:, None]] = 0
        return np.ascontiguousarray(cells).view(f"S{width}").ravel()

    def numbers(self, index: int, *, noun: str) -> Array:
        """Return one column as numbers; a blank cell becomes nan.

        Parameters
        ----------
        index
            Column, from 0.
        noun
            What the column holds, for messages.

        Returns
        -------
        Array
            Numbers, shape (rows,).

        Raises
        ------
        WeatherError
            If a cell is neither a number nor blank.
        """
        return numbers(self.column(index).tolist(), noun=noun, at=self.at)

    def at(self, row: int) -> str:
        """Return the place of a row for a message.

        Parameters
        ----------
        row
            Row, from 0.

        Returns
        -------
        str
            File and line.
        """
        return self.text.at(self.first + row)

    @property
    def lines(self) -> NDArray[np.int64]:
        """File line of each row, from 1, shape (rows,)."""
        return np.arange(self.ends.shape[0], dtype=np.int64) + self.first + 1


def cut_cells(text: FileText, first: int, columns: int) -> CellTable:
    """Find the cells of all rows and check that every row has the same number of them.

    Parameters
    ----------
    text
        File.
    first
        Index of the first data line.
    columns
        Number of columns every row must have.

    Returns
    -------
    CellTable
        The cells.

    Raises
    ------
    WeatherError
        If there is no data line, or a line has another number of columns.
    """
    lines = text.lines[first:]
    if not lines:
        raise WeatherError(
            "the file ends after its header: it holds no hours",
            where=text.at(len(text.lines) - 1),
            expected="8,760 hourly rows (8,784 in a leap year)",
            remedy=DOWNLOAD_AGAIN,
        )
    body = "\n".join([*lines, ""]).encode("latin-1", errors="replace")
    characters = np.frombuffer(body, dtype=np.uint8)
    ends = np.flatnonzero((characters == _COMMA) | (characters == _LINE_FEED))
    widths = np.diff(np.flatnonzero(characters[ends] == _LINE_FEED), prepend=-1)
    if (widths != columns).any():
        _refuse_width(text, first + int(np.argmax(widths != columns)), columns)
    return CellTable(
        text=text, first=first, characters=characters, ends=ends.reshape(len(lines), columns)
    )


def _refuse_width(text: FileText, index: int, columns: int) -> None:
    line = text.lines[index]
    found = line.count(",") + 1
    if not line.strip():
        what = "the line is blank in the middle of the hours"
    elif index == len(text.lines) - 1 and found < columns:
        what = f"the last line is cut short: it has {found} columns"
    else:
        what = f"the line has {found} columns"
    raise WeatherError(
        what, where=text.at(index), expected=f"{columns} columns", remedy=DOWNLOAD_AGAIN
    )
