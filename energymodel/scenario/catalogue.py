"""Generic units that come with the package, and units described in a file of the user's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from energymodel.datafiles import shipped_folder
from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.scenario.faults import validated
from energymodel.scenario.fields import shown
from energymodel.scenario.toml_file import read_toml
from energymodel.scenario.unit_schema import IdleTable, Unit, UnitTable, build_unit

if TYPE_CHECKING:
    from energymodel.scenario.plate_schema import PlateTable


def catalogue_keys() -> tuple[str, ...]:
    """Return the keys of the units that come with the package.

    Returns
    -------
    tuple of str
        Sorted.
    """
    folder = shipped_folder("data") / "equipment"
    return tuple(sorted(path.stem for path in folder.glob("*.toml")))


@cache
def catalogue_unit(key: str) -> Unit:
    """Read a unit of the catalogue.

    Parameters
    ----------
    key
        For example "inverter-cold-climate-12".

    Returns
    -------
    Unit
        With checked maps.

    Raises
    ------
    InputError
        If there is no such unit.
    """
    if key not in catalogue_keys():
        raise _unknown(key, catalogue_keys())
    return read_unit_file(shipped_folder("data") / "equipment" / f"{key}.toml")


def read_unit_file(path: Path) -> Unit:
    """Read one unit from a TOML file.

    Parameters
    ----------
    path
        File in the form of the catalogue's files.

    Returns
    -------
    Unit
        With checked maps; its key is the file's stem.

    Raises
    ------
    InputError
        If the file is missing or is not TOML.
    ManyFaultsError
        If its content is faulty.
    """
    content = read_toml(path, remedy="file names count from the folder of the scenario")
    if "kind" in content and not {"heating", "cooling"} & content.keys():
        from energymodel.scenario.plate_unit import PlateFile  # noqa: PLC0415 - rare, slow to load

        plate = validated(PlateFile, content, where=path.name)
        return _unit_of_plate(path.stem, plate, name=plate.name, idle=plate.idle)
    return build_unit(path.stem, validated(UnitTable, content, where=path.name))


def _unit_of_plate(key: str, plate: PlateTable, *, name: str, idle: IdleTable | None) -> Unit:
    from energymodel.scenario.plate_unit import unit_of_plate  # noqa: PLC0415 - as above

    table, made = unit_of_plate(plate, name=name, idle=idle)
    unit = build_unit(key, table)
    text = (
        f"{table.name}: {len(made.guessed)} values of its map come from usual ratios;"
        " energymodel rate lists them and how sure the map is"
    )
    return replace(unit, notices=(*unit.notices, *made.notices, Notice(topic="plate", text=text)))


def find_unit(key: str, own: Mapping[str, UnitTable], folder: Path) -> Unit:
    """Find a unit by the name a scenario gives it.

    Parameters
    ----------
    key
        A key of the scenario's own units, a file name ending in .toml, or a catalogue key.
    own
        Units written in the scenario itself.
    folder
        Folder from which file names count.

    Returns
    -------
    Unit
        With checked maps.

    Raises
    ------
    InputError
        If there is no such unit.
    """
    if key in own:
        table = own[key]
        if table.plate is None:
            return build_unit(key, table)
        idle = table.idle if "idle" in table.model_fields_set else None
        return _unit_of_plate(key, table.plate, name=table.name, idle=idle)
    if key.endswith(".toml"):
        return read_unit_file(folder / key)
    if key not in catalogue_keys():
        raise _unknown(key, (*own, *catalogue_keys()))
    return catalogue_unit(key)


def _unknown(key: str, known: Sequence[str]) -> InputError:
    near = get_close_matches(key, known, n=3, cutoff=0.5)
    return InputError(
        f"there is no unit {shown(key)}",
        expected="one of " + ", ".join(known),
        remedy=f"did you mean {' or '.join(near)}?" if near else "",
    )
