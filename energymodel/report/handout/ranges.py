"""Low, likely and high of the customer's page: over real winters where the scenario names them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from energymodel.arrays import Array
from energymodel.notices import Notice
from energymodel.study.comparison.cost_range import CostRange, cost_ranges
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.uncertainty.inputs import Kind, UncertainInput, uncertain_inputs
from energymodel.study.uncertainty.spread_costs import Costs, costs_of, places
from energymodel.study.uncertainty.winters import Winters, read_years, winters_of


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ranges:
    """What is in the ranges of a page.

    Parameters
    ----------
    by_option
        Range by name of the option.
    inputs
        What was varied.
    winters
        Labels of the real winters; empty: the comparison's own year alone.
    notices
        What was found while the winters were joined.
    """

    by_option: Mapping[str, CostRange]
    inputs: tuple[UncertainInput, ...]
    winters: tuple[str, ...] = ()
    notices: tuple[Notice, ...] = ()


def ranges(comparison: Comparison) -> Ranges:
    """Find the ranges of all options.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    Ranges
        Over the winters of `weather_years` in [ranges], each in every corner of the other inputs;
        without them in the comparison's own year. The likely value is the comparison's own.

    Raises
    ------
    EnergyModelError
        If a range or a weather year cannot be used.
    """
    scenario = comparison.model.scenario
    table = scenario.content.ranges
    found = uncertain_inputs(comparison.model, assumed=False)
    inputs = tuple(one for one in found if one.kind is not Kind.INSTALLED)
    if table is None or not table.weather_years:
        return Ranges(by_option=cost_ranges(comparison), inputs=inputs)
    winters = winters_of(read_years(table.weather_years, scenario.path.parent))
    return Ranges(
        by_option=_over_winters(comparison, winters, inputs),
        inputs=inputs,
        winters=tuple(winter.label for winter in winters.winters),
        notices=winters.notices,
    )


def _over_winters(
    comparison: Comparison, winters: Winters, inputs: tuple[UncertainInput, ...]
) -> dict[str, CostRange]:
    at = np.array(list(product((0.0, 1.0), repeat=len(inputs)))).reshape(-1, len(inputs))
    laid = places(comparison.model, [winter.weather for winter in winters.winters])[1:]
    costs = {
        one.name: [costs_of(one.planned, place, inputs, at) for place in laid]
        for one in comparison.outcomes
    }
    return {one.name: _range(one, comparison.present, costs) for one in comparison.outcomes}


def _range(
    outcome: Outcome, present: Outcome | None, costs: Mapping[str, Sequence[Costs]]
) -> CostRange:
    low, high = _ends([one.total for one in costs[outcome.name]], outcome.yearly_cost)
    likely: float | None = None
    ends: tuple[float | None, float | None] = (None, None)
    if present is not None and outcome.against_present is not None:
        likely = outcome.against_present.payback.yearly_saving
        shared = [name for name in present.service_cost if name in outcome.service_cost]
        pairs = zip(costs[present.name], costs[outcome.name], strict=True)
        ends = _ends([now.of(shared) - then.of(shared) for now, then in pairs], likely)
    return CostRange(
        low=low,
        likely=outcome.yearly_cost,
        high=high,
        saving_low=ends[0],
        saving_likely=likely,
        saving_high=ends[1],
        words="",
    )


def _ends(values: Sequence[Array], likely: float) -> tuple[float, float]:
    every = np.concatenate([*values, np.array([likely])])
    return float(every.min()), float(every.max())
