"""Every figure of the package on one page, for the eye: `python -m energymodel.report.gallery DIR`.

The page shows each figure in colour and as a grey print, drawn by the current code from the demo
and the shipped examples.
"""

from __future__ import annotations

import html
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from PIL import Image

from energymodel.datafiles import data_file
from energymodel.errors import InputError
from energymodel.report.comparison.files import slugs
from energymodel.report.figures.comparison import save_figure
from energymodel.report.gallery_studies import study_figures
from energymodel.report.numbers import Display
from energymodel.report.progress import with_progress
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison, Outcome

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DOTS_PER_INCH = 160
_SHOW = Display(us=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One figure of the gallery.

    Parameters
    ----------
    title
        What it is.
    draw
        Makes it.
    """

    title: str
    draw: Callable[[], Figure]


@cache
def _compared(name: str) -> Comparison:
    return compare(data_file("scenarios", f"{name}.toml"))


def _outcome(scenario: str, name: str) -> Outcome:
    return next(one for one in _compared(scenario).outcomes if one.name == name)


def gallery_figures() -> tuple[Shown, ...]:
    """List every figure, ready to be drawn.

    Returns
    -------
    tuple of Shown
        Comparison first, then the studies.
    """
    studies = (Shown(title=title, draw=draw) for title, draw in study_figures())
    return (*_of_comparisons(), *studies)


def _of_comparisons() -> Iterator[Shown]:
    # matplotlib only where figures are drawn
    from energymodel.report.figures import comparison as figures  # noqa: PLC0415
    from energymodel.report.figures.cash_flow_chart import cash_flow_figure  # noqa: PLC0415
    from energymodel.report.figures.cost_lines_chart import cost_lines_figure  # noqa: PLC0415
    from energymodel.report.figures.duration_chart import duration_figure  # noqa: PLC0415
    from energymodel.report.figures.hour_map_chart import hour_map_figure  # noqa: PLC0415
    from energymodel.report.figures.range_chart import range_figure  # noqa: PLC0415

    of_all: dict[str, Callable[[Comparison], Figure]] = {
        "Yearly cost": figures.yearly_cost_figure,
        "Monthly cost": figures.monthly_cost_figure,
        "Range of the yearly cost": range_figure,
        "Cash flow": cash_flow_figure,
        "Cost by line": cost_lines_figure,
    }
    for name in ("demo", "house"):
        for title, draw in of_all.items():
            yield Shown(title=f"{title}, {name}", draw=partial(_with_all, draw, name))
    for scenario, option in _PUMPS:
        yield Shown(
            title=f"Load and output: {option}",
            draw=partial(_with_outcome, figures.capacity_figure, scenario, option),
        )
        yield Shown(
            title=f"Duration of the load: {option}",
            draw=partial(_with_outcome, duration_figure, scenario, option),
        )
    option = _PUMPS[0][1]
    yield Shown(
        title=f"Power by day and hour: {option}",
        draw=lambda: hour_map_figure(_compared("demo"), _outcome("demo", option)),
    )


_PUMPS = (
    ("demo", "Inverter 12 kBtu/h, standard"),
    ("demo", "Packaged through-wall heat pump"),
    ("house", "Central heat pump with strips"),
    ("house", "Ductless 12 kBtu/h + old furnace"),
)


def _with_all(draw: Callable[[Comparison], Figure], scenario: str) -> Figure:
    return draw(_compared(scenario))


def _with_outcome(
    draw: Callable[[Comparison, Outcome, Display], Figure], scenario: str, option: str
) -> Figure:
    return draw(_compared(scenario), _outcome(scenario, option), _SHOW)


def write_gallery(folder: Path) -> Path:
    """Draw every figure and write the page.

    Parameters
    ----------
    folder
        Made if its parent exists; files in it are replaced.

    Returns
    -------
    Path
        The page, index.html.

    Raises
    ------
    InputError
        If the folder is a file or its parent does not exist.
    """
    if folder.is_file() or not folder.parent.is_dir():
        raise InputError("no folder for the gallery", where=str(folder), remedy="name another one")
    folder.mkdir(exist_ok=True)
    shown = gallery_figures()
    names = slugs(one.title for one in shown)
    parts = []
    for one, name in with_progress(list(zip(shown, names, strict=True)), "Drawing"):
        save_figure(one.draw(), folder / f"{name}.png", dots_per_inch=DOTS_PER_INCH)
        with Image.open(folder / f"{name}.png") as picture:
            picture.convert("L").save(folder / f"{name}-grey.png", optimize=True)
        parts.append(_section(one.title, name))
    page = folder / "index.html"
    page.write_text(_PAGE.replace("FIGURES", "\n".join(parts)), "utf-8")
    return page


def _section(title: str, name: str) -> str:
    words = html.escape(title)
    return (
        f'<section><h2>{words}</h2><div><img src="{name}.png" alt="{words}">'
        f'<img class="grey" src="{name}-grey.png" alt="{words}, grey"></div></section>'
    )


_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>energymodel: every figure</title>
<style>
body { font: 15px/1.4 system-ui, sans-serif; margin: 2rem auto; max-width: 88rem; color: #222; }
h1 { font-size: 1.5rem; } h2 { font-size: 1rem; margin: 2rem 0 .5rem; color: #6b6b6b; }
section div { display: flex; gap: 2rem; align-items: flex-start; }
img { width: 42rem; } img.grey { width: 32rem; }
p { color: #6b6b6b; }
</style></head><body>
<h1>Every figure, in colour and as a grey print</h1>
<p>Drawn by the current code from the demo and the shipped examples; their rooms, prices and costs
are invented.</p>
FIGURES
</body></html>
"""


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("python -m energymodel.report.gallery DIR")
    try:
        sys.stdout.write(f"{write_gallery(Path(sys.argv[1]))}\n")
    except InputError as error:
        sys.exit(f"gallery: {error}")
