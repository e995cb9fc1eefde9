"""Cases of a bin: cycling, alternating, intermediate, full - one function per clause.

Everything is per hour of the bin: heat in Btu/h, power in W.
"""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple

from energymodel.ratings.us.points import Rate


class Mode(Enum):
    """What a unit does in a bin."""

    CYCLING = "cycles on its lowest speed"
    CYCLING_HIGH = "cycles on high stage, low stage locked out"
    ALTERNATING = "alternates between low and high stage"
    LOW_TO_INTERMEDIATE = "runs between minimum and intermediate speed"
    INTERMEDIATE_TO_FULL = "runs between intermediate and full speed"
    BETWEEN_SPEEDS = "runs between minimum and full speed"
    FULL = "runs at full capacity"


class Answer(NamedTuple):
    """Heat and power in a bin while the controls allow the compressor to run."""

    mode: Mode
    load_factor: float
    part_load_factor: float
    delivered_btu_h: float
    power_w: float


def cycling(load_btu_h: float, rate: Rate, cd: float, mode: Mode = Mode.CYCLING) -> Answer:
    """One speed that starts and stops.

    Parameters
    ----------
    load_btu_h
        Load, Btu/h, at most the capacity.
    rate
        Capacity and power of the speed.
    cd
        Degradation coefficient.
    mode
        Which speed it is.

    Returns
    -------
    Answer
        X = BL/Q, PLF = 1 - C_D (1 - X), power = X E/PLF.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, sections 4.1.2, 4.1.3.1, 4.1.3.3 (X = BL/Q of high
    stage: 87 FR 66935), 4.1.4.1, 4.2.1, 4.2.3.1, 4.2.3.3, 4.2.4.1 (from memory).
    """
    x = load_btu_h / rate.capacity_btu_h
    plf = 1.0 - cd * (1.0 - x)
    return Answer(mode, x, plf, x * rate.capacity_btu_h, x * rate.power_w / plf)


def alternating(load_btu_h: float, low: Rate, high: Rate) -> Answer:
    """Two stages that take turns, without cycling loss.

    Parameters
    ----------
    load_btu_h
        Load, Btu/h, between the two capacities.
    low, high
        The stages.

    Returns
    -------
    Answer
        X1 = (Q2 - BL)/(Q2 - Q1), power = X1 E1 + (1 - X1) E2.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, sections 4.1.3.2 and 4.2.3.2 (from memory).
    """
    x1 = (high.capacity_btu_h - load_btu_h) / (high.capacity_btu_h - low.capacity_btu_h)
    x2 = 1.0 - x1
    delivered = x1 * low.capacity_btu_h + x2 * high.capacity_btu_h
    return Answer(Mode.ALTERNATING, x1, 1.0, delivered, x1 * low.power_w + x2 * high.power_w)


def at_full(rate: Rate) -> Answer:
    """Full capacity all the time.

    Parameters
    ----------
    rate
        The highest speed.

    Returns
    -------
    Answer
        q = Q2, power = E2.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, sections 4.1.3.4, 4.1.4.3, 4.2.3.4 and 4.2.4.3 (from
    memory).
    """
    return Answer(Mode.FULL, 1.0, 1.0, rate.capacity_btu_h, rate.power_w)


def linear_in_load(load_btu_h: float, low: Rate, mid: Rate, full: Rate) -> Answer:
    """Modulating compressor: efficiency linear in load between the neighbouring speeds.

    Parameters
    ----------
    load_btu_h
        Load, Btu/h, between minimum and full capacity.
    low, mid, full
        The three speeds at the bin temperature.

    Returns
    -------
    Answer
        Q1 < BL < Qv: EER = EER1 + (EERv - EER1)/(Qv - Q1) (BL - Q1); above Qv likewise with
        Qv and Q2; power = BL/EER.

    References
    ----------
    10 CFR 430 Subpart B, Appendices M and M1, sections 4.1.4.2 and 4.2.4.2 (equations from memory;
    the bin-by-bin principle: regulatory agenda abstract, RIN 1904-AD71, published).
    """
    if load_btu_h < mid.capacity_btu_h:
        mode, below, above = Mode.LOW_TO_INTERMEDIATE, low, mid
    else:
        mode, below, above = Mode.INTERMEDIATE_TO_FULL, mid, full
    eer_below = below.capacity_btu_h / below.power_w
    eer_above = above.capacity_btu_h / above.power_w
    slope = (eer_above - eer_below) / (above.capacity_btu_h - below.capacity_btu_h)
    eer = eer_below + slope * (load_btu_h - below.capacity_btu_h)
    return Answer(mode, 1.0, 1.0, load_btu_h, load_btu_h / eer)
