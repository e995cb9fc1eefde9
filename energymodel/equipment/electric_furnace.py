"""Electric furnaces: resistance elements and a blower in one cabinet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.flows import Conditions, Flows, simple_flows
from energymodel.errors import EquipmentError


@dataclass(frozen=True, slots=True, kw_only=True)
class ElectricFurnace:
    """An electric furnace; :class:`energymodel.equipment.ducts.Ducted` adds the duct loss.

    Parameters
    ----------
    capacity_w
        Electric power of elements and blower together, W; all of it becomes heat.
    blower_w
        Blower, W while running, inside `capacity_w`.
    use
        Name of the column of the elements: "resistance" as the main heater, "backup" behind a
        heat pump.
    """

    capacity_w: float
    blower_w: float = 0.0
    use: str = "resistance"

    def __post_init__(self) -> None:
        if not 0.0 <= self.blower_w < self.capacity_w:
            raise EquipmentError(
                f"an electric furnace of {self.capacity_w:g} W has a blower of {self.blower_w:g} W",
                expected="a blower of 0 W or more, smaller than the total",
            )

    @property
    def uses_humidity(self) -> bool:
        """Never."""
        return False

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load.

        Parameters
        ----------
        conditions
            Not used.
        load_w
            Load on the furnace, W, >= 0.

        Returns
        -------
        Flows
            Electricity = heat, in the elements' column and "blower".
        """
        del conditions
        heat = np.minimum(load_w, self.capacity_w)
        blower = heat * (self.blower_w / self.capacity_w)
        return simple_flows(
            load_w,
            heat,
            electricity_w={self.use: heat - blower, "blower": blower},
            running_w=np.where(heat > 0, self.capacity_w, 0.0),
        )
