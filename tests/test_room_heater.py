"""Vented room heaters; unvented ones are refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.burner import Burner
from energymodel.equipment.flows import Conditions, Flows
from energymodel.equipment.room_heater import RoomHeater
from energymodel.errors import EquipmentError
from energymodel.units import KWH_PER_MMBTU, w_from_btu_h


def run(heater: RoomHeater, load_w: list[float]) -> Flows:
    load = np.array(load_w)
    at = Conditions(
        outdoor_c=np.zeros_like(load), relative_humidity_pct=np.full_like(load, 80.0), indoor_c=21.0
    )
    return heater.run(at, load)


def burner(pilot_w: float = 0.0) -> Burner:
    return Burner.from_steady_state(
        carrier="propane", efficiency=0.75, input_w=8_000.0, cd=0.05, pilot_w=pilot_w
    )


@pytest.mark.parametrize(("btu_h", "mmbtu"), [(400.0, 3.5), (1_000.0, 8.8)])
def test_standing_pilot_burns_the_yearly_fuel_of_trade_practice(btu_h, mmbtu):
    # Common practice: 400 to 1,000 Btu/h always on are 3.5 to 9 MMBtu a year.
    flows = run(RoomHeater(burner=burner(w_from_btu_h(btu_h))), [0.0] * 8_760)
    assert flows.fuel_w["propane"].sum() / 1000.0 / KWH_PER_MMBTU == pytest.approx(mmbtu, abs=0.05)


def test_unvented_heater_is_refused_with_a_caution():
    with pytest.raises(EquipmentError, match="carbon monoxide") as caught:
        RoomHeater(burner=burner(), vented=False)
    assert "direct-vent" in caught.value.remedy


def test_room_heater_refuses_what_every_appliance_refuses():
    with pytest.raises(EquipmentError, match="blower power"):
        RoomHeater(burner=burner(), blower_w=-5.0)


@given(
    load_w=st.lists(st.floats(0.0, 12_000.0), min_size=1, max_size=8),
    pilot_w=st.floats(0.0, 300.0),
    blower_w=st.floats(0.0, 80.0),
)
def test_heat_of_a_room_heater_is_fuel_after_losses_plus_fan(load_w, pilot_w, blower_w):
    flows = run(RoomHeater(burner=burner(pilot_w), blower_w=blower_w, auxiliary_w=20.0), load_w)
    share = np.minimum(np.array(load_w) / (6_000.0 + blower_w), 1.0)
    fired = (flows.fuel_w["propane"] - pilot_w) * (0.95 + 0.05 * share)
    heat = fired * 0.75 + flows.electricity_w["blower"]
    assert flows.delivered_w == pytest.approx(heat, rel=1e-12, abs=1e-8)
    assert flows.delivered_w + flows.unmet_w == pytest.approx(np.array(load_w), rel=1e-12)
