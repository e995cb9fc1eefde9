"""Names of fields: `price.electricity.energy`, `option."Inverter 12".heating.unit`."""

from __future__ import annotations

import re
from typing import TypeAlias

from energymodel.errors import InputError
from energymodel.scenario.fields import shown

Step: TypeAlias = str | int
"""A key or the name of an entry; an index from 0."""

BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
EXAMPLES = 'price.electricity.energy or option."Electric baseboard".installed_cost'
_STEP = re.compile(
    r"""\s*(?:(?P<bare>[A-Za-z0-9_-]+)|"(?P<basic>(?:[^"\\]|\\["\\])*)"|'(?P<literal>[^']*)')"""
    r"""(?P<index>(?:\[[0-9]{1,6}\])*)\s*"""
)
_ESCAPED = re.compile(r'\\(["\\])')


def read_path(text: str) -> tuple[Step, ...]:
    """Take a path apart.

    Parameters
    ----------
    text
        Keys of the scenario file joined by dots, as TOML writes dotted keys; options and other
        entries of lists by their name. What is not letters, digits, `_` and `-` stands in quotes.
        `[2]` is the second entry of a list.

    Returns
    -------
    tuple of str and int
        Keys, names and indices from 0.

    Raises
    ------
    InputError
        If it is no path.

    Examples
    --------
    >>> read_path('option."Inverter, 12 kBtu/h".heating.unit')
    ('option', 'Inverter, 12 kBtu/h', 'heating', 'unit')
    >>> read_path("price.electricity.other_use_kwh[12]")
    ('price', 'electricity', 'other_use_kwh', 11)
    """
    paths = read_paths(text)
    if len(paths) > 1:
        raise _no_path(text)
    return paths[0]


def read_paths(text: str) -> tuple[tuple[Step, ...], ...]:
    """Take apart several paths with commas between them.

    Parameters
    ----------
    text
        One or more paths, as in :func:`read_path`.

    Returns
    -------
    tuple of tuple
        Steps of each path.

    Raises
    ------
    InputError
        If something in it is no path.

    Examples
    --------
    >>> read_paths("option.A.heating.unit, option.A.cooling.unit")
    (('option', 'A', 'heating', 'unit'), ('option', 'A', 'cooling', 'unit'))
    """
    paths: list[list[Step]] = [[]]
    at = 0
    while True:
        match = _STEP.match(text, at)
        if match is None:
            raise _no_path(text)
        paths[-1] += _steps(match, text)
        at = match.end()
        if at == len(text):
            return tuple(tuple(path) for path in paths)
        if text[at] not in ".,":
            raise _no_path(text)
        if text[at] == ",":
            paths.append([])
        at += 1


def _steps(match: re.Match[str], text: str) -> list[Step]:
    key = match["bare"]
    if key is None and match["literal"] is not None:
        key = match["literal"]
    if key is None:
        key = _ESCAPED.sub(r"\1", match["basic"])
    numbers = [int(digits) for digits in re.findall(r"\d+", match["index"])]
    if 0 in numbers:
        raise InputError(
            f"{shown(text)} asks for entry [0]", expected="[1] for the first entry of a list"
        )
    return [key, *(number - 1 for number in numbers)]


def _no_path(text: str) -> InputError:
    return InputError(
        f"{shown(text)} is not the name of a field",
        expected=f"keys of the scenario file joined by dots, such as {EXAMPLES}",
        remedy="put a name with dots, spaces or signs into quotes",
    )


def write_path(*steps: Step) -> str:
    """Write a path.

    Parameters
    ----------
    steps
        Keys, names and indices from 0.

    Returns
    -------
    str
        Names are in quotes where they need them; :func:`read_path` gives the steps back.

    Examples
    --------
    >>> write_path("option", "Inverter 12", "installed_cost")
    'option."Inverter 12".installed_cost'
    >>> write_path("price", "electricity", "other_use_kwh", 11)
    'price.electricity.other_use_kwh[12]'
    """
    text = ""
    for step in steps:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            text += f".{_key(step)}" if text else _key(step)
    return text


def _key(key: str) -> str:
    if BARE_KEY.fullmatch(key):
        return key
    escaped = key.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
