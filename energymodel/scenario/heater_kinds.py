"""Scenario entries of heaters other than heat pumps, and how each becomes a source.

One table, `KINDS`, holds each kind's record and builder; it feeds both the schema's union and
the builder.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import AfterValidator, Field, model_validator

from energymodel.equipment.altitude import gas_input_factor
from energymodel.equipment.boiler import Boiler
from energymodel.equipment.burner import Burner, input_for_output
from energymodel.equipment.curves import Function
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.electric_furnace import ElectricFurnace
from energymodel.equipment.flows import Source
from energymodel.equipment.furnace import Furnace
from energymodel.equipment.resistance import Resistance
from energymodel.equipment.room_heater import RoomHeater
from energymodel.equipment.stove import Stove
from energymodel.errors import EquipmentError, InputError
from energymodel.scenario.by_kind import ByKind
from energymodel.scenario.context import Built, Context
from energymodel.scenario.fields import Fraction, Power, Record, refuse

IN_SERVICE_LIKELY = 0.98
OVERSIZE = 1.4
GASES = ("natural gas", "propane")
Fuel = Literal["natural gas", "propane", "heating oil", "kerosene"]


def _efficiency(value: float) -> float:
    try:
        Burner.from_afue(carrier="any", afue=value, input_w=1.0)
    except EquipmentError as error:
        percent = 1.2 <= value <= 100.0
        remedy = f"write {value:g} % as {value / 100.0:g}" if percent else error.remedy
        raise refuse(error.what, expected=error.expected, remedy=remedy) from None
    return value


Efficiency = Annotated[float, AfterValidator(_efficiency)]


class DuctsRecord(Record):
    """Ducts between unit and room."""

    efficiency: Fraction
    extra_fan: Power = 0.0


class HeaterRecord(Record):
    """Base of all heater entries."""

    kind: Any


class ResistanceRecord(HeaterRecord):
    """Baseboard, wall panel or other electric resistance in the room."""

    kind: Literal["electric resistance"]
    capacity: Power | None = Field(default=None, gt=0)


class ElectricFurnaceRecord(HeaterRecord):
    """Electric furnace; the blower is inside its capacity."""

    kind: Literal["electric furnace"]
    capacity: Power = Field(gt=0)
    blower: Power = 0.0
    ducts: DuctsRecord | None = None


class BurnerRecord(HeaterRecord):
    """What furnaces, boilers, room heaters and stoves have in common."""

    fuel: Any
    afue: Efficiency | None = None
    steady_state_efficiency: Efficiency | None = None
    cycling_cd: float | None = Field(default=None, ge=0, le=0.5)
    pilot: Power | None = None
    output: Power | None = Field(default=None, gt=0)
    blower: Power = 0.0
    auxiliary: Power = 0.0
    in_service: float | None = Field(default=None, ge=0.5, le=1.2)

    @model_validator(mode="after")
    def _one_efficiency(self) -> BurnerRecord:
        if (self.afue is None) == (self.steady_state_efficiency is None):
            raise refuse(
                "the efficiency is not given in one way",
                expected="afue (seasonal), or steady_state_efficiency; for example afue = 0.95",
            )
        if self.afue is not None and (self.pilot is not None or self.cycling_cd is not None):
            raise refuse(
                "afue stands beside a pilot or a cycling coefficient",
                expected="afue alone: pilot and cycling are inside it",
                remedy="leave pilot and cycling_cd out, or give steady_state_efficiency instead",
            )
        return self


class FurnaceRecord(BurnerRecord):
    """Gas, propane or oil furnace with ducts."""

    kind: Literal["furnace"]
    fuel: Fuel
    ducts: DuctsRecord | None = None


class BoilerRecord(BurnerRecord):
    """Gas, propane or oil boiler."""

    kind: Literal["boiler"]
    fuel: Fuel


class RoomHeaterRecord(BurnerRecord):
    """Vented gas, propane or kerosene heater in the room."""

    kind: Literal["room heater"]
    fuel: Literal["natural gas", "propane", "kerosene"]
    vented: bool = True


class StoveRecord(BurnerRecord):
    """Wood or pellet stove; `afue` is its overall tested efficiency."""

    kind: Literal["stove"]
    fuel: Literal["wood", "pellets"]


def _burner(record: Any, context: Context) -> Burner:
    output_w = record.output
    if output_w is None:
        if not context.design_load_w > 0:
            raise InputError(
                f"the output of the {record.fuel} {record.kind} is not given, and there is no"
                " heating load to size it by",
                expected='output, such as "40 kBtu/h"',
            )
        output_w = OVERSIZE * context.design_load_w / _duct_efficiency(record)
        context.ledger.default(
            f"output of the {record.fuel} {record.kind}",
            f"{OVERSIZE:g} times the design load, {output_w / 1000.0:.1f} kW",
            "common practice: upper limit of sizing rules for furnaces",
        )
    if record.afue is not None:
        burner = Burner.from_afue(
            carrier=record.fuel,
            afue=record.afue,
            input_w=input_for_output(output_w, efficiency=record.afue),
        )
    else:
        burner = Burner.from_steady_state(
            carrier=record.fuel,
            efficiency=record.steady_state_efficiency,
            input_w=input_for_output(output_w, efficiency=record.steady_state_efficiency),
            cd=record.cycling_cd or 0.0,
            pilot_w=record.pilot or 0.0,
        )
    if record.fuel in GASES:
        burner = burner.derated(gas_input_factor(context.elevation_m))
    return burner


def _duct_efficiency(record: Any) -> float:
    ducts = getattr(record, "ducts", None)
    return ducts.efficiency if ducts is not None else 1.0


def _in_service(record: BurnerRecord, context: Context) -> float:
    if record.in_service is not None:
        return record.in_service
    context.ledger.default(
        "in-service factor of burners (divides their fuel)",
        f"{IN_SERVICE_LIKELY:.2f}, range 0.95 to 1.00",
        "our choice",
    )
    return IN_SERVICE_LIKELY


def _ducted(source: Source, ducts: DuctsRecord | None) -> Source:
    """Put a furnace into its own ducts; None: it stands in those of its heat pump."""
    if ducts is None:
        return source
    return Ducted(
        source=source,
        efficiency=ducts.efficiency,
        function=Function.HEATING,
        extra_fan_w=ducts.extra_fan,
    )


def _resistance(record: Any, context: Context) -> Built:
    del context
    return Built(source=Resistance(capacity_w=record.capacity))


def _electric_furnace(record: Any, context: Context) -> Built:
    del context
    furnace = ElectricFurnace(capacity_w=record.capacity, blower_w=record.blower)
    return Built(source=_ducted(furnace, record.ducts))


def _furnace(record: Any, context: Context) -> Built:
    furnace = Furnace(
        burner=_burner(record, context),
        blower_w=record.blower,
        auxiliary_w=record.auxiliary,
        in_service_factor=_in_service(record, context),
    )
    return Built(source=_ducted(furnace, record.ducts))


def _boiler(record: Any, context: Context) -> Built:
    return Built(
        source=Boiler(
            burner=_burner(record, context),
            auxiliary_w=record.auxiliary + record.blower,
            in_service_factor=_in_service(record, context),
        )
    )


def _room_heater(record: Any, context: Context) -> Built:
    return Built(
        source=RoomHeater(
            burner=_burner(record, context),
            blower_w=record.blower,
            auxiliary_w=record.auxiliary,
            in_service_factor=_in_service(record, context),
            vented=record.vented,
        )
    )


def _stove(record: Any, context: Context) -> Built:
    return Built(
        source=Stove(
            burner=_burner(record, context),
            blower_w=record.blower,
            auxiliary_w=record.auxiliary,
            in_service_factor=_in_service(record, context),
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of heater.

    Parameters
    ----------
    record
        Its entry in a scenario file.
    build
        Makes the source.
    """

    record: type[HeaterRecord]
    build: Callable[[Any, Context], Built]


KINDS: tuple[Kind, ...] = (
    Kind(record=ResistanceRecord, build=_resistance),
    Kind(record=ElectricFurnaceRecord, build=_electric_furnace),
    Kind(record=FurnaceRecord, build=_furnace),
    Kind(record=BoilerRecord, build=_boiler),
    Kind(record=RoomHeaterRecord, build=_room_heater),
    Kind(record=StoveRecord, build=_stove),
)

HEATER_RECORDS: Any = reduce(or_, [kind.record for kind in KINDS])
if TYPE_CHECKING:
    HeaterUnion = HeaterRecord
else:
    HeaterUnion = Annotated[HEATER_RECORDS, ByKind()]


def in_air_stream(record: HeaterRecord) -> bool:
    """Whether a backup heater stands in the air stream of its heat pump.

    Parameters
    ----------
    record
        The entry.

    Returns
    -------
    bool
        True for strips and for furnaces without ducts of their own.
    """
    if isinstance(record, FurnaceRecord | ElectricFurnaceRecord):
        return record.ducts is None
    return isinstance(record, ResistanceRecord)


def build_heater(record: HeaterRecord, context: Context) -> Built:
    """Make the source of a heater entry.

    Parameters
    ----------
    record
        The entry.
    context
        The scenario around it.

    Returns
    -------
    Built
        The source.

    Raises
    ------
    EquipmentError
        If the entry is impossible, such as an unvented heater.
    """
    builders = {kind.record: kind.build for kind in KINDS}
    return builders[type(record)](record, context)
