"""Hourly years in the EPW text format: eight head lines, hours 1 to 24, local standard time.

The format is only read here.

References
----------
Auxiliary Programs manual of the format, chapter on weather files, data dictionary: order of the
fields, 99.9 = temperature missing, 999 = humidity missing, 9999 = irradiance missing (from
memory).
"""

from __future__ import annotations

from pathlib import Path

from energymodel.csv_lines import csv_rows
from energymodel.errors import WeatherError
from energymodel.weather.cells import cut_cells
from energymodel.weather.filetext import FileText, read_file_text, without
from energymodel.weather.gaps import GapFill
from energymodel.weather.place_line import read_place
from energymodel.weather.rows import HourlyRows, Kind, kind_of_hours
from energymodel.weather.stamps import hours_from_parts
from energymodel.weather.validation import complete_year
from energymodel.weather.year import WeatherYear

_HEAD = (
    "LOCATION",
    "DESIGN CONDITIONS",
    "TYPICAL/EXTREME PERIODS",
    "GROUND TEMPERATURES",
    "HOLIDAYS/DAYLIGHT SAVINGS",
    "COMMENTS 1",
    "COMMENTS 2",
    "DATA PERIODS",
)
_FIRST_ROW = len(_HEAD)
_COLUMNS = 35
_PLACE = ("latitude", "longitude", "utc", "elevation")
_TEMPERATURE, _HUMIDITY = 6, 8
_SUN = {"ghi_w_m2": 13, "dni_w_m2": 14, "dhi_w_m2": 15}
_MISSING = (99.9, 999.0, 9999.0, -9900.0, -9999.0)


def is_epw(text: FileText) -> bool:
    """Recognise the format by the words its head lines begin with.

    Parameters
    ----------
    text
        File.

    Returns
    -------
    bool
        True for such a file, whole or with head lines missing.
    """
    return any(line.split(",", 1)[0].strip().upper() in _HEAD for line in text.lines[:_FIRST_ROW])


def read_epw(
    path: Path | str,
    *,
    zone: str | None = None,
    kind: Kind | None = None,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Read a year in the EPW format.

    Parameters
    ----------
    path
        File to read.
    zone
        Time-zone name of the place; the file has only the offset from UTC.
    kind
        "typical" or "observed"; None: observed if all rows carry the same calendar year.
    fill
        What replaces gaps longer than three hours; None refuses them.

    Returns
    -------
    WeatherYear
        Complete year; hour 1 begins at 00:00.

    Raises
    ------
    WeatherError
        If the file is not such a file, or its hours are not a plausible year.
    """
    return epw_year(read_file_text(path), zone=zone, kind=kind, fill=fill)


def epw_year(
    text: FileText,
    *,
    zone: str | None = None,
    kind: Kind | None = None,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Make a weather year of the text of an EPW file.

    Parameters
    ----------
    text
        File.
    zone, kind, fill
        As for `read_epw`.

    Returns
    -------
    WeatherYear
        Complete year.

    Raises
    ------
    WeatherError
        As `read_epw`.
    """
    _check_head(text)
    head = next(csv_rows(text.lines[:1], where=text.name))
    site = read_place(text, head, order=_PLACE, name_at=1, zone=zone)
    rows = _rows(text)
    kind = kind or kind_of_hours(rows.hours)
    return complete_year(rows, site=site, kind=kind, source=f"EPW file {text.name}", fill=fill)


def _rows(text: FileText) -> HourlyRows:
    cells = cut_cells(text, _FIRST_ROW, _COLUMNS)
    year, month, day, hour = (
        cells.numbers(index, noun=noun)
        for index, noun in enumerate(("year", "month", "day", "hour"))
    )
    sun = {
        name: without(cells.numbers(index, noun="irradiance"), _MISSING)
        for name, index in _SUN.items()
    }
    humidity = cells.numbers(_HUMIDITY, noun="relative humidity")
    return HourlyRows(
        name=text.name,
        hours=hours_from_parts(text, _FIRST_ROW, year=year, month=month, day=day, hour=hour - 1.0),
        lines=cells.lines,
        outdoor_c=without(cells.numbers(_TEMPERATURE, noun="outdoor temperature"), _MISSING),
        relative_humidity_pct=without(humidity, _MISSING),
        irradiance_w_m2=sun,
    )


def _check_head(text: FileText) -> None:
    for index, word in enumerate(_HEAD):
        line = text.lines[index] if index < len(text.lines) else ""
        if line.split(",", 1)[0].strip().upper() != word:
            raise WeatherError(
                f"the head line {word} is missing",
                where=text.at(min(index, len(text.lines) - 1)),
                expected="eight head lines: " + ", ".join(_HEAD),
                remedy="download the file again",
            )
    periods = [field.strip() for field in text.lines[_FIRST_ROW - 1].split(",")]
    if periods[1:3] != ["1", "1"]:
        raise WeatherError(
            "the file does not hold one period with one row per hour",
            where=text.at(_FIRST_ROW - 1),
            expected="DATA PERIODS,1,1,...",
            remedy="use a file of one whole year in hours",
        )
