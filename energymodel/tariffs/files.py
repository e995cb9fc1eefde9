"""Tariff files of both kinds: the readable form, and records of the rate database."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from energymodel.errors import InputError, ManyFaultsError
from energymodel.notices import Notice
from energymodel.tariffs.plausible import money_first, tariff_notices
from energymodel.tariffs.rate_choice_words import read_choices
from energymodel.tariffs.rate_choices import RateChoices
from energymodel.tariffs.rate_database import ImportedTariff, tariff_from_record
from energymodel.tariffs.rate_files import read_rate_file
from energymodel.tariffs.rate_record import RateRecord
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_form import read_tariff

_RECORDS = (".json", ".csv")


def read_tariff_file(
    path: Path, zone: str | None, choices: Sequence[str] = ()
) -> tuple[Tariff, tuple[Notice, ...]]:
    """Read a tariff file, or the first record of a rate database file.

    Parameters
    ----------
    path
        TOML, or JSON and CSV of the rate database.
    zone
        Time zone of the place; None: not given.
    choices
        What the rate database leaves undefined, each "name=value", as
        :data:`energymodel.tariffs.rate_choice_words.CHOICES`.

    Returns
    -------
    tariff
        The record.
    notices
        What looks like a slip in it, then the choices that were taken.

    Raises
    ------
    InputError
        If the file cannot be read or billed, or a choice is not known.
    ManyFaultsError
        With every fault of the content at once.
    """
    if path.suffix.lower() not in _RECORDS:
        if choices:
            raise InputError(
                "choices are for records of the rate database",
                where=path.name,
                remedy="edit the tariff file itself",
            )
        tariff = read_tariff(path)
        return tariff, tariff_notices(tariff)
    chosen = read_choices(choices, zone=zone)
    records = read_rate_file(path, missing_rate=chosen.missing_rate)
    found = _imported(records[0], chosen, path.name)
    notices = (*tariff_notices(found.tariff), *found.notices)
    if len(records) > 1:
        text = f"{len(records):,} records are in the file; the first is taken."
        notices += (Notice(topic="rate database", text=text),)
    return found.tariff, money_first(notices)


def _imported(record: RateRecord, choices: RateChoices, name: str) -> ImportedTariff:
    """Make the tariff; what is wrong with it is told with the name of the file."""
    try:
        return tariff_from_record(record, choices)
    except ManyFaultsError as error:
        raise ManyFaultsError(error.faults, where=name) from None
    except InputError as error:
        raise InputError(
            error.what,
            where=f"{name}, {error.where}" if error.where else name,
            expected=error.expected,
            remedy=error.remedy.replace("FILE", name),
        ) from None
