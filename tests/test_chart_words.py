"""Words of the charts: what is short, nothing rounded away, no upper limit as a claim."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.figure import Figure
from matplotlib.text import Text

from energymodel.datafiles import data_file
from energymodel.report.figures.capacity_chart import capacity_view, message
from energymodel.report.figures.cash_flow_view import cash_flow_caption, cash_flow_view
from energymodel.report.figures.comparison import monthly_cost_figure, yearly_cost_figure
from energymodel.report.figures.cost_view import cost_view, note
from energymodel.report.figures.duration_chart import Duration, duration_figure, duration_message
from energymodel.report.figures.shares import part_words
from energymodel.report.gallery import gallery_figures
from energymodel.report.numbers import Display
from energymodel.scenario.changes import changed
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

US = Display(us=True)
BARE = "Inverter 12 kBtu/h, cold-climate"


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


@pytest.fixture(scope="module")
def hot(demo: Comparison) -> Comparison:
    """The demo in a room for which most of its units are too small."""
    loads = {
        "room.cooling.design_load": "18 kBtu/h",
        'option."Electric baseboard".present': False,
        'option."Baseboard + window unit".present': True,
    }
    return compare(changed(demo.model.scenario, loads))


def words(figure: Figure) -> list[str]:
    found = [one.get_text() for one in figure.findobj(Text) if isinstance(one, Text)]
    return [one for one in found if one.strip()]


def test_a_note_says_which_load_is_not_carried(demo: Comparison, hot: Comparison) -> None:
    view = cost_view(hot)
    assert note(hot.outcomes[0], view) == "there now, short of cooling"
    cold = compare(changed(demo.model.scenario, {"room.heating.design_load": "30 kBtu/h"}))
    inverter = next(one for one in cold.outcomes if one.name == BARE)
    assert note(inverter, cost_view(cold)) == "short of heat"


@pytest.mark.parametrize("services", [("cooling",), ("heating", "cooling")])
def test_notes_beside_the_bars_are_never_cut(hot: Comparison, services: tuple[str, ...]) -> None:
    first = hot.outcomes[0]
    coverage = first.coverage
    assert coverage is not None
    if "heating" in services:
        first = replace(first, coverage=replace(coverage, unmet_share=0.2))
    assert first.short_of == services
    figure = yearly_cost_figure(replace(hot, outcomes=(first, *hot.outcomes[1:])))
    text = " ".join(" ".join(words(figure)).split())
    assert note(first, cost_view(hot)) in text
    assert "…" not in text


def test_only_the_chart_with_lines_at_its_bars_explains_them(demo: Comparison) -> None:
    line = "Line at the end of a bar"
    assert line in " ".join(words(yearly_cost_figure(demo)))
    assert line not in " ".join(words(monthly_cost_figure(demo)))


def hours(short_w: float) -> Duration:
    """A thousand hours of 1,000 W; in nine of them something is missing."""
    load = np.full(1000, 1000.0)
    other = np.zeros(1000)
    other[:9] = short_w
    return Duration(load_w=load, pump_w=load - other, other_w=other, unmet_w=np.zeros(1000))


def test_a_heat_pump_that_needs_help_never_gives_all_of_the_heat() -> None:
    assert duration_message(hours(10.0), US) == (
        "The heat pump gives more than 99.9% of the heat; 9 of 1,000 hours need more"
    )
    assert "gives 99.6% of the heat" in duration_message(hours(400.0), US)  # 3.6 of 1,000 kWh
    assert "alone" in duration_message(hours(0.0), US)


def test_no_chart_of_the_demo_says_all_where_hours_are_short(demo: Comparison) -> None:
    pump = next(one for one in demo.outcomes if one.name == "Inverter 12 kBtu/h, standard")
    text = " ".join(words(duration_figure(demo, pump, US)))
    assert "need more" in text
    assert "100.0%" not in text


@given(share=st.floats(0, 1), digits=st.integers(0, 2))
def test_a_part_in_words_is_neither_all_nor_nothing(share: float, digits: int) -> None:
    text = part_words(share, digits)
    number = float(text.rsplit(" ", maxsplit=1)[-1].removesuffix("%"))
    assert (number == 100.0) is (share == 1.0)
    assert (number == 0.0) is (share == 0.0)


def test_an_option_without_an_installed_cost_is_named_and_not_drawn(tmp_path: Path) -> None:
    text = data_file("scenarios", "demo.toml").read_text("utf-8")
    file = tmp_path / "bare.toml"
    file.write_text(text.replace("installed_cost = 4300\n", ""), "utf-8")
    view = cash_flow_view(compare(file))
    assert BARE not in [course.name for course in view.courses]
    assert f"Not drawn, for lack of an installed cost: {BARE}." in cash_flow_caption(view)
    assert "Not drawn" not in cash_flow_caption(cash_flow_view(compare()))


def test_a_unit_that_cools_alone_is_said_to_at_and_below_the_hottest_hour(
    demo: Comparison,
) -> None:
    mild = compare(changed(demo.model.scenario, {"room.cooling.design_load": "4 kBtu/h"}))
    window = next(one for one in mild.outcomes if one.name == "Baseboard + window unit")
    text = message(capacity_view(mild, window), US)
    hottest = US.temperature(float(demo.model.weather.outdoor_c.max()))
    assert text == f"At {hottest} and below the unit cools the room alone"


@pytest.mark.slow
def test_no_figure_sells_an_upper_limit_or_the_whole_of_a_part() -> None:
    # US Federal Trade Commission, "Make your claims crystal clear" (2012), on "up to"
    for one in gallery_figures():
        text = " ".join(words(one.draw())).lower()
        for forbidden in ("up to", "guaranteed", "pays for itself", "100.0%"):
            assert forbidden not in text, one.title
