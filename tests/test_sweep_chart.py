"""The chart of a sweep over one field: its lines are those of single comparisons."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.report.figures.sweep_chart import sweep_figure, sweep_lines
from energymodel.scenario.changes import changed
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.sweep.sweep import SweepResult, sweep

PRICES, LOADS = (0.10, 0.16, 0.22), ("8 kBtu/h", "10 kBtu/h")
GRID = {
    "price.electricity.energy": list(PRICES),
    "room.heating.design_load": list(LOADS),
    "place.weather": ["greensboro-nc", "miami-fl"],
}


@pytest.fixture(scope="module")
def swept() -> SweepResult:
    grid = {path: values for path, values in GRID.items() if path != "place.weather"}
    return sweep(changed(read_scenario(), {"sweep": {"grid": grid}}))


def test_ends_of_a_band_are_single_comparisons(swept: SweepResult) -> None:
    values, unit, lines = sweep_lines(swept, "price.electricity.energy")
    assert (values.tolist(), unit) == (list(PRICES), "")
    for place, price in enumerate(PRICES):
        costs = [
            {
                one.name: one.like_cost
                for one in compare(
                    changed(
                        read_scenario(),
                        {"price.electricity.energy": price, "room.heating.design_load": load},
                    )
                ).outcomes
            }
            for load in LOADS
        ]
        for name, line in lines.items():
            ends = (line.low[place], line.high[place])
            assert ends == pytest.approx((costs[0][name], costs[1][name]), rel=1e-12)
            assert line.middle[place] == pytest.approx(np.mean(ends), rel=1e-12)


def test_the_axis_begins_at_zero_and_carries_the_unit_of_the_field(swept: SweepResult) -> None:
    axes = sweep_figure(swept, "room.heating.design_load").axes[0]
    assert axes.get_xlabel() == "room.heating.design_load, kBtu/h"
    assert axes.get_xlim() == (8.0, 10.0)
    assert axes.get_ylim()[0] == 0.0


def test_a_field_without_numbers_or_that_does_not_vary_is_refused(swept: SweepResult) -> None:
    with pytest.raises(InputError, match="does not vary"):
        sweep_lines(swept, "place.weather")
    places = sweep(
        changed(read_scenario(), {"sweep": {"grid": {"place.weather": GRID["place.weather"]}}})
    )
    with pytest.raises(InputError, match="no numbers of one unit"):
        sweep_lines(places, "place.weather")
