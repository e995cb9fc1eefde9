"""From instants and energy to complete interval data: lengths, gaps, notices."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.meters.clock_change import change_days
from energymodel.meters.gaps import Gap, Listed, RowSource, find_gaps
from energymodel.meters.import_report import (
    ImportReport,
    MeterError,
    ReadAs,
    ReportEntry,
    accepted_report,
)
from energymodel.meters.interval_data import Commodity, IntervalData
from energymodel.meters.power_check import power_notices
from energymodel.meters.wall_clock import DAY_S, Seconds, ZoneClock, label_text
from energymodel.notices import Notice, UsedDefault

_LISTED_GAPS = 10


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Intervals:
    """Energy with its instants, rising and free of repeats.

    Parameters
    ----------
    start_s, length_s
        Start (UTC) and length of each interval, s, shape (intervals,).
    import_kwh, export_kwh
        Energy, kWh, nan where missing, shape (intervals,).
    row
        Line or reading of each interval, shape (intervals,).
    cost
        Cost, nan where missing, shape (intervals,); None if there is none.
    """

    start_s: Seconds
    length_s: Seconds
    import_kwh: Array
    export_kwh: Array
    row: Seconds
    cost: Array | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Origin:
    """Where interval data come from and how they were read.

    Parameters
    ----------
    name
        File name.
    commodity
        What the meter counts.
    clock
        Clock of the place.
    entries
        Repairs so far.
    read_as
        How the file was read.
    quality
        Number of readings by quality.
    rows
        Rows of the file, for naming gaps.
    notices
        Further notices.
    unconfirmed_unit
        Unit of electricity that no bill line has confirmed; None: confirmed, or not electricity.
    currency
        Currency of the cost.
    """

    name: str
    commodity: Commodity
    clock: ZoneClock
    entries: tuple[ReportEntry, ...]
    read_as: tuple[ReadAs, ...]
    quality: Mapping[str, int]
    rows: RowSource
    notices: tuple[Notice, ...] = ()
    unconfirmed_unit: str | None = None
    currency: str | None = None


def lengths_of(start_s: Seconds, step_s: int, clock: ZoneClock) -> Seconds:
    """Return the length of intervals that all have the same nominal length.

    Parameters
    ----------
    start_s
        Start of each interval, UTC, shape (intervals,).
    step_s
        Nominal length, s; whole days follow the wall clock and have 23 or 25 hours at a change.
    clock
        Clock of the place.

    Returns
    -------
    Seconds
        Length, s, shape (intervals,).
    """
    if step_s % DAY_S:
        return np.full(start_s.size, step_s, dtype=np.int64)
    ends = clock.utc_of_label(start_s + clock.offset_s(start_s) + step_s)
    return ends - start_s


def interval_data(origin: Origin, found: Intervals) -> IntervalData:
    """Leave out missing intervals, list the gaps and make the record.

    Parameters
    ----------
    origin
        Where the data come from.
    found
        Intervals.

    Returns
    -------
    IntervalData
        Record with its report.

    Raises
    ------
    MeterError
        If no interval has a value, or intervals overlap.
    """
    known = ~(np.isnan(found.import_kwh) | np.isnan(found.export_kwh))
    if not known.any():
        raise MeterError(
            "no interval has a value",
            where=origin.name,
            expected="the energy or power of each interval",
        )
    start, length = found.start_s[known], found.length_s[known]
    _refuse_overlap(origin, start, length)
    listed = Listed(
        start_s=found.start_s,
        length_s=found.length_s,
        row=found.row,
        known=known,
        source=origin.rows,
    )
    gaps = find_gaps(listed)
    entries = (*origin.entries, *_gap_entries(origin, gaps))
    report = accepted_report(origin.name, entries, origin.read_as)
    moments = start.astype("datetime64[s]")
    moments.flags.writeable = False
    return IntervalData(
        name=origin.name,
        commodity=origin.commodity,
        zone=origin.clock.name,
        standard_offset_s=origin.clock.standard_offset_s,
        start_utc=moments,
        length_s=length,
        import_kwh=frozen(found.import_kwh[known]),
        export_kwh=frozen(found.export_kwh[known]),
        report=report,
        quality=origin.quality,
        cost=None if found.cost is None else frozen(found.cost[known]),
        currency=origin.currency,
        gaps=gaps,
        notices=(
            *_doubts(origin, listed, found.import_kwh),
            *origin.notices,
            *_day_notices(origin, start, length),
            *_notices(report),
        ),
        defaults=_defaults(origin.read_as),
    )


def _doubts(origin: Origin, listed: Listed, import_kwh: Array) -> tuple[Notice, ...]:
    if origin.unconfirmed_unit is None:
        return ()
    known = listed.known
    return power_notices(
        origin.name,
        listed.start_s[known],
        listed.length_s[known],
        import_kwh[known],
        unit=origin.unconfirmed_unit,
    )


def _refuse_overlap(origin: Origin, start: Seconds, length: Seconds) -> None:
    missing = start[1:] - (start + length)[:-1]
    if (missing < 0).any():
        row = int(np.argmax(missing < 0)) + 1
        label = label_text(int(start[row]) + origin.clock.standard_offset_s)
        raise MeterError(
            f"the interval that begins at {label} standard time overlaps the one before it",
            where=origin.name,
            expected="intervals that follow each other",
        )


def _gap_entries(origin: Origin, gaps: Sequence[Gap]) -> tuple[ReportEntry, ...]:
    if not gaps:
        return ()
    more = f"; and {len(gaps) - _LISTED_GAPS} more" * (len(gaps) > _LISTED_GAPS)
    hours = math.fsum(gap.hours for gap in gaps)
    return (
        ReportEntry(
            file=origin.name,
            row=gaps[0].row,
            found=f"{hours:g} h are missing: "
            + "; ".join(str(gap) for gap in gaps[:_LISTED_GAPS])
            + more,
            expected="every interval from the first to the last",
            done="left open, nothing was filled in",
        ),
    )


def _day_notices(origin: Origin, start: Seconds, length: Seconds) -> tuple[Notice, ...]:
    days = change_days(start, length, origin.clock)
    if not days:
        return ()
    listed = ", ".join(f"{day} has {hours:g} hours" for day, hours in days)
    text = f"{origin.name}: the clock of {origin.clock.name} changes: {listed}."
    return (Notice(topic="meter", text=text),)


def _notices(report: ImportReport) -> tuple[Notice, ...]:
    return tuple(Notice(topic="meter", text=f"{entry}.") for entry in report.entries)


def _defaults(read_as: Sequence[ReadAs]) -> tuple[UsedDefault, ...]:
    return tuple(
        UsedDefault(name=f"meter {line.name}", value=line.value, source=line.basis)
        for line in read_as
        if line.basis.startswith("common practice")
    )
