"""Interval data of a meter from a Green Button file: the ESPI open standard, XML in an Atom feed.

References
----------
NAESB REQ.21 (Energy Services Provider Interface): UsagePoint, MeterReading, ReadingType,
IntervalBlock, LocalTimeParameters.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.bill_check import BillLine, Measured, confirm
from energymodel.meters.directions import Series, export_only, split_net
from energymodel.meters.espi_feed import UsagePoint, read_feed
from energymodel.meters.espi_readings import ReadingArrays, reading_arrays
from energymodel.meters.espi_series import Selected, SeriesEnergy, select_series, series_energy
from energymodel.meters.espi_time import read_espi_clock
from energymodel.meters.facts import MeterFacts
from energymodel.meters.import_report import MeterError, ReadAs, ReportEntry
from energymodel.meters.interval_data import Commodity, IntervalData
from energymodel.meters.intervals import Intervals, Origin, interval_data
from energymodel.meters.remedies import say
from energymodel.meters.row_sources import FeedRows
from energymodel.meters.wall_clock import Seconds, ZoneClock, day_text, zone_clock
from energymodel.notices import Notice

_COMMODITIES: dict[int | None, Commodity] = {0: "electricity", 1: "gas"}
_SERVICES = {0: "electricity", 1: "gas", 2: "water", None: "service not stated"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Joined:
    intervals: Intervals
    entries: tuple[ReportEntry, ...]


def read_green_button(
    path: Path | str,
    *,
    zone: str | None = None,
    usage_point: int | None = None,
    meter_reading: int | None = None,
    meter: MeterFacts | None = None,
    bill: BillLine | None = None,
) -> IntervalData:
    """Read the interval data of one usage point of a Green Button file.

    Parameters
    ----------
    path
        XML file.
    zone
        Zone of the meter's place; needed where the file does not state its clock, and compared
        with it where it does. The zone of the computer is never used.
    usage_point
        Number of the usage point (from 1), where the file has several.
    meter_reading
        Number of the series (from 1) within the usage point, where several could be read.
    meter
        What the user knows of the meter.
    bill
        One line of a bill against which the sum is compared.

    Returns
    -------
    IntervalData
        Energy by interval, cost where the file states it with its currency, and the report.

    Raises
    ------
    MeterError
        If the file is rejected; the error carries the report.

    Notes
    -----
    Energy is value x 10^powerOfTenMultiplier in the unit of `uom`. Cost is in units of 10^-5 of the
    currency and takes no part in that multiplier.
    """
    meter = meter or MeterFacts()
    name = Path(path).name
    point = _chosen(name, read_feed(path), usage_point)
    commodity = _commodity(name, point)
    selected, left_out = select_series(name, point, commodity, meter_reading)
    arrays = [reading_arrays(name, one.series, one.unit) for one in selected]
    clock, notices = _clock(name, point, zone, arrays)
    energy = [
        series_energy(one, readings, clock, meter)
        for one, readings in zip(selected, arrays, strict=True)
    ]
    joined = _joined(name, energy, meter)
    quality = _quality(arrays)
    measured = Measured(
        file=name,
        start_s=joined.intervals.start_s,
        length_s=joined.intervals.length_s,
        kwh=joined.intervals.import_kwh,
        unit=selected[0].unit,
        commodity=commodity,
        heat_kwh_per_m3=meter.heat_kwh_per_m3,
    )
    checks = () if bill is None else (confirm(measured, bill, clock),)
    origin = Origin(
        name=name,
        commodity=commodity,
        clock=clock,
        entries=(*point.entries, *left_out, *joined.entries),
        read_as=(*_read_as(selected, clock), *checks),
        quality=quality,
        rows=FeedRows(start_s=_main_starts(selected, arrays), clock=clock),
        notices=(*notices, *_estimates(name, quality), *_unconfirmed(name, commodity, bill)),
        unconfirmed_unit=selected[0].unit.name
        if bill is None and commodity == "electricity"
        else None,
        currency=_currency(joined.intervals, arrays),
    )
    return interval_data(origin, joined.intervals)


def _chosen(name: str, points: Sequence[UsagePoint], number: int | None) -> UsagePoint:
    if number is None and len(points) == 1:
        return points[0]
    for point in points:
        if point.number == number:
            return point
    listed = "; ".join(
        f"{point.number}: {_SERVICES.get(point.service, 'another service')}, "
        f"{sum(len(series.readings) for series in point.meter_readings):,} readings"
        for point in points
    )
    what = "several usage points" if number is None else f"no usage point {number} with readings"
    raise MeterError(
        f"the file has {what}",
        where=name,
        expected=f"one of {listed}",
        remedy=say(usage_point="NUMBER"),
    )


def _commodity(name: str, point: UsagePoint) -> Commodity:
    commodity = _COMMODITIES.get(point.service)
    if commodity is None:
        raise MeterError(
            f"the usage point is of {_SERVICES.get(point.service, 'another service')}",
            where=name,
            expected="ServiceCategory kind 0 (electricity) or 1 (gas)",
        )
    return commodity


def _clock(
    name: str, point: UsagePoint, zone: str | None, arrays: Sequence[ReadingArrays]
) -> tuple[ZoneClock, tuple[Notice, ...]]:
    starts = np.concatenate([readings.start_s for readings in arrays])
    first, last = int(starts.min()), int(starts.max())
    named = None if zone is None else zone_clock(zone, first, last, where=name)
    if point.clock is None or not point.clock.get("tzOffset", "").strip():
        if named is None:
            raise MeterError(
                "the file does not state its clock: it has no LocalTimeParameters"
                + " with tzOffset" * (point.clock is not None),
                where=name,
                expected="the zone of the meter's place",
                remedy=say(zone="America/New_York") + ", for example",
            )
        return named, ()
    stated = read_espi_clock(point.clock, where=name)
    own = stated.clock(first, last)
    notices = []
    if stated.start is not None and stated.dst_offset_s == 0:
        text = (
            f"{name}: the file has daylight-saving rules but adds nothing between them; compare "
            "one known day with the bill before trusting the clock."
        )
        notices.append(Notice(topic="meter", text=text))
    if named is None:
        return own, tuple(notices)
    if named.standard_offset_s != own.standard_offset_s:
        raise MeterError(
            f"the file states {stated}, which is not the standard time of {zone}",
            where=name,
            expected=f"tzOffset {named.standard_offset_s}",
            remedy="leave zone out to take the file's clock, or name the zone of the meter",
        )
    apart = named.offset_s(starts) != own.offset_s(starts)
    if apart.any():
        day = day_text(int(starts[apart].min()) + named.standard_offset_s)
        text = f"{name}: from {day} on the file's clock differs from that of {zone}, which is used."
        notices.append(Notice(topic="meter", text=text))
    return named, tuple(notices)


def _joined(name: str, energy: Sequence[SeriesEnergy], meter: MeterFacts) -> _Joined:
    main = min(energy, key=lambda one: one.role == "export")
    entries = [entry for one in energy for entry in one.entries]
    imported: Array = np.zeros(main.start_s.size)
    exported: Array = np.zeros(main.start_s.size)
    for one in energy:
        series = Series(file=name, lines=one.lines, kwh=one.kwh, noun="reading")
        if one.role == "export":
            out, turned = export_only(series)
            laid, blanks = _laid(name, main, one, out)
            exported = exported + laid
            entries.extend([*turned, *blanks])
        else:
            drawn, out = split_net(series, "net" if one.role == "net" else meter.signs)
            imported, exported = imported + drawn, exported + out
    intervals = Intervals(
        start_s=main.start_s,
        length_s=main.length_s,
        import_kwh=imported,
        export_kwh=exported,
        row=main.lines,
        cost=main.cost if main.role != "export" else None,
    )
    entries.extend(_export_costs(name, energy))
    return _Joined(intervals=intervals, entries=tuple(entries))


def _main_starts(selected: Sequence[Selected], arrays: Sequence[ReadingArrays]) -> Seconds:
    """Return the starts of the series that gives the intervals, in the order of the file."""
    roles = [one.role == "export" for one in selected]
    return arrays[roles.index(min(roles))].start_s


def _laid(
    name: str, main: SeriesEnergy, export: SeriesEnergy, kwh: Array
) -> tuple[Array, tuple[ReportEntry, ...]]:
    """Lay export on the intervals of use; feeds often leave intervals without export out."""
    places = np.minimum(np.searchsorted(main.start_s, export.start_s), main.start_s.size - 1)
    fits = (main.start_s[places] == export.start_s) & (main.length_s[places] == export.length_s)
    if not fits.all():
        raise MeterError(
            f"{int((~fits).sum())} intervals of export are none of use",
            where=name,
            expected="export in the same intervals as use",
        )
    laid: Array = np.zeros(main.start_s.size)
    laid[places] = kwh
    missing = main.start_s.size - export.start_s.size
    if not missing:
        return laid, ()
    entry = ReportEntry(
        file=name,
        row="",
        found=f"{missing} intervals have use but no reading of export",
        expected="a reading of export for every interval",
        done="taken as no export",
    )
    return laid, (entry,)


def _export_costs(name: str, energy: Sequence[SeriesEnergy]) -> tuple[ReportEntry, ...]:
    if not any(one.role == "export" and one.cost is not None for one in energy):
        return ()
    return (
        ReportEntry(
            file=name,
            row="",
            found="costs beside the export",
            expected="costs of the energy delivered",
            done="left out, as their sign is not defined",
        ),
    )


def _currency(intervals: Intervals, arrays: Sequence[ReadingArrays]) -> str | None:
    if intervals.cost is None:
        return None
    return next(readings.currency for readings in arrays if readings.currency)


def _quality(arrays: Sequence[ReadingArrays]) -> Mapping[str, int]:
    counts: Counter[str] = Counter()
    for readings in arrays:
        counts.update(readings.quality)
    return dict(counts)


def _estimates(name: str, quality: Mapping[str, int]) -> tuple[Notice, ...]:
    count = quality.get("estimated", 0)
    if not count:
        return ()
    return (Notice(topic="meter", text=f"{name}: {count} readings are estimated."),)


def _unconfirmed(name: str, commodity: Commodity, bill: BillLine | None) -> tuple[Notice, ...]:
    if commodity != "gas" or bill is not None:
        return ()
    text = (
        f"{name}: the unit of the gas readings is as the file states it; compare the sum with "
        "one bill line."
    )
    return (Notice(topic="meter", text=text),)


def _read_as(selected: Sequence[Selected], clock: ZoneClock) -> tuple[ReadAs, ...]:
    lines = []
    for one in selected:
        kind = one.series.reading_type
        power = kind.get("powerOfTenMultiplier") or "0"
        flow = kind.get("flowDirection", "")
        basis = f"uom {kind['uom']}, powerOfTenMultiplier {power}"
        lines.append(ReadAs(name="unit", value=f"{one.unit.name} x 10^{power}", basis=basis))
        stated = f"flowDirection {flow}" if flow not in ("", "0") else "common practice"
        lines.append(ReadAs(name="direction", value=one.role, basis=stated))
    return (*lines, ReadAs(name="clock", value=clock.name, basis="time block or given"))
