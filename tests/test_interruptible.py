"""Electric heat whose supply is cut at times: what runs on, hour by hour and state by state."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.arrays import Array, Mask
from energymodel.building.load import LoadLine
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.burner import Burner
from energymodel.equipment.curves import Function
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.electric_furnace import ElectricFurnace
from energymodel.equipment.flows import Conditions, Flows, Source
from energymodel.equipment.furnace import Furnace
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.interruptible import (
    StandingStill,
    burns_fuel,
    household_uses,
    run_interrupted,
    runs_on_electricity,
    without_supply,
)
from energymodel.equipment.partial import PartialDisplacement
from energymodel.equipment.resistance import Resistance
from energymodel.scenario.catalogue import find_unit
from energymodel.season.annual import annual
from energymodel.season.batch.batch import batch
from energymodel.season.batch.many import many_years, single_option
from energymodel.season.batch.segments import NoBatchError
from energymodel.season.batch.variants import Variants
from energymodel.season.option import IdleUnit, Option, Supply
from energymodel.season.result import AnnualResult
from energymodel.season.states import bins_1k, distinct_states, every_hour
from energymodel.weather.library import shipped_year
from energymodel.weather.year import WeatherYear

WEATHER = shipped_year("greensboro-nc")
UNIT = find_unit("two-stage-36", own={}, folder=Path())
assert UNIT.heating is not None
assert UNIT.cooling is not None
PUMP = HeatPump(performance=UNIT.heating, frost_loss=True)
COOLER = HeatPump(performance=UNIT.cooling)
STRIPS = Resistance(capacity_w=6_000.0, use="backup")
FURNACE = Furnace(
    burner=Burner.from_afue(carrier="natural gas", afue=0.8, input_w=16_000.0),
    blower_w=400.0,
    auxiliary_w=60.0,
)
BOILER = Boiler(
    burner=Burner.from_steady_state(
        carrier="propane", efficiency=0.85, input_w=14_000.0, cd=0.05, pilot_w=100.0
    ),
    auxiliary_w=90.0,
)


def ducted(source: Source) -> Ducted:
    return Ducted(source=source, efficiency=0.85, function=Function.HEATING)


def zone(lowered_k: float = 0.0) -> PartialDisplacement:
    return PartialDisplacement(
        main=PUMP, backup=BOILER, zone_share=0.5, lowered_k=lowered_k, balance_c=15.0
    )


SOURCES: dict[str, Source] = {
    "pump": PUMP,
    "pump and strips": ducted(BackupWith(main=PUMP, backup=STRIPS)),
    "electric furnace": ducted(ElectricFurnace(capacity_w=15_000.0, blower_w=400.0)),
    "dual fuel": ducted(BackupInstead(main=PUMP, backup=FURNACE)),
    "boiler beside": BackupWith(main=PUMP, backup=BOILER),
    "zone": zone(),
    "lowered zone": zone(2.0),
}
ON_FUEL = ("dual fuel", "boiler beside", "zone", "lowered zone")


@dataclass(frozen=True, eq=False)
class ColdEvenings:
    """Cut from 17 to 20 h standard time, November to March, at or below a temperature."""

    below_c: float = 0.0

    def hours(self, weather: WeatherYear) -> Mask:
        evening = np.isin(weather.starts.astype("datetime64[h]").astype(int) % 24, (17, 18, 19))
        winter = np.isin(weather.month, (11, 12, 1, 2, 3))
        return evening & winter & (weather.outdoor_c <= self.below_c)

    def possible_at(self, outdoor_c: float, weather: WeatherYear) -> bool:
        return outdoor_c <= self.below_c


CUT = ColdEvenings().hours(WEATHER)


def option(source: Source, **changes: object) -> Option:
    made = Option(
        name="cut",
        heating=source,
        cooling=COOLER,
        heating_load=LoadLine(slope_w_per_k=260.0, balance_c=15.0, indoor_c=21.0, heating=True),
        cooling_load=LoadLine(slope_w_per_k=400.0, balance_c=20.0, indoor_c=24.0, heating=False),
        heating_indoor_c=21.0,
        cooling_indoor_c=24.0,
        idle=(IdleUnit(idle=IdlePower(controls_w=10.0, pan_w=50.0), heats=True, cools=True),),
        heating_supply=Supply(interruption=ColdEvenings(), own_meter=True),
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def hourly(result: AnnualResult, name: str) -> Array:
    return result.columns[name][result.states.inverse]


def hour_flows(source: Source, load_w: Array) -> Flows:
    at = Conditions(
        outdoor_c=WEATHER.outdoor_c,
        relative_humidity_pct=WEATHER.relative_humidity_pct,
        indoor_c=21.0,
    )
    return source.run(at, load_w)


@pytest.mark.parametrize("name", SOURCES)
def test_states_and_hours_give_the_same_year(name: str) -> None:
    one = option(SOURCES[name])
    states, hours = annual(one, WEATHER), annual(one, WEATHER, indexing=every_hour)
    load = hours.total("heating_load_kwh")
    assert len(states.states) < 0.4 * len(hours.states)
    assert list(states.columns) == list(hours.columns)
    for column in hours.columns:
        # DESIGN, section 6: 1e-12 of the year's load, per month and per use
        gap = np.abs(states.month_totals(column) - hours.month_totals(column))
        assert gap.max() <= 1e-12 * load, column
    months = WEATHER.month.astype(np.intp)
    for function in ("heating", "cooling"):
        pair = [one.hourly_own_meter_of(function, months) for one in (states, hours)]
        assert np.array_equal(*pair)


@pytest.mark.parametrize("name", SOURCES)
def test_the_meter_stands_still_without_supply_and_energy_closes(name: str) -> None:
    result = annual(option(SOURCES[name]), WEATHER)
    own = result.hourly_own_meter_of("heating", WEATHER.month.astype(np.intp))
    assert CUT.sum() > 40
    assert (own[CUT] == 0.0).all()
    assert own[~CUT].sum() > 1000.0
    load, met, unmet = (
        hourly(result, f"heating_{part}_kwh") for part in ("load", "delivered", "unmet")
    )
    assert np.abs(met + unmet - load).max() <= 1e-9 * load.max()
    assert result.total("heating_no_supply_h") == (CUT & (load > 0)).sum()


@pytest.mark.parametrize("name", [name for name in SOURCES if name not in ON_FUEL])
def test_electric_heat_leaves_the_load_unmet(name: str) -> None:
    result = annual(option(SOURCES[name]), WEATHER)
    load, unmet = hourly(result, "heating_load_kwh"), hourly(result, "heating_unmet_kwh")
    assert np.array_equal(unmet[CUT], load[CUT])
    assert (result.hourly_electricity_kwh()[CUT] == 0.0).all()
    assert (result.running_w[result.states.inverse][CUT] == 0.0).all()


def test_a_furnace_behind_the_same_ducts_carries_the_cut_hours_as_it_would_alone() -> None:
    result = annual(option(SOURCES["dual fuel"]), WEATHER)
    alone = hour_flows(ducted(FURNACE), 1000.0 * hourly(result, "heating_load_kwh"))
    gas = hourly(result, "heating_fuel_natural_gas_kwh")
    assert np.array_equal(1000.0 * gas[CUT], alone.fuel_w["natural gas"][CUT])
    assert np.array_equal(hourly(result, "heating_unmet_kwh")[CUT], alone.unmet_w[CUT])
    # its blower runs on the household's supply
    fans = sum(alone.electricity_w.values())[CUT] / 1000.0
    assert result.hourly_electricity_kwh()[CUT] == pytest.approx(fans, rel=1e-12)
    assert fans.min() > 0


@pytest.mark.parametrize("lowered_k", [0.0, 2.0])
def test_the_old_system_of_a_zone_takes_the_heads_part_and_keeps_its_lower_set_point(
    lowered_k: float,
) -> None:
    source = zone(lowered_k)
    cut = without_supply(source)
    load_w = np.array([3000.0])
    at = Conditions(
        outdoor_c=np.array([5.0]), relative_humidity_pct=np.array([80.0]), indoor_c=21.0
    )
    # half the house at a balance temperature lowered by x: L/2 (15 - x - 5)/(15 - 5)
    wanted_w = 1500.0 + 1500.0 * (10.0 - lowered_k) / 10.0
    assert cut.run(at, load_w).delivered_w == pytest.approx(np.array([wanted_w]), rel=1e-12)
    assert cut.run(at, load_w).pump_heat_w[0] == 0.0


def test_a_fuel_burner_alone_has_nothing_to_cut() -> None:
    for source in (FURNACE, BOILER, ducted(FURNACE)):
        assert burns_fuel(source)
        assert not runs_on_electricity(source)
    left = without_supply(ducted(FURNACE))
    assert isinstance(left, Ducted)
    assert left.source is FURNACE
    assert household_uses(PUMP) == frozenset()
    assert isinstance(without_supply(SOURCES["pump and strips"]), StandingStill)


@given(
    load_w=st.lists(st.floats(0.0, 30_000.0), min_size=6, max_size=6),
    cut=st.lists(st.booleans(), min_size=6, max_size=6),
    name=st.sampled_from(sorted(SOURCES)),
)
def test_energy_closes_for_any_load_and_any_cut(
    load_w: list[float], cut: list[bool], name: str
) -> None:
    load, no_supply, source = np.array(load_w), np.array(cut), SOURCES[name]
    at = Conditions(
        outdoor_c=np.array([-20.0, -8.0, 0.0, 2.0, 8.0, 14.0]),
        relative_humidity_pct=np.full(6, 85.0),
        indoor_c=21.0,
    )
    flows = run_interrupted(source, at, load, no_supply)
    assert np.abs(flows.delivered_w + flows.unmet_w - load).max() <= 1e-9 * max(load.max(), 1.0)
    kept = household_uses(source)
    for use, power_w in flows.electricity_w.items():
        assert (power_w >= 0).all()
        assert use in kept or not power_w[no_supply].any()
    plain = source.run(at, load)
    assert np.array_equal(flows.delivered_w[~no_supply], plain.delivered_w[~no_supply])


def test_a_supply_that_is_never_cut_changes_no_number() -> None:
    source = SOURCES["dual fuel"]
    plain = annual(option(source, heating_supply=Supply()), WEATHER)
    never = Supply(interruption=ColdEvenings(below_c=-99.0))
    kept = annual(option(source, heating_supply=never), WEATHER)
    for name, values in plain.columns.items():
        assert np.array_equal(hourly(kept, name), values[plain.states.inverse])
    assert "heating_no_supply_h" not in plain.columns


def test_the_waiting_unit_draws_nothing_where_its_meter_is_cut() -> None:
    result = annual(option(PUMP), WEATHER)
    idle = sum(hourly(result, name) for name in result.names("idle", "electricity"))
    assert (idle[CUT] == 0.0).all()
    assert (idle[~CUT] > 0.0).any()


def test_heating_and_cooling_are_cut_apart() -> None:
    class HotAfternoons(ColdEvenings):
        def hours(self, weather: WeatherYear) -> Mask:
            return weather.outdoor_c >= 33.0

    both = option(PUMP, cooling_supply=Supply(interruption=HotAfternoons()))
    states = distinct_states(both, WEATHER)
    hot = WEATHER.outdoor_c >= 33.0
    assert np.array_equal(states.no_supply["cooling"][states.inverse], hot)
    assert np.array_equal(states.no_supply["heating"][states.inverse], CUT)
    result = annual(both, WEATHER)
    assert np.array_equal(
        hourly(result, "cooling_unmet_kwh")[hot], hourly(result, "cooling_load_kwh")[hot]
    )
    assert result.own_meter_kwh.keys() == {"heating", "idle"}


def test_another_year_has_its_own_hours_without_supply() -> None:
    newark = shipped_year("newark-nj-2013")
    states = distinct_states(option(PUMP), newark)
    wanted = ColdEvenings().hours(newark)
    assert np.array_equal(states.no_supply["heating"][states.inverse], wanted)
    assert wanted.sum() != CUT.sum()


def test_bins_keep_the_hours_without_supply_apart() -> None:
    binned = annual(option(PUMP), WEATHER, indexing=bins_1k)
    assert np.array_equal(binned.states.no_supply["heating"][binned.states.inverse], CUT)


def test_a_fast_batch_refuses_a_supply_that_is_cut() -> None:
    variants = Variants(heating_slope_w_per_k=np.array([200.0, 260.0]))
    states = distinct_states(option(PUMP), WEATHER)
    with pytest.raises(NoBatchError, match="the supply of heating is cut at times"):
        batch(option(PUMP), states, variants)


@pytest.mark.parametrize("name", SOURCES)
def test_variants_at_once_equal_single_years(name: str) -> None:
    one = option(SOURCES[name])
    variants = Variants(
        heating_slope_w_per_k=np.array([150.0, 260.0, 400.0]),
        heating_balance_c=np.array([13.0, 15.0, 16.0]),
        heating_in_service_factor=np.array([0.8, 0.9, 1.0]),
    )
    if name == "electric furnace":
        variants = replace(variants, heating_in_service_factor=None)
    found = many_years(one, WEATHER, variants)
    for index in range(3):
        single = annual(single_option(one, variants, index), WEATHER)
        load = single.total("heating_load_kwh")
        for column in found.names:
            gap = found.column(column)[index] - single.month_totals(column)
            assert np.abs(gap).max() <= 1e-12 * load, column
