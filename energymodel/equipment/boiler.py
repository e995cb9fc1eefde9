"""Gas, propane and oil boilers: a burner that heats water, and the pump that moves it."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.arrays import Array
from energymodel.equipment.appliance import Appliance
from energymodel.equipment.burner import Burner
from energymodel.equipment.flows import Conditions, Flows


@dataclass(frozen=True, slots=True, kw_only=True)
class Boiler:
    """A hot-water or steam boiler.

    Parameters
    ----------
    burner
        Made from AFUE or from a steady-state efficiency. A condensing boiler reaches its AFUE only
        where the water comes back below about 130 F; with radiators at 160 F to 180 F a 95 % unit
        gives 86 % to 88 % (common practice).
    auxiliary_w
        Pump, inducer, oil burner motor, W while firing; not credited.
    in_service_factor
        Divides the fuel; 1.0 means as rated.
    """

    burner: Burner
    auxiliary_w: float = 0.0
    in_service_factor: float = 1.0

    def __post_init__(self) -> None:
        self._appliance()

    def _appliance(self) -> Appliance:
        return Appliance(
            burner=self.burner,
            auxiliary_w=self.auxiliary_w,
            in_service_factor=self.in_service_factor,
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
            Load, W, >= 0.

        Returns
        -------
        Flows
            Uses "blower" (none) and "auxiliary"; fuel under the carrier's name.
        """
        return self._appliance().run(conditions, load_w)
