"""How well a regression of bills fits: the usual figures, each with its divisor stated."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError

_ROUNDING = 1e-6
_SHOWN_PCT = 1e-6
"""What rounding leaves of a net bias is shown as 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FitStatistics:
    """Figures of one fit with n periods and p parameters, change points counted as parameters.

    Parameters
    ----------
    periods, parameters
        n and p.
    r_squared
        1 - weighted residual squares / weighted squares about the mean; 0 where use is constant.
    adjusted_r_squared
        1 - (1 - R2) (n - 1) / (n - p).
    cv_rmse_pct
        100 sqrt(sum w (y - fit)^2 / (n - p)) / mean, %; divisor n - p.
    nmbe_pct
        100 sum w (y - fit) / ((n - p) mean), %; divisor n - p; zero but for rounding in a least
        squares fit with a base.
    aicc
        Corrected Akaike criterion; comparable between forms fitted to the same periods.

    References
    ----------
    CV(RMSE) and NMBE: ASHRAE Guideline 14 (from memory; some texts divide by n instead of n - p).
    AICc: n ln(SSE/n) + 2k + 2k(k+1)/(n-k-1), k = p + 1 for the variance (from memory).
    """

    periods: int
    parameters: int
    r_squared: float
    adjusted_r_squared: float
    cv_rmse_pct: float
    nmbe_pct: float
    aicc: float


def fit_statistics(
    use_per_day: Array, fitted: Array, weights: Array, *, parameters: int
) -> FitStatistics:
    """Work out the figures of a fit.

    Parameters
    ----------
    use_per_day, fitted
        Use per day as metered and as fitted, shape (periods,).
    weights
        Days over their mean, shape (periods,).
    parameters
        Coefficients and change points.

    Returns
    -------
    FitStatistics
        Weighted by days.

    Raises
    ------
    InputError
        If there are not more than p + 2 periods, or the mean use is not above zero.

    Notes
    -----
    Residuals below a millionth of the mean use count as that much, so that an exact fit does not
    win over a simpler exact fit by its rounding.
    """
    periods = use_per_day.size
    spare = periods - parameters
    if spare < 3:
        raise InputError(f"{periods} periods for {parameters} parameters", expected="three more")
    mean = float(np.average(use_per_day, weights=weights))
    if not mean > 0:
        raise InputError(f"a mean use of {mean:g} per day", expected="above zero")
    residual = use_per_day - fitted
    squares = float((weights * residual**2).sum())
    about_mean = float((weights * (use_per_day - mean) ** 2).sum())
    r_squared = 1.0 - squares / about_mean if about_mean > (_ROUNDING * mean) ** 2 else 0.0
    return FitStatistics(
        periods=periods,
        parameters=parameters,
        r_squared=r_squared,
        adjusted_r_squared=1.0 - (1.0 - r_squared) * (periods - 1) / spare,
        cv_rmse_pct=100.0 * math.sqrt(squares / spare) / mean,
        nmbe_pct=100.0 * float((weights * residual).sum()) / (spare * mean),
        aicc=_aicc(max(squares, periods * (_ROUNDING * mean) ** 2), periods, parameters + 1),
    )


def _aicc(squares: float, periods: int, estimated: int) -> float:
    correction = 2.0 * estimated * (estimated + 1) / (periods - estimated - 1)
    return periods * math.log(squares / periods) + 2.0 * estimated + correction


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """A published limit and whether a fit keeps it.

    Parameters
    ----------
    name
        Figure that is limited, with its divisor.
    value, limit
        Figure and its limit, %.
    source
        Document.
    """

    name: str
    value: float
    limit: float
    source: str

    @property
    def kept(self) -> bool:
        """The size of the figure is not above the limit."""
        return abs(self.value) <= self.limit

    def __str__(self) -> str:
        word = "kept" if self.kept else "NOT kept"
        value = self.value if abs(self.value) >= _SHOWN_PCT else 0.0
        return f"{self.name} {value:.3g} %, limit {self.limit:g} %: {word} ({self.source})"


_SOURCE = "ASHRAE Guideline 14, whole-building path, from memory"


def guideline_criteria(
    statistics: FitStatistics, *, reporting_months: int = 12
) -> tuple[Criterion, ...]:
    """Limits of ASHRAE Guideline 14 for a whole-building regression.

    Parameters
    ----------
    statistics
        Of the fit.
    reporting_months
        Length of the period that the fit is to be used for, months.

    Returns
    -------
    tuple of Criterion
        CV(RMSE): 20 % below 12 months, 25 % to 60 months, 30 % beyond; net bias 0.005 %.

    Examples
    --------
    >>> figures = FitStatistics(periods=12, parameters=3, r_squared=0.98,
    ...     adjusted_r_squared=0.976, cv_rmse_pct=14.2, nmbe_pct=0.0, aicc=-20.0)
    >>> print(guideline_criteria(figures)[0])
    CV(RMSE), divisor n - p 14.2 %, limit 25 %: kept (ASHRAE Guideline 14, whole-building path, \
from memory)
    """
    limit = 20.0 if reporting_months < 12 else 25.0 if reporting_months <= 60 else 30.0
    return (
        Criterion(
            name="CV(RMSE), divisor n - p",
            value=statistics.cv_rmse_pct,
            limit=limit,
            source=_SOURCE,
        ),
        Criterion(
            name="net bias (NMBE), divisor n - p",
            value=statistics.nmbe_pct,
            limit=0.005,
            source=_SOURCE,
        ),
    )
