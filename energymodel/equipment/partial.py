"""A head that heats one zone of a house while the old system heats the rest of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.flows import Conditions, Flows, Source, together
from energymodel.errors import EquipmentError


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PartialDisplacement:
    """A heat pump in one zone, the old system everywhere else and wherever the head is short.

    Parameters
    ----------
    main
        The head in the zone.
    backup
        The old system.
    zone_share
        Load of the zone over that of the house, above 0 and at most 1.
    door_share
        Share of the rest of the house that the head reaches through open doors, 0..1.
    lowered_k
        How far the old system's set-point is lowered, K, >= 0.
    balance_c
        Outdoor temperature at which the house needs no heat, degC; it counts only where the
        set-point is lowered.

    Notes
    -----
    With house load L, zone share s, door share d and full output Q_n of the head:
    reached share r = s + d (1 - s); head = min(Q_n, r L). The old system carries the rest. Rooms
    that it serves alone, (1 - r) L, get by with balance temperature B lowered by x:
    (1 - r) L (B - x - T)/(B - T). What they no longer get stands in `unmet_w`: less comfort, not
    a lack of output. The zone keeps its set-point where the head is short.
    """

    main: Source
    backup: Source
    zone_share: float
    door_share: float = 0.0
    lowered_k: float = 0.0
    balance_c: float = 0.0

    def __post_init__(self) -> None:
        if not (0.0 < self.zone_share <= 1.0 and 0.0 <= self.door_share <= 1.0):
            raise EquipmentError(
                f"a zone of {self.zone_share:g} of the house and doors of {self.door_share:g}",
                expected="a zone share above 0 and at most 1, a door share from 0 to 1",
            )
        if not self.lowered_k >= 0.0:
            raise EquipmentError(
                f"the old set-point is lowered by {self.lowered_k:g} K", expected="0 K or more"
            )

    @property
    def uses_humidity(self) -> bool:
        """Whether either depends on outdoor humidity."""
        return self.main.uses_humidity or self.backup.uses_humidity

    @property
    def reached_share(self) -> float:
        """Share of the house load that the head is asked for."""
        return min(self.zone_share + self.door_share * (1.0 - self.zone_share), 1.0)

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer the load of the house.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.
        load_w
            Load of the house at its full set-point, W, >= 0.

        Returns
        -------
        Flows
            Sum of both; `unmet_w` holds what neither gives and what the lowered rooms go without.
        """
        asked_w = self.reached_share * load_w
        head = self.main.run(conditions, asked_w)
        alone_w = load_w - asked_w
        kept_w = alone_w * self._kept_share(conditions.outdoor_c)
        old = self.backup.run(conditions, head.unmet_w + kept_w)
        return together(replace(head, unmet_w=alone_w - kept_w), old, at_once=True)

    def _kept_share(self, outdoor_c: Array) -> Array:
        """Load at the lowered set-point over load at the full one."""
        if not self.lowered_k:
            return np.ones_like(outdoor_c)
        below_k = self.balance_c - outdoor_c
        kept: Array = np.divide(
            below_k - self.lowered_k, below_k, out=np.zeros_like(below_k), where=below_k > 0.0
        )
        return np.maximum(kept, 0.0)
