"""When an interruptible meter has no supply, by clock and outdoor temperature."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.metering import tariff_hours
from energymodel.tariffs.tariff import Tariff


def interrupted(tariff: Tariff, clock: WallClock, outdoor_c: Array) -> Mask:
    """Find the intervals in which an interruptible meter has no supply.

    Parameters
    ----------
    tariff
        With its interruption rules.
    clock
        Wall-clock time of the rows.
    outdoor_c
        Outdoor temperature of each row, degC, shape (rows,).

    Returns
    -------
    Mask
        Shape (rows,): other heat runs where it is true.

    Raises
    ------
    InputError
        If the number of temperatures does not fit.
    """
    outdoor = np.asarray(outdoor_c, dtype=np.float64)
    if outdoor.shape != (len(clock),):
        raise InputError(f"{outdoor.size} temperatures for {len(clock)} rows")
    hours = tariff_hours(tariff, clock)
    cut = np.zeros(len(clock), dtype=np.bool_)
    for rule in tariff.interruptions:
        here = hours.hold_any(rule.when)
        if rule.below_c is not None:
            here &= outdoor <= rule.below_c
        if rule.above_c is not None:
            here &= outdoor >= rule.above_c
        cut |= here
    return cut


def metered_as_it_was(tariff: Tariff) -> tuple[Notice, ...]:
    """Say that a bill of meter data does not cut anything off.

    Parameters
    ----------
    tariff
        With its interruption rules.

    Returns
    -------
    tuple of Notice
        Empty for a tariff that never cuts the supply.
    """
    if not tariff.interruptions:
        return ()
    names = ", ".join(rule.name for rule in tariff.interruptions)
    text = (
        f"The tariff cuts the supply at times ({names}). The use is billed as it was metered: what"
        " the meter shows in such hours is not taken away."
    )
    return (Notice(topic="interruption", text=text),)
