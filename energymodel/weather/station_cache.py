"""Station hours on the disk: a plain CSV file per station and UTC year, its origin on top."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.errors import WeatherError
from energymodel.weather.grid import HourNumbers
from energymodel.weather.station_hours import HourSource, Station, StationHours, check_station_id

METEOSTAT_TERMS = "CC BY 4.0, https://creativecommons.org/licenses/by/4.0/"
"""Licence of Meteostat's data, by the readme of the library's version 2."""
_COLUMNS = (
    "hour_utc",
    "outdoor_c",
    "outdoor_source",
    "relative_humidity_pct",
    "humidity_source",
)
_FILE_NAME = re.compile(r"(?P<station>[A-Z0-9]{5})-(?P<year>\d{4})-utc\.csv")
_MINUTES = ":00Z"
_TITLE = "hours of a weather station, one UTC year, as published"


def cache_folder(cache_dir: Path | str | None = None) -> Path:
    """Return the folder for downloaded files.

    Parameters
    ----------
    cache_dir
        Folder to use instead of the usual one.

    Returns
    -------
    Path
        `cache_dir`; else the environment variable ENERGYMODEL_CACHE; else the platform's own place
        for caches. It may not exist yet.
    """
    named = cache_dir or os.environ.get("ENERGYMODEL_CACHE")
    return Path(named).expanduser() if named else _platform_caches() / "energymodel"


def _platform_caches() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    named = os.environ.get("XDG_CACHE_HOME", "")
    # The convention says that a relative path is to be ignored.
    return Path(named) if Path(named).is_absolute() else Path.home() / ".cache"


def hours_file(folder: Path, station_id: str, utc_year: int) -> Path:
    """Return where the hours of a station and UTC year lie.

    Parameters
    ----------
    folder
        From `cache_folder`.
    station_id
        Identifier, checked here because it becomes a file name.
    utc_year
        Year of the file.

    Returns
    -------
    Path
        The file need not exist.
    """
    check_station_id(station_id)
    return folder / "stations" / f"{station_id}-{utc_year:04d}-utc.csv"


def newest_hours_file(folder: Path, station_id: str) -> Path | None:
    """Return the latest year's file of a station.

    Parameters
    ----------
    folder
        From `cache_folder`.
    station_id
        Identifier.

    Returns
    -------
    Path or None
        None if there is no file of that station.
    """
    check_station_id(station_id)
    paths = stored_years(folder).get(station_id, {})
    return paths[max(paths)] if paths else None


def stored_years(folder: Path) -> dict[str, dict[int, Path]]:
    """Return all stored files.

    Parameters
    ----------
    folder
        From `cache_folder`.

    Returns
    -------
    dict
        Per station identifier, the file of each UTC year.
    """
    stored: dict[str, dict[int, Path]] = {}
    for path in sorted((folder / "stations").glob("*.csv")):
        named = _FILE_NAME.fullmatch(path.name)
        if named:
            stored.setdefault(named["station"], {})[int(named["year"])] = path
    return stored


def write_hours(path: Path, hours: StationHours) -> None:
    """Write the hours of a station so that the file is whole or not there.

    Parameters
    ----------
    path
        From `hours_file`; folders are made, an older file is replaced.
    hours
        What to write.

    Raises
    ------
    WeatherError
        If the folder cannot be written to.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _write_whole(path, _text_of(hours))
    except OSError as fault:
        raise WeatherError(
            f"the downloaded hours cannot be stored ({fault.strerror or fault})",
            where=str(path),
            expected="a folder that can be written to",
            remedy="make room or name another folder with the environment variable"
            " ENERGYMODEL_CACHE",
        ) from fault


def _write_whole(path: Path, text: str) -> None:
    handle, part = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}-", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        Path(part).replace(path)
    finally:
        Path(part).unlink(missing_ok=True)


def _text_of(hours: StationHours) -> str:
    station = {key: value for key, value in asdict(hours.station).items() if key != "distance_km"}
    head = {
        "content": _TITLE,
        "station": station,
        "utc_year": hours.utc_year,
        "address": hours.address,
        "fetched_at": hours.fetched_at.isoformat(timespec="seconds"),
        "source": f"Meteostat, read with {hours.library}",
        "licence": METEOSTAT_TERMS,
        "library": hours.library,
        "sources": [asdict(source) for source in hours.sources],
    }
    buffer = io.StringIO()
    for key, value in head.items():
        text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
        buffer.write(f"# {key}: {text}\n")
    rows = csv.writer(buffer, lineterminator="\n")
    rows.writerow(_COLUMNS)
    rows.writerows(
        zip(
            (f"{stamp}{_MINUTES}" for stamp in hours.hour_utc.astype("datetime64[h]")),
            _texts(hours.outdoor_c),
            hours.outdoor_source,
            _texts(hours.relative_humidity_pct),
            hours.humidity_source,
            strict=True,
        )
    )
    buffer.write(f"# rows: {hours.hour_utc.size}\n")
    return buffer.getvalue()


def _texts(values: Array) -> list[str]:
    return ["" if np.isnan(value) else f"{value:g}" for value in values]


def read_hours(path: Path) -> StationHours:
    """Read the hours of a station from the disk.

    Parameters
    ----------
    path
        File written by `write_hours`.

    Returns
    -------
    StationHours
        As written.

    Raises
    ------
    WeatherError
        If the file was cut or changed by hand into something unreadable.
    """
    try:
        lines = path.read_text("utf-8").splitlines()
        comments = [line[2:].split(": ", 1) for line in lines if line.startswith("# ")]
        head = dict(comments)
        rows = list(csv.reader(line for line in lines if not line.startswith("#")))
        if tuple(rows[0]) != _COLUMNS or int(head["rows"]) != len(rows) - 1:
            raise _unreadable(path, "columns or number of rows are not as written")
        return _hours_of(head, rows[1:])
    except (OSError, ValueError, KeyError, TypeError, IndexError) as fault:
        raise _unreadable(path, f"{type(fault).__name__}: {fault}") from fault


def _unreadable(path: Path, why: str) -> WeatherError:
    return WeatherError(
        f"the stored hours cannot be read ({why})",
        where=str(path),
        expected="the file as it was stored",
        remedy="delete the file and fetch the station again",
    )


def _hours_of(head: dict[str, str], rows: Sequence[Sequence[str]]) -> StationHours:
    stamps, outdoor, outdoor_source, humidity, humidity_source = (
        zip(*rows, strict=True) if rows else ((),) * len(_COLUMNS)
    )
    return StationHours(
        station=Station(**json.loads(head["station"])),
        utc_year=int(head["utc_year"]),
        address=head["address"],
        fetched_at=datetime.fromisoformat(head["fetched_at"]).astimezone(UTC),
        library=head["library"],
        sources=tuple(HourSource(**source) for source in json.loads(head["sources"])),
        hour_utc=_hour_numbers(stamps),
        outdoor_c=_numbers(outdoor),
        outdoor_source=tuple(outdoor_source),
        relative_humidity_pct=_numbers(humidity),
        humidity_source=tuple(humidity_source),
    )


def _hour_numbers(stamps: Sequence[str]) -> HourNumbers:
    texts = [stamp.removesuffix(_MINUTES) for stamp in stamps]
    return np.array(texts, dtype="datetime64[h]").astype(np.int64)


def _numbers(texts: Sequence[str]) -> Array:
    return frozen([float(text) if text else np.nan for text in texts])
