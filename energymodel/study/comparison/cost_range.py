"""Lowest and highest yearly cost of each option, from the corners of its uncertain inputs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np

from energymodel.arrays import Array
from energymodel.study.comparison.factor_costs import factor_costs, follows
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.uncertainty.inputs import (
    Kind,
    UncertainInput,
    in_service_of,
    uncertain_inputs,
    values_by_input,
)
from energymodel.study.uncertainty.spread_costs import Costs, Place, costs_of, places


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRange:
    """Yearly cost of one option as low, likely and high, all services.

    Parameters
    ----------
    low, likely, high
        Money per year; likely is the comparison's own number.
    saving_low, saving_likely, saving_high
        Saving against the present option on the services that both give, money per year: both
        are run under the same corner. None for the present option, or without one.
    words
        What is in the range and what is not.
    """

    low: float
    likely: float
    high: float
    saving_low: float | None
    saving_likely: float | None
    saving_high: float | None
    words: str


def cost_ranges(comparison: Comparison) -> Mapping[str, CostRange]:
    """Find the lowest and the highest yearly cost of each option.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    Mapping of CostRange
        By name of the option.

    Raises
    ------
    InputError
        If a range of the scenario does not fit.

    Notes
    -----
    Every combination of lowest and highest in-service factor is run, with the load, the prices
    and the assumed shift of the year where the scenario's [ranges] gives them. The ends are those
    of all these corners: all inputs at their worst at once, so the range is wide, not likely.

    Examples
    --------
    >>> from energymodel.study.comparison.compare import compare
    >>> ranges = cost_ranges(compare())
    >>> baseboard = ranges["Electric baseboard"]
    >>> baseboard.low == baseboard.likely == baseboard.high
    True
    """
    inputs = _varied(comparison)
    at = np.array(list(product((0.0, 1.0), repeat=len(inputs)))).reshape(
        2 ** len(inputs), len(inputs)
    )
    place = places(comparison.model)[0]
    costs = {one.name: _at_corners(one, place, inputs, at) for one in comparison.outcomes}
    words = range_words(comparison)
    return {one.name: _range(one, comparison.present, costs, words) for one in comparison.outcomes}


def range_words(comparison: Comparison) -> str:
    """Say what the ranges hold.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    str
        The inputs at their ends, and whether the weather is among them; no full stop.
    """
    inputs = _varied(comparison)
    ends = [f"{one.name} {one.range_text}" for one in inputs]
    weather = comparison.model.weather
    year = "one typical year" if weather.kind == "typical" else f"the year {weather.year_label}"
    text = f"{year}; spread of winters not included"
    if any(one.kind is Kind.SHIFT for one in inputs):
        text = f"{year}, milder or colder by an assumed shift"
    return "; ".join([", ".join(ends) or "nothing varied", text])


def _varied(comparison: Comparison) -> tuple[UncertainInput, ...]:
    found = uncertain_inputs(comparison.model, assumed=False)
    return tuple(one for one in found if one.kind is not Kind.INSTALLED)


def _matters(one: UncertainInput, outcome: Outcome) -> bool:
    if one.kind in (Kind.HEAT_PUMP, Kind.BURNER):
        return one.kind in in_service_of(outcome.planned)
    return one.kind is not Kind.PRICE or one.carrier in outcome.energy_kwh


def _at_corners(
    outcome: Outcome, place: Place, inputs: tuple[UncertainInput, ...], at: Array
) -> Costs:
    """Costs in every corner; corners that differ in nothing the option uses are run once."""
    uses = [column for column, one in enumerate(inputs) if _matters(one, outcome)]
    if not uses:
        likely = {name: np.full(len(at), cost) for name, cost in outcome.service_cost.items()}
        return Costs(by_service=likely, unmet_share=np.zeros(len(at)))
    own, back = np.unique(at[:, uses], axis=0, return_inverse=True)
    chosen = tuple(inputs[column] for column in uses)
    if follows(outcome, chosen):
        values = values_by_input(chosen, own, outcome.planned)
        by_service = factor_costs(outcome, place.model, values, len(own))
        found = Costs(by_service=by_service, unmet_share=np.zeros(len(own)))
    else:
        found = costs_of(outcome.planned, place, chosen, own)
    return found.rows(back.reshape(-1))


def _range(
    outcome: Outcome, present: Outcome | None, costs: Mapping[str, Costs], words: str
) -> CostRange:
    low, high = _ends(costs[outcome.name].total, outcome.yearly_cost)
    likely: float | None = None
    ends: tuple[float | None, float | None] = (None, None)
    if present is not None and outcome.against_present is not None:
        likely = outcome.against_present.payback.yearly_saving
        shared = [name for name in present.service_cost if name in outcome.service_cost]
        saving = costs[present.name].of(shared) - costs[outcome.name].of(shared)
        ends = _ends(saving, likely)
    return CostRange(
        low=low,
        likely=outcome.yearly_cost,
        high=high,
        saving_low=ends[0],
        saving_likely=likely,
        saving_high=ends[1],
        words=words,
    )


def _ends(values: Array, likely: float) -> tuple[float, float]:
    return min(float(values.min()), likely), max(float(values.max()), likely)
