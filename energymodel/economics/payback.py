"""Simple payback on like services, and the guard against savings that cannot be.

Discounted payback and life-cycle cost build on the same records.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from energymodel.errors import InputError
from energymodel.notices import Notice

_TOLERANCE = 1e-9
LONGEST_TOLD = 100.0
"""Years beyond which a payback is told as "over" them: no equipment lasts so long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Payback:
    """Simple payback, in years where there is one and in words always.

    Parameters
    ----------
    extra_cost
        Installed cost above that of the other option, money; None: not known.
    yearly_saving
        Money per year; negative: it costs more to run.
    years
        Years until the savings equal the extra cost; 0 where it is cheaper from the start; None
        where there is no payback, or where the extra cost is not known.
    words
        The answer as a phrase.
    notices
        Savings that cannot be, and paybacks that are too good.
    """

    extra_cost: float | None
    yearly_saving: float
    years: float | None
    words: str
    notices: tuple[Notice, ...] = ()

    @property
    def cost_known(self) -> bool:
        """Whether the extra cost is known; without it there is no payback to tell."""
        return self.extra_cost is not None

    @property
    def yearly_return(self) -> float | None:
        """Yearly saving over extra cost: a rate, not a number of years; None without a payback."""
        if self.years is None or self.extra_cost is None or self.extra_cost <= 0:
            return None
        return self.yearly_saving / self.extra_cost


def simple_payback(
    *,
    extra_cost: float | None,
    yearly_saving: float,
    displaced_spend: float | None = None,
    base_use_change: float = 0.0,
) -> Payback:
    """Years until the savings equal the extra installed cost; nothing is discounted.

    Parameters
    ----------
    extra_cost
        Installed cost above that of the other option, money; negative: cheaper to buy; None: not
        known.
    yearly_saving
        Money per year on the services that both options give.
    displaced_spend
        What the displaced use costs now, money per year, for the savings guard; None: not known.
    base_use_change
        Saving on all other use that a change of tariff brings, money per year.

    Returns
    -------
    Payback
        Never nan or infinite.

    Raises
    ------
    InputError
        If an amount is not a finite number.

    References
    ----------
    10 CFR 436.23 (quoted): years until cumulative savings equal the investment, no discounting.

    Examples
    --------
    >>> simple_payback(extra_cost=7500.0, yearly_saving=1500.0).words
    '5.0 years'
    >>> simple_payback(extra_cost=2000.0, yearly_saving=-40.0).words
    'never: it costs more to run'
    """
    _finite(yearly_saving=yearly_saving, base_use_change=base_use_change)
    years, words = _answer(extra_cost, yearly_saving)
    guard = None
    if displaced_spend is not None:
        guard = savings_guard(yearly_saving, displaced_spend, base_use_change=base_use_change)
    found = (guard, _too_quick(extra_cost, years))
    return Payback(
        extra_cost=extra_cost,
        yearly_saving=yearly_saving,
        years=years,
        words=words,
        notices=tuple(notice for notice in found if notice is not None),
    )


def _finite(**amounts: float) -> None:
    for name, amount in amounts.items():
        if not math.isfinite(amount):
            noun = name.replace("_", " ")
            raise InputError(f"the {noun} is {amount}", expected="a finite amount of money")


def _answer(extra_cost: float | None, yearly_saving: float) -> tuple[float | None, str]:
    if extra_cost is None:
        return None, "not known: no installed cost is given"
    _finite(extra_cost=extra_cost)
    if extra_cost <= 0:
        return _nothing_to_pay_back(extra_cost, yearly_saving)
    if yearly_saving < 0:
        return None, "never: it costs more to run"
    years = extra_cost / yearly_saving if yearly_saving > 0 else math.inf
    if not math.isfinite(years):
        return None, "never: it saves nothing"
    return (
        years,
        f"{years:.1f} years" if years <= LONGEST_TOLD else f"over {LONGEST_TOLD:.0f} years",
    )


def _nothing_to_pay_back(extra_cost: float, yearly_saving: float) -> tuple[float | None, str]:
    if yearly_saving >= 0:
        same = extra_cost == 0 and yearly_saving == 0
        return 0.0, "the same cost from the start" if same else "cheaper from the start"
    if extra_cost == 0:
        return None, "never: it costs more to run"
    gone = extra_cost / yearly_saving
    if not math.isfinite(gone):
        return 0.0, "cheaper from the start"
    return None, f"cheaper to buy, costs more to run: the advantage is used up in {gone:.1f} years"


def _too_quick(extra_cost: float | None, years: float | None) -> Notice | None:
    if years is None or extra_cost is None or extra_cost <= 0 or years >= 1:
        return None
    return Notice(
        topic="payback",
        text=f"A payback of {years * 12:.1f} months is hardly ever real; check the installed cost, "
        "the unit of the price and the present spend.",
    )


def savings_guard(
    yearly_saving: float, displaced_spend: float, *, base_use_change: float = 0.0
) -> Notice | None:
    """Flag a saving that is larger than what is spent.

    Parameters
    ----------
    yearly_saving
        Claimed or computed saving, money per year.
    displaced_spend
        What the displaced use costs now, money per year.
    base_use_change
        Saving on all other use that a change of tariff brings, money per year.

    Returns
    -------
    Notice or None
        None where the saving is possible.

    Raises
    ------
    InputError
        If an amount is not finite or the spend is negative.
    """
    _finite(yearly_saving=yearly_saving, displaced_spend=displaced_spend)
    _finite(base_use_change=base_use_change)
    if displaced_spend < 0:
        raise InputError(f"the displaced spend is {displaced_spend:g}", expected="0 or more")
    limit = displaced_spend + base_use_change
    if yearly_saving <= limit + _TOLERANCE * max(1.0, displaced_spend):
        return None
    return Notice(
        topic="savings",
        text=f"A saving of {yearly_saving:,.0f} a year is more than the {limit:,.0f} that the "
        "displaced use costs now. It cannot be; check prices, units and the share displaced.",
    )


def claimed_saving(*, extra_cost: float, claimed_years: float) -> float:
    """Yearly saving that a claimed payback implies.

    Parameters
    ----------
    extra_cost
        Installed cost above that of the other option, money.
    claimed_years
        Payback as claimed, years, > 0.

    Returns
    -------
    float
        Money per year; hold it against the present spend with :func:`savings_guard`.

    Raises
    ------
    InputError
        If the years are not above zero.
    """
    if not claimed_years > 0:
        raise InputError(f"a payback of {claimed_years:g} years", expected="above 0 years")
    return extra_cost / claimed_years


def spend_above_base(yearly_spend: float, base_per_month: float) -> float:
    """Take the base of every month off the year's bills: what heating and cooling cost now.

    Parameters
    ----------
    yearly_spend
        Sum of a year's bills, money.
    base_per_month
        Cost of all other use in one month, money.

    Returns
    -------
    float
        Money per year.

    Raises
    ------
    InputError
        If the base is more than the bills.
    """
    left = yearly_spend - 12.0 * base_per_month
    if left < 0:
        raise InputError(
            f"a base of {base_per_month:g} a month is more than the year's {yearly_spend:g}",
            remedy="take the base from the months with the smallest bills",
        )
    return left


@dataclass(frozen=True, slots=True, kw_only=True)
class LikeServices:
    """Payback on the services that both give, with what is new beside it.

    Parameters
    ----------
    payback
        On the services of the present option only.
    added_comfort
        Yearly cost of services that the present option does not give, money by service.
    with_added_comfort
        Payback with those costs counted; None where nothing is new.
    lost_services
        Services of the present option that the other lacks: price a companion for them.
    """

    payback: Payback
    added_comfort: Mapping[str, float]
    with_added_comfort: Payback | None
    lost_services: tuple[str, ...]

    @property
    def comparable(self) -> bool:
        """Whether the other option gives every service of the present one."""
        return not self.lost_services


def payback_on_like_services(
    *,
    extra_cost: float | None,
    present: Mapping[str, float],
    option: Mapping[str, float],
    base_use_change: float = 0.0,
) -> LikeServices:
    """Payback of an option against what is there now.

    Parameters
    ----------
    extra_cost
        Installed cost of the option above that of keeping the present one, money; None: not
        known.
    present, option
        Yearly cost by service ("heating", "cooling"), money; a service that is not given has no
        entry.
    base_use_change
        Saving on all other use that a change of tariff brings, money per year.

    Returns
    -------
    LikeServices
        The saving counts services that both give, and the change of the base use.

    Examples
    --------
    >>> answer = payback_on_like_services(
    ...     extra_cost=4000.0,
    ...     present={"heating": 900.0},
    ...     option={"heating": 400.0, "cooling": 60.0},
    ... )
    >>> answer.payback.words, answer.with_added_comfort.words
    ('8.0 years', '9.1 years')
    """
    shared = [service for service in present if service in option]
    spend = sum(present[service] for service in shared)
    saving = spend - sum(option[service] for service in shared) + base_use_change
    added = {service: cost for service, cost in option.items() if service not in present}

    def paid_back(yearly_saving: float) -> Payback:
        return simple_payback(
            extra_cost=extra_cost,
            yearly_saving=yearly_saving,
            displaced_spend=spend,
            base_use_change=base_use_change,
        )

    return LikeServices(
        payback=paid_back(saving),
        added_comfort=added,
        with_added_comfort=paid_back(saving - sum(added.values())) if added else None,
        lost_services=tuple(service for service in present if service not in option),
    )
