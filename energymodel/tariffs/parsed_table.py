"""A table of a parsed file, read key by key; every fault is collected with its path."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import date, datetime
from difflib import get_close_matches
from typing import TypeVar

from energymodel.errors import EnergyModelError, InputError

Value = TypeVar("Value")
Faults = list[EnergyModelError]


class Table:
    """One table.

    Parameters
    ----------
    content
        Parsed TOML or JSON.
    path
        Where it stands in the file; empty for the file itself.
    faults
        Collects what is wrong, over all tables of the file.
    """

    __slots__ = ("_asked", "_content", "faults", "path")

    def __init__(self, content: Mapping[str, object], *, path: str, faults: Faults) -> None:
        self._content = content
        self._asked: list[str] = []
        self.path = path
        self.faults = faults

    def at(self, key: str) -> str:
        """Name the place of a key.

        Parameters
        ----------
        key
            In this table.

        Returns
        -------
        str
            Path in the file.
        """
        return f"{self.path}.{key}" if self.path else key

    def fault(self, key: str, what: str, *, expected: str = "", remedy: str = "") -> None:
        """Note a fault.

        Parameters
        ----------
        key
            Where; empty: the table itself.
        what, expected, remedy
            As in :class:`energymodel.errors.EnergyModelError`.
        """
        place = self.at(key) if key else self.path
        self.faults.append(InputError(what, where=place, expected=expected, remedy=remedy))

    def has(self, key: str) -> bool:
        """Ask whether a key is there.

        Parameters
        ----------
        key
            In this table.

        Returns
        -------
        bool
            Whether it is.
        """
        self._asked.append(key)
        return key in self._content

    def _take(self, key: str, kind: type[Value], noun: str) -> Value | None:
        if not self.has(key):
            return None
        value = self._content[key]
        if isinstance(value, kind) and not (kind is not bool and isinstance(value, bool)):
            return value
        self.fault(key, f"{_shown(value)} will not do", expected=noun)
        return None

    def text(self, key: str, default: str = "") -> str:
        """Read a text.

        Parameters
        ----------
        key
            In this table.
        default
            Where it is missing.

        Returns
        -------
        str
            The text.
        """
        found = self._take(key, str, "a text in quotes")
        return default if found is None else found

    def needed_text(self, key: str) -> str:
        """Read a text that must be there.

        Parameters
        ----------
        key
            In this table.

        Returns
        -------
        str
            The text; empty after a fault.
        """
        if not self.has(key):
            self.fault(key, "this is missing", expected=f'{key} = "..."')
        return self.text(key)

    def flag(self, key: str, *, default: bool) -> bool:
        """Read true or false.

        Parameters
        ----------
        key
            In this table.
        default
            Where it is missing.

        Returns
        -------
        bool
            The value.
        """
        found = self._take(key, bool, "true or false")
        return default if found is None else found

    def number(self, key: str, default: float | None = None) -> float:
        """Read a number.

        Parameters
        ----------
        key
            In this table.
        default
            Where it is missing; None: it must be there.

        Returns
        -------
        float
            Finite; 0 after a fault.
        """
        if not self.has(key):
            if default is None:
                self.fault(key, "this is missing", expected="a number")
            return default or 0.0
        return self._finite(key, self._content[key])

    def _finite(self, key: str, value: object) -> float:
        if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
            return float(value)
        self.fault(key, f"{_shown(value)} will not do", expected="a number")
        return 0.0

    def whole(self, key: str, default: int) -> int:
        """Read a whole number.

        Parameters
        ----------
        key
            In this table.
        default
            Where it is missing.

        Returns
        -------
        int
            The default after a fault.
        """
        number = self.number(key, float(default))
        if not number.is_integer():
            self.fault(key, f"{number:g} will not do", expected="a whole number")
            return default
        return int(number)

    def numbers(self, key: str) -> tuple[float, ...]:
        """Read one number or a list of them.

        Parameters
        ----------
        key
            In this table.

        Returns
        -------
        tuple of float
            Empty where the key is missing.
        """
        if not self.has(key):
            return ()
        value = self._content[key]
        values = value if isinstance(value, list) else [value]
        return tuple(self._finite(key, one) for one in values)

    def date(self, key: str) -> date | None:
        """Read a date.

        Parameters
        ----------
        key
            In this table.

        Returns
        -------
        date or None
            None where the key is missing.
        """
        found = self._take(key, date, "a date without quotes, such as 2024-01-01")
        if isinstance(found, datetime):
            self.fault(key, f"{found} has a time of day", expected="2024-01-01")
            return None
        return found

    def list_of(self, key: str, kind: type[Value], noun: str) -> tuple[Value, ...]:
        """Read one value or a list of them.

        Parameters
        ----------
        key
            In this table.
        kind
            Type of each.
        noun
            What is expected, in words.

        Returns
        -------
        tuple
            Empty where the key is missing.
        """
        if not self.has(key):
            return ()
        value = self._content[key]
        values = value if isinstance(value, list) else [value]
        for one in values:
            if not isinstance(one, kind):
                self.fault(key, f"{_shown(one)} will not do", expected=noun)
        return tuple(one for one in values if isinstance(one, kind))

    def texts(self, key: str) -> tuple[str, ...]:
        """Read one text or a list of them.

        Parameters
        ----------
        key
            In this table.

        Returns
        -------
        tuple of str
            Empty where the key is missing.
        """
        return self.list_of(key, str, "a text in quotes, or a list of them")

    def read(self, key: str, reader: Callable[[], Value], default: Value) -> Value:
        """Make something of a key's words, noting what is wrong with them.

        Parameters
        ----------
        key
            Where the words stand.
        reader
            Makes the value; raises InputError.
        default
            After a fault.

        Returns
        -------
        Value
            What was made.
        """
        try:
            return reader()
        except InputError as error:
            self.fault(key, error.what, expected=error.expected, remedy=error.remedy)
            return default

    def words(self, key: str, reader: Callable[[str], Value], default: Value) -> Value:
        """Make something of a text, noting at most one fault.

        Parameters
        ----------
        key
            In this table.
        reader
            Makes the value of the text; raises InputError.
        default
            Where the key is missing, and after a fault.

        Returns
        -------
        Value
            What was made.
        """
        found = self._take(key, str, "a text in quotes")
        return default if found is None else self.read(key, lambda: reader(found), default)

    def table(self, key: str) -> Table | None:
        """Read a table inside this one.

        Parameters
        ----------
        key
            In this table.

        Returns
        -------
        Table or None
            None where the key is missing.
        """
        found = self._take(key, dict, "a table")
        return None if found is None else Table(found, path=self.at(key), faults=self.faults)

    def tables(self, key: str) -> list[Table]:
        """Read one table or a list of them.

        Parameters
        ----------
        key
            In this table.

        Returns
        -------
        list of Table
            Empty where the key is missing; the path has the number and the name of each.
        """
        found = self.list_of(key, dict, "a table, or a list of them")
        tables = []
        for number, content in enumerate(found, start=1):
            name = content.get("name")
            named = f' ("{name}")' if isinstance(name, str) else ""
            path = f"{self.at(key)}[{number}]{named}"
            tables.append(Table(content, path=path, faults=self.faults))
        return tables

    def keys(self) -> list[str]:
        """All keys of a table whose keys are names.

        Returns
        -------
        list of str
            In the order of the file.
        """
        self._asked.extend(self._content)
        return list(self._content)

    def unasked(self) -> list[str]:
        """Keys that nothing has asked for.

        Returns
        -------
        list of str
            In the order of the file.
        """
        return [key for key in self._content if key not in self._asked]

    def close(self) -> None:
        """Note every key that nothing has asked for as a fault."""
        known = list(dict.fromkeys(self._asked))
        for key in self.unasked():
            near = get_close_matches(key, known, n=1, cutoff=0.5)
            self.fault(
                key,
                f'the key "{key}" is not known here',
                expected=", ".join(known),
                remedy=f'did you mean "{near[0]}"?' if near else "",
            )


def _shown(value: object) -> str:
    """Show a value in the words of the file, not of the language it was parsed with."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return "true" if value else "false"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) < 60 else text[:57] + "..."
