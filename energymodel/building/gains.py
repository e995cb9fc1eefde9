"""Heat that a room gets without heating: people, appliances, lights."""

from __future__ import annotations

from energymodel.errors import InputError
from energymodel.units import HOURS_PER_DAY, METRE_PER_FOOT, w_from_btu_h

PERSON_SENSIBLE_W = w_from_btu_h(230.0)
"""Sensible heat of one person at rest: 230 Btu/h (from memory)."""


def gains_by_count_w(
    *, people: float = 0.0, hours_present_per_day: float = HOURS_PER_DAY, equipment_w: float = 0.0
) -> float:
    """Mean gain from people and from equipment.

    Parameters
    ----------
    people
        Number of people while present.
    hours_present_per_day
        Hours per day in which they are there.
    equipment_w
        Mean power of appliances and lights in the room, W.

    Returns
    -------
    float
        Mean sensible gain, W.

    Raises
    ------
    InputError
        If a value is negative or a day has more than 24 hours.

    Examples
    --------
    >>> round(gains_by_count_w(people=2.0, hours_present_per_day=12.0, equipment_w=100.0))
    167
    """
    if not (people >= 0 and equipment_w >= 0 and 0 <= hours_present_per_day <= HOURS_PER_DAY):
        raise InputError(
            f"{people:g} people for {hours_present_per_day:g} h a day with {equipment_w:g} W",
            expected="0 or more, and 0 to 24 hours",
        )
    return people * PERSON_SENSIBLE_W * hours_present_per_day / HOURS_PER_DAY + equipment_w


def gains_by_area_w(*, floor_area_m2: float, gain_w_per_m2: float) -> float:
    """Mean gain from a density.

    Parameters
    ----------
    floor_area_m2
        Floor area, m2.
    gain_w_per_m2
        Mean gain, W/m2.

    Returns
    -------
    float
        W.

    Raises
    ------
    InputError
        If a value is negative.
    """
    if not (floor_area_m2 >= 0 and gain_w_per_m2 >= 0):
        raise InputError(
            f"a gain of {gain_w_per_m2:g} W/m2 on {floor_area_m2:g} m2", expected="0 or more"
        )
    return floor_area_m2 * gain_w_per_m2


def reference_home_gains_w(*, floor_area_m2: float, bedrooms: int) -> float:
    """Mean internal gain of a reference home.

    Parameters
    ----------
    floor_area_m2
        Floor area, m2.
    bedrooms
        Number of bedrooms.

    Returns
    -------
    float
        W: (17,900 + 23.8 x floor ft2 + 4,104 x bedrooms) Btu per day, from memory.

    Examples
    --------
    >>> from energymodel.units import btu_h_from_w
    >>> round(btu_h_from_w(reference_home_gains_w(floor_area_m2=185.806, bedrooms=3)), -1)
    3240.0
    """
    floor_ft2 = floor_area_m2 / METRE_PER_FOOT**2
    return w_from_btu_h((17_900.0 + 23.8 * floor_ft2 + 4_104.0 * bedrooms) / HOURS_PER_DAY)
