"""The page "Options": what each option is, what it costs in a year, and what that is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from energymodel.report.comparison.cost_lines import cost_lines
from energymodel.report.figures.cost_view import cost_view, note, yearly_message
from energymodel.report.figures.style import CONTEXT
from energymodel.report.workbook.bills import Bills
from energymodel.report.workbook.book import FIRST_ROW, Book, Page
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.charts import ChartKind, ChartTexts, Plot, Series, add_chart
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.items import Item, What, serves
from energymodel.report.workbook.months import YEAR, Months
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.cost_range import CostRange, cost_ranges
from energymodel.study.comparison.outcome import Comparison, Outcome

Cells = dict[str, Value]
"""Values by key of the column, in the order of the page."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """Everything that the rows are made of."""

    comparison: Comparison
    inputs: Inputs
    months: Months
    bills: Bills
    ranges: Mapping[str, CostRange]
    columns: Mapping[str, Column]

    def place(self, key: str) -> int:
        """Column of a quantity."""
        return list(self.columns).index(key)


def write_options(
    book: Book, comparison: Comparison, sources: tuple[Inputs, Months, Bills]
) -> None:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    sources
        Cells for formulas.
    """
    inputs, months, bills = sources
    sheet = _Sheet(
        comparison=comparison,
        inputs=inputs,
        months=months,
        bills=bills,
        ranges=cost_ranges(comparison),
        columns=_columns(comparison),
    )
    page = book.page(
        "Options",
        title="Options side by side",
        message=yearly_message(cost_view(comparison))[0],
        columns=list(sheet.columns.values()),
    )
    for row, outcome in enumerate(comparison.outcomes, FIRST_ROW):
        style = Style.BEST if outcome is comparison.cheapest else Style.PLAIN
        cells = _row(page, row, outcome, sheet)
        page.put_row(row, [cells.get(key) for key in sheet.columns], style)
        cost = page.columns[sheet.place("installed")].form
        installed = Formula(
            text=f"={inputs.installed[outcome.name]}", value=outcome.planned.table.installed_cost
        )
        page.put(row, sheet.place("installed"), installed, style, form=cost)
    below = FIRST_ROW + len(comparison.outcomes) + 1
    words = next(iter(sheet.ranges.values())).words
    page.put(below, 0, f"Lowest and highest: {words}.", Style.NOTE)
    _chart(book, page, sheet, below + 2)


def _columns(comparison: Comparison) -> dict[str, Column]:
    money = comparison.model.scenario.content.currency
    columns = {
        "name": Column(heading="Option", form=Form.TEXT, width=34),
        "note": Column(heading="Remark", form=Form.TEXT, width=26),
        "heats": Column(heading="Heats with", form=Form.TEXT, width=30),
        "cools": Column(heading="Cools with", form=Form.TEXT, width=30),
        "installed": Column(heading=f"Installed cost, {money}", width=10),
        HEATING: Column(heading=f"Heating, {money} a year", form=Form.TWO, width=11),
        COOLING: Column(heading=f"Cooling, {money} a year", form=Form.TWO, width=11),
        "account": Column(
            heading=f"Charges and other use, {money} a year", form=Form.TWO, width=12
        ),
        "cost": Column(heading=f"Yearly cost, {money} a year", form=Form.TWO, width=11),
        "lines": Column(heading=f"Sum of its bill lines, {money} a year", form=Form.TWO, width=11),
        "check": Column(heading=f"Difference, {money} a year", form=Form.TWO, width=11),
        "low": Column(heading=f"Lowest, {money} a year", form=Form.WHOLE, width=10),
        "high": Column(heading=f"Highest, {money} a year", form=Form.WHOLE, width=10),
        "saving": Column(
            heading=f"Saved on the services there now, {money} a year", form=Form.WHOLE, width=14
        ),
        "heat": Column(heading="Heat given, kWh a year", width=10),
        "cold": Column(heading="Heat removed, kWh a year", width=10),
    }
    carriers = dict.fromkeys(c for one in comparison.outcomes for c in one.energy_kwh)
    for carrier in carriers:
        head = f"{carrier.capitalize()}, kWh a year"
        columns[f"use {carrier}"] = Column(heading=head, width=11)
    return columns | {
        "cop": Column(heading="Heat per energy used, kWh/kWh", form=Form.TWO, width=12),
        "eer": Column(heading="Cooling per energy used, kWh/kWh", form=Form.TWO, width=12),
        "co2e": Column(heading="Emissions, kg CO2e a year", width=11),
        "peak": Column(heading="Largest hourly draw, kW", form=Form.TWO, width=10),
        "unmet": Column(heading="Heating load not met, % of the year", form=Form.PERCENT, width=12),
        "up": Column(heading=f"Highest less likely, {money} a year", form=Form.WHOLE, width=11),
        "down": Column(heading=f"Likely less lowest, {money} a year", form=Form.WHOLE, width=11),
    }


def _row(page: Page, row: int, outcome: Outcome, sheet: _Sheet) -> Cells:
    near = {key: page.near(row, place) for place, key in enumerate(sheet.columns)}
    cells: Cells = {
        "name": outcome.name,
        "note": note(outcome, cost_view(sheet.comparison)),
        "heats": _words(outcome.planned.table.heating),
        "cools": _words(outcome.planned.table.cooling),
        "account": _account(outcome, sheet),
        "co2e": outcome.emissions.co2e_kg,
        "peak": outcome.result.peak_hour_kw,
        "unmet": outcome.coverage.unmet_share if outcome.coverage else None,
    }
    cells |= _services(outcome, sheet)
    cells |= _costs(outcome, sheet, near)
    cells |= _energy(outcome, sheet)
    return cells


def _words(record: object) -> str:
    """Say what heats or cools: the kind, and the unit or the fuel."""
    if record is None:
        return "nothing"
    parts = [getattr(record, name, None) for name in ("kind", "fuel", "unit")]
    return ", ".join(part for part in parts if isinstance(part, str))


def _services(outcome: Outcome, sheet: _Sheet) -> Cells:
    found: Cells = {}
    for service, by_month in outcome.cost_by_month.items():
        items = [
            one for one in sheet.months.items if (one.what, one.service) == (What.SPENT, service)
        ]
        cells = [sheet.months.cell(outcome.name, YEAR, one) for one in items]
        if cells:
            found[service] = Formula(text="=" + "+".join(cells), value=float(by_month.sum()))
    return found


def _account(outcome: Outcome, sheet: _Sheet) -> Value:
    """Standing charges and other use: their lines, if a tariff has them as lines of their own."""
    rows = [row for row in sheet.bills.rows[outcome.name] if not row.line.unit]
    text = sheet.bills.sum_of(rows, outcome.account_cost)
    return Formula(text=f"={text}", value=outcome.account_cost) if text else outcome.account_cost


def _costs(outcome: Outcome, sheet: _Sheet, near: Mapping[str, str]) -> Cells:
    ends = sheet.ranges[outcome.name]
    total = f"=SUM({near[HEATING]}:{near['account']})"
    difference = f"=ROUND({near['cost']}-{near['lines']},6)"
    lines = cost_lines(outcome, sheet.comparison.model.prices)
    gap = round(outcome.yearly_cost - sum(line.year for line in lines), 6)
    return {
        "cost": Formula(text=total, value=outcome.yearly_cost),
        "lines": Formula(
            text=f"={sheet.bills.totals[outcome.name]}", value=sum(line.year for line in lines)
        ),
        "check": Formula(text=difference, value=gap + 0.0),
        "low": ends.low,
        "high": ends.high,
        "saving": _saving(outcome, sheet),
        "up": Formula(
            text=f"={near['high']}-{near['cost']}", value=ends.high - outcome.yearly_cost
        ),
        "down": Formula(
            text=f"={near['cost']}-{near['low']}", value=outcome.yearly_cost - ends.low
        ),
    }


def _saving(outcome: Outcome, sheet: _Sheet) -> Value:
    """Cost of the shared services now less with the option, where that is the whole saving."""
    against, present = outcome.against_present, sheet.comparison.present
    if against is None or present is None:
        return None
    saving = against.payback.yearly_saving
    shared = [one for one in (HEATING, COOLING) if one in present.cost_by_month]
    shared = [one for one in shared if one in outcome.cost_by_month]
    plain = sum(
        float(present.cost_by_month[one].sum() - outcome.cost_by_month[one].sum()) for one in shared
    )
    if not shared or abs(plain - saving) > 1e-9 * max(1.0, abs(saving)):
        return saving
    there = sheet.comparison.outcomes.index(present) + FIRST_ROW
    here = sheet.comparison.outcomes.index(outcome) + FIRST_ROW
    page = sheet.months.page
    terms = [
        f"{page.near(there, sheet.place(one))}-{page.near(here, sheet.place(one))}"
        for one in shared
    ]
    return Formula(text="=" + "+".join(terms), value=saving)


def _energy(outcome: Outcome, sheet: _Sheet) -> Cells:
    result, cell = outcome.result, sheet.months.cell
    found: Cells = {}
    for service, given, ratio in ((HEATING, "heat", "cop"), (COOLING, "cold", "eer")):
        if not serves(outcome, service):
            continue
        item = Item(what=What.GIVEN, service=service)
        text = f"={cell(outcome.name, YEAR, item)}"
        found[given] = Formula(text=text, value=result.total(f"{service}_delivered_kwh"))
        value = result.cop_season(service)
        if value is not None:
            text = f"={cell(outcome.name, YEAR, Item(what=What.RATIO, service=service))}"
            found[ratio] = Formula(text=text, value=value)
    for carrier, kwh in outcome.energy_kwh.items():
        items = [
            one
            for one in sheet.months.items
            if one.what is What.USE and one.carrier == carrier and serves(outcome, one.service)
        ]
        text = "=" + "+".join(cell(outcome.name, YEAR, one) for one in items)
        found[f"use {carrier}"] = Formula(text=text, value=kwh)
    return found


def _chart(book: Book, page: Page, sheet: _Sheet, row: int) -> None:
    last = FIRST_ROW + len(sheet.comparison.outcomes) - 1

    def block(key: str) -> str:
        return page.block((FIRST_ROW, sheet.place(key)), (last, sheet.place(key)))

    currency = sheet.comparison.model.scenario.content.currency
    series: Sequence[Series] = [
        Series(
            name=page.cell(FIRST_ROW - 1, sheet.place("cost")),
            categories=block("name"),
            values=block("cost"),
            colour=CONTEXT,
            whiskers=(block("up"), block("down")),
        )
    ]
    texts = ChartTexts(title=page.cell(1, 0), across=f"Yearly cost, {currency}; line: range")
    high = 120 + 36 * len(sheet.comparison.outcomes)
    plot = Plot(kind=ChartKind.BARS, series=series, texts=texts, size_px=(780, high))
    add_chart(book, page, (row, 0), plot)
