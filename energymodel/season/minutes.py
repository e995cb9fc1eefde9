"""Minute by minute: the room model driven by a unit and its thermostat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.building.room import Room, RoomStep, room_step
from energymodel.equipment.flows import Conditions, Flows
from energymodel.errors import InputError
from energymodel.season.room_unit import RoomUnit
from energymodel.season.thermostat import (
    USUAL_THERMOSTAT,
    BackupControl,
    Control,
    ModulatingControl,
    StagedControl,
    Thermostat,
    start_up_factors,
)

HOUR_S = 3600.0
MINUTE_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomRun:
    """What is run: the room, its heater, the thermostat and its set-points.

    Parameters
    ----------
    room
        Two thermal nodes.
    unit
        The heater with its outputs of each hour.
    set_point_c
        Set-point of each step, degC, shape (hours x steps per hour,).
    vent_c
        Room temperature at which windows are opened, degC.
    thermostat
        Settings.
    step_s
        Length of a step, s; a whole number of them makes an hour.
    """

    room: Room
    unit: RoomUnit
    set_point_c: Array
    vent_c: float
    thermostat: Thermostat = USUAL_THERMOSTAT
    step_s: float = MINUTE_S

    def __post_init__(self) -> None:
        per_hour = HOUR_S / self.step_s
        if abs(per_hour - round(per_hour)) > 1e-9:
            raise InputError(
                f"steps of {self.step_s:g} s", expected="a whole number of steps in an hour"
            )
        if self.set_point_c.shape != (self.hours * self.steps_per_hour,):
            raise InputError(
                f"{self.set_point_c.size} set-points for {self.hours} hours",
                expected=f"{self.hours * self.steps_per_hour}, one for each step",
            )

    @property
    def hours(self) -> int:
        """Number of hours."""
        return int(self.unit.full_w.size)

    @property
    def steps_per_hour(self) -> int:
        """Number of steps in an hour."""
        return round(HOUR_S / self.step_s)

    @property
    def hour_of_step(self) -> Index:
        """Hour of each step, shape (steps,)."""
        return np.repeat(np.arange(self.hours), self.steps_per_hour)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MinuteTrace:
    """A run step by step; all arrays of shape (steps,).

    Parameters
    ----------
    run
        What was run.
    outdoor_c
        Outdoor temperature, degC: that of the hour.
    air_c, structure_c
        Temperatures at the end of each step, degC.
    mean_air_c
        Mean room temperature during each step, degC.
    asked_w
        Steady output of the machine at the speed at which it runs, W.
    machine_w, backup_w
        Heat to the room of machine and backup, W.
    vented_w
        Heat that leaves by the window, W.
    loss_w
        Heat loss to the outdoors, W.
    electricity_w, fuel_w
        By use and by carrier, W; backup is the uses of the second heater.
    backup_electricity_w
        Electricity of the backup, W.
    running, starts
        Masks: the machine runs; it has just started.
    """

    run: RoomRun
    outdoor_c: Array
    air_c: Array
    structure_c: Array
    mean_air_c: Array
    asked_w: Array
    machine_w: Array
    backup_w: Array
    vented_w: Array
    loss_w: Array
    electricity_w: Mapping[str, Array]
    fuel_w: Mapping[str, Array]
    backup_electricity_w: Array
    running: Mask
    starts: Mask

    @property
    def heat_w(self) -> Array:
        """Heat of machine and backup together, W."""
        return self.machine_w + self.backup_w

    @property
    def power_w(self) -> Array:
        """Electric power of all uses, W."""
        return sum(self.electricity_w.values(), np.zeros_like(self.air_c))

    def energy_kwh(self, values_w: Array) -> float:
        """Sum of a power over the run.

        Parameters
        ----------
        values_w
            W, shape (steps,).

        Returns
        -------
        float
            kWh.
        """
        return float(values_w.sum()) * self.run.step_s / HOUR_S / 1000.0

    def by_hour(self, values: Array) -> Array:
        """Mean of each hour.

        Parameters
        ----------
        values
            Shape (steps,).

        Returns
        -------
        Array
            Shape (hours,).
        """
        means: Array = values.reshape(self.run.hours, -1).mean(axis=1)
        return means


def run_minutes(run: RoomRun, *, start_c: tuple[float, float] | None = None) -> MinuteTrace:
    """Run a room through the hours of its unit.

    Parameters
    ----------
    run
        Room, unit, set-points.
    start_c
        Air and structure temperature at the beginning, degC; by default the set-point, and the
        steady state of the first hour.

    Returns
    -------
    MinuteTrace
        Step by step. In each of them, heat + gains = loss + vented + stored.

    Notes
    -----
    The thermostat reads the room at the beginning of each step and the output is constant through
    it. A machine that has started gives 1 - exp(-t/tau) of its output at full power. Capacities
    are those at the set-point of the unit's conditions, not at the room's momentary temperature.
    """
    solved = room_step(run.room, step_s=run.step_s)
    outdoor_c = run.unit.conditions.outdoor_c
    if start_c is None:
        first_c = float(run.set_point_c[0])
        start_c = (first_c, run.room.steady_structure_c(first_c, float(outdoor_c[0])))
    walk = _Walk(run, solved, start_c)
    for hour in range(run.hours):
        walk.hour(hour)
    return _trace(run, solved, walk, start_c)


class _Walk:
    """The loop over the steps, in plain numbers for speed."""

    __slots__ = (
        "air", "airs", "asks", "backup", "backups", "control", "count", "factors", "run",
        "set_points", "solved", "structure", "structures", "vented",
    )  # fmt: skip

    def __init__(self, run: RoomRun, solved: RoomStep, start_c: tuple[float, float]) -> None:
        self.run, self.solved = run, solved
        self.air, self.structure = start_c
        self.set_points: list[float] = run.set_point_c.tolist()
        self.control = _control(run)
        self.backup = BackupControl(run.thermostat)
        self.factors = start_up_factors(run.unit.start_up_tau_s, step_s=run.step_s)
        self.count = -1  # steps since the start; below zero while the machine stands
        self.airs: list[float] = []
        self.structures: list[float] = []
        self.asks: list[float] = []
        self.backups: list[float] = []
        self.vented: list[float] = []

    def hour(self, hour: int) -> None:
        """Walk through the steps of one hour, whose weather and outputs are constant."""
        unit, steps = self.run.unit, self.run.steps_per_hour
        self.control.limits(float(unit.lowest_w[hour]), float(unit.full_w[hour]))
        may_run, most_backup_w = float(unit.full_w[hour]) > 0, float(unit.backup_w[hour])
        ((air_air, air_structure), (by_air, by_structure)) = self.solved.state.tolist()
        ((air_outdoor, air_heat), (outdoor, heat)) = self.solved.inputs.tolist()
        outdoor_c, gains_w = float(unit.conditions.outdoor_c[hour]), self.run.room.gains_w
        air_drift = air_outdoor * outdoor_c + air_heat * gains_w
        drift = outdoor * outdoor_c + heat * gains_w
        vent_c = self.run.vent_c
        for set_point in self.set_points[hour * steps : (hour + 1) * steps]:
            free = air_air * self.air + air_structure * self.structure + air_drift
            hold_w = (self.air - free) / air_heat
            backup_w = most_backup_w and self._backup_w(set_point, most_backup_w, may_run=may_run)
            machine_w = self._machine_w(hold_w, set_point, backup_w)
            given_w = machine_w + backup_w
            after = free + air_heat * given_w
            vented_w = (after - vent_c) / air_heat if after > vent_c else 0.0
            self.structure = (
                by_air * self.air + by_structure * self.structure + drift
                + heat * (given_w - vented_w)
            )  # fmt: skip
            self.air = vent_c if vented_w else after
            self.airs.append(self.air)
            self.structures.append(self.structure)
            self.backups.append(backup_w)
            self.vented.append(vented_w)

    def _backup_w(self, set_point: float, most_w: float, *, may_run: bool) -> float:
        decide = self.backup.helps if may_run else self.backup.alone
        return most_w if decide(self.air, set_point) else 0.0

    def _machine_w(self, hold_w: float, set_point: float, backup_w: float) -> float:
        if backup_w and self.run.unit.backup_replaces:
            asked_w = 0.0
        else:
            asked_w = self.control.ask(self.air, hold_w, set_point)
        self.asks.append(asked_w)
        if not asked_w:
            self.count = -1
            return 0.0
        self.count += 1
        if self.count < len(self.factors):
            return asked_w * self.factors[self.count]
        return asked_w


def _control(run: RoomRun) -> Control:
    if not run.unit.modulates:
        return StagedControl(run.thermostat, run.step_s)
    recovery = run.room.air_j_per_k / run.thermostat.response_s
    return ModulatingControl(run.thermostat, run.step_s, recovery)


def _trace(
    run: RoomRun, solved: RoomStep, walk: _Walk, start_c: tuple[float, float]
) -> MinuteTrace:
    air, structure, asked = np.array(walk.airs), np.array(walk.structures), np.array(walk.asks)
    backup, vented = np.array(walk.backups), np.array(walk.vented)
    running = asked > 0
    starts = running & ~np.concatenate([[False], running[:-1]])
    machine = asked * _factors(running, starts, walk.factors)
    conditions = _at_steps(run)
    before = np.append(start_c[0], air[:-1]), np.append(start_c[1], structure[:-1])
    into_air_w = machine + backup - vented + run.room.gains_w
    mean_air_c, mean_structure_c = solved.mean_c(*before, conditions.outdoor_c, into_air_w)
    first = run.unit.main.run(conditions, asked)
    second = None if run.unit.backup is None else run.unit.backup.run(conditions, backup)
    electricity, fuel = _added(first, second)
    return MinuteTrace(
        run=run,
        outdoor_c=conditions.outdoor_c,
        air_c=air,
        structure_c=structure,
        mean_air_c=mean_air_c,
        asked_w=asked,
        machine_w=machine,
        backup_w=backup,
        vented_w=vented,
        loss_w=solved.loss_w(mean_air_c, mean_structure_c, conditions.outdoor_c),
        electricity_w=electricity,
        fuel_w=fuel,
        backup_electricity_w=np.zeros_like(air) if second is None else _electric(second, air),
        running=running,
        starts=starts,
    )


def _factors(running: Mask, starts: Mask, factors: tuple[float, ...]) -> Array:
    """Start-up factor of each step: one, but for the first steps after a start."""
    since = np.arange(running.size)
    since = since - np.maximum.accumulate(np.where(starts, since, -1))
    table = np.append(np.array(factors), 1.0)
    factor: Array = table[np.minimum(since, len(factors))]
    return np.where(running, factor, 1.0)


def _at_steps(run: RoomRun) -> Conditions:
    hour, at = run.hour_of_step, run.unit.conditions
    return Conditions(
        outdoor_c=at.outdoor_c[hour],
        relative_humidity_pct=at.relative_humidity_pct[hour],
        indoor_c=at.indoor_c,
    )


def _electric(flows: Flows, like: Array) -> Array:
    return sum(flows.electricity_w.values(), np.zeros_like(like))


def _added(first: Flows, second: Flows | None) -> tuple[dict[str, Array], dict[str, Array]]:
    electricity, fuel = dict(first.electricity_w), dict(first.fuel_w)
    if second is not None:
        for total, more in ((electricity, second.electricity_w), (fuel, second.fuel_w)):
            for name, values in more.items():
                total[name] = total[name] + values if name in total else values
    return electricity, fuel
