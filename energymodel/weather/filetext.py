"""Text of a weather file, line by line, with faults named by line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import WeatherError

DOWNLOAD_AGAIN = "download the file again and look at it in a text editor"
_MISSING_WORDS = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "m"})


@dataclass(frozen=True, slots=True, kw_only=True)
class FileText:
    """The lines of one file.

    Parameters
    ----------
    name
        File name for messages.
    lines
        Lines without their ends; blank lines at the end are left out.
    """

    name: str
    lines: Sequence[str]

    def at(self, index: int) -> str:
        """Return the place of a line for a message.

        Parameters
        ----------
        index
            Position in `lines`, from 0.

        Returns
        -------
        str
            For example "greensboro.csv, line 12".
        """
        return f"{self.name}, line {index + 1}"


def read_file_text(path: Path | str) -> FileText:
    """Read a text file in UTF-8 (with or without byte-order mark) or Latin-1.

    Parameters
    ----------
    path
        File to read.

    Returns
    -------
    FileText
        Its lines.

    Raises
    ------
    WeatherError
        If there is no such file, it is empty, packed, binary or a web page.
    """
    path = Path(path)
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        raise WeatherError(
            "there is no such weather file",
            where=str(path),
            remedy="check the path; a relative path counts from the present folder",
        ) from None
    except OSError as fault:
        raise WeatherError(
            f"the weather file cannot be read ({fault.strerror})", where=str(path)
        ) from None
    _refuse_other_content(content, path.name)
    lines = _decoded(content).splitlines()
    while lines and not lines[-1].strip():
        lines.pop()
    if not lines:
        raise WeatherError("the file is empty", where=path.name, remedy=DOWNLOAD_AGAIN)
    return FileText(name=path.name, lines=lines)


def _decoded(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


def _refuse_other_content(content: bytes, name: str) -> None:
    start = content[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if start.startswith((b"<!doctype", b"<html", b"<?xml", b"<head", b"<body")):
        raise WeatherError(
            "this is a web page, not a weather file", where=name, remedy=DOWNLOAD_AGAIN
        )
    if content.startswith((b"PK\x03\x04", b"\x1f\x8b", b"BZh", b"7z\xbc\xaf")):
        raise WeatherError(
            "this is a packed archive", where=name, remedy="unpack it and name the file inside"
        )
    if b"\x00" in content:
        raise WeatherError(
            "this is not a plain text file", where=name, remedy="save it as text (CSV, UTF-8)"
        )


def numbers(fields: Sequence[str | bytes], *, noun: str, at: Callable[[int], str]) -> Array:
    """Turn one column of text into numbers; a blank field becomes nan.

    Parameters
    ----------
    fields
        Text of the column, one per row.
    noun
        What the column holds, for messages.
    at
        Gives the place of a row, counted from 0, for messages.

    Returns
    -------
    Array
        Numbers, shape (rows,); nan where the field is blank or says "NA".

    Raises
    ------
    WeatherError
        If a field is neither a number nor blank.
    """
    meaning = {field: _number(field) for field in dict.fromkeys(fields)}
    values = np.array([meaning[field] for field in fields], dtype=np.float64)
    if np.isinf(values).any():
        row = int(np.argmax(np.isinf(values)))
        raise WeatherError(
            f"{as_text(fields[row])!r} stands where the {noun} should be",
            where=at(row),
            expected="a number",
            remedy="correct the line, or leave the field blank if the value is missing",
        )
    return values


def as_text(field: str | bytes) -> str:
    """Return a field as text for a message.

    Parameters
    ----------
    field
        As cut from the file.

    Returns
    -------
    str
        Without blanks around it.
    """
    return (field.decode("latin-1") if isinstance(field, bytes) else field).strip()


def _number(field: str | bytes) -> float:
    """Return nan for a missing value and infinity for what is no number."""
    try:
        return float(field)
    except ValueError:
        return float("nan") if as_text(field).lower() in _MISSING_WORDS else float("inf")


def without(values: Array, sentinels: Sequence[float]) -> Array:
    """Return the values with a format's marks of missing data turned into nan.

    Parameters
    ----------
    values
        Column as read, shape (rows,).
    sentinels
        Numbers that mean "missing" in this format.

    Returns
    -------
    Array
        Same shape, nan where a sentinel stood.
    """
    return np.where(np.isin(values, sentinels), np.nan, values)
