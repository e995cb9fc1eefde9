"""Meter values against a bill and against themselves: units, codes, registers.

The kinds of mess are those that users report; all figures are invented, the expected ones computed.
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
from energymodel.meters.meter_units import (
    find_unit,
    heat_from_therm_per_ccf,
    known_unit,
    kwh_per_unit,
)

ZONE = "America/New_York"


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


# Power samples summed as energy


@pytest.mark.parametrize(("minutes", "ratio"), [(15, 4), (5, 12), (1, 60)])
def test_power_samples_summed_as_energy_are_named_by_their_ratio_to_the_bill(read, minutes, ratio):
    stamps = quarter_hours(days=2, minutes=minutes)
    kw = watt_hours(stamps.size) / 1000.0
    bill = BillLine(
        first_day=date(2024, 1, 29), last_day=date(2024, 1, 30), quantity=kw.sum() / ratio * 1.02
    )
    error = rejection(read, plain(values=kw, stamps=stamps), bill=bill)
    assert f"power samples, {ratio} per hour, were summed as energy" in error.what
    data = read(plain(values=kw, stamps=stamps), bill=bill, facts=TableFacts(unit="kW"))
    assert data.total_import_kwh == pytest.approx(kw.sum() / ratio)


def test_a_factor_of_a_thousand_is_named(read):
    wh = watt_hours(288)
    bill = BillLine(
        first_day=date(2024, 1, 29), last_day=date(2024, 1, 31), quantity=wh.sum() / 1000.0
    )
    error = rejection(read, plain(values=wh), bill=bill)
    assert "1000 times smaller (Wh or W)" in error.what


def test_a_bill_that_no_cause_explains_is_still_a_rejection(read):
    bill = BillLine(
        first_day=date(2024, 1, 29),
        last_day=date(2024, 1, 31),
        quantity=watt_hours(288).sum() / 1000.0 * 1.5,
    )
    error = rejection(read, plain(), bill=bill)
    assert "0.667 times the bill's" in error.what
    assert "dates of the bill" in error.remedy


def test_a_bill_outside_the_file_cannot_confirm_it(read):
    bill = BillLine(first_day=date(2024, 1, 29), last_day=date(2024, 2, 27), quantity=100.0)
    assert "the file covers 10 % of the bill's period" in rejection(read, plain(), bill=bill).what


# Gas units


def gas(unit, values, hours=48):
    stamps = pd.date_range("2024-01-29", periods=hours, freq="h")
    return plain(f"Start,Gas ({unit})", stamps=stamps, values=values)


def gas_bill(quantity, unit):
    return BillLine(
        first_day=date(2024, 1, 29), last_day=date(2024, 1, 30), quantity=quantity, unit=unit
    )


def test_a_gas_file_needs_one_bill_line(read):
    error = rejection(read, gas("therm", np.full(48, 0.1)), facts=TableFacts(commodity="gas"))
    assert error.expected == "one bill line to confirm it"


def test_gas_volume_needs_its_heat_content(read):
    error = rejection(
        read,
        gas("ccf", np.full(48, 0.1)),
        facts=TableFacts(commodity="gas"),
        bill=gas_bill(4.98, "therm"),
    )
    assert "heat content of the gas is not given" in error.what


def test_gas_volume_becomes_energy_by_the_billing_factor(read):
    heat = heat_from_therm_per_ccf(1.037)
    data = read(
        gas("ccf", np.full(48, 0.1)),
        facts=TableFacts(commodity="gas"),
        meter=MeterFacts(heat_kwh_per_m3=heat),
        bill=gas_bill(4.98, "therm"),
    )
    # 4.8 ccf x 1.037 therm/ccf x 29.3071 kWh/therm (computed)
    assert data.total_import_kwh == pytest.approx(145.879, abs=0.001)
    assert data.commodity == "gas"


def test_therms_labelled_ccf_are_named(read):
    error = rejection(
        read,
        gas("ccf", np.full(48, 0.1)),
        facts=TableFacts(commodity="gas"),
        meter=MeterFacts(heat_kwh_per_m3=heat_from_therm_per_ccf(1.037)),
        bill=gas_bill(4.8, "therm"),
    )
    assert "the values are therm, not ccf" in error.what


def test_cubic_metres_labelled_kwh_are_named(read):
    # reported by users: a display showed 6.547 "kWh" where the bill had about 72 kWh, and 24 m3 on
    # a bill were 264 kWh: 11.0 kWh/m3 both times (computed)
    for shown, billed in ((6.547, 72.0), (24.0, 264.0)):
        error = rejection(
            read,
            gas("kWh", np.full(48, shown / 48).round(6)),
            facts=TableFacts(commodity="gas"),
            bill=gas_bill(billed, "kWh"),
        )
        assert "1/11 times the bill's" in error.what
        assert "the values are m3, not kWh" in error.what


def test_a_gas_unit_in_an_electric_file_is_rejected(read):
    error = rejection(read, gas("m3", np.full(48, 0.1)))
    assert "give `bill` a gas tariff" in error.remedy
    assert 'commodity="gas"' in error.remedy


# A column whose unit changes on the way


def test_a_stretch_in_another_unit_is_rejected_with_its_lines(read):
    stamps = quarter_hours(days=20)
    values = watt_hours(stamps.size) / 1000.0
    values[960:1440] *= 1000.0
    error = rejection(read, plain(stamps=stamps, values=values))
    assert error.where == "use.csv, line 962-1441"
    assert "times above the rest" in error.what
    assert "change its unit" in error.what


def test_a_unit_column_may_change_on_the_way(read):
    stamps = quarter_hours(days=4)
    wh = watt_hours(stamps.size)
    rows = [
        f"{s:%Y-%m-%d %H:%M},{v if day > 1 else v / 1000},{'Wh' if day > 1 else 'kWh'}"
        for s, v, day in zip(stamps, wh, (stamps - stamps[0]).days, strict=True)
    ]
    data = read(["Start,Value,Unit", *rows])
    assert data.total_import_kwh == pytest.approx(wh.sum() / 1000.0)


def test_an_empty_house_is_not_taken_for_another_unit(read):
    stamps = quarter_hours(days=20)
    values = watt_hours(stamps.size) / 1000.0 * 10.0
    values[480:] = 0.001
    assert read(plain(stamps=stamps, values=values)).start_utc.size == stamps.size


# Codes for missing values, leap days, registers


def test_codes_for_missing_values_are_gaps(read):
    values = watt_hours(288) / 1000.0
    values[40:44] = 9999.0
    data = read(plain(values=values))
    assert data.total_import_kwh == pytest.approx(values[values < 9999].sum())
    assert data.hourly().covered_share[10] == 0.0
    assert np.isnan(data.hourly().import_kwh[10])
    found = " ".join(entry.found for entry in data.report.entries)
    assert "4 values are codes such as 9999" in found
    assert "1 h are missing" in found


def test_a_leap_day_left_out_is_listed(read):
    stamps = pd.date_range("2024-02-20", "2024-03-05", freq="h", inclusive="left")
    data = read(plain(stamps=stamps[~((stamps.month == 2) & (stamps.day == 29))]))
    found = data.report.entries[0].found
    assert found == (
        "24 h are missing: after '2024-02-28 23:00' (line 217) comes '2024-03-01 00:00' (line 218) "
        "(24 h)"
    )


def test_a_leap_day_in_a_common_year_does_not_exist(read):
    lines = plain(stamps=pd.date_range("2023-02-01", periods=28 * 24, freq="h"))
    lines.append("2023-02-29 00:00,1")
    assert "'2023-02-29 00:00' does not exist" in rejection(read, lines).what


def test_years_mixed_by_month_are_out_of_order(read):
    stamps = pd.date_range("2023-01-01", "2024-01-01", freq="h", inclusive="left")
    lines = plain(stamps=stamps)
    lines[1 + 31 * 24 : 1 + 59 * 24] = [
        line.replace("2023", "1995") for line in lines[1 + 31 * 24 : 1 + 59 * 24]
    ]
    assert "comes out of order" in rejection(read, lines).what


def test_the_standing_of_a_register_is_no_use(read):
    values = 12000 + np.cumsum(watt_hours(288)) / 1000.0
    assert "standing of a register" in rejection(read, plain(values=values)).what


# Units and odd stamps


@pytest.mark.parametrize(
    ("unit", "kwh"),
    [
        # definitions: 1 kWh = 3.6 MJ; 1 Btu(IT) = 1055.05585262 J; 1 therm = 1e5 Btu
        ("Wh", 0.001),
        ("kWh", 1.0),
        ("MWh", 1000.0),
        ("MJ", 1.0 / 3.6),
        ("GJ", 1000.0 / 3.6),
        ("Btu", 1055.05585262 / 3.6e6),
        ("kBtu", 1055.05585262 / 3.6e3),
        ("MMBtu", 1055.05585262 / 3.6),
        ("therms", 105505.585262 / 3600.0),
        # 10.5 kWh/m3 as billed; 1 ft = 0.3048 m
        ("m³", 10.5),
        ("cf", 0.3048**3 * 10.5),
        ("CCF", 100 * 0.3048**3 * 10.5),
        ("Mcf", 1000 * 0.3048**3 * 10.5),
    ],
)
def test_units_are_worth_their_definitions(unit, kwh):
    found = find_unit(f"Gas use ({unit})")
    assert found is known_unit(unit)
    assert kwh_per_unit(found, heat_kwh_per_m3=10.5) == pytest.approx(kwh, rel=1e-9)


def test_an_unknown_unit_is_refused_with_the_list(read):
    error = rejection(read, plain("Start,Use"), facts=TableFacts(unit="kilojoule-ish"))
    assert "the unit 'kilojoule-ish' is not known" in error.what
    assert "kWh" in error.expected


def test_reactive_energy_is_no_use(read):
    lines = ["Start,kvarh,kWh", *(line.replace(",", ",7,") for line in plain()[1:])]
    assert read(lines).total_import_kwh == pytest.approx(watt_hours(288).sum() / 1000.0)


def test_events_at_odd_times_are_rejected(read):
    stamps = quarter_hours() + pd.to_timedelta(np.cumsum(np.arange(288) % 5), unit="min")
    error = rejection(read, plain(stamps=stamps))
    assert "do not lie" in error.what


def test_hour_numbers_from_0_to_24_are_rejected(read):
    lines = ["Date,Hour,kWh"]
    lines += [f"2024-01-{day},{hour},1" for day in (28, 29) for hour in range(25)]
    error = rejection(read, lines)
    assert error.what == "the hour numbers run from 0 to 24"
