"""Quantities of a month: which there are, their headings and their numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.arrays import Array
from energymodel.report.comparison.cost_lines import used_by_month
from energymodel.report.workbook.cells import Column, Form
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.outcome import Comparison, Outcome


class What(Enum):
    """Kind of a quantity."""

    LOAD = "load"
    UNMET = "unmet"
    GIVEN = "given"
    USE = "use"
    RATIO = "ratio"
    SPENT = "spent"
    COST = "cost"


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One quantity of a month.

    Parameters
    ----------
    what
        Kind.
    service
        "heating" or "cooling"; empty: both.
    carrier
        Of a use, or of what is spent on it.
    """

    what: What
    service: str = ""
    carrier: str = ""


def month_items(comparison: Comparison) -> tuple[Item, ...]:
    """List the quantities that any option has.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    tuple of Item
        Heating first, the sum of the costs last.
    """
    return (*_items(comparison, HEATING), *_items(comparison, COOLING), Item(what=What.COST))


def _items(comparison: Comparison, service: str) -> Iterator[Item]:
    able = [one.result for one in comparison.outcomes if serves(one, service)]
    if not able:
        return
    for what in (What.LOAD, What.UNMET, What.GIVEN):
        yield Item(what=what, service=service)
    carriers = dict.fromkeys(name for one in comparison.outcomes for name in one.energy_kwh)
    ordered = sorted(carriers, key=lambda name: name != ELECTRICITY)
    used = [c for c in ordered if any(used_by_month(one, service, c).any() for one in able)]
    for carrier in used:
        yield Item(what=What.USE, service=service, carrier=carrier)
    yield Item(what=What.RATIO, service=service)
    for carrier in used:
        yield Item(what=What.SPENT, service=service, carrier=carrier)


def serves(outcome: Outcome, service: str) -> bool:
    """Whether an option has a service.

    Parameters
    ----------
    outcome
        The option.
    service
        "heating" or "cooling".

    Returns
    -------
    bool
        True where it does and the room needs it.
    """
    return f"{service}_load_kwh" in outcome.result.columns


def item_column(item: Item, currency: str) -> Column:
    """Head a quantity.

    Parameters
    ----------
    item
        The quantity.
    currency
        Of the scenario.

    Returns
    -------
    Column
        With its unit.
    """
    service, carrier = item.service, item.carrier.capitalize()
    given = "Heat given, kWh" if service == HEATING else "Heat removed, kWh"
    heading, form = {
        What.LOAD: (f"{service.capitalize()} load, kWh", Form.ONE),
        What.UNMET: (f"Unmet {service}, kWh", Form.ONE),
        What.GIVEN: (given, Form.ONE),
        What.USE: (f"{carrier} for {service}, kWh", Form.ONE),
        What.RATIO: (f"{service.capitalize()} per energy used, kWh/kWh", Form.TWO),
        What.SPENT: (f"{carrier} for {service}, {currency}", Form.TWO),
        What.COST: (f"Energy cost, {currency}", Form.TWO),
    }[item.what]
    return Column(heading=heading, form=form, width=12.5)


def item_numbers(outcome: Outcome, item: Item, comparison: Comparison) -> Array:
    """Numbers of a quantity by month.

    Parameters
    ----------
    outcome
        The option.
    item
        The quantity.
    comparison
        Prices are taken from it.

    Returns
    -------
    Array
        Shape (12,); nan where a ratio has no meaning.
    """
    result, service = outcome.result, item.service
    if item.what is What.COST:
        return sum(outcome.cost_by_month.values(), np.zeros(12))
    if item.what is What.USE:
        return used_by_month(result, service, item.carrier)
    if item.what is What.SPENT:
        return _spent(outcome, item, comparison)
    if item.what is What.RATIO:
        used = _all_used(outcome, service)
        given = result.month_totals(f"{service}_delivered_kwh")
        sound = (used > 0) & (given > 0)
        ratio: Array = np.divide(given, used, out=np.full(12, np.nan), where=sound)
        return ratio
    word = "delivered" if item.what is What.GIVEN else item.what.value
    return result.month_totals(f"{service}_{word}_kwh")


def _all_used(outcome: Outcome, service: str) -> Array:
    used = (used_by_month(outcome.result, service, carrier) for carrier in outcome.energy_kwh)
    return sum(used, np.zeros(12))


def _spent(outcome: Outcome, item: Item, comparison: Comparison) -> Array:
    if item.carrier in outcome.bills:
        return outcome.bills[item.carrier].cost_by_month[item.service]
    used = used_by_month(outcome.result, item.service, item.carrier)
    if not used.any():
        return used
    return used * comparison.model.prices[item.carrier].per_kwh
