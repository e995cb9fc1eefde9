"""Gas, propane and oil furnaces: a burner that heats air, and the blower that moves it."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.equipment.appliance import Appliance


@dataclass(frozen=True, slots=True, kw_only=True)
class Furnace(Appliance):
    """A furnace; :class:`energymodel.equipment.ducts.Ducted` adds the duct loss.

    Parameters
    ----------
    burner
        Made from AFUE or from a steady-state efficiency.
    blower_w
        Blower at heating speed in the real ducts, W; its heat is credited.
    auxiliary_w
        Inducer, igniter, oil burner motor, W while firing; not credited.
    in_service_factor
        Divides the fuel; 1.0 means as rated.

    Examples
    --------
    >>> import numpy as np
    >>> from energymodel.equipment.burner import Burner
    >>> from energymodel.equipment.flows import Conditions
    >>> burner = Burner.from_afue(carrier="natural gas", afue=0.95, input_w=20_000.0)
    >>> furnace = Furnace(burner=burner, blower_w=300.0, auxiliary_w=50.0)
    >>> half = np.array([9_650.0])
    >>> at = Conditions(outdoor_c=half * 0.0, relative_humidity_pct=half * 0.0, indoor_c=21.0)
    >>> flows = furnace.run(at, half)
    >>> flows.fuel_w["natural gas"].tolist(), flows.electricity_w["blower"].tolist()
    ([10000.0], [150.0])
    """
