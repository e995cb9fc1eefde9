"""What a load adds to a bill: bill with it less bill without it, line by line."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.tariffs.bill import Bill
from energymodel.tariffs.bill_line import LineKind


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DifferenceLine:
    """One line of the difference.

    Parameters
    ----------
    charge, part
        As on the bills.
    kind
        What it is for.
    unit
        Of the quantity.
    quantity
        With less without, shape (bills,) or (bills, columns).
    amount
        Money, with less without, same shape.
    """

    charge: str
    part: str
    kind: LineKind
    unit: str
    quantity: Array
    amount: Array

    @property
    def label(self) -> str:
        """Text of the line."""
        return f"{self.charge}, {self.part}" if self.part else self.charge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BillDifference:
    """Difference of two bills.

    Parameters
    ----------
    lines
        Lines of either bill, in their order; they add up to the total.
    energy_kwh
        Added use of each bill, kWh, shape (bills,) or (bills, columns).
    average_price_per_kwh
        Money over use of the bill WITH the load: what it would be wrong to multiply by.
    """

    lines: tuple[DifferenceLine, ...]
    energy_kwh: Array
    average_price_per_kwh: Array

    @property
    def total_by_period(self) -> Array:
        """Money added to each bill, shape (bills,) or (bills, columns)."""
        total = np.zeros_like(self.energy_kwh)
        for line in self.lines:
            total += line.amount
        return total

    @property
    def total(self) -> Array:
        """Money added to all bills, shape () or (columns,)."""
        return np.asarray(self.total_by_period.sum(axis=0))

    @property
    def marginal_price_per_kwh(self) -> Array:
        """Money added over use added; nan where no use is added."""
        energy = np.asarray(self.energy_kwh.sum(axis=0))
        nothing = np.full_like(energy, np.nan)
        price: Array = np.divide(self.total, energy, out=nothing, where=energy != 0)
        return price

    def of_kind(self, kind: LineKind) -> Array:
        """Money added in all lines of one kind.

        Parameters
        ----------
        kind
            Customer, energy, demand, ...

        Returns
        -------
        Array
            Shape (bills,) or (bills, columns).
        """
        total = np.zeros_like(self.energy_kwh)
        for line in self.lines:
            if line.kind is kind:
                total += line.amount
        return total


def difference(with_load: Bill, without_load: Bill) -> BillDifference:
    """Take one bill from another, line by line.

    Parameters
    ----------
    with_load
        Bills with the added load; the tariff may be another one.
    without_load
        Bills without it, over the same periods. A single load stands against every column.

    Returns
    -------
    BillDifference
        A line that only one bill has counts as zero on the other.

    Raises
    ------
    InputError
        If the billing periods differ.
    """
    same = np.array_equal(with_load.periods.starts, without_load.periods.starts)
    if not same or not np.array_equal(with_load.periods.ends, without_load.periods.ends):
        raise InputError(
            "the two bills have different billing periods", expected="the same dates in both"
        )
    columns = with_load.energy_kwh.ndim > 1
    return BillDifference(
        lines=tuple(_lines(with_load, without_load, columns=columns)),
        energy_kwh=with_load.energy_kwh - _as_columns(without_load.energy_kwh, columns=columns),
        average_price_per_kwh=with_load.average_price_per_kwh,
    )


def _as_columns(values: Array, *, columns: bool) -> Array:
    return values[:, None] if columns and values.ndim == 1 else values


def _lines(with_load: Bill, without_load: Bill, *, columns: bool) -> list[DifferenceLine]:
    added = {(line.charge, line.part, line.kind): line for line in with_load.lines}
    base = {(line.charge, line.part, line.kind): line for line in without_load.lines}
    found = []
    for key in dict.fromkeys((*added, *base)):
        one, other = added.get(key), base.get(key)
        quantity = amount = np.zeros_like(with_load.energy_kwh)
        if one is not None:
            quantity, amount = one.quantity, one.amount
        if other is not None:
            quantity = quantity - _as_columns(other.quantity, columns=columns)
            amount = amount - _as_columns(other.amount, columns=columns)
        charge, part, kind = key
        unit = (added.get(key) or base[key]).unit
        found.append(
            DifferenceLine(
                charge=charge, part=part, kind=kind, unit=unit, quantity=quantity, amount=amount
            )
        )
    return found
