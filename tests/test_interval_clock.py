"""Stamps of meter tables on the days on which clocks change, in the zones of several countries.

Instants are checked against pandas, which takes them from the IANA time zone database.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from energymodel.meters.facts import TableFacts
from energymodel.meters.import_report import MeterError, Outcome
from energymodel.meters.interval import read_interval

# zone, local standard offset in hours, day forward, day back (IANA time zone database)
ZONES = [
    ("America/New_York", -5.0, "2024-03-10", "2024-11-03"),
    ("America/St_Johns", -3.5, "2024-03-10", "2024-11-03"),
    ("Europe/Berlin", 1.0, "2024-03-31", "2024-10-27"),
    ("Europe/Dublin", 0.0, "2024-03-31", "2024-10-27"),
    ("Europe/Lisbon", 0.0, "2024-03-31", "2024-10-27"),
    ("Australia/Adelaide", 9.5, "2023-10-01", "2024-04-07"),
    ("Pacific/Auckland", 12.0, "2023-09-24", "2024-04-07"),
    ("America/Santiago", -4.0, "2024-09-08", "2024-04-07"),
]


@pytest.fixture
def read(tmp_path):
    def from_rows(stamps, values, *, zone, header="Start,kWh", **facts):
        path = tmp_path / "use.csv"
        rows = (f"{stamp},{value}" for stamp, value in zip(stamps, values, strict=True))
        path.write_text("\n".join([header, *rows]), encoding="utf-8")
        return read_interval(path, zone=zone, facts=TableFacts(**facts))

    return from_rows


def around(day, zone, minutes=60):
    """Five days with the change in the middle, one of them after the twelfth of a month."""
    middle = pd.Timestamp(day)
    return pd.date_range(
        middle - pd.Timedelta(days=2),
        middle + pd.Timedelta(days=3),
        freq=f"{minutes}min",
        tz=zone,
        inclusive="left",
    )


def spelled(moments, form="%Y-%m-%d %H:%M"):
    return [f"{moment:{form}}" for moment in moments]


def values_for(moments):
    return np.random.default_rng(7).integers(50, 900, len(moments)) / 1000.0


def utc(moments):
    return moments.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]")


@pytest.mark.parametrize(("zone", "offset", "forward", "back"), ZONES)
@pytest.mark.parametrize("minutes", [60, 30])
def test_wall_clock_stamps_become_the_right_instants(read, zone, offset, forward, back, minutes):
    for day, hours in ((forward, 23), (back, 25)):
        moments = around(day, zone, minutes)
        values = values_for(moments)
        data = read(spelled(moments), values, zone=zone)
        np.testing.assert_array_equal(data.start_utc, utc(moments))
        assert data.standard_offset_s == offset * 3600
        assert data.report.outcome is Outcome.ACCEPTED
        assert f"{day} has {hours} hours" in data.notices[0].text
        hourly = data.hourly()
        assert np.nansum(hourly.import_kwh) == pytest.approx(values.sum(), rel=1e-12)
        assert hourly.start_local.size in (119, 121)


@pytest.mark.parametrize(("zone", "offset", "forward", "back"), ZONES)
def test_end_labels_may_be_readings_of_the_clock_or_start_plus_length(
    read, zone, offset, forward, back
):
    step = pd.Timedelta(minutes=30)
    for day in (forward, back):
        moments = around(day, zone, 30)
        values = values_for(moments)
        for labels in ((moments + step).tz_localize(None), moments.tz_localize(None) + step):
            data = read(spelled(labels), values, zone=zone, header="End,kWh")
            np.testing.assert_array_equal(data.start_utc, utc(moments))
            assert data.report.outcome is Outcome.ACCEPTED


def test_rows_from_the_newest_to_the_oldest_keep_the_order_of_the_doubled_hour(read):
    moments = around("2024-11-03", "America/New_York")
    values = values_for(moments)
    data = read(spelled(moments)[::-1], values[::-1], zone="America/New_York")
    np.testing.assert_array_equal(data.start_utc, utc(moments))
    np.testing.assert_allclose(data.import_kwh, values)


def test_stamps_with_their_offset_need_no_guess(read):
    moments = around("2024-11-03", "America/New_York")
    stamps = [moment.isoformat() for moment in moments]
    data = read(stamps, values_for(moments), zone="America/New_York")
    np.testing.assert_array_equal(data.start_utc, utc(moments))
    stamps[5] = stamps[5][:-6]
    with pytest.raises(MeterError, match="some stamps have an offset from UTC and some have none"):
        read(stamps, values_for(moments), zone="America/New_York")


@pytest.mark.parametrize(
    ("zone", "day", "letters"),
    [
        ("America/New_York", "2024-11-03", {"EST": "EST", "EDT": "EDT"}),
        ("Europe/Berlin", "2024-10-27", {"CET": "MEZ", "CEST": "MESZ"}),
        ("Europe/London", "2024-03-31", {"GMT": "GMT", "BST": "BST"}),
    ],
)
def test_letters_behind_the_time_are_those_of_the_zone(read, zone, day, letters):
    moments = around(day, zone, 30)
    stamps = [f"{moment:%Y-%m-%d %H:%M} {letters[moment.tzname()]}" for moment in moments]
    data = read(stamps, values_for(moments), zone=zone)
    np.testing.assert_array_equal(data.start_utc, utc(moments))
    with pytest.raises(MeterError, match="none of the zone America/Denver"):
        read(stamps, values_for(moments), zone="America/Denver")


def test_utc_stamps_are_taken_as_utc_when_said(read):
    moments = around("2024-11-03", "America/New_York").tz_convert("UTC")
    data = read(spelled(moments), values_for(moments), zone="America/New_York", clock="utc")
    np.testing.assert_array_equal(data.start_utc, utc(moments))
    zulu = spelled(moments, "%Y-%m-%dT%H:%M:%SZ")
    data = read(zulu, values_for(moments), zone="America/New_York")
    np.testing.assert_array_equal(data.start_utc, utc(moments))


def test_a_year_of_whole_days_whose_pattern_moves_stays_on_standard_time(read):
    local = pd.date_range("2024-01-01", "2025-01-01", freq="h", inclusive="left")
    # habits follow the wall clock of the place, and the labels standard time
    wall = local.tz_localize("Etc/GMT-1").tz_convert("Europe/Berlin").hour
    values = values_for(local) + 2.0 * ((wall >= 17) & (wall < 21)) + 1.0 * (wall == 6)
    data = read(spelled(local), values, zone="Europe/Berlin")
    np.testing.assert_array_equal(data.start_local, local.to_numpy().astype("datetime64[s]"))
    clock = next(line for line in data.report.read_as if line.name == "clock")
    assert clock.value == "local standard time all year"
    assert data.hourly().start_local.size == 8784


@pytest.mark.parametrize("day", ["2024-03-10", "2024-11-03"])
def test_one_change_day_with_24_hours_is_asked_about(read, day):
    local = pd.date_range(pd.Timestamp(day) - pd.Timedelta(days=2), periods=120, freq="h")
    values = values_for(local)
    with pytest.raises(MeterError) as caught:
        read(spelled(local), values, zone="America/New_York")
    assert f"changes on {day}, but the file has 24 hours on that day" in caught.value.what
    assert caught.value.remedy == (
        'say --clock standard or --clock wall (from Python: clock="standard" or clock="wall")'
    )
    data = read(spelled(local), values, zone="America/New_York", clock="standard")
    np.testing.assert_array_equal(data.start_local, local.to_numpy().astype("datetime64[s]"))
    data = read(spelled(local), values, zone="America/New_York", clock="wall")
    assert data.total_import_kwh == pytest.approx(values.sum())
    assert data.report.outcome is Outcome.REPAIRED


def test_doubled_stamps_side_by_side_are_rejected_unless_they_are_equal(read):
    moments = around("2024-11-03", "America/New_York", 30)
    order = np.argsort(moments.tz_localize(None), kind="stable")
    stamps = [spelled(moments)[i] for i in order]
    values = values_for(moments)
    with pytest.raises(MeterError) as caught:
        read(stamps, values[order], zone="America/New_York")
    assert "comes twice on this day" in caught.value.what
    assert "2024-11-03 01:" in caught.value.what
    values[:] = 0.25
    values[10] = 0.3
    data = read(stamps, values[order], zone="America/New_York")
    np.testing.assert_array_equal(data.start_utc, utc(moments))


def test_a_file_of_one_season_lists_the_clock_as_a_default(read):
    local = pd.date_range("2024-07-11", periods=96, freq="h")
    data = read(spelled(local), values_for(local), zone="America/New_York")
    assert [str(used) for used in data.defaults] == [
        "meter clock: wall clock of America/New_York (common practice; no change of the clock in "
        "the file)"
    ]
    # 00:00 daylight time is 23:00 standard time of the day before
    assert str(data.start_local[0]) == "2024-07-10T23:00:00"


# Hour numbers


def numbered(day, kind):
    """Rows of date and hour number as portals write them around a change."""
    moments = around(day, "America/New_York")
    rows = []
    for date, group in moments.to_series().groupby(moments.date):
        hours = [moment.hour for moment in group]
        if kind == "count from 1":
            labels = list(range(1, len(hours) + 1))
        elif kind == "count from 0":
            labels = list(range(len(hours)))
        else:
            labels = [hour + 1 for hour in hours]
        if kind == "lettered":
            seen: list[int] = []
            labels = [
                f"{label}{'B' if label in seen else 'A'}"
                if labels.count(label) > 1 and not seen.append(label) and seen.count(label) == 2
                else f"{label}A" if labels.count(label) > 1 else str(label)
                for label in labels
            ]  # fmt: skip
        rows += [f"{date:%m/%d/%Y},{label}" for label in labels]
    return moments, rows


@pytest.mark.parametrize("day", ["2024-03-10", "2024-11-03"])
@pytest.mark.parametrize("kind", ["1 to 24", "count from 1", "count from 0", "lettered"])
def test_hour_numbers_skip_repeat_or_count_the_hours_of_a_change(read, day, kind):
    moments, rows = numbered(day, kind)
    values = values_for(moments)
    data = read(rows, values, zone="America/New_York", header="Date,Hour,kWh")
    np.testing.assert_array_equal(data.start_utc, utc(moments))
    np.testing.assert_allclose(data.import_kwh, values)
    stamps = next(line for line in data.report.read_as if line.name == "stamps")
    assert stamps.value == ("interval start" if kind == "count from 0" else "interval end")


def test_hour_numbers_that_leave_the_label_open_are_asked_about(read):
    rows = [f"2024-01-{day},{hour}" for day in (28, 29) for hour in range(8, 18)]
    with pytest.raises(MeterError) as caught:
        read(rows, np.ones(20), zone="America/New_York", header="Date,Hour,kWh")
    assert "run from 8 to 17" in caught.value.what
    data = read(rows, np.ones(20), zone="America/New_York", header="Date,Hour ending,kWh")
    assert str(data.start_local[0]) == "2024-01-28T07:00:00"


# Labels


def test_labels_are_told_by_the_edges_of_the_file_else_listed_as_a_default(read):
    local = pd.date_range("2024-01-28", periods=96, freq="30min")
    half = pd.Timedelta(minutes=30)
    for stamps, basis in (
        (local, "the file begins at 00:00 and ends at 23:30"),
        (local + half, "the file begins at 00:30 and ends at 00:00"),
        (local[3:] + half, "common practice"),
    ):
        data = read(spelled(stamps), values_for(stamps), zone="Europe/Berlin", header="Date,kWh")
        line = next(line for line in data.report.read_as if line.name == "stamps")
        assert line.basis == basis
        assert bool(data.defaults) == (basis == "common practice")
        first = stamps[0] - half if "00:30" in basis else stamps[0]
        assert data.start_local[0] == first.to_datetime64()


def test_midnight_written_as_24_means_labels_at_the_end(read):
    local = pd.date_range("2024-01-28 01:00", periods=47, freq="h")
    stamps = [
        f"{(moment - pd.Timedelta(days=1)):%Y-%m-%d} 24:00" if moment.hour == 0 else text
        for moment, text in zip(local, spelled(local), strict=True)
    ]
    data = read(stamps, np.ones(47), zone="Europe/Berlin", header="Date,kWh")
    assert str(data.start_local[0]) == "2024-01-28T00:00:00"
    assert str(data.start_local[23]) == "2024-01-28T23:00:00"


# Days and zones


def test_days_of_23_and_25_hours_keep_their_length(read):
    days = pd.date_range("2024-10-25", periods=14, freq="D", tz="Europe/Berlin")
    data = read(spelled(days, "%d.%m.%Y"), np.full(14, 8.0), zone="Europe/Berlin")
    assert data.length_s.tolist() == [86_400] * 2 + [90_000] + [86_400] * 11
    assert data.report.outcome is Outcome.ACCEPTED
    monthly = data.monthly()
    assert np.nansum(monthly.import_kwh) == pytest.approx(112.0)
    with pytest.raises(MeterError, match="intervals last up to 25 h"):
        data.hourly()


@pytest.mark.parametrize("zone", ["localtime", "America/New York", "", "../etc/passwd", "America"])
def test_a_zone_that_is_none_or_means_the_computer_is_refused(read, zone):
    local = pd.date_range("2024-01-28", periods=48, freq="h")
    with pytest.raises(MeterError, match="time zone"):
        read(spelled(local), np.ones(48), zone=zone)


def test_the_computers_own_zone_does_not_matter(read, monkeypatch):
    import time

    moments = around("2024-11-03", "America/New_York")
    values = values_for(moments)
    starts = []
    for own in ("UTC", "Asia/Tokyo", "America/Los_Angeles"):
        monkeypatch.setenv("TZ", own)
        time.tzset()
        starts.append(read(spelled(moments), values, zone="America/New_York").start_utc)
    monkeypatch.undo()
    time.tzset()
    np.testing.assert_array_equal(starts[0], starts[1])
    np.testing.assert_array_equal(starts[0], starts[2])


def test_rows_out_of_order_within_an_hour_are_rejected(read):
    local = pd.date_range("2024-01-28", periods=96, freq="15min")
    stamps = spelled(local)
    stamps[9], stamps[10] = stamps[10], stamps[9]
    with pytest.raises(MeterError, match="lies before the one above it"):
        read(stamps, np.arange(96) % 7, zone="Europe/Berlin")


@pytest.mark.parametrize("rows", [1, 2, 3, 13])
def test_a_few_rows_are_enough_if_the_interval_is_known(read, rows):
    local = pd.date_range("2024-01-28", periods=rows, freq="15min")
    data = read(spelled(local), np.ones(rows), zone="Europe/Berlin", interval_min=15)
    assert data.start_utc.size == rows
    assert data.total_import_kwh == pytest.approx(rows)
    assert np.nansum(data.hourly().import_kwh) == pytest.approx(rows)


def test_a_single_row_needs_its_interval(read):
    with pytest.raises(MeterError, match="there is only one stamp"):
        read(["2024-01-28 00:00"], [1.0], zone="Europe/Berlin")
