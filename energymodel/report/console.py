"""Where results are printed: plain and 100 columns wide where nobody watches."""

from __future__ import annotations

import os
import sys

from rich.cells import cell_len
from rich.console import Console
from rich.measure import Measurement
from rich.table import Table

WIDTH = 100


def console(needed: Table | None = None) -> Console:
    """Make a console on standard output that prints plainly where the output is piped.

    Parameters
    ----------
    needed
        Table whose numbers must not be cut: a narrower terminal wraps its lines instead.

    Returns
    -------
    Console
        100 columns wide when piped, or as COLUMNS asks for, if that is more.
    """
    plain = not sys.stdout.isatty()
    made = _console(max(WIDTH, _asked_width()) if plain else None, plain=plain)
    if needed is None:
        return made
    _keep_whole(needed)
    wide = made.options.update(max_width=1000)
    measured = Measurement.get(made, wide, needed)
    if made.width >= max(WIDTH, measured.minimum):
        return made
    return _console(max(WIDTH, measured.maximum), plain=plain)


def _console(width: int | None, *, plain: bool) -> Console:
    return Console(
        width=width,
        highlight=False,
        markup=False,
        emoji=False,
        no_color=plain or None,
        force_terminal=False if plain else None,
    )


def _asked_width() -> int:
    asked = os.environ.get("COLUMNS", "")
    return int(asked) if asked.isdecimal() else 0


def _keep_whole(table: Table) -> None:
    """Give columns of numbers their full width, heads of two words included."""
    for column in table.columns:
        if column.no_wrap:
            lines = [
                line for cell in (column.header, *column.cells) for line in str(cell).split("\n")
            ]
            column.min_width = max(cell_len(line) for line in lines)
