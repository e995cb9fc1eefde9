"""The program that talks to the meteostat library, in a process of its own.

The library reads through a connection without a time limit, copies its addresses at the first
import and reports faults only to its log. In its own process it can be ended at a deadline, and
nothing of that reaches the caller. One JSON request on standard input, JSON lines on standard
output: `ready`, then any number of `log` and `answer`, then `end`, or `failure` if an exception
ends it.

Run as `python -m energymodel.weather.station_worker`; imports nothing of energymodel.
"""

from __future__ import annotations

import json
import logging
import sys
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import meteostat
    import pandas as pd

Request = Mapping[str, Any]
_FILE_NOT_THERE = "was not found"


def main() -> None:
    """Answer the one request on standard input."""
    sys.excepthook = _tell_failure
    sys.stdout = sys.stderr  # what a library prints must not mix with the answers
    request = json.load(sys.stdin)
    import meteostat  # noqa: PLC0415 - a missing library must reach the excepthook

    log = _Log()
    logger = logging.getLogger("meteostat")
    logger.setLevel(logging.INFO)
    logger.addHandler(log)
    logger.propagate = False
    _configure(request)
    _tell("ready", library=f"meteostat {meteostat.__version__}")
    _TASKS[request["task"]](request, log)
    _tell("end")


class _Log(logging.Handler):
    """Passes the library's log on, and remembers what it said about the file at hand."""

    def __init__(self) -> None:
        super().__init__()
        self.not_there = False

    def emit(self, record: logging.LogRecord) -> None:
        fault = record.exc_info[1] if record.exc_info else None
        text = record.getMessage()
        self.not_there |= _FILE_NOT_THERE in text or isinstance(fault, FileNotFoundError)
        if record.levelno >= logging.WARNING or _FILE_NOT_THERE in text:
            _tell("log", text=text, **_described(fault))


def _tell(kind: str, **content: object) -> None:
    print(json.dumps({"kind": kind, **content}), file=sys.__stdout__, flush=True)


def _described(fault: BaseException | None) -> dict[str, str]:
    if fault is None:
        return {"error": "", "detail": ""}
    return {"error": type(fault).__name__, "detail": str(fault)}


def _tell_failure(
    kind: type[BaseException], fault: BaseException, trace: TracebackType | None
) -> None:
    del kind, trace
    _tell("failure", **_described(fault))


def _configure(request: Request) -> None:
    """Set addresses before the provider module copies them, and the library's waits and caches."""
    import socket  # noqa: PLC0415 - a limit for this process only; the caller ends it earlier

    from meteostat import config  # noqa: PLC0415 - as above

    for name, value in request["settings"].items():
        setattr(config, name, value)
    config.cache_enable = False
    config.include_model_data = True
    config.network_max_retries = 0
    # Two addresses of the station list are tried one after the other within the caller's limit.
    config.network_timeout = 0.4 * request["timeout_s"]
    socket.setdefaulttimeout(2.0 * request["timeout_s"])


def _answer_hours(request: Request, log: _Log) -> None:
    """Answer one line per UTC year: columns of the hours that have a value."""
    from meteostat import Parameter, Station, config, hourly  # noqa: PLC0415 - as above

    station = Station(id=request["station_id"])
    for year in request["years"]:
        log.not_there = False
        series = hourly(
            station,
            datetime(year, 1, 1),
            datetime(year, 12, 31, 23, 59, 59),
            parameters=[Parameter.TEMP, Parameter.RHUM],
        )
        frame = series.fetch(sources=True)
        columns = None if frame is None else _columns(frame)
        _tell(
            "answer",
            year=year,
            address=config.hourly_endpoint.format(station=station.id, year=year),
            not_there=log.not_there,
            columns=columns,
            sources=[] if columns is None else _described_sources(columns),
        )


def _columns(frame: pd.DataFrame) -> dict[str, list[Any]]:
    import pandas as pd  # noqa: PLC0415 - comes with the library

    stamps = pd.DatetimeIndex(frame.index).to_numpy().astype("datetime64[h]")
    columns: dict[str, list[Any]] = {"hour_utc": [str(stamp) for stamp in stamps]}
    for name in ("temp", "rhum"):
        known = frame[name].notna().to_numpy()
        values = frame[name].astype("Float64").to_numpy(float, na_value=float("nan"))
        texts = frame[f"{name}_source"].astype(object).to_numpy()
        columns[name] = [
            float(value) if there else None for value, there in zip(values, known, strict=True)
        ]
        columns[f"{name}_source"] = [
            str(text) if there else "" for text, there in zip(texts, known, strict=True)
        ]
    return columns


def _described_sources(columns: Mapping[str, list[Any]]) -> list[dict[str, object]]:
    from meteostat.core.providers import provider_service  # noqa: PLC0415 - as above
    from meteostat.enumerations import Grade  # noqa: PLC0415 - as above

    texts = {*columns["temp_source"], *columns["rhum_source"]}
    described: list[dict[str, object]] = []
    for name in sorted({part for text in texts for part in text.split()}):
        provider = provider_service.get_provider(name)
        licence = provider.license if provider is not None else None
        grade = provider.grade if provider is not None else None
        described.append(
            {
                "name": name,
                "model": grade in {Grade.FORECAST, Grade.ANALYSIS},
                "licence": (licence.name or "") if licence is not None else "",
                "credit": (licence.attribution or "") if licence is not None else "",
            }
        )
    return described


def _answer_near(request: Request, log: _Log) -> None:
    """Answer the stations around a place, nearest first."""
    del log
    from meteostat import Point, stations  # noqa: PLC0415 - as above

    _with_station_list(request)
    point = Point(request["latitude_deg"], request["longitude_deg"])
    frame = stations.nearby(point, radius=request["radius_m"], limit=request["limit"])
    columns = ["id", "name", "latitude", "longitude", "elevation", "timezone", "distance"]
    table = frame.reset_index()[columns].astype(object)
    _tell("answer", rows=table.where(table.notna(), None).to_dict("records"))


def _answer_station(request: Request, log: _Log) -> None:
    """Answer one station by its identifier; no row if the list does not have it."""
    del log
    from meteostat import stations  # noqa: PLC0415 - as above

    _with_station_list(request)
    found = stations.meta(request["station_id"])
    _tell("answer", rows=[] if found is None else [_station_row(found)])


def _station_row(station: meteostat.Station) -> dict[str, object]:
    return {
        "id": station.id,
        "name": station.name,
        "latitude": station.latitude,
        "longitude": station.longitude,
        "elevation": station.elevation,
        "timezone": station.timezone,
        "distance": None,
    }


def _with_station_list(request: Request) -> None:
    """Make sure that a whole, fresh station list lies on the disk.

    The library writes in place, so a cut download would stay as a broken file; it is sent to a
    temporary name here and takes its place only after SQLite has checked it.
    """
    from meteostat import config, stations  # noqa: PLC0415 - as above
    from meteostat.core.cache import cache_service  # noqa: PLC0415 - as above

    target = Path(request["station_list"])
    config.cache_directory = str(target.parent)
    if not target.exists() or cache_service.is_stale(str(target), config.stations_db_ttl):
        part = Path(request["station_list_part"])
        cache_service.create_cache_dir()
        config.stations_db_file = str(part)
        checked = stations.query("PRAGMA integrity_check")
        if list(checked["integrity_check"]) != ["ok"]:
            msg = "the station list is damaged"
            raise EOFError(msg)
        part.replace(target)
    config.stations_db_file = str(target)


_TASKS: Mapping[str, Callable[[Request, _Log], None]] = {
    "hours": _answer_hours,
    "near": _answer_near,
    "station": _answer_station,
}

if __name__ == "__main__":
    main()
