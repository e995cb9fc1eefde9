"""The chart of cumulative cash flow: lines, payback marks, ranges, words that fit."""

from __future__ import annotations

import runpy
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from energymodel.datafiles import data_file
from energymodel.errors import InputError
from energymodel.report.figures.cash_flow_chart import cash_flow_figure
from energymodel.report.figures.cash_flow_view import cash_flow_message, cash_flow_view, fan
from energymodel.report.figures.comparison import save_figure
from energymodel.report.figures.style import FUEL, HEAT_PUMP, MINUS, RESISTANCE, house_style
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

_TOOLS = runpy.run_path(str(Path(__file__).with_name("money_room.py")))
PLACE, NOW = _TOOLS["PLACE"], _TOOLS["NOW"]
run, option, price_for = (_TOOLS[name] for name in ("run", "option", "price_for"))


@dataclass(frozen=True)
class Range:
    """A range of the saving."""

    saving_low: float | None
    saving_likely: float | None
    saving_high: float | None


@cache
def _demo() -> Comparison:
    return compare()


def case(folder: Path, table: str = "", share: float = 0.5, cost: float = 7500.0) -> Comparison:
    text = PLACE + price_for(3000.0) + f"[money]\n{table}\n" + NOW
    return run(folder, text + option(share, cost=cost))


def _marks(figure: Figure) -> list[float]:
    return [
        float(np.asarray(line.get_xdata())[0])
        for axes in figure.axes
        for line in axes.get_lines()
        if line.get_marker() == "o"
    ]


def _words(figure: Figure) -> list[str]:
    return [
        *(text.get_text() for text in figure.texts),
        *(text.get_text() for axes in figure.axes for text in axes.texts),
    ]


def test_a6_is_marked_where_its_line_crosses_zero(tmp_path: Path) -> None:
    # Cases sheet, case A6 [F]: $7,500, $1,500 a year: 5 years.
    figure = cash_flow_figure(case(tmp_path))
    assert _marks(figure) == [pytest.approx(5.0)]
    assert "5.0 years" in _words(figure)
    (axes,) = figure.axes
    line = next(one for one in axes.get_lines() if len(np.asarray(one.get_xdata())) == 16)
    years, worth = np.asarray(line.get_xdata()), np.asarray(line.get_ydata())
    assert np.interp(5.0, years, worth) == pytest.approx(0.0, abs=1e-6)
    assert worth[-1] == pytest.approx(15 * 1500.0 - 7500.0)
    assert "$15,000" in _words(figure)


def test_the_dashed_line_ends_at_net_savings(tmp_path: Path) -> None:
    comparison = case(tmp_path, "discount_rate = 0.07")
    (course,) = cash_flow_view(comparison).courses
    dashed = [
        line
        for line in cash_flow_figure(comparison).axes[0].get_lines()
        if line.get_linestyle() == "--"
    ]
    assert len(dashed) == 1
    worth = np.asarray(dashed[0].get_ydata())
    assert worth[-1] == pytest.approx(course.against.measures.net_savings)


def test_what_is_never_paid_back_has_no_mark_and_a_title_that_says_so(tmp_path: Path) -> None:
    comparison = case(tmp_path, share=0.95)
    figure = cash_flow_figure(comparison)
    assert _marks(figure) == []
    title, _ = cash_flow_message(cash_flow_view(comparison))
    assert title == "No option is paid back within 15 years"
    assert f"not within 15 years, {MINUS}$5,250" in _words(figure)


def test_the_title_gives_the_year_and_the_end_of_the_best(tmp_path: Path) -> None:
    title, subtitle = cash_flow_message(cash_flow_view(case(tmp_path)))
    assert title == "Option: likely paid back in year 5 and about $15,000 ahead after 15 years"
    assert subtitle == "Gained against Now on heating; dashed: discounted at 3.0 % a year"


def test_a_range_of_the_saving_opens_a_fan_about_the_line(tmp_path: Path) -> None:
    comparison = case(tmp_path, "escalation = { electricity = 0.02 }")
    spread = Range(saving_low=1200.0, saving_likely=1500.0, saving_high=1600.0)
    (course,) = cash_flow_view(comparison, {"Option": spread}).courses
    assert course.low is not None
    assert course.high is not None
    # the difference rises with the price: 300 x (1.02 + 1.02^2 + ...)
    rising = np.cumsum([0.0, *1.02 ** np.arange(1, 16)])
    assert course.against.cumulative - course.low == pytest.approx(300.0 * rising)
    assert course.high - course.against.cumulative == pytest.approx(100.0 * rising)
    assert fan(course.against, 0.0) == pytest.approx(course.against.cumulative)
    figure = cash_flow_figure(comparison, {"Option": spread})
    assert any(isinstance(one, PolyCollection) for one in figure.axes[0].collections)
    plain = cash_flow_figure(comparison)
    assert not any(isinstance(one, PolyCollection) for one in plain.axes[0].collections)


def test_the_same_thing_has_the_colour_of_the_other_charts() -> None:
    colours = {one.name: one.colour for one in cash_flow_view(_demo()).courses}
    assert colours["Inverter 12 kBtu/h, standard"] == HEAT_PUMP
    assert colours["Propane wall heater + window unit"] == FUEL
    assert colours["Baseboard + window unit"] == RESISTANCE


def test_all_small_charts_share_one_scale_and_hold_every_line() -> None:
    figure = cash_flow_figure(_demo())
    limits = {(axes.get_xlim(), axes.get_ylim()) for axes in figure.axes}
    assert len(limits) == 1
    ((_, (low, high)),) = limits
    for axes in figure.axes:
        for line in axes.get_lines():
            worth = np.asarray(line.get_ydata())
            assert worth.min() >= low
            assert worth.max() <= high


def test_no_text_leaves_the_page_or_the_room_between_two_charts() -> None:
    figure = cash_flow_figure(_demo())
    with house_style():
        _check_texts(figure)


def test_a_late_payback_does_not_run_into_the_last_amount() -> None:
    figure = cash_flow_figure(compare(data_file("scenarios", "house.toml")))
    with house_style():
        figure.draw_without_rendering()
        for axes in figure.axes:
            boxes = [text.get_window_extent() for text in axes.texts]
            for first, second in combinations(boxes, 2):
                assert not first.overlaps(second)


def _check_texts(figure: Figure) -> None:
    renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]
    across, up = figure.get_size_inches() * figure.dpi
    for axes in figure.axes:
        boxes = [
            text.get_window_extent(renderer)
            for text in (*axes.texts, *axes.get_xticklabels(), *axes.get_yticklabels())
            if text.get_text()
        ]
        assert all(box.x0 >= 0 and box.x1 <= across and box.y0 >= 0 for box in boxes)
        assert all(box.y1 <= up for box in boxes)
    for text in figure.texts:
        box = text.get_window_extent(renderer)
        assert box.x1 <= across
        assert box.y0 >= 0


def test_the_same_comparison_gives_the_same_file(tmp_path: Path) -> None:
    comparison = case(tmp_path)
    for name in ("a.png", "b.png"):
        save_figure(cash_flow_figure(comparison), tmp_path / name, dots_per_inch=60)
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()


def test_without_anything_to_hold_against_the_present_there_is_no_chart(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nothing to draw"):
        cash_flow_figure(run(tmp_path, PLACE + price_for(3000.0) + NOW))
