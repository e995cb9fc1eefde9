"""What stands in the cells of a workbook: forms of numbers, styles, formulas, columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

from energymodel.report.figures.style import CONTEXT, COOLING

LONGEST_TEXT = 32_767
"""Characters that a cell of an XLSX file can hold."""
FONT = "Arial"
_NARROW, _USUAL, _WIDE, _BOLD = 0.5, 0.94, 1.2, 1.08
"""Widths of letters in the measure of columns, rather too wide than too narrow."""
_INPUT_FILL, _SECTION_FILL = "#e8f1f8", "#f0f0f0"


class Form(Enum):
    """How a number of a column is shown."""

    TEXT = "General"
    WRAPPED = "@"
    SET_IN = "@ "
    WHOLE = "#,##0"
    ONE = "#,##0.0"
    TWO = "#,##0.00"
    THREE = "#,##0.000"
    FOUR = "#,##0.0000"
    SIX = "0.000000"
    PERCENT = "0.0%"
    HOUR = "yyyy-mm-dd hh:mm"
    HOUR_OF_ANY_YEAR = "d mmm hh:mm"


WORDS = (Form.WRAPPED, Form.SET_IN)
"""Text over several lines; set in where it stands behind a number."""


class Style(Enum):
    """What a cell is."""

    PLAIN = "plain"
    INPUT = "input"
    TOTAL = "total"
    BEST = "best"
    SECTION = "section"
    NOTE = "note"
    FIXED = "fixed"


_STYLES: dict[Style, dict[str, Any]] = {
    Style.PLAIN: {},
    Style.INPUT: {"font_color": COOLING, "bg_color": _INPUT_FILL},
    Style.TOTAL: {"bold": True, "top": 1, "top_color": CONTEXT},
    Style.BEST: {"bold": True},
    Style.SECTION: {"bold": True, "bg_color": _SECTION_FILL},
    Style.NOTE: {"font_color": CONTEXT},
    Style.FIXED: {"font_color": CONTEXT, "italic": True},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """A live formula with its value, for viewers that do not calculate.

    Parameters
    ----------
    text
        Begins with "=".
    value
        What it gives: a number, or words.
    """

    text: str
    value: float | str


Value = str | float | Formula | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a page.

    Parameters
    ----------
    heading
        What stands in it, with its unit.
    form
        How its numbers are shown.
    width
        Characters.
    group
        Line above the heading, such as the name of an option.
    """

    heading: str
    form: Form = Form.WHOLE
    width: float = 12.0
    group: str = ""


def plain_text(text: str) -> str:
    """Return a text that a cell can hold.

    Parameters
    ----------
    text
        Anything.

    Returns
    -------
    str
        Cut with an ellipsis where it is too long; what is no character of XML text is a box.
    """
    safe = "".join(
        mark if mark in "\t\n" or (mark.isprintable() and mark not in "\ufffe\uffff") else "\ufffd"
        for mark in text
    )
    return safe if len(safe) <= LONGEST_TEXT else safe[: LONGEST_TEXT - 1] + "…"


def cell_format(form: Form, style: Style) -> dict[str, Any]:
    """Return the format of a cell, as the writer takes it.

    Parameters
    ----------
    form
        Of its column.
    style
        Its own.

    Returns
    -------
    dict
        Properties by name.
    """
    made: dict[str, Any] = {"font_name": FONT, "font_size": 9, "valign": "top"}
    if form in WORDS:
        made |= {"text_wrap": True}
        made |= {"align": "left", "indent": 1} if form is Form.SET_IN else {}
    elif form is not Form.TEXT:
        made |= {"num_format": form.value, "align": "right"}
    return made | _STYLES[style]


def lines_of(text: str, width: float, *, bold: bool = False) -> int:
    """Count the lines that a text takes in a column.

    Parameters
    ----------
    text
        Words.
    width
        Of the column, characters.
    bold
        Bold letters are wider.

    Returns
    -------
    int
        At least 1; rather one too many than one too few.
    """
    size = _BOLD if bold else 1.0
    return sum(_lines(part.split(), width - 0.5, size) for part in text.split("\n"))


def _lines(words: Sequence[str], room: float, size: float) -> int:
    lines, used = 1, 0.0
    for word in words:
        need = size * sum(_width(mark) for mark in word)
        if used and used + _NARROW + need > room:
            lines, used = lines + 1, 0.0
        used += need + (_NARROW if used else 0.0)
        while used > room:  # a word longer than the column is broken
            lines, used = lines + 1, used - room
    return lines


def _width(mark: str) -> float:
    """Width of a letter at 9 points over that of the digit by which columns are measured."""
    if mark in "iljft.,:;'|()[]-":
        return _NARROW
    return _WIDE if mark.isupper() or mark in "mw%@&+=<>" else _USUAL
