"""Years of hourly weather from stations: found by place, fetched when asked, kept as plain files.

The only module of the package that leads to the network. Station hours come from Meteostat through
its own library, which runs in a process of its own so that no answer can be waited for without
limit; what was fetched once is read from the disk.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from energymodel.errors import InputError, WeatherError
from energymodel.weather.gaps import GapFill
from energymodel.weather.station_cache import (
    cache_folder,
    hours_file,
    newest_hours_file,
    read_hours,
    stored_years,
)
from energymodel.weather.station_download import fetched_files
from energymodel.weather.station_hours import (
    LocalYear,
    Station,
    StationHours,
    check_station,
    check_station_id,
    check_years,
    local_year,
    place_of,
)
from energymodel.weather.station_request import StationAccess, ask
from energymodel.weather.station_years import YearRules, weather_year
from energymodel.weather.year import WeatherYear

__all__ = [
    "Station",
    "StationAccess",
    "fetch_station_years",
    "fetch_stations",
    "find_station",
    "find_stations",
    "read_station_years",
    "station_files",
    "stored_stations",
]


def find_stations(
    latitude_deg: float,
    longitude_deg: float,
    *,
    radius_km: float = 50.0,
    limit: int = 10,
    access: StationAccess | None = None,
) -> list[Station]:
    """Find weather stations around a place.

    Parameters
    ----------
    latitude_deg, longitude_deg
        Place, degrees, north and east positive.
    radius_km
        Farthest distance, km.
    limit
        Largest number of stations.
    access
        Time limit and folder; None takes the defaults.

    Returns
    -------
    list of Station
        Nearest first; empty if there is none. Height and years with data are not looked at.

    Raises
    ------
    InputError
        If the place, the radius or the limit is impossible.
    WeatherError
        If the station list cannot be fetched.
    """
    _check_place(latitude_deg, longitude_deg)
    if not (0.0 < radius_km <= 20_000.0 and limit >= 1):
        raise InputError(
            f"stations within {radius_km:g} km, at most {limit}, cannot be looked for",
            expected="a radius above 0 km and at least one station",
        )
    content = {
        "latitude_deg": latitude_deg,
        "longitude_deg": longitude_deg,
        "radius_m": 1000.0 * radius_km,
        "limit": limit,
    }
    where = f"stations near {latitude_deg:g}, {longitude_deg:g}"
    answers = ask("near", content, access or StationAccess(), where=where)
    return [_station_of(row) for answer in answers for row in answer["rows"]]


def _check_place(latitude_deg: float, longitude_deg: float) -> None:
    if not (-90.0 <= latitude_deg <= 90.0 and -180.0 <= longitude_deg <= 180.0):
        raise InputError(
            f"{latitude_deg:g}, {longitude_deg:g} is no place on earth",
            expected="latitude -90 to 90 and longitude -180 to 180 degrees; west is negative",
            remedy="give the latitude first",
        )


def find_station(station_id: str, access: StationAccess | None = None) -> Station:
    """Return the station with an identifier.

    Parameters
    ----------
    station_id
        Five capital letters or digits.
    access
        Time limit and folder; None takes the defaults.

    Returns
    -------
    Station
        From its stored hours if there are any, else from the station list.

    Raises
    ------
    WeatherError
        If there is no such station, or the station list cannot be fetched.
    """
    check_station_id(station_id)
    access = access or StationAccess()
    stored = newest_hours_file(access.folder, station_id)
    if stored is not None:
        return read_hours(stored).station
    content = {"station_id": station_id}
    answers = ask("station", content, access, where=f"station {station_id}")
    rows = [row for answer in answers for row in answer["rows"]]
    if not rows:
        raise WeatherError(
            "there is no station with this identifier",
            where=f"station {station_id}",
            expected="an identifier of the station list",
            remedy="look for stations near the place by its latitude and longitude",
        )
    return _station_of(rows[0])


def _station_of(row: Mapping[str, Any]) -> Station:
    elevation, distance = row["elevation"], row["distance"]
    return Station(
        id=str(row["id"]),
        name=row["name"] or "",
        latitude_deg=float(row["latitude"]),
        longitude_deg=float(row["longitude"]),
        elevation_m=np.nan if elevation is None else float(elevation),
        zone=row["timezone"] or "",
        distance_km=None if distance is None else float(distance) / 1000.0,
    )


def fetch_stations(
    stations: Iterable[Station | str],
    years: Iterable[int],
    *,
    include_model_data: bool = False,
    fill: GapFill | WeatherYear | None = None,
    access: StationAccess | None = None,
) -> tuple[WeatherYear, ...]:
    """Fetch years of hourly weather of several stations.

    Parameters
    ----------
    stations
        Records or identifiers.
    years, include_model_data, fill, access
        As in `fetch_station_years`.

    Returns
    -------
    tuple of WeatherYear
        Station by station, each with its years in order.

    Raises
    ------
    WeatherError
        If any year of any station cannot be had complete.
    """
    wanted = tuple(years)
    return tuple(
        year
        for station in stations
        for year in fetch_station_years(
            station, wanted, include_model_data=include_model_data, fill=fill, access=access
        )
    )


def fetch_station_years(
    station: Station | str,
    years: Iterable[int],
    *,
    include_model_data: bool = False,
    fill: GapFill | WeatherYear | None = None,
    access: StationAccess | None = None,
) -> tuple[WeatherYear, ...]:
    """Fetch calendar years of a station in its local standard time.

    Parameters
    ----------
    station
        Record, or identifier: then the station list is fetched as well, unless hours of that
        station are stored.
    years
        Calendar years that have ended.
    include_model_data
        Also take values that a weather model computed; each year then says how many.
    fill
        What replaces gaps longer than three hours; None refuses them.
    access
        Time limit, folder and progress; None takes the defaults.

    Returns
    -------
    tuple of WeatherYear
        In the order of the calendar, kind "observed"; `source` holds licence and credit.

    Raises
    ------
    WeatherError
        If the station is not known, a year has not ended, has no file or too many gaps, or the
        server does not answer, or not with what it should.

    Notes
    -----
    The files are UTC years, so a local year needs the last hours of the year before (zones east of
    Greenwich) or the first of the year after (zones west of it). Stored files are used if they
    were fetched at least a week after the last hour needed; others are asked for again, once.
    """
    access = access or StationAccess()
    record = station if isinstance(station, Station) else find_station(station, access)
    wanted = _local_years(record, years)
    files = fetched_files(record, _needed(wanted), access)
    rules = YearRules(include_model_data=include_model_data, fill=fill)
    return tuple(weather_year(record, year, files, rules) for year in wanted)


def read_station_years(
    station_id: str,
    years: Iterable[int],
    *,
    include_model_data: bool = False,
    fill: GapFill | WeatherYear | None = None,
    cache_dir: Path | str | None = None,
) -> tuple[WeatherYear, ...]:
    """Read calendar years of a station that were fetched before; no network.

    Parameters
    ----------
    station_id
        Five capital letters or digits.
    years, include_model_data, fill
        As in `fetch_station_years`.
    cache_dir
        Folder of downloaded files; None means ENERGYMODEL_CACHE or the platform's own place.

    Returns
    -------
    tuple of WeatherYear
        In the order of the calendar.

    Raises
    ------
    WeatherError
        If a year was not fetched, or has too many gaps.
    """
    folder = cache_folder(cache_dir)
    stored = newest_hours_file(folder, station_id)
    if stored is None:
        raise _not_stored(f"station {station_id}", station_id, years)
    record = read_hours(stored).station
    wanted = _local_years(record, years)
    files: dict[int, StationHours | WeatherError] = {}
    for utc_year in _needed(wanted):
        path = hours_file(folder, station_id, utc_year)
        missing = _not_stored(place_of(record, utc_year), station_id, (utc_year,))
        files[utc_year] = read_hours(path) if path.exists() else missing
    rules = YearRules(include_model_data=include_model_data, fill=fill)
    return tuple(weather_year(record, year, files, rules) for year in wanted)


def _not_stored(where: str, station_id: str, years: Iterable[int]) -> WeatherError:
    options = " ".join(f"--year {year}" for year in years)
    return WeatherError(
        "these hours are not stored here",
        where=where,
        expected="hours that were fetched before",
        remedy=f"energymodel weather fetch --station {station_id} {options}",
    )


def station_files(
    station: Station, years: Iterable[int], *, cache_dir: Path | str | None = None
) -> tuple[Path, ...]:
    """Return the stored files that hold years of a station.

    Parameters
    ----------
    station
        Complete record.
    years
        Calendar years in local standard time.
    cache_dir
        Folder of downloaded files; None means ENERGYMODEL_CACHE or the platform's own place.

    Returns
    -------
    tuple of Path
        Existing files, one per UTC year.

    Raises
    ------
    WeatherError
        If the station is incomplete or a year has not ended.
    """
    folder = cache_folder(cache_dir)
    needed = _needed(_local_years(station, years))
    paths = (hours_file(folder, station.id, utc_year) for utc_year in needed)
    return tuple(path for path in paths if path.exists())


def stored_stations(
    cache_dir: Path | str | None = None,
) -> tuple[tuple[Station, tuple[int, ...]], ...]:
    """Return the stations with stored hours.

    Parameters
    ----------
    cache_dir
        Folder of downloaded files; None means ENERGYMODEL_CACHE or the platform's own place.

    Returns
    -------
    tuple
        Each station with the UTC years of its files.

    Raises
    ------
    WeatherError
        If a stored file cannot be read.
    """
    stored = stored_years(cache_folder(cache_dir))
    return tuple(
        (read_hours(paths[max(paths)]).station, tuple(sorted(paths))) for paths in stored.values()
    )


def _local_years(station: Station, years: Iterable[int]) -> list[LocalYear]:
    check_station(station)
    wanted = sorted(set(years))
    check_years(station, wanted)
    return [local_year(year, station.zone) for year in wanted]


def _needed(years: Sequence[LocalYear]) -> dict[int, int]:
    """Return the UTC years to have, each with the last hour needed from it."""
    needed: dict[int, int] = {}
    for year in years:
        for utc_year, hour in year.last_hours_utc.items():
            needed[utc_year] = max(hour, needed.get(utc_year, hour))
    return dict(sorted(needed.items()))
