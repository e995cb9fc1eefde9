"""Weighted least squares against certified values and a statistics library."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm

from energymodel.building.linear_fit import fit_linear
from energymodel.errors import InputError

# NIST Statistical Reference Datasets, linear regression, "Norris" (36 observations; quoted)
NORRIS = """
0.2 0.1, 337.4 338.8, 118.2 118.1, 884.6 888.0, 10.1 9.2, 226.5 228.1, 666.3 668.5, 996.3 998.5,
448.6 449.1, 777.0 778.9, 558.2 559.2, 0.4 0.3, 0.6 0.1, 775.5 778.1, 666.9 668.8, 338.0 339.3,
447.5 448.9, 11.6 10.8, 556.0 557.7, 228.1 228.3, 995.8 998.0, 887.6 888.8, 120.2 119.6, 0.3 0.3,
0.3 0.6, 556.8 557.6, 339.1 339.3, 887.2 888.0, 999.0 998.5, 779.0 778.9, 11.1 10.2, 118.3 117.6,
229.2 228.9, 669.1 668.4, 448.9 449.2, 0.5 0.2
"""
NORRIS_X, NORRIS_Y = np.array(
    [pair.split() for pair in NORRIS.replace("\n", " ").split(",")], dtype=float
).T


def columns_of(x: np.ndarray) -> np.ndarray:
    return np.stack([np.ones_like(x), x], axis=1)


def test_the_norris_set_gives_its_certified_values() -> None:
    fit = fit_linear(columns_of(NORRIS_X), NORRIS_Y)
    # NIST StRD Norris, certified values (quoted)
    assert fit.coefficients[1] == pytest.approx(1.00211681802045, rel=1e-9)
    assert fit.coefficients[0] == pytest.approx(-0.262323073774029, rel=1e-8)
    assert fit.standard_errors[1] == pytest.approx(0.429796848199937e-3, rel=1e-9)
    assert fit.standard_errors[0] == pytest.approx(0.232818234301152, rel=1e-9)
    assert fit.sum_of_squares == pytest.approx(26.6173985294224, rel=1e-9)
    mean_square = fit.sum_of_squares / fit.degrees_of_freedom
    assert mean_square == pytest.approx(0.782864662630069, rel=1e-9)
    about_mean = float(((NORRIS_Y - NORRIS_Y.mean()) ** 2).sum())
    assert 1.0 - fit.sum_of_squares / about_mean == pytest.approx(0.999993745883712, rel=1e-9)
    assert (about_mean - fit.sum_of_squares) / mean_square == pytest.approx(
        5436385.54079785, rel=1e-8
    )


def test_coefficients_errors_and_leverage_agree_with_a_statistics_library() -> None:
    random = np.random.default_rng(7)
    columns = np.column_stack([np.ones(15), random.uniform(0, 20, 15), random.uniform(0, 9, 15)])
    response = columns @ np.array([12.0, 3.0, -1.5]) + random.normal(0, 2, 15)
    weights = random.integers(27, 36, 15).astype(float)
    ours = fit_linear(columns, response, weights)
    # statsmodels, weighted least squares
    theirs = sm.WLS(response, columns, weights=weights).fit()
    np.testing.assert_allclose(ours.coefficients, theirs.params, rtol=1e-10)
    np.testing.assert_allclose(ours.standard_errors, theirs.bse, rtol=1e-10)
    np.testing.assert_allclose(ours.fitted, theirs.fittedvalues, rtol=1e-10)
    assert ours.sum_of_squares == pytest.approx(theirs.ssr, rel=1e-10)
    # the trace of the hat matrix is the number of columns (analytic)
    assert ours.leverage.sum() == pytest.approx(3.0, abs=1e-10)


def test_weights_in_another_unit_change_nothing() -> None:
    weights = np.linspace(1.0, 2.0, NORRIS_X.size)
    days = fit_linear(columns_of(NORRIS_X), NORRIS_Y, weights)
    months = fit_linear(columns_of(NORRIS_X), NORRIS_Y, weights / 30.0)
    np.testing.assert_allclose(days.coefficients, months.coefficients, rtol=1e-12)
    np.testing.assert_allclose(days.standard_errors, months.standard_errors, rtol=1e-12)


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        (np.ones((2, 2)), "2 rows for 2"),
        (np.ones((5, 2)), "depend on each other"),
        (np.stack([np.ones(5), np.zeros(5)], axis=1), "only zeros"),
    ],
)
def test_what_cannot_be_fitted_is_refused_with_the_reason(columns: np.ndarray, words: str) -> None:
    with pytest.raises(InputError, match=words):
        fit_linear(columns, np.arange(columns.shape[0], dtype=float))
