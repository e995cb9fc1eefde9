"""The page "Bills": what each option adds to the bills of the house, line by line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from energymodel.report.comparison.cost_lines import CostLine, LineGroup, cost_lines
from energymodel.report.workbook.book import FIRST_ROW, Book, Page
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.items import Item, What
from energymodel.report.workbook.months import MONTH_NAMES, Months
from energymodel.study.comparison.outcome import Comparison

_QUANTITY, _PRICE, _FIRST_MONTH = 4, 6, 7
_YEAR = _FIRST_MONTH + 12
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class BillRow:
    """One line of an option.

    Parameters
    ----------
    line
        What it is.
    year
        Cell with its money per year.
    """

    line: CostLine
    year: str


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

    def sum_of(self, rows: Sequence[BillRow], value: float) -> str:
        """Write a sum of lines, if it is the number that the model has.

        Parameters
        ----------
        rows
            Lines to add.
        value
            The model's number.

        Returns
        -------
        str
            Sum of cells, without "="; empty where the lines do not add up to the number, because
            a tariff bills both services in one line.
        """
        found = sum(row.line.year for row in rows)
        if not rows or abs(found - value) > _ROUNDING * max(1.0, abs(value)):
            return ""
        return "+".join(row.year for row in rows)


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
        lines = cost_lines(outcome, comparison.model.prices)
        rows[outcome.name] = []
        for line in lines:
            _write_line(page, row, (outcome.name, line), (inputs, months))
            rows[outcome.name].append(BillRow(line=line, year=page.cell(row, _YEAR)))
            row += 1
        _write_total(page, row, outcome.name, lines)
        totals[outcome.name] = page.cell(row, _YEAR)
        row += 2
    return Bills(rows=rows, totals=totals)


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
    yield Column(heading="Unit", form=Form.TEXT, width=8)
    yield Column(heading=f"Price, {currency} per unit", form=Form.FOUR, width=10)
    for name in MONTH_NAMES:
        yield Column(heading=f"{name}, {currency}", form=Form.TWO, width=9)
    yield Column(heading=f"Year, {currency}", form=Form.TWO, width=11)


def _write_line(
    page: Page, row: int, entry: tuple[str, CostLine], sources: tuple[Inputs, Months]
) -> None:
    name, line = entry
    inputs, months = sources
    live = line.price is not None and line.carrier in inputs.price
    page.put_row(row, [name, line.carrier, line.label, line.group.value])
    page.put(row, _QUANTITY, _quantity(name, line, sources) if live else _counted(line))
    page.put(row, _QUANTITY + 1, line.unit)
    if live:
        price = f"={inputs.price[line.carrier]}"
        page.put(row, _PRICE, Formula(text=price, value=line.price or 0.0))
    use = Item(what=What.USE, service=line.service, carrier=line.carrier)
    for month, amount in enumerate(line.by_month.tolist()):
        value: Value = amount
        if live:
            used, content = months.cell(name, month, use), inputs.kwh_per_unit[line.carrier]
            text = f"={used}/{content}*{page.near(row, _PRICE)}"
            value = Formula(text=text, value=amount)
        page.put(row, _FIRST_MONTH + month, value)
    page.put(row, _YEAR, Formula(text=_across(page, row), value=line.year))


def _counted(line: CostLine) -> float | None:
    """Sum of a year's quantity; a demand of twelve months is no sum that means something."""
    if line.group is LineGroup.DEMAND or not line.unit:
        return None
    return float(line.quantity.sum())


def _quantity(name: str, line: CostLine, sources: tuple[Inputs, Months]) -> Formula:
    inputs, months = sources
    use = Item(what=What.USE, service=line.service, carrier=line.carrier)
    used = months.cell(name, 12, use)
    text = f"={used}/{inputs.kwh_per_unit[line.carrier]}"
    return Formula(text=text, value=float(line.quantity.sum()))


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
