"""One way to heat and cool a room, ready to run: sources, loads and idle units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from energymodel.building.load import LoadLine
from energymodel.equipment.flows import Source
from energymodel.equipment.idle import IdlePower

if TYPE_CHECKING:
    from energymodel.arrays import Mask
    from energymodel.weather.year import WeatherYear


class Interruption(Protocol):
    """Rules by which the supply of a meter is cut."""

    def hours(self, weather: WeatherYear) -> Mask:
        """Hours of a year without supply.

        Parameters
        ----------
        weather
            A complete year.

        Returns
        -------
        Mask
            Shape (hours,).
        """
        ...

    def possible_at(self, outdoor_c: float, weather: WeatherYear) -> bool:
        """Whether the supply may be cut in cold weather of a given temperature.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, such as that of the design, degC.
        weather
            A complete year; it says in which months it gets so cold.

        Returns
        -------
        bool
            True where some hour of those months would be cut at that temperature.
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Supply:
    """How the electricity of one function is supplied.

    Parameters
    ----------
    interruption
        When it is cut; fuel burners and their fans run on. None: never.
    own_meter
        Whether it passes a meter of the option's own, apart from the household's.
    """

    interruption: Interruption | None = None
    own_meter: bool = False


ALWAYS_SUPPLIED = Supply()
"""By the household's meter, never cut."""


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

    @property
    def supplied_for(self) -> str:
        """Function, "heating" or "cooling", with whose supply it goes."""
        return "heating" if self.heats else "cooling"


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
    heating_supply, cooling_supply
        Meter of the electricity of each function, and when it is cut.
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
    heating_supply: Supply = ALWAYS_SUPPLIED
    cooling_supply: Supply = ALWAYS_SUPPLIED

    @property
    def supplies(self) -> dict[str, Supply]:
        """Supply of each function, "heating" and "cooling"."""
        return {"heating": self.heating_supply, "cooling": self.cooling_supply}

    @property
    def idle_serves(self) -> frozenset[str]:
        """Functions, "heating" and "cooling", that its units with idle power serve."""
        heats = ["heating"] if any(unit.heats for unit in self.idle) else []
        cools = ["cooling"] if any(unit.cools for unit in self.idle) else []
        return frozenset((*heats, *cools))

    def cut_in_cold(self, outdoor_c: float, weather: WeatherYear) -> bool:
        """Whether its electric heat may be cut in cold weather of a given temperature.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.
        weather
            A complete year.

        Returns
        -------
        bool
            As the rules of its supply have it.
        """
        rules = self.heating_supply.interruption
        return rules is not None and rules.possible_at(outdoor_c, weather)

    def left_in_cold(self, source: Source, outdoor_c: float, weather: WeatherYear) -> Source:
        """Leave of a source what surely heats in cold weather of a given temperature.

        Parameters
        ----------
        source
            The heating of the option, or a part of it.
        outdoor_c
            Outdoor temperature, degC.
        weather
            A complete year.

        Returns
        -------
        Source
            The source itself, or what runs without supply where it may be cut then.
        """
        if not self.cut_in_cold(outdoor_c, weather):
            return source
        from energymodel.equipment.interruptible import without_supply  # noqa: PLC0415 - few are cut

        return without_supply(source)

    @property
    def uses_humidity(self) -> bool:
        """Whether outdoor humidity in the frost band changes the answer."""
        return self.heating is not None and self.heating.uses_humidity

    @property
    def months_that_matter(self) -> tuple[frozenset[int], ...]:
        """Sets of months in which something is switched off."""
        sets = [self.months_without_cooling, *(unit.months_off for unit in self.idle)]
        return tuple(dict.fromkeys(months for months in sets if months))
