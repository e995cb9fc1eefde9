"""Variants of one structure at once: loads and factors in a batch, prices and costs after it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.errors import EnergyModelError
from energymodel.scenario.assemble import Model
from energymodel.season.batch.segments import NoBatchError
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.bill_costs import HouseBill
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.house_tariffs import house_tariffs
from energymodel.study.comparison.outcome import UNMET_LIMIT, Comparison, Outcome
from energymodel.study.sweep.block import SERVICES, Block, empty_block, kwh_column
from energymodel.study.sweep.energy import OptionEnergy, option_energy
from energymodel.study.sweep.groups import AxisKind, axes_of
from energymodel.study.sweep.loads import energy_cases
from energymodel.study.sweep.plan import SweepPlan
from energymodel.study.sweep.prices import installed_costs, prices_of

_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Group:
    """What all variants of one structure share.

    Parameters
    ----------
    plan
        The sweep.
    model
        The structure, with loads and prices as the scenario has them.
    outcomes
        Its options in the order of the file.
    co2e_kg_per_kwh
        By carrier; nan where the structure's own case uses none of it.
    like
        Services by which options are ranked.
    houses
        Tariffs laid on the year, by carrier.
    """

    plan: SweepPlan
    model: Model
    outcomes: tuple[Outcome, ...]
    co2e_kg_per_kwh: Mapping[str, float]
    like: tuple[str, ...]
    houses: Mapping[str, HouseBill]

    @property
    def present(self) -> int | None:
        """Position of the option that is there now."""
        return next((at for at, one in enumerate(self.outcomes) if one.present), None)


def group_of(plan: SweepPlan, variant: int) -> Group | None:
    """Prepare the structure of a variant.

    Parameters
    ----------
    plan
        The sweep.
    variant
        Number of a variant that has it.

    Returns
    -------
    Group or None
        None where it can only be run one by one: months under a tariff, a meter of an option's
        own, costs beside energy and standing charges, or a refusal.
    """
    try:
        comparison = compare(plan.scenario(variant, axes_of(plan, AxisKind.STRUCTURE)))
    except EnergyModelError:
        return None
    model = comparison.model
    by_name = {outcome.name: outcome for outcome in comparison.outcomes}
    outcomes = tuple(by_name[name] for name in plan.options)
    factors = _emission_factors(comparison)
    tariff = any(price.house is not None for price in model.prices.values())
    months = plan.months and tariff
    own = any(planned.table.meter is not None for planned in model.options)
    if months or own or factors is None or not all(_is_plain(outcome) for outcome in outcomes):
        return None
    return Group(
        plan=plan,
        model=model,
        outcomes=outcomes,
        co2e_kg_per_kwh=factors,
        like=_like_services(comparison),
        houses=house_tariffs(comparison),
    )


def _is_plain(outcome: Outcome) -> bool:
    """Whether its cost is energy and standing charges, nothing else."""
    energy = sum(float(values.sum()) for values in outcome.cost_by_month.values())
    cost = energy + sum(outcome.standing_charges.values())
    return abs(cost - outcome.yearly_cost) <= _TOLERANCE * max(1.0, abs(cost))


def _emission_factors(comparison: Comparison) -> dict[str, float] | None:
    """Emissions per kWh by carrier; None where they are not the same for all options."""
    found: dict[str, list[float]] = {carrier: [] for carrier in comparison.model.prices}
    for outcome in comparison.outcomes:
        for carrier, part in outcome.emissions.by_carrier.items():
            found.setdefault(carrier, []).append(part.co2e_kg / part.energy_kwh)
        whole = sum(part.co2e_kg for part in outcome.emissions.by_carrier.values())
        if abs(whole - outcome.emissions.co2e_kg) > _TOLERANCE * max(1.0, whole):
            return None
    if any(np.ptp(factors) > _TOLERANCE for factors in found.values() if factors):
        return None
    return {carrier: factors[0] if factors else np.nan for carrier, factors in found.items()}


def _like_services(comparison: Comparison) -> tuple[str, ...]:
    present, load = comparison.present, comparison.model.load
    if present is not None and present.service_cost:
        return tuple(present.service_cost)
    lines = {HEATING: load.heating, COOLING: load.cooling}
    return tuple(service for service, line in lines.items() if line is not None)


def batch_block(group: Group, variants: Index) -> Block | None:
    """Run variants of one structure.

    Parameters
    ----------
    group
        Their structure.
    variants
        Their numbers.

    Returns
    -------
    Block or None
        None where only single runs can answer.
    """
    plan, model = group.plan, group.model
    cases = energy_cases(plan, model, variants)
    prices = prices_of(plan, model, variants)
    installed = installed_costs(plan, model, variants)
    block = empty_block(plan, variants)
    block.in_batch[:] = True
    block.years["installed_cost"][:] = installed.cost
    for number in range(len(model.options)):
        try:
            energy = option_energy(cases.cases, model, number, group.houses)
        except NoBatchError:
            return None
        _fill_option(
            _Place(block=block, number=number, which=cases.which), group, energy, prices.per_kwh
        )
    _against_present(block, group)
    block.years["payback_years"][~installed.known] = np.nan
    for reasons in (installed.reasons, prices.reasons, cases.reasons):
        block.reasons.update(reasons)
    _blank(block)
    return block


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Place:
    """Where the numbers of an option go, and from which case they come."""

    block: Block
    number: int
    which: Index

    def year(self, name: str, values: Array | Mask | float) -> None:
        self.block.years[name][:, self.number] = values

    def month(self, name: str, values: Array) -> None:
        if name in self.block.months:
            self.block.months[name][:, self.number] = values


def _fill_option(
    place: _Place, group: Group, energy: OptionEnergy, per_kwh: Mapping[str, Array]
) -> None:
    outcome = group.outcomes[place.number]
    which = place.which
    standing = sum(outcome.standing_charges.values())
    cost: dict[str, Array] = {}
    for service in energy.services:
        months = np.zeros((which.size, 12))
        bills = np.zeros(which.size)
        for carrier, used in energy.used(service).items():
            if (service, carrier) in energy.billed:
                bills += energy.billed[service, carrier][which]
            else:
                months += used[which] * per_kwh[carrier][:, np.newaxis]
        place.month(f"{service}_cost", months)
        place.month(f"{service}_unmet_kwh", energy.unmet[service][which])
        cost[service] = months.sum(axis=1) + bills + (0.0 if cost else standing)
        place.year(f"{service}_cost", cost[service])
        place.year(f"{service}_unmet_kwh", energy.unmet[service].sum(axis=1)[which])
        place.year(f"{service}_cop", _cop(energy, service)[which])
    nothing = np.zeros(which.size)
    place.year("yearly_cost", sum(cost.values(), nothing))
    place.year("like_cost", sum((cost[s] for s in group.like if s in cost), nothing))
    place.year("present", float(outcome.present))
    place.year("carries", _carries(energy, group.like)[which])
    _fill_energy(place, energy, group.co2e_kg_per_kwh)


def _fill_energy(place: _Place, energy: OptionEnergy, factors: Mapping[str, float]) -> None:
    names = [name for name in place.block.years if name.endswith("_kwh") and "_unmet_" not in name]
    by_carrier = {name: np.zeros((len(energy.electricity[HEATING]), 12)) for name in names}
    emitted = np.zeros(len(energy.electricity[HEATING]))
    for service in SERVICES:
        for carrier, used in energy.used(service).items():
            by_carrier[kwh_column(carrier)] = by_carrier[kwh_column(carrier)] + used
            yearly = used.sum(axis=1)
            emitted += np.where(yearly > 0, yearly * factors[carrier], 0.0)
    for name, used in by_carrier.items():
        place.year(name, used.sum(axis=1)[place.which])
        place.month(name, used[place.which])
    place.year("co2e_kg", emitted[place.which])


def _cop(energy: OptionEnergy, service: str) -> Array:
    useful = energy.delivered[service].sum(axis=1)
    spent = np.sum([used.sum(axis=1) for used in energy.used(service).values()], axis=0)
    there = (useful > 0) & (spent > 0)
    cop = np.full(useful.size, np.nan)
    np.divide(useful, spent, out=cop, where=there)
    return cop


def _carries(energy: OptionEnergy, like: tuple[str, ...]) -> Mask:
    """As :attr:`energymodel.study.comparison.outcome.Outcome.carries`."""
    cases = len(energy.electricity[HEATING])
    if any(service not in energy.services for service in like):
        return np.zeros(cases, dtype=bool)
    carries = np.ones(cases, dtype=bool)
    for service in energy.services:
        load, unmet = energy.load[service].sum(axis=1), energy.unmet[service].sum(axis=1)
        carries &= unmet <= UNMET_LIMIT * load
    return carries if energy.short is None else carries & ~energy.short


def _against_present(block: Block, group: Group) -> None:
    present = group.present
    if present is None:
        return
    years = block.years
    for number in range(len(group.outcomes)):
        if number == present:
            continue
        saving = np.zeros(block.variants.size)
        for service in SERVICES:
            both = years[f"{service}_cost"][:, [present, number]]
            if not np.isnan(both).any():
                saving += both[:, 0] - both[:, 1]
        extra = years["installed_cost"][:, number] - years["installed_cost"][:, present]
        years["saving"][:, number] = saving
        years["payback_years"][:, number] = simple_years(extra, saving)


def simple_years(extra_cost: Array, yearly_saving: Array) -> Array:
    """Years until the savings equal the extra installed cost, for many variants.

    Parameters
    ----------
    extra_cost
        Money, shape (n,).
    yearly_saving
        Money per year, shape (n,).

    Returns
    -------
    Array
        As :func:`energymodel.economics.payback.simple_payback`; nan where there is no payback.

    Examples
    --------
    >>> simple_years(np.array([7500.0, -10.0, 100.0]), np.array([1500.0, 5.0, -1.0])).tolist()
    [5.0, 0.0, nan]
    """
    years = np.full(extra_cost.shape, np.nan)
    with np.errstate(over="ignore"):
        np.divide(
            extra_cost, yearly_saving, out=years, where=(extra_cost > 0) & (yearly_saving > 0)
        )
    years[(extra_cost <= 0) & (yearly_saving >= 0)] = 0.0
    years[np.isinf(years)] = np.nan
    return years


def _blank(block: Block) -> None:
    rows = sorted(block.reasons)
    for values in (*block.years.values(), *block.months.values()):
        values[rows] = np.nan
