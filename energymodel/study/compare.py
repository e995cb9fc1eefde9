"""Compare the options of a scenario over one year of hourly weather."""

from __future__ import annotations

from dataclasses import replace
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
from energymodel.study.notices import option_notices
from energymodel.study.outcome import Comparison, Coverage, Failure, Outcome

if TYPE_CHECKING:
    from energymodel.study.bill_costs import BilledOption, HouseBill


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
    model = assemble(scenario)
    grid = _grid(model)
    house = _house(model)
    outcomes = [_outcome(planned, model, grid, house) for planned in model.options]
    present = next((outcome for outcome in outcomes if outcome.present), None)
    ranked = [_against(outcome, present, model) for outcome in outcomes]
    ordered = sorted(ranked, key=lambda one: (not one.present, not one.carries, one.like_cost))
    if house is not None:
        defaults = tuple(dict.fromkeys((*model.defaults, *house.defaults)))
        model = replace(model, defaults=defaults, notices=(*model.notices, *house.notices))
    notices = [*model.notices, *(note for one in ordered for note in option_notices(one))]
    return Comparison(model=model, outcomes=tuple(ordered), notices=tuple(dict.fromkeys(notices)))


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


def _house(model: Model) -> HouseBill | None:
    electricity = model.prices.get(ELECTRICITY)
    if electricity is None or electricity.house is None:
        return None
    from energymodel.study.bill_costs import house_bill  # noqa: PLC0415 - only under a tariff

    return house_bill(electricity.house, model.weather)


def _billed(house: HouseBill | None, result: AnnualResult) -> BilledOption | None:
    if house is None:
        return None
    from energymodel.study.bill_costs import bill_option  # noqa: PLC0415 - only under a tariff

    return bill_option(house, result)


def _costs(result: AnnualResult, model: Model, billed: BilledOption | None) -> dict[str, Array]:
    costs: dict[str, Array] = {}
    for service in (HEATING, COOLING):
        if f"{service}_load_kwh" not in result.columns:
            continue
        if billed is not None:
            cost = billed.cost_by_month[service]
        else:
            cost = _price(model, ELECTRICITY, result.electricity_by_month(service))
        for carrier, used in result.fuel_by_month(service).items():
            cost = cost + _price(model, carrier.replace("_", " "), used)
        costs[service] = cost
    return costs


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
        used[ELECTRICITY] += float(result.electricity_by_month(service).sum())
        for carrier, values in result.fuel_by_month(service).items():
            name = carrier.replace("_", " ")
            used[name] = used.get(name, 0.0) + float(values.sum())
    return {carrier: kwh for carrier, kwh in used.items() if kwh > 0}


def _outcome(
    planned: PlannedOption, model: Model, grid: Factor, house: HouseBill | None
) -> Outcome:
    option = planned.option
    result = annual(option, model.weather)
    billed = _billed(house, result)
    costs = _costs(result, model, billed)
    energy = _energy(result)
    charges = {
        carrier: model.prices[carrier].fixed_per_year
        for carrier in energy
        if carrier in model.prices
        and not model.prices[carrier].other_uses
        and model.prices[carrier].fixed_per_year
    }
    return Outcome(
        planned=planned,
        result=result,
        cost_by_month=costs,
        standing_charges=charges,
        energy_kwh=energy,
        emissions=yearly_emissions(
            energy, grid=grid, grid_loss=model.scenario.content.emissions.grid_loss
        ),
        coverage=_coverage(planned, model, result),
        failure=_failure(planned, model, costs, house),
        billed=billed,
        cooling_unmet_kwh=result.total("cooling_unmet_kwh"),
    )


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
    return replace(
        ranked,
        against_present=payback_on_like_services(
            extra_cost=outcome.planned.table.installed_cost - present.planned.table.installed_cost,
            present=present.service_cost,
            option=cost,
        ),
    )


def _output(source: Source, outdoor_c: float, load_w: float, indoor_c: float) -> float:
    """Largest output that helps a load: what is delivered of it, or all the source can give."""
    conditions = Conditions(
        outdoor_c=np.array([outdoor_c]),
        relative_humidity_pct=np.array([DEFAULT_HUMIDITY_PCT]),
        indoor_c=indoor_c,
    )
    met = float(source.run(conditions, np.array([load_w])).delivered_w[0])
    if met < load_w * (1.0 - 1e-9):
        return met
    return max(met, float(source.run(conditions, np.array([10.0 * load_w])).delivered_w[0]))


def _coverage(planned: PlannedOption, model: Model, result: AnnualResult) -> Coverage | None:
    option, line = planned.option, planned.option.heating_load
    if option.heating is None or line is None:
        return None
    table = model.scenario.content.room.heating
    design_c = table.design_temperature if table else None
    coldest_c = float(model.weather.outdoor_c.min())
    at = coldest_c if design_c is None else design_c
    loads = [float(line.load_w(np.array([t]))[0]) for t in (at, coldest_c)]
    outputs = [
        _output(option.heating, t, load, option.heating_indoor_c)
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
        unmet_share=unmet / load_kwh if load_kwh > 0 else 0.0,
        unmet_kwh=unmet,
        cover_cost=unmet * electricity.per_kwh if electricity else float("nan"),
    )


def _failure(
    planned: PlannedOption, model: Model, costs: dict[str, Array], house: HouseBill | None
) -> Failure | None:
    if planned.backup_alone is None or HEATING not in costs:
        return None
    if planned.borrowed and ELECTRICITY not in model.prices:
        return None
    alone = annual(planned.backup_alone, model.weather)
    billed = _billed(house, alone)
    month = int(np.argmax(alone.month_totals("heating_load_kwh")))
    return Failure(
        month=month + 1,
        cost=float(_costs(alone, model, billed)[HEATING][month]),
        normal_cost=float(costs[HEATING][month]),
        borrowed=planned.borrowed,
    )
