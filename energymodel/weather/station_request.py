"""One request to the station library, in a process that is ended when its time is over."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from textwrap import shorten
from typing import Any

from energymodel.errors import WeatherError
from energymodel.weather.station_cache import cache_folder

_WORKER = "energymodel.weather.station_worker"
_START_S = 120.0
"""Allowed for starting the process and importing the library, before any network."""
_LIBRARY_SETTINGS = (
    "hourly_endpoint",
    "stations_db_endpoints",
    "stations_db_file",
    "stations_db_ttl",
    "network_proxies",
)
_EXPECTED = "a complete answer of the server"
_NO_HOURS = "the answer holds no hours of temperature that name their source"
_LONGEST_REASON = 240
_TRY_LATER = "try again later; no part of the file was kept"
_OTHER_YEAR = "try again later, or take another year or station"
_FAULTS: Mapping[str, tuple[str, str]] = {
    "BadGzipFile": (
        "the answer is no gzip file, perhaps the page of a network log-in",
        "open any page in a browser, log in to the network if it asks, then try again",
    ),
    "EOFError": ("the file was cut off during the download", _TRY_LATER),
    "IncompleteRead": ("the file was cut off during the download", _TRY_LATER),
    "ChunkedEncodingError": ("the file was cut off during the download", _TRY_LATER),
    "DatabaseError": ("the answer is no station list", _TRY_LATER),
    "Exception": (
        "the station list cannot be downloaded",
        "check the network connection, then try again; a station given as a record with its place"
        " and zone needs no list",
    ),
    "EmptyDataError": ("the file is empty", _OTHER_YEAR),
    "PermissionError": (
        "the folder for downloaded files cannot be written to",
        "name another folder with the environment variable ENERGYMODEL_CACHE",
    ),
    "URLError": ("the server cannot be reached", "check the network connection, then try again"),
    "HTTPError": ("the server answered with an error", _TRY_LATER),
    "ModuleNotFoundError": (
        "the library meteostat cannot be imported",
        "install it: pip install meteostat",
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StationAccess:
    """How station data are fetched and kept.

    Parameters
    ----------
    timeout_s
        Longest wait for any one file, s.
    cache_dir
        Folder of downloaded files; None means ENERGYMODEL_CACHE or the platform's own place.
    progress
        Called with (files done, files wanted) after each file; None for silence.
    """

    timeout_s: float = 60.0
    cache_dir: Path | str | None = None
    progress: Callable[[int, int], None] | None = None

    @property
    def folder(self) -> Path:
        """Folder of downloaded files; it may not exist yet."""
        return cache_folder(self.cache_dir)


@dataclass(slots=True, kw_only=True)
class _Call:
    """A running request: what it told so far and how long it may still take."""

    where: str
    timeout_s: float
    process: subprocess.Popen[str]
    told: list[str] = field(default_factory=list)
    last: tuple[str, str] = ("", "")
    timer: threading.Timer | None = None
    time_over: bool = False

    def allow(self, seconds: float) -> None:
        """Start the clock anew."""
        self.stop_clock()
        self.timer = threading.Timer(seconds, self._end)
        self.timer.daemon = True
        self.timer.start()

    def stop_clock(self) -> None:
        if self.timer is not None:
            self.timer.cancel()

    def note(self, message: Mapping[str, Any]) -> None:
        """Remember a line of the library's log or the exception that ended it."""
        self.last = (message["error"], message["detail"])
        named = f"{message['error']}: {message['detail']}" if message["error"] else message["text"]
        self.told.append(shorten(named, _LONGEST_REASON, placeholder=" ..."))

    def forget(self) -> None:
        """Forget what belonged to the answer that was passed on."""
        self.told.clear()
        self.last = ("", "")

    def _end(self) -> None:
        self.time_over = True
        self.process.kill()

    def fault(self) -> WeatherError:
        """Say why there is no answer."""
        if self.time_over:
            return WeatherError(
                f"no complete answer within {self.timeout_s:g} s",
                where=self.where,
                expected=_EXPECTED,
                remedy="try again later, or allow more time with a longer time limit",
            )
        what, remedy = _FAULTS.get(self.last[0], ("the answer cannot be used", _OTHER_YEAR))
        what = f"{what} ({'; '.join(self.told)})" if self.told else _NO_HOURS
        return WeatherError(what, where=self.where, expected=_EXPECTED, remedy=remedy)


def ask(
    task: str, content: Mapping[str, object], access: StationAccess, *, where: str
) -> Iterator[dict[str, Any]]:
    """Put one request to the station library and pass its answers on as they come.

    Parameters
    ----------
    task
        "hours", "near" or "station".
    content
        What the task needs.
    access
        Time limit and folder.
    where
        Station or place, for messages.

    Yields
    ------
    dict
        Each answer, with the `library` that gave it, and as `fault` the reason why it may hold
        nothing.

    Raises
    ------
    WeatherError
        If the server or the library fails, or an answer takes longer than allowed.
    """
    list_file = _station_list_file(access.folder)
    part = list_file.with_name(f".{list_file.name}-{os.getpid()}.part")
    request = {
        **content,
        "task": task,
        "settings": _settings(),
        "timeout_s": access.timeout_s,
        "station_list": str(list_file),
        "station_list_part": str(part),
    }
    try:
        with _running(where, access.timeout_s) as call:
            yield from _answers(call, request)
    finally:
        part.unlink(missing_ok=True)


def _answers(call: _Call, request: Mapping[str, object]) -> Iterator[dict[str, Any]]:
    library = ""
    ended = False
    call.allow(_START_S)
    for message in _messages(call.process, request):
        kind = message["kind"]
        if kind in {"log", "failure"}:
            call.note(message)
            continue
        call.allow(call.timeout_s)
        library = message.get("library", library)
        ended = kind == "end"
        if kind == "answer":
            yield {**message, "library": library, "fault": call.fault()}
            call.forget()
    code = call.process.wait()
    if not ended:
        if not call.told:
            call.told.append(f"the process ended with code {code}")
        raise call.fault()


def _messages(
    process: subprocess.Popen[str], request: Mapping[str, object]
) -> Iterator[dict[str, Any]]:
    if process.stdin is None or process.stdout is None:  # both are pipes, see `_running`
        return
    # A process that dies before it reads closes the pipe; its silence is the fault to report.
    with suppress(BrokenPipeError):
        process.stdin.write(json.dumps(request))
        process.stdin.close()
    for line in process.stdout:
        if line.endswith("\n"):  # else the process was ended in the middle of it
            yield json.loads(line)


@contextmanager
def _running(where: str, timeout_s: float) -> Iterator[_Call]:
    command = [sys.executable, "-X", "utf8", "-W", "ignore", "-P", "-m", _WORKER]
    search = os.pathsep.join(entry or str(Path.cwd()) for entry in sys.path)
    try:
        process = subprocess.Popen(  # noqa: S603 - our own module, no text of the user in it
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": search},
            encoding="utf-8",
        )
    except OSError as fault:
        raise WeatherError(
            f"no process can be started to fetch station data ({fault})",
            where=where,
            remedy="download the station's file by hand and read it as a table",
        ) from fault
    call = _Call(where=where, timeout_s=timeout_s, process=process)
    with process:
        try:
            yield call
        finally:
            call.stop_clock()
            process.kill()


def _station_list_file(folder: Path) -> Path:
    named = os.environ.get("MS_STATIONS_DB_FILE") or _settings().get("stations_db_file")
    return Path(named) if named else folder / "stations.db"


def _settings() -> dict[str, Any]:
    """Return what the caller set in the library of this process, if it is imported here.

    An environment variable wins: the library reads those itself.
    """
    config = getattr(sys.modules.get("meteostat"), "config", None)
    return {
        name: getattr(config, name)
        for name in _LIBRARY_SETTINGS
        if config is not None
        and f"MS_{name.upper()}" not in os.environ
        and getattr(config, name) is not None
        and getattr(config, name) != getattr(type(config), name)
    }
