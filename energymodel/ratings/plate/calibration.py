"""One multiplier on guessed efficiencies, so that the map's own rating is the label."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, log

from energymodel.errors import EquipmentError
from energymodel.ratings.plate.metrics import Label

ACCEPTED = (0.85, 1.15)
"""A multiplier outside this range is reported as doubtful (our choice)."""
WIDEST = (0.5, 2.0)
"""A multiplier outside this range is not used (our choice)."""
MISS_QUESTIONED = 0.05
"""A label missed by more than this share is reported (our choice)."""
_STEP = 0.12
_CLOSE = 1e-10
_MOST_STEPS = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """How a label was met.

    Parameters
    ----------
    label
        The figure that was aimed at.
    before
        The map's own figure with the guesses as they were.
    multiplier
        On the power of all points whose efficiency was guessed; 1: nothing was done.
    reached
        The map's own figure with it.
    """

    label: Label
    before: float
    multiplier: float
    reached: float

    @property
    def miss(self) -> float:
        """Figure reached over the label, less 1."""
        return self.reached / self.label.value - 1.0

    @property
    def met(self) -> bool:
        """Whether the label is met to a millionth."""
        return abs(self.miss) < 1e-6


def calibrate(rate: Callable[[float], float], label: Label, *, guesses: bool) -> Calibration:
    """Find the multiplier at which a map rates as its label says.

    Parameters
    ----------
    rate
        The map's own figure at a multiplier; it falls as the multiplier rises.
    label
        The figure to be met.
    guesses
        Whether there is anything the multiplier acts on.

    Returns
    -------
    Calibration
        With multiplier 1 where there is nothing to act on, or where no multiplier from 0.5 to 2
        meets the label.
    """
    before = rate(1.0)
    missed = Calibration(label=label, before=before, multiplier=1.0, reached=before)
    if not guesses or missed.met:
        return missed
    ends = _bracket(rate, label.value, before)
    if ends is None:
        return missed
    multiplier = exp(_root(lambda x: rate(exp(x)) - label.value, *ends))
    return Calibration(label=label, before=before, multiplier=multiplier, reached=rate(multiplier))


_End = tuple[float, float]


def _bracket(
    rate: Callable[[float], float], wanted: float, before: float
) -> tuple[_End, _End] | None:
    """Two logarithms of multipliers, with their errors, between which the error changes sign."""
    here = (0.0, before - wanted)
    step = _STEP if before > wanted else -_STEP
    while True:
        place = min(max(here[0] + step, log(WIDEST[0])), log(WIDEST[1]))
        if place == here[0]:
            return None
        try:
            there = (place, rate(exp(place)) - wanted)
        except EquipmentError:
            return None  # the map becomes impossible before it meets the label
        if (there[1] > 0) != (here[1] > 0):
            return here, there
        here = there


def _root(error: Callable[[float], float], first: _End, second: _End) -> float:
    """Zero between two ends by false position, halving the error of an end that stays."""
    (a, fa), (b, fb) = first, second
    if fb == 0.0:
        return b
    scale = max(abs(fa), abs(fb))
    for _ in range(_MOST_STEPS):
        x = b - fb * (b - a) / (fb - fa)
        fx = error(x)
        if abs(fx) <= _CLOSE * scale or abs(b - a) < 1e-15:
            return x
        if (fx > 0) != (fb > 0):
            a, fa = b, fb
        else:
            fa /= 2.0
        b, fb = x, fx
    return b
