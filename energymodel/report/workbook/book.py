"""Pages, cells and formats of a workbook: the only module that talks to the XLSX writer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from typing import Any

import xlsxwriter  # type: ignore[import-untyped]

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
    lines_of,
    plain_text,
)
from energymodel.report.workbook.page import (
    FIRST_ROW,
    GROUP_ROW,
    HEAD_ROW,
    Page,
    row_points,
    stored,
)

_MADE = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""Same comparison, same file: no clock goes into it."""


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
        title: Value,
        message: Value,
        columns: Sequence[Column],
        frozen_columns: int = 1,
    ) -> Page:
        """Head a page; freeze its panes and let it print one page wide.

        Parameters
        ----------
        name
            On its tab.
        title
            What the page is.
        message
            What it says, in words or by a formula; None: it is said later.
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
        self.title(page, title)
        page.say(message)
        sheet.set_default_row(row_points(1))
        self._headings(page)
        sheet.freeze_panes(FIRST_ROW, frozen_columns)
        sheet.hide_gridlines(2)
        sheet.set_landscape()
        sheet.set_paper(1 if self.letter else 9)
        sheet.fit_to_pages(1, 0)
        groups = any(column.group for column in columns)
        sheet.repeat_rows(GROUP_ROW if groups else HEAD_ROW, HEAD_ROW)
        sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
        sheet.set_footer("&L&8&A&C&8Estimate, not a quotation or guarantee&R&8&P of &N")
        return page

    def _headings(self, page: Page) -> None:
        look = {"font_name": FONT, "font_size": 9, "bold": True, "text_wrap": True}
        look |= {"valign": "bottom", "bottom": 1, "bottom_color": CONTEXT}
        left, right = (
            self.writer.add_format({**look, "align": side}) for side in ("left", "right")
        )
        set_in = self.writer.add_format({**look, "align": "left", "indent": 1})
        above = self.writer.add_format(
            {"font_name": FONT, "font_size": 9, "font_color": CONTEXT, "text_wrap": True}
        )
        groups = any(column.group for column in page.columns)
        lines = 1
        for number, column in enumerate(page.columns):
            page.sheet.set_column(number, number, column.width)
            side = left if column.form in (Form.TEXT, Form.WRAPPED) else right
            side = set_in if column.form is Form.SET_IN else side
            page.sheet.write_string(HEAD_ROW, number, plain_text(column.heading), side)
            if groups:
                page.sheet.write_string(GROUP_ROW, number, plain_text(column.group), above)
            lines = max(lines, lines_of(column.heading, column.width, bold=True))
        page.sheet.set_row(HEAD_ROW, row_points(lines) + 2.0)
        if groups:
            most = max(lines_of(column.group, column.width) for column in page.columns)
            page.sheet.set_row(GROUP_ROW, row_points(min(most, 5)))

    def title(self, page: Page, title: Value) -> None:
        """Write what a page is.

        Parameters
        ----------
        page
            The page.
        title
            A text, or a formula that gives one.
        """
        look = self.writer.add_format({"font_name": FONT, "font_size": 13, "bold": True})
        if isinstance(title, Formula):
            page.sheet.write_formula(0, 0, title.text, look, stored(title.value))
        else:
            page.sheet.write_string(0, 0, plain_text(str(title)), look)
        page.sheet.set_row(0, 18.0)

    def bold_where(self, page: Page, rows: tuple[int, int], condition: str) -> None:
        """Make the rows bold in which something holds; it follows the inputs.

        Parameters
        ----------
        page
            The page.
        rows
            First and last.
        condition
            Formula for the first row.
        """
        look = self.writer.add_format({"bold": True})
        rule = {"type": "formula", "criteria": condition, "format": look}
        page.sheet.conditional_format(rows[0], 0, rows[1], len(page.columns) - 1, rule)

    def finished(self) -> bytes:
        """Close the workbook.

        Returns
        -------
        bytes
            The XLSX file.
        """
        self.writer.close()
        return self.target.getvalue()
