"""The gallery, and figures against stored grey pictures; `python tests/test_gallery.py` redraws.

The pictures hold every mark but no letters: the drawing library changed how it sets type
between its oldest and newest supported versions, by as much as a missing bar. The words of
the figures are read by the tests of each figure.
"""

from __future__ import annotations

import io
import re
import sys
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from PIL import Image

from energymodel.report.gallery import gallery_figures, write_gallery

PICTURES = Path(__file__).parent / "pictures"
KEPT = {
    "yearly-cost": "Yearly cost, demo",
    "load-and-output": "Load and output: Packaged through-wall heat pump",
    "duration": "Duration of the load: Packaged through-wall heat pump",
}
WIDTH = 200
FAR = 0.01
"""Root mean square of the difference, of white: oldest and newest libraries differ by 0.001,
the smallest bar left out by 0.03 (both computed)."""


def drawn(title: str) -> Figure:
    return next(one for one in gallery_figures() if one.title == title).draw()


def small(figure: Figure) -> np.ndarray:
    for words in figure.findobj(Text):
        words.set_alpha(0.0)
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=100, facecolor="white")
    picture = Image.open(buffer).convert("L")
    height = round(picture.height * WIDTH / picture.width)
    return np.asarray(picture.resize((WIDTH, height), Image.Resampling.BOX), dtype=np.float64)


def stored(name: str) -> np.ndarray:
    with Image.open(PICTURES / f"{name}.png") as picture:
        return np.asarray(picture.convert("L"), dtype=np.float64)


def distance(one: np.ndarray, other: np.ndarray) -> float:
    assert one.shape == other.shape
    return float(np.sqrt((((one - other) / 255.0) ** 2).mean()))


@pytest.mark.parametrize("name", KEPT)
def test_a_figure_looks_as_its_stored_picture(name: str) -> None:
    now = small(drawn(KEPT[name]))
    assert distance(now, stored(name)) < FAR
    assert now.std() > 10.0


def test_a_figure_with_its_smallest_bar_left_out_differs_from_its_picture() -> None:
    figure = drawn(KEPT["yearly-cost"])
    bars = [bar for bar in figure.axes[0].patches if isinstance(bar, Rectangle)]
    seen = [bar for bar in bars if bar.get_width() > 0.0]
    min(seen, key=lambda bar: bar.get_width()).set_visible(False)
    assert distance(small(figure), stored("yearly-cost")) > FAR


def test_titles_of_the_gallery_are_all_different() -> None:
    titles = [one.title for one in gallery_figures()]
    assert len(titles) == len(set(titles)) > 25


@pytest.mark.slow
def test_the_gallery_shows_every_figure_in_colour_and_in_grey(tmp_path: Path) -> None:
    page = write_gallery(tmp_path / "gallery")
    named = re.findall(r'src="([^"]+)"', page.read_text("utf-8"))
    assert len(named) == 2 * len(gallery_figures())
    for name in named:
        with Image.open(page.parent / name) as picture:
            assert picture.width > 800
            assert (picture.mode == "L") is name.endswith("-grey.png")


if __name__ == "__main__":
    PICTURES.mkdir(exist_ok=True)
    for kept, wanted in KEPT.items():
        Image.fromarray(small(drawn(wanted)).astype(np.uint8)).save(
            PICTURES / f"{kept}.png", optimize=True
        )
        sys.stdout.write(f"{kept}\n")
