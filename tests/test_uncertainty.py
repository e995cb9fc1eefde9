"""Spread, chances and influences: analytic functions, exact distributions, identities."""

from __future__ import annotations

import math
import runpy
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from energymodel.economics.payback import simple_payback
from energymodel.errors import EnergyModelError, InputError
from energymodel.season.annual import annual
from energymodel.study.comparison.compare import compare
from energymodel.study.uncertainty.draws import power_of_two, sobol_points
from energymodel.study.uncertainty.influence import crossed_design, sobol_indices
from energymodel.study.uncertainty.inputs import Kind, UncertainInput, triangular
from energymodel.study.uncertainty.result import (
    Quantiles,
    UncertaintyResult,
    lowest_shares,
    payback_spread,
    payback_years,
)
from energymodel.study.uncertainty.spread_costs import cost_groups, loads_kwh
from energymodel.study.uncertainty.uncertainty import uncertainty

_TOOLS = runpy.run_path(str(Path(__file__).with_name("scenario_text.py")))
BASE: str = _TOOLS["BASE"]
Array = NDArray[np.float64]
NOTHING = """
[ranges]
heat_pump_in_service = { low = 0.9, high = 0.9 }
burner_in_service = { low = 0.98, high = 0.98 }
load = "0 %"
weather_shift = "0 K"
installed_cost = "0 %"
"""
HEATERS = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9.5 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[price.electricity]
energy = 0.14
per = "kWh"
[price.propane]
energy = PROPANE
per = "gallon"
[[option]]
name = "Propane"
present = true
heating = { kind = "room heater", fuel = "propane", afue = 0.80 }
[[option]]
name = "Electric"
heating = { kind = "electric resistance" }
installed_cost = 500
"""


def run(folder: Path, text: str, **options: Any) -> UncertaintyResult:
    file = folder / "room.toml"
    file.write_text(text, "utf-8")
    return uncertainty(file, **options)


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> UncertaintyResult:
    return run(tmp_path_factory.mktemp("room"), BASE, draws=512, within_years=9.0)


# --- Sobol indices --------------------------------------------------------------------------


def ishigami(x: Array) -> Array:
    angle = math.pi * (2.0 * x - 1.0)
    values: Array = (
        np.sin(angle[:, 0])
        + 7.0 * np.sin(angle[:, 1]) ** 2
        + 0.1 * angle[:, 2] ** 4 * np.sin(angle[:, 0])
    )
    return values


def test_the_indices_of_the_ishigami_function_are_the_analytic_ones() -> None:
    # Ishigami and Homma (1990), a = 7, b = 0.1, variance and partial variances in closed form
    # (from memory): V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V13 = b^2 pi^8 (1/18 - 1/50).
    first = 0.5 * (1.0 + 0.1 * math.pi**4 / 5.0) ** 2
    second, pair = 49.0 / 8.0, 0.01 * math.pi**8 * (1.0 / 18.0 - 1.0 / 50.0)
    variance = first + second + pair
    rows = crossed_design(sobol_points(8192, 6, seed=3))
    found = sobol_indices(ishigami(rows), 3)
    assert found.variance == pytest.approx(variance, rel=0.01)
    alone = np.array([first, second, 0.0]) / variance
    assert found.first_order == pytest.approx(alone, abs=0.01)
    total = np.array([first + pair, second, pair]) / variance
    assert found.total == pytest.approx(total, abs=0.01)


def test_the_indices_agree_with_those_of_a_general_library() -> None:
    # scipy.stats.sobol_indices, the same design in another arrangement
    oracle = stats.sobol_indices(
        func=lambda x: ishigami(x.T)[np.newaxis],
        n=4096,
        dists=[stats.uniform()] * 3,
        rng=np.random.default_rng(5),
    )
    found = sobol_indices(ishigami(crossed_design(sobol_points(4096, 6, seed=5))), 3)
    assert found.first_order == pytest.approx(oracle.first_order.ravel(), abs=0.02)
    assert found.total == pytest.approx(oracle.total_order.ravel(), abs=0.02)


def test_in_a_sum_every_input_makes_its_own_variance_and_no_more() -> None:
    weights = np.array([1.0, 2.0, 3.0, 0.0])
    rows = crossed_design(sobol_points(2048, 8, seed=2))
    found = sobol_indices(rows @ weights, 4)
    # variance of w x uniform = w^2/12, so the shares are w^2 over their sum
    assert found.first_order == pytest.approx(weights**2 / 14.0, abs=5e-3)
    assert found.total == pytest.approx(weights**2 / 14.0, abs=5e-3)
    assert found.total[3] == 0.0


def test_an_output_that_does_not_vary_has_no_indices() -> None:
    found = sobol_indices(np.full(5 * 64, 522.0), 3)
    assert found.variance == 0.0
    assert not found.first_order.any()
    assert not found.total.any()


# --- draws ----------------------------------------------------------------------------------


def test_points_repeat_with_their_seed_and_fill_every_slice_evenly() -> None:
    points = sobol_points(256, 5, seed=7)
    assert (points == sobol_points(256, 5, seed=7)).all()
    assert (points != sobol_points(256, 5, seed=8)).any()
    # a scrambled Sobol sequence keeps one point in each of the 256 slices of every axis
    slices = np.sort(np.floor(points * 256).astype(int), axis=0)
    assert (slices == np.arange(256)[:, np.newaxis]).all()


def test_a_count_of_draws_is_rounded_up_to_a_power_of_two_or_refused() -> None:
    assert [power_of_two(count) for count in (256, 257, 8192, 8193)] == [256, 512, 8192, 16384]
    for count in (0, -5, 255, 300_000):
        with pytest.raises(InputError, match="draws"):
            power_of_two(count)


@given(
    quantile=st.floats(0, 1),
    low=st.floats(-5, 5),
    first=st.floats(0.01, 5),
    second=st.floats(0.01, 5),
)
def test_triangular_values_are_those_of_a_general_library(
    quantile: float, low: float, first: float, second: float
) -> None:
    likely, high = low + first, low + first + second
    width = high - low
    expected = stats.triang.ppf(quantile, (likely - low) / width, loc=low, scale=width)
    assert triangular(np.array([quantile]), low, likely, high)[0] == pytest.approx(
        expected, abs=1e-9
    )


def test_a_range_without_width_and_an_unknown_quantile_give_the_likely_value() -> None:
    assert triangular(np.array([0.0, 0.7]), 2.0, 2.0, 2.0).tolist() == [2.0, 2.0]
    assert triangular(np.array([np.nan]), 0.1, 0.3, 0.9).tolist() == [0.3]
    assert triangular(np.array([0.0, 1.0]), 0.1, 0.1, 0.9).tolist() == [0.1, 0.9]


# --- percentiles with an exact answer ---------------------------------------------------------


def test_one_uncertain_price_gives_the_percentiles_of_its_triangle(tmp_path: Path) -> None:
    ranges = f'{NOTHING}price = {{ electricity = "20 %", natural_gas = "0 %" }}\n'
    spread = run(tmp_path, BASE + ranges, draws=4096).option("Baseboard")
    # symmetric triangle on 0.8..1.2: F(x) = 12.5 (x - 0.8)^2 below 1, so x = 0.8 + sqrt(q/12.5)
    low, high = 0.8 + math.sqrt(0.1 / 12.5), 1.2 - math.sqrt(0.1 / 12.5)
    assert spread.cost.p10 == pytest.approx(low * spread.likely_cost, rel=1e-3)
    assert spread.cost.p50 == pytest.approx(spread.likely_cost, rel=1e-3)
    assert spread.cost.p90 == pytest.approx(high * spread.likely_cost, rel=1e-3)
    assert [one.first_order for one in spread.influences] == pytest.approx([1.0], abs=0.01)


def four_uniforms(x: float) -> float:
    """Irwin-Hall distribution of four uniforms on 0..1 (from memory)."""
    terms = [(-1) ** k * math.comb(4, k) * (x - k) ** 4 for k in range(int(x) + 1)]
    return sum(terms) / 24.0


def test_a_saving_linear_in_two_prices_has_the_percentiles_of_four_uniforms(
    tmp_path: Path,
) -> None:
    (tmp_path / "even.toml").write_text(HEATERS.replace("PROPANE", "2.60"), "utf-8")
    first, second = (one.yearly_cost for one in compare(tmp_path / "even.toml").outcomes)
    price = 2.60 * second / first  # the price at which both cost the same
    ranges = f'{NOTHING}price = {{ electricity = "20 %", propane = "20 %" }}\n'
    text = HEATERS.replace("PROPANE", repr(price)) + ranges
    result = run(tmp_path, text, draws=8192)
    spread = result.option("Electric")
    # A symmetric triangle is the sum of two uniforms; the difference of two triangles, 0.2 x cost
    # wide each way, is that of four uniforms less its mean of 2.
    lowest, highest = 0.0, 2.0
    for _ in range(60):
        middle = (lowest + highest) / 2.0
        lowest, highest = (middle, highest) if four_uniforms(middle) < 0.1 else (lowest, middle)
    tenth = 0.2 * second * (lowest - 2.0)
    assert spread.saving is not None
    assert spread.saving.p10 == pytest.approx(tenth, rel=0.01)
    assert spread.saving.p90 == pytest.approx(-tenth, rel=0.01)
    assert abs(spread.saving.p50) < 0.005 * second
    assert spread.payback is not None
    assert spread.payback.never_share == pytest.approx(0.5, abs=0.01)
    assert [one.total for one in spread.influences] == pytest.approx([0.5, 0.5], abs=0.01)
    assert [one.lowest_share for one in result.options] == pytest.approx([0.5, 0.5], abs=0.01)


# --- the result -----------------------------------------------------------------------------


def test_percentiles_are_in_order_and_chances_are_shares(room: UncertaintyResult) -> None:
    for one in room.options:
        assert one.cost.p10 < one.cost.p50 < one.cost.p90
        assert 0.0 <= one.lowest_share <= 1.0
        if one.payback is not None:
            assert one.payback.years.p10 <= one.payback.years.p50 <= one.payback.years.p90
            assert one.payback.within_share + one.payback.never_share <= 1.0
        for influence in one.influences:
            assert influence.total >= influence.first_order - 0.05
    assert sum(one.lowest_share for one in room.options) == pytest.approx(1.0)
    assert [one.name for one in room.options] == [one.name for one in room.comparison.outcomes]


def test_without_heat_pump_or_gas_a_baseboard_does_not_care_for_them(
    room: UncertaintyResult,
) -> None:
    parts = {one.uncertain.name: one for one in room.option("Baseboard").influences}
    for name in ("heat pumps in service", "burners in service", "price of natural gas"):
        assert parts[name].total == 0.0
        assert parts[name].at_low == pytest.approx(parts[name].at_high)
    assert parts["price of electricity"].total > 0.3
    assert room.option("Baseboard").output == "yearly cost"
    assert room.option("Inverter").output == "yearly saving"


def test_an_option_that_lacks_a_service_has_no_saving(tmp_path: Path) -> None:
    cools = (
        '\n[[option]]\nname = "Window"\ncooling = { kind = "air conditioner", unit = "window-8" }\n'
    )
    spread = run(tmp_path, BASE.replace("[emissions]", f"{cools}[emissions]"), draws=256)
    assert spread.option("Window").saving is None
    assert spread.option("Window").payback is None
    assert spread.option("Window").lowest_share == 0.0


def test_the_same_seed_gives_the_same_result_and_another_one_nearly(tmp_path: Path) -> None:
    text = HEATERS.replace("PROPANE", "2.60")
    first, again = (run(tmp_path, text, draws=1024, seed=4) for _ in range(2))
    other = run(tmp_path, text, draws=1024, seed=99)
    for name, drawn in first.cost_draws.items():
        assert (again.cost_draws[name] == drawn).all()
        assert (other.cost_draws[name] != drawn).any()
        assert other.option(name).cost.p50 == pytest.approx(first.option(name).cost.p50, rel=0.01)
    assert first.option("Electric").influences == again.option("Electric").influences


def test_defaults_and_the_missing_weather_spread_are_listed(room: UncertaintyResult) -> None:
    defaults = [str(one) for one in room.defaults]
    assert "range of the price of electricity: -15 to +15 % (our choice)" in defaults
    assert any("-1.8 to +1.8 °F (our choice; assumed, no real winters)" in one for one in defaults)
    assert not any("payback within" in one for one in defaults)
    assert any("its spread is assumed" in note.text for note in room.notices)


def test_without_a_shift_the_spread_of_winters_reads_not_included(tmp_path: Path) -> None:
    text = HEATERS.replace("PROPANE", "2.60")
    result = run(tmp_path, f"{text}\n[ranges]\nweather_shift = '0 K'\n", draws=300)
    texts = [note.text for note in result.notices]
    assert any("spread of winters is not included" in text for text in texts)
    assert any("300 draws were rounded up to 512" in text for text in texts)


def test_nothing_to_vary_is_refused(tmp_path: Path) -> None:
    with pytest.raises(EnergyModelError, match="no input varies"):
        run(
            tmp_path,
            f'{BASE}{NOTHING}price = {{ electricity = "0 %", natural_gas = "0 %" }}\n',
            draws=256,
        )


# --- pieces ---------------------------------------------------------------------------------


@given(extra=st.integers(-(10**7), 10**7), saving=st.integers(-(10**6), 10**6))
def test_each_draw_is_paid_back_as_by_the_simple_payback(extra: int, saving: int) -> None:
    expected = simple_payback(extra_cost=extra / 100, yearly_saving=saving / 100).years
    found = payback_years(np.array([extra / 100]), np.array([saving / 100]))[0]
    assert found == (math.inf if expected is None else pytest.approx(expected))


def test_a_payback_that_never_comes_is_infinite_and_counted() -> None:
    saving = np.array([100.0, 50.0, -1.0, -1.0])
    spread = payback_spread(np.full(4, 500.0), saving, within_years=5.0)
    assert spread.years == Quantiles(p10=5.0, p50=10.0, p90=math.inf)
    assert spread.never_share == 0.5
    assert spread.within_share == 0.25


def test_options_at_the_same_cost_share_a_draw_and_none_wins_without_carrying_the_load() -> None:
    costs = np.array([[1.0, 1.0, 5.0], [1.0, 2.0, 4.0], [0.0, 0.0, 0.0]])
    able = np.array([[True, True, False], [True, True, False], [False, False, False]])
    assert lowest_shares(costs, able).tolist() == [0.5, pytest.approx(0.5 / 3.0), 0.0]


@pytest.mark.parametrize("milder_k", [-4.0, -0.5, 0.0, 1.0, 3.3])
def test_loads_of_a_milder_year_are_those_of_moved_balance_temperatures(
    room: UncertaintyResult, milder_k: float
) -> None:
    comparison = room.comparison
    option = comparison.outcomes[1].planned.option
    outdoor_c = comparison.model.weather.outdoor_c
    cools = ~np.isin(comparison.model.weather.month, sorted(option.months_without_cooling))
    assert option.heating_load is not None
    assert option.cooling_load is not None
    cold = np.maximum(option.heating_load.balance_c - milder_k - outdoor_c, 0.0)
    hot = np.maximum(outdoor_c + milder_k - option.cooling_load.balance_c, 0.0)[cools]
    expected = {
        "heating": option.heating_load.slope_w_per_k * cold.sum(),
        "cooling": option.cooling_load.slope_w_per_k * hot.sum(),
    }
    planned, weather = comparison.outcomes[1].planned, comparison.model.weather
    found = loads_kwh(planned, weather, np.array([0.9]), np.array([milder_k]))
    for service, load_wh in expected.items():
        assert found[service][0] == pytest.approx(0.9 * load_wh / 1000.0, rel=1e-9)


def test_the_loads_at_hand_are_those_of_the_year_that_was_run(room: UncertaintyResult) -> None:
    comparison = room.comparison
    for one in comparison.outcomes:
        result = annual(one.planned.option, comparison.model.weather)
        found = loads_kwh(one.planned, comparison.model.weather, np.ones(1), np.zeros(1))
        assert found.keys() == one.service_cost.keys()
        for service, load_kwh in found.items():
            assert load_kwh[0] == pytest.approx(result.total(f"{service}_load_kwh"), rel=1e-9)


def test_every_winter_is_drawn_equally_often() -> None:
    winter = UncertainInput(kind=Kind.WINTER, low=0.0, likely=0.0, high=4.0, given=True)
    points = sobol_points(256, 1, seed=1)
    groups = dict(cost_groups([winter], np.concatenate([points, [[np.nan]]])))
    assert {number: rows.size for number, rows in groups.items()} == {
        0: 1,
        1: 64,
        2: 64,
        3: 64,
        4: 64,
    }
