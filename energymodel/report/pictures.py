"""Draw the picture of the README again: `python -m energymodel.report.pictures`."""

from __future__ import annotations

import sys
from pathlib import Path

from PIL import Image

from energymodel.datafiles import shipped_folder
from energymodel.report.figures.comparison import overview_figure, save_figure
from energymodel.report.numbers import Display
from energymodel.study.comparison.compare import compare

NAME = "compare.png"
COLOURS = 255
DOTS_PER_INCH = 160
"""Two dots per point of a page as code hosts show it; keeps the file small."""


def draw_pictures(folder: Path) -> tuple[Path, ...]:
    """Draw the pictures of the documents from the demo.

    Parameters
    ----------
    folder
        Made if it does not exist; pictures in it are replaced.

    Returns
    -------
    tuple of Path
        What was written.
    """
    comparison = compare()
    outcome = comparison.cheapest or comparison.outcomes[-1]
    folder.mkdir(parents=True, exist_ok=True)
    figure = overview_figure(comparison, outcome, Display(us=True))
    save_figure(figure, folder / NAME, dots_per_inch=DOTS_PER_INCH)
    _reduce_colours(folder / NAME)
    return (folder / NAME,)


def _reduce_colours(path: Path) -> None:
    """Store a palette instead of four bytes per dot: a third of the size, no difference to see."""
    with Image.open(path) as picture:
        reduced = picture.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    reduced.save(path, optimize=True)


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else shipped_folder("data") / "pictures"
    for path in draw_pictures(target):
        sys.stdout.write(f"{path}\n")
