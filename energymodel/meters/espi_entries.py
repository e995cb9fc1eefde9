"""The entries of an Atom feed of the ESPI open standard and the links between them.

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
class FeedEntry:
    """One entry of a feed.

    Parameters
    ----------
    kind
        Name of its resource: "UsagePoint", "MeterReading", ...
    resource
        Its content.
    own, up
        Links to itself and to what it belongs to; empty if there are none.
    related
        Further links.
    """

    kind: str
    resource: Element
    own: str
    up: str
    related: frozenset[str]


def feed_entries(path: Path | str) -> list[FeedEntry]:
    """Read the entries of a feed; names, titles and addresses are not looked at.

    Parameters
    ----------
    path
        Green Button file.

    Returns
    -------
    list of FeedEntry
        In the order of the file; none if the XML is no feed.

    Raises
    ------
    MeterError
        If the XML is unsafe or broken.
    """
    name = Path(path).name
    if size_of(path) > LARGEST_XML_BYTES:
        raise _unsafe(name)
    return list(_entries(_parsed(read_bytes(path), name)))


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


def _entries(root: Element) -> Iterator[FeedEntry]:
    for entry in root.iter(f"{ATOM}entry"):
        links: dict[str, list[str]] = {"self": [], "up": [], "related": []}
        for link in entry.findall(f"{ATOM}link"):
            links.setdefault(link.get("rel", ""), []).append(_target(link.get("href", "")))
        for resource in entry.findall(f"{ATOM}content/*"):
            yield FeedEntry(
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


def parent_of(child: FeedEntry, parents: Sequence[FeedEntry]) -> FeedEntry | None:
    """Find the entry that another belongs to by the links of both.

    Parameters
    ----------
    child
        Entry.
    parents
        Those that it may belong to.

    Returns
    -------
    FeedEntry or None
        None if no link ties it to any.
    """
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
