"""The load line of the days turned into one of the hours.

A regression counts degrees by daily means (or by the mean of a whole period), a comparison of
options by hours. Near the temperature at which heating begins, a day whose mean needs no heating
has cold hours: the same line gives some per cent more heat by the hour than by the day. So the line
that goes on to hours is moved until it gives over the metered hours what the fit gives over the
metered days.

Notes
-----
The line is turned about the load at the design temperature, which stays: slope' = slope (c - T_d)
/ (c' - T_d), and c' is found so that slope' times the degree-hours below c' equals slope times the
degree-days below c as the form counts them. The balance temperature moves by usually less than 1 K.
Cooling is turned about its own design temperature in the same way. Computed; no published method is
followed.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.building.change_point_forms import Form, seen_by
from energymodel.building.load import LoadLine
from energymodel.building.period_use import PeriodTemperatures
from energymodel.study.house.bill_load import BillLoad

_NEAREST_K = 5.0
_FARTHEST_K = 6.0
_HALVINGS = 40


def hourly_load(
    load: BillLoad,
    form: Form,
    *,
    days: PeriodTemperatures,
    hours: PeriodTemperatures,
    design_c: float,
) -> BillLoad:
    """Turn a load line of the days into one of the hours.

    Parameters
    ----------
    load
        Line from a regression, with its resamples.
    form
        How the regression counts degrees: day by day, or from the mean of a period.
    days, hours
        Temperatures of exactly the days of the metered periods, by the day and by the hour.
    design_c
        Outdoor temperature at which the load stays as it is, degC.

    Returns
    -------
    BillLoad
        Same load at the design temperature, same energy over the metered periods. Where the design
        temperature lies within 5 K of the balance temperature the slope alone is scaled.
    """
    line = load.line
    wanted = _degrees(seen_by(form, days), days.count, line.balance_c, heating=line.heating)
    weights = hours.count / 24.0
    at_hours = _degrees(hours, weights, line.balance_c, heating=line.heating)
    if not (wanted > 0 and at_hours > 0):
        return load
    if abs(line.balance_c - design_c) < _NEAREST_K:
        return _scaled(load, wanted / at_hours)
    share = wanted / abs(line.balance_c - design_c)
    moved_c = _balance(hours, weights, line, design_c, share)
    shift_k = moved_c - line.balance_c
    balances_c = load.balances_c + shift_k
    away = np.abs(load.balances_c - design_c)
    left = np.maximum(np.abs(balances_c - design_c), _NEAREST_K / 2.0)
    turned = abs(line.balance_c - design_c) / abs(moved_c - design_c)
    return replace(
        load,
        line=replace(line, balance_c=moved_c, slope_w_per_k=line.slope_w_per_k * turned),
        slopes_w_per_k=frozen(load.slopes_w_per_k * away / left),
        balances_c=frozen(balances_c),
    )


def hourly_excess(
    load: BillLoad, form: Form, *, days: PeriodTemperatures, hours: PeriodTemperatures
) -> float:
    """Heat that the line of the days would give by the hour, over what the fit gives, less one.

    Parameters
    ----------
    load, form, days, hours
        As for :func:`hourly_load`.

    Returns
    -------
    float
        0.03: three per cent more by the hour; 0 where the fit gives none.
    """
    line = load.line
    fitted = _degrees(seen_by(form, days), days.count, line.balance_c, heating=line.heating)
    by_hour = _degrees(hours, hours.count / 24.0, line.balance_c, heating=line.heating)
    return by_hour / fitted - 1.0 if fitted > 0 else 0.0


def _degrees(seen: PeriodTemperatures, days: Array, balance_c: float, *, heating: bool) -> float:
    base_c = np.array([balance_c])
    degrees = seen.degrees_below(base_c) if heating else seen.degrees_above(base_c)
    return float(degrees[0] @ days)


def _scaled(load: BillLoad, factor: float) -> BillLoad:
    line = replace(load.line, slope_w_per_k=load.line.slope_w_per_k * factor)
    return replace(load, line=line, slopes_w_per_k=frozen(load.slopes_w_per_k * factor))


def _balance(
    hours: PeriodTemperatures, days: Array, line: LoadLine, design_c: float, share: float
) -> float:
    """Balance temperature whose degree-hours are the wanted share of its distance from design."""
    outward = 1.0 if line.heating else -1.0
    near = line.balance_c - outward * _FARTHEST_K
    near = design_c + outward * max(outward * (near - design_c), _NEAREST_K / 2.0)
    far = line.balance_c + outward * _FARTHEST_K
    for _ in range(_HALVINGS):
        middle = (near + far) / 2.0
        found = _degrees(hours, days, middle, heating=line.heating) / abs(middle - design_c)
        near, far = (middle, far) if found < share else (near, middle)
    return (near + far) / 2.0
