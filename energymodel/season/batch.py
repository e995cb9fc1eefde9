"""The same year for many variants of one heat pump at once: hour-exact, at the cost of products.

Only loads, in-service factors and capacity factors differ between variants, so the coefficients of
the machine are made once per state and a variant costs a few operations per state.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.errors import InputError
from energymodel.season.batch_blocks import (
    Block,
    Lines,
    Sums,
    Workspace,
    add_block,
    no_sums,
    variants_per_chunk,
    workspace,
)
from energymodel.season.batch_idle import FAN, IDLE_USES, IdleWeights, idle_weights, loaded_sums
from energymodel.season.batch_machine import (
    Machine,
    MachineGroup,
    Products,
    machine_groups,
    machine_of,
    products_of,
)
from energymodel.season.batch_variants import (
    FunctionVariants,
    Variants,
    check_balances,
    function_variants,
)
from energymodel.season.option import Option
from energymodel.season.result import COOLING, HEATING
from energymodel.season.segments import no_batch
from energymodel.season.states import States

Rows: TypeAlias = slice | Index


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BatchResult:
    """A year of every variant.

    Parameters
    ----------
    names
        Names of the uses, as the columns of a single year have them.
    kwh
        Shape (variants, cells, uses); in memory a use is contiguous, then a cell.
    peak_kw
        Largest hourly mean power with the base load, kW, shape (variants, windows); None where no
        base load was given.
    """

    names: tuple[str, ...]
    kwh: Array
    peak_kw: Array | None

    def column(self, name: str) -> Array:
        """Energy of one use.

        Parameters
        ----------
        name
            Such as "heating_electricity_compressor_kwh"; a use that the option does not have is
            zero.

        Returns
        -------
        Array
            kWh, shape (variants, cells).
        """
        if name not in self.names:
            return np.zeros(self.kwh.shape[:2])
        values: Array = self.kwh[:, :, self.names.index(name)]
        return values

    def electricity_kwh(self) -> Array:
        """All electricity.

        Returns
        -------
        Array
            kWh, shape (variants, cells).
        """
        names = [name for name in self.names if "_electricity_" in name]
        return sum((self.column(name) for name in names), np.zeros(self.kwh.shape[:2]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Side:
    """One function of the option, ready to be summed."""

    machine: Machine
    columns: FunctionVariants
    products: Products
    groups: MachineGroup

    @property
    def sign(self) -> float:
        """-1 for cooling, whose temperatures are negated."""
        return 1.0 if self.machine.function == HEATING else -1.0

    def lines(self, rows: Rows) -> Lines:
        """Load lines of some variants."""
        return Lines(
            slope_w_per_k=self.columns.slope_w_per_k[rows],
            balance_c=self.sign * self.columns.balance_c[rows],
            power_scale=1.0 / self.columns.in_service_factor[rows],
        )

    def names(self) -> dict[str, str]:
        """Which of the sums stands under which name."""
        function, strips = self.machine.function, self.machine.strips
        names = {
            f"{function}_electricity_compressor_kwh": "compressor",
            f"{function}_unmet_kwh": "unmet",
        }
        if self.machine.pump.uses_humidity:
            names[f"{function}_electricity_defrost_kwh"] = "defrost"
        if strips is not None:
            names[f"{function}_electricity_{strips.use.replace(' ', '_')}_kwh"] = "backup"
        return names


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Batch:
    """Everything that is the same for all chunks."""

    sides: tuple[_Side, ...]
    hours: Array
    weights: IdleWeights
    off_kwh: Array
    idle_names: dict[int, str]
    base_w: Array | None
    names: tuple[str, ...]
    kwh: Array
    peak_kw: Array | None


def batch(
    option: Option,
    states: States,
    variants: Variants,
    *,
    hours: Array | None = None,
    base_w: Array | None = None,
    chunk: int | None = None,
) -> BatchResult:
    """Run the same year for many variants of one heat pump.

    Parameters
    ----------
    option
        A heat pump with or without resistance backup, a heat pump or air conditioner that cools,
        idle units; its load lines and factors hold where the variants give none.
    states
        States of that option's year, from :mod:`energymodel.season.states`.
    variants
        Load lines and factors.
    hours
        Hours of each state in each cell, such as month x tariff period, shape (cells, states); by
        default the months.
    base_w
        Largest base load in each billing window at each state, W, shape (windows, states), minus
        infinity where the state does not occur in the window: :func:`largest_base_w`.
    chunk
        Variants at a time; by default as many as the cache holds. It changes no result.

    Returns
    -------
    BatchResult
        Energy by variant, cell and use, and the peaks.

    Raises
    ------
    NoBatchError
        If something in the option can only be run one year at a time.
    InputError
        If the columns or the shapes do not fit.

    Examples
    --------
    >>> from energymodel.building.load import LoadLine
    >>> from energymodel.equipment.curves import Frost, Function, TablePoint, map_from_table
    >>> from energymodel.equipment.heat_pump import HeatPump
    >>> from energymodel.season.batch_variants import Variants
    >>> from energymodel.season.states import distinct_states
    >>> from energymodel.weather.library import shipped_year
    >>> points = [
    ...     TablePoint(speed="full", outdoor_c=t, capacity_w=3000.0 + 60 * t, power_w=1000.0)
    ...     for t in (-8.0, 8.0)
    ... ]
    >>> performance = map_from_table(
    ...     points, function=Function.HEATING, frost=Frost.INCLUDED, cd=0.25
    ... )
    >>> option = Option(
    ...     name="invented",
    ...     heating=HeatPump(performance=performance),
    ...     cooling=None,
    ...     heating_load=LoadLine(slope_w_per_k=100.0, balance_c=15.0, indoor_c=20.0, heating=True),
    ...     cooling_load=None,
    ...     heating_indoor_c=20.0,
    ...     cooling_indoor_c=24.0,
    ... )
    >>> states = distinct_states(option, shipped_year("greensboro-nc"))
    >>> result = batch(option, states, Variants(heating_slope_w_per_k=np.array([50.0, 100.0])))
    >>> result.kwh.shape
    (2, 12, 2)
    >>> result.electricity_kwh().sum(axis=1).round().tolist()
    [755.0, 1402.0]
    """
    prepared = _prepared(option, states, variants, hours, base_w)
    size = variants_per_chunk() if chunk is None else chunk
    if size < 1:
        raise InputError(f"chunks of {size} variants", expected="at least 1")
    space = workspace(size, max(_product_rows(prepared), 1))
    for blocks, rows in _chunks(prepared, len(variants), size):
        _run_chunk(prepared, blocks, rows, space)
    return BatchResult(names=prepared.names, kwh=prepared.kwh.T, peak_kw=prepared.peak_kw)


def _prepared(
    option: Option, states: States, variants: Variants, hours: Array | None, base_w: Array | None
) -> _Batch:
    if option.has_memory:
        raise no_batch(f"{option.name} depends on the hour before", "an option without memory")
    order = np.argsort(states.outdoor_c, kind="stable")
    counts = _table(states.hours_in_month if hours is None else hours, order, "hours")
    base = None if base_w is None else _base(_table(base_w, order, "base_w"))
    ordered = replace(
        states,
        outdoor_c=states.outdoor_c[order],
        relative_humidity_pct=states.relative_humidity_pct[order],
        month_of_state=states.month_of_state[order],
        inverse=np.argsort(order)[states.inverse],
        hours_in_month=states.hours_in_month[:, order],
    )
    weights = idle_weights(option, ordered)
    sides = _sides(option, ordered, variants, weights, counts)
    idle = weights.off_w + weights.heating_saved_w + weights.cooling_saved_w
    names = [name for side in sides for name in side.names()]
    idle_names = {use: _idle_name(use) for use in np.flatnonzero(idle.any(axis=1)).tolist()}
    names += idle_names.values()
    return _Batch(
        sides=sides,
        hours=counts,
        weights=weights,
        off_kwh=weights.off_w @ counts.T / 1000.0,
        idle_names=idle_names,
        base_w=base,
        names=tuple(names),
        kwh=np.zeros((len(names), len(counts), len(variants))),
        peak_kw=None if base is None else np.zeros((len(variants), len(base))),
    )


def _table(table: Array, order: Index, name: str) -> Array:
    if table.ndim != 2 or table.shape[1] != order.size:
        raise InputError(
            f"{name} has the shape {table.shape}",
            expected=f"one row per cell or window and {order.size} columns, one per state",
        )
    return np.ascontiguousarray(table[:, order])


def _base(base_w: Array) -> Array:
    if np.isnan(base_w).any() or np.isposinf(base_w).any():
        raise InputError("base_w has a value that is not a number", expected="W in every hour")
    empty = np.flatnonzero(np.isneginf(base_w).all(axis=1))
    if empty.size:
        raise InputError(
            f"window {empty[0]} of base_w has no hour", expected="at least one hour per window"
        )
    return base_w


def _idle_name(use: int) -> str:
    return f"idle_electricity_{IDLE_USES[use]}_kwh"


def _sides(
    option: Option, states: States, variants: Variants, weights: IdleWeights, hours: Array
) -> tuple[_Side, ...]:
    sides = []
    for function, line in ((HEATING, option.heating_load), (COOLING, option.cooling_load)):
        machine = machine_of(option, states, function)
        if machine is None:
            continue
        columns = function_variants(variants, machine.pump, line, function=function)
        if columns is None:
            continue
        products = products_of(function, hours, weights)
        groups = machine_groups(machine, columns, products)
        sides.append(_Side(machine=machine, columns=columns, products=products, groups=groups))
    if not sides:
        raise no_batch(f"{option.name} neither heats nor cools", "a source with a load line")
    if len(sides) == 2:
        check_balances(sides[0].columns, sides[1].columns)
    return tuple(sides)


def _product_rows(prepared: _Batch) -> int:
    uses = [side.products.saving_uses.size for side in prepared.sides]
    return len(prepared.hours) * max([1, *uses])


def _chunks(
    prepared: _Batch, variants: int, size: int
) -> Iterator[tuple[tuple[list[Block], ...], Rows]]:
    """Variants that share the blocks of both functions, at most `size` at a time."""
    kinds = np.zeros(variants, dtype=np.intp)
    for side in prepared.sides:
        kinds = kinds * len(side.groups.blocks) + side.groups.members
    for kind in np.flatnonzero(np.bincount(kinds)):
        rows = np.flatnonzero(kinds == kind)
        blocks = tuple(side.groups.blocks[side.groups.members[rows[0]]] for side in prepared.sides)
        for start in range(0, rows.size, size):
            yield blocks, _compact(rows[start : start + size])


def _compact(rows: Index) -> Rows:
    first, last = int(rows[0]), int(rows[-1])
    return slice(first, last + 1) if last - first + 1 == rows.size else rows


def _run_chunk(
    prepared: _Batch, blocks: tuple[list[Block], ...], rows: Rows, space: Workspace
) -> None:
    lines = [side.lines(rows) for side in prepared.sides]
    size = lines[0].balance_c.size
    idle_kwh = np.repeat(prepared.off_kwh[..., np.newaxis], size, axis=2)
    total_w = None
    if prepared.base_w is not None:
        total_w = np.repeat(prepared.weights.off_w.sum(axis=0)[:, np.newaxis], size, axis=1)
    for side, own, line in zip(prepared.sides, blocks, lines, strict=True):
        uses = side.products.saving_uses
        sums = no_sums(len(prepared.hours), uses.size * len(prepared.hours), size)
        for block in own:
            add_block(block, line, space, sums, total_w)
        idle_kwh[uses] -= sums.run.reshape(uses.size, len(prepared.hours), size)
        _add_fan(side, line, idle_kwh[FAN], total_w)
        _write(prepared, side, rows, sums, line)
    for use, name in prepared.idle_names.items():
        prepared.kwh[prepared.names.index(name)][:, rows] = idle_kwh[use]
    if total_w is not None and prepared.base_w is not None and prepared.peak_kw is not None:
        prepared.peak_kw[rows] = _peaks(prepared.base_w, total_w).T / 1000.0


def _write(prepared: _Batch, side: _Side, rows: Rows, sums: Sums, lines: Lines) -> None:
    scale = {"compressor": lines.power_scale, "defrost": lines.power_scale}
    for name, part in side.names().items():
        energy_kwh = getattr(sums, part)
        if part in scale:
            np.multiply(energy_kwh, scale[part], out=energy_kwh)
        prepared.kwh[prepared.names.index(name)][:, rows] = energy_kwh


def _add_fan(side: _Side, lines: Lines, fan_kwh: Array, total_w: Array | None) -> None:
    fan_w, depth_c = side.products.saved_w[FAN], side.machine.depth_c
    if not fan_w.any():
        return
    fan_kwh += loaded_sums(side.products.hours * fan_w / 1000.0, depth_c, lines.balance_c)
    if total_w is not None:
        total_w += fan_w[:, np.newaxis] * (depth_c[:, np.newaxis] < lines.balance_c)


def _peaks(base_w: Array, total_w: Array) -> Array:
    """Largest base load plus heat pump in each window, W, shape (windows, variants)."""
    there = [np.flatnonzero(np.isfinite(base)) for base in base_w]
    peaks = [
        (base[rows, np.newaxis] + total_w[rows]).max(axis=0)
        for base, rows in zip(base_w, there, strict=True)
    ]
    return np.stack(peaks)
