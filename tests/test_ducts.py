"""Ducts: what reaches the room, what is lost, and the fan beyond the rating."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.equipment.air_conditioner import heat_pump_cooling, heat_pump_heating
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.burner import Burner
from energymodel.equipment.curves import Function
from energymodel.equipment.ducts import Ducted, duct_place, duct_places
from energymodel.equipment.electric_furnace import ElectricFurnace
from energymodel.equipment.flows import Conditions, Flows, Source
from energymodel.equipment.furnace import Furnace
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.operation import Operation
from energymodel.equipment.resistance import Resistance
from energymodel.equipment.room_heater import RoomHeater
from energymodel.equipment.stove import Stove
from energymodel.errors import EquipmentError, InputError

HEATING = Function.HEATING
COOLING = Function.COOLING


def conditions(outdoor_c: list[float], indoor_c: float = 21.1) -> Conditions:
    outdoor = np.array(outdoor_c)
    return Conditions(
        outdoor_c=outdoor, relative_humidity_pct=np.full_like(outdoor, 85.0), indoor_c=indoor_c
    )


def burner(carrier: str = "natural gas") -> Burner:
    return Burner.from_afue(carrier=carrier, afue=0.8, input_w=20_000.0)


def heat_pump() -> HeatPump:
    return HeatPump(
        performance=heat_pump_heating(10_000.0, cop=3.5),
        operation=Operation(off_c=-18.0, on_c=-15.0, stop_below_cop_1=True),
    )


def air_conditioner() -> HeatPump:
    return HeatPump(performance=heat_pump_cooling(10_000.0, eer=12.0))


def ducted(source: Source, efficiency: float, fan_w: float = 0.0) -> Ducted:
    return Ducted(source=source, efficiency=efficiency, function=HEATING, extra_fan_w=fan_w)


HEATING_SOURCES = {
    "heat pump": heat_pump(),
    "heat pump with strips": BackupWith(main=heat_pump(), backup=Resistance(use="backup")),
    "heat pump or furnace": BackupInstead(
        main=heat_pump(), backup=Furnace(burner=burner(), blower_w=400.0)
    ),
    "furnace": Furnace(burner=burner(), blower_w=400.0),
    "electric furnace": ElectricFurnace(capacity_w=12_000.0, blower_w=400.0),
}


def test_furnace_burns_more_by_the_duct_efficiency():
    furnace = Furnace(burner=burner(), blower_w=400.0)
    at = conditions([0.0])
    load_w = np.array([6_000.0])
    bare = furnace.run(at, load_w)
    flows = ducted(furnace, 0.75).run(at, load_w)
    assert flows.fuel_w["natural gas"][0] == pytest.approx(bare.fuel_w["natural gas"][0] / 0.75)
    assert flows.electricity_w["blower"][0] == pytest.approx(bare.electricity_w["blower"][0] / 0.75)
    assert flows.duct_loss_w[0] == pytest.approx(2_000.0)
    assert flows.unmet_w[0] == 0.0


def test_shortfall_at_the_unit_is_smaller_at_the_room():
    # Computed: 12,000 W enter ducts of 0.8, 9,600 W leave them; 10,400 W are missing.
    flows = ducted(ElectricFurnace(capacity_w=12_000.0), 0.8).run(
        conditions([0.0]), np.array([20_000.0])
    )
    assert flows.delivered_w[0] == pytest.approx(9_600.0)
    assert flows.unmet_w[0] == pytest.approx(10_400.0)
    assert flows.duct_loss_w[0] == pytest.approx(2_400.0)


def test_perfect_ducts_without_extra_fan_change_nothing():
    at = conditions([-10.0, 0.0, 8.0])
    load_w = np.array([9_000.0, 5_000.0, 2_000.0])
    bare = heat_pump().run(at, load_w)
    flows = ducted(heat_pump(), 1.0).run(at, load_w)
    assert flows.delivered_w.tolist() == pytest.approx(bare.delivered_w.tolist(), rel=1e-12)
    assert flows.electricity_w.keys() == bare.electricity_w.keys()
    assert flows.pump_power_w.tolist() == bare.pump_power_w.tolist()
    assert flows.duct_loss_w.tolist() == pytest.approx([0.0] * 3, abs=1e-9)


def test_extra_fan_helps_in_heating():
    at = conditions([8.33])
    load_w = np.array([4_000.0])
    flows = ducted(heat_pump(), 0.8, 150.0).run(at, load_w)
    share = flows.run_share[0]
    assert flows.electricity_w["duct fan"][0] == pytest.approx(150.0 * share)
    assert flows.pump_heat_w[0] + 150.0 * share == pytest.approx(5_000.0, rel=1e-12)
    assert flows.delivered_w[0] == 4_000.0
    assert flows.running_w[0] == pytest.approx(
        ducted(heat_pump(), 0.8).run(at, load_w).running_w[0] + 150.0
    )


def test_extra_fan_is_a_load_in_cooling():
    at = conditions([35.0], indoor_c=24.0)
    load_w = np.array([4_000.0])
    unit = Ducted(source=air_conditioner(), efficiency=0.8, function=COOLING, extra_fan_w=150.0)
    flows = unit.run(at, load_w)
    fan_w = 150.0 * flows.run_share[0]
    assert flows.electricity_w["duct fan"][0] == pytest.approx(fan_w)
    assert flows.pump_heat_w[0] - fan_w == pytest.approx(5_000.0, rel=1e-12)
    assert flows.delivered_w[0] == 4_000.0
    assert flows.duct_loss_w[0] == pytest.approx(1_000.0)


def test_extra_fan_takes_from_a_full_air_conditioner():
    # At 35 C the unit gives 10,000 W; 200 W of fan heat, then ducts of 0.9 (computed).
    unit = Ducted(source=air_conditioner(), efficiency=0.9, function=COOLING, extra_fan_w=200.0)
    flows = unit.run(conditions([35.0], indoor_c=24.0), np.array([50_000.0]))
    assert flows.run_share[0] == 1.0
    assert flows.delivered_w[0] == pytest.approx(0.9 * 9_800.0, rel=1e-9)


def test_furnace_has_no_extra_fan_because_its_blower_is_its_own():
    furnace = Furnace(burner=burner(), blower_w=400.0)
    flows = ducted(furnace, 0.8, 100.0).run(conditions([0.0]), np.array([6_000.0]))
    assert flows.electricity_w["duct fan"].tolist() == [0.0]


def test_fan_as_large_as_the_unit_is_refused():
    unit = Ducted(source=air_conditioner(), efficiency=0.8, function=COOLING, extra_fan_w=50_000.0)
    with pytest.raises(EquipmentError, match="too large"):
        unit.run(conditions([35.0], indoor_c=24.0), np.array([4_000.0]))


@pytest.mark.parametrize(
    "source",
    [
        Boiler(burner=burner()),
        RoomHeater(burner=burner()),
        Stove(burner=burner("wood")),
    ],
)
def test_heaters_without_ducts_are_refused(source):
    with pytest.raises(EquipmentError, match="through ducts"):
        ducted(source, 0.8)


@pytest.mark.parametrize("efficiency", [0.0, 1.01, 75.0, float("nan")])
def test_impossible_duct_efficiency_is_refused(efficiency):
    with pytest.raises(EquipmentError, match="duct efficiency"):
        ducted(heat_pump(), efficiency)


@pytest.mark.parametrize("fan_w", [-1.0, float("nan")])
def test_impossible_fan_is_refused(fan_w):
    with pytest.raises(EquipmentError, match="extra fan"):
        ducted(heat_pump(), 0.8, fan_w)


def test_ducts_pass_on_whether_humidity_matters():
    assert ducted(heat_pump(), 0.8).uses_humidity
    assert not ducted(Furnace(burner=burner()), 0.8).uses_humidity


@pytest.mark.parametrize(
    ("key", "low", "high"),
    # Default values in the style of ASHRAE Standard 152, heating (from memory).
    [
        ("inside", 0.95, 1.0),
        ("basement", 0.75, 0.88),
        ("crawlspace", 0.65, 0.80),
        ("attic", 0.60, 0.75),
    ],
)
def test_default_efficiencies_stand_in_their_bands(key, low, high):
    assert duct_place(key).heating[0] == low
    assert low < duct_place(key).heating[1] < high
    assert duct_place(key).heating[2] == high


def test_attic_costs_cooling_five_points_more():
    attic = duct_place("attic")
    assert np.subtract(attic.heating, attic.cooling).tolist() == pytest.approx([0.05] * 3)


def test_sealed_ducts_are_8_to_15_points_better():
    for key in ("basement", "crawlspace", "attic"):
        gain = np.subtract(duct_place(f"{key}-sealed").heating, duct_place(key).heating)
        assert np.all((gain > 0.08) & (gain < 0.15))


def test_every_place_has_rising_values_and_a_source():
    for place in duct_places():
        for band in (place.heating, place.cooling):
            assert 0.2 <= band[0] <= band[1] <= band[2] <= 1.0
        assert place.source
        assert place.place


def test_unknown_place_is_answered_with_the_nearest():
    with pytest.raises(InputError, match="attik") as caught:
        duct_place("attik")
    assert 'did you mean "attic"?' in str(caught.value)


def heat_of(flows: Flows) -> np.ndarray:
    """Heat of all parts, before the ducts."""
    uses = flows.electricity_w
    parts = [flows.pump_heat_w]
    parts += [uses[use] for use in ("backup", "resistance", "blower", "duct fan") if use in uses]
    parts += [w * 0.8 for w in flows.fuel_w.values()]
    return np.sum(parts, axis=0)


@settings(max_examples=50)
@given(
    source=st.sampled_from(sorted(HEATING_SOURCES)),
    states=st.lists(
        st.tuples(st.floats(-30.0, 20.0), st.floats(0.0, 30_000.0)), min_size=1, max_size=8
    ),
    efficiency=st.floats(0.5, 1.0),
    fan_w=st.floats(0.0, 400.0),
)
def test_heat_made_is_heat_delivered_plus_duct_loss(source, states, efficiency, fan_w):
    outdoor_c, loads = (list(column) for column in zip(*states, strict=True))
    load_w = np.array(loads)
    unit = ducted(HEATING_SOURCES[source], efficiency, fan_w)
    flows = unit.run(conditions(outdoor_c), load_w)
    scale = load_w.max() + 1.0
    assert np.abs(flows.delivered_w + flows.unmet_w - load_w).max() <= 1e-12 * scale
    assert np.abs(flows.delivered_w + flows.duct_loss_w - heat_of(flows)).max() <= 1e-9 * scale
    assert np.abs(flows.delivered_w - efficiency * heat_of(flows)).max() <= 1e-9 * scale
    assert np.all(flows.unmet_w >= 0)
    assert np.all(flows.duct_loss_w >= -1e-9 * scale)


@settings(max_examples=50)
@given(
    states=st.lists(
        st.tuples(st.floats(15.0, 45.0), st.floats(0.0, 20_000.0)), min_size=1, max_size=8
    ),
    efficiency=st.floats(0.5, 1.0),
    fan_w=st.floats(0.0, 400.0),
)
def test_cold_made_less_fan_heat_is_cold_delivered_plus_duct_loss(states, efficiency, fan_w):
    outdoor_c, loads = (list(column) for column in zip(*states, strict=True))
    load_w = np.array(loads)
    unit = Ducted(
        source=air_conditioner(), efficiency=efficiency, function=COOLING, extra_fan_w=fan_w
    )
    flows = unit.run(conditions(outdoor_c, indoor_c=24.0), load_w)
    scale = load_w.max() + 1.0
    cold_w = flows.pump_heat_w - fan_w * flows.run_share
    assert np.abs(flows.delivered_w + flows.unmet_w - load_w).max() <= 1e-12 * scale
    assert np.abs(flows.delivered_w - efficiency * cold_w).max() <= 1e-9 * scale
    assert np.abs(flows.delivered_w + flows.duct_loss_w - cold_w).max() <= 1e-9 * scale


def test_a_stopped_unit_behind_ducts_delivers_nothing_at_any_load():
    # load - e (load / e) is not exactly zero for every load
    load_w = np.linspace(1.0, 20_000.0, 2000)
    stopped = Resistance(above_c=-40.0)
    for efficiency in (0.68, 0.75, 0.83):
        flows = ducted(stopped, efficiency, 0.0).run(conditions([0.0] * 2000), load_w)
        assert flows.delivered_w == pytest.approx(np.zeros(2000), abs=1e-9)
        assert np.all(flows.delivered_w >= 0)
