"""TMY3 files: against pvlib's reader, and with every fault named by file and line."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
from pvlib.iotools import read_tmy3 as oracle

from energymodel.errors import WeatherError
from energymodel.weather.files import read_weather
from energymodel.weather.library import shipped_year
from energymodel.weather.tmy3 import read_tmy3
from energymodel.weather.validation import TYPICAL_CALENDAR_YEAR

DATA = Path(find_spec("pvlib").submodule_search_locations[0]) / "data"
GREENSBORO = DATA / "723170TYA.CSV"


@pytest.fixture(scope="module")
def lines():
    return GREENSBORO.read_text("ascii").splitlines()


@pytest.fixture
def reread(tmp_path):
    def write_and_read(lines, name="station.csv", encoding="utf-8"):
        path = tmp_path / name
        path.write_text("\n".join(lines) + "\n", encoding=encoding)
        return read_weather(path)

    return write_and_read


def with_cell(line, column, value):
    cells = line.split(",")
    cells[column] = value
    return ",".join(cells)


@pytest.mark.parametrize("name", ["723170TYA.CSV", "703165TY.csv"])
def test_hours_agree_with_the_general_reader(name):
    year = read_tmy3(DATA / name)
    table, place = oracle(DATA / name, coerce_year=TYPICAL_CALENDAR_YEAR, map_variables=True)
    assert year.outdoor_c.tolist() == table["temp_air"].tolist()
    assert year.relative_humidity_pct.tolist() == table["relative_humidity"].tolist()
    for ours, theirs in (("ghi_w_m2", "ghi"), ("dni_w_m2", "dni"), ("dhi_w_m2", "dhi")):
        assert year.table[ours].tolist() == table[theirs].tolist()
    assert year.site.latitude_deg == place["latitude"]
    assert year.site.longitude_deg == place["longitude"]
    assert year.site.elevation_m == place["altitude"]
    assert year.site.utc_offset_h == place["TZ"]
    assert year.notices == ()


def test_the_hour_ending_at_one_begins_at_midnight():
    year = read_tmy3(GREENSBORO)
    table, _ = oracle(GREENSBORO, coerce_year=TYPICAL_CALENDAR_YEAR, map_variables=True)
    ends = table.index.tz_localize(None).to_numpy()
    assert (year.table.index.to_numpy() == ends - np.timedelta64(1, "h")).all()


def test_the_sun_of_winter_rises_after_seven_by_the_clock_of_the_table():
    # at 36.1 N in Eastern Standard Time the sun rises about 7:30 in the first days of January
    # (from memory); a shift of one hour would show
    sun = read_tmy3(GREENSBORO).table["ghi_w_m2"].to_numpy()[:24]
    assert int(np.flatnonzero(sun > 0.0)[0]) == 7


def test_typical_years_lie_on_one_calendar_year_without_29_february():
    index = shipped_year("greensboro-nc").table.index
    assert (index.year == TYPICAL_CALENDAR_YEAR).all()
    assert not ((index.month == 2) & (index.day == 29)).any()
    assert index.is_monotonic_increasing


@pytest.mark.parametrize("name", ['"LAKE, BIG"', "LAKE, BIG"])
def test_a_comma_in_the_name_does_not_shift_the_place(lines, reread, name):
    head = lines[0].replace('"GREENSBORO PIEDMONT TRIAD INT"', name)
    site = reread([head, *lines[1:]]).site
    assert (site.latitude_deg, site.longitude_deg, site.utc_offset_h) == (36.1, -79.95, -5.0)
    assert site.name.startswith("LAKE, BIG")


def test_a_place_line_that_fits_nowhere_is_refused(lines, reread):
    head = lines[0].replace("-79.950", "79.950")
    with pytest.raises(WeatherError, match=r"station\.csv, line 1: the place cannot be read"):
        reread([head, *lines[1:]])


def test_a_byte_order_mark_and_a_latin_1_name_are_accepted(lines, reread):
    head = lines[0].replace("GREENSBORO", "MAÑANA")
    assert reread([head, *lines[1:]], encoding="latin-1").site.name.startswith("MAÑANA")
    assert reread([head, *lines[1:]], encoding="utf-8-sig").site.name.startswith("MAÑANA")


def test_windows_line_ends_change_nothing(lines, tmp_path):
    path = tmp_path / "windows.csv"
    path.write_bytes("\r\n".join(lines).encode("ascii"))
    assert read_tmy3(path).outdoor_c.tolist() == read_tmy3(GREENSBORO).outdoor_c.tolist()


def test_a_missing_station_line_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.csv, line 1: the first line") as fault:
        reread(lines[1:])
    assert fault.value.remedy


def test_a_missing_column_line_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.csv, line 1"):
        reread([lines[0], *lines[2:]])


def test_a_file_of_head_lines_only_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.csv, line 2: the file ends after its header"):
        reread(lines[:2])


def test_a_cut_last_line_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.csv, line 8762: the last line is cut short"):
        reread([*lines[:-1], lines[-1][:100]])


def test_a_line_with_another_number_of_columns_is_named(lines, reread):
    broken = [*lines[:100], lines[100] + ",7", *lines[101:]]
    with pytest.raises(WeatherError, match=r"station\.csv, line 101: the line has 72 columns"):
        reread(broken)


def test_text_in_the_temperature_column_is_named(lines, reread):
    broken = [*lines[:500], with_cell(lines[500], 31, "warm"), *lines[501:]]
    with pytest.raises(WeatherError, match=r"station\.csv, line 501: 'warm' stands") as fault:
        reread(broken)
    assert fault.value.remedy


@pytest.mark.parametrize("sentinel", ["-9900", "-9900.0", "9999", "99.9", "999", ""])
def test_a_mark_of_missing_data_is_a_gap_and_never_a_temperature(lines, reread, sentinel):
    broken = [*lines[:500], with_cell(lines[500], 31, sentinel), *lines[501:]]
    year = reread(broken)
    right = shipped_year("greensboro-nc").outdoor_c
    assert year.outdoor_c[498] == pytest.approx((right[497] + right[499]) / 2.0)
    assert "01-21 18:00 (1 h)" in year.notices[0].text


@pytest.mark.parametrize("time", ["00:00", "25:00", "7:00", "07:30"])
def test_a_time_that_ends_no_hour_is_named(lines, reread, time):
    broken = [*lines[:8], with_cell(lines[8], 1, time), *lines[9:]]
    with pytest.raises(WeatherError, match=r"station\.csv, line 9: the time"):
        reread(broken)


def test_a_date_that_does_not_exist_is_named(lines, reread):
    broken = [*lines[:8], with_cell(lines[8], 0, "13/01/1988"), *lines[9:]]
    with pytest.raises(WeatherError, match=r"station\.csv, line 9: '13/01/1988' is not a date"):
        reread(broken)


def test_a_long_gap_is_named_with_its_count_and_place(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.csv, after line 1000: 100 hours") as fault:
        reread([*lines[:1000], *lines[1100:]])
    assert "lasts 100 h" in fault.value.what
    assert fault.value.remedy


def test_a_repeated_row_is_named_with_both_lines(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.csv, line 702 \(first in line 701\)"):
        reread([*lines[:701], lines[700], *lines[701:]])


def test_a_29_february_in_a_typical_year_is_named(lines, reread):
    rows = [row.replace("03/01/", "02/29/") for row in lines]
    number = next(index for index, row in enumerate(rows) if row.startswith("02/29/")) + 1
    leap = [with_cell(row, 0, "02/29/1984") if row.startswith("02/29/") else row for row in rows]
    with pytest.raises(WeatherError, match=rf"station\.csv, line {number}: a typical year"):
        reread(leap)


def test_another_year_fills_a_long_gap_when_it_is_named(lines, tmp_path):
    path = tmp_path / "gap.csv"
    path.write_text("\n".join([*lines[:1000], *lines[1100:]]))
    whole = shipped_year("greensboro-nc")
    year = read_tmy3(path, fill=whole)
    assert year.outdoor_c.tolist() == whole.outdoor_c.tolist()
    assert "taken from the same hours of Greensboro" in year.notices[0].text
    assert "(100 h)" in year.notices[0].text
