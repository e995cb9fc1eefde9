"""Readings of Green Button files: scales, costs, gas, qualities, repeats, broken readings.

The files follow the ESPI open standard (NAESB REQ.21) as an Atom feed; readings are invented.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from energymodel.meters.bill_check import BillLine
from energymodel.meters.facts import MeterFacts
from energymodel.meters.green_button import read_green_button
from energymodel.meters.import_report import MeterError, Outcome

START = 1704085200  # 2024-01-01 00:00 at UTC-05:00
CLOCK = (
    "<e:tzOffset>-18000</e:tzOffset><e:dstOffset>3600</e:dstOffset>"
    "<e:dstStartRule>360E2000</e:dstStartRule><e:dstEndRule>B40E2000</e:dstEndRule>"
)
ENERGY = {"commodity": 1, "flowDirection": 1, "powerOfTenMultiplier": 0, "uom": 72}


def reading(start, value, *, duration=3600, cost=None, quality=()):
    marks = "".join(
        f"<e:ReadingQuality><e:quality>{code}</e:quality></e:ReadingQuality>" for code in quality
    )
    price = "" if cost is None else f"<e:cost>{cost}</e:cost>"
    length = "" if duration is None else f"<e:duration>{duration}</e:duration>"
    return (
        f"<e:IntervalReading>{price}{marks}<e:timePeriod>{length}<e:start>{start}</e:start>"
        f"</e:timePeriod><e:value>{value}</e:value></e:IntervalReading>"
    )


HOURS = [reading(START + 3600 * i, 500 + 10 * (7 * i % 48)) for i in range(48)]
HOURS_KWH = sum(0.5 + 0.01 * i for i in range(48))


def entry(own, body, **links):
    refs = "".join(f'<link rel="{rel}" href="{href}"/>' for rel, href in links.items())
    return f'<entry><link rel="self" href="{own}"/>{refs}<content>{body}</content></entry>'


def simple(kind=ENERGY, readings=HOURS, service=0):
    """Entries of one usage point with one series."""
    fields = "".join(f"<e:{key}>{value}</e:{key}>" for key, value in kind.items())
    return [
        entry(
            "/U/1",
            f"<e:UsagePoint><e:ServiceCategory><e:kind>{service}</e:kind></e:ServiceCategory>"
            "</e:UsagePoint>",
            related="/U/1/M",
        ),
        entry("/U/1/M/1", "<e:MeterReading/>", up="/U/1/M", related="/R/1"),
        entry("/R/1", f"<e:ReadingType>{fields}</e:ReadingType>"),
        entry("/T/1", f"<e:LocalTimeParameters>{CLOCK}</e:LocalTimeParameters>"),
        entry("/U/1/M/1/B/1", f"<e:IntervalBlock>{''.join(readings)}</e:IntervalBlock>"),
    ]


@pytest.fixture
def read(tmp_path):
    def from_entries(*entries, **options):
        path = tmp_path / "use.xml"
        path.write_text(
            '<feed xmlns="http://www.w3.org/2005/Atom" xmlns:e="http://naesb.org/espi">'
            f"{''.join(entries)}</feed>",
            encoding="utf-8",
        )
        return read_green_button(path, **options)

    return from_entries


def refused(read, *entries, **options):
    with pytest.raises(MeterError) as caught:
        read(*entries, **options)
    assert caught.value.report.outcome is Outcome.REJECTED
    return caught.value


# Scales


@pytest.mark.parametrize(("multiplier", "factor"), [(-3, 1e-3), (0, 1.0), (3, 1e3), ("", 1.0)])
def test_the_multiplier_scales_the_energy(read, multiplier, factor):
    data = read(*simple({**ENERGY, "powerOfTenMultiplier": multiplier}))
    assert data.total_import_kwh == pytest.approx(HOURS_KWH * factor)


def test_energy_and_cost_have_scales_of_their_own(read):
    # 1.5 kWh as 1,500,000 x 10^-3 Wh, at 18 cents as 18,000 x 10^-5 USD; one scale for both would
    # make the cost 18.00 USD, 100 times too much (computed)
    kind = {**ENERGY, "powerOfTenMultiplier": -3, "currency": 840}
    readings = [reading(START + 3600 * i, 1_500_000, cost=18_000) for i in range(24)]
    data = read(*simple(kind, readings))
    assert data.total_import_kwh == pytest.approx(36.0)
    assert data.total_cost == pytest.approx(24 * 0.18)
    assert data.currency == "USD"
    np.testing.assert_allclose(data.cost, 0.18)


@pytest.mark.parametrize("multiplier", [-3, 0, 3])
def test_the_multiplier_of_the_energy_leaves_the_cost_alone(read, multiplier):
    kind = {**ENERGY, "powerOfTenMultiplier": multiplier, "currency": 978}
    readings = [reading(START + 3600 * i, 7, cost=12_345) for i in range(3)]
    data = read(*simple(kind, readings))
    assert data.total_cost == pytest.approx(3 * 0.12345)
    assert data.currency == "EUR"


@pytest.mark.parametrize(
    ("currency", "cost", "found"),
    [
        (None, "18000", "costs without a known currency"),
        (0, "18000", "costs without a known currency"),
        (840, "0.18", "costs that are not whole numbers, so that their scale is not known"),
    ],
)
def test_a_cost_without_currency_or_scale_is_refused_and_the_energy_kept(
    read, currency, cost, found
):
    kind = ENERGY if currency is None else {**ENERGY, "currency": currency}
    data = read(*simple(kind, [reading(START + 3600 * i, 500, cost=cost) for i in range(4)]))
    assert data.cost is None
    assert data.total_cost is None
    assert data.currency is None
    assert data.total_import_kwh == pytest.approx(2.0)
    assert data.report.outcome is Outcome.REPAIRED
    assert data.report.entries[0].found == found


def test_power_samples_become_energy_by_their_duration(read):
    # 12 samples of 1,200 W over 5 min are 1.2 kWh (computed)
    readings = [reading(START + 300 * i, 1200, duration=300) for i in range(12)]
    kind = {**ENERGY, "uom": 38}
    assert read(*simple(kind, readings)).total_import_kwh == pytest.approx(1.2)
    without = [reading(START + 300 * i, 1200, duration=None) for i in range(12)]
    data = read(*simple({**kind, "intervalLength": 300}, without))
    assert data.total_import_kwh == pytest.approx(1.2)
    error = refused(read, *simple(kind, without))
    assert "duration of a reading is missing" in error.what
    assert error.where == "use.xml, reading 1"
    assert error.report.entries[0].row == "reading 1"


# Gas


@pytest.mark.parametrize(
    ("uom", "kwh_per_unit"),
    # with 10.35 kWh/m3; 1 ft3 = 0.0283168 m3, 1 Btu(IT) = 1/3412.14163 kWh (definitions)
    [(42, 10.35), (119, 0.0283168466 * 10.35), (132, 1 / 3412.14163), (169, 29.3071)],
)
def test_gas_units_become_energy(read, uom, kwh_per_unit):
    readings = [reading(START + 3600 * i, 2) for i in range(5)]
    kind = {"uom": uom, "commodity": 7, "flowDirection": 1}
    data = read(*simple(kind, readings, 1), meter=MeterFacts(heat_kwh_per_m3=10.35))
    assert data.total_import_kwh == pytest.approx(10 * kwh_per_unit, rel=1e-6)
    assert "compare the sum with one bill line" in data.notices[-1].text


def test_gas_volume_without_heat_content_is_asked_about(read):
    error = refused(read, *simple({"uom": 42, "flowDirection": 1}, HOURS, 1))
    assert "heat content of the gas is not given" in error.what


def test_therms_that_are_volumes_show_against_the_bill(read):
    readings = [reading(START + 3600 * i, 2) for i in range(24)]
    bill = BillLine(
        first_day=date(2024, 1, 1), last_day=date(2024, 1, 1), quantity=49.8, unit="therm"
    )
    error = refused(
        read,
        *simple({"uom": 169, "flowDirection": 1}, readings, 1),
        bill=bill,
        meter=MeterFacts(heat_kwh_per_m3=1.0375 * 29.3071 / 2.83168),
    )
    assert "the values are ccf, not therm" in error.what


# Qualities, repeats, broken readings


def test_qualities_are_counted_and_estimates_noticed(read):
    codes = [(0,), (0,), (7,), (8,), (9,), (14,), ()]
    readings = [reading(START + 3600 * i, 5, quality=code) for i, code in enumerate(codes)]
    data = read(*simple(ENERGY, readings))
    assert data.quality == {
        "valid": 2, "manually edited": 1, "estimated": 2, "code 14": 1, "not stated": 1,
    }  # fmt: skip
    assert data.notices[0].text == "use.xml: 2 readings are estimated."
    data = read(*simple({**ENERGY, "defaultQuality": 8}, readings))
    assert data.quality["estimated"] == 3


def test_readings_delivered_twice_are_counted_once(read):
    data = read(*simple(ENERGY, [*HOURS[:20], *HOURS[10:]]))
    assert data.total_import_kwh == pytest.approx(HOURS_KWH)
    assert data.report.entries[0].found.startswith("10 readings stand twice")
    changed = [*HOURS[:20], reading(START + 19 * 3600, 9999), *HOURS[20:]]
    assert "stands twice, first in reading 20" in refused(read, *simple(ENERGY, changed)).what


def test_repeats_of_the_short_day_are_folded(read):
    # 2024-03-10 00:00 at UTC-05:00; the hour of 03:00 comes twice
    first = 1710046800
    starts = [first, first + 3600, first + 7200, first + 7200, first + 10_800]
    readings = [reading(start, 100 * (i + 1)) for i, start in enumerate(starts)]
    data = read(*simple(ENERGY, readings))
    assert data.total_import_kwh == pytest.approx(1.5)
    assert data.import_kwh.tolist() == pytest.approx([0.1, 0.2, 0.7, 0.5])
    assert "folded" in data.report.entries[0].done


def test_missing_readings_are_listed_gaps(read):
    data = read(*simple(ENERGY, [*HOURS[:10], reading(START + 36_000, ""), *HOURS[13:]]))
    assert data.start_utc.size == 45
    assert data.report.entries[-1].found == (
        "3 h are missing: after 2024-01-01 09:00 (reading 10) comes 2024-01-01 13:00 (reading 12), "
        "with one row without a value between (3 h)"
    )


def test_overlapping_readings_are_rejected(read):
    readings = [reading(START, 5), reading(START + 1800, 5), reading(START + 5400, 5)]
    assert "overlaps the one before it" in refused(read, *simple(ENERGY, readings)).what


@pytest.mark.parametrize(
    ("readings", "kind", "what"),
    [
        ([reading("noon", 5)], ENERGY, "start of a reading is missing or no time"),
        ([reading(START * 1000, 5)], ENERGY, "start of a reading is missing or no time"),
        ([reading(START, "lots")], ENERGY, "value of a reading is no number"),
        ([reading(START, "nan")], ENERGY, "value of a reading is no number"),
        ([reading(START, 5, duration=0)], ENERGY, "duration of a reading is missing"),
        (HOURS, {**ENERGY, "powerOfTenMultiplier": 99}, "powerOfTenMultiplier cannot be read"),
        (HOURS, {**ENERGY, "powerOfTenMultiplier": "x"}, "powerOfTenMultiplier cannot be read"),
    ],
)
def test_readings_that_cannot_be_read_are_rejected(read, readings, kind, what):
    assert what in refused(read, *simple(kind, readings)).what


def test_power_samples_declared_as_energy_show_against_the_bill(read):
    readings = [reading(START + 300 * i, 1200, duration=300) for i in range(288)]
    bill = BillLine(first_day=date(2024, 1, 1), last_day=date(2024, 1, 1), quantity=28.8)
    error = refused(read, *simple(ENERGY, readings), bill=bill)
    assert "power samples, 12 per hour, were summed as energy" in error.what
    assert read(*simple({**ENERGY, "uom": 38}, readings), bill=bill).total_import_kwh == (
        pytest.approx(28.8)
    )
