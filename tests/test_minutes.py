"""Minute by minute: thermostat, start-up, modulation, backup; against analytic truth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.building.room import Room, room_for_line
from energymodel.building.room_mass import room_mass
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.burner import Burner
from energymodel.equipment.curves import Frost, Function, TablePoint, map_from_table
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Conditions, Source
from energymodel.equipment.furnace import Furnace
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.kernel import StagingRule, modulating, time_shared
from energymodel.equipment.operation import Operation
from energymodel.equipment.partial import PartialDisplacement
from energymodel.equipment.resistance import Resistance
from energymodel.errors import EquipmentError, InputError
from energymodel.season.minutes import MinuteTrace, RoomRun, run_minutes
from energymodel.season.room_unit import heat_pump_in, room_unit
from energymodel.season.thermostat import Thermostat, start_up_factors

SET_C = 21.0
LINE = LoadLine(slope_w_per_k=90.0, balance_c=16.0, indoor_c=SET_C, heating=True)
ROOM = room_for_line(LINE, room_mass("timber-frame"), area_m2=35.0)
LOOSE = Thermostat(minimum_off_s=0.0, minimum_run_s=0.0)


def pump(
    *capacities_w: float, staging: StagingRule = modulating, operation: Operation | None = None
) -> HeatPump:
    """A heat pump of flat curves: capacity and COP do not depend on outdoor temperature."""
    points = [
        TablePoint(speed=f"{q:g}", outdoor_c=t, capacity_w=q, power_w=q / (4.0 - q / 4000.0))
        for q in capacities_w
        for t in (-25.0, 20.0)
    ]
    return HeatPump(
        performance=map_from_table(
            points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25, staging=staging
        ),
        operation=operation or Operation(),
    )


def at(outdoor_c: Sequence[float] | Array) -> Conditions:
    outdoor = np.array(outdoor_c, dtype=float)
    # 70 F: the indoor temperature at which the indoor factors are one
    return Conditions(
        outdoor_c=outdoor, relative_humidity_pct=np.full(outdoor.size, 80.0), indoor_c=190.0 / 9.0
    )


def run(
    source: Source,
    outdoor_c: Sequence[float] | Array,
    *,
    room: Room = ROOM,
    thermostat: Thermostat = LOOSE,
    tau_s: float = 0.0,
    step_s: float = 60.0,
    set_c: float | Array = SET_C,
) -> MinuteTrace:
    unit = room_unit(source, at(outdoor_c), size_w=4000.0, start_up_tau_s=tau_s)
    steps = round(len(outdoor_c) * 3600.0 / step_s)
    return run_minutes(
        RoomRun(
            room=room,
            unit=unit,
            set_point_c=np.full(steps, set_c),
            vent_c=26.0,
            thermostat=thermostat,
            step_s=step_s,
        )
    )


def one_node(capacity_j_per_k: float = 1e6, ua_w_per_k: float = 80.0) -> Room:
    return Room(
        air_j_per_k=capacity_j_per_k,
        structure_j_per_k=1.0,
        coupling_w_per_k=0.0,
        air_loss_w_per_k=ua_w_per_k,
        structure_loss_w_per_k=0.0,
    )


@pytest.mark.parametrize("outdoor_c", [-8.0, 0.0, 5.0])
@pytest.mark.parametrize("ducts", [None, 0.8])
def test_modulating_control_at_constant_weather_is_the_season_kernel(
    outdoor_c: float, ducts: float | None
) -> None:
    source: Source = pump(700.0, 2000.0, 4000.0)
    if ducts:
        source = Ducted(
            source=source, efficiency=ducts, function=Function.HEATING, extra_fan_w=40.0
        )
    trace = run(source, np.full(96, outdoor_c))
    load_w = LINE.load_w(np.array([outdoor_c]))
    kernel = source.run(at([outdoor_c]), load_w)
    last_hour = slice(-60, None)
    np.testing.assert_allclose(trace.heat_w[last_hour], load_w[0], rtol=1e-6)
    power_w = sum(kernel.electricity_w.values(), np.zeros(1))[0]
    np.testing.assert_allclose(trace.power_w[last_hour], power_w, rtol=1e-6)
    np.testing.assert_allclose(trace.air_c[last_hour], SET_C, atol=1e-6)
    assert trace.starts[last_hour].sum() == 0


@pytest.mark.parametrize("load_factor", [0.2, 0.5, 0.8])
def test_on_off_over_whole_cycles_gives_the_load_at_full_load_cop(load_factor: float) -> None:
    # analytic: with instant start-up a cycling machine is its full-load COP, heat is the load
    capacity_w = 3000.0
    outdoor_c = LINE.balance_c - load_factor * capacity_w / LINE.slope_w_per_k
    trace = run(pump(capacity_w), np.full(120, outdoor_c))
    starts = np.flatnonzero(trace.starts)
    starts = starts[starts > 48 * 60]
    cycles = slice(starts[0], starts[-1])
    load_w = load_factor * capacity_w
    assert trace.heat_w[cycles].mean() == pytest.approx(load_w, rel=0.01)
    cop = trace.heat_w[cycles].sum() / trace.power_w[cycles].sum()
    assert cop == pytest.approx(4.0 - capacity_w / 4000.0, rel=1e-9)
    assert trace.running[cycles].mean() == pytest.approx(load_factor, rel=0.02)


def test_starts_follow_the_parabola_with_its_top_at_half_load() -> None:
    # N = 4 Nmax X (1 - X), common practice; in a room of one node with dead band d it follows
    # from on-time C d/(Q - L) and off-time C d/L: Nmax = Q/(4 C d)
    capacity_w, room = 4000.0, one_node(capacity_j_per_k=2e6)
    most_per_h = capacity_w / (4.0 * 2e6 * 1.0) * 3600.0
    factors = (0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9)
    found = {}
    for x in factors:
        trace = run(
            pump(capacity_w), np.full(60, SET_C - x * capacity_w / 80.0), room=room, step_s=5.0
        )
        starts = np.flatnonzero(trace.starts)
        found[x] = 720.0 * (starts.size - 1) / (starts[-1] - starts[0])
        # the thermostat reads every 5 s, so a cycle lasts up to 10 s longer; the loss varies by
        # 2 % within the band
        assert found[x] == pytest.approx(4.0 * most_per_h * x * (1.0 - x), rel=0.03)
    assert max(found, key=lambda x: found[x]) == 0.5


@pytest.mark.parametrize(("tau_s", "load_factor"), [(60.0, 0.3), (75.0, 0.5), (90.0, 0.7)])
def test_start_up_costs_what_the_cycle_rate_says(tau_s: float, load_factor: float) -> None:
    # each start loses Q tau (1 - exp(-t_on/tau)): with N starts per hour and run share r,
    # PLF = 1 - N tau (1 - exp(-r/(N tau)))/r. Henderson and Rengarajan, ASHRAE Transactions
    # 102(1), 1996 (from memory), where it is written with Nmax.
    capacity_w, room = 4000.0, one_node(capacity_j_per_k=2e6)
    outdoor = np.full(60, SET_C - load_factor * capacity_w / 80.0)
    trace = run(pump(capacity_w), outdoor, room=room, tau_s=tau_s, step_s=5.0)
    starts = np.flatnonzero(trace.starts)
    cycles = slice(starts[2], starts[-1])
    share = trace.running[cycles].mean()
    per_s = (starts.size - 3) / (5.0 * (starts[-1] - starts[2]))
    lost = per_s * tau_s / share * (1.0 - np.exp(-share / per_s / tau_s))
    part_load_factor = trace.machine_w[cycles].sum() / trace.asked_w[cycles].sum()
    assert part_load_factor == pytest.approx(1.0 - lost, rel=1e-3)
    assert lost > 0.02


def test_start_up_factors_are_the_means_of_the_exponential() -> None:
    factors = start_up_factors(75.0, step_s=60.0)
    for step, factor in enumerate(factors[:6]):
        # oracle: scipy quadrature
        area, _ = quad(lambda t: 1.0 - np.exp(-t / 75.0), 60.0 * step, 60.0 * (step + 1))
        assert factor == pytest.approx(area / 60.0, rel=1e-9)
    # analytic: the whole loss of a start is tau at full output
    assert 60.0 * sum(1.0 - factor for factor in factors) == pytest.approx(75.0, rel=1e-6)
    assert start_up_factors(0.0, step_s=60.0) == ()


SOURCES: dict[str, Source] = {
    "on/off": pump(3000.0),
    "two stages": pump(2000.0, 4000.0, staging=time_shared),
    "inverter": pump(700.0, 2000.0, 4000.0),
    "strips": BackupWith(main=pump(1500.0), backup=Resistance(capacity_w=3000.0, use="backup")),
    "furnace instead": BackupInstead(
        main=pump(2000.0, operation=Operation(off_c=-3.0)),
        backup=Furnace(
            burner=Burner.from_afue(carrier="natural gas", afue=0.9, input_w=6000.0),
            blower_w=150.0,
        ),
    ),
    "baseboard": Resistance(),
}
WEATHER = np.concatenate([np.linspace(20.0, -12.0, 60), np.linspace(-12.0, 34.0, 60)])


@pytest.mark.parametrize("source", SOURCES.values(), ids=SOURCES.keys())
def test_energy_closes_in_every_minute(source: Source) -> None:
    # analytic: first law, heat + gains = loss + vented + stored
    trace = run(source, WEATHER, thermostat=Thermostat(), tau_s=75.0)
    air = np.append(SET_C, trace.air_c)
    structure = np.append(ROOM.steady_structure_c(SET_C, WEATHER[0]), trace.structure_c)
    stored_w = (
        ROOM.air_j_per_k * np.diff(air) + ROOM.structure_j_per_k * np.diff(structure)
    ) / 60.0
    out_w = trace.loss_w + trace.vented_w + stored_w
    np.testing.assert_allclose(trace.heat_w + ROOM.gains_w, out_w, atol=1e-6)
    assert trace.air_c.max() <= 26.0
    assert trace.vented_w.max() > 0  # 34 degC outdoors
    assert (trace.machine_w <= trace.asked_w + 1e-9).all()


def test_resistance_heat_is_its_electricity() -> None:
    trace = run(Resistance(), WEATHER)
    np.testing.assert_allclose(trace.power_w, trace.heat_w)
    # "as large as needed" is built with the size that was given
    assert trace.heat_w.max() == 4000.0


def test_a_compressor_keeps_its_minimum_times() -> None:
    # a strong unit warms the band in a minute, a weak one loses it in a minute
    for capacity_w, runs, minutes in ((4000.0, True, 4), (1600.0, False, 5)):
        free = Thermostat(dead_band_k=0.05, minimum_off_s=0.0, minimum_run_s=0.0)
        name = "minimum_run_s" if runs else "minimum_off_s"
        kept = replace(free, **{name: 60.0 * minutes})
        for stat, least in ((free, range(1, 4)), (kept, [minutes])):
            trace = run(pump(capacity_w), np.full(48, 0.0), thermostat=stat)
            edges = np.flatnonzero(np.diff(trace.running.astype(int)))
            lengths, running = np.diff(edges), trace.running[edges[:-1] + 1]
            assert lengths[running == runs].min() in least


def test_an_inverter_below_its_lowest_speed_cycles_at_that_speed() -> None:
    # load 450 W, lowest speed 700 W
    trace = run(pump(700.0, 2000.0, 4000.0), np.full(96, 11.0))
    last = slice(-48 * 60, None)
    asked = trace.asked_w[last]
    assert np.median(asked[asked > 0]) == pytest.approx(700.0)
    assert trace.heat_w[last].mean() == pytest.approx(450.0, rel=0.03)
    assert trace.starts[last].sum() > 10


def test_a_two_stage_unit_uses_its_second_stage_only_where_the_first_is_short() -> None:
    source = pump(2000.0, 4000.0, staging=time_shared)
    mild, cold = (run(source, np.full(72, t)) for t in (0.0, -12.0))
    assert mild.asked_w[-1440:].max() == 2000.0
    assert cold.asked_w[-1440:].max() == 4000.0
    assert cold.heat_w[-1440:].mean() == pytest.approx(90.0 * 28.0, rel=0.04)


def test_strips_stay_off_while_the_heat_pump_carries_the_room() -> None:
    source = BackupWith(main=pump(2500.0), backup=Resistance(capacity_w=3000.0, use="backup"))
    trace = run(source, np.full(72, -5.0))
    assert trace.backup_w.max() == 0.0
    assert trace.backup_electricity_w.max() == 0.0


def test_strips_give_what_the_heat_pump_is_short_of() -> None:
    # load at the drooping room lies between 90 x (21 - 1 - 5 + 12) and 90 x (16 + 12)
    source = BackupWith(main=pump(1500.0), backup=Resistance(capacity_w=3000.0, use="backup"))
    trace = run(source, np.full(96, -12.0))
    last = slice(-24 * 60, None)
    assert trace.machine_w[last].min() == 1500.0
    assert 90.0 * 27.0 - 1500.0 < trace.backup_w[last].mean() < 90.0 * 28.0 - 1500.0
    assert trace.air_c[last].min() > SET_C - 1.2


def test_a_furnace_instead_of_the_heat_pump_never_runs_beside_it() -> None:
    trace = run(SOURCES["furnace instead"], WEATHER, thermostat=Thermostat())
    assert ((trace.machine_w > 0) & (trace.backup_w > 0)).sum() == 0
    assert trace.backup_w.max() > 0
    assert trace.fuel_w["natural gas"][trace.backup_w > 0].min() == pytest.approx(6000.0)


def test_between_cut_out_and_cut_in_the_heat_pump_stays_as_it_was() -> None:
    source = BackupWith(
        main=pump(2500.0, operation=Operation(off_c=-5.0, on_c=0.0)),
        backup=Resistance(capacity_w=3000.0, use="backup"),
    )
    outdoor = np.array([2.0, -2.0, -6.0, -2.0, -2.0, 1.0])
    unit = room_unit(source, at(outdoor), size_w=3000.0)
    assert unit.full_w.tolist() == [2500.0, 2500.0, 0.0, 0.0, 0.0, 2500.0]


def test_ducts_stand_around_machine_and_backup() -> None:
    inside = BackupWith(main=pump(2000.0), backup=Resistance(capacity_w=1000.0, use="backup"))
    ducted = Ducted(source=inside, efficiency=0.75, function=Function.HEATING)
    unit = room_unit(ducted, at([-5.0]), size_w=3000.0)
    assert unit.full_w[0] == pytest.approx(1500.0, rel=1e-9)
    assert unit.backup_w[0] == pytest.approx(750.0, rel=1e-9)
    assert heat_pump_in(ducted) is not None


def test_a_source_with_two_zones_is_refused() -> None:
    zone = PartialDisplacement(main=pump(2000.0), backup=Resistance(), zone_share=0.5)
    with pytest.raises(EquipmentError, match="zone"):
        room_unit(zone, at([0.0]), size_w=3000.0)


def test_steps_that_do_not_fill_an_hour_are_refused() -> None:
    with pytest.raises(InputError, match="7 s"):
        run(pump(2000.0), [0.0], step_s=7.0)


def test_set_points_must_cover_every_step() -> None:
    unit = room_unit(pump(2000.0), at([0.0, 0.0]), size_w=3000.0)
    with pytest.raises(InputError, match="59 set-points"):
        RoomRun(room=ROOM, unit=unit, set_point_c=np.full(59, SET_C), vent_c=26.0)


@pytest.mark.parametrize("band_k", [0.0, 9.0])
def test_a_dead_band_that_no_thermostat_has_is_refused(band_k: float) -> None:
    with pytest.raises(InputError, match="dead band"):
        Thermostat(dead_band_k=band_k)
