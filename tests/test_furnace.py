"""Furnaces and burners: fuel and fan power for a load, losses that belong to each efficiency."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.burner import Burner, input_for_output, steady_state_from_afue
from energymodel.equipment.flows import Conditions, Flows
from energymodel.equipment.furnace import Furnace
from energymodel.errors import EquipmentError
from energymodel.units import BTU_PER_KWH, w_from_btu_h


def run(furnace: Furnace, *load_w: float) -> Flows:
    load = np.array(load_w)
    at = Conditions(
        outdoor_c=np.zeros_like(load), relative_humidity_pct=np.full_like(load, 80.0), indoor_c=21.0
    )
    return furnace.run(at, load)


def afue_burner(afue: float = 0.8, input_w: float = 20_000.0) -> Burner:
    return Burner.from_afue(carrier="natural gas", afue=afue, input_w=input_w)


def old_burner(cd: float = 0.15, pilot_w: float = 200.0) -> Burner:
    return Burner.from_steady_state(
        carrier="natural gas", efficiency=0.75, input_w=20_000.0, cd=cd, pilot_w=pilot_w
    )


def test_furnace_with_its_fan_credited_breaks_even_at_the_case_s_cop():
    # Cases sheet, case A1 (user problem, published answer): gas $0.96/therm, furnace 93 %,
    # 75,000 Btu/h input, fan 0.5 kW, electricity $0.085/kWh; 2.33 with the fan's heat credited.
    burner = afue_burner(0.93, w_from_btu_h(75_000.0))
    furnace = Furnace(burner=burner, blower_w=500.0)
    flows = run(furnace, furnace.output_w)
    gas_dollars = flows.fuel_w["natural gas"][0] / 1000.0 * BTU_PER_KWH / 1e5 * 0.96
    fan_dollars = flows.electricity_w["blower"][0] / 1000.0 * 0.085
    heat_kwh = flows.delivered_w[0] / 1000.0
    assert 0.085 / ((gas_dollars + fan_dollars) / heat_kwh) == pytest.approx(2.334, abs=0.01)


def test_fan_heat_is_credited_and_inducer_heat_is_not():
    # Computed: half load of 16,000 + 400 W.
    furnace = Furnace(burner=afue_burner(), blower_w=400.0, auxiliary_w=60.0)
    flows = run(furnace, 8_200.0)
    assert flows.fuel_w["natural gas"][0] == pytest.approx(10_000.0)
    assert flows.electricity_w["blower"][0] == pytest.approx(200.0)
    assert flows.electricity_w["auxiliary"][0] == pytest.approx(30.0)


def test_load_beyond_full_fire_is_unmet():
    furnace = Furnace(burner=afue_burner(), blower_w=400.0)
    flows = run(furnace, 20_000.0)
    assert flows.delivered_w[0] == pytest.approx(16_400.0)
    assert flows.unmet_w[0] == pytest.approx(3_600.0)
    assert flows.fuel_w["natural gas"][0] == pytest.approx(20_000.0)


def test_afue_furnace_burns_nothing_without_load():
    flows = run(Furnace(burner=afue_burner(), blower_w=400.0, auxiliary_w=60.0), 0.0)
    assert flows.fuel_w["natural gas"][0] == 0.0
    assert sum(w[0] for w in flows.electricity_w.values()) == 0.0
    assert flows.running_w[0] == 0.0


def test_standing_pilot_burns_in_every_hour():
    flows = run(Furnace(burner=old_burner()), 0.0, 5_000.0)
    without = run(Furnace(burner=old_burner(pilot_w=0.0)), 0.0, 5_000.0)
    assert (flows.fuel_w["natural gas"] - without.fuel_w["natural gas"]).tolist() == [200.0, 200.0]


def test_cycling_loss_of_old_furnaces_is_within_the_trade_s_band():
    # Common practice: 5 % to 15 % for old natural draft at about twice the needed size; a load
    # a third of the output stands for the season's mean.
    steady = run(Furnace(burner=old_burner(cd=0.0, pilot_w=0.0)), 5_000.0).fuel_w["natural gas"][0]
    cycling = run(Furnace(burner=old_burner(pilot_w=0.0)), 5_000.0).fuel_w["natural gas"][0]
    assert 1.05 < cycling / steady < 1.15


def test_cycling_costs_nothing_at_full_fire():
    burner = old_burner(pilot_w=0.0)
    assert run(Furnace(burner=burner), burner.output_w).fuel_w["natural gas"][0] == pytest.approx(
        burner.input_w
    )


def test_in_service_factor_divides_the_fuel_alone():
    rated = run(Furnace(burner=afue_burner(), blower_w=400.0), 8_000.0)
    served = run(Furnace(burner=afue_burner(), blower_w=400.0, in_service_factor=0.95), 8_000.0)
    assert served.fuel_w["natural gas"][0] == pytest.approx(rated.fuel_w["natural gas"][0] / 0.95)
    assert served.electricity_w["blower"][0] == rated.electricity_w["blower"][0]
    assert served.delivered_w[0] == rated.delivered_w[0]


def test_running_power_is_that_of_the_motors_while_they_run():
    flows = run(Furnace(burner=afue_burner(), blower_w=400.0, auxiliary_w=60.0), 100.0)
    assert flows.running_w[0] == 460.0


@pytest.mark.parametrize(
    ("afue", "steady"),
    # A commercial-building modelling guideline: Et = 0.0051427 AFUE + 0.3989 (published);
    # the three values computed.
    [(0.80, 0.810), (0.92, 0.872), (0.95, 0.887)],
)
def test_steady_state_efficiency_follows_the_guideline(afue, steady):
    assert steady_state_from_afue(afue) == pytest.approx(steady, abs=0.0005)


def test_input_and_output_of_a_plate_are_one_burner():
    burner = afue_burner(0.9, input_for_output(18_000.0, efficiency=0.9))
    assert burner.output_w == pytest.approx(18_000.0)


def test_derated_burner_gives_less_at_the_same_efficiency():
    burner = old_burner().derated(0.88)
    assert burner.input_w == pytest.approx(17_600.0)
    assert burner.output_w / burner.input_w == pytest.approx(0.75)
    assert burner.pilot_w == 200.0


def test_efficiency_above_100_percent_asks_for_its_basis():
    with pytest.raises(EquipmentError, match=r"net basis\?"):
        afue_burner(1.06)


@pytest.mark.parametrize("efficiency", [0.0, -0.5, 80.0, float("nan")])
def test_efficiency_that_is_no_fraction_is_refused(efficiency):
    with pytest.raises(EquipmentError, match="burner efficiency"):
        afue_burner(efficiency)


@pytest.mark.parametrize(
    "make",
    [
        lambda: afue_burner(0.8, 0.0),
        lambda: old_burner(cd=0.6),
        lambda: old_burner(pilot_w=-1.0),
        lambda: Furnace(burner=afue_burner(), blower_w=-1.0),
        lambda: Furnace(burner=afue_burner(), auxiliary_w=float("nan")),
        lambda: Furnace(burner=afue_burner(), in_service_factor=9.0),
    ],
)
def test_impossible_furnaces_are_refused(make):
    with pytest.raises(EquipmentError):
        make()


@given(
    load_w=st.lists(st.floats(0.0, 60_000.0), min_size=1, max_size=8),
    efficiency=st.floats(0.5, 1.0),
    input_w=st.floats(3_000.0, 50_000.0),
    blower_w=st.floats(0.0, 900.0),
    in_service=st.floats(0.9, 1.0),
)
def test_heat_of_an_afue_furnace_is_fuel_times_efficiency_plus_blower(
    load_w, efficiency, input_w, blower_w, in_service
):
    burner = afue_burner(efficiency, input_w)
    flows = run(Furnace(burner=burner, blower_w=blower_w, in_service_factor=in_service), *load_w)
    heat = flows.fuel_w["natural gas"] * efficiency * in_service + flows.electricity_w["blower"]
    assert flows.delivered_w == pytest.approx(heat, rel=1e-12, abs=1e-9)
    assert (flows.delivered_w + flows.unmet_w).tolist() == pytest.approx(load_w, rel=1e-12)
    assert np.all(flows.unmet_w >= 0)


@given(
    load_w=st.lists(st.floats(0.0, 60_000.0), min_size=1, max_size=8),
    cd=st.floats(0.0, 0.5),
    blower_w=st.floats(0.0, 900.0),
)
def test_heat_of_a_cycling_furnace_is_fuel_after_cycling_loss_plus_blower(load_w, cd, blower_w):
    furnace = Furnace(burner=old_burner(cd), blower_w=blower_w)
    flows = run(furnace, *load_w)
    share = np.minimum(np.array(load_w) / (15_000.0 + blower_w), 1.0)
    kept = 1.0 - cd * (1.0 - share)
    heat = (flows.fuel_w["natural gas"] - 200.0) * kept * 0.75 + flows.electricity_w["blower"]
    assert flows.delivered_w == pytest.approx(heat, rel=1e-12, abs=1e-9)
    assert flows.delivered_w + flows.unmet_w == pytest.approx(np.array(load_w), rel=1e-12)


@given(smaller=st.floats(0.0, 20_000.0), more=st.floats(0.0, 5_000.0))
def test_a_larger_load_never_burns_less_fuel(smaller, more):
    flows = run(Furnace(burner=old_burner(cd=0.5), blower_w=400.0), smaller, smaller + more)
    fuel = flows.fuel_w["natural gas"]
    assert fuel[1] >= fuel[0] - 1e-9
