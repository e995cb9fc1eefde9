"""Charts: titles that are messages, colours by meaning, words that never overlap."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.axis import Axis
from matplotlib.colors import to_hex, to_rgb
from matplotlib.container import BarContainer
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from energymodel.datafiles import data_file
from energymodel.report.figures import style
from energymodel.report.figures.capacity_chart import capacity_view
from energymodel.report.figures.comparison import (
    capacity_figure,
    has_capacity_figure,
    monthly_cost_figure,
    overview_figure,
    yearly_cost_figure,
)
from energymodel.report.figures.cost_view import cost_view, monthly_message, yearly_message
from energymodel.report.figures.panel import text_width_in, wrapped
from energymodel.report.numbers import Display
from energymodel.scenario.files import STARTER
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_parts import CostPart, cost_parts
from energymodel.study.comparison.outcome import Comparison, Outcome

US, SI = Display(us=True), Display(us=False)
HEAD = """
title = "Seven options with long names"
units = "us"
currency = "NOK"
place = { weather = "newark-nj-2013" }
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "22 kBtu/h"
design_temperature = "10 degF"
balance_temperature = "62 degF"
[room.cooling]
design_load = "17 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
[price.electricity]
energy = 1.9
per = "kWh"
[price.natural_gas]
energy = 14.0
per = "therm"
fixed = "140 per month"
[price.heating_oil]
energy = 30.0
per = "gallon"
"""
BOILER = '{ kind = "boiler", fuel = "natural gas", afue = 0.95 }'
LONG = "a name that goes on and on, as names in real offers do, without an end"
OPTIONS = [
    (
        f"Oil boiler in the cellar, {LONG}",
        '{ kind = "boiler", fuel = "heating oil", afue = 0.8 }',
        "",
    ),
    (f"Gas boiler and central air conditioner, {LONG}", BOILER, "central-air-conditioner-24"),
    (
        f"Dual fuel, {LONG}",
        '{ kind = "heat pump", unit = "single-speed-24", off = "20 degF", on = "30 degF",'
        f' backup = {{ runs = "instead", heater = {BOILER} }} }}',
        "single-speed-24",
    ),
    (
        "Inverter 24 kBtu/h",
        '{ kind = "heat pump", unit = "inverter-cold-climate-24" }',
        "inverter-cold-climate-24",
    ),
    (
        "Inverter 18 kBtu/h with baseboard",
        '{ kind = "heat pump", unit = "inverter-standard-18",'
        ' backup = { heater = { kind = "electric resistance" } } }',
        "inverter-standard-18",
    ),
    (
        "Inverter 9 kBtu/h",
        '{ kind = "heat pump", unit = "inverter-standard-9" }',
        "inverter-standard-9",
    ),
    ("Baseboard", '{ kind = "electric resistance" }', ""),
]


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


@pytest.fixture(scope="module")
def seven(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    lines = [HEAD]
    for index, (name, heating, cooling) in enumerate(OPTIONS):
        lines += ["[[option]]", f'name = "{name}"', f"heating = {heating}"]
        lines += ["present = true"] if index == 0 else []
        if cooling:
            lines.append(f'cooling = {{ kind = "heat pump", unit = "{cooling}" }}')
    path = tmp_path_factory.mktemp("seven") / "seven.toml"
    path.write_text(
        "\n".join(lines).replace(
            '"heat pump", unit = "central', '"air conditioner", unit = "central'
        ),
        "utf-8",
    )
    return compare(path)


def named(comparison: Comparison, start: str) -> Outcome:
    return next(one for one in comparison.outcomes if one.name.startswith(start))


def fewer(comparison: Comparison, count: int) -> Comparison:
    return replace(comparison, outcomes=comparison.outcomes[:count])


def tick_labels(axis: Axis) -> Iterator[Text]:
    low, high = sorted(axis.get_view_interval())
    for tick in axis.get_major_ticks():
        if low <= tick.get_loc() <= high:
            yield tick.label1


def words(figure: Figure) -> list[Text]:
    """Every text that a reader sees."""
    found = list(figure.texts)
    for axes in figure.axes:
        found += [*axes.texts, axes.title, axes.xaxis.label, axes.yaxis.label]
        for axis in (axes.xaxis, axes.yaxis):
            found += tick_labels(axis)
    return [text for text in found if text.get_visible() and text.get_text().strip()]


def boxes(figure: Figure) -> list[tuple[str, Bbox]]:
    with style.house_style():
        figure.draw_without_rendering()
        return [(text.get_text(), text.get_window_extent()) for text in words(figure)]


def assert_words_apart(figure: Figure) -> None:
    found = boxes(figure)
    assert len(found) > 5
    width, height = figure.get_size_inches() * figure.dpi
    for text, box in found:
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= width, text
        assert box.y1 <= height, text
    for (one, first), (other, second) in combinations(found, 2):
        across = min(first.x1, second.x1) - max(first.x0, second.x0)
        up = min(first.y1, second.y1) - max(first.y0, second.y0)
        # half a dot for rounding; line boxes of one text may touch
        assert across < 0.5 or up < 1.5, f"{one!r} lies on {other!r}"


def title(figure: Figure) -> str:
    return " ".join(
        text.get_text() for text in figure.texts if text.get_fontsize() == style.TITLE_PT
    )


@pytest.mark.parametrize("count", [2, 4, 7])
def test_words_never_overlap_in_the_charts_of_cost(seven: Comparison, count: int) -> None:
    some = fewer(seven, count)
    assert_words_apart(yearly_cost_figure(some))
    assert_words_apart(monthly_cost_figure(some))


def test_words_never_overlap_in_the_chart_of_capacity(demo: Comparison, seven: Comparison) -> None:
    for comparison, start, show in (
        (demo, "Packaged", US),
        (demo, "Inverter 12 kBtu/h, standard", SI),
        (seven, "Inverter 9", US),
        (seven, "Gas boiler", SI),
    ):
        assert_words_apart(capacity_figure(comparison, named(comparison, start), show))


@pytest.mark.slow
@pytest.mark.parametrize("show", [US, SI], ids=["us", "si"])
def test_words_never_overlap_in_any_chart(
    demo: Comparison, seven: Comparison, show: Display
) -> None:
    for comparison in (demo, seven, compare(data_file(*STARTER))):
        for outcome in comparison.outcomes:
            if has_capacity_figure(comparison, outcome):
                assert_words_apart(capacity_figure(comparison, outcome, show))
                assert_words_apart(overview_figure(comparison, outcome, show))


def test_words_never_overlap_in_the_wide_picture(demo: Comparison) -> None:
    assert_words_apart(overview_figure(demo, named(demo, "Inverter"), US))


def test_a_colour_means_the_same_in_every_chart(demo: Comparison) -> None:
    # Okabe and Ito, "Color Universal Design" (2008), from memory
    published = {"#0072b2", "#d55e00", "#009e73", "#e69f00"}
    meant = {style.LOOKS[part].colour.lower() for part in CostPart if part is not CostPart.STANDING}
    assert meant == published
    outcome = named(demo, "Packaged")
    lines = capacity_figure(demo, outcome, US).axes[1].lines
    assert {to_hex(line.get_color()) for line in lines} >= {
        style.HEAT_PUMP.lower(),
        style.COOLING.lower(),
        style.CONTEXT,
    }
    view = capacity_view(demo, outcome)
    assert view.heating is not None
    assert view.cover(view.heating) == style.LOOKS[CostPart.RESISTANCE].colour


def bars_of(figure: Figure, colour: str) -> list[Rectangle]:
    return [
        patch
        for axes in figure.axes
        for container in axes.containers
        if isinstance(container, BarContainer)
        for patch in container.patches
        if np.allclose(patch.get_facecolor()[:3], to_rgb(colour)) and patch.get_facecolor()[3] > 0
    ]


def test_bars_by_year_are_as_long_as_the_costs_and_begin_at_zero(demo: Comparison) -> None:
    figure = yearly_cost_figure(demo)
    assert figure.axes[0].get_xlim()[0] == 0.0
    for part in (CostPart.HEAT_PUMP, CostPart.RESISTANCE, CostPart.FUEL, CostPart.COOLING):
        drawn = sum(bar.get_width() for bar in bars_of(figure, style.LOOKS[part].colour))
        expected = sum(
            float(parts[part].sum())
            for parts in (cost_parts(one, demo.model.prices) for one in demo.outcomes)
            if part in parts
        )
        assert drawn == pytest.approx(expected)


def test_bars_by_month_add_up_to_the_year_and_share_one_scale_from_zero(demo: Comparison) -> None:
    figure = monthly_cost_figure(demo)
    assert len(figure.axes) == len(demo.outcomes)
    assert {axes.get_ylim() for axes in figure.axes} == {figure.axes[0].get_ylim()}
    assert figure.axes[0].get_ylim()[0] == 0.0
    drawn = sum(
        bar.get_height() for part in CostPart for bar in bars_of(figure, style.LOOKS[part].colour)
    )
    assert drawn == pytest.approx(sum(one.yearly_cost for one in demo.outcomes))


def test_titles_of_costs_give_the_answer_with_its_number(demo: Comparison) -> None:
    best = demo.cheapest
    assert best is not None
    assert best.against_present is not None
    saving = best.against_present.payback.yearly_saving
    answer, detail = yearly_message(cost_view(demo))
    assert answer == f"{best.name}: about ${round(saving, -1):.0f} a year less"
    assert "for the same services" in detail
    assert title(yearly_cost_figure(demo)) == answer
    assert monthly_message(cost_view(demo)).startswith("January costs $")


def test_messages_without_a_present_or_an_able_option_say_so(demo: Comparison) -> None:
    best = demo.cheapest
    present = demo.present
    assert best is not None
    assert present is not None
    alone = replace(demo, outcomes=(replace(best, against_present=None),))
    assert yearly_message(cost_view(alone))[0].startswith(f"{best.name} costs least: $")
    now = replace(demo, outcomes=(present,))
    assert yearly_message(cost_view(now))[0].startswith("What is there now costs least: $")
    lacking = replace(demo, outcomes=(replace(best, missing_services=("cooling",)),))
    answer = yearly_message(cost_view(lacking))[0]
    assert answer == "No option gives every service and carries the load"
    assert_words_apart(yearly_cost_figure(lacking))


def test_the_style_leaves_the_settings_of_the_user_alone(demo: Comparison) -> None:
    before = dict(mpl.rcParams)
    with mpl.rc_context({"axes.facecolor": "red", "font.size": 30.0}):
        figure = yearly_cost_figure(demo)
        assert mpl.rcParams["font.size"] == 30.0
    assert dict(mpl.rcParams) == before
    assert figure.axes[0].get_facecolor()[3] == 0.0
    assert max(text.get_fontsize() for text in words(figure)) == style.TITLE_PT


def test_parts_differ_in_grey_by_pattern_or_lightness() -> None:
    looks = list(style.LOOKS.values())
    for one, other in combinations(looks, 2):
        weights = np.array([0.299, 0.587, 0.114])  # ITU-R BT.601, luma (from memory)
        grey = [float(weights @ np.array(to_rgb(look.colour))) for look in (one, other)]
        assert one.hatch != other.hatch or abs(grey[0] - grey[1]) > 0.2


def test_wrapped_lines_fit_and_keep_the_words() -> None:
    text = "Inverter heat pump, 12 kBtu/h class, with a long line to the garden wall"
    lines = wrapped(text, 1.5, 8.0)
    assert " ".join(lines) == text
    assert all(text_width_in(line, 8.0) <= 1.5 for line in lines)
    for before, after in pairwise(lines):
        assert text_width_in(f"{before} {after.split()[0]}", 8.0) > 1.4
    cut = wrapped(text, 1.5, 8.0, most_lines=2)
    assert len(cut) == 2
    assert cut[1].endswith("…")
    assert text_width_in(wrapped("W" * 80, 1.0, 8.0)[0], 8.0) <= 1.0
    assert wrapped("", 1.0, 8.0) == []
