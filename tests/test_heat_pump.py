"""Heat pumps as installed, with frost, cut-outs and a second heater: energy closes everywhere."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from energymodel.arrays import Array
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.curves import (
    Frost,
    Function,
    PerformanceMap,
    TablePoint,
    map_from_table,
)
from energymodel.equipment.flows import Conditions, Flows
from energymodel.equipment.heat_pump import HeatPump, no_indoor_effect
from energymodel.equipment.kernel import modulating, time_shared
from energymodel.equipment.operation import Operation, SpeedLockout
from energymodel.equipment.resistance import Resistance
from energymodel.errors import EquipmentError
from energymodel.units import c_from_f

_TRIES = settings(max_examples=30, deadline=None)
_POINTS_F = (5.0, 17.0, 47.0)
_STATES = 24


@st.composite
def maps(draw: st.DrawFn, *, frost: Frost | None = None) -> PerformanceMap:
    """One to four speeds; capacity falls with the cold; lower speeds may lack cold points."""
    speeds = draw(st.integers(1, 4))
    base = draw(st.floats(400.0, 2500.0))
    share_at_5f = draw(st.floats(0.4, 1.0))
    cop_at_5f, cop_at_47f = draw(st.floats(1.1, 2.5)), draw(st.floats(2.6, 5.5))
    points = []
    for speed in range(speeds):
        rated = base * draw(st.floats(1.4, 2.2)) ** speed
        known_f = _POINTS_F if speed == speeds - 1 else _POINTS_F[draw(st.integers(0, 1)) :]
        for outdoor_f in known_f:
            warmth = (outdoor_f - 5.0) / 42.0
            capacity = rated * (share_at_5f + (1 - share_at_5f) * warmth) * 1.5**speed
            cop = (cop_at_5f + (cop_at_47f - cop_at_5f) * warmth) * 0.95**speed
            points.append(
                TablePoint(
                    speed=f"speed {speed}",
                    outdoor_c=c_from_f(outdoor_f),
                    capacity_w=capacity,
                    power_w=capacity / cop,
                )
            )
    return map_from_table(
        points,
        function=Function.HEATING,
        frost=frost or draw(st.sampled_from(Frost)),
        cd=draw(st.floats(0.0, 0.4)),
        staging=draw(st.sampled_from([modulating, time_shared])),
    )


@st.composite
def operations(draw: st.DrawFn) -> Operation:
    """Cut-outs with a band, a warm limit, stop at COP below one, a speed locked out below -5 C."""
    off = draw(st.none() | st.floats(-30.0, -5.0))
    lockout = SpeedLockout(speed=0, below_c=-5.0)
    return Operation(
        off_c=off,
        on_c=None if off is None else off + draw(st.floats(0.0, 6.0)),
        off_above_c=draw(st.none() | st.floats(15.0, 30.0)),
        stop_below_cop_1=draw(st.booleans()),
        stop_below_cop_1_at_part_load=draw(st.booleans()),
        lockouts=draw(st.sampled_from([(), (lockout,)])),
    )


@st.composite
def pumps(draw: st.DrawFn, *, frost: Frost | None = None, plain: bool = False) -> HeatPump:
    """A heat pump as installed; plain: no cut-outs."""
    return HeatPump(
        performance=draw(maps(frost=frost)),
        operation=Operation() if plain else draw(operations()),
        capacity_factor=draw(st.floats(0.8, 1.0)),
        in_service_factor=draw(st.floats(0.7, 1.0)),
        frost_loss=draw(st.booleans()) if frost is None else True,
    )


def weather(seed: int, indoor_c: float = 21.0) -> Conditions:
    """Invented hours: any outdoor temperature with any humidity."""
    random = np.random.default_rng(seed)
    return Conditions(
        outdoor_c=random.uniform(-35.0, 25.0, _STATES),
        relative_humidity_pct=random.uniform(20.0, 100.0, _STATES),
        indoor_c=indoor_c,
    )


def loads(seed: int) -> Array:
    """Invented loads from none to far above any unit here."""
    random = np.random.default_rng(seed + 1)
    load_w = 10.0 ** random.uniform(1.5, 5.0, _STATES)
    load_w[::6] = 0.0
    return load_w


_SEEDS = st.integers(0, 10_000)


def assert_energy_closes(flows: Flows, load_w: Array) -> None:
    room = 1e-9 * float(load_w.max())
    assert flows.delivered_w + flows.unmet_w == pytest.approx(load_w, abs=room)
    assert np.all(flows.delivered_w >= -room)
    assert np.all(flows.unmet_w >= -room)
    for name, power in {**flows.electricity_w, **flows.fuel_w}.items():
        assert np.all(power >= -room), name
    assert np.all(flows.run_share >= 0)
    assert np.all(flows.run_share <= 1 + 1e-9)


@_TRIES
@given(pumps(), _SEEDS)
def test_delivered_and_unmet_add_up_to_the_load(pump: HeatPump, seed: int) -> None:
    load_w = loads(seed)
    flows = pump.run(weather(seed), load_w)
    room = 1e-9 * float(load_w.max())
    assert flows.delivered_w + flows.unmet_w == pytest.approx(load_w, abs=room)
    assert np.all(flows.unmet_w >= -room)
    electricity = sum(flows.electricity_w.values())
    assert electricity == pytest.approx(flows.pump_power_w, abs=room)
    assert np.all(flows.pump_power_w >= 0)
    assert np.all(flows.electricity_w["compressor"] >= 0)
    assert flows.pump_heat_w.tolist() == flows.delivered_w.tolist()
    assert np.all((flows.run_share >= 0) & (flows.run_share <= 1 + 1e-9))


@_TRIES
@given(pumps(frost=Frost.STEADY), _SEEDS)
def test_defrost_never_gives_electricity_back(pump: HeatPump, seed: int) -> None:
    load_w = loads(seed)
    defrost = pump.run(weather(seed), load_w).electricity_w["defrost"]
    assert np.all(defrost >= -1e-9 * load_w.max())


@_TRIES
@given(pumps(frost=Frost.INCLUDED), _SEEDS)
def test_curves_that_include_frost_have_no_defrost_line(pump: HeatPump, seed: int) -> None:
    flows = pump.run(weather(seed), loads(seed))
    assert not flows.electricity_w["defrost"].any()
    assert not pump.uses_humidity


@_TRIES
@given(pumps(frost=Frost.STEADY, plain=True), _SEEDS)
def test_frost_takes_output_below_45_f_only(pump: HeatPump, seed: int) -> None:
    conditions, load_w = weather(seed), loads(seed)
    clear = replace(pump, frost_loss=False)
    assert np.all(pump.full_output_w(conditions) <= clear.full_output_w(conditions) * (1 + 1e-12))
    warm = conditions.outdoor_c >= c_from_f(45.0)
    with_frost, without = pump.run(conditions, load_w), clear.run(conditions, load_w)
    assert with_frost.pump_power_w[warm].tolist() == without.pump_power_w[warm].tolist()
    assert not with_frost.electricity_w["defrost"][warm].any()
    assert not without.electricity_w["defrost"].any()


@_TRIES
@given(pumps(), st.floats(0.5, 1.0), _SEEDS)
def test_in_service_factor_divides_the_power_and_leaves_the_heat(
    pump: HeatPump, factor: float, seed: int
) -> None:
    conditions, load_w = weather(seed), loads(seed)
    kind = replace(pump.operation, stop_below_cop_1=False, stop_below_cop_1_at_part_load=False)
    rated = replace(pump, in_service_factor=1.0, operation=kind)
    aged = replace(rated, in_service_factor=factor)
    first, second = rated.run(conditions, load_w), aged.run(conditions, load_w)
    assert second.delivered_w.tolist() == first.delivered_w.tolist()
    assert second.pump_power_w * factor == pytest.approx(first.pump_power_w, rel=1e-9)


@_TRIES
@given(pumps(plain=True), _SEEDS)
def test_between_cut_out_and_cut_in_it_runs_half_the_time(pump: HeatPump, seed: int) -> None:
    conditions, load_w = weather(seed), loads(seed)
    cut = replace(pump, operation=Operation(off_c=-15.0, on_c=-5.0))
    free, limited = pump.run(conditions, load_w), cut.run(conditions, load_w)
    outdoor_c = conditions.outdoor_c
    share = np.where(outdoor_c <= -15.0, 0.0, np.where(outdoor_c <= -5.0, 0.5, 1.0))
    assert limited.delivered_w == pytest.approx(share * free.delivered_w, rel=1e-12)
    assert limited.pump_power_w == pytest.approx(share * free.pump_power_w, rel=1e-12)
    assert limited.electricity_w["defrost"] == pytest.approx(
        share * free.electricity_w["defrost"], rel=1e-9, abs=1e-9
    )
    stopped = (share < 1) & (load_w > 0)
    assert np.all(limited.outside[stopped])


@_TRIES
@given(pumps(), _SEEDS)
def test_hours_in_which_it_gives_nothing_to_a_load_are_outside_its_range(
    pump: HeatPump, seed: int
) -> None:
    load_w = loads(seed)
    flows = pump.run(weather(seed), load_w)
    nothing = (load_w > 0) & (flows.delivered_w == 0)
    assert np.all(flows.outside[nothing])


@_TRIES
@given(pumps(), _SEEDS)
def test_one_hour_at_a_time_gives_the_same_as_all_at_once(pump: HeatPump, seed: int) -> None:
    conditions, load_w = weather(seed), loads(seed)
    together = pump.run(conditions, load_w)
    for index in range(load_w.size):
        one = slice(index, index + 1)
        alone = pump.run(
            replace(
                conditions,
                outdoor_c=conditions.outdoor_c[one],
                relative_humidity_pct=conditions.relative_humidity_pct[one],
            ),
            load_w[one],
        )
        assert alone.delivered_w[0] == together.delivered_w[index]
        assert alone.pump_power_w[0] == together.pump_power_w[index]
        assert alone.electricity_w["defrost"][0] == together.electricity_w["defrost"][index]
        assert alone.outside[0] == together.outside[index]


@_TRIES
@given(pumps(), _SEEDS)
def test_heat_given_is_capped_by_the_full_output(pump: HeatPump, seed: int) -> None:
    conditions, load_w = weather(seed), loads(seed)
    flows = pump.run(conditions, load_w)
    most = replace(pump, operation=replace(pump.operation, stop_below_cop_1=False)).full_output_w(
        conditions
    )
    assert np.all(flows.delivered_w <= most * (1 + 1e-12))


def test_full_speed_stops_10_f_below_its_coldest_point() -> None:
    # Our choice: full speed reaches at most 10 F below its coldest tested point.
    points = [
        TablePoint(speed="full", outdoor_c=c_from_f(f), capacity_w=w, power_w=1500.0)
        for f, w in ((5.0, 3000.0), (47.0, 5000.0))
    ]
    unit = HeatPump(
        performance=map_from_table(points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25)
    )
    conditions = Conditions(
        outdoor_c=c_from_f(np.array([-6.0, -5.0, 5.0])),
        relative_humidity_pct=np.full(3, 80.0),
        indoor_c=c_from_f(70.0),
    )
    flows = unit.run(conditions, np.full(3, 1e5))
    assert flows.delivered_w == pytest.approx([0.0, 3000 - 2000 * 10 / 42, 3000.0])
    assert flows.outside.tolist() == [True, False, False]
    assert flows.extrapolated.tolist() == [False, True, False]


def test_an_air_conditioner_knows_no_frost_and_no_indoor_effect() -> None:
    points = [
        TablePoint(speed="full", outdoor_c=c_from_f(f), capacity_w=w, power_w=p)
        for f, w, p in ((82.0, 3700.0, 900.0), (95.0, 3500.0, 1050.0))
    ]
    unit = HeatPump(
        performance=map_from_table(points, function=Function.COOLING, frost=Frost.STEADY, cd=0.2)
    )
    outdoor_c = c_from_f(np.array([60.0, 65.0, 82.0, 95.0, 108.0]))
    conditions = Conditions(
        outdoor_c=outdoor_c, relative_humidity_pct=np.full(5, 60.0), indoor_c=26.0
    )
    flows = unit.run(conditions, np.full(5, 1e5))
    # Straight line through the two points; below 65 F (here 82 F is the coldest) it goes on to 65.
    slope = -200.0 / 13.0
    assert flows.delivered_w == pytest.approx(
        [3700 - 17 * slope, 3700 - 17 * slope, 3700.0, 3500.0, 3500 + 13 * slope]
    )
    assert not unit.uses_humidity
    assert no_indoor_effect(20.0, outdoor_c)[0].tolist() == [1.0] * 5


@pytest.mark.parametrize("name", ["in_service_factor", "capacity_factor"])
def test_factors_that_are_not_plausible_are_refused(name: str) -> None:
    points = [TablePoint(speed="full", outdoor_c=8.3, capacity_w=3000.0, power_w=900.0)]
    performance = map_from_table(points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25)
    with pytest.raises(EquipmentError, match="is not plausible"):
        HeatPump(performance=performance, **{name: 90.0})


@_TRIES
@given(pumps(frost=Frost.INCLUDED), st.none() | st.floats(100.0, 50_000.0), _SEEDS)
def test_backup_that_runs_with_the_pump_closes_the_energy(
    pump: HeatPump, strips_w: float | None, seed: int
) -> None:
    conditions, load_w = weather(seed), loads(seed)
    alone = pump.run(conditions, load_w)
    both = BackupWith(main=pump, backup=Resistance(capacity_w=strips_w, use="backup")).run(
        conditions, load_w
    )
    assert_energy_closes(both, load_w)
    assert both.pump_power_w.tolist() == alone.pump_power_w.tolist()
    missing = alone.unmet_w if strips_w is None else np.minimum(alone.unmet_w, strips_w)
    assert both.electricity_w["backup"] == pytest.approx(missing)
    if strips_w is None:
        assert both.unmet_w == pytest.approx(np.zeros(_STATES), abs=1e-9 * load_w.max())


@_TRIES
@given(pumps(frost=Frost.INCLUDED), st.floats(100.0, 200_000.0), _SEEDS)
def test_backup_that_runs_instead_of_the_pump_closes_the_energy(
    pump: HeatPump, furnace_w: float, seed: int
) -> None:
    conditions, load_w = weather(seed), loads(seed)
    furnace = Resistance(capacity_w=furnace_w, use="furnace")
    both = BackupInstead(main=pump, backup=furnace).run(conditions, load_w)
    assert_energy_closes(both, load_w)
    heat = both.electricity_w["furnace"]
    assert both.delivered_w == pytest.approx(both.pump_heat_w + heat)


@_TRIES
@given(pumps(frost=Frost.INCLUDED, plain=True), st.floats(1.0, 20.0), _SEEDS)
def test_pump_and_furnace_share_the_time_where_the_load_is_above_the_pumps_full_output(
    pump: HeatPump, size: float, seed: int
) -> None:
    conditions = weather(seed)
    q_n = pump.full_output_w(conditions)
    furnace_w = size * float(q_n.max()) + 1.0
    load_w = q_n + 0.6 * (furnace_w - q_n)
    furnace = Resistance(capacity_w=furnace_w, use="furnace")
    both = BackupInstead(main=pump, backup=furnace).run(conditions, load_w)
    y = np.where(q_n > 0, 0.6, load_w / furnace_w)
    assert both.electricity_w["furnace"] == pytest.approx(y * furnace_w)
    assert both.pump_heat_w == pytest.approx((1 - y) * q_n)
    assert both.unmet_w == pytest.approx(np.zeros(_STATES), abs=1e-9 * load_w.max())


@_TRIES
@given(pumps(frost=Frost.INCLUDED), st.floats(100.0, 200_000.0), _SEEDS)
def test_pump_and_furnace_never_run_for_more_than_the_hour(
    pump: HeatPump, furnace_w: float, seed: int
) -> None:
    conditions, load_w = weather(seed), loads(seed)
    both = BackupInstead(main=pump, backup=Resistance(capacity_w=furnace_w, use="furnace")).run(
        conditions, load_w
    )
    running = both.running_w > 0
    furnace_share = both.electricity_w["furnace"] / furnace_w
    over = both.pump_heat_w > 0
    most = replace(pump, operation=Operation(lockouts=pump.operation.lockouts)).full_output_w(
        conditions
    )
    at_full = over & (load_w >= most)
    pump_share = np.divide(both.pump_heat_w, most, out=np.zeros(_STATES), where=at_full)
    assert np.all(furnace_share + pump_share <= 1 + 1e-9)
    assert np.all(running[both.delivered_w > 0])


@_TRIES
@given(pumps(frost=Frost.INCLUDED, plain=True), _SEEDS)
def test_below_the_switch_over_temperature_only_the_furnace_runs(pump: HeatPump, seed: int) -> None:
    conditions, load_w = weather(seed), loads(seed)
    switched = replace(pump, operation=Operation(off_c=-5.0))
    both = BackupInstead(main=switched, backup=Resistance(use="furnace")).run(conditions, load_w)
    cold = conditions.outdoor_c <= -5.0
    assume(cold.any())
    assert not both.pump_heat_w[cold].any()
    assert both.electricity_w["furnace"][cold] == pytest.approx(load_w[cold])
    assert both.unmet_w == pytest.approx(np.zeros(_STATES), abs=1e-9 * load_w.max())


def test_hours_stopped_for_a_cop_below_one_are_outside_its_range_at_full_load_only() -> None:
    points = [
        TablePoint(speed="full", outdoor_c=t, capacity_w=q, power_w=1500.0)
        for t, q in ((-15.0, 1000.0), (5.0, 5000.0))
    ]
    unit = HeatPump(
        performance=map_from_table(
            points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25
        ),
        operation=Operation(stop_below_cop_1=True),
    )
    conditions = Conditions(
        outdoor_c=np.array([-15.0, -15.0, 0.0]),
        relative_humidity_pct=np.full(3, 80.0),
        indoor_c=c_from_f(70.0),
    )
    flows = unit.run(conditions, np.array([1e5, 500.0, 1e5]))
    assert flows.delivered_w == pytest.approx([0.0, 500.0, 4000.0])
    assert flows.outside.tolist() == [True, False, False]
