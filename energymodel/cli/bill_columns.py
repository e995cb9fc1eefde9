"""Columns of a table of bills: sums of printed lines, which add up to the printed totals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from energymodel.tariffs.bill import Bill
from energymodel.tariffs.bill_line import LineKind
from energymodel.tariffs.printed_bill import PrintedBill, rounded

ROUNDING = "rounding"
_WHOLE, _HUNDREDTH = Decimal(1), Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class BillColumns:
    """Amounts of several bills by kind of line.

    Parameters
    ----------
    heads
        Kinds of lines that any bill has; with a column of roundings where the tariff rounds
        totals alone.
    use
        Use of each bill in the tariff's unit, as it is shown.
    amounts
        Money of each bill, one tuple in the order of the heads.
    totals
        Printed total of each bill; the amounts of a bill add up to it.
    """

    heads: tuple[str, ...]
    use: tuple[Decimal, ...]
    amounts: tuple[tuple[Decimal, ...], ...]
    totals: tuple[Decimal, ...]

    @property
    def all_use(self) -> Decimal:
        """Sum of the uses shown."""
        return sum(self.use, Decimal(0))

    @property
    def all_amounts(self) -> tuple[Decimal, ...]:
        """Sum of each column shown."""
        return tuple(sum(column, Decimal(0)) for column in zip(*self.amounts, strict=True))

    @property
    def all_totals(self) -> Decimal:
        """Sum of the totals shown."""
        return sum(self.totals, Decimal(0))


def bill_columns(bill: Bill, printed: Sequence[PrintedBill]) -> BillColumns:
    """Add the printed lines of each bill up by kind.

    Parameters
    ----------
    bill
        Unrounded.
    printed
        The same as printed.

    Returns
    -------
    BillColumns
        Every row and every column adds up as shown.
    """
    decimals = bill.tariff.rounding.decimals
    sums = [
        {kind: rounded(amount, decimals) for kind, amount in _by_kind(bill, one).items()}
        for one in printed
    ]
    rest = [
        one.total - sum(by_kind.values(), Decimal(0))
        for one, by_kind in zip(printed, sums, strict=True)
    ]
    kinds = [kind for kind in LineKind if any(by_kind.get(kind) for by_kind in sums)]
    with_rest = any(rest)
    amounts = [
        (*(by_kind.get(kind, Decimal(0)) for kind in kinds), *((left,) if with_rest else ()))
        for by_kind, left in zip(sums, rest, strict=True)
    ]
    return BillColumns(
        heads=(*(kind.value for kind in kinds), *((ROUNDING,) if with_rest else ())),
        use=_use(bill),
        amounts=tuple(amounts),
        totals=tuple(one.total for one in printed),
    )


def _by_kind(bill: Bill, one: PrintedBill) -> Mapping[LineKind, Decimal]:
    """Add printed lines up; they are those of the bill in the same order, empty ones left out."""
    sums: dict[LineKind, Decimal] = {}
    lines = iter(bill.lines)
    for printed in one.lines:
        line = next(
            line for line in lines if (line.charge, line.label) == (printed.charge, printed.label)
        )
        sums[line.kind] = sums.get(line.kind, Decimal(0)) + printed.amount
    return sums


def _use(bill: Bill) -> tuple[Decimal, ...]:
    use = [Decimal(repr(float(kwh) / bill.tariff.unit.kwh)) for kwh in bill.energy_kwh]
    noise = Decimal("1e-6")
    whole = all(abs(one - one.quantize(_WHOLE)) < noise for one in use)
    return tuple(one.quantize(_WHOLE if whole else _HUNDREDTH) for one in use)
