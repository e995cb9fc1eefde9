"""Change-point regression of use per day on outdoor temperature.

A bill regression takes the use per day of each metered period and the outdoor temperature of
exactly those days, and finds base use, slope and the temperature at which the slope begins.

References
----------
Forms and limits: ASHRAE Guideline 14-2014 and RP-1050 (quoted); public guide to the forms:
Bonneville Power Administration, Regression for M&V: Reference Guide v1.1, May 2012, sections
4.1-4.3.3 (contents only, quoted). Grid over the change points, least squares for the rest, days
as weights, three periods on each side: common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.change_point_forms import (
    ALL_FORMS,
    LEAST_BETWEEN,
    LEAST_ON_A_SLOPE,
    Form,
    change_columns,
    regression_columns,
    seen_by,
    slopes_have_their_sign,
)
from energymodel.building.change_point_search import Regression, search
from energymodel.building.fit_statistics import FitStatistics, fit_statistics
from energymodel.building.linear_fit import fit_linear
from energymodel.building.period_use import PeriodTemperatures, PeriodUse
from energymodel.errors import InputError

AS_GOOD = 2.0
"""Difference of AICc below which the simpler form is taken (common practice)."""
_BEYOND_K = 0.05
_NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChangePointFit:
    """One form fitted to one set of periods.

    Parameters
    ----------
    form
        Form of the regression.
    data
        Periods that it was fitted to.
    coefficients, standard_errors
        Base, then slopes, in use per day (per kelvin), shape (columns,). The standard errors
        hold the change points fixed: with a change point they are too small, use the bands.
    change_c
        Heating and cooling change point, degC, shape (2,); nan where the form has none.
    fitted
        Use per day, shape (periods,).
    leverage
        Share of each period's own weight in its fitted value, change points included, 0..1.
    statistics
        Figures of the fit.
    """

    form: Form
    data: PeriodUse
    coefficients: Array
    standard_errors: Array
    change_c: Array
    fitted: Array
    leverage: Array
    statistics: FitStatistics

    @property
    def base_per_day(self) -> float:
        """Use per day without heating and cooling; of a straight line: at 0 degC."""
        return float(self.coefficients[0])

    @property
    def heating_slope(self) -> float | None:
        """Use per day and kelvin below the heating change point; None: the form has none."""
        return float(self.coefficients[1]) if self.form.heating else None

    @property
    def cooling_slope(self) -> float | None:
        """Use per day and kelvin above the cooling change point; None: the form has none."""
        return float(self.coefficients[-1]) if self.form.cooling else None

    @property
    def temperature_slope(self) -> float | None:
        """Rise of the use per day with temperature of a straight line, per kelvin."""
        return float(self.coefficients[1]) if self.form.straight else None

    @property
    def heating_change_c(self) -> float | None:
        """Temperature below which heating begins, degC; None: the form has none."""
        return float(self.change_c[0]) if self.form.heating else None

    @property
    def cooling_change_c(self) -> float | None:
        """Temperature above which cooling begins, degC; None: the form has none."""
        return float(self.change_c[1]) if self.form.cooling else None

    def use_per_day(self, temperatures: PeriodTemperatures) -> Array:
        """Use per day that the fit gives at other temperatures.

        Parameters
        ----------
        temperatures
            Of other periods.

        Returns
        -------
        Array
            Shape (periods,).
        """
        seen = seen_by(self.form, temperatures)
        columns = regression_columns(self.form, seen, self.change_c[None])
        return np.asarray(columns[0] @ self.coefficients)


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """A form that could not be fitted.

    Parameters
    ----------
    form
        The form.
    reason
        Why not, as a sentence.
    """

    form: Form
    reason: str


def fit_form(form: Form, data: PeriodUse) -> ChangePointFit:
    """Fit one form.

    Parameters
    ----------
    form
        Form of the regression.
    data
        Use per day, days and temperatures of the periods.

    Returns
    -------
    ChangePointFit
        Least squares over change points and coefficients, weighted by days.

    Raises
    ------
    InputError
        If there are too few periods, too few on one side of the change point, no slope of the
        right sign, or daily temperatures are needed and not there.

    Examples
    --------
    >>> from energymodel.building.change_point_forms import HEATING_3P
    >>> from energymodel.building.period_use import known_means
    >>> outdoor_c = np.array([-5.0, 0.0, 4.0, 8.0, 12.0, 17.0, 20.0, 22.0])
    >>> use = 10.0 + 3.0 * np.maximum(15.0 - outdoor_c, 0.0)
    >>> fit = fit_form(
    ...     HEATING_3P,
    ...     PeriodUse(use_per_day=use, days=np.full(8, 30.0), temperatures=known_means(outdoor_c)),
    ... )
    >>> round(fit.base_per_day, 6), round(fit.heating_slope, 6), round(fit.heating_change_c, 6)
    (10.0, 3.0, 15.0)
    """
    if len(data) < form.fewest_periods:
        raise InputError(
            f"{len(data)} periods are too few for the {form.name} form",
            expected=f"at least {form.fewest_periods}",
            remedy="add bills of other months, or take a simpler form",
        )
    if form.by_day and not data.temperatures.has_days:
        raise InputError(
            f"the {form.name} form counts degrees day by day, and only the means of the periods "
            "are known",
            expected="the temperature of each day",
        )
    seen = seen_by(form, data.temperatures)
    change_c = np.full(2, np.nan)
    if form.change_points:
        regression = Regression(form=form, seen=seen, weights=data.weights)
        change_c = _change_points(regression, data.use_per_day[None])
    return _fitted(form, data, seen, change_c)


def _change_points(regression: Regression, use: Array) -> Array:
    form, seen = regression.form, regression.seen
    found = search(regression, use)
    change_c = found.change_c[0]
    if np.isnan(change_c).any():
        raise InputError(
            f"no change point of the {form.name} form fits: {_why_none(form, seen)}",
            expected=_needed(form),
            remedy="add bills of the other season, or take a simpler form",
        )
    outward = _better_beyond(regression, use, change_c, float(found.squares[0]))
    if outward:
        raise InputError(
            f"too few periods lie {outward} the change point of the {form.name} form",
            expected=_needed(form),
            remedy="add bills of the other season, or take a simpler form",
        )
    return np.asarray(change_c)


def _needed(form: Form) -> str:
    if form.change_points == 2:
        return (
            f"{LEAST_ON_A_SLOPE} periods on each slope and {LEAST_BETWEEN} between the change "
            "points"
        )
    return f"{LEAST_ON_A_SLOPE} periods on each side of the change point"


def _why_none(form: Form, seen: PeriodTemperatures) -> str:
    spread = np.ptp(seen.mean_c)
    if spread < 1.0:
        return f"all periods have about the same outdoor temperature (within {spread:.2g} K)"
    return f"the use does not rise as the {form.name} form needs"


def _better_beyond(regression: Regression, use: Array, change_c: Array, squares: float) -> str:
    """Name the side on which the fit still improves where too few periods would be left."""
    moves = {"below": (-_BEYOND_K, 0.0), "above": (0.0, _BEYOND_K)}
    if regression.form.change_points == 1:
        moves = {"below": (-_BEYOND_K, -_BEYOND_K), "above": (_BEYOND_K, _BEYOND_K)}
    for side, move in moves.items():
        coefficients, beyond = regression.solved(use, change_c[None] + np.array(move))
        signs = bool(slopes_have_their_sign(regression.form, coefficients)[0])
        if signs and 0 < beyond[0] < squares * (1.0 - _NEAR):
            return side
    return ""


def _fitted(
    form: Form, data: PeriodUse, seen: PeriodTemperatures, change_c: Array
) -> ChangePointFit:
    columns = regression_columns(form, seen, change_c[None])
    linear = fit_linear(columns[0], data.use_per_day, data.weights)
    leverage = linear.leverage
    if form.change_points:
        moving = change_columns(form, seen, change_c[None], linear.coefficients[None])
        leverage = _leverage(np.concatenate([columns[0], moving[0]], axis=1), data.weights)
    return ChangePointFit(
        form=form,
        data=data,
        coefficients=linear.coefficients,
        standard_errors=linear.standard_errors,
        change_c=frozen(change_c),
        fitted=linear.fitted,
        leverage=frozen(leverage),
        statistics=fit_statistics(
            data.use_per_day, linear.fitted, data.weights, parameters=form.parameters
        ),
    )


def _leverage(columns: Array, weights: Array) -> Array:
    weighted = columns * np.sqrt(weights)[:, None]
    left, size, _ = np.linalg.svd(weighted, full_matrices=False)
    return np.asarray((left[:, size > size[0] * 1e-9] ** 2).sum(axis=1))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FormChoice:
    """Which form was taken and why.

    Parameters
    ----------
    chosen
        The fit to use.
    fits
        All forms that could be fitted, best criterion first.
    refused
        The others, each with its reason.
    reasons
        The choice in sentences.
    """

    chosen: ChangePointFit
    fits: tuple[ChangePointFit, ...]
    refused: tuple[Refusal, ...]
    reasons: tuple[str, ...]


def choose_form(data: PeriodUse, forms: Sequence[Form] = ALL_FORMS) -> FormChoice:
    """Fit several forms and take the simplest of those that fit about equally well.

    Parameters
    ----------
    data
        Use per day, days and temperatures of the periods.
    forms
        Forms to try; of forms with equally many parameters the earlier one is taken when both
        are as good.

    Returns
    -------
    FormChoice
        The simplest form within 2 of the lowest AICc.

    Raises
    ------
    InputError
        If no form can be fitted; the message gives each reason.
    """
    fits: list[ChangePointFit] = []
    refused: list[Refusal] = []
    for form in forms:
        try:
            fits.append(fit_form(form, data))
        except InputError as fault:
            refused.append(Refusal(form=form, reason=f"{fault.what}; needed: {fault.expected}"))
    if not fits:
        raise InputError(
            "no form of regression fits these periods: "
            + "; ".join(refusal.reason for refusal in refused),
            remedy="add metered periods from the other season",
        )
    lowest = min(fit.statistics.aicc for fit in fits)
    good = [fit for fit in fits if fit.statistics.aicc <= lowest + AS_GOOD]
    chosen = min(good, key=lambda fit: fit.form.parameters)
    ordered = tuple(sorted(fits, key=lambda fit: fit.statistics.aicc))
    return FormChoice(
        chosen=chosen,
        fits=ordered,
        refused=tuple(refused),
        reasons=(_why(chosen, lowest), *(_why_not(fit, chosen) for fit in ordered)),
    )


def _why(chosen: ChangePointFit, lowest: float) -> str:
    more = chosen.statistics.aicc - lowest
    best = "it has the lowest AICc" if more <= 0 else f"its AICc is {more:.1f} above the lowest"
    return (
        f"{chosen.form.name} taken ({chosen.form.equation}): {best}, and no form with fewer "
        f"parameters comes within {AS_GOOD:g} of the lowest."
    )


def _why_not(fit: ChangePointFit, chosen: ChangePointFit) -> str:
    figures = f"CV(RMSE) {fit.statistics.cv_rmse_pct:.1f} %, R2 {fit.statistics.r_squared:.3f}"
    if fit is chosen:
        return f"{fit.form.name}: {figures}; taken."
    more = fit.statistics.aicc - chosen.statistics.aicc
    if more > AS_GOOD:
        return f"{fit.form.name}: {figures}; not taken, AICc {more:.1f} higher."
    wording = "more parameters" if fit.form.parameters > chosen.form.parameters else "no simpler"
    return f"{fit.form.name}: {figures}; not taken, as good but {wording} (AICc {more:+.1f})."
