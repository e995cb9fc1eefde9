"""Electric heat and cold whose supply is cut at times: what still runs, and on which supply."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.equipment.appliance import Appliance
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Conditions, Flows, Source, chosen, simple_flows
from energymodel.equipment.partial import PartialDisplacement

BURNER_USES = frozenset({"blower", "auxiliary"})
"""Electricity of a burner: it stays on the household's supply (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingStill:
    """A source that gives nothing and takes nothing."""

    @property
    def uses_humidity(self) -> bool:
        """Never."""
        return False

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Leave a load unmet.

        Parameters
        ----------
        conditions
            Not used.
        load_w
            Load, W, >= 0.

        Returns
        -------
        Flows
            All of it in `unmet_w`.
        """
        del conditions
        return simple_flows(load_w, np.zeros_like(load_w), electricity_w={})


def burns_fuel(source: Source) -> bool:
    """Whether something in a source burns fuel.

    Parameters
    ----------
    source
        Any source.

    Returns
    -------
    bool
        True for furnaces, boilers, heaters and stoves, alone or as backup.
    """
    if isinstance(source, Ducted):
        return burns_fuel(source.source)
    if isinstance(source, BackupWith | BackupInstead | PartialDisplacement):
        return burns_fuel(source.main) or burns_fuel(source.backup)
    return isinstance(source, Appliance | Boiler)


def runs_on_electricity(source: Source) -> bool:
    """Whether something in a source makes heat or cold with electricity.

    Parameters
    ----------
    source
        Any source.

    Returns
    -------
    bool
        False where fuel makes all the heat, fans and pumps or not.
    """
    if isinstance(source, Ducted):
        return runs_on_electricity(source.source)
    if isinstance(source, BackupWith | BackupInstead | PartialDisplacement):
        return runs_on_electricity(source.main) or runs_on_electricity(source.backup)
    return not isinstance(source, Appliance | Boiler)


def without_supply(source: Source) -> Source:
    """Leave of a source what runs while the supply of its electric heat or cold is cut.

    Parameters
    ----------
    source
        Any source.

    Returns
    -------
    Source
        Its fuel burner behind the same ducts and in the same zone, with its fans and pumps on the
        household's supply; :class:`StandingStill` where it has none.

    Examples
    --------
    >>> from energymodel.equipment.resistance import Resistance
    >>> without_supply(Resistance())
    StandingStill()
    """
    if not burns_fuel(source):
        return StandingStill()
    if isinstance(source, Ducted):
        return replace(source, source=without_supply(source.source))
    if isinstance(source, BackupInstead):
        return without_supply(source.backup)
    if isinstance(source, BackupWith | PartialDisplacement):
        main, backup = without_supply(source.main), without_supply(source.backup)
        return replace(source, main=main, backup=backup)
    return source


def household_uses(source: Source) -> frozenset[str]:
    """Name the uses of electricity that stay on the household's supply.

    Parameters
    ----------
    source
        Any source.

    Returns
    -------
    frozenset of str
        Fans, pumps and igniters of a fuel burner; empty where all electricity makes heat or cold.
    """
    return BURNER_USES if burns_fuel(source) else frozenset()


def run_interrupted(
    source: Source, conditions: Conditions, load_w: Array, no_supply: Mask
) -> Flows:
    """Answer a load by a source whose supply is cut in some states.

    Parameters
    ----------
    source
        As it runs while it is supplied.
    conditions
        Outdoor and indoor conditions.
    load_w
        Load, W, >= 0.
    no_supply
        States without supply, same shape.

    Returns
    -------
    Flows
        delivered + unmet = load; without supply there is no electricity but that of
        :func:`household_uses`.
    """
    flows = source.run(conditions, load_w)
    instead = without_supply(source).run(conditions, load_w)
    return chosen(flows, instead, instead_where=no_supply)
