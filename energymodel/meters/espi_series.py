"""Which series of an ESPI usage point are read, and their energy in order of time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.columns import Role
from energymodel.meters.decimal_marks import is_whole
from energymodel.meters.espi_feed import MeterReading, UsagePoint
from energymodel.meters.espi_readings import ReadingArrays, unit_of
from energymodel.meters.facts import MeterFacts
from energymodel.meters.import_report import MeterError, ReportEntry
from energymodel.meters.interval_data import Commodity
from energymodel.meters.meter_units import MeterUnit, kwh_per_unit
from energymodel.meters.plausibility import ValueRows, refuse_register, refuse_unit_change
from energymodel.meters.remedies import say
from energymodel.meters.repeats import Rows, on_short_day, settled
from energymodel.meters.wall_clock import Seconds, ZoneClock

_ROLES: dict[str, Role] = {"": "use", "0": "use", "1": "use", "19": "export", "4": "net"}
_UNITS = {"electricity": ("Wh", "W"), "gas": ("therm", "Btu", "Wh", "m3", "ft3")}
_BEST_FIRST = ("energy", "volume", "power")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Selected:
    """One series that is read.

    Parameters
    ----------
    series
        Series.
    unit
        Its unit.
    role
        Its direction.
    """

    series: MeterReading
    unit: MeterUnit
    role: Role


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeriesEnergy:
    """Energy of one series, rising.

    Parameters
    ----------
    role
        Direction.
    start_s, length_s
        Start (UTC) and length of each interval, s, shape (intervals,).
    kwh
        Energy as the file signs it, kWh, nan where missing, shape (intervals,).
    cost
        Cost, nan where missing, shape (intervals,); None if there is none.
    lines
        Reading of each interval, from 1, shape (intervals,).
    entries
        Repairs.
    """

    role: Role
    start_s: Seconds
    length_s: Seconds
    kwh: Array
    cost: Array | None
    lines: Seconds
    entries: tuple[ReportEntry, ...]


def describe(series: MeterReading) -> str:
    """Return a series in words, for choosing.

    Parameters
    ----------
    series
        Series.

    Returns
    -------
    str
        Number, unit, interval, direction and number of readings.
    """
    unit = unit_of(series)
    length = series.reading_type.get("intervalLength", "")
    role = _ROLES.get(series.reading_type.get("flowDirection", ""))
    every = f" every {int(length) / 60:g} min" if is_whole(length) else ""
    words = {"use": "delivered", "export": "received", "net": "net", None: "other direction"}
    stated = series.reading_type.get("uom", "")
    name = unit.name if unit else "another quantity" if stated else "no unit (uom) stated"
    return f"{series.number}: {name}{every}, {words[role]}, {len(series.readings):,} readings"


def select_series(
    file: str, point: UsagePoint, commodity: Commodity, number: int | None
) -> tuple[tuple[Selected, ...], tuple[ReportEntry, ...]]:
    """Choose the series of use, export or net among those of a usage point.

    Parameters
    ----------
    file
        File name.
    point
        Usage point.
    commodity
        What it counts.
    number
        Series that the user chose; None takes the only one of each direction.

    Returns
    -------
    tuple
        Series, and what was left out.

    Raises
    ------
    MeterError
        If none can be read, or several of one direction can.
    """
    usable = [_usable(series, commodity) for series in point.meter_readings]
    found = [one for one in usable if one is not None]
    if number is not None:
        found = [one for one in found if one.series.number == number]
        if not found:
            raise _choice(file, point, f"there is no series {number} that can be read as energy")
        return tuple(found), ()
    if not found:
        raise _nothing_usable(file, point, commodity)
    best = min((one.unit.kind for one in found), key=_BEST_FIRST.index)
    kept = tuple(one for one in found if one.unit.kind == best)
    roles = [one.role for one in kept]
    if len(set(roles)) < len(roles) or ("net" in roles and len(roles) > 1):
        raise _choice(file, point, "several series of one direction can be read")
    return kept, _left_out(file, point, kept)


def _usable(series: MeterReading, commodity: Commodity) -> Selected | None:
    unit = unit_of(series)
    role = _ROLES.get(series.reading_type.get("flowDirection", ""))
    if unit is None or role is None or unit.name not in _UNITS[commodity]:
        return None
    return Selected(series=series, unit=unit, role=role)


def _choice(file: str, point: UsagePoint, what: str) -> MeterError:
    return MeterError(
        what,
        where=file,
        expected="one of the series "
        + "; ".join(describe(series) for series in point.meter_readings),
        remedy=say(meter_reading="NUMBER"),
    )


def _nothing_usable(file: str, point: UsagePoint, commodity: Commodity) -> MeterError:
    listed = "; ".join(describe(series) for series in point.meter_readings)
    return MeterError(
        f"no series is energy, active power or gas volume of {commodity}: {listed}",
        where=file,
        expected=f"a reading type whose uom is one of {', '.join(_UNITS[commodity])}",
        remedy="export the energy by interval, with its unit (uom)",
    )


def _left_out(file: str, point: UsagePoint, kept: Sequence[Selected]) -> tuple[ReportEntry, ...]:
    numbers = {one.series.number for one in kept}
    rest = [series for series in point.meter_readings if series.number not in numbers]
    if not rest:
        return ()
    return (
        ReportEntry(
            file=file,
            row="",
            found=f"{len(rest)} more series: " + "; ".join(describe(series) for series in rest),
            expected="energy by interval",
            done="left out; " + say(meter_reading="NUMBER") + " to take another",
        ),
    )


def series_energy(
    chosen: Selected, arrays: ReadingArrays, clock: ZoneClock, meter: MeterFacts
) -> SeriesEnergy:
    """Turn a series into energy in order of time, free of repeats.

    Parameters
    ----------
    chosen
        Series.
    arrays
        Its readings.
    clock
        Clock of the place.
    meter
        What the user knows of the meter.

    Returns
    -------
    SeriesEnergy
        Energy.

    Raises
    ------
    MeterError
        If readings contradict each other or cannot be true.
    """
    factor = kwh_per_unit(chosen.unit, heat_kwh_per_m3=meter.heat_kwh_per_m3, where=arrays.file)
    hours = arrays.length_s / 3600.0 if chosen.unit.kind == "power" else 1.0
    kwh = arrays.value * factor * hours
    order, doubled = _in_order(arrays, clock)
    rows, repeated = settled(
        Rows(
            file=arrays.file,
            lines=order + 1,
            start_s=arrays.start_s[order],
            kwh=kwh[order][None, :],
            noun="reading",
        ),
        clock,
        meter.repeats,
    )
    energy = ValueRows(file=arrays.file, lines=rows.lines, values=rows.kwh[0], noun="reading")
    if chosen.role == "use":
        refuse_register(energy)
    refuse_unit_change(energy, rows.start_s + clock.standard_offset_s)
    kept = rows.lines - 1
    cost = arrays.cost
    if cost is not None:
        folded = meter.repeats == "fold"
        cost = _folded(cost[order], arrays.start_s[order], rows.start_s) if folded else cost[kept]
    return SeriesEnergy(
        role=chosen.role,
        start_s=rows.start_s,
        length_s=arrays.length_s[kept],
        kwh=rows.kwh[0],
        cost=cost,
        lines=rows.lines,
        entries=(*arrays.entries, *doubled, *repeated),
    )


def _in_order(arrays: ReadingArrays, clock: ZoneClock) -> tuple[Seconds, tuple[ReportEntry, ...]]:
    """Sort by start and leave out readings that the feed delivers twice."""
    order = np.argsort(arrays.start_s, kind="stable")
    start, length, value = arrays.start_s[order], arrays.length_s[order], arrays.value[order]
    twice = np.zeros(order.size, dtype=np.bool_)
    twice[1:] = (np.diff(start) == 0) & (np.diff(length) == 0) & (np.diff(value) == 0.0)
    twice &= ~on_short_day(start, clock)
    if not twice.any():
        return order, ()
    entry = ReportEntry(
        file=arrays.file,
        row=f"reading {order[int(np.argmax(twice))] + 1}",
        found=f"{int(twice.sum())} readings stand twice with the same start and value",
        expected="each reading once",
        done="counted once",
    )
    return order[~twice], (entry,)


def _folded(cost: Array, start: Seconds, wanted: Seconds) -> Array:
    places = np.searchsorted(wanted, start)
    sums = np.bincount(places, np.nan_to_num(cost), minlength=wanted.size)
    known = np.bincount(places, ~np.isnan(cost), minlength=wanted.size) > 0
    return np.where(known, sums, np.nan)
