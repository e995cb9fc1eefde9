"""Compare the options of a scenario over one year of hourly weather."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.payback import payback_on_like_services
from energymodel.emissions import Factor, grid_factor, yearly_emissions
from energymodel.equipment.flows import Conditions, Source
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT
from energymodel.errors import InputError
from energymodel.quantities import convert
from energymodel.scenario.assemble import Model, PlannedOption, assemble
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.annual import annual
from energymodel.season.result import COOLING, HEATING, AnnualResult
from energymodel.study.comparison.accounts import house_accounts, kept_by_word
from energymodel.study.comparison.guards import guards
from energymodel.study.comparison.notices import house_notices, less_comfort_notices, option_notices
from energymodel.study.comparison.outcome import Comparison, Coverage, Failure, LessComfort, Outcome
from energymodel.study.pump_changes import pump_alone

if TYPE_CHECKING:
    from energymodel.notices import Notice
    from energymodel.study.comparison.bill_costs import BilledOption, HouseBill
    from energymodel.study.comparison.grid_rates import GridRates

_BEYOND = 10.0
_AT_LEAST_W = 100_000.0
"""What is asked of a source to see how much it can give: more than heats one room or house."""


def compare(scenario: Scenario | str | Path | None = None) -> Comparison:
    """Run every option of a scenario and set them side by side.

    Parameters
    ----------
    scenario
        A scenario, the path of its file, or None for the demo that comes with the package.

    Returns
    -------
    Comparison
        One outcome per option.

    Raises
    ------
    EnergyModelError
        If the scenario cannot be used; the message says where and why.

    Examples
    --------
    >>> comparison = compare()
    >>> comparison.present.name
    'Electric baseboard'
    """
    if not isinstance(scenario, Scenario):
        scenario = read_scenario(scenario)
    run = _prepared(assemble(scenario))
    model = run.model
    outcomes = [_outcome(planned, run) for planned in model.options]
    present = next((outcome for outcome in outcomes if outcome.present), None)
    accounts = house_accounts(
        model, run.houses, heated_with=frozenset(present.energy_kwh if present else ())
    )
    outcomes = [accounts.counted(outcome) for outcome in outcomes]
    present = next((outcome for outcome in outcomes if outcome.present), None)
    ranked = [_against(outcome, present, model) for outcome in outcomes]
    ordered = sorted(ranked, key=lambda one: (not one.present, not one.carries, one.like_cost))
    model = replace(_with_found(run), prices=accounts.prices)
    currency, units = model.scenario.content.currency, model.scenario.content.units
    gravest = sorted(ordered, key=lambda one: -one.worst_unmet_share)
    notices = [
        *accounts.notices(ordered, kept_by_word(model), currency),
        *house_notices(ordered, model),
        *(note for one in gravest for note in option_notices(one, currency=currency, units=units)),
        *_supply_notices(ordered, model),
        *less_comfort_notices(ordered, currency),
    ]
    comparison = Comparison(model=model, outcomes=tuple(ordered), notices=())
    notices = [*model.notices, *guards(comparison), *notices]
    return replace(comparison, notices=tuple(dict.fromkeys(notices)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Run:
    """A model with everything that is laid on its year once for all options."""

    model: Model
    houses: Mapping[str, HouseBill]
    grid: Factor | GridRates

    def factor(self, result: AnnualResult) -> Factor:
        """Emission factor of the electricity of an option."""
        return self.grid if isinstance(self.grid, Factor) else self.grid.factor(result)

    def bills(
        self, result: AnnualResult, appliance_use_kwh: list[float] | None = None
    ) -> dict[str, BilledOption]:
        """Bills of what an option uses under a tariff."""
        if not self.houses:
            return {}
        from energymodel.study.comparison.bill_costs import bill_option  # noqa: PLC0415 - only under a tariff

        return {
            carrier: bill_option(
                house,
                result,
                appliance_use_kwh=appliance_use_kwh if carrier == ELECTRICITY else None,
            )
            for carrier, house in self.houses.items()
            if carrier == ELECTRICITY or _uses(result, carrier)
        }


def _uses(result: AnnualResult, carrier: str) -> bool:
    tail = f"_fuel_{carrier.replace(' ', '_')}_kwh"
    return any(name.endswith(tail) for name in result.columns)


def _prepared(model: Model) -> _Run:
    houses = {}
    for carrier, price in model.prices.items():
        if price.house is not None:
            from energymodel.study.comparison.bill_costs import house_bill  # noqa: PLC0415 - under a tariff

            houses[carrier] = house_bill(price.house, model.weather)
    if model.scenario.content.emissions.hourly is None:
        return _Run(model=model, houses=houses, grid=_grid(model))
    from energymodel.study.comparison.grid_rates import grid_rates  # noqa: PLC0415 - only with hourly rates

    return _Run(model=model, houses=houses, grid=grid_rates(model))


def _with_found(run: _Run) -> Model:
    """Add what was used and found while tariffs and rates were laid on the year."""
    model, grid = run.model, run.grid
    defaults, notices = [*model.defaults], [*model.notices]
    for house in run.houses.values():
        defaults += house.defaults
        notices += house.notices
    if not isinstance(grid, Factor):
        defaults += grid.defaults
        notices += grid.notices
    return replace(model, defaults=tuple(dict.fromkeys(defaults)), notices=tuple(notices))


def _grid(model: Model) -> Factor:
    code = model.scenario.content.emissions.grid
    number, _, unit = code.partition(" ")
    try:
        rate = float(number)
    except ValueError:
        return grid_factor(code)
    mass, _, energy = unit.partition("/")
    per_kwh = convert(1.0, "kWh", energy.strip() or "kWh")
    return Factor(
        carrier=ELECTRICITY,
        co2_kg_per_kwh=convert(rate, mass.strip(), "kg") * per_kwh,
        basis=f"{code}, as given",
        source="given by the user",
    )


def _costs(
    result: AnnualResult, model: Model, bills: Mapping[str, BilledOption]
) -> dict[str, Array]:
    costs: dict[str, Array] = {}
    for service in (HEATING, COOLING):
        if f"{service}_load_kwh" not in result.columns:
            continue
        cost = np.zeros(12)
        for carrier, used in _used_by_month(result, service).items():
            billed = bills.get(carrier)
            cost = cost + (
                _price(model, carrier, used) if billed is None else billed.cost_by_month[service]
            )
        costs[service] = cost
    return costs


def _used_by_month(result: AnnualResult, service: str) -> dict[str, Array]:
    fuels = result.fuel_by_month(service).items()
    return {
        ELECTRICITY: result.electricity_by_month(service),
        **{name.replace("_", " "): used for name, used in fuels},
    }


def _price(model: Model, carrier: str, used_kwh: Array) -> Array:
    if not used_kwh.any():
        return np.zeros(12)
    if carrier not in model.prices:
        raise InputError(
            f"an option uses {carrier}, which has no price",
            where=model.scenario.path.name,
            expected=f"a table [price.{carrier.replace(' ', '_')}]",
            remedy='give energy = 0.00 and per = "..." with the price and unit of your bill',
        )
    return used_kwh * model.prices[carrier].per_kwh


def _energy(result: AnnualResult) -> dict[str, float]:
    used = {ELECTRICITY: 0.0}
    for service in (HEATING, COOLING):
        for carrier, values in _used_by_month(result, service).items():
            used[carrier] = used.get(carrier, 0.0) + float(values.sum())
    return {carrier: kwh for carrier, kwh in used.items() if kwh > 0}


def _outcome(planned: PlannedOption, run: _Run) -> Outcome:
    model = run.model
    result = annual(planned.option, model.weather)
    bills = run.bills(result, planned.table.appliance_use_kwh)
    costs = _costs(result, model, bills)
    energy = _energy(result)
    warm = None if planned.full_comfort is None else annual(planned.full_comfort, model.weather)
    return Outcome(
        planned=planned,
        result=result,
        cost_by_month=costs,
        standing_charges={},
        energy_kwh=energy,
        emissions=yearly_emissions(
            energy,
            grid=run.factor(result),
            grid_loss=model.scenario.content.emissions.grid_loss,
        ),
        coverage=_coverage(planned, model, warm or result),
        failure=_failure(planned, run, costs),
        bills=bills,
        cooling_unmet_kwh=result.total("cooling_unmet_kwh"),
        less_comfort=None if warm is None else _less_comfort(result, warm, run, costs),
    )


def _less_comfort(
    result: AnnualResult, warm: AnnualResult, run: _Run, costs: Mapping[str, Array]
) -> LessComfort:
    """Compare the option with itself at the old set-point."""
    full = _costs(warm, run.model, run.bills(warm))
    return LessComfort(
        heat_kwh=warm.total("heating_delivered_kwh") - result.total("heating_delivered_kwh"),
        cost=float((full[HEATING] - costs[HEATING]).sum()),
    )


def _supply_notices(outcomes: list[Outcome], model: Model) -> list[Notice]:
    """Say what happens in the hours without supply, where an option has any."""
    if not any(one.result.states.no_supply for one in outcomes):
        return []
    from energymodel.study.comparison.supply_notices import supply_notices  # noqa: PLC0415 - few are cut

    return [note for one in outcomes for note in supply_notices(one, model)]


def _against(outcome: Outcome, present: Outcome | None, model: Model) -> Outcome:
    cost = outcome.service_cost
    needed = {HEATING: model.load.heating, COOLING: model.load.cooling}
    like = list(present.service_cost) if present else []
    like = like or [service for service, line in needed.items() if line is not None]
    ranked = replace(
        outcome,
        missing_services=tuple(service for service in like if service not in cost),
        like_cost=sum(cost.get(service, 0.0) for service in like),
    )
    if present is None or outcome is present:
        return ranked
    pairs = zip(ranked.unmet_shares, present.unmet_shares, strict=True)
    return replace(
        ranked,
        no_shorter_than_present=not ranked.missing_services
        and all(own <= there for own, there in pairs),
        against_present=payback_on_like_services(
            extra_cost=outcome.first_cost - present.first_cost if outcome.cost_given else None,
            present=present.service_cost,
            option=_without_closing(outcome),
            base_use_change=outcome.closing_saving,
        ),
    )


def _without_closing(outcome: Outcome) -> dict[str, float]:
    """Cost by service without what closing an account saves: that is no saving on the services."""
    cost = outcome.service_cost
    for service in list(cost)[:1]:
        cost[service] += outcome.closing_saving
    return cost


def _output(source: Source, outdoor_c: float, load_w: float, indoor_c: float) -> float:
    """Largest output that helps a load: what is delivered of it, or all the source can give.

    Infinite for a source that gives whatever is asked of it.
    """
    conditions = Conditions(
        outdoor_c=np.array([outdoor_c]),
        relative_humidity_pct=np.array([DEFAULT_HUMIDITY_PCT]),
        indoor_c=indoor_c,
    )
    met = float(source.run(conditions, np.array([load_w])).delivered_w[0])
    if met < load_w * (1.0 - 1e-9):
        return met
    asked_w = max(_BEYOND * load_w, _AT_LEAST_W)
    given_w = float(source.run(conditions, np.array([asked_w])).delivered_w[0])
    return math.inf if given_w >= asked_w * (1.0 - 1e-9) else max(met, given_w)


def _coverage(planned: PlannedOption, model: Model, result: AnnualResult) -> Coverage | None:
    option = planned.full_comfort or planned.option
    line = option.heating_load
    if option.heating is None or line is None:
        return None
    table = model.scenario.content.room.heating
    design_c = table.design_temperature if table else None
    coldest_c = float(model.weather.outdoor_c.min())
    at = coldest_c if design_c is None else design_c
    loads = [float(line.load_w(np.array([t]))[0]) for t in (at, coldest_c)]
    heating, year = option.heating, model.weather
    outputs = [
        _output(option.left_in_cold(heating, t, year), t, load, option.heating_indoor_c)
        for t, load in zip((at, coldest_c), loads, strict=True)
    ]
    pump = pump_alone(option.heating)
    alone = [
        None
        if pump is None
        else _output(option.left_in_cold(pump, t, year), t, load, option.heating_indoor_c)
        for t, load in zip((at, coldest_c), loads, strict=True)
    ]
    unmet = result.total("heating_unmet_kwh")
    load_kwh = result.total("heating_load_kwh")
    electricity = model.prices.get(ELECTRICITY)
    return Coverage(
        design_c=design_c,
        design_load_w=loads[0],
        design_output_w=outputs[0],
        coldest_c=coldest_c,
        coldest_load_w=loads[1],
        coldest_output_w=outputs[1],
        design_pump_w=alone[0],
        coldest_pump_w=alone[1],
        unmet_share=unmet / load_kwh if load_kwh > 0 else 0.0,
        unmet_kwh=unmet,
        cover_cost=unmet * electricity.per_kwh if electricity else float("nan"),
    )


def _failure(planned: PlannedOption, run: _Run, costs: Mapping[str, Array]) -> Failure | None:
    if planned.backup_alone is None or HEATING not in costs:
        return None
    if planned.borrowed and ELECTRICITY not in run.model.prices:
        return None
    alone = annual(planned.backup_alone, run.model.weather)
    month = int(np.argmax(alone.month_totals("heating_load_kwh")))
    return Failure(
        month=month + 1,
        cost=float(_costs(alone, run.model, run.bills(alone))[HEATING][month]),
        normal_cost=float(costs[HEATING][month]),
        borrowed=planned.borrowed,
    )
