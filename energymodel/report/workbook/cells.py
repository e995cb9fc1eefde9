"""What stands in the cells of a workbook: forms of numbers, styles, formulas, columns."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

from energymodel.report.figures.style import CONTEXT, COOLING

LONGEST_TEXT = 32_767
"""Characters that a cell of an XLSX file can hold."""
FONT = "Arial"
_INPUT_FILL, _SECTION_FILL = "#e8f1f8", "#f0f0f0"


class Form(Enum):
    """How a number of a column is shown."""

    TEXT = "General"
    WRAPPED = "@"
    WHOLE = "#,##0"
    ONE = "#,##0.0"
    TWO = "#,##0.00"
    THREE = "#,##0.000"
    FOUR = "#,##0.0000"
    SIX = "0.000000"
    PERCENT = "0.0%"
    HOUR = "yyyy-mm-dd hh:mm"
    HOUR_OF_ANY_YEAR = "d mmm hh:mm"


class Style(Enum):
    """What a cell is."""

    PLAIN = "plain"
    INPUT = "input"
    TOTAL = "total"
    BEST = "best"
    SECTION = "section"
    NOTE = "note"


_STYLES: dict[Style, dict[str, Any]] = {
    Style.PLAIN: {},
    Style.INPUT: {"font_color": COOLING, "bg_color": _INPUT_FILL},
    Style.TOTAL: {"bold": True, "top": 1, "top_color": CONTEXT},
    Style.BEST: {"bold": True},
    Style.SECTION: {"bold": True, "bg_color": _SECTION_FILL},
    Style.NOTE: {"font_color": CONTEXT},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """A live formula with its value, for viewers that do not calculate.

    Parameters
    ----------
    text
        Begins with "=".
    value
        What it gives.
    """

    text: str
    value: float


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
    if form is Form.WRAPPED:
        made["text_wrap"] = True
    elif form is not Form.TEXT:
        made["num_format"] = form.value
    return made | _STYLES[style]
