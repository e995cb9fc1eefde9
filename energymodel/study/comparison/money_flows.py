"""What an option costs over the years: its energy by carrier and what the scenario adds to it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from datetime import timedelta

from energymodel.arrays import Array
from energymodel.economics.cash_flow import CashFlow, cash_flow
from energymodel.economics.option_costs import (
    OptionCosts,
    PlannedCost,
    YearlyCost,
    replacements,
    straight_line_residual,
)
from energymodel.economics.study_period import StudyPeriod
from energymodel.notices import Notice, UsedDefault
from energymodel.scenario.money_schema import MoneyTable
from energymodel.scenario.option_money_schema import STRAIGHT_LINE
from energymodel.scenario.prices import ELECTRICITY, CarrierPrice
from energymodel.scenario.schema import OptionTable
from energymodel.study.comparison.amounts import amount
from energymodel.study.comparison.outcome import Outcome

_CENT = 0.005
_OLD_NEWS = timedelta(days=365)
OTHER_USE = "other use of the house"


def cost_by_carrier(
    outcome: Outcome, prices: Mapping[str, CarrierPrice], services: Collection[str]
) -> dict[str, float]:
    """Divide the energy cost of some services among the carriers.

    Parameters
    ----------
    outcome
        One option.
    prices
        By carrier.
    services
        "heating", "cooling".

    Returns
    -------
    dict of float
        Money per year, today's prices; the sum is that of `outcome.service_cost`. Electricity is
        what the fuels leave, so that a bill by difference is counted whole; standing charges and
        other use are with their carrier.
    """
    cost: dict[str, float] = {}
    for service, by_month in outcome.cost_by_month.items():
        if service in services:
            for carrier, spent in _of_service(outcome, prices, service, by_month):
                cost[carrier] = cost.get(carrier, 0.0) + spent
    if next(iter(outcome.cost_by_month), None) in services:  # as in Outcome.service_cost
        for account in (outcome.standing_charges, outcome.other_use_cost):
            for carrier, spent in account.items():
                cost[carrier] = cost.get(carrier, 0.0) + spent
    return {carrier: spent for carrier, spent in cost.items() if abs(spent) > _CENT / 1000.0}


def _of_service(
    outcome: Outcome, prices: Mapping[str, CarrierPrice], service: str, by_month: Array
) -> Iterator[tuple[str, float]]:
    rest = float(by_month.sum())
    for key, used_kwh in outcome.result.fuel_by_month(service).items():
        carrier = key.replace("_", " ")
        if not used_kwh.any():
            continue
        spent = float(used_kwh.sum()) * prices[carrier].per_kwh
        if carrier in outcome.bills:
            spent = float(outcome.bills[carrier].cost_by_month[service].sum())
        rest -= spent
        yield carrier, spent
    yield ELECTRICITY, rest


def option_flow(
    outcome: Outcome,
    energy: Mapping[str, float],
    money: MoneyTable,
    *,
    other_use_saving: float = 0.0,
) -> CashFlow:
    """Lay everything that an option costs out over the years.

    Parameters
    ----------
    outcome
        One option.
    energy
        Money per year by carrier, today's prices.
    money
        The study.
    other_use_saving
        What its tariff saves on all other use of the house, money per year.

    Returns
    -------
    CashFlow
        In the money of the study.
    """
    costs = option_costs(outcome, energy, money, other_use_saving)
    return cash_flow(costs, money.study())


def option_costs(
    outcome: Outcome,
    energy: Mapping[str, float],
    money: MoneyTable,
    other_use_saving: float = 0.0,
) -> OptionCosts:
    """Gather what an option costs, as the scenario states it.

    Parameters
    ----------
    outcome
        One option.
    energy
        Money per year by carrier, today's prices.
    money
        The study.
    other_use_saving
        What its tariff saves on all other use of the house, money per year.

    Returns
    -------
    OptionCosts
        Costs positive, today's prices.
    """
    table = outcome.planned.table
    lines = [
        YearlyCost(name=carrier, per_year=cost, course=money.course_of(carrier))
        for carrier, cost in energy.items()
    ]
    if abs(other_use_saving) > _CENT:
        course = money.course_of(ELECTRICITY)
        lines.append(YearlyCost(name=OTHER_USE, per_year=-other_use_saving, course=course))
    return OptionCosts(
        name=table.name,
        installed_cost=table.installed_cost,
        replaced_anyway=table.replaced_anyway.planned() if table.replaced_anyway else None,
        planned=(*_closing(outcome), *_replacements(table, money.study_years)),
        residual=_residual(table, money.study_years),
        energy=tuple(lines),
        upkeep=_upkeep(table),
        incentives=tuple(entry.incentive() for entry in table.incentives),
        loan=table.loan.loan(table.installed_cost) if table.loan else None,
    )


def _upkeep(table: OptionTable) -> tuple[YearlyCost, ...]:
    entries = [entry.yearly() for entry in table.service_costs]
    if table.upkeep:
        entries.insert(0, YearlyCost(name="upkeep", per_year=table.upkeep))
    return tuple(entries)


def upkeep_per_year(table: OptionTable) -> float:
    """Mean upkeep of an option.

    Parameters
    ----------
    table
        The option.

    Returns
    -------
    float
        Money per year at today's prices; what falls every third year counts with a third.
    """
    return sum(entry.per_year / entry.every_years for entry in _upkeep(table))


def _closing(outcome: Outcome) -> tuple[PlannedCost, ...]:
    """Exit fees, and what replaces the last appliances."""
    return tuple(
        PlannedCost(name=f"closing of {account.carrier}", cost=account.one_off_cost, year=0)
        for account in outcome.closed_accounts
        if account.one_off_cost
    )


def _cost_when_new(table: OptionTable) -> float:
    if table.replacement_cost is not None:
        return table.replacement_cost
    return table.installed_cost or (table.replaced_anyway.cost if table.replaced_anyway else 0.0)


def _first_year(table: OptionTable) -> int:
    """Year in which the equipment is new: the service life counts from there."""
    return table.replaced_anyway.year if table.replaced_anyway else 0


def _replacements(table: OptionTable, study_years: int) -> tuple[PlannedCost, ...]:
    if table.lasts_years is None:
        return ()
    start = _first_year(table)
    later = replacements(
        "replacement",
        _cost_when_new(table),
        life_years=table.lasts_years,
        study_years=study_years - start,
    )
    return tuple(
        PlannedCost(name=entry.name, cost=entry.cost, year=entry.year + start) for entry in later
    )


def _residual(table: OptionTable, study_years: int) -> float:
    if isinstance(table.residual, float):
        return table.residual
    if table.lasts_years is None or table.residual not in (None, STRAIGHT_LINE):
        return 0.0
    return straight_line_residual(
        _cost_when_new(table),
        life_years=table.lasts_years,
        study_years=study_years - _first_year(table),
    )


def option_defaults(table: OptionTable, study_years: int) -> list[UsedDefault]:
    """List what an option left open about its years.

    Parameters
    ----------
    table
        The option.
    study_years
        Length of the study.

    Returns
    -------
    list of UsedDefault
        Life, replacement cost, residual.
    """
    if table.lasts_years is None:
        if not table.installed_cost:
            return []
        return [
            UsedDefault(
                name=f"service life of {table.name}",
                value=f"the {study_years} years of the study; no replacement, nothing left",
                source="our choice; lasts_years gives it",
            )
        ]
    found = []
    if table.replacement_cost is None:
        found.append(("replacement cost", "as installed, without incentives"))
    if table.residual is None:
        found.append(("residual", "straight line over its service life"))
    return [
        UsedDefault(name=f"{noun} of {table.name}", value=value, source="common practice")
        for noun, value in found
    ]


def incentive_notices(table: OptionTable, study: StudyPeriod, currency: str) -> tuple[Notice, ...]:
    """Say which incentives were counted, from which source, and how long they last.

    Parameters
    ----------
    table
        The option.
    study
        With the day of installation, where it is given.
    currency
        Code of the currency.

    Returns
    -------
    tuple of Notice
        One for each; one more where it was looked up long before, or all exceed the cost.
    """
    texts = []
    for entry in table.incentives:
        end = "may end" if entry.ends is None else f"ends {entry.ends}"
        texts.append(
            f"{entry.name}, {amount(entry.amount, currency)}, is counted as entered"
            f" ({entry.source}, as of {entry.as_of}; {end})."
        )
        if study.starts is not None and study.starts - entry.as_of > _OLD_NEWS:
            texts.append(f"{entry.name} was looked up more than a year before; look again.")
    received = sum(entry.amount for entry in table.incentives)
    if received > table.installed_cost:
        texts.append(
            f"The incentives, {amount(received, currency)}, are more than the installed cost,"
            f" {amount(table.installed_cost, currency)}; check both."
        )
    return tuple(Notice(topic="incentive", text=f"{table.name}: {text}") for text in texts)
