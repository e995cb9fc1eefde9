"""The page "Months": sums of the hours by month and what they cost."""

from __future__ import annotations

import calendar
from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.report.figures.option_looks import heated_by
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.charts import ChartKind, ChartTexts, Plot, Series, add_chart
from energymodel.report.workbook.hours import Hours
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.items import (
    Item,
    What,
    item_column,
    item_numbers,
    month_items,
    serves,
)
from energymodel.report.workbook.live import Term
from energymodel.report.workbook.page import FIRST_ROW, Page, row_points
from energymodel.report.workbook.printing import print_divided, print_scale
from energymodel.study.comparison.outcome import Comparison, Outcome

MONTH_NAMES = tuple(calendar.month_abbr[1:])
BLOCK = 13
"""Rows of an option: twelve months and the year."""
YEAR = 12
_CHART_PX = (780, 400)
_PAPER_POINTS = 515.0
"""Height of a sheet of paper laid across, less its margins, rather too low."""
_DASHES = ("solid", "dash", "round_dot", "dash_dot", "long_dash", "square_dot")
_MARKERS = ("circle", "none", "square", "none", "triangle", "none", "diamond")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Months:
    """Where the months stand.

    Parameters
    ----------
    page
        The page.
    items
        From the third column on.
    first_rows
        Row of January by name of the option.
    comparison
        All options.
    """

    page: Page
    items: tuple[Item, ...]
    first_rows: Mapping[str, int]
    comparison: Comparison

    def cell(self, name: str, month: int, item: Item) -> str:
        """Name a cell.

        Parameters
        ----------
        name
            Of the option.
        month
            0..11; 12: the year.
        item
            Quantity.

        Returns
        -------
        str
            Cell.
        """
        return self.page.cell(self.first_rows[name] + month, 2 + self.items.index(item))

    def spent(self, outcome: Outcome, services: Collection[str], carrier: str = "") -> list[Term]:
        """List what an option spends in the year.

        Parameters
        ----------
        outcome
            The option.
        services
            "heating", "cooling".
        carrier
            On which; empty: on all.

        Returns
        -------
        list of Term
            Cells.
        """
        found = [
            one
            for one in self.items
            if one.what is What.SPENT
            and one.service in services
            and carrier in ("", one.carrier)
            and serves(outcome, one.service)
        ]
        return [
            Term(
                text=self.cell(outcome.name, YEAR, one),
                value=float(item_numbers(outcome, one, self.comparison).sum()),
            )
            for one in found
        ]

    @property
    def costs(self) -> str:
        """Block with the energy cost of all months, year after year, option by option."""
        column = 2 + self.items.index(Item(what=What.COST))
        last = FIRST_ROW + BLOCK * len(self.first_rows) - 1
        return self.page.block((FIRST_ROW, column), (last, column))

    def block_of(self, name: str) -> str:
        """Name the energy costs of an option, January to December.

        Parameters
        ----------
        name
            Of the option.

        Returns
        -------
        str
            Block of cells.
        """
        return self._twelve(name, 2 + self.items.index(Item(what=What.COST)))

    def month_block(self, name: str) -> str:
        """Name the cells with the names of the months.

        Parameters
        ----------
        name
            Of the option beside which they stand.

        Returns
        -------
        str
            Block of cells.
        """
        return self._twelve(name, 1)

    def _twelve(self, name: str, column: int) -> str:
        first = self.first_rows[name]
        return self.page.block((first, column), (first + YEAR - 1, column))

    def near(self, row: int, item: Item) -> str:
        """Name a cell of the same row, for a formula on this page.

        Parameters
        ----------
        row
            Of the formula.
        item
            Quantity.

        Returns
        -------
        str
            Without the name of the page, so that the formula can be read.
        """
        return self.page.near(row, 2 + self.items.index(item))

    def alike(self, item: Item, what: What) -> list[Item]:
        """List the quantities of a kind for the same service.

        Parameters
        ----------
        item
            Gives the service; none: any.
        what
            Kind.

        Returns
        -------
        list of Item
            In the order of the page.
        """
        return [one for one in self.items if one.what is what and item.service in ("", one.service)]


def write_months(book: Book, comparison: Comparison, hours: Hours, inputs: Inputs) -> Months:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    hours
        What is summed.
    inputs
        Prices.

    Returns
    -------
    Months
        Cells for formulas.
    """
    currency = comparison.model.scenario.content.currency
    items = month_items(comparison)
    page = book.page(
        "Months",
        title="Months of each option",
        message=None,
        columns=[
            Column(heading="Option", form=Form.TEXT, width=34),
            Column(heading="Month", form=Form.TEXT, width=7),
            *(item_column(item, currency) for item in items),
        ],
        frozen_columns=2,
    )
    firsts = {
        outcome.name: FIRST_ROW + BLOCK * place for place, outcome in enumerate(comparison.outcomes)
    }
    months = Months(page=page, items=items, first_rows=firsts, comparison=comparison)
    for outcome in comparison.outcomes:
        _write_option(months, outcome, comparison, (hours, inputs))
    _chart(book, months, comparison)
    return months


def _write_option(
    months: Months, outcome: Outcome, comparison: Comparison, sources: tuple[Hours, Inputs]
) -> None:
    page, first = months.page, months.first_rows[outcome.name]
    for month in range(BLOCK):
        style = Style.TOTAL if month == YEAR else Style.PLAIN
        page.put(first + month, 0, outcome.name, style)
        page.put(first + month, 1, "Year" if month == YEAR else MONTH_NAMES[month], style)
    for place, item in enumerate(months.items, 2):
        if item.service and not serves(outcome, item.service):
            page.put(first + YEAR, place, None, Style.TOTAL)
            continue
        numbers = item_numbers(outcome, item, comparison)
        for month, number in enumerate(numbers.tolist()):
            text = _text(months, outcome, item, (month, sources))
            page.put(first + month, place, _live(text, number))
        total = _year(months, outcome, item, comparison)
        page.put(first + YEAR, place, total, Style.TOTAL)


def _live(text: str, number: float) -> Value:
    return Formula(text=text, value=number) if text and np.isfinite(number) else number


def _text(
    months: Months, outcome: Outcome, item: Item, place: tuple[int, tuple[Hours, Inputs]]
) -> str:
    """Write the formula of a month; empty where the number is a result of its own."""
    month, (hours, inputs) = place
    row = months.first_rows[outcome.name] + month
    if item.what in (What.LOAD, What.UNMET, What.USE):
        block = hours.find(outcome.name, item.service, item.carrier or item.what.value)
        return f"=SUMIFS({block},{hours.months},{month + 1})" if block else ""
    if item.what is What.GIVEN:
        load, unmet = (
            months.near(row, Item(what=what, service=item.service))
            for what in (What.LOAD, What.UNMET)
        )
        return f"={load}-{unmet}"
    if item.what is What.SPENT:
        if item.carrier not in inputs.per_kwh:
            return ""
        use = Item(what=What.USE, service=item.service, carrier=item.carrier)
        return f"={months.near(row, use)}*{inputs.per_kwh[item.carrier]}"
    return _of_row(months, item, row)


def _of_row(months: Months, item: Item, row: int) -> str:
    """Write a sum or a ratio of cells of the same row."""
    if item.what is What.COST:
        return "=" + "+".join(months.near(row, one) for one in months.alike(item, What.SPENT))
    given = months.near(row, Item(what=What.GIVEN, service=item.service))
    used = "+".join(months.near(row, one) for one in months.alike(item, What.USE))
    return f"={given}/({used})"


def _year(months: Months, outcome: Outcome, item: Item, comparison: Comparison) -> Value:
    first = months.first_rows[outcome.name]
    if item.what is What.RATIO:
        value = outcome.result.cop_season(item.service)
        return None if value is None else _live(_of_row(months, item, first + YEAR), value)
    column = 2 + months.items.index(item)
    top, bottom = (months.page.near(first + month, column) for month in (0, YEAR - 1))
    total = float(item_numbers(outcome, item, comparison).sum())
    return Formula(text=f"=SUM({top}:{bottom})", value=total)


def _chart(book: Book, months: Months, comparison: Comparison) -> None:
    page, column = months.page, 2 + months.items.index(Item(what=What.COST))
    currency = comparison.model.scenario.content.currency
    series = []
    for place, outcome in enumerate(comparison.outcomes):
        first = months.first_rows[outcome.name]
        series.append(
            Series(
                name=page.cell(first, 0),
                categories=page.block((first, 1), (first + YEAR - 1, 1)),
                values=page.block((first, column), (first + YEAR - 1, column)),
                colour=heated_by(outcome.planned.table).value,
                dash=_DASHES[place % len(_DASHES)],
                marker=_MARKERS[place % len(_MARKERS)],
            )
        )
    texts = ChartTexts(title="Energy cost of each month", up=f"Energy cost, {currency} a month")
    row, breaks = _division(book, page, len(comparison.outcomes))
    print_divided(book, page, breaks)
    plot = Plot(kind=ChartKind.LINES, series=series, texts=texts, size_px=_CHART_PX)
    add_chart(book, page, (row, 0), plot)


def _division(book: Book, page: Page, options: int) -> tuple[int, list[int]]:
    """Find the row of the chart and where paper ends: never within an option, nor in the chart."""
    room = int(_PAPER_POINTS / print_scale(book, page.columns) / row_points(1))
    chart_rows = int(_CHART_PX[1] * 0.75 / row_points(1)) + 3
    breaks, used = [], FIRST_ROW + 3
    for option in range(options):
        if used + BLOCK > room:
            breaks.append(FIRST_ROW + BLOCK * option)
            used = 3
        used += BLOCK
    row = FIRST_ROW + BLOCK * options + 1
    if used + chart_rows > room:
        breaks.append(row)
    return row, breaks
