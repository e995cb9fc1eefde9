"""How far an input must move before another option is the cheapest."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.arrays import Array
from energymodel.economics.cash_flow import cash_flow
from energymodel.economics.flip_points import CostCurves, VariedInput, flip_points
from energymodel.economics.life_cycle import compare_life_cycles, life_cycle_cost
from energymodel.economics.option_costs import OptionCosts, YearlyCost
from energymodel.economics.rates import real_rate
from energymodel.economics.study_period import StudyPeriod
from energymodel.errors import InputError

_TRIES = settings(max_examples=50, deadline=None)
_PRICE = VariedInput(name="the electricity price", unit="per kWh", today=0.14, low=0.05, high=0.50)
_NAMES = ("the heat pump", "the furnace", "baseboard")


def _bills(per_kwh: Array) -> Array:
    return np.stack([4000 * per_kwh, 600 + 300 * per_kwh, 9000 * per_kwh])


@_TRIES
@given(st.floats(2000, 9000), st.floats(0, 500), st.floats(100, 1500))
def test_price_at_which_two_linear_bills_meet_is_the_closed_form(
    pump_kwh: float, fan_kwh: float, fuel_cost: float
) -> None:
    meets = fuel_cost / (pump_kwh - fan_kwh)
    found = flip_points(
        _PRICE,
        _NAMES[:2],
        lambda per_kwh: np.stack([pump_kwh * per_kwh, fuel_cost + fan_kwh * per_kwh]),
    )
    if 0.0501 < meets < 0.4999:
        assert found.nearest is not None
        assert found.nearest.value == pytest.approx(meets, rel=1e-9)
        assert found.nearest.change == pytest.approx(meets - 0.14, abs=1e-9)
        assert found.cheapest_now == ((_NAMES[0],) if meets > 0.14 else (_NAMES[1],))
    elif not 0.05 <= meets <= 0.50:
        assert found.flips == ()


def test_the_distance_to_the_flip_is_said_in_words() -> None:
    found = flip_points(_PRICE, _NAMES, _bills)
    assert found.words == (
        "the heat pump stays cheapest until the electricity price rises to 0.162 per kWh, "
        "16 % above today's 0.14 per kWh; beyond, the furnace is cheapest"
    )
    assert found.relative_change == pytest.approx(600 / 3700 / 0.14 - 1, rel=1e-9)


def test_options_that_change_places_behind_the_cheapest_are_told_apart() -> None:
    # Analytic: furnace and baseboard meet at 600 / 8,700 = 0.069, above the heat pump's 276.
    found = flip_points(_PRICE, _NAMES, _bills)
    values = {(flip.cheaper_now, flip.cheaper_then): flip for flip in found.flips}
    behind = values["the furnace", "baseboard"]
    assert behind.value == pytest.approx(600 / 8700, rel=1e-9)
    assert not behind.changes_cheapest
    assert [flip.changes_cheapest for flip in found.flips] == [True, False]


def test_a_fall_below_todays_value_is_said_as_such() -> None:
    found = flip_points(replace(_PRICE, today=0.30), _NAMES, _bills)
    assert found.cheapest_now == ("the furnace",)
    assert "the furnace stays cheapest until the electricity price falls to 0.162" in found.words
    assert "46 % below today's 0.3 per kWh; beyond, the heat pump is cheapest" in found.words


def test_where_nothing_changes_the_range_is_named() -> None:
    found = flip_points(replace(_PRICE, high=0.15), _NAMES, _bills)
    assert found.nearest is None
    assert found.relative_change is None
    assert found.words == (
        "the heat pump stays cheapest for the electricity price anywhere between "
        "0.05 per kWh and 0.15 per kWh"
    )


def test_todays_value_on_the_flip_is_a_tie() -> None:
    found = flip_points(
        replace(_PRICE, today=0.2),
        _NAMES[:2],
        lambda per_kwh: np.stack([1000 * per_kwh, 200.0 + 0 * per_kwh]),
    )
    assert found.nearest is not None
    assert found.nearest.change == 0.0
    assert found.cheapest_now == _NAMES[:2]
    assert "is where the heat pump and the furnace cost the same" in found.words


def test_an_option_that_cannot_carry_the_load_gives_its_place_to_the_next_by_a_step() -> None:
    load = VariedInput(name="the design load", unit="W", today=2500.0, low=1000.0, high=5000.0)

    def costs(load_w: Array) -> Array:
        carries = np.where(load_w > 3333.0, np.inf, 0.1 * load_w)
        return np.stack([carries, 0.2 * load_w, 0.3 * load_w])

    found = flip_points(load, _NAMES, costs)
    assert [flip.changes_cheapest for flip in found.flips] == [True, False]
    assert found.nearest is not None
    assert found.nearest.value == pytest.approx(3333.0, rel=1e-9)
    assert found.nearest.cheaper_then == "the furnace"
    assert "rises to 3,333 W, 33 % above today's 2,500 W" in found.words


def test_two_options_that_both_fail_have_no_order() -> None:
    def costs(load_w: Array) -> Array:
        failed = np.where(load_w > 0.3, np.inf, load_w)
        return np.stack([failed, failed, np.ones(load_w.shape)])

    assert len(flip_points(_PRICE, _NAMES, costs).flips) == 2


@_TRIES
@given(st.floats(1000, 6000), st.floats(100, 900), st.floats(0.0, 0.1))
def test_installed_cost_at_the_flip_leaves_no_net_savings(
    cost: float, saving: float, rate: float
) -> None:
    study = StudyPeriod(years=15, discount=real_rate(rate))
    now = OptionCosts(name="now", energy=(YearlyCost(name="gas", per_year=1200.0),))
    new = OptionCosts(
        name="new",
        installed_cost=cost,
        energy=(YearlyCost(name="electricity", per_year=1200.0 - saving),),
    )
    costs = [life_cycle_cost(cash_flow(one, study)).total for one in (new, now)]
    price = VariedInput(name="the installed cost", unit="", today=cost, low=0.0, high=50_000.0)

    def totals(installed: Array) -> Array:
        return np.stack([costs[0] - cost + installed, np.full(installed.shape, costs[1])])

    found = flip_points(price, ["new", "now"], totals)
    assert found.nearest is not None
    worth = compare_life_cycles(cash_flow(now, study), cash_flow(new, study)).net_savings
    assert found.nearest.change == pytest.approx(worth, abs=1e-4)
    at_flip = replace(new, installed_cost=found.nearest.value)
    again = compare_life_cycles(cash_flow(now, study), cash_flow(at_flip, study))
    assert again.net_savings == pytest.approx(0.0, abs=1e-4)


def test_a_factor_that_divides_power_flips_where_its_product_says() -> None:
    # Analytic: 400 / factor = 500 at 0.8.
    factor = VariedInput(name="the in-service factor", unit="", today=0.9, low=0.5, high=1.0)
    found = flip_points(
        factor, _NAMES[:2], lambda f: np.stack([400.0 / f, np.full(f.shape, 500.0)])
    )
    assert found.nearest is not None
    assert found.nearest.value == pytest.approx(0.8, rel=1e-9)
    assert "until the in-service factor falls to 0.8, 11 % below today's 0.9" in found.words


@pytest.mark.parametrize(
    ("costs", "message"),
    [
        (lambda x: np.zeros((3, x.size)), "the shape"),
        (lambda x: np.full((2, x.size), np.nan), "a cost is no number"),
    ],
)
def test_costs_of_another_shape_or_without_number_are_refused(
    costs: CostCurves, message: str
) -> None:
    with pytest.raises(InputError, match=message):
        flip_points(_PRICE, _NAMES[:2], costs)


def test_one_option_and_a_value_outside_its_range_are_refused() -> None:
    with pytest.raises(InputError, match="one option only"):
        flip_points(_PRICE, ["alone"], _bills)
    with pytest.raises(InputError, match=r"the range is 0\.05 to 0\.5"):
        replace(_PRICE, today=0.6)
    with pytest.raises(InputError, match="is empty"):
        replace(_PRICE, today=0.5, low=0.5)
