"""Read a TOML file; whatever is wrong with it is told in one message."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from energymodel.errors import InputError

LARGEST_BYTES = 2_000_000
_LINE = re.compile(r"^(?P<what>.*?) \(at line (?P<line>\d+), column (?P<column>\d+)\)$", re.DOTALL)
_LINE_SHAPE = 'lines such as name = "value", and [table] heads'


def read_toml(path: Path, *, remedy: str = "") -> dict[str, Any]:
    """Read and parse a TOML file.

    Parameters
    ----------
    path
        File; a byte-order mark and any line ends are accepted.
    remedy
        What to do where there is no such file.

    Returns
    -------
    dict
        Parsed content.

    Raises
    ------
    InputError
        If the file cannot be read, is no text in UTF-8, is too large, or is not TOML; a syntax
        error names its line.
    """
    try:
        return tomllib.loads(_text(path, remedy).replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        raise _syntax_fault(path, str(error)) from None
    except RecursionError:
        raise InputError(
            "tables or lists are nested too deeply", where=str(path), expected=_LINE_SHAPE
        ) from None
    except ValueError:
        # Python's own limit of digits; the parser passes it on.
        raise InputError("a number has too many digits", where=str(path)) from None


def _text(path: Path, remedy: str) -> str:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise InputError("there is no such file", where=str(path), remedy=remedy) from None
    except IsADirectoryError:
        raise InputError("this is a folder, not a file", where=str(path)) from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=str(path)) from None
    if len(content) > LARGEST_BYTES:
        raise InputError(
            "the file is too large", where=str(path), expected=f"at most {LARGEST_BYTES:,} bytes"
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise InputError(
            f"not a text in UTF-8 (line {line}, byte {error.start})",
            where=str(path),
            expected="a file in TOML, saved as UTF-8",
        ) from None


def _syntax_fault(path: Path, message: str) -> InputError:
    match = _LINE.match(message)
    if match is None:
        return InputError(f"not valid TOML: {message}", where=str(path), expected=_LINE_SHAPE)
    return InputError(
        f"not valid TOML: {match['what']} (column {match['column']})",
        where=f"{path}, line {match['line']}",
        expected=_LINE_SHAPE,
        remedy="text and quantities stand in quotes, each key once in its table",
    )
