"""The same source with its heat pump changed, wherever it stands among ducts and backup."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from energymodel.building.load import LoadLine
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.partial import PartialDisplacement
from energymodel.errors import InputError
from energymodel.scenario.assemble import PlannedOption
from energymodel.season.option import Option


def with_pump_changed(source: Source, change: Callable[[HeatPump], HeatPump]) -> Source:
    """Change the heat pump inside a source.

    Parameters
    ----------
    source
        What heats or cools.
    change
        Makes the new heat pump of the old one.

    Returns
    -------
    Source
        With the same ducts and backup; the source itself where there is no heat pump.
    """
    if isinstance(source, HeatPump):
        return change(source)
    if isinstance(source, BackupInstead):
        return replace(source, main=change(source.main))
    if isinstance(source, BackupWith | PartialDisplacement):
        return replace(source, main=with_pump_changed(source.main, change))
    if isinstance(source, Ducted):
        return replace(source, source=with_pump_changed(source.source, change))
    return source


def pump_of(source: Source | None) -> HeatPump | None:
    """Find the heat pump inside a source.

    Parameters
    ----------
    source
        What heats or cools.

    Returns
    -------
    HeatPump or None
        None where there is none.
    """
    found: list[HeatPump] = []

    def note(pump: HeatPump) -> HeatPump:
        found.append(pump)
        return pump

    if source is not None:
        with_pump_changed(source, note)
    return found[0] if found else None


def without_switch(planned: PlannedOption) -> Source:
    """Let a heat pump run at all temperatures that the unit itself allows.

    Parameters
    ----------
    planned
        An option with a heat pump that heats.

    Returns
    -------
    Source
        With backup and ducts. Where a backup of its own can take over, the scenario's switch
        temperature is taken away and the unit's own limits stay; elsewhere nothing changes.

    Raises
    ------
    InputError
        If the option has no heat pump that heats.
    """
    source = planned.option.heating
    built = planned.heating
    table = built.unit.table.heating if built is not None and built.unit is not None else None
    if source is None or table is None:
        raise InputError(f"{planned.option.name} has no heat pump that heats")
    if planned.borrowed:
        return source
    own = table.operation()

    def freed(pump: HeatPump) -> HeatPump:
        limits = replace(own, stop_below_cop_1=pump.operation.stop_below_cop_1)
        return replace(pump, operation=limits)

    return with_pump_changed(source, freed)


def head_in_zone(option: Option) -> Option:
    """Leave the old system of a house with a zone out: its head at the load that it is asked for.

    Parameters
    ----------
    option
        Any option.

    Returns
    -------
    Option
        The option itself where its heat pump is asked for the whole load.
    """
    source, line = option.heating, option.heating_load
    if not isinstance(source, PartialDisplacement) or line is None:
        return option
    asked = _steeper(line, source.reached_share)
    return replace(option, heating=source.main, heating_load=asked)


def with_in_service(planned: PlannedOption, factor: float) -> Option:
    """Give the heat pump of an option another in-service factor.

    Parameters
    ----------
    planned
        An option with a heat pump that heats.
    factor
        Divides its electric power.

    Returns
    -------
    Option
        Cooling by the same unit changes in proportion; everything else is as it was.

    Raises
    ------
    InputError
        If the option has no heat pump that heats.
    """
    option = planned.option
    pump = pump_of(option.heating)
    if pump is None or option.heating is None:
        raise InputError(f"{option.name} has no heat pump that heats")
    change = factor / pump.in_service_factor

    def served(one: HeatPump) -> HeatPump:
        return replace(one, in_service_factor=one.in_service_factor * change)

    cooling = option.cooling
    if cooling is not None and _same_unit(planned):
        cooling = with_pump_changed(cooling, served)
    return replace(
        option,
        heating=with_pump_changed(option.heating, served),
        cooling=cooling,
    )


def _same_unit(planned: PlannedOption) -> bool:
    heating, cooling = planned.heating, planned.cooling
    return heating is not None and cooling is not None and heating.unit_key == cooling.unit_key


def load_scaled(option: Option, factor: float) -> Option:
    """Multiply heating and cooling load of an option.

    Parameters
    ----------
    option
        With its load lines.
    factor
        New load over old, > 0.

    Returns
    -------
    Option
        Same balance temperatures.
    """
    heating, cooling = option.heating_load, option.cooling_load
    return replace(
        option,
        heating_load=None if heating is None else _steeper(heating, factor),
        cooling_load=None if cooling is None else _steeper(cooling, factor),
    )


def _steeper(line: LoadLine, factor: float) -> LoadLine:
    return replace(line, slope_w_per_k=line.slope_w_per_k * factor)


def pump_alone(source: Source | None) -> Source | None:
    """Take the backup away from a source and keep its ducts.

    Parameters
    ----------
    source
        What heats or cools.

    Returns
    -------
    Source or None
        The heat pump or air conditioner as the room sees it; None if there is none.
    """
    if isinstance(source, HeatPump):
        return source
    if isinstance(source, BackupWith | BackupInstead | PartialDisplacement):
        return pump_alone(source.main)
    if isinstance(source, Ducted):
        inside = pump_alone(source.source)
        return None if inside is None else replace(source, source=inside)
    return None
