"""Heating and cooling degree-days by three definitions, each named in its result.

The definitions differ by up to a few per cent at cold stations and by more than half in mild
places, so a figure without its definition says little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.units import KELVIN_PER_DEGF

_HOURS = 24
BASE_65F_C = 33.0 * KELVIN_PER_DEGF
"""65 F, the usual base in the United States, degC."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DegreeDays:
    """Degree-days of one series of hours.

    Parameters
    ----------
    definition
        How they were counted: print it beside every figure.
    base_c
        Base temperature, degC.
    heating_k_day, cooling_k_day
        Sums below and above the base, K day.
    hours
        Hours with a temperature.
    """

    definition: str
    base_c: float
    heating_k_day: float
    cooling_k_day: float
    hours: int

    @property
    def heating_f_day(self) -> float:
        """Heating degree-days, F day."""
        return self.heating_k_day / KELVIN_PER_DEGF

    @property
    def cooling_f_day(self) -> float:
        """Cooling degree-days, F day."""
        return self.cooling_k_day / KELVIN_PER_DEGF


def degree_days_hourly(outdoor_c: Array, base_c: float = BASE_65F_C) -> DegreeDays:
    """Sum the differences of single hours, divided by 24.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC, nan = missing, shape (hours,).
    base_c
        Base temperature, degC.

    Returns
    -------
    DegreeDays
        Definition "hourly".

    Notes
    -----
    Hours without a temperature count nothing.

    Examples
    --------
    >>> degree_days_hourly(np.full(48, 10.0), 18.0).heating_k_day
    16.0
    """
    known = outdoor_c[~np.isnan(outdoor_c)]
    return _summed(known, base_c, definition="hourly", per_day=_HOURS, hours=known.size)


def degree_days_daily_mean(outdoor_c: Array, base_c: float = BASE_65F_C) -> DegreeDays:
    """Sum the differences of daily means.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature of whole days from midnight, degC, nan = missing, shape (24 days,).
    base_c
        Base temperature, degC.

    Returns
    -------
    DegreeDays
        Definition "daily mean".

    Raises
    ------
    InputError
        If the hours are not whole days.

    Notes
    -----
    A day's mean is that of its hours with a temperature; a day without any counts nothing.
    """
    days = _days(outdoor_c)
    return _summed(
        np.nanmean(days, axis=1),
        base_c,
        definition="daily mean",
        per_day=1,
        hours=int((~np.isnan(days)).sum()),
    )


def degree_days_max_min(outdoor_c: Array, base_c: float = BASE_65F_C) -> DegreeDays:
    """Sum the differences of the middle between each day's highest and lowest hour.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature of whole days from midnight, degC, nan = missing, shape (24 days,).
    base_c
        Base temperature, degC.

    Returns
    -------
    DegreeDays
        Definition "max and min".

    Raises
    ------
    InputError
        If the hours are not whole days.

    Notes
    -----
    From hourly values, not rounded; weather services use the true extremes and round the day's
    middle to whole degrees Fahrenheit.
    """
    days = _days(outdoor_c)
    middle = (np.nanmax(days, axis=1) + np.nanmin(days, axis=1)) / 2.0
    return _summed(
        middle,
        base_c,
        definition="max and min of the day",
        per_day=1,
        hours=int((~np.isnan(days)).sum()),
    )


def _days(outdoor_c: Array) -> Array:
    if outdoor_c.size % _HOURS:
        raise InputError(
            f"{outdoor_c.size} hours are not whole days",
            expected="24 hours for each day, the first beginning at midnight",
        )
    days = outdoor_c.reshape(-1, _HOURS)
    return days[~np.isnan(days).all(axis=1)]


def _summed(
    values_c: Array, base_c: float, *, definition: str, per_day: int, hours: int
) -> DegreeDays:
    difference = base_c - values_c
    return DegreeDays(
        definition=definition,
        base_c=base_c,
        heating_k_day=float(np.maximum(difference, 0.0).sum()) / per_day,
        cooling_k_day=float(np.maximum(-difference, 0.0).sum()) / per_day,
        hours=hours,
    )
