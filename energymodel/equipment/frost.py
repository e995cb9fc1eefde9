"""Frost on the outdoor coil: loss of steady capacity between about 45 F and the coldest hours."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.units import c_from_f

POWER_FACTOR = 0.985
"""Input with frost over input without; input35 = 0.985 x interpolated input in the federal test
procedure (quoted)."""
DEFAULT_HUMIDITY_PCT = 80.0
"""Used where a weather file has no humidity (our choice)."""
WARM_EDGE_C = c_from_f(45.0)
_OUTDOOR_C = frozen([c_from_f(t) for t in (5.0, 14.0, 23.0, 27.0, 32.0, 37.0, 41.0, 45.0)])
_FACTOR = frozen([0.95, 0.95, 0.92, 0.89, 0.86, 0.88, 0.92, 1.0])


def in_frost_band(outdoor_c: Array) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Hours in which frost can cost capacity.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC.

    Returns
    -------
    Mask
        True below 45 F.
    """
    return outdoor_c < WARM_EDGE_C


def capacity_factor(outdoor_c: Array, relative_humidity_pct: Array) -> Array:
    """Capacity with frost over steady capacity.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC.
    relative_humidity_pct
        Outdoor relative humidity, 0..100 %.

    Returns
    -------
    Array
        0.8..1, broadcast shape.

    Notes
    -----
    Piecewise linear in temperature at 85 % humidity: 45 F 1.0, 41 F 0.92, 37 F 0.88, 32 F 0.86,
    27 F 0.89, 23 F 0.92, 14 F and below 0.95; the loss is scaled by (RH - 50)/35 within 0..1.3.

    References
    ----------
    Chosen by us between three manufacturers' correction tables at 85 % humidity, which agree on
    0.85 at 32 F (published), and the federal 35 F estimate of 0.90 (quoted).
    """
    at_85 = np.interp(outdoor_c, _OUTDOOR_C, _FACTOR)
    scale = np.clip((relative_humidity_pct - 50.0) / 35.0, 0.0, 1.3)
    return np.where(outdoor_c < WARM_EDGE_C, 1.0 - (1.0 - at_85) * scale, 1.0)


def power_factor(capacity_factor: Array) -> Array:
    """Power with frost over power without.

    Parameters
    ----------
    capacity_factor
        Capacity with frost over steady capacity.

    Returns
    -------
    Array
        0.985; nearer to 1 where the capacity loses less than that, so that frost never raises
        the COP.

    References
    ----------
    input35 = 0.985 x interpolated input, federal test procedure (quoted).
    """
    return np.maximum(capacity_factor, POWER_FACTOR)
