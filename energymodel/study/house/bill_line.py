"""One line of a bill against the readings, so that a wrong unit shows."""

from __future__ import annotations

import math
from dataclasses import dataclass

from energymodel.economics.fuels import HeatContent
from energymodel.errors import InputError
from energymodel.quantities import ENERGY, read_quantity

AGREES = 0.02
"""Difference between readings and bill that rounding explains (our choice)."""
_NEAR = 0.06
_CAUSES = {
    1000.0: "a unit 1000 times larger or smaller (Wh, kWh, MWh; ft3, Mcf)",
    100.0: "cubic feet against hundreds of them, or cents against whole units",
    29.3: "therm against kWh",
    11.0: "cubic metres of gas against kWh",
    10.0: "Mcf against ccf, or therm against MMBtu",
    3.6: "kWh against MJ",
    3.412: "kWh against kBtu",
    2.83: "ccf against cubic metres",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitCheck:
    """Readings that agree with a bill line.

    Parameters
    ----------
    ratio
        Energy of the readings over that of the bill.
    """

    ratio: float


def check_bill_line(amount: float, content: HeatContent, printed: str) -> UnitCheck:
    """Confirm the unit of readings against the energy that one bill prints.

    Parameters
    ----------
    amount
        Amount of the readings over the period of the bill.
    content
        Unit and heat content under which the readings are taken.
    printed
        Energy on the bill with its unit, such as "72 kWh" or "31 therm".

    Returns
    -------
    UnitCheck
        Where they agree within 2 %.

    Raises
    ------
    InputError
        If they differ; the message names the confusion of units that fits.

    Examples
    --------
    >>> from energymodel.economics.fuels import heat_content
    >>> gas = heat_content("natural gas", "ccf", given="1.037 therm/ccf")
    >>> round(check_bill_line(30.0, gas, "31.1 therm").ratio, 3)
    1.0
    """
    billed_kwh = read_quantity(printed, ENERGY, where="the bill line")
    read_kwh = content.energy_kwh(amount)
    if not (billed_kwh > 0 and read_kwh > 0):
        raise InputError(
            f"a bill line of {printed} for {amount:g} {content.unit.name}", expected="above zero"
        )
    ratio = read_kwh / billed_kwh
    if abs(ratio - 1.0) <= AGREES:
        return UnitCheck(ratio=ratio)
    raise InputError(
        f"{amount:g} {content.unit.name} are {read_kwh:.0f} kWh, but the bill prints {printed} "
        f"({billed_kwh:.0f} kWh): {ratio:.3g} times as much" + _cause(ratio),
        expected=f"agreement within {AGREES:.0%}",
        remedy="take unit and heat content (billing factor) from the bill",
    )


def _cause(ratio: float) -> str:
    size = max(ratio, 1.0 / ratio)
    if size <= 1.15:
        return "; the heat content or billing factor differs (ccf against therm, for instance)"
    for factor, words in _CAUSES.items():
        if abs(math.log(size / factor)) <= _NEAR:
            return f"; that looks like {words}"
    return ""
