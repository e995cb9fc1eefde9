"""The usage points of an ESPI feed, tied together by the links that its entries carry.

References
----------
NAESB REQ.21 (Energy Services Provider Interface), XML in an Atom feed (RFC 4287).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from energymodel.meters.decimal_marks import is_whole
from energymodel.meters.espi_entries import ESPI, FeedEntry, feed_entries, fields_of, parent_of
from energymodel.meters.import_report import MeterError, ReportEntry

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_SERVICE_OF_COMMODITY = {"1": 0, "2": 0, "7": 1}
"""NAESB REQ.21, CommodityKind: 1 and 2 electricity, 7 natural gas (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeterReading:
    """One series of a usage point.

    Parameters
    ----------
    number
        Place among the series of its usage point, from 1.
    reading_type
        Text of the fields that say how to read the values.
    readings
        Its interval readings, block after block.
    """

    number: int
    reading_type: Mapping[str, str]
    readings: Sequence[Element]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UsagePoint:
    """One meter.

    Parameters
    ----------
    number
        Place in the feed, from 1.
    service
        Kind of service: 0 electricity, 1 gas, 2 water; None if not stated.
    clock
        Text of the fields of its time block; None if there is none.
    meter_readings
        Its series.
    entries
        What was taken from other entries, as the feed has no usage point.
    """

    number: int
    service: int | None
    clock: Mapping[str, str] | None
    meter_readings: tuple[MeterReading, ...]
    entries: tuple[ReportEntry, ...] = ()


def read_feed(path: Path | str) -> tuple[UsagePoint, ...]:
    """Read the usage points of a feed; names, titles and addresses are not looked at.

    Parameters
    ----------
    path
        Green Button file.

    Returns
    -------
    tuple of UsagePoint
        Those that have interval readings.

    Raises
    ------
    MeterError
        If the XML is unsafe or broken, is no ESPI feed, or its links lead nowhere.
    """
    name = Path(path).name
    entries = feed_entries(path)
    points = [entry for entry in entries if entry.kind == "UsagePoint"]
    if not points:
        return (_implied_point(name, entries),)
    series = _series(name, entries)
    found = [
        _usage_point(number, point, entries, series, alone=len(points) == 1)
        for number, point in enumerate(points, start=1)
    ]
    kept = tuple(point for point in found if point.meter_readings)
    if not kept:
        raise MeterError(
            "no usage point has interval readings",
            where=name,
            expected="interval blocks that the links of the feed tie to a usage point",
            remedy="export interval data, not bill summaries alone",
        )
    return kept


def _implied_point(name: str, entries: Sequence[FeedEntry]) -> UsagePoint:
    """Return the one usage point that a feed without usage points can only mean."""
    kinds = Counter(entry.kind for entry in entries)
    if not kinds["IntervalBlock"]:
        raise MeterError(
            "the file has no usage point and no interval block",
            where=name,
            expected="a Green Button file: an Atom feed with entries of http://naesb.org/espi",
        )
    meters = [entry for entry in entries if entry.kind == "MeterReading"]
    series = _series(name, entries) if meters else [_only_series(name, entries)]
    services = {_service_of(one.reading_type) for one in series}
    if len(services) != 1 or None in services:
        raise _no_point(name, "the commodity of its reading types does not name one service")
    clocks = [entry for entry in entries if entry.kind == "LocalTimeParameters"]
    clock = clocks[0] if len(clocks) == 1 else None
    return UsagePoint(
        number=1,
        service=services.pop(),
        clock=None if clock is None else fields_of(clock.resource),
        meter_readings=_numbered(series),
        entries=(_implied_entry(name, meters=len(meters)),),
    )


def _only_series(name: str, entries: Sequence[FeedEntry]) -> _Series:
    """Tie all blocks to the one reading type, where no link says otherwise."""
    types = [entry for entry in entries if entry.kind == "ReadingType"]
    blocks = [entry for entry in entries if entry.kind == "IntervalBlock"]
    if len(types) != 1:
        raise _no_point(name, f"it has no meter reading and {len(types) or 'no'} reading types")
    above = {block.up or block.own.rpartition("/")[0] for block in blocks}
    if len(above) != 1:
        raise _no_point(name, "its interval blocks belong to several meter readings not in it")
    readings = [
        reading for block in blocks for reading in block.resource.findall(f"{ESPI}IntervalReading")
    ]
    if not readings:
        raise _no_point(name, "its interval blocks have no readings")
    return _Series(entry=types[0], reading_type=fields_of(types[0].resource), readings=readings)


def _service_of(reading_type: Mapping[str, str]) -> int | None:
    return _SERVICE_OF_COMMODITY.get(reading_type.get("commodity", ""))


def _no_point(name: str, why: str) -> MeterError:
    return MeterError(
        f"the file has no usage point, and {why}",
        where=name,
        expected="entries UsagePoint, MeterReading and ReadingType, tied by their links; without "
        "them one reading type with its commodity, and blocks of one series",
        remedy="export the whole file again from the portal",
    )


def _implied_entry(name: str, *, meters: int) -> ReportEntry:
    whole = "the meter readings and their types" if meters else "the one reading type"
    return ReportEntry(
        file=name,
        row="",
        found="the feed has no usage point" + " and no meter reading" * (not meters),
        expected="entries that say which meter the readings are of",
        done=f"all readings were taken as one meter; unit and service are those of {whole}",
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Series:
    entry: FeedEntry
    reading_type: Mapping[str, str]
    readings: Sequence[Element]


def _series(name: str, entries: Sequence[FeedEntry]) -> list[_Series]:
    meters = [entry for entry in entries if entry.kind == "MeterReading"]
    types = [entry for entry in entries if entry.kind == "ReadingType"]
    readings: dict[int, list[Element]] = {id(meter): [] for meter in meters}
    loose = 0
    for block in entries:
        if block.kind != "IntervalBlock":
            continue
        meter = parent_of(block, meters)
        if meter is None:
            loose += 1
        else:
            readings[id(meter)].extend(block.resource.findall(f"{ESPI}IntervalReading"))
    if loose:
        raise MeterError(
            f"{loose} interval blocks are tied to no meter reading by the links of the feed",
            where=name,
            expected="an up or related link between each block and its meter reading",
        )
    return [
        _Series(
            entry=meter, reading_type=_type_of(name, meter, types), readings=readings[id(meter)]
        )
        for meter in meters
        if readings[id(meter)]
    ]


def _type_of(name: str, meter: FeedEntry, types: Sequence[FeedEntry]) -> Mapping[str, str]:
    linked = [kind for kind in types if kind.own and kind.own in meter.related]
    if len(linked) != 1:
        raise MeterError(
            f"a meter reading is tied to {len(linked) or 'no'} reading type"
            + "s" * (len(linked) > 1),
            where=name,
            expected="a related link from each meter reading to its one reading type",
        )
    return fields_of(linked[0].resource)


def _numbered(series: Sequence[_Series]) -> tuple[MeterReading, ...]:
    return tuple(
        MeterReading(number=place, reading_type=one.reading_type, readings=one.readings)
        for place, one in enumerate(series, start=1)
    )


def _usage_point(
    number: int,
    point: FeedEntry,
    entries: Sequence[FeedEntry],
    series: Sequence[_Series],
    *,
    alone: bool,
) -> UsagePoint:
    points = [entry for entry in entries if entry.kind == "UsagePoint"]
    own = [one for one in series if parent_of(one.entry, points) is point]
    if alone and not own:
        own = [one for one in series if parent_of(one.entry, points) is None]
    kind = point.resource.findtext(f"{ESPI}ServiceCategory/{ESPI}kind", "").strip()
    return UsagePoint(
        number=number,
        service=int(kind) if is_whole(kind) else None,
        clock=_clock_of(point, entries),
        meter_readings=_numbered(own),
    )


def _clock_of(point: FeedEntry, entries: Sequence[FeedEntry]) -> Mapping[str, str] | None:
    """Take the time block that is linked, or the only one of the feed."""
    blocks = [entry for entry in entries if entry.kind == "LocalTimeParameters"]
    linked = [block for block in blocks if block.own and block.own in point.related]
    chosen = linked or blocks
    return fields_of(chosen[0].resource) if len(chosen) == 1 else None
