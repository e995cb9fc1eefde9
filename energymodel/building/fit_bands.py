"""Confidence bands of a bill regression by a bootstrap over its periods.

Each resample gives every period its fitted use plus or minus its own residual, enlarged for its
leverage, and fits again, change points included. The spread of the resamples about the fit is
then widened by the ratio of the t to the normal quantile for n - p degrees of freedom, and by a
measured factor. A band holds the scatter of the readings; it does not hold the choice of the form,
nor what changed in the house.

Notes
-----
Coverage found, % of 400 seeded sets of invented monthly use whose band of nominal 90 % holds the
true value (computed by the slow tests of `tests/test_bill_bands.py`; noise 8 % of the mean use,
4 % with two change points, even or in proportion to the use; sets whose change point could not be
told were refused and do not count):

===================  ============  =======  =====  ======  ============  =======
form                 noise         periods  base   slope   change point  refused
===================  ============  =======  =====  ======  ============  =======
heating degree-days  even          24       91.0   89.5    90.3          9
heating degree-days  proportional  24       95.5   86.5    90.5          1
3-parameter heating  even          24       91.2   90.0    92.0          0
5-parameter          even          24       88.4   89.2    93.8          29
5-parameter cooling                                91.9    91.9
heating degree-days  even          12       90.9   92.0    94.0          14
heating degree-days  proportional  12       97.2   88.5    94.4          8
3-parameter heating  even          12       91.2   89.8    93.0          0
5-parameter          even          12       88.5   92.4    92.1          70
5-parameter cooling                                88.5    87.3
===================  ============  =======  =====  ======  ============  =======

Two widenings stand behind these figures: the t quantile (11 % at 12 periods and three parameters,
5 % at 24; without it 12 periods held three to five points less) and 6 % more, set so that even
noise gives about 90 %. A bias-corrected percentile changed single figures by up to two points
either way and lost up to five for the base between two change points, so plain percentiles are
taken. Noise that persists from bill to bill is not covered: where a house changes slowly the bands
are too narrow.

References
----------
Wild bootstrap with residuals over 1 - leverage (HC3) and random signs: from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.change_point import ChangePointFit
from energymodel.building.change_point_forms import (
    regression_columns,
    seen_by,
    slopes_have_their_sign,
)
from energymodel.building.change_point_search import (
    SETTLED_RESAMPLE_K,
    Found,
    Regression,
    search,
)
from energymodel.building.period_use import PeriodTemperatures
from energymodel.errors import InputError

CONFIDENCE = 0.90
"""Share of repetitions in which a band should hold the true value (our choice)."""
RESAMPLES = 1000
_MEASURED_WIDENING = 1.06
_MOST_LEVERAGE = 0.9
_SEED = 20_260
_LEAST_SUCCESS = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A value with the range in which it likely lies.

    Parameters
    ----------
    low, likely, high
        All in the unit of the value.
    """

    low: float
    likely: float
    high: float

    def times(self, factor: float) -> Band:
        """Return the band in another unit.

        Parameters
        ----------
        factor
            Above zero.

        Returns
        -------
        Band
            Each value times the factor.
        """
        return Band(low=self.low * factor, likely=self.likely * factor, high=self.high * factor)

    def holds(self, value: float) -> bool:
        """Whether a value lies inside, its ends included.

        Parameters
        ----------
        value
            In the unit of the band.

        Returns
        -------
        bool
            True: inside.
        """
        return self.low <= value <= self.high


def band_of(values: Array, likely: float, *, confidence: float = CONFIDENCE) -> Band:
    """Band between the percentiles of resampled values.

    Parameters
    ----------
    values
        One value per resample, shape (resamples,).
    likely
        Value of the fit itself.
    confidence
        Share of the resamples inside, 0..1.

    Returns
    -------
    Band
        Widened where needed so that it holds the likely value.
    """
    low, high = np.quantile(values, [(1.0 - confidence) / 2.0, (1.0 + confidence) / 2.0])
    return Band(low=min(float(low), likely), likely=likely, high=max(float(high), likely))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitBands:
    """Bands of one fit and the resamples behind them.

    Parameters
    ----------
    fit
        The fit.
    confidence
        Share of repetitions in which a band should hold the true value.
    coefficients
        Base and slopes of each resample, shape (resamples, columns).
    change_c
        Heating and cooling change point of each resample, degC, shape (resamples, 2).
    failed_share
        Share of resamples to which the form could not be fitted, 0..1.
    """

    fit: ChangePointFit
    confidence: float
    coefficients: Array
    change_c: Array
    failed_share: float

    @property
    def base_per_day(self) -> Band:
        """Use per day without heating and cooling; of a straight line: at 0 degC."""
        return self._band(self.coefficients[:, 0], self.fit.base_per_day)

    @property
    def heating_slope(self) -> Band | None:
        """Use per day and kelvin below the heating change point."""
        if self.fit.heating_slope is None:
            return None
        return self._band(self.coefficients[:, 1], self.fit.heating_slope)

    @property
    def cooling_slope(self) -> Band | None:
        """Use per day and kelvin above the cooling change point."""
        if self.fit.cooling_slope is None:
            return None
        return self._band(self.coefficients[:, -1], self.fit.cooling_slope)

    @property
    def temperature_slope(self) -> Band | None:
        """Rise of the use per day of a straight line, per kelvin."""
        if self.fit.temperature_slope is None:
            return None
        return self._band(self.coefficients[:, 1], self.fit.temperature_slope)

    @property
    def heating_change_c(self) -> Band | None:
        """Temperature below which heating begins, degC."""
        if self.fit.heating_change_c is None:
            return None
        return self._band(self.change_c[:, 0], self.fit.heating_change_c)

    @property
    def cooling_change_c(self) -> Band | None:
        """Temperature above which cooling begins, degC."""
        if self.fit.cooling_change_c is None:
            return None
        return self._band(self.change_c[:, 1], self.fit.cooling_change_c)

    def resampled_use_per_day(self, temperatures: PeriodTemperatures) -> Array:
        """Use per day that each resample gives at other temperatures.

        Parameters
        ----------
        temperatures
            Of other periods.

        Returns
        -------
        Array
            Shape (resamples, periods).
        """
        seen = seen_by(self.fit.form, temperatures)
        columns = regression_columns(self.fit.form, seen, self.change_c)
        return np.asarray((columns @ self.coefficients[:, :, None])[:, :, 0])

    def resampled_reading_per_day(self, temperatures: PeriodTemperatures, days: Array) -> Array:
        """Use per day that a meter may show at other temperatures: each resample plus noise.

        Parameters
        ----------
        temperatures
            Of other periods.
        days
            Days of those periods: longer ones scatter less, shape (periods,).

        Returns
        -------
        Array
            Shape (resamples, periods).
        """
        use = self.resampled_use_per_day(temperatures)
        random = np.random.default_rng(_SEED + 1)
        noise = enlarged_residuals(self.fit)
        drawn = random.choice(noise, use.shape) * random.choice([-1.0, 1.0], use.shape)
        return np.asarray(use + drawn / np.sqrt(days / self.fit.data.days.mean()))

    def _band(self, values: Array, likely: float) -> Band:
        return band_of(values, likely, confidence=self.confidence)


def bootstrap_bands(
    fit: ChangePointFit,
    *,
    confidence: float = CONFIDENCE,
    resamples: int = RESAMPLES,
    seed: int = _SEED,
) -> FitBands:
    """Resample the periods of a fit and refit its form.

    Parameters
    ----------
    fit
        Fit of one form.
    confidence
        Share of repetitions in which a band should hold the true value, 0..1.
    resamples
        Number of resamples.
    seed
        Of the random signs: the same seed gives the same bands.

    Returns
    -------
    FitBands
        Bands, and the resamples for figures derived from them.

    Raises
    ------
    InputError
        If the form cannot be fitted to most resamples: its change points are not determined.
    """
    weights = fit.data.weights
    random = np.random.default_rng(seed)
    signs = random.choice([-1.0, 1.0], (resamples, len(fit.data)))
    use = fit.fitted + signs * enlarged_residuals(fit) / np.sqrt(weights)
    found = _refitted(fit, use)
    good = np.isfinite(found.coefficients).all(axis=1)
    if good.mean() < _LEAST_SUCCESS:
        raise InputError(
            f"the {fit.form.name} form fits only {good.mean():.0%} of the resamples of these "
            "periods: its change points are not determined",
            remedy="add bills of the other season, or take a simpler form",
        )
    spare = len(fit.data) - fit.form.parameters
    wider = widening(confidence, spare)
    coefficients = fit.coefficients + wider * (found.coefficients[good] - fit.coefficients)
    if not slopes_have_their_sign(fit.form, coefficients).all():
        coefficients[:, 1:] = np.maximum(coefficients[:, 1:], 0.0)
    return FitBands(
        fit=fit,
        confidence=confidence,
        coefficients=frozen(coefficients),
        change_c=frozen(fit.change_c + wider * (found.change_c[good] - fit.change_c)),
        failed_share=float(1.0 - good.mean()),
    )


def enlarged_residuals(fit: ChangePointFit) -> Array:
    """Residuals of equal weight, over 1 - leverage.

    Parameters
    ----------
    fit
        Fit of one form.

    Returns
    -------
    Array
        Use per day, shape (periods,).
    """
    residual = (fit.data.use_per_day - fit.fitted) * np.sqrt(fit.data.weights)
    return np.asarray(residual / (1.0 - np.minimum(fit.leverage, _MOST_LEVERAGE)))


def _refitted(fit: ChangePointFit, use: Array) -> Found:
    seen = seen_by(fit.form, fit.data.temperatures)
    regression = Regression(form=fit.form, seen=seen, weights=fit.data.weights)
    if fit.form.change_points:
        return search(regression, use, settled_k=SETTLED_RESAMPLE_K)
    change_c = np.full((use.shape[0], 2), np.nan)
    coefficients, squares = regression.solved(use, change_c)
    return Found(change_c=change_c, coefficients=coefficients, squares=squares)


def widening(confidence: float, degrees_of_freedom: int) -> float:
    """Factor on the spread of resamples: t over normal quantile, and the measured one.

    Parameters
    ----------
    confidence
        Share of repetitions in which a band should hold the true value, 0..1.
    degrees_of_freedom
        Periods less parameters.

    Returns
    -------
    float
        Above 1.
    """
    upper = (1.0 + confidence) / 2.0
    normal = NormalDist().inv_cdf(upper)
    return t_quantile(upper, degrees_of_freedom) / normal * _MEASURED_WIDENING


def t_quantile(share: float, degrees_of_freedom: int) -> float:
    """Quantile of Student's t distribution.

    Parameters
    ----------
    share
        Probability of a smaller value, 0.5..1.
    degrees_of_freedom
        Whole number, 1 or more.

    Returns
    -------
    float
        Upper end of the range.

    Notes
    -----
    Bisection on the finite sums for whole degrees of freedom (Abramowitz and Stegun, 26.7.3 and
    26.7.4, from memory): the usual library takes a third of a second to load for this one number.

    Examples
    --------
    >>> round(t_quantile(0.95, 9), 4), round(t_quantile(0.95, 22), 4)
    (1.8331, 1.7171)
    """
    low, high = 0.0, 1e4
    while high - low > 1e-12 * max(high, 1.0):
        middle = (low + high) / 2.0
        below = (1.0 + _t_within(middle, degrees_of_freedom)) / 2.0 < share
        low, high = (middle, high) if below else (low, middle)
    return high


def _t_within(size: float, degrees_of_freedom: int) -> float:
    """Probability of a value between -size and size."""
    angle = math.atan(size / math.sqrt(degrees_of_freedom))
    odd = degrees_of_freedom % 2 == 1
    term = math.cos(angle) if odd else 1.0
    total = 0.0 if degrees_of_freedom == 1 else term
    for number in range(3 if odd else 2, degrees_of_freedom - 1, 2):
        term *= (number - 1) / number * math.cos(angle) ** 2
        total += term
    if odd:
        return 2.0 / math.pi * (angle + math.sin(angle) * total)
    return math.sin(angle) * total
