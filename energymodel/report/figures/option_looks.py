"""Colour of a whole option by what heats in it, and a pattern so that grey print can be read."""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from energymodel.report.figures.style import COOLING, FUEL, HEAT_PUMP, RESISTANCE, Look
from energymodel.scenario.heat_pump_kind import HeatPumpRecord
from energymodel.scenario.heater_kinds import BurnerRecord
from energymodel.scenario.schema import OptionTable

PATTERNS = ("", "////", "....", "----", "xxxx", "\\\\\\\\", "++++", "oooo")


class HeatedBy(Enum):
    """What heats in an option."""

    HEAT_PUMP = HEAT_PUMP
    FUEL = FUEL
    RESISTANCE = RESISTANCE
    NOTHING = COOLING


def heated_by(table: OptionTable) -> HeatedBy:
    """Tell what heats in an option; a heat pump before its backup.

    Parameters
    ----------
    table
        The option as written.

    Returns
    -------
    HeatedBy
        Its colour is the value.
    """
    record = table.heating
    if record is None:
        return HeatedBy.NOTHING
    if isinstance(record, HeatPumpRecord):
        return HeatedBy.HEAT_PUMP
    return HeatedBy.FUEL if isinstance(record, BurnerRecord) else HeatedBy.RESISTANCE


def option_looks(tables: Sequence[OptionTable]) -> dict[str, Look]:
    """Give each option a look of its own.

    Parameters
    ----------
    tables
        All options that stand in one picture.

    Returns
    -------
    dict of Look
        By name: the colour says what heats, the pattern tells the options apart.
    """
    return {
        table.name: Look(
            colour=heated_by(table).value, hatch=PATTERNS[place % len(PATTERNS)], ink="black"
        )
        for place, table in enumerate(tables)
    }
