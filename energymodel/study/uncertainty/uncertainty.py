"""How far the yearly cost, the saving and the payback may lie from the likely ones, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.errors import InputError
from energymodel.notices import Notice, UsedDefault
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.scenario.ranges_schema import PAYBACK_WITHIN_YEARS, RangesTable
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.uncertainty.draws import power_of_two
from energymodel.study.uncertainty.influence import sobol_indices
from energymodel.study.uncertainty.inputs import Kind, UncertainInput, uncertain_inputs, values_of
from energymodel.study.uncertainty.result import (
    Influence,
    OptionSpread,
    Quantiles,
    UncertaintyResult,
    lowest_shares,
    payback_spread,
)
from energymodel.study.uncertainty.spread_costs import Costs, Place, cost_groups, costs_of, places
from energymodel.study.uncertainty.spread_design import SpreadDesign, spread_design
from energymodel.study.uncertainty.winters import Winters, read_years, winters_of

DRAWS = 8192
SEED = 1
"""Of the draws: the same seed gives the same result (our choice)."""


_ROWS = 4096
"""At a time: often enough for a progress bar, seldom enough to cost nothing."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Job:
    """One option in one weather year: a piece of the work.

    Parameters
    ----------
    outcome
        The option.
    place
        Model and year.
    rows
        Rows of the design that it answers.
    """

    outcome: Outcome
    place: Place
    rows: Index


InTurn = Callable[[Sequence[Job]], Iterable[Job]]


def uncertainty(
    scenario: Scenario | str | Path | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    within_years: float | None = None,
    weather_years: Sequence[str] = (),
    in_turn: InTurn = iter,
) -> UncertaintyResult:
    """Draw the inputs of a scenario within their ranges and read the spread of each option.

    Parameters
    ----------
    scenario
        A scenario, the path of its file, or None for the demo; its table [ranges] says how far
        the inputs may lie from the scenario's own numbers, defaults stand for the rest.
    draws
        Rounded up to a power of two, with a notice.
    seed
        The same seed gives the same draws.
    within_years
        For the chance of a payback; None: the scenario's `payback_within`, else 10 years.
    weather_years
        Real years, as in `weather_years` of [ranges], which they replace.
    in_turn
        Gives out the pieces of work one by one: for a progress bar.

    Returns
    -------
    UncertaintyResult
        One spread per option.

    Raises
    ------
    InputError
        If the draws, the ranges or the years cannot be used.
    WeatherError
        If a year was not fetched, or has too many gaps.

    Notes
    -----
    Every input is triangular between its ends with the scenario's own number as mode; inputs do
    not depend on each other; heat pumps draw one in-service factor for all alike, burners too.
    Real winters are equally likely. All options see the same draws, so that savings and ranks are
    those of one world at a time.
    """
    count = power_of_two(draws)
    comparison = compare(scenario if isinstance(scenario, Scenario) else read_scenario(scenario))
    model = comparison.model
    table = model.scenario.content.ranges or RangesTable()
    found = _winters(weather_years or table.weather_years, model.scenario.path.parent)
    inputs = uncertain_inputs(model, assumed=True, winters=len(found.winters))
    if not inputs:
        raise InputError("no input varies", expected="at least one range in [ranges]")
    design = spread_design(inputs, draws=count, seed=seed, winters=len(found.winters))
    costs = _costs(comparison, found, design, in_turn)
    within = within_years or table.payback_within or PAYBACK_WITHIN_YEARS
    return UncertaintyResult(
        comparison=comparison,
        inputs=inputs,
        draws=count,
        seed=seed,
        within_years=within,
        winter_labels=tuple(winter.label for winter in found.winters),
        options=_spreads(comparison, design, costs, within),
        cost_draws={name: design.drawn(one.total) for name, one in costs.items()},
        defaults=_defaults(inputs, within, given=bool(within_years or table.payback_within)),
        notices=(*_notices(draws, count, inputs), *found.notices),
    )


def _winters(entries: Sequence[str], folder: Path) -> Winters:
    if not entries:
        return Winters(winters=(), notices=())
    return winters_of(read_years(entries, folder))


def _costs(
    comparison: Comparison, found: Winters, design: SpreadDesign, in_turn: InTurn
) -> dict[str, Costs]:
    laid = places(comparison.model, [winter.weather for winter in found.winters])
    jobs = [
        Job(outcome=outcome, place=laid[number], rows=rows[start : start + _ROWS])
        for outcome in comparison.outcomes
        for number, rows in cost_groups(design.inputs, design.quantiles)
        for start in range(0, rows.size, _ROWS)
    ]
    size = len(design.quantiles)
    costs = {
        one.name: Costs(
            by_service={name: np.empty(size) for name in one.service_cost},
            unmet_share=np.empty(size),
            short_at_design=np.zeros(size, dtype=bool),
        )
        for one in comparison.outcomes
    }
    for job in in_turn(jobs):
        planned = job.outcome.planned
        part = costs_of(planned, job.place, design.inputs, design.quantiles[job.rows])
        whole = costs[job.outcome.name]
        for name, cost in part.by_service.items():
            whole.by_service[name][job.rows] = cost
        whole.unmet_share[job.rows] = part.unmet_share
        if whole.short_at_design is not None and part.short_at_design is not None:
            whole.short_at_design[job.rows] = part.short_at_design
    return costs


def _spreads(
    comparison: Comparison, design: SpreadDesign, costs: Mapping[str, Costs], within: float
) -> tuple[OptionSpread, ...]:
    outcomes = comparison.outcomes
    like = _like_services(comparison)
    short = np.array([costs[one.name].rows(slice(design.draws)).short for one in outcomes])
    able = np.array([[one.carries] for one in outcomes]) & ~short
    drawn = np.array([design.drawn(costs[one.name].of(like)) for one in outcomes])
    lowest = lowest_shares(drawn, able)
    return tuple(
        _spread(one, comparison, design, costs, within, (float(lowest[k]), float(short[k].mean())))
        for k, one in enumerate(outcomes)
    )


def _like_services(comparison: Comparison) -> list[str]:
    present = comparison.present
    if present is not None and present.service_cost:
        return list(present.service_cost)
    lines = {HEATING: comparison.model.load.heating, COOLING: comparison.model.load.cooling}
    return [service for service, line in lines.items() if line is not None]


def _spread(
    outcome: Outcome,
    comparison: Comparison,
    design: SpreadDesign,
    costs: Mapping[str, Costs],
    within: float,
    chances: tuple[float, float],
) -> OptionSpread:
    cost = costs[outcome.name].total
    saving = _saving(outcome, comparison.present, costs)
    payback = None
    if saving is not None and comparison.present is not None and outcome.cost_given:
        extra = _extra(outcome, comparison.present, design)
        payback = payback_spread(extra, design.drawn(saving), within)
    return OptionSpread(
        name=outcome.name,
        present=outcome.present,
        likely_cost=outcome.yearly_cost,
        cost=Quantiles.of(design.drawn(cost)),
        saving=None if saving is None else Quantiles.of(design.drawn(saving)),
        payback=payback,
        lowest_share=chances[0],
        short_share=chances[1],
        winter_costs=design.in_winters(cost),
        influences=_influences(design, cost if saving is None else saving),
    )


def _saving(outcome: Outcome, present: Outcome | None, costs: Mapping[str, Costs]) -> Array | None:
    if present is None or outcome is present or outcome.missing_services:
        return None
    services = list(present.service_cost)
    return costs[present.name].of(services) - costs[outcome.name].of(services)


def _extra(outcome: Outcome, present: Outcome, design: SpreadDesign) -> Array:
    """Extra installed cost of each draw: all installed costs stand high or low together."""
    installed = outcome.planned.table.installed_cost - present.planned.table.installed_cost
    closing = outcome.first_cost - present.first_cost - installed
    drawn = design.quantiles[: design.draws]
    for column, one in enumerate(design.inputs):
        if one.kind is Kind.INSTALLED:
            return closing + installed * values_of(one, drawn[:, column], outcome.planned)
    return np.full(design.draws, closing + installed)


def _influences(design: SpreadDesign, output: Array) -> tuple[Influence, ...]:
    columns = design.crossed_inputs
    if not columns:
        return ()
    found = sobol_indices(design.crossed(output), len(columns))
    ends, winters = design.ends(output), design.in_winters(output)
    influences = []
    for number, column in enumerate(columns):
        one = design.inputs[column]
        low, high = ends[number]
        if one.kind is Kind.WINTER:
            low, high = winters.min(), winters.max()
        influences.append(
            Influence(
                uncertain=one,
                at_low=float(low),
                at_high=float(high),
                first_order=float(found.first_order[number]),
                total=float(found.total[number]),
            )
        )
    return tuple(sorted(influences, key=lambda one: -one.total))


def _defaults(
    inputs: Sequence[UncertainInput], within: float, *, given: bool
) -> tuple[UsedDefault, ...]:
    found = [one.default() for one in inputs if not one.given]
    found.append(
        UsedDefault(
            name="distribution of each input",
            value="triangular, the scenario's own number as its peak, ends as given",
            source="our choice",
        )
    )
    if not given:
        found.append(
            UsedDefault(name="payback within", value=f"{within:g} years", source="our choice")
        )
    return tuple(found)


def _notices(asked: int, used: int, inputs: Sequence[UncertainInput]) -> tuple[Notice, ...]:
    notices = []
    if asked != used:
        text = f"{asked:,} draws were rounded up to {used:,}: Sobol points come in powers of two."
        notices.append(Notice(topic="draws", text=text))
    return (*notices, Notice(topic="weather", text=weather_words(inputs)))


def weather_words(inputs: Sequence[UncertainInput]) -> str:
    """Say whether the weather is in the spread.

    Parameters
    ----------
    inputs
        What was varied.

    Returns
    -------
    str
        A sentence.
    """
    for one in inputs:
        if one.kind is Kind.WINTER:
            return f"The spread holds {one.high:.0f} real winters, each equally likely."
        if one.kind is Kind.SHIFT:
            return (
                f"One weather year: its spread is assumed, {one.range_text} over the whole year, in"
                " the loads only; real winters (weather_years) would replace it."
            )
    return "One weather year: the spread of winters is not included."
