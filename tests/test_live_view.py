"""A comparison as HTML: bars as long as the costs, whiskers at the ends of the range, the table."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from energymodel.datafiles import data_file
from energymodel.errors import InputError, ManyFaultsError
from energymodel.report.figures.cost_view import CostView, cost_view
from energymodel.report.live_view import LiveView, bars_svg, fault_html, live_html, table_html
from energymodel.scenario.changes import changed
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_range import cost_ranges


@pytest.fixture(scope="module")
def view() -> LiveView:
    comparison = compare()
    return LiveView(comparison=comparison, ranges=cost_ranges(comparison), us=True)


@pytest.fixture(scope="module")
def costs(view: LiveView) -> CostView:
    return cost_view(view.comparison)


def _numbers(element: ET.Element, *names: str) -> list[float]:
    return [float(element.attrib[name]) for name in names]


def test_bars_are_as_long_as_the_costs_and_whiskers_end_at_the_range(
    view: LiveView, costs: CostView
) -> None:
    svg = ET.fromstring(bars_svg(costs, view.ranges))
    bars: dict[float, list[ET.Element]] = {}
    for rect in svg.findall("rect"):
        if rect.attrib["height"] == "20.0":
            bars.setdefault(float(rect.attrib["y"]), []).append(rect)
    assert len(bars) == len(costs.outcomes)
    lengths = [sum(_numbers(rect, "width")[0] for rect in row) for row in bars.values()]
    scale = lengths[0] / costs.totals[0]
    # one decimal of a picture unit per part
    assert lengths == pytest.approx([total * scale for total in costs.totals], abs=0.3)
    zero = min(_numbers(rect, "x")[0] for row in bars.values() for rect in row)
    spans = [
        (x1, x2)
        for x1, y1, x2, y2 in (_numbers(one, "x1", "y1", "x2", "y2") for one in svg.findall("line"))
        if y1 == y2
    ]
    varied = [view.ranges[one.name] for one in costs.outcomes]
    ends = [(zero + r.low * scale, zero + r.high * scale) for r in varied if r.high - r.low > 5]
    assert [x for span in spans for x in span] == pytest.approx(
        [x for span in ends for x in span], abs=0.3
    )


def test_the_table_holds_the_numbers_of_the_comparison_the_present_option_first(
    view: LiveView, costs: CostView
) -> None:
    rows = re.findall(r"<tr.*?</tr>", table_html(view, costs))[1:]
    cells = [re.findall(r"<td>(.*?)</td>", row) for row in rows]
    for outcome, row in zip(view.comparison.outcomes, cells, strict=True):
        assert row[0].startswith(outcome.name)
        assert row[2] == f"{outcome.yearly_cost:,.0f}"
        low, high = (float(row[at].replace(",", "")) for at in (1, 3))
        assert low <= round(outcome.yearly_cost) <= high
    assert "there now" in cells[0][0]
    assert cells[0][4] == ""


def test_the_answer_comes_first_and_estimate_and_cautions_last(view: LiveView) -> None:
    html = live_html(view)
    answer = html.index('<p class="answer">Inverter 12 kBtu/h, cold-climate: about $')
    order = [answer, html.index("<svg"), html.index("<table>"), html.index("Estimate, not a")]
    assert order == sorted(order)
    assert "--details" not in html


def test_of_several_faults_the_first_is_shown_with_its_remedy_and_the_rest_counted() -> None:
    first = InputError("the load is missing", where="room", expected="9.5 kBtu/h", remedy="ask")
    html = fault_html(ManyFaultsError([first, InputError("<b>more</b>")]))
    assert "room: the load is missing." in html
    assert "Expected: 9.5 kBtu/h. Ask. And 1 more." in html
    assert "<b>more" not in html


def test_without_an_installed_cost_no_cost_and_no_payback_stand_in_the_table(
    view: LiveView, tmp_path: Path
) -> None:
    name = "Inverter 12 kBtu/h, cold-climate"
    text = data_file("scenarios", "demo.toml").read_text("utf-8")
    file = tmp_path / "bare.toml"
    file.write_text(text.replace("installed_cost = 4300\n", ""), "utf-8")
    bare = compare(file)
    shown = LiveView(comparison=bare, ranges=cost_ranges(bare), us=True)
    (row,) = re.findall(rf"<tr[^>]*><td>{name}.*?</tr>", table_html(shown, cost_view(bare)))
    assert re.findall(r"<td>([^<]*)</td>", row)[-2:] == ["not given", "unknown"]
    (row,) = re.findall(
        rf"<tr[^>]*><td>{name}.*?</tr>", table_html(view, cost_view(view.comparison))
    )
    assert re.findall(r"<td>([^<]*)</td>", row)[-2:] == ["4,300", "11.7"]


def test_a_payback_of_more_than_a_century_is_no_number(view: LiveView) -> None:
    path = 'option."Inverter 12 kBtu/h, cold-climate".installed_cost'
    dear = compare(changed(view.comparison.model.scenario, {path: 9e8}))
    html = table_html(LiveView(comparison=dear, ranges=cost_ranges(dear), us=True), cost_view(dear))
    assert "<td>over 100</td>" in html
