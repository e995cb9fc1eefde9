"""Records of a scenario file. Quantities carry their unit; unknown keys are refused."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field, field_validator, model_validator

from energymodel.emissions import grid_factor
from energymodel.errors import InputError
from energymodel.quantities import convert
from energymodel.scenario.fields import (
    Fraction,
    MoneyPerYear,
    Month,
    Record,
    check_readable,
    refuse,
    shown,
)
from energymodel.scenario.heat_pump_kind import CoolingRecord, HeatPumpRecord
from energymodel.scenario.heater_kinds import (
    HEATER_RECORDS,
    ElectricFurnaceRecord,
    FurnaceRecord,
    HeaterRecord,
)
from energymodel.scenario.place import Place
from energymodel.scenario.room_schema import RoomTable
from energymodel.scenario.unit_schema import UnitTable

if TYPE_CHECKING:
    HeatingEntry = HeatPumpRecord | HeaterRecord
else:
    HeatingEntry = Annotated[HEATER_RECORDS | HeatPumpRecord, Field(discriminator="kind")]


UNIT_OF_SALE = 'the unit of sale on the bill, such as "kWh", "therm" or "gallon"'


class Price(Record):
    """Price of one carrier: flat with its unit of sale, or a tariff file (electricity)."""

    energy: float | None = Field(
        default=None,
        ge=0,
        description="money per unit of sale: a plain number such as 0.14, without quotes",
    )
    per: str | None = Field(default=None, description=UNIT_OF_SALE)
    tariff: str | None = Field(default=None, description="a tariff file beside this one")
    other_use_kwh: list[float] | None = Field(
        default=None,
        min_length=12,
        max_length=12,
        description="the household's other use, kWh in January to December",
    )
    fixed: MoneyPerYear = 0.0
    other_uses: bool | None = None
    heat_content: str | None = None
    source: str = ""
    date: str = ""

    @field_validator("per", mode="before")
    @classmethod
    def _unit_is_text(cls, value: object) -> object:
        if not isinstance(value, str) or not value.strip():
            raise refuse(f"{shown(value)} is not a unit of sale", expected=UNIT_OF_SALE)
        return value

    @model_validator(mode="after")
    def _flat_or_tariff(self) -> Price:
        if self.tariff is None:
            missing = [name for name in ("energy", "per") if getattr(self, name) is None]
            if missing:
                raise refuse(
                    f"the price has no {' and no '.join(missing)}",
                    expected=f"energy (money) and per ({UNIT_OF_SALE}), or a tariff file",
                )
            if self.other_use_kwh is not None:
                raise refuse(
                    "other_use_kwh stands beside a flat price",
                    expected="other_use_kwh only with a tariff, whose blocks and demand it fills",
                )
        elif self.energy is not None or self.per is not None or self.fixed:
            raise refuse(
                "a tariff stands beside a flat price",
                expected="either tariff, or energy with per and fixed",
            )
        return self

    @field_validator("heat_content")
    @classmethod
    def _readable(cls, value: str | None) -> str | None:
        if value is not None:
            check_readable(value, expected='a heat content such as "91,452 Btu/gal"')
        return value


class OptionTable(Record):
    """One way to heat and cool the room."""

    name: str = Field(min_length=1, description="a name in quotes, not empty")
    present: bool = False
    heating: HeatingEntry | None = None
    cooling: CoolingRecord | None = None
    installed_cost: float = Field(default=0.0, ge=0)
    load_factor: Fraction = 1.0
    months_off: list[Month] = Field(default_factory=list)
    note: str = ""

    @model_validator(mode="after")
    def _does_something(self) -> OptionTable:
        if self.heating is None and self.cooling is None:
            raise refuse(
                "an option that neither heats nor cools", expected="heating, cooling or both"
            )
        furnace = isinstance(self.heating, FurnaceRecord | ElectricFurnaceRecord)
        if furnace and getattr(self.heating, "ducts", None) is None:
            raise refuse(
                "a furnace without its ducts",
                expected="ducts = { efficiency = 0.80 } in heating; 1.0 if all lie in heated rooms",
            )
        return self


_RATE = re.compile(r"(\d+(?:\.\d+)?)\s*(kg|g|lb)\s*/\s*(kWh|MWh)")
_RATE_WORDS = 'an eGRID subregion such as "SRVC", "US", or a rate such as "0.37 kg/kWh"'
_HIGHEST_KG_PER_KWH = 3.0
"""No plant emits more than about half of it."""


def _grid_rate(text: str) -> str:
    match = _RATE.fullmatch(text)
    if match is None:
        raise refuse(f"{shown(text)} is not an emission rate", expected=_RATE_WORDS)
    number, mass, energy = match.groups()
    kg_per_kwh = float(number) * convert(1.0, mass, "kg") * convert(1.0, "kWh", energy)
    if kg_per_kwh > _HIGHEST_KG_PER_KWH:
        raise refuse(
            f"{shown(text)} is more than any plant emits",
            expected=f"at most {_HIGHEST_KG_PER_KWH:g} kg/kWh",
            remedy="check the unit: kg or g, kWh or MWh",
        )
    return f"{number} {mass}/{energy}"


class Emissions(Record):
    """Emission factor of the electricity."""

    grid: str = Field(default="US", description=_RATE_WORDS)
    grid_loss: float = Field(default=0.0, ge=0, lt=0.5)

    @field_validator("grid")
    @classmethod
    def _known(cls, value: str) -> str:
        text = value.strip()
        if not text.isalpha():
            return _grid_rate(text)
        try:
            grid_factor(text)
        except InputError as error:
            raise refuse(error.what, expected=error.expected, remedy=error.remedy) from None
        return text


class ScenarioFile(Record):
    """A whole scenario file."""

    title: str = ""
    units: Literal["us", "si"] = "us"
    currency: str = Field(
        default="USD", min_length=1, max_length=4, description='a short code such as "USD"'
    )
    place: Place
    room: RoomTable
    option: list[OptionTable] = Field(min_length=1)
    price: dict[str, Price] = Field(
        min_length=1, description="tables such as [price.electricity] with energy and per"
    )
    emissions: Emissions = Emissions()
    unit: dict[str, UnitTable] = Field(default_factory=dict)

    @field_validator("option")
    @classmethod
    def _names_and_present(cls, options: list[OptionTable]) -> list[OptionTable]:
        names = [option.name for option in options]
        twice = [name for name in dict.fromkeys(names) if names.count(name) > 1]
        present = [shown(option.name) for option in options if option.present]
        faults = [f"{names.count(name)} options are called {shown(name)}" for name in twice]
        if len(present) > 1:
            faults.append(f"{' and '.join(present)} are marked as present")
        if faults:
            raise refuse(
                "; ".join(faults),
                expected="each option with its own name, and present = true on the one that is"
                " there now",
            )
        return options
