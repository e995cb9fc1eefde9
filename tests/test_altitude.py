"""Altitude: burners lose input, heat pumps get a notice."""

from __future__ import annotations

import pytest

from energymodel.equipment.altitude import gas_input_factor, heat_pump_notices


@pytest.mark.parametrize(
    ("elevation_m", "factor"),
    # Common practice: 4 % less input per 300 m above 600 m.
    [(-50.0, 1.0), (0.0, 1.0), (600.0, 1.0), (900.0, 0.96), (1_500.0, 0.88), (2_100.0, 0.80)],
)
def test_gas_input_falls_4_percent_per_300_m_above_600_m(elevation_m, factor):
    assert gas_input_factor(elevation_m) == pytest.approx(factor, abs=1e-12)


def test_gas_input_never_turns_negative():
    assert gas_input_factor(9_000.0) == 0.0


def test_high_place_without_multiplier_is_noticed():
    (notice,) = heat_pump_notices(1_609.0)
    assert notice.topic == "capacity"
    assert "1609 m (5,279 ft)" in notice.text


def test_low_place_and_given_multiplier_are_not_noticed():
    assert heat_pump_notices(600.0) == ()
    assert heat_pump_notices(1_609.0, factor=0.95) == ()
