"""Effect of the indoor temperature and humidity on heat pumps and air conditioners."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.air_conditioner import central_air_conditioner
from energymodel.equipment.flows import Conditions
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.indoor import CoolingIndoor, heating_factors
from energymodel.errors import EquipmentError
from energymodel.psychrometrics import relative_humidity_from_wet_bulb_pct
from energymodel.units import c_from_f

OUTDOOR_47_17_C = c_from_f(np.array([47.0, 17.0]))


@pytest.mark.parametrize(
    ("indoor_f", "capacity", "input_per_output"),
    # NREL/TP-5500-56354 curves at 47 F and 17 F outdoors over 70 F indoors (computed).
    [
        (60.0, (1.024, 1.035), (0.88, 0.86)),
        (65.0, (1.012, 1.018), (0.94, 0.93)),
        (75.0, (0.987, 0.981), (1.07, 1.08)),
        (80.0, (0.974, 0.962), (1.15, 1.16)),
    ],
)
def test_heating_at_another_indoor_temperature(indoor_f, capacity, input_per_output):
    q, p = heating_factors(c_from_f(indoor_f), OUTDOOR_47_17_C)
    assert q.tolist() == pytest.approx(capacity, abs=0.0006)
    assert (p / q).tolist() == pytest.approx(input_per_output, abs=0.006)


def test_heating_is_as_rated_at_70_f():
    q, p = heating_factors(c_from_f(70.0), OUTDOOR_47_17_C)
    assert q.tolist() == pytest.approx([1.0, 1.0], abs=1e-12)
    assert p.tolist() == pytest.approx([1.0, 1.0], abs=1e-12)


def test_heating_factors_are_held_outside_their_range():
    assert heating_factors(5.0, OUTDOOR_47_17_C)[0].tolist() == pytest.approx(
        heating_factors(c_from_f(60.0), OUTDOOR_47_17_C)[0].tolist()
    )
    assert heating_factors(15.0, np.array([-60.0]))[1].tolist() == pytest.approx(
        heating_factors(15.0, np.array([c_from_f(-10.0)]))[1].tolist()
    )


def test_cooling_is_as_rated_at_80_f_and_67_f_wet_bulb():
    indoor_c = c_from_f(80.0)
    humidity = float(relative_humidity_from_wet_bulb_pct(indoor_c, c_from_f(67.0)))
    q, p = CoolingIndoor(relative_humidity_pct=humidity)(indoor_c, c_from_f(np.array([82.0, 95.0])))
    assert q.tolist() == pytest.approx([1.0, 1.0], abs=1e-4)
    assert p.tolist() == pytest.approx([1.0, 1.0], abs=1e-4)


def test_a_usual_room_takes_six_percent_of_the_capacity():
    # NREL/TP-5500-56354 cooling curves at 62.5 F over 67 F wet bulb and 95 F outdoors, computed
    # by hand: capacity 0.941, input per output 1.057. 75 F at 50 % has a wet bulb of 62.6 F.
    q, p = CoolingIndoor()(c_from_f(75.0), np.array([35.0]))
    assert q[0] == pytest.approx(0.941, abs=0.003)
    assert p[0] / q[0] == pytest.approx(1.057, abs=0.003)


def test_cooling_factors_are_held_where_the_coil_stays_dry():
    outdoor_c = np.array([30.0])
    dry = CoolingIndoor(relative_humidity_pct=20.0)(22.0, outdoor_c)
    drier = CoolingIndoor(relative_humidity_pct=5.0)(22.0, outdoor_c)
    assert dry[0].tolist() == drier[0].tolist()
    assert dry[1].tolist() == drier[1].tolist()


@given(
    indoor_c=st.floats(18.0, 32.0),
    drier=st.floats(20.0, 79.0),
    more=st.floats(0.0, 20.0),
    outdoor_c=st.floats(10.0, 50.0),
)
def test_a_damper_room_never_gives_less_capacity_or_a_worse_eer(indoor_c, drier, more, outdoor_c):
    at = np.array([outdoor_c])
    q0, p0 = CoolingIndoor(relative_humidity_pct=drier)(indoor_c, at)
    q1, p1 = CoolingIndoor(relative_humidity_pct=drier + more)(indoor_c, at)
    assert q1[0] >= q0[0] - 1e-12
    # Between 60 F and 60.7 F the EIR curve still rises by less than 0.1 % (computed).
    assert p1[0] / q1[0] <= p0[0] / q0[0] * 1.001


def test_heat_pump_takes_the_cooling_factors():
    unit = central_air_conditioner(10_000.0, eer=12.0)
    at = Conditions(
        outdoor_c=np.array([35.0]), relative_humidity_pct=np.array([50.0]), indoor_c=24.0
    )
    rated = HeatPump(performance=unit).full_output_w(at)
    usual = HeatPump(performance=unit, indoor_factors=CoolingIndoor()).full_output_w(at)
    q, _ = CoolingIndoor()(24.0, at.outdoor_c)
    assert usual[0] / rated[0] == pytest.approx(q[0], rel=1e-12)


@pytest.mark.parametrize("humidity", [0.0, -5.0, 101.0, float("nan")])
def test_impossible_indoor_humidity_is_refused(humidity):
    with pytest.raises(EquipmentError, match="indoor humidity"):
        CoolingIndoor(relative_humidity_pct=humidity)
