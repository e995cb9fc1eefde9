"""Text of a meter file, and what of it may be shown in a message."""

from __future__ import annotations

import codecs
from dataclasses import dataclass
from pathlib import Path

from energymodel.meters.import_report import MeterError, place

LARGEST_BYTES = 200_000_000
_BEGINNING = 512
_XML_BEGINNINGS = (b"<?xml", b"<feed", b"<entry", b"<ns", b"<atom:", b"<espi:")
_MARKS = ("\ufeff", "ï»¿", "\ufffe")


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterText:
    """The lines of one file.

    Parameters
    ----------
    name
        File name for messages.
    lines
        Lines without their ends and byte-order marks.
    """

    name: str
    lines: tuple[str, ...]

    def at(self, index: int) -> str:
        """Return the place of a line.

        Parameters
        ----------
        index
            Position in `lines`, from 0.

        Returns
        -------
        str
            For example "use.csv, line 12".
        """
        return place(self.name, index + 1)


def size_of(path: Path | str) -> int:
    """Return the size of a file.

    Parameters
    ----------
    path
        File.

    Returns
    -------
    int
        Bytes; 0 if there is no such file.
    """
    try:
        return Path(path).stat().st_size
    except OSError:
        return 0


def read_bytes(path: Path | str) -> bytes:
    """Read a file that is not too large.

    Parameters
    ----------
    path
        File to read.

    Returns
    -------
    bytes
        Its content.

    Raises
    ------
    MeterError
        If it cannot be read, is empty or too large.
    """
    path = Path(path)
    try:
        size = size_of(path)
        content = b"" if size > LARGEST_BYTES else path.read_bytes()
    except FileNotFoundError:
        raise MeterError(
            "there is no such meter file",
            where=str(path),
            remedy="check the path; a relative path counts from the present folder",
        ) from None
    except OSError as fault:
        raise MeterError(
            f"the meter file cannot be read ({fault.strerror})", where=str(path)
        ) from None
    if size > LARGEST_BYTES:
        raise MeterError(
            "the file is too large for a meter export",
            where=path.name,
            expected=f"at most {LARGEST_BYTES // 1_000_000} MB",
        )
    if not content.strip():
        raise MeterError("the file is empty", where=path.name, remedy="export it again")
    return content


def read_meter_text(path: Path | str) -> MeterText:
    """Read a text file in UTF-8, UTF-16 or Windows-1252, with or without byte-order marks.

    Parameters
    ----------
    path
        File to read.

    Returns
    -------
    MeterText
        Its lines.

    Raises
    ------
    MeterError
        If the file is missing, empty, too large, a workbook, an archive, XML or a web page.
    """
    content = read_bytes(path)
    name = Path(path).name
    _refuse_other_content(content, name)
    text = _decoded(content, name)
    lines = tuple(_without_marks(line) for line in text.replace("\r\n", "\n").split("\n"))
    if len(lines) == 1 and "\r" in text:
        lines = tuple(_without_marks(line) for line in text.split("\r"))
    return MeterText(name=name, lines=lines)


def _without_marks(line: str) -> str:
    line = line.rstrip("\r")
    while line.startswith(_MARKS):
        for mark in _MARKS:
            line = line.removeprefix(mark)
    return line


def _decoded(content: bytes, name: str) -> str:
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _strictly(content, "utf-16", name)
    if b"\x00" in content:
        return _strictly(content, "utf-16-le" if content[1:2] == b"\x00" else "utf-16-be", name)
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _strictly(content: bytes, encoding: str, name: str) -> str:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        text = "\x00"
    if "\x00" in text:
        raise MeterError(
            "this is not a plain text file", where=name, remedy="save it as text (CSV, UTF-8)"
        )
    return text


def is_xml(path: Path | str) -> bool:
    """Return whether a file is XML, told by how it begins.

    Parameters
    ----------
    path
        File.

    Returns
    -------
    bool
        False also where it cannot be opened.
    """
    try:
        with Path(path).open("rb") as file:
            return _begins_as_xml(file.read(_BEGINNING))
    except OSError:
        return False


def _begins_as_xml(content: bytes) -> bool:
    # every second byte of UTF-16 is zero in plain text
    start = content[:_BEGINNING].replace(b"\x00", b"")
    return start.lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n").lower().startswith(_XML_BEGINNINGS)


def _refuse_other_content(content: bytes, name: str) -> None:
    start = content[:_BEGINNING].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if _begins_as_xml(content):
        raise MeterError(
            "this is an XML file, not a table",
            where=name,
            remedy="give it to `energymodel bill`, which reads Green Button files (from Python: "
            "read_green_button)",
        )
    if start.startswith(b"<"):
        raise MeterError(
            "this is a web page, not a meter file", where=name, remedy="export the file again"
        )
    if content.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise MeterError(
            "this is a workbook or a packed archive",
            where=name,
            remedy="save the sheet as CSV, or unpack the archive",
        )
    if content.startswith((b"\x1f\x8b", b"BZh", b"7z\xbc\xaf", b"%PDF")):
        raise MeterError(
            "this is not a plain text file", where=name, remedy="save it as text (CSV, UTF-8)"
        )
