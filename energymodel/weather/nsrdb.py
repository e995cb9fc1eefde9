"""Hourly years as the National Solar Radiation Database delivers them in CSV.

Two lines of metadata, one line of column names, rows stamped at the hour or at half past, in the
clock that the field "Time Zone" names. Temperatures are modelled, not measured.

References
----------
National Solar Radiation Database, download CSV (layout as in the files, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.csv_lines import csv_rows
from energymodel.errors import WeatherError
from energymodel.notices import Notice
from energymodel.weather.cells import CellTable, cut_cells
from energymodel.weather.filetext import FileText, read_file_text, without
from energymodel.weather.gaps import GapFill
from energymodel.weather.rows import HourlyRows, Kind, kind_of_hours
from energymodel.weather.stamps import hours_from_parts
from energymodel.weather.validation import complete_year, with_notice
from energymodel.weather.year import Site, WeatherYear

_FIRST_ROW = 3
_CLOCK = ("Year", "Month", "Day", "Hour", "Minute")
_TEMPERATURE, _HUMIDITY = "Temperature", "Relative Humidity"
_SUN = {"ghi_w_m2": "GHI", "dni_w_m2": "DNI", "dhi_w_m2": "DHI"}
_PLACE = ("Latitude", "Longitude", "Elevation", "Time Zone", "Local Time Zone")
_MISSING = (-9999.0, -9900.0, 999.0, 9999.0, 99.9)
_MODELLED = (
    "the temperatures are modelled for an area, not measured at a station; extremes and days "
    "about freezing are smoother than at a station."
)
_NO_NAME = frozenset({"", "-", "none"})


def is_nsrdb(text: FileText) -> bool:
    """Recognise the format by its metadata line or its column line.

    Parameters
    ----------
    text
        File.

    Returns
    -------
    bool
        True for such a file, whole or with head lines missing.
    """
    head = [line.replace('"', "") for line in text.lines[:_FIRST_ROW]]
    return any(line.startswith(("Source,Location ID", ",".join(_CLOCK))) for line in head)


def read_nsrdb(
    path: Path | str,
    *,
    zone: str | None = None,
    kind: Kind | None = None,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Read a year of the National Solar Radiation Database.

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
        Complete year; a row stamped 00:30 is the hour that begins at 00:00.

    Raises
    ------
    WeatherError
        If the file is not such a file, is in UTC or half-hourly, or its hours are not a plausible
        year.
    """
    return nsrdb_year(read_file_text(path), zone=zone, kind=kind, fill=fill)


def nsrdb_year(
    text: FileText,
    *,
    zone: str | None = None,
    kind: Kind | None = None,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Make a weather year of the text of a National Solar Radiation Database file.

    Parameters
    ----------
    text
        File.
    zone, kind, fill
        As for `read_nsrdb`.

    Returns
    -------
    WeatherYear
        Complete year.

    Raises
    ------
    WeatherError
        As `read_nsrdb`.
    """
    site = _site(text, zone)
    rows = _rows(text)
    year = complete_year(
        rows,
        site=site,
        kind=kind or kind_of_hours(rows.hours),
        source=f"National Solar Radiation Database file {text.name}",
        fill=fill,
    )
    return with_notice(year, Notice(topic="weather", text=f"{text.name}: {_MODELLED}"))


def _rows(text: FileText) -> HourlyRows:
    names = _column_names(text)
    cells = cut_cells(text, _FIRST_ROW, len(names))
    clock = {name: cells.numbers(names.index(name), noun=name.lower()) for name in _CLOCK}
    _check_minutes(text, clock["Minute"])
    return HourlyRows(
        name=text.name,
        hours=hours_from_parts(
            text,
            _FIRST_ROW,
            year=clock["Year"],
            month=clock["Month"],
            day=clock["Day"],
            hour=clock["Hour"],
        ),
        lines=cells.lines,
        outdoor_c=_column(cells, names, _TEMPERATURE),
        relative_humidity_pct=(_column(cells, names, _HUMIDITY) if _HUMIDITY in names else None),
        irradiance_w_m2={
            key: _column(cells, names, name) for key, name in _SUN.items() if name in names
        },
    )


def _column(cells: CellTable, names: Sequence[str], name: str) -> Array:
    return without(cells.numbers(names.index(name), noun=f"column {name!r}"), _MISSING)


def _column_names(text: FileText) -> list[str]:
    names = [name.strip() for name in next(csv_rows(text.lines[2:3], where=text.name), [])]
    missing = [name for name in (*_CLOCK, _TEMPERATURE) if name not in names]
    if missing:
        raise WeatherError(
            f"the third line does not name the columns: {', '.join(missing)} not found",
            where=text.at(min(2, len(text.lines) - 1)),
            expected=", ".join((*_CLOCK, _TEMPERATURE, _HUMIDITY)),
            remedy="ask the database again for a CSV with air temperature and relative humidity",
        )
    return names


def _site(text: FileText, zone: str | None) -> Site:
    heads = [
        [field.strip() for field in line] for line in csv_rows(text.lines[:2], where=text.name)
    ]
    if len(heads) < 2 or len(heads[1]) < len(heads[0]):
        heads = [[], []]
    entries = dict(zip(heads[0], heads[1], strict=False))
    numbers = _place_numbers(text, entries)
    if numbers["Time Zone"] != numbers["Local Time Zone"]:
        raise WeatherError(
            f"the rows are in UTC{numbers['Time Zone']:+g} h, the place is at "
            f"UTC{numbers['Local Time Zone']:+g} h",
            where=text.at(1),
            expected="local standard time",
            remedy="ask the database again with utc=false",
        )
    parts = [entries.get(name, "") for name in ("City", "State")]
    words = [part for part in parts if part.lower() not in _NO_NAME]
    fallback = f"{numbers['Latitude']:.2f}, {numbers['Longitude']:.2f}"
    return Site(
        name=", ".join(words) or fallback,
        latitude_deg=numbers["Latitude"],
        longitude_deg=numbers["Longitude"],
        elevation_m=numbers["Elevation"],
        utc_offset_h=numbers["Time Zone"],
        zone=zone,
    )


def _place_numbers(text: FileText, entries: Mapping[str, str]) -> dict[str, float]:
    try:
        return {name: float(entries[name]) for name in _PLACE}
    except (KeyError, ValueError) as fault:
        raise WeatherError(
            f"the first two lines do not give the place ({fault} cannot be read)",
            where=text.at(0),
            expected="names in line 1 and values in line 2 for " + ", ".join(_PLACE),
            remedy="download the file again with its metadata",
        ) from None


def _check_minutes(text: FileText, minute: Array) -> None:
    differ = minute != minute[0]
    if differ.any():
        row = int(np.argmax(differ))
        raise WeatherError(
            f"rows are stamped {minute[0]:g} and {minute[row]:g} minutes past the hour",
            where=text.at(_FIRST_ROW + row),
            expected="one row per hour",
            remedy="ask the database for an interval of 60 minutes",
        )
