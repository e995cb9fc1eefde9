"""One line of a bill against the sum of a meter file, so that a wrong unit shows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.import_report import MeterError, ReadAs
from energymodel.meters.interval_data import Commodity
from energymodel.meters.meter_units import (
    TYPICAL_HEAT_KWH_PER_M3,
    MeterUnit,
    known_unit,
    kwh_per_unit,
)
from energymodel.meters.remedies import say
from energymodel.meters.wall_clock import DAY_S, Seconds, ZoneClock

AGREES = 0.05
"""Share by which sum and bill may differ; bills are read at some hour of the day (our choice)."""
_NEAR = 0.08
_SAMPLES_PER_HOUR = (4.0, 12.0, 60.0)
_GAS_UNITS = ("kWh", "therm", "ccf", "m3", "ft3", "MJ")


@dataclass(frozen=True, slots=True, kw_only=True)
class BillLine:
    """The quantity of one bill.

    Parameters
    ----------
    first_day, last_day
        First and last day of the period, both counted, on the wall clock.
    quantity
        Quantity billed.
    unit
        Its unit as printed: "kWh", "therm", "ccf", "m3", ...
    """

    first_day: date
    last_day: date
    quantity: float
    unit: str = "kWh"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """What the file says.

    Parameters
    ----------
    file
        File name.
    start_s, length_s
        Start (UTC) and length of each interval, s, shape (intervals,).
    kwh
        Energy of each interval as read, kWh, nan where missing, shape (intervals,).
    unit
        Unit under which it was read.
    commodity
        What the meter counts.
    heat_kwh_per_m3
        Heat content of the gas, if known.
    """

    file: str
    start_s: Seconds
    length_s: Seconds
    kwh: Array
    unit: MeterUnit
    commodity: Commodity = "electricity"
    heat_kwh_per_m3: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cause:
    ratio: float
    words: str


def ratio_to_bill(measured: Measured, bill: BillLine, clock: ZoneClock) -> float:
    """Return the sum of the file over the period, divided by the bill.

    Parameters
    ----------
    measured
        Intervals.
    bill
        Bill line.
    clock
        Clock of the place.

    Returns
    -------
    float
        1 where they agree.

    Raises
    ------
    MeterError
        If the bill is not positive, or the file does not cover its period.
    """
    heat = measured.heat_kwh_per_m3
    unit = known_unit(bill.unit, where=measured.file)
    billed = bill.quantity * kwh_per_unit(unit, heat_kwh_per_m3=heat, where=measured.file)
    if not (math.isfinite(billed) and billed > 0.0) or bill.last_day < bill.first_day:
        raise MeterError(
            "the bill line is no positive quantity over a period",
            where=measured.file,
            expected="a quantity above 0, and a last day not before the first",
        )
    edges = np.array([_day_s(bill.first_day), _day_s(bill.last_day) + DAY_S], dtype=np.int64)
    first, end = clock.utc_of_label(edges)
    inside = (measured.start_s >= first) & (measured.start_s < end) & ~np.isnan(measured.kwh)
    covered = float(measured.length_s[inside].sum() / (end - first))
    if covered < 1.0 - AGREES / 2:
        raise MeterError(
            f"the file covers {100.0 * covered:.0f} % of the bill's period, {bill.first_day} to "
            f"{bill.last_day}",
            where=measured.file,
            expected="a bill whose period lies within the file",
        )
    return float(measured.kwh[inside].sum()) / billed


def _day_s(day: date) -> int:
    return int(np.datetime64(day, "s").astype(np.int64))


def confirm(measured: Measured, bill: BillLine, clock: ZoneClock) -> ReadAs:
    """Compare the sum of a file with a bill, and name the cause where they are apart.

    Parameters
    ----------
    measured
        Intervals.
    bill
        Bill line.
    clock
        Clock of the place.

    Returns
    -------
    ReadAs
        The comparison, where it agrees.

    Raises
    ------
    MeterError
        If sum and bill differ by more than 5 %, or fit another unit better.
    """
    ratio = ratio_to_bill(measured, bill, clock)
    cause = _likeliest(measured, ratio)
    agrees = abs(ratio - 1.0) <= AGREES
    if agrees and (cause is None or abs(math.log(ratio)) <= abs(math.log(ratio / cause.ratio))):
        value = f"{100.0 * ratio:.1f} % of the bill {bill.first_day} to {bill.last_day}"
        return ReadAs(name="sum", value=value, basis="compared with the bill line")
    times = f"{ratio:.3g}" if ratio >= 0.1 else f"1/{1.0 / ratio:.3g}" if ratio > 0.0 else "0"
    raise MeterError(
        f"the sum of the file is {times} times the bill's {bill.quantity:g} {bill.unit}"
        + (f": {cause.words}" if cause else ""),
        where=measured.file,
        expected=f"a sum within {100.0 * AGREES:.0f} % of the bill",
        remedy="" if cause else "check the unit, the meter and the dates of the bill",
    )


def _likeliest(measured: Measured, ratio: float) -> _Cause | None:
    if not ratio > 0.0:
        return None
    near = [cause for cause in _causes(measured) if abs(math.log(ratio / cause.ratio)) <= _NEAR]
    return min(near, key=lambda cause: abs(math.log(ratio / cause.ratio)), default=None)


def _causes(measured: Measured) -> Sequence[_Cause]:
    if measured.commodity == "gas":
        return _gas_causes(measured)
    return _electric_causes(measured)


def _electric_causes(measured: Measured) -> Sequence[_Cause]:
    per_hour = 3600.0 / float(np.median(measured.length_s))
    causes = [
        _Cause(ratio=1000.0, words="the values are in a unit 1000 times smaller (Wh or W)"),
        _Cause(ratio=1e-3, words="the values are in a unit 1000 times larger (kWh or kW)"),
    ]
    if measured.unit.kind == "power":
        if per_hour > 1.0:
            words = "the values are energy per interval, not average power"
            causes.append(_Cause(ratio=1.0 / per_hour, words=words))
        return causes
    for count in {*_SAMPLES_PER_HOUR, per_hour} - {1.0}:
        words = f"power samples, {count:g} per hour, were summed as energy; " + say(
            unit=measured.unit.name.removesuffix("h")
        )
        causes.append(_Cause(ratio=count, words=words))
    return causes


def _gas_causes(measured: Measured) -> Sequence[_Cause]:
    heat = measured.heat_kwh_per_m3 or TYPICAL_HEAT_KWH_PER_M3
    declared = kwh_per_unit(measured.unit, heat_kwh_per_m3=heat)
    causes = []
    for name in _GAS_UNITS:
        ratio = declared / kwh_per_unit(known_unit(name), heat_kwh_per_m3=heat)
        # units closer than bills can tell apart cost nothing either
        if abs(math.log(ratio)) > 0.015:
            words = f"the values are {name}, not {measured.unit.name}"
            causes.append(_Cause(ratio=ratio, words=words))
    return causes
