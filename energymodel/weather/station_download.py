"""The files of a station: read from the disk if they are settled, else asked for once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

import numpy as np

from energymodel.arrays import frozen
from energymodel.errors import WeatherError
from energymodel.weather.station_cache import hours_file, read_hours, write_hours
from energymodel.weather.station_hours import HourSource, Station, StationHours, place_of
from energymodel.weather.station_request import StationAccess, ask

_SETTLED_H = 7 * 24
"""Hours after which a published hour is taken as final (our choice)."""


def fetched_files(
    station: Station, needed: Mapping[int, int], access: StationAccess
) -> dict[int, StationHours | WeatherError]:
    """Read what is stored and settled, and ask once for the rest.

    Parameters
    ----------
    station
        Complete record.
    needed
        UTC years to have, each with the last hour needed from it (hours since 1970).
    access
        Time limit, folder and progress.

    Returns
    -------
    dict
        Per UTC year its hours, or the fault that the server has no such file.

    Raises
    ------
    WeatherError
        If the server does not answer, or not with what it should.
    """
    files: dict[int, StationHours | WeatherError] = {}
    for utc_year, last_hour in needed.items():
        path = hours_file(access.folder, station.id, utc_year)
        stored = read_hours(path) if path.exists() else None
        if stored is not None and _age_h(stored) >= last_hour + _SETTLED_H:
            files[utc_year] = stored
    _report(access, len(files), len(needed))
    missing = [utc_year for utc_year in needed if utc_year not in files]
    if not missing:
        return files
    content = {"station_id": station.id, "years": missing}
    for answer in ask("hours", content, access, where=place_of(station, *missing)):
        files[answer["year"]] = stored_answer(station, answer, access)
        _report(access, len(files), len(needed))
    return files


def _age_h(hours: StationHours) -> float:
    return hours.fetched_at.timestamp() / 3600.0


def _report(access: StationAccess, done: int, wanted: int) -> None:
    if access.progress is not None:
        access.progress(done, wanted)


def stored_answer(
    station: Station, answer: Mapping[str, Any], access: StationAccess
) -> StationHours | WeatherError:
    """Store the hours of an answer.

    Parameters
    ----------
    station
        Complete record.
    answer
        From `ask`.
    access
        Folder.

    Returns
    -------
    StationHours or WeatherError
        The hours, or the fault that the server has no such file.

    Raises
    ------
    WeatherError
        If the answer holds no hours for any other reason.
    """
    where = place_of(station, answer["year"])
    columns = answer["columns"]
    if answer["not_there"]:
        return WeatherError(
            f"the server has no file of this station and UTC year ({answer['address']})",
            where=where,
            expected="a year in which the station reported",
            remedy="take another year, or another station: energymodel weather fetch --near LAT,LON"
            " without a year lists those around a place",
        )
    if columns is None or not any(value is not None for value in columns["temp"]):
        fault: WeatherError = answer["fault"]
        raise WeatherError(fault.what, where=where, expected=fault.expected, remedy=fault.remedy)
    hours = _hours_of(station, answer)
    write_hours(hours_file(access.folder, station.id, hours.utc_year), hours)
    return hours


def _hours_of(station: Station, answer: Mapping[str, Any]) -> StationHours:
    columns = answer["columns"]
    return StationHours(
        station=station,
        utc_year=answer["year"],
        address=answer["address"],
        fetched_at=datetime.now(UTC),
        library=answer["library"],
        sources=tuple(HourSource(**source) for source in answer["sources"]),
        hour_utc=np.array(columns["hour_utc"], dtype="datetime64[h]").astype(np.int64),
        outdoor_c=frozen([np.nan if value is None else value for value in columns["temp"]]),
        outdoor_source=tuple(columns["temp_source"]),
        relative_humidity_pct=frozen(
            [np.nan if value is None else value for value in columns["rhum"]]
        ),
        humidity_source=tuple(columns["rhum_source"]),
    )
