"""The options of a comparison over the years: every usual measure against what is there now."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.cash_flow import CashFlow
from energymodel.economics.life_cycle import (
    LifeCycleComparison,
    LifeCycleCost,
    compare_life_cycles,
    life_cycle_cost,
)
from energymodel.economics.loan import LoanAgainstSaving
from energymodel.economics.payback import Payback, simple_payback
from energymodel.notices import Notice, UsedDefault
from energymodel.study.comparison.money_flows import (
    cost_by_carrier,
    incentive_notices,
    option_defaults,
    option_flow,
    upkeep_per_year,
)
from energymodel.study.comparison.outcome import Comparison, Outcome

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AgainstPresent:
    """An option against what is there now, on the services that both give.

    Parameters
    ----------
    services
        What is compared: "heating", "cooling".
    lost_services
        What the present option gives and this one does not: price a companion for it.
    extra_at_start
        Paid more on the day of installation, less incentives taken off the price, money.
    yearly_saving
        Energy and upkeep saved in a year at today's prices, money.
    simple
        Extra at the start over yearly saving.
    measures
        Net savings, SIR, AIRR, rate of return, paybacks year by year.
    with_added_comfort
        The same with the services counted that are new; None where nothing is new.
    base_energy
        What the present option's energy for them costs at today's prices, money per year.
    base
        Cash flow of the present option on the same services.
    flow
        Cash flow of this option on them.
    loan
        Its payments against the saving, money per month; None without a loan.
    longest_payback_years
        Longest payback of interest, as entered; None: not entered.
    """

    services: tuple[str, ...]
    lost_services: tuple[str, ...]
    extra_at_start: float
    yearly_saving: float
    simple: Payback
    measures: LifeCycleComparison
    with_added_comfort: LifeCycleComparison | None
    base_energy: float
    base: CashFlow
    flow: CashFlow
    loan: LoanAgainstSaving | None
    longest_payback_years: float | None

    @property
    def gain(self) -> Array:
        """Gained against the present option in years 0 to N, loan left out, shape (N + 1,)."""
        return self.flow.by_year() - self.base.by_year()

    @property
    def gain_with_loan(self) -> Array:
        """What the owner's account gains in years 0 to N, the loan counted, shape (N + 1,)."""
        return self.flow.by_year_with_loan() - self.base.by_year_with_loan()

    @property
    def cumulative(self) -> Array:
        """Sum of the gains up to each year, nothing discounted, shape (N + 1,)."""
        return np.cumsum(self.gain)

    @property
    def cumulative_discounted(self) -> Array:
        """Present value of the gains up to each year, shape (N + 1,); the last: net savings."""
        rate = self.flow.study.discount.per_year
        return np.cumsum(self.gain * (1.0 + rate) ** -np.arange(self.gain.size, dtype=np.float64))

    @property
    def payback_years(self) -> float | None:
        """Years until what is gained equals the extra at the start, nothing discounted.

        Year by year; beyond the study only where every year gains the same. None: never, or not
        within the study.
        """
        found = self.measures.simple_payback
        even = np.ptp(self.gain[1:]) <= _ROUNDING * max(1.0, abs(self.yearly_saving))
        if found.years is None and even:
            return self.simple.years
        return found.years

    @property
    def soon_enough(self) -> bool | None:
        """Whether the payback is within the longest one of interest; None: not entered."""
        if self.longest_payback_years is None:
            return None
        years = self.payback_years
        return years is not None and years <= self.longest_payback_years


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OptionMoney:
    """One option over the years.

    Parameters
    ----------
    name
        Name of the option.
    present
        Whether it is what is there now.
    carries
        Whether it gives every service and carries the load of each.
    comparable
        Whether it carries the loads, or leaves no more of them unmet than what is there now.
    short_words
        Which load it does not carry, as a phrase.
    cost_given
        Whether the scenario says what it costs to install, or it is there now.
    cost
        Life-cycle cost on the compared services: those of the present option that it gives; all
        of its own where none is marked as present.
    flow
        Cash flow behind it.
    against_present
        None for the present option, without one, where no service is shared, or where no installed
        cost is given.
    defaults, notices
        What was not given, and what the reader should know.
    """

    name: str
    present: bool
    carries: bool
    comparable: bool
    short_words: str
    cost_given: bool
    cost: LifeCycleCost
    flow: CashFlow
    against_present: AgainstPresent | None
    defaults: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]

    @property
    def equivalent_annual_cost(self) -> float:
        """Level yearly amount that is worth as much as the life-cycle cost, money per year."""
        return self.cost.equivalent_annual_cost


def option_money(comparison: Comparison) -> tuple[OptionMoney, ...]:
    """Bring the options of a comparison to their life-cycle costs and measures.

    Parameters
    ----------
    comparison
        All options over one year.

    Returns
    -------
    tuple of OptionMoney
        In the order of the comparison. Each later year costs what the year of the comparison
        costs, its prices moved as [money] says.

    Raises
    ------
    InputError
        If an option does not fit into the study.

    References
    ----------
    10 CFR 436.18 to 436.23 (published and quoted); NIST Handbook 135 (quoted).

    Examples
    --------
    >>> from energymodel.study.comparison.compare import compare
    >>> best = next(one for one in option_money(compare()) if "standard" in one.name)
    >>> best.against_present.services
    ('heating',)
    """
    return tuple(_money_of(outcome, comparison) for outcome in comparison.outcomes)


def _money_of(outcome: Outcome, comparison: Comparison) -> OptionMoney:
    present = comparison.present
    content = comparison.model.scenario.content
    against = None
    if present is None or outcome is present:
        flow = _flow(outcome, comparison, tuple(outcome.cost_by_month))
    else:
        against = _against(outcome, present, comparison)
        flow = against.flow if against else _flow(outcome, comparison, ())
        against = against if outcome.cost_given else None
    defaults = [
        *content.money.defaults(),
        *option_defaults(outcome.planned.table, content.money.study_years),
    ]
    return OptionMoney(
        name=outcome.name,
        present=outcome.present,
        carries=outcome.carries,
        comparable=outcome.comparable,
        short_words=outcome.short_words,
        cost_given=outcome.cost_given,
        cost=life_cycle_cost(flow),
        flow=flow,
        against_present=against,
        defaults=tuple(defaults),
        notices=incentive_notices(outcome.planned.table, flow.study, content.currency),
    )


def _flow(
    outcome: Outcome,
    comparison: Comparison,
    services: tuple[str, ...],
    *,
    other_use_saving: float = 0.0,
) -> CashFlow:
    model = comparison.model
    energy = cost_by_carrier(outcome, model.prices, services)
    money = model.scenario.content.money
    return option_flow(outcome, energy, money, other_use_saving=other_use_saving)


def _against(outcome: Outcome, present: Outcome, comparison: Comparison) -> AgainstPresent | None:
    services = tuple(one for one in present.cost_by_month if one in outcome.cost_by_month)
    if not services:
        return None
    base = _flow(present, comparison, services)
    other = _other_use_saving(outcome, present, services)
    flow = _flow(outcome, comparison, services, other_use_saving=other)
    new = tuple(one for one in outcome.cost_by_month if one not in present.cost_by_month)
    whole = None
    if new:
        whole = _flow(outcome, comparison, (*services, *new), other_use_saving=other)
    table, there = outcome.planned.table, present.planned.table
    extra = outcome.first_cost - present.first_cost
    saving = _energy_saving(outcome, present, services) + other
    saving += upkeep_per_year(there) - upkeep_per_year(table)
    loan = table.loan.loan(table.installed_cost) if table.loan else None
    return AgainstPresent(
        services=services,
        lost_services=tuple(one for one in present.cost_by_month if one not in services),
        extra_at_start=extra,
        yearly_saving=saving,
        simple=simple_payback(extra_cost=extra, yearly_saving=saving),
        measures=compare_life_cycles(base, flow),
        with_added_comfort=compare_life_cycles(base, whole) if whole is not None else None,
        base_energy=sum(present.service_cost[one] for one in services),
        base=base,
        flow=flow,
        loan=loan.against(saving) if loan is not None else None,
        longest_payback_years=comparison.model.scenario.content.money.longest_payback_years,
    )


def _energy_saving(outcome: Outcome, present: Outcome, services: tuple[str, ...]) -> float:
    costs = present.service_cost, outcome.service_cost
    return sum(costs[0][one] - costs[1][one] for one in services)


def _other_use_saving(outcome: Outcome, present: Outcome, services: tuple[str, ...]) -> float:
    """Read what the comparison counts as saved beyond the energy of the compared services."""
    if outcome.against_present is None:
        return 0.0
    counted = outcome.against_present.payback.yearly_saving
    return counted - _energy_saving(outcome, present, services)
