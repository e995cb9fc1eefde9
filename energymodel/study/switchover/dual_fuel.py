"""A heat pump and its backup as two ways to heat each hour: what each takes and costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.equipment.flows import Source
from energymodel.errors import InputError
from energymodel.scenario.assemble import PlannedOption
from energymodel.scenario.heat_pump_kind import HeatPumpRecord
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.annual import annual
from energymodel.season.result import COOLING, HEATING, AnnualResult
from energymodel.study.comparison.bill_costs import HouseBill
from energymodel.study.comparison.house_tariffs import heat_prices
from energymodel.study.comparison.marginal_price import marginal_hour_price
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.pump_changes import without_switch

_ROUNDING_KWH = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourUse:
    """What heating takes in each hour in one way of running.

    Parameters
    ----------
    electricity_kwh
        Idle power of the heating months included, shape (hours,).
    fuel_cost
        Money, shape (hours,).
    unmet_kwh
        Load that stays unmet, shape (hours,).
    own_meter_kwh
        Part of the electricity that passes a meter of the option's own, shape (hours,).
    """

    electricity_kwh: Array
    fuel_cost: Array
    unmet_kwh: Array
    own_meter_kwh: Array

    @property
    def household_kwh(self) -> Array:
        """Part of the electricity that passes the household's meter, shape (hours,)."""
        return np.maximum(self.electricity_kwh - self.own_meter_kwh, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DualFuel:
    """The two ways of running of one option, and how their electricity is priced.

    Parameters
    ----------
    outcome
        The option as set in the scenario.
    runs
        "with" or "instead".
    outdoor_c
        Outdoor temperature of each hour, degC.
    loaded
        Hours with a heating load.
    pump, backup
        The heat pump first, with its backup where it is too small; and the backup alone.
    price_per_kwh, own_price_per_kwh
        Price of one more kWh in each hour on the household's meter and on the option's own, shape
        (hours,).
    flat_per_kwh
        Price under a flat price.
    house
        The bill under a tariff; None: a flat price.
    meter
        The bill of the option's own meter; None: it has none.
    forced
        Hours in which the tariff cuts the heat pump off.
    """

    outcome: Outcome
    runs: str
    outdoor_c: Array
    loaded: Mask
    pump: HourUse
    backup: HourUse
    price_per_kwh: Array
    own_price_per_kwh: Array
    flat_per_kwh: float
    house: HouseBill | None
    meter: HouseBill | None
    forced: Mask

    def hour_cost(self, use: HourUse) -> Array:
        """Money per hour at the price of one more kWh.

        Parameters
        ----------
        use
            One way of running.

        Returns
        -------
        Array
            Shape (hours,).
        """
        own = use.own_meter_kwh * self.own_price_per_kwh
        return use.household_kwh * self.price_per_kwh + own + use.fuel_cost

    @property
    def pump_is_better(self) -> Mask:
        """Hours in which the heat pump costs no more and leaves no more unmet."""
        less_unmet = self.pump.unmet_kwh < self.backup.unmet_kwh - _ROUNDING_KWH
        more_unmet = self.pump.unmet_kwh > self.backup.unmet_kwh + _ROUNDING_KWH
        cheaper = self.hour_cost(self.pump) <= self.hour_cost(self.backup)
        return (less_unmet | cheaper) & ~more_unmet & ~self.forced

    def yearly_cost(self, pump_runs: Mask) -> Array:
        """Money per year for heating, when the heat pump runs in chosen hours.

        Parameters
        ----------
        pump_runs
            Shape (hours, choices).

        Returns
        -------
        Array
            Shape (choices,): under a tariff the bill with heating less the bill without, and the
            whole bill of a meter of the option's own.
        """
        chosen = pump_runs & ~self.forced[:, np.newaxis]
        fuel = _mixed(chosen, self.pump.fuel_cost, self.backup.fuel_cost).sum(axis=0)
        used = _mixed(chosen, self.pump.household_kwh, self.backup.household_kwh)
        if self.meter is not None:
            own = _mixed(chosen, self.pump.own_meter_kwh, self.backup.own_meter_kwh)
            fuel = fuel + self.meter.prepared.bill(own).total
        if self.house is None:
            return np.asarray(used.sum(axis=0) * self.flat_per_kwh + fuel)
        other = self.house.other_kwh[:, np.newaxis]
        bills = self.house.prepared.bill(np.hstack([other, other + used])).total
        return np.asarray(bills[1:] - bills[0] + fuel)

    def unmet_kwh(self, pump_runs: Mask) -> Array:
        """Heat that stays unmet in the year.

        Parameters
        ----------
        pump_runs
            Shape (hours, choices).

        Returns
        -------
        Array
            kWh, shape (choices,).
        """
        chosen = pump_runs & ~self.forced[:, np.newaxis]
        return np.asarray(_mixed(chosen, self.pump.unmet_kwh, self.backup.unmet_kwh).sum(axis=0))


def _mixed(chosen: Mask, pump: Array, backup: Array) -> Array:
    return np.where(chosen, pump[:, np.newaxis], backup[:, np.newaxis])


def dual_fuel(
    comparison: Comparison, outcome: Outcome, houses: Mapping[str, HouseBill]
) -> DualFuel | None:
    """Run an option's heat pump and its backup through the year, each in every hour.

    Parameters
    ----------
    comparison
        All options; weather and prices are taken from it.
    outcome
        The option.
    houses
        Tariffs laid on the year, by carrier; a fuel under a tariff counts with the mean price that
        the option's heating adds to its bill.

    Returns
    -------
    DualFuel or None
        None for an option without a heat pump or without a backup of its own, and where the old
        system's set-point is lowered: its two ways of running do not give the same comfort.

    Raises
    ------
    InputError
        If a fuel has no price.
    """
    planned, model = outcome.planned, comparison.model
    record = planned.table.heating
    alone = planned.backup_alone
    if planned.borrowed or alone is None or alone.heating is None:
        return None
    if not isinstance(record, HeatPumpRecord) or record.backup is None:
        return None
    if planned.full_comfort is not None:
        return None
    years = [_year(comparison, planned, one) for one in (without_switch(planned), alone.heating)]
    fuel_per_kwh = heat_prices(comparison, [outcome]).fuel_per_kwh
    pump, backup = (_hours(comparison, year, fuel_per_kwh) for year in years)
    loaded = _by_hour(years[0], "heating_load_kwh") > 0
    if not loaded.any():
        return None
    electricity = model.prices.get(ELECTRICITY)
    flat = electricity.per_kwh if electricity is not None else 0.0
    price = own_price = np.full(loaded.shape, flat)
    house, meter = houses.get(ELECTRICITY), None
    if house is not None:
        meter = house.meters.get(outcome.name)
        own_kwh = _own_load(outcome, house)
        left_kwh = np.maximum(_house_load(outcome, house) - own_kwh, 0.0)
        price = own_price = marginal_hour_price(house, house.other_kwh + left_kwh)
        if meter is not None:
            own_price = marginal_hour_price(meter, own_kwh)
    return DualFuel(
        outcome=outcome,
        runs=record.backup.runs,
        outdoor_c=model.weather.outdoor_c,
        loaded=loaded,
        pump=pump,
        backup=backup,
        price_per_kwh=price,
        own_price_per_kwh=own_price,
        flat_per_kwh=flat,
        house=house,
        meter=meter,
        forced=loaded & _cut(outcome) if backup.fuel_cost.any() else np.zeros_like(loaded),
    )


def _year(comparison: Comparison, planned: PlannedOption, source: Source) -> AnnualResult:
    return annual(replace(planned.option, heating=source), comparison.model.weather)


def _house_load(outcome: Outcome, house: HouseBill) -> Array:
    """Electricity of the option as set: it decides the block in which a kWh is priced."""
    parts = [
        outcome.result.hourly_electricity_of(function, house.month_of_hour)
        for function in (HEATING, COOLING)
    ]
    return parts[0] + parts[1]


def _own_load(outcome: Outcome, house: HouseBill) -> Array:
    """Its part that passes the option's own meter; zero without one."""
    months = house.month_of_hour
    parts = [outcome.result.hourly_own_meter_of(name, months) for name in (HEATING, COOLING)]
    return parts[0] + parts[1]


def _cut(outcome: Outcome) -> Mask:
    """Hours in which the supply of the heat pump is cut."""
    states = outcome.result.states
    cut = states.no_supply.get(HEATING, np.zeros(len(states), dtype=np.bool_))
    by_hour: Mask = cut[states.inverse]
    return by_hour


def _by_hour(year: AnnualResult, name: str) -> Array:
    values = year.columns.get(name)
    hours = year.states.inverse
    return np.zeros(hours.size) if values is None else values[hours]


def _hours(
    comparison: Comparison, year: AnnualResult, fuel_per_kwh: Mapping[str, float]
) -> HourUse:
    months = comparison.model.weather.month.astype(np.intp)
    return HourUse(
        electricity_kwh=year.hourly_electricity_of(HEATING, months),
        fuel_cost=_fuel_cost(year, fuel_per_kwh),
        unmet_kwh=_by_hour(year, "heating_unmet_kwh"),
        own_meter_kwh=year.hourly_own_meter_of(HEATING, months),
    )


def _fuel_cost(year: AnnualResult, per_kwh: Mapping[str, float]) -> Array:
    cost = np.zeros(year.states.inverse.size)
    for name in year.names(HEATING, "fuel"):
        carrier = name.removeprefix("heating_fuel_").removesuffix("_kwh").replace("_", " ")
        if carrier not in per_kwh:
            raise InputError(f"{carrier} has no price", expected=f"a table [price.{carrier}]")
        cost = cost + _by_hour(year, name) * per_kwh[carrier]
    return cost
