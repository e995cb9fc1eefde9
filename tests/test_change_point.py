"""Change-point regression: exact recovery, refusals, choice of the form."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.building import change_point_forms as forms
from energymodel.building.change_point import choose_form, fit_form
from energymodel.building.fit_statistics import fit_statistics, guideline_criteria
from energymodel.building.period_use import PeriodTemperatures, PeriodUse, known_means
from energymodel.errors import InputError
from energymodel.units import c_from_f

# synthetic sets: outdoor temperatures and coefficients in Fahrenheit units (computed)
OUTDOOR_F = np.array([25.0, 28, 37, 48, 58, 67, 73, 71, 63, 52, 41, 30])
OUTDOOR_C = c_from_f(OUTDOOR_F)
DAYS = np.array([31.0, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


def below(change: float, outdoor: np.ndarray = OUTDOOR_F) -> np.ndarray:
    return np.maximum(change - outdoor, 0.0)


def above(change: float, outdoor: np.ndarray = OUTDOOR_F) -> np.ndarray:
    return np.maximum(outdoor - change, 0.0)


def of_means(
    use: np.ndarray, outdoor_c: np.ndarray = OUTDOOR_C, days: np.ndarray | None = None
) -> PeriodUse:
    days = np.full(use.size, 30.0) if days is None else days
    return PeriodUse(use_per_day=use, days=days, temperatures=known_means(outdoor_c))


EXACT = {
    forms.MEAN: (np.full(12, 4.2), [4.2], [np.nan, np.nan]),
    forms.STRAIGHT_LINE: (20.0 - 0.2 * OUTDOOR_F, [20.0 - 0.2 * 32.0, -0.36], [np.nan, np.nan]),
    forms.HEATING_3P: (1.2 + 0.085 * below(61.0), [1.2, 0.153], [61.0, 61.0]),
    forms.COOLING_3P: (3.0 + 0.4 * above(55.0), [3.0, 0.72], [55.0, 55.0]),
    forms.FOUR_PARAMETER: (3.0 + 0.1 * below(57.0) + 0.3 * above(57.0), [3, 0.18, 0.54], [57, 57]),
    forms.FIVE_PARAMETER: (18 + 0.55 * below(55.0) + 0.9 * above(66.0), [18, 0.99, 1.62], [55, 66]),
}


@pytest.mark.parametrize("form", EXACT, ids=lambda form: form.name)
def test_a_set_without_noise_is_recovered_exactly_and_its_form_is_chosen(form: forms.Form) -> None:
    use, coefficients, change_f = EXACT[form]
    fit = fit_form(form, of_means(use, days=DAYS))
    np.testing.assert_allclose(fit.coefficients, coefficients, rtol=1e-6)
    np.testing.assert_allclose(fit.change_c, c_from_f(np.array(change_f, dtype=float)), atol=1e-6)
    assert choose_form(of_means(use, days=DAYS)).chosen.form is form


def test_both_slopes_are_found_from_daily_temperatures() -> None:
    random = np.random.default_rng(3)
    daily_c = random.normal(OUTDOOR_C[:, None], 4.0, (12, 30))
    heat, cool = (np.maximum(x, 0).mean(axis=1) for x in (13.0 - daily_c, daily_c - 19.0))
    data = PeriodUse(
        use_per_day=18.0 + 1.0 * heat + 1.6 * cool,
        days=DAYS,
        temperatures=PeriodTemperatures(samples_c=daily_c),
    )
    chosen = choose_form(data).chosen
    assert chosen.form is forms.BOTH_DEGREE_DAYS
    np.testing.assert_allclose(chosen.coefficients, [18.0, 1.0, 1.6], rtol=1e-6)
    np.testing.assert_allclose(chosen.change_c, [13.0, 19.0], atol=1e-6)


@settings(max_examples=40, deadline=None)
@given(
    base=st.floats(0.5, 50.0),
    slope=st.floats(0.2, 20.0),
    change=st.floats(8.0, 19.0),
    seed=st.integers(0, 10_000),
)
def test_any_heating_house_without_noise_is_recovered(
    base: float, slope: float, change: float, seed: int
) -> None:
    random = np.random.default_rng(seed)
    outdoor_c = np.concatenate(
        [random.uniform(-10, change - 1, 8), random.uniform(change + 1, 27, 5)]
    )
    fit = fit_form(forms.HEATING_3P, of_means(base + slope * below(change, outdoor_c), outdoor_c))
    assert fit.base_per_day == pytest.approx(base, rel=1e-5)
    assert fit.heating_slope == pytest.approx(slope, rel=1e-5)
    assert fit.heating_change_c == pytest.approx(change, abs=1e-4)


@settings(max_examples=30, deadline=None)
@given(
    slopes=st.tuples(st.floats(0.3, 5.0), st.floats(0.3, 5.0)),
    changes=st.tuples(st.floats(8.0, 13.0), st.floats(17.0, 21.0)),
    seed=st.integers(0, 10_000),
)
def test_any_house_that_heats_and_cools_is_recovered_without_noise(
    slopes: tuple[float, float], changes: tuple[float, float], seed: int
) -> None:
    random = np.random.default_rng(seed)
    outdoor_c = np.concatenate(
        [
            random.uniform(-10, changes[0] - 1, 6),
            random.uniform(changes[0] + 0.5, changes[1] - 0.5, 4),
            random.uniform(changes[1] + 1, 29, 6),
        ]
    )
    heat, cool = below(changes[0], outdoor_c), above(changes[1], outdoor_c)
    use = 12.0 + slopes[0] * heat + slopes[1] * cool
    fit = fit_form(forms.FIVE_PARAMETER, of_means(use, outdoor_c))
    np.testing.assert_allclose(fit.coefficients, [12.0, *slopes], rtol=1e-4)
    np.testing.assert_allclose(fit.change_c, changes, atol=1e-3)


def brute_force_squares(data: PeriodUse, change_points: int) -> float:
    """Least squares over a fine grid of change points, by a plain library call for each."""
    outdoor_c = data.temperatures.mean_c
    grid = np.linspace(outdoor_c.min(), outdoor_c.max(), 600 if change_points == 1 else 45)
    pairs = itertools.combinations(grid, 2) if change_points == 2 else zip(grid, grid, strict=True)
    root = np.sqrt(data.weights)
    best = np.inf
    for low, high in pairs:
        left, right = (outdoor_c < low).sum(), (outdoor_c > high).sum()
        if left < 3 or right < 3 or (change_points == 2 and 12 - left - right < 2):
            continue
        columns = [np.ones(12), below(low, outdoor_c), above(high, outdoor_c)][: change_points + 1]
        weighted = np.column_stack(columns) * root[:, None]
        solved = np.linalg.lstsq(weighted, data.use_per_day * root, rcond=None)[0]
        if (solved[1:] > 0).all():
            best = min(best, float(((weighted @ solved - data.use_per_day * root) ** 2).sum()))
    return best


@pytest.mark.parametrize("seed", [0, 1, 2, 4, 5])
@pytest.mark.parametrize("form", [forms.HEATING_3P, forms.FIVE_PARAMETER], ids=lambda f: f.name)
def test_no_change_points_of_a_brute_force_grid_fit_a_noisy_set_better(
    form: forms.Form, seed: int
) -> None:
    random = np.random.default_rng(seed)
    use = EXACT[form][0] * random.normal(1.0, 0.03, 12)
    data = of_means(use, days=DAYS)
    fit = fit_form(form, data)
    found = float((data.weights * (use - fit.fitted) ** 2).sum())
    assert found <= brute_force_squares(data, form.change_points) * (1 + 1e-9)


def test_the_linear_part_agrees_with_a_statistics_library_at_the_change_points_found() -> None:
    random = np.random.default_rng(11)
    use = EXACT[forms.FIVE_PARAMETER][0] + random.normal(0, 0.5, 12)
    fit = fit_form(forms.FIVE_PARAMETER, of_means(use, days=DAYS))
    columns = np.column_stack(
        [np.ones(12), below(fit.change_c[0], OUTDOOR_C), above(fit.change_c[1], OUTDOOR_C)]
    )
    # statsmodels, weighted least squares with the change points held
    theirs = sm.WLS(use, columns, weights=DAYS).fit()
    np.testing.assert_allclose(fit.coefficients, theirs.params, rtol=1e-9)
    np.testing.assert_allclose(fit.standard_errors, theirs.bse, rtol=1e-9)
    # R2 of statsmodels is weighted in the same way
    assert fit.statistics.r_squared == pytest.approx(theirs.rsquared, rel=1e-9)


def test_adjusted_r2_of_a_straight_line_agrees_with_a_statistics_library() -> None:
    use = 20.0 - 0.2 * OUTDOOR_F + np.random.default_rng(5).normal(0, 1, 12)
    fit = fit_form(forms.STRAIGHT_LINE, of_means(use, days=DAYS))
    theirs = sm.WLS(use, sm.add_constant(OUTDOOR_C), weights=DAYS).fit()
    assert fit.statistics.adjusted_r_squared == pytest.approx(theirs.rsquared_adj, rel=1e-9)


def test_figures_of_fit_follow_their_written_divisors() -> None:
    use, fitted = np.array([10.0, 12, 14, 16, 20]), np.array([11.0, 12, 13, 17, 20])
    figures = fit_statistics(use, fitted, np.ones(5), parameters=2)
    # ASHRAE Guideline 14 forms (from memory), divisor n - p = 3: squares 3, sum of errors -1
    assert figures.cv_rmse_pct == pytest.approx(100.0 * np.sqrt(3.0 / 3.0) / 14.4)
    assert figures.nmbe_pct == pytest.approx(100.0 * (-1.0) / (3.0 * 14.4))


def test_limits_of_the_guideline_follow_the_length_of_the_reporting_period() -> None:
    fit = fit_form(forms.HEATING_3P, of_means(EXACT[forms.HEATING_3P][0]))
    # ASHRAE Guideline 14, whole-building path (from memory): 20, 25, 30 %
    limits = [
        guideline_criteria(fit.statistics, reporting_months=months)[0].limit
        for months in (6, 12, 60, 61)
    ]
    assert limits == [20.0, 25.0, 25.0, 30.0]
    assert all(criterion.kept for criterion in guideline_criteria(fit.statistics))


def test_bills_of_winter_alone_give_no_change_point_and_say_so() -> None:
    outdoor_c = np.array([-6.0, -4, -2, 0, 1, 3, 5, 7])
    use = 10.0 + 3.0 * (18.0 - outdoor_c)
    with pytest.raises(InputError, match="too few periods lie above the change point"):
        fit_form(forms.HEATING_3P, of_means(use + 0.3 * (-1.0) ** np.arange(8), outdoor_c))
    choice = choose_form(of_means(use, outdoor_c))
    assert choice.chosen.form is forms.STRAIGHT_LINE
    assert "3-parameter heating" in [refusal.form.name for refusal in choice.refused]


def test_bills_of_summer_alone_do_not_show_heating() -> None:
    outdoor_c = np.array([20.0, 21, 22, 23, 24, 25, 26, 27])
    flat = of_means(np.array([5.0, 5.2, 4.9, 5.1, 5.0, 4.8, 5.1, 5.0]), outdoor_c)
    assert choose_form(flat, forms.HEATING_FORMS).chosen.form is forms.MEAN


@pytest.mark.parametrize("form", [f for f in forms.ALL_FORMS if not f.by_day], ids=lambda f: f.name)
def test_fewer_periods_than_three_more_than_the_parameters_are_refused(form: forms.Form) -> None:
    few = form.parameters + 2
    data = of_means(np.linspace(1.0, 9.0, few), np.linspace(20.0, -5.0, few))
    with pytest.raises(InputError, match=f"{few} periods are too few"):
        fit_form(form, data)


def test_degree_day_forms_need_the_days() -> None:
    with pytest.raises(InputError, match="day by day"):
        fit_form(forms.HEATING_DEGREE_DAYS, of_means(EXACT[forms.HEATING_3P][0]))


def test_periods_of_one_temperature_show_no_slope() -> None:
    with pytest.raises(InputError, match="same outdoor temperature"):
        fit_form(forms.HEATING_3P, of_means(np.linspace(5, 6, 9), np.full(9, 10.0)))


def test_when_nothing_can_be_fitted_each_reason_is_given() -> None:
    data = of_means(np.array([1.0, 2.0]), np.array([0.0, 10.0]))
    with pytest.raises(InputError, match=r"too few for the mean form.*too few for the 5-parameter"):
        choose_form(data)


def test_the_choice_is_explained_in_sentences() -> None:
    choice = choose_form(of_means(EXACT[forms.HEATING_3P][0] + 0.05 * (-1.0) ** np.arange(12)))
    text = " ".join(choice.reasons)
    assert choice.reasons[0].startswith("3-parameter heating taken")
    assert "mean: CV(RMSE)" in text
    assert "AICc" in text


def test_counting_by_day_avoids_the_bias_that_means_have_near_the_change_point() -> None:
    daily_c = np.random.default_rng(1).normal(OUTDOOR_C[:, None], 5.0, (12, 30))
    use = 10.0 + 3.0 * np.maximum(15.0 - daily_c, 0.0).mean(axis=1)
    data = PeriodUse(use_per_day=use, days=DAYS, temperatures=PeriodTemperatures(samples_c=daily_c))
    by_day, by_mean = (
        fit_form(form, data) for form in (forms.HEATING_DEGREE_DAYS, forms.HEATING_3P)
    )
    assert by_day.heating_change_c == pytest.approx(15.0, abs=1e-6)
    # days below the change point in mild months look like base use to the means (analytic)
    assert by_mean.heating_change_c > 15.3


def test_degrees_of_periods_equal_their_definition() -> None:
    samples = np.array([[5.0, 12.0, 18.0], [20.0, 10.0, np.nan]])
    temperatures = PeriodTemperatures(samples_c=samples)
    base = np.array([15.0])
    np.testing.assert_allclose(temperatures.degrees_below(base), [[13.0 / 3.0, 2.5]])
    np.testing.assert_allclose(temperatures.degrees_above(base), [[1.0, 2.5]])
    np.testing.assert_allclose(temperatures.share_below(base), [[2.0 / 3.0, 0.5]])
    np.testing.assert_allclose(temperatures.mean_c, [35.0 / 3.0, 15.0])


def test_a_long_period_weighs_more_than_a_short_one() -> None:
    outdoor_c = np.array([0.0, 0.0, 10.0, 10.0, 10.0])
    use = np.array([10.0, 20.0, 5.0, 5.0, 5.0])
    fit = fit_form(
        forms.STRAIGHT_LINE, of_means(use, outdoor_c, days=np.array([60.0, 20, 30, 30, 30]))
    )
    # weighted mean at 0 degC: (60 x 10 + 20 x 20) / 80
    assert fit.base_per_day == pytest.approx(12.5)
