"""What `energymodel bill` prints."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from rich import box
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from energymodel.cli.bill_columns import bill_columns
from energymodel.cli.bill_usage import BilledUse
from energymodel.meters.power_check import UNIT_CHECK
from energymodel.notices import Notice
from energymodel.report.console import console
from energymodel.tariffs.bill import Bill
from energymodel.tariffs.difference import difference
from energymodel.tariffs.printed_bill import PrintedBill, print_bills

_FEW_NOTICES = 3


def _table(title: str = "") -> Table:
    return Table(
        title=title or None,
        title_justify="left",
        box=box.SIMPLE_HEAD,
        padding=(0, 1, 0, 0),
        pad_edge=False,
    )


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"


def print_bill(billed: BilledUse, notices: Sequence[Notice], *, lines: bool, details: bool) -> None:
    """Print bills: one itemised, several as a table.

    Parameters
    ----------
    billed
        Of the use.
    notices
        What the reader should know.
    lines
        Whether to print every line of every bill.
    details
        Whether to print all notices and defaults.
    """
    printed = print_bills(billed.bill)
    doubts = [notice for notice in notices if notice.topic == UNIT_CHECK]
    rest = [notice for notice in notices if notice.topic != UNIT_CHECK]
    # made in full before the first line is printed, so that a fault leaves no half answer
    parts: list[RenderableType] = [Text(f"CHECK THE UNIT: {one.text}\n", "bold") for one in doubts]
    if len(printed) == 1 or lines:
        parts += [_itemised(one) for one in printed]
    if len(printed) > 1:
        parts.append(_by_bill(billed.bill, printed))
    if billed.bill.energy_kwh.any():
        parts.append(_prices(billed))
    parts += _reading(billed)
    parts += _closing(billed, rest, details=details)
    out = console()
    for part in parts:
        out.print(part)


def _reading(billed: BilledUse) -> list[str]:
    report = billed.report
    lines = [f"{report.name}: {report.outcome.value}" + ("." if not report.repairs else ":")]
    lines += [f"- {repair}" for repair in report.repairs]
    if billed.stated_cost is not None:
        cost, currency = billed.stated_cost
        lines.append(
            f"The file itself states a cost of {cost:,.2f} {currency} for the same intervals; it"
            " takes no part in these bills."
        )
    return lines


def _prices(billed: BilledUse) -> str:
    tariff = billed.bill.tariff
    average = float(billed.bill.average_price_per_kwh) * tariff.unit.kwh
    added = difference(billed.more, billed.bill)
    marginal = float(added.marginal_price_per_kwh) * tariff.unit.kwh
    return (
        f"Average {average:.4f} {tariff.currency} per {tariff.unit.name}; one more"
        f" {tariff.unit.name}, spread over the hours like this use, costs {marginal:.4f}."
    )


def _closing(billed: BilledUse, notices: Sequence[Notice], *, details: bool) -> list[str]:
    shown = notices if details else notices[:_FEW_NOTICES]
    lines = [str(notice) for notice in shown]
    if details:
        return [*lines, *(f"Default: {default}" for default in billed.defaults)]
    more = [
        f"{count} {noun}{'s' * (count > 1)}"
        for count, noun in (
            (len(notices) - len(shown), "more notice"),
            (len(billed.defaults), "default"),
        )
        if count
    ]
    return [*lines, f"{' and '.join(more)}: see --details."] if more else lines


def _itemised(bill: PrintedBill) -> Table:
    table = _table(f"{bill.first} to {bill.last}")
    table.add_column("Line")
    for head in ("Quantity", "Unit", "Price", f"Amount, {bill.currency}"):
        table.add_column(head, justify="left" if head == "Unit" else "right", no_wrap=True)
    for line in bill.lines:
        table.add_row(
            Text(line.text),
            _plain(line.quantity),
            line.unit,
            "" if line.price is None else _plain(line.price),
            f"{line.amount:,f}",
        )
    table.add_row(Text("Total", style="bold"), "", "", "", f"{bill.total:,f}")
    return table


def _by_bill(bill: Bill, printed: Sequence[PrintedBill]) -> Table:
    columns = bill_columns(bill, printed)
    table = _table()
    table.add_column("Bill")
    for head in (bill.tariff.unit.name, *columns.heads, f"total, {bill.tariff.currency}"):
        table.add_column(head, justify="right")
    for one, use, amounts in zip(printed, columns.use, columns.amounts, strict=True):
        money = [f"{amount:,f}" for amount in (*amounts, one.total)]
        table.add_row(f"{one.first} to {one.last}", f"{use:,f}", *money)
    money = [f"{amount:,f}" for amount in (*columns.all_amounts, columns.all_totals)]
    table.add_row(Text("All bills", style="bold"), f"{columns.all_use:,f}", *money)
    return table
