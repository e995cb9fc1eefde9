"""Read and write scenario files (TOML)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from energymodel.datafiles import data_file
from energymodel.new_file import check_new_file, write_new
from energymodel.scenario.faults import validated
from energymodel.scenario.schema import ScenarioFile
from energymodel.scenario.toml_file import read_toml
from energymodel.weather.year import WeatherYear

DEMO = ("scenarios", "demo.toml")
STARTER = ("scenarios", "starter.toml")
HOUSE = ("scenarios", "house.toml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """A checked scenario and where it came from.

    Parameters
    ----------
    content
        The records.
    path
        File it was read from; file names inside count from its folder.
    written
        The parsed file as it stands there, before defaults and units; never changed in place.
    weather
        The weather year of its place, where that has been read already; None: it is read.
    """

    content: ScenarioFile
    path: Path
    written: Mapping[str, Any] = field(default_factory=dict, repr=False, compare=False)
    weather: WeatherYear | None = field(default=None, repr=False, compare=False)


def read_scenario(path: str | Path | None = None) -> Scenario:
    """Read and check a scenario file.

    Parameters
    ----------
    path
        TOML file; None: the demo that comes with the package.

    Returns
    -------
    Scenario
        Checked records.

    Raises
    ------
    InputError
        If the file is missing or is not TOML; a syntax error names its line.
    ManyFaultsError
        With every fault of the content at once, each with its path in the file.

    Examples
    --------
    >>> read_scenario().content.place.weather
    'greensboro-nc'
    """
    file = data_file(*DEMO) if path is None else Path(path)
    written = read_toml(file, remedy="energymodel new FILE writes one")
    content = validated(ScenarioFile, written, where=file.name)
    return Scenario(content=content, path=file, written=written)


def write_starter(path: str | Path, *, replace: bool, example: tuple[str, ...] = STARTER) -> Path:
    """Write a commented scenario that runs as it is.

    Parameters
    ----------
    path
        File to write.
    replace
        Whether an existing file may be replaced.
    example
        Shipped file to copy: STARTER, a room, or HOUSE, whose load is found from its parts.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If the file exists and may not be replaced, or its folder does not exist.
    """
    target = Path(path)
    check_new_file(target, replace=replace)
    return write_new(target, data_file(*example).read_bytes())
