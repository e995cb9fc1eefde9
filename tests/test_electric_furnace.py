"""Electric furnaces: the blower is inside the total."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.electric_furnace import ElectricFurnace
from energymodel.equipment.flows import Conditions, Flows
from energymodel.errors import EquipmentError


def run(furnace: ElectricFurnace, load_w: list[float]) -> Flows:
    load = np.array(load_w)
    at = Conditions(
        outdoor_c=np.zeros_like(load), relative_humidity_pct=np.full_like(load, 80.0), indoor_c=21.0
    )
    return furnace.run(at, load)


def test_blower_is_inside_the_total():
    furnace = ElectricFurnace(capacity_w=10_000.0, blower_w=400.0)
    flows = run(furnace, [5_000.0, 20_000.0, 0.0])
    assert flows.electricity_w["blower"].tolist() == pytest.approx([200.0, 400.0, 0.0])
    assert flows.electricity_w["resistance"].tolist() == pytest.approx([4_800.0, 9_600.0, 0.0])
    assert flows.unmet_w.tolist() == [0.0, 10_000.0, 0.0]
    assert flows.running_w.tolist() == [10_000.0, 10_000.0, 0.0]


def test_elements_count_under_the_name_they_are_given():
    flows = run(ElectricFurnace(capacity_w=8_000.0, use="backup"), [1_000.0])
    assert flows.electricity_w["backup"].tolist() == [1_000.0]


@pytest.mark.parametrize("blower_w", [-1.0, 10_000.0])
def test_blower_larger_than_the_total_is_refused(blower_w):
    with pytest.raises(EquipmentError, match="blower"):
        ElectricFurnace(capacity_w=10_000.0, blower_w=blower_w)


@given(
    load_w=st.lists(st.floats(0.0, 40_000.0), min_size=1, max_size=8),
    capacity_w=st.floats(2_000.0, 30_000.0),
    blower_w=st.floats(0.0, 900.0),
)
def test_every_kilowatt_hour_becomes_heat(load_w, capacity_w, blower_w):
    flows = run(ElectricFurnace(capacity_w=capacity_w, blower_w=blower_w), load_w)
    drawn = flows.electricity_w["resistance"] + flows.electricity_w["blower"]
    assert flows.delivered_w == pytest.approx(drawn, rel=1e-12)
    assert flows.delivered_w + flows.unmet_w == pytest.approx(np.array(load_w), rel=1e-12)
