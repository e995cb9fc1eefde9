"""Texts of tariff files: read whole, up to a size; what is wrong is told in one message."""

from __future__ import annotations

from pathlib import Path

from energymodel.errors import InputError


def read_text(path: str | Path, *, largest: int, expected: str) -> str:
    """Read a text file.

    Parameters
    ----------
    path
        Of the file.
    largest
        Number of bytes above which it is refused unread.
    expected
        What the file should be, in words.

    Returns
    -------
    str
        Its text, without a byte-order mark.

    Raises
    ------
    InputError
        If the file is missing, too large, cannot be read or is no text in UTF-8.
    """
    file = Path(path)
    try:
        with file.open("rb") as opened:
            content = opened.read(largest + 1)
    except FileNotFoundError:
        raise InputError("there is no such file", where=str(file)) from None
    except IsADirectoryError:
        raise InputError("this is a folder, not a file", where=str(file)) from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=str(file)) from None
    if len(content) > largest:
        raise InputError(
            "the file is too large",
            where=str(file),
            expected=f"{expected} of at most {largest // 1_000_000} million bytes",
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise InputError(
            f"not a text file in UTF-8 (line {line}, byte {error.start})",
            where=str(file),
            expected=expected,
        ) from None
