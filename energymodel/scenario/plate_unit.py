"""A plate as a unit of the catalogue's form, so that scenarios can use it."""

from __future__ import annotations

from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.equipment.kernel import time_shared
from energymodel.equipment.operation import Operation
from energymodel.ratings.plate.performance import PlateMap, plate_map
from energymodel.scenario.plate_schema import PlateTable
from energymodel.scenario.unit_schema import FunctionTable, IdleTable, Point, UnitTable
from energymodel.units import btu_h_from_w

_CONTROLS_W = {True: 5.0, False: 8.0}
_CRANKCASE_W = {True: 20.0, False: 40.0}


class PlateFile(PlateTable):
    """A plate file: a plate with name and idle power."""

    name: str = ""
    supply: str = ""
    idle: IdleTable | None = None


def usual_idle(table: PlateTable) -> IdleTable:
    """Idle power of a unit of which nothing is known.

    Parameters
    ----------
    table
        The plate.

    Returns
    -------
    IdleTable
        Inverter 5 W controls and 20 W motor-winding heat, else 8 W and 40 W (2 to 15 W and 30 to
        70 W quoted or common practice, as in the catalogue); no pan heater, no idle fan. A unit
        that only cools has no crankcase heater.
    """
    inverter = table.kind.startswith("inverter")
    heats = table.sold_as != "air conditioner"
    return IdleTable.model_construct(
        controls=_CONTROLS_W[inverter], crankcase=_CRANKCASE_W[inverter] if heats else 0.0
    )


def unit_of_plate(
    table: PlateTable, *, name: str = "", idle: IdleTable | None = None
) -> tuple[UnitTable, PlateMap]:
    """Turn a plate into a unit with full tables.

    Parameters
    ----------
    table
        As written.
    name
        As printed; by default made from kind and capacity.
    idle
        Idle power; None: usual.

    Returns
    -------
    UnitTable
        Points of the likely maps; heating is steady.
    PlateMap
        What they come from, with the low and the high maps.

    Raises
    ------
    EquipmentError
        If the plate cannot be true.
    """
    made = plate_map(table.plate())
    mapped = made.likely.mapped
    unit = UnitTable.model_construct(
        name=name or usual_name(table),
        size_class=table.capacity or table.heating_capacity,
        supply=table.supply if isinstance(table, PlateFile) else "",
        heating=_function(mapped.heating, mapped.heating_operation),
        cooling=_function(mapped.cooling, mapped.cooling_operation),
        idle=idle or usual_idle(table),
        sources={
            "plate": f"{len(table.plate().points)} points of the plate; {len(made.guessed)} values"
            " from usual ratios, each with its source in the list of defaults"
        },
    )
    return unit, made


def usual_name(table: PlateTable) -> str:
    """Name of a unit without one.

    Parameters
    ----------
    table
        The plate.

    Returns
    -------
    str
        Kind and class.
    """
    kind = table.kind[0].upper() + table.kind[1:]
    capacity = table.capacity or table.heating_capacity
    if capacity is None:
        return f"{kind} {table.sold_as}"
    size = f"{btu_h_from_w(capacity) / 1000.0:.3g} kBtu/h"
    what = "class" if table.capacity else "heating at 47 degF"
    return f"{kind} {table.sold_as}, {size} {what}"


def _function(performance: PerformanceMap | None, operation: Operation) -> FunctionTable | None:
    if performance is None:
        return None
    factor = performance.cycling[0]
    heats = performance.function is Function.HEATING
    return FunctionTable.model_construct(
        frost=performance.speeds[0].frost.value,
        cd=getattr(factor, "cd", 0.25),
        staging="time shared" if performance.staging is time_shared else "modulating",
        off=operation.off_c,
        on=operation.on_c if heats else None,
        off_above=operation.off_above_c,
        sensible_heat_ratio=None,
        points=[
            Point.model_construct(
                speed=speed.name, outdoor=float(t), capacity=float(q), power=float(p)
            )
            for speed in performance.speeds
            for t, q, p in speed.points
        ],
    )
