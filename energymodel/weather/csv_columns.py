"""Any table of hours with a time column: the user names the columns and their units."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from difflib import get_close_matches
from pathlib import Path
from typing import Literal

import numpy as np

from energymodel.arrays import Array
from energymodel.csv_lines import csv_rows
from energymodel.errors import WeatherError
from energymodel.units import ICE_POINT_K, c_from_f
from energymodel.weather.filetext import FileText, numbers, read_file_text, without
from energymodel.weather.gaps import GapFill
from energymodel.weather.grid import HourNumbers
from energymodel.weather.rows import HourlyRows, Kind, kind_of_hours
from energymodel.weather.validation import complete_year
from energymodel.weather.year import Site, WeatherYear

_MISSING = (-9999.0, -9900.0, -999.0, 999.0, 999.9, 9999.0, 9999.9)
_UNITS = {
    "degc": "degC",
    "c": "degC",
    "celsius": "degC",
    "degf": "degF",
    "f": "degF",
    "fahrenheit": "degF",
    "k": "K",
    "kelvin": "K",
}
_DELIMITERS = ",;\t"
_MINUTE = timedelta(minutes=1)
_EPOCH = datetime(1970, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class CsvColumns:
    """Which columns of a table hold the weather.

    Parameters
    ----------
    time
        Column of the time stamps: ISO 8601 ("2013-01-31 23:00"), in local standard time or with
        their offset from UTC ("2013-01-31T23:00-05:00", "...Z").
    outdoor
        Column of the outdoor temperature.
    outdoor_unit
        Its unit: "degC", "degF" or "K".
    humidity
        Column of the relative humidity in %, or None.
    hour_label
        Whether a stamp is the "start" or the "end" of its hour.
    time_format
        Pattern of the stamps as for `datetime.strptime` if they are not ISO 8601, for example
        "%m/%d/%Y %H:%M".
    """

    time: str
    outdoor: str
    outdoor_unit: str
    humidity: str | None = None
    hour_label: Literal["start", "end"] = "start"
    time_format: str | None = None


def read_csv_columns(
    path: Path | str,
    columns: CsvColumns,
    *,
    site: Site,
    kind: Kind | None = None,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Read a year from a table whose columns the user names.

    Parameters
    ----------
    path
        Text file with a header line; separated by commas, semicolons or tabs. Lines that begin
        with # are comments.
    columns
        Names and units.
    site
        Place; the table does not say where it was taken.
    kind
        "typical" or "observed"; None: observed if all rows carry the same calendar year.
    fill
        What replaces gaps longer than three hours; None refuses them.

    Returns
    -------
    WeatherYear
        Complete year.

    Raises
    ------
    WeatherError
        If a column is missing, a row cannot be read, or its hours are not a plausible year.
    """
    rows = read_csv_rows(path, columns, utc_offset_h=site.utc_offset_h)
    kind = kind or kind_of_hours(rows.hours)
    return complete_year(rows, site=site, kind=kind, source=f"table {rows.name}", fill=fill)


def read_csv_rows(path: Path | str, columns: CsvColumns, *, utc_offset_h: float) -> HourlyRows:
    """Read the hours of a table as they stand, gaps and all.

    Parameters
    ----------
    path, columns
        As for `read_csv_columns`.
    utc_offset_h
        Local standard time less UTC, hours, for stamps that carry an offset.

    Returns
    -------
    HourlyRows
        Rows in file order, temperature in degC.

    Raises
    ------
    WeatherError
        If a column is missing or a row cannot be read.
    """
    text = read_file_text(path)
    unit = _unit(columns, text.name)
    table = _table(text, columns)
    outdoor = without(table.numbers(columns.outdoor), _MISSING)
    humidity = None
    if columns.humidity is not None:
        humidity = without(table.numbers(columns.humidity), _MISSING)
    return HourlyRows(
        name=text.name,
        hours=_hours(table, columns, utc_offset_h),
        lines=np.array(table.lines, dtype=np.int64),
        outdoor_c=_to_c(outdoor, unit),
        relative_humidity_pct=humidity,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    text: FileText
    lines: Sequence[int]
    names: Sequence[str]
    rows: Sequence[Sequence[str]]

    def cells(self, name: str) -> list[str]:
        index = self.names.index(name)
        return [row[index].strip() for row in self.rows]

    def numbers(self, name: str) -> Array:
        return numbers(self.cells(name), noun=f"column {name!r}", at=self.at)

    def at(self, row: int) -> str:
        return f"{self.text.name}, line {self.lines[row]}"


def _table(text: FileText, columns: CsvColumns) -> _Table:
    kept = [
        (index + 1, line)
        for index, line in enumerate(text.lines)
        if line.strip() and not line.startswith("#")
    ]
    if not kept:
        raise WeatherError("the table has only comments", where=text.name)
    header = kept[0][1]
    delimiter = max(_DELIMITERS, key=header.count)
    names, *rows = (
        [field.strip() for field in row]
        for row in csv_rows((line for _, line in kept), where=text.name, delimiter=delimiter)
    )
    table = _Table(text=text, lines=[line for line, _ in kept[1:]], names=names, rows=rows)
    _check_names(table, columns, where=f"{text.name}, line {kept[0][0]}")
    _check_rows(table)
    return table


def _check_names(table: _Table, columns: CsvColumns, *, where: str) -> None:
    for name in filter(None, (columns.time, columns.outdoor, columns.humidity)):
        times = table.names.count(name)
        if times == 1:
            continue
        near = get_close_matches(name, table.names, n=1)
        raise WeatherError(
            f"the header has {times or 'no'} column{'s' * (times > 1)} {name!r}",
            where=where,
            expected="one of " + ", ".join(table.names),
            remedy=f'did you mean "{near[0]}"?' if near else "name the columns of this file",
        )


def _check_rows(table: _Table) -> None:
    if not table.rows:
        raise WeatherError(
            "the table ends after its header: it holds no hours",
            where=table.text.name,
            expected="8,760 hourly rows (8,784 in a leap year)",
        )
    if len(table.rows) != len(table.lines):
        raise WeatherError(
            "a quoted field goes over several lines",
            where=table.text.name,
            expected="one row per line",
        )
    width = len(table.names)
    wrong = next((row for row, cells in enumerate(table.rows) if len(cells) != width), None)
    if wrong is not None:
        cut = wrong == len(table.rows) - 1 and len(table.rows[wrong]) < width
        raise WeatherError(
            ("the last line is cut short: it" if cut else "the line")
            + f" has {len(table.rows[wrong])} columns",
            where=table.at(wrong),
            expected=f"{width} columns as in the header",
            remedy="correct the line or export the table again",
        )


def _unit(columns: CsvColumns, where: str) -> str:
    unit = _UNITS.get(columns.outdoor_unit.replace("°", "").strip().lower())
    if unit is None:
        raise WeatherError(
            f"the unit {columns.outdoor_unit!r} of column {columns.outdoor!r} is not known",
            where=where,
            expected='"degC", "degF" or "K"',
        )
    return unit


def _to_c(values: Array, unit: str) -> Array:
    if unit == "degF":
        return c_from_f(values)
    return values - ICE_POINT_K if unit == "K" else values


def _hours(table: _Table, columns: CsvColumns, utc_offset_h: float) -> HourNumbers:
    minutes = np.empty(len(table.rows), dtype=np.int64)
    local = timedelta(hours=utc_offset_h)
    spelled = table.cells(columns.time)
    offsets = set()
    for row, stamp in enumerate(spelled):
        moment = _moment(table, row, stamp, columns.time_format)
        offset = moment.utcoffset()
        offsets.add(offset is None)
        if offset is not None:
            moment = moment.replace(tzinfo=None) - offset + local
        minutes[row] = (moment - _EPOCH) // _MINUTE
    if len(offsets) > 1:
        raise WeatherError(
            "some stamps have an offset from UTC and some have none",
            where=table.text.name,
            expected="all stamps of one kind",
        )
    _check_minutes(table, minutes % 60, columns)
    return minutes // 60 - (1 if columns.hour_label == "end" else 0)


def _moment(table: _Table, row: int, stamp: str, pattern: str | None) -> datetime:
    day_later = "24:00" in stamp
    plain = stamp.replace("24:00", "00:00") if day_later else stamp
    try:
        moment = (
            datetime.fromisoformat(plain) if pattern is None else datetime.strptime(plain, pattern)
        )
    except ValueError:
        raise WeatherError(
            f"{stamp!r} is not a time stamp",
            where=table.at(row),
            expected="ISO 8601 such as 2013-01-31 23:00" if pattern is None else pattern,
            remedy='name the pattern with time_format, for example "%m/%d/%Y %H:%M"',
        ) from None
    return moment + timedelta(days=1) if day_later else moment


def _check_minutes(table: _Table, minute: HourNumbers, columns: CsvColumns) -> None:
    allowed = (0,) if columns.hour_label == "end" else (0, 30)
    wrong = ~np.isin(minute, allowed) | (minute != minute[0])
    if wrong.any():
        row = int(np.argmax(wrong))
        raise WeatherError(
            f"the stamp is {minute[row]} minutes past the hour"
            + (f", the first one {minute[0]}" if minute[row] != minute[0] else ""),
            where=table.at(row),
            expected="one row per hour, stamped at the full hour (or all at half past)",
            remedy="average or round the rows to full hours first",
        )
