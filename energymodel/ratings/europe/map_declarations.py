"""European test points read off a performance map."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment import frost as frost_loss
from energymodel.equipment.curves import (
    FULL_SPEED_REACH_K,
    Frost,
    Function,
    PerformanceMap,
)
from energymodel.equipment.kernel import Stack, respond, time_shared
from energymodel.errors import EquipmentError
from energymodel.ratings.europe.points import (
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    HeatingDeclaration,
)
from energymodel.ratings.europe.tables import (
    COOLING_DESIGN_C,
    COOLING_POINTS_C,
    EXTRA_COLD_POINT_BELOW_C,
    EXTRA_COLD_POINT_C,
    HEATING_POINTS_C,
    Climate,
    HeatingSeason,
    ModePower,
    heating_season,
    part_load_ratio,
)

TEST_HUMIDITY_PCT = 85.0
"""Outdoor humidity of the European heating tests, about (computed from 2(1) and 7(6) degC)."""
USUAL_MODES = ModePower(thermostat_off_w=15.0, standby_w=3.0, off_w=3.0, crankcase_w=0.0)
"""Electric power outside active mode where nothing is known (common practice)."""
BIVALENT_FIXED_C = -7.0
"""Usual bivalent temperature of a fixed-speed unit in the average climate (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Declared:
    """What a European declaration needs besides the map.

    Parameters
    ----------
    design_load_w
        Pdesign, W; None: heating, the largest that a fixed-speed unit carries at -7 degC.
    limit_c
        Heating: operation limit, degC; None: none.
    modes
        Electric power outside active mode.
    """

    design_load_w: float | None
    limit_c: float | None = None
    modes: ModePower = USUAL_MODES


def control_of(performance: PerformanceMap) -> Control:
    """How the compressor of a map meets part load.

    Parameters
    ----------
    performance
        Heating or cooling map.

    Returns
    -------
    Control
        Fixed, staged or variable.
    """
    if len(performance.speeds) == 1:
        return Control.FIXED
    return Control.STAGED if performance.staging is time_shared else Control.VARIABLE


def heating_declaration(
    performance: PerformanceMap, declared: Declared, *, climate: Climate = Climate.AVERAGE
) -> HeatingDeclaration:
    """Read the heating test points of a climate off a map.

    Parameters
    ----------
    performance
        Net heating map.
    declared
        Design load and limits.
    climate
        Reference climate.

    Returns
    -------
    HeatingDeclaration
        Each point at the load of the standard's line, or the nearest output the unit has.

    Raises
    ------
    EquipmentError
        If the unit does not carry the design load even at the warmest permitted bivalent
        temperature, or stops above the coldest permitted operation limit.

    Notes
    -----
    Steady curves lose capacity to frost as at 85 % humidity. The bivalent temperature is that at
    which full output equals the load, the design temperature at the lowest.
    """
    season = heating_season(climate)
    limit_c = season.design_c if declared.limit_c is None else declared.limit_c
    limit_c = max(limit_c, performance.speeds[-1].coldest_c - FULL_SPEED_REACH_K)
    if limit_c > season.limit_max_c:
        raise EquipmentError(
            f"heating stops at {limit_c:.1f} degC",
            where=f"{climate.value} climate",
            expected=f"{season.limit_max_c:g} degC or colder",
        )
    load_w = declared.design_load_w or _fixed_load(performance, season)
    bivalent_c = _bivalent(performance, load_w, (season, limit_c))
    names = {*HEATING_POINTS_C[climate].values(), bivalent_c, max(limit_c, season.design_c)}
    if climate is Climate.COLDER and limit_c < EXTRA_COLD_POINT_BELOW_C:
        names.add(EXTRA_COLD_POINT_C)
    outdoor = np.array(sorted(names))
    load = load_w * part_load_ratio(outdoor, season.design_c)
    load = np.where(outdoor < bivalent_c, np.inf, load)
    return HeatingDeclaration(
        design_load_w=load_w,
        bivalent_c=bivalent_c,
        limit_c=limit_c,
        points=_read(performance, outdoor, load),
        control=control_of(performance),
        modes=declared.modes,
    )


def cooling_declaration(performance: PerformanceMap, declared: Declared) -> CoolingDeclaration:
    """Read the cooling test points off a map.

    Parameters
    ----------
    performance
        Net cooling map.
    declared
        Design load; None: the full output at 35 degC.

    Returns
    -------
    CoolingDeclaration
        Points A to D.
    """
    outdoor = np.array(sorted(COOLING_POINTS_C.values()))
    full = float(performance.speeds[-1].capacity_w(np.array([COOLING_DESIGN_C]))[0])
    load_w = declared.design_load_w or full
    load = load_w * part_load_ratio(outdoor, COOLING_DESIGN_C)
    return CoolingDeclaration(
        design_load_w=load_w,
        points=_read(performance, outdoor, load),
        control=control_of(performance),
        modes=declared.modes,
    )


def _with_frost(performance: PerformanceMap, outdoor_c: Array) -> tuple[Array, Array]:
    capacity, power = performance.raw(outdoor_c)
    if performance.function is Function.COOLING:
        return capacity, power
    loss = frost_loss.capacity_factor(outdoor_c, np.full_like(outdoor_c, TEST_HUMIDITY_PCT))
    steady = np.array([[speed.frost is Frost.STEADY] for speed in performance.speeds])
    return (
        np.where(steady, capacity * loss, capacity),
        np.where(steady, power * frost_loss.power_factor(loss), power),
    )


def _full(performance: PerformanceMap, outdoor_c: float) -> float:
    return float(_with_frost(performance, np.array([outdoor_c]))[0][-1, 0])


def _fixed_load(performance: PerformanceMap, season: HeatingSeason) -> float:
    place = min(max(BIVALENT_FIXED_C, season.design_c), season.bivalent_max_c)
    ratio = float(part_load_ratio(np.array([place]), season.design_c)[0])
    return _full(performance, place) / ratio


def _bivalent(
    performance: PerformanceMap, load_w: float, where: tuple[HeatingSeason, float]
) -> float:
    """Lowest temperature from which full output carries the load, to a thousandth of a kelvin."""
    season, limit_c = where
    cold, warm = max(season.design_c, limit_c), season.bivalent_max_c

    def spare(outdoor_c: float) -> float:
        ratio = float(part_load_ratio(np.array([outdoor_c]), season.design_c)[0])
        return _full(performance, outdoor_c) - load_w * ratio

    if spare(cold) >= 0.0:
        return cold
    if spare(warm) < -1e-9 * load_w:
        raise EquipmentError(
            f"the unit does not carry a design load of {load_w:,.0f} W even at {warm:g} degC",
            where=f"{season.climate.value} climate",
            expected="a smaller design load",
        )
    while warm - cold > 1e-9:
        middle = 0.5 * (cold + warm)
        cold, warm = (cold, middle) if spare(middle) >= 0.0 else (middle, warm)
    known = [t for t in HEATING_POINTS_C[season.climate].values() if abs(t - warm) < 1e-6]
    return known[0] if known else warm


def _read(
    performance: PerformanceMap, outdoor_c: Array, load_w: Array
) -> tuple[DeclaredPoint, ...]:
    """Output and COP at a load: the load itself, the lowest or the highest output.

    A unit with stages is read at the load between two of them; a smaller load at the lowest
    stage, whose cycling the rating counts.
    """
    capacity, power = _with_frost(performance, outdoor_c)
    wanted = np.clip(load_w, capacity[0], capacity[-1])
    stack = Stack(
        capacity_w=capacity,
        power_w=power,
        available=np.ones(capacity.shape, dtype=bool),
        staging=performance.staging,
        cycling=performance.cycling,
    )
    always = np.ones_like(outdoor_c)
    answer = respond(stack, wanted, part_share=always, full_share=always)
    return _declared_points(outdoor_c, wanted, answer.power_w)


def _declared_points(
    outdoor_c: Array, output_w: Array, power_w: Array
) -> tuple[DeclaredPoint, ...]:
    rows: Sequence[tuple[float, float, float]] = np.column_stack(
        [outdoor_c, output_w, output_w / power_w]
    ).tolist()
    return tuple(DeclaredPoint(outdoor_c=t, capacity_w=q, cop=cop) for t, q, cop in rows)
