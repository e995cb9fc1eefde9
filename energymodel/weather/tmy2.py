"""Typical years in the TMY2 text format: fixed columns, hour-ending, local standard time.

References
----------
Marion, W., Urban, K.: User's Manual for TMY2s, NREL/SP-463-7668, 1995, tables 3-1 and 3-2 (columns
from memory, checked against pvlib's reader): temperature in tenths of a degree C.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from energymodel.arrays import Array
from energymodel.errors import WeatherError
from energymodel.weather.filetext import FileText, numbers, read_file_text, without
from energymodel.weather.gaps import GapFill
from energymodel.weather.rows import HourlyRows, Kind
from energymodel.weather.stamps import hours_from_parts
from energymodel.weather.validation import complete_year
from energymodel.weather.year import Site, WeatherYear

_WIDTH = 142
_FIRST_ROW = 1
_STATION = re.compile(
    r"^\s*(?P<station>\d{5})\s+(?P<city>\S.*?)\s+(?P<state>[A-Z]{2})\s+(?P<utc>-?\d{1,2})\s+"
    r"(?P<ns>[NS])\s*(?P<lat>\d{1,2})\s+(?P<lat_min>\d{1,2})\s+"
    r"(?P<ew>[EW])\s*(?P<lon>\d{1,3})\s+(?P<lon_min>\d{1,2})\s+(?P<elevation>-?\d{1,4})\s*$"
)
_ROW_START = re.compile(r"^ ?\d{8,9}")
_SUN = {"ghi_w_m2": slice(17, 21), "dni_w_m2": slice(23, 27), "dhi_w_m2": slice(29, 33)}
_MISSING = (9999.0, -9900.0)
_HUMIDITY_MISSING = (999.0,)


def is_tmy2(text: FileText) -> bool:
    """Recognise the format by its station line or the width of its rows.

    Parameters
    ----------
    text
        File.

    Returns
    -------
    bool
        True for such a file, whole or without its station line.
    """
    return _STATION.match(text.lines[0]) is not None or any(
        len(line) == _WIDTH and _ROW_START.match(line) for line in text.lines[:2]
    )


def read_tmy2(
    path: Path | str, *, zone: str | None = None, fill: GapFill | WeatherYear | None = None
) -> WeatherYear:
    """Read a typical year in the TMY2 format.

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
        Typical year; hour 1 begins at 00:00.

    Raises
    ------
    WeatherError
        If the file is not such a file, or its hours are not a plausible year.
    """
    return tmy2_year(read_file_text(path), zone=zone, fill=fill)


def tmy2_year(
    text: FileText,
    *,
    zone: str | None = None,
    kind: Kind | None = None,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Make a weather year of the text of a TMY2 file.

    Parameters
    ----------
    text
        File.
    zone, fill
        As for `read_tmy2`.
    kind
        "typical" (default) or "observed".

    Returns
    -------
    WeatherYear
        Complete year.

    Raises
    ------
    WeatherError
        As `read_tmy2`.
    """
    site = _site(text, zone)
    rows = _rows(text)
    return complete_year(
        rows, site=site, kind=kind or "typical", source=f"TMY2 file {text.name}", fill=fill
    )


def _rows(text: FileText) -> HourlyRows:
    characters = _characters(text)
    year, month, day, hour = (
        _column(text, characters, slice(first, first + 2), noun)
        for first, noun in ((1, "year"), (3, "month"), (5, "day"), (7, "hour"))
    )
    sun = {
        name: without(_column(text, characters, place, "irradiance"), _MISSING)
        for name, place in _SUN.items()
    }
    tenths = without(_column(text, characters, slice(67, 71), "outdoor temperature"), _MISSING)
    humidity = _column(text, characters, slice(79, 82), "relative humidity")
    return HourlyRows(
        name=text.name,
        hours=hours_from_parts(
            text, _FIRST_ROW, year=year + 1900.0, month=month, day=day, hour=hour - 1.0
        ),
        lines=np.arange(year.size, dtype=np.int64) + _FIRST_ROW + 1,
        outdoor_c=tenths / 10.0,
        relative_humidity_pct=without(humidity, _HUMIDITY_MISSING),
        irradiance_w_m2=sun,
    )


def _site(text: FileText, zone: str | None) -> Site:
    match = _STATION.match(text.lines[0])
    if match is None:
        raise WeatherError(
            "the first line does not describe the station",
            where=text.at(0),
            expected="number, city, state, UTC offset, N/S degrees minutes, E/W degrees minutes, "
            "elevation in metres",
            remedy="download the file again",
        )
    north = 1.0 if match["ns"] == "N" else -1.0
    east = 1.0 if match["ew"] == "E" else -1.0
    return Site(
        name=f"{match['city']}, {match['state']}",
        latitude_deg=north * (float(match["lat"]) + float(match["lat_min"]) / 60.0),
        longitude_deg=east * (float(match["lon"]) + float(match["lon_min"]) / 60.0),
        elevation_m=float(match["elevation"]),
        utc_offset_h=float(match["utc"]),
        zone=zone,
    )


def _characters(text: FileText) -> NDArray[np.uint8]:
    lines = text.lines[_FIRST_ROW:]
    if not lines:
        raise WeatherError(
            "the file ends after its first line: it holds no hours",
            where=text.at(0),
            expected="8,760 hourly rows",
            remedy="download the file again",
        )
    wrong = next((row for row, line in enumerate(lines) if len(line) != _WIDTH), None)
    if wrong is not None:
        last = wrong == len(lines) - 1 and len(lines[wrong]) < _WIDTH
        raise WeatherError(
            ("the last line is cut short: it" if last else "the line")
            + f" has {len(lines[wrong])} characters",
            where=text.at(_FIRST_ROW + wrong),
            expected=f"{_WIDTH} characters",
            remedy="download the file again",
        )
    body = "".join(lines).encode("latin-1", errors="replace")
    return np.frombuffer(body, dtype=np.uint8).reshape(len(lines), _WIDTH)


def _column(text: FileText, characters: NDArray[np.uint8], place: slice, noun: str) -> Array:
    cells = np.ascontiguousarray(characters[:, place])
    fields = cells.view(f"S{cells.shape[1]}").ravel()
    return numbers(fields.tolist(), noun=noun, at=lambda row: text.at(_FIRST_ROW + row))
