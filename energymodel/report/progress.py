"""A bar on the error stream for work that takes more than a second."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from time import monotonic
from typing import TypeVar

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

Item = TypeVar("Item")
PATIENCE_S = 1.0


def with_progress(
    items: Sequence[Item], doing: str, *, console: Console | None = None
) -> Iterator[Item]:
    """Give out items one by one; after a second, show how many are done.

    Parameters
    ----------
    items
        Work to do.
    doing
        What is done, as the bar says it.
    console
        Where the bar appears; by default the error stream. Nothing appears where that is not a
        terminal.

    Yields
    ------
    Item
        Each item in turn.
    """
    console = console or Console(stderr=True)
    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        console=console,
        transient=True,
    )
    task = bar.add_task(doing, total=len(items))
    begun = monotonic()
    shown = False
    try:
        for item in items:
            if not shown and console.is_terminal and monotonic() - begun > PATIENCE_S:
                bar.start()
                shown = True
            yield item
            bar.advance(task)
    finally:
        if shown:
            bar.stop()
