"""The gallery, and figures against stored grey pictures; `python tests/test_gallery.py` redraws."""

from __future__ import annotations

import io
import re
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from energymodel.report.gallery import gallery_figures, write_gallery

PICTURES = Path(__file__).parent / "pictures"
KEPT = {
    "yearly-cost": "Yearly cost, demo",
    "load-and-output": "Load and output: Packaged through-wall heat pump",
    "duration": "Duration of the load: Packaged through-wall heat pump",
}
WIDTH = 200
FAR = 0.06
"""Root mean square of the difference, of white: fonts of other versions differ by about 0.02."""


def small(title: str) -> np.ndarray:
    figure = next(one for one in gallery_figures() if one.title == title).draw()
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=100, facecolor="white")
    picture = Image.open(buffer).convert("L")
    height = round(picture.height * WIDTH / picture.width)
    return np.asarray(picture.resize((WIDTH, height), Image.Resampling.BOX), dtype=np.float64)


@pytest.mark.parametrize("name", KEPT)
def test_a_figure_looks_as_its_stored_picture(name: str) -> None:
    now = small(KEPT[name])
    with Image.open(PICTURES / f"{name}.png") as picture:
        kept = np.asarray(picture.convert("L"), dtype=np.float64)
    assert abs(now.shape[0] - kept.shape[0]) <= 3
    rows = min(now.shape[0], kept.shape[0])
    difference = (now[:rows] - kept[:rows]) / 255.0
    assert np.sqrt((difference**2).mean()) < FAR
    assert now.std() > 10.0


def test_the_comparison_of_pictures_can_fail() -> None:
    with (
        Image.open(PICTURES / "yearly-cost.png") as one,
        Image.open(PICTURES / "duration.png") as two,
    ):
        first, second = (np.asarray(x.convert("L"), dtype=np.float64) for x in (one, two))
    rows = min(first.shape[0], second.shape[0])
    assert np.sqrt((((first[:rows] - second[:rows]) / 255.0) ** 2).mean()) > FAR


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
        Image.fromarray(small(wanted).astype(np.uint8)).save(
            PICTURES / f"{kept}.png", optimize=True
        )
        sys.stdout.write(f"{kept}\n")
