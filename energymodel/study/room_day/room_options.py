"""Which options of a scenario are set side by side in the minute model."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np

from energymodel.building.load import LoadLine
from energymodel.equipment.flows import Source
from energymodel.equipment.resistance import Resistance
from energymodel.errors import InputError
from energymodel.scenario.assemble import Model, PlannedOption, assemble
from energymodel.scenario.schema import OptionTable
from energymodel.season.option import Option
from energymodel.season.room_unit import serves_one_room
from energymodel.study.room_day.days import hours_of, pick_days
from energymodel.study.room_day.pair import Pair, choose_pair


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UsualOptions:
    """Options that stand beside each other where none are named.

    Parameters
    ----------
    model
        With options from the catalogue where the scenario lacks them.
    planned
        An inverter, an on/off unit, electric resistance.
    pair
        The first two, and why these.
    """

    model: Model
    planned: tuple[PlannedOption, ...]
    pair: Pair


def usual_options(model: Model, line: LoadLine) -> UsualOptions:
    """Choose an inverter, the on/off unit nearest to it in size, and electric resistance.

    Parameters
    ----------
    model
        The scenario.
    line
        Heating load line of the room.

    Returns
    -------
    UsualOptions
        The three.
    """
    heated = [one for one in model.options if _one_room(one.option)]
    outdoor_c = model.weather.outdoor_c
    shown_c = outdoor_c[hours_of(pick_days(model.weather, line.load_w(outdoor_c)))]
    pair = choose_pair(heated, shown_c, design_w=_design_w(model, line))
    plain = next((one for one in heated if isinstance(one.option.heating, Resistance)), None)
    chosen = [pair.inverter.planned, pair.fixed.planned, plain]
    entries = [pair.inverter.entry, pair.fixed.entry, _PLAIN]
    absent = [
        OptionTable.model_validate(entry)
        for one, entry in zip(chosen, entries, strict=True)
        if one is None
    ]
    if absent:
        content = model.scenario.content
        more = content.model_copy(update={"option": [*content.option, *absent]})
        model = assemble(replace(model.scenario, content=more))
    made: Iterator[PlannedOption] = iter(model.options[len(model.options) - len(absent) :])
    planned = [named_option(model, one.option.name) if one else next(made) for one in chosen]
    return UsualOptions(model=model, planned=tuple(planned), pair=pair)


_PLAIN = {"name": "Electric resistance (added)", "heating": {"kind": "electric resistance"}}


def _one_room(option: Option) -> bool:
    return option.heating is not None and serves_one_room(option.heating)


def _design_w(model: Model, line: LoadLine) -> float:
    table = model.scenario.content.room.heating
    design_c = table.design_temperature if table else None
    at = float(model.weather.outdoor_c.min()) if design_c is None else design_c
    return float(line.load_w(np.array([at]))[0])
