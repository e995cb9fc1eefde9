"""The command `energymodel weather`, run as a user runs it, with a server on this machine."""

from __future__ import annotations

import os
import re
import runpy
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from energymodel.cli.weather import app
from energymodel.errors import EnergyModelError

_TOOLS = runpy.run_path(str(Path(__file__).with_name("station_server.py")))
StationServer: Any = _TOOLS["StationServer"]
hours_path: Any = _TOOLS["hours_path"]
FIRST, LAST = (int(datetime(year, 1, 1, tzinfo=UTC).timestamp()) // 3600 for year in (2013, 2014))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A server and the environment that leads a command to it."""

    server: Any
    environment: dict[str, str]
    cache: Path

    def run(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Run `energymodel weather` in a process of its own, output piped."""
        command = [sys.executable, "-c", "from energymodel.cli.main import run; run()", "weather"]
        return subprocess.run(
            [*command, *arguments],
            capture_output=True,
            encoding="utf-8",
            env=self.environment,
            timeout=60,
            check=False,
        )


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    with StationServer(tmp_path / "server") as server:
        cache = tmp_path / "cache"
        search = os.pathsep.join(entry or str(Path.cwd()) for entry in sys.path)
        environment = {**os.environ, **server.environment(cache), "PYTHONPATH": search}
        server.put_list(
            ("72502", "Newark", 40.6825, -74.1694, 5, "America/New_York"),
            ("72505", "Central Park", 40.7789, -73.9692, 48, "America/New_York"),
        )
        yield Place(server=server, environment=environment, cache=cache)


def publish_year(server: Any, *, without: range = range(0), hours: int = LAST - FIRST + 24) -> None:
    """Publish invented hours (a season and a day) from 2013 on, but for some."""
    kept = [hour for hour in range(FIRST, FIRST + hours) if hour - FIRST not in without]
    server.put_hours(
        "72502",
        [
            (
                hour,
                12.0
                - 13.0 * np.cos(2.0 * np.pi * (hour - FIRST) / 8760.0)
                - 4.0 * np.cos(2.0 * np.pi * hour / 24.0),
                60.0,
                "isd_lite",
            )
            for hour in kept
        ],
    )


def test_fetch_takes_the_nearest_station_and_says_where_the_hours_are_and_whose(
    place: Place,
) -> None:
    publish_year(place.server)
    done = place.run("fetch", "--near", "40.69,-74.17", "--year", "2013")
    assert done.stderr == ""
    assert done.returncode == 0
    assert place.server.requests == [
        "/stations.db",
        hours_path("72502", 2013),
        hours_path("72502", 2014),
    ]
    row = next(line.split() for line in done.stdout.splitlines() if line.strip().startswith("2013"))
    assert row[:2] == ["2013", "8,760"]
    assert "Station 72502, Newark: 40.68 N, 74.17 W, 5 m, 0.8 km from the place" in done.stdout
    stored = place.cache / "stations"
    assert f"Stored in {stored}: 72502-2013-utc.csv, 72502-2014-utc.csv" in done.stdout
    assert "Meteostat (CC BY 4.0" in done.stdout
    assert "HDD65 hourly" in done.stdout
    assert sorted(path.name for path in stored.iterdir()) == [
        "72502-2013-utc.csv",
        "72502-2014-utc.csv",
    ]
    assert "\x1b" not in done.stdout
    assert max(map(len, re.sub(r"Stored in .*", "", done.stdout).splitlines())) <= 100

    place.server.stop()
    shown = place.run("show", "72502", "--year", "2013")
    assert shown.stderr == ""
    assert "Newark, 2013: 40.68 N, 74.17 W, 5 m, standard time UTC-5 h" in shown.stdout
    assert not (place.cache / "home").exists()  # nothing is written but where it is told


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--station", "72502", "--year", "2012"), "the server has no file of this station"),
        (("--station", "99999", "--year", "2013"), "there is no station with this identifier"),
        (("--station", "nyc", "--year", "2013"), "'nyc' is no station identifier"),
        (("--near", "10,10", "--year", "2013"), "there is no station within 50 km of 10,10"),
        (("--near", "40.69", "--year", "2013"), "--near '40.69' is no place"),
        (("--near", "-74,240", "--year", "2013"), "no place on earth"),
        (("--year", "2013"), "no station is named"),
        (("--station", "72502", "--from", "2013"), "is no span of years"),
        (("--station", "72502", "--year", "2090"), "the year 2090 has not ended"),
    ],
)
def test_a_fault_is_one_block_and_exit_code_two(
    place: Place, arguments: tuple[str, ...], words: str
) -> None:
    done = place.run("fetch", *arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    assert words in done.stderr
    assert "expected:" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.slow
def test_a_silent_server_ends_the_command_in_time(place: Place) -> None:
    place.server.silent.add(hours_path("72502", 2013))
    done = place.run("fetch", "--station", "72502", "--year", "2013", "--timeout-s", "1")
    assert done.returncode == 2
    assert "no complete answer within 1 s" in done.stderr


@pytest.mark.slow
def test_without_a_year_the_stations_near_a_place_are_listed(place: Place) -> None:
    done = place.run("fetch", "--near", "40.69,-74.17")
    lines = [line for line in done.stdout.splitlines() if re.match(r" \d{5} ", line)]
    assert [line.split()[0] for line in lines] == ["72502", "72505"]
    assert place.server.requests == ["/stations.db"]
    assert "energymodel weather fetch --station 72502 --year YEAR" in done.stdout


@pytest.mark.slow
def test_a_long_gap_is_filled_only_from_a_year_that_is_named(place: Place) -> None:
    publish_year(place.server, without=range(2000, 2012))
    asked = ("fetch", "--station", "72502", "--year", "2013")
    refused = place.run(*asked)
    assert refused.returncode == 2
    assert "12 hours of outdoor temperature and relative humidity are missing" in refused.stderr
    own = place.run(*asked, "--fill-year", "2013")
    assert own.returncode == 2  # a year cannot fill its own gaps
    publish_year(place.server, without=range(2000, 2012), hours=2 * 8760 + 24)
    for path in (place.cache / "stations").iterdir():
        path.unlink()
    filled = place.run(*asked, "--fill-year", "2014", "--details")
    assert filled.stderr == ""
    told = " ".join(filled.stdout.split())
    assert "12 missing hours of outdoor temperature and relative humidity taken from" in told
    assert "the same hours of Newark (2014)" in told
    shown = place.run("show", "72502", "--year", "2013", "--fill-year", "2014")
    assert shown.returncode == 0


@pytest.fixture
def output(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Any:
    monkeypatch.setenv("ENERGYMODEL_CACHE", str(tmp_path))

    def run(*arguments: str) -> str:
        result = CliRunner().invoke(app, arguments, catch_exceptions=False)
        assert result.exit_code == 0
        return result.stdout

    return run


def test_show_names_the_definition_of_every_degree_day_figure(output: Any) -> None:
    text = output("show", "greensboro-nc")
    # Greensboro TMY3 723170 as shipped with pvlib 0.16.1 (computed), base 65 F.
    for figure, definition in (
        ("4,050 °F d", "hourly, base 65 °F"),
        ("3,876 °F d", "daily mean, base 65 °F"),
        ("3,869 °F d", "max and min of the day, base 65 °F"),
        ("1,481 °F d", "hourly, base 65 °F"),
        ("1,306 °F d", "daily mean, base 65 °F"),
        ("1,370 °F d", "max and min of the day, base 65 °F"),
    ):
        line = next(line for line in text.splitlines() if figure in line)
        assert definition in line
    # The same source: lowest, mean, highest hour; 99.6 % heating and 1 % cooling temperature.
    for figure in ("1.9 °F", "58.0 °F", "96.1 °F", "12.0 °F", "90.0 °F"):
        assert figure in text
    assert "too mild for sizing" in text
    assert "\x1b" not in text
    assert max(map(len, text.splitlines())) <= 100


def test_show_bins_counts_every_hour_once(output: Any) -> None:
    text = output("show", "greensboro-nc", "--bins")
    rows = re.findall(r"^ +(\d+) to (\d+) +(\d+) +([\d,]+) ", text, re.MULTILINE)
    hours = {int(low): int(count.replace(",", "")) for low, _, _, count in rows}
    assert sum(hours.values()) == 8760
    # Greensboro TMY3 723170 as shipped with pvlib 0.16.1, rounded to whole F (computed).
    assert (hours[5], hours[60], hours[70], hours[95]) == (12, 845, 1024, 10)
    assert ("60", "64", "62", "845") in rows


def test_show_prints_whole_notices_only_when_asked(output: Any) -> None:
    assert "Add --details" in output("show", "newark-nj-2013")
    assert "Add --details" not in output("show", "newark-nj-2013", "--details")


def test_list_names_every_year_at_hand_with_its_terms(output: Any) -> None:
    text = output("list")
    for key in ("greensboro-nc", "miami-fl", "sand-point-ak", "newark-nj-2013"):
        assert key in text
    assert "CC0-1.0" in text
    assert max(map(len, text.splitlines())) <= 100


def test_a_key_that_does_not_exist_suggests_the_nearest(output: Any) -> None:
    with pytest.raises(EnergyModelError) as caught:
        output("show", "greensborough")
    assert 'did you mean "greensboro-nc"?' in str(caught.value)
