"""Fuels and electricity as they are sold: units of sale, heat contents, price per kWh.

A price is a number and a unit of sale; the unit is never guessed from the size of the number.
Heat contents are higher heating values.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from energymodel.datafiles import read_table
from energymodel.economics.fuel_units import SaleUnit, check_carrier, find_sale_unit, sale_units
from energymodel.errors import InputError
from energymodel.notices import Notice, UsedDefault
from energymodel.quantities import Dimension, convert, read_quantity
from energymodel.units import USUAL_THERM_PER_CCF

_BTU = "Btu"
_FAR_FROM_LISTED = 0.25
_IMPOSSIBLE_RATIO = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedHeatContent:
    """A heat content from the shipped table.

    Parameters
    ----------
    btu
        Higher heating value of one `per`, Btu.
    per
        Physical unit.
    edition
        Short name of the edition.
    source
        Document and how it was seen.
    is_default
        Taken where the user gives none.
    """

    btu: float
    per: str
    edition: str
    source: str
    is_default: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatContent:
    """Energy in one unit of sale.

    Parameters
    ----------
    unit
        The unit of sale.
    kwh_per_unit
        Higher heating value of one unit, kWh.
    used_default
        What was taken from the table because the user gave nothing; None otherwise.
    notices
        What looks odd about a heat content that the user gave.
    """

    unit: SaleUnit
    kwh_per_unit: float
    used_default: UsedDefault | None = None
    notices: tuple[Notice, ...] = ()

    def energy_kwh(self, amount: float) -> float:
        """Energy of an amount in the unit of sale.

        Parameters
        ----------
        amount
            Number of units of sale.

        Returns
        -------
        float
            kWh, higher heating value.
        """
        return amount * self.kwh_per_unit

    def amount(self, energy_kwh: float) -> float:
        """Amount in the unit of sale that holds an energy.

        Parameters
        ----------
        energy_kwh
            kWh, higher heating value.

        Returns
        -------
        float
            Number of units of sale.
        """
        return energy_kwh / self.kwh_per_unit


def listed_heat_contents(carrier: str) -> tuple[ListedHeatContent, ...]:
    """Heat contents of a carrier in the shipped table, all editions.

    Parameters
    ----------
    carrier
        Name of the carrier.

    Returns
    -------
    tuple of ListedHeatContent
        Empty for electricity, whose unit is an energy.
    """
    check_carrier(carrier)
    return tuple(
        ListedHeatContent(
            btu=float(row["btu"]),
            per=row["per"],
            edition=row["edition"],
            source=row["source"],
            is_default=row["default"] == "yes",
        )
        for row in read_table("fuels.csv")
        if row["carrier"] == carrier
    )


def heat_content(
    carrier: str, per: str, *, given: str | None = None, where: str = ""
) -> HeatContent:
    """Energy in one unit of sale, from the user's figure or from the table.

    Parameters
    ----------
    carrier
        Name of the carrier.
    per
        Unit of sale.
    given
        Heat content with its unit, such as "91,500 Btu/gal" or "1.037 therm/ccf".
    where
        Place to name in an error.

    Returns
    -------
    HeatContent
        With the default that was used, if one was.

    Raises
    ------
    InputError
        If the unit is not known, a heat content is needed and none is listed for it, or the
        given one is not a heat content for that unit or is far from any such fuel.

    Examples
    --------
    >>> oil = heat_content("heating oil", "gal", given="138,690 Btu/gal")
    >>> round(oil.kwh_per_unit, 3)
    40.646
    >>> gas = heat_content("natural gas", "ccf")
    >>> gas.used_default.value
    '1,037 Btu/cubic_foot, edition EIA 2019'
    """
    unit = find_sale_unit(carrier, per, where=where)
    fixed = unit.fixed_kwh
    if fixed is not None:
        if given is not None:
            raise InputError(
                f"a heat content ({given}) stands beside a price per {unit.name}, which is an "
                "energy already",
                where=where,
                remedy="leave the heat content out, or price by volume or mass",
            )
        return HeatContent(unit=unit, kwh_per_unit=fixed)
    if given is None:
        return _from_table(unit, where)
    kwh = read_quantity(given, _dimension(unit), where=where)
    return HeatContent(unit=unit, kwh_per_unit=kwh, notices=_plausible(unit, kwh, given, where))


def _dimension(unit: SaleUnit) -> Dimension:
    listed = [f"{entry.btu:,.0f} Btu/{entry.per}" for entry in listed_heat_contents(unit.carrier)]
    return Dimension(
        noun="heat content",
        unit=f"kWh/{unit.physical_unit}",
        examples=(listed[0] if listed else f"10 kWh/{unit.physical_unit}",),
    )


def _listed_kwh(unit: SaleUnit, entry: ListedHeatContent) -> float | None:
    try:
        return convert(entry.btu, f"{_BTU}/{entry.per}", f"kWh/{unit.physical_unit}")
    except InputError:
        return None


def _from_table(unit: SaleUnit, where: str) -> HeatContent:
    for entry in listed_heat_contents(unit.carrier):
        kwh = _listed_kwh(unit, entry)
        if entry.is_default and kwh is not None:
            default = UsedDefault(
                name=f"heat content of {unit.carrier}",
                value=f"{entry.btu:,.0f} Btu/{entry.per}, edition {entry.edition}",
                source=entry.source,
            )
            return HeatContent(unit=unit, kwh_per_unit=kwh, used_default=default)
    raise InputError(
        f"a price of {unit.carrier} per {unit.name} needs a heat content, and none is listed",
        where=where,
        expected=f'heat_content, for example "10 kWh/{unit.physical_unit}"',
        remedy="ask the supplier, or price in another unit: "
        + ", ".join(name for name in sale_units(unit.carrier) if name != unit.name),
    )


def _plausible(unit: SaleUnit, kwh: float, given: str, where: str) -> tuple[Notice, ...]:
    if not (math.isfinite(kwh) and kwh > 0):
        raise InputError(f"the heat content {given!r} is not above zero", where=where)
    listed = [_listed_kwh(unit, entry) for entry in listed_heat_contents(unit.carrier)]
    known = [value for value in listed if value is not None]
    if not known:
        return ()
    low, high = min(known), max(known)
    if not low / _IMPOSSIBLE_RATIO < kwh < high * _IMPOSSIBLE_RATIO:
        raise InputError(
            f"the heat content {given!r} cannot be that of {unit.carrier}",
            where=where,
            expected=f"near {low:.4g} to {high:.4g} kWh per {unit.name}",
            remedy="check the unit: Btu or kBtu, volume or mass, kWh or MJ",
        )
    return _odd(unit, kwh, low=low, high=high)


def _odd(unit: SaleUnit, kwh: float, *, low: float, high: float) -> tuple[Notice, ...]:
    if unit.carrier == "natural gas":
        therm = convert(kwh, f"kWh/{unit.physical_unit}", "therm/ccf")
        least, most = USUAL_THERM_PER_CCF
        text = f"{therm:.3g} therm per ccf lies outside the usual {least} to {most}"
        odd = not least <= therm <= most
    else:
        text = f"{kwh:.4g} kWh per {unit.name} is far from the listed {low:.4g} to {high:.4g}"
        odd = not low * (1 - _FAR_FROM_LISTED) <= kwh <= high * (1 + _FAR_FROM_LISTED)
    check = f"{unit.carrier}: {text}; check it against the bill."
    return (Notice(topic="heat content", text=check),) if odd else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SalePrice:
    """A price as it is asked: money per unit of sale.

    Parameters
    ----------
    price
        Money per unit of sale, >= 0.
    per
        Unit of sale; never inferred.
    carrier
        Name of the carrier.
    heat_content
        Heat content with its unit, such as "91,500 Btu/gal"; None: from the table where the
        unit is a volume or mass.
    where
        Place to name in an error.

    Examples
    --------
    >>> propane = SalePrice(price=2.40, per="gal", carrier="propane", heat_content="91,500 Btu/gal")
    >>> round(propane.price_per_kwh, 5)
    0.0895
    """

    price: float
    per: str
    carrier: str
    heat_content: str | None = None
    where: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.price) and self.price >= 0):
            raise InputError(
                f"the price of {self.carrier} is {self.price}",
                where=self.where,
                expected="0 or more",
            )
        self.content()

    def content(self) -> HeatContent:
        """Energy in one unit of sale.

        Returns
        -------
        HeatContent
            With the default that was used and what looks odd.
        """
        return heat_content(self.carrier, self.per, given=self.heat_content, where=self.where)

    @property
    def price_per_kwh(self) -> float:
        """Money per kWh of the carrier, higher heating value."""
        return self.price / self.content().kwh_per_unit

    @property
    def used_default(self) -> UsedDefault | None:
        """The heat content taken from the table, if one was."""
        return self.content().used_default

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What looks odd about the heat content."""
        return self.content().notices
