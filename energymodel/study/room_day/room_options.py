"""Which options of a scenario are set side by side in the minute model."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np

from energymodel.arrays import frozen
from energymodel.building.load import LoadLine
from energymodel.equipment.curves import PerformanceMap
from energymodel.equipment.flows import Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.resistance import Resistance
from energymodel.errors import InputError
from energymodel.scenario.assemble import Model, PlannedOption, assemble
from energymodel.scenario.catalogue import catalogue_keys, catalogue_unit
from energymodel.scenario.schema import OptionTable
from energymodel.scenario.unit_schema import UnitTable
from energymodel.season.option import Option
from energymodel.season.room_unit import heat_pump_in, is_modulating, serves_one_room
from energymodel.units import c_from_f

SAME_CLASS = 0.25
"""Units within this of each other's size are of one class (our choice)."""
_RATED_C, _COLD_C = c_from_f(47.0), c_from_f(17.0)


def heating_of(option: Option) -> tuple[Source, LoadLine]:
    """Return the heater and the heating load line of an option.

    Parameters
    ----------
    option
        An option.

    Returns
    -------
    source : Source
        The heater.
    line : LoadLine
        With the option's own load factor in it.

    Raises
    ------
    InputError
        If the option does not heat.
    """
    if option.heating is None or option.heating_load is None:
        raise InputError(f"{option.name} does not heat", expected="an option with heating")
    return option.heating, option.heating_load


def named_option(model: Model, name: str) -> PlannedOption:
    """Find an option that one thermostat drives.

    Parameters
    ----------
    model
        The scenario.
    name
        Name of the option.

    Returns
    -------
    PlannedOption
        An option that heats.

    Raises
    ------
    InputError
        If there is no such option, it does not heat, or it heats two zones.
    """
    known = {one.option.name: one for one in model.options}
    if name not in known:
        near = get_close_matches(name, known, n=1, cutoff=0.4)
        raise InputError(
            f"there is no option {name!r}",
            where=model.scenario.path.name,
            expected="one of " + ", ".join(known),
            remedy=f'did you mean "{near[0]}"?' if near else "",
        )
    option = known[name].option
    source, _ = heating_of(option)
    if not serves_one_room(source):
        raise InputError(
            f"{name} heats a zone of the house and leaves the rest to the old system",
            expected="an option with one thermostat",
            remedy="describe the zone as a room of its own",
        )
    return known[name]


def usual_options(model: Model, line: LoadLine) -> tuple[Model, list[PlannedOption]]:
    """Choose an inverter, a single-speed unit of its class and electric resistance.

    Parameters
    ----------
    model
        The scenario.
    line
        Heating load line of the room.

    Returns
    -------
    model : Model
        With options from the catalogue where the scenario lacks them.
    planned : list of PlannedOption
        The three.
    """
    heated = [one for one in model.options if _one_room(one.option)]
    inverter = next((one for one in heated if _kind(_pump(one)) is True), None)
    # the catalogue's single-speed units have fewer classes than its inverters
    usual_w = _nearest(_design_w(model, line), modulates=False).class_w
    wanted_w = _class_w(inverter) if inverter else usual_w
    fixed = [one for one in heated if _kind(_pump(one)) is False and _like(one, wanted_w)]
    plain = [one for one in heated if isinstance(one.option.heating, Resistance)]
    chosen = [inverter, next(iter(fixed), None), next(iter(plain), None)]
    added = [_nearest(wanted_w, modulates=changes).entry for changes in (True, False)]
    absent = [
        OptionTable.model_validate(entry)
        for one, entry in zip(chosen, (*added, _PLAIN), strict=True)
        if one is None
    ]
    if absent:
        content = model.scenario.content
        more = content.model_copy(update={"option": [*content.option, *absent]})
        model = assemble(replace(model.scenario, content=more))
    made: Iterator[PlannedOption] = iter(model.options[len(model.options) - len(absent) :])
    return model, [named_option(model, one.option.name) if one else next(made) for one in chosen]


_PLAIN = {"name": "Electric resistance (added)", "heating": {"kind": "electric resistance"}}


def _one_room(option: Option) -> bool:
    return option.heating is not None and serves_one_room(option.heating)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Candidate:
    """A unit of the catalogue that heats."""

    key: str
    table: UnitTable
    performance: PerformanceMap

    @property
    def class_w(self) -> float:
        return _size_w(self.table, self.performance)

    @property
    def frost_w(self) -> float:
        return float(self.performance.speeds[-1].capacity_w(frozen([_COLD_C]))[0])

    @property
    def entry(self) -> dict[str, object]:
        backup = {"heater": {"kind": "electric resistance"}}
        return {
            "name": f"{self.table.name} (added)",
            "heating": {"kind": "heat pump", "unit": self.key, "backup": backup},
        }


def _nearest(wanted_w: float, *, modulates: bool) -> _Candidate:
    """Find the catalogue's unit nearest in class; of two, the one that gives less in frost."""
    units = [catalogue_unit(key) for key in catalogue_keys()]
    heat = [
        _Candidate(key=unit.key, table=unit.table, performance=unit.heating)
        for unit in units
        if unit.heating is not None and _kind(HeatPump(performance=unit.heating)) is modulates
    ]
    return min(heat, key=lambda one: (abs(one.class_w / wanted_w - 1.0), one.frost_w))


def _kind(pump: HeatPump | None) -> bool | None:
    """Whether a heat pump modulates; None: two stages, or no heat pump."""
    if pump is None:
        return None
    if is_modulating(pump):
        return True
    return False if len(pump.performance.speeds) == 1 else None


def _pump(planned: PlannedOption) -> HeatPump | None:
    source = planned.option.heating
    return None if source is None else heat_pump_in(source)


def _class_w(planned: PlannedOption) -> float:
    unit, pump = planned.heating.unit if planned.heating else None, _pump(planned)
    if unit is None or pump is None:
        return 0.0
    return _size_w(unit.table, pump.performance)


def _size_w(table: UnitTable, performance: PerformanceMap) -> float:
    if table.size_class is not None:
        return table.size_class
    return float(performance.speeds[-1].capacity_w(frozen([_RATED_C]))[0])


def _design_w(model: Model, line: LoadLine) -> float:
    table = model.scenario.content.room.heating
    design_c = table.design_temperature if table else None
    at = float(model.weather.outdoor_c.min()) if design_c is None else design_c
    return float(line.load_w(np.array([at]))[0])


def _like(planned: PlannedOption, wanted_w: float) -> bool:
    return abs(_class_w(planned) / wanted_w - 1.0) <= SAME_CLASS
