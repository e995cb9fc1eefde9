"""Effect of the indoor temperature on capacity and input of heat pumps and air conditioners."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.single_speed import (
    COOLING_CAPACITY,
    HEAT_PUMP_COOLING_EIR,
    HEATING_CAPACITY,
    HEATING_EIR,
    RATED_COOLING_WET_BULB_F,
    RATED_HEATING_INDOOR_F,
    Biquadratic,
)
from energymodel.errors import EquipmentError
from energymodel.psychrometrics import wet_bulb_c
from energymodel.units import f_from_c

VALID_F = (60.0, 80.0)
VALID_WET_BULB_F = (60.0, 72.0)
DEFAULT_INDOOR_HUMIDITY_PCT = 50.0
"""Indoor relative humidity while cooling (common practice)."""


def heating_factors(indoor_c: float, outdoor_c: Array) -> tuple[Array, Array]:
    """Capacity and power at an indoor temperature over those at 70 F indoors.

    Parameters
    ----------
    indoor_c
        Indoor set-point, degC; held at 60 F and 80 F outside that range.
    outdoor_c
        Outdoor temperature, degC; held at -10 F and 65 F outside that range.

    Returns
    -------
    capacity_factor, power_factor : Array
        Same shape as `outdoor_c`; both 1 at 70 F.

    References
    ----------
    NREL/TP-5500-56354, normalised biquadratic curves of a single-speed heat pump (quoted); used
    for every heat pump as a ratio to its value at 70 F.
    """
    indoor_f = float(np.clip(f_from_c(indoor_c), *VALID_F))
    outdoor_f = np.clip(f_from_c(outdoor_c), -10.0, 65.0)
    capacity = _ratio(HEATING_CAPACITY, indoor_f, RATED_HEATING_INDOOR_F, outdoor_f)
    return capacity, capacity * _ratio(HEATING_EIR, indoor_f, RATED_HEATING_INDOOR_F, outdoor_f)


def _ratio(curve: Biquadratic, indoor_f: float, rated_f: float, outdoor_f: Array) -> Array:
    if indoor_f == rated_f:
        return np.ones_like(outdoor_f)
    return curve(indoor_f, outdoor_f) / curve(rated_f, outdoor_f)


@lru_cache(maxsize=64)
def _wet_bulb_f(indoor_c: float, relative_humidity_pct: float) -> float:
    """Wet bulb inside the range of the curves; the same few rooms are asked for again and again."""
    wet_bulb_f = f_from_c(float(wet_bulb_c(indoor_c, relative_humidity_pct)))
    return float(np.clip(wet_bulb_f, *VALID_WET_BULB_F))


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingIndoor:
    """Capacity and power of cooling at the room's wet bulb over those at 67 F wet bulb.

    Parameters
    ----------
    relative_humidity_pct
        Indoor relative humidity, %.

    References
    ----------
    NREL/TP-5500-56354, normalised biquadratic curves of a single-speed heat pump in cooling
    (quoted); used for every unit as a ratio to its value at 67 F wet bulb.

    Examples
    --------
    >>> capacity, power = CoolingIndoor()(24.0, np.array([35.0]))
    >>> capacity.round(3).tolist(), power.round(3).tolist()
    ([0.943], [0.996])
    """

    relative_humidity_pct: float = DEFAULT_INDOOR_HUMIDITY_PCT

    def __post_init__(self) -> None:
        if not 0.0 < self.relative_humidity_pct <= 100.0:
            raise EquipmentError(
                f"an indoor humidity of {self.relative_humidity_pct:g} %",
                expected="above 0 % and at most 100 %; 50 % is usual",
            )

    def __call__(self, indoor_c: float, outdoor_c: Array) -> tuple[Array, Array]:
        """Evaluate the factors.

        Parameters
        ----------
        indoor_c
            Indoor set-point, degC.
        outdoor_c
            Outdoor temperature, degC; held at 65 F and 115 F outside that range.

        Returns
        -------
        capacity_factor, power_factor : Array
            Same shape as `outdoor_c`.

        Notes
        -----
        The wet bulb (sea level) is held at 60 F and 72 F outside that range: below about 60 F the
        curves turn round, which is where a real coil stays dry and the capacity stops falling.
        """
        wet_bulb_f = _wet_bulb_f(indoor_c, self.relative_humidity_pct)
        outdoor_f = np.clip(f_from_c(outdoor_c), 65.0, 115.0)
        rated = RATED_COOLING_WET_BULB_F
        capacity = _ratio(COOLING_CAPACITY, wet_bulb_f, rated, outdoor_f)
        return capacity, capacity * _ratio(HEAT_PUMP_COOLING_EIR, wet_bulb_f, rated, outdoor_f)
