"""What the terminal says when the customer's page is written."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.text import Text

from energymodel.notices import Notice
from energymodel.report.console import console
from energymodel.study.comparison.outcome import Comparison


def print_handout(comparison: Comparison, path: Path, notices: Sequence[Notice]) -> None:
    """Say where the page is and what should be looked at before it is handed out.

    Parameters
    ----------
    comparison
        What it shows.
    path
        The file.
    notices
        Found while it was made.
    """
    out = console()
    out.print(Text(f"Written: {path} (two pages)"), soft_wrap=True)
    for note in notices:
        out.print(Text(str(note)), soft_wrap=True)
    for line in to_look_at(comparison):
        out.print(Text(line), soft_wrap=True)


def to_look_at(comparison: Comparison) -> list[str]:
    """Return what is missing on the page that a customer will ask for.

    Parameters
    ----------
    comparison
        What it shows.

    Returns
    -------
    list of str
        At most three lines.
    """
    content = comparison.model.scenario.content
    lines = []
    bare = [
        name.replace("_", " ")
        for name, price in content.price.items()
        if not (price.date and price.source)
    ]
    if bare:
        lines.append(f"Prices without a date or a source: {', '.join(bare)}.")
    if comparison.present is None:
        lines.append("No option is marked as what is there now: no saving and no payback is shown.")
    count = len(comparison.notices)
    if count:
        noun = "notice" if count == 1 else "notices"
        lines.append(f"{count} {noun} of the comparison: energymodel compare FILE --details.")
    return lines
