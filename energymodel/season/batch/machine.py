"""The machine behind a batch: taken out of an option, written as blocks of states."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.equipment.backup import BackupWith
from energymodel.equipment.flows import Conditions, Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.resistance import Resistance
from energymodel.season.batch.blocks import Block, FunctionStates, blocks_of
from energymodel.season.batch.idle import IdleWeights
from energymodel.season.batch.segments import PumpSegments, no_batch, pump_segments
from energymodel.season.batch.variants import FunctionVariants
from energymodel.season.option import Option
from energymodel.season.result import HEATING
from energymodel.season.states import States

_ENOUGH_W = 1e12
"""More than any load: what a heater without a limit still covers."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Machine:
    """Heat pump of one function, and resistance heat behind it.

    Parameters
    ----------
    function
        "heating" or "cooling".
    pump
        Heat pump or air conditioner.
    strips
        None: no backup.
    conditions
        The states.
    depth_c
        Outdoor temperature, degC, shape (states,); negated for cooling, which then is heating
        with other numbers, and infinite where the function is switched off.
    """

    function: str
    pump: HeatPump
    strips: Resistance | None
    conditions: Conditions
    depth_c: Array


def machine_of(option: Option, states: States, function: str) -> Machine | None:
    """Take one function out of an option.

    Parameters
    ----------
    option
        With a heat pump, alone or with resistance backup.
    states
        States of the year, coldest first.
    function
        "heating" or "cooling".

    Returns
    -------
    Machine or None
        None: the option has no source for it.

    Raises
    ------
    NoBatchError
        If the source is of another kind, or its supply is cut at times.
    """
    heats = function == HEATING
    source = option.heating if heats else option.cooling
    if source is None:
        return None
    if function in states.no_supply:
        raise no_batch(f"the supply of {function} is cut at times", "a supply that is never cut")
    pump, strips = _parts(source, function)
    depth_c = states.outdoor_c
    if not heats:
        off = states.in_months(option.months_without_cooling)
        depth_c = np.where(off, np.inf, -states.outdoor_c)
    return Machine(
        function=function,
        pump=pump,
        strips=strips,
        conditions=Conditions(
            outdoor_c=states.outdoor_c,
            relative_humidity_pct=states.relative_humidity_pct,
            indoor_c=option.heating_indoor_c if heats else option.cooling_indoor_c,
        ),
        depth_c=depth_c,
    )


def _parts(source: Source, function: str) -> tuple[HeatPump, Resistance | None]:
    if isinstance(source, HeatPump):
        return source, None
    if isinstance(source, BackupWith):
        if isinstance(source.main, HeatPump) and isinstance(source.backup, Resistance):
            return source.main, source.backup
        kinds = f"{type(source.main).__name__} and {type(source.backup).__name__}"
        raise no_batch(
            f"the {function} source is a BackupWith of {kinds}",
            "a HeatPump with Resistance behind it",
        )
    raise no_batch(
        f"the {function} source is a {type(source).__name__}",
        "a HeatPump, alone or in a BackupWith with Resistance",
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Products:
    """What the power at the states is multiplied with.

    Parameters
    ----------
    hours
        Hours of each state in each cell, shape (cells, states).
    saved_w
        Idle power that is not drawn while the compressor runs, W, shape (idle uses, states).
    fan_w
        Indoor fan in hours with a load, W, shape (states,).
    fan_use
        Number of the idle use in which the fan is.
    """

    hours: Array
    saved_w: Array
    fan_w: Array
    fan_use: int

    @property
    def saving_uses(self) -> Index:
        """Indices of the idle uses that depend on the compressor."""
        return np.flatnonzero(self.saved_w.any(axis=1))


def products_of(function: str, hours: Array, weights: IdleWeights) -> Products:
    """Gather what one function's power is multiplied with.

    Parameters
    ----------
    function
        "heating" or "cooling".
    hours
        Hours of each state in each cell, shape (cells, states).
    weights
        Idle power.

    Returns
    -------
    Products
        For that function.
    """
    heats = function == HEATING
    return Products(
        hours=hours,
        saved_w=weights.heating_saved_w if heats else weights.cooling_saved_w,
        fan_w=weights.heating_fan_w if heats else weights.cooling_fan_w,
        fan_use=weights.fan_use,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MachineGroup:
    """Variants that share all coefficients.

    Parameters
    ----------
    members
        Group of each variant, shape (variants,).
    blocks
        Blocks of each group.
    """

    members: Index
    blocks: tuple[list[Block], ...]


def machine_groups(machine: Machine, columns: FunctionVariants, products: Products) -> MachineGroup:
    """Make one set of blocks for each capacity factor and each set of states that COP < 1 stops.

    Parameters
    ----------
    machine
        The machine.
    columns
        Its variants.
    products
        What its power is multiplied with.

    Returns
    -------
    MachineGroup
        Few groups: the factors of a batch differ in few states, or in none.
    """
    members = np.zeros(columns.capacity_factor.size, dtype=np.intp)
    blocks: list[list[Block]] = []
    for factor in sorted(set(columns.capacity_factor.tolist())):
        pump = pump_segments(machine.pump, machine.conditions, capacity_factor=factor)
        here = np.flatnonzero(columns.capacity_factor == factor)
        in_service = columns.in_service_factor[here]
        for rows in _same_stops(pump, in_service):
            stopped = pump.stopped(in_service[rows[:1]])[0]
            members[here[rows]] = len(blocks)
            blocks.append(_blocks(machine, pump, stopped, products))
    return MachineGroup(members=members, blocks=tuple(blocks))


def _same_stops(pump: PumpSegments, in_service: Array) -> Iterator[Index]:
    """Factors that a COP below one stops at the same states: a lower factor stops at more."""
    always = pump.stopped(in_service.max(keepdims=True))[0]
    ever = pump.stopped(in_service.min(keepdims=True))[0]
    number = np.zeros(in_service.size, dtype=np.intp)
    for state in np.flatnonzero(ever & ~always):
        number += pump.stopped(in_service, slice(state, state + 1))[:, 0]
    for value in np.flatnonzero(np.bincount(number)):
        yield np.flatnonzero(number == value)


def _blocks(machine: Machine, pump: PumpSegments, stopped: Mask, products: Products) -> list[Block]:
    part, full = pump.operation.shares(pump.allowed, stopped)
    lowest_w = pump.frosted.lowest_w
    saving = products.saved_w[products.saving_uses] / lowest_w[:, 0]
    run_hours = products.hours * saving[:, np.newaxis]
    return blocks_of(
        FunctionStates(
            depth_c=machine.depth_c[:, np.newaxis],
            pump=pump,
            part_share=part[:, np.newaxis],
            full_share=full[:, np.newaxis],
            strips_w=_most_w(machine),
            hours=products.hours,
            run_hours=run_hours.reshape(-1, machine.depth_c.size),
            run_w=(products.saved_w.sum(axis=0)[:, np.newaxis] / lowest_w),
        )
    )


def _most_w(machine: Machine) -> Array | None:
    strips = machine.strips
    if strips is None:
        return None
    most_w = strips.run(machine.conditions, np.full_like(machine.depth_c, _ENOUGH_W)).delivered_w
    return np.where(most_w < _ENOUGH_W, most_w, np.inf)[:, np.newaxis]
