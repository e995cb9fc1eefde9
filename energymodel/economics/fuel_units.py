"""Units in which electricity and fuels are sold."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from energymodel.datafiles import read_table
from energymodel.errors import InputError
from energymodel.quantities import convert


@dataclass(frozen=True, slots=True, kw_only=True)
class SaleUnit:
    """A unit in which a carrier is sold.

    Parameters
    ----------
    carrier
        "electricity", "natural gas", "propane", "heating oil", "kerosene", "wood" or "pellets".
    name
        As printed: "therm", "gallon", ...
    physical_unit
        Its name in the package's list of units.
    """

    carrier: str
    name: str
    physical_unit: str

    @property
    def fixed_kwh(self) -> float | None:
        """Energy of one unit where the unit is itself an energy, kWh; None: volume or mass."""
        return _kwh_or_none(self.physical_unit)


@cache
def _kwh_or_none(physical_unit: str) -> float | None:
    try:
        return convert(1.0, physical_unit, "kWh")
    except InputError:
        return None


def carriers() -> tuple[str, ...]:
    """Names of the carriers that can be priced.

    Returns
    -------
    tuple of str
        In the order of the table.

    Examples
    --------
    >>> carriers()[:3]
    ('electricity', 'natural gas', 'propane')
    """
    return tuple(dict.fromkeys(row["carrier"] for row in read_table("fuel_units.csv")))


def sale_units(carrier: str) -> tuple[str, ...]:
    """Units in which a carrier may be priced.

    Parameters
    ----------
    carrier
        Name of the carrier.

    Returns
    -------
    tuple of str
        As printed, usual ones first.

    Raises
    ------
    InputError
        If the carrier is not known.

    Examples
    --------
    >>> sale_units("kerosene")
    ('gallon', 'litre', 'kg', 'kWh', 'MMBtu', 'GJ')
    """
    check_carrier(carrier)
    return tuple(row["unit"] for row in read_table("fuel_units.csv") if row["carrier"] == carrier)


def check_carrier(carrier: str, *, where: str = "") -> None:
    """Refuse a carrier that is not in the table.

    Parameters
    ----------
    carrier
        Name of the carrier.
    where
        Place to name in an error.

    Raises
    ------
    InputError
        With the nearest spelling.
    """
    known = carriers()
    if carrier not in known:
        near = get_close_matches(str(carrier), known, n=1)
        raise InputError(
            f"the carrier {carrier!r} is not known",
            where=where,
            expected="one of " + ", ".join(known),
            remedy=f'did you mean "{near[0]}"?' if near else "",
        )


def find_sale_unit(carrier: str, per: str, *, where: str = "") -> SaleUnit:
    """Find a unit of sale by any of its spellings.

    Parameters
    ----------
    carrier
        Name of the carrier.
    per
        Unit as the user wrote it.
    where
        Place to name in an error.

    Returns
    -------
    SaleUnit
        The unit.

    Raises
    ------
    InputError
        If there is no unit, it is a bare "ton", or the carrier is not sold in it.

    Examples
    --------
    >>> find_sale_unit("propane", "gal").name
    'gallon'
    """
    check_carrier(carrier, where=where)
    expected = f"{carrier} priced per " + ", ".join(sale_units(carrier))
    wanted = per.strip().lower() if isinstance(per, str) else ""
    if not wanted:
        raise InputError(
            f"the price of {carrier} has no unit of sale", where=where, expected=expected
        )
    for row in read_table("fuel_units.csv"):
        spellings = (row["unit"].lower(), *row["spellings"].split(";"))
        if row["carrier"] == carrier and wanted in spellings:
            return SaleUnit(carrier=carrier, name=row["unit"], physical_unit=row["physical_unit"])
    raise InputError(
        f"{carrier} is not sold per {per!r}",
        where=where,
        expected=expected,
        remedy=_unit_remedy(wanted),
    )


def _unit_remedy(wanted: str) -> str:
    if wanted in {"ton", "tons"}:
        return 'say which ton: "short_ton" (2000 lb) or "tonne" (1000 kg)'
    return ""
