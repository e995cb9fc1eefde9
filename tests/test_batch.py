"""Many variants of one heat pump at once: the numbers of single years, in any chunks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.arrays import Index
from energymodel.building.load import LoadLine
from energymodel.equipment.backup import BackupWith
from energymodel.equipment.curves import (
    Frost,
    Function,
    PerformanceMap,
    TablePoint,
    map_from_table,
)
from energymodel.equipment.flows import Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.indoor import CoolingIndoor
from energymodel.equipment.kernel import modulating, no_cycling_loss, time_shared
from energymodel.equipment.operation import Operation, SpeedLockout
from energymodel.equipment.resistance import Resistance
from energymodel.scenario.catalogue import catalogue_keys, catalogue_unit
from energymodel.season.annual import annual
from energymodel.season.batch.batch import BatchResult, batch
from energymodel.season.batch.blocks import STATES_PER_BLOCK, variants_per_chunk
from energymodel.season.batch.cells import hours_in_cells, largest_base_w
from energymodel.season.batch.variants import Variants
from energymodel.season.option import IdleUnit, Option
from energymodel.season.states import distinct_states, every_hour
from energymodel.units import c_from_f
from energymodel.weather.library import shipped_year
from energymodel.weather.year import WeatherYear

_TRIES = settings(max_examples=12, deadline=None)
GREENSBORO = shipped_year("greensboro-nc")
SAND_POINT = shipped_year("sand-point-ak")
HEATING_UNITS = [key for key in catalogue_keys() if catalogue_unit(key).heating is not None]
COOLING_ONLY = [key for key in catalogue_keys() if key not in HEATING_UNITS]
IDLE = IdlePower(controls_w=4.0, crankcase_w=30.0, pan_w=70.0, indoor_fan_w=12.0)


def _line(*, heating: bool) -> LoadLine:
    balance_c, indoor_c = (15.0, 20.0) if heating else (19.0, 24.0)
    return LoadLine(slope_w_per_k=90.0, balance_c=balance_c, indoor_c=indoor_c, heating=heating)


def catalogue_option(key: str, **changes: object) -> Option:
    """A unit of the catalogue with its own idle power and limits, and strips where it heats."""
    unit = catalogue_unit(key)
    heating: Source | None = None
    cooling: Source | None = None
    if unit.heating is not None and unit.table.heating is not None:
        operation = replace(unit.table.heating.operation(), stop_below_cop_1=True)
        pump = HeatPump(performance=unit.heating, operation=operation)
        heating = BackupWith(main=pump, backup=Resistance(use="backup", capacity_w=4000.0))
    if unit.cooling is not None and unit.table.cooling is not None:
        cooling = HeatPump(
            performance=unit.cooling,
            operation=unit.table.cooling.operation(),
            indoor_factors=CoolingIndoor(),
        )
    idle = unit.table.idle.idle_power()
    option = Option(
        name=key,
        heating=heating,
        cooling=cooling,
        heating_load=_line(heating=True) if heating else None,
        cooling_load=_line(heating=False) if cooling else None,
        idle=(IdleUnit(idle=idle, heats=heating is not None, cools=cooling is not None),),
        heating_indoor_c=21.0,
        cooling_indoor_c=24.0,
    )
    return replace(option, **changes)  # type: ignore[arg-type]


def some_variants(seed: int, count: int = 4) -> Variants:
    """Loads from far below the lowest speed to far above the highest, few capacity factors."""
    random = np.random.default_rng(seed)
    return Variants(
        heating_slope_w_per_k=10.0 ** random.uniform(0.7, 3.0, count),
        heating_balance_c=random.uniform(8.0, 18.0, count),
        cooling_slope_w_per_k=10.0 ** random.uniform(0.7, 3.0, count),
        cooling_balance_c=random.uniform(18.0, 24.0, count),
        heating_in_service_factor=random.uniform(0.7, 1.0, count),
        cooling_in_service_factor=random.uniform(0.7, 1.0, count),
        heating_capacity_factor=random.choice([0.85, 1.0], count),
        cooling_capacity_factor=random.choice([0.9, 1.0], count),
    )


def single_option(option: Option, variants: Variants, index: int) -> Option:
    """The option with the loads and factors of one variant, for the single path."""

    def of(function: str, pump: HeatPump) -> HeatPump:
        return replace(
            pump,
            in_service_factor=float(getattr(variants, f"{function}_in_service_factor")[index]),
            capacity_factor=float(getattr(variants, f"{function}_capacity_factor")[index]),
        )

    def line(function: str, own: LoadLine | None) -> LoadLine | None:
        if own is None:
            return None
        return replace(
            own,
            slope_w_per_k=float(getattr(variants, f"{function}_slope_w_per_k")[index]),
            balance_c=float(getattr(variants, f"{function}_balance_c")[index]),
        )

    heating, cooling = option.heating, option.cooling
    if isinstance(heating, BackupWith):
        assert isinstance(heating.main, HeatPump)
        heating = replace(heating, main=of("heating", heating.main))
    elif isinstance(heating, HeatPump):
        heating = of("heating", heating)
    if isinstance(cooling, HeatPump):
        cooling = of("cooling", cooling)
    return replace(
        option,
        heating=heating,
        cooling=cooling,
        heating_load=line("heating", option.heating_load),
        cooling_load=line("cooling", option.cooling_load),
    )


def assert_batch_equals_single_years(
    option: Option, variants: Variants, year: WeatherYear
) -> BatchResult:
    """Every use by month, to 1e-12 of the year's load and of the year's idle hours at 1 kW."""
    states = distinct_states(option, year)
    random = np.random.default_rng(3)
    base_w = random.uniform(0.0, 6000.0, states.inverse.size)
    largest = largest_base_w(states, base_w, year.month - 1, 12)
    result = batch(option, states, variants, base_w=largest)
    assert result.peak_kw is not None
    for index in range(len(variants)):
        one = annual(single_option(option, variants, index), year)
        load_kwh = one.total("heating_load_kwh") + one.total("cooling_load_kwh")
        idle_kwh = sum(one.total(name) for name in one.names("idle", "electricity"))
        wanted = [name for name in one.columns if "_electricity_" in name or "_unmet_" in name]
        assert set(result.names) <= set(wanted)
        for name in wanted:
            assert result.column(name)[index] == pytest.approx(
                one.month_totals(name), rel=0, abs=1e-12 * (load_kwh + idle_kwh)
            ), name
        hourly_kw = base_w / 1000.0 + one.hourly_electricity_kwh()
        peaks = [hourly_kw[year.month == month].max() for month in range(1, 13)]
        assert result.peak_kw[index] == pytest.approx(peaks, rel=1e-12)
    return result


@pytest.mark.parametrize("key", [*HEATING_UNITS, *COOLING_ONLY])
def test_a_batch_of_a_catalogue_unit_equals_its_single_years(key: str) -> None:
    result = assert_batch_equals_single_years(catalogue_option(key), some_variants(1), GREENSBORO)
    assert (result.electricity_kwh().sum(axis=1) > 0).all()


@pytest.mark.parametrize(
    "key", ["inverter-cold-climate-12", "inverter-standard-9", "two-stage-36", "single-speed-24"]
)
def test_a_batch_equals_single_years_in_a_cold_place_with_cut_outs(key: str) -> None:
    option = catalogue_option(key)
    assert isinstance(option.heating, BackupWith)
    assert isinstance(option.heating.main, HeatPump)
    pump = replace(
        option.heating.main,
        operation=Operation(
            off_c=-9.0,
            on_c=-5.0,
            off_above_c=12.0,
            stop_below_cop_1=True,
            lockouts=(SpeedLockout(speed=0, below_c=1.0),),
        ),
        frost_loss=key != "two-stage-36",
    )
    strips = Resistance(use="backup", capacity_w=1500.0, above_c=4.0)
    limited = replace(option, heating=BackupWith(main=pump, backup=strips), cooling=None)
    result = assert_batch_equals_single_years(limited, some_variants(2, 3), SAND_POINT)
    assert (result.column("heating_unmet_kwh").sum(axis=1) > 0).any()
    defrost = result.column("heating_electricity_defrost_kwh").sum()
    assert (defrost > 0) == pump.uses_humidity


def _map(draw: st.DrawFn, function: Function, staging: object, frost: Frost) -> PerformanceMap:
    cold_f, warm_f = (5.0, 47.0) if function is Function.HEATING else (82.0, 95.0)
    cold_share = draw(st.floats(0.4, 1.1)) if function is Function.HEATING else 1.05
    growth = draw(st.floats(1.0001, 2.5))
    points = [
        TablePoint(
            speed=f"speed {speed}",
            outdoor_c=c_from_f(outdoor_f),
            capacity_w=1200.0 * growth**speed * share,
            power_w=1200.0 * growth**speed * share / cop * 1.04**speed,
        )
        for speed in range(draw(st.integers(1, 4)))
        for outdoor_f, share, cop in (
            (cold_f, cold_share, draw(st.floats(1.02, 2.5))),
            (warm_f, 1.0, draw(st.floats(2.6, 5.5))),
        )
    ]
    built = map_from_table(
        points,
        function=function,
        frost=frost,
        cd=draw(st.floats(0.0, 0.4)),
        staging=staging,  # type: ignore[arg-type]
    )
    if draw(st.booleans()):
        return built
    return replace(built, cycling=(no_cycling_loss,) * len(built.speeds))


_MONTHS = st.frozensets(st.integers(1, 12), max_size=3)


@st.composite
def options(draw: st.DrawFn) -> Option:
    """Any option that a batch can run."""
    staging = st.sampled_from([modulating, time_shared])
    off_c = draw(st.none() | st.floats(-12.0, 0.0))
    performance = _map(draw, Function.HEATING, draw(staging), draw(st.sampled_from(Frost)))
    top = len(performance.speeds) - 1
    lockouts = [
        (),
        (SpeedLockout(speed=0, below_c=-2.0),),
        (SpeedLockout(speed=top, above_c=6.0), SpeedLockout(speed=top, below_c=-6.0)),
    ]
    pump = HeatPump(
        performance=performance,
        operation=Operation(
            off_c=off_c,
            on_c=None if off_c is None else off_c + draw(st.floats(0.0, 6.0)),
            off_above_c=draw(st.none() | st.floats(8.0, 20.0)),
            stop_below_cop_1=draw(st.booleans()),
            stop_below_cop_1_at_part_load=draw(st.booleans()),
            lockouts=draw(st.sampled_from(lockouts)),
        ),
        frost_loss=draw(st.booleans()),
    )
    cooler = HeatPump(
        performance=_map(draw, Function.COOLING, draw(staging), Frost.STEADY),
        operation=Operation(off_above_c=draw(st.none() | st.floats(25.0, 40.0))),
    )
    strips = Resistance(
        use="backup",
        capacity_w=draw(st.sampled_from([None, 1500.0])),
        above_c=draw(st.sampled_from([None, 2.0])),
    )
    sources: list[Source] = [pump, BackupWith(main=pump, backup=strips)]
    return Option(
        name="invented",
        heating=draw(st.sampled_from(sources)),
        cooling=draw(st.sampled_from([None, cooler])),
        heating_load=_line(heating=True),
        cooling_load=_line(heating=False),
        idle=draw(
            st.sampled_from(
                [
                    (),
                    (IdleUnit(idle=IDLE, heats=True, cools=True, months_off=draw(_MONTHS)),),
                    (
                        IdleUnit(idle=IDLE, heats=True, cools=False),
                        IdleUnit(idle=IDLE, heats=False, cools=True, months_off=draw(_MONTHS)),
                    ),
                ]
            )
        ),
        heating_indoor_c=20.0,
        cooling_indoor_c=24.0,
        months_without_cooling=draw(_MONTHS),
    )


@_TRIES
@given(options(), st.integers(0, 1000))
def test_a_batch_of_any_machine_equals_its_single_years(option: Option, seed: int) -> None:
    assert_batch_equals_single_years(option, some_variants(seed, 3), GREENSBORO)


@_TRIES
@given(options(), st.integers(0, 1000), st.integers(1, 7))
def test_the_size_of_the_chunks_changes_no_number(option: Option, seed: int, chunk: int) -> None:
    states = distinct_states(option, GREENSBORO)
    variants = some_variants(seed, 9)
    base_w = np.full((1, len(states)), 500.0)
    whole = batch(option, states, variants, base_w=base_w)
    pieces = batch(option, states, variants, base_w=base_w, chunk=chunk)
    assert pieces.names == whole.names
    most = float(whole.kwh.max())
    assert pieces.kwh == pytest.approx(whole.kwh, rel=0, abs=1e-12 * most)
    assert pieces.peak_kw == pytest.approx(whole.peak_kw, rel=1e-13)


def _cells(year: WeatherYear) -> Index:
    hour = np.arange(year.outdoor_c.size) % 24
    part = (hour >= 7).astype(np.intp) + (hour >= 17)
    cell: Index = (year.month - 1) * 3 + part
    return cell


def test_cells_of_month_and_tariff_period_are_the_hourly_sums_of_the_single_year() -> None:
    option = catalogue_option("inverter-standard-12")
    variants = some_variants(4, 3)
    states = distinct_states(option, GREENSBORO)
    cell = _cells(GREENSBORO)
    result = batch(option, states, variants, hours=hours_in_cells(states, cell, 36))
    assert result.kwh.shape == (3, 36, len(result.names))
    for index in range(3):
        hourly = annual(
            single_option(option, variants, index), GREENSBORO, indexing=every_hour
        ).hourly_electricity_kwh()
        sums = np.bincount(cell, weights=hourly, minlength=36)
        assert result.electricity_kwh()[index] == pytest.approx(sums, rel=1e-11)


def test_states_in_any_order_give_the_same_batch() -> None:
    option = catalogue_option("inverter-standard-12")
    variants = some_variants(5, 3)
    by_state = batch(option, distinct_states(option, GREENSBORO), variants)
    by_hour = batch(option, every_hour(option, GREENSBORO), variants)
    most = float(by_state.kwh.max())
    assert by_hour.kwh == pytest.approx(by_state.kwh, rel=0, abs=1e-12 * most)


def test_what_the_variants_do_not_say_is_the_options_own() -> None:
    option = catalogue_option("inverter-standard-12")
    states = distinct_states(option, GREENSBORO)
    own = batch(option, states, Variants())
    one = annual(option, GREENSBORO)
    for name in own.names:
        assert own.column(name)[0] == pytest.approx(one.month_totals(name), abs=1e-8)
    assert own.peak_kw is None
    assert not own.column("heating_electricity_blower_kwh").any()


def test_a_full_speed_that_is_locked_out_does_not_stop_the_lower_one_for_its_cop() -> None:
    points = [
        TablePoint(speed=name, outdoor_c=t, capacity_w=q, power_w=p)
        for name, q, p in (("low", 2000.0, 900.0), ("full", 4000.0, 2500.0))
        for t in (-15.0, 8.0)
    ]
    performance = map_from_table(points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25)
    operation = Operation(stop_below_cop_1=True, lockouts=(SpeedLockout(speed=1, below_c=0.0),))
    pump = HeatPump(performance=performance, operation=operation)
    option = catalogue_option("two-stage-36", heating=pump, cooling=None)
    assert_batch_equals_single_years(option, some_variants(7), GREENSBORO)


def test_a_state_at_the_balance_temperature_itself_has_no_load_and_no_idle_fan() -> None:
    option = catalogue_option("inverter-standard-12")
    option = replace(option, idle=(IdleUnit(idle=IDLE, heats=True, cools=True),))
    temperatures = distinct_states(option, GREENSBORO).outdoor_c
    variants = replace(
        some_variants(8, 3),
        heating_balance_c=temperatures[(temperatures > 9.0) & (temperatures < 16.0)][::4][:3],
        cooling_balance_c=temperatures[(temperatures > 18.0) & (temperatures < 24.0)][::4][:3],
    )
    result = assert_batch_equals_single_years(option, variants, GREENSBORO)
    assert (result.column("idle_electricity_idle_fan_kwh").sum(axis=1) > 0).all()


def test_a_cop_below_one_stops_only_the_variants_whose_in_service_factor_brings_it_there() -> None:
    points = [
        TablePoint(speed="full", outdoor_c=t, capacity_w=q, power_w=1500.0)
        for t, q in ((-15.0, 1000.0), (5.0, 5000.0))
    ]
    performance = map_from_table(points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25)
    pump = HeatPump(performance=performance, operation=Operation(stop_below_cop_1=True))
    option = catalogue_option("single-speed-24", heating=pump, cooling=None, idle=())
    factors = np.array([0.5, 0.6, 0.7, 0.8, 0.9, 1.0])
    variants = replace(
        some_variants(6, 6),
        heating_slope_w_per_k=np.full(6, 900.0),
        heating_balance_c=np.full(6, 15.0),
        heating_in_service_factor=factors,
        heating_capacity_factor=np.ones(6),
    )
    result = assert_batch_equals_single_years(option, variants, GREENSBORO)
    unmet = result.column("heating_unmet_kwh").sum(axis=1)
    assert np.all(np.diff(unmet) <= 0)
    assert unmet[0] > unmet[-1]


def test_the_default_chunk_keeps_one_working_array_within_a_cache_of_any_size() -> None:
    assert 256 <= variants_per_chunk() <= 2048
    assert variants_per_chunk() * STATES_PER_BLOCK * 8 <= 4 * 2**20
