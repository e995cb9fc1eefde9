"""The page "Ranges": every corner of the uncertain inputs, with its cost at today's prices."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from energymodel.report.workbook.bills import Bills, Part
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.corners import Corners, option_corners
from energymodel.report.workbook.inputs import Inputs
from energymodel.report.workbook.live import Term
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.report.workbook.printing import print_whole
from energymodel.scenario.prices import carrier_of
from energymodel.scenario.ranges_schema import RangesTable
from energymodel.study.comparison.cost_range import range_words
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.uncertainty.inputs import Kind, UncertainInput, uncertain_inputs

_FORMS = {Kind.HEAT_PUMP: Form.TWO, Kind.BURNER: Form.TWO, Kind.SHIFT: Form.ONE}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """Lowest and highest yearly cost of an option over its corners.

    Parameters
    ----------
    low, high
        Blocks of cells with their values: the least of one, the most of the other.
    """

    low: Term
    high: Term


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """The page while it is written."""

    page: Page
    inputs: Inputs
    bills: Bills
    varied: tuple[UncertainInput, ...]
    carriers: tuple[str, ...]
    factors: Mapping[str, tuple[Term, Term]]

    @property
    def last(self) -> int:
        """Column of the highest cost."""
        return 1 + len(self.varied) + len(self.carriers) + 2


def write_ranges(
    book: Book, comparison: Comparison, inputs: Inputs, bills: Bills
) -> dict[str, Ends]:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    inputs
        Prices.
    bills
        Charges and other use.

    Returns
    -------
    dict of Ends
        By name of the option.
    """
    corners = option_corners(comparison)
    varied = tuple(dict.fromkeys(one for found in corners.values() for one in found.values))
    carriers = tuple(dict.fromkeys(name for one in corners.values() for name in one.energy_kwh))
    currency = comparison.model.scenario.content.currency
    page = book.page(
        "Ranges",
        title="Lowest and highest cost of each option",
        message="Each row is one combination of the ends of what is not known exactly: what the"
        " option then uses, and what that costs at the lowest and highest prices",
        columns=list(_columns(varied, carriers, currency)),
    )
    print_whole(page)
    factors, row = _write_factors(page, comparison, inputs, 1 + len(varied) + len(carriers) + 1)
    sheet = _Sheet(
        page=page,
        inputs=inputs,
        bills=bills,
        varied=varied,
        carriers=carriers,
        factors=factors,
    )
    ends = {}
    for outcome in comparison.outcomes:
        ends[outcome.name], row = _write_option(sheet, row + 1, outcome, corners[outcome.name])
    page.put_lines(row + 1, f"Varied: {range_words(comparison)}.", Style.NOTE)
    return ends


def _columns(
    varied: Sequence[UncertainInput], carriers: Sequence[str], currency: str
) -> Iterator[Column]:
    yield Column(heading="Option", form=Form.TEXT, width=38)
    for one in varied:
        unit = ", K" if one.kind is Kind.SHIFT else ", share of likely"
        if one.kind in (Kind.HEAT_PUMP, Kind.BURNER):
            unit = ", share of rated"
        heading = f"{one.name.capitalize()}{unit}"
        yield Column(heading=heading, form=_FORMS.get(one.kind, Form.TWO), width=13)
    for carrier in carriers:
        yield Column(heading=f"{carrier.capitalize()}, kWh a year", form=Form.ONE, width=12)
    yield Column(
        heading=f"Bills under a tariff, {currency} a year; do not follow", form=Form.TWO, width=14
    )
    yield Column(heading=f"At the lowest prices, {currency} a year", form=Form.TWO, width=13)
    yield Column(heading=f"At the highest prices, {currency} a year", form=Form.TWO, width=13)


def _write_factors(
    page: Page, comparison: Comparison, inputs: Inputs, column: int
) -> tuple[dict[str, tuple[Term, Term]], int]:
    """Write the ends of the flat prices, as factors on the price of Inputs."""
    table = comparison.model.scenario.content.ranges or RangesTable()
    given = {carrier_of(key): one for key, one in table.price.items()}
    found, row = {}, FIRST_ROW
    for one in uncertain_inputs(comparison.model, assumed=False):
        if one.kind is not Kind.PRICE or one.carrier not in inputs.price:
            continue
        page.put(row, 0, f"Price of {one.carrier} over that of Inputs", Style.NOTE)
        ends = (
            (given[one.carrier].low, min(one.low, 1.0)),
            (
                given[one.carrier].high,
                max(one.high, 1.0),
            ),
        )
        terms = []
        for place, ((end, value), bound) in enumerate(zip(ends, ("MIN", "MAX"), strict=True)):
            text = f"={bound}(1,{end!r}/{inputs.price[one.carrier]})"
            cell: Value = value if isinstance(end, str) else Formula(text=text, value=value)
            page.put(row, column + place, cell, form=Form.THREE)
            terms.append(Term(text=page.near(row, column + place), value=value))
        found[one.carrier] = terms[0], terms[1]
        row += 1
    return found, row


def _write_option(sheet: _Sheet, row: int, outcome: Outcome, corners: Corners) -> tuple[Ends, int]:
    page, first = sheet.page, row
    lows, highs = [], []
    for corner in range(len(corners)):
        page.put(row, 0, outcome.name)
        for place, one in enumerate(sheet.varied, 1):
            if one in corners.values:
                page.put(row, place, float(corners.values[one][corner]))
        for place, carrier in enumerate(sheet.carriers, 1 + len(sheet.varied)):
            if carrier in corners.energy_kwh:
                page.put(row, place, float(corners.energy_kwh[carrier][corner]))
        fixed = float(corners.fixed_cost[corner])
        if not abs(fixed) < 1e-9:
            page.put(row, sheet.last - 2, fixed)
        low, high = (_cost(sheet, row, (outcome, corners, corner), end) for end in (0, 1))
        page.put(row, sheet.last - 1, low.formula())
        page.put(row, sheet.last, high.formula())
        lows.append(low.value)
        highs.append(high.value)
        row += 1
    low_cells, high_cells = (
        page.block((first, column), (row - 1, column)) for column in (sheet.last - 1, sheet.last)
    )
    ends = Ends(
        low=Term(text=low_cells, value=min(lows)), high=Term(text=high_cells, value=max(highs))
    )
    return ends, row


def _cost(sheet: _Sheet, row: int, entry: tuple[Outcome, Corners, int], end: int) -> Term:
    """Charges, what follows no price, and each carrier at its cheaper or dearer end."""
    outcome, corners, corner = entry
    charges = sheet.bills.account(outcome.name, part=Part.CHARGES)
    texts = [sheet.page.near(row, sheet.last - 2), *(term.text for term in charges)]
    value = float(corners.fixed_cost[corner]) + sum(term.value for term in charges)
    for carrier in dict.fromkeys((*sheet.carriers, *sheet.inputs.price)):
        energy = _energy(sheet, row, entry, carrier)
        if energy is None:
            continue
        # as in the comparison, a price is varied only for an option that heats or cools with it
        ends = sheet.factors.get(carrier) if carrier in outcome.energy_kwh else None
        if ends is None:
            texts.append(energy.text)
            value += energy.value
            continue
        bound, choose = (("MIN", min), ("MAX", max))[end]
        products = ",".join(f"{factor.text}*({energy.text})" for factor in ends)
        texts.append(f"{bound}({products})")
        value += choose(factor.value * energy.value for factor in ends)
    return Term(text="+".join(texts), value=value)


def _energy(
    sheet: _Sheet, row: int, entry: tuple[Outcome, Corners, int], carrier: str
) -> Term | None:
    outcome, corners, corner = entry
    other = sheet.bills.account(outcome.name, carrier, Part.OTHER_USE)
    texts, value = [term.text for term in other], sum(term.value for term in other)
    if carrier in corners.energy_kwh:
        place = 1 + len(sheet.varied) + sheet.carriers.index(carrier)
        texts.append(f"{sheet.page.near(row, place)}*{sheet.inputs.per_kwh[carrier]}")
        price = sheet.inputs.prices[carrier].per_kwh
        value += float(corners.energy_kwh[carrier][corner]) * price
    return Term(text="+".join(texts), value=value) if texts else None
