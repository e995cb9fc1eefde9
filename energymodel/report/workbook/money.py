"""The page "Money": life-cycle cost, payback and returns of each option."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from energymodel.report.comparison.money_table import lowest, money_lines, study_line
from energymodel.report.figures.option_looks import heated_by
from energymodel.report.numbers import money
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.charts import ChartKind, ChartTexts, Plot, Series, add_chart
from energymodel.report.workbook.flow_rows import Flows
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.live import money_words, quoted, tens, tens_words
from energymodel.report.workbook.measures import Measures, counted_years, level_cost
from energymodel.report.workbook.options import OptionsPage
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.report.workbook.printing import print_whole
from energymodel.study.comparison.money import OptionMoney
from energymodel.study.comparison.money_flows import upkeep_per_year
from energymodel.study.comparison.outcome import Comparison, Outcome

_DASHES = ("solid", "dash", "round_dot", "dash_dot", "long_dash", "square_dot")
_MARKERS = ("circle", "none", "square", "none", "triangle", "none", "diamond")
_NONE = "No option gives every service, carries the load and has an installed cost"
_MEANING = (
    "Against what is there now, on the services that it gives. Extra: less incentives taken off the"
    " price and what must be replaced anyway. Saved: energy and upkeep at today's prices.",
    "Paybacks are discounted only where the heading says so. Adjusted rate: savings put out again"
    " at the discount rate. Internal rate: where the gain changes its sign more than once, others"
    " may fit as well; then go by the net savings.",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """Everything that the rows are made of."""

    page: Page
    comparison: Comparison
    options: Sequence[OptionMoney]
    flows: Flows
    inputs: Inputs
    costs: OptionsPage
    keys: tuple[str, ...]

    def near(self, row: int) -> dict[str, str]:
        """Cells of a row by key of the column."""
        return {key: self.page.near(row, place) for place, key in enumerate(self.keys)}

    def block(self, key: str) -> str:
        """Column over all options."""
        column, last = self.keys.index(key), FIRST_ROW + len(self.options) - 1
        return self.page.block((FIRST_ROW, column), (last, column)).partition("!")[2]

    @property
    def currency(self) -> str:
        """Code of the currency."""
        return self.comparison.model.scenario.content.currency


def write_money(
    book: Book,
    comparison: Comparison,
    options: Sequence[OptionMoney],
    sources: tuple[Flows, Inputs, OptionsPage],
) -> None:
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
        Cash flows; discount rate; savings of the year.
    """
    flows, inputs, costs = sources
    columns = _columns(comparison.model.scenario.content.currency)
    page = book.page("Money", title="", message=None, columns=list(columns.values()))
    sheet = _Sheet(
        page=page,
        comparison=comparison,
        options=options,
        flows=flows,
        inputs=inputs,
        costs=costs,
        keys=tuple(columns),
    )
    print_whole(page)
    book.title(page, _study(sheet))
    page.say(_headline(sheet))
    for row, (outcome, option) in enumerate(
        zip(comparison.outcomes, options, strict=True), FIRST_ROW
    ):
        cells = _row(sheet, row, outcome, option)
        page.put_row(row, [cells.get(key) for key in columns])
    last, first = FIRST_ROW + len(options) - 1, page.near(FIRST_ROW, sheet.keys.index("rank"))
    book.bold_where(
        page, (FIRST_ROW, last), f'=AND(${first}<>"",${first}=MIN({sheet.block("rank")}))'
    )
    _chart(book, sheet, _write_notes(sheet, last + 2) + 1)


def _columns(currency: str) -> dict[str, Column]:
    return {
        "name": Column(heading="Option", form=Form.WRAPPED, width=32),
        "note": Column(heading="Remark", form=Form.WRAPPED, width=23),
        "services": Column(heading="Services counted", form=Form.WRAPPED, width=13),
        "extra": Column(heading=f"Extra at the start, {currency}", width=10),
        "saved": Column(heading=f"Saved in a year, {currency}", width=10),
        "simple": Column(heading="Simple payback, years", form=Form.ONE, width=9),
        "back": Column(heading="Paid back year by year, years", form=Form.ONE, width=10),
        "later": Column(heading="Discounted payback, years", form=Form.ONE, width=11),
        "cost": Column(heading=f"Life-cycle cost, {currency}", width=10),
        "net": Column(heading=f"Net savings, {currency}", width=10),
        "running": Column(heading=f"Running cost saved, present value, {currency}", width=12),
        "invested": Column(heading=f"Extra investment, present value, {currency}", width=12),
        "ratio": Column(heading="Savings to investment (SIR), ratio", form=Form.TWO, width=12),
        "adjusted": Column(
            heading="Adjusted rate of return, % a year", form=Form.PERCENT, width=11
        ),
        "internal": Column(
            heading="Internal rate of return, % a year", form=Form.PERCENT, width=11
        ),
        "level": Column(heading=f"Level cost, {currency} a year", width=10),
        "words": Column(heading="Discounted payback in words", form=Form.SET_IN, width=36),
        "rank": Column(heading=f"Life-cycle cost, if it carries the load, {currency}", width=12),
    }


def _row(sheet: _Sheet, row: int, outcome: Outcome, option: OptionMoney) -> dict[str, Value]:
    near, against = sheet.near(row), option.against_present
    found: dict[str, Value] = {
        "name": option.name,
        "note": _note(sheet, option, near["rank"]),
        "services": "all of its own" if against is None else " and ".join(against.services),
    }
    if not option.present and not (option.comparable and option.cost_given):
        return found | {"services": ""}
    rows, rate = sheet.flows.rows[option.name], sheet.inputs.discount_rate
    cost = Formula(text=f"=-{sheet.flows.worth(rows.total)}", value=option.cost.total)
    level = level_cost(near["cost"], sheet.flows, rate, option.equivalent_annual_cost)
    found |= {"cost": cost, "level": level}
    if option.carries:
        found["rank"] = Formula(text=f"={near['cost']}", value=option.cost.total)
    if against is None or rows.gains is None:
        return found
    measures = Measures(
        flows=sheet.flows, rows=rows, gains=rows.gains, against=against, rate=rate, near=near
    )
    return found | {
        "extra": measures.extra(),
        "saved": _saved(sheet, outcome, against.yearly_saving),
        "simple": measures.simple(),
        "back": measures.paid_back(),
        "later": measures.discounted(),
        "net": measures.net(),
        "running": measures.running_saved(),
        "invested": measures.invested(),
        "ratio": measures.ratio(),
        "adjusted": measures.adjusted(),
        "internal": measures.internal(),
        "words": measures.words(),
    }


def _saved(sheet: _Sheet, outcome: Outcome, saving: float) -> Value:
    """Energy, as on Options, and upkeep."""
    present = sheet.comparison.present
    there = upkeep_per_year(present.planned.table) if present is not None else 0.0
    upkeep = there - upkeep_per_year(outcome.planned.table)
    text = f"={sheet.costs.cell(outcome.name, 'saving')}"
    return Formula(text=text + (f"{upkeep:+.15g}" if upkeep else ""), value=saving)


def _note(sheet: _Sheet, option: OptionMoney, rank: str) -> Value:
    """Remark; which option has the lowest life-cycle cost follows the inputs."""
    first = ["there now"] if option.present else []
    against = option.against_present
    if against is not None and against.lost_services:
        first.append(f"gives no {' and no '.join(against.lost_services)}")
    elif option.short_words:
        first.append(option.short_words)
    first += [] if option.cost_given else ["no installed cost"]
    plain = ", ".join(first)
    if not (option.carries and option.cost_given):
        return plain
    marked = ", ".join([*first, "lowest life-cycle cost"])
    value = marked if option is lowest(sheet.options) else plain
    text = f"=IF({rank}=MIN({sheet.block('rank')}),{quoted(marked)},{quoted(plain)})"
    return Formula(text=text, value=value)


def _study(sheet: _Sheet) -> Value:
    """Say which years, rate and money, with the rate of Inputs."""
    line, rate = study_line(sheet.comparison), sheet.comparison.model.scenario.content.money
    percent = f"{rate.discount_rate:.1%}".replace("%", " %")
    before, found, after = line.partition(percent)
    if not found:
        return line
    cell = f'FIXED(100*{sheet.inputs.discount_rate},1)&" %"'
    return Formula(text=f"={quoted(before)}&{cell}&{quoted(after)}", value=line)


def _headline(sheet: _Sheet) -> Value:
    """Say which option has the lowest life-cycle cost, and when it is paid back, discounted."""
    best = lowest(sheet.options)
    if best is None:
        return _NONE
    ranked, currency = sheet.block("rank"), sheet.currency
    place = f"MATCH(MIN({ranked}),{ranked},0)"
    years = f" has the lowest life-cycle cost over {counted_years(sheet.flows.years)}, "
    left_out = _left_out(sheet.options)
    text = f"INDEX({sheet.block('name')},{place})&{quoted(years)}&"
    text += money_words(f"MIN({ranked})", currency)
    value = f"{best.name}{years}{money(best.cost.total, currency)}"
    present = next((one for one in sheet.options if one.present), None)
    if present is None:
        return Formula(text=f"={text}&{quoted(left_out)}", value=value + left_out)
    net, words = (f"INDEX({sheet.block(key)},{place})" for key in ("net", "words"))
    less = f'": about "&{tens_words(net, currency)}&IF({net}<0," more"," less")'
    less += f'&" than what is there now; with discounting "&{words}'
    now = f"INDEX({sheet.block('name')},{place})={quoted(present.name)}"
    value += ", and is what is there now"
    if best.against_present is not None:
        measures = best.against_present.measures
        saved = measures.net_savings
        value = (
            f"{value.removesuffix(', and is what is there now')}: about {tens(saved, currency)}"
            f" {'less' if saved >= 0 else 'more'} than what is there now; with discounting"
            f" {measures.discounted_payback.words}"
        )
    text = f'{text}&IF({now},", and is what is there now",{less})'
    return Formula(text=f"={text}&{quoted(left_out)}", value=value + left_out)


def _left_out(options: Sequence[OptionMoney]) -> str:
    """Say that an option without an installed cost may still be the better one."""
    count = sum(not one.cost_given for one in options)
    if not count:
        return ""
    return f" ({count} without an installed cost {'is' if count == 1 else 'are'} left out)"


def _write_notes(sheet: _Sheet, row: int) -> int:
    """Write what the columns mean, and what follows no input."""
    for line in _MEANING:
        row = sheet.page.put_lines(row, line, Style.NOTE)
    # the answer and the meaning of the columns stand on the page already
    fixed = money_lines(sheet.options, sheet.comparison)[1:-1]
    if fixed:
        name = sheet.comparison.model.scenario.path.name
        head = f"As computed with the values of {name}; these lines do not follow the blue cells:"
        row += 1
        for line in (head, *fixed):
            row = sheet.page.put_lines(row, line, Style.FIXED)
    return row


def _chart(book: Book, sheet: _Sheet, row: int) -> None:
    series = list(_courses(sheet))
    if not series:
        return
    texts = ChartTexts(
        title="Gained so far against what is there now, in present value (discounted)",
        across="Years after installation",
        up=f"Present value, {sheet.currency}",
    )
    plot = Plot(kind=ChartKind.LINES, series=series, texts=texts, size_px=(900, 400))
    add_chart(book, sheet.page, (row, 0), plot)


def _courses(sheet: _Sheet) -> Iterator[Series]:
    looks = {one.name: heated_by(one.planned.table).value for one in sheet.comparison.outcomes}
    for number, option in enumerate(sheet.options):
        gains = sheet.flows.rows[option.name].gains
        if gains is None or not option.comparable:
            continue
        yield Series(
            name=sheet.page.cell(FIRST_ROW + number, 0),
            categories=sheet.flows.year_numbers,
            values=sheet.flows.block(gains.discounted),
            colour=looks[option.name],
            dash=_DASHES[number % len(_DASHES)],
            marker=_MARKERS[number % len(_MARKERS)],
        )
