"""Electric resistance heat: baseboard, wall panel, strips, electric furnace element."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.flows import Conditions, Flows, simple_flows
from energymodel.errors import EquipmentError


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistance:
    """A resistance heater: one kilowatt-hour of heat per kilowatt-hour.

    Parameters
    ----------
    capacity_w
        Largest output, W; None: as large as needed.
    use
        Name of the electricity column: "resistance" as the main heater, "backup" behind a heat
        pump.
    above_c
        Locked out above this outdoor temperature, degC; None: never.
    """

    capacity_w: float | None = None
    use: str = "resistance"
    above_c: float | None = None

    def __post_init__(self) -> None:
        if self.capacity_w is not None and self.capacity_w <= 0:
            raise EquipmentError("a resistance heater without capacity", expected="above 0 W")

    @property
    def uses_humidity(self) -> bool:
        """Never."""
        return False

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load.

        Parameters
        ----------
        conditions
            Only the outdoor temperature counts, for the lock-out.
        load_w
            Load, W, >= 0.

        Returns
        -------
        Flows
            Electricity = heat.
        """
        heat = load_w if self.capacity_w is None else np.minimum(load_w, self.capacity_w)
        if self.above_c is not None:
            heat = np.where(conditions.outdoor_c > self.above_c, 0.0, heat)
        on = heat if self.capacity_w is None else np.where(heat > 0, self.capacity_w, 0.0)
        return simple_flows(load_w, heat, electricity_w={self.use: heat}, running_w=on)
