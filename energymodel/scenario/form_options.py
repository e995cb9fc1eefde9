"""The options of a scenario as a form offers them: take or leave, size, fuel, installed cost."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

from energymodel.errors import InputError
from energymodel.scenario.catalogue import catalogue_keys
from energymodel.scenario.field_path import write_path
from energymodel.scenario.files import Scenario
from energymodel.scenario.heater_kinds import BurnerRecord
from energymodel.scenario.prices import carrier_of
from energymodel.scenario.schema import OptionTable

MOST_COST = 1e9
"""Installed cost from which on a slip is taken for granted, money of any currency (our choice)."""
_FUEL_NAMES = {
    "natural gas": ("natural gas", "gas"),
    "heating oil": ("heating oil", "oil"),
}
"""Names of a fuel in the name of an option where it has more than its own, the longest first."""
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
    fuel
        What its heater burns; empty: no choice.
    fuels
        What it may burn of what has a price; empty: no choice.
    """

    name: str
    present: bool
    installed_cost: float
    unit: str = ""
    sizes: tuple[UnitSize, ...] = ()
    fuel: str = ""
    fuels: tuple[str, ...] = ()


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
    fuel
        What its heater burns; empty: no choice.
    """

    field: OptionField
    included: bool
    installed_cost: float
    unit: str = ""
    fuel: str = ""


def option_fields(scenario: Scenario) -> tuple[OptionField, ...]:
    """List the options of a scenario with the sizes of their units, or the fuels of their heater.

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
        fuels = () if sizes else _fuels(table, scenario)
        fields.append(
            OptionField(
                name=table.name,
                present=table.present,
                installed_cost=table.installed_cost,
                unit=unit if sizes else "",
                sizes=sizes,
                fuel=getattr(table.heating, "fuel", "") if fuels else "",
                fuels=fuels,
            )
        )
    return tuple(fields)


def _fuels(table: OptionTable, scenario: Scenario) -> tuple[str, ...]:
    """Fuels that the heater of an option may burn and that have a price; none of only one."""
    heater = table.heating
    if not isinstance(heater, BurnerRecord):
        return ()
    priced = {carrier_of(key) for key in scenario.content.price}
    allowed = get_args(type(heater).model_fields["fuel"].annotation)
    found = tuple(fuel for fuel in allowed if fuel in priced)
    return found if len(found) > 1 else ()


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
        not in it. An option whose size or fuel changes is renamed after it.

    Raises
    ------
    InputError
        If an installed cost is no such cost.
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
            _check_cost(choice)
            changes[write_path("option", name, "installed_cost")] = choice.installed_cost
        if choice.unit != choice.field.unit:
            for service, unit in _units(tables[name]).items():
                if unit == choice.field.unit:
                    changes[write_path("option", name, service, "unit")] = choice.unit
            changes[write_path("option", name, "name")] = renamed(choice)
        if choice.fuel != choice.field.fuel:
            changes[write_path("option", name, "heating", "fuel")] = choice.fuel
            changes[write_path("option", name, "name")] = renamed(choice)
    return changes


def _check_cost(choice: OptionChoice) -> None:
    if not 0.0 <= choice.installed_cost < MOST_COST:
        raise InputError(
            f"{choice.installed_cost:g} cannot be an installed cost",
            where=choice.field.name,
            expected=f"0 to less than {MOST_COST:,.0f}",
        )


def renamed(choice: OptionChoice) -> str:
    """Name an option after the size or fuel that was chosen for it.

    Parameters
    ----------
    choice
        With a unit that comes in sizes, or a heater that burns one fuel or another.

    Returns
    -------
    str
        Its name with the new size or fuel in the place of the old one, else behind it.
    """
    if choice.fuel != choice.field.fuel:
        return _renamed_fuel(choice)
    labels = {size.unit: size.label for size in choice.field.sizes}
    old, new = labels.get(choice.field.unit, ""), labels.get(choice.unit, "")
    if not new or old == new:
        return choice.field.name
    if old and old in choice.field.name:
        return choice.field.name.replace(old, new)
    return f"{choice.field.name}, {new}"


def _renamed_fuel(choice: OptionChoice) -> str:
    name, old = choice.field.name, choice.field.fuel
    for word in _FUEL_NAMES.get(old, (old,)):
        found = re.search(rf"\b{re.escape(word)}\b", name, re.IGNORECASE)
        if found is not None:
            new = _FUEL_NAMES.get(choice.fuel, (choice.fuel,))[-1]
            new = new.capitalize() if found[0][0].isupper() else new
            return name[: found.start()] + new + name[found.end() :]
    return f"{name}, {choice.fuel}"
