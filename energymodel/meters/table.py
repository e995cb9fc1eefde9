"""The table inside a meter file: its separator, its header and its rows, found by content.

Whatever stands before and after the table may be personal; it is looked at for a unit and is
otherwise neither kept nor repeated.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from energymodel.meters.decimal_marks import is_missing, is_number
from energymodel.meters.header_words import is_time_word
from energymodel.meters.import_report import MeterError, ReportEntry, place
from energymodel.meters.meter_text import MeterText
from energymodel.meters.meter_units import MeterUnit, find_unit
from energymodel.meters.no_rows import no_rows
from energymodel.meters.stamps import looks_like_stamp

_SEPARATORS = (",", ";", "\t")
_SAMPLE = 400
_UNIT_LINE = re.compile(r"\b(units?|uom|einheit|unit[eé]|unidad|unit[aà]|eenheid|enhe[td])\b", re.I)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeterTable:
    """Rows of a table.

    Parameters
    ----------
    name
        File name.
    separator
        What separates the columns.
    header
        Header cells; empty if the header is missing.
    lines
        Line of each row.
    rows
        Cells of each row, all of one width.
    stated_unit
        Unit named in a line before the table, if any.
    entries
        What was left out.
    """

    name: str
    separator: str
    header: tuple[str, ...]
    lines: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]
    stated_unit: MeterUnit | None
    entries: tuple[ReportEntry, ...]

    @property
    def width(self) -> int:
        """Number of columns."""
        return len(self.rows[0])

    def column(self, index: int) -> list[str]:
        """Return the cells of one column.

        Parameters
        ----------
        index
            Column, from 0.

        Returns
        -------
        list of str
            One cell per row.
        """
        return [row[index] for row in self.rows]

    def title(self, index: int) -> str:
        """Return the header cell of a column.

        Parameters
        ----------
        index
            Column, from 0.

        Returns
        -------
        str
            Empty if there is no header.
        """
        return self.header[index] if self.header else ""

    def sample(self, index: int) -> list[str]:
        """Return cells of one column spread over the file, blanks left out.

        Parameters
        ----------
        index
            Column, from 0.

        Returns
        -------
        list of str
            At most a few hundred cells.
        """
        step = max(1, len(self.rows) // _SAMPLE)
        return [row[index] for row in self.rows[::step] if not is_missing(row[index])]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    number: int
    cells: tuple[str, ...]


def find_table(text: MeterText) -> MeterTable:
    """Find the table of a file.

    Parameters
    ----------
    text
        File.

    Returns
    -------
    MeterTable
        Its header and rows.

    Raises
    ------
    MeterError
        If no rows with a date and a value are found, or a row inside the table is broken.
    """
    separator = _separator(text)
    lines = [
        _Line(number=index + 1, cells=_cut(line, separator))
        for index, line in enumerate(text.lines)
        if line.strip(" \t;,\r")
    ]
    dated = _dated(lines)
    width = _width(text, lines, dated)
    first = _first(lines, dated, width)
    header, top = _header(text.name, lines, dated, first)
    body, entries = _body(text.name, lines, dated, first, header)
    return MeterTable(
        name=text.name,
        separator=separator,
        header=header,
        lines=tuple(line.number for line in body),
        rows=tuple(line.cells for line in body),
        stated_unit=_stated_unit(lines[:top]),
        entries=(*_preamble_entry(text.name, lines[:top]), *entries),
    )


def _cut(line: str, separator: str) -> tuple[str, ...]:
    if '"' in line:
        try:
            return tuple(cell.strip() for cell in next(csv.reader([line], delimiter=separator)))
        except csv.Error:
            pass
    return tuple(cell.strip() for cell in line.split(separator))


def _is_row(cells: Sequence[str]) -> bool:
    dates = [looks_like_stamp(cell) for cell in cells]
    return any(dates) and any(
        is_number(cell) for cell, date in zip(cells, dates, strict=True) if not date
    )


def _separator(text: MeterText) -> str:
    """Take the separator under which most lines hold a date and a number."""
    lines = [line for line in text.lines if line.strip()]
    start = max(0, (len(lines) - _SAMPLE) // 2)
    sample = lines[start : start + _SAMPLE]
    counts = {mark: sum(_is_row(_cut(line, mark)) for line in sample) for mark in _SEPARATORS}
    best = max(_SEPARATORS, key=lambda mark: counts[mark])
    if counts[best] == 0:
        raise no_rows(text)
    return best


def _dated(lines: Sequence[_Line]) -> list[bool]:
    """Return which lines hold a date in a column that holds dates in the middle of the file."""
    start = max(0, (len(lines) - _SAMPLE) // 2)
    columns = sorted(
        {
            index
            for line in lines[start : start + _SAMPLE]
            for index, cell in enumerate(line.cells)
            if looks_like_stamp(cell)
        }
    )
    return [
        any(looks_like_stamp(line.cells[index]) for index in columns if index < len(line.cells))
        for line in lines
    ]


def _width(text: MeterText, lines: Sequence[_Line], dated: Sequence[bool]) -> int:
    widths = Counter(len(line.cells) for line, date in zip(lines, dated, strict=True) if date)
    width = widths.most_common(1)[0][0]
    if width < 2:
        raise MeterError("the table has a single column", where=text.name)
    return width


def _first(lines: Sequence[_Line], dated: Sequence[bool], width: int) -> int:
    """Find the first row: behind a header, else where rows follow each other.

    A dated line of the preamble is followed by lines that are not rows.
    """
    fits = [date and len(line.cells) == width for line, date in zip(lines, dated, strict=True)]
    for index, fit in enumerate(fits):
        above = index - 1
        if fit and above >= 1 and not dated[above] and _is_unit_row(lines[above].cells, width):
            above -= 1
        if fit and above >= 0 and not dated[above] and _is_header(lines[above].cells, width):
            return index
    runs = (index for index in range(len(fits)) if fits[index] and all(fits[index : index + 3]))
    return next(runs, fits.index(True))


def _header(
    name: str, lines: Sequence[_Line], dated: Sequence[bool], first: int
) -> tuple[tuple[str, ...], int]:
    """Return the header cells and the number of lines before the table.

    A header narrower than its rows means that a decimal comma has cut the values in two.
    """
    width = len(lines[first].cells)
    above = first - 1
    units: tuple[str, ...] = ()
    if above >= 1 and _is_unit_row(lines[above].cells, width):
        units, above = lines[above].cells, above - 1
    if above < 0 or dated[above] or not _is_header(lines[above].cells, width):
        return (), first if not units else first - 1
    if any(lines[first].cells[len(lines[above].cells) :]):
        raise _broken(name, lines[first], len(lines[above].cells), is_dated=True, is_last=False)
    cells = _fitted(lines[above].cells, width)
    if units:
        cells = tuple(f"{a} {b}".strip() for a, b in zip(cells, _fitted(units, width), strict=True))
    return cells, above


def _is_unit_row(cells: Sequence[str], width: int) -> bool:
    words = [cell.strip("()[]") for cell in cells if cell]
    return (
        1 < len(cells) <= width + 1
        and bool(words)
        and any(find_unit(word) for word in words)
        and not any(map(is_number, words))
        and all(len(word) <= 12 for word in words)
        and not any(map(is_time_word, words))
    )


def _is_header(cells: Sequence[str], width: int) -> bool:
    named = [cell for cell in cells if cell]
    return (
        abs(len(cells) - width) <= 1
        and len(named) >= 2
        and not any(map(is_number, named))
        and any(is_time_word(cell) or find_unit(cell) is not None for cell in named)
    )


def _fitted(cells: tuple[str, ...], width: int) -> tuple[str, ...]:
    return (*cells, *("",) * width)[:width]


def _body(
    name: str,
    lines: Sequence[_Line],
    dated: Sequence[bool],
    first: int,
    header: tuple[str, ...],
) -> tuple[list[_Line], list[ReportEntry]]:
    last = max(index for index, date in enumerate(dated) if date)
    entries = list(_footer_entry(name, lines[last + 1 :]))
    repeated = [line for line in lines[first : last + 1] if header and _same(line.cells, header)]
    if repeated:
        entries.append(
            ReportEntry(
                file=name,
                row="line " + ", ".join(str(line.number) for line in repeated[:5]),
                found=f"the header stands again ({len(repeated)} times)",
                expected="one header",
                done="the repeated headers were left out",
            )
        )
    body = list(_rows(name, lines, dated, (first, last), header))
    return body, entries


def _same(cells: Sequence[str], header: Sequence[str]) -> bool:
    return _fitted(tuple(cells), len(header)) == tuple(header)


def _rows(
    name: str,
    lines: Sequence[_Line],
    dated: Sequence[bool],
    span: tuple[int, int],
    header: tuple[str, ...],
) -> Iterator[_Line]:
    first, last = span
    width = len(lines[first].cells)
    for index in range(first, last + 1):
        line = lines[index]
        if header and _same(line.cells, header):
            continue
        extra = line.cells[width:]
        if not dated[index] or len(line.cells) < width or any(extra):
            raise _broken(name, line, width, is_dated=dated[index], is_last=index == last)
        yield _Line(number=line.number, cells=line.cells[:width])


def _broken(name: str, line: _Line, width: int, *, is_dated: bool, is_last: bool) -> MeterError:
    count = len(line.cells)
    if not is_dated:
        what = "a line inside the table has no date"
    elif count < width and is_last:
        what = f"the last line is cut short: it has {count} columns"
    else:
        what = f"the line has {count} columns"
    return MeterError(
        what,
        where=place(name, line.number),
        expected=f"{width} columns with a date in every line of the table",
        remedy="correct the line or export the file again; a decimal comma in a file separated "
        "by commas also splits a column in two",
    )


def _span(lines: Sequence[_Line]) -> str:
    first, last = lines[0].number, lines[-1].number
    return f"line {first}" if first == last else f"line {first}-{last}"


def _preamble_entry(name: str, lines: Sequence[_Line]) -> tuple[ReportEntry, ...]:
    if not lines:
        return ()
    return (
        ReportEntry(
            file=name,
            row=_span(lines),
            found=f"{len(lines)} line{'s' * (len(lines) > 1)} before the table",
            expected="the header in the first line",
            done="left out and not repeated, as it may be personal",
        ),
    )


def _footer_entry(name: str, lines: Sequence[_Line]) -> tuple[ReportEntry, ...]:
    if not lines:
        return ()
    return (
        ReportEntry(
            file=name,
            row=_span(lines),
            found=f"{len(lines)} line{'s' * (len(lines) > 1)} after the table, such as totals",
            expected="nothing after the last interval",
            done="left out and not repeated",
        ),
    )


def _stated_unit(lines: Sequence[_Line]) -> MeterUnit | None:
    for line in lines:
        if len(line.cells) <= 3 and _UNIT_LINE.search(line.cells[0]):
            unit = find_unit(" ".join(line.cells))
            if unit is not None:
                return unit
    return None
