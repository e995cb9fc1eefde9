"""Ducts between a unit and the room: what they lose, and the fan power beyond the rating."""

from __future__ import annotations

from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np

from energymodel.arrays import Array
from energymodel.datafiles import read_table
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.curves import Function
from energymodel.equipment.flows import Conditions, Flows, Source
from energymodel.equipment.room_heater import RoomHeater
from energymodel.equipment.stove import Stove
from energymodel.errors import EquipmentError, InputError

FAN_USE = "duct fan"
_TOLERANCE = 1e-13
_ROUNDING = 1e-9
_MOST_ROUNDS = 200
_FAN_HEAT = {Function.HEATING: 1.0, Function.COOLING: -1.0}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ducted:
    """A source whose heat or cold reaches the room through ducts.

    Parameters
    ----------
    source
        Heat pump (with its strips or furnace), furnace, electric furnace or air conditioner.
    efficiency
        Heat or cold that reaches the room over what enters the ducts, 0..1.
    function
        Heating: the heat of the extra fan is credited. Cooling: it is added to the load.
    extra_fan_w
        Actual less rated fan power of a heat pump or air conditioner, W. It runs with that
        machine's share of the time. Furnaces and strips report no such share, because their
        actual blower power is a number of their own; the extra fan stands still for them.

    Notes
    -----
    With load L, duct efficiency e, fan F and run share r, the load U on the unit solves
    U + F r(U) = L / e in heating and U - F r(U) = L / e in cooling, by repeated substitution to
    1e-13 of the load; delivered = load - e x (what the unit leaves unmet).
    """

    source: Source
    efficiency: float
    function: Function
    extra_fan_w: float = 0.0

    def __post_init__(self) -> None:
        if not 0.2 <= self.efficiency <= 1.0:
            raise EquipmentError(
                f"a duct efficiency of {self.efficiency:g}",
                expected="0.2 to 1; 0.75 to 0.88 in a basement, 0.60 to 0.75 in an attic",
            )
        if not self.extra_fan_w >= 0:
            raise EquipmentError(
                f"an extra fan power of {self.extra_fan_w:g} W",
                expected="0 W or more: actual less rated fan power",
            )
        if isinstance(self.source, Boiler | RoomHeater | Stove):
            raise EquipmentError(
                f"a {type(self.source).__name__} cannot heat through ducts",
                remedy="leave the ducts out, or put them around the heat pump alone",
            )

    @property
    def uses_humidity(self) -> bool:
        """Whether the source depends on outdoor humidity."""
        return self.source.uses_humidity

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load of the room.

        Parameters
        ----------
        conditions
            Outdoor and indoor conditions.
        load_w
            Load of the room, W, >= 0.

        Returns
        -------
        Flows
            Flows of the source with delivered and unmet at the room, the loss in its own column
            and the use "duct fan" where there is an extra fan.

        Raises
        ------
        EquipmentError
            If the fan's heat is as large as the unit's output, so that nothing reaches the room.
        """
        into_ducts_w = load_w / self.efficiency
        unit = self._settled(conditions, into_ducts_w)
        fan_w = self.extra_fan_w * unit.run_share
        unmet_w = unit.unmet_w * self.efficiency
        delivered_w = load_w - unmet_w
        if np.any(delivered_w < -_ROUNDING * load_w):
            raise self._oversized_fan()
        delivered_w = np.maximum(delivered_w, 0.0)
        electricity = dict(unit.electricity_w)
        if self.extra_fan_w:
            electricity[FAN_USE] = fan_w
        return replace(
            unit,
            delivered_w=delivered_w,
            unmet_w=unmet_w,
            duct_loss_w=into_ducts_w - unit.unmet_w - delivered_w,
            electricity_w=electricity,
            running_w=unit.running_w + np.where(unit.run_share > 0, self.extra_fan_w, 0.0),
        )

    def _settled(self, conditions: Conditions, into_ducts_w: Array) -> Flows:
        unit = self.source.run(conditions, into_ducts_w)
        if not self.extra_fan_w:
            return unit
        fan_heat_w = _FAN_HEAT[self.function] * self.extra_fan_w
        on_unit_w = into_ducts_w
        for _ in range(_MOST_ROUNDS):
            next_w = np.maximum(into_ducts_w - fan_heat_w * unit.run_share, 0.0)
            unit = self.source.run(conditions, next_w)
            if np.all(np.abs(next_w - on_unit_w) <= _TOLERANCE * into_ducts_w):
                return unit
            on_unit_w = next_w
        raise self._oversized_fan()

    def _oversized_fan(self) -> EquipmentError:
        return EquipmentError(
            f"an extra fan of {self.extra_fan_w:.0f} W is too large for the unit behind it",
            expected="a fan well below the unit's lowest output",
            remedy="give actual less rated fan power, not the whole fan",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DuctPlace:
    """Default duct efficiencies where ducts run.

    Parameters
    ----------
    key, place
        Short name, and the place in words.
    heating, cooling
        Low, likely and high efficiency, 0..1.
    source
        Where the numbers come from.
    """

    key: str
    place: str
    heating: tuple[float, float, float]
    cooling: tuple[float, float, float]
    source: str


def duct_places() -> tuple[DuctPlace, ...]:
    """Return all places with their default duct efficiencies.

    Returns
    -------
    tuple of DuctPlace
        In the order of the table `data/ducts.csv`.
    """
    return tuple(
        DuctPlace(
            key=row["key"],
            place=row["place"],
            heating=_band(row, "heating"),
            cooling=_band(row, "cooling"),
            source=row["source"],
        )
        for row in read_table("ducts.csv")
    )


def _band(row: dict[str, str], name: str) -> tuple[float, float, float]:
    return float(row[f"{name}_low"]), float(row[name]), float(row[f"{name}_high"])


def duct_place(key: str) -> DuctPlace:
    """Return the default duct efficiencies of one place.

    Parameters
    ----------
    key
        Short name, such as "attic".

    Returns
    -------
    DuctPlace
        Low, likely and high values for heating and cooling.

    Raises
    ------
    InputError
        If there is no such place.

    Examples
    --------
    >>> duct_place("attic").heating
    (0.6, 0.68, 0.75)
    """
    places = {place.key: place for place in duct_places()}
    if key in places:
        return places[key]
    near = get_close_matches(key, places, n=1)
    raise InputError(
        f"{key!r} is not a place for ducts",
        expected=", ".join(places),
        remedy=f'did you mean "{near[0]}"?' if near else "",
    )
