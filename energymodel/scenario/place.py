"""The place of a scenario and its weather year: shipped, a file, a table, or a fetched station."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, model_validator

from energymodel.errors import InputError
from energymodel.scenario.fields import Length, Record, refuse, shown
from energymodel.weather.csv_columns import CsvColumns, read_csv_columns
from energymodel.weather.files import read_weather
from energymodel.weather.library import shipped_year, shipped_years
from energymodel.weather.year import Site, WeatherYear

_STATION = re.compile(r"^station ([A-Z0-9]{5}) (\d{4})$")
Degrees = Annotated[float, Field(ge=-180, le=180)]


class WeatherTable(Record):
    """Columns of a weather table of the user's own, and the site it belongs to."""

    time: str = Field(min_length=1, description='the column of the time stamps, such as "time"')
    outdoor: str = Field(min_length=1, description="the column of the outdoor temperature")
    outdoor_unit: Literal["degC", "degF", "K"]
    humidity: str | None = None
    hour_label: Literal["start", "end"] = "start"
    time_format: str | None = None
    latitude: Degrees
    longitude: Degrees
    elevation: Length
    utc_offset: float = Field(ge=-12, le=14, description="standard time less UTC, hours")
    zone: str | None = None


class Place(Record):
    """Where the room stands and which weather year is used."""

    weather: str = Field(
        min_length=1, description='a shipped year such as "greensboro-nc", or a weather file'
    )
    name: str = ""
    table: WeatherTable | None = None

    @model_validator(mode="after")
    def _table_has_a_file(self) -> Place:
        if self.table is not None and "." not in self.weather:
            raise refuse(
                "a weather table stands beside a weather year that is no file",
                expected='weather = "my-hours.csv" with its columns in [place.table]',
            )
        return self


def place_weather(place: Place, folder: Path) -> WeatherYear:
    """Read the weather year of a scenario.

    Parameters
    ----------
    place
        As written.
    folder
        Of the scenario file: names of files count from it.

    Returns
    -------
    WeatherYear
        Complete year.

    Raises
    ------
    InputError
        If there is no such year or file.
    WeatherError
        If the file cannot be used, or the station's year was not fetched.
    """
    name = place.weather
    station = _STATION.match(name)
    if station is not None:
        from energymodel.weather.stations import read_station_years  # noqa: PLC0415 - rare

        return read_station_years(station.group(1), [int(station.group(2))])[0]
    if name in {entry.key for entry in shipped_years()}:
        return shipped_year(name)
    path = folder / name
    try:
        there, is_folder = path.is_file(), path.is_dir()
    except OSError as error:
        raise InputError(f"{shown(name)} cannot be read: {error.strerror}") from None
    if there:
        return _table(path, place) if place.table is not None else read_weather(path)
    if "." in name or "/" in name or is_folder:
        raise InputError(
            f"{shown(name)} is a folder" if is_folder else f"there is no file {shown(name)}",
            remedy="name a weather file, counted from the scenario's folder, or a key that"
            " energymodel weather list shows",
        )
    return shipped_year(name)


def _table(path: Path, place: Place) -> WeatherYear:
    table = place.table
    if table is None:
        return read_weather(path)
    columns = CsvColumns(
        time=table.time,
        outdoor=table.outdoor,
        outdoor_unit=table.outdoor_unit,
        humidity=table.humidity,
        hour_label=table.hour_label,
        time_format=table.time_format,
    )
    site = Site(
        name=place.name or path.stem,
        latitude_deg=table.latitude,
        longitude_deg=table.longitude,
        elevation_m=table.elevation,
        utc_offset_h=table.utc_offset,
        zone=table.zone,
    )
    return read_csv_columns(path, columns, site=site)
