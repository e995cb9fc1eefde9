"""HSPF and HSPF2 clause by clause: section 4.2 of Appendices M and M1.

Equations from memory unless a line says otherwise; units are the procedures' own.
"""

from __future__ import annotations

from collections.abc import Callable
from math import nan
from typing import TypeAlias

from energymodel.errors import EquipmentError
from energymodel.ratings.us.case_choice import Stages, ThreeLines, modulate, one_speed, two_stages
from energymodel.ratings.us.cases import Answer
from energymodel.ratings.us.editions import BelowFiveF, BetweenSpeeds, Edition, LimitingReference
from energymodel.ratings.us.load import LoadOfBins
from energymodel.ratings.us.operation import CutOut
from energymodel.ratings.us.points import (
    LOW_STAGE_BREAK_F,
    FrostLine,
    Rate,
    SinglePoints,
    StagedHeating,
    at_fan_power,
    between,
)
from energymodel.ratings.us.quadratic import Quadratic, crossing, through_crossings
from energymodel.ratings.us.result import BinRow
from energymodel.ratings.us.tables import Bin

FROST_EDGE_F = 45.0
"""From here on the line through 17 and 47 F holds again; the jump is intended (from memory)."""

Case: TypeAlias = Callable[[float, float], tuple[tuple[Rate, ...], Answer]]
"""Speeds at a bin and what the unit does there: (outdoor degF, load Btu/h)."""


def frost_line(outdoor_f: float, line: FrostLine, below: BelowFiveF) -> Rate:
    """Rate of a speed through its 17, 35 and 47 F points, sections 4.2.1, 4.2.3 and 4.2.4.

    Parameters
    ----------
    outdoor_f
        Outdoor temperature, degF.
    line
        Points of the speed.
    below
        What holds below an optional 5 F point.

    Returns
    -------
    Rate
        T >= 45 or T <= 17: line 17-47; in between: line 17-35; from 5 to 17 F with a 5 F test:
        line 5-17.
    """
    if 17.0 < outdoor_f < FROST_EDGE_F:
        return between(outdoor_f, (17.0, line.at17), (35.0, line.at35))
    dry = between(outdoor_f, (17.0, line.at17), (47.0, line.at47))
    if line.at5 is None or outdoor_f >= FROST_EDGE_F:
        return dry
    if outdoor_f >= 5.0 or below is BelowFiveF.SLOPE_5_17:
        return between(outdoor_f, (5.0, line.at5), (17.0, line.at17))
    dry5 = between(5.0, (17.0, line.at17), (47.0, line.at47))
    return Rate(
        line.at5.capacity_btu_h + dry.capacity_btu_h - dry5.capacity_btu_h,
        line.at5.power_w + dry.power_w - dry5.power_w,
    )


def below_5f(edition: Edition) -> BelowFiveF:
    """Rule of an edition below 5 F; without a 5 F test it is not used.

    Parameters
    ----------
    edition
        The procedure.

    Returns
    -------
    BelowFiveF
        The edition's, or the default.
    """
    return edition.five_f.below if edition.five_f else BelowFiveF.SLOPE_17_47


def single_speed_case(points: SinglePoints[FrostLine], edition: Edition) -> Case:
    """Single speed, sections 4.2.1 (fixed-speed blower) and 4.2.2 (variable air volume).

    Parameters
    ----------
    points
        Points of the unit.
    edition
        The procedure.

    Returns
    -------
    Case
        X = min(1, BL/Q), PLF = 1 - C_D (1 - X), e = X E/PLF.
    """
    below = below_5f(edition)

    def case(outdoor_f: float, load_btu_h: float) -> tuple[tuple[Rate, ...], Answer]:
        rate = frost_line(outdoor_f, points.full, below)
        if points.minimum is not None:
            least = frost_line(outdoor_f, points.minimum.line, below)
            rate = at_fan_power(outdoor_f, points.minimum.fan, least, rate)
        return (rate,), one_speed(outdoor_f, load_btu_h, rate, points.cd.low)

    return case


def two_capacity_case(
    points: StagedHeating, edition: Edition, locked_below_f: float | None
) -> Case:
    """Two capacity, section 4.2.3.

    Parameters
    ----------
    points
        Points of the unit.
    edition
        The procedure.
    locked_below_f
        Low stage is locked out at and below this temperature, degF; None: never.

    Returns
    -------
    Case
        Low stage: from 40 F up the line 47-62, below its frost line; high stage: frost line.
    """
    below = below_5f(edition)

    def case(outdoor_f: float, load_btu_h: float) -> tuple[tuple[Rate, ...], Answer]:
        high = frost_line(outdoor_f, points.full, below)
        locked = locked_below_f is not None and outdoor_f <= locked_below_f
        low = low_stage(outdoor_f, points)
        stages = Stages(None if locked else low, high)
        speeds = (high,) if low is None else (low, high)
        return speeds, two_stages(outdoor_f, load_btu_h, stages, points.cd)

    return case


def low_stage(outdoor_f: float, points: StagedHeating) -> Rate | None:
    """Low stage of two capacity at a temperature, section 4.2.3.

    Parameters
    ----------
    outdoor_f
        Outdoor temperature, degF.
    points
        Points of the unit.

    Returns
    -------
    Rate or None
        T >= 40: line 47-62; 17 <= T < 40: line 17-35; T < 17: line 17-47. None where low stage
        has no points because it never runs.
    """
    if outdoor_f >= LOW_STAGE_BREAK_F:
        return between(outdoor_f, (47.0, points.low47), (62.0, points.low62))
    if points.low_frost is None:
        return None
    return frost_line(outdoor_f, points.low_frost, BelowFiveF.SLOPE_17_47)


def variable_speed_lines(outdoor_f: float, points: StagedHeating, edition: Edition) -> ThreeLines:
    """Speeds of a variable-speed unit in heating, section 4.2.4.

    Parameters
    ----------
    outdoor_f
        Outdoor temperature, degF.
    points
        Points of the unit.
    edition
        The procedure.

    Returns
    -------
    ThreeLines
        Minimum on the line 47-62; limiting: 35-47 below 47 F, the intermediate line below 35 F.
        Full on its frost line. Intermediate through H2_V with a blended slope.
    """
    if points.mid35 is None:
        raise EquipmentError("a variable-speed unit without its intermediate test H2_V")
    cold, warm = (47.0, points.low47), (62.0, points.low62)
    low = between(outdoor_f, cold, warm)
    low35 = between(35.0, cold, warm)
    if points.limiting and edition.minimum_speed_limiting is LimitingReference.LINE_35_47:
        low35 = points.mid35
    mid = _blended(outdoor_f, points, low35)
    if points.limiting and outdoor_f < 35.0:
        low = mid
    elif points.limiting and outdoor_f < 47.0:
        low = between(outdoor_f, (35.0, points.mid35), cold)
    return ThreeLines(low, mid, frost_line(outdoor_f, points.full, below_5f(edition)))


def _blended(outdoor_f: float, points: StagedHeating, low35: Rate) -> Rate:
    """Intermediate line: y(35) + M (T - 35), N and M of capacity and power apart."""
    mid35 = points.mid35 or low35
    full = points.full
    values = []
    for i in (0, 1):
        n = (mid35[i] - low35[i]) / (full.at35[i] - low35[i])
        slope1 = (points.low62[i] - points.low47[i]) / 15.0
        slope2 = (full.at35[i] - full.at17[i]) / 18.0
        m = slope1 * (1.0 - n) + n * slope2
        values.append(mid35[i] + m * (outdoor_f - 35.0))
    return Rate(values[0], values[1])


def variable_speed_case(points: StagedHeating, edition: Edition, load: LoadOfBins) -> Case:
    """Variable speed, section 4.2.4.

    Parameters
    ----------
    points
        Points of the unit.
    edition
        Chooses the rule between minimum and full speed.
    load
        Heating load line, for the crossings of the older rule.

    Returns
    -------
    Case
        COP linear in load, or quadratic in temperature in the older text.
    """
    quadratic: Quadratic | None = None
    if edition.between_speeds is BetweenSpeeds.QUADRATIC_IN_TEMPERATURE:
        quadratic = heating_quadratic(points, edition, load)

    def case(outdoor_f: float, load_btu_h: float) -> tuple[tuple[Rate, ...], Answer]:
        lines = variable_speed_lines(outdoor_f, points, edition)
        return lines, modulate(outdoor_f, load_btu_h, lines, points.cd.low, quadratic)

    return case


def heating_quadratic(points: StagedHeating, edition: Edition, load: LoadOfBins) -> Quadratic:
    """Efficiency against temperature between the speeds, section 4.2.4.2 of the older text.

    Parameters
    ----------
    points
        Points of a variable-speed unit.
    edition
        The procedure.
    load
        Heating load line.

    Returns
    -------
    Quadratic
        Through the crossings T4 (full), Tvh (intermediate), T3 (minimum); Btu/Wh.
    """
    breaks = (5.0, 17.0, FROST_EDGE_F)
    low_breaks = (35.0, 47.0) if points.limiting else ()
    return through_crossings(
        crossing(lambda t: variable_speed_lines(t, points, edition).full, load, breaks),
        crossing(lambda t: variable_speed_lines(t, points, edition).mid, load),
        crossing(lambda t: variable_speed_lines(t, points, edition).low, load, low_breaks),
    )


def rows_of(
    bins: tuple[Bin, ...], load: LoadOfBins, case: Case, stops: CutOut
) -> tuple[BinRow, ...]:
    """Go through the bins of a heating season.

    Parameters
    ----------
    bins
        Bins with hours.
    load
        Load line; bins without load are passed over.
    case
        What the unit does at a temperature and load.
    stops
        Cut-out factors.

    Returns
    -------
    tuple of BinRow
        RH = (BL - delivered x delta)/K at COP 1.
    """
    rows = []
    for one in bins:
        load_btu_h = load.at(one.outdoor_f)
        if load_btu_h <= 0:
            continue
        speeds, answer = case(one.outdoor_f, load_btu_h)
        rows.append(_row(one, load_btu_h, speeds, answer, stops))
    return tuple(rows)


def _row(
    one: Bin, load_btu_h: float, speeds: tuple[Rate, ...], answer: Answer, stops: CutOut
) -> BinRow:
    share = stops.share(one.outdoor_f, answer.mode, speeds[-1])
    delivered = share * answer.delivered_btu_h
    power = share * answer.power_w
    return BinRow(
        outdoor_f=one.outdoor_f,
        fraction=one.fraction,
        load_btu_h=load_btu_h,
        speeds=tuple(speeds),
        mode=answer.mode,
        allowed_share=share,
        load_factor=answer.load_factor,
        part_load_factor=answer.part_load_factor,
        delivered_btu_h=delivered,
        power_w=power,
        resistance_w=(load_btu_h - delivered) / stops.k,
        cop=delivered / (stops.k * power) if power > 0 else nan,
    )
