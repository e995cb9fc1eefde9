"""The parts of a source: which heat pumps and burners it is made of, and how they are exchanged."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TypeAlias, cast

from energymodel.arrays import Array
from energymodel.equipment.appliance import Appliance
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.partial import PartialDisplacement

Heater: TypeAlias = Appliance | Boiler
"""What has a burner."""


def parts_of(source: Source) -> Iterator[Source]:
    """Go through the machines of a source, ducts and backup taken apart.

    Parameters
    ----------
    source
        Any source.

    Yields
    ------
    Source
        Heat pumps, heaters and whatever else is in it.
    """
    if isinstance(source, Ducted):
        yield from parts_of(source.source)
    elif isinstance(source, BackupWith | BackupInstead | PartialDisplacement):
        yield from parts_of(source.main)
        yield from parts_of(source.backup)
    else:
        yield source


def heat_pumps_in(source: Source) -> tuple[HeatPump, ...]:
    """Heat pumps and air conditioners of a source.

    Parameters
    ----------
    source
        Any source.

    Returns
    -------
    tuple of HeatPump
        The main one first.
    """
    return tuple(part for part in parts_of(source) if isinstance(part, HeatPump))


def heaters_in(source: Source) -> tuple[Heater, ...]:
    """Heaters with a burner in a source.

    Parameters
    ----------
    source
        Any source.

    Returns
    -------
    tuple of Appliance or Boiler
        The main one first.
    """
    return tuple(part for part in parts_of(source) if isinstance(part, Heater))


def exchanged(source: Source, change: Callable[[Source], Source]) -> Source:
    """Exchange every machine of a source.

    Parameters
    ----------
    source
        Any source.
    change
        Called with each machine; a heat pump must become a heat pump.

    Returns
    -------
    Source
        The same ducts and backup around the new machines.
    """
    if isinstance(source, Ducted):
        return replace(source, source=exchanged(source.source, change))
    if isinstance(source, BackupWith | PartialDisplacement):
        return replace(
            source,
            main=exchanged(source.main, change),
            backup=exchanged(source.backup, change),
        )
    if isinstance(source, BackupInstead):
        return replace(
            source,
            main=cast("HeatPump", change(source.main)),
            backup=exchanged(source.backup, change),
        )
    return change(source)


def at_balance(source: Source, shift_k: Array | float) -> Source:
    """Move the balance temperature that a source itself keeps: that of a lowered old system.

    Parameters
    ----------
    source
        Any source.
    shift_k
        K, shape of the states or one for all.

    Returns
    -------
    Source
        The same source where it keeps none.
    """
    if not isinstance(source, PartialDisplacement) or not source.lowered_k:
        return source
    return replace(source, balance_c=cast("float", source.balance_c + shift_k))
