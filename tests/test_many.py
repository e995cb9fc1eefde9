"""Many variants of any option at once: the numbers of its single years."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.building.load import LoadLine
from energymodel.datafiles import shipped_folder
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.burner import Burner
from energymodel.equipment.curves import Function
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.electric_furnace import ElectricFurnace
from energymodel.equipment.flows import Source
from energymodel.equipment.furnace import Furnace
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.kernel import WaterCycling
from energymodel.equipment.operation import Operation, RememberingOperation
from energymodel.equipment.resistance import Resistance
from energymodel.equipment.room_heater import RoomHeater
from energymodel.equipment.stove import Stove
from energymodel.errors import EquipmentError, InputError
from energymodel.scenario.assemble import assemble
from energymodel.scenario.catalogue import catalogue_unit
from energymodel.scenario.files import read_scenario
from energymodel.season.annual import annual
from energymodel.season.batch.cells import hours_in_cells, largest_base_w
from energymodel.season.batch.many import many_years
from energymodel.season.batch.run import BatchResult
from energymodel.season.batch.segments import NoBatchError
from energymodel.season.batch.sources import exchanged, heat_pumps_in
from energymodel.season.batch.variants import Variants
from energymodel.season.option import IdleUnit, Option
from energymodel.season.result import AnnualResult
from energymodel.season.states import distinct_states, every_hour
from energymodel.weather.library import shipped_year
from energymodel.weather.year import WeatherYear

_TRIES = settings(max_examples=10, deadline=None)
GREENSBORO = shipped_year("greensboro-nc")
SAND_POINT = shipped_year("sand-point-ak")
IDLE = IdlePower(controls_w=4.0, crankcase_w=30.0, pan_w=70.0, indoor_fan_w=12.0)


def _line(*, heating: bool, slope_w_per_k: float = 90.0) -> LoadLine:
    balance_c, indoor_c = (15.0, 20.0) if heating else (19.0, 24.0)
    return LoadLine(
        slope_w_per_k=slope_w_per_k, balance_c=balance_c, indoor_c=indoor_c, heating=heating
    )


def some_variants(seed: int, count: int = 2) -> Variants:
    """Loads from far below the smallest output to far above the largest."""
    random = np.random.default_rng(seed)
    return Variants(
        heating_slope_w_per_k=10.0 ** random.uniform(0.7, 2.8, count),
        heating_balance_c=random.uniform(8.0, 18.0, count),
        cooling_slope_w_per_k=10.0 ** random.uniform(0.7, 2.8, count),
        cooling_balance_c=random.uniform(18.5, 24.0, count),
        heating_in_service_factor=random.uniform(0.7, 1.0, count),
        cooling_in_service_factor=random.uniform(0.7, 1.0, count),
        heating_capacity_factor=random.choice([0.85, 1.0], count),
        burner_in_service_factor=random.uniform(0.8, 1.1, count),
    )


def _value(variants: Variants, name: str, index: int) -> float | None:
    column = getattr(variants, name)
    return None if column is None else float(np.broadcast_to(column, len(variants))[index])


def _given(variants: Variants, names: dict[str, str], index: int) -> dict[str, float]:
    found = {field: _value(variants, column, index) for field, column in names.items()}
    return {field: value for field, value in found.items() if value is not None}


def _single_source(
    source: Source | None, variants: Variants, function: str, index: int
) -> Source | None:
    pump = _given(
        variants,
        {
            "in_service_factor": f"{function}_in_service_factor",
            "capacity_factor": f"{function}_capacity_factor",
        },
        index,
    )
    burner = _given(variants, {"in_service_factor": "burner_in_service_factor"}, index)

    def change(part: Source) -> Source:
        if isinstance(part, HeatPump):
            return replace(part, **pump)
        has_burner = isinstance(part, Furnace | Boiler | RoomHeater | Stove)
        return replace(part, **burner) if has_burner else part  # type: ignore[type-var]

    return None if source is None else exchanged(source, change)


def single_option(option: Option, variants: Variants, index: int) -> Option:
    """The option with the loads and factors of one variant, for the single path."""

    def line(function: str, own: LoadLine | None) -> LoadLine | None:
        names = {name: f"{function}_{name}" for name in ("slope_w_per_k", "balance_c")}
        return None if own is None else replace(own, **_given(variants, names, index))

    return replace(
        option,
        heating=_single_source(option.heating, variants, "heating", index),
        cooling=_single_source(option.cooling, variants, "cooling", index),
        heating_load=line("heating", option.heating_load),
        cooling_load=line("cooling", option.cooling_load),
    )


def _wanted(one: AnnualResult) -> list[str]:
    parts = ("_electricity_", "_fuel_", "_unmet_", "_load_", "_delivered_")
    return [name for name in one.columns if any(part in name for part in parts)]


def assert_equals_single_years(
    option: Option, variants: Variants, year: WeatherYear
) -> BatchResult:
    """Every use by month to 1e-12 of the year's load, fuel and idle hours; peaks to rounding."""
    states = distinct_states(option, year)
    base_w = np.random.default_rng(3).uniform(0.0, 6000.0, states.inverse.size)
    largest = largest_base_w(states, base_w, year.month - 1, 12)
    result = many_years(option, year, variants, base_w=largest)
    assert result.peak_kw is not None
    assert len(result.kwh) == len(variants)
    for index in range(len(variants)):
        one = annual(single_option(option, variants, index), year)
        wanted = _wanted(one)
        assert set(result.names) <= set(wanted)
        whole_kwh = sum(one.total(name) for name in wanted)
        for name in wanted:
            assert result.column(name)[index] == pytest.approx(
                one.month_totals(name), rel=0, abs=1e-12 * whole_kwh
            ), name
        hourly_kw = base_w / 1000.0 + one.hourly_electricity_kwh()
        peaks = [hourly_kw[year.month == month].max() for month in range(1, 13)]
        assert result.peak_kw[index] == pytest.approx(peaks, rel=1e-12)
    return result


def _pump(key: str, *, cools: bool = False, **changes: object) -> HeatPump:
    unit = catalogue_unit(key)
    performance = unit.cooling if cools else unit.heating
    assert performance is not None
    return HeatPump(performance=performance, **changes)  # type: ignore[arg-type]


def _burner(**changes: object) -> Burner:
    values = {"carrier": "natural gas", "efficiency": 0.8, "input_w": 8000.0, "cd": 0.1}
    return Burner.from_steady_state(**{**values, "pilot_w": 150.0, **changes})  # type: ignore[arg-type]


FURNACE = Furnace(burner=_burner(), blower_w=300.0, auxiliary_w=60.0)
PUMP = _pump("two-stage-36", operation=Operation(off_c=-2.0, on_c=1.0))
DUCTS = {"efficiency": 0.8, "function": Function.HEATING}
SOURCES: dict[str, Source] = {
    "heat pump in ducts": Ducted(
        source=BackupWith(main=PUMP, backup=Resistance(use="backup", capacity_w=2000.0)),
        **DUCTS,  # type: ignore[arg-type]
    ),
    "resistance": Resistance(capacity_w=2500.0),
    "electric furnace": ElectricFurnace(capacity_w=4000.0, blower_w=300.0),
    "furnace in ducts": Ducted(source=FURNACE, **DUCTS),  # type: ignore[arg-type]
    "boiler": Boiler(burner=_burner(carrier="heating oil"), auxiliary_w=80.0),
    "room heater": RoomHeater(burner=_burner(carrier="propane"), blower_w=40.0),
    "pellet stove": Stove(burner=_burner(carrier="pellets", pilot_w=0.0), auxiliary_w=50.0),
    "furnace instead": BackupInstead(main=PUMP, backup=FURNACE),
    "furnace instead in ducts": Ducted(
        source=BackupInstead(main=PUMP, backup=FURNACE),
        **DUCTS,  # type: ignore[arg-type]
    ),
    "room heater with": BackupWith(main=PUMP, backup=RoomHeater(burner=_burner())),
    "two burners": BackupWith(main=FURNACE, backup=Stove(burner=_burner(carrier="wood"))),
    "extra duct fan": Ducted(
        source=BackupWith(main=PUMP, backup=Resistance(use="backup", above_c=5.0)),
        extra_fan_w=60.0,
        **DUCTS,  # type: ignore[arg-type]
    ),
    "stops below COP 1": BackupInstead(
        main=_pump("single-speed-24", operation=Operation(stop_below_cop_1=True)),
        backup=Resistance(use="backup"),
    ),
    "water cycling": replace(
        PUMP, performance=replace(PUMP.performance, cycling=(WaterCycling(cc=0.9),) * 2)
    ),
    "two heat pumps": BackupWith(main=PUMP, backup=_pump("inverter-standard-9")),
}
COOLERS: dict[str, Source | None] = {
    "no cooling": None,
    "the batch's own": _pump("inverter-standard-12", cools=True),
    "through ducts": Ducted(
        source=_pump("central-air-conditioner-36", cools=True),
        efficiency=0.75,
        function=Function.COOLING,
        extra_fan_w=90.0,
    ),
}


def _option(heating: Source | None, cooling: Source | None = None, **changes: object) -> Option:
    option = Option(
        name="invented",
        heating=heating,
        cooling=cooling,
        heating_load=_line(heating=True),
        cooling_load=_line(heating=False),
        idle=(
            IdleUnit(idle=IDLE, heats=True, cools=cooling is not None, months_off=frozenset({7})),
        ),
        heating_indoor_c=21.0,
        cooling_indoor_c=24.0,
        months_without_cooling=frozenset({4, 10}),
    )
    return replace(option, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", SOURCES)
def test_many_years_of_any_source_equal_its_single_years(name: str) -> None:
    source = SOURCES[name]
    year = SAND_POINT if heat_pumps_in(source) else GREENSBORO
    assert_equals_single_years(_option(source), some_variants(1), year)


@pytest.mark.parametrize("cooler", COOLERS)
@pytest.mark.parametrize("heater", ["room heater", "furnace instead in ducts"])
def test_the_fast_and_the_plain_way_add_up_in_one_option(heater: str, cooler: str) -> None:
    option = _option(SOURCES[heater], COOLERS[cooler])
    assert_equals_single_years(option, some_variants(3), GREENSBORO)


def _scenario_options() -> list[tuple[str, int]]:
    folder = shipped_folder("data") / "scenarios"
    files = [folder / name for name in ("demo.toml", "house.toml", "starter.toml")]
    counts = [(one.name, len(read_scenario(one).content.option)) for one in files]
    return [(name, number) for name, count in counts for number in range(count)]


def _model_option(name: str, number: int) -> tuple[Option, WeatherYear]:
    model = assemble(read_scenario(shipped_folder("data") / "scenarios" / name))
    return model.options[number].option, model.weather


@pytest.mark.parametrize(("name", "number"), _scenario_options())
def test_every_option_of_the_shipped_scenarios_equals_its_single_years(
    name: str, number: int
) -> None:
    option, weather = _model_option(name, number)
    assert_equals_single_years(option, Variants(), weather)
    random = np.random.default_rng(number)
    lines = (option.heating_load, option.cooling_load)
    heating, cooling = (np.nan if line is None else line.slope_w_per_k for line in lines)
    variants = Variants(
        heating_slope_w_per_k=None if np.isnan(heating) else heating * random.uniform(0.5, 2.0, 2),
        cooling_slope_w_per_k=None if np.isnan(cooling) else cooling * random.uniform(0.5, 2.0, 2),
        heating_in_service_factor=random.uniform(0.8, 1.0, 2),
        cooling_in_service_factor=random.uniform(0.8, 1.0, 2),
        burner_in_service_factor=random.uniform(0.95, 1.0, 2),
    )
    assert_equals_single_years(option, variants, weather)


@_TRIES
@given(
    source=st.sampled_from(list(SOURCES.values())),
    cooler=st.sampled_from(list(COOLERS.values())),
    slopes=st.lists(st.floats(1.0, 2000.0), min_size=1, max_size=3),
    balance_c=st.floats(-5.0, 19.0),
    in_service=st.floats(0.5, 1.0),
)
def test_many_years_of_any_load_equal_the_single_years(
    source: Source, cooler: Source | None, slopes: list[float], balance_c: float, in_service: float
) -> None:
    variants = Variants(
        heating_slope_w_per_k=np.array(slopes),
        heating_balance_c=balance_c,
        cooling_slope_w_per_k=np.array(slopes) / 2.0,
        heating_in_service_factor=in_service,
    )
    assert_equals_single_years(_option(source, cooler), variants, GREENSBORO)


def test_what_the_variants_do_not_say_stays_the_options_own() -> None:
    heater = replace(FURNACE, in_service_factor=0.9)
    pump = replace(PUMP, in_service_factor=0.85, capacity_factor=0.95)
    both = BackupInstead(main=pump, backup=heater)
    slopes = Variants(heating_slope_w_per_k=np.array([60.0, 120.0]))
    assert_equals_single_years(_option(both), slopes, GREENSBORO)
    factor = Variants(heating_in_service_factor=np.array([0.8, 1.0]))
    assert_equals_single_years(_option(both), factor, GREENSBORO)
    others = BackupWith(main=pump, backup=replace(PUMP, capacity_factor=0.8))
    assert_equals_single_years(_option(others), factor, GREENSBORO)


class _Counting:
    """Resistance heat that counts how many loads it was asked."""

    uses_humidity = False

    def __init__(self) -> None:
        self.asked = 0

    def run(self, conditions: object, load_w: np.ndarray) -> object:
        self.asked += load_w.size
        return Resistance().run(conditions, load_w)  # type: ignore[arg-type]


def test_each_distinct_load_line_is_answered_once() -> None:
    counting = _Counting()
    option = _option(counting, idle=())  # type: ignore[arg-type]
    slopes = np.repeat([50.0, 100.0, 150.0], 40)
    result = many_years(option, GREENSBORO, Variants(heating_slope_w_per_k=slopes))
    assert counting.asked <= 1 + 3 * len(distinct_states(option, GREENSBORO))
    load_kwh = result.column("heating_load_kwh").sum(axis=1)
    assert load_kwh == pytest.approx(load_kwh[0] * slopes / 50.0)
    counting.asked = 0
    crossed = Variants(
        heating_slope_w_per_k=np.tile([50.0, 100.0, 150.0], 40),
        cooling_slope_w_per_k=np.repeat(np.arange(1.0, 41.0), 3),
    )
    both = _option(counting, COOLERS["through ducts"], idle=())  # type: ignore[arg-type]
    many_years(both, GREENSBORO, crossed)
    assert counting.asked <= 1 + 3 * len(distinct_states(both, GREENSBORO))


def test_a_load_of_other_variants_changes_no_number() -> None:
    option = _option(SOURCES["furnace instead in ducts"], COOLERS["through ducts"])
    variants = some_variants(5, 9)
    whole = many_years(option, GREENSBORO, variants)
    pieces = many_years(option, GREENSBORO, variants, chunk=2)
    assert pieces.names == whole.names
    assert pieces.kwh == pytest.approx(whole.kwh, rel=0, abs=1e-12 * float(whole.kwh.max()))


def test_fuel_in_cells_of_month_and_tariff_period_is_the_hourly_sum() -> None:
    option = _option(SOURCES["furnace instead"])
    states = distinct_states(option, GREENSBORO)
    cell = (GREENSBORO.month - 1) * 2 + (np.arange(8760) % 24 >= 17)
    variants = some_variants(6, 2)
    result = many_years(option, GREENSBORO, variants, hours=hours_in_cells(states, cell, 24))
    for index in range(2):
        one = annual(
            single_option(option, variants, index), GREENSBORO, indexing=every_hour
        ).hourly()
        sums = np.bincount(cell, weights=one["heating_fuel_natural_gas_kwh"], minlength=24)
        assert result.column("heating_fuel_natural_gas_kwh")[index] == pytest.approx(sums)


def test_a_pilot_burns_whatever_the_in_service_factor() -> None:
    pilot = _option(RoomHeater(burner=_burner(pilot_w=100.0)), idle=())
    factors = Variants(burner_in_service_factor=np.array([0.8, 1.0]))
    fuel = many_years(pilot, GREENSBORO, factors).column("heating_fuel_natural_gas_kwh")
    burned = fuel.sum(axis=1) - 876.0
    assert burned[0] == pytest.approx(burned[1] / 0.8, rel=1e-12)


def test_an_option_that_depends_on_the_hour_before_is_refused() -> None:
    limits = RememberingOperation(off_c=-5.0, on_c=0.0)
    remembering = _option(Ducted(source=replace(PUMP, operation=limits), **DUCTS))  # type: ignore[arg-type]
    with pytest.raises(NoBatchError, match="RememberingOperation"):
        many_years(remembering, GREENSBORO, Variants())
    with pytest.raises(NoBatchError, match="depends on the hour before"):
        many_years(_option(Resistance(), has_memory=True), GREENSBORO, Variants())


@pytest.mark.parametrize(
    ("variants", "kind", "words"),
    [
        (Variants(burner_in_service_factor=np.array([0.2])), EquipmentError, "not plausible"),
        (Variants(burner_in_service_factor=np.array([np.nan])), InputError, "not a number"),
        (Variants(heating_in_service_factor=np.array([9.0])), EquipmentError, "not plausible"),
        (Variants(heating_slope_w_per_k=np.array([-1.0])), InputError, "does not rise"),
        (Variants(heating_balance_c=np.array([25.0])), InputError, "above the cooling balance"),
    ],
)
def test_columns_that_make_no_sense_are_refused(
    variants: Variants, kind: type[Exception], words: str
) -> None:
    option = _option(SOURCES["furnace instead"], COOLERS["the batch's own"])
    with pytest.raises(kind, match=words):
        many_years(option, GREENSBORO, variants)


def test_an_option_without_any_source_only_waits() -> None:
    option = _option(None)
    result = many_years(option, GREENSBORO, Variants())
    one = annual(option, GREENSBORO)
    assert one.total("idle_electricity_controls_kwh") > 0
    for name in one.columns:
        assert result.column(name)[0] == pytest.approx(one.month_totals(name))
