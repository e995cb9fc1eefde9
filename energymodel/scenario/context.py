"""What a builder of equipment needs to know of the scenario around it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from energymodel.building.load import LoadLine
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Source
from energymodel.equipment.idle import IdlePower
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.unit_schema import Unit


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Context:
    """Surroundings of one equipment entry.

    Parameters
    ----------
    function
        Whether the entry heats or cools.
    elevation_m
        Height of the place, m.
    design_load_w
        Heating load at the design temperature, W.
    find_unit
        Unit by its key.
    ledger
        Collects defaults and notices.
    heating_load
        Heating load of the room, without an option's own load factor; None: not known.
    """

    function: Function
    elevation_m: float
    design_load_w: float
    find_unit: Callable[[str], Unit]
    ledger: Ledger
    heating_load: LoadLine | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Built:
    """An equipment entry as a source.

    Parameters
    ----------
    source
        What runs.
    idle
        Idle power of the unit and the key that tells whether two entries are the same unit.
    unit_key
        Key of the unit; empty for equipment without idle power.
    alone
        What would heat if the heat pump failed; None: nothing but a borrowed resistance heater.
    """

    source: Source
    idle: IdlePower | None = None
    unit_key: str = ""
    unit: Unit | None = None
    alone: Source | None = None
