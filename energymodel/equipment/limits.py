"""Is a performance map possible? What physics and trade practice refuse or question."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import Function, PerformanceMap, SpeedCurve
from energymodel.errors import EquipmentError
from energymodel.notices import Notice
from energymodel.units import BTU_PER_WH, ICE_POINT_K, btu_h_from_w, c_from_f, f_from_c

CARNOT_REFUSED = 0.70
CARNOT_QUESTIONED = 0.60
"""Second-law efficiency at the kindest approaches (our choice)."""
RATED_RISE_ALLOWED = 1.03
"""Rated or single-speed heating capacity may rise this much with cold (our choice)."""
COP_QUESTIONED = 8.0
EER_QUESTIONED = 5.0
RATED_INDOOR_HEATING_C = c_from_f(70.0)
RATED_INDOOR_COOLING_C = c_from_f(80.0)
SMALLEST_LIFT_K = 10.0
_HEATING_APPROACH_K = (8.0, 4.0)
_COOLING_APPROACH_K = (10.0, 5.0)
_ROUNDING = 1e-9


def carnot_heating(outdoor_c: Array, *, condenser_k: float, evaporator_k: float) -> Array:
    """Carnot COP of heating at 70 F indoors, between refrigerant temperatures.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC.
    condenser_k
        Condensing above indoor temperature, K: 8 at the least, 20 at full speed.
    evaporator_k
        Outdoor above evaporating temperature, K: 4 at the least, 10 at full speed.

    Returns
    -------
    Array
        T_c / (T_c - T_e), with a lift of at least 10 K.

    References
    ----------
    Approaches: common practice.

    Examples
    --------
    >>> at_47_f = np.array([c_from_f(47.0)])
    >>> carnot_heating(at_47_f, condenser_k=15.0, evaporator_k=8.0).round(2).tolist()
    [8.64]
    """
    condensing_c = RATED_INDOOR_HEATING_C + condenser_k
    lift = np.maximum(condensing_c - (outdoor_c - evaporator_k), SMALLEST_LIFT_K)
    return (condensing_c + ICE_POINT_K) / lift


def carnot_cooling(outdoor_c: Array, *, condenser_k: float, evaporator_k: float) -> Array:
    """Carnot COP of cooling at 80 F indoors, between refrigerant temperatures.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC.
    condenser_k
        Condensing above outdoor temperature, K: 5 at the least, 15 at full speed.
    evaporator_k
        Indoor above evaporating temperature, K: 10 at the least, 18 at full speed.

    Returns
    -------
    Array
        T_e / (T_c - T_e), with a lift of at least 10 K.
    """
    evaporating_c = RATED_INDOOR_COOLING_C - evaporator_k
    lift = np.maximum(outdoor_c + condenser_k - evaporating_c, SMALLEST_LIFT_K)
    return (evaporating_c + ICE_POINT_K) / lift


def kindest_carnot(function: Function, outdoor_c: Array) -> Array:
    """Carnot COP at the closest approaches that a real unit reaches.

    Parameters
    ----------
    function
        Heating or cooling.
    outdoor_c
        Outdoor temperature, degC.

    Returns
    -------
    Array
        Upper bound before any second-law efficiency.
    """
    if function is Function.HEATING:
        condenser, evaporator = _HEATING_APPROACH_K
        return carnot_heating(outdoor_c, condenser_k=condenser, evaporator_k=evaporator)
    evaporator, condenser = _COOLING_APPROACH_K
    return carnot_cooling(outdoor_c, condenser_k=condenser, evaporator_k=evaporator)


def check_map(performance: PerformanceMap) -> tuple[Notice, ...]:
    """Refuse an impossible map and question a doubtful one.

    Parameters
    ----------
    performance
        The map as tested, before any site factor.

    Returns
    -------
    tuple of Notice
        What was accepted and deserves a look.

    Raises
    ------
    EquipmentError
        If, between tested points, a capacity lies above or a power below that of the next speed
        up; if the heating capacity of the rated or the only speed rises with cold by more than
        3 %; or if an efficiency is above 0.70 of Carnot at the kindest approaches. All faults
        found stand in one message.
    """
    faults: list[str] = []
    notices: list[Notice] = []
    for lower, higher in pairwise(performance.speeds):
        faults.extend(_crossings(lower, higher))
    if performance.function is Function.HEATING:
        _check_rise(performance, faults, notices)
    for speed in performance.speeds:
        _check_second_law(performance.function, speed, faults, notices)
        notices.extend(_questions(performance.function, speed))
    if faults:
        raise EquipmentError(
            f"the {performance.function.value} table is impossible: " + "; ".join(faults),
            remedy="compare the points with the maker's table; swapped rows, an EER in place of a "
            "COP and a wrong unit are the usual causes",
        )
    return tuple(notices)


def _at(outdoor_c: float) -> str:
    return f"at {f_from_c(outdoor_c):.0f} F ({outdoor_c:.1f} C)"


def _shared_temperatures(lower: SpeedCurve, higher: SpeedCurve) -> Array:
    """Points of both speeds where both are tested; straight lines cannot cross elsewhere first."""
    # a plain set: numpy's own union imports its masked arrays first
    points = np.array(sorted({*lower.points[:, 0].tolist(), *higher.points[:, 0].tolist()}))
    coldest = max(lower.coldest_c, higher.coldest_c)
    warmest = min(lower.warmest_c, higher.warmest_c)
    return points[(points >= coldest) & (points <= warmest)]


def _crossings(lower: SpeedCurve, higher: SpeedCurve) -> list[str]:
    outdoor_c = _shared_temperatures(lower, higher)
    faults: list[str] = []
    for what, low, high in (
        ("capacity", lower.capacity_w(outdoor_c), higher.capacity_w(outdoor_c)),
        ("power", lower.power_w(outdoor_c), higher.power_w(outdoor_c)),
    ):
        faults.extend(
            f"{what} of speed {lower.name!r} {_at(t)} is {a:.0f} W, above the {b:.0f} W of "
            f"speed {higher.name!r}"
            for t, a, b in zip(outdoor_c, low, high, strict=True)
            if a > b * (1.0 + _ROUNDING)
        )
    return faults


def _check_rise(performance: PerformanceMap, faults: list[str], notices: list[Notice]) -> None:
    for speed in performance.speeds:
        outdoor_c, capacity_w = speed.points[:, 0], speed.points[:, 1]
        least_warmer = np.minimum.accumulate(capacity_w[::-1])[::-1]
        rise = capacity_w / least_warmer
        worst = int(np.argmax(rise))
        if rise[worst] <= 1.0 + _ROUNDING:
            continue
        warm = worst + int(np.argmin(capacity_w[worst:]))
        text = (
            f"capacity of speed {speed.name!r} is {_heat(capacity_w[worst])} "
            f"{_at(outdoor_c[worst])}, more than the {_heat(capacity_w[warm])} "
            f"{_at(outdoor_c[warm])}"
        )
        if len(performance.speeds) > 1 and speed.name != "rated":
            notices.append(
                Notice(
                    topic="capacity",
                    text=f"{text}. Inverters can do this at their limits; check the table.",
                )
            )
        elif rise[worst] > RATED_RISE_ALLOWED:
            faults.append(f"{text}, by {rise[worst] - 1.0:.1%}; at most 3 % is possible")


def _heat(capacity_w: float) -> str:
    return f"{btu_h_from_w(capacity_w) / 1000.0:.1f} kBtu/h ({capacity_w / 1000.0:.2f} kW)"


def _check_second_law(
    function: Function, speed: SpeedCurve, faults: list[str], notices: list[Notice]
) -> None:
    outdoor_c = speed.points[:, 0]
    cop = speed.points[:, 1] / speed.points[:, 2]
    carnot = kindest_carnot(function, outdoor_c)
    for t, value, bound in zip(outdoor_c, cop, carnot, strict=True):
        text = f"COP {value:.2f} (EER {value * BTU_PER_WH:.1f}) of speed {speed.name!r} {_at(t)}"
        if value > CARNOT_REFUSED * bound:
            limit = CARNOT_REFUSED * bound
            faults.append(f"{text} is above {limit:.2f}, {CARNOT_REFUSED:.0%} of the Carnot limit")
        elif value > CARNOT_QUESTIONED * bound:
            limit = CARNOT_QUESTIONED * bound
            notices.append(
                Notice(
                    topic="efficiency",
                    text=f"{text} is above {limit:.2f}, {CARNOT_QUESTIONED:.0%} of the Carnot "
                    "limit; few units reach that. Check the table.",
                )
            )


def _questions(function: Function, speed: SpeedCurve) -> list[Notice]:
    """Heating efficiencies are given as COP and cooling ones as EER; a mix-up shows in the size."""
    cop = speed.points[:, 1] / speed.points[:, 2]
    if function is Function.HEATING:
        odd = cop > COP_QUESTIONED
        text = "COP {:.1f} of speed {!r} {} is above 8: is this an EER?"
        shown = cop
    else:
        shown = cop * BTU_PER_WH
        odd = shown < EER_QUESTIONED
        text = "EER {:.1f} of speed {!r} {} is below 5: is this a COP?"
    return [
        Notice(topic="efficiency", text=text.format(value, speed.name, _at(t)))
        for t, value, question in zip(speed.points[:, 0], shown, odd, strict=True)
        if question
    ]
