"""The table [site]: what the place of a unit allows, and what its plate and manual say."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from energymodel.building.room_mass import room_masses
from energymodel.equipment.ducts import duct_places
from energymodel.errors import InputError
from energymodel.quantities import Dimension, read_quantity
from energymodel.scenario.fields import (
    Area,
    Length,
    PositivePower,
    Record,
    Temperature,
    check_readable,
    refuse,
    shown,
    temperature_text,
)
from energymodel.scenario.supply_text import country_codes, read_supplies

CURRENT = Dimension(noun="current", unit="A", examples=("9 A", "15 A"))
MASS = Dimension(noun="mass", unit="kg", examples=("0.85 kg", "30 oz"))
LINE_CHARGE = Dimension(noun="charge by length", unit="kg/m", examples=("0.16 oz/ft", "15 g/m"))
DURATION = Dimension(noun="duration", unit="h", examples=("2 h", "90 min"))
_SUPPLY_WORDS = 'volts as printed, such as "208/230 V" or "400 V, three phase"'
_LONGEST_PULL_UP_H = 48.0


def _quantity(dimension: Dimension) -> Callable[[object], float]:
    examples = " or ".join(f'"{example}"' for example in dimension.examples)
    wanted = f"a {dimension.noun} with its unit, such as {examples}"

    def read(value: object) -> float:
        if not isinstance(value, str):
            raise refuse(f"{shown(value)} has no unit", expected=wanted)
        check_readable(value, expected=wanted)
        try:
            number = read_quantity(value, dimension)
        except InputError as error:
            raise refuse(error.what, expected=wanted, remedy=error.remedy) from None
        if not (math.isfinite(number) and number > 0):
            raise refuse(f"{shown(value)} is not above zero", expected=wanted)
        return number

    return read


Current = Annotated[float, BeforeValidator(_quantity(CURRENT))]
Mass = Annotated[float, BeforeValidator(_quantity(MASS))]
LineCharge = Annotated[float, BeforeValidator(_quantity(LINE_CHARGE))]
Duration = Annotated[float, BeforeValidator(_quantity(DURATION))]


def _supply(value: object) -> str:
    if not isinstance(value, str) or not read_supplies(value):
        raise refuse(f"{shown(value)} names no voltage", expected=_SUPPLY_WORDS)
    return value


SupplyText = Annotated[str, BeforeValidator(_supply), Field(description=_SUPPLY_WORDS)]
RoomKind = Literal[
    "room", "addition", "sunroom", "garage", "workshop", "server room", "kitchen", "attic room"
]


class UnitFacts(Record):
    """What the plate and the manual of one unit say; nothing of it is guessed."""

    form: Literal["ductless split", "ducted split", "one piece"] | None = None
    supply: SupplyText | None = None
    ampacity: Current | None = None
    breaker: Current | None = None
    cord: bool | None = None
    refrigerant: str = ""
    charge: Mass | None = None
    charged_for: Length | None = None
    line_charge: LineCharge | None = None
    shortest_line: Length | None = None
    longest_line: Length | None = None
    largest_height: Length | None = None
    mounting_height: Length | None = None
    lowest_heating: Temperature | None = None
    lowest_cooling: Temperature | None = None
    low_ambient_cooling: Temperature | None = None

    @model_validator(mode="after")
    def _agrees(self) -> UnitFacts:
        low, standard = self.low_ambient_cooling, self.lowest_cooling
        if low is not None and standard is not None and low >= standard:
            raise refuse(
                f"low_ambient_cooling, {temperature_text(low)}, is not below lowest_cooling,"
                f" {temperature_text(standard)}",
                expected="the limit of the version or kit that cools in colder weather",
            )
        short, long = self.shortest_line, self.longest_line
        if short is not None and long is not None and short > long:
            raise refuse(
                f"shortest_line, {short:g} m, is above longest_line, {long:g} m",
                expected="the limits of the manual",
            )
        return self


class DuctsFacts(Record):
    """The ducted system that is there: the other way to serve an addition."""

    capacity: PositivePower
    house_load: PositivePower
    cooling_capacity: PositivePower | None = None
    house_cooling_load: PositivePower | None = None
    place: str | None = None
    efficiency: float | None = Field(
        default=None, ge=0.2, le=1.0, description="of the run to the room, 0.2 to 1"
    )
    measured: bool = False

    @field_validator("place")
    @classmethod
    def _known_place(cls, value: str | None) -> str | None:
        keys = [place.key for place in duct_places()]
        if value is not None and value not in keys:
            raise refuse(f"{shown(value)} is no place for ducts", expected=", ".join(keys))
        return value

    @model_validator(mode="after")
    def _agrees(self) -> DuctsFacts:
        if self.place is not None and self.efficiency is not None:
            raise refuse("a place beside an efficiency of the ducts", expected="one of them")
        if (self.cooling_capacity is None) != (self.house_cooling_load is None):
            raise refuse(
                "one of cooling_capacity and house_cooling_load without the other",
                expected="both, or neither",
            )
        return self


class SharedFacts(Record):
    """One outdoor unit that serves several indoor units, one of them in this room."""

    heads: int = Field(ge=2, le=12, description="a whole number of indoor units from 2 to 12")
    full_output: PositivePower
    lowest_output: PositivePower | None = None

    @model_validator(mode="after")
    def _agrees(self) -> SharedFacts:
        if self.lowest_output is not None and self.lowest_output > self.full_output:
            raise refuse(
                "lowest_output is above full_output", expected="the limits of the outdoor unit"
            )
        return self


class SiteTable(Record):
    """What the site allows and what the room is used for."""

    kind: RoomKind = "room"
    use: Literal["always", "now and then"] = "always"
    frost_set_point: Temperature | None = None
    pull_up: Duration | None = None
    mass: str | None = Field(default=None, description="a type of room such as timber-frame")
    country: str | None = Field(default=None, description='a code such as "US" or "EU"')
    supply: list[SupplyText] = Field(default_factory=list)
    line_length: Length | None = None
    equivalent_length: Length | None = None
    line_height: Length | None = None
    outdoor_unit: Literal["above", "level", "below"] | None = None
    mounting_height: Length | None = None
    smallest_room: Area | None = None
    ducts: DuctsFacts | None = None
    shared_outdoor_unit: SharedFacts | None = None
    unit: dict[str, UnitFacts] = Field(default_factory=dict)

    @field_validator("country")
    @classmethod
    def _known_country(cls, value: str | None) -> str | None:
        if value is not None and value not in country_codes():
            raise refuse(
                f"the supplies of {shown(value)} are not listed",
                expected="one of " + ", ".join(country_codes()),
                remedy='or supply = ["230 V"], as the site has it',
            )
        return value

    @field_validator("mass")
    @classmethod
    def _known_mass(cls, value: str | None) -> str | None:
        keys = [mass.key for mass in room_masses()]
        if value is not None and value not in keys:
            raise refuse(f"{shown(value)} is no type of room", expected=", ".join(keys))
        return value

    @model_validator(mode="after")
    def _now_and_then(self) -> SiteTable:
        given = [name for name in ("frost_set_point", "pull_up") if getattr(self, name) is not None]
        if self.use == "always" and given:
            raise refuse(
                f"{' and '.join(given)} of a room that is always in use",
                expected='use = "now and then" beside them',
            )
        if self.use == "now and then" and len(given) < 2:
            raise refuse(
                "a room in use now and then without frost_set_point and pull_up",
                expected='frost_set_point = "45 degF" and pull_up = "2 h", the time in which it is'
                " to be warm",
            )
        if self.pull_up is not None and self.pull_up > _LONGEST_PULL_UP_H:
            raise refuse(f"a pull-up of {self.pull_up:g} h", expected="at most 48 h")
        return self

    @model_validator(mode="after")
    def _lines_agree(self) -> SiteTable:
        length, equivalent = self.line_length, self.equivalent_length
        if equivalent is not None and length is not None and equivalent < length:
            raise refuse(
                f"the equivalent length, {equivalent:g} m, is below the length, {length:g} m",
                expected="the length with bends counted as straight pipe",
            )
        if (self.line_height or 0.0) > 0 and self.outdoor_unit is None:
            raise refuse(
                "a line_height without the side on which the outdoor unit stands",
                expected='outdoor_unit = "above" or "below" (the indoor unit)',
            )
        if self.line_height is None and self.outdoor_unit in ("above", "below"):
            raise refuse(
                f'outdoor_unit = "{self.outdoor_unit}" without a line_height',
                expected='line_height = "10 ft", the height between the two units',
            )
        if length is not None and (self.line_height or 0.0) > length:
            raise refuse(
                f"a height of {self.line_height:g} m in a line of {length:g} m",
                expected="a line at least as long as it is high",
            )
        return self

    @property
    def outdoor_above_m(self) -> float | None:
        """Height of the outdoor unit above the indoor unit, m; None: not known."""
        if self.outdoor_unit == "level":
            return 0.0
        if self.line_height is None:
            return None
        return -self.line_height if self.outdoor_unit == "below" else self.line_height

    @property
    def equivalent_m(self) -> float | None:
        """Equivalent length of the line, m; the length where bends were not counted."""
        return self.line_length if self.equivalent_length is None else self.equivalent_length
