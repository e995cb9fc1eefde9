"""Scenario entry of a heat pump or air conditioner, and how it becomes a source."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field, model_validator

from energymodel.equipment.altitude import heat_pump_notices
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.indoor import CoolingIndoor
from energymodel.equipment.line_length import capacity_factor
from energymodel.equipment.operation import Operation
from energymodel.equipment.partial import PartialDisplacement
from energymodel.equipment.resistance import Resistance
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.scenario.context import Built, Context
from energymodel.scenario.faults import placed
from energymodel.scenario.fields import (
    Fraction,
    Length,
    Record,
    Temperature,
    refuse,
    temperature_text,
)
from energymodel.scenario.heater_kinds import (
    DuctsRecord,
    ElectricFurnaceRecord,
    FurnaceRecord,
    HeaterUnion,
    build_heater,
    in_air_stream,
)
from energymodel.scenario.unit_schema import FunctionTable, Unit

if TYPE_CHECKING:
    from energymodel.equipment.heat_pump import IndoorFactors

IN_SERVICE_LIKELY = 0.90


class BackupRecord(Record):
    """A second heater behind a heat pump."""

    runs: Literal["with", "instead"] = "with"
    heater: HeaterUnion
    off_above: Temperature | None = None


class ZoneRecord(Record):
    """The part of a house that a heat pump heats; the backup is the old system of the rest."""

    share: Fraction
    doors: float | None = Field(
        default=None,
        ge=0,
        le=1,
        description="share of the rest of the house that open doors let the heat pump reach:"
        " 0 (closed) to 1",
    )
    old_set_point: Temperature | None = None


class CompressorRecord(Record):
    """What heat pumps and air conditioners have in common."""

    kind: Any
    unit: str = Field(
        min_length=1, description='a unit such as "inverter-standard-12", or a file name'
    )
    in_service: float | None = Field(default=None, ge=0.3, le=1.2)
    capacity_factor: float = Field(default=1.0, ge=0.3, le=1.2)
    line_length: Length | None = None
    off: Temperature | None = None
    on: Temperature | None = None
    ducts: DuctsRecord | None = None

    @model_validator(mode="after")
    def _limits(self) -> CompressorRecord:
        if self.on is not None and self.off is None:
            raise refuse(
                'a cut-in temperature "on" without a cut-out temperature "off"',
                remedy="give both, or only off",
            )
        if self.on is not None and self.off is not None and self.on < self.off:
            raise refuse(
                f'the cut-in temperature "on", {temperature_text(self.on)}, lies below the cut-out'
                f' temperature "off", {temperature_text(self.off)}',
                expected="on at or above off",
            )
        return self


class HeatPumpRecord(CompressorRecord):
    """A heat pump that heats."""

    kind: Literal["heat pump"]
    frost_loss: bool = True
    backup: BackupRecord | None = None
    zone: ZoneRecord | None = None

    @model_validator(mode="after")
    def _old_system_behind_a_zone(self) -> HeatPumpRecord:
        if self.zone is None:
            return self
        if self.backup is None:
            raise refuse(
                "a zone without the old system that heats the rest of the house",
                expected="backup = { heater = { ... } }: the old system",
            )
        beside = 'runs = "instead"' if self.backup.runs == "instead" else "off_above"
        if self.backup.runs == "instead" or self.backup.off_above is not None:
            raise refuse(
                f"a zone stands beside {beside} of the backup",
                expected="an old system that may run at any time beside the heat pump",
            )
        furnace = isinstance(self.backup.heater, FurnaceRecord | ElectricFurnaceRecord)
        if furnace and getattr(self.backup.heater, "ducts", None) is None:
            raise refuse(
                "the old furnace of a house with a zone has no ducts",
                expected="ducts = { efficiency = 0.80 } in the furnace: its own",
            )
        return self

    @model_validator(mode="after")
    def _ducts_once(self) -> HeatPumpRecord:
        heater = self.backup.heater if self.backup is not None and self.zone is None else None
        if not isinstance(heater, FurnaceRecord | ElectricFurnaceRecord):
            return self
        if (self.ducts is None) == (heater.ducts is None):
            raise refuse(
                f"the ducts are given {'nowhere' if self.ducts is None else 'twice'}",
                expected="ducts of the heat pump, which then carry the furnace's heat too, or ducts"
                " of the furnace where the heat pump has none",
            )
        return self

    @model_validator(mode="after")
    def _one_air_stream(self) -> HeatPumpRecord:
        backup = self.backup if self.ducts is not None else None
        instead = backup is not None and backup.runs == "instead"
        if backup is not None and instead and not in_air_stream(backup.heater):
            raise refuse(
                f"a {backup.heater.kind} does not stand in the heat pump's air stream",
                remedy='write runs = "with", and give the heat pump its "off" temperature',
            )
        return self


class CoolingRecord(CompressorRecord):
    """A heat pump or an air conditioner that cools."""

    kind: Literal["heat pump", "air conditioner"]


def build_heat_pump(record: CompressorRecord, context: Context) -> Built:
    """Make the source of a heat pump entry.

    Parameters
    ----------
    record
        The entry.
    context
        The scenario around it.

    Returns
    -------
    Built
        Heat pump, with its backup and ducts around it.

    Raises
    ------
    InputError
        If the unit does not serve the function, or lock-outs leave a temperature where nothing
        may run.
    """
    unit = _unit(record, context)
    context.ledger.add_notices(unit.notices)
    table, performance = _table(unit, context.function, record)
    heats = record if isinstance(record, HeatPumpRecord) else None
    pump = HeatPump(
        performance=performance,
        operation=_operation(record, table),
        capacity_factor=record.capacity_factor * _line_factor(record, context),
        in_service_factor=_in_service(record, context),
        frost_loss=heats.frost_loss if heats else True,
        indoor_factors=_indoor(context),
    )
    context.ledger.add_notices(heat_pump_notices(context.elevation_m))
    backup = heats.backup if heats is not None else None
    zone = heats.zone if heats is not None else None
    source, alone = (
        _arranged(pump, backup, record.ducts, context)
        if zone is None or backup is None
        else _zoned(_ducted(pump, record.ducts, context.function), zone, backup, context)
    )
    return Built(
        source=source,
        idle=unit.table.idle.idle_power(),
        unit_key=unit.key,
        unit=unit,
        alone=alone,
    )


def _unit(record: CompressorRecord, context: Context) -> Unit:
    try:
        return context.find_unit(record.unit)
    except EnergyModelError as error:
        raise ManyFaultsError(placed(error, "unit: ")) from None


def _table(
    unit: Unit, function: Function, record: CompressorRecord
) -> tuple[FunctionTable, PerformanceMap]:
    heats = function is Function.HEATING
    table = unit.table.heating if heats else unit.table.cooling
    performance = unit.heating if heats else unit.cooling
    if table is None or performance is None:
        raise InputError(
            f'the unit "{record.unit}" has no {function.value} table',
            where="unit",
            remedy=f"choose a unit that serves {function.value}, or give the table",
        )
    return table, performance


def _operation(record: CompressorRecord, table: FunctionTable) -> Operation:
    operation = table.operation()
    if record.off is not None:
        operation = replace(operation, off_c=record.off, on_c=record.on)
    backup = record.backup if isinstance(record, HeatPumpRecord) else None
    resistance = backup is not None and backup.heater.kind == "electric resistance"
    return replace(operation, stop_below_cop_1=resistance)


def _line_factor(record: CompressorRecord, context: Context) -> float:
    if record.line_length is None:
        return 1.0
    return capacity_factor(record.line_length, function=context.function)


def _in_service(record: CompressorRecord, context: Context) -> float:
    if record.in_service is not None:
        return record.in_service
    context.ledger.default(
        "in-service factor of heat pumps and air conditioners (divides their power)",
        f"{IN_SERVICE_LIKELY:.2f}, range 0.80 to 1.00",
        "our choice, below field results: charge, air flow, placement, controls",
    )
    return IN_SERVICE_LIKELY


def _indoor(context: Context) -> IndoorFactors | None:
    if context.function is Function.HEATING:
        return None
    context.ledger.default("indoor humidity while cooling", "50 %", "common practice")
    return CoolingIndoor()


def _arranged(
    pump: HeatPump, backup: BackupRecord | None, ducts: DuctsRecord | None, context: Context
) -> tuple[Source, Source | None]:
    """Put ducts around the heat pump and what stands in its air stream; name the backup alone."""
    if backup is None:
        return _ducted(pump, ducts, context.function), None
    heater = _backup_heater(pump, backup, ducts, context)
    alone = replace(heater, above_c=None) if isinstance(heater, Resistance) else heater
    if not in_air_stream(backup.heater):
        return _joined(_ducted(pump, ducts, context.function), heater, backup), alone
    both = _joined(pump, heater, backup)
    return _ducted(both, ducts, context.function), _ducted(alone, ducts, context.function)


def _zoned(
    head: Source, zone: ZoneRecord, backup: BackupRecord, context: Context
) -> tuple[Source, Source]:
    """Put the heat pump into its zone and the old system into the rest; name the old alone."""
    old = build_heater(backup.heater, context).source
    doors = zone.doors
    if doors is None:
        doors = 0.0
        context.ledger.default(
            "share of the rest of the house that a zone's heat pump reaches",
            "0: doors closed",
            "our choice, the cautious side",
        )
    lowered_k, balance_c = _lowered(zone, context)
    source = PartialDisplacement(
        main=head,
        backup=old,
        zone_share=zone.share,
        door_share=doors,
        lowered_k=lowered_k,
        balance_c=balance_c,
    )
    return source, old


def _lowered(zone: ZoneRecord, context: Context) -> tuple[float, float]:
    """How far the old set-point is lowered, K, and the house's balance temperature, degC."""
    line, set_point_c = context.heating_load, zone.old_set_point
    if line is None or set_point_c is None:
        return 0.0, 0.0
    if set_point_c > line.indoor_c:
        raise InputError(
            f"the old system's set-point, {temperature_text(set_point_c)}, lies above that of the"
            f" house, {temperature_text(line.indoor_c)}",
            where="zone.old_set_point",
            expected="the lower set-point that is left on the old thermostat",
        )
    return line.indoor_c - set_point_c, line.balance_c


def _joined(main: Source, heater: Source, backup: BackupRecord) -> Source:
    if backup.runs == "instead" and isinstance(main, HeatPump):
        return BackupInstead(main=main, backup=heater)
    return BackupWith(main=main, backup=heater)


def _backup_heater(
    pump: HeatPump, backup: BackupRecord, ducts: DuctsRecord | None, context: Context
) -> Source:
    off_c, above_c = pump.operation.off_c, backup.off_above
    if off_c is not None and above_c is not None and above_c < off_c:
        raise InputError(
            f"between {temperature_text(above_c)} and {temperature_text(off_c)} neither the heat"
            " pump nor its backup may run",
            where="backup.off_above",
            remedy="let the backup run at least to the heat pump's cut-out temperature",
        )
    carried = 1.0 if ducts is None or not in_air_stream(backup.heater) else ducts.efficiency
    sized = replace(context, design_load_w=context.design_load_w / carried)
    heater = build_heater(backup.heater, sized).source
    if isinstance(heater, Resistance):
        return replace(heater, use="backup", above_c=above_c)
    if above_c is not None:
        raise InputError(
            f"off_above is for electric resistance; this backup is a {backup.heater.kind}",
            where="backup.off_above",
            remedy='set the heat pump\'s own "off" temperature instead',
        )
    return heater


def _ducted(source: Source, ducts: DuctsRecord | None, function: Function) -> Source:
    if ducts is None:
        return source
    return Ducted(
        source=source,
        efficiency=ducts.efficiency,
        extra_fan_w=ducts.extra_fan,
        function=function,
    )
