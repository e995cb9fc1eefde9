"""A bill as it is printed: decimal arithmetic, half away from zero, by the tariff's rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.tariffs.bill import Bill
from energymodel.tariffs.bill_line import BillLine, LineKind
from energymodel.tariffs.charges import MinimumBill, Per, PercentCharge
from energymodel.tariffs.tariff import RoundedWhere

_NO_KW = 1e-9
_QUANTITY_STEP = Decimal("0.000001")
"""Sums of intervals carry binary noise in the tenth digit; a meter has no such digit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedLine:
    """One printed line.

    Parameters
    ----------
    charge
        Name of the charge.
    label
        Text of the line.
    quantity
        Number of units.
    unit
        Of the quantity.
    price
        Money per unit; None where the line has no single price.
    amount
        Money; rounded where the tariff rounds each line.
    remark
        What was measured, where that is not what is billed; empty otherwise.
    """

    charge: str
    label: str
    quantity: Decimal
    unit: str
    price: Decimal | None
    amount: Decimal
    remark: str = ""

    @property
    def text(self) -> str:
        """Label with its remark."""
        return f"{self.label} ({self.remark})" if self.remark else self.label


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedBill:
    """One printed bill.

    Parameters
    ----------
    first, last
        Dates of the period, both included.
    currency
        Three-letter code.
    lines
        Lines with a quantity or an amount, in the order of the bill.
    total
        Rounded.
    """

    first: date
    last: date
    currency: str
    lines: tuple[PrintedLine, ...]
    total: Decimal


def rounded(amount: Decimal, decimals: int) -> Decimal:
    """Round half away from zero.

    Parameters
    ----------
    amount
        Money.
    decimals
        Digits after the point.

    Returns
    -------
    Decimal
        With that many digits.

    Examples
    --------
    >>> str(rounded(Decimal("26.125"), 2)), str(rounded(Decimal("-0.005"), 2))
    ('26.13', '-0.01')
    """
    return amount.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)


def print_bills(bill: Bill, *, column: int = 0) -> tuple[PrintedBill, ...]:
    """Round bills for printing.

    Parameters
    ----------
    bill
        Unrounded.
    column
        Which load, where there are several.

    Returns
    -------
    tuple of PrintedBill
        One per billing period. Percentages and minimum bills are taken of rounded lines where the
        tariff rounds each line.

    Raises
    ------
    InputError
        If there is no such column.
    """
    columns = 1 if bill.energy_kwh.ndim == 1 else bill.energy_kwh.shape[1]
    if not 0 <= column < columns:
        raise InputError(f"load column {column} of {columns}")
    shown: list[PrintedBill] = []
    for number in range(len(bill.periods)):
        shown.append(_print_one(bill, number, column, shown))
    return tuple(shown)


def _value(values: Array, number: int, column: int) -> Decimal:
    value = values[number] if values.ndim == 1 else values[number, column]
    return Decimal(repr(float(value)))


def _print_one(bill: Bill, number: int, column: int, before: Sequence[PrintedBill]) -> PrintedBill:
    rounding = bill.tariff.rounding
    each = rounding.where is RoundedWhere.EACH_LINE
    lines: list[PrintedLine] = []
    for line in bill.lines:
        printed = _line(bill, line, (number, column), (lines, before))
        amount = rounded(printed.amount, rounding.decimals) if each else printed.amount
        lines.append(
            PrintedLine(
                charge=printed.charge,
                label=printed.label,
                quantity=printed.quantity,
                unit=printed.unit,
                price=printed.price,
                amount=amount,
                remark=printed.remark,
            )
        )
    total = rounded(sum((line.amount for line in lines), Decimal(0)), rounding.decimals)
    return PrintedBill(
        first=bill.periods.starts[number].astype(object),
        last=(bill.periods.ends[number] - np.timedelta64(1, "D")).astype(object),
        currency=bill.tariff.currency,
        lines=tuple(line for line in lines if line.amount or line.quantity),
        total=total,
    )


def _line(
    bill: Bill,
    line: BillLine,
    place: tuple[int, int],
    done: tuple[Sequence[PrintedLine], Sequence[PrintedBill]],
) -> PrintedLine:
    quantity = _value(line.quantity, *place).quantize(_QUANTITY_STEP, rounding=ROUND_HALF_UP)
    quantity = quantity.normalize() + Decimal(0)
    above, before = done
    price = None if line.price is None else Decimal(repr(float(line.price)))
    charge = _charge(bill, line)
    if isinstance(charge, PercentCharge):
        price = Decimal(repr(charge.percent)) / 100
        quantity = _of(above, charge.of)
    elif isinstance(charge, MinimumBill):
        quantity = _top_up(bill, charge, place[0], (above, before))
    amount = _value(line.amount, *place) if price is None else quantity * price
    return PrintedLine(
        charge=line.charge,
        label=line.label,
        quantity=quantity,
        unit=line.unit,
        price=price,
        amount=amount,
        remark=_behind(bill, line, place),
    )


def _behind(bill: Bill, line: BillLine, place: tuple[int, int]) -> str:
    """Say what stands behind billed kW that are not simply the measured ones."""
    if line.measured is None or line.billed is None or line.share is None:
        return ""
    measured, billed = (float(_value(one, *place)) for one in (line.measured, line.billed))
    share = float(line.share[place[0]])
    lifted = billed > measured + _NO_KW
    if not lifted and share > 1.0 - _NO_KW:
        return ""
    words = [f"measured {measured:.6g} kW"]
    if share < 1.0 - _NO_KW:
        days = float(bill.periods.days[place[0]])
        words.append(f"{billed:.6g} kW billed for {share * days:.0f} of {days:.0f} days")
    return "; ".join(words)


def _charge(bill: Bill, line: BillLine) -> PercentCharge | MinimumBill | None:
    if line.kind not in {LineKind.PERCENT, LineKind.MINIMUM}:
        return None
    charges: tuple[PercentCharge | MinimumBill, ...] = (
        *bill.tariff.percents,
        *bill.tariff.minimum,
    )
    for charge in charges:
        if charge.name == line.charge:
            return charge
    raise InputError(
        f'the line "{line.charge}" stands for several meters',
        remedy="print the bill of each meter",
    )


def _of(lines: Sequence[PrintedLine], names: Sequence[str]) -> Decimal:
    return sum((line.amount for line in lines if not names or line.charge in names), Decimal(0))


def _top_up(
    bill: Bill,
    charge: MinimumBill,
    number: int,
    done: tuple[Sequence[PrintedLine], Sequence[PrintedBill]],
) -> Decimal:
    above, before = done
    tariff, periods = bill.tariff, bill.periods
    reached = _of(above, charge.of)
    if charge.per is Per.YEAR:
        if number < len(periods) - 1:
            return Decimal(0)
        names = charge.of or tuple(dict.fromkeys(line.charge for line in above))
        reached += sum((_of(one.lines, names) for one in before), Decimal(0))
        times = float(periods.calendar_shares.sum()) / 12.0
    elif charge.per is Per.DAY:
        times = float(periods.days[number])
    else:
        times = float(periods.months(tariff.monthly_amounts)[number])
    due = Decimal(repr(charge.amount)) * Decimal(repr(times)).quantize(_QUANTITY_STEP)
    return max(due - reached, Decimal(0))
