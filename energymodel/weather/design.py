"""Design temperatures taken from a year of hours: estimates, not published design values."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.weather.year import WeatherYear

_DAY_H = 24
_TOO_MILD = Notice(
    topic="weather",
    text=(
        "These design temperatures come from a typical year, whose months were chosen to be "
        "average: its cold extremes are some 2 to 3 K too mild for sizing. Use the published "
        "design temperature of the place where there is one."
    ),
)
_ONE_YEAR = Notice(
    topic="weather",
    text=(
        "These design temperatures come from one observed year, not from the long record that "
        "published values rest on. Use the published design temperature of the place where there "
        "is one."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignTemperatures:
    """Temperatures that few hours of a year go beyond.

    Parameters
    ----------
    heating_99_6_c, heating_99_c
        Colder in 0.4 % and in 1 % of the hours, degC.
    cooling_1_c, cooling_0_4_c
        Warmer in 1 % and in 0.4 % of the hours, degC.
    coldest_24h_mean_c
        Lowest mean of 24 hours that follow each other, at any hour of the clock, degC.
    hours
        Hours with a temperature.
    notices
        What to mind when sizing from these.
    """

    heating_99_6_c: float
    heating_99_c: float
    cooling_1_c: float
    cooling_0_4_c: float
    coldest_24h_mean_c: float
    hours: int
    notices: tuple[Notice, ...] = ()


def design_temperatures(year: WeatherYear) -> DesignTemperatures:
    """Estimate design temperatures from a weather year.

    Parameters
    ----------
    year
        Complete year.

    Returns
    -------
    DesignTemperatures
        With a notice that published values come first.
    """
    notice = _TOO_MILD if year.kind == "typical" else _ONE_YEAR
    return design_temperatures_of(year.outdoor_c, notices=(notice,))


def design_temperatures_of(
    outdoor_c: Array, *, notices: tuple[Notice, ...] = ()
) -> DesignTemperatures:
    """Take design temperatures from hours.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC, nan = missing, at least 24 hours, shape (hours,).
    notices
        What the result should carry.

    Returns
    -------
    DesignTemperatures
        Linear quantiles over all hours that have a temperature.

    Raises
    ------
    InputError
        If no 24 hours that follow each other have temperatures.
    """
    known = outdoor_c[~np.isnan(outdoor_c)]
    means = _means_of_24h(outdoor_c)
    if not means.size:
        raise InputError(
            f"design temperatures cannot be taken from {known.size} hours with temperatures",
            expected="at least 24 that follow each other",
        )
    quantiles = np.quantile(known, [0.004, 0.01, 0.99, 0.996])
    return DesignTemperatures(
        heating_99_6_c=float(quantiles[0]),
        heating_99_c=float(quantiles[1]),
        cooling_1_c=float(quantiles[2]),
        cooling_0_4_c=float(quantiles[3]),
        coldest_24h_mean_c=float(means.min()),
        hours=int(known.size),
        notices=notices,
    )


def _means_of_24h(outdoor_c: Array) -> Array:
    if outdoor_c.size < _DAY_H:
        return np.empty(0)
    means: Array = np.lib.stride_tricks.sliding_window_view(outdoor_c, _DAY_H).mean(axis=1)
    return means[~np.isnan(means)]
