"""Internal rate of return: one, several or none, and always in words."""

from __future__ import annotations

import numpy_financial as npf  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.economics.present_value import present_value
from energymodel.economics.rate_of_return import internal_rate_of_return
from energymodel.errors import InputError

_TRIES = settings(max_examples=50, deadline=None)
_SAVINGS = st.lists(st.floats(1.0, 1e4), min_size=2, max_size=40)


@_TRIES
@given(st.floats(0.1, 1.5), _SAVINGS)
def test_present_value_at_the_rate_of_return_is_zero(share: float, savings: list[float]) -> None:
    cost = share * sum(savings)
    found = internal_rate_of_return([-cost, *savings])
    assert found.rate is not None
    if -0.5 < found.rate < 1.0:
        assert present_value([-cost, *savings], found.rate) == pytest.approx(0.0, abs=1e-8 * cost)
    assert (found.rate > 0) == (share < 1) or found.rate == pytest.approx(0.0, abs=1e-12)


@_TRIES
@given(st.floats(0.2, 1.2), st.lists(st.floats(100.0, 1e3), min_size=2, max_size=20))
def test_one_rate_agrees_with_numpy_financial(share: float, savings: list[float]) -> None:
    flows = [-share * sum(savings), *savings]
    assert internal_rate_of_return(flows).rate == pytest.approx(npf.irr(flows), abs=1e-8)


@pytest.mark.parametrize(
    ("flows", "rate"),
    [
        # numpy-financial, documentation of irr (published)
        ([-100, 39, 59, 55, 20], 0.28095),
        ([-100, 0, 0, 74], -0.0955),
        ([-100, 100, 0, 7], 0.06206),
    ],
)
def test_documented_examples_come_out(flows: list[float], rate: float) -> None:
    assert internal_rate_of_return(flows).rate == pytest.approx(rate, abs=5e-5)


def test_two_rates_are_both_named_and_none_is_preferred() -> None:
    # Analytic: (g - 1.1)(g - 1.2) = 0 in the growth g = 1 + rate.
    found = internal_rate_of_return([-1000.0, 2300.0, -1320.0])
    assert found.rates == pytest.approx((0.10, 0.20), abs=1e-9)
    assert found.rate is None
    assert "10.0 % and 20.0 % a year all fit; use net savings" in found.words


def test_three_rates_are_all_found() -> None:
    # Analytic: (g - 1.05)(g - 1.3)(g - 2) = g^3 - 4.35 g^2 + 6.065 g - 2.73.
    found = internal_rate_of_return([-1.0, 4.35, -6.065, 2.73])
    assert found.rates == pytest.approx((0.05, 0.30, 1.0), abs=1e-7)


@pytest.mark.parametrize(
    ("flows", "words"),
    [
        # Analytic: 100 g^2 - 200 g + 150 has no real root.
        (
            [-100.0, 200.0, -150.0],
            "no rate of return: no rate between -99 % and 1,000 % a year fits; use net savings",
        ),
        ([-100.0, -5.0, -5.0], "no rate of return: it costs more and saves nothing"),
        ([0.0, 5.0, 5.0], "no rate of return: it saves from the start and costs nothing extra"),
        ([0.0, 0.0], "no rate of return: nothing is paid and nothing saved"),
        ([-1.0, 100.0], "no rate of return between -99 % and 1,000 % a year"),
        ([-100.0, 121.0], "21.0 % a year"),
        ([-100.0, 90.0], "-10.0 % a year: the cost does not come back"),
        ([100.0, -110.0], "10.0 % a year, as the cost of borrowing: cheaper to buy, dearer later"),
    ],
)
def test_the_answer_is_in_words(flows: list[float], words: str) -> None:
    assert internal_rate_of_return(flows).words == words


def test_flows_that_are_not_finite_are_refused() -> None:
    with pytest.raises(InputError, match="not one row of finite amounts"):
        internal_rate_of_return([-100.0, float("inf")])
