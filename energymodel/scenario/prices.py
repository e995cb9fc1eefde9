"""Prices of a scenario: flat per kilowatt-hour, or a tariff that bills every hour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from energymodel.economics.fuel_units import check_carrier, find_sale_unit
from energymodel.economics.fuels import SalePrice, heat_content
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.scenario.faults import placed
from energymodel.scenario.fields import shown
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
        Standing charge per year; under a tariff what an account without use costs, known once the
        tariff is laid on a year.
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
    other_use_kwh
        The household's other use on the account, kWh in January to December; None: not given.
    other_appliances
        What else is on the account, in words.
    exit_fee
        Due once when the account closes.
    """

    carrier: str
    per_kwh: float
    fixed_per_year: float
    other_uses: bool
    text: str
    per: str
    kwh_per_unit: float
    house: HouseTariff | None = None
    other_use_kwh: tuple[float, ...] | None = None
    other_appliances: tuple[str, ...] = ()
    exit_fee: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HouseTariff:
    """The tariff of the whole house, and what else runs on it.

    Parameters
    ----------
    tariff
        The record.
    other_use_kwh
        The household's other use, kWh in January to December; fuels by higher heating value.
    carrier
        What it bills.
    folder
        Folder of the tariff file; files that it names count from there.
    meters
        Meters of options apart from that of the house, by name of the option.
    """

    tariff: Tariff
    other_use_kwh: tuple[float, ...]
    carrier: str = ELECTRICITY
    folder: Path = Path()
    meters: Mapping[str, OwnMeter] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OwnMeter:
    """A meter of an option's own, which bills it from the first kWh.

    Parameters
    ----------
    tariff
        Its rate.
    covers
        What hangs on it: "heating", "cooling" or both, idle power of the unit included.
    folder
        Folder of the tariff file.
    """

    tariff: Tariff
    covers: frozenset[str]
    folder: Path = Path()


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
    return _account(
        CarrierPrice(
            carrier=carrier,
            per_kwh=sale.price_per_kwh,
            fixed_per_year=price.fixed,
            other_uses=False,
            text=f"{_as_on_a_bill(energy)} per {per}",
            per=per,
            kwh_per_unit=content.kwh_per_unit,
        ),
        price,
        ledger,
        has_charges=bool(price.fixed),
    )


def _account(
    made: CarrierPrice, price: Price, ledger: Ledger, *, has_charges: bool
) -> CarrierPrice:
    """Add what else is on the account and whether it stays open for it."""
    other_use_kwh = None
    if price.other_use is not None and made.carrier == ELECTRICITY:
        raise InputError("other_use of electricity", expected="other_use_kwh = [...]")
    if price.other_use is not None:
        other_use_kwh = tuple(units * made.kwh_per_unit for units in price.other_use)
    elif price.other_use_kwh is not None:
        other_use_kwh = tuple(price.other_use_kwh)
    other_uses = price.other_uses
    if other_uses is None:
        known = any(other_use_kwh or ()) or bool(price.other_appliances)
        other_uses = known or made.carrier == ELECTRICITY
        if not known and has_charges:
            ledger.default(
                f"standing charge of {made.carrier}",
                "paid in any case, not counted" if other_uses else "counted for who uses it",
                "our choice: electricity is kept; a fuel account is for heating only",
            )
    return replace(
        made,
        other_uses=other_uses,
        other_use_kwh=other_use_kwh,
        other_appliances=tuple(price.other_appliances),
        exit_fee=price.exit_fee,
    )


def _as_on_a_bill(amount: float) -> str:
    """Whole cents with both digits, else what is there."""
    return f"{amount:.2f}" if round(amount, 2) == amount else f"{amount:g}"


def _tariff(
    carrier: str, price: Price, ledger: Ledger, *, folder: Path, zone: str | None
) -> CarrierPrice:
    # a flat price, the usual case, needs none of the tariffs
    from energymodel.tariffs.files import read_tariff_file  # noqa: PLC0415
    from energymodel.tariffs.hour_prices import first_unit_prices  # noqa: PLC0415
    from energymodel.tariffs.windows import WEEKDAYS, WEEKENDS  # noqa: PLC0415

    check_carrier(carrier)
    path = folder / (price.tariff or "")
    try:
        tariff, notices = read_tariff_file(path, zone)
        check_unit(carrier, tariff)
    except EnergyModelError as error:
        raise ManyFaultsError(placed(error, "tariff: ")) from None
    ledger.add_notices((*notices, *tariff.unit.notices))
    week = [first_unit_prices(tariff, kind) for kind in sorted(WEEKDAYS | WEEKENDS)]
    made = _account(
        CarrierPrice(
            carrier=carrier,
            per_kwh=float(np.mean(week)) / tariff.unit.kwh,
            fixed_per_year=0.0,
            other_uses=False,
            text=f"by tariff: {tariff.name}",
            per=tariff.unit.name,
            kwh_per_unit=tariff.unit.kwh,
        ),
        price,
        ledger,
        has_charges=bool(tariff.fixed or tariff.minimum),
    )
    if made.other_uses and made.other_use_kwh is None:
        key = "other_use_kwh" if carrier == ELECTRICITY else "other_use"
        ledger.default(
            "the household's other use on the tariff"
            + ("" if carrier == ELECTRICITY else f" of {carrier}"),
            "none",
            f"our choice; give {key}: blocks, minimum and demand depend on it",
        )
    house = HouseTariff(
        tariff=tariff,
        other_use_kwh=made.other_use_kwh or (0.0,) * 12,
        carrier=carrier,
        folder=path.parent,
    )
    return replace(made, house=house)


def check_unit(carrier: str, tariff: Tariff) -> None:
    """Refuse a tariff in a unit in which the carrier is not sold, or with an odd heat content.

    Parameters
    ----------
    carrier
        "electricity", "natural gas", ...
    tariff
        What bills it.

    Raises
    ------
    InputError
        If the two do not fit.
    """
    unit = tariff.unit
    find_sale_unit(carrier, unit.name, where="unit")
    heat_content(carrier, unit.name, given=unit.factor or None, where="billing_factor")


def currency_faults(
    currency: str, prices: Mapping[str, CarrierPrice], meters: Mapping[str, OwnMeter]
) -> Iterator[InputError]:
    """Find tariffs whose money is not that of the scenario: no rate of exchange is known.

    Parameters
    ----------
    currency
        Of the scenario.
    prices
        By carrier.
    meters
        Meters of options apart, by name of the option.

    Yields
    ------
    InputError
        One per tariff.
    """
    found = [
        (f"price.{carrier}.tariff", price.house.tariff)
        for carrier, price in prices.items()
        if price.house is not None
    ]
    found += [(f"option {shown(name)}: meter.tariff", one.tariff) for name, one in meters.items()]
    for where, tariff in found:
        if tariff.currency != currency:
            yield InputError(
                f"the tariff {shown(tariff.name)} is in {tariff.currency}, the scenario in"
                f" {currency}",
                where=where,
                expected="one currency",
                remedy="write the same currency into both files",
            )
