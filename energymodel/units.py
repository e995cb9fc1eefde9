"""Plain unit constants and conversions; inside the package everything is SI, energy is kWh.

References
----------
IT British thermal unit: 1 Btu = 1055.05585262 J (definition, from memory). US gallon, foot,
pound: exact international definitions (from memory).
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np

from energymodel.arrays import Array

Number = TypeVar("Number", float, Array)

JOULE_PER_BTU = 1055.05585262
BTU_PER_KWH = 3.6e6 / JOULE_PER_BTU
"""3412.14163 Btu(IT) per kWh; the only kWh-Btu factor in the package."""
BTU_PER_WH = BTU_PER_KWH / 1000.0
W_PER_BTU_H = 1.0 / BTU_PER_WH
KWH_PER_MMBTU = 1.0e6 / BTU_PER_KWH
KWH_PER_THERM = 1.0e5 / BTU_PER_KWH
METRE_PER_FOOT = 0.3048
USUAL_THERM_PER_CCF = (0.9, 1.15)
"""Billing factors outside this range get a notice (common practice)."""
KG_PER_LB = 0.45359237
KELVIN_PER_DEGF = 5.0 / 9.0
HOURS_PER_DAY = 24.0
ICE_POINT_K = 273.15


def c_from_f(temperature_f: Number) -> Number:
    """Degrees Celsius from degrees Fahrenheit.

    Parameters
    ----------
    temperature_f
        Temperature, degF; scalar or array.

    Returns
    -------
    Number
        Temperature, degC, same shape.

    Examples
    --------
    >>> round(c_from_f(17.0), 3)
    -8.333
    """
    return (temperature_f - 32.0) * KELVIN_PER_DEGF


def f_from_c(temperature_c: Number) -> Number:
    """Degrees Fahrenheit from degrees Celsius.

    Parameters
    ----------
    temperature_c
        Temperature, degC; scalar or array.

    Returns
    -------
    Number
        Temperature, degF, same shape.

    Examples
    --------
    >>> f_from_c(-40.0)
    -40.0
    """
    return temperature_c * 9.0 / 5.0 + 32.0


def w_from_btu_h(heat_btu_h: Number) -> Number:
    """Watts from Btu per hour.

    Parameters
    ----------
    heat_btu_h
        Heat flow, Btu/h; scalar or array.

    Returns
    -------
    Number
        Heat flow, W, same shape.

    Examples
    --------
    >>> round(w_from_btu_h(12_000.0), 1)
    3516.9
    """
    return heat_btu_h * W_PER_BTU_H


def btu_h_from_w(heat_w: Number) -> Number:
    """Btu per hour from watts.

    Parameters
    ----------
    heat_w
        Heat flow, W; scalar or array.

    Returns
    -------
    Number
        Heat flow, Btu/h, same shape.
    """
    return heat_w * BTU_PER_WH


def whole_f(temperature_c: Array) -> Array:
    """Round each temperature to the nearest whole degree Fahrenheit, half to even.

    Parameters
    ----------
    temperature_c
        Temperature, degC.

    Returns
    -------
    Array
        Temperature, whole degF, same shape.

    Notes
    -----
    Files of Fahrenheit origin store 40 F as 4.4 degC = 39.92 F; rounding brings the hour back to
    the degree that was observed.
    """
    return np.rint(f_from_c(temperature_c))
