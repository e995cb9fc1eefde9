"""Moist air against psychrolib 2.5.0, away from 0 degC where water and ice branches meet."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.errors import InputError
from energymodel.psychrometrics import (
    STANDARD_PRESSURE_PA,
    dew_point_c,
    humidity_ratio,
    humidity_ratio_from_wet_bulb,
    relative_humidity_from_wet_bulb_pct,
    saturation_pressure_pa,
    standard_pressure_pa,
    wet_bulb_c,
)
from energymodel.units import c_from_f

PSI_PA = 6894.757  # Pa per psi (definition, from memory)

warm_or_cold = st.one_of(st.floats(-40.0, -5.0), st.floats(4.0, 45.0))
humid = st.floats(5.0, 99.0)


@pytest.fixture(autouse=True)
def _si_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


def test_room_air_has_the_known_wet_bulb_humidity_ratio_and_dew_point():
    # 20 C, 50 %, 101,325 Pa: computed with psychrolib 2.5.0
    assert float(wet_bulb_c(20.0, 50.0)) == pytest.approx(13.783, abs=0.0006)
    assert float(humidity_ratio(20.0, 50.0)) == pytest.approx(0.0072617, abs=6e-8)
    assert float(dew_point_c(20.0, 50.0)) == pytest.approx(9.272, abs=0.0006)


@pytest.mark.parametrize(
    ("dry_f", "wet_f", "humidity_pct", "ratio"),
    [
        # rating conditions at 14.696 psi: computed with psychrolib 2.5.0
        (47.0, 43.0, 72.66, 0.004933),
        (17.0, 15.0, 69.43, 0.0012857),
        (95.0, 75.0, 39.82, 0.014065),
    ],
)
def test_rating_conditions_have_the_known_humidity(dry_f, wet_f, humidity_pct, ratio):
    dry, wet, pressure = c_from_f(dry_f), c_from_f(wet_f), 14.696 * PSI_PA
    found = float(relative_humidity_from_wet_bulb_pct(dry, wet, pressure))
    # The inch-pound equations carry coefficients rounded apart from the SI ones (0.240 Btu/(lb F)
    # = 1.0048 for 1.006 kJ/(kg K)): about 0.06 % of humidity and 0.08 % of the ratio.
    assert found == pytest.approx(humidity_pct, abs=0.06)
    assert float(humidity_ratio_from_wet_bulb(dry, wet, pressure)) == pytest.approx(ratio, rel=8e-4)


@given(st.one_of(st.floats(-30.0, -6.0), st.floats(12.0, 45.0)), st.floats(0.0, 5.0))
def test_humidity_from_wet_bulb_agrees_with_psychrolib(temperature_c, depression_k):
    wet = temperature_c - depression_k * (0.2 if temperature_c < 0.0 else 1.0)
    expected = psychrolib.GetHumRatioFromTWetBulb(temperature_c, wet, STANDARD_PRESSURE_PA)
    found = float(humidity_ratio_from_wet_bulb(temperature_c, wet))
    # psychrolib never returns less than 1e-7
    assert max(found, 1e-7) == pytest.approx(expected, rel=1e-9)


@given(warm_or_cold)
def test_saturation_pressure_agrees_with_psychrolib(temperature_c):
    expected = psychrolib.GetSatVapPres(temperature_c)
    assert float(saturation_pressure_pa(temperature_c)) == pytest.approx(expected, rel=1e-9)


@given(warm_or_cold, humid, st.floats(70_000.0, 105_000.0))
def test_humidity_ratio_agrees_with_psychrolib(temperature_c, humidity_pct, pressure_pa):
    expected = psychrolib.GetHumRatioFromRelHum(temperature_c, humidity_pct / 100.0, pressure_pa)
    found = float(humidity_ratio(temperature_c, humidity_pct, pressure_pa))
    # psychrolib never returns less than 1e-7
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-7)


@given(warm_or_cold, st.floats(30.0, 99.0))
def test_dew_point_agrees_with_psychrolib(temperature_c, humidity_pct):
    expected = psychrolib.GetTDewPointFromRelHum(temperature_c, humidity_pct / 100.0)
    found = float(dew_point_c(temperature_c, humidity_pct))
    # psychrolib stops at 0.001 K
    assert found == pytest.approx(expected, abs=0.002)


@given(st.one_of(st.floats(-30.0, -5.0), st.floats(12.0, 45.0)), st.floats(40.0, 99.0))
def test_wet_bulb_agrees_with_psychrolib(temperature_c, humidity_pct):
    expected = psychrolib.GetTWetBulbFromRelHum(
        temperature_c, humidity_pct / 100.0, STANDARD_PRESSURE_PA
    )
    found = float(wet_bulb_c(temperature_c, humidity_pct))
    # psychrolib stops at 0.001 K
    assert found == pytest.approx(expected, abs=0.002)


@given(st.floats(0.0, 4000.0))
def test_standard_pressure_agrees_with_psychrolib(altitude_m):
    expected = psychrolib.GetStandardAtmPressure(altitude_m)
    assert float(standard_pressure_pa(altitude_m)) == pytest.approx(expected, rel=1e-9)


@given(warm_or_cold, humid)
def test_wet_bulb_lies_between_dew_point_and_dry_bulb(temperature_c, humidity_pct):
    wet = float(wet_bulb_c(temperature_c, humidity_pct))
    assert float(dew_point_c(temperature_c, humidity_pct)) - 1e-9 <= wet <= temperature_c


@given(st.floats(4.0, 45.0), humid)
def test_humidity_comes_back_from_its_wet_bulb(temperature_c, humidity_pct):
    wet = wet_bulb_c(temperature_c, humidity_pct)
    if abs(float(wet)) > 0.5:
        back = float(relative_humidity_from_wet_bulb_pct(temperature_c, wet))
        assert back == pytest.approx(humidity_pct, abs=1e-6)


def test_saturated_air_has_one_temperature_only():
    temperatures = np.array([-20.0, 5.0, 30.0])
    assert wet_bulb_c(temperatures, 100.0) == pytest.approx(temperatures, abs=1e-9)
    assert dew_point_c(temperatures, 100.0) == pytest.approx(temperatures, abs=1e-9)


def test_arrays_give_the_same_as_single_numbers():
    dry, humidity = np.array([-15.0, 8.0, 33.0]), np.array([80.0, 60.0, 45.0])
    together = wet_bulb_c(dry, humidity)
    alone = [float(wet_bulb_c(t, h)) for t, h in zip(dry, humidity, strict=True)]
    assert together.tolist() == alone


def test_an_unknown_humidity_stays_unknown():
    wet = wet_bulb_c(np.array([10.0, 10.0]), np.array([np.nan, 50.0]))
    assert np.isnan(wet).tolist() == [True, False]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: humidity_ratio(20.0, 101.0),
        lambda: wet_bulb_c(20.0, -1.0),
        lambda: humidity_ratio_from_wet_bulb(20.0, 21.0),
        lambda: saturation_pressure_pa(-120.0),
        lambda: humidity_ratio(110.0, 100.0),
    ],
)
def test_impossible_air_is_refused(wrong):
    with pytest.raises(InputError):
        wrong()
