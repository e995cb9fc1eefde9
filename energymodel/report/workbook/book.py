"""Pages, cells and formats of a workbook: the only module that talks to the XLSX writer."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from typing import Any

import xlsxwriter  # type: ignore[import-untyped]
from xlsxwriter.utility import (  # type: ignore[import-untyped]
    xl_range_abs,
    xl_rowcol_to_cell,
)

from energymodel import __version__
from energymodel.report.figures.style import CONTEXT
from energymodel.report.workbook.cells import (
    FONT,
    Column,
    Form,
    Formula,
    Style,
    Value,
    cell_format,
    plain_text,
)

FIRST_ROW = 5
"""Row of the first number; the rows above it are title, message and two lines of heading."""
_GROUP_ROW, _HEAD_ROW = FIRST_ROW - 2, FIRST_ROW - 1
_MADE = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""Same comparison, same file: no clock goes into it."""


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
    """

    name: str
    columns: tuple[Column, ...]
    sheet: Any
    formats: dict[tuple[Form, Style], Any]

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
        if isinstance(value, str):
            text = Form.WRAPPED if form is Form.WRAPPED else Form.TEXT
            self.sheet.write_string(row, column, plain_text(value), self.formats[text, style])
        elif isinstance(value, Formula):
            self.sheet.write_formula(row, column, value.text, look, _stored(value.value))
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

    def _form(self, column: int) -> Form:
        return self.columns[column].form if column < len(self.columns) else Form.TEXT

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


def _stored(value: float) -> float | str:
    return value if math.isfinite(value) else ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Book:
    """A workbook that is being written.

    Parameters
    ----------
    target
        Where its bytes go.
    writer
        Of the library.
    formats
        By form and style.
    letter
        Paper: letter, or A4.
    """

    target: BytesIO
    writer: Any
    formats: dict[tuple[Form, Style], Any]
    letter: bool

    @classmethod
    def begun(cls, title: str, *, letter: bool, pages: Sequence[str]) -> Book:
        """Begin a workbook.

        Parameters
        ----------
        title
            Of the scenario.
        letter
            Paper: letter, or A4.
        pages
            Names on the tabs, in their order.

        Returns
        -------
        Book
            With empty sheets; :meth:`page` heads them in any order.
        """
        target = BytesIO()
        writer = xlsxwriter.Workbook(
            target,
            {
                "in_memory": True,
                "strings_to_formulas": False,
                "strings_to_urls": False,
                "strings_to_numbers": False,
                "default_format_properties": {"font_name": FONT, "font_size": 9},
            },
        )
        writer.set_properties(
            {
                "title": plain_text(title)[:255],
                "comments": f"energymodel {__version__}: estimate, not a quotation or guarantee",
                "created": _MADE,
            }
        )
        formats = {
            (form, style): writer.add_format(cell_format(form, style))
            for form in Form
            for style in Style
        }
        for name in pages:
            writer.add_worksheet(name)
        return cls(target=target, writer=writer, formats=formats, letter=letter)

    def page(
        self,
        name: str,
        *,
        title: str,
        message: str,
        columns: Sequence[Column],
        frozen_columns: int = 1,
    ) -> Page:
        """Head a page; freeze its panes and settle how it prints.

        Parameters
        ----------
        name
            On its tab.
        title
            What the page is.
        message
            What it says; also the title of its chart.
        columns
            Of its table.
        frozen_columns
            Columns that stay in view.

        Returns
        -------
        Page
            Ready for numbers from FIRST_ROW on.
        """
        sheet = self.writer.get_worksheet_by_name(name)
        page = Page(name=name, columns=tuple(columns), sheet=sheet, formats=self.formats)
        bold = self.writer.add_format({"font_name": FONT, "font_size": 13, "bold": True})
        sheet.write_string(0, 0, plain_text(title), bold)
        page.put(1, 0, message, form=Form.TEXT)
        self._headings(page)
        sheet.freeze_panes(FIRST_ROW, frozen_columns)
        sheet.hide_gridlines(2)
        sheet.set_landscape()
        sheet.set_paper(1 if self.letter else 9)
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(_GROUP_ROW, _HEAD_ROW)
        sheet.repeat_columns(0, frozen_columns - 1)
        sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
        sheet.set_footer("&L&8&A&C&8Estimate, not a quotation or guarantee&R&8&P of &N")
        return page

    def _headings(self, page: Page) -> None:
        look = {"font_name": FONT, "font_size": 9, "bold": True, "text_wrap": True}
        look |= {"valign": "bottom", "bottom": 1, "bottom_color": CONTEXT}
        left, right = (
            self.writer.add_format({**look, "align": side}) for side in ("left", "right")
        )
        above = self.writer.add_format(
            {"font_name": FONT, "font_size": 9, "font_color": CONTEXT, "text_wrap": True}
        )
        groups = any(column.group for column in page.columns)
        lines = 1
        for number, column in enumerate(page.columns):
            page.sheet.set_column(number, number, column.width)
            side = left if column.form in (Form.TEXT, Form.WRAPPED) else right
            page.sheet.write_string(_HEAD_ROW, number, plain_text(column.heading), side)
            if groups:
                page.sheet.write_string(_GROUP_ROW, number, plain_text(column.group), above)
            lines = max(lines, _lines(column.heading, column.width))
        page.sheet.set_row(_HEAD_ROW, 12.5 * lines + 3)
        if groups:
            most = max(_lines(column.group, column.width) for column in page.columns)
            page.sheet.set_row(_GROUP_ROW, 12.5 * min(most, 4) + 3)

    def finished(self) -> bytes:
        """Close the workbook.

        Returns
        -------
        bytes
            The XLSX file.
        """
        self.writer.close()
        return self.target.getvalue()


def _lines(text: str, width: float) -> int:
    """Lines that a bold text takes in a column."""
    lines, used = 1, 0.0
    for word in text.split():
        need = 1.15 * len(word) + (1.0 if used else 0.0)
        if used and used + need > width:
            lines, used = lines + 1, 1.15 * len(word)
        else:
            used += need
    return lines
