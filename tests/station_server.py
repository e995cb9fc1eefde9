"""A small server on this machine that publishes station files in Meteostat's form."""

from __future__ import annotations

import gzip
import sqlite3
import threading
from collections.abc import Sequence
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import numpy as np

from energymodel.weather.stations import Station

HEADER = "year,month,day,hour,temp,temp_source,rhum,rhum_source"
LIST_TABLES = """
CREATE TABLE stations (id CHAR(5) PRIMARY KEY, country VARCHAR(2), region VARCHAR(5),
  latitude FLOAT, longitude FLOAT, elevation INT, timezone VARCHAR(30));
CREATE TABLE names (station CHAR(5), language CHAR(2), name VARCHAR(255),
  PRIMARY KEY (station, language));
CREATE TABLE identifiers (station CHAR(5), key VARCHAR(255), value VARCHAR(255),
  PRIMARY KEY (station, key));
CREATE TABLE inventory (station CHAR(5), provider TEXT, parameter TEXT, start TEXT, end TEXT,
  completeness REAL);
"""


NEWARK = Station(
    id="72502",
    name="Newark",
    latitude_deg=40.6825,
    longitude_deg=-74.1694,
    elevation_m=5.0,
    zone="America/New_York",
)
HOUR = {
    year: int(datetime(year, 1, 1, tzinfo=UTC).timestamp()) // 3600 for year in range(2010, 2020)
}
ZONES = [
    # zone, longitude, standard time less UTC in hours, UTC years that hold the local year
    ("America/Los_Angeles", -118.0, -8.0, (2013, 2014)),
    ("Europe/Berlin", 13.0, 1.0, (2012, 2013)),
    ("Europe/Dublin", -6.0, 0.0, (2013,)),
    ("Asia/Kolkata", 77.0, 5.5, (2012, 2013)),
    ("Australia/Adelaide", 138.0, 9.5, (2012, 2013)),
    ("America/St_Johns", -52.0, -3.5, (2013, 2014)),
]


def invented_c(hour_utc: Any) -> Any:
    """A different value for neighbouring hours, so that a shift by one hour shows."""
    hour = np.asarray(hour_utc, dtype=float)
    year = 2.0 * np.pi * hour / 8766.0
    return np.round(10.0 - 12.0 * np.cos(year) + 4.0 * np.sin(2.0 * np.pi * hour / 24.0), 1)


def invented_hours(first: int, last: int) -> list[tuple[int, float, float, str]]:
    return [(hour, float(invented_c(hour)), 60.0, "isd_lite") for hour in range(first, last)]


class StationServer:
    """Serves a folder; every request is listed; single paths can be silent, cut or slow."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.requests: list[str] = []
        self.silent: set[str] = set()
        self.cut: set[str] = set()
        self.trickling: set[str] = set()
        self.released = threading.Event()
        self._http: ThreadingHTTPServer | None = None

    def __enter__(self) -> StationServer:
        self._http = _Http(("127.0.0.1", 0), _handler_for(self))
        self.port = self._http.server_address[1]
        threading.Thread(target=self._http.serve_forever, args=(0.02,), daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def stop(self) -> None:
        """Close the port; later requests are refused."""
        self.released.set()
        if self._http is not None:
            self._http.shutdown()
            self._http.server_close()
            self._http = None

    def environment(self, cache: Path) -> dict[str, str]:
        """Variables that lead the library and the package here."""
        base = f"http://127.0.0.1:{self.port}"
        return {
            "MS_HOURLY_ENDPOINT": base + "/hourly/{year}/{station}.csv.gz",
            "MS_STATIONS_DB_ENDPOINTS": f'["{base}/stations.db"]',
            "MS_STATIONS_DB_FILE": str(cache / "list" / "stations.db"),
            "MS_NETWORK_MAX_RETRIES": "0",
            "ENERGYMODEL_CACHE": str(cache),
            "HOME": str(cache / "home"),
            "no_proxy": "127.0.0.1",
            "NO_PROXY": "127.0.0.1",
        }

    def put(self, path: str, content: bytes) -> None:
        """Publish bytes."""
        target = self.folder / path.lstrip("/")
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)

    def put_text(self, station_id: str, year: int, text: str) -> None:
        """Publish a year's table as it is."""
        self.put(hours_path(station_id, year), gzip.compress(text.encode(), mtime=0))

    def put_hours(self, station_id: str, hours: Sequence[tuple[int, float, float, str]]) -> None:
        """Publish rows of (UTC hour since 1970, degC, %, source), one file per UTC year."""
        years: dict[int, list[str]] = {}
        for hour, temperature, humidity, source in hours:
            stamp = datetime.fromtimestamp(3600 * hour, UTC)
            clock = f"{stamp.year},{stamp.month},{stamp.day},{stamp.hour}"
            row = f"{clock},{temperature:.1f},{source},{humidity:.0f},{source}"
            years.setdefault(stamp.year, []).append(row)
        for year, rows in years.items():
            self.put_text(station_id, year, "\n".join([HEADER, *rows]) + "\n")

    def put_list(self, *stations: tuple[str, str, float, float, int | None, str | None]) -> None:
        """Publish the station list: (id, name, latitude, longitude, elevation, zone)."""
        path = self.folder / "stations.db"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        connection = sqlite3.connect(path)
        connection.executescript(LIST_TABLES)
        for station_id, name, latitude, longitude, elevation, zone in stations:
            place = (station_id, "US", "NJ", latitude, longitude, elevation, zone)
            connection.execute("INSERT INTO stations VALUES (?,?,?,?,?,?,?)", place)
            connection.execute("INSERT INTO names VALUES (?,'en',?)", (station_id, name))
            connection.execute("INSERT INTO identifiers VALUES (?,'icao','XXXX')", (station_id,))
        connection.commit()
        connection.close()


def hours_path(station_id: str, year: int) -> str:
    """Path of a year's file on the server."""
    return f"/hourly/{year}/{station_id}.csv.gz"


class _Http(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A client that was ended at its deadline is no fault of the server."""


def _handler_for(server: StationServer) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            server.requests.append(self.path)
            if self.path in server.silent:
                server.released.wait(30.0)
                return
            file = server.folder / self.path.lstrip("/")
            if not file.is_file():
                self.send_error(404)
                return
            content = file.read_bytes()
            self.send_response(200)
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            if self.path in server.trickling:
                for byte in content:
                    self.wfile.write(bytes((byte,)))
                    server.released.wait(0.1)
            else:
                half = content[: len(content) // 2]
                self.wfile.write(half if self.path in server.cut else content)

        def log_message(self, *_: object) -> None:
            """Keep the output of the tests quiet."""

    return Handler
