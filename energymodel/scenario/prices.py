"""Prices of a scenario: flat per kilowatt-hour, or a tariff that bills every hour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from energymodel.economics.fuel_units import check_carrier, find_sale_unit
from energymodel.economics.fuels import SalePrice
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.scenario.faults import placed
from energymodel.scenario.ledger import Ledger
from energymodel.scenario.schema import Price

if TYPE_CHECKING:
    from energymodel.tariffs.tariff import Tariff

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
    per
        Unit of sale.
    kwh_per_unit
        Energy in it, kWh.
    house
        Tariff that bills every hour; then `per_kwh` is its mean price of a first kWh.
    """

    carrier: str
    per_kwh: float
    fixed_per_year: float
    other_uses: bool
    text: str
    per: str
    kwh_per_unit: float
    house: HouseTariff | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HouseTariff:
    """The tariff of the whole house, and what else runs on it.

    Parameters
    ----------
    tariff
        The record.
    other_use_kwh
        The household's other use, kWh in January to December.
    """

    tariff: Tariff
    other_use_kwh: tuple[float, ...]


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
    table: Mapping[str, Price], ledger: Ledger, *, path: Path, zone: str | None
) -> dict[str, CarrierPrice]:
    """Turn the prices of a scenario into prices per kWh, and read its tariff.

    Parameters
    ----------
    table
        By carrier, as written; an underscore stands for a space.
    ledger
        Collects the heat contents that were taken as a default.
    path
        The scenario file; tariff files count from its folder.
    zone
        Time zone of the place.

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
            if price.tariff is not None:
                prices[carrier] = _tariff(carrier, price, ledger, folder=path.parent, zone=zone)
            else:
                prices[carrier] = _price(carrier, price, ledger)
        except EnergyModelError as error:
            faults.extend(placed(error, f"price.{key}."))
    if faults:
        raise ManyFaultsError(faults)
    return prices


def _price(carrier: str, price: Price, ledger: Ledger) -> CarrierPrice:
    check_carrier(carrier)
    per, energy = price.per or "", price.energy or 0.0
    find_sale_unit(carrier, per, where="per")
    sale = SalePrice(
        price=energy,
        per=per,
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
        text=f"{energy:g} per {per}",
        per=per,
        kwh_per_unit=content.kwh_per_unit,
    )


def _tariff(
    carrier: str, price: Price, ledger: Ledger, *, folder: Path, zone: str | None
) -> CarrierPrice:
    # a flat price, the usual case, needs none of the tariffs
    from energymodel.tariffs.files import read_tariff_file  # noqa: PLC0415
    from energymodel.tariffs.hour_prices import first_unit_prices  # noqa: PLC0415
    from energymodel.tariffs.windows import WEEKDAYS, WEEKENDS  # noqa: PLC0415

    if carrier != ELECTRICITY:
        raise InputError(
            f"a tariff file for {carrier}",
            expected="a flat price with its unit of sale; tariffs are for electricity",
            remedy="energymodel bill prices a use of gas under a tariff file",
        )
    try:
        tariff, notices = read_tariff_file(folder / (price.tariff or ""), zone)
    except EnergyModelError as error:
        raise ManyFaultsError(placed(error, "tariff: ")) from None
    ledger.add_notices(notices)
    other_use = price.other_use_kwh
    if other_use is None:
        other_use = [0.0] * 12
        ledger.default(
            "the household's other use on the tariff",
            "none",
            "our choice; give other_use_kwh: blocks, minimum and demand depend on it",
        )
    week = [first_unit_prices(tariff, kind) for kind in sorted(WEEKDAYS | WEEKENDS)]
    return CarrierPrice(
        carrier=carrier,
        per_kwh=float(np.mean(week)),
        fixed_per_year=0.0,
        other_uses=True,
        text=f"by tariff: {tariff.name}",
        per="kWh",
        kwh_per_unit=1.0,
        house=HouseTariff(tariff=tariff, other_use_kwh=tuple(other_use)),
    )
