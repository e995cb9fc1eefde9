"""The page "Options": what each option is, what it costs in a year, and what that is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from energymodel.report.comparison.cost_lines import cost_lines
from energymodel.report.figures.style import CONTEXT
from energymodel.report.workbook.bills import Bills
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Formula, Style, Value
from energymodel.report.workbook.charts import ChartKind, ChartTexts, Plot, Series, add_chart
from energymodel.report.workbook.flow_lines import closing_terms
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.items import Item, What, serves
from energymodel.report.workbook.live import Term, quoted, sum_cell
from energymodel.report.workbook.months import YEAR, Months
from energymodel.report.workbook.option_columns import option_columns
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.report.workbook.printing import print_beside
from energymodel.report.workbook.ranges import Ends
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.cost_range import range_words
from energymodel.study.comparison.outcome import Comparison, Outcome

Cells = dict[str, Value]
"""Values by key of the column, in the order of the page."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OptionsPage:
    """The page, for formulas on other pages.

    Parameters
    ----------
    page
        The page.
    comparison
        All options.
    keys
        Of the columns, in their order.
    """

    page: Page
    comparison: Comparison
    keys: tuple[str, ...]

    def cell(self, name: str, key: str) -> str:
        """Name a cell.

        Parameters
        ----------
        name
            Of the option.
        key
            Of the column.

        Returns
        -------
        str
            Cell.
        """
        names = [one.name for one in self.comparison.outcomes]
        return self.page.cell(FIRST_ROW + names.index(name), self.keys.index(key))

    def block(self, key: str) -> str:
        """Name a column over all options.

        Parameters
        ----------
        key
            Of the column.

        Returns
        -------
        str
            Block of cells.
        """
        column, last = self.keys.index(key), FIRST_ROW + len(self.comparison.outcomes) - 1
        return self.page.block((FIRST_ROW, column), (last, column))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """Everything that the rows are made of."""

    options: OptionsPage
    inputs: Inputs
    months: Months
    bills: Bills
    ends: Mapping[str, Ends]

    @property
    def comparison(self) -> Comparison:
        """All options."""
        return self.options.comparison


def write_options(
    book: Book,
    comparison: Comparison,
    sources: tuple[Inputs, Months, Bills, Mapping[str, Ends]],
) -> OptionsPage:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    sources
        Cells for formulas.

    Returns
    -------
    OptionsPage
        Cells for formulas on other pages.
    """
    inputs, months, bills, ends = sources
    columns = option_columns(comparison)
    page = book.page(
        "Options", title="Options side by side", message=None, columns=list(columns.values())
    )
    print_beside(book, page, list(columns).index("again"))
    options = OptionsPage(page=page, comparison=comparison, keys=tuple(columns))
    sheet = _Sheet(options=options, inputs=inputs, months=months, bills=bills, ends=ends)
    for row, outcome in enumerate(comparison.outcomes, FIRST_ROW):
        cells = _row(sheet, row, outcome)
        page.put_row(row, [cells.get(key) for key in columns])
    last = FIRST_ROW + len(comparison.outcomes) - 1
    rank = page.near(FIRST_ROW, options.keys.index("rank"))
    lowest = f"{rank}=MIN({options.block('rank')})"
    book.bold_where(page, (FIRST_ROW, last), f'=AND(${rank}<>"",${lowest})')
    words = f"Lowest and highest: {range_words(comparison)}; see Ranges."
    below = page.put_lines(last + 2, words, Style.NOTE)
    _chart(book, options, below + 1)
    return options


def _row(sheet: _Sheet, row: int, outcome: Outcome) -> Cells:
    near = {
        key: sheet.options.page.near(row, place) for place, key in enumerate(sheet.options.keys)
    }
    cells: Cells = {
        "name": outcome.name,
        "note": _note(sheet, outcome, near["rank"]),
        "heats": _words(outcome.planned.table.heating),
        "cools": _words(outcome.planned.table.cooling),
        "installed": _installed(sheet, outcome),
        "again": Formula(text=f"={near['name']}", value=outcome.name),
        "account": sum_cell(sheet.bills.account(outcome.name), outcome.account_cost),
        "co2e": outcome.emissions.co2e_kg,
        "peak": outcome.result.peak_hour_kw,
        "unmet": outcome.coverage.unmet_share if outcome.coverage else None,
    }
    cells |= _services(outcome, sheet)
    cells |= _costs(outcome, sheet, near)
    cells |= _energy(outcome, sheet)
    return cells


def _note(sheet: _Sheet, outcome: Outcome, rank: str) -> Value:
    """Remark; which option costs least follows the inputs."""
    load, rest = sheet.comparison.model.load, []
    if load.heating is not None and load.cooling is not None and len(outcome.service_cost) == 1:
        rest.append(f"{next(iter(outcome.service_cost))} only")
    if outcome.short_words:
        rest.append(outcome.short_words)
    first = ["there now"] if outcome.present else []
    plain = ", ".join([*first, *rest])
    if not outcome.carries:
        return plain
    marked = ", ".join([*first, "lowest yearly cost", *rest])
    lowest = f"{rank}=MIN({sheet.options.block('rank')})"
    value = marked if outcome is sheet.comparison.cheapest else plain
    return Formula(text=f"=IF({lowest},{quoted(marked)},{quoted(plain)})", value=value)


def _installed(sheet: _Sheet, outcome: Outcome) -> Value:
    if outcome.name not in sheet.inputs.installed:
        return "not given"
    cost = outcome.planned.table.installed_cost
    return Formula(text=f"={sheet.inputs.installed[outcome.name]}", value=cost)


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


def _costs(outcome: Outcome, sheet: _Sheet, near: Mapping[str, str]) -> Cells:
    ends, cost = sheet.ends[outcome.name], outcome.yearly_cost
    low, high = min(ends.low.value, cost), max(ends.high.value, cost)
    lines = cost_lines(outcome, sheet.comparison.model.prices)
    billed = sum(line.year for line in lines)
    return {
        "cost": Formula(text=f"=SUM({near[HEATING]}:{near['account']})", value=cost),
        "lines": Formula(text=f"={sheet.bills.totals[outcome.name]}", value=billed),
        "check": Formula(
            text=f"=ROUND({near['cost']}-{near['lines']},6)", value=round(cost - billed, 6) + 0.0
        ),
        "low": Formula(text=f"=MIN({near['cost']},{ends.low.text})", value=low),
        "high": Formula(text=f"=MAX({near['cost']},{ends.high.text})", value=high),
        "saving": _saving(outcome, sheet),
        "rank": _rank(outcome, sheet, near),
        "up": Formula(text=f"={near['high']}-{near['cost']}", value=high - cost),
        "down": Formula(text=f"={near['cost']}-{near['low']}", value=cost - low),
    }


def _like(comparison: Comparison) -> list[str]:
    """Services by which the options are ranked: those there now, else those of the room."""
    if comparison.present is not None:
        return list(comparison.present.service_cost)
    load = comparison.model.load
    both = ((HEATING, load.heating), (COOLING, load.cooling))
    return [service for service, line in both if line is not None]


def _rank(outcome: Outcome, sheet: _Sheet, near: Mapping[str, str]) -> Value:
    if not outcome.carries:
        return None
    given = list(outcome.service_cost)
    keys = [one for one in _like(sheet.comparison) if one in given]
    keys += ["account"] if given and given[0] in keys else []
    text = "+".join(near[key] for key in keys) or "0"
    return Formula(text=f"={text}", value=outcome.like_cost)


def _saving(outcome: Outcome, sheet: _Sheet) -> Value:
    """Cost of the shared services now less with the option, and what a closed account saves."""
    against, present = outcome.against_present, sheet.comparison.present
    if against is None or present is None or not outcome.comparable:
        return None
    shared = [one for one in present.service_cost if one in outcome.service_cost]
    there, here = (_of_services(sheet, one, shared) for one in (present, outcome))
    texts = [term.text for term in there] + [""]
    text = "+".join(texts[:-1]) + "".join(f"-{term.text}" for term in here)
    if next(iter(outcome.service_cost), None) not in shared:
        text += "".join(f"-{term.text}" for term in closing_terms(sheet.bills, outcome))
    saving = against.payback.yearly_saving
    return Formula(text=f"={text}", value=saving) if shared else saving


def _of_services(sheet: _Sheet, outcome: Outcome, shared: Sequence[str]) -> list[Term]:
    """Cells of some services, and of the account where it is counted in one of them."""
    cost = outcome.service_cost
    keys = {name: cost[name] for name in shared}
    if next(iter(cost), None) in shared:
        keys["account"] = outcome.account_cost
    page, names = sheet.options, outcome.name
    return [
        Term(text=page.cell(names, key).partition("!")[2], value=value)
        for key, value in keys.items()
    ]


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


def _chart(book: Book, options: OptionsPage, row: int) -> None:
    page, currency = options.page, options.comparison.model.scenario.content.currency
    unseen = Series(
        name=page.cell(FIRST_ROW - 1, options.keys.index("high")),
        categories=options.block("name"),
        values=options.block("high"),
        colour="",
    )
    costs = Series(
        name=page.cell(FIRST_ROW - 1, options.keys.index("cost")),
        categories=options.block("name"),
        values=options.block("cost"),
        colour=CONTEXT,
        whiskers=(options.block("up"), options.block("down")),
    )
    texts = ChartTexts(
        title="Yearly cost of each option",
        across=f"{currency} a year; line: from lowest to highest",
    )
    high = 120 + 36 * len(options.comparison.outcomes)
    plot = Plot(kind=ChartKind.BARS, series=[unseen, costs], texts=texts, size_px=(780, high))
    add_chart(book, page, (row, 0), plot)
