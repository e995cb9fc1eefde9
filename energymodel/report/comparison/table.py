"""The comparison as a table in the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.building.load import LoadLine
from energymodel.report.comparison.against_now import payback_cell, saving_cell
from energymodel.report.comparison.closing import closing_lines, further_lines
from energymodel.report.comparison.details import print_details
from energymodel.report.comparison.energy_table import energy_table
from energymodel.report.comparison.range_words import range_text
from energymodel.report.console import console
from energymodel.report.numbers import Display
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.cost_range import CostRange, cost_ranges
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.units import KWH_PER_MMBTU


def print_comparison(
    comparison: Comparison, *, us: bool, details: bool = False, written: Sequence[Path] = ()
) -> None:
    """Print a comparison.

    Parameters
    ----------
    comparison
        All options.
    us
        US units, or SI.
    details
        Whether to list defaults, notices and all cautions.
    written
        Files that were written.
    """
    show, ranges = Display(us=us), cost_ranges(comparison)
    table = comparison_table(comparison, show, ranges)
    out = console(needed=table)
    title = comparison.model.scenario.content.title
    if title:
        out.print(Text(title, style="bold"))
    for line in basis_lines(comparison, show):
        out.print(Text(line, style="dim"))
    out.print()
    out.print(table)
    out.print()
    for line in closing_lines(comparison, show, ranges, written):
        out.print(Text(line))
    if details:
        _print_details(out, comparison, show)


def _print_details(out: Console, comparison: Comparison, show: Display) -> None:
    further = further_lines(comparison, show)
    if further:
        out.print()
        out.print(Text("Also", style="bold"))
    for line in further:
        out.print(Text(f"- {line}"))
    out.print()
    out.print(Text("Energy, peaks and emissions in the year", style="bold"))
    out.print(energy_table(comparison))
    print_details(out, comparison)


def basis_lines(comparison: Comparison, show: Display) -> list[str]:
    """Return the lines above the table: place, loads, prices.

    Parameters
    ----------
    comparison
        All options.
    show
        Units of the reader.

    Returns
    -------
    list of str
        One fact a line.
    """
    model = comparison.model
    room = model.scenario.content.room
    lines = [f"Weather: {model.weather.site.name}, {model.weather.year_label}, hour by hour"]
    loads = [
        _sheet_text(noun, line, (table.design_load, design_c), show)
        if table.design_load is not None and design_c is not None
        else _load_text(noun, line, design_c, comparison, show)
        for noun, line, table in (
            ("heating", model.load.heating, room.heating),
            ("cooling", model.load.cooling, room.cooling),
        )
        if line is not None and table is not None
        for design_c in [table.design_temperature]
    ]
    lines.append("Load: " + ", ".join(loads))
    prices = [
        f"{price.carrier} {model.scenario.content.currency} {price.text}"
        for price in model.prices.values()
    ]
    return [*lines, "Prices: " + ", ".join(prices)]


def _sheet_text(noun: str, line: LoadLine, design: tuple[float, float], show: Display) -> str:
    """Say the load of the sheet, and what is left of it where gains heat the room too."""
    load_w, design_c = design
    text = f"{noun} {show.heat_flow(load_w)} at {show.temperature(design_c)}"
    left_w = float(line.load_w(np.array([design_c]))[0])
    if abs(left_w - load_w) < 0.005 * load_w:
        return text
    return f"{text} ({show.heat_flow(left_w)} after gains)"


def _load_text(
    noun: str, line: LoadLine, design_c: float | None, comparison: Comparison, show: Display
) -> str:
    """One load at its design temperature, else in the hardest hour of the year."""
    outdoor_c = comparison.model.weather.outdoor_c
    hardest = float(outdoor_c.min() if line.heating else outdoor_c.max())
    at = hardest if design_c is None else design_c
    load_w = float(line.load_w(np.array([at]))[0])
    where = f"at {show.temperature(at)}"
    if design_c is None:
        where += f", the {'coldest' if line.heating else 'hottest'} hour"
    return f"{noun} {show.heat_flow(load_w)} {where}"


def comparison_table(
    comparison: Comparison, show: Display, ranges: Mapping[str, CostRange]
) -> Table:
    """Make the table.

    Parameters
    ----------
    comparison
        All options.
    show
        Units of the reader.
    ranges
        Low, likely and high by option.

    Returns
    -------
    Table
        One row per option, the present one first.
    """
    currency = comparison.model.scenario.content.currency
    sign = SIGNS.get(currency, currency)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 0, 0, 0), show_edge=False, expand=False)
    table.add_column("Option", min_width=24, max_width=34)
    heads = [
        f"Heat\n{sign}/yr",
        f"Cool\n{sign}/yr",
        f"Total\n{sign}/yr",
        f"Range\n{sign}/yr",
        f"vs now\n{sign}/yr",
        f"{sign} per\n{'MMBtu' if show.us else 'kWh'}",
        "Heat\nper kWh",
        "Cool\nper kWh",
        "Back\nyears",
        "Cold\nhour",
    ]
    for head in heads:
        table.add_column(head, justify="right", no_wrap=True)
    for outcome in comparison.outcomes:
        best = outcome is comparison.cheapest
        name = Text(outcome.name + _mark(outcome, best))
        cells = _cells(outcome, ranges[outcome.name], show)
        table.add_row(name, *cells, style="bold" if best else "")
    return table


def _mark(outcome: Outcome, best: bool) -> str:  # noqa: FBT001 - private, one caller
    marks = []
    if outcome.present:
        marks.append("there now")
    if best:
        marks.append("lowest yearly cost")
    elif outcome.missing_services:
        marks.append(f"gives no {' and no '.join(outcome.missing_services)}")
    elif not outcome.carries:
        marks.append(outcome.short_words)
    return f" ({', '.join(marks)})" if marks else ""


def _cells(outcome: Outcome, found: CostRange, show: Display) -> list[str]:
    costs = outcome.service_cost
    per_heat = outcome.cost_per_mmbtu()
    cops = [outcome.result.cop_season(service) for service in ("heating", "cooling")]
    return [
        f"{costs['heating']:,.0f}" if "heating" in costs else "none",
        f"{costs['cooling']:,.0f}" if "cooling" in costs else "none",
        f"{outcome.yearly_cost:,.0f}",
        range_text(found.low, found.high),
        saving_cell(outcome),
        "" if per_heat is None else _per_heat(per_heat, show),
        *("" if cop is None else f"{cop:.2f}" for cop in cops),
        payback_cell(outcome),
        _coldest(outcome),
    ]


def _per_heat(per_mmbtu: float, show: Display) -> str:
    return f"{per_mmbtu:.2f}" if show.us else f"{per_mmbtu / KWH_PER_MMBTU:.3f}"


def _coldest(outcome: Outcome) -> str:
    coverage = outcome.coverage
    if coverage is None or coverage.coldest_load_w <= 0:
        return ""
    return f"{min(coverage.coldest_output_w / coverage.coldest_load_w, 1.0):.0%}"
