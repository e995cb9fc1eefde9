"""Discount factors and level payments, against printed tables and numpy-financial."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import numpy_financial as npf  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.economics.present_value import (
    delayed_factor,
    equivalent_annual_cost,
    escalating_factor,
    indexed_factor,
    level_payment,
    present_value,
    single_factor,
    still_owed,
    uniform_factor,
)
from energymodel.economics.rates import nominal_from_real, real_from_nominal
from energymodel.errors import InputError

_TRIES = settings(max_examples=50, deadline=None)
_RATES = st.floats(0.001, 0.25)
_YEARS = st.integers(1, 40)


def test_worked_factors_of_the_federal_handbook_come_out_as_printed() -> None:
    # NIST Handbook 135, worked factors at 3 % (quoted); half the last printed digit.
    assert single_factor(0.03, 15) == pytest.approx(0.642, abs=5e-4)
    assert uniform_factor(0.03, 15) == pytest.approx(11.94, abs=5e-3)
    assert escalating_factor(0.03, 0.02, 15) == pytest.approx(13.89, abs=5e-3)
    assert escalating_factor(0.03, 0.02, 5) == pytest.approx(4.8562, abs=5e-5)


_GUIDE_RATES = (0.025, 0.03, 0.035, 0.04, 0.045, 0.07, 0.10, 0.15)
# HVAC pocket guide 2013, equal-series present-worth factors (quoted).
_GUIDE = {
    7: (6.35, 6.23, 6.11, 6.00, 5.89, 5.39, None, 4.16),
    10: (8.75, 8.53, 8.32, 8.11, 7.91, 7.02, 6.14, 5.02),
    15: (12.38, 11.94, 11.52, 11.12, 10.74, 9.11, 7.61, 5.85),
}


@pytest.mark.parametrize(
    ("years", "rate", "printed"),
    [
        (years, rate, printed)
        for years, row in _GUIDE.items()
        for rate, printed in zip(_GUIDE_RATES, row, strict=True)
        if printed is not None
    ],
)
def test_equal_series_factors_of_a_pocket_guide_come_out_as_printed(
    years: int, rate: float, printed: float
) -> None:
    assert uniform_factor(rate, years) == pytest.approx(printed, abs=5.0001e-3)


def test_pocket_guide_factor_for_7_years_at_10_percent_is_cut_off_and_ours_is_4_87() -> None:
    # Same table prints 4.8.
    assert uniform_factor(0.10, 7) == pytest.approx(4.868, abs=5e-4)


# Computed; half the last digit.
@pytest.mark.parametrize(
    ("rate", "single", "uniform"),
    [
        (
            0.03,
            (0.7441, 0.7014, 0.6419, 0.5537, 0.4776),
            (8.5302, 11.9379, 14.8775, 17.4131, 19.6004),
        ),
        (
            0.05,
            (0.6139, 0.5568, 0.4810, 0.3769, 0.2953),
            (7.7217, 10.3797, 12.4622, 14.0939, 15.3725),
        ),
        (
            0.07,
            (0.5083, 0.4440, 0.3624, 0.2584, 0.1842),
            (7.0236, 9.1079, 10.5940, 11.6536, 12.4090),
        ),
        (
            0.08,
            (0.4632, 0.3971, 0.3152, 0.2145, 0.1460),
            (6.7101, 8.5595, 9.8181, 10.6748, 11.2578),
        ),
    ],
)
def test_factors_agree_with_a_computed_table(
    rate: float, single: tuple[float, ...], uniform: tuple[float, ...]
) -> None:
    assert [single_factor(rate, n) for n in (10, 12, 15, 20, 25)] == pytest.approx(single, abs=5e-5)
    assert [uniform_factor(rate, n) for n in (10, 15, 20, 25, 30)] == pytest.approx(
        uniform, abs=5e-5
    )


@pytest.mark.parametrize(
    ("discount", "escalation", "years", "expected"),
    [
        (0.03, 0.01, 20, 16.3827),
        (0.03, 0.02, 20, 18.0812),
        (0.03, -0.01, 20, 13.5418),
        (0.05, 0.03, 15, 12.9054),
        (0.03, 0.03, 20, 20.0),
    ],
)
def test_escalating_factors_agree_with_computed_ones_also_where_both_rates_are_equal(
    discount: float, escalation: float, years: int, expected: float
) -> None:
    assert escalating_factor(discount, escalation, years) == pytest.approx(expected, abs=5e-5)


def test_without_discount_every_factor_counts_the_years() -> None:
    assert single_factor(0.0, 30) == 1.0
    assert uniform_factor(0.0, 30) == 30.0
    assert single_factor(0.08, 0) == 1.0


@_TRIES
@given(_RATES, _YEARS)
def test_factors_agree_with_numpy_financial(rate: float, years: int) -> None:
    assert single_factor(rate, years) == pytest.approx(-npf.pv(rate, years, 0, 1), rel=1e-11)
    assert uniform_factor(rate, years) == pytest.approx(-npf.pv(rate, years, 1), rel=1e-11)


@_TRIES
@given(_RATES, st.floats(-0.1, 0.2), _YEARS)
def test_escalating_factor_is_the_closed_form(rate: float, rise: float, years: int) -> None:
    # NIST Handbook 135, modified uniform present value (from memory).
    ratio = (1 + rise) / (1 + rate)
    closed = years if rate == rise else (1 + rise) / (rate - rise) * (1 - ratio**years)
    loss = 1e-14 / max(abs(rate - rise), 1e-14)  # the closed form cancels near e = d
    assert escalating_factor(rate, rise, years) == pytest.approx(closed, rel=1e-10 + 10 * loss)


@_TRIES
@given(_RATES, st.integers(0, 20), st.integers(0, 20))
def test_a_cost_that_begins_later_is_worth_a_whole_series_less_its_delay(
    rate: float, delay: int, more: int
) -> None:
    # 10 CFR 436.16(c) (published); the sum of the single years is the outside check.
    years = delay + more + 1
    paid = sum(single_factor(rate, year) for year in range(delay + 1, years + 1))
    assert delayed_factor(rate, years, delay) == pytest.approx(paid, rel=1e-11)


def test_an_index_of_ones_gives_the_uniform_factor() -> None:
    assert indexed_factor(np.ones(20), 0.03) == uniform_factor(0.03, 20)


@_TRIES
@given(st.floats(1.0, 1e6), _RATES, _YEARS)
def test_equivalent_annual_cost_is_the_level_payment_of_that_sum(
    cost: float, rate: float, years: int
) -> None:
    assert equivalent_annual_cost(cost, rate, years) == pytest.approx(
        -npf.pmt(rate, years, cost), rel=1e-10
    )


@_TRIES
@given(st.floats(100.0, 1e6), st.floats(1e-4, 0.02), st.integers(2, 360))
def test_loan_payments_and_balances_agree_with_numpy_financial(
    principal: float, rate: float, periods: int
) -> None:
    payment = level_payment(principal, rate, periods)
    assert payment == pytest.approx(-npf.pmt(rate, periods, principal), rel=1e-9)
    for paid in (1, periods // 2, periods - 1):
        left = npf.fv(rate, paid, payment, -principal)
        assert still_owed(payment, rate, periods - paid) == pytest.approx(
            left, rel=1e-6, abs=1e-6 * principal
        )


def test_a_loan_without_interest_is_paid_off_in_equal_parts() -> None:
    assert level_payment(1200.0, 0.0, 24) == 50.0
    assert still_owed(50.0, 0.0, 6) == 300.0
    assert level_payment(1200.0, 1e-13, 24) == pytest.approx(50.0, rel=1e-10)


@_TRIES
@given(st.floats(-0.05, 0.3), st.floats(-0.05, 0.3))
def test_real_and_nominal_rates_convert_there_and_back(real: float, inflation: float) -> None:
    nominal = nominal_from_real(real, inflation)
    assert 1 + nominal == pytest.approx((1 + real) * (1 + inflation), rel=1e-14)
    assert real_from_nominal(nominal, inflation) == pytest.approx(real, abs=1e-14)


@_TRIES
@given(st.lists(st.floats(0, 1e5), min_size=2, max_size=30), _RATES, st.floats(0.001, 0.2))
def test_receipts_are_worth_less_at_a_higher_discount_rate(
    flows: list[float], rate: float, more: float
) -> None:
    assert present_value(flows, rate + more) <= present_value(flows, rate) * (1 + 1e-12)


@pytest.mark.parametrize("rate", [3.0, -0.6, float("nan")])
def test_a_rate_that_looks_like_a_percentage_or_is_none_is_refused(rate: float) -> None:
    with pytest.raises(InputError) as refused:
        uniform_factor(rate, 10)
    assert "divide a percentage by 100" in refused.value.remedy


@pytest.mark.parametrize("years", [-1, 101, 2.5, True])
def test_years_that_are_no_whole_number_are_refused(years: int) -> None:
    with pytest.raises(InputError, match="years"):
        uniform_factor(0.03, years)


def test_a_delay_beyond_the_study_and_flows_that_are_not_finite_are_refused() -> None:
    with pytest.raises(InputError, match="a delay of 11 years"):
        delayed_factor(0.03, 10, 11)
    for flows in ([], [1.0, float("nan")], [[1.0]]):
        with pytest.raises(InputError, match="not one row of finite amounts"):
            present_value(flows, 0.03)


def test_numpy_financial_is_loaded_at_first_use_only() -> None:
    code = (
        "import sys; import energymodel.economics.life_cycle, energymodel.economics.flip_points;"
        "print(sorted({name.split('.')[0] for name in sys.modules}"
        " & {'numpy_financial', 'scipy', 'pandas'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
