"""Parts of a printed sweep: a map of the cheapest option over two prices, a ranking of tariffs."""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_uppercase

import numpy as np
from rich import box
from rich.table import Table

from energymodel.report.numbers import money
from energymodel.scenario.field_path import read_path
from energymodel.study.sweep.frame import value_text
from energymodel.study.sweep.sweep import SweepResult
from energymodel.study.sweep.tally import FieldTally, price_axes

_MOST_ROWS, _MOST_COLUMNS = 12, 14


def price_map_lines(result: SweepResult) -> list[str]:
    """Draw the cheapest option over the first two prices that vary.

    Parameters
    ----------
    result
        A sweep that has run.

    Returns
    -------
    list of str
        Letters and their key; empty where fewer than two prices vary.
    """
    counts = result.summary.price_map
    if counts is None:
        return []
    down, across = price_axes(result.plan)[:2]
    rows = _places(len(down.values), _MOST_ROWS)
    columns = _places(len(across.values), _MOST_COLUMNS)
    best = np.where(counts.any(axis=2), np.argmax(counts, axis=2), -1)
    used = sorted(set(best[np.ix_(rows, columns)].ravel().tolist()) - {-1})
    letters = dict(zip(used, ascii_uppercase, strict=False)) | {-1: "."}
    heads = [value_text(across.values[place]) for place in columns]
    sides = [value_text(down.values[place]) for place in rows]
    width, left = max(map(len, heads)), max(map(len, sides))
    lines = [f"Most often cheapest: {', '.join(down.paths)} down, {', '.join(across.paths)} across"]
    lines.append(" " * left + "  " + " ".join(head.rjust(width) for head in heads))
    for side, row in zip(sides, rows, strict=True):
        cells = (letters.get(int(best[row, column]), "?").rjust(width) for column in columns)
        lines.append(f"{side.rjust(left)}  {' '.join(cells)}")
    key = [f"{letters[option]} {result.summary.options[option]}" for option in used]
    return [*lines, *_wrapped(key)]


def _places(count: int, most: int) -> list[int]:
    return [int(i) for i in np.linspace(0, count - 1, min(count, most)).round()]


def _wrapped(key: Sequence[str]) -> list[str]:
    lines = [""]
    for entry in key:
        if lines[-1] and len(lines[-1]) + len(entry) > 96:
            lines.append("")
        lines[-1] += f"   {entry}" if lines[-1] else entry
    return lines if key else []


def tariff_tables(result: SweepResult, currency: str) -> list[Table]:
    """Rank the tariffs that vary for each option.

    Parameters
    ----------
    result
        A sweep that has run.
    currency
        For amounts.

    Returns
    -------
    list of Table
        One per field that is a tariff; means over everything else that varies.
    """
    fields = [field for field in result.summary.fields if _is_tariff(field)]
    return [_ranking(field, result.summary.options, currency) for field in fields]


def _is_tariff(field: FieldTally) -> bool:
    return len(field.axis.values) > 1 and all(
        (steps := read_path(path))[0] == "price" and steps[-1] == "tariff"
        for path in field.axis.paths
    )


def _ranking(field: FieldTally, options: Sequence[str], currency: str) -> Table:
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, padding=(0, 1, 0, 0))
    table.add_column("Mean cost per year under", min_width=24, overflow="fold")
    names = [value_text(value) for value in field.axis.values]
    shown = names[:5]
    for name in shown:
        table.add_column(name, justify="right", overflow="fold")
    table.add_column("Lowest cost", overflow="fold")
    for number, option in enumerate(options):
        costs = field.mean_cost[:, number]
        if np.isnan(costs).all():
            continue
        cells = ["-" if np.isnan(cost) else money(cost, currency) for cost in costs[: len(shown)]]
        table.add_row(option, *cells, names[int(np.nanargmin(costs))])
    return table
