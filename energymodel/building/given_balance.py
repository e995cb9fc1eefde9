"""Use per degree-day where the balance temperature is given, not fitted.

Deliveries into a tank and bills of one season have too few periods without heating to find the
temperature at which heating begins. With that temperature given, use and degree-days of the periods
are enough; the range of the temperature goes into the band.

References
----------
Use over degree-days, the usual hand method: common practice. Resampling as in
:mod:`energymodel.building.fit_bands`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.change_point import ChangePointFit
from energymodel.building.change_point_forms import GIVEN_BALANCE, GIVEN_BALANCE_AND_BASE
from energymodel.building.fit_bands import (
    CONFIDENCE,
    RESAMPLES,
    FitBands,
    enlarged_residuals,
    widening,
)
from energymodel.building.fit_statistics import fit_statistics
from energymodel.building.period_use import PeriodUse
from energymodel.errors import InputError

RANGE_K = 3.0
"""How far a given balance temperature may be off, either way (our choice)."""
FEWEST_PERIODS = 4
"""Three more than the one slope (our choice)."""
MILD_SHARE = 0.5
"""Degree-days per day of the mildest period over those of the coldest, below which the base is
fitted (our choice)."""
_SEED = 20_261
_SPARE = 3
_LEAST_SLOPE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenBalance:
    """A balance temperature that is not fitted.

    Parameters
    ----------
    balance_c
        Outdoor temperature below which heating begins, degC.
    range_k
        How far it may be off, either way, K.
    base_per_day
        Use per day besides heating; None: fitted where a mild period tells it, else zero.
    """

    balance_c: float
    range_k: float = RANGE_K
    base_per_day: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 <= self.range_k <= 8.0:
            raise InputError(
                f"a range of {self.range_k:g} K about the balance temperature",
                expected="0 to 8 K, such as 3 K",
            )
        if self.base_per_day is not None and self.base_per_day < 0:
            raise InputError("a base use below zero", expected="zero or more")


def fits_base(data: PeriodUse, given: GivenBalance) -> bool:
    """Whether the periods tell the base use beside a given balance temperature.

    Parameters
    ----------
    data
        Use per day, days and temperatures of the periods.
    given
        Balance temperature, and the base where it is given.

    Returns
    -------
    bool
        False where the base is given, or no period is much milder than the coldest one.
    """
    if given.base_per_day is not None or len(data) < GIVEN_BALANCE.parameters + _SPARE:
        return False
    degrees = data.temperatures.degrees_below(np.array([given.balance_c]))[0]
    return bool(degrees.min() <= MILD_SHARE * degrees.max())


def given_balance_bands(data: PeriodUse, given: GivenBalance) -> FitBands:
    """Fit the slope, and the base where the periods tell it, from a given balance temperature.

    Parameters
    ----------
    data
        Use per day, days and the temperature of each day of the periods.
    given
        Balance temperature with its range, and the base where it is given.

    Returns
    -------
    FitBands
        The fit with its band: the scatter of the readings, and the balance temperature anywhere in
        its range. The range itself is an assumption, so the band is no measured coverage.

    Raises
    ------
    InputError
        If there are fewer than four periods, none of them is colder than the balance temperature,
        or the use lies below the base.

    Notes
    -----
    Base given or zero: slope = sum(use - base) / sum(degree-days), so that the line gives the
    metered energy. Base fitted: least squares weighted by days; a base that comes out below zero is
    zero.

    Examples
    --------
    >>> from energymodel.building.period_use import known_means
    >>> outdoor_c = np.array([-2.0, 1.0, 4.0, 7.0])
    >>> data = PeriodUse(
    ...     use_per_day=2.0 * (15.0 - outdoor_c),
    ...     days=np.full(4, 20.0),
    ...     temperatures=known_means(outdoor_c),
    ... )
    >>> bands = given_balance_bands(data, GivenBalance(balance_c=15.0, base_per_day=0.0))
    >>> round(bands.fit.heating_slope, 6)
    2.0
    """
    if len(data) < FEWEST_PERIODS:
        raise InputError(
            f"{len(data)} periods are too few, even with a given balance temperature",
            expected=f"at least {FEWEST_PERIODS}",
        )
    degrees = data.temperatures.degrees_below(np.array([given.balance_c]))
    if not degrees.max() > 0:
        raise InputError("no period is colder than the given balance temperature")
    solver = _Solver(data=data, base=_base(data, given))
    coefficients = solver.solved(degrees, data.use_per_day[None])
    if not coefficients[0, 1] > 0:
        raise InputError(
            "the use does not lie above the base in the cold", expected="more use in the cold"
        )
    fit = _fitted(data, given, degrees[0], coefficients[0])
    return _resampled(fit, given, solver)


def _base(data: PeriodUse, given: GivenBalance) -> float | None:
    return None if fits_base(data, given) else given.base_per_day or 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Solver:
    """Base and slope of many responses, each with degree-days of its own."""

    data: PeriodUse
    base: float | None

    def solved(self, degrees: Array, use: Array) -> Array:
        """Return base and slope, shape (responses, 2)."""
        weights = self.data.weights
        degrees, use = np.broadcast_arrays(degrees, use)
        base = np.full(use.shape[0], self.base or 0.0)
        if self.base is None:
            mean_degrees, mean_use = (
                (one * weights).sum(axis=1) / weights.sum() for one in (degrees, use)
            )
            away = degrees - mean_degrees[:, None]
            rise = (weights * away * use).sum(axis=1) / (weights * away**2).sum(axis=1)
            base = np.maximum(mean_use - rise * mean_degrees, 0.0)
        heating = (weights * (use - base[:, None])).sum(axis=1)
        return np.stack([base, heating / (weights * degrees).sum(axis=1)], axis=1)


def _fitted(
    data: PeriodUse, given: GivenBalance, degrees: Array, coefficients: Array
) -> ChangePointFit:
    form = GIVEN_BALANCE if fits_base(data, given) else GIVEN_BALANCE_AND_BASE
    fitted = coefficients[0] + coefficients[1] * degrees
    share = data.weights * degrees**2
    leverage = share / share.sum()
    if form is GIVEN_BALANCE:
        away = degrees - np.average(degrees, weights=data.weights)
        leverage = data.weights * (1.0 / data.weights.sum() + away**2 / (data.weights @ away**2))
    return ChangePointFit(
        form=form,
        data=data,
        coefficients=frozen(coefficients),
        standard_errors=frozen(np.full(2, np.nan)),
        change_c=frozen(np.array([given.balance_c, np.nan])),
        fitted=frozen(fitted),
        leverage=frozen(leverage),
        statistics=fit_statistics(
            data.use_per_day, fitted, data.weights, parameters=form.parameters
        ),
    )


def _resampled(fit: ChangePointFit, given: GivenBalance, solver: _Solver) -> FitBands:
    random = np.random.default_rng(_SEED)
    moved_c = given.balance_c + random.uniform(-given.range_k, given.range_k, RESAMPLES)
    signs = random.choice([-1.0, 1.0], (RESAMPLES, len(fit.data)))
    noise = signs * enlarged_residuals(fit) / np.sqrt(fit.data.weights)
    degrees = fit.data.temperatures.degrees_below(moved_c)
    likely = solver.solved(degrees, fit.data.use_per_day[None])
    drawn = solver.solved(degrees, fit.fitted + noise)
    centre = solver.solved(degrees, fit.fitted[None])
    wider = widening(CONFIDENCE, len(fit.data) - fit.form.parameters)
    coefficients = likely + wider * (drawn - centre)
    coefficients[:, 0] = np.maximum(coefficients[:, 0], 0.0)
    coefficients[:, 1] = np.maximum(coefficients[:, 1], _LEAST_SLOPE)
    change_c = np.stack([moved_c, np.full(RESAMPLES, np.nan)], axis=1)
    return FitBands(
        fit=fit,
        confidence=CONFIDENCE,
        coefficients=frozen(coefficients),
        change_c=frozen(change_c),
        failed_share=0.0,
    )
