"""The page "Bills": what each option adds to the bills of the house, line by line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from energymodel.report.comparison.cost_lines import CostLine, LineGroup, cost_lines
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.items import Item, What
from energymodel.report.workbook.live import Term
from energymodel.report.workbook.months import MONTH_NAMES, Months
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.scenario.prices import CarrierPrice
from energymodel.study.comparison.outcome import Comparison, Outcome

_QUANTITY, _PRICE, _FIRST_MONTH = 4, 6, 7
_YEAR = _FIRST_MONTH + 12


class Part(Enum):
    """What a line under a flat price is."""

    USE = "use for a service"
    CHARGES = "charges of the account"
    OTHER_USE = "other use of the account"
    TARIFF = "line of a tariff"


@dataclass(frozen=True, slots=True, kw_only=True)
class BillRow:
    """One line of an option.

    Parameters
    ----------
    line
        What it is.
    part
        Kind; a line of a tariff follows no cell of Inputs.
    year
        Its money per year.
    """

    line: CostLine
    part: Part
    year: Term

    @property
    def account(self) -> bool:
        """Whether it is a charge or other use, under a flat price."""
        return self.part in (Part.CHARGES, Part.OTHER_USE)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bills:
    """Where the bills stand.

    Parameters
    ----------
    rows
        By name of the option.
    totals
        Cell with the money per year, by name of the option.
    """

    rows: Mapping[str, Sequence[BillRow]]
    totals: Mapping[str, str]

    def account(self, name: str, carrier: str = "", part: Part | None = None) -> list[Term]:
        """List charges and other use that follow the inputs.

        Parameters
        ----------
        name
            Of the option.
        carrier
            Of them; empty: all.
        part
            Kind; None: both.

        Returns
        -------
        list of Term
            Money per year.
        """
        return [
            row.year
            for row in self.rows[name]
            if row.account
            and carrier in ("", row.line.carrier)
            and (part is None or row.part is part)
        ]


def write_bills(book: Book, comparison: Comparison, inputs: Inputs, months: Months) -> Bills:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    inputs
        Prices.
    months
        Use by month.

    Returns
    -------
    Bills
        Cells for formulas.
    """
    page = book.page(
        "Bills",
        title="Bills of each option, line by line",
        message=_message(comparison),
        columns=list(_columns(comparison.model.scenario.content.currency)),
    )
    row = FIRST_ROW
    rows: dict[str, list[BillRow]] = {}
    totals: dict[str, str] = {}
    for outcome in comparison.outcomes:
        lines = bill_lines(outcome, comparison.model.prices)
        rows[outcome.name] = []
        for line in lines:
            rows[outcome.name].append(_write_line(page, row, (outcome, line), (inputs, months)))
            row += 1
        _write_total(page, row, outcome.name, lines)
        totals[outcome.name] = page.cell(row, _YEAR)
        row += 2
    return Bills(rows=rows, totals=totals)


def bill_lines(outcome: Outcome, prices: Mapping[str, CarrierPrice]) -> tuple[CostLine, ...]:
    """List the lines of an option, those included that cost nothing as long as energy is free.

    Parameters
    ----------
    outcome
        The option.
    prices
        By carrier.

    Returns
    -------
    tuple of CostLine
        As :func:`cost_lines` has them; the reader may enter a price where there is none.
    """
    free = {
        name: replace(price, per_kwh=1.0)
        for name, price in prices.items()
        if price.house is None and not price.per_kwh
    }
    return tuple(
        replace(line, price=0.0, by_month=np.zeros(12))
        if line.service and line.carrier in free
        else line
        for line in cost_lines(outcome, {**prices, **free})
    )


def _message(comparison: Comparison) -> str:
    if any(outcome.bills for outcome in comparison.outcomes):
        return (
            "Under a tariff: the bill of the house with the option less the bill without it, line"
            " by line; amounts are not rounded"
        )
    return "Use of each month at the prices of Inputs; amounts are not rounded"


def _columns(currency: str) -> Iterator[Column]:
    yield Column(heading="Option", form=Form.TEXT, width=34)
    yield Column(heading="Carrier", form=Form.TEXT, width=12)
    yield Column(heading="Line", form=Form.TEXT, width=38)
    yield Column(heading="Charged for", form=Form.TEXT, width=16)
    yield Column(heading="Quantity a year, in the unit beside", form=Form.ONE, width=12)
    yield Column(heading="Unit", form=Form.SET_IN, width=10)
    yield Column(heading=f"Price, {currency} per unit", form=Form.FOUR, width=10)
    for name in MONTH_NAMES:
        yield Column(heading=f"{name}, {currency}", form=Form.TWO, width=9)
    yield Column(heading=f"Year, {currency}", form=Form.TWO, width=11)


def _part(line: CostLine, inputs: Inputs) -> Part:
    if line.carrier not in inputs.price:
        return Part.TARIFF
    if line.service:
        return Part.USE
    return Part.CHARGES if line.group is LineGroup.FIXED else Part.OTHER_USE


def _write_line(
    page: Page, row: int, entry: tuple[Outcome, CostLine], sources: tuple[Inputs, Months]
) -> BillRow:
    outcome, line = entry
    part = _part(line, sources[0])
    page.put_row(row, [outcome.name, line.carrier, line.label, line.group.value])
    for column, value in enumerate(_amounts(part, outcome, line, sources), _QUANTITY):
        page.put(row, column, value)
    for month, amount in enumerate(line.by_month.tolist()):
        text = _month_text(page, (row, month), (outcome.name, line, part), sources)
        value = Formula(text=text, value=amount) if text else amount
        page.put(row, _FIRST_MONTH + month, value)
    page.put(row, _YEAR, Formula(text=_across(page, row), value=line.year))
    return BillRow(line=line, part=part, year=Term(text=page.cell(row, _YEAR), value=line.year))


def _month_text(
    page: Page,
    place: tuple[int, int],
    entry: tuple[str, CostLine, Part],
    sources: tuple[Inputs, Months],
) -> str:
    row, month = place
    name, line, part = entry
    if part is Part.TARIFF:
        return ""
    price = page.near(row, _PRICE)
    if part is not Part.USE:
        return f"={page.near(row, _QUANTITY)}/12*{price}"
    inputs, months = sources
    use = Item(what=What.USE, service=line.service, carrier=line.carrier)
    return f"={months.cell(name, month, use)}/{inputs.kwh_per_unit[line.carrier]}*{price}"


def _amounts(
    part: Part, outcome: Outcome, line: CostLine, sources: tuple[Inputs, Months]
) -> list[Value]:
    """Quantity of the year, its unit and the price; charges that end are a quantity below zero."""
    inputs, months = sources
    if part is Part.TARIFF:
        return [_counted(line), line.unit, None]
    content, price = inputs.kwh_per_unit[line.carrier], f"={inputs.price[line.carrier]}"
    if part is Part.CHARGES:
        count = 12.0 if line.year > 0 else -12.0
        charge = Formula(text=f"={inputs.standing[line.carrier]}/12", value=line.year / count)
        return [count, "month", charge]
    given = inputs.prices[line.carrier]
    paid = Formula(text=price, value=given.per_kwh * given.kwh_per_unit)
    if part is Part.USE:
        use = Item(what=What.USE, service=line.service, carrier=line.carrier)
        used = Formula(
            text=f"={months.cell(outcome.name, 12, use)}/{content}",
            value=float(line.quantity.sum()),
        )
        return [used, line.unit, paid]
    other_kwh = line.year / given.per_kwh
    other = Formula(text=f"={other_kwh:.15g}/{content}", value=other_kwh / given.kwh_per_unit)
    return [other, given.per, paid]


def _counted(line: CostLine) -> float | None:
    """Sum of a year's quantity; a demand of twelve months is no sum that means something."""
    if line.group is LineGroup.DEMAND or not line.unit:
        return None
    return float(line.quantity.sum())


def _across(page: Page, row: int) -> str:
    return f"=SUM({page.near(row, _FIRST_MONTH)}:{page.near(row, _YEAR - 1)})"


def _write_total(page: Page, row: int, name: str, lines: Sequence[CostLine]) -> None:
    page.put_row(row, [name, "", "All lines", "", None, "", None], Style.TOTAL)
    for column in range(_FIRST_MONTH, _YEAR + 1):
        month = column - _FIRST_MONTH
        amounts = [line.year if column == _YEAR else float(line.by_month[month]) for line in lines]
        value: Value = 0.0
        if lines:
            top, bottom = page.near(row - len(lines), column), page.near(row - 1, column)
            value = Formula(text=f"=SUM({top}:{bottom})", value=sum(amounts))
        page.put(row, column, value, Style.TOTAL)
