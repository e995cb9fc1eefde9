"""Older rule for variable speed: efficiency quadratic in temperature along the load line.

The temperature at which a speed's capacity equals the load gives one point; three speeds give the
quadratic (10 CFR 430 Subpart B, Appendix M, sections 4.1.4.2 and 4.2.4.2, from memory; the
crossing-temperature method is published in an old edition).
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import inf, isinf
from typing import NamedTuple

from energymodel.ratings.conditions import ImpossiblePointError
from energymodel.ratings.us.load import LoadOfBins
from energymodel.ratings.us.points import Rate


class Crossing(NamedTuple):
    """Where a speed's capacity equals the load: degF, and its efficiency there, Btu/Wh."""

    outdoor_f: float
    efficiency: float


class Quadratic(NamedTuple):
    """A + B T + C T^2, efficiency in Btu/Wh against degF."""

    a: float
    b: float
    c: float

    def at(self, outdoor_f: float) -> float:
        """Efficiency between minimum and full speed on the load line.

        Parameters
        ----------
        outdoor_f
            Bin temperature, degF.

        Returns
        -------
        float
            Btu/Wh.

        Raises
        ------
        ImpossiblePointError
            If the quadratic has fallen to zero.
        """
        value = self.a + self.b * outdoor_f + self.c * outdoor_f**2
        if value <= 0:
            raise ImpossiblePointError(
                f"the quadratic between the speeds gives an efficiency of {value:.3g} Btu/Wh",
                where=f"{outdoor_f:g} F bin",
                remedy="check the three speeds' tests against each other",
            )
        return value


def crossing(
    speed: Callable[[float], Rate], load: LoadOfBins, breaks_f: tuple[float, ...] = ()
) -> Crossing:
    """Find where a speed made of straight lines meets the load line.

    Parameters
    ----------
    speed
        Capacity and power against outdoor temperature, degF.
    load
        The load line.
    breaks_f
        Temperatures at which the lines of the speed change, rising, degF.

    Returns
    -------
    Crossing
        The coldest one with a load.

    Raises
    ------
    ImpossiblePointError
        If they never meet.
    """
    for left, right in pairwise((-inf, *breaks_f, inf)):
        outdoor_f = _meeting(speed, load, left, right)
        if outdoor_f is not None:
            capacity, power = speed(outdoor_f)
            return Crossing(outdoor_f, capacity / power)
    raise ImpossiblePointError(
        "the capacity of a speed never equals the load of the rating",
        remedy="the older rule for variable speed cannot rate this unit",
    )


def _meeting(
    speed: Callable[[float], Rate], load: LoadOfBins, left: float, right: float
) -> float | None:
    t0 = right - 20.0 if isinf(left) else left + 0.1
    t1 = left + 20.0 if isinf(right) else right - 0.1
    if isinf(left) and isinf(right):
        t0, t1 = 40.0, 60.0
    over0, over1 = (speed(t).capacity_btu_h - load.at(t) for t in (t0, t1))
    if over0 == over1:
        return None
    meets = t0 - over0 * (t1 - t0) / (over1 - over0)
    return meets if left <= meets <= right and load.at(meets) > 0 else None


def through_crossings(first: Crossing, mid: Crossing, last: Crossing) -> Quadratic:
    """Lay the quadratic through three crossings by the procedure's own formulas.

    Parameters
    ----------
    first, mid, last
        Crossings in cooling (T1, Tv, T2), in heating (T4, Tvh, T3).

    Returns
    -------
    Quadratic
        D = (T2^2 - T1^2)/(Tv^2 - T1^2);
        B = [E1 - E2 - D (E1 - Ev)]/[T1 - T2 - D (T1 - Tv)];
        C = [E1 - E2 - B (T1 - T2)]/(T1^2 - T2^2); A = E2 - B T2 - C T2^2.

    Raises
    ------
    ImpossiblePointError
        If two crossings coincide.
    """
    (t1, e1), (tv, ev), (t2, e2) = first, mid, last
    span = tv**2 - t1**2
    ends = t1**2 - t2**2
    apart = (t1 - t2) * span - (t2**2 - t1**2) * (t1 - tv)
    if min(abs(span), abs(ends), abs(apart)) < 1e-6:
        raise ImpossiblePointError(
            f"two of the crossings of the load line coincide: {t1:.2f}, {tv:.2f}, {t2:.2f} F",
            expected="three different temperatures",
        )
    d = (t2**2 - t1**2) / span
    b = (e1 - e2 - d * (e1 - ev)) / (t1 - t2 - d * (t1 - tv))
    c = (e1 - e2 - b * (t1 - t2)) / ends
    return Quadratic(e2 - b * t2 - c * t2**2, b, c)
