"""Simple payback on like services, and the savings guard."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.economics.payback import (
    claimed_saving,
    payback_on_like_services,
    savings_guard,
    simple_payback,
    spend_above_base,
)
from energymodel.errors import InputError

_TRIES = settings(max_examples=50, deadline=None)

_MONEY = st.floats(-1e7, 1e7)


def test_furnace_example_of_a_textbook_pays_back_in_4_07_years() -> None:
    # Energy-management textbook problem (inputs quoted, result computed): $800 extra saves
    # 933.33 - 736.84 = 196.49 a year.
    paid = simple_payback(extra_cost=800.0, yearly_saving=100 / 0.75 * 7 - 100 / 0.95 * 7)
    assert paid.years == pytest.approx(4.071, abs=5e-4)
    assert paid.words == "4.1 years"


@pytest.mark.parametrize(
    ("cost", "saving", "words"),
    [
        (1000.0, -20.0, "never: it costs more to run"),
        (1000.0, 0.0, "never: it saves nothing"),
        (-200.0, 50.0, "cheaper from the start"),
        (0.0, 50.0, "cheaper from the start"),
        (0.0, 0.0, "the same cost from the start"),
        (0.0, -5.0, "never: it costs more to run"),
        (-200.0, -50.0, "cheaper to buy, costs more to run: the advantage is used up in 4.0 years"),
    ],
)
def test_where_there_is_no_payback_the_answer_is_in_words(
    cost: float, saving: float, words: str
) -> None:
    assert simple_payback(extra_cost=cost, yearly_saving=saving).words == words


@_TRIES
@given(_MONEY, _MONEY)
def test_payback_is_a_finite_number_or_none_and_always_has_words(
    cost: float, saving: float
) -> None:
    paid = simple_payback(extra_cost=cost, yearly_saving=saving)
    assert paid.years is None or (math.isfinite(paid.years) and paid.years >= 0)
    assert "nan" not in paid.words
    assert "inf" not in paid.words
    if paid.years is None:
        assert saving < 0 or (cost > 0 and saving == pytest.approx(0.0, abs=1e-290))


@_TRIES
@given(st.floats(0.01, 1e6), st.floats(0.01, 1e6))
def test_payback_years_times_saving_is_the_extra_cost(cost: float, saving: float) -> None:
    paid = simple_payback(extra_cost=cost, yearly_saving=saving)
    assert paid.years is not None
    assert paid.years * saving == pytest.approx(cost, rel=1e-12)
    assert paid.yearly_return is not None
    assert paid.yearly_return * paid.years == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("amount", [float("nan"), float("inf")])
def test_amounts_that_are_not_numbers_are_refused(amount: float) -> None:
    with pytest.raises(InputError, match="the yearly saving is"):
        simple_payback(extra_cost=1000.0, yearly_saving=amount)
    with pytest.raises(InputError, match="the extra cost is"):
        simple_payback(extra_cost=amount, yearly_saving=100.0)


def test_a_saving_above_the_displaced_spend_is_flagged_and_one_equal_to_it_is_not() -> None:
    assert savings_guard(1000.0, 1000.0) is None
    flagged = savings_guard(1001.0, 1000.0)
    assert flagged is not None
    assert "more than the 1,000" in flagged.text


def test_the_change_of_the_base_use_widens_the_limit_of_the_guard() -> None:
    assert savings_guard(1100.0, 1000.0) is not None
    assert savings_guard(1100.0, 1000.0, base_use_change=150.0) is None
    assert savings_guard(900.0, 1000.0, base_use_change=-150.0) is not None


def test_a_payback_under_a_year_is_flagged() -> None:
    paid = simple_payback(extra_cost=500.0, yearly_saving=1000.0, displaced_spend=1200.0)
    assert [notice.topic for notice in paid.notices] == ["payback"]
    assert "6.0 months" in paid.notices[0].text
    assert simple_payback(extra_cost=1000.0, yearly_saving=1000.0).notices == ()
    assert simple_payback(extra_cost=-100.0, yearly_saving=10.0).notices == ()


def test_new_cooling_is_added_comfort_and_does_not_lengthen_the_payback() -> None:
    answer = payback_on_like_services(
        extra_cost=4000.0, present={"heating": 900.0}, option={"heating": 400.0, "cooling": 60.0}
    )
    assert answer.payback.years == pytest.approx(8.0)
    assert answer.added_comfort == {"cooling": 60.0}
    assert answer.with_added_comfort is not None
    assert answer.with_added_comfort.years == pytest.approx(4000 / 440)
    assert answer.comparable


def test_an_option_that_drops_a_service_is_not_comparable() -> None:
    answer = payback_on_like_services(
        extra_cost=1000.0, present={"heating": 900.0, "cooling": 80.0}, option={"heating": 500.0}
    )
    assert answer.payback.yearly_saving == pytest.approx(400.0)
    assert answer.lost_services == ("cooling",)
    assert not answer.comparable
    assert answer.with_added_comfort is None


@_TRIES
@given(st.floats(0, 5000), st.floats(0, 5000), st.floats(-500, 500))
def test_a_saving_computed_from_two_costs_never_trips_the_guard(
    present: float, option: float, base_use: float
) -> None:
    answer = payback_on_like_services(
        extra_cost=1e5,
        present={"heating": present},
        option={"heating": option},
        base_use_change=base_use,
    )
    assert answer.payback.notices == ()


def test_a_base_above_the_bills_is_refused() -> None:
    with pytest.raises(InputError, match="more than the year's"):
        spend_above_base(500.0, 65.0)


def test_a_claimed_payback_must_be_above_zero() -> None:
    with pytest.raises(InputError, match="a payback of 0 years"):
        claimed_saving(extra_cost=1000.0, claimed_years=0.0)
