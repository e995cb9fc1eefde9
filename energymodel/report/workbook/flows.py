"""The page "Cash flow": what each option costs in each year of the study, against the present."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.cash_flow import FlowKind, FlowLine
from energymodel.report.workbook.bills import Bills
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.flow_lines import RUNNING, Counted, LineFormulas
from energymodel.report.workbook.flow_rows import (
    FACTOR_ROW,
    WORTH,
    YEAR_0,
    YEARS_ROW,
    FlowRows,
    Flows,
    GainRows,
)
from energymodel.report.workbook.gains import Balance, signs
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.months import Months
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.scenario.money_schema import MoneyTable
from energymodel.scenario.prices import ELECTRICITY
from energymodel.study.comparison.money import AgainstPresent, OptionMoney
from energymodel.study.comparison.money_flows import OTHER_USE
from energymodel.study.comparison.outcome import Comparison, Outcome


def write_flows(
    book: Book,
    comparison: Comparison,
    options: Sequence[OptionMoney],
    sources: tuple[Inputs, Months, Bills],
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
    sources
        Discount rate and installed costs; energy; charges and other use.

    Returns
    -------
    Flows
        Blocks for formulas.
    """
    inputs, months, bills = sources
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
        rate=inputs.discount_rate,
    )
    sheet.write_factors()
    counted = [
        Counted(outcome=outcome, services=_services(outcome, comparison.present), flow=money.flow)
        for outcome, money in zip(comparison.outcomes, options, strict=True)
    ]
    indices, row = sheet.write_indices(FIRST_ROW + 2, counted)
    formulas = LineFormulas(inputs=inputs, months=months, bills=bills, indices=indices)
    rows: dict[str, FlowRows] = {}
    for one, money in zip(counted, options, strict=True):
        row = sheet.write_option(row + 1, (one, money), formulas, (comparison.present, rows))
    return Flows(page=page, years=years, rows=rows)


def _services(outcome: Outcome, present: Outcome | None) -> tuple[str, ...]:
    there = outcome if present is None else present
    return tuple(one for one in there.cost_by_month if one in outcome.cost_by_month)


def _columns(currency: str, years: int) -> Iterator[Column]:
    yield Column(heading="Option", form=Form.TEXT, width=34)
    yield Column(heading="Line", form=Form.TEXT, width=36)
    yield Column(heading="Kind", form=Form.TEXT, width=20)
    yield Column(heading=f"Present value, {currency}", width=10)
    for year in range(years + 1):
        yield Column(heading=f"Year {year}, {currency}", width=8.5)


Indices = dict[str, tuple[Sequence[str], Array]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """The page while it is written."""

    page: Page
    years: int
    options: Sequence[OptionMoney]
    money: MoneyTable
    rate: str
    bases: dict[tuple[str, ...], FlowRows] = field(default_factory=dict)

    @property
    def per_year(self) -> float:
        """Discount rate."""
        return self.options[0].flow.study.discount.per_year

    @property
    def factors(self) -> Array:
        """Present value of one unit of money of each year."""
        factors: Array = (1.0 + self.per_year) ** -np.arange(self.years + 1.0)
        return factors

    def cells(self, row: int, first: int = 0) -> list[str]:
        """Years of a row, on this page."""
        return [self.page.near(row, YEAR_0 + year) for year in range(first, self.years + 1)]

    def across(self, row: int) -> str:
        """Years 0 to N of a row, on this page."""
        return f"{self.page.near(row, YEAR_0)}:{self.page.near(row, YEAR_0 + self.years)}"

    def write_factors(self) -> None:
        self.page.put(YEARS_ROW, 1, "Years after installation", Style.NOTE)
        self.page.put(FACTOR_ROW, 1, "Present value of 1, at the discount rate", Style.NOTE)
        numbers = self.cells(YEARS_ROW)
        for year, factor in enumerate(self.factors.tolist()):
            text = f"=(1+{self.rate})^-{numbers[year]}"
            self.page.put(YEARS_ROW, YEAR_0 + year, float(year))
            there = Formula(text=text, value=factor)
            self.page.put(FACTOR_ROW, YEAR_0 + year, there, form=Form.THREE)

    def write_indices(self, row: int, counted: Sequence[Counted]) -> tuple[Indices, int]:
        """Write how prices move: one row per name of an energy line."""
        lines = [line for one in counted for line in one.lines() if line.kind is FlowKind.ENERGY]
        found: Indices = {}
        for name in dict.fromkeys(line.name for line in lines):
            course = self.money.course_of(ELECTRICITY if name == OTHER_USE else name)
            index = self.options[0].flow.study.price_index(course, name)
            found[name] = self.cells(row, 1), index
            self.page.put(row, 1, f"Price of {name} over today's", Style.NOTE)
            for year, value in enumerate(index.tolist(), 1):
                self.page.put(row, YEAR_0 + year, value, form=Form.THREE)
            row += 1
        return found, row

    def write_option(
        self,
        row: int,
        entry: tuple[Counted, OptionMoney],
        formulas: LineFormulas,
        known: tuple[Outcome | None, dict[str, FlowRows]],
    ) -> int:
        """Write an option, and what is there now on its services where that is not written yet."""
        counted, money = entry
        present, rows = known
        own, row = self.write_flow(row, counted, formulas)
        if counted.outcome is present:
            self.bases[counted.services] = own
        if present is not None and money.against_present is not None:
            own, row = self._compared(row, (counted, own), money.against_present, formulas, present)
        rows[money.name] = own
        return row

    def write_flow(
        self, row: int, counted: Counted, formulas: LineFormulas
    ) -> tuple[FlowRows, int]:
        """Write the lines of a cash flow, their sum and what of it is energy and upkeep."""
        lines, name = counted.lines(), counted.outcome.name
        costs = [line for line in lines if line.kind is not FlowKind.LOAN]
        running = [place for place, line in enumerate(costs) if line.kind in RUNNING]
        last = row + len(costs)
        for place, line in enumerate(costs):
            self._write_line(row + place, name, line, formulas.of_line(counted, line))
        label = "All of " + (" and ".join(counted.services) or "it")
        flow = counted.flow
        sums = self._sums(row, last)
        self._write_row(last, (name, label, ""), (sums, flow.by_year()), Style.TOTAL)
        part = self._sums(row + running[0], row + running[-1] + 1) if running else [""] * len(sums)
        numbers = part, flow.of(*RUNNING)
        self._write_row(last + 1, (name, "Of that energy and upkeep", ""), numbers, Style.NOTE)
        rows, row = FlowRows(total=last, running=last + 1), last + 2
        for line in lines[len(costs) :]:
            self._write_line(row, name, line, formulas.of_line(counted, line))
            row += 1
        return rows, row

    def _sums(self, first: int, end: int) -> list[str]:
        if first == end:
            return [""] * (self.years + 1)
        tops, bottoms = self.cells(first), self.cells(end - 1)
        return [f"=SUM({top}:{bottom})" for top, bottom in zip(tops, bottoms, strict=True)]

    def _write_line(self, row: int, name: str, line: FlowLine, texts: Sequence[str]) -> None:
        names = name, line.name, line.kind.value
        self._write_row(row, names, (texts, line.by_year), Style.PLAIN)

    def _write_row(
        self,
        row: int,
        names: tuple[str, str, str],
        cells: tuple[Sequence[str], Array],
        style: Style,
    ) -> None:
        texts, numbers = cells
        self.page.put_row(row, names, style)
        worth = f"=SUMPRODUCT({self.across(FACTOR_ROW)},{self.across(row)})"
        value = float((self.factors * numbers).sum())
        self.page.put(row, WORTH, Formula(text=worth, value=value), style)
        for year, (text, number) in enumerate(zip(texts, numbers.tolist(), strict=True)):
            cell: Value = Formula(text=text, value=number) if text else number
            self.page.put(row, YEAR_0 + year, cell, style)

    def _compared(
        self,
        row: int,
        entry: tuple[Counted, FlowRows],
        against: AgainstPresent,
        formulas: LineFormulas,
        present: Outcome,
    ) -> tuple[FlowRows, int]:
        counted, own = entry
        if counted.services not in self.bases:
            there = Counted(outcome=present, services=counted.services, flow=against.base)
            self.bases[counted.services], row = self.write_flow(row, there, formulas)
        base, name = self.bases[counted.services], counted.outcome.name
        pairs = zip(self.cells(own.total), self.cells(base.total), strict=True)
        texts = [f"={here}-{there}" for here, there in pairs]
        label = "Gained against what is there now"
        self._write_row(row, (name, label, ""), (texts, against.gain), Style.BEST)
        rows = GainRows(
            base=base,
            gain=row,
            cumulative=row + 1,
            discounted=row + 2,
            paid_back=row + 3,
            paid_back_discounted=row + 4,
            open_again=row + 5,
            signs=row + 6,
        )
        self._write_gains(name, rows, against)
        return FlowRows(total=own.total, running=own.running, gains=rows), row + 7

    def _write_gains(self, name: str, rows: GainRows, against: AgainstPresent) -> None:
        gain, years, factors = (self.cells(row) for row in (rows.gain, YEARS_ROW, FACTOR_ROW))
        plain = Balance(cells=self.cells(rows.cumulative), values=against.cumulative, years=years)
        later = Balance(
            cells=self.cells(rows.discounted),
            values=against.cumulative_discounted,
            years=years,
            rate=self.rate,
            per_year=self.per_year,
        )
        so_far = [f"=SUM(${gain[0]}:{cell})" for cell in gain]
        worth = [
            f"=SUMPRODUCT(${gain[0]}:{cell},${factors[0]}:{factor})"
            for cell, factor in zip(gain, factors, strict=True)
        ]
        own = self.cells(rows.signs)
        for row, label, first, formulas, form in (
            (rows.cumulative, "Gained so far", 0, _live(so_far, plain.values), Form.WHOLE),
            (rows.discounted, "Gained so far, present value", 0, _live(worth, later.values), None),
            (rows.paid_back, "Paid back after, years", 1, plain.paid_back(), Form.ONE),
            (
                rows.paid_back_discounted,
                "Paid back after, years, discounted",
                1,
                later.paid_back(),
                Form.ONE,
            ),
            (rows.open_again, "Open again from year, discounted", 1, later.open_again(), None),
            (rows.signs, "Sign of the gain", 0, signs(gain, own, against.gain), None),
        ):
            style = Style.NOTE if row >= rows.paid_back else Style.PLAIN
            self.page.put_row(row, [name, label], style)
            for year, formula in enumerate(formulas, first):
                self.page.put(row, YEAR_0 + year, formula, style, form=form)


def _live(texts: Sequence[str], values: Array) -> Iterable[Formula]:
    return (
        Formula(text=text, value=value) for text, value in zip(texts, values.tolist(), strict=True)
    )
