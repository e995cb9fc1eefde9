"""Maps of single-speed units from their plate: air conditioners and packaged heat pumps.

The published curve shapes are gross. A map is net as rated, so the plate values are turned into
gross ones with the rated indoor fan, taken along the curves, and turned back. The one
approximation is the fan power itself, which plates do not give: the power per air flow that is
published with the curves, at 400 cfm per 12 kBtu/h gross.
"""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.equipment.curves import Frost, Function, PerformanceMap, TablePoint, map_from_table
from energymodel.equipment.single_speed import (
    AIR_CONDITIONER_EIR,
    CFM_PER_BTU_H,
    COOLING_CAPACITY,
    EFFICIENT_FAN_W_PER_CFM,
    FAN_W_PER_CFM,
    HEAT_PUMP_COOLING_EIR,
    RATED_COOLING_OUTDOOR_F,
    RATED_COOLING_WET_BULB_F,
    Biquadratic,
    heating_table,
    relative_to,
)
from energymodel.errors import EquipmentError
from energymodel.units import BTU_PER_WH, btu_h_from_w, c_from_f

SPEED = "full"
DEFAULT_CD_COOLING = 0.20
"""Default of the federal procedure for single-speed cooling since 2016 (from memory)."""
DEFAULT_CD_HEATING = 0.25
"""Default of the federal procedure for heating (from memory)."""
PORTABLE_AIR_EXCHANGE_FACTOR = 0.725
"""Capacity of a portable unit in the room over its plate: the outdoor air that it draws in takes
20 % to 35 % (common practice); the middle of the band."""
COOLING_HOURS = 750.0
STANDBY_HOURS = 5_115.0
_OUTDOOR_F = frozen([65.0, 70.0, 75.0, 80.0, 82.0, 85.0, 90.0, 95.0, 100.0, 105.0, 110.0, 115.0])


def rated_fan_w(capacity_w: float, *, w_per_cfm: float = FAN_W_PER_CFM) -> float:
    """Power of the indoor fan inside the rating.

    Parameters
    ----------
    capacity_w
        Rated net cooling capacity, W.
    w_per_cfm
        Fan power per air flow, W per cfm.

    Returns
    -------
    float
        W.

    Notes
    -----
    400 cfm go with 12 kBtu/h of gross capacity, which is the net one plus the fan itself.

    Examples
    --------
    >>> from energymodel.units import w_from_btu_h
    >>> round(rated_fan_w(w_from_btu_h(36_000.0)), 1)
    457.0
    """
    w_per_btu_h = CFM_PER_BTU_H * w_per_cfm
    return btu_h_from_w(capacity_w) * w_per_btu_h / (1.0 - w_per_btu_h * BTU_PER_WH)


def net_cooling(
    capacity_w: float, power_w: float, *, fan_w: float, eir: Biquadratic, outdoor_f: Array
) -> tuple[Array, Array]:
    """Net capacity and power of a single-speed unit along the gross curves.

    Parameters
    ----------
    capacity_w, power_w
        Net rated capacity and total power at 95 F outdoors, 67 F wet bulb indoors, W.
    fan_w
        Indoor fan inside the rating, W.
    eir
        Curve of input over output.
    outdoor_f
        Outdoor temperature, degF.

    Returns
    -------
    capacity_w, power_w : Array
        W, net; the rated values at 95 F.

    Raises
    ------
    EquipmentError
        If the fan takes more than the unit's power.
    """
    if not 0.0 <= fan_w < power_w:
        raise EquipmentError(
            f"an indoor fan of {fan_w:.0f} W in a unit of {power_w:.0f} W",
            expected="a fan of 0 W or more, smaller than the unit's power",
        )
    wet_bulb, rated = RATED_COOLING_WET_BULB_F, RATED_COOLING_OUTDOOR_F
    ratio = relative_to(COOLING_CAPACITY, wet_bulb, outdoor_f, rated_f=rated)
    gross_capacity = (capacity_w + fan_w) * ratio
    gross_power = (power_w - fan_w) * ratio * relative_to(eir, wet_bulb, outdoor_f, rated_f=rated)
    return gross_capacity - fan_w, gross_power + fan_w


def _cooling_map(
    capacity_w: float, eer: float, *, fan_w: float, eir: Biquadratic, cd: float, given: float = 1.0
) -> PerformanceMap:
    if not (capacity_w > 0 and eer > 0):
        raise EquipmentError(
            f"a cooling capacity of {capacity_w:g} W at EER {eer:g}", expected="both above 0"
        )
    power_w = capacity_w * BTU_PER_WH / eer
    capacity, power = net_cooling(capacity_w, power_w, fan_w=fan_w, eir=eir, outdoor_f=_OUTDOOR_F)
    points = [
        TablePoint(speed=SPEED, outdoor_c=float(t), capacity_w=float(q * given), power_w=float(p))
        for t, q, p in zip(c_from_f(_OUTDOOR_F), capacity, power, strict=True)
    ]
    return map_from_table(points, function=Function.COOLING, frost=Frost.INCLUDED, cd=cd)


def central_air_conditioner(
    capacity_w: float, *, eer: float, fan_w: float | None = None, cd: float = DEFAULT_CD_COOLING
) -> PerformanceMap:
    """Map of a single-speed central air conditioner.

    Parameters
    ----------
    capacity_w
        Rated net cooling capacity at 95 F, W.
    eer
        EER or EER2 at 95 F, Btu/Wh. The map is net at the duct pressure of that rating.
    fan_w
        Indoor fan inside the rating, W; by default 0.365 W per cfm at 400 cfm per 12 kBtu/h gross.
    cd
        Degradation coefficient.

    Returns
    -------
    PerformanceMap
        One speed, points every 5 F from 65 F to 115 F.

    References
    ----------
    NREL/TP-5500-56354, air-conditioner curves (quoted), net as described above.
    """
    fan = rated_fan_w(capacity_w) if fan_w is None else fan_w
    return _cooling_map(capacity_w, eer, fan_w=fan, eir=AIR_CONDITIONER_EIR, cd=cd)


def room_air_conditioner(
    capacity_w: float, *, eer: float, cd: float = DEFAULT_CD_COOLING
) -> PerformanceMap:
    """Map of a window or through-wall room air conditioner.

    Parameters
    ----------
    capacity_w
        Rated cooling capacity at 95 F, W.
    eer
        EER at 95 F, Btu/Wh; from a CEER by :func:`eer_from_ceer`.
    cd
        Degradation coefficient; room units are not tested for it (common practice).

    Returns
    -------
    PerformanceMap
        One speed. The indoor fan has no ducts: 0.14 W per cfm (our choice).
    """
    fan = rated_fan_w(capacity_w, w_per_cfm=EFFICIENT_FAN_W_PER_CFM)
    return _cooling_map(capacity_w, eer, fan_w=fan, eir=AIR_CONDITIONER_EIR, cd=cd)


def portable_air_conditioner(
    capacity_w: float,
    *,
    eer: float,
    air_exchange_factor: float = PORTABLE_AIR_EXCHANGE_FACTOR,
    cd: float = DEFAULT_CD_COOLING,
) -> PerformanceMap:
    """Map of a portable air conditioner with a hose to the window.

    Parameters
    ----------
    capacity_w, eer
        Plate capacity, W, and EER, Btu/Wh, at 95 F, without the air drawn in from outdoors.
    air_exchange_factor
        Capacity left in the room after the air that the hose blows out has been replaced; power
        is unchanged. 1.0 where the plate capacity is seasonally adjusted (SACC) and contains it.
    cd
        Degradation coefficient.

    Returns
    -------
    PerformanceMap
        One speed, capacity as it reaches the room.
    """
    if not 0.3 <= air_exchange_factor <= 1.0:
        raise EquipmentError(
            f"an air exchange factor of {air_exchange_factor:g}", expected="0.3 to 1.0"
        )
    fan = rated_fan_w(capacity_w, w_per_cfm=EFFICIENT_FAN_W_PER_CFM)
    return _cooling_map(
        capacity_w, eer, fan_w=fan, eir=AIR_CONDITIONER_EIR, cd=cd, given=air_exchange_factor
    )


def heat_pump_cooling(
    capacity_w: float, *, eer: float, fan_w: float | None = None, cd: float = DEFAULT_CD_COOLING
) -> PerformanceMap:
    """Cooling map of a single-speed heat pump, split or packaged through the wall.

    Parameters
    ----------
    capacity_w
        Rated net cooling capacity at 95 F, W.
    eer
        EER or EER2 at 95 F, Btu/Wh.
    fan_w
        Indoor fan inside the rating, W; by default that of a ducted unit. A packaged unit without
        ducts: ``rated_fan_w(capacity_w, w_per_cfm=EFFICIENT_FAN_W_PER_CFM)``.
    cd
        Degradation coefficient.

    Returns
    -------
    PerformanceMap
        One speed.

    References
    ----------
    NREL/TP-5500-56354, heat-pump cooling curves (quoted), net as described above.
    """
    fan = rated_fan_w(capacity_w) if fan_w is None else fan_w
    return _cooling_map(capacity_w, eer, fan_w=fan, eir=HEAT_PUMP_COOLING_EIR, cd=cd)


def heat_pump_heating(
    capacity_w: float, *, cop: float, cd: float = DEFAULT_CD_HEATING
) -> PerformanceMap:
    """Heating map of a single-speed heat pump.

    Parameters
    ----------
    capacity_w
        Rated net heating capacity at 47 F, W.
    cop
        Net COP at 47 F.
    cd
        Degradation coefficient.

    Returns
    -------
    PerformanceMap
        One speed, -10 F to 65 F, steady: frost is not in it.

    References
    ----------
    Ratios of :func:`energymodel.equipment.single_speed.heating_table`, taken as they stand: the
    table does not say whether the indoor fan is inside its power.
    """
    if not (capacity_w > 0 and cop > 0):
        raise EquipmentError(
            f"a heating capacity of {capacity_w:g} W at COP {cop:g}", expected="both above 0"
        )
    points = [
        TablePoint(
            speed=SPEED,
            outdoor_c=float(t),
            capacity_w=float(capacity_w * q),
            power_w=float(capacity_w / cop * p),
        )
        for t, q, p in heating_table()
    ]
    return map_from_table(points, function=Function.HEATING, frost=Frost.STEADY, cd=cd)


def eer_from_ceer(ceer: float, *, capacity_w: float, standby_w: float) -> float:
    """EER of a room air conditioner from its combined efficiency.

    Parameters
    ----------
    ceer
        Combined energy efficiency ratio, Btu/Wh: standby energy is in it.
    capacity_w
        Rated cooling capacity, W.
    standby_w
        Standby power, W; about 1 W to 2 W (common practice).

    Returns
    -------
    float
        EER, Btu/Wh, without standby.

    References
    ----------
    10 CFR 430 Subpart B, Appendix F: 750 h of cooling, 5,115 h of standby a year (from memory).

    Examples
    --------
    >>> from energymodel.units import w_from_btu_h
    >>> round(eer_from_ceer(10.9, capacity_w=w_from_btu_h(8_000.0), standby_w=1.5), 2)
    11.05
    """
    combined_w = capacity_w * BTU_PER_WH / ceer
    running_w = combined_w - standby_w * STANDBY_HOURS / COOLING_HOURS
    if not np.isfinite(running_w) or running_w <= 0:
        raise EquipmentError(f"standby of {standby_w:g} W leaves no power at CEER {ceer:g}")
    return capacity_w * BTU_PER_WH / running_w
