"""What the energy cost of an option is made of: heat pump, resistance, fuel, cooling."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.interruptible import household_uses
from energymodel.scenario.prices import ELECTRICITY, CarrierPrice
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.outcome import Outcome


class CostPart(Enum):
    """One part of the yearly cost, as named in charts."""

    HEAT_PUMP = "heat pump"
    RESISTANCE = "resistance heat"
    FUEL = "fuel heat"
    COOLING = "cooling"
    STANDING = "standing charge"


_PUMP_USES = ("compressor", "defrost", "duct_fan")
_RESISTANCE_USES = ("resistance", "backup")


def cost_parts(outcome: Outcome, prices: Mapping[str, CarrierPrice]) -> dict[CostPart, Array]:
    """Divide the cost of each month among what it was spent on.

    Parameters
    ----------
    outcome
        One option.
    prices
        By carrier.

    Returns
    -------
    dict of Array
        Money, shape (12,), by part; parts that cost nothing are left out. Their sum is the
        outcome's cost by month with a twelfth of its account cost; where closing an account saves
        more than it costs, the standing charge is below zero.

    Notes
    -----
    The heating cost of a month is shared in proportion to energy x price. Blower and controls go
    with the fuel they serve, idle power with the heat pump, else with the largest part.
    """
    parts: dict[CostPart, Array] = {}
    cost = outcome.cost_by_month
    if HEATING in cost:
        metered = _own_meter_per_kwh(outcome, prices)
        spent = _spent(outcome, prices, metered)
        idle = outcome.result.idle_by_month(HEATING) * metered
        parts.update(_divided(cost[HEATING], spent, idle))
    if COOLING in cost:
        parts[CostPart.COOLING] = cost[COOLING]
    parts[CostPart.STANDING] = np.full(12, outcome.account_cost / 12.0)
    return {part: parts[part] for part in CostPart if part in parts and parts[part].any()}


def _household_names(outcome: Outcome) -> frozenset[str]:
    """Columns of heating that stay on the household's supply beside a meter of its own."""
    source = outcome.planned.option.heating
    if source is None or HEATING not in outcome.result.own_meter_kwh:
        return frozenset()
    uses = household_uses(source)
    return frozenset(f"{HEATING}_electricity_{use.replace(' ', '_')}_kwh" for use in uses)


def _own_meter_per_kwh(outcome: Outcome, prices: Mapping[str, CarrierPrice]) -> Array:
    """Price of the heat's electricity by month, shape (12,).

    That of the household; on a meter of its own what the month costs beside fuel and fans, over
    the kWh of that meter.
    """
    result, flat = outcome.result, _per_kwh(prices, ELECTRICITY)
    price = np.full(12, flat)
    if HEATING not in result.own_meter_kwh:
        return price
    other = np.zeros(12)
    for carrier, used_kwh in result.fuel_by_month(HEATING).items():
        other += used_kwh * _per_kwh(prices, carrier.replace("_", " "))
    kwh, house = result.idle_by_month(HEATING), _household_names(outcome)
    for name in result.names(HEATING, "electricity"):
        used_kwh = result.month_totals(name)
        other, kwh = (other + used_kwh * flat, kwh) if name in house else (other, kwh + used_kwh)
    left = np.maximum(outcome.cost_by_month[HEATING] - other, 0.0)
    np.divide(left, kwh, out=price, where=kwh > 0)
    return price


def _spent(
    outcome: Outcome, prices: Mapping[str, CarrierPrice], metered: Array
) -> dict[CostPart, Array]:
    """Energy x price of each part of heating, without idle power."""
    result, house = outcome.result, _household_names(outcome)
    spent = {
        part: np.zeros(12) for part in (CostPart.HEAT_PUMP, CostPart.RESISTANCE, CostPart.FUEL)
    }
    for carrier, used_kwh in result.fuel_by_month(HEATING).items():
        spent[CostPart.FUEL] += used_kwh * _per_kwh(prices, carrier.replace("_", " "))
    other = CostPart.FUEL if spent[CostPart.FUEL].any() else CostPart.RESISTANCE
    for name in result.names(HEATING, "electricity"):
        use = name.removeprefix(f"{HEATING}_electricity_").removesuffix("_kwh")
        part = CostPart.HEAT_PUMP if use in _PUMP_USES else other
        if use in _RESISTANCE_USES:
            part = CostPart.RESISTANCE
        price = _per_kwh(prices, ELECTRICITY) if name in house else metered
        spent[part] += result.month_totals(name) * price
    return spent


def _per_kwh(prices: Mapping[str, CarrierPrice], carrier: str) -> float:
    return prices[carrier].per_kwh if carrier in prices else 0.0


def _divided(cost: Array, spent: Mapping[CostPart, Array], idle: Array) -> dict[CostPart, Array]:
    bearer = max(spent, key=lambda part: float(spent[part].sum()))
    if spent[CostPart.HEAT_PUMP].any():
        bearer = CostPart.HEAT_PUMP
    weight = {part: money + idle if part is bearer else money for part, money in spent.items()}
    whole = sum(weight.values(), np.zeros(12))
    return {
        part: cost
        * np.divide(money, whole, out=np.full(12, 1.0 if part is bearer else 0.0), where=whole > 0)
        for part, money in weight.items()
    }
