"""Which case a bin falls into, and refusal of bins where the lines of a unit have crossed."""

from __future__ import annotations

from typing import NamedTuple

from energymodel.ratings.conditions import ImpossiblePointError
from energymodel.ratings.us.cases import (
    Answer,
    Mode,
    alternating,
    at_full,
    cycling,
    linear_in_load,
)
from energymodel.ratings.us.degradation import Cd
from energymodel.ratings.us.points import TOUCHING, Rate
from energymodel.ratings.us.quadratic import Quadratic


def one_speed(outdoor_f: float, load_btu_h: float, rate: Rate, cd: float) -> Answer:
    """Choose the case of a single-speed unit.

    Parameters
    ----------
    outdoor_f
        Bin temperature, degF, for messages.
    load_btu_h
        Load, Btu/h.
    rate
        The unit at the bin temperature.
    cd
        Degradation coefficient.

    Returns
    -------
    Answer
        Cycling below its capacity, full above.
    """
    if load_btu_h >= rate.capacity_btu_h:
        return at_full(_powered(outdoor_f, rate))
    return cycling(load_btu_h, _powered(outdoor_f, rate), cd)


class Stages(NamedTuple):
    """Low and high stage at a bin; low None: locked out."""

    low: Rate | None
    high: Rate


def two_stages(outdoor_f: float, load_btu_h: float, stages: Stages, cd: Cd) -> Answer:
    """Choose the case of a two-capacity unit.

    Parameters
    ----------
    outdoor_f
        Bin temperature, degF, for messages.
    load_btu_h
        Load, Btu/h.
    stages
        The stages that may run.
    cd
        Degradation coefficients.

    Returns
    -------
    Answer
        One of the four cases.
    """
    low, high = stages
    if low is None:
        if load_btu_h >= high.capacity_btu_h:
            return at_full(_powered(outdoor_f, high))
        return cycling(load_btu_h, _powered(outdoor_f, high), cd.full, Mode.CYCLING_HIGH)
    if load_btu_h >= max(high.capacity_btu_h, low.capacity_btu_h):
        return at_full(_powered(outdoor_f, high))
    _in_order(outdoor_f, low, high)
    if load_btu_h <= low.capacity_btu_h:
        return cycling(load_btu_h, _powered(outdoor_f, low), cd.low)
    _positive(outdoor_f, low, high)
    return alternating(load_btu_h, low, high)


def _reaches_full(outdoor_f: float, load_btu_h: float, low: Rate, full: Rate) -> bool:
    """Whether a modulating unit runs at full capacity in a bin.

    Parameters
    ----------
    outdoor_f
        Bin temperature, degF, for messages.
    load_btu_h
        Load, Btu/h.
    low, full
        Minimum and full speed.

    Returns
    -------
    bool
        True if the load is at or above the full capacity.

    Raises
    ------
    ImpossiblePointError
        If the lines have crossed and the load lies where that matters.
    """
    if load_btu_h >= max(full.capacity_btu_h, low.capacity_btu_h):
        _powered(outdoor_f, full)
        return True
    _in_order(outdoor_f, low, full)
    return False


def _mid_inside(outdoor_f: float, low: Rate, mid: Rate, full: Rate) -> None:
    """Refuse a bin whose intermediate line has left the range between minimum and full speed.

    Parameters
    ----------
    outdoor_f
        Bin temperature, degF.
    low, mid, full
        The speeds there.

    Raises
    ------
    ImpossiblePointError
        Naming the bin.
    """
    touch = TOUCHING * full.capacity_btu_h
    low_side, high_side = low.capacity_btu_h - touch, full.capacity_btu_h + touch
    if not low_side <= mid.capacity_btu_h <= high_side:
        raise ImpossiblePointError(
            f"the intermediate-speed line gives {mid.capacity_btu_h:,.0f} Btu/h",
            where=f"{outdoor_f:g} F bin",
            expected=f"{low.capacity_btu_h:,.0f} (minimum) to {full.capacity_btu_h:,.0f} (full)",
            remedy="check the minimum, intermediate and full speed tests against each other",
        )
    _positive(outdoor_f, mid, full)


class ThreeLines(NamedTuple):
    """Minimum, intermediate and full speed at one temperature."""

    low: Rate
    mid: Rate
    full: Rate


def modulate(
    outdoor_f: float,
    load_btu_h: float,
    lines: ThreeLines,
    cd: float,
    quadratic: Quadratic | None,
) -> Answer:
    """Choose the case of a variable-speed unit, sections 4.1.4 and 4.2.4.

    Parameters
    ----------
    outdoor_f
        Bin temperature, degF.
    load_btu_h
        Load, Btu/h.
    lines
        The three speeds there.
    cd
        Degradation coefficient.
    quadratic
        Older rule between the speeds; None: linear in load.

    Returns
    -------
    Answer
        Cycling, between speeds, or full.
    """
    low, mid, full = lines
    if _reaches_full(outdoor_f, load_btu_h, low, full):
        return at_full(full)
    if load_btu_h <= low.capacity_btu_h:
        return cycling(load_btu_h, _powered(outdoor_f, low), cd)
    if quadratic is not None:
        power_w = load_btu_h / quadratic.at(outdoor_f)
        return Answer(Mode.BETWEEN_SPEEDS, 1.0, 1.0, load_btu_h, power_w)
    _mid_inside(outdoor_f, low, mid, full)
    if load_btu_h < mid.capacity_btu_h:
        _positive(outdoor_f, low, full)
    return linear_in_load(load_btu_h, low, mid, full)


def _in_order(outdoor_f: float, low: Rate, high: Rate) -> None:
    if low.capacity_btu_h > high.capacity_btu_h + TOUCHING * abs(high.capacity_btu_h):
        raise ImpossiblePointError(
            f"the lines of low and high speed cross: {low.capacity_btu_h:,.0f} and "
            f"{high.capacity_btu_h:,.0f} Btu/h",
            where=f"{outdoor_f:g} F bin",
            expected="high above low wherever the load needs one of them in part",
        )
    _powered(outdoor_f, high)


def _positive(outdoor_f: float, rate: Rate, full: Rate) -> None:
    if rate.capacity_btu_h <= TOUCHING * full.capacity_btu_h:
        raise ImpossiblePointError(
            "the line of a lower speed has sunk below zero where the load needs it",
            where=f"{outdoor_f:g} F bin",
            remedy="check the two tests that the line goes through",
        )
    _powered(outdoor_f, rate)


def _powered(outdoor_f: float, rate: Rate) -> Rate:
    if rate.capacity_btu_h > 0 and rate.power_w <= 0:
        raise ImpossiblePointError(
            f"the extrapolated power is {rate.power_w:,.0f} W",
            where=f"{outdoor_f:g} F bin",
            remedy="check the tests that the power line goes through",
        )
    return rate
