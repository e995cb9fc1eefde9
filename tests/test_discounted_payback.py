"""Discounted payback: the year, the fraction, and the words where there is none."""

from __future__ import annotations

import math

import numpy as np
import numpy_financial as npf  # type: ignore[import-untyped]
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from energymodel.economics.discounted_payback import (
    discounted_payback,
    payback_years,
    uniform_payback,
)
from energymodel.economics.payback import simple_payback
from energymodel.economics.present_value import uniform_factor
from energymodel.errors import InputError

_TRIES = settings(max_examples=50, deadline=None)
_COSTS = st.floats(1.0, 1e5)
_RATES = st.floats(0.0, 0.25)


def test_a6_discounted_payback_is_6_37_years_and_the_askers_7_7_is_wrong() -> None:
    # Case A6 [F]: $7,500, $1,500 a year, 7 %; -ln(1 - 0.35) / ln 1.07 (computed).
    found = uniform_payback(7500.0, 1500.0, 0.07)
    assert found.years == pytest.approx(6.367, abs=0.005)
    assert found.in_year == 7
    assert found.words == "paid back in year 7 (6.4 years)"
    assert discounted_payback(7500.0, [1500.0] * 20, 0.07).years == pytest.approx(6.367, abs=0.005)


@pytest.mark.parametrize(
    ("rate", "years"), [(0.0, 4.071), (0.03, 4.407), (0.05, 4.665), (0.08, 5.121)]
)
def test_furnace_problem_of_a_textbook_pays_back_later_at_higher_rates(
    rate: float, years: float
) -> None:
    # Energy-management textbook problem 1 (inputs quoted, results computed).
    saving = 700 / 0.75 - 700 / 0.95
    assert uniform_payback(800.0, saving, rate).years == pytest.approx(years, abs=5e-4)


@pytest.mark.parametrize("saving", [70.0, 69.0, 1.0])
def test_a_saving_that_does_not_cover_the_interest_never_pays_back(saving: float) -> None:
    # d dI / S >= 1: no finite answer in the closed form (computed).
    found = uniform_payback(1000.0, saving, 0.07)
    assert found.years is None
    assert found.in_year is None
    assert found.words == "never: the saving does not cover the interest on the extra cost"
    within = discounted_payback(1000.0, [saving] * 60, 0.07)
    assert within.years is None
    assert within.words.startswith("never within 60 years")


@_TRIES
@given(_COSTS, st.floats(0.02, 2.0), _RATES)
def test_year_by_year_payback_of_uniform_savings_is_the_closed_form(
    cost: float, share: float, rate: float
) -> None:
    saving = share * cost
    closed = uniform_payback(cost, saving, rate)
    assume(closed.years is not None)
    assert closed.years is not None
    assume(closed.years < 99)
    found = discounted_payback(cost, [saving] * 100, rate)
    assert found.years == pytest.approx(closed.years, rel=1e-9)
    if abs(closed.years - round(closed.years)) > 1e-6:  # on the border rounding decides
        assert found.in_year == closed.in_year


@_TRIES
@given(_COSTS, st.floats(0.1, 2.0), st.floats(0.001, 0.09))
def test_closed_form_agrees_with_numpy_financial(cost: float, share: float, rate: float) -> None:
    years = uniform_payback(cost, share * cost, rate).years
    assert years == pytest.approx(float(npf.nper(rate, share * cost, -cost)), rel=1e-9)


@_TRIES
@given(st.lists(st.floats(1.0, 1e4), min_size=1, max_size=30), st.floats(0.01, 2.0), _RATES)
def test_the_year_is_the_first_whose_discounted_savings_cover_the_cost(
    savings: list[float], share: float, rate: float
) -> None:
    cost = share * sum(savings)
    worth = np.cumsum([s / (1 + rate) ** (t + 1) for t, s in enumerate(savings)])
    found = discounted_payback(cost, savings, rate)
    covered = [year for year, total in enumerate(worth, 1) if total >= cost * (1 - 1e-12)]
    assert found.in_year == (covered[0] if covered else None)
    if found.years is not None and found.in_year is not None:
        assert found.in_year - 1 <= found.years <= found.in_year


@_TRIES
@given(_COSTS, st.lists(st.floats(1.0, 1e4), min_size=5, max_size=30), _RATES, st.floats(0, 0.2))
def test_a_higher_rate_never_shortens_the_payback(
    cost: float, savings: list[float], rate: float, more: float
) -> None:
    soon, late = (discounted_payback(cost, savings, r).years for r in (rate, rate + more))
    assert late is None or (soon is not None and soon <= late + 1e-9)


@_TRIES
@given(_COSTS, st.floats(0.3, 2.0), st.floats(1e-3, 1e3), _RATES)
def test_another_currency_does_not_change_the_payback(
    cost: float, share: float, exchange: float, rate: float
) -> None:
    here = uniform_payback(cost, share * cost, rate).years
    there = uniform_payback(cost * exchange, share * cost * exchange, rate).years
    assert there == pytest.approx(here, rel=1e-6)


@_TRIES
@given(_COSTS, st.floats(0.02, 2.0), st.integers(1, 40), st.floats(0.001, 0.2))
def test_a_cost_worth_n_years_of_savings_pays_back_at_the_end_of_year_n(
    saving: float, share: float, years: int, rate: float
) -> None:
    cost = saving * uniform_factor(rate, years)
    found = discounted_payback(cost, [saving] * years, rate)
    assert found.in_year == years
    assert found.years == pytest.approx(years, rel=1e-6)


@_TRIES
@given(_COSTS, st.floats(0.02, 2.0))
def test_without_discount_it_is_the_simple_payback(cost: float, share: float) -> None:
    simple = simple_payback(extra_cost=cost, yearly_saving=share * cost)
    assert uniform_payback(cost, share * cost, 0.0).years == simple.years
    assert discounted_payback(cost, [share * cost] * 60, 0.0).years == pytest.approx(simple.years)


def test_the_fraction_follows_the_saving_of_its_own_year() -> None:
    # 1,000 less 100 + 100 leaves 800, of which year 3 saves 1,600 (analytic, no discount).
    assert discounted_payback(1000.0, [100.0, 100.0, 1600.0], 0.0).years == 2.5


@pytest.mark.parametrize(
    ("cost", "savings", "words"),
    [
        (-200.0, [50.0] * 3, "cheaper from the start"),
        (0.0, [0.0, 0.0], "the same cost throughout"),
        (0.0, [-5.0, -5.0], "never: it costs more to run"),
        (1000.0, [-20.0] * 3, "never within 3 years: 1,060 of the cost is still open"),
        (
            -200.0,
            [-90.0] * 5,
            "cheaper to buy, costs more later: the advantage is used up in year 3",
        ),
        (
            -200.0,
            [-300.0, 50.0, 60.0],
            "cheaper to buy, costs more later: the advantage is used up in year 1, "
            "ahead again from year 3",
        ),
        (
            100.0,
            [60.0, 60.0, -50.0, 60.0],
            "paid back in year 2 (1.7 years); open again from year 3, when a later cost falls due",
        ),
    ],
)
def test_every_other_answer_is_in_words(cost: float, savings: list[float], words: str) -> None:
    assert discounted_payback(cost, savings, 0.0).words == words


@pytest.mark.parametrize(
    ("cost", "saving", "words"),
    [
        (1000.0, 0.0, "never: it saves nothing"),
        (1000.0, -5.0, "never: it costs more to run"),
        (-200.0, 50.0, "cheaper from the start"),
        (0.0, 0.0, "the same cost throughout"),
        (0.0, -5.0, "never: it costs more to run"),
        (-200.0, -90.0, "cheaper to buy, costs more later: the advantage is used up in year 3"),
        (-2000.0, -90.0, "cheaper from the start"),  # 90 a year for ever is worth 1,800 at 5 %
        (75.0, 30.0, "paid back in year 3 (2.7 years)"),
    ],
)
def test_uniform_savings_answer_in_the_same_words(cost: float, saving: float, words: str) -> None:
    assert uniform_payback(cost, saving, 0.05).words == words


def test_many_cases_at_once_are_the_single_ones_and_never_nan() -> None:
    cost = np.array([7500.0, 1000.0, 1000.0, -5.0, 0.0, 1000.0, -5.0, 0.0])
    saving = np.array([1500.0, 70.0, -1.0, 1.0, 0.0, 0.0, -1.0, -1.0])
    found = payback_years(cost, saving, 0.07)
    assert found[0] == uniform_payback(7500.0, 1500.0, 0.07).years
    assert found[1:].tolist() == [math.inf, math.inf, 0.0, 0.0, math.inf, math.inf, math.inf]
    assert payback_years(1000.0, 100.0, [0.0, 0.05]).shape == (2,)


def test_an_extra_cost_within_the_rounding_of_the_savings_is_none() -> None:
    found = discounted_payback(1e-9, [0.0, 0.0, 20_000.0], 0.03)
    assert found.words == "cheaper from the start"


def test_amounts_that_are_not_finite_and_a_missing_year_are_refused() -> None:
    with pytest.raises(InputError, match="not all finite"):
        discounted_payback(float("nan"), [1.0], 0.03)
    with pytest.raises(InputError, match="not all finite"):
        uniform_payback(1.0, float("inf"), 0.03)
    with pytest.raises(InputError, match="no year of savings"):
        discounted_payback(1.0, [], 0.03)
    with pytest.raises(InputError, match="the discount rate is 7"):
        uniform_payback(1.0, 1.0, 7.0)
