"""The commented tariff that shows every key of a tariff file."""

from __future__ import annotations

from energymodel.datafiles import data_file

TARIFF_STARTER = ("tariffs", "starter.toml")
"""Place of the file in the data that come with the package."""


def tariff_starter() -> str:
    """Read the commented tariff.

    Returns
    -------
    str
        TOML that is valid as it stands. Lines that begin with "#" and a letter are further keys.
    """
    return data_file(*TARIFF_STARTER).read_text(encoding="utf-8")
