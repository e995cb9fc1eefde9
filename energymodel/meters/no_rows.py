"""Why a file has no rows with a date and a value."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from energymodel.meters.decimal_marks import is_number
from energymodel.meters.header_words import END, START, TIME, USE, words_of
from energymodel.meters.import_report import MeterError
from energymodel.meters.meter_text import MeterText
from energymodel.meters.meter_units import find_unit
from energymodel.meters.stamps import month_number

_CUT = re.compile(r"[,;\t]")
_MONTH = re.compile(
    r"(?P<word>[^\W\d_]{3,9})\.?(?:[-/ ,]+(?:\d{4}|'?\d{2}))?|\d{4}[-/.]\d{1,2}|\d{1,2}[-/.]\d{4}"
)


def no_rows(text: MeterText) -> MeterError:
    """Say what is missing in a file in which no row has a date and a value.

    Parameters
    ----------
    text
        File.

    Returns
    -------
    MeterError
        To be raised.
    """
    lines = list(_lines(text))
    if (month := _month_row(lines)) is not None:
        return _only_months(text, *month)
    if lines and _is_heading(lines[-1][1]):
        return MeterError(
            "the file has headings but no rows below them",
            where=text.at(lines[-1][0]),
            expected="a row for each interval, read or bill, with its date and its value",
            remedy="export the file again, or copy the rows of the bills below the headings",
        )
    return MeterError(
        "no rows with a date and a value were found: the table has no time column",
        where=text.name,
        expected="one row per interval with its date and time and its value, separated by "
        "commas, semicolons or tabs",
        remedy="export the file again with its time column",
    )


def _lines(text: MeterText) -> Iterator[tuple[int, Sequence[str]]]:
    for index, line in enumerate(text.lines):
        cells = [cell.strip(' "') for cell in _CUT.split(line)]
        if any(cells):
            yield index, cells


def _month_row(lines: Sequence[tuple[int, Sequence[str]]]) -> tuple[int, str] | None:
    """Return the first line that has a month and a number, if the next one has both too."""
    found = []
    for index, cells in lines:
        months = [cell for cell in cells if _is_month(cell)]
        if months and any(is_number(cell) for cell in cells if cell not in months):
            found.append((index, months[0]))
    return found[0] if len(found) > 1 or (found and len(lines) <= 2) else None


def _is_month(cell: str) -> bool:
    match = _MONTH.fullmatch(cell)
    if match is None:
        return False
    word = match.group("word")
    return word is None or month_number(word) > 0


def _only_months(text: MeterText, index: int, cell: str) -> MeterError:
    return MeterError(
        f"the rows have months without a day, such as {cell!r}: a meter is read on some day, and "
        "months do not say on which",
        where=text.at(index),
        expected="the days on which the meter was read, as 2013-01-15 or 01/15/2013",
        remedy='take the read dates from the bills, in columns headed "from" and "to" or in one '
        'headed "read date"; `energymodel bill` also takes a table month,kWh',
    )


def _is_heading(cells: Sequence[str]) -> bool:
    named = [cell for cell in cells if cell]
    known = START | END | TIME | USE
    return (
        len(named) >= 2
        and not any(map(is_number, named))
        and any(words_of(cell) & known or find_unit(cell) is not None for cell in named)
    )
