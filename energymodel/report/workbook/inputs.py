"""The page "Inputs": what formulas use, and everything as it was entered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from energymodel import __version__
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.report.workbook.printing import print_upright
from energymodel.scenario.fields import plain_record
from energymodel.scenario.prices import CarrierPrice
from energymodel.study.comparison.outcome import Comparison

COLUMNS = (
    Column(heading="Input", form=Form.WRAPPED, width=50),
    Column(heading="Value", form=Form.TEXT, width=40),
    Column(heading="Unit", form=Form.SET_IN, width=18),
    Column(heading="Remark", form=Form.WRAPPED, width=44),
)
_LIVE = "blue: may be changed"
FOLLOWS = (
    "Blue cells may be changed. All money follows, on Options, Months, Bills, Ranges, Cash flow and"
    " Money, with the headlines and the charts."
)
STAYS = (
    "What stays: energy, loads, weather and emissions, which are results of the model; bills under"
    " a tariff; and what is marked as computed."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inputs:
    """Cells that other pages refer to.

    Parameters
    ----------
    price, kwh_per_unit, per_kwh
        By carrier with a flat price: price per unit of sale, energy in it, price per kWh.
    standing
        Standing charge a year by carrier with a flat price.
    installed
        Installed cost by name of the option; without those for which none is given.
    discount_rate
        Per year.
    page
        The page.
    prices
        As entered, by carrier.
    """

    price: Mapping[str, str]
    kwh_per_unit: Mapping[str, str]
    per_kwh: Mapping[str, str]
    standing: Mapping[str, str]
    installed: Mapping[str, str]
    discount_rate: str
    page: Page
    prices: Mapping[str, CarrierPrice]


Row = tuple[str, Value, str, str, Style, Form]


def write_inputs(book: Book, comparison: Comparison) -> Inputs:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.

    Returns
    -------
    Inputs
        Cells for formulas.
    """
    content = comparison.model.scenario.content
    page = book.page(
        "Inputs",
        title=content.title or "Yearly cost of the options",
        message=None,
        columns=COLUMNS,
    )
    print_upright(page, rows=len(list(entered(comparison))) + 2 * len(comparison.outcomes))
    page.put(2, 0, FOLLOWS, Style.NOTE, form=Form.TEXT)
    page.put(3, 0, STAYS, Style.NOTE, form=Form.TEXT)
    row = _section(page, FIRST_ROW, "Used by formulas")
    row, prices = _prices(page, row, comparison)
    row, installed = _installed(page, row, comparison)
    rate = page.cell(row, 1)
    row = _put(page, row, _rate(comparison))
    row = _section(page, row + 1, "What was run")
    for entry in _facts(comparison):
        row = _put(page, row, entry)
    row = _section(page, row + 1, "As entered in the scenario file")
    for path, text in entered(comparison):
        row = _put(page, row, (path, text, "", "", Style.PLAIN, Form.WRAPPED))
    return Inputs(
        price=prices["price"],
        kwh_per_unit=prices["kwh"],
        per_kwh=prices["per_kwh"],
        standing=prices["standing"],
        installed=installed,
        discount_rate=rate,
        page=page,
        prices=comparison.model.prices,
    )


def _section(page: Page, row: int, words: str) -> int:
    for column, text in enumerate([words, "", "", ""]):
        page.put(row, column, text, Style.SECTION, form=Form.TEXT)
    return row + 1


def _put(page: Page, row: int, entry: Row) -> int:
    name, value, unit, remark, style, form = entry
    page.put(row, 0, name)
    page.put(row, 1, value, style, form=form)
    page.put(row, 2, unit)
    page.put(row, 3, remark)
    return row + 1


def _prices(page: Page, row: int, comparison: Comparison) -> tuple[int, dict[str, dict[str, str]]]:
    cells: dict[str, dict[str, str]] = {"price": {}, "kwh": {}, "per_kwh": {}, "standing": {}}
    counted = {name for one in comparison.outcomes for name in one.standing_charges}
    currency = comparison.model.scenario.content.currency
    for carrier, price in comparison.model.prices.items():
        if price.house is not None:
            row = _put(page, row, _by_tariff(price))
            continue
        for offset, key in enumerate(cells):
            cells[key][carrier] = page.cell(row + offset, 1)
        for entry in _flat(price, currency, cells):
            row = _put(page, row, entry)
        row = _put(page, row, _standing(price, currency, counted=carrier in counted))
    return row, cells


def _by_tariff(price: CarrierPrice) -> Row:
    remark = "bill with the option less bill without; see Bills"
    return f"Price of {price.carrier}", price.text, "", remark, Style.PLAIN, Form.WRAPPED


def _flat(price: CarrierPrice, currency: str, cells: dict[str, dict[str, str]]) -> Iterator[Row]:
    name = price.carrier
    paid = price.per_kwh * price.kwh_per_unit
    yield (
        f"Price of {name}",
        paid,
        f"{currency} per {price.per}",
        _LIVE,
        Style.INPUT,
        Form.FOUR,
    )
    fixed = price.kwh_per_unit == 1.0
    yield (
        f"Energy in a {price.per} of {name}",
        price.kwh_per_unit,
        f"kWh per {price.per}",
        "" if fixed else f"{_LIVE}; higher heating value",
        Style.PLAIN if fixed else Style.INPUT,
        Form.FOUR,
    )
    formula = f"={cells['price'][name]}/{cells['kwh'][name]}"
    yield (
        f"Price of {name} per kWh",
        Formula(text=formula, value=price.per_kwh),
        f"{currency} per kWh",
        "",
        Style.PLAIN,
        Form.SIX,
    )


def _standing(price: CarrierPrice, currency: str, *, counted: bool) -> Row:
    """Blue only where an option opens or closes the account: elsewhere it changes nothing."""
    remark = "paid in any case, not counted" if price.fixed_per_year else ""
    return (
        f"Standing charge of {price.carrier}",
        price.fixed_per_year,
        f"{currency} a year",
        f"{_LIVE}; of accounts that open or close" if counted else remark,
        Style.INPUT if counted else Style.PLAIN,
        Form.TWO,
    )


def _installed(page: Page, row: int, comparison: Comparison) -> tuple[int, dict[str, str]]:
    currency = comparison.model.scenario.content.currency
    cells = {}
    for outcome in comparison.outcomes:
        name, cost = f"Installed cost: {outcome.name}", outcome.planned.table.installed_cost
        entry: Row = (name, cost, currency, _LIVE, Style.INPUT, Form.WHOLE)
        if outcome.cost_given:
            cells[outcome.name] = page.cell(row, 1)
        else:
            remark = "give installed_cost in the scenario file"
            entry = (name, "not given", currency, remark, Style.PLAIN, Form.TEXT)
        row = _put(page, row, entry)
    return row, cells


def _rate(comparison: Comparison) -> Row:
    money = comparison.model.scenario.content.money
    kind = "real, constant money" if money.rates == "real" else "nominal, current money"
    return (
        "Discount rate",
        money.discount_rate,
        "per year",
        f"{_LIVE}; {kind}",
        Style.INPUT,
        Form.PERCENT,
    )


def _facts(comparison: Comparison) -> Iterator[Row]:
    model = comparison.model
    facts: list[tuple[str, Value, str, Form]] = [
        ("Scenario file", model.scenario.path.name, "", Form.WRAPPED),
        ("Program", f"energymodel {__version__}", "", Form.TEXT),
        ("Kind of result", "estimate, not a quotation or guarantee", "", Form.TEXT),
        ("Weather", f"{model.weather.site.name}, {model.weather.year_label}", "", Form.WRAPPED),
        ("Currency", model.scenario.content.currency, "", Form.TEXT),
        (
            "Years of the study",
            float(model.scenario.content.money.study_years),
            "years",
            Form.WHOLE,
        ),
    ]
    for name, value, unit, form in facts:
        yield (name, value, unit, "", Style.PLAIN, form)


def entered(comparison: Comparison) -> Iterator[tuple[str, str]]:
    """List every field of the scenario file as it is written there.

    Parameters
    ----------
    comparison
        All options.

    Yields
    ------
    path, text : str
        Such as "room.heating.design_load" and "9.5 kBtu/h"; the checked values in SI units where
        the scenario was not read from a file.
    """
    scenario = comparison.model.scenario
    written = scenario.written
    if not written:
        written = plain_record(scenario.content, only_given=True)
    yield from _flattened("", written)


def _flattened(path: str, value: object) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for key, item in value.items():
            yield from _flattened(f"{path}.{key}" if path else str(key), item)
    elif isinstance(value, list) and any(isinstance(item, Mapping) for item in value):
        for number, item in enumerate(value, 1):
            yield from _flattened(f"{path}[{number}]", item)
    elif isinstance(value, list):
        yield path, ", ".join(_word(item) for item in value)
    else:
        yield path, _word(value)


def _word(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.15g}"
    return value.isoformat() if isinstance(value, date) else str(value)
