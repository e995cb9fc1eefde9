"""Fuel that is delivered: oil, propane, wood, pellets, by what is used and how it is brought."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from energymodel.arrays import Array
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.tariffs.bill_line import BillLine, LineKind, priced_line
from energymodel.tariffs.flows import columns_of
from energymodel.tariffs.sale_unit import SaleUnit

_MONTHS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveredFuel:
    """Terms of a supplier.

    Parameters
    ----------
    name
        As on the invoice.
    unit
        Unit of sale with the energy in it.
    prices
        Money per unit, one for the whole year or twelve by the month of use.
    usual_delivery
        Units brought at once.
    least_delivery
        The supplier brings no less than this, units.
    delivery_fee
        Money per delivery.
    rent_per_year
        Money per year for tank or service, due as long as the account is open.
    tax_percent
        On everything above it, %.

    Raises
    ------
    ManyFaultsError
        With everything that contradicts itself.
    """

    name: str
    unit: SaleUnit
    prices: tuple[float, ...]
    usual_delivery: float
    least_delivery: float = 0.0
    delivery_fee: float = 0.0
    rent_per_year: float = 0.0
    tax_percent: float = 0.0

    def __post_init__(self) -> None:
        faults: list[EnergyModelError] = []
        if len(self.prices) not in (1, _MONTHS) or not all(map(math.isfinite, self.prices)):
            faults.append(InputError("the price", expected="one number, or twelve by month"))
        if not self.usual_delivery > 0:
            faults.append(InputError("a delivery of nothing", expected="units brought at once"))
        if self.usual_delivery < self.least_delivery:
            faults.append(
                InputError(
                    f"deliveries of {self.usual_delivery:g} {self.unit.name}",
                    expected=f"at least {self.least_delivery:g}: the supplier brings no less",
                )
            )
        if faults:
            raise ManyFaultsError(faults, where=self.name)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DeliveredBill:
    """Cost of delivered fuel by month of use.

    Parameters
    ----------
    lines
        Shape (12,) or (12, columns) each; they add up to the total.
    units
        Use in the unit of sale, same shape.
    """

    lines: tuple[BillLine, ...]
    units: Array

    @property
    def total_by_month(self) -> Array:
        """Money of each month of use, shape (12,) or (12, columns)."""
        total = np.zeros_like(self.units)
        for line in self.lines:
            total += line.amount
        return total

    @property
    def total(self) -> Array:
        """Money of the year, shape () or (columns,)."""
        return np.asarray(self.total_by_month.sum(axis=0))


def bill_deliveries(fuel: DeliveredFuel, use_kwh: ArrayLike) -> DeliveredBill:
    """Cost of a year's delivered fuel.

    Parameters
    ----------
    fuel
        Terms of the supplier.
    use_kwh
        Use of each month, kWh, higher heating value, shape (12,) or (12, columns).

    Returns
    -------
    DeliveredBill
        Deliveries are the mean number, use over usual delivery, not a whole one: over the years
        that is what is paid.

    Raises
    ------
    InputError
        If there are not twelve months.

    Examples
    --------
    >>> from energymodel.tariffs.sale_unit import sale_unit
    >>> oil = DeliveredFuel(
    ...     name="oil",
    ...     unit=sale_unit("gal", factor="138500 Btu/gal"),
    ...     prices=(2.59,),
    ...     usual_delivery=150.0,
    ... )
    >>> year = np.full(12, 570.0 / 12 * oil.unit.kwh)
    >>> round(float(bill_deliveries(oil, year).total), 2)
    1476.3
    """
    units = columns_of(use_kwh, _MONTHS, "the use by month") / fuel.unit.kwh
    prices = np.broadcast_to(np.array(fuel.prices)[:, None], (_MONTHS, 1))
    one = fuel.prices[0] if len(set(fuel.prices)) == 1 else None
    lines = [
        BillLine(
            charge=fuel.name,
            kind=LineKind.ENERGY,
            unit=fuel.unit.name,
            quantity=units,
            price=one,
            amount=units * prices,
        )
    ]
    lines += _charges(fuel, units)
    if fuel.tax_percent:
        subtotal = np.sum([line.amount for line in lines], axis=0)
        share = fuel.tax_percent / 100.0
        lines.append(priced_line("Tax", LineKind.PERCENT, subtotal, price=share, unit=""))
    if np.ndim(use_kwh) > 1:
        return DeliveredBill(lines=tuple(lines), units=units)
    return DeliveredBill(lines=tuple(_single(line) for line in lines), units=units[:, 0])


def _charges(fuel: DeliveredFuel, units: Array) -> list[BillLine]:
    found = []
    if fuel.delivery_fee:
        deliveries = units / fuel.usual_delivery
        found.append(
            priced_line(
                "Delivery",
                LineKind.CUSTOMER,
                deliveries,
                price=fuel.delivery_fee,
                unit="deliveries",
            )
        )
    if fuel.rent_per_year:
        years = np.full_like(units, 1.0 / _MONTHS)
        found.append(
            priced_line(
                "Tank and service", LineKind.CUSTOMER, years, price=fuel.rent_per_year, unit="years"
            )
        )
    return found


def _single(line: BillLine) -> BillLine:
    return BillLine(
        charge=line.charge,
        part=line.part,
        kind=line.kind,
        unit=line.unit,
        quantity=line.quantity[:, 0],
        price=line.price,
        amount=line.amount[:, 0],
    )
