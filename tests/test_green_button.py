"""Green Button files: scales, links, directions, costs, qualities, choices.

The files follow the ESPI open standard (NAESB REQ.21) as an Atom feed; readings are invented.
"""

from __future__ import annotations

import pytest

from energymodel.meters.facts import MeterFacts
from energymodel.meters.green_button import read_green_button
from energymodel.meters.import_report import MeterError, Outcome

START = 1704085200  # 2024-01-01 00:00 at UTC-05:00
NORTH_AMERICA = {
    "dstEndRule": "B40E2000", "dstOffset": "3600", "dstStartRule": "360E2000", "tzOffset": "-18000",
}  # fmt: skip
BASE = "https://portal.invalid/espi/1_1/resource"
USER = f"{BASE}/RetailCustomer/9b6c7066/UsagePoint"
SECRET = "17 Zinnia Court, M. Quillfeather"


def entry(body, *links):
    refs = "".join(f'<link rel="{rel}" href="{href}"/>' for rel, href in links)
    return (
        f"<entry><id>urn:uuid:0</id>{refs}<title>{SECRET}</title><content>{body}</content></entry>"
    )


def fields(name, values):
    inner = "".join(f"<{key}>{value}</{key}>" for key, value in values.items())
    return f'<{name} xmlns="http://naesb.org/espi">{inner}</{name}>'


def reading(start, value, *, duration=3600, cost=None, quality=(), commented=""):
    marks = "".join(f"<ReadingQuality><quality>{q}</quality></ReadingQuality>" for q in quality)
    price = "" if cost is None else f"<cost>{cost}</cost>"
    length = "" if duration is None else f"<duration>{duration}</duration>"
    return (
        f"<IntervalReading>{price}{marks}<timePeriod>{length}<start>{start}</start></timePeriod>"
        f"<value>{value}</value>{commented}</IntervalReading>"
    )


def usage_point(number, kind=0, *, meters=(1,), clock=1):
    links = [("self", f"{USER}/{number}"), ("up", USER)]
    links += [("related", f"{USER}/{number}/MeterReading")] if meters else []
    links += [("related", f"{BASE}/LocalTimeParameters/{clock}")] if clock else []
    body = (
        f'<UsagePoint xmlns="http://naesb.org/espi"><ServiceCategory><kind>{kind}</kind>'
        "</ServiceCategory></UsagePoint>"
    )
    return entry(body, *links)


def clock_entry(values, number=1):
    return entry(
        fields("LocalTimeParameters", values), ("self", f"{BASE}/LocalTimeParameters/{number}")
    )


def series(point, number, kind, readings, *, type_number=None):
    """A meter reading with its type and two blocks, in an order that helps nobody."""
    own = f"{USER}/{point}/MeterReading/{number}"
    type_at = f"{BASE}/ReadingType/{type_number or f'{point}{number}'}"
    half = len(readings) // 2 or 1
    blocks = [
        entry(
            f'<IntervalBlock xmlns="http://naesb.org/espi">{"".join(part)}</IntervalBlock>',
            ("self", f"{own}/IntervalBlock/{place}"),
            ("up", f"{own}/IntervalBlock"),
        )
        for place, part in enumerate((readings[:half], readings[half:]))
        if part
    ]
    return [
        *reversed(blocks),
        entry(fields("ReadingType", kind), ("self", type_at), ("up", f"{BASE}/ReadingType")),
        entry(
            fields("MeterReading", {}),
            ("self", own),
            ("up", f"{USER}/{point}/MeterReading"),
            ("related", f"{own}/IntervalBlock"),
            ("related", type_at),
        ),
    ]


def feed(*entries):
    return (
        '<?xml version="1.0" encoding="UTF-8"?><feed xmlns="http://www.w3.org/2005/Atom">'
        f"<title>{SECRET}</title>{''.join(entries)}</feed>"
    )


ENERGY = {"commodity": 1, "flowDirection": 1, "powerOfTenMultiplier": 0, "uom": 72}
HOURS = [reading(START + 3600 * i, 500 + 10 * (7 * i % 48)) for i in range(48)]
HOURS_KWH = sum(0.5 + 0.01 * i for i in range(48))


@pytest.fixture
def read(tmp_path):
    def from_entries(*entries, **options):
        path = tmp_path / "use.xml"
        path.write_text(feed(*entries), encoding="utf-8")
        return read_green_button(path, **options)

    return from_entries


def simple(kind=ENERGY, readings=HOURS, service=0):
    return [*series(1, 1, kind, readings), usage_point(1, service), clock_entry(NORTH_AMERICA)]


def refused(read, *entries, **options):
    with pytest.raises(MeterError) as caught:
        read(*entries, **options)
    assert caught.value.report.outcome is Outcome.REJECTED
    assert SECRET not in f"{caught.value} {caught.value.report!r}"
    return caught.value


def test_a_plain_feed_is_accepted_whatever_the_order_of_its_entries(read):
    entries = simple()
    for ordered in (entries, entries[::-1], entries[2:] + entries[:2]):
        data = read(*ordered)
        assert data.report.outcome is Outcome.ACCEPTED
        assert data.total_import_kwh == pytest.approx(HOURS_KWH)
        assert str(data.start_local[0]) == "2024-01-01T00:00:00"
        assert data.standard_offset_s == -18000
        assert data.hourly().complete
        assert SECRET not in f"{data!r} {data.report}"


# Directions


def test_delivered_and_received_become_import_and_export(read):
    out = [reading(START + 3600 * i, 200) for i in range(10, 14)]
    entries = [
        *series(1, 1, ENERGY, HOURS),
        *series(1, 2, {**ENERGY, "flowDirection": 19}, out),
        usage_point(1),
        clock_entry(NORTH_AMERICA),
    ]
    data = read(*entries)
    assert data.total_import_kwh == pytest.approx(HOURS_KWH)
    assert data.total_export_kwh == pytest.approx(0.8)
    assert data.export_kwh[10] == pytest.approx(0.2)
    assert data.report.entries[0].found == "44 intervals have use but no reading of export"


def test_net_readings_are_split_and_negative_delivered_ones_asked_about(read):
    values = [300, -200, 400, -100]
    readings = [reading(START + 3600 * i, value) for i, value in enumerate(values)]
    data = read(*simple({**ENERGY, "flowDirection": 4}, readings))
    assert (data.total_import_kwh, data.total_export_kwh) == (
        pytest.approx(0.7), pytest.approx(0.3),
    )  # fmt: skip
    error = refused(read, *simple(ENERGY, readings))
    assert "is the column load or net?" in error.what
    assert error.where == "use.xml, reading 4"  # the feed delivers the later block first
    data = read(*simple(ENERGY, readings), meter=MeterFacts(signs="net"))
    assert data.total_export_kwh == pytest.approx(0.3)


def test_a_direction_that_is_not_stated_is_listed_as_a_default(read):
    kind = {key: value for key, value in ENERGY.items() if key != "flowDirection"}
    data = read(*simple(kind))
    assert data.total_import_kwh == pytest.approx(HOURS_KWH)
    assert [str(used) for used in data.defaults] == ["meter direction: use (common practice)"]


# Links


def test_each_block_is_read_by_the_type_its_links_lead_to(read):
    # kWh-scale and Wh-scale series side by side; by position the scales would be exchanged
    entries = [
        *series(1, 1, {**ENERGY, "powerOfTenMultiplier": 3}, [reading(START, 2)], type_number=77),
        *series(1, 10, {**ENERGY, "flowDirection": 19}, [reading(START, 500)], type_number=7),
    ]
    types = [one for one in entries if "<ReadingType" in one]
    rest = [one for one in entries if "<ReadingType" not in one]
    data = read(*types[::-1], *rest, usage_point(1), clock_entry(NORTH_AMERICA))
    assert data.total_import_kwh == pytest.approx(2.0)
    assert data.total_export_kwh == pytest.approx(0.5)


def test_relative_and_absolute_links_meet(read):
    entries = [one.replace("https://portal.invalid", "") for one in simple()[:2]]
    assert read(*entries, *simple()[2:]).total_import_kwh == pytest.approx(HOURS_KWH)


def test_blocks_and_types_that_no_link_ties_are_rejected(read):
    entries = simple()
    loose = [entries[0].replace("MeterReading", "Elsewhere"), *entries[1:]]
    assert "1 interval blocks are tied to no meter reading" in refused(read, *loose).what
    untyped = [one for one in entries if "<ReadingType" not in one]
    assert "tied to no reading type" in refused(read, *untyped).what


# Choices


def two_points():
    return [
        *series(1, 1, ENERGY, HOURS),
        *series(2, 1, {"uom": 169, "powerOfTenMultiplier": -3, "flowDirection": 1}, HOURS),
        usage_point(1),
        usage_point(2, 1),
        clock_entry(NORTH_AMERICA),
    ]


def test_several_usage_points_are_listed_and_chosen_by_number(read):
    error = refused(read, *two_points())
    assert error.what == "the file has several usage points"
    assert error.expected == "one of 1: electricity, 48 readings; 2: gas, 48 readings"
    assert read(*two_points(), usage_point=1).commodity == "electricity"
    data = read(*two_points(), usage_point=2)
    assert data.commodity == "gas"
    # 1 therm = 100,000 Btu(IT) = 29.3071 kWh
    assert data.total_import_kwh == pytest.approx(HOURS_KWH * 29.3071, rel=1e-6)
    assert "no usage point 3" in refused(read, *two_points(), usage_point=3).what


def test_several_series_of_one_direction_are_listed_and_chosen_by_number(read):
    day = [reading(START + 86_400 * i, 9000, duration=86_400) for i in range(2)]
    entries = [
        *series(1, 1, {**ENERGY, "intervalLength": 3600}, HOURS),
        *series(1, 2, {**ENERGY, "intervalLength": 86_400}, day),
        usage_point(1),
        clock_entry(NORTH_AMERICA),
    ]
    error = refused(read, *entries)
    assert "1: Wh every 60 min, delivered, 48 readings" in error.expected
    assert "2: Wh every 1440 min, delivered, 2 readings" in error.expected
    assert read(*entries, meter_reading=1).total_import_kwh == pytest.approx(HOURS_KWH)
    assert read(*entries, meter_reading=2).total_import_kwh == pytest.approx(18.0)
    assert "no series 5" in refused(read, *entries, meter_reading=5).what


def test_energy_is_preferred_to_power_and_other_quantities_are_left_out(read):
    entries = [
        *series(1, 1, ENERGY, HOURS),
        *series(1, 2, {**ENERGY, "uom": 38}, HOURS),
        *series(1, 3, {**ENERGY, "uom": 73}, HOURS),
        usage_point(1),
        clock_entry(NORTH_AMERICA),
    ]
    data = read(*entries)
    assert data.total_import_kwh == pytest.approx(HOURS_KWH)
    assert data.report.entries[0].found == (
        "2 more series: 2: W, delivered, 48 readings; 3: another quantity, delivered, 48 readings"
    )
    error = refused(read, *simple({**ENERGY, "uom": 73}))
    assert error.what == (
        "no series is energy, active power or gas volume of electricity: 1: another quantity, "
        "delivered, 48 readings"
    )
    unstated = {key: value for key, value in ENERGY.items() if key != "uom"}
    assert "no unit (uom) stated" in refused(read, *simple(unstated)).what


def test_water_is_rejected(read):
    assert "the usage point is of water" in refused(read, *simple(service=2)).what
