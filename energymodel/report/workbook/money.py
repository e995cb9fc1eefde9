"""The page "Money": life-cycle cost, payback and returns of each option."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from energymodel.report.comparison.money_table import lowest, money_lines, study_line
from energymodel.report.figures.cash_flow_view import cash_flow_message, cash_flow_view
from energymodel.report.figures.option_looks import heated_by
from energymodel.report.workbook.book import FIRST_ROW, Book, Page
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.charts import ChartKind, ChartTexts, Plot, Series, add_chart
from energymodel.report.workbook.flows import FlowRows, Flows
from energymodel.report.workbook.inputs import Inputs
from energymodel.study.comparison.money import AgainstPresent, OptionMoney
from energymodel.study.comparison.outcome import Comparison

_EXTRA, _SAVED = 2, 3
_DASHES = ("solid", "dash", "round_dot", "dash_dot", "long_dash", "square_dot")
_MARKERS = ("circle", "none", "square", "none", "triangle", "none", "diamond")


def write_money(
    book: Book,
    comparison: Comparison,
    options: Sequence[OptionMoney],
    flows: Flows,
    inputs: Inputs,
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
    flows
        Their cash flows.
    inputs
        Discount rate.
    """
    currency = comparison.model.scenario.content.currency
    view = cash_flow_view(comparison, None)
    message = cash_flow_message(view)[0] if view.courses else study_line(comparison)
    page = book.page(
        "Money", title=study_line(comparison), message=message, columns=list(_columns(currency))
    )
    best = lowest(options)
    for row, option in enumerate(options, FIRST_ROW):
        style = Style.BEST if option is best else Style.PLAIN
        page.put_row(row, _row(page, row, option, (flows, inputs)), style)
    row = FIRST_ROW + len(options) + 1
    for line in money_lines(options, comparison):
        page.put(row, 0, line, Style.NOTE, form=Form.TEXT)
        row += 1
    _chart(book, page, (row + 1, options), (flows, comparison))


def _columns(currency: str) -> Iterator[Column]:
    yield Column(heading="Option", form=Form.TEXT, width=34)
    yield Column(heading="Services counted", form=Form.TEXT, width=16)
    yield Column(heading=f"Extra at the start, {currency}", width=11)
    yield Column(heading=f"Saved in the first year, {currency}", width=12)
    yield Column(heading="Simple payback, years", form=Form.ONE, width=10)
    yield Column(heading="Paid back year by year, years", form=Form.ONE, width=11)
    yield Column(heading="Discounted payback, years", form=Form.ONE, width=11)
    yield Column(heading=f"Life-cycle cost, {currency}", width=11)
    yield Column(heading=f"Net savings, {currency}", width=11)
    yield Column(heading="Savings to investment (SIR), ratio", form=Form.TWO, width=13)
    yield Column(heading="Adjusted rate of return, % a year", form=Form.PERCENT, width=12)
    yield Column(heading="Internal rate of return, % a year", form=Form.PERCENT, width=12)
    yield Column(heading=f"Level cost, {currency} a year", width=11)
    yield Column(heading="Discounted payback in words", form=Form.TEXT, width=60)


def _row(page: Page, row: int, option: OptionMoney, sources: tuple[Flows, Inputs]) -> list[Value]:
    flows, inputs = sources
    rows = flows.rows[option.name]
    cost = option.cost.total
    level = f"=-PMT({inputs.discount_rate},{flows.years},{page.near(row, 7)})"
    own: list[Value] = [
        Formula(text=f"=-{flows.worth(rows.total)}", value=cost),
        Formula(text=level, value=option.equivalent_annual_cost)
        if option.flow.study.discount.per_year
        else option.equivalent_annual_cost,
    ]
    against = option.against_present
    if against is None:
        services = "all of its own"
        return [option.name, services, *[None] * 5, own[0], *[None] * 4, own[1], ""]
    return [
        option.name,
        " and ".join(against.services),
        against.extra_at_start,
        against.yearly_saving,
        _simple(page, row, against),
        against.payback_years,
        against.measures.discounted_payback.years,
        own[0],
        *_measures(against, rows, flows),
        own[1],
        against.measures.discounted_payback.words,
    ]


def _simple(page: Page, row: int, against: AgainstPresent) -> Value:
    if against.simple.years is None or not against.yearly_saving:
        return None
    if abs(against.extra_at_start / against.yearly_saving - against.simple.years) > 1e-9:
        return against.simple.years
    text = f"={page.near(row, _EXTRA)}/{page.near(row, _SAVED)}"
    return Formula(text=text, value=against.simple.years)


def _measures(against: AgainstPresent, rows: FlowRows, flows: Flows) -> list[Value]:
    measures = against.measures
    net: Value = measures.net_savings
    rate = measures.rate_of_return.rate
    internal: Value = rate
    if rows.gain is not None:
        net = Formula(text=f"={flows.worth(rows.gain)}", value=measures.net_savings)
        if rate is not None and rate > 0:
            internal = Formula(text=f"=IRR({flows.block(rows.gain)})", value=rate)
    return [net, measures.saving_to_investment.value, measures.adjusted_return.value, internal]


def _chart(
    book: Book,
    page: Page,
    place: tuple[int, Sequence[OptionMoney]],
    sources: tuple[Flows, Comparison],
) -> None:
    row, options = place
    flows, comparison = sources
    looks = {one.name: heated_by(one.planned.table).value for one in comparison.outcomes}
    series = []
    for number, option in enumerate(options):
        cumulative = flows.rows[option.name].cumulative
        if cumulative is None or not option.carries:
            continue
        series.append(
            Series(
                name=page.cell(FIRST_ROW + number, 0),
                categories=flows.year_numbers,
                values=flows.block(cumulative),
                colour=looks[option.name],
                dash=_DASHES[number % len(_DASHES)],
                marker=_MARKERS[number % len(_MARKERS)],
            )
        )
    if not series:
        return
    currency = comparison.model.scenario.content.currency
    texts = ChartTexts(
        title=page.cell(1, 0),
        across="Years after installation, a",
        up=f"Gained against what is there now, {currency}",
    )
    plot = Plot(kind=ChartKind.LINES, series=series, texts=texts, size_px=(780, 400))
    add_chart(book, page, (row, 0), plot)
