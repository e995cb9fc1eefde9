"""Stored station files: local years made of them, gaps, and the files themselves; no network.

The hours are invented: only clocks, gaps and text matter here.
"""

from __future__ import annotations

import runpy
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from energymodel.errors import WeatherError
from energymodel.weather.station_cache import cache_folder, hours_file, read_hours, write_hours
from energymodel.weather.station_hours import HourSource, StationHours, local_year
from energymodel.weather.stations import Station, read_station_years, stored_stations

_TOOLS = runpy.run_path(str(Path(__file__).with_name("station_server.py")))
NEWARK: Station = _TOOLS["NEWARK"]
HOUR: dict[int, int] = _TOOLS["HOUR"]
ZONES: Any = _TOOLS["ZONES"]
invented_c: Any = _TOOLS["invented_c"]


def store(folder: Path, station: Station, rows: list[tuple[int, float]]) -> None:
    """Store rows of (UTC hour, degC) as if they had been fetched."""
    years = np.array([row[0] for row in rows]).astype("datetime64[h]").astype("datetime64[Y]")
    for utc_year in np.unique(years):
        part = [row for row, year in zip(rows, years, strict=True) if year == utc_year]
        hours = StationHours(
            station=station,
            utc_year=int(str(utc_year)),
            address="http://127.0.0.1/",
            fetched_at=datetime(2020, 1, 1, tzinfo=UTC),
            library="meteostat 2.1.5",
            sources=(HourSource(name="isd_lite", model=False, licence="CC0", credit=""),),
            hour_utc=np.array([row[0] for row in part], dtype=np.int64),
            outdoor_c=np.array([row[1] for row in part]),
            outdoor_source=("isd_lite",) * len(part),
            relative_humidity_pct=np.full(len(part), 60.0),
            humidity_source=("isd_lite",) * len(part),
        )
        write_hours(hours_file(folder, station.id, hours.utc_year), hours)


@pytest.mark.parametrize(("zone", "longitude", "offset_h", "utc_years"), ZONES)
def test_a_local_year_takes_its_hours_from_every_utc_year_it_touches(
    tmp_path: Path, zone: str, longitude: float, offset_h: float, utc_years: tuple[int, ...]
) -> None:
    station = replace(NEWARK, zone=zone, longitude_deg=longitude)
    hours = range(HOUR[2013] - 24, HOUR[2014] + 24)
    store(tmp_path, station, [(hour, float(invented_c(hour))) for hour in hours])
    (year,) = read_station_years("72502", [2013], cache_dir=tmp_path)
    assert year.site.utc_offset_h == offset_h
    assert tuple(local_year(2013, zone).last_hours_utc) == utc_years
    # The hour from 00:00 to 01:00 of 1 January holds the UTC hour at -offset, rounded up.
    first = HOUR[2013] + int(np.ceil(-offset_h))
    np.testing.assert_array_equal(year.outdoor_c, invented_c(np.arange(first, first + 8760)))
    told = [notice.text for notice in year.notices]
    assert [("carries the observation of 00:30" in text) for text in told] == [True] * (
        offset_h % 1.0 > 0.0
    )


def test_short_gaps_are_listed_and_longer_ones_need_a_fill(tmp_path: Path) -> None:
    utc = replace(NEWARK, zone="UTC", longitude_deg=0.0)
    gap = {HOUR[2013] + 500, HOUR[2013] + 501, HOUR[2013] + 502}
    rows = [(hour, float(invented_c(hour))) for hour in range(HOUR[2012], HOUR[2014])]
    store(tmp_path, utc, [row for row in rows if row[0] not in gap])
    (other, year) = read_station_years("72502", [2012, 2013], cache_dir=tmp_path)
    assert len(other.table) == 8784
    (notice,) = year.notices
    assert "3 missing hours of outdoor temperature" in notice.text
    assert "filled by linear interpolation: 2013-01-21 20:00 (3 h)" in notice.text

    gap |= {HOUR[2013] + 503}
    store(tmp_path, utc, [row for row in rows if row[0] not in gap])
    with pytest.raises(WeatherError, match=r": 4 hours .* in one gap longer than 3 h"):
        read_station_years("72502", [2013], cache_dir=tmp_path)
    (filled,) = read_station_years("72502", [2013], fill=other, cache_dir=tmp_path)
    # The fill is the same calendar hours of 2012.
    np.testing.assert_array_equal(filled.outdoor_c[500:504], other.outdoor_c[500:504])
    assert any("Newark (2012)" in notice.text for notice in filled.notices)


# --- stored files -----------------------------------------------------------------------------


def test_a_stored_file_is_plain_text_with_its_origin_on_top(tmp_path: Path) -> None:
    store(tmp_path, NEWARK, [(HOUR[2013], 1.5), (HOUR[2013] + 1, float("nan"))])
    path = hours_file(tmp_path, "72502", 2013)
    text = path.read_text("utf-8")
    for words in ("# address: http", "# fetched_at: 2020-01-01T00:00:00+00:00", "# licence: CC BY"):
        assert words in text
    assert "\n2013-01-01T00:00Z,1.5,isd_lite,60,isd_lite\n" in text
    assert "\n2013-01-01T01:00Z,,isd_lite,60,isd_lite\n" in text
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]
    again = read_hours(path)
    assert again.station == NEWARK
    np.testing.assert_array_equal(again.outdoor_c, [1.5, np.nan])


@pytest.mark.parametrize(
    "spoil",
    [
        lambda text: text[: len(text) // 2],
        lambda text: text.replace("1.5", "mild"),
        lambda text: text.replace("# station: ", "# place: "),
        lambda text: text.replace("hour_utc", "time"),
        lambda text: "",
    ],
    ids=["cut", "word", "no station", "other column", "empty"],
)
def test_a_stored_file_that_was_spoilt_is_refused_by_name(tmp_path: Path, spoil: Any) -> None:
    store(tmp_path, NEWARK, [(HOUR[2013] + hour, 1.5) for hour in range(9)])
    path = hours_file(tmp_path, "72502", 2013)
    path.write_text(spoil(path.read_text("utf-8")), "utf-8")
    with pytest.raises(WeatherError, match="the stored hours cannot be read") as caught:
        read_hours(path)
    assert caught.value.where == str(path)
    assert "delete the file" in caught.value.remedy


def test_a_year_that_was_never_fetched_names_the_command(tmp_path: Path) -> None:
    with pytest.raises(WeatherError, match="not stored here") as caught:
        read_station_years("72502", [2013, 2014], cache_dir=tmp_path)
    wanted = "energymodel weather fetch --station 72502 --year 2013 --year 2014"
    assert caught.value.remedy == wanted


def test_the_folder_of_downloads_follows_the_variables(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.delenv("ENERGYMODEL_CACHE", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    assert cache_folder() == tmp_path / ".cache" / "energymodel"
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    assert cache_folder() == tmp_path / "xdg" / "energymodel"
    monkeypatch.setenv("ENERGYMODEL_CACHE", str(tmp_path / "own"))
    assert cache_folder() == tmp_path / "own"
    assert cache_folder(tmp_path / "named") == tmp_path / "named"


def test_the_stored_stations_are_named_with_their_utc_years(tmp_path: Path) -> None:
    assert stored_stations(tmp_path) == ()
    store(tmp_path, NEWARK, [(HOUR[2013], 1.5), (HOUR[2014], 2.5)])
    (tmp_path / "stations" / "notes.csv").write_text("not ours", "utf-8")
    assert stored_stations(tmp_path) == ((NEWARK, (2013, 2014)),)
