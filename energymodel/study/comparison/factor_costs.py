"""Yearly cost under other in-service factors and prices, straight from a year that has been run.

An in-service factor divides the power of a heat pump or the fuel of a burner and changes nothing
else, so under flat prices the cost follows in closed form, without another run.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.flows import Conditions
from energymodel.scenario.assemble import Model
from energymodel.scenario.heat_pump_kind import IN_SERVICE_LIKELY as HEAT_PUMP_LIKELY
from energymodel.scenario.heat_pump_kind import CompressorRecord, HeatPumpRecord
from energymodel.scenario.heater_kinds import BurnerRecord, HeaterRecord
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.outcome import Outcome
from energymodel.study.pump_changes import pump_of
from energymodel.study.uncertainty.inputs import Kind, UncertainInput, in_service_of, values_of

_FACTORS = (Kind.HEAT_PUMP, Kind.BURNER, Kind.PRICE)


def follows(outcome: Outcome, inputs: tuple[UncertainInput, ...]) -> bool:
    """Whether the cost of an option follows in closed form.

    Parameters
    ----------
    outcome
        Its year.
    inputs
        What is varied.

    Returns
    -------
    bool
        False under a tariff, with accounts that open or close, with a standing pilot, for loads
        and weather, and where the factor decides when a heat pump hands over to its resistance
        backup at a COP of 1.
    """
    heating = outcome.planned.table.heating
    backup = heating.backup if isinstance(heating, HeatPumpRecord) else None
    heater = heating if isinstance(heating, HeaterRecord) else backup.heater if backup else None
    pilot = isinstance(heater, BurnerRecord) and bool(heater.pilot)
    plain = not (outcome.bills or outcome.account_cost or pilot)
    return plain and all(one.kind in _FACTORS for one in inputs) and _same_hours(outcome, inputs)


def _same_hours(outcome: Outcome, inputs: tuple[UncertainInput, ...]) -> bool:
    """Whether the heat pump may run in the same hours at both ends of its factor."""
    option, states = outcome.planned.option, outcome.result.states
    pump = pump_of(option.heating)
    if pump is None or not pump.operation.stop_below_cop_1:
        return True
    conditions = Conditions(
        outdoor_c=states.outdoor_c,
        relative_humidity_pct=states.relative_humidity_pct,
        indoor_c=option.heating_indoor_c,
    )
    ends = np.array([0.0, 1.0])
    runs = [
        replace(pump, in_service_factor=float(factor)).full_output_w(conditions) > 0
        for one in inputs
        if one.kind is Kind.HEAT_PUMP
        for factor in values_of(one, ends, outcome.planned)
    ]
    return all(np.array_equal(runs[0], other) for other in runs)


def factor_costs(
    outcome: Outcome, model: Model, values: Mapping[UncertainInput, Array], count: int
) -> dict[str, Array]:
    """Yearly cost of an option by service.

    Parameters
    ----------
    outcome
        Its year; :func:`follows` holds.
    model
        For the prices.
    values
        By input, shape (count,).
    count
        Number of sets.

    Returns
    -------
    dict of Array
        Money per year, shape (count,), by service.
    """
    price = {one.carrier: column for one, column in values.items() if one.kind is Kind.PRICE}
    by_kind = {one.kind: column for one, column in values.items()}
    burner = in_service_of(outcome.planned).get(Kind.BURNER, 1.0)
    fuel_factor = burner / by_kind.get(Kind.BURNER, np.full(count, burner))
    costs = {}
    for service in outcome.cost_by_month:
        own = _own(outcome, service)
        power_factor = own / by_kind.get(Kind.HEAT_PUMP, np.full(count, own))
        used = {ELECTRICITY: _electricity(outcome, service, power_factor)}
        for carrier, kwh in outcome.result.fuel_by_month(service).items():
            used[carrier.replace("_", " ")] = float(kwh.sum()) * fuel_factor
        costs[service] = sum(
            (
                kwh * _per_kwh(model, carrier) * price.get(carrier, 1.0)
                for carrier, kwh in used.items()
            ),
            np.zeros(count),
        )
    return costs


def _own(outcome: Outcome, service: str) -> float:
    table = outcome.planned.table
    record = {HEATING: table.heating, COOLING: table.cooling}[service]
    given = record.in_service if isinstance(record, CompressorRecord) else None
    return HEAT_PUMP_LIKELY if given is None else given


def _electricity(outcome: Outcome, service: str, power_factor: Array) -> Array:
    whole = float(outcome.result.electricity_by_month(service).sum())
    pump = outcome.result.total(f"{service}_pump_power_kwh")
    return whole + pump * (power_factor - 1.0)


def _per_kwh(model: Model, carrier: str) -> float:
    return model.prices[carrier].per_kwh if carrier in model.prices else 0.0
