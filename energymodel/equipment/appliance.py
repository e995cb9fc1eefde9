"""What every fuel appliance shares: a burner, a fan that heats the room, and small motors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.burner import Burner
from energymodel.equipment.flows import Conditions, Flows, simple_flows
from energymodel.errors import EquipmentError

PLAUSIBLE_IN_SERVICE = (0.5, 1.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Appliance:
    """A burner with its electric parts; furnaces, room heaters and stoves are appliances.

    Parameters
    ----------
    burner
        The burner.
    blower_w
        Fan whose heat reaches the room, W while running.
    auxiliary_w
        Inducer, igniter, oil pump, circulator, auger: W while firing; its heat is not credited.
    in_service_factor
        Divides the fuel: state of adjustment, soot, air flow. 1.0 means as rated.
    """

    burner: Burner
    blower_w: float = 0.0
    auxiliary_w: float = 0.0
    in_service_factor: float = 1.0

    def __post_init__(self) -> None:
        for name, power_w in (("blower", self.blower_w), ("auxiliary", self.auxiliary_w)):
            if not power_w >= 0:
                raise EquipmentError(f"{name} power {power_w:g} W", expected="0 W or more")
        low, high = PLAUSIBLE_IN_SERVICE
        if not low <= self.in_service_factor <= high:
            raise EquipmentError(
                f"in-service factor {self.in_service_factor:g} is not plausible",
                expected=f"{low:g} to {high:g}; 0.98 is likely, 1.00 means as rated",
            )

    @property
    def output_w(self) -> float:
        """Heat of burner and blower at full fire, W."""
        return self.burner.output_w + self.blower_w

    @property
    def uses_humidity(self) -> bool:
        """Never."""
        return False

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load.

        Parameters
        ----------
        conditions
            Not used: a burner does not see the outdoor temperature.
        load_w
            Load, W, >= 0.

        Returns
        -------
        Flows
            Uses "blower" and "auxiliary"; fuel under the carrier's name.

        Notes
        -----
        x = L / (Q_burner + P_blower), at most 1; delivered = x (Q_burner + P_blower). The burner
        fires x / PLF(x) of the time, inducer and pump with it; the blower, which waits for a warm
        exchanger, runs x of the time. Hence delivered = fuel x PLF x efficiency x in-service
        factor + blower, the pilot not counted.
        """
        del conditions
        burner = self.burner
        share = np.minimum(load_w / self.output_w, 1.0)
        firing = np.where(share > 0, share / burner.cycling(share), 0.0)
        fuel = firing * burner.input_w / self.in_service_factor + burner.pilot_w
        return simple_flows(
            load_w,
            np.minimum(load_w, self.output_w),
            electricity_w={"blower": share * self.blower_w, "auxiliary": firing * self.auxiliary_w},
            fuel_w={burner.carrier: fuel},
            running_w=np.where(share > 0, self.blower_w + self.auxiliary_w, 0.0),
        )
