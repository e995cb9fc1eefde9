"""Moist air: saturation, humidity ratio, wet bulb, dew point.

Everything is in SI units and takes arrays as well as single numbers.

References
----------
ASHRAE Handbook Fundamentals 2017, chapter 1: equations 3 (standard pressure), 5 and 6 (saturation
pressure over ice and over water), 20 (humidity ratio), 22 (relative humidity), 33 and 35 (wet bulb
above and below freezing); constants from memory, checked against psychrolib 2.5.0.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.units import ICE_POINT_K

STANDARD_PRESSURE_PA = 101_325.0
TRIPLE_POINT_C = 0.01
_MOLAR_RATIO = 0.621945
_COLDEST_C, _WARMEST_C = -100.0, 200.0
_BISECTIONS = 50


def standard_pressure_pa(altitude_m: ArrayLike) -> Array:
    """Return the standard atmospheric pressure at an altitude.

    Parameters
    ----------
    altitude_m
        Height above sea level, m, any shape.

    Returns
    -------
    Array
        Pressure, Pa, same shape.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equation 3.
    """
    height = np.asarray(altitude_m, dtype=np.float64)
    return np.asarray(STANDARD_PRESSURE_PA * (1.0 - 2.25577e-5 * height) ** 5.2559)


def saturation_pressure_pa(temperature_c: ArrayLike) -> Array:
    """Return the pressure of saturated water vapour, over ice below the triple point.

    Parameters
    ----------
    temperature_c
        Temperature, degC, -100..200, any shape.

    Returns
    -------
    Array
        Pressure, Pa, same shape.

    Raises
    ------
    InputError
        If a temperature is outside the range of the equations.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 5 (ice) and 6 (water).

    Examples
    --------
    >>> round(float(saturation_pressure_pa(20.0)), 1)
    2338.8
    """
    celsius = np.asarray(temperature_c, dtype=np.float64)
    if ((celsius < _COLDEST_C) | (celsius > _WARMEST_C)).any():
        raise InputError(
            "a temperature is outside the range of the saturation equations",
            expected=f"{_COLDEST_C:g} to {_WARMEST_C:g} degC",
        )
    kelvin = celsius + ICE_POINT_K
    ice = (
        -5.6745359e3 / kelvin
        + 6.3925247
        + kelvin * (-9.677843e-3 + kelvin * (6.2215701e-7 + kelvin * 2.0747825e-9))
        - 9.484024e-13 * kelvin**4
        + 4.1635019 * np.log(kelvin)
    )
    water = (
        -5.8002206e3 / kelvin
        + 1.3914993
        + kelvin * (-4.8640239e-2 + kelvin * (4.1764768e-5 - kelvin * 1.4452093e-8))
        + 6.5459673 * np.log(kelvin)
    )
    return np.exp(np.where(celsius < TRIPLE_POINT_C, ice, water))


def humidity_ratio(
    temperature_c: ArrayLike,
    relative_humidity_pct: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Array:
    """Return the mass of water vapour per mass of dry air.

    Parameters
    ----------
    temperature_c
        Dry-bulb temperature, degC, any shape.
    relative_humidity_pct
        Relative humidity, %, 0..100.
    pressure_pa
        Air pressure, Pa.

    Returns
    -------
    Array
        Humidity ratio, kg/kg.

    Raises
    ------
    InputError
        If a humidity is outside 0..100 % or the air would be boiling.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 20 and 22.

    Examples
    --------
    >>> round(float(humidity_ratio(20.0, 50.0)), 7)
    0.0072617
    """
    share = _humidity_share(relative_humidity_pct)
    return _ratio_of_vapour(share * saturation_pressure_pa(temperature_c), pressure_pa)


def humidity_ratio_from_wet_bulb(
    temperature_c: ArrayLike,
    wet_bulb_c: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Array:
    """Return the humidity ratio of air whose wet bulb is known.

    Parameters
    ----------
    temperature_c
        Dry-bulb temperature, degC, any shape.
    wet_bulb_c
        Wet-bulb temperature, degC, not above the dry bulb; iced bulb below 0 degC.
    pressure_pa
        Air pressure, Pa.

    Returns
    -------
    Array
        Humidity ratio, kg/kg; negative where the wet bulb is too low to be possible.

    Raises
    ------
    InputError
        If a wet bulb is above its dry bulb.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 33 (wet bulb) and 35 (iced bulb).
    """
    dry = np.asarray(temperature_c, dtype=np.float64)
    wet = np.asarray(wet_bulb_c, dtype=np.float64)
    if (wet > dry).any():
        raise InputError("a wet-bulb temperature is above its dry-bulb temperature")
    saturated = _ratio_of_vapour(saturation_pressure_pa(wet), pressure_pa)
    above = ((2501.0 - 2.326 * wet) * saturated - 1.006 * (dry - wet)) / (
        2501.0 + 1.86 * dry - 4.186 * wet
    )
    below = ((2830.0 - 0.24 * wet) * saturated - 1.006 * (dry - wet)) / (
        2830.0 + 1.86 * dry - 2.1 * wet
    )
    return np.where(wet >= 0.0, above, below)


def relative_humidity_from_wet_bulb_pct(
    temperature_c: ArrayLike,
    wet_bulb_c: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Array:
    """Return the relative humidity of air whose wet bulb is known.

    Parameters
    ----------
    temperature_c
        Dry-bulb temperature, degC, any shape.
    wet_bulb_c
        Wet-bulb temperature, degC, not above the dry bulb.
    pressure_pa
        Air pressure, Pa.

    Returns
    -------
    Array
        Relative humidity, %, never below 0.

    Raises
    ------
    InputError
        If a wet bulb is above its dry bulb.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 20, 22, 33 and 35.

    Examples
    --------
    >>> round(float(relative_humidity_from_wet_bulb_pct(35.0, 23.889)), 1)
    39.8
    """
    ratio = np.maximum(humidity_ratio_from_wet_bulb(temperature_c, wet_bulb_c, pressure_pa), 0.0)
    vapour = np.asarray(pressure_pa) * ratio / (_MOLAR_RATIO + ratio)
    return np.asarray(100.0 * vapour / saturation_pressure_pa(temperature_c))


def dew_point_c(temperature_c: ArrayLike, relative_humidity_pct: ArrayLike) -> Array:
    """Return the temperature at which the vapour in the air is saturated (frost point below 0).

    Parameters
    ----------
    temperature_c
        Dry-bulb temperature, degC, any shape.
    relative_humidity_pct
        Relative humidity, %, 0..100.

    Returns
    -------
    Array
        Dew point, degC; -100 where the air is dry beyond the equations.

    Raises
    ------
    InputError
        If a humidity is outside 0..100 %.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 5 and 6, solved for the temperature.

    Examples
    --------
    >>> round(float(dew_point_c(20.0, 50.0)), 2)
    9.27
    """
    vapour = _humidity_share(relative_humidity_pct) * saturation_pressure_pa(temperature_c)
    return _bisected(
        lambda trial: saturation_pressure_pa(trial) - vapour,
        np.full(vapour.shape, _COLDEST_C),
        np.broadcast_to(np.asarray(temperature_c, dtype=np.float64), vapour.shape),
        known=~np.isnan(vapour),
    )


def wet_bulb_c(
    temperature_c: ArrayLike,
    relative_humidity_pct: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> Array:
    """Return the thermodynamic wet-bulb temperature.

    Parameters
    ----------
    temperature_c
        Dry-bulb temperature, degC, any shape.
    relative_humidity_pct
        Relative humidity, %, 0..100.
    pressure_pa
        Air pressure, Pa.

    Returns
    -------
    Array
        Wet-bulb temperature, degC, between dew point and dry bulb; nan where an input is nan.

    Raises
    ------
    InputError
        If a humidity is outside 0..100 %.

    Notes
    -----
    Bisection between dew point and dry bulb. At 0 degC the branches for water and ice meet with a
    jump of about 0.3 K: within half a degree of it the wet bulb is uncertain by that much.

    References
    ----------
    ASHRAE Handbook Fundamentals 2017, chapter 1, equations 33 and 35, solved for the wet bulb.

    Examples
    --------
    >>> round(float(wet_bulb_c(20.0, 50.0)), 2)
    13.78
    """
    ratio = humidity_ratio(temperature_c, relative_humidity_pct, pressure_pa)
    dry = np.broadcast_to(np.asarray(temperature_c, dtype=np.float64), ratio.shape)
    low = np.broadcast_to(dew_point_c(temperature_c, relative_humidity_pct), ratio.shape)
    return _bisected(
        lambda trial: humidity_ratio_from_wet_bulb(dry, trial, pressure_pa) - ratio,
        low,
        dry,
        known=~np.isnan(ratio),
    )


def _humidity_share(relative_humidity_pct: ArrayLike) -> Array:
    humidity = np.asarray(relative_humidity_pct, dtype=np.float64)
    if ((humidity < 0.0) | (humidity > 100.0)).any():
        raise InputError("a relative humidity is impossible", expected="0 to 100 %")
    return np.asarray(humidity / 100.0)


def _ratio_of_vapour(vapour_pa: Array, pressure_pa: ArrayLike) -> Array:
    pressure = np.asarray(pressure_pa, dtype=np.float64)
    if (vapour_pa >= pressure).any():
        raise InputError(
            "the vapour pressure exceeds the air pressure",
            expected="air below its boiling point, pressure in Pa",
        )
    return np.asarray(_MOLAR_RATIO * vapour_pa / (pressure - vapour_pa))


def _bisected(excess: Callable[[Array], Array], low: Array, high: Array, *, known: Array) -> Array:
    """Find where a rising function is zero, for all elements at once."""
    low, high = np.where(known, low, 0.0), np.where(known, high, 0.0)
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        above = excess(middle) > 0.0
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    return np.where(known, 0.5 * (low + high), np.nan)
