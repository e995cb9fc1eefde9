"""EPW files: round trip, against pvlib's reader, and with every fault named by file and line."""

from __future__ import annotations

import pytest
from pvlib.iotools import read_epw as oracle

from energymodel.errors import WeatherError
from energymodel.weather.epw import read_epw
from energymodel.weather.files import read_weather
from energymodel.weather.library import shipped_year, unfilled_rows

HEAD = (
    "LOCATION,Greensboro,NC,USA,TMY3,723170,36.1,-79.95,-5.0,273.0",
    "DESIGN CONDITIONS,0",
    "TYPICAL/EXTREME PERIODS,0",
    "GROUND TEMPERATURES,0",
    "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
    "COMMENTS 1,written by a test",
    "COMMENTS 2,",
    "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
)


def rows_of(table, year_of_month):
    tail = ",".join(["9999"] * 19)
    for start, hour in zip(table.index, table.itertuples(), strict=True):
        sun = f"{hour.ghi_w_m2:.0f},{hour.dni_w_m2:.0f},{hour.dhi_w_m2:.0f}"
        yield (
            f"{year_of_month(start.month)},{start.month},{start.day},{start.hour + 1},60,?9?9,"
            f"{hour.outdoor_c:.1f},0.0,{hour.relative_humidity_pct:.0f},98000,0,0,300,{sun},{tail}"
        )


@pytest.fixture(scope="module")
def greensboro():
    return shipped_year("greensboro-nc")


@pytest.fixture(scope="module")
def lines(greensboro):
    return [*HEAD, *rows_of(greensboro.table, lambda month: 1980 + month)]


@pytest.fixture
def write(tmp_path):
    def to_file(lines, encoding="utf-8"):
        path = tmp_path / "place.epw"
        path.write_text("\n".join(lines) + "\n", encoding=encoding)
        return path

    return to_file


def with_cell(line, column, value):
    cells = line.split(",")
    cells[column] = value
    return ",".join(cells)


def test_hours_written_in_this_form_come_back_equal(greensboro, lines, write):
    year = read_epw(write(lines), zone="America/New_York")
    assert year.table.equals(greensboro.table)
    assert year.kind == "typical"
    assert year.notices == ()
    assert year.site.name == "Greensboro, NC"
    assert year.site.zone == "America/New_York"


def test_hours_agree_with_the_general_reader(lines, write):
    path = write(lines)
    year = read_epw(path)
    table, place = oracle(path, coerce_year=2001)
    assert year.outdoor_c.tolist() == table["temp_air"].tolist()
    assert (year.table.index == table.index.tz_localize(None)).all()
    assert year.site.latitude_deg == place["latitude"]
    assert year.site.elevation_m == place["altitude"]


def test_one_calendar_year_throughout_is_an_observed_year(greensboro, write):
    year = read_epw(write([*HEAD, *rows_of(greensboro.table, lambda month: 2013)]))
    assert year.kind == "observed"
    assert year.year_label == "2013"
    assert read_epw(write([*HEAD, *rows_of(greensboro.table, lambda month: 2013)]), kind="typical")


def test_a_leap_year_without_29_february_is_refused_with_that_remedy(greensboro, write):
    path = write([*HEAD, *rows_of(greensboro.table, lambda month: 2012)])
    with pytest.raises(WeatherError, match="24 hours") as fault:
        read_epw(path)
    assert "leap day" in fault.value.remedy


def test_a_leap_day_is_filled_from_a_named_year(greensboro, write):
    path = write([*HEAD, *rows_of(greensboro.table, lambda month: 2012)])
    year = read_epw(path, fill=greensboro)
    assert len(year.table) == 8784
    day = year.table.loc["2012-02-28", "outdoor_c"].tolist()
    assert year.table.loc["2012-02-29", "outdoor_c"].tolist() == day


@pytest.mark.parametrize("city", ['"Lake, Big"', "Lake, Big"])
def test_a_comma_in_the_city_does_not_shift_the_place(lines, write, city):
    site = read_weather(write([lines[0].replace("Greensboro", city), *lines[1:]])).site
    assert (site.latitude_deg, site.longitude_deg) == (36.1, -79.95)
    assert (site.utc_offset_h, site.elevation_m) == (-5.0, 273.0)


@pytest.mark.parametrize(
    "head",
    [
        "LOCATION,Greensboro,NC,USA,TMY3,723170,36.1,-79.95,5.0,273.0",  # clock of another place
        "LOCATION,Greensboro,NC,USA,TMY3,723170,36.1,-79.95,-5.0",  # no elevation
        "LOCATION,Greensboro,NC,USA,TMY3,723170,136.1,-79.95,-5.0,273.0",
        "LOCATION,1,1,1,1,1,1,1,1,1,1,1",  # more than one way
    ],
)
def test_a_place_that_cannot_be_is_refused(lines, write, head):
    with pytest.raises(WeatherError, match=r"place\.epw, line 1: the place"):
        read_weather(write([head, *lines[1:]]))


def test_a_latin_1_name_and_a_byte_order_mark_are_accepted(lines, write):
    named = [lines[0].replace("Greensboro", "Añil"), *lines[1:]]
    assert read_weather(write(named, "latin-1")).site.name == "Añil, NC"
    assert read_weather(write(named, "utf-8-sig")).site.name == "Añil, NC"


@pytest.mark.parametrize("missing", range(8))
def test_a_missing_head_line_is_named(lines, write, missing):
    with pytest.raises(WeatherError, match=rf"place\.epw, line {missing + 1}: the head line"):
        read_weather(write([*lines[:missing], *lines[missing + 1 :]]))


def test_an_extra_head_line_is_named(lines, write):
    with pytest.raises(WeatherError, match=r"place\.epw, line 8: the head line DATA PERIODS"):
        read_weather(write([*lines[:7], "COMMENTS 3,more", *lines[7:]]))


def test_a_file_of_head_lines_only_is_named(lines, write):
    with pytest.raises(WeatherError, match=r"place\.epw, line 8: the file ends after its header"):
        read_weather(write(lines[:8]))


def test_half_hourly_data_periods_are_refused(lines, write):
    head = [*lines[:7], lines[7].replace("PERIODS,1,1", "PERIODS,1,2")]
    with pytest.raises(WeatherError, match=r"place\.epw, line 8: .* one row per hour"):
        read_weather(write([*head, *lines[8:]]))


@pytest.mark.parametrize(
    ("change", "count"), [(lambda row: row + ",0", 36), (lambda row: row[:-5], 34)]
)
def test_rows_with_another_number_of_columns_are_named(lines, write, change, count):
    broken = [*lines[:8], *map(change, lines[8:])]
    with pytest.raises(WeatherError, match=rf"place\.epw, line 9: the line has {count} columns"):
        read_weather(write(broken))


def test_a_cut_last_line_is_named(lines, write):
    with pytest.raises(WeatherError, match=r"place\.epw, line 8768: the last line is cut short"):
        read_weather(write([*lines[:-1], lines[-1][:40]]))


def test_a_missing_temperature_is_a_gap_and_never_a_temperature(lines, write):
    year = read_weather(write([*lines[:50], with_cell(lines[50], 6, "99.9"), *lines[51:]]))
    assert year.outdoor_c.max() < 45.0
    assert "01-02 18:00 (1 h)" in year.notices[0].text


def test_a_column_of_missing_humidity_is_unknown_and_listed(lines, write):
    year = read_weather(write([*lines[:8], *(with_cell(row, 8, "999") for row in lines[8:])]))
    assert year.table["relative_humidity_pct"].isna().all()
    assert "no relative humidity" in year.notices[0].text


def test_missing_irradiance_is_left_out_and_listed(lines, write):
    year = read_weather(write([*lines[:8], *(with_cell(row, 13, "9999") for row in lines[8:])]))
    assert "ghi_w_m2" not in year.table
    assert "dni_w_m2" in year.table
    assert "ghi_w_m2" in year.notices[0].text


def test_text_in_the_temperature_column_is_named(lines, write):
    with pytest.raises(WeatherError, match=r"place\.epw, line 51: 'mild' stands"):
        read_weather(write([*lines[:50], with_cell(lines[50], 6, "mild"), *lines[51:]]))


def test_hours_counted_from_0_to_23_are_named(lines, write):
    shifted = [with_cell(row, 3, str(int(row.split(",")[3]) - 1)) for row in lines[8:]]
    with pytest.raises(WeatherError, match=r"place\.epw, line 9: the hour of this row"):
        read_weather(write([*lines[:8], *shifted]))


def test_gaps_and_repeated_rows_are_named(lines, write):
    with pytest.raises(WeatherError, match=r"place\.epw, after line 1008: 100 hours"):
        read_weather(write([*lines[:1008], *lines[1108:]]))
    with pytest.raises(WeatherError, match=r"place\.epw, line 1109 \(first in line 1009\)"):
        read_weather(write([*lines[:1108], *lines[1008:1108], *lines[1108:]]))


def test_a_blank_line_among_the_hours_is_named(lines, write):
    with pytest.raises(WeatherError, match=r"place\.epw, line 101: the line is blank"):
        read_weather(write([*lines[:100], "", *lines[100:]]))


def test_an_observed_year_keeps_its_real_hours(write):
    table = unfilled_rows("newark-nj-2013").interpolate(limit_direction="both").round(1)
    table = table.assign(ghi_w_m2=0.0, dni_w_m2=0.0, dhi_w_m2=0.0)
    head = HEAD[0].replace("36.1,-79.95,-5.0,273.0", "40.6925,-74.17,-5.0,5.5")
    year = read_epw(write([head, *HEAD[1:], *rows_of(table, lambda month: 2013)]))
    assert year.outdoor_c.tolist() == table["outdoor_c"].tolist()
    assert (year.table.index == table.index).all()
