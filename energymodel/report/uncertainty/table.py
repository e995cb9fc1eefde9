"""Spread, chances and influences of an uncertainty run in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.report.console import console
from energymodel.report.uncertainty.words import answer_lines, best_option, chance
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.uncertainty.result import (
    OptionSpread,
    PaybackSpread,
    Quantiles,
    UncertaintyResult,
)

_PARTS = ("P10", "P50", "P90")
_LONGEST_YEARS = 99.5
_NO_PART = 0.005
"""Influences below this share are left out of the table."""


def print_uncertainty(
    result: UncertaintyResult, *, details: bool = False, written: Sequence[Path] = ()
) -> None:
    """Print an uncertainty run.

    Parameters
    ----------
    result
        Of all options.
    details
        Whether to rank the inputs for every option, and to list winters, defaults and notices.
    written
        Files that were written.
    """
    table = spread_table(result)
    out = console(needed=table)
    title = result.comparison.model.scenario.content.title
    if title:
        out.print(Text(title, style="bold"))
    for line in basis_lines(result):
        out.print(Text(line, style="dim"))
    out.print()
    out.print(table)
    chosen = best_option(result)
    for spread in result.options if details else [chosen]:
        if spread is not None and spread.influences:
            _print_influences(out, spread, result)
    out.print()
    for line in answer_lines(result, written):
        out.print(Text(line))
    if details:
        _print_details(out, result)


def basis_lines(result: UncertaintyResult) -> list[str]:
    """Return the lines above the table.

    Parameters
    ----------
    result
        Of all options.

    Returns
    -------
    list of str
        Weather, draws, what was varied.
    """
    weather = result.comparison.model.weather
    varied = ", ".join(f"{one.name} {one.range_text}" for one in result.inputs)
    return [
        f"Weather: {weather.site.name}, {weather.year_label}; {result.draws:,} draws, seed"
        f" {result.seed}",
        f"Varied: {varied}",
    ]


def spread_table(result: UncertaintyResult) -> Table:
    """Make the table of spreads and chances.

    Parameters
    ----------
    result
        Of all options.

    Returns
    -------
    Table
        One row per option, in the order of the comparison.
    """
    currency = result.comparison.model.scenario.content.currency
    sign = SIGNS.get(currency, currency)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 0, 0, 0), show_edge=False, expand=False)
    table.add_column("Option", min_width=24, max_width=34)
    like = frozenset(one.name for one in result.comparison.outcomes if one.comparable)
    columns = {
        f"Cost, {sign}/yr": [_amounts(one.cost) for one in result.options],
        f"Saves, {sign}/yr": [
            _amounts(one.saving if one.name in like else None) for one in result.options
        ],
        "Back, years": [
            _paid_back(one.payback if one.name in like else None) for one in result.options
        ],
    }
    for group, column in columns.items():
        table.add_column(f"{group}\n{_joined(_PARTS, column)}", justify="right", no_wrap=True)
    for head in (f"Within\n{result.within_years:g} yr", "Lowest\ncost", "Short\nof load"):
        table.add_column(head, justify="right", no_wrap=True)
    for number, spread in enumerate(result.options):
        name = spread.name + (" (there now)" if spread.present else "")
        groups = [_joined(column[number], column) for column in columns.values()]
        style = "bold" if spread is best_option(result) else ""
        table.add_row(Text(name), *groups, *_chances(spread, like), style=style)
    return table


def _joined(three: Sequence[str], column: Sequence[Sequence[str]]) -> str:
    """Set three percentiles under each other with those of the other options."""
    width = max(len(text) for texts in (*column, _PARTS) for text in texts)
    return " ".join(f"{text:>{width}}" for text in three)


def _amounts(found: Quantiles | None) -> list[str]:
    if found is None:
        return ["", "", ""]
    return [f"{round(value):,}" for value in (found.p10, found.p50, found.p90)]


def _paid_back(payback: PaybackSpread | None) -> list[str]:
    if payback is None:
        return ["", "", ""]
    found = payback.years
    return [_years(value) for value in (found.p10, found.p50, found.p90)]


def _years(years: float) -> str:
    if not np.isfinite(years):
        return "never"
    return f"{years:.0f}" if years < _LONGEST_YEARS else ">99"


def _chances(spread: OptionSpread, like: frozenset[str]) -> list[str]:
    payback = spread.payback if spread.name in like else None
    within = "" if payback is None else chance(payback.within_share)
    return [within, chance(spread.lowest_share), chance(spread.short_share)]


def influence_table(spread: OptionSpread, result: UncertaintyResult) -> Table:
    """Make the table of what moves an option most.

    Parameters
    ----------
    spread
        The option.
    result
        For the currency.

    Returns
    -------
    Table
        One row per input that has a part, the strongest first.
    """
    currency = result.comparison.model.scenario.content.currency
    sign = SIGNS.get(currency, currency)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False, expand=False)
    table.add_column(f"What moves the {spread.output}", min_width=28, max_width=34)
    table.add_column("Range", min_width=20)
    for head in (f"At low\n{sign}/yr", f"At high\n{sign}/yr", "Alone\n%", "With others\n%"):
        table.add_column(head, justify="right", no_wrap=True)
    for one in spread.influences:
        if max(one.total, one.first_order) < _NO_PART:
            continue
        shares = (one.first_order, one.total)
        table.add_row(
            Text(one.uncertain.name),
            Text(one.uncertain.range_text),
            *(f"{round(value):,}" for value in (one.at_low, one.at_high)),
            *(f"{max(100.0 * share, 0.0):.0f}" for share in shares),
        )
    return table


def _print_influences(out: Console, spread: OptionSpread, result: UncertaintyResult) -> None:
    out.print()
    out.print(Text(f"{spread.name}: share of the spread by input", style="bold"))
    out.print(influence_table(spread, result))


def _print_details(out: Console, result: UncertaintyResult) -> None:
    comparison = result.comparison
    groups = (
        ("Yearly cost in each winter, all else as likely", _winters(result)),
        ("Defaults used", [str(one) for one in (*result.defaults, *comparison.model.defaults)]),
        ("Notices", [str(one) for one in (*result.notices, *comparison.notices)]),
    )
    for title, entries in groups:
        if not entries:
            continue
        out.print()
        out.print(Text(title, style="bold"))
        for entry in entries:
            out.print(Text(f"- {entry}"))


def _winters(result: UncertaintyResult) -> list[str]:
    if not result.winter_labels:
        return []
    year = result.comparison.model.weather.year_label
    return [
        f"{spread.name}: "
        + ", ".join(
            f"{label} {cost:,.0f}"
            for label, cost in zip(result.winter_labels, spread.winter_costs, strict=True)
        )
        + f"; {year} {spread.likely_cost:,.0f}"
        for spread in result.options
    ]
