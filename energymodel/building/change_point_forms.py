"""Forms of the regression of use on outdoor temperature, and the columns of each.

References
----------
Names 3P, 4P, 5P: ASHRAE RP-1050, carried into Guideline 14-2014 (quoted). Three-parameter forms:
energy-management handbook, chapter 27 (quoted); four-parameter form from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.building.period_use import PeriodTemperatures

LEAST_ON_A_SLOPE = 3
"""Periods on each sloped side of a change point (common practice)."""
LEAST_ON_A_FLAT = 3
"""Periods beside the only change point on the flat side (common practice)."""
LEAST_BETWEEN = 2
"""Periods between two change points (our choice)."""
_SPARE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """One form of use per day E against outdoor temperature T.

    Parameters
    ----------
    name
        As printed.
    equation
        The form in one line; (x)+ is max(x, 0).
    parameters
        Coefficients and change points together.
    straight
        A straight line in T without a change point.
    heating, cooling
        There is a slope below, above a change point.
    shared
        Both slopes start at one change point, their signs free.
    by_day
        Degrees are counted day by day, not from the mean of the period.
    """

    name: str
    equation: str
    parameters: int
    straight: bool = False
    heating: bool = False
    cooling: bool = False
    shared: bool = False
    by_day: bool = False

    @property
    def change_points(self) -> int:
        """Number of change points."""
        return 1 if self.shared else int(self.heating) + int(self.cooling)

    @property
    def fewest_periods(self) -> int:
        """Periods that the form needs: three more than its parameters (our choice)."""
        return self.parameters + _SPARE


MEAN = Form(name="mean", equation="E = base", parameters=1)
STRAIGHT_LINE = Form(name="2-parameter", equation="E = base + slope T", parameters=2, straight=True)
HEATING_3P = Form(
    name="3-parameter heating", equation="E = base + slope (c - T)+", parameters=3, heating=True
)
COOLING_3P = Form(
    name="3-parameter cooling", equation="E = base + slope (T - c)+", parameters=3, cooling=True
)
FOUR_PARAMETER = Form(
    name="4-parameter",
    equation="E = base + slope1 (c - T)+ + slope2 (T - c)+",
    parameters=4,
    heating=True,
    cooling=True,
    shared=True,
)
FIVE_PARAMETER = Form(
    name="5-parameter",
    equation="E = base + slope1 (c1 - T)+ + slope2 (T - c2)+, c1 <= c2",
    parameters=5,
    heating=True,
    cooling=True,
)
HEATING_DEGREE_DAYS = Form(
    name="heating degree-days",
    equation="E = base + slope HDD(c) per day",
    parameters=3,
    heating=True,
    by_day=True,
)
COOLING_DEGREE_DAYS = Form(
    name="cooling degree-days",
    equation="E = base + slope CDD(c) per day",
    parameters=3,
    cooling=True,
    by_day=True,
)
BOTH_DEGREE_DAYS = Form(
    name="heating and cooling degree-days",
    equation="E = base + slope1 HDD(c1) + slope2 CDD(c2) per day, c1 <= c2",
    parameters=5,
    heating=True,
    cooling=True,
    by_day=True,
)
GIVEN_BALANCE = Form(
    name="degree-days from a given balance",
    equation="E = base + slope HDD(c) per day, c given",
    parameters=2,
    heating=True,
    by_day=True,
)
"""Balance temperature given, base fitted (`energymodel.building.given_balance`)."""
GIVEN_BALANCE_AND_BASE = Form(
    name="degree-days from a given balance and base",
    equation="E = base + slope HDD(c) per day, c and base given",
    parameters=1,
    heating=True,
    by_day=True,
)
"""The same with a given base, or none: through the origin."""
HEATING_FORMS = (MEAN, STRAIGHT_LINE, HEATING_DEGREE_DAYS, HEATING_3P)
"""Forms for a fuel that only heats."""
ALL_FORMS = (
    MEAN,
    STRAIGHT_LINE,
    HEATING_DEGREE_DAYS,
    COOLING_DEGREE_DAYS,
    HEATING_3P,
    COOLING_3P,
    FOUR_PARAMETER,
    BOTH_DEGREE_DAYS,
    FIVE_PARAMETER,
)


def seen_by(form: Form, temperatures: PeriodTemperatures) -> PeriodTemperatures:
    """Temperatures as a form counts them: day by day, or the mean of each period.

    Parameters
    ----------
    form
        Form of the regression.
    temperatures
        Of the periods.

    Returns
    -------
    PeriodTemperatures
        The same, or their means.
    """
    return temperatures if form.by_day else temperatures.as_means()


def regression_columns(form: Form, seen: PeriodTemperatures, change_c: Array) -> Array:
    """Columns of the linear part at given change points.

    Parameters
    ----------
    form
        Form of the regression.
    seen
        Temperatures as the form counts them.
    change_c
        Heating and cooling change point of each candidate, degC, shape (candidates, 2); not
        read where the form has no such side.

    Returns
    -------
    Array
        Ones, then T or degrees below, then degrees above, shape (candidates, periods, columns).
    """
    columns = [np.ones((change_c.shape[0], len(seen)))]
    if form.straight:
        columns.append(np.broadcast_to(seen.mean_c, columns[0].shape))
    if form.heating:
        columns.append(seen.degrees_below(change_c[:, 0]))
    if form.cooling:
        columns.append(seen.degrees_above(change_c[:, 1]))
    return np.stack(columns, axis=2)


def change_columns(
    form: Form, seen: PeriodTemperatures, change_c: Array, coefficients: Array
) -> Array:
    """Rise of the fitted use with each change point.

    Parameters
    ----------
    form, seen, change_c
        As for :func:`regression_columns`.
    coefficients
        Coefficients of its columns, shape (candidates, columns).

    Returns
    -------
    Array
        Use per day and kelvin, shape (candidates, periods, change points).
    """
    found = []
    if form.heating:
        found.append(coefficients[:, 1, None] * seen.share_below(change_c[:, 0]))
    if form.cooling:
        share_above = 1.0 - seen.share_below(change_c[:, 1])
        found.append(-coefficients[:, -1, None] * share_above)
    if form.shared:
        return (found[0] + found[1])[:, :, None]
    return np.stack(found, axis=2)


def enough_on_each_side(form: Form, mean_c: Array, change_c: Array) -> Mask:
    """Whether enough periods lie on each side of the change points.

    Parameters
    ----------
    form
        Form of the regression.
    mean_c
        Mean temperature of each period, degC, shape (periods,).
    change_c
        Candidates, degC, shape (candidates, 2).

    Returns
    -------
    Mask
        Shape (candidates,).
    """
    below = (mean_c < change_c[:, :1]).sum(axis=1)
    above = (mean_c > change_c[:, 1:]).sum(axis=1)
    if form.change_points == 2:
        between = mean_c.size - below - above
        enough = (below >= LEAST_ON_A_SLOPE) & (above >= LEAST_ON_A_SLOPE)
        return np.asarray(enough & (between >= LEAST_BETWEEN))
    cold = LEAST_ON_A_SLOPE if form.heating else LEAST_ON_A_FLAT
    warm = LEAST_ON_A_SLOPE if form.cooling else LEAST_ON_A_FLAT
    return np.asarray((below >= cold) & (above >= warm))


def slopes_have_their_sign(form: Form, coefficients: Array) -> Mask:
    """Whether slopes that must rise away from the change point do so.

    Parameters
    ----------
    form
        Form of the regression; a shared change point leaves the signs free.
    coefficients
        Coefficients of the columns, shape (..., columns).

    Returns
    -------
    Mask
        Shape (...).
    """
    if form.straight or form.shared or not (form.heating or form.cooling):
        return np.ones(coefficients.shape[:-1], dtype=np.bool_)
    return np.asarray((coefficients[..., 1:] > 0).all(axis=-1))
