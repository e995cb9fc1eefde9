"""Records of one heat pump or air conditioner as written in a catalogue or scenario file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from pydantic import Field, model_validator

from energymodel.equipment.curves import (
    Frost,
    Function,
    PerformanceMap,
    TablePoint,
    map_from_table,
)
from energymodel.equipment.idle import CRANKCASE_BELOW_C, PAN_BELOW_C, IdlePower
from energymodel.equipment.kernel import StagingRule, modulating, time_shared
from energymodel.equipment.limits import check_map
from energymodel.equipment.operation import Operation
from energymodel.notices import Notice
from energymodel.scenario.fields import Power, Record, Temperature, refuse
from energymodel.scenario.later import later
from energymodel.units import BTU_PER_WH

if TYPE_CHECKING:
    from energymodel.scenario.plate_schema import PlateTable
else:
    PlateTable = later("plate_schema", "PlateTable")

STAGING: dict[str, StagingRule] = {"modulating": modulating, "time shared": time_shared}


class Point(Record):
    """One row of a performance table; exactly one of power, cop and eer."""

    speed: str
    outdoor: Temperature
    capacity: Power
    power: Power | None = None
    cop: float | None = Field(default=None, gt=0)
    eer: float | None = Field(default=None, gt=0)

    @model_validator(mode="after")
    def _one_of_three(self) -> Point:
        given = [name for name in ("power", "cop", "eer") if getattr(self, name) is not None]
        if len(given) != 1:
            raise refuse(
                f"a point with {' and '.join(given) or 'neither power, cop nor eer'}",
                expected="exactly one of power, cop and eer (Btu/h per W)",
            )
        return self

    def table_point(self) -> TablePoint:
        """Return the point with its power in W."""
        if self.power is not None:
            power_w = self.power
        elif self.cop is not None:
            power_w = self.capacity / self.cop
        else:
            power_w = self.capacity * BTU_PER_WH / (self.eer or 1.0)
        return TablePoint(
            speed=self.speed, outdoor_c=self.outdoor, capacity_w=self.capacity, power_w=power_w
        )


class FunctionTable(Record):
    """Performance table and limits of one function."""

    frost: Literal["steady", "included"] = "steady"
    cd: float = Field(ge=0, le=0.5)
    staging: Literal["modulating", "time shared"] = "modulating"
    off: Temperature | None = None
    on: Temperature | None = None
    off_above: Temperature | None = None
    sensible_heat_ratio: float | None = Field(default=None, gt=0, le=1)
    points: list[Point] = Field(min_length=1)

    def performance(self, function: Function) -> PerformanceMap:
        """Build the map.

        Parameters
        ----------
        function
            Heating or cooling.

        Returns
        -------
        PerformanceMap
            Not yet checked.
        """
        return map_from_table(
            [point.table_point() for point in self.points],
            function=function,
            frost=Frost(self.frost),
            cd=self.cd,
            staging=STAGING[self.staging],
        )

    def operation(self) -> Operation:
        """Return the operating limits."""
        return Operation(off_c=self.off, on_c=self.on, off_above_c=self.off_above)


class IdleTable(Record):
    """Idle power of a unit."""

    controls: Power = 0.0
    crankcase: Power = 0.0
    crankcase_below: Temperature = CRANKCASE_BELOW_C
    pan: Power = 0.0
    pan_below: Temperature = PAN_BELOW_C
    indoor_fan: Power = 0.0

    def idle_power(self) -> IdlePower:
        """Return the record of the equipment layer."""
        return IdlePower(
            controls_w=self.controls,
            crankcase_w=self.crankcase,
            crankcase_below_c=self.crankcase_below,
            pan_w=self.pan,
            pan_below_c=self.pan_below,
            indoor_fan_w=self.indoor_fan,
        )


class UnitTable(Record):
    """One unit: names, tables, idle power and where its numbers come from."""

    name: str
    size_class: Power | None = Field(default=None, alias="class")
    supply: str = ""
    heating: FunctionTable | None = None
    cooling: FunctionTable | None = None
    plate: PlateTable | None = None
    idle: IdleTable = IdleTable.model_construct()
    sources: dict[str, str] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _does_something(self) -> UnitTable:
        tables = self.heating is not None or self.cooling is not None
        if tables == (self.plate is not None):
            raise refuse(
                "a unit with both a plate and a performance table"
                if tables
                else "a unit without a heating or cooling table",
                expected="heating and cooling tables, or a plate",
            )
        if tables and not self.sources:
            raise refuse(
                "a unit without sources", expected='sources = { table = "submittal sheet, date" }'
            )
        return self


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unit:
    """A unit ready for use.

    Parameters
    ----------
    key
        Catalogue key, or the user's own.
    table
        As written.
    heating, cooling
        Checked maps.
    notices
        What the check of the maps had to say.
    """

    key: str
    table: UnitTable
    heating: PerformanceMap | None
    cooling: PerformanceMap | None
    notices: tuple[Notice, ...]


def build_unit(key: str, table: UnitTable) -> Unit:
    """Build and check the maps of a unit.

    Parameters
    ----------
    key
        Catalogue key, or the user's own.
    table
        As written.

    Returns
    -------
    Unit
        With checked maps.

    Raises
    ------
    EquipmentError
        If a map is impossible.
    """
    heating = table.heating.performance(Function.HEATING) if table.heating else None
    cooling = table.cooling.performance(Function.COOLING) if table.cooling else None
    notices: list[Notice] = []
    for performance in (heating, cooling):
        if performance is not None:
            notices.extend(check_map(performance))
    return Unit(key=key, table=table, heating=heating, cooling=cooling, notices=tuple(notices))
