"""Tariff files of both kinds: the readable form, and records of the rate database."""

from __future__ import annotations

from pathlib import Path

from energymodel.notices import Notice
from energymodel.tariffs.rate_choices import RateChoices
from energymodel.tariffs.rate_database import tariff_from_record
from energymodel.tariffs.rate_files import read_rate_file
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_form import read_tariff


def read_tariff_file(path: Path, zone: str | None) -> tuple[Tariff, tuple[Notice, ...]]:
    """Read a tariff file, or the first record of a rate database file.

    Parameters
    ----------
    path
        TOML, or JSON and CSV of the rate database.
    zone
        Time zone of the place; None: not given.

    Returns
    -------
    tariff
        The record.
    notices
        Choices that were taken.
    """
    if path.suffix.lower() not in (".json", ".csv"):
        return read_tariff(path), ()
    records = read_rate_file(path)
    found = tariff_from_record(records[0], RateChoices(zone=zone))
    several = Notice(
        topic="rate database", text=f"{len(records)} records are in the file; the first is taken."
    )
    return found.tariff, (*found.notices, *((several,) if len(records) > 1 else ()))
