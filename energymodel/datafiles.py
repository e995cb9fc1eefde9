"""Where the shipped tables, weather years and notebooks lie, and what they are.

The wheel carries `data/` and `notebooks/` inside the package; in a checkout they lie beside it.
One function finds both.
"""

from __future__ import annotations

import csv
import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from energymodel.errors import EnergyModelError

_PACKAGE = Path(__file__).parent


def shipped_folder(name: str) -> Path:
    """Return the folder `data` or `notebooks` of this installation.

    Parameters
    ----------
    name
        "data" or "notebooks".

    Returns
    -------
    Path
        Folder inside the installed package, or beside it in a checkout.

    Raises
    ------
    EnergyModelError
        If the installation has no such folder.
    """
    for place in (_PACKAGE / name, _PACKAGE.parent / name):
        if place.is_dir():
            return place
    raise EnergyModelError(
        f"this installation has no folder {name!r}", remedy="install energymodel again"
    )


def data_file(*parts: str) -> Path:
    """Return the path of a shipped data file.

    Parameters
    ----------
    *parts
        Path below `data/`, part by part.

    Returns
    -------
    Path
        Existing file.

    Raises
    ------
    EnergyModelError
        If there is no such file.
    """
    path = shipped_folder("data").joinpath(*parts)
    if not path.is_file():
        raise EnergyModelError(
            f"the data file {'/'.join(parts)!r} is missing", remedy="install energymodel again"
        )
    return path


@cache
def read_table(*parts: str) -> tuple[dict[str, str], ...]:
    """Read a shipped CSV table; lines that begin with # are comments.

    Parameters
    ----------
    *parts
        Path below `data/`, part by part.

    Returns
    -------
    tuple of dict
        One dict of text per row, keyed by the header.
    """
    lines = data_file(*parts).read_text("utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if line.strip() and not line.startswith("#"))
    return tuple(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifestEntry:
    """What is known of one shipped data file.

    Parameters
    ----------
    path
        Path below `data/`, with forward slashes.
    sha256
        Checksum of the file's bytes, hexadecimal.
    source
        Where the content comes from.
    licence
        Terms under which it is shipped.
    changes
        What was done to it.
    """

    path: str
    sha256: str
    source: str
    licence: str
    changes: str


def manifest() -> tuple[ManifestEntry, ...]:
    """Return the manifest of shipped data files.

    Returns
    -------
    tuple of ManifestEntry
        One entry per file below `data/`, the manifest itself excepted.
    """
    return tuple(ManifestEntry(**row) for row in read_table("manifest.csv"))


def sha256_of(path: Path) -> str:
    """Return the checksum of a file.

    Parameters
    ----------
    path
        Existing file.

    Returns
    -------
    str
        SHA-256, hexadecimal.
    """
    return hashlib.sha256(path.read_bytes()).hexdigest()
