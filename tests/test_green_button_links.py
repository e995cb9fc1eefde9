"""Green Button feeds without usage points: read where only one meter can be meant.

The files follow the ESPI open standard (NAESB REQ.21) as an Atom feed; readings are invented.
"""

from __future__ import annotations

import pytest

from energymodel.meters.green_button import read_green_button
from energymodel.meters.import_report import MeterError, Outcome

START = 1704085200  # 2024-01-01 00:00 at UTC-05:00
CLOCK = (
    '<LocalTimeParameters xmlns="http://naesb.org/espi"><dstEndRule>B40E2000</dstEndRule>'
    "<dstOffset>3600</dstOffset><dstStartRule>360E2000</dstStartRule><tzOffset>-18000</tzOffset>"
    "</LocalTimeParameters>"
)
BASE = "https://portal.invalid/espi/1_1/resource/RetailCustomer/1/UsagePoint/1"


def entry(body, **links):
    refs = "".join(f'<link rel="{rel}" href="{href}"/>' for rel, href in links.items())
    return f"<entry>{refs}<content>{body}</content></entry>"


def reading_type(commodity="1", uom="72", multiplier="0"):
    inner = "".join(
        f"<{name}>{value}</{name}>"
        for name, value in (
            ("commodity", commodity),
            ("flowDirection", "1"),
            ("powerOfTenMultiplier", multiplier),
            ("uom", uom),
        )
        if value
    )
    return f'<ReadingType xmlns="http://naesb.org/espi">{inner}</ReadingType>'


def block(first=0, count=24, value=500):
    readings = "".join(
        "<IntervalReading><timePeriod><duration>3600</duration>"
        f"<start>{START + 3600 * hour}</start></timePeriod><value>{value}</value></IntervalReading>"
        for hour in range(first, first + count)
    )
    return f'<IntervalBlock xmlns="http://naesb.org/espi">{readings}</IntervalBlock>'


METER = '<MeterReading xmlns="http://naesb.org/espi"/>'


@pytest.fixture
def read(tmp_path):
    def from_entries(*entries, **options):
        path = tmp_path / "use.xml"
        feed = f'<feed xmlns="http://www.w3.org/2005/Atom">{"".join(entries)}</feed>'
        path.write_text(feed, encoding="utf-8")
        return read_green_button(path, **options)

    return from_entries


@pytest.mark.parametrize(
    "blocks",
    [
        [entry(block(0, 24)), entry(block(24, 24))],
        [
            entry(block(24, 24), up=f"{BASE}/MeterReading/1/IntervalBlock"),
            entry(block(0, 24), up=f"{BASE}/MeterReading/1/IntervalBlock"),
        ],
        [
            entry(block(0, 24), self=f"{BASE}/MeterReading/1/IntervalBlock/1"),
            entry(block(24, 24), self=f"{BASE}/MeterReading/1/IntervalBlock/2"),
        ],
    ],
)
def test_one_reading_type_and_blocks_of_one_series_are_one_meter_and_listed(read, blocks):
    data = read(entry(CLOCK), entry(reading_type()), *blocks)
    assert data.report.outcome is Outcome.REPAIRED
    assert data.total_import_kwh == pytest.approx(24.0)
    assert data.commodity == "electricity"
    assert data.standard_offset_s == -18000
    assert data.report.entries[0].found == "the feed has no usage point and no meter reading"
    assert "taken as one meter" in data.report.entries[0].done


def test_linked_meter_readings_without_a_usage_point_are_read_by_their_types(read):
    entries = [
        entry(CLOCK),
        entry(reading_type(multiplier="3"), self="/ReadingType/7"),
        entry(METER, self="/MeterReading/1", related="/ReadingType/7"),
        entry(block(value=2), up="/MeterReading/1/IntervalBlock"),
    ]
    data = read(*entries)
    assert data.total_import_kwh == pytest.approx(48.0)
    assert data.report.entries[0].found == "the feed has no usage point"


def test_the_commodity_tells_gas(read):
    data = read(entry(CLOCK), entry(reading_type("7", "169", "-3")), entry(block(value=40)))
    assert data.commodity == "gas"
    # 1 therm = 100,000 Btu(IT) = 29.3071 kWh
    assert data.total_import_kwh == pytest.approx(24 * 0.04 * 29.3071, rel=1e-6)


@pytest.mark.parametrize(
    ("entries", "what"),
    [
        ([entry(reading_type()), entry(reading_type("7", "169")), entry(block())],
         "it has no meter reading and 2 reading types"),
        ([entry(block())], "it has no meter reading and no reading types"),
        ([entry(reading_type(commodity="")), entry(block())], "the commodity of its reading types"),
        ([entry(reading_type("9", "42")), entry(block())], "the commodity of its reading types"),
        (
            [
                entry(reading_type()),
                entry(block(), up=f"{BASE}/MeterReading/1/IntervalBlock"),
                entry(block(), up=f"{BASE}/MeterReading/2/IntervalBlock"),
            ],
            "belong to several meter readings not in it",
        ),
        ([entry(reading_type()), entry(block(count=0))], "its interval blocks have no readings"),
        ([entry(reading_type())], "no usage point and no interval block"),
    ],
)  # fmt: skip
def test_what_could_mean_several_meters_is_refused_with_what_is_missing(read, entries, what):
    with pytest.raises(MeterError) as caught:
        read(entry(CLOCK), *entries)
    assert what in caught.value.what


def test_a_time_block_without_its_offset_asks_for_the_zone(read):
    empty = '<LocalTimeParameters xmlns="http://naesb.org/espi"><tzOffset/></LocalTimeParameters>'
    entries = [entry(empty), entry(reading_type()), entry(block())]
    with pytest.raises(MeterError, match="no LocalTimeParameters with tzOffset"):
        read(*entries)
    data = read(*entries, zone="America/New_York")
    assert str(data.start_local[0]) == "2024-01-01T00:00:00"
