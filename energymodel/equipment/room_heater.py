"""Vented room heaters for gas, propane or kerosene: wall furnaces and direct-vent heaters."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.equipment.appliance import Appliance
from energymodel.errors import EquipmentError


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomHeater(Appliance):
    """A heater that stands in the room it heats; it has no ducts.

    Parameters
    ----------
    burner
        Made from AFUE, or from a steady-state efficiency with the standing pilot beside it. The
        pilot's heat is not credited.
    blower_w
        Room fan, if any, W while firing; its heat is credited.
    auxiliary_w
        Combustion fan, fuel pump, igniter, W while firing; not credited.
    in_service_factor
        Divides the fuel; 1.0 means as rated.
    vented
        Whether the combustion gases leave through a flue or the wall.

    Raises
    ------
    EquipmentError
        If the heater is unvented.
    """

    vented: bool = True

    def __post_init__(self) -> None:
        Appliance.__post_init__(self)
        if not self.vented:
            raise EquipmentError(
                "an unvented room heater is not a heating option here: carbon monoxide, nitrogen "
                "dioxide and water vapour stay in the room",
                expected="a heater that is vented through a flue or the wall",
                remedy="choose a direct-vent heater, and keep a carbon monoxide alarm in any case",
            )
