"""Altitude: what thin air takes from heat pumps and from gas burners."""

from __future__ import annotations

from energymodel.notices import Notice
from energymodel.units import METRE_PER_FOOT

HEAT_PUMP_FACTOR = 1.0
"""Capacity multiplier of heat pumps unless the maker gives one (our choice)."""
DERATE_ABOVE_M = 600.0
_LOSS_PER_M = 0.04 / 300.0


def heat_pump_notices(
    elevation_m: float, *, factor: float = HEAT_PUMP_FACTOR
) -> tuple[Notice, ...]:
    """Return what to say about a heat pump at an elevation.

    Parameters
    ----------
    elevation_m
        Height above sea level, m.
    factor
        Capacity multiplier in use.

    Returns
    -------
    tuple of Notice
        One above 600 m where the multiplier is still 1, else none.
    """
    if elevation_m <= DERATE_ABOVE_M or factor != HEAT_PUMP_FACTOR:
        return ()
    feet = elevation_m / METRE_PER_FOOT
    text = (
        f"at {elevation_m:.0f} m ({feet:,.0f} ft) heat pumps give less than rated; no loss is "
        "counted. Enter the maker's altitude multiplier to include it."
    )
    return (Notice(topic="capacity", text=text),)


def gas_input_factor(elevation_m: float) -> float:
    """Fuel input of a gas burner at an elevation over its rated input.

    Parameters
    ----------
    elevation_m
        Height above sea level, m.

    Returns
    -------
    float
        1 up to 600 m, then 4 % less per 300 m above 600 m, in a straight line.

    References
    ----------
    Common practice, unless the plate says otherwise. Codes that count the 4 % from sea level once
    2,000 ft is passed give about 8 points less.

    Examples
    --------
    >>> gas_input_factor(1_500.0)
    0.88
    """
    return max(0.0, 1.0 - _LOSS_PER_M * max(elevation_m - DERATE_ABOVE_M, 0.0))
