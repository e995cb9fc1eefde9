"""Field types of scenario files: quantities with their unit, money with its period, months."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from datetime import date, time
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError

from energymodel.errors import InputError
from energymodel.quantities import (
    AIRFLOW,
    AREA,
    CONDUCTANCE,
    LENGTH,
    POWER,
    R_VALUE,
    TEMPERATURE,
    U_VALUE,
    VOLUME,
    Dimension,
    read_quantity,
)
from energymodel.scenario.later import checked_apart
from energymodel.units import btu_h_from_w, f_from_c

F_FACTOR = Dimension(
    noun="F-factor of a slab edge",
    unit="W/(m K)",
    examples=("0.73 Btu/(h ft degF)", "1.26 W/(m K)"),
)


class Record(BaseModel):
    """Base of every record of a scenario file: unknown keys are refused, types are strict."""

    model_config = ConfigDict(
        extra="forbid", strict=True, frozen=True, allow_inf_nan=False, defer_build=True
    )

    @classmethod
    def __get_pydantic_core_schema__(
        cls, source: type[BaseModel], handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Inside another record each is checked apart: only those that a file has are made."""
        return handler(source) if handler.field_name is None else checked_apart(cls)


def plain_record(record: Record, *, only_given: bool = False) -> dict[str, Any]:
    """Write a record as plain mappings, lists, numbers and texts.

    Parameters
    ----------
    record
        Any record.
    only_given
        Whether keys that were not given are left out.

    Returns
    -------
    dict
        Under the names of the file.
    """
    _finish_build(record)
    return record.model_dump(mode="json", by_alias=True, exclude_unset=only_given)


def _finish_build(value: object) -> None:
    """Build the records that no file had and that were therefore never checked."""
    if isinstance(value, Record):
        type(value).model_rebuild()
        for name in type(value).model_fields:
            _finish_build(getattr(value, name))
    elif isinstance(value, Mapping):
        _finish_build(list(value.values()))
    elif isinstance(value, list | tuple):
        for item in value:
            _finish_build(item)


def refuse(what: str, *, expected: str = "", remedy: str = "") -> PydanticCustomError:
    """Make the error that a validator of a record raises.

    Parameters
    ----------
    what, expected, remedy
        As in :class:`energymodel.errors.EnergyModelError`.

    Returns
    -------
    PydanticCustomError
        Carries the three texts to the reader of the file.
    """
    texts = {"what": what, "expected": expected, "remedy": remedy}
    return PydanticCustomError("energymodel", "{what}", texts)


_HUGE = 10**18


def shown(value: object) -> str:
    """Write a value as it stands in a TOML file.

    Parameters
    ----------
    value
        Text, number, date, list or table.

    Returns
    -------
    str
        At most 60 characters.

    Examples
    --------
    >>> shown("9.5"), shown(True), shown([1, 2]), shown({"kind": "stove"})
    ('"9.5"', 'true', 'a list', 'a table')
    """
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, date | time):
        return str(value)
    if isinstance(value, int) and abs(value) >= _HUGE:
        return "a huge number"
    text = f'"{value}"' if isinstance(value, str) else repr(value)
    text = "".join(letter if letter.isprintable() else "?" for letter in text)
    return text if len(text) <= 60 else text[:57] + "..."


def temperature_text(temperature_c: float) -> str:
    """Write a temperature in both units, for messages.

    Parameters
    ----------
    temperature_c
        degC.

    Returns
    -------
    str
        Rounded to a tenth.

    Examples
    --------
    >>> temperature_text(-9.44)
    '15 degF (-9.4 degC)'
    """
    return f"{round(f_from_c(temperature_c), 1):g} degF ({round(temperature_c, 1):g} degC)"


_NUMBER = "+-0123456789.,eE"
_UNIT = re.compile(r"[^\d\s][^\d]*(?:\d(?!\d)[^\d]*)*")
_TOWER = re.compile(r"\(\s*[+-]?\d|(?:\^|\*\*)\s*[+-]?\d\s*(?:\^|\*\*)")
_LONGEST = 60


def check_readable(text: str, *, expected: str) -> None:
    """Refuse a quantity whose unit would keep the reader of units busy for ever.

    Parameters
    ----------
    text
        Number and unit.
    expected
        For the message.

    Raises
    ------
    PydanticCustomError
        If it is long, or has numbers other than exponents of one digit in its unit.

    Examples
    --------
    >>> check_readable("0.06 Btu/(h ft^2 degF)", expected="a U-value")
    >>> check_readable("5 W**9**9**9", expected="a power")
    Traceback (most recent call last):
    pydantic_core._pydantic_core.PydanticCustomError: "5 W**9**9**9" cannot be read
    """
    unit = text.strip().lstrip(_NUMBER).strip()
    readable = not unit or (_UNIT.fullmatch(unit) and not _TOWER.search(unit))
    if len(text) > _LONGEST or not readable:
        raise refuse(f"{shown(text)} cannot be read", expected=expected)


def _wanted(dimension: Dimension) -> str:
    examples = " or ".join(f'"{example}"' for example in dimension.examples[:2])
    return f"a {dimension.noun} with its unit, such as {examples}"


def _quantity(dimension: Dimension) -> Callable[[object], float]:
    wanted = _wanted(dimension)

    def read(value: object) -> float:
        if not isinstance(value, str):
            bare = isinstance(value, int | float) and not isinstance(value, bool)
            fault = "has no unit" if bare else f"is not a {dimension.noun}"
            raise refuse(f"{shown(value)} {fault}", expected=wanted)
        check_readable(value, expected=wanted)
        try:
            number = read_quantity(value, dimension)
        except InputError as error:
            raise refuse(error.what, expected=wanted, remedy=error.remedy) from None
        if not math.isfinite(number):
            raise refuse(f"{shown(value)} is not a finite number", expected=wanted)
        return number

    return read


_MOST_W = 1e6
"""More than any room or house needs (our choice)."""
_read_power = _quantity(POWER)


def _power(value: object) -> float:
    power_w = _read_power(value)
    if power_w > _MOST_W:
        raise refuse(
            f"{shown(value)} is more than any room or house needs",
            expected=f"at most {_MOST_W / 1000.0:,.0f} kW"
            f" ({btu_h_from_w(_MOST_W) / 1000.0:,.0f} kBtu/h)",
            remedy="check the unit: Btu/h or kBtu/h, W or kW",
        )
    return power_w


_LOWEST_C, _HIGHEST_C = -90.0, 60.0
_read_temperature = _quantity(TEMPERATURE)


def _temperature(value: object) -> float:
    temperature_c = _read_temperature(value)
    if not _LOWEST_C <= temperature_c <= _HIGHEST_C:
        raise refuse(
            f"{shown(value)} is no temperature of air on earth",
            expected=f"{temperature_text(_LOWEST_C)} to {temperature_text(_HIGHEST_C)}",
        )
    return temperature_c


Temperature = Annotated[
    float, BeforeValidator(_temperature), Field(description=_wanted(TEMPERATURE))
]
Power = Annotated[float, BeforeValidator(_quantity(POWER)), Field(ge=0, description=_wanted(POWER))]
PositivePower = Annotated[float, BeforeValidator(_power), Field(gt=0, description=_wanted(POWER))]
Conductance = Annotated[
    float, BeforeValidator(_quantity(CONDUCTANCE)), Field(gt=0, description=_wanted(CONDUCTANCE))
]
UValue = Annotated[
    float, BeforeValidator(_quantity(U_VALUE)), Field(gt=0, description=_wanted(U_VALUE))
]
RValue = Annotated[
    float, BeforeValidator(_quantity(R_VALUE)), Field(gt=0, description=_wanted(R_VALUE))
]
FFactor = Annotated[
    float, BeforeValidator(_quantity(F_FACTOR)), Field(gt=0, description=_wanted(F_FACTOR))
]
Area = Annotated[float, BeforeValidator(_quantity(AREA)), Field(gt=0, description=_wanted(AREA))]
Volume = Annotated[
    float, BeforeValidator(_quantity(VOLUME)), Field(gt=0, description=_wanted(VOLUME))
]
Length = Annotated[
    float, BeforeValidator(_quantity(LENGTH)), Field(ge=0, description=_wanted(LENGTH))
]
Airflow = Annotated[
    float, BeforeValidator(_quantity(AIRFLOW)), Field(ge=0, description=_wanted(AIRFLOW))
]

_PERIOD = re.compile(r"\s*([0-9][0-9,]{0,15}(?:\.\d{1,9})?)\s*(?:per|a|/)\s*(day|month|year)\s*")
_PER_YEAR = {"day": 365.0, "month": 12.0, "year": 1.0}


def _money_per_year(value: object) -> float:
    match = _PERIOD.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise refuse(
            f"{shown(value)} is not an amount with its period",
            expected='an amount such as "12 per month", "0.40 per day" or "150 per year"',
        )
    return float(match.group(1).replace(",", "")) * _PER_YEAR[match.group(2)]


MoneyPerYear = Annotated[float, BeforeValidator(_money_per_year)]

_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip


def _month(value: object) -> int:
    name = value.strip().rstrip(".").lower() if isinstance(value, str) else ""
    found = [number for number, month in enumerate(_MONTHS, 1) if month.startswith(name)]
    if len(name) < 3 or not found:
        raise refuse(
            f"{shown(value)} is not a month", expected='month names such as "Apr" or "October"'
        )
    return found[0]


Month = Annotated[int, BeforeValidator(_month)]
Fraction = Annotated[
    float, Field(gt=0, le=1, description="a fraction above 0 and at most 1, such as 0.80")
]
