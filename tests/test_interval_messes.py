"""Messy meter tables as portals and spreadsheets leave them: right total or right reason.

The kinds of mess are those that users report from portals and spreadsheets; all figures are
invented, the expected ones computed.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from energymodel.meters.bill_check import BillLine
from energymodel.meters.facts import MeterFacts, TableFacts
from energymodel.meters.import_report import MeterError, Outcome
from energymodel.meters.interval import read_interval

ZONE = "America/New_York"
NET = MeterFacts(signs="net")


@pytest.fixture
def read(tmp_path):
    def from_lines(lines, *, encoding="utf-8", zone=ZONE, **options):
        path = tmp_path / "use.csv"
        path.write_bytes("\n".join(lines).encode(encoding))
        return read_interval(path, zone=zone, **options)

    return from_lines


def quarter_hours(days=3, first="2024-01-29", minutes=15):
    return pd.date_range(first, periods=days * 1440 // minutes, freq=f"{minutes}min")


def watt_hours(count, seed=1):
    return np.random.default_rng(seed).integers(20, 900, count)


def plain(header="Start,Usage (kWh)", stamps=None, values=None, form="%Y-%m-%d %H:%M"):
    stamps = quarter_hours() if stamps is None else stamps
    values = watt_hours(stamps.size) / 1000.0 if values is None else values
    return [
        header, *(f"{stamp:{form}},{value}" for stamp, value in zip(stamps, values, strict=True))
    ]  # fmt: skip


def rejection(read, lines, **options):
    with pytest.raises(MeterError) as caught:
        read(lines, **options)
    report = caught.value.report
    assert report.outcome is Outcome.REJECTED
    assert len(report.entries) == 1
    assert report.entries[0].found == caught.value.what
    assert report.entries[0].file
    assert report.entries[0].expected
    return caught.value


def test_a_clean_file_is_accepted_without_repairs(read):
    data = read(plain())
    assert data.report.outcome is Outcome.ACCEPTED
    assert data.report.entries == ()
    assert data.total_import_kwh == pytest.approx(watt_hours(288).sum() / 1000.0)
    assert data.total_export_kwh == 0.0


# Intervals repeated on the short spring day


def spring_day_of_fixed_length(repeated):
    """24 hourly rows on 2024-03-10, as if the day were not short."""
    hours = [f"2024-03-{day:02d} {hour:02d}:00" for day in (9, 10, 11) for hour in range(24)]
    hours[24 + 2] = repeated
    values = [round(0.4 + 0.01 * i, 2) for i in range(72)]
    return hours, values


def test_repeated_stamps_of_the_short_day_are_folded_and_the_total_stays(read):
    stamps, values = spring_day_of_fixed_length("2024-03-10 03:00")
    lines = ["Start,kWh", *(f"{s},{v}" for s, v in zip(stamps, values[::-1], strict=True))]
    data = read(lines)
    assert data.report.outcome is Outcome.REPAIRED
    assert data.total_import_kwh == pytest.approx(sum(values))
    assert data.start_utc.size == 71
    entry = data.report.entries[0]
    assert "2024-03-10" in entry.found
    assert entry.row == "line 29"
    assert "folded" in entry.done
    assert "total is unchanged" in entry.done
    doubled = data.hourly().import_kwh[24 + 2]
    assert doubled == pytest.approx(values[::-1][26] + values[::-1][27])


@pytest.mark.parametrize("value", ["0", "", "0.000"])
def test_blank_and_zero_rows_of_the_skipped_hour_are_dropped(read, value):
    stamps, values = spring_day_of_fixed_length("2024-03-10 02:00")
    cells = [str(v) for v in values[::-1]]
    cells[26] = value
    data = read(["Start,kWh", *(f"{s},{v}" for s, v in zip(stamps, cells, strict=True))])
    assert data.total_import_kwh == pytest.approx(sum(values) - values[::-1][26])
    assert data.start_utc.size == 71
    assert data.hourly().complete
    if value:
        assert "dropped: zero or blank" in data.report.entries[0].done


def test_equal_repeats_can_be_dropped_by_the_users_rule(read):
    stamps, values = spring_day_of_fixed_length("2024-03-10 03:00")
    values = values[::-1]
    values[26] = values[27]
    lines = ["Start,kWh", *(f"{s},{v}" for s, v in zip(stamps, values, strict=True))]
    folded = read(lines)
    assert folded.total_import_kwh == pytest.approx(sum(values))
    assert 'say --repeats drop (from Python: repeats="drop")' in folded.report.entries[0].done
    dropped = read(lines, meter=MeterFacts(repeats="drop"))
    assert dropped.total_import_kwh == pytest.approx(sum(values) - values[27])
    assert "counted once" in dropped.report.entries[0].done


def test_unequal_repeats_are_not_dropped(read):
    stamps, values = spring_day_of_fixed_length("2024-03-10 03:00")
    lines = ["Start,kWh", *(f"{s},{v}" for s, v in zip(stamps, values[::-1], strict=True))]
    error = rejection(read, lines, meter=MeterFacts(repeats="drop"))
    assert "would lose energy" in error.what
    assert "line 29" in error.where


def test_repeats_on_any_other_day_are_rejected(read):
    lines = plain()
    lines.insert(50, lines[50])
    error = rejection(read, lines)
    assert "stands twice, first in line 51" in error.what
    assert error.where == "use.csv, line 52"


# Preamble, 12-hour clock, export as negative values

PREAMBLE = [
    "Electric use export",
    "Name,JANE Q SAMPLE",
    "Address,1234 INVENTED LANE APT 5",
    "City,NOWHERE ZZ 00000",
    "Account Number,9876543210",
    "Meter,ELE-00112233",
    "Service,RS-1 Residential",
    "Start date,12/31/1969",
    "End date,01/31/2024",
    '"Note: ""unbalanced, quote',
    "",
]


def net_lines():
    stamps = quarter_hours()
    values = watt_hours(stamps.size) - 400
    rows = [f"{s:%m/%d/%Y %I:%M:%S %p},{v / 1000:.3f}" for s, v in zip(stamps, values, strict=True)]
    return [*PREAMBLE, "Date and Time,kWh", *rows], values / 1000.0


def test_a_preamble_is_left_out_and_net_values_are_split(read):
    lines, values = net_lines()
    data = read(lines, meter=NET)
    assert data.total_import_kwh == pytest.approx(values[values > 0].sum())
    assert data.total_export_kwh == pytest.approx(-values[values < 0].sum())
    assert data.report.entries[0].row == "line 1-10"
    assert str(data.start_local[0]) == "2024-01-29T00:00:00"


def test_net_values_without_a_statement_are_asked_about(read):
    lines, values = net_lines()
    error = rejection(read, lines)
    assert f"{(values < 0).sum()} values are negative: is the column load or net?" in error.what
    first = len(PREAMBLE) + 2 + int(np.argmax(values < 0))
    assert error.where == f"use.csv, line {first}"
    assert 'say --signs net (from Python: signs="net")' in error.remedy


def test_a_load_cannot_be_negative(read):
    lines, _ = net_lines()
    assert (
        "a load cannot be negative" in rejection(read, lines, meter=MeterFacts(signs="load")).what
    )


# Semicolons, meter number in scientific notation, header deleted, average W


def headless():
    stamps = quarter_hours(minutes=30)
    watts = watt_hours(stamps.size) * 4
    return [
        f"2,31282E+13;{s:%d.%m.%Y %H:%M};{w}" for s, w in zip(stamps, watts, strict=True)
    ], watts  # fmt: skip


def test_a_headless_file_is_rejected_naming_both_missing_facts(read):
    lines, _ = headless()
    error = rejection(read, lines)
    assert "two facts are missing: the unit of the values" in error.what
    assert "the interval that each covers (the stamps are 30 min apart)" in error.what
    assert "31282" not in str(error)


def test_a_headless_file_is_read_with_unit_and_interval(read):
    lines, watts = headless()
    data = read(lines, facts=TableFacts(unit="W", interval_min=30))
    assert data.total_import_kwh == pytest.approx(watts.sum() * 0.5 / 1000.0)
    assert data.hourly().import_kwh[0] == pytest.approx((watts[0] + watts[1]) * 0.5 / 1000.0)


def test_an_interval_that_contradicts_the_stamps_is_rejected(read):
    lines, _ = headless()
    error = rejection(read, lines, facts=TableFacts(unit="W", interval_min=15))
    assert "30 min apart" in error.what


# A column headed kW in another language, decimal comma


def foreign(base=4.0):
    stamps = quarter_hours()
    values = base + watt_hours(stamps.size) / 1000.0
    rows = [
        f"{s:%d/%m/%Y};{s:%H:%M};{v:.3f}".replace(".", ",")
        for s, v in zip(stamps, values, strict=True)
    ]
    return ["Datum;Uhrzeit;Wert (in kW)", *rows], np.round(values, 3)


def test_kw_in_a_header_is_asked_about(read):
    lines, _ = foreign()
    error = rejection(read, lines)
    assert error.what == "the header says kW, but such columns often hold kWh"


@pytest.mark.parametrize(("unit", "factor"), [("kW", 0.25), ("kWh", 1.0)])
def test_kw_or_kwh_is_taken_from_the_user_and_rows_below_one_show_the_comma(read, unit, factor):
    lines, values = foreign(base=0.4)
    data = read(lines, facts=TableFacts(unit=unit))
    assert data.total_import_kwh == pytest.approx(values.sum() * factor)
    marks = [line for line in data.report.read_as if line.name == "decimal mark"]
    assert str(marks[0]) == "decimal mark: ',' (all rows)"


@pytest.mark.parametrize(("unit", "factor"), [("kW", 0.25), ("kWh", 1.0)])
def test_one_bill_line_tells_kw_from_kwh(read, unit, factor):
    lines, values = foreign(base=0.4)
    bill = BillLine(
        first_day=date(2024, 1, 29),
        last_day=date(2024, 1, 31),
        quantity=round(values.sum() * factor * 1.01),
    )
    data = read(lines, bill=bill)
    assert data.total_import_kwh == pytest.approx(values.sum() * factor)
    assert f"unit: {unit} " in str(data.report)


def test_kw_over_whole_hours_needs_no_question(read):
    stamps = quarter_hours(minutes=60)
    data = read(plain("Start,Load (kW)", stamps=stamps))
    assert data.total_import_kwh == pytest.approx(watt_hours(72).sum() / 1000.0)


# Comma and point as decimal or thousands separator


@pytest.mark.parametrize(
    ("separator", "cell"),
    [("\t", "4,030"), ("\t", "4.030"), (";", "4.030"), (";", "4,030"), (",", '"4,030"')],
)
def test_numbers_that_can_be_read_in_two_ways_are_rejected_with_both_readings(
    read, separator, cell
):
    rows = [f"{s:%Y-%m-%d %H:%M}{separator}{cell}" for s in quarter_hours()]
    lines = [f"Start{separator}Wh", *rows]
    error = rejection(read, lines)
    mark = "," if "," in cell else "."
    comma, point = ("4.03", "4030") if mark == "," else ("4030", "4.03")
    assert f"{comma} with a decimal comma or {point} with a decimal point" in error.what
    # one row that fits one reading only decides for all
    lines[100] = lines[100].replace(cell, "0.5")
    expected = 4030 if mark == "," else 4.03
    assert read(lines).total_import_kwh == pytest.approx((287 * expected + 0.5) / 1000.0)


def test_the_user_may_say_the_decimal_mark(read):
    lines = ["Start\tWh", *(f"{s:%Y-%m-%d %H:%M}\t4,030" for s in quarter_hours())]
    data = read(lines, facts=TableFacts(decimal_mark=","))
    assert data.total_import_kwh == pytest.approx(288 * 4.03 / 1000.0)


@pytest.mark.parametrize(
    ("cells", "kwh"),
    [
        (["1.234,5", "0,5"], 1235.0),
        (["1,234.5", "0.5"], 1235.0),
        (["1 234,5", "0,5"], 1235.0),
        (["1\u00a0234,5", "0,5"], 1235.0),
        (["1'234.5", "0.5"], 1235.0),
        (["1.2e3", "0.5"], 1200.5),
        (["12", "7"], 19.0),
    ],
)
def test_thousands_are_told_from_decimals_by_all_rows(read, cells, kwh):
    rows = [
        f"2024-01-29 {hour:02d}:00\t{cells[min(hour, 1)] if hour < 2 else 0}" for hour in range(24)
    ]
    assert read(["Start\tkWh", *rows]).total_import_kwh == pytest.approx(kwh)


def test_two_number_formats_in_one_column_are_rejected(read):
    lines = ["Start;kWh", *(f"{s:%Y-%m-%d %H:%M};0,25" for s in quarter_hours())]
    lines[7] = lines[7].replace("0,25", "1.5")
    error = rejection(read, lines)
    assert "mix two number formats" in error.what
    assert "'1.5' in line 8" in error.what


# Byte-order marks


def test_byte_order_marks_on_the_first_and_second_line_are_stripped(read):
    lines = plain()
    lines = ["\ufeff" + lines[0], "\ufeff" + lines[1], *lines[2:]]
    data = read(lines)
    assert data.report.outcome is Outcome.ACCEPTED
    assert data.start_utc.size == 288
    assert str(data.start_local[0]) == "2024-01-29T00:00:00"


def test_a_missing_time_column_is_an_error(read):
    error = rejection(read, ["kWh,Cost", *(f"0.{i:03d},1.0" for i in range(1, 90))])
    assert "no time column" in error.what


# Dates rewritten by a spreadsheet


def swapped():
    """Day and month swapped wherever the day can be a month."""
    stamps = pd.date_range("2024-01-01", periods=31 * 24, freq="h")
    return [
        "Date,kWh",
        *(f"{s:%d/%m/%Y %H:%M},1" if s.day <= 12 else f"{s:%m/%d/%Y %H:%M},1" for s in stamps),
    ]


def test_dates_swapped_where_possible_are_rejected(read):
    error = rejection(read, swapped())
    assert "do not rise under any single date format" in error.what
    assert "read as day, month, year: '01/13/2024 00:00' does not exist" in error.what
    assert "read as month, day, year" in error.what
    assert "(line 290)" in error.what


def test_two_clocks_in_one_file_are_rejected(read):
    lines = plain(form="%m/%d/%Y %H:%M")
    lines[100:] = plain(form="%m/%d/%Y %I:%M:%S %p")[100:]
    error = rejection(read, lines)
    assert "12-hour clock" in error.what
    assert error.where == "use.csv, line 101"


def test_a_twelve_hour_clock_that_lost_its_halves_is_rejected(read):
    error = rejection(read, plain(form="%m/%d/%Y %I:%M"))
    assert "hours run from 1 to 12 without a.m. or p.m." in error.what


def test_dates_that_fit_two_orders_are_decided_by_their_gaps(read):
    stamps = pd.date_range("2024-01-01", periods=9 * 24, freq="h")
    for form in ("%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M"):
        data = read(plain(stamps=stamps, form=form))
        assert str(data.start_local[-1]) == "2024-01-09T23:00:00"


def test_a_single_day_that_fits_two_orders_is_rejected_with_both(read):
    stamps = pd.date_range("2024-03-05", periods=24, freq="h")
    error = rejection(read, plain(stamps=stamps, form="%d/%m/%Y %H:%M"))
    assert "2024-03-05 00:00" in error.what
    assert "2024-05-03 00:00" in error.what
    data = read(plain(stamps=stamps, form="%d/%m/%Y %H:%M"), facts=TableFacts(date_order="dmy"))
    assert str(data.start_local[0]) == "2024-03-05T00:00:00"


def test_seconds_that_wander_are_moved_to_even_intervals(read):
    stamps = quarter_hours() + pd.to_timedelta(np.arange(288) % 7, unit="s")
    data = read(plain(stamps=stamps, form="%m/%d/%Y %H:%M:%S"))
    assert data.total_import_kwh == pytest.approx(watt_hours(288).sum() / 1000.0)
    assert "up to 6 s beside even steps of 15 min" in data.report.entries[0].found
    assert data.hourly().complete
