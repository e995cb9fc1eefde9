"""Solar-radiation database files: round trip, pvlib's reader, faults named by file and line."""

from __future__ import annotations

import pytest
from pvlib.iotools import read_nsrdb_psm4 as oracle

from energymodel.errors import WeatherError
from energymodel.weather.files import read_weather
from energymodel.weather.library import shipped_year
from energymodel.weather.nsrdb import read_nsrdb

NAMES = (
    "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,"
    "Dew Point Units,DHI Units,DNI Units,GHI Units,Temperature Units,Version"
)
VALUES = "NSRDB,1234,-,-,-,36.1,-79.95,-5,273,-5,c,w/m2,w/m2,w/m2,c,4.0.1"
COLUMNS = "Year,Month,Day,Hour,Minute,Temperature,Dew Point,DHI,DNI,GHI,Relative Humidity"


def rows_of(table, year_of_month, minute):
    for start, hour in zip(table.index, table.itertuples(), strict=True):
        yield (
            f"{year_of_month(start.month)},{start.month},{start.day},{start.hour},{minute},"
            f"{hour.outdoor_c:.1f},0.0,{hour.dhi_w_m2:.0f},{hour.dni_w_m2:.0f},"
            f"{hour.ghi_w_m2:.0f},{hour.relative_humidity_pct:.2f}"
        )


@pytest.fixture(scope="module")
def greensboro():
    return shipped_year("greensboro-nc")


@pytest.fixture(scope="module")
def lines(greensboro):
    rows = rows_of(greensboro.table, lambda month: 2010 - month, 30)
    return [NAMES, VALUES, COLUMNS, *rows]


@pytest.fixture
def write(tmp_path):
    def to_file(lines):
        path = tmp_path / "grid.csv"
        path.write_text("\n".join(lines) + "\n")
        return path

    return to_file


def with_cell(line, column, value):
    cells = line.split(",")
    cells[column] = value
    return ",".join(cells)


@pytest.mark.parametrize("minute", [0, 30])
def test_hours_written_in_this_form_come_back_equal(greensboro, write, minute):
    rows = rows_of(greensboro.table, lambda month: 2010 - month, minute)
    year = read_weather(write([NAMES, VALUES, COLUMNS, *rows]))
    columns = greensboro.table.columns
    assert year.table[columns].equals(greensboro.table)
    assert year.kind == "typical"
    assert year.site.utc_offset_h == -5.0


def test_hours_agree_with_the_general_reader(lines, write):
    path = write(lines)
    year = read_nsrdb(path)
    table, place = oracle(path)
    assert year.outdoor_c.tolist() == table["temp_air"].tolist()
    assert year.relative_humidity_pct.tolist() == table["relative_humidity"].tolist()
    assert year.table["ghi_w_m2"].tolist() == table["ghi"].tolist()
    assert year.site.elevation_m == place["altitude"]
    hours = table.index.hour.to_numpy()
    assert (year.table.index.hour.to_numpy() == hours).all()


def test_the_reader_says_that_the_temperatures_are_modelled(lines, write):
    assert any("modelled" in notice.text for notice in read_nsrdb(write(lines)).notices)


def test_one_calendar_year_throughout_is_an_observed_year(greensboro, write):
    rows = rows_of(greensboro.table, lambda month: 2019, 30)
    year = read_nsrdb(write([NAMES, VALUES, COLUMNS, *rows]))
    assert (year.kind, year.year_label) == ("observed", "2019")


def test_rows_in_utc_are_refused_with_a_remedy(lines, write):
    utc = VALUES.replace("-79.95,-5,", "-79.95,0,")
    with pytest.raises(WeatherError, match=r"grid\.csv, line 2: the rows are in UTC") as fault:
        read_weather(write([NAMES, utc, *lines[2:]]))
    assert "utc=false" in fault.value.remedy


def test_half_hourly_rows_are_refused(lines, write):
    broken = [*lines[:10], with_cell(lines[10], 4, "0"), *lines[11:]]
    with pytest.raises(WeatherError, match=r"grid\.csv, line 11: rows are stamped 30 and 0"):
        read_weather(write(broken))


@pytest.mark.parametrize("missing", [0, 1])
def test_missing_metadata_is_named(lines, write, missing):
    with pytest.raises(WeatherError, match=r"grid\.csv, line 1: the first two lines"):
        read_weather(write([*lines[:missing], *lines[missing + 1 :]]))


def test_missing_column_names_are_named(lines, write):
    with pytest.raises(WeatherError, match=r"grid\.csv, line 3: the third line"):
        read_weather(write([*lines[:2], *lines[3:]]))


def test_a_file_of_head_lines_only_is_named(lines, write):
    with pytest.raises(WeatherError, match=r"grid\.csv, line 3: the file ends after its header"):
        read_weather(write(lines[:3]))


def test_a_file_without_humidity_is_read_and_says_so(lines, write):
    cut = [*lines[:2], *(row.rsplit(",", 1)[0] for row in lines[2:])]
    year = read_weather(write(cut))
    assert "no relative humidity" in year.notices[0].text


def test_a_date_that_does_not_exist_is_named(lines, write):
    broken = [*lines[:10], with_cell(lines[10], 2, "32"), *lines[11:]]
    with pytest.raises(WeatherError, match=r"grid\.csv, line 11: there is no date"):
        read_weather(write(broken))


@pytest.mark.parametrize("hour", ["24", "-1", "1.5", "x"])
def test_a_wrong_hour_is_named(lines, write, hour):
    broken = [*lines[:10], with_cell(lines[10], 3, hour), *lines[11:]]
    with pytest.raises(WeatherError, match=r"grid\.csv, line 11"):
        read_weather(write(broken))


def test_a_cut_last_line_and_a_long_gap_are_named(lines, write):
    with pytest.raises(WeatherError, match=r"grid\.csv, line 8763: the last line is cut short"):
        read_weather(write([*lines[:-1], lines[-1][:25]]))
    with pytest.raises(WeatherError, match=r"grid\.csv, after line 403: 4 hours"):
        read_weather(write([*lines[:403], *lines[407:]]))
