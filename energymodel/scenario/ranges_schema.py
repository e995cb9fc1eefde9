"""Table [ranges] of a scenario: how far the inputs may lie from what the file says.

What is likely is the scenario's own number everywhere; a range only says how low and how high.
"""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, field_validator, model_validator

from energymodel.errors import InputError
from energymodel.quantities import TEMPERATURE_DIFFERENCE, read_quantity
from energymodel.scenario.fields import Record, check_readable, refuse, shown

HEAT_PUMP_LOW, HEAT_PUMP_HIGH = 0.80, 1.00
"""In-service factor of every heat pump and air conditioner alike (our choice)."""
BURNER_LOW, BURNER_HIGH = 0.95, 1.00
"""In-service factor of every burner alike (our choice)."""
RELATIVE = 0.15
"""Loads, prices and installed costs, either way (our choice)."""
WEATHER_SHIFT_K = 1.0
"""Of a single year, either way (our choice, marked as assumed)."""
PAYBACK_WITHIN_YEARS = 10.0
"""For the chance that an option is paid back (our choice)."""
MOST_YEARS = 60

_PERCENT = re.compile(r"\s*(?:\+/-|±)?\s*([+-]?\d{1,3}(?:\.\d{1,3})?)\s*%\s*")
_PERCENT_WORDS = 'a share in quotes, such as "15 %"'
_BOTH_WAYS = '"15 %" for both ways, or { low = "-10 %", high = "20 %" }'
_LOWEST, _HIGHEST = -0.9, 3.0


def _share(value: object) -> float:
    match = _PERCENT.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise refuse(f"{shown(value)} is not a share", expected=_PERCENT_WORDS)
    return float(match.group(1)) / 100.0


Share = Annotated[float, BeforeValidator(_share), Field(description=_PERCENT_WORDS)]


def _edge(value: object) -> float | str:
    if isinstance(value, str):
        _share(value)
        return value
    if isinstance(value, bool) or not isinstance(value, int | float) or not value >= 0:
        raise refuse(
            f"{shown(value)} is not an end of a price range",
            expected='a price in its unit of sale, such as 0.12, or a share such as "-15 %"',
        )
    return float(value)


PriceEnd = Annotated[float | str, BeforeValidator(_edge)]


def _difference(value: object) -> float:
    wanted = 'a temperature difference with its unit, such as "1.0 K" or "2 degF"'
    if not isinstance(value, str):
        raise refuse(f"{shown(value)} has no unit", expected=wanted)
    check_readable(value, expected=wanted)
    try:
        return read_quantity(value, TEMPERATURE_DIFFERENCE)
    except InputError as error:
        raise refuse(error.what, expected=wanted, remedy=error.remedy) from None


Difference = Annotated[
    float,
    BeforeValidator(_difference),
    Field(ge=0, le=10, description='a temperature difference such as "1.0 K"'),
]


def _both_ways(value: Any) -> Any:
    if isinstance(value, str):
        size = _share(value)
        if size < 0:
            raise refuse(f"{shown(value)} is below zero", expected=_BOTH_WAYS)
        text = value.replace("+/-", "").replace("±", "").strip()
        return {"low": f"-{text.lstrip('+')}", "high": text}
    return value


def _no_likely(value: Any) -> Any:
    if isinstance(value, dict) and "likely" in value:
        raise refuse(
            "a range with its own likely value",
            expected="low and high",
            remedy="what is likely is the scenario's own number: change it there",
        )
    return value


class FactorRange(Record):
    """Lowest and highest in-service factor; 1.00 means as rated."""

    low: float = Field(ge=0.3, le=1.2)
    high: float = Field(ge=0.3, le=1.2)

    _without_likely = model_validator(mode="before")(_no_likely)

    @model_validator(mode="after")
    def _in_order(self) -> FactorRange:
        if self.low > self.high:
            raise refuse(
                f"low = {self.low:g} lies above high = {self.high:g}",
                expected="low at or below high, such as { low = 0.80, high = 1.00 }",
            )
        return self


class RelativeRange(Record):
    """How far below and above the scenario's own number, as shares of it."""

    low: Share = Field(ge=_LOWEST, le=0)
    high: Share = Field(ge=0, le=_HIGHEST)

    _without_likely = model_validator(mode="before")(_no_likely)
    _one_text = model_validator(mode="before")(_both_ways)

    def factors(self) -> tuple[float, float]:
        """Return the range as factors on the scenario's own number.

        Returns
        -------
        low, high : float
            Such as 0.85 and 1.15.
        """
        return 1.0 + self.low, 1.0 + self.high


class PriceRange(Record):
    """Range of one price: shares of it, or prices in the unit in which it is given."""

    low: PriceEnd
    high: PriceEnd

    _without_likely = model_validator(mode="before")(_no_likely)
    _one_text = model_validator(mode="before")(_both_ways)

    @property
    def absolute(self) -> bool:
        """Whether an end is a price, not a share."""
        return not (isinstance(self.low, str) and isinstance(self.high, str))

    def factors(self, price: float | None) -> tuple[float, float]:
        """Return the range as factors on the price.

        Parameters
        ----------
        price
            The scenario's own, money per unit of sale; None under a tariff.

        Returns
        -------
        low, high : float
            Such as 0.85 and 1.15.

        Raises
        ------
        InputError
            If an end is a price and there is no flat price, or the price lies outside.
        """
        low, high = (_factor(end, price) for end in (self.low, self.high))
        if not (max(1.0 + _LOWEST, 0.0) <= low <= 1.0 <= high <= 1.0 + _HIGHEST):
            raise InputError(
                f"a range from {low:.0%} to {high:.0%} of the price",
                expected="a range that holds the scenario's own price, from"
                f" {1 + _LOWEST:.0%} to {1 + _HIGHEST:.0%} of it",
            )
        return low, high


def _factor(end: float | str, price: float | None) -> float:
    if isinstance(end, str):
        return 1.0 + _share(end)
    if not price:
        what = "tariff" if price is None else "price of zero"
        raise InputError(
            f"{end:g} as the end of the range of a {what}",
            expected=_BOTH_WAYS,
        )
    return end / price


class RangesTable(Record):
    """Ranges of the inputs, and the years whose winters count."""

    heat_pump_in_service: FactorRange | None = None
    burner_in_service: FactorRange | None = None
    load: RelativeRange | None = None
    price: dict[str, PriceRange] = Field(default_factory=dict)
    installed_cost: RelativeRange | None = None
    weather_shift: Difference | None = None
    weather_years: list[str] = Field(default_factory=list)
    payback_within: float | None = Field(default=None, gt=0, le=100, description="years")

    @field_validator("weather_years")
    @classmethod
    def _years_once(cls, years: list[str]) -> list[str]:
        twice = [year for year in dict.fromkeys(years) if years.count(year) > 1]
        if twice:
            raise refuse(f"{shown(twice[0])} is given twice", expected="each year once")
        return years

    @model_validator(mode="after")
    def _one_weather(self) -> RangesTable:
        if self.weather_shift is not None and self.weather_years:
            raise refuse(
                "weather_shift stands beside weather_years",
                expected="real years, or an assumed shift of one year",
            )
        return self
