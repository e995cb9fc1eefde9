"""Typical years in the TMY3 text format: hour-ending stamps, local standard time.

References
----------
Wilcox, S., Marion, W.: Users Manual for TMY3 Data Sets, NREL/TP-581-43156, 2008, section 2 (from
memory; the column names are those of the files themselves).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import numpy as np

from energymodel.csv_lines import csv_rows
from energymodel.errors import WeatherError
from energymodel.weather.cells import CellTable, cut_cells
from energymodel.weather.filetext import FileText, as_text, read_file_text, without
from energymodel.weather.gaps import GapFill
from energymodel.weather.grid import HourNumbers
from energymodel.weather.place_line import read_place
from energymodel.weather.rows import HourlyRows, Kind
from energymodel.weather.validation import complete_year
from energymodel.weather.year import WeatherYear

_FIRST_ROW = 2
_DATE = "Date (MM/DD/YYYY)"
_TEMPERATURE = "Dry-bulb (C)"
_HUMIDITY = "RHum (%)"
_SUN = {"ghi_w_m2": "GHI (W/m^2)", "dni_w_m2": "DNI (W/m^2)", "dhi_w_m2": "DHI (W/m^2)"}
_MISSING = (-9900.0, -9999.0, 99.9, 999.0, 9999.0)
_PLACE = ("utc", "latitude", "longitude", "elevation")
_EPOCH = date(1970, 1, 1).toordinal()
_CLOCK = np.array([f"{hour:02d}:00" for hour in range(1, 25)], dtype=np.bytes_)


def is_tmy3(text: FileText) -> bool:
    """Recognise the format by its column line, or by the station line alone.

    Parameters
    ----------
    text
        File.

    Returns
    -------
    bool
        True for a TMY3 file, whole or cut.
    """
    return any(line.startswith(_DATE) for line in text.lines[:3])


def read_tmy3(
    path: Path | str, *, zone: str | None = None, fill: GapFill | WeatherYear | None = None
) -> WeatherYear:
    """Read a typical year in the TMY3 format.

    Parameters
    ----------
    path
        File to read.
    zone
        Time-zone name of the place; the file has only the offset from UTC.
    fill
        What replaces gaps longer than three hours; None refuses them.

    Returns
    -------
    WeatherYear
        Typical year; the hour ending at 01:00 begins at 00:00.

    Raises
    ------
    WeatherError
        If the file is not such a file, or its hours are not a plausible year.
    """
    return tmy3_year(read_file_text(path), zone=zone, fill=fill)


def tmy3_year(
    text: FileText,
    *,
    zone: str | None = None,
    kind: Kind | None = None,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Make a weather year of the text of a TMY3 file.

    Parameters
    ----------
    text
        File.
    zone, fill
        As for `read_tmy3`.
    kind
        "typical" (default) or "observed".

    Returns
    -------
    WeatherYear
        Complete year.

    Raises
    ------
    WeatherError
        As `read_tmy3`.
    """
    names = _column_names(text)
    head = next(csv_rows(text.lines[:1], where=text.name))
    site = read_place(text, head, order=_PLACE, name_at=1, zone=zone)
    rows = _rows(text, names)
    return complete_year(
        rows, site=site, kind=kind or "typical", source=f"TMY3 file {text.name}", fill=fill
    )


def _rows(text: FileText, names: Sequence[str]) -> HourlyRows:
    used = [names.index(name) for name in (_TEMPERATURE, _HUMIDITY, *_SUN.values())]
    cells = cut_cells(text, _FIRST_ROW, len(names))
    outdoor, humidity, *sun = (
        without(cells.numbers(index, noun=f"column {names[index]!r}"), _MISSING) for index in used
    )
    return HourlyRows(
        name=text.name,
        hours=_hours(cells),
        lines=cells.lines,
        outdoor_c=outdoor,
        relative_humidity_pct=humidity,
        irradiance_w_m2=dict(zip(_SUN, sun, strict=True)),
    )


def _column_names(text: FileText) -> list[str]:
    if text.lines[0].startswith(_DATE):
        raise WeatherError(
            "the first line, with the station and its coordinates, is missing",
            where=text.at(0),
            expected='station number, "name", state, UTC offset, latitude, longitude, elevation',
            remedy="download the file again",
        )
    names = [name.strip() for name in text.lines[1].split(",")] if len(text.lines) > 1 else []
    missing = [
        name for name in (_DATE, _TEMPERATURE, _HUMIDITY, *_SUN.values()) if name not in names
    ]
    if missing:
        raise WeatherError(
            f"the second line does not name the columns: {', '.join(missing)} not found",
            where=text.at(min(1, len(text.lines) - 1)),
            expected=f'"{_DATE}", "Time (HH:MM)", ..., "{_TEMPERATURE}", ...',
            remedy="download the file again",
        )
    return names


def _hours(cells: CellTable) -> HourNumbers:
    dates, times = cells.column(0), cells.column(1)
    begins = np.flatnonzero(np.append([True], dates[1:] != dates[:-1]))
    days = [_day_number(cells, int(row), as_text(dates[row])) for row in begins]
    day = np.repeat(np.array(days, dtype=np.int64), np.diff(np.append(begins, dates.size)))
    hour = np.minimum(np.searchsorted(_CLOCK, times), _CLOCK.size - 1)
    wrong = _CLOCK[hour] != times
    if wrong.any():
        row = int(np.argmax(wrong))
        raise WeatherError(
            f"the time {as_text(times[row])!r} is not the end of an hour",
            where=cells.at(row),
            expected="01:00 to 24:00",
        )
    return day * 24 + hour


def _day_number(cells: CellTable, row: int, spelled: str) -> int:
    try:
        month, day, year = (int(part) for part in spelled.split("/"))
        return date(year, month, day).toordinal() - _EPOCH
    except ValueError:
        raise WeatherError(
            f"{spelled!r} is not a date", where=cells.at(row), expected="MM/DD/YYYY"
        ) from None
