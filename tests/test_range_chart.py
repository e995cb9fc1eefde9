"""The chart of ranges: what is drawn is what was found, and it is written the same every time."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from energymodel.report.figures.comparison import save_figure
from energymodel.report.figures.range_chart import range_figure, spread_figure
from energymodel.report.figures.style import house_style
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_range import cost_ranges
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.uncertainty.uncertainty import uncertainty


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


def whiskers(figure: Figure) -> list[tuple[float, float]]:
    lines = [line for line in figure.axes[0].lines if len(line.get_xdata()) == 2]
    level = [line for line in lines if len(set(np.asarray(line.get_ydata()).tolist())) == 1]
    return [tuple(np.asarray(line.get_xdata()).tolist()) for line in level]  # type: ignore[misc]


def dots(figure: Figure) -> list[float]:
    lines = [line for line in figure.axes[0].lines if line.get_marker() == "o"]
    return [float(np.asarray(line.get_xdata())[0]) for line in lines]


def words(figure: Figure) -> str:
    return " ".join(text.get_text() for text in figure.texts)


def test_whiskers_are_the_ranges_and_dots_the_likely_costs(demo: Comparison) -> None:
    figure = range_figure(demo)
    ranges = cost_ranges(demo)
    assert whiskers(figure) == [
        (ranges[one.name].low, ranges[one.name].high) for one in demo.outcomes
    ]
    assert dots(figure) == [one.yearly_cost for one in demo.outcomes]
    assert figure.axes[0].get_xlim()[0] == 0.0
    for one in demo.outcomes:
        assert one.name.split(",")[0].split(" ")[0] in words(figure)


def test_the_title_is_the_message_and_the_small_type_says_what_is_in_the_range(
    demo: Comparison,
) -> None:
    text = words(range_figure(demo))
    assert demo.cheapest is not None
    assert f"{demo.cheapest.name}: about $" in text
    assert "spread of winters not included" in text
    assert "typical year" in text


def test_draws_and_winters_are_drawn_where_there_are_any() -> None:
    result = uncertainty(draws=256)
    options = tuple(
        replace(one, winter_costs=one.likely_cost * np.array([0.9, 1.1])) for one in result.options
    )
    figure = spread_figure(replace(result, options=options, winter_labels=("2011-12", "2012-13")))
    assert whiskers(figure) == [(one.cost.p10, one.cost.p90) for one in options]
    ticks = [
        float(np.asarray(line.get_xdata())[0])
        for line in figure.axes[0].lines
        if len(set(np.asarray(line.get_ydata()).tolist())) == 2
    ]
    assert ticks == [cost for one in options for cost in one.winter_costs]
    assert "real winters (ticks)" in words(figure)


def test_no_text_leaves_the_picture_and_the_file_is_the_same_every_time(
    demo: Comparison, tmp_path: Path
) -> None:
    figure = range_figure(demo)
    with house_style():
        figure.canvas.draw()
        wide, high = figure.get_size_inches() * figure.dpi
        boxes = [text.get_window_extent() for text in (*figure.texts, *figure.axes[0].texts)]
    for box in boxes:
        assert box.x0 >= 0
        assert box.x1 <= wide
        assert box.y0 >= 0
        assert box.y1 <= high
    for name in ("one.png", "two.png"):
        save_figure(range_figure(demo), tmp_path / name)
    assert (tmp_path / "one.png").read_bytes() == (tmp_path / "two.png").read_bytes()
