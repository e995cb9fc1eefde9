"""Files that are written: asked for before the work, and there whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from energymodel.errors import InputError

PICTURES = (".png", ".svg")
TABLES = (".json", ".csv")


def check_new_file(path: Path, *, endings: Sequence[str] = (), replace: bool) -> None:
    """Refuse a path that no file can be written to.

    Parameters
    ----------
    path
        Wanted file.
    endings
        Those that its name may have, such as ".png"; empty: any.
    replace
        Whether a file that exists may be replaced.

    Raises
    ------
    InputError
        If the ending is another one, the folder does not exist or cannot be written to, or the
        file exists.

    Examples
    --------
    >>> check_new_file(Path("room.txt"), endings=(".png", ".svg"), replace=False)
    Traceback (most recent call last):
    ...
    energymodel.errors.InputError: room.txt: this is no name for such a file.
      expected: a name that ends in .png or .svg
    """
    try:
        _check(path, endings, replace=replace)
    except OSError as error:  # a name that no file can have
        raise _unwritten(path, error) from None


def _unwritten(path: Path, error: OSError) -> InputError:
    return InputError(
        f"cannot be written: {error.strerror or error}",
        where=str(path),
        remedy="choose another name or folder",
    )


def _check(path: Path, endings: Sequence[str], *, replace: bool) -> None:
    where = str(path)
    if path.is_dir():
        raise InputError(
            "this is a folder", where=where, remedy="name a file in it, or choose another name"
        )
    if endings and path.suffix.lower() not in endings:
        raise InputError(
            "this is no name for such a file",
            where=where,
            expected=f"a name that ends in {' or '.join(endings)}",
        )
    if not path.parent.is_dir():
        raise InputError(f"there is no folder {path.parent}", where=where, remedy="make it first")
    if not os.access(path.parent, os.W_OK):
        raise InputError(
            f"the folder {path.parent} cannot be written to",
            where=where,
            remedy="choose another folder",
        )
    if path.exists() and not replace:
        raise InputError(
            "this file exists", where=where, remedy="choose another name, or add --replace"
        )


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """Give a hidden name to write to, which takes the place of a path once all is written.

    Parameters
    ----------
    path
        The file.

    Yields
    ------
    Path
        In the same folder, with the same ending; it is gone afterwards in any case.

    Raises
    ------
    InputError
        If it cannot be written.
    """
    part = path.with_name(f".{path.stem}.part{path.suffix}")
    try:
        yield part
        part.replace(path)
    except OSError as error:
        raise _unwritten(path, error) from None
    finally:
        part.unlink(missing_ok=True)


def write_new(path: Path, content: bytes | str) -> Path:
    """Write a file whole or not at all.

    Parameters
    ----------
    path
        The file; checked before by :func:`check_new_file`.
    content
        Text is written in UTF-8 with its line ends as they are.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If it cannot be written.
    """
    with new_file(path) as part:
        part.write_bytes(content.encode() if isinstance(content, str) else content)
    return path
