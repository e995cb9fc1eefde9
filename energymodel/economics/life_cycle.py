"""Life-cycle cost and the measures that follow from it.

The measures leave a loan out: it is a way to pay, not a cost of the equipment. Its present value
stands beside the life-cycle cost.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from energymodel.economics.cash_flow import CashFlow, FlowKind
from energymodel.economics.discounted_payback import DiscountedPayback, discounted_payback
from energymodel.economics.present_value import equivalent_annual_cost, present_value
from energymodel.economics.rate_of_return import RateOfReturn, internal_rate_of_return
from energymodel.economics.rates import checked_rate
from energymodel.economics.study_period import StudyPeriod
from energymodel.errors import InputError
from energymodel.notices import Notice

_NOTHING = 1e-6
"""Money below which an extra investment is the rounding of a sum."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeCycleCost:
    """Present values of all costs of one option.

    Parameters
    ----------
    name
        Name of the option.
    study
        Years, discount rate, money.
    investment, replacement, energy, upkeep
        Costs, money of today.
    residual, incentives
        Taken off, money of today.
    loan
        Present value of the loan to the lender's favour: payments less the sum lent; 0 without.
    """

    name: str
    study: StudyPeriod
    investment: float
    replacement: float
    energy: float
    upkeep: float
    residual: float
    incentives: float
    loan: float

    @property
    def net_investment(self) -> float:
        """Investment and replacement less residual and incentives, money of today."""
        return self.investment + self.replacement - self.residual - self.incentives

    @property
    def running(self) -> float:
        """Energy and upkeep, money of today."""
        return self.energy + self.upkeep

    @property
    def total(self) -> float:
        """Life-cycle cost, money of today, without the loan."""
        return self.net_investment + self.running

    @property
    def total_with_loan(self) -> float:
        """Life-cycle cost with what the loan costs, money of today."""
        return self.total + self.loan

    @property
    def equivalent_annual_cost(self) -> float:
        """Level yearly amount that is worth as much as the total, money per year."""
        return equivalent_annual_cost(self.total, self.study.discount.per_year, self.study.years)


def life_cycle_cost(flow: CashFlow) -> LifeCycleCost:
    """Bring the cash flow of an option to its present value, part by part.

    Parameters
    ----------
    flow
        Flows of the option.

    Returns
    -------
    LifeCycleCost
        LCC = investment + replacement - residual - incentives + energy + upkeep.

    References
    ----------
    10 CFR 436.19 (published); NIST Handbook 135 (quoted).
    """

    def paid(kind: FlowKind) -> float:
        return -present_value(flow.of(kind), flow.study.discount.per_year)

    return LifeCycleCost(
        name=flow.name,
        study=flow.study,
        investment=paid(FlowKind.INVESTMENT),
        replacement=paid(FlowKind.REPLACEMENT),
        energy=paid(FlowKind.ENERGY),
        upkeep=paid(FlowKind.UPKEEP),
        residual=-paid(FlowKind.RESIDUAL),
        incentives=-paid(FlowKind.INCENTIVE),
        loan=paid(FlowKind.LOAN),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A figure where there is one, and words always.

    Parameters
    ----------
    value
        The figure; None where it means nothing.
    words
        The answer as a phrase.
    """

    value: float | None
    words: str


def saving_to_investment_ratio(running_saving: float, extra_investment: float) -> Measure:
    """Present value of what is saved in running over that of what is put in more (SIR).

    Parameters
    ----------
    running_saving
        Present value of energy and upkeep saved, money.
    extra_investment
        Present value of investment and replacement less residual and incentives, above those of
        the base, money: replacement and residual stand in the denominator.

    Returns
    -------
    Measure
        No figure where nothing extra is put in.

    References
    ----------
    NIST Handbook 135 and 10 CFR 436.21 (quoted).

    Examples
    --------
    >>> saving_to_investment_ratio(91_030.0, 7_240.0).words
    '12.57'
    """
    if not extra_investment > _NOTHING:
        return Measure(value=None, words="no ratio: nothing extra is put in")
    ratio = running_saving / extra_investment
    return Measure(value=ratio, words=f"{ratio:.2f}")


def return_from_ratio(ratio: float, discount_rate: float, years: int) -> float:
    """Rate of return (adjusted, internal) from the saving-to-investment ratio.

    Parameters
    ----------
    ratio
        Saving-to-investment ratio, 0 or more.
    discount_rate
        Per year, fraction.
    years
        Study period.

    Returns
    -------
    float
        (1 + d) x SIR^(1/N) - 1, fraction per year.

    Raises
    ------
    InputError
        If the ratio is negative.

    Examples
    --------
    >>> round(return_from_ratio(12.574, 0.03, 20), 3)
    0.169
    """
    if not ratio >= 0:
        raise InputError(f"a saving-to-investment ratio of {ratio:g}", expected="0 or more")
    return float((1.0 + checked_rate(discount_rate, "discount rate")) * ratio ** (1 / years) - 1.0)


def adjusted_rate_of_return(
    running_savings: ArrayLike, *, extra_investment: float, discount_rate: float
) -> Measure:
    """Rate of return with savings put out again at the discount rate (AIRR).

    Parameters
    ----------
    running_savings
        Energy and upkeep saved in years 1, 2, ..., money; shape (years,).
    extra_investment
        Present value of investment and replacement less residual and incentives, above those of
        the base, money.
    discount_rate
        Per year, fraction.

    Returns
    -------
    Measure
        N-th root of (terminal value of the savings / present value of the extra investment),
        less 1; no figure where nothing extra is put in or nothing is saved on the whole.

    References
    ----------
    10 CFR 436.22 (published).
    """
    savings = np.asarray(running_savings, dtype=np.float64)
    growth = 1.0 + checked_rate(discount_rate, "discount rate")
    terminal = float(np.sum(savings * growth ** np.arange(savings.size - 1, -1, -1)))
    if not extra_investment > _NOTHING:
        return Measure(value=None, words="no adjusted rate of return: nothing extra is put in")
    if terminal < 0:
        return Measure(value=None, words="no adjusted rate of return: it costs more to run")
    rate = (terminal / extra_investment) ** (1.0 / savings.size) - 1.0
    return Measure(value=rate, words=f"{rate:.1%} a year".replace("%", " %"))


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeCycleComparison:
    """An option against the base, in every usual measure.

    Parameters
    ----------
    base, option
        Life-cycle costs.
    net_savings
        Life-cycle cost of the base less that of the option: the net present value of choosing it.
    saving_to_investment
        SIR.
    adjusted_return
        AIRR, per year.
    rate_of_return
        Of the flows of the option less those of the base.
    simple_payback, discounted_payback
        On the same flows, without and with discounting.
    """

    base: LifeCycleCost
    option: LifeCycleCost
    net_savings: float
    saving_to_investment: Measure
    adjusted_return: Measure
    rate_of_return: RateOfReturn
    simple_payback: DiscountedPayback
    discounted_payback: DiscountedPayback

    @property
    def cost_effective(self) -> bool:
        """Whether the option has the lower life-cycle cost (10 CFR 436.18(c))."""
        return self.net_savings > 0


def compare_life_cycles(base: CashFlow, option: CashFlow) -> LifeCycleComparison:
    """Compare an option with the base over the same study period.

    Parameters
    ----------
    base
        What would be done otherwise, with what must be replaced anyway.
    option
        The other way.

    Returns
    -------
    LifeCycleComparison
        Payback is only a rough measure beside the others (10 CFR 436.18(d)).

    Raises
    ------
    InputError
        If the two differ in years, discount rate, money or inflation.

    References
    ----------
    10 CFR 436.18 to 436.23 (published and quoted); NIST Handbook 135 (quoted).
    """
    _check_same_study(base, option)
    rate = base.study.discount.per_year
    costs, other = life_cycle_cost(base), life_cycle_cost(option)
    extra = other.net_investment - costs.net_investment
    running = option.of(FlowKind.ENERGY, FlowKind.UPKEEP) - base.of(
        FlowKind.ENERGY, FlowKind.UPKEEP
    )
    gain = option.by_year() - base.by_year()
    return LifeCycleComparison(
        base=costs,
        option=other,
        net_savings=costs.total - other.total,
        saving_to_investment=saving_to_investment_ratio(costs.running - other.running, extra),
        adjusted_return=adjusted_rate_of_return(
            running[1:], extra_investment=extra, discount_rate=rate
        ),
        rate_of_return=internal_rate_of_return(gain),
        simple_payback=discounted_payback(-gain[0], gain[1:], 0.0),
        discounted_payback=discounted_payback(-gain[0], gain[1:], rate),
    )


def _check_same_study(base: CashFlow, option: CashFlow) -> None:
    if base.study != option.study:
        raise InputError(
            f"{base.name!r} and {option.name!r} are not laid out over the same study period",
            expected="the same years, discount rate, money, inflation and day of installation",
            remedy="make both cash flows with one study period",
        )


def life_total(by_year: ArrayLike) -> float:
    """Sum of the years shown, nothing discounted.

    Parameters
    ----------
    by_year
        Money per year.

    Returns
    -------
    float
        Money.
    """
    return float(np.sum(np.asarray(by_year, dtype=np.float64)))


def life_total_guard(claimed_total: float, by_year: ArrayLike) -> Notice | None:
    """Flag a total over the life that is not the sum of its years.

    Parameters
    ----------
    claimed_total
        Total as printed, money.
    by_year
        The years that stand beside it, money.

    Returns
    -------
    Notice or None
        None where the two agree within half a unit of money for each year.
    """
    years = np.asarray(by_year, dtype=np.float64)
    total = life_total(years)
    if abs(claimed_total - total) <= 0.5 * years.size:
        return None
    return Notice(
        topic="savings",
        text=f"A total of {claimed_total:,.0f} over {years.size} years is not the sum of the years "
        f"shown, which is {total:,.0f}. Ask which prices the difference of "
        f"{claimed_total - total:,.0f} assumes.",
    )
