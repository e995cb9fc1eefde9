"""Tables whose columns the user names."""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from energymodel.datafiles import data_file
from energymodel.errors import WeatherError
from energymodel.units import f_from_c
from energymodel.weather.csv_columns import CsvColumns, read_csv_columns, read_csv_rows
from energymodel.weather.library import shipped_year
from energymodel.weather.year import Site

SITE = Site(
    name="Newark", latitude_deg=40.69, longitude_deg=-74.17, elevation_m=5.5, utc_offset_h=-5.0
)
COLUMNS = CsvColumns(time="time", outdoor="temp", outdoor_unit="degC", humidity="rh")


@pytest.fixture(scope="module")
def newark():
    """Complete hours of 2013, whole tenths of a degree C."""
    return shipped_year("newark-nj-2013").table.round({"outdoor_c": 1, "relative_humidity_pct": 2})


@pytest.fixture
def write(tmp_path):
    def to_file(lines, encoding="utf-8"):
        path = tmp_path / "hours.csv"
        path.write_text("\n".join(lines) + "\n", encoding=encoding)
        return path

    return to_file


def lines_of(table, stamps=None, header="time,temp,rh", separator=","):
    stamps = [f"{start:%Y-%m-%d %H:%M}" for start in table.index] if stamps is None else stamps
    cells = zip(stamps, table["outdoor_c"], table["relative_humidity_pct"], strict=True)
    return [
        header.replace(",", separator),
        *(separator.join((stamp, f"{c:.1f}", f"{rh:.2f}")) for stamp, c, rh in cells),
    ]


def assert_same(year, table):
    pd.testing.assert_frame_equal(
        year.table[["outdoor_c", "relative_humidity_pct"]],
        table,
        check_freq=False,
        check_index_type=False,
    )


def test_hours_written_as_a_table_come_back_equal(newark, write):
    year = read_csv_columns(write(lines_of(newark)), COLUMNS, site=SITE)
    assert_same(year, newark)
    assert (year.kind, year.year_label) == ("observed", "2013")
    assert year.notices == ()
    assert year.site is SITE


@pytest.mark.parametrize("separator", [";", "\t"])
def test_other_separators_and_comments_are_accepted(newark, write, separator):
    lines = ["# written by a test", *lines_of(newark, separator=separator)]
    assert_same(read_csv_columns(write(lines), COLUMNS, site=SITE), newark)


def test_a_typical_year_written_with_its_own_years_comes_back_as_typical(write):
    table = shipped_year("greensboro-nc").table
    stamps = [f"{2010 - start.month}-{start:%m-%d %H:%M}" for start in table.index]
    year = read_csv_columns(write(lines_of(table, stamps)), COLUMNS, site=SITE)
    assert year.kind == "typical"
    assert_same(year, table[["outdoor_c", "relative_humidity_pct"]])


@pytest.mark.parametrize(
    ("unit", "convert"),
    [("degF", f_from_c), ("°F", f_from_c), ("K", lambda c: c + 273.15), ("celsius", lambda c: c)],
)
def test_temperatures_in_other_units_are_converted(newark, write, unit, convert):
    lines = ["time,temp"] + [
        f"{start:%Y-%m-%d %H:%M},{convert(c):.4f}"
        for start, c in zip(newark.index, newark["outdoor_c"], strict=True)
    ]
    columns = replace(COLUMNS, outdoor_unit=unit, humidity=None)
    year = read_csv_columns(write(lines), columns, site=SITE)
    assert year.outdoor_c == pytest.approx(newark["outdoor_c"].to_numpy(), abs=1e-4)


def test_99_9_in_fahrenheit_is_a_temperature(newark, write):
    warm = newark["outdoor_c"].clip(lower=30.0, upper=35.0).to_numpy()
    fahrenheit = np.where(warm > 34.0, 99.9, f_from_c(warm))
    lines = ["time,temp"] + [
        f"{start:%Y-%m-%d %H:%M},{f:.1f}" for start, f in zip(newark.index, fahrenheit, strict=True)
    ]
    rows = read_csv_rows(
        write(lines), replace(COLUMNS, outdoor_unit="degF", humidity=None), utc_offset_h=-5.0
    )
    assert not np.isnan(rows.outdoor_c).any()
    assert rows.outdoor_c.max() == pytest.approx((99.9 - 32.0) / 1.8)


def test_stamps_at_the_end_of_the_hour_are_shifted(newark, write):
    ends = [f"{start + pd.Timedelta(hours=1):%Y-%m-%dT%H:%M:%S}" for start in newark.index]
    columns = replace(COLUMNS, hour_label="end")
    assert_same(read_csv_columns(write(lines_of(newark, ends)), columns, site=SITE), newark)


def test_24_00_is_the_end_of_the_day(newark, write):
    ends = [f"{start:%Y-%m-%d} {start.hour + 1:02d}:00" for start in newark.index]
    columns = replace(COLUMNS, hour_label="end")
    assert_same(read_csv_columns(write(lines_of(newark, ends)), columns, site=SITE), newark)


def test_the_end_of_hours_taken_for_their_start_is_refused(newark, write):
    ends = [f"{start + pd.Timedelta(hours=1):%Y-%m-%d %H:%M}" for start in newark.index]
    with pytest.raises(WeatherError, match=r"hours\.csv, line 8761: 1 of 8760 rows") as fault:
        read_csv_columns(write(lines_of(newark, ends)), COLUMNS, site=SITE)
    assert "start or the end" in fault.value.remedy


def test_stamps_with_their_offset_from_utc_are_placed_by_it(newark, write):
    zone = ZoneInfo("America/New_York")
    standard = newark.index.tz_localize("Etc/GMT+5")
    wall = [stamp.isoformat() for stamp in standard.tz_convert(zone)]
    universal = [f"{stamp:%Y-%m-%dT%H:%M}Z" for stamp in standard.tz_convert("UTC")]
    for stamps in (wall, universal):
        assert_same(read_csv_columns(write(lines_of(newark, stamps)), COLUMNS, site=SITE), newark)


def test_wall_clock_stamps_are_recognised_and_refused_with_a_remedy(newark, write):
    wall = newark.index.tz_localize("Etc/GMT+5").tz_convert("America/New_York")
    stamps = [f"{stamp:%Y-%m-%d %H:%M}" for stamp in wall]
    with pytest.raises(WeatherError, match="daylight-saving") as fault:
        read_csv_columns(write(lines_of(newark, stamps)), COLUMNS, site=SITE)
    # US rule of 2013: forward on 10 March, back on 3 November (from memory)
    assert "2013-03-10 02:00" in fault.value.what
    assert "2013-11-03 01:00" in fault.value.what
    assert "hours.csv, line" in fault.value.where
    assert "standard time" in fault.value.expected


@pytest.mark.parametrize("zone", ["Europe/Berlin", "Australia/Sydney"])
def test_other_clock_rules_are_recognised_too(newark, write, zone):
    wall = pd.date_range("2013-01-01", periods=8760, freq="h", tz="UTC").tz_convert(zone)
    stamps = [f"{stamp:%Y-%m-%d %H:%M}" for stamp in wall.tz_localize(None)]
    stamps = [f"2013{stamp[4:]}" for stamp in stamps]  # the hours shifted out come round
    with pytest.raises(WeatherError, match="daylight-saving"):
        read_csv_columns(write(lines_of(newark, stamps)), COLUMNS, site=SITE)


def test_a_year_in_utc_is_refused_for_its_hours_of_the_next_year(newark, write):
    stamps = [f"{start + pd.Timedelta(hours=5):%Y-%m-%d %H:%M}" for start in newark.index]
    with pytest.raises(WeatherError, match="5 of 8760 rows are not of 2013"):
        read_csv_columns(write(lines_of(newark, stamps)), COLUMNS, site=SITE)


def test_a_pattern_reads_stamps_of_another_form(newark, write):
    stamps = [f"{start:%m/%d/%Y %H:%M}" for start in newark.index]
    columns = replace(COLUMNS, time_format="%m/%d/%Y %H:%M")
    assert_same(read_csv_columns(write(lines_of(newark, stamps)), columns, site=SITE), newark)
    with pytest.raises(WeatherError, match=r"hours\.csv, line 2: .* is not a time") as fault:
        read_csv_columns(write(lines_of(newark, stamps)), COLUMNS, site=SITE)
    assert "time_format" in fault.value.remedy


def test_blank_and_na_cells_are_gaps_that_are_listed(newark, write):
    lines = lines_of(newark)
    lines[100] = lines[100].split(",")[0] + ",,NA"
    year = read_csv_columns(write(lines), COLUMNS, site=SITE)
    before, after = newark["outdoor_c"].iloc[98], newark["outdoor_c"].iloc[100]
    assert year.outdoor_c[99] == pytest.approx((before + after) / 2.0)
    assert "1 missing hour of outdoor temperature and relative humidity" in year.notices[0].text


def test_rows_out_of_order_are_put_in_order_and_listed(newark, write):
    lines = lines_of(newark)
    lines[10:12] = lines[11], lines[10]
    year = read_csv_columns(write(lines), COLUMNS, site=SITE)
    assert_same(year, newark)
    assert "line 12" in year.notices[0].text


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (replace(COLUMNS, outdoor="temperatur"), "no column 'temperatur'"),
        (replace(COLUMNS, time="when"), "no column 'when'"),
        (replace(COLUMNS, outdoor_unit="R"), "unit 'R'"),
    ],
)
def test_wrong_names_and_units_are_named(newark, write, columns, message):
    with pytest.raises(WeatherError, match=message) as fault:
        read_csv_columns(write(lines_of(newark)), columns, site=SITE)
    assert fault.value.expected


def test_a_column_name_nearly_right_is_answered_with_the_right_one(newark, write):
    with pytest.raises(WeatherError) as fault:
        read_csv_columns(write(lines_of(newark)), replace(COLUMNS, outdoor="Temp"), site=SITE)
    assert '"temp"' in fault.value.remedy


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda lines: lines[:1], r"hours\.csv: the table ends after its header"),
        (lambda lines: [lines[0], lines[1] + ",1", *lines[2:]], r"line 2: the line has 4 columns"),
        (lambda lines: [*lines[:-1], "2013-12-31 23:00"], r"line 8761: the last line is cut"),
        (lambda lines: [*lines[:9], "2013-01-01 08:00,cold,50", *lines[10:]], "line 10: 'cold'"),
        (lambda lines: [*lines[:9], "2013-01-01 08:51,1.0,50", *lines[10:]], "line 10: .* 51 min"),
        (lambda lines: [*lines[:9], "2013-01-01 08:30,1.0,50", *lines[10:]], "line 10: .* 30 min"),
        (lambda lines: [*lines[:9], "2013-01-01 08:00Z,1.0,50", *lines[10:]], "some stamps"),
        (lambda lines: [*lines[:9], *lines[10:13], *lines[20:]], "after line 12: 7 hours"),
        (lambda lines: [*lines[:9], lines[8], *lines[9:]], r"line 10 \(first in line 9\)"),
        (lambda lines: lines[1:], "no column 'time'"),
    ],
)
def test_broken_tables_are_named_by_file_and_line(newark, write, change, message):
    with pytest.raises(WeatherError, match=message) as fault:
        read_csv_columns(write(change(lines_of(newark))), COLUMNS, site=SITE)
    assert "hours.csv" in fault.value.where


def test_a_place_that_cannot_be_is_refused(newark, write):
    with pytest.raises(WeatherError, match="does not belong to the longitude"):
        read_csv_columns(write(lines_of(newark)), COLUMNS, site=replace(SITE, longitude_deg=74.17))


def test_the_shipped_observed_table_reads_like_any_other():
    path = data_file("weather", "newark-nj-2013.csv")
    columns = CsvColumns(
        time="hour_start",
        outdoor="temperature_degF",
        outdoor_unit="degF",
        humidity="relative_humidity_pct",
    )
    with pytest.raises(WeatherError, match=r"39 hours .* in 3 gaps longer than 3 h"):
        read_csv_columns(path, columns, site=SITE)
