"""One function of an option, ready to be summed over the states for a chunk of variants."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol, TypeAlias

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.season.batch.idle import loads_below
from energymodel.season.batch.loads import balance_depth_c
from energymodel.season.batch.machine import (
    Machine,
    MachineGroup,
    Products,
    machine_groups,
    machine_of,
)
from energymodel.season.batch.sums import Lines, Sums, Workspace, add_block, no_sums
from energymodel.season.batch.variants import FunctionVariants, Rows, Variants, function_variants
from energymodel.season.option import Option
from energymodel.season.result import HEATING, IDLE
from energymodel.season.states import States


@dataclass(slots=True, kw_only=True, eq=False)
class Chunk:
    """Variants that are run together, and what all functions add to.

    Parameters
    ----------
    rows
        Which of the variants.
    first
        The first of them.
    size
        Their number.
    space
        Working arrays.
    idle_kwh
        Shape (idle uses, cells, size).
    power_w
        Electric power at the states by "heating", "cooling" and "idle", shape (states, size), for
        peaks; the same array may stand under several names. Empty: no peaks are wanted.
    """

    rows: Rows
    first: int
    size: int
    space: Workspace
    idle_kwh: Array
    power_w: Mapping[str, Array]


class Side(Protocol):
    """One function of an option."""

    @property
    def function(self) -> str:
        """Heating or cooling."""
        ...

    @property
    def columns(self) -> FunctionVariants:
        """Its variants."""
        ...

    @property
    def kinds(self) -> Index:
        """Number of the coefficients of each variant: a chunk has one; shape (variants,)."""
        ...

    @property
    def names(self) -> tuple[str, ...]:
        """Names of its uses."""
        ...

    @property
    def depth_c(self) -> Array:
        """Outdoor temperature, degC; negated for cooling, infinite where switched off."""
        ...

    @property
    def products(self) -> Products:
        """What power is multiplied with."""
        ...

    def run(self, chunk: Chunk) -> dict[str, Array]:
        """Sum a chunk of variants.

        Parameters
        ----------
        chunk
            Its idle energy and its power are added to.

        Returns
        -------
        dict of Array
            kWh by name of the use, shape (cells, size).
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SideInputs:
    """What a function is made ready from.

    Parameters
    ----------
    option
        The option.
    states
        States of its year, coldest first.
    variants
        Columns.
    function
        "heating" or "cooling".
    products
        What its power is multiplied with.
    by_use
        Whether each electric use is wanted by itself, or all of them together.
    """

    option: Option
    states: States
    variants: Variants
    function: str
    products: Products
    by_use: bool


def all_electricity(function: str) -> str:
    """Name of all electricity of a function in one sum.

    Parameters
    ----------
    function
        "heating", "cooling" or "idle".

    Returns
    -------
    str
        Of a use.
    """
    return f"{function}_electricity_all_kwh"


SideMaker: TypeAlias = Callable[[SideInputs], Side | None]
"""Makes a function ready; None: the option or the variants have no such function."""


def add_idle_fan(chunk: Chunk, side: Side, balance_c: Array) -> None:
    """Add the fan that runs in every hour with a load.

    Parameters
    ----------
    chunk
        Added to.
    side
        The function.
    balance_c
        From :func:`balance_depth_c`.
    """
    fan_w, depth_c = side.products.fan_w, side.depth_c
    if not fan_w.any():
        return
    hours = side.products.hours * fan_w / 1000.0
    chunk.idle_kwh[side.products.fan_use] += loads_below(hours, depth_c, balance_c)
    if chunk.power_w:
        chunk.power_w[IDLE][...] += fan_w[:, np.newaxis] * (depth_c[:, np.newaxis] < balance_c)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FastSide:
    """A heat pump as straight segments, alone or with resistance heat behind it.

    Parameters
    ----------
    machine, columns, products, groups
        What is run, its variants, what it is multiplied with, and its coefficients.
    by_use
        Whether each electric use is wanted by itself.
    duct_efficiency
        Of ducts without an extra fan between the machine and the room; 1: none.
    """

    machine: Machine
    columns: FunctionVariants
    products: Products
    groups: MachineGroup
    by_use: bool
    duct_efficiency: float = 1.0

    @property
    def function(self) -> str:
        """Heating or cooling."""
        return self.machine.function

    @property
    def depth_c(self) -> Array:
        """Outdoor temperature, negated for cooling."""
        return self.machine.depth_c

    @property
    def kinds(self) -> Index:
        """Group of each variant."""
        return self.groups.members

    @property
    def names(self) -> tuple[str, ...]:
        """Names of its uses."""
        return tuple(self._parts())

    def _parts(self) -> dict[str, str]:
        """Which of the sums stands under which name."""
        function, strips = self.function, self.machine.strips
        if not self.by_use:
            return {all_electricity(function): "electricity", f"{function}_unmet_kwh": "unmet"}
        names = {
            f"{function}_electricity_compressor_kwh": "compressor",
            f"{function}_unmet_kwh": "unmet",
        }
        if self.machine.pump.uses_humidity:
            names[f"{function}_electricity_defrost_kwh"] = "defrost"
        if strips is not None:
            names[f"{function}_electricity_{strips.use.replace(' ', '_')}_kwh"] = "backup"
        return names

    def run(self, chunk: Chunk) -> dict[str, Array]:
        """Sum a chunk of variants.

        Parameters
        ----------
        chunk
            Its idle energy and its power are added to.

        Returns
        -------
        dict of Array
            kWh by name of the use, shape (cells, size).
        """
        balance_c = balance_depth_c(self.function, self.columns, chunk.rows)
        lines = Lines(
            slope_w_per_k=self.columns.slope_w_per_k[chunk.rows] / self.duct_efficiency,
            balance_c=balance_c,
            power_scale=1.0 / self.columns.in_service_factor[chunk.rows],
        )
        uses, cells = self.products.saving_uses, len(self.products.hours)
        sums = no_sums(cells, uses.size * cells, chunk.size, by_use=self.by_use)
        power_w = chunk.power_w
        totals = (power_w[self.function], power_w[IDLE]) if power_w else None
        for block in self.groups.blocks[self.kinds[chunk.first]]:
            add_block(block, lines, chunk.space, sums, totals)
        chunk.idle_kwh[uses] -= sums.run.reshape(uses.size, cells, chunk.size)
        add_idle_fan(chunk, self, balance_c)
        return self._energies(sums, lines)

    def _energies(self, sums: Sums, lines: Lines) -> dict[str, Array]:
        np.multiply(sums.unmet, self.duct_efficiency, out=sums.unmet)
        for energy_kwh in (sums.compressor, sums.defrost) if self.by_use else ():
            np.multiply(energy_kwh, lines.power_scale, out=energy_kwh)
        return {name: getattr(sums, part) for name, part in self._parts().items()}


def fast_side(inputs: SideInputs) -> FastSide | None:
    """Make a heat pump ready.

    Parameters
    ----------
    inputs
        Option, states, variants.

    Returns
    -------
    FastSide or None
        None: the option or the variants have no such function.

    Raises
    ------
    NoBatchError
        If the source is of another kind.
    """
    option, function = inputs.option, inputs.function
    machine = machine_of(option, inputs.states, function)
    if machine is None:
        return None
    line = option.heating_load if function == HEATING else option.cooling_load
    columns = function_variants(inputs.variants, (machine.pump,), line, function=function)
    if columns is None:
        return None
    return FastSide(
        machine=machine,
        columns=columns,
        products=inputs.products,
        groups=machine_groups(machine, columns, inputs.products),
        by_use=inputs.by_use,
    )
