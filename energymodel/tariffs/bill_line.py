"""One line of a bill, over many bills and load columns."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from energymodel.arrays import Array


class LineKind(StrEnum):
    """What a line is for, in the order of the bill."""

    CUSTOMER = "customer"
    ENERGY = "energy"
    ADJUSTMENT = "adjustment"
    DEMAND = "demand"
    REACTIVE = "reactive"
    EXPORT = "export"
    MINIMUM = "minimum"
    PERCENT = "tax or rebate"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BillLine:
    """A line of every bill.

    Parameters
    ----------
    charge
        Name of the charge it comes from.
    part
        Period and block, such as "on-peak, block 2"; may be empty.
    kind
        What it is for.
    unit
        Unit of the quantity: "kWh", "kW", "days", "months", ...
    quantity
        Shape (bills, columns), or (bills,) for a single load.
    price
        Money per unit; None where the line has no single price.
    amount
        Money, unrounded, same shape as the quantity.
    measured, billed
        Of a demand charge: kW that the meter has measured, and kW that are billed after ratchet
        and least demand, before the days of a season; same shape. None: not a demand.
    share
        Share of the days of each bill for which the line is due, shape (bills,); None: all.
    """

    charge: str
    part: str = ""
    kind: LineKind
    unit: str
    quantity: Array
    price: float | None = None
    amount: Array
    measured: Array | None = None
    billed: Array | None = None
    share: Array | None = None

    def __post_init__(self) -> None:
        for array in (self.quantity, self.amount, self.measured, self.billed, self.share):
            if array is not None:
                array.flags.writeable = False

    def of_column(self, column: int) -> BillLine:
        """Take the line of one load out of many.

        Parameters
        ----------
        column
            Number of the load.

        Returns
        -------
        BillLine
            Without the axis of columns.
        """
        return replace(
            self,
            quantity=self.quantity[:, column],
            amount=self.amount[:, column],
            measured=None if self.measured is None else self.measured[:, column],
            billed=None if self.billed is None else self.billed[:, column],
        )

    @property
    def label(self) -> str:
        """Text on the bill."""
        return f"{self.charge}, {self.part}" if self.part else self.charge


def priced_line(
    charge: str, kind: LineKind, quantity: Array, *, price: float, unit: str, part: str = ""
) -> BillLine:
    """Make a line at one price.

    Parameters
    ----------
    charge
        Name of the charge.
    kind
        What it is for.
    quantity
        Shape (bills, columns).
    price
        Money per unit.
    unit
        Of the quantity.
    part
        Period and block.

    Returns
    -------
    BillLine
        With amount = quantity x price.
    """
    return BillLine(
        charge=charge,
        part=part,
        kind=kind,
        unit=unit,
        quantity=quantity,
        price=price,
        amount=quantity * price,
    )
