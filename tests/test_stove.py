"""Wood and pellet stoves."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.burner import Burner
from energymodel.equipment.flows import Conditions, Flows
from energymodel.equipment.stove import Stove


def run(stove: Stove, load_w: list[float]) -> Flows:
    load = np.array(load_w)
    at = Conditions(
        outdoor_c=np.zeros_like(load), relative_humidity_pct=np.full_like(load, 80.0), indoor_c=21.0
    )
    return stove.run(at, load)


def pellet_stove() -> Stove:
    burner = Burner.from_afue(carrier="pellets", afue=0.78, input_w=12_000.0)
    return Stove(burner=burner, blower_w=60.0, auxiliary_w=60.0)


def test_wood_stove_draws_no_electricity():
    burner = Burner.from_afue(carrier="wood", afue=0.63, input_w=15_000.0)
    flows = run(Stove(burner=burner), [6_300.0])
    assert flows.fuel_w["wood"][0] == pytest.approx(10_000.0)
    assert sum(w[0] for w in flows.electricity_w.values()) == 0.0


def test_pellet_stove_draws_auger_and_fan_power_while_it_burns():
    flows = run(pellet_stove(), [4_710.0, 0.0])
    # Computed: half of 9,360 W + 60 W.
    assert flows.electricity_w["auxiliary"].tolist() == pytest.approx([30.0, 0.0])
    assert flows.electricity_w["blower"].tolist() == pytest.approx([30.0, 0.0])
    assert flows.running_w.tolist() == [120.0, 0.0]


def test_stove_does_not_depend_on_humidity():
    assert pellet_stove().uses_humidity is False


@given(load_w=st.lists(st.floats(0.0, 20_000.0), min_size=1, max_size=8))
def test_heat_of_a_pellet_stove_is_fuel_times_efficiency_plus_room_fan(load_w):
    flows = run(pellet_stove(), load_w)
    heat = flows.fuel_w["pellets"] * 0.78 + flows.electricity_w["blower"]
    assert flows.delivered_w == pytest.approx(heat, rel=1e-12, abs=1e-9)
    assert flows.delivered_w + flows.unmet_w == pytest.approx(np.array(load_w), rel=1e-12)
