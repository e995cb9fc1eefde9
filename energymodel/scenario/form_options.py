"""The options of a scenario as a form offers them: take or leave, size, installed cost."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from energymodel.scenario.catalogue import catalogue_keys
from energymodel.scenario.field_path import write_path
from energymodel.scenario.files import Scenario
from energymodel.scenario.schema import OptionTable

_SIZED = re.compile(r"(?P<family>.+)-(?P<size>\d+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitSize:
    """One size of a family of catalogue units.

    Parameters
    ----------
    label
        Such as "12 kBtu/h".
    unit
        Key of the catalogue.
    """

    label: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionField:
    """An option of a scenario that a reader may take or leave, size and price.

    Parameters
    ----------
    name
        As in the scenario.
    present
        Whether it is there now.
    installed_cost
        Money.
    unit
        Key of its catalogue unit; empty: none that comes in sizes.
    sizes
        Sizes of that unit's family, the smallest first; empty: no choice.
    """

    name: str
    present: bool
    installed_cost: float
    unit: str = ""
    sizes: tuple[UnitSize, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionChoice:
    """What a reader chose for an option.

    Parameters
    ----------
    field
        The option.
    included
        Whether it is compared.
    installed_cost
        Money.
    unit
        Key of its catalogue unit; empty: none that comes in sizes.
    """

    field: OptionField
    included: bool
    installed_cost: float
    unit: str = ""


def option_fields(scenario: Scenario) -> tuple[OptionField, ...]:
    """List the options of a scenario with the sizes that their units come in.

    Parameters
    ----------
    scenario
        Checked scenario.

    Returns
    -------
    tuple of OptionField
        In the order of the scenario.

    Examples
    --------
    >>> from energymodel.scenario.files import read_scenario
    >>> last = option_fields(read_scenario())[-1]
    >>> [size.label for size in last.sizes]
    ['9 kBtu/h', '12 kBtu/h', '18 kBtu/h', '24 kBtu/h']
    """
    fields = []
    for table in scenario.content.option:
        unit = next(iter(_units(table).values()), "")
        sizes = _sizes(unit) if unit not in scenario.content.unit else ()
        fields.append(
            OptionField(
                name=table.name,
                present=table.present,
                installed_cost=table.installed_cost,
                unit=unit if sizes else "",
                sizes=sizes,
            )
        )
    return tuple(fields)


def _units(table: OptionTable) -> dict[str, str]:
    """Keys of the units of an option by service, heating first."""
    entries = {"heating": table.heating, "cooling": table.cooling}
    found = {service: getattr(entry, "unit", None) for service, entry in entries.items()}
    return {service: unit for service, unit in found.items() if isinstance(unit, str)}


def _sizes(unit: str) -> tuple[UnitSize, ...]:
    named = _SIZED.fullmatch(unit)
    keys = catalogue_keys()
    if named is None or unit not in keys:
        return ()
    family = [(_SIZED.fullmatch(key), key) for key in keys]
    same = sorted(
        (int(match["size"]), key)
        for match, key in family
        if match is not None and match["family"] == named["family"]
    )
    return tuple(UnitSize(label=f"{size} kBtu/h", unit=key) for size, key in same)


def option_changes(
    scenario: Scenario, choices: Sequence[OptionChoice], *, present: str
) -> dict[str, object]:
    """Turn what was chosen for the options into changes of the scenario.

    Parameters
    ----------
    scenario
        That the choices are about.
    choices
        One per option.
    present
        Name of the option that is there now; empty: none is. It is compared in any case.

    Returns
    -------
    dict
        New values by path, for :func:`energymodel.scenario.changes.changed`; what is as it was is
        not in it. An option whose size changes is renamed after it.
    """
    tables = {table.name: table for table in scenario.content.option}
    changes: dict[str, object] = {}
    for choice in choices:
        name = choice.field.name
        if not choice.included and name != present:
            changes[write_path("option", name)] = None
            continue
        if choice.field.present != (name == present):
            changes[write_path("option", name, "present")] = name == present
        if choice.installed_cost != choice.field.installed_cost:
            changes[write_path("option", name, "installed_cost")] = choice.installed_cost
        if choice.unit != choice.field.unit:
            for service, unit in _units(tables[name]).items():
                if unit == choice.field.unit:
                    changes[write_path("option", name, service, "unit")] = choice.unit
            changes[write_path("option", name, "name")] = renamed(choice)
    return changes


def renamed(choice: OptionChoice) -> str:
    """Name an option after the size that was chosen for it.

    Parameters
    ----------
    choice
        With a unit that comes in sizes.

    Returns
    -------
    str
        Its name with the new size in the place of the old one, else behind it.
    """
    labels = {size.unit: size.label for size in choice.field.sizes}
    old, new = labels.get(choice.field.unit, ""), labels.get(choice.unit, "")
    if not new or old == new:
        return choice.field.name
    if old and old in choice.field.name:
        return choice.field.name.replace(old, new)
    return f"{choice.field.name}, {new}"
