"""The clock of Green Button files: bit-coded rules against the IANA time zone database."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.meters.bill_check import BillLine
from energymodel.meters.espi_time import EspiClock, decode_dst_rule, read_espi_clock
from energymodel.meters.green_button import read_green_button
from energymodel.meters.import_report import MeterError

NORTH_AMERICA = {
    "tzOffset": "-18000", "dstOffset": "3600", "dstStartRule": "360E2000", "dstEndRule": "B40E2000",
}  # fmt: skip


def coded(month, operator, day, weekday, hour, second=0):
    """Bits 0-11 seconds, 12-16 hour, 17-19 weekday, 20-24 day, 25-27 operator, 28-31 month."""
    bits = month << 28 | operator << 25 | day << 20 | weekday << 17 | hour << 12 | second
    return f"{bits:08X}"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        # decoded by hand from the bit fields (computed)
        ("360E2000", "second Sunday of March 02:00"),
        ("B40E2000", "first Sunday of November 02:00"),
        ("3E0E2000", "last Sunday of March 02:00"),
        ("AE0E3000", "last Sunday of October 03:00"),
        ("328E2000", "Sunday on or after March 8 02:00"),
        ("40F00000", "April 15 00:00"),
        ("360e2000", "second Sunday of March 02:00"),
    ],
)
def test_rules_are_decoded(text, words):
    assert str(decode_dst_rule(text)) == words


def test_all_ones_mean_no_daylight_saving():
    assert decode_dst_rule("FFFFFFFF") is None


@pytest.mark.parametrize(
    "text",
    ["", "summer", "00000000", "F60E2000", "36002000", "20F0FFFFF", "-360E2000", "21E00000",
     "32002000"],
)  # fmt: skip
def test_what_is_no_rule_is_rejected(text):
    with pytest.raises(MeterError, match="cannot be decoded"):
        decode_dst_rule(text)


@given(
    st.integers(1, 12), st.integers(1, 7), st.integers(0, 23), st.sampled_from([0, 900, 1800, 3599])
)
def test_a_coded_rule_comes_back(month, weekday, hour, second):
    for operator in range(2, 8):
        rule = decode_dst_rule(coded(month, operator, 0, weekday, hour, second))
        assert (rule.month, rule.operator, rule.weekday) == (month, operator, weekday)
        assert rule.second == hour * 3600 + second
        for year in (2023, 2024):
            day = rule.date_in(year)
            assert (day.month, day.isoweekday()) == (month, weekday)
            if operator <= 5:
                assert (day.day - 1) // 7 == operator - 2
            if operator == 7:
                assert (day + timedelta(days=7)).month != month


@pytest.mark.parametrize(
    ("start", "end", "offset", "zone"),
    [
        (coded(3, 3, 0, 7, 2), coded(11, 2, 0, 7, 2), -18000, "America/New_York"),
        (coded(3, 1, 8, 7, 2), coded(11, 1, 1, 7, 2), -21600, "America/Chicago"),
        (coded(3, 7, 0, 7, 2), coded(10, 7, 0, 7, 3), 3600, "Europe/Berlin"),
        (coded(3, 7, 0, 7, 1), coded(10, 7, 0, 7, 2), 0, "Europe/London"),
        (coded(10, 2, 0, 7, 2), coded(4, 2, 0, 7, 3), 36000, "Australia/Sydney"),
        (coded(9, 7, 0, 7, 2), coded(4, 2, 0, 7, 3), 43200, "Pacific/Auckland"),
    ],
)
def test_the_rules_give_the_offsets_of_the_time_zone_database(start, end, offset, zone):
    stated = EspiClock(
        standard_offset_s=offset,
        dst_offset_s=3600,
        start=decode_dst_rule(start),
        end=decode_dst_rule(end),
    )
    first = int(datetime(2022, 1, 1, tzinfo=UTC).timestamp())
    moments = np.arange(first, first + 3 * 366 * 86_400, 1800, dtype=np.int64)
    place = ZoneInfo(zone)
    got = stated.clock(int(moments[0]), int(moments[-1])).offset_s(moments)
    # every half hour around the changes, every day elsewhere
    steps = np.flatnonzero(np.diff(got)) + 1
    near = (steps[:, None] + np.arange(-4, 5)).ravel()
    for i in np.unique(np.concatenate([near, np.arange(0, moments.size, 48)])):
        there = datetime.fromtimestamp(int(moments[i]), UTC).astimezone(place)
        assert got[i] == there.utcoffset().total_seconds(), there
    assert steps.size == 6


def test_the_clock_is_put_into_words():
    assert str(read_espi_clock(NORTH_AMERICA, where="use.xml")) == (
        "UTC-05:00, +1 h from second Sunday of March 02:00 to first Sunday of November 02:00"
    )
    fixed = {"tzOffset": "19800", "dstStartRule": "FFFFFFFF", "dstEndRule": "FFFFFFFF"}
    assert str(read_espi_clock(fixed, where="use.xml")) == "UTC+05:30"


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"tzOffset": ""}, "the time block has no tzOffset"),
        ({"tzOffset": "EST"}, "tzOffset is no offset"),
        ({"tzOffset": "-180000"}, "tzOffset is no offset"),
        ({"dstOffset": "one"}, "dstOffset is no offset"),
        ({"dstEndRule": "FFFFFFFF"}, "one of the two daylight-saving rules is missing"),
        ({"dstEndRule": "x"}, "cannot be decoded"),
    ],
)
def test_broken_time_blocks_are_rejected(change, what):
    with pytest.raises(MeterError, match=what):
        read_espi_clock({**NORTH_AMERICA, **change}, where="use.xml")


# In whole files


@pytest.fixture
def read(tmp_path):
    def from_clock(clock, start, hours=72, **options):
        block = "".join(f"<{key}>{value}</{key}>" for key, value in (clock or {}).items())
        time = (
            '<entry><link rel="self" href="/T/1"/><content><LocalTimeParameters xmlns="'
            f'http://naesb.org/espi">{block}</LocalTimeParameters></content></entry>'
        )
        readings = "".join(
            f"<IntervalReading><timePeriod><duration>3600</duration><start>{start + 3600 * i}"
            f"</start></timePeriod><value>1000</value></IntervalReading>"
            for i in range(hours)
        )
        path = tmp_path / "use.xml"
        path.write_text(
            '<feed xmlns="http://www.w3.org/2005/Atom" xmlns:e="http://naesb.org/espi">'
            '<entry><link rel="self" href="/U/1"/><link rel="related" href="/U/1/M"/>'
            "<content><e:UsagePoint><e:ServiceCategory><e:kind>0</e:kind></e:ServiceCategory>"
            "</e:UsagePoint></content></entry>"
            '<entry><link rel="self" href="/U/1/M/1"/><link rel="up" href="/U/1/M"/>'
            '<link rel="related" href="/R/1"/><content><e:MeterReading/></content></entry>'
            '<entry><link rel="self" href="/R/1"/><content><e:ReadingType>'
            "<e:flowDirection>1</e:flowDirection><e:uom>72</e:uom></e:ReadingType></content>"
            "</entry>"
            '<entry><link rel="self" href="/U/1/M/1/B/1"/><content>'
            f'<IntervalBlock xmlns="http://naesb.org/espi">{readings}</IntervalBlock></content>'
            f"</entry>{time if clock else ''}</feed>",
            encoding="utf-8",
        )
        return read_green_button(path, **options)

    return from_clock


MARCH = int(datetime(2024, 3, 9, 5, tzinfo=UTC).timestamp())


def test_hours_are_of_local_standard_time_across_a_change(read):
    data = read(NORTH_AMERICA, MARCH)
    assert str(data.start_local[0]) == "2024-03-09T00:00:00"
    np.testing.assert_array_equal(np.diff(data.start_local).astype(int), 3600)
    assert "2024-03-10 has 23 hours" in data.notices[0].text


def test_without_a_time_block_the_zone_is_asked_for(read):
    with pytest.raises(MeterError) as caught:
        read(None, MARCH)
    assert "has no LocalTimeParameters" in caught.value.what
    assert caught.value.remedy == (
        'say --zone America/New_York (from Python: zone="America/New_York"), for example'
    )
    data = read(None, MARCH, zone="America/Chicago")
    assert str(data.start_local[0]) == "2024-03-08T23:00:00"


def test_the_stated_clock_is_compared_with_the_zone(read):
    same = read(NORTH_AMERICA, MARCH, zone="America/New_York")
    assert same.zone == "America/New_York"
    with pytest.raises(MeterError, match="not the standard time of America/Chicago"):
        read(NORTH_AMERICA, MARCH, zone="America/Chicago")


def test_rules_that_add_nothing_are_noticed(read):
    flat = {**NORTH_AMERICA, "dstOffset": "0"}
    data = read(flat, MARCH)
    assert "adds nothing between them" in data.notices[0].text
    data = read(flat, MARCH, zone="America/New_York")
    assert "from 2024-03-10 on the file's clock differs" in data.notices[1].text


def test_bill_dates_follow_the_wall_clock_of_the_file(read):
    bill = BillLine(first_day=date(2024, 3, 9), last_day=date(2024, 3, 10), quantity=47.0)
    data = read(NORTH_AMERICA, MARCH, bill=bill)
    assert "100.0 % of the bill" in str(data.report)
