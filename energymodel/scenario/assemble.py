"""From a checked scenario to options that can be run."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import partial
from pathlib import Path
from typing import TypeVar

import numpy as np

from energymodel.building.load import LoadLine, RoomLoad
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Source
from energymodel.equipment.partial import PartialDisplacement
from energymodel.equipment.resistance import Resistance
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.notices import Notice, UsedDefault
from energymodel.scenario.catalogue import find_unit
from energymodel.scenario.closing import closing_faults
from energymodel.scenario.context import Built, Context
from energymodel.scenario.faults import placed
from energymodel.scenario.fields import shown
from energymodel.scenario.files import Scenario
from energymodel.scenario.heat_pump_kind import CompressorRecord, HeatPumpRecord, build_heat_pump
from energymodel.scenario.heater_kinds import BurnerRecord, HeaterRecord, build_heater
from energymodel.scenario.heating_schema import HeatingLoad
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.place import place_weather
from energymodel.scenario.prices import (
    ELECTRICITY,
    CarrierPrice,
    OwnMeter,
    build_prices,
    carrier_of,
    currency_faults,
)
from energymodel.scenario.room_schema import Indoor, RoomTable
from energymodel.scenario.schema import OptionTable, ScenarioFile
from energymodel.season.option import ALWAYS_SUPPLIED, IdleUnit, Option
from energymodel.weather.year import WeatherYear


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlannedOption:
    """An option of the scenario, ready to run.

    Parameters
    ----------
    table
        As written.
    option
        For the season.
    backup_alone
        The same option if its heat pump failed: its backup, else a borrowed resistance heater;
        None for an option without a heat pump.
    borrowed
        Whether that heater is borrowed.
    heating, cooling
        The built entries.
    full_comfort
        The same option with the old system's set-point left as it was; None where it is not
        lowered.
    """

    table: OptionTable
    option: Option
    backup_alone: Option | None
    borrowed: bool
    heating: Built | None
    cooling: Built | None
    full_comfort: Option | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Model:
    """A scenario ready to run.

    Parameters
    ----------
    scenario
        As read.
    weather
        The year.
    load
        Load lines of the room.
    options
        In the order of the file.
    prices
        By carrier.
    defaults, notices
        What the build used and found.
    """

    scenario: Scenario
    weather: WeatherYear
    load: RoomLoad
    options: tuple[PlannedOption, ...]
    prices: Mapping[str, CarrierPrice]
    defaults: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]


def assemble(scenario: Scenario) -> Model:
    """Build everything a run needs.

    Parameters
    ----------
    scenario
        Checked scenario.

    Returns
    -------
    Model
        Ready to run.

    Raises
    ------
    EnergyModelError
        If the weather, a unit, a price or an option cannot be used.
    """
    content, folder = scenario.content, scenario.path.parent
    ledger = Ledger()
    faults: list[EnergyModelError] = []
    weather = scenario.weather
    if weather is None:
        weather = _tried(partial(place_weather, content.place, folder), "place.weather: ", faults)
    elevation_m = weather.site.elevation_m if weather is not None else 0.0
    ledger.add_notices(weather.notices if weather is not None else ())
    load = _tried(partial(content.room.load, ledger, elevation_m=elevation_m), "room.", faults)
    zone = weather.site.zone if weather is not None else None
    make_prices = partial(build_prices, content.price, ledger, path=scenario.path, zone=zone)
    prices = _tried(make_prices, "", faults)
    context = Context(
        function=Function.HEATING,
        elevation_m=elevation_m,
        design_load_w=_design_load_w(load, content.room.heating, weather),
        find_unit=partial(find_unit, own=content.unit, folder=folder),
        ledger=ledger,
        heating_load=load.heating if load is not None else None,
    )
    entries = [_entries(table, context, place, faults) for place, table in _places(content.option)]
    meters = _tried(partial(_meters, content, ledger, folder=folder, zone=zone), "", faults) or {}
    faults += [*_unpriced(content), *_closing_faults(content)]
    faults += currency_faults(content.currency, prices or {}, meters)
    if faults or weather is None or load is None or prices is None:
        raise ManyFaultsError(faults, where=scenario.path.name)
    prices, supply = _supplies(prices, meters, ledger)
    options = tuple(
        _planned(table, pair, load, content.room.indoor, supply)
        for table, pair in zip(content.option, entries, strict=True)
    )
    for planned in options:
        ledger.add_notices(_moisture(planned, load))
        if planned.table.note:
            ledger.notice("note", f"{planned.option.name}: {planned.table.note}")
    return Model(
        scenario=scenario,
        weather=weather,
        load=load,
        options=options,
        prices=prices,
        defaults=tuple(ledger.defaults),
        notices=tuple(ledger.notices),
    )


Made = TypeVar("Made")


def _tried(make: Callable[[], Made], prefix: str, faults: list[EnergyModelError]) -> Made | None:
    """Make something, or note why not and go on to the next fault."""
    try:
        return make()
    except EnergyModelError as error:
        known = {(fault.what, fault.expected) for fault in faults}
        found = placed(error, prefix)
        faults += [fault for fault in found if (fault.what, fault.expected) not in known]
        return None


def _places(options: Sequence[OptionTable]) -> list[tuple[str, OptionTable]]:
    return [
        (f"option[{number}] ({shown(table.name)}).", table)
        for number, table in enumerate(options, 1)
    ]


_STAND_IN_W = 1000.0
"""Only to look for further faults where the load itself has one."""


def _design_load_w(
    load: RoomLoad | None, table: HeatingLoad | None, weather: WeatherYear | None
) -> float:
    if load is None or weather is None:
        return _STAND_IN_W
    if load.heating is None or table is None:
        return 0.0
    design_c = table.design_temperature
    at = weather.outdoor_c.min() if design_c is None else design_c
    return float(load.heating.load_w(np.array([at]))[0])


Pair = tuple[Built | None, Built | None]


def _entries(
    table: OptionTable, context: Context, place: str, faults: list[EnergyModelError]
) -> Pair:
    cools = replace(context, function=Function.COOLING)
    return (
        _tried(partial(_built, table.heating, context), f"{place}heating.", faults),
        _tried(partial(_built, table.cooling, cools), f"{place}cooling.", faults),
    )


def _built(record: CompressorRecord | HeaterRecord | None, context: Context) -> Built | None:
    if record is None:
        return None
    if isinstance(record, CompressorRecord):
        return build_heat_pump(record, context)
    return build_heater(record, context)


def _unpriced(content: ScenarioFile) -> list[EnergyModelError]:
    given = [carrier_of(key) for key in content.price]
    faults: dict[str, EnergyModelError] = {}
    for place, table in _places(content.option):
        for path, carrier in _carriers(table, content.room):
            # A misspelt price table is a fault of its own already.
            if carrier in faults or get_close_matches(carrier, given, n=1, cutoff=0.75):
                continue
            faults[carrier] = InputError(
                f"it uses {carrier}, which has no price",
                where=f"{place}{path}",
                expected=f"a table [price.{carrier.replace(' ', '_')}] with energy and per",
                remedy="take the price and its unit of sale from the bill",
            )
    return list(faults.values())


def _closing_faults(content: ScenarioFile) -> Iterator[EnergyModelError]:
    """Accounts that an option cannot close."""
    prices = {carrier_of(key): price for key, price in content.price.items()}
    for place, table in _places(content.option):
        used = {carrier for _, carrier in _carriers(table, content.room)}
        for fault in closing_faults(table, prices, used):
            yield from placed(fault, place)


def _carriers(table: OptionTable, room: RoomTable) -> Iterator[tuple[str, str]]:
    if table.cooling is not None and room.cooling is not None:
        yield "cooling", ELECTRICITY
    if table.heating is None or room.heating is None:
        return
    yield from (("heating", carrier) for carrier in _burned(table.heating))
    backup = table.heating.backup if isinstance(table.heating, HeatPumpRecord) else None
    if backup is not None:
        yield from (("heating.backup.heater", carrier) for carrier in _burned(backup.heater))


def _burned(record: HeatPumpRecord | HeaterRecord) -> list[str]:
    if not isinstance(record, BurnerRecord):
        return [ELECTRICITY]
    return [record.fuel, *([ELECTRICITY] if record.blower or record.auxiliary else [])]


Supplied = Callable[[Option], Option]


def _meters(
    content: ScenarioFile, ledger: Ledger, *, folder: Path, zone: str | None
) -> dict[str, OwnMeter]:
    if all(table.meter is None for table in content.option):
        return {}
    from energymodel.scenario.supply import own_meters  # noqa: PLC0415 - few files have one

    return own_meters(_places(content.option), ledger, folder=folder, zone=zone)


def _supplies(
    prices: dict[str, CarrierPrice], meters: dict[str, OwnMeter], ledger: Ledger
) -> tuple[dict[str, CarrierPrice], Supplied]:
    """Put the options' own meters into the prices; say how an option's electricity is supplied."""
    electricity = prices.get(ELECTRICITY)
    house = electricity.house if electricity is not None else None
    if electricity is None or not (meters or (house is not None and house.tariff.interruptions)):
        return prices, lambda option: option
    from energymodel.scenario.supply import supplied, with_meters  # noqa: PLC0415 - as above

    if meters:
        electricity = with_meters(electricity, meters)
        house = electricity.house
    if house is None:
        return prices, lambda option: option
    return {**prices, ELECTRICITY: electricity}, partial(supplied, house=house, ledger=ledger)


def _planned(
    table: OptionTable, pair: Pair, load: RoomLoad, indoor: Indoor, supply: Supplied
) -> PlannedOption:
    heating, cooling = pair
    option = Option(
        name=table.name,
        heating=heating.source if heating else None,
        cooling=cooling.source if cooling else None,
        heating_load=_scaled(load.heating, table.load_factor),
        cooling_load=_scaled(load.cooling, table.load_factor * _latent_factor(load, cooling)),
        idle=_idle_units(heating, cooling, frozenset(table.months_off)),
        heating_indoor_c=indoor.heating,
        cooling_indoor_c=indoor.cooling,
        months_without_cooling=load.months_without_cooling,
    )
    option = supply(option)
    pump = heating is not None and isinstance(table.heating, HeatPumpRecord)
    alone: Source | None = (heating.alone or Resistance(use="backup")) if pump and heating else None
    borrowed = heating is not None and heating.alone is None
    return PlannedOption(
        table=table,
        option=option,
        backup_alone=_on_backup(option, alone, borrowed=borrowed),
        borrowed=borrowed,
        heating=heating,
        cooling=cooling,
        full_comfort=_full_comfort(option),
    )


def _on_backup(option: Option, alone: Source | None, *, borrowed: bool) -> Option | None:
    """Take the heat pump away; a borrowed heater is plugged into the household's supply."""
    if alone is None:
        return None
    supply = ALWAYS_SUPPLIED if borrowed else option.heating_supply
    return replace(option, heating=alone, idle=(), heating_supply=supply)


def _full_comfort(option: Option) -> Option | None:
    source = option.heating
    if not isinstance(source, PartialDisplacement) or not source.lowered_k:
        return None
    return replace(option, heating=replace(source, lowered_k=0.0))


def _scaled(line: LoadLine | None, factor: float) -> LoadLine | None:
    if line is None:
        return None
    return replace(line, slope_w_per_k=line.slope_w_per_k * factor)


def _shares(load: RoomLoad, cooling: Built | None) -> tuple[float, float] | None:
    """Sensible heat ratio of the room and of the unit, where both are known."""
    room = load.sensible_heat_ratio
    table = cooling.unit.table.cooling if cooling and cooling.unit else None
    unit = table.sensible_heat_ratio if table else None
    return None if room is None or unit is None else (room, unit)


def _latent_factor(load: RoomLoad, cooling: Built | None) -> float:
    """Load on the unit over the room's total load: max(total, sensible / unit SHR)."""
    shares = _shares(load, cooling)
    return 1.0 if shares is None else max(1.0, shares[0] / shares[1])


def _moisture(planned: PlannedOption, load: RoomLoad) -> list[Notice]:
    shares = _shares(load, planned.cooling)
    if shares is None or shares[0] >= shares[1]:
        return []
    room, unit = shares
    text = (
        f"{planned.option.name}: the unit's sensible heat ratio ({unit:.2f}) is above the room's"
        f" ({room:.2f}); it removes less moisture than the load asks for, which is reported here"
        " and not billed"
    )
    return [Notice(topic="moisture", text=text)]


def _idle_units(
    heating: Built | None, cooling: Built | None, months_off: frozenset[int]
) -> tuple[IdleUnit, ...]:
    units: list[IdleUnit] = []
    same = heating is not None and cooling is not None and heating.unit_key == cooling.unit_key
    if heating is not None and heating.idle is not None:
        units.append(IdleUnit(idle=heating.idle, heats=True, cools=same, months_off=months_off))
    if cooling is not None and cooling.idle is not None and not same:
        units.append(IdleUnit(idle=cooling.idle, heats=False, cools=True, months_off=months_off))
    return tuple(units)
