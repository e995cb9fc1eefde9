"""What an option uses at the ends of its uncertain inputs, so that its range follows the prices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from energymodel.arrays import Array
from energymodel.scenario.assemble import Model
from energymodel.study.comparison.factor_costs import factor_costs, follows
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.uncertainty.inputs import (
    Kind,
    UncertainInput,
    in_service_of,
    uncertain_inputs,
    values_by_input,
)
from energymodel.study.uncertainty.spread_costs import Place, cost_variants, places

Values = Mapping[UncertainInput, Array]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corners:
    """Every combination of the ends of what an option depends on, but flat prices.

    Parameters
    ----------
    values
        By input that matters to the option, shape (n,).
    energy_kwh
        By carrier, shape (n,); fuels by higher heating value.
    fixed_cost
        What follows no flat price: bills under a tariff, money per year, shape (n,).
    """

    values: Values
    energy_kwh: Mapping[str, Array]
    fixed_cost: Array

    def __len__(self) -> int:
        return self.fixed_cost.size


def option_corners(comparison: Comparison) -> dict[str, Corners]:
    """Run the corners of all options.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    dict of Corners
        By name of the option. Their costs, with the prices at their ends, are those of
        :func:`energymodel.study.comparison.cost_range.cost_ranges`.
    """
    place = places(comparison.model)[0]
    inputs = tuple(
        one
        for one in uncertain_inputs(comparison.model, assumed=False)
        if one.kind is not Kind.INSTALLED and not _flat_price(one, comparison.model)
    )
    return {one.name: _corners(one, place, inputs) for one in comparison.outcomes}


def _flat_price(one: UncertainInput, model: Model) -> bool:
    return one.kind is Kind.PRICE and model.prices[one.carrier].house is None


def _corners(outcome: Outcome, place: Place, inputs: tuple[UncertainInput, ...]) -> Corners:
    uses = tuple(one for one in inputs if _matters(one, outcome))
    at = np.array(list(product((0.0, 1.0), repeat=len(uses)))).reshape(2 ** len(uses), len(uses))
    values = values_by_input(uses, at, outcome.planned)
    energy: Mapping[str, Array]
    if not uses:
        energy = {carrier: np.array([kwh]) for carrier, kwh in outcome.energy_kwh.items()}
        total = np.array([outcome.yearly_cost])
    elif follows(outcome, uses):
        energy = {
            carrier: _by_factor(outcome, place.model, values, (carrier, len(at)))
            for carrier in outcome.energy_kwh
        }
        return Corners(values=values, energy_kwh=energy, fixed_cost=np.zeros(len(at)))
    else:
        energy, total = _by_run(outcome, place, values, len(at))
    flat = {name: price for name, price in place.model.prices.items() if price.house is None}
    known = sum(
        (energy[name] * price.per_kwh for name, price in flat.items() if name in energy),
        np.zeros(len(at)),
    )
    return Corners(
        values=values,
        energy_kwh={name: kwh for name, kwh in energy.items() if name in flat},
        fixed_cost=total - known - _flat_account(outcome, frozenset(flat)),
    )


def _matters(one: UncertainInput, outcome: Outcome) -> bool:
    if one.kind in (Kind.HEAT_PUMP, Kind.BURNER):
        return one.kind in in_service_of(outcome.planned)
    return one.kind is not Kind.PRICE or one.carrier in outcome.energy_kwh


def _flat_account(outcome: Outcome, flat: frozenset[str]) -> float:
    """Charges and other use under flat prices: they follow the inputs on their own."""
    accounts = (outcome.standing_charges, outcome.other_use_cost)
    return sum(cost for one in accounts for name, cost in one.items() if name in flat)


def _by_factor(outcome: Outcome, model: Model, values: Values, wanted: tuple[str, int]) -> Array:
    """Energy of one carrier: its cost where one kWh of it costs 1 and all else nothing."""
    carrier, count = wanted
    prices = {
        name: replace(price, per_kwh=1.0 if name == carrier else 0.0)
        for name, price in model.prices.items()
    }
    cost = factor_costs(outcome, replace(model, prices=prices), values, count)
    return sum(cost.values(), np.zeros(count))


def _by_run(
    outcome: Outcome, place: Place, values: Values, count: int
) -> tuple[Mapping[str, Array], Array]:
    from energymodel.study.batch.costs import batch_costs  # noqa: PLC0415 - not for factors alone

    variants = cost_variants(values, count)
    found = batch_costs(place.model, outcome.planned, variants, house=place.houses)
    return found.energy_kwh, found.total_cost
