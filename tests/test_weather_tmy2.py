"""TMY2 files: against pvlib's reader, and with every fault named by file and line."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import pytest
from pvlib.iotools import read_tmy2 as oracle

from energymodel.errors import WeatherError
from energymodel.weather.files import read_weather
from energymodel.weather.tmy2 import read_tmy2

MIAMI = Path(find_spec("pvlib").submodule_search_locations[0]) / "data" / "12839.tm2"


@pytest.fixture(scope="module")
def lines():
    return MIAMI.read_text("ascii").splitlines()


@pytest.fixture
def reread(tmp_path):
    def write_and_read(lines):
        path = tmp_path / "station.tm2"
        path.write_text("\n".join(lines) + "\n")
        return read_weather(path)

    return write_and_read


def with_text(line, first, value):
    return line[:first] + value + line[first + len(value) :]


def test_hours_agree_with_the_general_reader():
    year = read_tmy2(MIAMI)
    table, place = oracle(MIAMI)
    # the general reader leaves the tenths of a degree as whole numbers
    assert year.outdoor_c.tolist() == (table["DryBulb"] / 10.0).tolist()
    assert year.relative_humidity_pct.tolist() == table["RHum"].tolist()
    for ours, theirs in (("ghi_w_m2", "GHI"), ("dni_w_m2", "DNI"), ("dhi_w_m2", "DHI")):
        assert year.table[ours].tolist() == table[theirs].tolist()
    assert year.site.latitude_deg == pytest.approx(place["latitude"])
    assert year.site.longitude_deg == pytest.approx(place["longitude"])
    assert (year.site.elevation_m, year.site.utc_offset_h) == (place["altitude"], place["TZ"])
    assert year.site.name == "MIAMI, FL"


def test_a_city_of_two_words_is_read(lines, reread):
    head = lines[0].replace("MIAMI                 ", "LITTLE LAKE           ")
    assert reread([head, *lines[1:]]).site.name == "LITTLE LAKE, FL"


def test_a_southern_and_eastern_place_has_the_right_signs(lines, reread):
    # Sydney lies at 33.87 S, 151.2 E, UTC+10 (from memory)
    head = " 94767 SYDNEY                 NS  10 S 33 52 E 151 12    42"
    site = reread([head, *lines[1:]]).site
    assert site.latitude_deg == pytest.approx(-33.867, abs=0.001)
    assert site.longitude_deg == pytest.approx(151.2)


def test_a_missing_station_line_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.tm2, line 1: the first line"):
        reread(lines[1:])


def test_a_file_with_its_station_line_only_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.tm2, line 1: the file ends"):
        reread(lines[:1])


def test_a_cut_last_line_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.tm2, line 8761: the last line is cut"):
        reread([*lines[:-1], lines[-1][:60]])


def test_a_line_of_another_width_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.tm2, line 51: the line has 143 characters"):
        reread([*lines[:50], lines[50] + "0", *lines[51:]])


def test_text_in_the_temperature_column_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.tm2, line 51: 'warm' stands"):
        reread([*lines[:50], with_text(lines[50], 67, "warm"), *lines[51:]])


def test_a_missing_temperature_is_a_gap(lines, reread):
    year = reread([*lines[:50], with_text(lines[50], 67, "9999"), *lines[51:]])
    assert "1 missing hour of outdoor temperature" in year.notices[0].text
    assert year.outdoor_c.max() < 40.0


def test_an_hour_of_25_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.tm2, line 25: the hour of this row"):
        reread([*lines[:24], with_text(lines[24], 7, "25"), *lines[25:]])


def test_a_missing_day_is_named(lines, reread):
    with pytest.raises(WeatherError, match=r"station\.tm2, after line 25: 24 hours"):
        reread([*lines[:25], *lines[49:]])


def test_rows_counted_from_midnight_to_23_are_named(lines, reread):
    shifted = [with_text(row, 7, f"{int(row[7:9]) - 1:02d}") for row in lines[1:]]
    with pytest.raises(WeatherError, match="hours 1 to 24 or 0 to 23"):
        reread([lines[0], *shifted])
