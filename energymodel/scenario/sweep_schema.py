"""Record of a sweep: a grid or a table of named fields of the same scenario."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, model_validator

from energymodel.errors import InputError
from energymodel.scenario.field_path import Step, read_paths, write_path
from energymodel.scenario.fields import Record, refuse, shown

_RANGE = frozenset({"from", "to", "steps"})
_MOST_STEPS = 100_000
_WITH_UNIT = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(\D.*?)\s*")
_WANTED = 'a list such as [0.10, 0.14], or { from = "8 kBtu/h", to = "12 kBtu/h", steps = 5 }'


def _flattened(value: object) -> dict[str, list[Any]]:
    """Bring nested keys, as TOML reads dotted ones, to one entry per path."""
    if not isinstance(value, dict):
        raise refuse(
            f"{shown(value)} is not a grid",
            expected="a table [sweep.grid] with a line such as price.electricity.energy ="
            " [0.10, 0.14]",
        )
    grid: dict[str, list[Any]] = {}
    for key, inner in value.items():
        try:
            paths = read_paths(key)
        except InputError as error:
            raise refuse(error.what, expected=error.expected, remedy=error.remedy) from None
        if len(paths) > 1:
            grid[", ".join(write_path(*path) for path in paths)] = _values(key, inner)
            continue
        for steps, leaf in _leaves(paths[0], inner):
            path = write_path(*steps)
            if path in grid:
                raise refuse(f"{path} stands twice in the grid", remedy="write it once")
            grid[path] = _values(path, leaf)
    return grid


def _leaves(steps: tuple[Step, ...], value: object) -> Iterator[tuple[tuple[Step, ...], object]]:
    if not isinstance(value, dict) or value.keys() & _RANGE:
        yield steps, value
        return
    for key, inner in value.items():
        yield from _leaves((*steps, key), inner)


def _values(path: str, value: object) -> list[Any]:
    if isinstance(value, dict):
        return _steps(path, value)
    if not isinstance(value, list):
        raise refuse(f"{path} has one value, {shown(value)}", expected=_WANTED)
    if not value:
        raise refuse(f"{path} has no value", expected=_WANTED)
    twice = [one for number, one in enumerate(value) if one in value[:number]]
    if twice:
        raise refuse(f"{path} lists {shown(twice[0])} twice", expected="each value once")
    return value


def _steps(path: str, value: Mapping[str, object]) -> list[Any]:
    count = value.get("steps")
    if value.keys() != _RANGE or type(count) is not int or not 2 <= count <= _MOST_STEPS:
        raise refuse(
            f"the range of {path} cannot be read",
            expected=f"from, to and steps (2 to {_MOST_STEPS:,}), or a list of values",
        )
    (first, unit), (last, other) = _number(path, value["from"]), _number(path, value["to"])
    if unit != other or first == last:
        raise refuse(
            f"{path} goes from {shown(value['from'])} to {shown(value['to'])}",
            expected="two different ends with the same unit",
        )
    numbers = [float(f"{first + (last - first) * i / (count - 1):.12g}") for i in range(count)]
    return [f"{number:.12g} {unit}" for number in numbers] if unit else numbers


def _number(path: str, value: object) -> tuple[float, str]:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return float(value), ""
    match = _WITH_UNIT.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise refuse(
            f"{path} has the end {shown(value)}",
            expected='a number, or one with its unit such as "8 kBtu/h"',
        )
    return float(match[1]), match[2]


class SweepTable(Record):
    """Variants of the scenario: every combination of a grid, or the rows of a table."""

    months: bool = False
    table: str | None = Field(
        default=None, min_length=1, description="a CSV file whose headers are names of fields"
    )
    grid: Annotated[dict[str, list[Any]], BeforeValidator(_flattened)] | None = None

    @model_validator(mode="after")
    def _one_way(self) -> SweepTable:
        if (self.table is None) == (not self.grid):
            both = "both a table and a grid" if self.grid else "neither a table nor a grid"
            raise refuse(
                f"the sweep has {both}",
                expected='table = "variants.csv", or [sweep.grid] with lists of values',
            )
        return self
