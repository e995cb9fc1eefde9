"""How a page of the workbook prints: on how many sheets of paper, and where it is divided."""

from __future__ import annotations

import math
from collections.abc import Sequence

from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column
from energymodel.report.workbook.page import Page

_LETTER_IN, _A4_IN = (8.5, 11.0), (8.27, 11.69)
_BESIDE_IN = 0.8
"""Left and right margin together."""
_ROOM = 0.97
"""Programs do not agree on the width of a column to the last pixel."""
_ROWS_UPRIGHT = 80
"""Rows of a list that can be read on one sheet of paper."""
_PIXELS_PER_INCH, _PIXELS_PER_CHARACTER, _PIXELS_PER_COLUMN = 96.0, 7.0, 5.0


def print_whole(page: Page) -> None:
    """Print a page on one sheet of paper.

    Parameters
    ----------
    page
        The page.
    """
    page.sheet.fit_to_pages(1, 1)


def print_beside(book: Book, page: Page, column: int) -> None:
    """Print a wide page on two sheets of paper beside each other.

    Parameters
    ----------
    book
        Its paper.
    page
        The page.
    column
        First one of the second sheet.
    """
    parts = page.columns[:column], page.columns[column:]
    page.sheet.set_print_scale(math.floor(100.0 * min(print_scale(book, part) for part in parts)))
    page.sheet.set_v_pagebreaks([column])


def print_upright(page: Page, rows: int) -> None:
    """Print a long list upright.

    Parameters
    ----------
    page
        The page.
    rows
        About how many there are.
    """
    page.sheet.set_portrait()
    page.sheet.fit_to_pages(1, max(1, round(rows / _ROWS_UPRIGHT)))


def print_head(page: Page, rows: int) -> None:
    """Print the first rows alone.

    Parameters
    ----------
    page
        The page.
    rows
        Number of rows, from the title on.
    """
    page.sheet.print_area(0, 0, rows - 1, len(page.columns) - 1)
    page.sheet.fit_to_pages(1, 1)


def print_divided(book: Book, page: Page, breaks: Sequence[int]) -> None:
    """Print a page one sheet wide, divided before some rows.

    Parameters
    ----------
    book
        Its paper.
    page
        The page.
    breaks
        Rows that begin a new sheet of paper.

    Notes
    -----
    The scale is computed here: a page that is fitted by the program that prints it is divided
    where the paper ends, and through a chart.
    """
    page.sheet.set_print_scale(math.floor(100.0 * print_scale(book, page.columns)))
    page.sheet.set_h_pagebreaks(list(breaks))


def print_scale(book: Book, columns: Sequence[Column]) -> float:
    """Scale at which columns fit on a sheet of paper laid across.

    Parameters
    ----------
    book
        Its paper.
    columns
        With their widths.

    Returns
    -------
    float
        0.1 to 1.
    """
    paper_in = (_LETTER_IN if book.letter else _A4_IN)[1] - _BESIDE_IN
    pixels = sum(_PIXELS_PER_CHARACTER * one.width + _PIXELS_PER_COLUMN for one in columns)
    return max(0.1, min(1.0, _ROOM * paper_in * _PIXELS_PER_INCH / pixels))
