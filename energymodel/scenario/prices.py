"""Flat prices of a scenario as price per kilowatt-hour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from energymodel.economics.fuel_units import check_carrier, find_sale_unit
from energymodel.economics.fuels import SalePrice
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.scenario.faults import placed
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.schema import Price

ELECTRICITY = "electricity"


@dataclass(frozen=True, slots=True, kw_only=True)
class CarrierPrice:
    """Price of one carrier.

    Parameters
    ----------
    carrier
        "electricity", "natural gas", ...
    per_kwh
        Price per kWh; fuels: higher heating value.
    fixed_per_year
        Standing charge per year.
    other_uses
        Whether the account stays open for other uses, so that the standing charge is paid in any
        case.
    text
        As written, for captions.
    """

    carrier: str
    per_kwh: float
    fixed_per_year: float
    other_uses: bool
    text: str
    per: str
    kwh_per_unit: float


def carrier_of(key: str) -> str:
    """Return the carrier that a price table is about.

    Parameters
    ----------
    key
        Name of the table; an underscore or a hyphen stands for a space.

    Returns
    -------
    str
        Such as "natural gas".

    Examples
    --------
    >>> carrier_of("natural_gas")
    'natural gas'
    """
    return key.replace("_", " ").replace("-", " ").strip()


def build_prices(
    table: Mapping[str, Price], ledger: Ledger, *, where: str
) -> dict[str, CarrierPrice]:
    """Turn the prices of a scenario into prices per kWh.

    Parameters
    ----------
    table
        By carrier, as written; an underscore stands for a space.
    ledger
        Collects the heat contents that were taken as a default.
    where
        Name of the file, for messages.

    Returns
    -------
    dict of CarrierPrice
        By carrier.

    Raises
    ------
    ManyFaultsError
        With every price that cannot be used.
    """
    prices: dict[str, CarrierPrice] = {}
    faults: list[EnergyModelError] = []
    for key, price in table.items():
        carrier = carrier_of(key)
        try:
            if carrier in prices:
                raise InputError(f"the price of {carrier} is given twice")
            prices[carrier] = _price(carrier, price, ledger)
        except EnergyModelError as error:
            faults.extend(placed(error, f"price.{key}."))
    if faults:
        raise ManyFaultsError(faults, where=where)
    return prices


def _price(carrier: str, price: Price, ledger: Ledger) -> CarrierPrice:
    check_carrier(carrier)
    find_sale_unit(carrier, price.per, where="per")
    sale = SalePrice(
        price=price.energy,
        per=price.per,
        carrier=carrier,
        heat_content=price.heat_content,
        where="heat_content",
    )
    content = sale.content()
    if content.used_default is not None:
        ledger.defaults.append(content.used_default)
    ledger.add_notices(content.notices)
    other_uses = price.other_uses
    if other_uses is None:
        other_uses = carrier == ELECTRICITY
        if price.fixed:
            ledger.default(
                f"standing charge of {carrier}",
                "paid in any case, not counted" if other_uses else "counted for who uses it",
                "our choice: electricity is kept; a fuel account is for heating only",
            )
    return CarrierPrice(
        carrier=carrier,
        per_kwh=sale.price_per_kwh,
        fixed_per_year=price.fixed,
        other_uses=other_uses,
        text=f"{price.energy:g} per {price.per}",
        per=price.per,
        kwh_per_unit=content.kwh_per_unit,
    )
