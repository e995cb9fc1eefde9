"""The page "Cash flow": what each option costs in each year of the study, against the present."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.cash_flow import FlowKind, FlowLine
from energymodel.report.workbook.bills import BillRow, Bills
from energymodel.report.workbook.book import FIRST_ROW, Book, Page
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.inputs import Inputs
from energymodel.scenario.money_schema import MoneyTable
from energymodel.scenario.prices import ELECTRICITY
from energymodel.study.comparison.money import OptionMoney
from energymodel.study.comparison.money_flows import OTHER_USE
from energymodel.study.comparison.outcome import Comparison, Outcome

_WORTH, _YEAR_0 = 3, 4
_YEARS_ROW, _FACTOR_ROW = FIRST_ROW, FIRST_ROW + 1
INSTALLED = "installed cost"
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowRows:
    """Rows of one option.

    Parameters
    ----------
    total
        What it costs in each year.
    gain, cumulative, discounted
        Against what is there now; None for the present option, or without one.
    """

    total: int
    gain: int | None = None
    cumulative: int | None = None
    discounted: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flows:
    """Where the cash flows stand.

    Parameters
    ----------
    page
        The page.
    years
        Of the study.
    rows
        By name of the option.
    """

    page: Page
    years: int
    rows: Mapping[str, FlowRows]

    def block(self, row: int) -> str:
        """Name years 0 to N of a row.

        Parameters
        ----------
        row
            Place.

        Returns
        -------
        str
            Block of cells.
        """
        return self.page.block((row, _YEAR_0), (row, _YEAR_0 + self.years))

    def worth(self, row: int) -> str:
        """Name the cell with the present value of a row.

        Parameters
        ----------
        row
            Place.

        Returns
        -------
        str
            Cell.
        """
        return self.page.cell(row, _WORTH)

    @property
    def year_numbers(self) -> str:
        """Block with the years."""
        return self.block(_YEARS_ROW)


def write_flows(
    book: Book,
    comparison: Comparison,
    options: Sequence[OptionMoney],
    inputs: Inputs,
    bills: Bills,
) -> Flows:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    options
        Over the years, in the order of the comparison.
    inputs
        Discount rate and installed costs.
    bills
        Energy of the first year.

    Returns
    -------
    Flows
        Blocks for formulas.
    """
    years = options[0].flow.study.years
    currency = comparison.model.scenario.content.currency
    page = book.page(
        "Cash flow",
        title="Cash flow of each option by year",
        message="Money out is negative, at the end of each year; year 0 is the day of installation",
        columns=list(_columns(currency, years)),
    )
    sheet = _Sheet(
        page=page,
        years=years,
        options=options,
        money=comparison.model.scenario.content.money,
        inputs=inputs,
        bills=bills,
    )
    sheet.write_factors()
    row = FIRST_ROW + 2
    indices, row = sheet.write_indices(row)
    rows: dict[str, FlowRows] = {}
    row += 1
    for outcome, money in zip(comparison.outcomes, options, strict=True):
        rows[outcome.name], row = sheet.write_option(row, outcome, money, (indices, rows))
        row += 1
    return Flows(page=page, years=years, rows=rows)


def _columns(currency: str, years: int) -> Iterator[Column]:
    yield Column(heading="Option", form=Form.TEXT, width=34)
    yield Column(heading="Line", form=Form.TEXT, width=34)
    yield Column(heading="Kind", form=Form.TEXT, width=22)
    yield Column(heading=f"Present value, {currency}", width=12)
    for year in range(years + 1):
        yield Column(heading=f"Year {year}, {currency}", width=10)


Known = tuple[Mapping[str, tuple[int, Array]], Mapping[str, FlowRows]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """The page while it is written."""

    page: Page
    years: int
    options: Sequence[OptionMoney]
    money: MoneyTable
    inputs: Inputs
    bills: Bills

    @property
    def factors(self) -> Array:
        """Present value of one unit of money of each year."""
        rate = self.options[0].flow.study.discount.per_year
        factors: Array = (1.0 + rate) ** -np.arange(self.years + 1.0)
        return factors

    def across(self, row: int) -> str:
        """Years 0 to N of a row, on this page."""
        return f"{self.page.near(row, _YEAR_0)}:{self.page.near(row, _YEAR_0 + self.years)}"

    def write_factors(self) -> None:
        self.page.put(_YEARS_ROW, 1, "Years after installation, a", Style.NOTE)
        self.page.put(_FACTOR_ROW, 1, "Present value of 1, at the discount rate", Style.NOTE)
        for year, factor in enumerate(self.factors.tolist()):
            column = _YEAR_0 + year
            at = self.page.near(_YEARS_ROW, column)
            text = f"=(1+{self.inputs.discount_rate})^-{at}"
            self.page.put(_YEARS_ROW, column, float(year))
            self.page.put(_FACTOR_ROW, column, Formula(text=text, value=factor), form=Form.FOUR)

    def write_indices(self, row: int) -> tuple[dict[str, tuple[int, Array]], int]:
        """Write how prices move: one row per name of an energy line."""
        found: dict[str, tuple[int, Array]] = {}
        for option in self.options:
            for line in option.flow.lines:
                if (
                    line.kind is FlowKind.ENERGY
                    and line.name not in found
                    and line.by_year[1:].any()
                ):
                    found[line.name] = row, self._index(line.name)
                    row += 1
        for name, (place, index) in found.items():
            self.page.put(place, 1, f"Price of {name} over today's", Style.NOTE)
            for year, value in enumerate(index.tolist(), 1):
                self.page.put(place, _YEAR_0 + year, value, form=Form.FOUR)
        return found, row

    def _index(self, name: str) -> Array:
        """Price of years 1 to N over today's."""
        course = self.money.course_of(ELECTRICITY if name == OTHER_USE else name)
        return self.options[0].flow.study.price_index(course, name)

    def write_option(
        self, row: int, outcome: Outcome, money: OptionMoney, known: Known
    ) -> tuple[FlowRows, int]:
        first = row
        lines = [line for line in money.flow.lines if line.kind is not FlowKind.LOAN]
        for line in lines:
            self._write_line(row, (outcome.name, line), known[0])
            row += 1
        total = row
        numbers = money.flow.by_year()
        texts = [self._column_sum(first, row, year) for year in range(self.years + 1)]
        name = "All of " + (" and ".join(self._services(money, outcome)) or "it")
        self._write_row(row, (outcome.name, name), (texts, numbers), Style.TOTAL)
        row += 1
        for line in money.flow.lines:
            if line.kind is FlowKind.LOAN:
                self._write_line(row, (outcome.name, line), {})
                row += 1
        if money.against_present is None:
            return FlowRows(total=total), row
        return self._write_gain(row, money, total, known[1])

    def _services(self, money: OptionMoney, outcome: Outcome) -> Sequence[str]:
        if money.against_present is not None:
            return money.against_present.services
        return tuple(outcome.cost_by_month)

    def _column_sum(self, first: int, row: int, year: int) -> str:
        if row == first:
            return ""
        column = _YEAR_0 + year
        return f"=SUM({self.page.near(first, column)}:{self.page.near(row - 1, column)})"

    def _write_line(
        self, row: int, entry: tuple[str, FlowLine], indices: Mapping[str, tuple[int, Array]]
    ) -> None:
        name, line = entry
        texts = [""] * (self.years + 1)
        if line.name == INSTALLED and line.kind is FlowKind.INVESTMENT:
            texts[0] = f"=-{self.inputs.installed[name]}"
        elif line.kind is FlowKind.ENERGY and line.name in indices:
            texts[1:] = self._energy(name, line, indices[line.name])
        self.page.put(row, 2, line.kind.value)
        self._write_row(row, (name, line.name), (texts, line.by_year), Style.PLAIN)

    def _energy(self, name: str, line: FlowLine, index: tuple[int, Array]) -> list[str]:
        """Bill lines of the carrier times the price index, where that is the model's number."""
        place, values = index
        nothing = [""] * self.years
        first = -float(line.by_year[1]) / float(values[0]) if values[0] else 0.0
        text = self._lines_of(name, line.name, first)
        if not text or not np.allclose(line.by_year[1:], -first * values, rtol=_ROUNDING):
            return nothing
        at = (self.page.near(place, _YEAR_0 + year) for year in range(1, self.years + 1))
        return [f"=-({text})*{cell}" for cell in at]

    def _lines_of(self, name: str, carrier: str, value: float) -> str:
        rows = [row for row in self.bills.rows[name] if row.line.carrier == carrier]
        choices: list[list[BillRow]] = [rows]
        choices += [
            [row for row in rows if row.line.service in (service, "")]
            for service in ("heating", "cooling")
        ]
        choices += [
            [row for row in rows if row.line.service == service]
            for service in ("heating", "cooling")
        ]
        found = (self.bills.sum_of(choice, value) for choice in choices)
        return next((text for text in found if text), "")

    def _write_row(
        self,
        row: int,
        names: tuple[str, str],
        cells: tuple[Sequence[str], Array],
        style: Style,
    ) -> None:
        texts, numbers = cells
        self.page.put(row, 0, names[0], style)
        self.page.put(row, 1, names[1], style)
        if style is not Style.PLAIN:
            self.page.put(row, 2, "", style)
        worth = f"=SUMPRODUCT({self.across(_FACTOR_ROW)},{self.across(row)})"
        value = float((self.factors * numbers).sum())
        self.page.put(row, _WORTH, Formula(text=worth, value=value), style)
        for year, (text, number) in enumerate(zip(texts, numbers.tolist(), strict=True)):
            cell: Value = Formula(text=text, value=number) if text else number
            self.page.put(row, _YEAR_0 + year, cell, style)

    def _write_gain(
        self, row: int, money: OptionMoney, total: int, rows: Mapping[str, FlowRows]
    ) -> tuple[FlowRows, int]:
        against = money.against_present
        if against is None:
            return FlowRows(total=total), row
        base = against.base.by_year()
        label = f"What is there now, {' and '.join(against.services)}"
        self._write_row(row, (money.name, label), (self._base(base, rows), base), Style.PLAIN)
        gain, cumulative, discounted = row + 1, row + 2, row + 3
        columns = range(_YEAR_0, _YEAR_0 + self.years + 1)
        near = self.page.near
        texts = [f"={near(total, one)}-{near(row, one)}" for one in columns]
        self._write_row(gain, (money.name, "Gained in the year"), (texts, against.gain), Style.BEST)
        start = near(gain, _YEAR_0)
        for place, name, texts, numbers in (
            (
                cumulative,
                "Gained so far",
                [f"=SUM(${start}:{near(gain, one)})" for one in columns],
                against.cumulative,
            ),
            (
                discounted,
                "Gained so far, present value",
                [
                    f"=SUMPRODUCT(${start}:{near(gain, one)},"
                    f"${near(_FACTOR_ROW, _YEAR_0)}:{near(_FACTOR_ROW, one)})"
                    for one in columns
                ],
                against.cumulative_discounted,
            ),
        ):
            self.page.put_row(place, [money.name, name])
            for column, text, number in zip(columns, texts, numbers.tolist(), strict=True):
                self.page.put(place, column, Formula(text=text, value=number))
        made = FlowRows(total=total, gain=gain, cumulative=cumulative, discounted=discounted)
        return made, discounted + 1

    def _base(self, base: Array, rows: Mapping[str, FlowRows]) -> list[str]:
        """Refer to the present option's own rows, where it is counted for the same services."""
        present = next((one for one in self.options if one.present), None)
        there = rows.get(present.name) if present is not None else None
        if present is None or there is None or not np.allclose(present.flow.by_year(), base):
            return [""] * (self.years + 1)
        columns = range(_YEAR_0, _YEAR_0 + self.years + 1)
        return [f"={self.page.near(there.total, one)}" for one in columns]
