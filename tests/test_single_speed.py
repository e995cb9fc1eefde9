"""Published shapes of single-speed machines."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.equipment.single_speed import (
    AIR_CONDITIONER_EIR,
    COOLING_CAPACITY,
    HEAT_PUMP_COOLING_EIR,
    HEATING_CAPACITY,
    HEATING_EIR,
    heating_ratios,
    heating_table,
    relative_to,
)
from energymodel.units import c_from_f, f_from_c


@pytest.mark.parametrize(
    ("curve", "indoor_f", "outdoor_f", "value"),
    # NREL/TP-5500-56354, tables 8, 12 and 13 (quoted); values at the rated point computed.
    [
        (HEATING_CAPACITY, 70.0, 47.0, 0.996),
        (HEATING_EIR, 70.0, 47.0, 0.994),
        (COOLING_CAPACITY, 67.0, 95.0, 0.992),
        (HEAT_PUMP_COOLING_EIR, 67.0, 95.0, 1.011),
        (AIR_CONDITIONER_EIR, 67.0, 95.0, 1.009),
    ],
)
def test_curves_are_near_one_at_the_rated_point(curve, indoor_f, outdoor_f, value):
    assert float(curve(indoor_f, np.array(outdoor_f))) == pytest.approx(value, abs=0.0005)


def test_heating_capacity_curve_gives_the_computed_ratios():
    # NREL/TP-5500-56354 heating capacity at 70 F indoors, as printed and over its 47 F value
    # (computed).
    outdoor_f = np.array([65.0, 47.0, 35.0, 25.0, 17.0, 10.0, 5.0, 0.0, -10.0])
    printed = [1.26, 1.00, 0.839, 0.719, 0.630, 0.558, 0.510, 0.464, 0.379]
    assert HEATING_CAPACITY(70.0, outdoor_f).tolist() == pytest.approx(printed, abs=0.005)
    relative = relative_to(HEATING_CAPACITY, 70.0, outdoor_f[2:], rated_f=47.0)
    assert relative.tolist() == pytest.approx(
        [0.842, 0.722, 0.633, 0.561, 0.512, 0.466, 0.381], abs=0.0005
    )


def test_heating_eir_curve_gives_the_computed_ratios():
    # NREL/TP-5500-56354 heating EIR at 70 F indoors (computed).
    outdoor_f = np.array([35.0, 17.0, 5.0, -10.0])
    assert HEATING_EIR(70.0, outdoor_f).tolist() == pytest.approx(
        [1.105, 1.347, 1.56, 1.88], abs=0.005
    )
    relative = relative_to(HEATING_EIR, 70.0, outdoor_f, rated_f=47.0)
    assert relative.tolist() == pytest.approx([1.112, 1.356, 1.569, 1.894], abs=0.0005)


def test_cooling_curves_give_the_computed_values_at_67_f_wet_bulb():
    # NREL/TP-5500-56354 cooling EIR and capacity as printed (computed).
    outdoor_f = np.array([65.0, 75.0, 82.0, 95.0, 105.0, 115.0])
    assert HEAT_PUMP_COOLING_EIR(67.0, outdoor_f).tolist() == pytest.approx(
        [0.65, 0.73, 0.81, 1.01, 1.21, 1.44], abs=0.006
    )
    assert COOLING_CAPACITY(67.0, outdoor_f).tolist() == pytest.approx(
        [1.14, 1.09, 1.06, 0.99, 0.94, 0.88], abs=0.005
    )


def test_heating_table_gives_the_published_ratios():
    # A manufacturer's expanded heating performance table, 30 kBtu/h class, 14 SEER (published);
    # ratios computed.
    outdoor_f = np.array([47.0, 35.0, 25.0, 17.0, 10.0, 5.0, 0.0, -10.0])
    capacity, power = heating_ratios(c_from_f(outdoor_f))
    assert capacity.tolist() == pytest.approx(
        [1.0, 0.831, 0.721, 0.628, 0.541, 0.479, 0.417, 0.293], abs=0.0005
    )
    cop = 3.78 * capacity / power
    assert cop.tolist() == pytest.approx([3.78, 3.29, 2.84, 2.55, 2.28, 2.07, 1.85, 1.36], abs=0.02)


def test_heating_table_lies_near_its_fitted_lines():
    # Fits to the published table, computed: cap/cap47 and kW/kW47, largest error 0.024 each.
    table = heating_table()
    outdoor_f = f_from_c(table[:, 0])
    assert np.abs(table[:, 1] - (0.41098 + 0.0126964 * outdoor_f)).max() == pytest.approx(
        0.024, abs=0.0006
    )
    assert np.abs(table[:, 2] - (0.85890 + 0.0031521 * outdoor_f)).max() == pytest.approx(
        0.024, abs=0.0006
    )


def test_heating_table_is_steady_at_35_f():
    # Federal 35 F estimate: 0.90 of the 17-47 F line (quoted); the table stands at 0.98 of it.
    capacity, _ = heating_ratios(c_from_f(np.array([17.0, 35.0, 47.0])))
    line = capacity[0] + 0.6 * (capacity[2] - capacity[0])
    assert capacity[1] / line > 0.97


def test_two_sources_agree_on_the_capacity_at_17_f():
    # 0.628 published table, 0.630 NREL curve as printed (quoted).
    capacity, _ = heating_ratios(c_from_f(np.array([17.0])))
    assert capacity[0] == pytest.approx(float(HEATING_CAPACITY(70.0, np.array(17.0))), abs=0.003)
