"""The same scenario with some of its fields changed, checked again as if written in the file."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import Any, get_origin

import numpy as np
from pydantic import BaseModel

from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.scenario import shape
from energymodel.scenario.faults import validated
from energymodel.scenario.field_path import Step, read_path, write_path
from energymodel.scenario.fields import shown
from energymodel.scenario.files import Scenario
from energymodel.scenario.schema import ScenarioFile

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_WHOLE = re.compile(r"[+-]?\d{1,15}")
_SHOWN_CHANGES = 3


def changed(scenario: Scenario, changes: Mapping[str, object]) -> Scenario:
    """Change named fields of a scenario.

    Parameters
    ----------
    scenario
        Stays as it is.
    changes
        New values by path: keys of the scenario file joined by dots, options and other entries
        of lists by their name, what is not letters, digits, `_` and `-` in quotes:
        `price.electricity.energy`, `option."Electric baseboard".installed_cost`. A value is
        written as in the file: a number, or a text with its unit. None takes the field out, so
        that its default holds. A tariff takes the place of a flat price.

    Returns
    -------
    Scenario
        Checked again as if the file were written so; file names still count from the scenario's
        folder.

    Raises
    ------
    ManyFaultsError
        With every path that leads nowhere, or every fault of the changed content.

    Examples
    --------
    >>> from energymodel.scenario.files import read_scenario
    >>> dearer = changed(read_scenario(), {"price.electricity.energy": 0.18})
    >>> dearer.content.price["electricity"].energy
    0.18
    """
    content = _with_all(scenario, changes)
    where = f"{scenario.path.name} with {_told(changes)}" if changes else scenario.path.name
    made = validated(ScenarioFile, content, where=where)
    same_place = made.place == scenario.content.place
    return Scenario(
        content=made,
        path=scenario.path,
        written=content,
        weather=scenario.weather if same_place else None,
    )


def field(scenario: Scenario, path: str) -> object:
    """Look up what a scenario says at a path.

    Parameters
    ----------
    scenario
        The scenario.
    path
        As in :func:`changed`.

    Returns
    -------
    object
        As written in the file; None where the file says nothing, so that a default holds.

    Raises
    ------
    InputError
        If the path leads nowhere.

    Examples
    --------
    >>> from energymodel.scenario.files import read_scenario
    >>> field(read_scenario(), "room.heating.design_load")
    '9.5 kBtu/h'
    """
    return _walked(scenario, path)[0]


def value_of_text(scenario: Scenario, path: str, text: str) -> object:
    """Read a value that came as text, from a table or a command line.

    Parameters
    ----------
    scenario
        Says what the place holds.
    path
        As in :func:`changed`.
    text
        Such as "0.14", "true", "9.5 kBtu/h".

    Returns
    -------
    object
        A number or a true or false where the place may hold one, else the text.

    Raises
    ------
    InputError
        If the path leads nowhere.

    Examples
    --------
    >>> from energymodel.scenario.files import read_scenario
    >>> demo = read_scenario()
    >>> value_of_text(demo, "price.electricity.energy", "0.14")
    0.14
    >>> value_of_text(demo, "place.name", "14")
    '14'
    """
    kinds = shape.parts(annotation_at(scenario, path))
    plain = text.strip()
    if bool in kinds and plain in ("true", "false"):
        return plain == "true"
    numeric = float in kinds or int in kinds
    if numeric and _WHOLE.fullmatch(plain):
        return int(plain)
    if numeric and _NUMBER.fullmatch(plain):
        return float(plain)
    return text


def annotation_at(scenario: Scenario, path: str) -> Any:
    """Look up what the schema allows at a path.

    Parameters
    ----------
    scenario
        Says which entries there are, and of which kind.
    path
        As in :func:`changed`.

    Returns
    -------
    type
        Annotation of the field.

    Raises
    ------
    InputError
        If the path leads nowhere.
    """
    return _walked(scenario, path)[1]


def _walked(scenario: Scenario, path: str) -> tuple[Any, Any]:
    """Follow a path: what is written there, and what the schema allows there."""
    value: Any = scenario.written
    here: Any = ScenarioFile
    done: tuple[Step, ...] = ()
    for step in read_path(path):
        key, here = _found(value, here, step, done)
        value = value[key] if isinstance(key, int) else (value or {}).get(key)
        done = (*done, step)
    return value, here


def _with_all(scenario: Scenario, changes: Mapping[str, object]) -> dict[str, Any]:
    content: dict[str, Any] = dict(scenario.written)
    faults: list[EnergyModelError] = []
    steps: dict[tuple[Step, ...], object] = {}
    for path, value in changes.items():
        try:
            steps[read_path(path)] = _plain(value)
        except EnergyModelError as error:
            faults.append(error)
    for place in sorted(steps, key=lambda place: (steps[place] is not None, *_turn(place))):
        try:
            content = _with(content, ScenarioFile, place, steps[place], ())
        except EnergyModelError as error:
            faults.append(error)
    if faults:
        raise ManyFaultsError(faults, where=scenario.path.name)
    return _under_tariffs(content, steps)


def _turn(steps: tuple[Step, ...]) -> tuple[bool, int, bool]:
    """Whole tables before what is inside, kinds before their keys, names last."""
    return steps[-1] == "name", len(steps), steps[-1] != "kind"


def _with(
    old: Any, here: Any, steps: tuple[Step, ...], value: object, done: tuple[Step, ...]
) -> Any:
    """Copy a table or list with one value changed somewhere inside."""
    if not steps:
        return value
    step, rest = steps[0], steps[1:]
    new_entry = not rest and isinstance(value, dict) and _is_dict(here)
    key, inner = (step, None) if new_entry else _found(old, here, step, done)
    at = (*done, step)
    if isinstance(key, int):
        entries = list(old)
        entries[key] = _with(entries[key], inner, rest, value, at)
        return [entry for entry in entries if entry is not None]
    made = {**(old or {}), key: _with((old or {}).get(key), inner, rest, value, at)}
    if made[key] is None:
        del made[key]
    return made


def _found(value: Any, here: Any, step: Step, done: tuple[Step, ...]) -> tuple[Step, Any]:
    """Find a step: its key or index in what is written, and what the schema allows there."""
    if isinstance(value, list):
        index = _entry(value, step, done)
        return index, shape.inside(here, index)
    tables = _tables(here, value)
    if isinstance(step, int) or not (tables or _is_dict(here)):
        place = write_path(*done)
        what = f"{shown(value)} is no list" if isinstance(step, int) else "nothing is inside it"
        raise InputError(what, where=place, remedy=f"end the path at {place}")
    if tables:
        annotations = [shape.fields(table)[step].annotation for table in tables
                       if step in shape.fields(table)]  # fmt: skip
        if not annotations:
            raise _unknown(step, [key for table in tables for key in shape.fields(table)], done)
        return step, annotations[0]
    if step not in (value or {}):
        raise _unknown(step, list(value or {}), done)
    return step, shape.inside(here, step)


def _tables(here: Any, value: Any) -> list[type[BaseModel]]:
    """List the records that a table may be: the one of its kind, else all that are allowed."""
    kind = value.get("kind") if isinstance(value, dict) else None
    tagged = shape.of_kind(here, kind) if kind is not None else None
    return [tagged] if tagged is not None else shape.records(here)


def _is_dict(here: Any) -> bool:
    return any(get_origin(part) is dict for part in shape.parts(here))


def _entry(entries: list[Any], step: Step, done: tuple[Step, ...]) -> int:
    if isinstance(step, int):
        if step < len(entries):
            return step
        raise InputError(
            f"there is no entry [{step + 1}]",
            where=write_path(*done),
            expected=f"[1] to [{len(entries)}]",
        )
    names = [entry.get("name") for entry in entries if isinstance(entry, dict)]
    if step in names:
        return names.index(step)
    known = [name for name in names if isinstance(name, str)]
    if not known:
        raise InputError(
            f"its entries have no names, so none is called {shown(step)}",
            where=write_path(*done),
            expected=f"[1] to [{len(entries)}]",
        )
    raise _unknown(step, known, done)


def _unknown(step: str, known: Iterable[str], done: tuple[Step, ...]) -> InputError:
    there = list(dict.fromkeys(known))
    near = _near(step, there)
    homes = [] if near else list(dict.fromkeys(shape.homes(ScenarioFile, step)))
    remedy = f"did you mean {write_path(*done, near)}?" if near else ""
    if 1 <= len(homes) <= 3:
        remedy = "this key belongs " + " or ".join(
            f"into {home}" if home else "at the top of the path" for home in homes
        )
    return InputError(
        f"there is no {shown(step)} in {write_path(*done)}" if done else
        f"there is no {shown(step)} in a scenario",
        where=write_path(*done, step),
        expected="one of " + ", ".join(write_path(name) for name in there),
        remedy=remedy,
    )  # fmt: skip


def _near(step: str, known: Sequence[str]) -> str:
    by_plain = {name.lower().replace("-", "_"): name for name in reversed(known)}
    written = step.lower().replace("-", "_")
    near = get_close_matches(written, list(by_plain), n=1, cutoff=0.5)
    if near:
        return by_plain[near[0]]
    begun = [name for plain, name in by_plain.items() if written and plain.startswith(written)]
    return begun[0] if len(begun) == 1 else ""


def _plain(value: Any) -> Any:
    """Write a value of Python as a TOML file would hold it."""
    if isinstance(value, np.generic):
        return value.item()
    if isinstance(value, os.PathLike):
        return os.fspath(value)
    if isinstance(value, Mapping):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [_plain(inner) for inner in value]
    return value


_FLAT = ("energy", "per", "fixed", "heat_content")


def _under_tariffs(
    content: dict[str, Any], paths: Mapping[tuple[Step, ...], object]
) -> dict[str, Any]:
    """Take out the flat price where a tariff was put into its place."""
    for steps, value in paths.items():
        if len(steps) == 3 and (steps[0], steps[2]) == ("price", "tariff") and value is not None:
            key = str(steps[1])
            gone = [name for name in _FLAT if ("price", key, name) not in paths]
            table = {k: v for k, v in content["price"][key].items() if k not in gone}
            content = {**content, "price": {**content["price"], key: table}}
    return content


def _told(changes: Mapping[str, object]) -> str:
    told = [
        f"{path} left out" if value is None else f"{path} = {shown(_plain(value))}"
        for path, value in changes.items()
    ]
    more = len(told) - _SHOWN_CHANGES
    return ", ".join(told[:_SHOWN_CHANGES]) + (f" and {more} more" if more > 0 else "")
