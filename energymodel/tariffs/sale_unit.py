"""The unit in which a tariff counts energy, and the energy in it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.quantities import Dimension, convert, read_quantity
from energymodel.units import USUAL_THERM_PER_CCF

_POSSIBLE_THERM_PER_CCF = (0.3, 3.0)
_GAS_VOLUMES = ("ccf", "Mcf", "ft3", "m3")
_EXAMPLES = {
    "ccf": "1.037 therm/ccf",
    "Mcf": "10.37 therm/Mcf",
    "ft3": "1037 Btu/ft3",
    "m3": "10.7 kWh/m3",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SaleUnit:
    """Unit of use on the bill.

    Parameters
    ----------
    name
        "kWh", "therm", "ccf", "m3", "gal", ...
    kwh
        Energy in one unit, kWh, higher heating value.
    factor
        The billing factor as given, such as "1.037 therm/ccf"; empty where the unit is an energy.
    notices
        What looks odd about the factor.
    """

    name: str = "kWh"
    kwh: float = 1.0
    factor: str = ""
    notices: tuple[Notice, ...] = ()

    def amount(self, energy_kwh: float) -> float:
        """Use in this unit.

        Parameters
        ----------
        energy_kwh
            kWh, higher heating value.

        Returns
        -------
        float
            Number of units.
        """
        return energy_kwh / self.kwh


def sale_unit(name: str, *, factor: str = "", where: str = "") -> SaleUnit:
    """Make a unit of sale.

    Parameters
    ----------
    name
        Unit as on the bill.
    factor
        Energy in one unit, for volumes: the billing factor on the bill, "1.037 therm/ccf". It
        varies with heat content, pressure and altitude, so no default is taken.
    where
        Place to name in an error.

    Returns
    -------
    SaleUnit
        With a notice if the factor is unusual for natural gas.

    Raises
    ------
    InputError
        If the unit is not known, a volume has no factor, an energy has one, or the factor is
        impossible.

    Examples
    --------
    >>> round(sale_unit("therm").kwh, 4)
    29.3071
    >>> round(sale_unit("ccf", factor="1.037 therm/ccf").kwh, 3)
    30.391
    """
    fixed = _energy_or_none(name)
    if fixed is not None and factor:
        raise InputError(
            f"a billing factor ({factor}) stands beside the unit {name}, which is an energy",
            where=where,
            remedy="leave the factor out, or bill by volume",
        )
    if fixed is not None:
        return SaleUnit(name=name, kwh=fixed)
    example = _EXAMPLES.get(name, f"10 kWh/{name}")
    if not factor:
        raise InputError(
            f"use is billed per {name}, and the energy in it is not given",
            where=where,
            expected=f'the billing factor printed on the bill, such as "{example}"',
        )
    kwh = read_quantity(
        factor,
        Dimension(noun="billing factor", unit=f"kWh/{name}", examples=(example,)),
        where=where,
    )
    if not (math.isfinite(kwh) and kwh > 0):
        raise InputError(f"the billing factor {factor!r} is not above zero", where=where)
    return SaleUnit(name=name, kwh=kwh, factor=factor, notices=_plausible(name, kwh, where))


def _energy_or_none(name: str) -> float | None:
    try:
        return convert(1.0, name, "kWh")
    except InputError:
        return None


def _plausible(name: str, kwh: float, where: str) -> tuple[Notice, ...]:
    """Gas holds about 1 therm per ccf everywhere; liquids and masses are not judged here."""
    if name not in _GAS_VOLUMES:
        return ()
    therm_per_ccf = convert(kwh, f"kWh/{name}", "therm/ccf")
    low, high = _POSSIBLE_THERM_PER_CCF
    if not low <= therm_per_ccf <= high:
        raise InputError(
            f"{therm_per_ccf:.3g} therm per ccf cannot be natural gas",
            where=where,
            expected=f"a billing factor such as {_EXAMPLES[name]}",
            remedy="check the unit: ccf or Mcf, therm or kWh",
        )
    low, high = USUAL_THERM_PER_CCF
    if low <= therm_per_ccf <= high:
        return ()
    text = (
        f"{therm_per_ccf:.3g} therm per ccf lies outside the usual {low} to {high}; check the"
        " billing factor against a line of the bill."
    )
    return (Notice(topic="billing factor", text=text),)
