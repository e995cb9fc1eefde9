"""The page "Defaults and sources": what was assumed, what the reader should know, from where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from energymodel.report.cautions import cautions_for
from energymodel.report.comparison.money_table import money_defaults
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form
from energymodel.report.workbook.page import FIRST_ROW
from energymodel.study.comparison.money import OptionMoney
from energymodel.study.comparison.outcome import Comparison

Entry = tuple[str, str, str, str]


def write_sources(book: Book, comparison: Comparison, options: Sequence[OptionMoney]) -> None:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    options
        Over the years.
    """
    entries = list(_entries(comparison, options))
    count = sum(kind == "default" for kind, *_ in entries)
    page = book.page(
        "Defaults and sources",
        title="Defaults used, notices, cautions and sources",
        message=f"{count} values were not given and were taken as listed here. Notices are as"
        f" computed with the values of {comparison.model.scenario.path.name}: they do not follow"
        " the blue cells",
        columns=[
            Column(heading="What", form=Form.TEXT, width=9),
            Column(heading="About", form=Form.WRAPPED, width=32),
            Column(heading="Value or text, with its unit", form=Form.WRAPPED, width=62),
            Column(heading="Source", form=Form.WRAPPED, width=82),
        ],
    )
    for row, entry in enumerate(entries, FIRST_ROW):
        page.put_row(row, entry)


def _entries(comparison: Comparison, options: Sequence[OptionMoney]) -> Iterator[Entry]:
    model = comparison.model
    for default in dict.fromkeys((*model.defaults, *money_defaults(options))):
        yield "default", default.name, default.value, default.source
    for notice in comparison.notices:
        yield "notice", notice.topic, notice.text, ""
    for price in model.scenario.content.price:
        source = model.scenario.content.price[price].source
        if source:
            yield "source", f"price of {price.replace('_', ' ')}", "", source
    yield "source", "weather", model.weather.site.name, model.weather.source
    yield from dict.fromkeys(_factors(comparison))
    yield from _units(comparison)
    for caution in cautions_for(comparison):
        yield "caution", "", caution.text, ""


def _factors(comparison: Comparison) -> Iterator[Entry]:
    for outcome in comparison.outcomes:
        for factor in outcome.emissions.factors:
            value = f"{factor.co2e_kg_per_kwh:.3f} kg CO2e per kWh; {factor.basis}"
            yield "source", f"emissions of {factor.carrier}", value, factor.source


def _units(comparison: Comparison) -> Iterator[Entry]:
    """One row for units that share a text."""
    found: dict[tuple[str, str], dict[str, None]] = {}
    for outcome in comparison.outcomes:
        for built in (outcome.planned.heating, outcome.planned.cooling):
            if built is None or built.unit is None:
                continue
            for part, text in built.unit.table.sources.items():
                found.setdefault((part, " ".join(text.split())), {})[built.unit.key] = None
    for (part, text), units in found.items():
        noun = "unit" if len(units) == 1 else "units"
        yield "source", f"{noun} {', '.join(units)}", part, text
