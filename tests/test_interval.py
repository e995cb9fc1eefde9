"""Layouts of meter tables: which column is what, what stands around the table, what is no table."""

from __future__ import annotations

import math
import pickle

import numpy as np
import pandas as pd
import pytest

from energymodel.errors import EnergyModelError
from energymodel.meters.facts import MeterFacts, TableFacts
from energymodel.meters.import_report import MeterError, Outcome
from energymodel.meters.interval import read_interval
from energymodel.meters.interval_data import summed_between

ZONE = "Europe/Berlin"
STAMPS = pd.date_range("2024-01-28", periods=96, freq="h")
KWH = np.random.default_rng(3).integers(20, 900, 96) / 1000.0


@pytest.fixture
def read(tmp_path):
    def from_lines(lines, *, encoding="utf-8", zone=ZONE, **options):
        path = tmp_path / "use.csv"
        path.write_bytes("\n".join(lines).encode(encoding))
        return read_interval(path, zone=zone, **options)

    return from_lines


def rows(*columns, separator=","):
    """Stamp and further cells per row; a column may be one value for all rows."""
    whole = [[column] * 96 if isinstance(column, str) else column for column in columns]
    return [
        separator.join([f"{stamp:%Y-%m-%d %H:%M}", *map(str, cells)])
        for stamp, *cells in zip(STAMPS, *whole, strict=True)
    ]


def refused(read, lines, **options):
    with pytest.raises(MeterError) as caught:
        read(lines, **options)
    assert caught.value.report.outcome is Outcome.REJECTED
    return caught.value


# Columns


def test_cost_and_temperature_columns_are_not_use(read):
    lines = ["Date,Usage (kWh),Cost,Temperature (F)", *rows(KWH, "$1.25", "41")]
    assert read(lines).total_import_kwh == pytest.approx(KWH.sum())
    lines = ["Date,Cost ($),Usage kWh,Price", *rows("1.25", KWH, "0.11")]
    assert read(lines).total_import_kwh == pytest.approx(KWH.sum())


def test_use_and_export_stand_in_columns_of_their_own(read):
    out = np.where(KWH < 0.3, 0.5, 0.0)
    data = read(["Date,Import kWh,Export kWh", *rows(KWH, out)])
    assert data.total_import_kwh == pytest.approx(KWH.sum())
    assert data.total_export_kwh == pytest.approx(out.sum())
    assert data.report.outcome is Outcome.ACCEPTED


def test_export_as_negative_numbers_in_its_own_column_is_turned(read):
    data = read(["Date;Bezug (kWh);Einspeisung (kWh)", *rows(KWH, "-0.5", separator=";")])
    assert data.total_export_kwh == pytest.approx(48.0)
    assert data.report.entries[0].done == "the sign was turned"


def test_blank_export_beside_use_is_no_export_and_listed(read):
    out = ["0.5" if i % 2 else "" for i in range(96)]
    data = read(["Date,Import kWh,Export kWh", *rows(KWH, out)])
    assert (data.total_import_kwh, data.total_export_kwh) == (
        pytest.approx(KWH.sum()), pytest.approx(24.0),
    )  # fmt: skip
    assert data.report.entries[0].found.startswith("48 export cells are blank")


def test_an_export_column_of_both_signs_is_rejected(read):
    out = [0.5, -0.5] * 48
    error = refused(read, ["Date,Import kWh,Export kWh", *rows(KWH, out)])
    assert error.what == "the export column has values of both signs"


@pytest.mark.parametrize("interleaved", [True, False])
def test_rows_of_both_directions_are_told_apart_by_a_word(read, interleaved):
    used = rows("Delivered", KWH)
    sent = rows("Received", KWH / 2)
    body = [line for pair in zip(used, sent, strict=True) for line in pair]
    lines = ["Date,Flow direction,kWh", *(body if interleaved else used + sent)]
    data = read(lines)
    assert data.total_import_kwh == pytest.approx(KWH.sum())
    assert data.total_export_kwh == pytest.approx(KWH.sum() / 2)


def test_directions_that_are_not_recognised_are_rejected_by_line(read):
    lines = ["Date,Flow direction,kWh", *rows("Delivered", KWH)]
    lines[40] = lines[40].replace("Delivered", "Sideways")
    error = refused(read, lines)
    assert error.where == "use.csv, line 41"
    assert "Sideways" not in str(error)


def test_directions_must_cover_the_same_intervals(read):
    lines = ["Date,Direction,kWh", *rows("Import", KWH), *rows("Export", KWH)[:-1]]
    assert "do not cover the same intervals" in refused(read, lines).what


def test_one_word_in_a_type_column_is_no_direction(read):
    lines = ["TYPE,DATE,USAGE (kWh)", *(f"Electric usage,{row}" for row in rows(KWH))]
    assert read(lines).total_import_kwh == pytest.approx(KWH.sum())


def test_own_production_is_left_out_and_listed(read):
    data = read(["Date,Consumption kWh,Solar generation kWh", *rows(KWH, "2.0")])
    assert data.total_import_kwh == pytest.approx(KWH.sum())
    assert data.total_export_kwh == 0.0
    assert data.report.entries[0].found == "column 3 is headed as own production"
    chosen = read(
        ["Date,Consumption kWh,Solar generation kWh", *rows(KWH, "2.0")],
        facts=TableFacts(export_column=3),
    )
    assert chosen.total_export_kwh == pytest.approx(192.0)


def test_energy_is_preferred_to_demand(read):
    data = read(["Date,Demand (kW),Energy (kWh)", *rows("9.9", KWH)])
    assert data.total_import_kwh == pytest.approx(KWH.sum())


def test_several_columns_of_use_are_asked_about_by_number(read):
    lines = ["Date,Peak kWh,Off peak kWh", *rows(KWH, KWH)]
    error = refused(read, lines)
    assert error.what == "the values could stand in column 2 (kWh), column 3 (kWh)"
    for column in (3, "Off peak kWh"):
        data = read(lines, facts=TableFacts(value_column=column))
        assert data.total_import_kwh == pytest.approx(KWH.sum())
    assert "no column 'Peek'" in refused(read, lines, facts=TableFacts(value_column="Peek")).what


def test_start_and_end_columns_are_told_by_their_words(read):
    ends = [f"{stamp + pd.Timedelta(hours=1):%Y-%m-%d %H:%M}" for stamp in STAMPS]
    for header in ("Interval start,Interval end,kWh", "From,To,kWh"):
        data = read([header, *rows(ends, KWH)])
        assert str(data.start_local[0]) == "2024-01-28T00:00:00"
    data = read(["Start,kWh,Exported on", *rows(KWH, "2024-02-09 10:00")])
    assert str(data.start_local[-1]) == "2024-01-31T23:00:00"
    error = refused(read, ["Read date,Bill date,kWh", *rows("2024-02-09 10:00", KWH)])
    assert "several columns hold dates or times: columns 1, 2" in error.what


def test_ranges_in_one_cell_begin_with_the_start(read):
    hour = pd.Timedelta(hours=1)
    lines = [
        "Zeitraum;kWh",
        *(
            f"{s:%d.%m.%Y %H:%M} - {s + hour:%d.%m.%Y %H:%M};{v}".replace(".0", ".0")
            for s, v in zip(STAMPS, KWH, strict=True)
        ),
    ]
    assert str(read(lines).start_local[0]) == "2024-01-28T00:00:00"
    lines = [
        "Datum;Zeitraum;kWh",
        *(f"{s:%d.%m.%Y};{s:%H:%M}-{s + hour:%H:%M};{v}" for s, v in zip(STAMPS, KWH, strict=True)),
    ]
    assert read(lines).total_import_kwh == pytest.approx(KWH.sum())


def test_units_may_stand_in_a_row_of_their_own_or_before_the_table(read):
    assert read(["Date,Value", ",Wh", *rows(KWH * 1000)]).total_import_kwh == pytest.approx(
        KWH.sum()
    )
    lines = ["Unit:,MWh", "", "Date,Value", *rows(KWH)]
    assert read(lines).total_import_kwh == pytest.approx(KWH.sum() * 1000)


@pytest.mark.parametrize(
    ("unit", "kwh"), [("W", 1e-3), ("kW", 1.0), ("Wh", 1e-3), ("kWh", 1.0), ("MWh", 1e3)]
)
def test_units_of_electricity(read, unit, kwh):
    data = read([f"Date,Value [{unit}]", *rows(KWH)])
    assert data.total_import_kwh == pytest.approx(KWH.sum() * kwh)


def test_qualities_are_counted(read):
    marks = ["E"] * 10 + ["A"] * 80 + [""] * 5 + ["?"]
    data = read(["Date,kWh,Read quality", *rows(KWH, marks)])
    assert data.quality == {"estimated": 10, "valid": 80, "not stated": 6}
    data = read(["Date,kWh,Estimated", *rows(KWH, ["Yes"] * 3 + ["No"] * 93)])
    assert data.quality == {"estimated": 3, "valid": 93}


def test_one_column_per_hour_is_rejected_with_the_remedy(read):
    header = ",".join(["Date", *(f"{hour}:00" for hour in range(24))])
    body = [
        ",".join([f"2024-01-{day}", *(f"0.{hour + day}" for hour in range(24))])
        for day in range(10, 30)
    ]
    error = refused(read, [header, *body], facts=TableFacts(unit="kWh"))
    assert error.remedy == "turn the table into one row per interval"


def test_net_beside_use_alone_is_asked_about(read):
    error = refused(read, ["Date,Consumption kWh,Net kWh", *rows(KWH, KWH - 0.3)])
    assert error.what == "the values could stand in column 2 (kWh), column 3 (kWh)"


def test_a_date_with_a_mute_midnight_takes_its_time_from_the_next_column(read):
    for times in ([f"{s:%H:%M}" for s in STAMPS], [s.hour for s in STAMPS]):
        header = "Date,Hour,kWh"
        lines = [
            header,
            *(f"{s:%Y-%m-%d}T00:00:00,{t},{v}" for s, t, v in zip(STAMPS, times, KWH, strict=True)),
        ]
        assert read(lines).start_utc.size == 96


def test_times_with_points_are_times_only_under_a_header_of_time(read):
    lines = [
        "pvm;Aika;kWh",
        *(f"{s:%d.%m.%Y};{s:%H.%M};{v}" for s, v in zip(STAMPS, KWH, strict=True)),
    ]
    assert read(lines).hourly().complete
    days = pd.date_range("2024-01-10", periods=30, freq="D")
    daily = [f"{s:%d.%m.%Y};{10 + i % 7}.{15 + i}" for i, s in enumerate(days)]
    data = read(["Datum;Verbrauch (kWh)", *daily])
    assert set(data.length_s.tolist()) == {86_400}
    assert data.total_import_kwh == pytest.approx(
        sum(10 + i % 7 + (15 + i) / 100 for i in range(30))
    )


def test_intervals_that_grow_on_the_way_are_rejected_by_line(read):
    quarter = pd.date_range("2024-01-25", "2024-01-28", freq="15min", inclusive="left")
    lines = ["Start,kWh", *(f"{s:%Y-%m-%d %H:%M},0.{i % 7}" for i, s in enumerate(quarter))]
    error = refused(read, [*lines, *rows(KWH)])
    assert error.what == "from here on the stamps are 60 min apart, elsewhere 15 min"
    assert error.where == f"use.csv, line {len(lines) + 1}"


# Around the table


def test_totals_after_the_table_are_not_counted(read):
    lines = ["Date,kWh", *rows(KWH), "", f"Total,{KWH.sum():.3f}", "Printed for J. Sample"]
    data = read(lines)
    assert data.total_import_kwh == pytest.approx(KWH.sum())
    assert data.report.outcome is Outcome.REPAIRED
    assert data.report.entries[0].row == "line 99-100"
    assert "Sample" not in str(data.report)


def test_headers_repeated_by_joining_months_are_left_out(read):
    body = rows(KWH)
    data = read(["Date,kWh", *body[:48], "Date,kWh", *body[48:]])
    assert data.start_utc.size == 96
    assert data.report.entries[0].row == "line 50"


@pytest.mark.parametrize(
    ("change", "what", "line"),
    [
        (lambda lines: [*lines[:-1], lines[-1][:16]], "cut short: it has 1 columns", 97),
        (lambda lines: [*lines[:30], "no data", *lines[30:]], "has no date", 31),
        (lambda lines: [*lines[:30], lines[30] + ",7", *lines[31:]], "has 3 columns", 31),
        (lambda lines: [*lines[:30], "2024-01-29 05:00,n?a", *lines[31:]], "not repeated", 31),
    ],
)
def test_broken_lines_are_rejected_by_number(read, change, what, line):
    error = refused(read, change(["Date,kWh", *rows(KWH)]))
    assert what in error.what
    assert error.where == f"use.csv, line {line}"


def test_a_decimal_comma_that_splits_a_column_is_rejected_with_the_cause(read):
    body = [row.replace("0.", "0,") for row in rows(KWH)]
    error = refused(read, ["Date,kWh", *body])
    assert "has 3 columns" in error.what
    assert "decimal comma in a file separated by commas" in error.remedy


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_encodings_and_separators(read, encoding, separator):
    header = separator.join(["Zeitpunkt Münsterländer", "Énergie consommée (kWh)"])
    data = read([header, *rows(KWH, separator=separator)], encoding=encoding)
    assert data.total_import_kwh == pytest.approx(KWH.sum())


def test_windows_1252_is_read(read):
    data = read(
        ["Zeitpunkt;Verbrauch für Wärme (kWh)", *rows(KWH, separator=";")], encoding="cp1252"
    )
    assert data.total_import_kwh == pytest.approx(KWH.sum())


# No table


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "the file is empty"),
        (b"\n  \n", "the file is empty"),
        (b"PK\x03\x04\x00\x00", "workbook or a packed archive"),
        (b"<!DOCTYPE html><html></html>", "web page"),
        (b"<?xml version='1.0'?><feed/>", "XML file"),
        (b"%PDF-1.7", "not a plain text file"),
        (b"\x00\x01\x02\x00\x00\x00", "not a plain text file"),
        (b"hello\nworld\n", "no rows with a date and a value"),
        (b"Date,kWh\n", "headings but no rows below them"),
        (b"month,kWh\nJan 2013,155\nFeb 2013,148\n", "months without a day, such as 'Jan 2013'"),
    ],
)
def test_what_is_no_table_is_rejected(tmp_path, content, what):
    path = tmp_path / "use.csv"
    path.write_bytes(content)
    with pytest.raises(MeterError, match=what):
        read_interval(path, zone=ZONE)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(MeterError, match="no such meter file"):
        read_interval(tmp_path / "none.csv", zone=ZONE)


def test_a_file_without_values_is_rejected(read):
    lines = ["Date,Use,Temperature", *rows("", "41")]
    error = refused(read, lines, facts=TableFacts(value_column="Use", unit="kWh"))
    assert error.what == "no interval has a value"


# Results


def test_errors_keep_their_report_across_processes(read):
    error = refused(read, ["Date,Value", *rows(KWH)])
    again = pickle.loads(pickle.dumps(error))
    assert isinstance(again, EnergyModelError)
    assert again.report == error.report
    assert str(again) == str(error)


def test_arrays_of_the_result_cannot_be_changed(read):
    data = read(["Date,kWh", *rows(KWH)])
    for array in (data.start_utc, data.import_kwh, data.export_kwh, data.hourly().import_kwh):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = array[1]


def test_every_repair_is_a_notice_and_a_line_of_the_report(read):
    values = [str(v) for v in KWH]
    values[5] = ""
    data = read(["for you", "Date,kWh", *rows(values), "Total,9"])
    texts = [notice.text for notice in data.notices]
    assert [f"{entry}." for entry in data.report.entries] == texts
    assert "- use.csv, line 1: 1 line before the table; expected:" in str(data.report)
    assert str(data.report).startswith("use.csv: accepted with listed repairs\n")


def test_what_crosses_an_edge_is_divided_by_time_and_adds_up():
    # 6 h from 22:00, 9 kWh, over day edges: 3 kWh before midnight, 6 after (computed)
    start, length = np.array([22 * 3600, 30 * 3600]), np.array([6 * 3600, 48 * 3600])
    sums = summed_between(start, length, np.array([9.0, 48.0]), np.arange(5) * 86_400)
    np.testing.assert_allclose(sums, [3.0, 6.0 + 18.0, 24.0, 6.0])
    assert math.fsum(sums) == pytest.approx(57.0, rel=1e-15)


def test_months_and_hours_follow_local_standard_time(read):
    # half hours in a zone of +5:30: full hours of UTC lie at half past there
    stamps = pd.date_range("2024-01-31 18:00", periods=4, freq="h")
    lines = ["Start,kWh", *(f"{s:%Y-%m-%dT%H:%M}Z,1" for s in stamps)]
    data = read(lines, zone="Asia/Kolkata")
    hourly, monthly = data.hourly(), data.monthly()
    assert str(hourly.start_local[0]) == "2024-01-31T23"
    np.testing.assert_allclose(hourly.import_kwh, [0.5, 1.0, 1.0, 1.0, 0.5])
    np.testing.assert_allclose(hourly.covered_share, [0.5, 1.0, 1.0, 1.0, 0.5])
    assert not hourly.complete
    np.testing.assert_allclose(monthly.import_kwh, [0.5, 3.5])
    assert [str(month) for month in monthly.month] == ["2024-01", "2024-02"]


def test_net_columns_are_split_without_asking(read):
    data = read(["Date,Net usage (kWh)", *rows(KWH - 0.4)])
    net = KWH - 0.4
    assert data.total_import_kwh == pytest.approx(net[net > 0].sum())
    assert data.total_export_kwh == pytest.approx(-net[net < 0].sum())
    assert data.report.outcome is Outcome.ACCEPTED
    assert read(["Date,kWh", *rows(KWH)], meter=MeterFacts(signs="net")).total_export_kwh == 0.0
