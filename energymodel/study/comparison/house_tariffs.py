"""The tariffs of a comparison's house, laid on its year once more."""

from __future__ import annotations

from collections.abc import Sequence

from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import HEATING
from energymodel.study.comparison.bill_costs import HouseBill, house_bill
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.switchover.heat_cost import HeatPrices


def house_tariffs(comparison: Comparison) -> dict[str, HouseBill]:
    """Lay the tariffs of a comparison on its weather year.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    dict of HouseBill
        By carrier; carriers with a flat price are left out.
    """
    return {
        carrier: house_bill(price.house, comparison.model.weather)
        for carrier, price in comparison.model.prices.items()
        if price.house is not None
    }


def heat_prices(comparison: Comparison, outcomes: Sequence[Outcome]) -> HeatPrices:
    """Prices at which the heat of options is counted.

    Parameters
    ----------
    comparison
        All options.
    outcomes
        Under a tariff the price of a carrier is what heating adds to the bill over the kWh that it
        adds, for the first of these options that heats with it; charges of a meter of its own,
        which no kWh changes, are left out.

    Returns
    -------
    HeatPrices
        Money per kWh.
    """
    prices = {
        carrier: _added_price(carrier, outcomes, price.per_kwh)
        for carrier, price in comparison.model.prices.items()
    }
    electricity = prices.pop(ELECTRICITY, 0.0)
    return HeatPrices(electricity_per_kwh=electricity, fuel_per_kwh=prices)


def _added_price(carrier: str, outcomes: Sequence[Outcome], flat_per_kwh: float) -> float:
    for outcome in outcomes:
        billed = outcome.bills.get(carrier)
        if billed is None:
            continue
        used_kwh = _heating_kwh(outcome, carrier)
        if used_kwh > 0:
            charges = billed.own_meter_charges if HEATING in outcome.result.own_meter_kwh else 0.0
            return (float(billed.cost_by_month[HEATING].sum()) - charges) / used_kwh
    return flat_per_kwh


def _heating_kwh(outcome: Outcome, carrier: str) -> float:
    if carrier == ELECTRICITY:
        return float(outcome.result.electricity_by_month(HEATING).sum())
    return outcome.result.total(f"{HEATING}_fuel_{carrier.replace(' ', '_')}_kwh")
