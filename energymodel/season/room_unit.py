"""A heater as the thermostat of one room sees it: lowest, full and backup output by hour."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.backup import BackupInstead, BackupWith
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Conditions, Flows, Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.kernel import modulating
from energymodel.equipment.operation import RememberingOperation
from energymodel.equipment.partial import PartialDisplacement
from energymodel.errors import EquipmentError
from energymodel.season.thermostat import START_UP_TAU_S

_ALL_W = 1e6
"""A load that no unit of a house carries: asks for all it can give."""
_UNLIMITED = 0.99
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomUnit:
    """A heater taken apart for a run through the hours.

    Parameters
    ----------
    main
        What the thermostat's first stage switches.
    backup
        Backup heat; None: there is none.
    conditions
        Outdoor conditions of each hour in order.
    lowest_w, full_w
        Heat to the room at the lowest and at full output, W, shape (hours,); 0 where the machine
        may not run.
    backup_w
        Heat to the room of the backup, W, shape (hours,).
    modulates
        Whether the machine changes its speed.
    backup_replaces
        Whether the backup runs instead of the machine, not beside it.
    start_up_tau_s
        Time constant with which the machine's output comes up, s.
    """

    main: Source
    backup: Source | None
    conditions: Conditions
    lowest_w: Array
    full_w: Array
    backup_w: Array
    modulates: bool
    backup_replaces: bool
    start_up_tau_s: float


def room_unit(
    source: Source,
    conditions: Conditions,
    *,
    size_w: float,
    start_up_tau_s: float = START_UP_TAU_S,
) -> RoomUnit:
    """Take a source apart for a run through the hours.

    Parameters
    ----------
    source
        A heater as the season runs it.
    conditions
        Outdoor conditions of each hour in order, set-point.
    size_w
        Heat to the room of a heater that is as large as needed, W.
    start_up_tau_s
        Time constant of a heat pump's start, s; other heaters give their full heat at once.

    Returns
    -------
    RoomUnit
        Between cut-out and cut-in temperature the heat pump stays as it was. A machine with more
        than two stages runs its lowest and all of them.

    Raises
    ------
    EquipmentError
        If the source heats two zones of a house.
    """
    if not serves_one_room(source):
        raise EquipmentError(
            "one system heats a zone and another the rest of the house",
            expected="one room with one thermostat",
            remedy="describe the zone as a room of its own",
        )
    main, backup, replaces = _parts(source)
    main, backup = _sized(main, size_w), None if backup is None else _sized(backup, size_w)
    pump = _pump_of(main)
    full_w = _full_w(main, conditions)
    lowest_w = full_w if pump is None else _lowest_w(main, pump, conditions, full_w)
    return RoomUnit(
        main=main,
        backup=backup,
        conditions=conditions,
        lowest_w=lowest_w,
        full_w=full_w,
        backup_w=np.zeros_like(full_w) if backup is None else _full_w(backup, conditions),
        modulates=pump is not None and is_modulating(pump),
        backup_replaces=replaces,
        start_up_tau_s=0.0 if pump is None else start_up_tau_s,
    )


def serves_one_room(source: Source) -> bool:
    """Whether one thermostat can drive a source.

    Parameters
    ----------
    source
        A heater as the season runs it.

    Returns
    -------
    bool
        False where a heat pump heats a zone and the old system the rest of the house.
    """
    inner = source.source if isinstance(source, Ducted) else source
    return not isinstance(inner, PartialDisplacement)


def is_modulating(pump: HeatPump) -> bool:
    """Whether a heat pump changes its speed between two limits.

    Parameters
    ----------
    pump
        One function of a heat pump.

    Returns
    -------
    bool
        False for single-speed and two-stage machines.
    """
    return len(pump.performance.speeds) > 1 and pump.performance.staging is modulating


def heat_pump_in(source: Source) -> HeatPump | None:
    """Find the heat pump in a source.

    Parameters
    ----------
    source
        With backup and ducts around it, or without.

    Returns
    -------
    HeatPump or None
        None for other heaters.
    """
    return _pump_of(_parts(source)[0])


def _parts(source: Source) -> tuple[Source, Source | None, bool]:
    """Part a source: machine, backup, whether the backup replaces it; ducts go around both."""
    if isinstance(source, Ducted):
        main, backup, replaces = _parts(source.source)
        around = replace(source, source=main)
        if backup is None:
            return around, None, False
        return around, replace(source, source=backup, extra_fan_w=0.0), replaces
    if isinstance(source, BackupWith):
        return _remembering(source.main), source.backup, False
    if isinstance(source, BackupInstead):
        return _remembering(source.main), source.backup, True
    return _remembering(source), None, False


def _remembering(source: Source) -> Source:
    """Stop at the cut-out and start at the cut-in, instead of half of the time in between."""
    if isinstance(source, Ducted):
        return replace(source, source=_remembering(source.source))
    if not isinstance(source, HeatPump) or isinstance(source.operation, RememberingOperation):
        return source
    limits = {one.name: getattr(source.operation, one.name) for one in fields(source.operation)}
    return replace(source, operation=RememberingOperation(**limits))


def _pump_of(source: Source) -> HeatPump | None:
    inner = source.source if isinstance(source, Ducted) else source
    return inner if isinstance(inner, HeatPump) else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Limited:
    """A heater that is as large as needed, built with a size."""

    source: Source
    size_w: float

    @property
    def uses_humidity(self) -> bool:
        """As the source."""
        return self.source.uses_humidity

    def run(self, conditions: Conditions, load_w: Array) -> Flows:
        """Answer a load up to the size."""
        flows = self.source.run(conditions, np.minimum(load_w, self.size_w))
        return replace(flows, unmet_w=load_w - flows.delivered_w)


def _sized(source: Source, size_w: float) -> Source:
    still = Conditions(outdoor_c=np.zeros(1), relative_humidity_pct=np.full(1, 50.0), indoor_c=20.0)
    if _pump_of(source) is not None:
        return source
    endless = float(source.run(still, np.full(1, _ALL_W)).delivered_w[0]) > _UNLIMITED * _ALL_W
    return _Limited(source=source, size_w=size_w) if endless else source


def _full_w(source: Source, conditions: Conditions) -> Array:
    """Full output at the room; a trace of rounding is none."""
    given = source.run(conditions, np.full_like(conditions.outdoor_c, _ALL_W)).delivered_w
    return np.where(given > _ROUNDING * _ALL_W, given, 0.0)


def _lowest_w(main: Source, pump: HeatPump, conditions: Conditions, full_w: Array) -> Array:
    unit_w = pump.lowest_output_w(conditions)
    if isinstance(main, Ducted):
        unit_w = np.where(unit_w > 0, (unit_w + main.extra_fan_w) * main.efficiency, 0.0)
    lowest: Array = np.where(unit_w > 0, np.minimum(unit_w, full_w), full_w)
    return lowest
