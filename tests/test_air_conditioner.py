"""Maps of single-speed units made from their plate."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.arrays import Array
from energymodel.equipment.air_conditioner import (
    central_air_conditioner,
    eer_from_ceer,
    heat_pump_cooling,
    heat_pump_heating,
    net_cooling,
    portable_air_conditioner,
    rated_fan_w,
    room_air_conditioner,
)
from energymodel.equipment.curves import Frost, Function, PerformanceMap
from energymodel.equipment.flows import Conditions
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.limits import check_map
from energymodel.equipment.single_speed import (
    AIR_CONDITIONER_EIR,
    COOLING_CAPACITY,
    HEAT_PUMP_COOLING_EIR,
)
from energymodel.errors import EquipmentError
from energymodel.units import BTU_PER_WH, btu_h_from_w, c_from_f, w_from_btu_h

TON_W = w_from_btu_h(12_000.0)


def at(performance: PerformanceMap, *outdoor_f: float) -> tuple[Array, Array]:
    capacity, power = performance.raw(c_from_f(np.array(outdoor_f)))
    return btu_h_from_w(capacity[0]), power[0]


@pytest.mark.parametrize(
    ("eer", "gross_cop"),
    # NREL/TP-5500-56354 worked checks: gross COP at 95 F of SEER 8, 10, 13, 14 and 15 units
    # (quoted) and the net EER they come from at 0.365 W/cfm (computed).
    [(7.38, 2.49), (9.29, 3.22), (11.31, 4.04), (12.21, 4.42), (13.11, 4.81)],
)
def test_gross_efficiency_behind_a_net_rating(eer, gross_cop):
    # The map's own numbers: net + fan over power - fan at the rated point.
    fan_w = rated_fan_w(TON_W)
    capacity, power = at(central_air_conditioner(TON_W, eer=eer), 95.0)
    cop = (w_from_btu_h(capacity[0]) + fan_w) / (power[0] - fan_w)
    assert cop == pytest.approx(gross_cop, abs=0.006)


@pytest.mark.parametrize(
    "performance",
    [
        central_air_conditioner(2 * TON_W, eer=11.7),
        room_air_conditioner(TON_W, eer=11.0),
        heat_pump_cooling(3 * TON_W, eer=12.0),
        portable_air_conditioner(TON_W, eer=9.0, air_exchange_factor=1.0),
    ],
)
def test_map_is_net_as_rated_at_95_f(performance):
    capacity, power = at(performance, 95.0)
    eer = capacity[0] / power[0]
    assert any(eer == pytest.approx(plate, rel=1e-9) for plate in (11.7, 11.0, 12.0, 9.0))
    tons = capacity[0] / 12_000.0
    assert tons == pytest.approx(round(tons), rel=1e-9)
    assert performance.function is Function.COOLING


def test_without_fan_the_net_map_is_the_published_curve():
    outdoor_f = np.array([70.0, 82.0, 95.0, 110.0])
    capacity, power = net_cooling(
        1_000.0, 250.0, fan_w=0.0, eir=AIR_CONDITIONER_EIR, outdoor_f=outdoor_f
    )
    curve = COOLING_CAPACITY(67.0, outdoor_f) / COOLING_CAPACITY(67.0, np.array(95.0))
    eir = AIR_CONDITIONER_EIR(67.0, outdoor_f) / AIR_CONDITIONER_EIR(67.0, np.array(95.0))
    assert capacity.tolist() == pytest.approx((1_000.0 * curve).tolist(), rel=1e-12)
    assert (power / capacity * 4.0).tolist() == pytest.approx(eir.tolist(), rel=1e-12)


def test_fan_draws_the_same_power_at_every_temperature():
    # Net curves with and without fan differ by the fan on both sides (computed).
    outdoor_f = np.array([75.0, 95.0, 115.0])
    capacity, power = net_cooling(
        3_000.0, 900.0, fan_w=100.0, eir=HEAT_PUMP_COOLING_EIR, outdoor_f=outdoor_f
    )
    gross_capacity, gross_power = net_cooling(
        3_100.0, 800.0, fan_w=0.0, eir=HEAT_PUMP_COOLING_EIR, outdoor_f=outdoor_f
    )
    assert (gross_capacity - capacity).tolist() == pytest.approx([100.0] * 3)
    assert (power - gross_power).tolist() == pytest.approx([100.0] * 3)


def test_cooling_gets_harder_with_heat():
    capacity, power = at(room_air_conditioner(TON_W, eer=11.0), 70.0, 85.0, 100.0, 115.0)
    assert np.all(np.diff(capacity) < 0)
    assert np.all(np.diff(power) > 0)


@pytest.mark.parametrize("loss", [0.20, 0.35])
def test_default_portable_loss_lies_in_the_trade_s_band(loss):
    # Common practice: infiltration takes 20 % to 35 % of a portable unit's effect.
    plate, _ = at(portable_air_conditioner(TON_W, eer=9.0, air_exchange_factor=1.0), 95.0)
    bound, _ = at(portable_air_conditioner(TON_W, eer=9.0, air_exchange_factor=1 - loss), 95.0)
    room, power = at(portable_air_conditioner(TON_W, eer=9.0), 95.0)
    middle = 0.5 * ((1.0 - 0.20) + (1.0 - 0.35))
    assert room[0] == pytest.approx(plate[0] * middle, rel=1e-9)
    assert abs(room[0] - bound[0]) == pytest.approx(0.075 * plate[0], rel=1e-9)
    assert power[0] == pytest.approx(12_000.0 / 9.0, rel=1e-9)


def test_single_speed_heat_pump_keeps_the_published_share_of_its_capacity():
    # A manufacturer's table (published): 0.628 at 17 F and 0.479 at 5 F; COP 2.55 and 2.07 over
    # 3.78 at 47 F.
    capacity, power = at(heat_pump_heating(TON_W, cop=3.78), 47.0, 17.0, 5.0)
    assert (capacity / 12_000.0).tolist() == pytest.approx([1.0, 0.628, 0.479], abs=0.0005)
    cop = capacity / power / BTU_PER_WH
    assert cop.tolist() == pytest.approx([3.78, 2.55, 2.07], abs=0.02)


def test_heating_map_leaves_frost_to_the_weather():
    performance = heat_pump_heating(TON_W, cop=3.5)
    assert performance.speeds[0].frost is Frost.STEADY
    pump = HeatPump(performance=performance)
    assert pump.uses_humidity
    outdoor_c = np.array([0.0, 0.0])
    at_frost = Conditions(
        outdoor_c=outdoor_c, relative_humidity_pct=np.array([40.0, 85.0]), indoor_c=21.1
    )
    dry, damp = pump.full_output_w(at_frost)
    # Three manufacturers' factors at 85 % humidity and 32 F: 0.85 (published); ours 0.86.
    assert damp / dry == pytest.approx(0.86, abs=0.011)


@pytest.mark.parametrize(
    ("ceer", "btu_h"),
    # Common practice: CEER is about 0.1 to 0.2 below EER.
    [(10.9, 8_000.0), (10.9, 12_000.0), (10.7, 14_500.0)],
)
def test_ceer_lies_a_little_below_eer(ceer, btu_h):
    eer = eer_from_ceer(ceer, capacity_w=w_from_btu_h(btu_h), standby_w=1.5)
    assert 0.07 < eer - ceer < 0.2


def test_ceer_without_standby_is_eer():
    assert eer_from_ceer(10.9, capacity_w=2_000.0, standby_w=0.0) == pytest.approx(10.9)


@pytest.mark.parametrize(
    "make",
    [
        lambda: central_air_conditioner(0.0, eer=11.0),
        lambda: central_air_conditioner(TON_W, eer=0.0),
        lambda: central_air_conditioner(TON_W, eer=11.0, fan_w=2_000.0),
        lambda: heat_pump_cooling(TON_W, eer=11.0, fan_w=-1.0),
        lambda: portable_air_conditioner(TON_W, eer=9.0, air_exchange_factor=0.1),
        lambda: heat_pump_heating(TON_W, cop=-3.0),
        lambda: heat_pump_heating(0.0, cop=3.0),
        lambda: eer_from_ceer(10.9, capacity_w=100.0, standby_w=50.0),
    ],
)
def test_impossible_plates_are_refused(make):
    with pytest.raises(EquipmentError):
        make()


@given(
    capacity_w=st.floats(1_500.0, 20_000.0),
    eer=st.floats(7.5, 16.0),
    outdoor_c=st.lists(st.floats(10.0, 50.0), min_size=1, max_size=6),
    share=st.floats(0.0, 1.5),
)
def test_cold_delivered_and_unmet_are_the_load(capacity_w, eer, outdoor_c, share):
    performance = room_air_conditioner(capacity_w, eer=eer)
    check_map(performance)
    outdoor = np.array(outdoor_c)
    load_w = np.full_like(outdoor, share * capacity_w)
    conditions = Conditions(
        outdoor_c=outdoor, relative_humidity_pct=np.full_like(outdoor, 60.0), indoor_c=24.0
    )
    flows = HeatPump(performance=performance).run(conditions, load_w)
    assert flows.delivered_w + flows.unmet_w == pytest.approx(load_w, rel=1e-12)
    assert np.all(flows.unmet_w >= 0)
    assert np.all(flows.pump_power_w >= 0)
