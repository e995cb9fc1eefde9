"""SEER and SEER2 clause by clause: section 4.1 of Appendices M and M1.

Equations from memory unless a line says otherwise; units are the procedures' own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import nan
from typing import TypeAlias

from energymodel.errors import EquipmentError
from energymodel.ratings.us.case_choice import Stages, ThreeLines, modulate, one_speed, two_stages
from energymodel.ratings.us.cases import Answer
from energymodel.ratings.us.editions import BetweenSpeeds, Edition
from energymodel.ratings.us.load import LoadOfBins
from energymodel.ratings.us.points import (
    CoolingLine,
    Rate,
    SinglePoints,
    StagedCooling,
    at_fan_power,
    between,
)
from energymodel.ratings.us.quadratic import Quadratic, crossing, through_crossings
from energymodel.ratings.us.result import BinRow
from energymodel.ratings.us.tables import Bin, cooling_bins

Case: TypeAlias = Callable[[float, float], tuple[tuple[Rate, ...], Answer]]
"""Speeds at a bin and what the unit does there: (outdoor degF, load Btu/h)."""


def closed_form(points: SinglePoints[CoolingLine]) -> float:
    """SEER of single speed with a fixed-speed blower, section 4.1.1: no bins.

    Parameters
    ----------
    points
        Points of the unit.

    Returns
    -------
    float
        SEER = PLF(0.5) x EER_B, PLF(0.5) = 1 - 0.5 C_D (quoted), Btu/Wh.
    """
    at82 = points.full.at82
    return (1.0 - 0.5 * points.cd.low) * at82.capacity_btu_h / at82.power_w


def single_speed_rows(
    points: SinglePoints[CoolingLine], load: LoadOfBins, k: float
) -> tuple[BinRow, ...]:
    """Bins of single speed, section 4.1.2 (variable air volume) and the general bin form.

    Parameters
    ----------
    points
        Points of the unit.
    load
        Cooling load line.
    k
        Btu per Wh, for the COP column.

    Returns
    -------
    tuple of BinRow
        X = min(1, BL/Q), PLF = 1 - C_D (1 - X), q = X Q, e = X E/PLF.
    """

    def case(outdoor_f: float, load_btu_h: float) -> tuple[tuple[Rate, ...], Answer]:
        rate = _at_air_volume(points, outdoor_f)
        return (rate,), one_speed(outdoor_f, load_btu_h, rate, points.cd.low)

    return rows_of(cooling_bins(), load, case, k)


def _full_line(line: CoolingLine, outdoor_f: float) -> Rate:
    return between(outdoor_f, (82.0, line.at82), (95.0, line.at95))


def _at_air_volume(points: SinglePoints[CoolingLine], outdoor_f: float) -> Rate:
    full = _full_line(points.full, outdoor_f)
    if points.minimum is None:
        return full
    return at_fan_power(
        outdoor_f, points.minimum.fan, _full_line(points.minimum.line, outdoor_f), full
    )


def two_capacity_rows(
    points: StagedCooling, load: LoadOfBins, locked_above_f: float | None, k: float
) -> tuple[BinRow, ...]:
    """Bins of two capacity, section 4.1.3.

    Parameters
    ----------
    points
        Points of the unit.
    load
        Cooling load line.
    locked_above_f
        Low stage is locked out at and above this temperature, degF; None: never.
    k
        Btu per Wh, for the COP column.

    Returns
    -------
    tuple of BinRow
        Low stage on the line F1-B1, high stage on B2-A2.
    """

    def case(outdoor_f: float, load_btu_h: float) -> tuple[tuple[Rate, ...], Answer]:
        low = between(outdoor_f, (67.0, points.low67), (82.0, points.low82))
        high = _full_line(points.full, outdoor_f)
        locked = locked_above_f is not None and outdoor_f >= locked_above_f
        stages = Stages(None if locked else low, high)
        return (low, high), two_stages(outdoor_f, load_btu_h, stages, points.cd)

    return rows_of(cooling_bins(), load, case, k)


def variable_lines(points: StagedCooling, outdoor_f: float) -> ThreeLines:
    """Speeds of a variable-speed unit in cooling, section 4.1.4.

    Parameters
    ----------
    points
        Points of the unit.
    outdoor_f
        Outdoor temperature, degF.

    Returns
    -------
    ThreeLines
        Minimum on F1-B1, full on B2-A2, intermediate through E_V with a blended slope.
    """
    low = between(outdoor_f, (67.0, points.low67), (82.0, points.low82))
    full = _full_line(points.full, outdoor_f)
    if points.mid87 is None:
        raise EquipmentError("a variable-speed unit without its intermediate test E_V")
    low87 = between(87.0, (67.0, points.low67), (82.0, points.low82))
    full87 = _full_line(points.full, 87.0)
    mid = []
    for i in (0, 1):  # capacity, then power: each has its own N and M
        slope1 = (points.low82[i] - points.low67[i]) / 15.0
        slope2 = (points.full.at95[i] - points.full.at82[i]) / 13.0
        n = (points.mid87[i] - low87[i]) / (full87[i] - low87[i])
        m = slope1 * (1.0 - n) + n * slope2
        mid.append(points.mid87[i] + m * (outdoor_f - 87.0))
    return ThreeLines(low, Rate(*mid), full)


def variable_rows(points: StagedCooling, load: LoadOfBins, edition: Edition) -> tuple[BinRow, ...]:
    """Bins of variable speed, section 4.1.4.

    Parameters
    ----------
    points
        Points of the unit.
    load
        Cooling load line.
    edition
        Chooses the rule between minimum and full speed.

    Returns
    -------
    tuple of BinRow
        EER linear in load, or quadratic in temperature in the older text.
    """
    quadratic = None
    if edition.between_speeds is BetweenSpeeds.QUADRATIC_IN_TEMPERATURE:
        quadratic = cooling_quadratic(points, load)

    def case(outdoor_f: float, load_btu_h: float) -> tuple[tuple[Rate, ...], Answer]:
        lines = variable_lines(points, outdoor_f)
        return lines, modulate(outdoor_f, load_btu_h, lines, points.cd.low, quadratic)

    return rows_of(cooling_bins(), load, case, edition.btu_per_wh)


def cooling_quadratic(points: StagedCooling, load: LoadOfBins) -> Quadratic:
    """EER against temperature between the speeds, section 4.1.4.2 of the older Appendix M.

    Parameters
    ----------
    points
        Points of a variable-speed unit.
    load
        Cooling load line.

    Returns
    -------
    Quadratic
        Through the temperatures at which each speed's capacity equals the load.
    """
    return through_crossings(
        crossing(lambda t: variable_lines(points, t).low, load),
        crossing(lambda t: variable_lines(points, t).mid, load),
        crossing(lambda t: variable_lines(points, t).full, load),
    )


def rows_of(bins: Iterable[Bin], load: LoadOfBins, case: Case, k: float) -> tuple[BinRow, ...]:
    """Go through the bins of a cooling season.

    Parameters
    ----------
    bins
        Bins with hours.
    load
        Load line.
    case
        What the unit does at a temperature and load.
    k
        Btu per Wh, for the COP column.

    Returns
    -------
    tuple of BinRow
        q_j and e_j before the fraction; a shortfall is not delivered.
    """
    rows = []
    for one in bins:
        load_btu_h = load.at(one.outdoor_f)
        speeds, answer = case(one.outdoor_f, load_btu_h)
        cop = answer.delivered_btu_h / (k * answer.power_w) if answer.power_w > 0 else nan
        rows.append(
            BinRow(
                outdoor_f=one.outdoor_f,
                fraction=one.fraction,
                load_btu_h=load_btu_h,
                speeds=tuple(speeds),
                mode=answer.mode,
                allowed_share=1.0,
                load_factor=answer.load_factor,
                part_load_factor=answer.part_load_factor,
                delivered_btu_h=answer.delivered_btu_h,
                power_w=answer.power_w,
                resistance_w=0.0,
                cop=cop,
            )
        )
    return tuple(rows)
