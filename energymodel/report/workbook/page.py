"""One page of a workbook: its cells, its sentences, the height of its rows."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from xlsxwriter.utility import (  # type: ignore[import-untyped]
    xl_range_abs,
    xl_rowcol_to_cell,
)

from energymodel.report.workbook.cells import (
    WORDS,
    Column,
    Form,
    Formula,
    Style,
    Value,
    lines_of,
    plain_text,
)

FIRST_ROW = 5
"""Row of the first number; the rows above it are title, message and two lines of heading."""
GROUP_ROW, HEAD_ROW = FIRST_ROW - 2, FIRST_ROW - 1
_LINE_POINTS, _MARGIN_POINTS = 12.0, 1.5
"""Height of a line of text, and what a row has beside its lines."""
_LONGEST_LINE = 150
"""Characters of a sentence under a table."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Page:
    """One sheet; rows and columns count from 0.

    Parameters
    ----------
    name
        On its tab; one of the package's own words.
    columns
        Of its table.
    sheet
        Of the writer.
    formats
        Of the workbook, by form and style.
    lines
        By row that has wrapped text: lines of its longest cell, so far.
    """

    name: str
    columns: tuple[Column, ...]
    sheet: Any
    formats: dict[tuple[Form, Style], Any]
    lines: dict[int, int] = field(default_factory=dict)

    def put(
        self,
        row: int,
        column: int,
        value: Value,
        style: Style = Style.PLAIN,
        *,
        form: Form | None = None,
    ) -> None:
        """Write a cell.

        Parameters
        ----------
        row, column
            Place.
        value
            Text stays text, whatever it begins with; nothing is written for None or nan.
        style
            What the cell is.
        form
            In the place of that of the column.
        """
        form = form or self._form(column)
        look = self.formats[form, style]
        if form in WORDS:
            self._make_room(row, column, value)
        if isinstance(value, str):
            text = form if form in WORDS else Form.TEXT
            self.sheet.write_string(row, column, plain_text(value), self.formats[text, style])
        elif isinstance(value, Formula):
            self.sheet.write_formula(row, column, value.text, look, stored(value.value))
        elif value is not None and math.isfinite(value):
            self.sheet.write_number(row, column, value, look)
        elif style is not Style.PLAIN:
            self.sheet.write_blank(row, column, None, look)

    def put_row(self, row: int, values: Iterable[Value], style: Style = Style.PLAIN) -> None:
        """Write a row from its first column on.

        Parameters
        ----------
        row
            Place.
        values
            One per column.
        style
            What the cells are.
        """
        for column, value in enumerate(values):
            self.put(row, column, value, style)

    def put_lines(self, row: int, text: str, style: Style) -> int:
        """Write a long sentence over several rows, because it would be cut where paper ends.

        Parameters
        ----------
        row
            First.
        text
            The sentence.
        style
            What the cells are.

        Returns
        -------
        int
            Row below the last.
        """
        for line in textwrap.wrap(text, _LONGEST_LINE):
            self.put(row, 0, line, style, form=Form.TEXT)
            row += 1
        return row

    def say(self, message: Value) -> None:
        """Write what the page says, under its title.

        Parameters
        ----------
        message
            A text, or a formula that gives one.
        """
        self.put(1, 0, message, form=Form.TEXT)

    def _form(self, column: int) -> Form:
        return self.columns[column].form if column < len(self.columns) else Form.TEXT

    def _make_room(self, row: int, column: int, value: Value) -> None:
        """Make a row high enough, also where it turns bold: not every program does so by itself."""
        text = value.value if isinstance(value, Formula) else value
        if isinstance(text, str) and column < len(self.columns):
            lines = lines_of(text, self.columns[column].width, bold=True)
            self.lines[row] = max(lines, self.lines.get(row, 1))
            self.sheet.set_row(row, row_points(self.lines[row]))

    def cell(self, row: int, column: int) -> str:
        """Name a cell for a formula on any page.

        Parameters
        ----------
        row, column
            Place.

        Returns
        -------
        str
            Such as "Inputs!$B$7".
        """
        return f"{self._tab}!{xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True)}"

    def near(self, row: int, column: int) -> str:
        """Name a cell for a formula on the same page.

        Parameters
        ----------
        row, column
            Place.

        Returns
        -------
        str
            Such as "B7".
        """
        return str(xl_rowcol_to_cell(row, column))

    def block(self, first: tuple[int, int], last: tuple[int, int]) -> str:
        """Name a block of cells for a formula on any page.

        Parameters
        ----------
        first, last
            Row and column of two corners.

        Returns
        -------
        str
            Such as "Hours!$C$6:$C$8765".
        """
        return f"{self._tab}!{xl_range_abs(*first, *last)}"

    @property
    def _tab(self) -> str:
        return f"'{self.name}'" if " " in self.name else self.name


def stored(value: float | str) -> float | str:
    """Return the result of a formula as it is stored beside it.

    Parameters
    ----------
    value
        Number or words.

    Returns
    -------
    float or str
        Empty where the number is none.
    """
    return value if isinstance(value, str) or math.isfinite(value) else ""


def row_points(lines: int) -> float:
    """Height of a row.

    Parameters
    ----------
    lines
        Of text in it.

    Returns
    -------
    float
        Points.
    """
    return _LINE_POINTS * lines + _MARGIN_POINTS
