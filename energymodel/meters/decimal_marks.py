"""Numbers of a column whose decimal mark is not known beforehand.

One mark is decided for the whole column from all its rows.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.import_report import MeterError, ReadAs, ReportEntry, place
from energymodel.meters.remedies import say, say_one_of

Mark: TypeAlias = Literal[".", ","]
_MISSING_WORDS = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "--", "#n/a"})
_SPACE = "[ '\u2019\u00a0\u202f]"
_POINT = re.compile(
    rf"[+-]?(?:[1-9]\d{{0,2}}(?:,\d{{3}})+|[1-9]\d{{0,2}}(?:{_SPACE}\d{{3}})+|\d*)"
    r"(?:\.\d*)?(?:[eE][+-]?\d+)?"
)
_COMMA = re.compile(
    rf"[+-]?(?:[1-9]\d{{0,2}}(?:\.\d{{3}})+|[1-9]\d{{0,2}}(?:{_SPACE}\d{{3}})+|\d*)"
    r"(?:,\d*)?(?:[eE][+-]?\d+)?"
)
_WHOLE = re.compile(r"[+-]?[0-9]{1,18}")
_SHOWN_DIGITS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberColumn:
    """The cells of one column.

    Parameters
    ----------
    file
        File name.
    lines
        Line of each cell.
    cells
        Text of each cell.
    separator
        What separates the columns of the file.
    noun
        What the column holds, for messages.
    """

    file: str
    lines: Sequence[int]
    cells: Sequence[str]
    separator: str
    noun: str


def is_missing(cell: str) -> bool:
    """Return whether a cell says that there is no value.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    bool
        True for blank, "NA", "-" and the like.
    """
    return cell.strip().lower() in _MISSING_WORDS


def is_number(cell: str) -> bool:
    """Return whether a cell is a number under any decimal mark.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    bool
        False for blank cells and words.
    """
    text = _tidy(cell)
    return _value(text, ".") is not None or _value(text, ",") is not None


def is_whole(text: str) -> bool:
    """Return whether a text is a whole number of at most 18 digits.

    Parameters
    ----------
    text
        Text without blanks.

    Returns
    -------
    bool
        True for "7", "-18000" and the like.
    """
    return _WHOLE.fullmatch(text) is not None


def shown(cell: str) -> str:
    """Return a cell for a message if it is a short number; anything else may be personal.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    str
        The quoted number, or words that do not repeat the cell.
    """
    digits = sum(letter.isdecimal() for letter in cell)
    if is_number(cell) and digits <= _SHOWN_DIGITS:
        return repr(cell)
    return "text that is not a number (not repeated here)"


def _tidy(cell: str) -> str:
    text = cell.strip().replace("\u2212", "-")
    return "-" + text[:-1] if text.endswith("-") and len(text) > 1 else text


def _value(text: str, mark: Mark) -> float | None:
    pattern = _POINT if mark == "." else _COMMA
    if not any(letter.isdecimal() for letter in text) or pattern.fullmatch(text) is None:
        return None
    plain = re.sub(_SPACE, "", text)
    plain = plain.replace(",", "") if mark == "." else plain.replace(".", "").replace(",", ".")
    try:
        value = float(plain)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Decision:
    mark: Mark
    basis: str
    entries: tuple[ReportEntry, ...] = ()


def read_numbers(
    column: NumberColumn, *, mark: Mark | None = None
) -> tuple[Array, ReadAs, tuple[ReportEntry, ...]]:
    """Turn one column into numbers under one decimal mark.

    Parameters
    ----------
    column
        Cells.
    mark
        Decimal mark if the user knows it.

    Returns
    -------
    tuple
        Numbers, nan where a cell is blank, shape (rows,); how they were read; and an entry where
        marks were taken for thousands because whole numbers stand beside them.

    Raises
    ------
    MeterError
        If a cell is no number, no single mark fits all rows, or both fit with different values.

    Notes
    -----
    Where both marks fit every row, a point between columns that commas separate is the decimal
    one, as writers whose thousands mark is the point separate columns by other marks. Marks with
    three digits behind each of them are thousands where whole numbers below 1000 stand beside
    them: as decimals these would show digits too. Nothing else is guessed: a semicolon does not
    tell "13,588" from 13.588.
    """
    spelled = {cell: _tidy(cell) for cell in dict.fromkeys(column.cells) if not is_missing(cell)}
    point = {cell: _value(text, ".") for cell, text in spelled.items()}
    comma = {cell: _value(text, ",") for cell, text in spelled.items()}
    _refuse_words(column, point, comma)
    decided = _Decision(mark=mark, basis="given") if mark else _decided(column, point, comma)
    chosen = decided.mark
    values = point if chosen == "." else comma
    unfit = next((cell for cell, value in values.items() if value is None), None)
    if unfit is not None:
        raise MeterError(
            f"{shown(unfit)} is no number with the decimal mark {chosen!r}",
            where=place(column.file, column.lines[list(column.cells).index(unfit)]),
            expected=f"one decimal mark in the whole column of the {column.noun}",
            remedy="export the file again with one number format",
        )
    numbers = np.array([values.get(cell, np.nan) for cell in column.cells], dtype=np.float64)
    read_as = ReadAs(name="decimal mark", value=repr(chosen), basis=decided.basis)
    return numbers, read_as, decided.entries


def _refuse_words(
    column: NumberColumn, point: Mapping[str, float | None], comma: Mapping[str, float | None]
) -> None:
    for line, cell in zip(column.lines, column.cells, strict=True):
        if cell in point and point[cell] is None and comma[cell] is None:
            raise MeterError(
                f"{shown(cell)} stands where the {column.noun} should be",
                where=place(column.file, line),
                expected="a number, or a blank cell if the value is missing",
            )


def _decided(
    column: NumberColumn, point: Mapping[str, float | None], comma: Mapping[str, float | None]
) -> _Decision:
    only_comma = next((cell for cell, value in point.items() if value is None), None)
    only_point = next((cell for cell, value in comma.items() if value is None), None)
    if only_point is not None and only_comma is not None:
        first, second = (column.cells.index(cell) for cell in (only_point, only_comma))
        raise MeterError(
            f"the {column.noun} mix two number formats: {shown(only_point)} in line "
            f"{column.lines[first]}, {shown(only_comma)} in line {column.lines[second]}",
            where=place(column.file, column.lines[max(first, second)]),
            expected="one decimal mark in the whole column",
            remedy="export the file again with one number format",
        )
    if only_point is not None or only_comma is not None:
        return _Decision(mark="." if only_comma is None else ",", basis="all rows")
    differ = [cell for cell in point if point[cell] != comma[cell]]
    if not differ:
        return _Decision(mark=".", basis="all rows: whole numbers")
    marks = {letter for cell in differ for letter in cell if letter in ".,"}
    if column.separator == "," and marks == {"."}:
        return _Decision(mark=".", basis="columns separated by commas")
    whole = _whole_numbers(point, comma)
    if len(marks) == 1 and whole:
        thousands = marks.pop()
        readings = (point, comma) if thousands == "," else (comma, point)
        return _of_thousands(column, (differ, whole), readings)
    raise _two_ways(column, differ[0], (point[differ[0]], comma[differ[0]]))


def _whole_numbers(
    point: Mapping[str, float | None], comma: Mapping[str, float | None]
) -> list[str]:
    """Cells that show a whole number below 1000 in plain digits; none if larger ones do so too.

    A zero is left aside: it is written alike in all formats.
    """
    plain = [cell for cell, value in point.items() if value and value == comma[cell]]
    fits = all(is_whole(cell) and abs(int(cell)) < 1000 for cell in plain)
    return plain if fits else []


def _of_thousands(
    column: NumberColumn,
    cells: tuple[Sequence[str], Sequence[str]],
    readings: tuple[Mapping[str, float | None], Mapping[str, float | None]],
) -> _Decision:
    marked, whole = cells
    taken, other = readings
    mark: Mark = "." if "," in marked[0] else ","
    thousands: Mark = "," if mark == "." else "."
    ambiguous = frozenset(marked)
    count = sum(cell in ambiguous for cell in column.cells)
    first = marked[0]
    entry = ReportEntry(
        file=column.file,
        row=f"line {column.lines[list(column.cells).index(first)]}",
        found=f"{count} values such as {shown(first)} can be read in two ways; whole numbers such "
        f"as {shown(whole[0])} stand beside them",
        expected="numbers that show which mark is the decimal one",
        done=f"{thousands!r} was taken as the thousands mark: {shown(first)} is "
        f"{taken[first]:g}, not {other[first]:g}; if it is the decimal mark, "
        + say(decimal_mark=thousands),
    )
    return _Decision(mark=mark, basis="whole numbers beside thousands", entries=(entry,))


def _two_ways(
    column: NumberColumn, cell: str, readings: tuple[float | None, float | None]
) -> MeterError:
    point, comma = readings
    return MeterError(
        f"every value can be read in two ways: {shown(cell)} is {comma:g} with a decimal "
        f"comma or {point:g} with a decimal point",
        where=place(column.file, column.lines[list(column.cells).index(cell)]),
        expected="one row at least that shows which mark is the decimal one",
        remedy=say_one_of("decimal_mark", ",", "."),
    )
