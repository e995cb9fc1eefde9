"""Power samples summed as energy without a bill at hand: a loud notice, never a repair.

The threshold of 5 kW on average and 48 kW at most is common practice (a large house heated by
electricity; a service of 200 A at 240 V). Figures are invented, sums computed.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from energymodel.meters.bill_check import BillLine
from energymodel.meters.facts import TableFacts
from energymodel.meters.interval import read_interval
from energymodel.meters.power_check import UNIT_CHECK


@pytest.fixture
def read(tmp_path):
    def from_power(kw, minutes, *, unit="kWh", **options):
        stamps = pd.date_range("2024-01-08", periods=7 * 1440 // minutes, freq=f"{minutes}min")
        values = kw * np.resize([0.5, 1.5, 1.0], stamps.size)
        rows = [f"{s:%Y-%m-%d %H:%M},{v:.4f}" for s, v in zip(stamps, values, strict=True)]
        path = tmp_path / "use.csv"
        path.write_text("\n".join([f"Start,Usage ({unit})", *rows]), encoding="utf-8")
        return read_interval(path, zone="America/New_York", **options)

    return from_power


def doubts(data):
    return [notice.text for notice in data.notices if notice.topic == UNIT_CHECK]


@pytest.mark.parametrize(("minutes", "per_hour"), [(15, 4), (5, 12), (1, 60)])
def test_samples_of_a_usual_house_read_as_energy_are_named_by_their_number(read, minutes, per_hour):
    data = read(2.0, minutes)
    (text,) = doubts(data)
    assert f"{2.0 * per_hour:.1f} kW on average" in text
    assert f"{per_hour} an hour, the energy is {per_hour} times too high" in text
    assert 'say --unit kW (from Python: unit="kW")' in text
    assert "--bill-line" in text
    # nothing is repaired: the file says kWh, and kWh are summed
    assert data.total_import_kwh == pytest.approx(2.0 * 7 * 24 * per_hour, rel=1e-6)
    assert doubts(read(2.0, minutes, facts=TableFacts(unit="kW"))) == []


def test_watt_hours_under_a_heading_of_kwh_are_named(read):
    (text,) = doubts(read(1200.0, 60))
    assert "If the values are Wh, it is 1000 times too high: say --unit Wh" in text


def test_a_large_user_gets_the_notice_without_a_cause(read):
    (text,) = doubts(read(40.0, 60))
    assert "40.0 kW on average" in text
    assert "times too high" not in text


@pytest.mark.parametrize("kw", [0.3, 1.2, 4.9])
def test_households_are_left_in_peace(read, kw):
    assert doubts(read(kw, 60)) == []


def test_a_bill_line_that_agrees_ends_the_doubt(read):
    bill = BillLine(
        first_day=date(2024, 1, 8), last_day=date(2024, 1, 14), quantity=round(40.0 * 168)
    )
    assert doubts(read(40.0, 60, bill=bill)) == []
