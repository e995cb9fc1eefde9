"""A sweep in the terminal: which option is cheapest where, and by how much."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.arrays import Array
from energymodel.report.console import console
from energymodel.report.numbers import money
from energymodel.report.sweep.map import price_map_lines, tariff_tables
from energymodel.study.sweep.frame import value_text
from energymodel.study.sweep.sweep import SweepResult
from energymodel.study.sweep.tally import FieldTally, SweepSummary

MOST_VALUES = 7


def print_sweep(result: SweepResult) -> None:
    """Print what a sweep says.

    Parameters
    ----------
    result
        A sweep that has run.
    """
    currency = result.plan.base.content.currency
    options = option_table(result.summary, currency)
    out = console(needed=options)
    if result.plan.base.content.title:
        out.print(Text(result.plan.base.content.title, style="bold"))
    for line in basis_lines(result):
        out.print(Text(line, style="dim"))
    out.print()
    out.print(options)
    out.print()
    out.print(field_table(result.summary))
    _print_map(out, result)
    for table in tariff_tables(result, currency):
        out.print()
        out.print(table)
    out.print()
    for line in closing_lines(result):
        out.print(Text(line))


def basis_lines(result: SweepResult) -> list[str]:
    """Return the lines above the tables: size, speed, path.

    Parameters
    ----------
    result
        A sweep that has run.

    Returns
    -------
    list of str
        One fact a line.
    """
    summary = result.summary
    years = (summary.variants - summary.refused) * len(summary.options)
    variants = "1 variant" if summary.variants == 1 else f"{summary.variants:,} variants"
    lines = [f"{variants} of {len(summary.options)} options: {years:,} option-years"]
    singly = summary.variants - summary.refused - summary.batch
    lines.append(f"{summary.batch:,} variants ran in a batch, {singly:,} one by one")
    if result.option_years_per_second:
        lines[-1] += f"; {result.option_years_per_second:,.0f} option-years a second"
    if result.kept:
        lines.append(f"{result.kept:,} variants were finished by an earlier run")
    return lines


def option_table(summary: SweepSummary, currency: str) -> Table:
    """Set out how often each option is cheapest, and its ranges.

    Parameters
    ----------
    summary
        Of the sweep.
    currency
        For amounts.

    Returns
    -------
    Table
        One row per option.
    """
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0))
    table.add_column("Option", min_width=24)
    for name in ("Cheapest in", "Cost per year", "Saving per year"):
        table.add_column(name, justify="right")
    good = max(summary.variants - summary.refused, 1)
    rows = zip(summary.options, summary.cheapest, summary.cost, summary.saving, strict=True)
    for name, count, cost, saving in rows:
        share = f"{count:,.0f} ({share_text(count / good)})"
        table.add_row(name, share, _range(cost, currency), _range(saving, currency))
    return table


def share_text(share: float) -> str:
    """Write a share as whole percent; nothing but all is 100, nothing but none is 0.

    Parameters
    ----------
    share
        0..1.

    Returns
    -------
    str
        Such as "62 %".

    Examples
    --------
    >>> share_text(0.616), share_text(0.9999), share_text(0.0001), share_text(0.0)
    ('62 %', '>99 %', '<1 %', '0 %')
    """
    if 0 < share < 0.005:
        return "<1 %"
    if 0.995 <= share < 1:
        return ">99 %"
    return f"{share * 100:.0f} %"


def _range(ends: Array, currency: str) -> str:
    low, high = (float(end) for end in ends)
    if math.isnan(low):
        return "-"
    texts = money(low, currency), money(high, currency)
    return texts[0] if texts[0] == texts[1] else f"{texts[0]} to {texts[1]}"


def field_table(summary: SweepSummary) -> Table:
    """Set out how the cheapest option changes with each field.

    Parameters
    ----------
    summary
        Of the sweep.

    Returns
    -------
    Table
        A few rows per field.
    """
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0))
    table.add_column("Field and value", overflow="fold", min_width=24)
    table.add_column("Most often cheapest", overflow="fold")
    table.add_column("In", justify="right")
    for field in summary.fields:
        table.add_row(Text(", ".join(field.axis.paths), style="bold"), "", "")
        for place in shown_places(len(field.axis.values)):
            table.add_row(*_value_row(field, place, summary.options))
        left = len(field.axis.values) - MOST_VALUES
        if left > 0:
            table.add_row(f"  and {left:,} values between", "", "")
    return table


def shown_places(count: int) -> list[int]:
    """Choose which of many values are shown: the ends and some between.

    Parameters
    ----------
    count
        Number of values.

    Returns
    -------
    list of int
        Positions.

    Examples
    --------
    >>> shown_places(3), shown_places(13)
    ([0, 1, 2], [0, 2, 4, 6, 8, 10, 12])
    """
    return [int(i) for i in np.linspace(0, count - 1, min(count, MOST_VALUES)).round()]


def _value_row(field: FieldTally, place: int, options: Sequence[str]) -> tuple[str, str, str]:
    value = f"  {value_text(field.axis.values[place])}"
    counts, variants = field.cheapest[place], field.variants[place]
    if not variants:
        return value, "refused", ""
    best = int(np.argmax(counts))
    if not counts[best]:
        return value, "none carries the load", ""
    return value, options[best], share_text(counts[best] / variants)


def _print_map(out: Console, result: SweepResult) -> None:
    lines = price_map_lines(result)
    if lines:
        out.print()
    for line in lines:
        out.print(Text(line))


def closing_lines(result: SweepResult) -> list[str]:
    """Return the lines under the tables: refusals, files.

    Parameters
    ----------
    result
        A sweep that has run.

    Returns
    -------
    list of str
        At most six.
    """
    summary = result.summary
    lines = [
        "Cheapest: lowest running cost per year for the present option's services, among options"
        " that carry the load; installed costs are not in it."
    ]
    if summary.refused:
        number, reason = summary.reasons[0]
        lines.append(
            f"{summary.refused:,} variants are refused; variant {number}: {reason.splitlines()[0]}"
        )
    if np.isnan(summary.saving).all():
        lines.append("No saving is given: no option is marked as present.")
    lines += [f"Written: {path}" for path in result.written]
    if not result.written:
        lines.append("Nothing was written; --out DIR, FILE.csv or FILE.parquet keeps every row.")
    return lines
