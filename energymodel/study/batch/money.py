"""Money and energy of the distinct variants of one option, before price factors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.scenario.prices import ELECTRICITY, carrier_of
from energymodel.season.annual import annual
from energymodel.season.batch.many import single_option
from energymodel.season.batch.variants import Variants
from energymodel.season.result import COOLING, HEATING
from energymodel.season.states import distinct_states
from energymodel.study.batch.bills import CellBills, cell_bills, needs_hours
from energymodel.study.batch.energy import BlockEnergy, block_energy
from energymodel.study.comparison.bill_costs import HouseBill, bill_option, house_bill

_SERVICES = (HEATING, COOLING)
_APPLIANCES = "appliances"


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """How the account of a carrier counts for one option.

    Parameters
    ----------
    closes
        The option closes it: what it cost is taken off.
    opened_by_use
        It is open only where the option uses the carrier.
    charges_per_year
        Without any use, money.
    other_use_per_year
        Energy of what else is on it, money; 0 where that is not counted.
    """

    closes: bool
    opened_by_use: bool
    charges_per_year: float
    other_use_per_year: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Laid:
    """An option with everything that is the same for all variants.

    Parameters
    ----------
    model, planned
        Scenario and option.
    services
        "heating" and "cooling", as far as the option has them.
    by_cells, by_hours
        Tariffs by carrier, by the way in which they bill.
    accounts
        By carrier.
    because
        What needs the hours; empty where nothing does.
    """

    model: Model
    planned: PlannedOption
    services: tuple[str, ...]
    by_cells: Mapping[str, CellBills]
    by_hours: Mapping[str, HouseBill]
    accounts: Mapping[str, Account]
    because: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KindCosts:
    """Costs of the distinct variants, at the model's prices; arrays of shape (kinds,).

    Parameters
    ----------
    money
        By service and carrier, money per year.
    energy_kwh
        By carrier.
    unmet_kwh
        Load that stays unmet, by service of the option.
    appliance_cost
        Electricity of appliances that the option brings along, money per year.
    """

    money: Mapping[tuple[str, str], Array]
    energy_kwh: Mapping[str, Array]
    unmet_kwh: Mapping[str, Array]
    appliance_cost: Array

    def joined(self, other: KindCosts) -> KindCosts:
        """Put the kinds of two blocks one after the other.

        Parameters
        ----------
        other
            Of the same option.

        Returns
        -------
        KindCosts
            All kinds.
        """
        return KindCosts(
            money={key: np.append(own, other.money[key]) for key, own in self.money.items()},
            energy_kwh={
                key: np.append(own, other.energy_kwh[key]) for key, own in self.energy_kwh.items()
            },
            unmet_kwh={
                service: np.append(own, other.unmet_kwh[service])
                for service, own in self.unmet_kwh.items()
            },
            appliance_cost=np.append(self.appliance_cost, other.appliance_cost),
        )


def laid_out(
    model: Model, planned: PlannedOption, house: HouseBill | Mapping[str, HouseBill] | None
) -> Laid:
    """Lay everything out that the variants of an option share.

    Parameters
    ----------
    model, planned
        Scenario and option.
    house
        Tariffs laid on the year, as far as they are at hand.

    Returns
    -------
    Laid
        Ready to cost variants.
    """
    option = planned.option
    states = distinct_states(option, model.weather)
    houses = _houses(model, house)
    why = {
        carrier: "a meter of the option's own"
        if option.name in one.meters
        else needs_hours(one, electricity=carrier == ELECTRICITY)
        for carrier, one in houses.items()
    }
    lines = ((option.heating, option.heating_load), (option.cooling, option.cooling_load))
    return Laid(
        model=model,
        planned=planned,
        services=tuple(
            service
            for service, (source, line) in zip(_SERVICES, lines, strict=True)
            if source is not None and line is not None
        ),
        by_cells={name: cell_bills(one, states) for name, one in houses.items() if not why[name]},
        by_hours={name: one for name, one in houses.items() if why[name]},
        accounts=_accounts(model, planned, houses),
        because="; ".join(reason for reason in why.values() if reason),
    )


def _houses(
    model: Model, house: HouseBill | Mapping[str, HouseBill] | None
) -> dict[str, HouseBill]:
    given = {house.carrier: house} if isinstance(house, HouseBill) else dict(house or {})
    return {
        carrier: given.get(carrier) or house_bill(price.house, model.weather)
        for carrier, price in model.prices.items()
        if price.house is not None
    }


def _accounts(
    model: Model, planned: PlannedOption, houses: Mapping[str, HouseBill]
) -> dict[str, Account]:
    closes = {carrier_of(name) for name in planned.table.closes_account}
    known = planned.table.appliance_use_kwh is not None
    accounts = {}
    for carrier, price in model.prices.items():
        laid = houses.get(carrier)
        flat = sum(price.other_use_kwh or ()) * price.per_kwh
        other = flat if laid is None else laid.other_use_per_year
        accounts[carrier] = Account(
            closes=price.other_uses and carrier in closes,
            opened_by_use=not price.other_uses,
            charges_per_year=price.fixed_per_year if laid is None else laid.charges_per_year,
            other_use_per_year=other if known else 0.0,
        )
    return accounts


def kind_costs(laid: Laid, kinds: Variants) -> KindCosts:
    """Cost distinct variants.

    Parameters
    ----------
    laid
        The option.
    kinds
        Load lines and factors.

    Returns
    -------
    KindCosts
        At the model's prices.

    Raises
    ------
    InputError
        If a carrier that is used has no price.
    """
    energy = block_energy(
        laid.planned.option, laid.model.weather, kinds, tuple(laid.by_cells.values())
    )
    hourly = _hourly_money(laid, kinds)
    money: dict[tuple[str, str], Array] = {}
    appliances = np.zeros(len(kinds))
    for carrier in energy.carriers():
        if carrier in hourly:
            found = hourly[carrier]
        elif carrier in laid.by_cells:
            found = _cell_money(laid, energy, carrier)
        else:
            found = _flat_money(laid, energy, carrier)
        money.update({(service, carrier): found[service] for service in laid.services})
        appliances = appliances + found[_APPLIANCES]
    return KindCosts(
        money=money,
        energy_kwh=energy.by_carrier(),
        unmet_kwh=_unmet_kwh(laid, kinds, energy),
        appliance_cost=appliances,
    )


def _appliance_use(laid: Laid, carrier: str) -> Array | None:
    use_kwh = laid.planned.table.appliance_use_kwh
    return np.array(use_kwh) if carrier == ELECTRICITY and use_kwh is not None else None


def _flat_money(laid: Laid, energy: BlockEnergy, carrier: str) -> dict[str, Array]:
    used = {service: energy.year_kwh(service, carrier) for service in laid.services}
    used[_APPLIANCES] = np.zeros(energy.count)
    appliances = _appliance_use(laid, carrier)
    if appliances is not None:
        used[_APPLIANCES] += appliances.sum()
    if not any(kwh.any() for kwh in used.values()):
        return used
    if carrier not in laid.model.prices:
        raise InputError(
            f"an option uses {carrier}, which has no price",
            where=laid.model.scenario.path.name,
            expected=f"a table [price.{carrier.replace(' ', '_')}]",
        )
    per_kwh = laid.model.prices[carrier].per_kwh
    return {name: kwh * per_kwh for name, kwh in used.items()}


def _cell_money(laid: Laid, energy: BlockEnergy, carrier: str) -> dict[str, Array]:
    """Heating is added to the other use first, cooling after it, appliances last."""
    bills, electric = laid.by_cells[carrier], carrier == ELECTRICITY
    steps = [energy.added_kwh(HEATING, carrier)]
    peaks = [energy.peak_kw(HEATING) if electric else energy.no_peaks]
    if COOLING in laid.services:
        steps.append(steps[0] + energy.added_kwh(COOLING, carrier))
        peaks.append(energy.peak_kw(COOLING) if electric else energy.no_peaks)
    names = list(_SERVICES[: len(steps)])
    use_kwh = _appliance_use(laid, carrier)
    if use_kwh is not None:
        hourly_kw = use_kwh / bills.hours_in_month
        added = (bills.weights.sum(axis=1) * hourly_kw[bills.label])[:, np.newaxis]
        steps.append(steps[-1] + added)
        peaks.append(peaks[-1] + hourly_kw[bills.window_label][:, np.newaxis])
        names.append(_APPLIANCES)
    costs = np.diff(bills.yearly_cost(steps, peaks), axis=0, prepend=0.0)
    none = np.zeros(energy.count)
    return dict.fromkeys((*_SERVICES, _APPLIANCES), none) | dict(zip(names, costs, strict=True))


def _hourly_money(laid: Laid, kinds: Variants) -> dict[str, dict[str, Array]]:
    """Bill the hours of each kind, one after the other."""
    names = (*_SERVICES, _APPLIANCES)
    money = {carrier: {name: np.zeros(len(kinds)) for name in names} for carrier in laid.by_hours}
    for index in range(len(kinds) if money else 0):
        result = annual(single_option(laid.planned.option, kinds, index), laid.model.weather)
        for carrier, house in laid.by_hours.items():
            use_kwh = _appliance_use(laid, carrier)
            given = None if use_kwh is None else use_kwh.tolist()
            billed = bill_option(house, result, appliance_use_kwh=given)
            for service, cost in billed.cost_by_month.items():
                money[carrier][service][index] = cost.sum()
            money[carrier][_APPLIANCES][index] = billed.appliance_cost
    return money


def _unmet_kwh(laid: Laid, kinds: Variants, energy: BlockEnergy) -> dict[str, Array]:
    """Heat that a lowered set-point leaves out on purpose is not unmet."""
    unmet = {service: energy.unmet_kwh(service) for service in laid.services}
    full = laid.planned.full_comfort
    if full is not None and HEATING in unmet:
        unmet[HEATING] = block_energy(full, laid.model.weather, kinds).unmet_kwh(HEATING)
    return unmet
