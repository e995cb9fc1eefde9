"""Any source without a memory, by its own answer: what straight segments cannot represent."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.building.load import LoadLine
from energymodel.equipment.flows import Conditions, Flows, Source
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.interruptible import run_interrupted
from energymodel.equipment.operation import Operation
from energymodel.season.batch.blocks import STATES_PER_BLOCK
from energymodel.season.batch.loads import balance_depth_c
from energymodel.season.batch.machine import Products
from energymodel.season.batch.segments import no_batch
from energymodel.season.batch.side import (
    Chunk,
    SideInputs,
    add_idle_fan,
    all_electricity,
)
from energymodel.season.batch.sources import (
    Heater,
    at_balance,
    exchanged,
    heat_pumps_in,
    heaters_in,
)
from energymodel.season.batch.variants import (
    FunctionVariants,
    Variants,
    distinct_rows,
    full_column,
    function_variants,
)
from energymodel.season.result import HEATING, IDLE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BurnerFactors:
    """In-service factors of the burners of a source, apart from it.

    Parameters
    ----------
    factor
        Divides the fuel, shape (variants,).
    pilot_w
        By carrier: fuel of the pilots, W, which no factor divides.
    """

    factor: Array
    pilot_w: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlainSide:
    """A source that is run over states x variants.

    Parameters
    ----------
    function
        "heating" or "cooling".
    source
        With burners at a factor of 1 and without pilots where `burners` is given.
    conditions
        The states, coldest first.
    depth_c
        As :class:`energymodel.season.batch.machine.Machine` has it.
    columns
        Variants.
    varied
        Factors of the heat pumps in the source that come from the columns.
    own_balance_c
        Balance temperature of the option's own load line, degC, from which a balance temperature
        that the source itself keeps moves with the variants; None: they have the option's own.
    products
        What power is multiplied with.
    first, line
        A variant with each distinct load line and factors, and the number of each variant's.
    burners
        None: as they are.
    names
        Names of its uses.
    by_use
        Whether each electric use is wanted by itself.
    no_supply
        States in which its supply is cut; None: it never is.
    """

    function: str
    source: Source
    conditions: Conditions
    depth_c: Array
    columns: FunctionVariants
    varied: frozenset[str]
    own_balance_c: float | None
    products: Products
    first: Index
    line: Index
    burners: BurnerFactors | None
    names: tuple[str, ...]
    by_use: bool
    no_supply: Mask | None = None

    @property
    def kinds(self) -> Index:
        """All variants may share a chunk."""
        return np.zeros_like(self.line)

    def run(self, chunk: Chunk) -> dict[str, Array]:
        """Sum a chunk of variants, each distinct load line once.

        Parameters
        ----------
        chunk
            Its idle energy and its power are added to.

        Returns
        -------
        dict of Array
            kWh by name of the use, shape (cells, size).
        """
        lines, place = np.unique(self.line[chunk.rows], return_inverse=True)
        uses, cells = self.products.saving_uses, len(self.products.hours)
        kwh = {name: np.zeros((cells, lines.size)) for name in self.names}
        saved_kwh = np.zeros((uses.size, cells, lines.size))
        for rows in _blocks(self.depth_c.size):
            flows = self._answer(rows, self.first[lines])
            self._add(flows, rows, kwh, saved_kwh)
            if chunk.power_w:
                self._add_power(flows, rows, place, chunk.power_w)
        chunk.idle_kwh[uses] -= saved_kwh[:, :, place]
        add_idle_fan(chunk, self, balance_depth_c(self.function, self.columns, chunk.rows))
        return self._fuelled({name: values[:, place] for name, values in kwh.items()}, chunk)

    def _answer(self, rows: slice, variants: Index) -> _BlockFlows:
        """Flows of a block of states, shape (states, variants); (states, 1) without any load."""
        depth_c = self.depth_c[rows, np.newaxis]
        balance_c = balance_depth_c(self.function, self.columns, variants)
        if not (depth_c < balance_c.max()).any():
            variants = variants[:1]  # what runs without a load does not depend on the variant
            balance_c = balance_c[:1]
        load_w = np.maximum(balance_c - depth_c, 0.0) * self.columns.slope_w_per_k[variants]
        conditions = replace(
            self.conditions,
            outdoor_c=np.repeat(self.conditions.outdoor_c[rows], variants.size),
            relative_humidity_pct=np.repeat(
                self.conditions.relative_humidity_pct[rows], variants.size
            ),
        )
        source = self._varied_source(variants, len(load_w))
        if self.no_supply is None:
            flows = source.run(conditions, load_w.ravel())
        else:
            cut = np.repeat(self.no_supply[rows], variants.size)
            flows = run_interrupted(source, conditions, load_w.ravel(), cut)
        return _BlockFlows(flows=flows, shape=load_w.shape)

    def _varied_source(self, variants: Index, states: int) -> Source:
        given = {
            "in_service": self.columns.in_service_factor,
            "capacity": self.columns.capacity_factor,
        }
        factors = {name: np.tile(given[name][variants], states) for name in self.varied}

        def change(part: Source) -> Source:
            return part.with_factors(**factors) if isinstance(part, HeatPump) else part

        source = exchanged(self.source, change) if factors else self.source
        if self.own_balance_c is None:
            return source
        return at_balance(
            source, np.tile(self.columns.balance_c[variants] - self.own_balance_c, states)
        )

    def _add(
        self, flows: _BlockFlows, rows: slice, kwh: dict[str, Array], saved_kwh: Array
    ) -> None:
        hours = self.products.hours[:, rows] / 1000.0
        for name, power_w in flows.by_name(self.function, by_use=self.by_use):
            kwh[name] += hours @ power_w
        run_share = flows.run_share
        for number, use in enumerate(self.products.saving_uses):
            saved_kwh[number] += (hours * self.products.saved_w[use, rows]) @ run_share

    def _add_power(
        self, flows: _BlockFlows, rows: slice, place: Index, power_w: Mapping[str, Array]
    ) -> None:
        saved_w = self.products.saved_w[:, rows].sum(axis=0)[:, np.newaxis] * flows.run_share
        power_w[self.function][rows] += flows.expanded(flows.electricity_w, place)
        power_w[IDLE][rows] -= flows.expanded(saved_w, place)

    def _fuelled(self, kwh: dict[str, Array], chunk: Chunk) -> dict[str, Array]:
        if self.burners is None:
            return kwh
        hours = self.products.hours.sum(axis=1)[:, np.newaxis] / 1000.0
        scaled = {}
        for name, burned in kwh.items():
            head, fuel, carrier = name.removesuffix("_kwh").partition("_fuel_")
            if fuel and head == self.function:
                pilot_kwh = hours * self.burners.pilot_w.get(carrier, 0.0)
                scaled[name] = burned / self.burners.factor[chunk.rows] + pilot_kwh
        return kwh | scaled


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _BlockFlows:
    """Flows of states x variants, flattened."""

    flows: Flows
    shape: tuple[int, ...]

    def by_name(self, function: str, *, by_use: bool) -> Iterator[tuple[str, Array]]:
        for name, power_w in _by_name(function, self.flows, by_use=by_use):
            yield name, power_w.reshape(self.shape)

    @property
    def run_share(self) -> Array:
        return np.minimum(self.flows.run_share, 1.0).reshape(self.shape)

    @property
    def electricity_w(self) -> Array:
        return _all_w(self.flows).reshape(self.shape)

    def expanded(self, values: Array, place: Index) -> Array:
        return values if self.shape[1] == 1 else values[:, place]


def _all_w(flows: Flows) -> Array:
    return sum(flows.electricity_w.values(), np.zeros_like(flows.unmet_w))


def _by_name(function: str, flows: Flows, *, by_use: bool) -> Iterator[tuple[str, Array]]:
    if by_use:
        for use, power_w in flows.electricity_w.items():
            yield f"{function}_electricity_{use.replace(' ', '_')}_kwh", power_w
    else:
        yield all_electricity(function), _all_w(flows)
    for carrier, power_w in flows.fuel_w.items():
        yield f"{function}_fuel_{carrier.replace(' ', '_')}_kwh", power_w
    yield f"{function}_unmet_kwh", flows.unmet_w


def _blocks(states: int) -> Iterator[slice]:
    pieces = -(-states // STATES_PER_BLOCK)
    edges = np.linspace(0, states, pieces + 1).round().astype(int)
    yield from (slice(a, b) for a, b in pairwise(edges.tolist()))


def plain_side(inputs: SideInputs) -> PlainSide | None:
    """Make any source without a memory ready.

    Parameters
    ----------
    inputs
        Option, states, variants.

    Returns
    -------
    PlainSide or None
        None: the option or the variants have no such function.

    Raises
    ------
    NoBatchError
        If a heat pump in the source has limits with a memory.
    """
    option, states, function = inputs.option, inputs.states, inputs.function
    heats = function == HEATING
    source = option.heating if heats else option.cooling
    if source is None:
        return None
    pumps = heat_pumps_in(source)
    _check_memory(pumps)
    line = option.heating_load if heats else option.cooling_load
    columns = function_variants(inputs.variants, pumps, line, function=function)
    if columns is None:
        return None
    off = states.in_months(frozenset() if heats else option.months_without_cooling)
    depth_c = states.outdoor_c if heats else -states.outdoor_c
    conditions = Conditions(
        outdoor_c=states.outdoor_c,
        relative_humidity_pct=states.relative_humidity_pct,
        indoor_c=option.heating_indoor_c if heats else option.cooling_indoor_c,
    )
    names = _names(source, conditions, function, by_use=inputs.by_use)
    source, burners = _burners(source, inputs.variants)
    first, number = distinct_rows(_what_counts(columns, pumps))
    return PlainSide(
        function=function,
        source=source,
        conditions=conditions,
        depth_c=np.where(off, np.inf, depth_c),
        columns=columns,
        varied=_varied(inputs.variants, function) if pumps else frozenset(),
        own_balance_c=_own_balance_c(inputs.variants, line, function),
        products=inputs.products,
        first=first,
        line=number,
        burners=burners,
        names=names,
        by_use=inputs.by_use,
        no_supply=states.no_supply.get(function),
    )


def _check_memory(pumps: tuple[HeatPump, ...]) -> None:
    for pump in pumps:
        if type(pump.operation) is not Operation:
            raise no_batch(
                f"a heat pump run by {type(pump.operation).__name__}",
                "limits without a memory (Operation)",
            )


def _varied(variants: Variants, function: str) -> frozenset[str]:
    factors = ("in_service", "capacity")
    return frozenset(
        name for name in factors if getattr(variants, f"{function}_{name}_factor") is not None
    )


def _own_balance_c(variants: Variants, line: LoadLine | None, function: str) -> float | None:
    given = getattr(variants, f"{function}_balance_c") is not None
    return line.balance_c if given and line is not None else None


def _what_counts(columns: FunctionVariants, pumps: tuple[HeatPump, ...]) -> list[Array]:
    line = [columns.slope_w_per_k, columns.balance_c]
    return [*line, columns.in_service_factor, columns.capacity_factor] if pumps else line


def _names(
    source: Source, conditions: Conditions, function: str, *, by_use: bool
) -> tuple[str, ...]:
    one = replace(
        conditions,
        outdoor_c=conditions.outdoor_c[:1],
        relative_humidity_pct=conditions.relative_humidity_pct[:1],
    )
    flows = source.run(one, np.zeros(1))
    return tuple(name for name, _ in _by_name(function, flows, by_use=by_use))


def _burners(source: Source, variants: Variants) -> tuple[Source, BurnerFactors | None]:
    heaters = heaters_in(source)
    if variants.burner_in_service_factor is None or not heaters:
        return source, None
    factor = full_column(
        "burner_in_service_factor", variants.burner_in_service_factor, len(variants)
    )
    pilot_w: dict[str, float] = {}
    for heater in heaters:
        for end in (factor.min(), factor.max()):  # the heater's own check of what is plausible
            replace(heater, in_service_factor=float(end))
        carrier = heater.burner.carrier.replace(" ", "_")
        pilot_w[carrier] = pilot_w.get(carrier, 0.0) + heater.burner.pilot_w
    return exchanged(source, _at_factor_1), BurnerFactors(factor=factor, pilot_w=pilot_w)


def _at_factor_1(part: Source) -> Source:
    if not isinstance(part, Heater):
        return part
    return replace(part, in_service_factor=1.0, burner=replace(part.burner, pilot_w=0.0))
