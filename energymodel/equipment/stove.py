"""Wood and pellet stoves."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.equipment.appliance import Appliance


@dataclass(frozen=True, slots=True, kw_only=True)
class Stove(Appliance):
    """A stove that stands in the room it heats.

    Parameters
    ----------
    burner
        Made by :meth:`energymodel.equipment.burner.Burner.from_afue` with the overall tested
        efficiency on the higher heating value; "wood" or "pellets".
    blower_w
        Room fan, W while burning; its heat is credited. A wood stove without fan: 0 W.
    auxiliary_w
        Pellet stove: auger, exhaust fan, igniter averaged, W while burning; not credited.
    in_service_factor
        Divides the fuel: damp wood, low fire. 1.0 means as tested.
    """
