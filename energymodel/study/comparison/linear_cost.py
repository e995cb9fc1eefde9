"""Yearly cost of the options as straight lines of the prices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.annual import annual
from energymodel.season.option import Option
from energymodel.season.result import COOLING, HEATING, AnnualResult
from energymodel.study.comparison.bill_costs import HouseBill, bill_option
from energymodel.study.comparison.outcome import Comparison, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceAxis:
    """A price that can be moved.

    Parameters
    ----------
    carrier
        "electricity", "natural gas", ...
    today
        In the unit of sale; under a tariff 1: all its prices move together.
    unit
        As it should follow the number.
    kwh_per_unit
        Energy in the unit of sale, kWh; under a tariff 1.
    by_tariff
        Whether the axis is the tariff's price level.
    """

    carrier: str
    today: float
    unit: str
    kwh_per_unit: float
    by_tariff: bool

    @property
    def name(self) -> str:
        """As it should read in a sentence."""
        if self.by_tariff:
            return f"the {self.carrier} tariff"
        return f"the price of {self.carrier}"


def price_axis(comparison: Comparison, carrier: str) -> PriceAxis:
    """Make the axis of a carrier's price.

    Parameters
    ----------
    comparison
        All options.
    carrier
        One that has a price.

    Returns
    -------
    PriceAxis
        In the unit of sale of the scenario.
    """
    price = comparison.model.prices[carrier]
    currency = comparison.model.scenario.content.currency
    if price.house is not None:
        return PriceAxis(
            carrier=carrier, today=1.0, unit="x today's", kwh_per_unit=1.0, by_tariff=True
        )
    return PriceAxis(
        carrier=carrier,
        today=price.per_kwh * price.kwh_per_unit,
        unit=f"{currency} per {price.per}",
        kwh_per_unit=price.kwh_per_unit,
        by_tariff=False,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LinearCost:
    """Yearly cost of one option: a sum of units times their price.

    Parameters
    ----------
    name
        Name of the option.
    units
        Units of sale a year by carrier; under a tariff the money at today's prices.
    fixed
        The rest, money per year.
    """

    name: str
    units: Mapping[str, float]
    fixed: float

    def at(self, prices: Mapping[str, float]) -> float:
        """Yearly cost.

        Parameters
        ----------
        prices
            By carrier, per unit of sale.

        Returns
        -------
        float
            Money per year.
        """
        return self.fixed + sum(units * prices[name] for name, units in self.units.items())


def like_services(comparison: Comparison) -> tuple[str, ...]:
    """Services by which the options are ranked.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    tuple of str
        Those of the present option; all that the room needs where there is none.
    """
    if comparison.present is not None:
        return tuple(comparison.present.cost_by_month)
    load = comparison.model.load
    needed = ((HEATING, load.heating), (COOLING, load.cooling))
    return tuple(service for service, line in needed if line is not None)


def linear_cost(comparison: Comparison, outcome: Outcome) -> LinearCost:
    """Write the yearly cost of an option on like services as a line of the prices.

    Parameters
    ----------
    comparison
        All options.
    outcome
        One of them.

    Returns
    -------
    LinearCost
        At today's prices the outcome's own cost for like services.
    """
    services = like_services(comparison)
    kwh = carrier_kwh(outcome.result, services)
    axes = {carrier: price_axis(comparison, carrier) for carrier in kwh}
    units = {carrier: kwh[carrier] / axes[carrier].kwh_per_unit for carrier in kwh}
    for carrier in outcome.bills.keys() & units.keys():
        money = outcome.bills[carrier].cost_by_month
        units[carrier] = sum(float(money[service].sum()) for service in services)
    spent = sum(units[carrier] * axes[carrier].today for carrier in units)
    return LinearCost(name=outcome.name, units=units, fixed=outcome.like_cost - spent)


def carrier_kwh(result: AnnualResult, services: tuple[str, ...]) -> dict[str, float]:
    """Energy of some services by carrier.

    Parameters
    ----------
    result
        A year.
    services
        "heating", "cooling" or both.

    Returns
    -------
    dict of float
        kWh per year; carriers that are not used are left out.
    """
    used: dict[str, float] = {}
    for service in services:
        electric = float(result.electricity_by_month(service).sum())
        used[ELECTRICITY] = used.get(ELECTRICITY, 0.0) + electric
        for carrier, months in result.fuel_by_month(service).items():
            name = carrier.replace("_", " ")
            used[name] = used.get(name, 0.0) + float(months.sum())
    return {carrier: kwh for carrier, kwh in used.items() if kwh > 0}


def energy_cost(comparison: Comparison, option: Option, houses: Mapping[str, HouseBill]) -> float:
    """Run an option once more and price its energy for like services.

    Parameters
    ----------
    comparison
        Weather, prices and services.
    option
        As changed.
    houses
        Tariffs laid on the year, by carrier; the others have a flat price.

    Returns
    -------
    float
        Money per year, charges of accounts left out; heat that stays unmet is counted as
        resistance heat.
    """
    result = annual(option, comparison.model.weather)
    services = like_services(comparison)
    prices = comparison.model.prices
    money = 0.0
    if HEATING in services and ELECTRICITY in prices:
        money = result.total("heating_unmet_kwh") * prices[ELECTRICITY].per_kwh
    for carrier, kwh in carrier_kwh(result, services).items():
        if carrier in houses:
            billed = bill_option(houses[carrier], result).cost_by_month
            money += sum(float(billed[service].sum()) for service in services)
        elif carrier in prices:
            money += kwh * prices[carrier].per_kwh
    return money
