"""The variants of a sweep: which fields vary, over which values, and in which pieces they run."""

from __future__ import annotations

import csv
import hashlib
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np

from energymodel import __version__
from energymodel.arrays import Index
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.scenario.changes import changed, value_of_text
from energymodel.scenario.changes import field as field_of
from energymodel.scenario.field_path import Step, read_path, read_paths, write_path
from energymodel.scenario.fields import shown
from energymodel.scenario.files import Scenario
from energymodel.scenario.place import Place
from energymodel.weather.year import WeatherYear

MOST_VARIANTS = 10_000_000
LABEL = "label"
_LARGEST_TABLE = 200_000_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Axis:
    """One field that varies, or several that vary together.

    Parameters
    ----------
    paths
        Names of the fields.
    values
        Its different values, as a scenario file writes them; None: not written.
    codes
        Which value each variant has, shape (variants,); None: by counting through a grid.
    stride
        Of a grid: variants until the next value.
    as_written
        Position of the value that leaves the field as the scenario has it; -1: none does.
    """

    paths: tuple[str, ...]
    values: tuple[object, ...]
    codes: Index | None = None
    stride: int = 1
    as_written: int = -1

    def code(self, variants: Index) -> Index:
        """Look up which value some variants have.

        Parameters
        ----------
        variants
            Numbers of variants, from 0.

        Returns
        -------
        Index
            Positions in `values`.
        """
        if self.codes is not None:
            chosen: Index = self.codes[variants]
            return chosen
        return (variants // self.stride) % len(self.values)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SweepPlan:
    """All variants of a scenario, none of them made yet.

    Parameters
    ----------
    base
        The scenario without its sweep.
    axes
        What varies.
    count
        Number of variants.
    labels
        Their names, where a table gives some; empty: none.
    months
        Whether month rows are wanted.
    digest
        Of everything that decides the numbers: scenario, sweep, files they name, version.
    weather
        Weather years that have been read, by place.
    """

    base: Scenario
    axes: tuple[Axis, ...]
    count: int
    labels: tuple[str, ...]
    months: bool
    digest: str
    weather: Mapping[Place, WeatherYear] = field(default_factory=dict)

    @property
    def options(self) -> tuple[str, ...]:
        """Names of the options, in the order of the file."""
        return tuple(option.name for option in self.base.content.option)

    @property
    def paths(self) -> tuple[str, ...]:
        """Names of all fields that vary."""
        return tuple(path for axis in self.axes for path in axis.paths)

    def changes(self, variant: int, axes: Sequence[Axis] | None = None) -> dict[str, object]:
        """Tell what is different in a variant.

        Parameters
        ----------
        variant
            Its number, from 0.
        axes
            Only these; None: all.

        Returns
        -------
        dict
            Value by path.
        """
        at = np.array([variant], dtype=np.intp)
        chosen = [(axis, int(axis.code(at)[0])) for axis in (self.axes if axes is None else axes)]
        return {
            path: axis.values[code]
            for axis, code in chosen
            if code != axis.as_written
            for path in axis.paths
        }

    def scenario(self, variant: int, axes: Sequence[Axis] | None = None) -> Scenario:
        """Make the scenario of a variant.

        Parameters
        ----------
        variant
            Its number, from 0.
        axes
            Only these fields changed; None: all.

        Returns
        -------
        Scenario
            With the weather of its place, where that has been read.

        Raises
        ------
        ManyFaultsError
            If it cannot be written so.
        """
        made = changed(self.base, self.changes(variant, axes))
        return replace(made, weather=self.weather.get(made.content.place))


def sweep_plan(scenario: Scenario) -> SweepPlan:
    """Lay out the sweep of a scenario.

    Parameters
    ----------
    scenario
        With a table [sweep].

    Returns
    -------
    SweepPlan
        Nothing has been run.

    Raises
    ------
    InputError
        If there is no sweep in it, it has too many variants, or a table cannot be read.
    ManyFaultsError
        With every name of a field that leads nowhere.
    """
    table = scenario.content.sweep
    if table is None:
        raise InputError(
            "the scenario has no sweep",
            where=scenario.path.name,
            expected="[sweep.grid] with a line such as price.electricity.energy = [0.10, 0.14],"
            ' or [sweep] with table = "variants.csv"',
        )
    base = changed(scenario, {"sweep": None})
    labels: tuple[str, ...] = ()
    if table.table is not None:
        axes, labels, count = _from_file(base, scenario.path.parent / table.table)
    else:
        axes, count = _from_grid(table.grid or {})
    _check(base, axes)
    if count > MOST_VARIANTS:
        raise InputError(
            f"{count:,} variants",
            where=f"{scenario.path.name}, sweep",
            expected=f"at most {MOST_VARIANTS:,}",
            remedy="take fewer values, or several sweeps",
        )
    plan = SweepPlan(
        base=base, axes=axes, count=count, labels=labels, months=table.months, digest=""
    )
    return replace(plan, digest=_digest(plan))


def _from_grid(grid: Mapping[str, list[Any]]) -> tuple[tuple[Axis, ...], int]:
    count = math.prod(len(values) for values in grid.values())
    stride, axes = count, []
    for key, values in grid.items():
        stride //= len(values)
        axes.append(Axis(paths=_each(key), values=tuple(values), stride=stride))
    return tuple(axes), count


def _each(key: str) -> tuple[str, ...]:
    return tuple(write_path(*steps) for steps in read_paths(key))


def _from_file(base: Scenario, path: Path) -> tuple[tuple[Axis, ...], tuple[str, ...], int]:
    rows = _rows(path)
    head = [name.strip() for name in next(rows, [])]
    if not any(head):
        raise InputError("the table is empty", where=str(path), expected="names of fields on top")
    cells = [list(row) for row in rows if any(cell.strip() for cell in row)]
    ragged = [number for number, row in enumerate(cells, 2) if len(row) != len(head)]
    if ragged or not cells:
        what = f"row {ragged[0]} has {len(cells[ragged[0] - 2])} cells" if ragged else "no rows"
        raise InputError(what, where=str(path), expected=f"{len(head)} cells in every row")
    if len(set(head)) < len(head):
        raise InputError("a header stands twice", where=str(path), expected="each field once")
    labels: tuple[str, ...] = ()
    axes = []
    for name, column in zip(head, zip(*cells, strict=True), strict=True):
        if name == LABEL:
            labels = tuple(cell.strip() for cell in column)
            continue
        try:
            axes.append(_column(base, name, column))
        except InputError as error:
            raise ManyFaultsError([error], where=str(path)) from None
    return tuple(axes), labels, len(cells)


def _column(base: Scenario, name: str, cells: Sequence[str]) -> Axis:
    paths = _each(name)
    written, codes = np.unique(np.array([cell.strip() for cell in cells]), return_inverse=True)
    as_written = field_of(base, paths[0])
    values = tuple(
        value_of_text(base, paths[0], str(text)) if text else as_written for text in written
    )
    empty = np.flatnonzero(written == "")
    return Axis(
        paths=paths,
        values=values,
        codes=codes.astype(np.intp),
        as_written=int(empty[0]) if empty.size else -1,
    )


def _rows(path: Path) -> Iterator[list[str]]:
    try:
        if path.stat().st_size > _LARGEST_TABLE:
            raise InputError("the table is too large", where=str(path), expected="200 MB at most")
        text = path.read_text("utf-8-sig")
    except FileNotFoundError:
        raise InputError(
            "there is no such table",
            where=str(path),
            remedy="file names count from the folder of the scenario",
        ) from None
    except UnicodeDecodeError:
        raise InputError("not a text in UTF-8", where=str(path), expected="a CSV file") from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=str(path)) from None
    try:
        yield from csv.reader(StringIO(text, newline=""), strict=True)
    except csv.Error as error:
        raise InputError(f"not a CSV table: {error}", where=str(path)) from None


def _check(base: Scenario, axes: Sequence[Axis]) -> None:
    faults: list[EnergyModelError] = []
    paths = [path for axis in axes for path in axis.paths]
    faults += [
        InputError(f"{path} varies twice", expected="each field once")
        for path in dict.fromkeys(paths)
        if paths.count(path) > 1
    ]
    for axis in axes:
        for path in axis.paths:
            try:
                field_of(base, path)
                _check_options(read_path(path))
            except EnergyModelError as error:
                faults.append(error)
            else:
                faults += _missing_tariffs(base, path, axis.values)
    if faults:
        raise ManyFaultsError(faults, where=f"{base.path.name}, sweep")


def _missing_tariffs(base: Scenario, path: str, values: Sequence[object]) -> Iterator[InputError]:
    """Find tariff files that are not there: each would refuse its variants after the run."""
    steps = read_path(path)
    if steps[0] != "price" or steps[-1] != "tariff":
        return
    for value in values:
        if isinstance(value, str) and not _is_file(base.path.parent / value):
            yield InputError(
                f"there is no tariff file {shown(value)}",
                where=path,
                expected=f"files in the folder of {base.path.name}, or whole paths",
            )


def _check_options(steps: tuple[Step, ...]) -> None:
    """Refuse what would change which options there are: rows are labelled by their names."""
    named = steps[0] == "option" and (len(steps) < 3 or steps[2] in ("name", "present"))
    if named or steps[0] in ("sweep", "currency"):
        raise InputError(
            f"{shown(write_path(*steps))} cannot vary",
            expected="a field inside an option, the room, the place or a price",
        )


def _digest(plan: SweepPlan) -> str:
    """Mark everything that decides the numbers, the files that are named included."""
    sha = hashlib.sha256()
    axes = [[axis.paths, axis.values, axis.stride] for axis in plan.axes]
    parts = [__version__, plan.base.written, axes, plan.labels, plan.count, plan.months]
    sha.update(json.dumps(parts, sort_keys=True, default=str).encode())
    for axis in plan.axes:
        if axis.codes is not None:
            sha.update(axis.codes.tobytes())
    texts = sorted({*_texts(plan.base.written), *_texts([axis.values for axis in plan.axes])})
    for text in texts:
        named = plan.base.path.parent / text
        if "." in text and len(text) < 200 and _is_file(named):
            sha.update(hashlib.sha256(named.read_bytes()).digest())
    return sha.hexdigest()


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from _texts(inner)
