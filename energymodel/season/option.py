"""One way to heat and cool a room, ready to run: sources, loads and idle units."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.building.load import LoadLine
from energymodel.equipment.flows import Source
from energymodel.equipment.idle import IdlePower


@dataclass(frozen=True, slots=True, kw_only=True)
class IdleUnit:
    """A unit that draws power while it waits.

    Parameters
    ----------
    idle
        Its idle power.
    heats, cools
        Which of the option's functions its compressor serves.
    months_off
        Months, 1..12, in which it is disconnected.
    """

    idle: IdlePower
    heats: bool
    cools: bool
    months_off: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Option:
    """One way to heat and cool a room.

    Parameters
    ----------
    name
        As printed.
    heating, cooling
        Sources; None: the option does not serve that function.
    heating_load, cooling_load
        Load lines with the option's own load factor in them.
    idle
        Units with idle power.
    heating_indoor_c, cooling_indoor_c
        Set-points, degC.
    months_without_cooling
        Months, 1..12, in which windows are opened instead.
    has_memory
        Whether a source depends on the hour before; such an option takes the plain hourly path.
    """

    name: str
    heating: Source | None
    cooling: Source | None
    heating_load: LoadLine | None
    cooling_load: LoadLine | None
    idle: tuple[IdleUnit, ...] = ()
    heating_indoor_c: float
    cooling_indoor_c: float
    months_without_cooling: frozenset[int] = frozenset()
    has_memory: bool = False

    @property
    def idle_serves(self) -> frozenset[str]:
        """Functions, "heating" and "cooling", that its units with idle power serve."""
        heats = ["heating"] if any(unit.heats for unit in self.idle) else []
        cools = ["cooling"] if any(unit.cools for unit in self.idle) else []
        return frozenset((*heats, *cools))

    @property
    def uses_humidity(self) -> bool:
        """Whether outdoor humidity in the frost band changes the answer."""
        return self.heating is not None and self.heating.uses_humidity

    @property
    def months_that_matter(self) -> tuple[frozenset[int], ...]:
        """Sets of months in which something is switched off."""
        sets = [self.months_without_cooling, *(unit.months_off for unit in self.idle)]
        return tuple(dict.fromkeys(months for months in sets if months))
