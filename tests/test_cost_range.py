"""Low, likely and high yearly cost: corners run one by one, ends by hand, refused ranges."""

from __future__ import annotations

import runpy
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from energymodel.datafiles import data_file
from energymodel.errors import EnergyModelError
from energymodel.scenario.assemble import assemble
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_range import CostRange, cost_ranges
from energymodel.study.comparison.factor_costs import follows
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.uncertainty.inputs import Kind, uncertain_inputs
from energymodel.study.uncertainty.spread_costs import costs_of, places

_TOOLS = runpy.run_path(str(Path(__file__).with_name("scenario_text.py")))
BASE: str = _TOOLS["BASE"]
PUMP = 'unit = "inverter-standard-12"'
FURNACE = "afue = 0.80"
STRIPS = 'unit = "single-speed-24"'


def compared(folder: Path, text: str) -> Comparison:
    file = folder / "room.toml"
    file.write_text(text, "utf-8")
    return compare(file)


def ranges_of(folder: Path, ranges: str) -> Mapping[str, CostRange]:
    return cost_ranges(compared(folder, f"{BASE}\n[ranges]\n{ranges}\n"))


def rated(folder: Path, pump: float, burner: float) -> Comparison:
    """The scenario with these in-service factors written into every entry."""
    text = BASE.replace(PUMP, f"{PUMP}, in_service = {pump}")
    text = text.replace(FURNACE, f"{FURNACE}, in_service = {burner}")
    text = text.replace(f"{STRIPS},", f"{STRIPS}, in_service = {pump},")
    return compared(folder, text.replace(f"{STRIPS}\n", f"{STRIPS}\nin_service = {pump}\n"))


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return compared(tmp_path_factory.mktemp("plain"), BASE)


@pytest.fixture(scope="module")
def found(plain: Comparison) -> Mapping[str, CostRange]:
    return cost_ranges(plain)


def outcome_of(comparison: Comparison, name: str) -> Outcome:
    return next(one for one in comparison.outcomes if one.name == name)


# --- the corners ----------------------------------------------------------------------------


def test_the_ends_are_those_of_runs_with_the_factors_written_into_the_scenario(
    tmp_path: Path, found: Mapping[str, CostRange]
) -> None:
    # 0.80 and 1.00 for heat pumps, 0.95 and 1.00 for burners (our choice), every one alike
    best, worst = rated(tmp_path, 1.0, 1.0), rated(tmp_path, 0.8, 0.95)
    for name, one in found.items():
        assert one.low == pytest.approx(outcome_of(best, name).yearly_cost, rel=1e-9)
        assert one.high == pytest.approx(outcome_of(worst, name).yearly_cost, rel=1e-9)


def test_likely_is_the_comparisons_own_number(
    plain: Comparison, found: Mapping[str, CostRange]
) -> None:
    for one in plain.outcomes:
        assert found[one.name].likely == one.yearly_cost
        assert found[one.name].low <= one.yearly_cost <= found[one.name].high


def test_an_option_without_a_factor_in_service_has_no_range(
    found: Mapping[str, CostRange],
) -> None:
    baseboard = found["Baseboard"]
    assert baseboard.low == baseboard.likely == baseboard.high
    assert baseboard.saving_likely is None
    assert found["Inverter"].low < found["Inverter"].high


def test_a_room_where_nothing_varies_has_ranges_of_one_value(tmp_path: Path) -> None:
    option = BASE.index("[[option]]")
    alone = """
[[option]]
name = "Baseboard alone"
present = true
heating = { kind = "electric resistance" }
"""
    comparison = compared(tmp_path, BASE[:option] + alone)
    found = cost_ranges(comparison)["Baseboard alone"]
    assert found.low == found.likely == found.high == comparison.outcomes[0].yearly_cost > 0


def test_the_saving_counts_the_services_that_both_give(
    plain: Comparison, found: Mapping[str, CostRange], tmp_path: Path
) -> None:
    one = found["Inverter"]
    own = outcome_of(plain, "Inverter").against_present
    assert own is not None
    assert one.saving_likely == own.payback.yearly_saving
    spend = outcome_of(plain, "Baseboard").service_cost["heating"]
    for pump, saving in ((1.0, one.saving_high), (0.8, one.saving_low)):
        heat = outcome_of(rated(tmp_path, pump, 1.0), "Inverter").service_cost["heating"]
        assert saving == pytest.approx(spend - heat, rel=1e-9)


def test_the_short_way_and_the_run_of_many_years_agree(plain: Comparison) -> None:
    inputs = uncertain_inputs(plain.model, assumed=False)
    place = places(plain.model)[0]
    short = [one for one in plain.outcomes if follows(one, inputs)]
    assert {one.name for one in short} == {"Baseboard", "Furnace", "Inverter", "Strips"}
    ranges = cost_ranges(plain)
    for one in short:
        ends = [
            costs_of(one.planned, place, inputs, np.full((1, 2), end)).total[0]
            for end in (1.0, 0.0)
        ]
        found = (ranges[one.name].low, ranges[one.name].high)
        assert found == pytest.approx(ends, rel=1e-9)


def test_a_factor_that_decides_when_the_strips_take_over_takes_the_long_way(
    tmp_path: Path,
) -> None:
    # at 0.35 the pump's COP falls below 1 in the cold hours, at 1.10 in none (computed)
    wide = "heat_pump_in_service = { low = 0.35, high = 1.10 }"
    comparison = compared(tmp_path, f"{BASE}\n[ranges]\n{wide}\n")
    inputs = uncertain_inputs(comparison.model, assumed=False)
    assert not follows(outcome_of(comparison, "Strips"), inputs)
    assert follows(outcome_of(comparison, "Inverter"), inputs)
    found = cost_ranges(comparison)["Strips"]
    best, worst = (
        outcome_of(rated(tmp_path, pump, 1.0), "Strips").yearly_cost for pump in (1.10, 0.35)
    )
    assert (found.low, found.high) == pytest.approx((best, worst), rel=1e-9)


@pytest.mark.parametrize("name", ["demo.toml", "house.toml", "starter.toml"])
def test_many_years_at_the_likely_inputs_are_the_comparison(name: str) -> None:
    comparison = compare(data_file("scenarios", name))
    inputs = uncertain_inputs(comparison.model, assumed=True)
    place = places(comparison.model)[0]
    likely = np.full((1, len(inputs)), np.nan)
    for one in comparison.outcomes:
        costs = costs_of(one.planned, place, inputs, likely)
        for service, cost in one.service_cost.items():
            assert costs.by_service[service][0] == pytest.approx(cost, rel=1e-9)


# --- ranges of the scenario -----------------------------------------------------------------


def test_load_and_price_of_a_baseboard_multiply(tmp_path: Path) -> None:
    one = ranges_of(tmp_path, 'load = { low = "-10 %", high = "20 %" }\nprice.electricity = "25 %"')
    baseboard = one["Baseboard"]
    # resistance heat: cost = load x price, so the corners are products (computed)
    assert baseboard.low == pytest.approx(baseboard.likely * 0.90 * 0.75, rel=1e-9)
    assert baseboard.high == pytest.approx(baseboard.likely * 1.20 * 1.25, rel=1e-9)


def test_a_price_range_may_be_given_in_the_unit_of_the_price(tmp_path: Path) -> None:
    one = ranges_of(tmp_path, "price.electricity = { low = 0.07, high = 0.21 }")["Baseboard"]
    assert one.low == pytest.approx(0.5 * one.likely, rel=1e-9)
    assert one.high == pytest.approx(1.5 * one.likely, rel=1e-9)


def test_a_milder_year_is_a_lower_balance_temperature(tmp_path: Path) -> None:
    one = ranges_of(tmp_path, 'weather_shift = "1.8 degF"')["Baseboard"]
    for shift, cost in (("58.2 degF", one.low), ("61.8 degF", one.high)):
        moved = BASE.replace(
            'design_load = "9.5 kBtu/h"\ndesign_temperature = "15 degF"',
            f'ua = "{9500.0 / 55.0!r} Btu/(h degF)"\ndesign_temperature = "15 degF"',
        ).replace('balance_temperature = "60 degF"', f'balance_temperature = "{shift}"')
        run = compared(tmp_path, moved)
        assert cost == pytest.approx(outcome_of(run, "Baseboard").yearly_cost, rel=1e-9)
    assert "assumed shift" in one.words


def test_an_options_own_factor_is_always_inside(tmp_path: Path) -> None:
    text = BASE.replace(PUMP, f"{PUMP}, in_service = 0.70")
    one = cost_ranges(compared(tmp_path, text))["Inverter"]
    assert one.high == pytest.approx(one.likely, rel=1e-12)
    assert one.low < one.likely


def test_words_name_the_inputs_and_the_weather(found: Mapping[str, CostRange]) -> None:
    words = found["Inverter"].words
    assert "heat pumps in service 0.80 to 1.00 of rated" in words
    assert "burners in service 0.95 to 1.00 of rated" in words
    assert words.endswith("one typical year; spread of winters not included")


def test_ranges_that_nobody_gave_are_in_none_of_the_corners(tmp_path: Path) -> None:
    one = ranges_of(tmp_path, "payback_within = 8")
    assert one["Baseboard"].low == one["Baseboard"].high


# --- what is refused ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("heat_pump_in_service = { low = 1.0, high = 0.8 }", "lies above"),
        ("heat_pump_in_service = { low = 0.8, likely = 0.9, high = 1.0 }", "own likely value"),
        ("heat_pump_in_service = { low = 0.1, high = 1.0 }", "0.3 or more"),
        ('load = "15"', "is not a share"),
        ('load = "-15 %"', "below zero"),
        ('load = { low = "5 %", high = "10 %" }', "at most 0"),
        ("price.electricity = { low = true, high = 0.2 }", "not an end of a price range"),
        ("price.electricity = { low = 0.2, high = 0.3 }", "holds the scenario's own price"),
        ('price.propane = "10 %"', "has no price"),
        ('weather_shift = "1"', "unit"),
        ("weather_shift = 1.0", "has no unit"),
        ("payback_within = 0", "above 0"),
        ('weather_shift = "1 K"\nweather_years = ["a.csv"]', "stands beside"),
        ('weather_years = ["a.csv", "a.csv"]', "given twice"),
        ('loads = "15 %"', 'did you mean "load"?'),
    ],
)
def test_a_range_that_cannot_be_is_refused_with_its_place(
    tmp_path: Path, written: str, says: str
) -> None:
    with pytest.raises(EnergyModelError) as caught:
        ranges_of(tmp_path, written)
    assert "ranges" in str(caught.value)
    assert says in str(caught.value)


def test_every_way_to_write_both_ways_gives_the_same_range(tmp_path: Path) -> None:
    texts = ('"15 %"', '"+/-15%"', '"± 15 %"', '{ low = "-15 %", high = "+15 %" }')
    for text in texts:
        file = tmp_path / "room.toml"
        file.write_text(f"{BASE}\n[ranges]\nload = {text}\n", "utf-8")
        inputs = uncertain_inputs(assemble(read_scenario(file)), assumed=False)
        load = next(one for one in inputs if one.kind is Kind.LOAD)
        assert (load.low, load.high) == pytest.approx((0.85, 1.15))
