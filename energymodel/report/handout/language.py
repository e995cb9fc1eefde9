"""Words and number formats of the customer's page, from a file for each language."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from string import Formatter
from typing import Any

from energymodel.datafiles import shipped_folder
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.report.handout.formats import Formats
from energymodel.scenario.handout_schema import LANGUAGE_CODE
from energymodel.scenario.toml_file import read_toml

FOLDER = "handout"
MODEL_LANGUAGE = "en"
_OPEN_TABLES = frozenset({"carriers", "sold_by"})
"""Tables to which a user may add entries."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Language:
    """Words of one language.

    Parameters
    ----------
    code
        Language of the text, such as "en".
    table
        Tables of texts.
    formats
        How numbers, money and dates are written.
    """

    code: str
    table: Mapping[str, Mapping[str, Any]]
    formats: Formats

    def say(self, key: str, **values: str) -> str:
        """Return a text with its places filled.

        Parameters
        ----------
        key
            Table and name, such as "room.name".
        **values
            What stands in the places.

        Returns
        -------
        str
            Plain text.
        """
        table, _, name = key.partition(".")
        return str(self.table[table][name]).format(**values)

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts.

        Parameters
        ----------
        key
            Table and name.

        Returns
        -------
        tuple of str
            May be empty.
        """
        table, _, name = key.partition(".")
        return tuple(self.table[table].get(name, ()))

    def carrier(self, name: str) -> str:
        """Name a carrier.

        Parameters
        ----------
        name
            Such as "natural gas".

        Returns
        -------
        str
            The name itself where the file has no word for it.
        """
        return str(self.table["carriers"].get(name, name))

    def listed(self, parts: Sequence[str]) -> str:
        """Join words to a list.

        Parameters
        ----------
        parts
            Words.

        Returns
        -------
        str
            "a, b and c".
        """
        *first, last = parts
        return str(self.table["format"]["list_and"]).join(
            [", ".join(first), last] if first else [last]
        )

    def services(self, names: Sequence[str]) -> str:
        """Name services.

        Parameters
        ----------
        names
            "heating", "cooling".

        Returns
        -------
        str
            "heating and cooling".
        """
        return self.listed([self.say(f"services.{name}") for name in names])

    def day(self, day: date) -> str:
        """Write a date.

        Parameters
        ----------
        day
            Of the calendar.

        Returns
        -------
        str
            As the language does.
        """
        month = self.texts("format.months")[day.month - 1]
        return self.say("format.date", day=str(day.day), month=month, year=str(day.year))


def read_language(language: str, folder: Path) -> Language:
    """Read the words of a language.

    Parameters
    ----------
    language
        Code of a shipped language, or a TOML file.
    folder
        From which a file name counts.

    Returns
    -------
    Language
        Every text of it checked against the English one.

    Raises
    ------
    InputError
        If there is no such language or file.
    ManyFaultsError
        If texts are missing, unknown, or lack or add places to fill.
    """
    shipped = LANGUAGE_CODE.fullmatch(language) is not None
    path = _shipped(language) if shipped else folder / language
    table = read_toml(path, remedy="copy data/handout/en.toml and translate it")
    faults = list(_faults(read_toml(_shipped(MODEL_LANGUAGE)), table))
    if faults:
        raise ManyFaultsError(faults, where=str(path.name))
    return Language(code=table["format"]["lang"], table=table, formats=Formats(table["format"]))


def languages() -> tuple[str, ...]:
    """List the shipped languages.

    Returns
    -------
    tuple of str
        Codes.
    """
    return tuple(sorted(path.stem for path in (shipped_folder("data") / FOLDER).glob("*.toml")))


def _shipped(code: str) -> Path:
    path = shipped_folder("data") / FOLDER / f"{code}.toml"
    if not path.is_file():
        raise InputError(
            f'there are no words for the language "{code}"',
            expected=f"one of {', '.join(languages())}, or a file such as my-words.toml",
            remedy="copy data/handout/en.toml, translate it and name the file",
        )
    return path


def _faults(model: Mapping[str, Any], table: Mapping[str, Any]) -> Iterator[EnergyModelError]:
    for name in model.keys() | table.keys():
        if name not in table or not isinstance(table[name], dict):
            yield InputError(f"the table [{name}] is missing")
        elif name not in model:
            yield InputError(f"the table [{name}] is not known")
        else:
            yield from _table_faults(name, model[name], table[name])


def _table_faults(
    name: str, model: Mapping[str, Any], table: Mapping[str, Any]
) -> Iterator[EnergyModelError]:
    for key in model:
        if key not in table:
            yield InputError(f"{name}.{key} is missing", expected=f'such as "{model[key]}"')
        else:
            yield from _text_faults(f"{name}.{key}", model[key], table[key])
    if name not in _OPEN_TABLES:
        for key in table.keys() - model.keys():
            yield InputError(f"{name}.{key} is not known")


def _text_faults(key: str, model: Any, text: Any) -> Iterator[EnergyModelError]:
    if type(model) is not type(text):
        kind = "a list of texts" if isinstance(model, list) else "a text in quotes"
        yield InputError(f"{key} is another kind of value", expected=kind)
    elif isinstance(model, list):
        wrong = [one for one in text if not isinstance(one, str) or places(one)]
        if wrong or (key == "format.months" and len(text) != len(model)):
            yield InputError(f"{key} cannot be used", expected="texts without braces")
    elif places(text) != places(model):
        yield InputError(
            f'{key} has other places to fill: "{text}"',
            expected=f"the same as in English: {' '.join(sorted(places(model))) or 'none'}",
        )


def places(text: str) -> set[str]:
    """Find the places to fill in a text.

    Parameters
    ----------
    text
        With names in braces.

    Returns
    -------
    set of str
        The names; a broken brace counts as a place of its own.

    Examples
    --------
    >>> sorted(places("{low} to {high}"))
    ['high', 'low']
    """
    try:
        found = [part for part in Formatter().parse(text) if part[1] is not None]
    except ValueError:
        return {"{"}
    return {f"{name}{':' + form if form else ''}" for _, name, form, _ in found}
