"""Choices out of a few words, and lists of tables, of a parsed file."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import TypeVar

from energymodel.tariffs.parsed_table import Table

Value = TypeVar("Value")
Choice = TypeVar("Choice", bound=StrEnum)


def read_choice(table: Table, key: str, default: Choice) -> Choice:
    """Read one word out of a few.

    Parameters
    ----------
    table, key
        Where it stands.
    default
        Where it is missing; its class holds the words.

    Returns
    -------
    Choice
        The word.
    """
    word = table.text(key, default.value)
    words = [choice.value for choice in type(default)]
    if word not in words:
        table.fault(key, f'"{word}" is not one of the choices', expected=", ".join(words))
        return default
    return type(default)(word)


def needed_words(table: Table, key: str, reader: Callable[[str], Value], default: Value) -> Value:
    """Make something of a text that must be there, noting at most one fault.

    Parameters
    ----------
    table, key
        Where it stands.
    reader
        Makes the value of the text; raises InputError.
    default
        After a fault.

    Returns
    -------
    Value
        What was made.
    """
    if not table.has(key):
        table.fault(key, "this is missing", expected=f'{key} = "..."')
    return table.words(key, reader, default)


def each(table: Table, key: str, reader: Callable[[Table], Value]) -> tuple[Value, ...]:
    """Read a list of tables.

    Parameters
    ----------
    table, key
        Where they stand.
    reader
        Reads one.

    Returns
    -------
    tuple of Value
        In the order of the file; unknown keys are noted.
    """
    found = []
    for one in table.tables(key):
        found.append(reader(one))
        one.close()
    return tuple(found)
