"""Accounts that options open, keep or close, and the other use that hangs on them.

A charge counts only for an option that opens the account, or is taken off one that closes it;
elsewhere it is paid in any case and stands in no option. Together with an account its other use
ends, and what replaces that is counted for the same option.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from energymodel.notices import Notice
from energymodel.scenario.assemble import Model
from energymodel.scenario.prices import ELECTRICITY, CarrierPrice, carrier_of
from energymodel.study.comparison.amounts import amount
from energymodel.study.comparison.outcome import ClosedAccount, Outcome

if TYPE_CHECKING:
    from energymodel.study.comparison.bill_costs import HouseBill


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Accounts:
    """All accounts of a house.

    Parameters
    ----------
    prices
        By carrier; under a tariff with the charges of an account without use.
    houses
        Tariffs laid on the year, by carrier.
    heated_with
        Carriers that the present option uses.
    """

    prices: Mapping[str, CarrierPrice]
    houses: Mapping[str, HouseBill]
    heated_with: frozenset[str]

    def counted(self, outcome: Outcome) -> Outcome:
        """Add to an option what its accounts cost.

        Parameters
        ----------
        outcome
            Of the option, with its energy.

        Returns
        -------
        Outcome
            With standing charges, other use and closed accounts.
        """
        closes = {carrier_of(name) for name in outcome.planned.table.closes_account}
        known = outcome.planned.table.appliance_use_kwh is not None
        standing, other = {}, {}
        for carrier, price in self.prices.items():
            if not price.other_uses and carrier in outcome.energy_kwh:
                standing[carrier] = price.fixed_per_year
            if price.other_uses and carrier in closes:
                standing[carrier] = -price.fixed_per_year
                other[carrier] = -self._other_use_cost(carrier) if known else 0.0
        if known:
            other[ELECTRICITY] = self._appliances(outcome)
        closed = tuple(
            self._closed(carrier, outcome)
            for carrier, price in self.prices.items()
            if (price.fixed_per_year or price.exit_fee)
            and carrier not in outcome.energy_kwh
            and (carrier in closes if price.other_uses else carrier in self.heated_with)
        )
        return replace(
            outcome,
            standing_charges={carrier: money for carrier, money in standing.items() if money},
            other_use_cost={carrier: money for carrier, money in other.items() if money},
            closed_accounts=closed,
        )

    def _other_use_cost(self, carrier: str) -> float:
        """Money per year for the energy of what else is on the account."""
        if carrier in self.houses:
            return self.houses[carrier].other_use_per_year
        price = self.prices[carrier]
        return sum(price.other_use_kwh or ()) * price.per_kwh

    def _appliances(self, outcome: Outcome) -> float:
        use_kwh = outcome.planned.table.appliance_use_kwh
        if use_kwh is None:
            return 0.0
        billed = outcome.billed
        if billed is not None:
            return billed.appliance_cost
        return sum(use_kwh) * self.prices[ELECTRICITY].per_kwh

    def _closed(self, carrier: str, outcome: Outcome) -> ClosedAccount:
        price, table = self.prices[carrier], outcome.planned.table
        explicit = carrier in {carrier_of(name) for name in table.closes_account}
        known = explicit and table.appliance_use_kwh is not None
        return ClosedAccount(
            carrier=carrier,
            charges_per_year=price.fixed_per_year,
            exit_fee=price.exit_fee,
            appliances=(price.other_appliances or ("other uses",)) if price.other_uses else (),
            appliance_cost=table.appliance_cost if explicit else 0.0,
            ended_use_per_year=self._other_use_cost(carrier) if known else None,
            appliance_use_per_year=self._appliances(outcome) if known else None,
        )

    def notices(
        self, outcomes: list[Outcome], explicit: frozenset[str], currency: str
    ) -> list[Notice]:
        """Say which accounts close, and which charges are paid in any case.

        Parameters
        ----------
        outcomes
            All options.
        explicit
            Carriers of which the scenario says that the account stays open.
        currency
            Code for amounts of money.

        Returns
        -------
        list of Notice
            One per account; options with the same answer share a sentence.
        """
        closing: dict[str, list[str]] = {}
        for outcome in outcomes:
            for account in outcome.closed_accounts:
                closing.setdefault(account.words(currency), []).append(outcome.name)
        notices = [
            Notice(topic="saving", text=f"{' and '.join(names)}: {words}")
            for words, names in closing.items()
        ]
        notices += [
            _paid_anyway(price, currency, leave=self._leave(carrier, outcomes))
            for carrier, price in self.prices.items()
            if price.other_uses
            and price.fixed_per_year
            and (carrier in explicit or carrier in self.houses)
        ]
        return notices

    def _leave(self, carrier: str, outcomes: list[Outcome]) -> bool:
        """Whether heat leaves an account that stays open."""
        return carrier in self.heated_with and any(
            carrier not in outcome.energy_kwh
            and carrier not in {account.carrier for account in outcome.closed_accounts}
            for outcome in outcomes
        )


def _paid_anyway(price: CarrierPrice, currency: str, *, leave: bool) -> Notice:
    text = (
        f"{amount(price.fixed_per_year, currency)} a year of charges of {price.carrier} are paid in"
        " any case and not counted"
    )
    if price.carrier != ELECTRICITY:
        text += f": the account stays open for {', '.join(price.other_appliances) or 'other uses'}"
    if leave:
        text += "; an option that only takes the heat away saves energy alone"
    return Notice(topic="charges", text=text + ".")


def house_accounts(
    model: Model, houses: Mapping[str, HouseBill], *, heated_with: frozenset[str]
) -> Accounts:
    """Gather the accounts of a house.

    Parameters
    ----------
    model
        Scenario ready to run.
    houses
        Tariffs laid on the year, by carrier.
    heated_with
        Carriers that the present option uses.

    Returns
    -------
    Accounts
        Ready to count.
    """
    prices = {
        carrier: replace(price, fixed_per_year=houses[carrier].charges_per_year)
        if carrier in houses
        else price
        for carrier, price in model.prices.items()
    }
    return Accounts(
        prices=prices,
        houses=houses,
        heated_with=heated_with,
    )


def kept_by_word(model: Model) -> frozenset[str]:
    """Carriers of which the scenario says that the account stays open for other uses.

    Parameters
    ----------
    model
        Scenario ready to run.

    Returns
    -------
    frozenset of str
        Without those that are kept by default.
    """
    return frozenset(
        carrier_of(key)
        for key, price in model.scenario.content.price.items()
        if price.other_uses or price.other_appliances or any(price.other_use or ())
    )
