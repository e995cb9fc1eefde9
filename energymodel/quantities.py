"""Text with a unit -> SI number. The only place where units are read.

The units are a closed list in `data/units.txt`, in the definitions format of the pint library:
trade spellings, IT Btu, and no bare "ton".
"""

from __future__ import annotations

import re
import tokenize
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import TYPE_CHECKING

from energymodel.datafiles import data_file, read_table
from energymodel.errors import InputError

if TYPE_CHECKING:
    from pint import UnitRegistry

_NUMBER = re.compile(r"^\s*([+-]?(?:\d+(?:,\d{3})*|\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """One kind of quantity.

    Parameters
    ----------
    noun
        What it is, in words.
    unit
        SI unit in which numbers are kept inside the package, pint spelling.
    examples
        What a user may write, best first.
    """

    noun: str
    unit: str
    examples: tuple[str, ...]

    @property
    def with_article(self) -> str:
        """The noun behind "a" or "an"."""
        return f"{'an' if self.noun[0] in 'aeiou' else 'a'} {self.noun}"


TEMPERATURE = Dimension(noun="temperature", unit="degC", examples=("15 degF", "-9 degC"))
TEMPERATURE_DIFFERENCE = Dimension(
    noun="temperature difference", unit="K", examples=("9 degF", "5 K")
)
POWER = Dimension(noun="heat flow or power", unit="W", examples=("12 kBtu/h", "3.5 kW", "60 W"))
ENERGY = Dimension(noun="energy", unit="kWh", examples=("300 kWh", "12 therm"))
CONDUCTANCE = Dimension(
    noun="heat-loss coefficient", unit="W/K", examples=("95 Btu/(h degF)", "50 W/K")
)
U_VALUE = Dimension(
    noun="U-value", unit="W/(m**2 K)", examples=("0.06 Btu/(h ft^2 degF)", "0.35 W/(m^2 K)")
)
R_VALUE = Dimension(noun="R-value", unit="m**2 K/W", examples=("19 h ft^2 degF/Btu", "3.3 m^2 K/W"))
AREA = Dimension(noun="area", unit="m**2", examples=("240 ft2", "22 m2"))
VOLUME = Dimension(noun="volume", unit="m**3", examples=("1920 ft3", "54 m3"))
LENGTH = Dimension(noun="length", unit="m", examples=("25 ft", "7.5 m"))
AIRFLOW = Dimension(noun="air flow", unit="m**3/s", examples=("40 cfm", "70 m3/h"))


@cache
def _registry() -> UnitRegistry[float]:
    from pint import UnitRegistry  # noqa: PLC0415 - a third of a second that --help does not need

    return UnitRegistry(str(data_file("units.txt")), cache_folder=None)


def _split(text: str) -> tuple[float, str] | None:
    match = _NUMBER.match(text)
    if match is None or not any(letter.isdigit() for letter in match.group(1)):
        return None
    return float(match.group(1).replace(",", "")), match.group(2)


def _wanted(dimension: Dimension) -> str:
    return f"{dimension.with_article} with its unit, such as " + " or ".join(
        f'"{example}"' for example in dimension.examples
    )


def _remedy(unit: str) -> str:
    if unit.lower() in {"ton", "tons"}:
        return "say ton_of_refrigeration (12 kBtu/h), short_ton (2000 lb) or tonne (1000 kg)"
    near = get_close_matches(unit, dir(_registry()), n=1)
    return f'did you mean "{near[0]}"?' if near else ""


def read_quantity(text: object, dimension: Dimension, *, where: str = "") -> float:
    """Turn a quantity written with its unit into a number in the package's unit.

    Parameters
    ----------
    text
        Number and unit, for example "12 kBtu/h". A bare number is refused.
    dimension
        What kind of quantity is expected.
    where
        Place to name in an error.

    Returns
    -------
    float
        Value in `dimension.unit`.

    Raises
    ------
    InputError
        If the number or the unit is missing, the unit is unknown, or it measures something else.

    Examples
    --------
    >>> round(read_quantity("12 kBtu/h", POWER), 1)
    3516.9
    >>> round(read_quantity("0.30 Btu/(h ft^2 degF)", U_VALUE), 4)
    1.7035
    """
    if not isinstance(text, str):
        raise InputError(
            f"{text!r} is {dimension.with_article} without a unit",
            where=where,
            expected=_wanted(dimension),
        )
    parts = _split(text)
    if parts is None:
        raise InputError(f"{text!r} is not a number", where=where, expected=_wanted(dimension))
    number, unit = parts
    if not unit:
        raise InputError(f"{text!r} has no unit", where=where, expected=_wanted(dimension))
    return _convert(number, unit, dimension, where)


_UNREADABLE = (
    ValueError,
    TypeError,
    AttributeError,
    SyntaxError,
    ArithmeticError,
    tokenize.TokenError,
)


@cache
def _known() -> dict[tuple[str, str], tuple[float, float] | None]:
    """Zero and factor of the units read most: they spare pint and half a second at start-up."""
    return {
        (row["unit"], row["to"]): (float(row["zero"]), float(row["factor"]))
        if row["factor"]
        else None
        for row in read_table("unit_factors.csv")
    }


def _convert(number: float, unit: str, dimension: Dimension, where: str) -> float:
    try:
        zero_and_factor = _known()[unit, dimension.unit]
    except KeyError:
        return _by_registry(number, unit, dimension, where)
    if zero_and_factor is None:
        raise _other_kind(number, unit, dimension, where)
    zero, factor = zero_and_factor
    return (number - zero) * factor


def _other_kind(number: float, unit: str, dimension: Dimension, where: str) -> InputError:
    return InputError(
        f'"{number:g} {unit}" is not {dimension.with_article}',
        where=where,
        expected=_wanted(dimension),
    )


def _by_registry(number: float, unit: str, dimension: Dimension, where: str) -> float:
    from pint import DimensionalityError, UndefinedUnitError  # noqa: PLC0415

    registry = _registry()
    if dimension is TEMPERATURE_DIFFERENCE and unit.strip("°").lower() in {
        "f",
        "degf",
        "c",
        "degc",
    }:
        unit = "delta_degree_Fahrenheit" if "f" in unit.lower() else "kelvin"
    try:
        value = registry.Quantity(number, registry.parse_units(unit)).to(dimension.unit).magnitude
    except UndefinedUnitError:
        raise InputError(
            f"the unit {unit!r} is not known",
            where=where,
            expected=_wanted(dimension),
            remedy=_remedy(unit),
        ) from None
    except DimensionalityError:
        raise _other_kind(number, unit, dimension, where) from None
    except _UNREADABLE:
        raise InputError(
            f"the unit {unit!r} cannot be read", where=where, expected=_wanted(dimension)
        ) from None
    return float(value)


def convert(value: float, from_unit: str, to_unit: str) -> float:
    """Convert a plain number between two units of the closed list.

    Parameters
    ----------
    value
        Number in `from_unit`.
    from_unit, to_unit
        Units in pint spelling.

    Returns
    -------
    float
        Number in `to_unit`.

    Raises
    ------
    InputError
        If a unit is unknown or the two measure different things.

    Examples
    --------
    >>> round(convert(1.0, "therm", "kWh"), 4)
    29.3071
    """
    dimension = Dimension(noun="quantity", unit=to_unit, examples=(f"1 {to_unit}",))
    return _convert(value, from_unit, dimension, "")
