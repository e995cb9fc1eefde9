"""The chart of the customer's page: places of lines and names, what its title says."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.datafiles import shipped_folder
from energymodel.report.handout.chart import pump_curves
from energymodel.report.handout.handout import make_sheet, page_data
from energymodel.report.handout.labels import Named, place_names
from energymodel.report.handout.sheet import HandoutSettings, Sheet
from energymodel.study.comparison.compare import compare


@pytest.fixture(scope="module", params=["demo.toml", "house.toml"])
def sheet(request: pytest.FixtureRequest) -> Sheet:
    comparison = compare(shipped_folder("data") / "scenarios" / request.param)
    return make_sheet(comparison, us=True, settings=HandoutSettings())


@pytest.fixture(scope="module")
def chart(sheet: Sheet) -> dict[str, Any]:
    drawn: dict[str, Any] = page_data(sheet)["cold"]["chart"]
    return drawn


def test_everything_lies_inside_the_plot(chart: dict[str, Any]) -> None:
    lines = [line for curve in chart["curves"] for line in (curve["load"], *curve["solid"])]
    points = [point for line in [*lines, chart["points"]] for point in line]
    assert all(0.0 <= x <= 1.0 and 0.0 <= y <= 1.0 for x, y in points)
    for start, stop, every, short in chart["hours"]["bars"]:
        assert 0.0 <= start < stop <= 1.0
        assert 0.0 <= short <= every <= 1.0


def test_no_name_overlaps_another_or_leaves_the_plot(chart: dict[str, Any]) -> None:
    names = chart["labels"]
    assert len(names) >= 4
    for one in names:
        assert one["x"] >= 0.0
        assert one["x"] + one["width"] <= 1.0
    for first, second in ((a, b) for k, a in enumerate(names) for b in names[:k]):
        beside = (
            first["x"] + first["width"] < second["x"] or second["x"] + second["width"] < first["x"]
        )
        assert beside or abs(first["y"] - second["y"]) > 0.05


def test_the_load_line_ends_at_the_balance_temperature(sheet: Sheet, chart: dict[str, Any]) -> None:
    curves = pump_curves(sheet)
    assert curves is not None
    last = chart["curves"][0]["load"][-1]
    assert last == chart["points"][0]
    # analytic: at the balance temperature the load is zero
    assert last[1] == 0.0


def test_the_title_says_from_where_on_the_unit_is_enough(
    sheet: Sheet, chart: dict[str, Any]
) -> None:
    curves = pump_curves(sheet)
    assert curves is not None
    balance_c = curves.heating.capacity_balance_c
    shown_c = float(curves.heating.outdoor_c[0]) if balance_c is None else balance_c
    assert f"{shown_c * 1.8 + 32.0:.0f}\u00a0°F" in chart["title"]
    assert chart["title"] in chart["alt"]


@given(
    slope=st.floats(-0.9, 0.9),
    count=st.integers(1, 6),
    letters=st.integers(1, 40),
)
def test_placed_names_are_inside_and_apart(slope: float, count: int, letters: int) -> None:
    x = np.linspace(0.0, 1.0, 40)
    line = np.column_stack([x, 0.5 + slope * (x - 0.5)])
    everywhere = np.ones(x.size, dtype=bool)
    names = [Named(text="n" * letters, points=line, where=everywhere)] * count
    placed = place_names(names, [line])
    assert len(placed) <= count
    for box in placed:
        assert box.left >= 0.0
        assert box.left + box.width <= 1.0
    for first, second in ((a, b) for k, a in enumerate(placed) for b in placed[:k]):
        assert not first.touches(second)


def test_a_name_without_a_place_beside_its_line_is_left_out() -> None:
    line = np.column_stack([np.linspace(0, 1, 9), np.full(9, 0.5)])
    nowhere = np.zeros(9, dtype=bool)
    assert place_names([Named(text="x", points=line, where=nowhere)], [line]) == []


def test_no_line_runs_behind_a_name_or_touches_it(chart: dict[str, Any]) -> None:
    lines = [
        np.array(points)
        for curve in chart["curves"]
        for points in (curve["load"], curve["lowest"], *curve["solid"], *curve["dashed"])
        if points
    ]
    for one in chart["labels"]:
        # a line of text is 8 pt or less of a plot of 34 mm
        high = 8.0 * 25.4 / 72.0 / 34.0
        for line in lines:
            at = np.linspace(line[:, 0].min(), line[:, 0].max(), 2000)
            inside = (at > one["x"]) & (at < one["x"] + one["width"])
            y = np.interp(at, line[:, 0], line[:, 1])[inside]
            assert not ((y > one["y"]) & (y < one["y"] + high)).any(), one["text"]
