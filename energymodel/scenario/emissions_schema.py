"""Scenario table of the electricity's emissions: a yearly factor, or a file of factors by hour."""

from __future__ import annotations

import re

from pydantic import Field, field_validator, model_validator

from energymodel.emissions import grid_factor
from energymodel.errors import InputError
from energymodel.quantities import convert
from energymodel.scenario.fields import Record, refuse, shown

_RATE = re.compile(r"(\d+(?:\.\d+)?)\s*(kg|g|lb)\s*/\s*(kWh|MWh)")
_UNIT = re.compile(r"(kg|g|lb)/(kWh|MWh)")
_UNIT_WORDS = '"kg/kWh", "g/kWh" or "lb/MWh"'
_RATE_WORDS = 'an eGRID subregion such as "SRVC", "US", or a rate such as "0.37 kg/kWh"'
HIGHEST_KG_PER_KWH = 3.0
"""No plant emits more than about half of it."""


def kg_per_kwh(unit: str) -> float:
    """Size of a unit of emission rates.

    Parameters
    ----------
    unit
        Mass over energy, such as "lb/MWh".

    Returns
    -------
    float
        kg per kWh.

    Examples
    --------
    >>> kg_per_kwh("g/kWh")
    0.001
    """
    mass, _, energy = unit.partition("/")
    return convert(1.0, mass, "kg") * convert(1.0, "kWh", energy)


def _grid_rate(text: str) -> str:
    match = _RATE.fullmatch(text)
    if match is None:
        raise refuse(f"{shown(text)} is not an emission rate", expected=_RATE_WORDS)
    number, mass, energy = match.groups()
    if float(number) * kg_per_kwh(f"{mass}/{energy}") > HIGHEST_KG_PER_KWH:
        raise refuse(
            f"{shown(text)} is more than any plant emits",
            expected=f"at most {HIGHEST_KG_PER_KWH:g} kg/kWh",
            remedy="check the unit: kg or g, kWh or MWh",
        )
    return f"{number} {mass}/{energy}"


class Emissions(Record):
    """Emission factor of the electricity."""

    grid: str = Field(default="US", description=_RATE_WORDS)
    grid_loss: float = Field(default=0.0, ge=0, lt=0.5)
    hourly: str | None = Field(
        default=None, description="a CSV file of average rates, by hour or by month and hour"
    )
    hourly_unit: str | None = Field(default=None, description=f"their unit: {_UNIT_WORDS}")
    data_year: int | None = Field(
        default=None, ge=1990, le=2100, description="the year whose plants the rates describe"
    )

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

    @field_validator("hourly_unit")
    @classmethod
    def _unit(cls, value: str | None) -> str | None:
        if value is None:
            return None
        text = value.replace(" ", "")
        if _UNIT.fullmatch(text) is None:
            raise refuse(f"{shown(value)} is not a unit of emission rates", expected=_UNIT_WORDS)
        return text

    @model_validator(mode="after")
    def _one_way(self) -> Emissions:
        if self.hourly is None and (self.hourly_unit is not None or self.data_year is not None):
            raise refuse(
                "hourly_unit or data_year without a file of rates",
                expected='hourly = "rates.csv" beside them',
            )
        if self.hourly is not None and self.hourly_unit is None:
            raise refuse("the rates by hour have no unit", expected=f"hourly_unit = {_UNIT_WORDS}")
        if self.hourly is not None and "grid" in self.model_fields_set:
            raise refuse(
                "grid stands beside hourly",
                expected="one of them: a yearly factor, or a file of factors by hour",
            )
        return self
