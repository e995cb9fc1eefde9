"""Where a picture may be written: asked before the work, not after it."""

from __future__ import annotations

from pathlib import Path

from energymodel.errors import InputError

ENDINGS = (".png", ".svg")


def check_picture(path: Path, *, replace: bool) -> None:
    """Refuse a path that no picture can be written to.

    Parameters
    ----------
    path
        Wanted file.
    replace
        Whether a file that exists may be replaced.

    Raises
    ------
    InputError
        If the file exists, its folder does not, or its ending is another one.
    """
    if path.suffix not in ENDINGS:
        raise InputError(f"{path.name} is no picture", expected="a name that ends in .png or .svg")
    if not path.parent.is_dir():
        raise InputError(f"there is no folder {path.parent}", remedy="make it first")
    if path.exists() and not replace:
        raise InputError(f"{path} exists", remedy="add --replace, or choose another name")
