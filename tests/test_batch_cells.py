"""Hours and largest base loads by state: every hour is counted once, and only where it belongs."""

from __future__ import annotations

import numpy as np

from energymodel.equipment.resistance import Resistance
from energymodel.season.batch.cells import hours_in_cells, largest_base_w
from energymodel.season.option import Option
from energymodel.season.states import distinct_states
from energymodel.weather.library import shipped_year

GREENSBORO = shipped_year("greensboro-nc")
OPTION = Option(
    name="invented",
    heating=Resistance(),
    cooling=None,
    heating_load=None,
    cooling_load=None,
    heating_indoor_c=20.0,
    cooling_indoor_c=24.0,
)


def test_cells_that_are_the_months_hold_the_hours_of_the_months() -> None:
    states = distinct_states(OPTION, GREENSBORO)
    counts = hours_in_cells(states, GREENSBORO.month - 1, 12)
    assert counts.tolist() == states.hours_in_month.tolist()


def test_hours_outside_every_cell_or_window_are_left_out() -> None:
    states = distinct_states(OPTION, GREENSBORO)
    summer = np.where(GREENSBORO.month == 7, 0, -1)
    assert hours_in_cells(states, summer, 1).sum() == 31 * 24
    base_w = np.arange(8760.0)
    largest = largest_base_w(states, base_w, summer, 1)
    assert largest.max() == base_w[GREENSBORO.month == 7].max()
    there = np.unique(states.inverse[GREENSBORO.month == 7])
    assert np.isfinite(largest).sum() == there.size
