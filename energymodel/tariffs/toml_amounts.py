"""Words of a tariff file for amounts: money, limits of blocks, numbers with their unit."""

from __future__ import annotations

import re

from energymodel.errors import InputError
from energymodel.quantities import TEMPERATURE, read_quantity
from energymodel.tariffs.charges import Block, BlockPer, Per
from energymodel.units import f_from_c

_NUMBER = r"([+-]?\d[\d,]*(?:\.\d+)?(?:[eE][+-]?\d+)?)"
_MONEY = re.compile(rf"^\s*{_NUMBER}\s*(?:per|a|/)\s*(day|month|year)\s*$")
_LIMIT = re.compile(rf"^\s*{_NUMBER}\s*(\S+)\s+per\s+(month|day|kW and day|kW)\s*$")
_BASELINE = re.compile(rf"^\s*{_NUMBER}\s*x\s*baseline\s*$")
_WITH_UNIT = re.compile(rf"^\s*{_NUMBER}\s*(\S+)\s*$")


def number_text(value: float) -> str:
    """Write a number so that it is read back exactly.

    Parameters
    ----------
    value
        Finite.

    Returns
    -------
    str
        Shortest form, whole numbers without a point.

    Examples
    --------
    >>> number_text(600.0), number_text(0.1)
    ('600', '0.1')
    """
    return repr(float(value)).removesuffix(".0")


def shown_number(value: float) -> str:
    """Write a number for a reader: at most seven digits.

    Parameters
    ----------
    value
        Finite.

    Returns
    -------
    str
        Not to be read back.

    Examples
    --------
    >>> shown_number(6.705110444219039), shown_number(0.077076), shown_number(20000.0)
    ('6.70511', '0.077076', '20000')
    """
    return number_text(float(f"{value:.7g}"))


def _number(text: str) -> float:
    return float(text.replace(",", ""))


def read_money(text: str) -> tuple[float, Per]:
    """Read an amount with its time.

    Parameters
    ----------
    text
        Such as "14.00 per month".

    Returns
    -------
    tuple of float and Per
        Money and time.

    Raises
    ------
    InputError
        If the number or the time is missing.
    """
    match = _MONEY.match(text)
    if match is None:
        raise InputError(
            f'"{text}" is not an amount with its time',
            expected='"14.00 per month", "0.40 per day" or "150 per year"',
        )
    return _number(match.group(1)), Per(match.group(2))


def read_limit(text: str, unit: str) -> tuple[float, BlockPer]:
    """Read the limit of an energy block.

    Parameters
    ----------
    text
        Such as "600 kWh per month", "20 kWh per day", "200 kWh per kW" or "1.3 x baseline".
    unit
        Unit of the tariff.

    Returns
    -------
    tuple of float and BlockPer
        Limit and what it counts.

    Raises
    ------
    InputError
        If it is not a limit in the unit of the tariff.
    """
    expected = f'"600 {unit} per month", "20 {unit} per day", "200 {unit} per kW" or "1 x baseline"'
    baseline = _BASELINE.match(text)
    if baseline is not None:
        return _number(baseline.group(1)), BlockPer.BASELINE
    match = _LIMIT.match(text)
    if match is None:
        raise InputError(f'"{text}" is not the limit of a block', expected=expected)
    if match.group(2) != unit:
        raise InputError(
            f"a limit in {match.group(2)}, and the tariff counts {unit}", expected=expected
        )
    return _number(match.group(1)), BlockPer(match.group(3))


def limit_text(block: Block, unit: str) -> str:
    """Write the limit of an energy block.

    Parameters
    ----------
    block
        With a limit.
    unit
        Unit of the tariff.

    Returns
    -------
    str
        As :func:`read_limit` reads it.
    """
    number = number_text(block.up_to if block.up_to is not None else 0.0)
    if block.per is BlockPer.BASELINE:
        return f"{number} x baseline"
    return f"{number} {unit} per {block.per.value}"


def read_with_unit(text: str, unit: str) -> float:
    """Read a number in one certain unit.

    Parameters
    ----------
    text
        Such as "50 kW".
    unit
        The unit that is wanted.

    Returns
    -------
    float
        The number.

    Raises
    ------
    InputError
        If the unit is another or missing.
    """
    match = _WITH_UNIT.match(text)
    if match is None or match.group(2) != unit:
        raise InputError(f'"{text}" will not do', expected=f'a number with its unit, "50 {unit}"')
    return _number(match.group(1))


def read_temperature(text: str) -> float:
    """Read a temperature.

    Parameters
    ----------
    text
        Such as "15 degF".

    Returns
    -------
    float
        degC.
    """
    return read_quantity(text, TEMPERATURE)


def temperature_text(temperature_c: float) -> str:
    """Write a temperature so that it is read back exactly.

    Parameters
    ----------
    temperature_c
        degC.

    Returns
    -------
    str
        Whole degrees Fahrenheit where that is exact, else degrees Celsius.
    """
    fahrenheit = f"{round(f_from_c(temperature_c))} degF"
    whole_celsius = float(temperature_c).is_integer()
    if not whole_celsius and read_temperature(fahrenheit) == temperature_c:
        return fahrenheit
    return f"{number_text(temperature_c)} degC"
