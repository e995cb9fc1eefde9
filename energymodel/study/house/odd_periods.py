"""Periods that do not go with the others: a slipped decimal point, an estimate that is not marked.

One period, or two neighbours, are left out in turn and the rest is fitted again. Where the rest
then fits far better and the periods left out lie far from what it gives for their weather, they are
named.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.building.change_point import ChangePointFit, fit_form
from energymodel.building.change_point_forms import (
    BOTH_DEGREE_DAYS,
    HEATING_3P,
    HEATING_DEGREE_DAYS,
    Form,
)
from energymodel.building.fit_bands import enlarged_residuals
from energymodel.building.period_use import PeriodTemperatures, PeriodUse
from energymodel.economics.fuels import HeatContent
from energymodel.errors import InputError
from energymodel.meters.periods import MeterPeriods, Period, repair_notice
from energymodel.notices import Notice
from energymodel.study.house.period_weather import read_to_read

SUSPECT_PCT = 4.0
"""CV(RMSE) of a fit below which no period is looked at, % (our choice)."""
BETTER = 3.0
"""Times by which the fit of the others must be better (our choice)."""
APART = 0.20
"""Distance from what the others give, as a share of it, that makes a period odd (our choice)."""
_STILL_BETTER = 2.0
_GOOD_PCT = 15.0
_TOGETHER = 0.10
_SLIPS = (10.0, 100.0, 1000.0)
_SLIP_NEAR = 0.25
_FEWEST_LEFT = 5
_FARTHEST = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OddPeriods:
    """One period, or two neighbours, that do not go with the others.

    Parameters
    ----------
    at
        Numbers of the periods, from 0.
    use_per_day, expected_per_day
        Their use, and what the fit of the others gives in their weather, shape (1 or 2,).
    days
        Their days.
    cv_rmse_pct
        CV(RMSE) of the fit of the others, %.
    """

    at: tuple[int, ...]
    use_per_day: Array
    expected_per_day: Array
    days: Array
    cv_rmse_pct: float

    @property
    def agree_together(self) -> bool:
        """Two neighbours whose sum is as expected: the read between them was no read."""
        if len(self.at) != 2:
            return False
        used, expected = self.use_per_day @ self.days, self.expected_per_day @ self.days
        return bool(abs(used - expected) <= _TOGETHER * expected)


def find_odd_periods(fit: ChangePointFit) -> OddPeriods | None:
    """Look for one or two neighbouring periods that do not go with the others.

    Parameters
    ----------
    fit
        The form that fits all of them best, periods in the order of the calendar.

    Returns
    -------
    OddPeriods or None
        None: the others are fitted no better without any of them.
    """
    data = fit.data
    every = (one.statistics.cv_rmse_pct for one in (fit, *_fits(data)))
    whole = min(every)
    likely = _likely(fit)
    singles = [found for at in likely if (found := _without(data, (at,))) is not None]
    starts = sorted({at + step for at in likely for step in (-1, 0)} & set(range(len(data) - 1)))
    pairs = [found for at in starts if (found := _without(data, (at, at + 1))) is not None]
    one = min(singles, key=_scatter, default=None)
    two = min(pairs, key=_scatter, default=None)
    best = one
    if two is not None and (one is None or two.cv_rmse_pct * _STILL_BETTER < one.cv_rmse_pct):
        best = two
    if best is None or best.cv_rmse_pct > min(_GOOD_PCT, whole / BETTER):
        return None
    return best


def _likely(fit: ChangePointFit) -> list[int]:
    """Periods to leave out: those farthest from a fit that heats, all where there is none."""
    if not fit.form.heating:
        return list(range(len(fit.data)))
    return [int(at) for at in np.argsort(-np.abs(enlarged_residuals(fit)))[:_FARTHEST]]


def _scatter(found: OddPeriods) -> float:
    return found.cv_rmse_pct


def _fits(data: PeriodUse) -> Iterator[ChangePointFit]:
    """Fit the forms that heat, as far as they can be fitted."""
    forms: tuple[Form, ...] = (HEATING_3P,)
    if data.temperatures.has_days:
        forms = (HEATING_DEGREE_DAYS, BOTH_DEGREE_DAYS)
    for form in forms:
        try:
            yield fit_form(form, data)
        except InputError:
            continue


def _without(data: PeriodUse, at: tuple[int, ...]) -> OddPeriods | None:
    keep = np.ones(len(data), dtype=np.bool_)
    keep[list(at)] = False
    if keep.sum() < _FEWEST_LEFT:
        return None
    fits = list(_fits(_rows(data, keep)))
    if not fits:
        return None
    fit = min(fits, key=lambda one: one.statistics.cv_rmse_pct)
    left = _rows(data, ~keep)
    expected = fit.use_per_day(left.temperatures)
    away = np.abs(left.use_per_day - expected) / np.maximum(expected, fit.base_per_day)
    if not (away > APART).all():
        return None
    return OddPeriods(
        at=at,
        use_per_day=left.use_per_day,
        expected_per_day=expected,
        days=left.days,
        cv_rmse_pct=fit.statistics.cv_rmse_pct,
    )


def _rows(data: PeriodUse, keep: Mask) -> PeriodUse:
    return PeriodUse(
        use_per_day=data.use_per_day[keep],
        days=data.days[keep],
        temperatures=PeriodTemperatures(samples_c=data.temperatures.samples_c[keep]),
    )


def odd_words(odd: OddPeriods, readings: MeterPeriods, content: HeatContent) -> tuple[str, str]:
    """Say which periods stand out and what to do with them.

    Parameters
    ----------
    odd
        What stands out.
    readings
        The periods.
    content
        Energy of one unit of the meter.

    Returns
    -------
    what, remedy : str
        Without a final stop.
    """
    named = [
        _one(readings.periods[at], readings.meter.unit, expected * days / content.kwh_per_unit)
        for at, expected, days in zip(odd.at, odd.expected_per_day, odd.days, strict=True)
    ]
    if odd.agree_together:
        return (
            f"two neighbouring periods stand out: {' and '.join(named)}; together they are"
            " as they should be",
            "the read between them was likely an estimate: mark the first one estimated in a"
            " column 'read', and the two are merged",
        )
    count = "two periods stand out" if len(named) > 1 else "one period stands out"
    return (
        f"{count}: {' and '.join(named)}{_slip(odd)}",
        "hold it against the bill (decimal point, a total, an estimate, a repair); correct the row,"
        " or leave it out",
    )


def odd_notice(readings: MeterPeriods, content: HeatContent, fit: ChangePointFit) -> Notice | None:
    """Notice of periods that stand out of a fit that scatters.

    Parameters
    ----------
    readings
        The periods.
    content
        Energy of one unit of the meter.
    fit
        The fit taken.

    Returns
    -------
    Notice or None
        None: the fit scatters little, or no period stands out.
    """
    if fit.statistics.cv_rmse_pct < SUSPECT_PCT:
        return None
    odd = find_odd_periods(fit)
    if odd is None:
        return None
    what, remedy = odd_words(odd, readings, content)
    return repair_notice(f"Not repaired: {what}. What to do: {remedy}.")


def _one(period: Period, unit: str, expected: float) -> str:
    found = f"{period.amount:.4g} {unit}"
    return f"{read_to_read(period)} shows {found}, where the others give {expected:.3g}"


def _slip(odd: OddPeriods) -> str:
    if len(odd.at) != 1 or not odd.expected_per_day[0] > 0 or not odd.use_per_day[0] > 0:
        return ""
    ratio = float(odd.use_per_day[0] / odd.expected_per_day[0])
    size = max(ratio, 1.0 / ratio)
    for factor in _SLIPS:
        if abs(size / factor - 1.0) <= _SLIP_NEAR:
            way = "times as much" if ratio > 1 else "times less"
            return f": about {factor:g} {way}"
    return ""
