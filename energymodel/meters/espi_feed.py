"""The entries of an ESPI feed, tied together by the links that they carry.

References
----------
NAESB REQ.21 (Energy Services Provider Interface), XML in an Atom feed (RFC 4287).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from defusedxml import DefusedXmlException
from defusedxml import ElementTree as SafeTree

from energymodel.meters.decimal_marks import is_whole
from energymodel.meters.import_report import MeterError
from energymodel.meters.meter_text import read_bytes, size_of

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

ATOM = "{http://www.w3.org/2005/Atom}"
ESPI = "{http://naesb.org/espi}"
LARGEST_XML_BYTES = 64_000_000
_MOST_ELEMENTS = 4_000_000
_DEEPEST = 40


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
    """

    number: int
    service: int | None
    clock: Mapping[str, str] | None
    meter_readings: tuple[MeterReading, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Entry:
    kind: str
    resource: Element
    own: str
    up: str
    related: frozenset[str]


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
    if size_of(path) > LARGEST_XML_BYTES:
        raise _unsafe(name)
    entries = list(_entries(_parsed(read_bytes(path), name)))
    points = [entry for entry in entries if entry.kind == "UsagePoint"]
    if not points:
        raise MeterError(
            "the file has no usage point",
            where=name,
            expected="a Green Button file: an Atom feed with entries of http://naesb.org/espi",
        )
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


def _unsafe(name: str) -> MeterError:
    return MeterError(
        "the XML is unsafe or too large and was not read: it declares a document type or "
        "entities, nests too deep, or holds more than a meter export can",
        where=name,
        expected=f"plain Green Button XML of at most {LARGEST_XML_BYTES // 1_000_000} MB",
        remedy="export the file again from the portal",
    )


def _parsed(content: bytes, name: str) -> Element:
    depth = count = 0
    root: Element | None = None
    try:
        for event, element in SafeTree.iterparse(
            BytesIO(content), events=("start", "end"), forbid_dtd=True
        ):
            root = element if root is None else root
            depth += 1 if event == "start" else -1
            count += event == "start"
            if depth > _DEEPEST or count > _MOST_ELEMENTS:
                raise _unsafe(name)
    except DefusedXmlException:
        raise _unsafe(name) from None
    except (SafeTree.ParseError, ValueError, LookupError):
        root = None
    if root is None:
        raise MeterError(
            "the file is no sound XML",
            where=name,
            expected="a Green Button file in XML",
            remedy="export the file again; a download may have been cut short",
        )
    return root


def _entries(root: Element) -> Iterator[_Entry]:
    for entry in root.iter(f"{ATOM}entry"):
        links: dict[str, list[str]] = {"self": [], "up": [], "related": []}
        for link in entry.findall(f"{ATOM}link"):
            links.setdefault(link.get("rel", ""), []).append(_target(link.get("href", "")))
        for resource in entry.findall(f"{ATOM}content/*"):
            yield _Entry(
                kind=resource.tag.removeprefix(ESPI),
                resource=resource,
                own=next(iter(links["self"]), ""),
                up=next(iter(links["up"]), ""),
                related=frozenset(links["related"]),
            )


def _target(href: str) -> str:
    """Compare links by their path: some feeds mix absolute and relative ones."""
    href = href.strip()
    try:
        return (urlsplit(href).path or href).rstrip("/")
    except ValueError:
        return href


def _parent(child: _Entry, parents: Sequence[_Entry]) -> _Entry | None:
    for parent in parents:
        if child.up and child.up in parent.related:
            return parent
    for parent in parents:
        if child.own and child.own in parent.related:
            return parent
    for parent in parents:
        below = f"{parent.own}/"
        if parent.own and (
            child.up == parent.own or child.up.startswith(below) or child.own.startswith(below)
        ):
            return parent
    return None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Series:
    entry: _Entry
    reading_type: Mapping[str, str]
    readings: Sequence[Element]


def _series(name: str, entries: Sequence[_Entry]) -> list[_Series]:
    meters = [entry for entry in entries if entry.kind == "MeterReading"]
    types = [entry for entry in entries if entry.kind == "ReadingType"]
    readings: dict[int, list[Element]] = {id(meter): [] for meter in meters}
    loose = 0
    for block in entries:
        if block.kind != "IntervalBlock":
            continue
        meter = _parent(block, meters)
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


def _type_of(name: str, meter: _Entry, types: Sequence[_Entry]) -> Mapping[str, str]:
    linked = [kind for kind in types if kind.own and kind.own in meter.related]
    if len(linked) != 1:
        raise MeterError(
            f"a meter reading is tied to {len(linked) or 'no'} reading type"
            + "s" * (len(linked) > 1),
            where=name,
            expected="a related link from each meter reading to its one reading type",
        )
    return fields_of(linked[0].resource)


def fields_of(resource: Element) -> Mapping[str, str]:
    """Return the plain fields of a resource.

    Parameters
    ----------
    resource
        Element of the ESPI namespace.

    Returns
    -------
    mapping
        Text by the name of the child element, without blanks around it.
    """
    return {child.tag.removeprefix(ESPI): (child.text or "").strip() for child in resource}


def _usage_point(
    number: int,
    point: _Entry,
    entries: Sequence[_Entry],
    series: Sequence[_Series],
    *,
    alone: bool,
) -> UsagePoint:
    points = [entry for entry in entries if entry.kind == "UsagePoint"]
    own = [one for one in series if _parent(one.entry, points) is point]
    if alone and not own:
        own = [one for one in series if _parent(one.entry, points) is None]
    kind = point.resource.findtext(f"{ESPI}ServiceCategory/{ESPI}kind", "").strip()
    return UsagePoint(
        number=number,
        service=int(kind) if is_whole(kind) else None,
        clock=_clock_of(point, entries),
        meter_readings=tuple(
            MeterReading(number=place, reading_type=one.reading_type, readings=one.readings)
            for place, one in enumerate(own, start=1)
        ),
    )


def _clock_of(point: _Entry, entries: Sequence[_Entry]) -> Mapping[str, str] | None:
    """Take the time block that is linked, or the only one of the feed."""
    blocks = [entry for entry in entries if entry.kind == "LocalTimeParameters"]
    linked = [block for block in blocks if block.own and block.own in point.related]
    chosen = linked or blocks
    return fields_of(chosen[0].resource) if len(chosen) == 1 else None
