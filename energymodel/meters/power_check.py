"""Whether the power of a file is that of a household: samples of power summed as energy show."""

from __future__ import annotations

import math

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.remedies import say
from energymodel.meters.wall_clock import Seconds
from energymodel.notices import Notice

UNIT_CHECK = "check the unit"
"""Topic of a notice that puts every sum of the file in doubt."""
_LARGEST_MEAN_KW = 5.0
"""Mean of a large house heated by electricity; 1.2 kW is usual in the USA (common practice)."""
_SMALLEST_MEAN_KW = 0.1
"""Mean of a small flat, below which a cause would not explain the file (our choice)."""
_LARGEST_KW = 48.0
"""A service of 200 A at 240 V (common practice)."""
_SAMPLES_PER_HOUR = (4, 12, 60)
_PER_THOUSAND = 1000.0


def power_notices(
    name: str, start_s: Seconds, length_s: Seconds, kwh: Array, *, unit: str
) -> tuple[Notice, ...]:
    """Warn where a file draws more than a household can.

    Parameters
    ----------
    name
        File name.
    start_s, length_s
        Start (UTC) and length of each interval, s, shape (intervals,).
    kwh
        Energy from the grid of each interval, kWh, shape (intervals,).
    unit
        Unit under which the values were read.

    Returns
    -------
    tuple of Notice
        One with the likeliest cause, or none. Nothing is changed.
    """
    hours = length_s / 3600.0
    mean_kw = math.fsum(kwh) / float(hours.sum())
    peak_kw = float((kwh / hours).max())
    if mean_kw <= _LARGEST_MEAN_KW and peak_kw <= _LARGEST_KW:
        return ()
    days = float(start_s[-1] + length_s[-1] - start_s[0]) / 86_400.0
    text = (
        f"{name}: {math.fsum(kwh):,.0f} kWh in {days:,.0f} days are {mean_kw:.1f} kW on average, "
        f"{peak_kw:.1f} kW at most: far more than a household draws (about 0.5 to 3 kW on "
        f"average).{_cause(unit, hours, (mean_kw, peak_kw))} If this is no household, or to be "
        "sure, hold one bill against the file: --bill-line."
    )
    return (Notice(topic=UNIT_CHECK, text=text),)


def _cause(unit: str, hours: Array, power_kw: tuple[float, float]) -> str:
    per_hour = round(1.0 / float(np.median(hours)))
    if per_hour in _SAMPLES_PER_HOUR and unit.endswith("h") and _is_usual(power_kw, per_hour):
        power = unit.removesuffix("h")
        return (
            f" If the values are averages or samples of {power}, {per_hour} an hour, the energy "
            f"is {per_hour} times too high: {say(unit=power)}."
        )
    if _is_usual(power_kw, _PER_THOUSAND) and unit in ("kW", "kWh"):
        smaller = unit.removeprefix("k")
        return f" If the values are {smaller}, it is 1000 times too high: {say(unit=smaller)}."
    return ""


def _is_usual(power_kw: tuple[float, float], factor: float) -> bool:
    mean_kw, peak_kw = power_kw
    is_usual = _SMALLEST_MEAN_KW <= mean_kw / factor <= _LARGEST_MEAN_KW
    return is_usual and peak_kw / factor <= _LARGEST_KW
