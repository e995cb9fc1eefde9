"""Bootstrap bands of bill regressions: how often they hold the true value."""

from __future__ import annotations

import time

import numpy as np
import pytest
from scipy import special

from energymodel.building import change_point_forms as forms
from energymodel.building.change_point import fit_form
from energymodel.building.fit_bands import Band, band_of, bootstrap_bands, t_quantile
from energymodel.building.period_use import PeriodTemperatures, PeriodUse
from energymodel.errors import InputError

MONTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
HEATING = (np.array([10.0, 4.0]), np.array([16.0, 16.0]))
BOTH = (np.array([18.0, 1.0, 1.6]), np.array([13.0, 19.0]))


def invented_days(random: np.random.Generator, months: int) -> tuple[np.ndarray, np.ndarray]:
    """Days of each month and daily temperatures: a yearly wave with weather that persists."""
    days = MONTHS * (months // 12)
    noise = random.normal(0.0, 3.0, sum(days))
    for day in range(1, noise.size):
        noise[day] += 0.7 * noise[day - 1]
    daily_c = 13.0 - 12.0 * np.cos(2 * np.pi * (np.arange(sum(days)) - 15) / 365) + noise
    samples = np.full((months, 31), np.nan)
    for month, (end, count) in enumerate(zip(np.cumsum(days), days, strict=True)):
        samples[month, :count] = daily_c[end - count : end]
    return np.array(days, dtype=float), samples


def invented_use(
    form: forms.Form, months: int, random: np.random.Generator, *, proportional: bool = False
) -> PeriodUse:
    coefficients, change_c = BOTH if form.cooling else HEATING
    days, samples = invented_days(random, months)
    temperatures = PeriodTemperatures(samples_c=samples)
    seen = forms.seen_by(form, temperatures)
    true = forms.regression_columns(form, seen, change_c[None])[0] @ coefficients
    noise = 0.04 if form.cooling else 0.08
    scatter = noise * (true if proportional else true.mean()) / np.sqrt(days / days.mean())
    use = true + scatter * random.normal(size=months)
    return PeriodUse(use_per_day=use, days=days, temperatures=temperatures)


def coverage(
    form: forms.Form, months: int, *, sets: int = 400, proportional: bool = False
) -> tuple[list[float], int]:
    """Share of sets whose bands hold base, slopes and change points, in %; and sets refused."""
    random = np.random.default_rng(2024)
    coefficients, change_c = BOTH if form.cooling else HEATING
    held = []
    for seed in range(sets):
        data = invented_use(form, months, random, proportional=proportional)
        try:
            bands = bootstrap_bands(fit_form(form, data), resamples=400, seed=seed)
        except InputError:
            continue
        found = [(bands.base_per_day, coefficients[0]), (bands.heating_slope, coefficients[1])]
        found.append((bands.heating_change_c, change_c[0]))
        if form.cooling:
            found += [(bands.cooling_slope, coefficients[2]), (bands.cooling_change_c, change_c[1])]
        held.append([band is not None and band.holds(true) for band, true in found])
    return [round(100.0 * float(share), 1) for share in np.mean(held, axis=0)], sets - len(held)


CASES = [
    (forms.HEATING_DEGREE_DAYS, 24, False),
    (forms.HEATING_3P, 24, False),
    (forms.HEATING_DEGREE_DAYS, 24, True),
    (forms.FIVE_PARAMETER, 24, False),
    (forms.HEATING_DEGREE_DAYS, 12, False),
    (forms.HEATING_3P, 12, False),
    (forms.HEATING_DEGREE_DAYS, 12, True),
    (forms.FIVE_PARAMETER, 12, False),
]


@pytest.mark.slow
@pytest.mark.parametrize(("form", "months", "proportional"), CASES)
def test_bands_of_nine_in_ten_hold_the_true_values_about_that_often(
    form: forms.Form, months: int, proportional: bool
) -> None:
    shares, refused = coverage(form, months, proportional=proportional)
    noise = "proportional to the use" if proportional else "even"
    print(  # noqa: T201 - the coverage found is what this test is for
        f"{form.name}, {months} periods, {noise} noise: {shares} %, {refused} sets refused"
    )
    base, slope, change, *others = shares
    # nominal 90 %; 400 sets scatter by 1.5 points (binomial)
    low = 85.0 if months == 24 else 80.0
    assert low <= base <= (95.0 if not proportional else 98.0)
    assert low <= slope <= 95.0
    assert change >= 80.0
    assert all(share >= 80.0 for share in others)


@pytest.mark.parametrize(
    "form", [forms.HEATING_DEGREE_DAYS, forms.HEATING_3P], ids=lambda f: f.name
)
def test_the_band_of_twelve_periods_is_wider_than_that_of_twenty_four(form: forms.Form) -> None:
    random = np.random.default_rng(31)
    widths = {12: 0.0, 24: 0.0}
    for _ in range(12):
        for months in widths:
            band = bootstrap_bands(
                fit_form(form, invented_use(form, months, random)), resamples=200
            ).heating_slope
            assert band is not None
            widths[months] += band.high - band.low
    # half the periods: at least the root of two, and more by the t quantile (analytic)
    assert widths[12] > 1.3 * widths[24]


# Student's t by a general-purpose library
@pytest.mark.parametrize("degrees_of_freedom", [1, 2, 3, 4, 7, 9, 22, 57])
@pytest.mark.parametrize("share", [0.6, 0.9, 0.95, 0.995])
def test_quantiles_of_t_agree_with_a_general_purpose_library(
    degrees_of_freedom: int, share: float
) -> None:
    expected = float(special.stdtrit(degrees_of_freedom, share))
    assert t_quantile(share, degrees_of_freedom) == pytest.approx(expected, rel=1e-9)


def test_the_same_seed_gives_the_same_band_and_more_noise_a_wider_one() -> None:
    data = invented_use(forms.HEATING_3P, 12, np.random.default_rng(1))
    fit = fit_form(forms.HEATING_3P, data)
    first, again = bootstrap_bands(fit), bootstrap_bands(fit)
    assert first.base_per_day == again.base_per_day
    doubled = PeriodUse(
        use_per_day=fit.fitted + 2.0 * (data.use_per_day - fit.fitted),
        days=data.days,
        temperatures=data.temperatures,
    )
    wider = bootstrap_bands(fit_form(forms.HEATING_3P, doubled))
    widths = [band.base_per_day.high - band.base_per_day.low for band in (first, wider)]
    assert widths[1] > 1.5 * widths[0]


def test_a_straight_line_has_the_band_of_the_t_distribution() -> None:
    random = np.random.default_rng(8)
    outdoor_c = np.linspace(-5.0, 20.0, 24)
    use = 50.0 - 2.0 * outdoor_c + random.normal(0.0, 1.0, 24)
    data = PeriodUse(
        use_per_day=use,
        days=np.full(24, 30.0),
        temperatures=PeriodTemperatures(samples_c=outdoor_c[:, None]),
    )
    fit = fit_form(forms.STRAIGHT_LINE, data)
    band = bootstrap_bands(fit, resamples=4000).temperature_slope
    assert band is not None
    # two-sided 90 % of Student's t with 22 degrees of freedom: 1.717 (from memory); HC3 errors
    # differ from ordinary ones by chance of the residuals
    assert (band.high - band.low) / 2.0 == pytest.approx(1.717 * fit.standard_errors[1], rel=0.25)


def test_without_noise_the_band_is_the_value() -> None:
    days, samples = invented_days(np.random.default_rng(4), 12)
    temperatures = PeriodTemperatures(samples_c=samples)
    use = 10.0 + 4.0 * temperatures.degrees_below(np.array([16.0]))[0]
    data = PeriodUse(use_per_day=use, days=days, temperatures=temperatures)
    bands = bootstrap_bands(fit_form(forms.HEATING_DEGREE_DAYS, data))
    assert bands.heating_change_c is not None
    assert bands.base_per_day.low == pytest.approx(10.0, rel=1e-5)
    assert bands.heating_change_c.high == pytest.approx(16.0, rel=1e-5)
    assert bands.failed_share == 0.0


def test_readings_scatter_more_than_the_fitted_line() -> None:
    data = invented_use(forms.HEATING_DEGREE_DAYS, 24, np.random.default_rng(5))
    bands = bootstrap_bands(fit_form(forms.HEATING_DEGREE_DAYS, data))
    line = bands.resampled_use_per_day(data.temperatures).std(axis=0)
    reading = bands.resampled_reading_per_day(data.temperatures, data.days).std(axis=0)
    assert (reading > 1.2 * line).all()


def test_a_five_parameter_fit_with_a_thousand_resamples_takes_well_under_a_second() -> None:
    data = invented_use(forms.FIVE_PARAMETER, 24, np.random.default_rng(6))
    start = time.process_time()
    bands = bootstrap_bands(fit_form(forms.FIVE_PARAMETER, data), resamples=1000)
    # processor time, so that a busy machine does not count; about 0.3 s where this was written
    assert time.process_time() - start < 2.0
    assert bands.coefficients.shape[0] > 900


def test_a_band_always_holds_its_likely_value() -> None:
    band = band_of(np.linspace(5.0, 6.0, 100), 4.0)
    assert band == Band(low=4.0, likely=4.0, high=band.high)
    assert band.times(2.0).likely == 8.0
