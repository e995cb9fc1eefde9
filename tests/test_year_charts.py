"""Charts of the year: hour map, duration curve, cost by line; their numbers are the model's."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from energymodel.report.comparison.cost_lines import LineGroup
from energymodel.report.figures.cost_lines_chart import (
    cost_lines_figure,
    cost_lines_message,
    line_groups,
)
from energymodel.report.figures.duration_chart import duration, duration_figure, duration_message
from energymodel.report.figures.hour_map_chart import hour_map, hour_map_figure, hour_map_message
from energymodel.report.numbers import Display
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison, Outcome

DATA = Path(__file__).parents[1] / "data"
US, SI = Display(us=True), Display(us=False)


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


@pytest.fixture(scope="module")
def house() -> Comparison:
    return compare(DATA / "scenarios" / "house.toml")


@pytest.fixture(scope="module")
def rates() -> Comparison:
    return compare(DATA / "examples" / "tariff-house.toml")


def named(comparison: Comparison, text: str) -> Outcome:
    return next(outcome for outcome in comparison.outcomes if text in outcome.name)


def words(figure: Figure) -> str:
    found = [text.get_text() for text in figure.texts]
    for axes in figure.axes:
        found += [text.get_text() for text in axes.texts]
        found += [axes.get_xlabel(), axes.get_ylabel()]
    return "\n".join(found)


def test_the_hour_map_holds_every_hour_of_the_year(demo: Comparison) -> None:
    pump = named(demo, "standard")
    found = hour_map(demo, pump)
    assert found.power_kw.shape == (365, 24)
    assert found.power_kw.sum() == pytest.approx(pump.energy_kwh["electricity"], rel=1e-12)
    assert found.power_kw.max() == pump.result.peak_hour_kw
    assert found.month_starts.tolist() == list(
        np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])
    )


def test_the_hour_map_names_its_peak_with_units(demo: Comparison) -> None:
    pump = named(demo, "standard")
    found = hour_map(demo, pump)
    day, hour = found.peak
    assert found.power_kw[day, hour] == found.power_kw.max()
    message = hour_map_message(found)
    assert f"{found.power_kw.max():.1f} kW" in message
    assert f"{hour}-{hour + 1} h" in message
    figure = hour_map_figure(demo, pump)
    assert "kW" in words(figure)
    assert "Hour of the day" in words(figure)


@pytest.mark.parametrize("name", ["Packaged", "standard", "Electric baseboard"])
def test_the_areas_under_the_duration_curve_add_up_to_the_load(demo: Comparison, name: str) -> None:
    outcome = named(demo, name)
    found = duration(outcome)
    assert (np.diff(found.load_w) <= 0).all()
    covered = found.pump_w + found.other_w + found.unmet_w
    assert covered == pytest.approx(found.load_w, rel=1e-12)
    assert (found.other_w >= -1e-9).all()
    load_kwh = outcome.result.total("heating_load_kwh")
    assert found.load_w.sum() / 1000.0 == pytest.approx(load_kwh, rel=1e-12)
    unmet_kwh = outcome.result.total("heating_unmet_kwh")
    assert found.unmet_w.sum() / 1000.0 == pytest.approx(unmet_kwh, rel=1e-9, abs=1e-9)


def test_the_heat_pump_in_the_demo_carries_its_hours_but_those_that_are_short(
    demo: Comparison,
) -> None:
    pump = named(demo, "standard")
    found = duration(pump)
    at_states = pump.result.columns["heating_unmet_kwh"] > 1e-9
    short = int(at_states[pump.result.states.inverse].sum())
    assert found.helped_h == short > 0
    assert f"{short} of {found.load_w.size:,} hours" in duration_message(found, US)
    assert not duration(named(demo, "Electric baseboard")).pump_w.any()


def test_the_loss_of_ducts_is_shared_by_heat_pump_and_strips(house: Comparison) -> None:
    outcome = named(house, "Central heat pump with strips")
    found = duration(outcome)
    total = outcome.result.total
    share = total("heating_pump_heat_kwh") / (
        total("heating_delivered_kwh") + total("heating_duct_loss_kwh")
    )
    assert found.pump_w.sum() / found.load_w.sum() == pytest.approx(share, abs=0.01)


@pytest.mark.parametrize("show", [US, SI], ids=["us", "si"])
def test_the_duration_chart_names_its_areas_and_units(demo: Comparison, show: Display) -> None:
    text = words(duration_figure(demo, named(demo, "Packaged"), show))
    assert ("kBtu/h" in text) is show.us
    assert ("Heating load, kW" in text) is not show.us
    assert "heat pump" in text
    assert "other heat" in text
    assert "Hours of the year, hardest first" in text


@pytest.mark.parametrize("which", ["demo", "house", "rates"])
def test_the_groups_of_lines_add_up_to_the_yearly_cost(
    which: str, request: pytest.FixtureRequest
) -> None:
    comparison: Comparison = request.getfixturevalue(which)
    for outcome in comparison.outcomes:
        groups = line_groups(outcome, comparison)
        assert sum(groups.values()) == pytest.approx(outcome.yearly_cost, abs=0.03)


def test_an_account_that_closes_lies_below_zero(house: Comparison) -> None:
    leaves = line_groups(named(house, "gas leaves"), house)
    assert leaves[LineGroup.FIXED] == pytest.approx(-12 * 12.0)  # 12 per month in the scenario
    assert leaves[LineGroup.FUEL] < 0
    assert "account opens or closes" in cost_lines_message({"one": leaves})


def test_the_chart_of_lines_shows_every_option_and_its_total(rates: Comparison) -> None:
    text = words(cost_lines_figure(rates))
    for outcome in rates.outcomes:
        assert outcome.name.split()[0] in text
        assert f"${outcome.yearly_cost:,.0f}" in text


def test_demand_that_weighs_is_the_message() -> None:
    groups = {
        "Pump": {LineGroup.ENERGY: 75.0, LineGroup.DEMAND: 25.0},
        "Other": {LineGroup.FUEL: 9.0},
    }
    assert cost_lines_message(groups) == "Peak demand weighs most in Pump: 25% of its cost"
