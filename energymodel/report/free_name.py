"""A name for a new file that does not take the place of another."""

from __future__ import annotations

from itertools import count
from pathlib import Path


def free_name(path: Path) -> Path:
    """Find a file name that is free, with a number behind it where the wanted one is taken.

    Parameters
    ----------
    path
        Wanted name.

    Returns
    -------
    Path
        The name itself where it is free, else "name-2", "name-3" and so on.

    Examples
    --------
    >>> free_name(Path("no-such-file.pdf")).name
    'no-such-file.pdf'
    """
    if not path.exists():
        return path
    numbered = (path.with_name(f"{path.stem}-{number}{path.suffix}") for number in count(2))
    return next(name for name in numbered if not name.exists())
