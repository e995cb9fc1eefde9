"""Time value of money: discount factors and loans, on numpy-financial.

Year 0 is the day of installation; every later flow falls at the end of its year. This module is
the one place that imports numpy-financial, at first use.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

import numpy as np

from energymodel.economics.rates import checked_rate, checked_years
from energymodel.errors import InputError

if TYPE_CHECKING:
    from types import ModuleType

    from numpy.typing import ArrayLike


def _npf() -> ModuleType:
    import numpy_financial  # type: ignore[import-untyped] # noqa: PLC0415 - not at start-up

    return cast("ModuleType", numpy_financial)


def present_value(flows: ArrayLike, discount_rate: float) -> float:
    """Worth today of a row of yearly flows.

    Parameters
    ----------
    flows
        Money of years 0, 1, 2, ...; shape (years + 1,).
    discount_rate
        Per year, fraction; real for constant money, nominal for current money.

    Returns
    -------
    float
        Sum of flow x (1 + d)^-year.

    Raises
    ------
    InputError
        If a flow is not finite, the row is empty or the rate is no fraction.

    Examples
    --------
    >>> round(present_value([-100.0, 0.0, 242.0], 0.10), 9)
    100.0
    """
    values = np.asarray(flows, dtype=np.float64)
    if values.ndim != 1 or values.size == 0 or not np.isfinite(values).all():
        raise InputError(
            "the yearly flows are not one row of finite amounts",
            expected="money of years 0, 1, 2, ...",
        )
    return float(_npf().npv(checked_rate(discount_rate, "discount rate"), values))


def single_factor(discount_rate: float, years: int) -> float:
    """Worth today of one unit of money at the end of a year (SPV).

    Parameters
    ----------
    discount_rate
        Per year, fraction.
    years
        The year, 0 or more.

    Returns
    -------
    float
        (1 + d)^-years.

    References
    ----------
    NIST Handbook 135, single present value (quoted).

    Examples
    --------
    >>> round(single_factor(0.03, 15), 4)
    0.6419
    """
    if years == 0:
        return 1.0
    checked_years(years, "time until the payment")
    return present_value(np.eye(1, years + 1, years)[0], discount_rate)


def uniform_factor(discount_rate: float, years: int) -> float:
    """Worth today of one unit of money at the end of every year (UPV).

    Parameters
    ----------
    discount_rate
        Per year, fraction.
    years
        Number of payments.

    Returns
    -------
    float
        [(1 + d)^N - 1] / [d (1 + d)^N]; N at d = 0.

    References
    ----------
    NIST Handbook 135, uniform present value (quoted).

    Examples
    --------
    >>> round(uniform_factor(0.03, 15), 4)
    11.9379
    """
    return _payments_factor(discount_rate, checked_years(years))


def escalating_factor(discount_rate: float, escalation_rate: float, years: int) -> float:
    """Worth today of a yearly cost stated at today's prices that rises every year (UPV*).

    Parameters
    ----------
    discount_rate
        Per year, fraction.
    escalation_rate
        Per year, fraction, in the same money as the discount rate.
    years
        Number of payments; the first is already escalated once.

    Returns
    -------
    float
        (1 + e) / (d - e) [1 - ((1 + e) / (1 + d))^N]; N at e = d.

    References
    ----------
    NIST Handbook 135, modified uniform present value (from memory).

    Examples
    --------
    >>> round(escalating_factor(0.03, 0.02, 5), 5)
    4.85624
    """
    growth = 1.0 + checked_rate(escalation_rate, "escalation rate")
    return indexed_factor(growth ** np.arange(1, checked_years(years) + 1), discount_rate)


def indexed_factor(index: ArrayLike, discount_rate: float) -> float:
    """Worth today of a yearly cost stated at base-year prices that follows an index (UPV*).

    Parameters
    ----------
    index
        Projected price over base-year price of years 1, 2, ...; shape (years,).
    discount_rate
        Per year, fraction, in the same money as the index.

    Returns
    -------
    float
        Sum of index x (1 + d)^-year.

    References
    ----------
    NIST Handbook 135, modified uniform present value from published price indices (from memory).
    """
    return present_value(np.concatenate([[0.0], np.asarray(index, np.float64)]), discount_rate)


def delayed_factor(discount_rate: float, years: int, delay_years: int) -> float:
    """Worth today of a yearly unit of money that begins only after a delay.

    Parameters
    ----------
    discount_rate
        Per year, fraction.
    years
        Study period.
    delay_years
        Years at the start without the payment, 0 to `years`.

    Returns
    -------
    float
        Factor of the study period less that of the delay.

    Raises
    ------
    InputError
        If the delay is negative or longer than the study period.

    References
    ----------
    10 CFR 436.16(c) (published).
    """
    if not 0 <= delay_years <= years:
        raise InputError(f"a delay of {delay_years} years", expected=f"0 to {years} years")
    delay = uniform_factor(discount_rate, delay_years) if delay_years else 0.0
    return uniform_factor(discount_rate, years) - delay


def equivalent_annual_cost(present_cost: float, discount_rate: float, years: int) -> float:
    """Level yearly amount that is worth as much as a sum today.

    Parameters
    ----------
    present_cost
        Money today, such as a life-cycle cost.
    discount_rate
        Per year, fraction.
    years
        Years over which it is spread.

    Returns
    -------
    float
        Money per year; it ranks options of unlike lives.

    Examples
    --------
    >>> round(equivalent_annual_cost(1000.0, 0.0, 10), 6)
    100.0
    """
    return present_cost / uniform_factor(discount_rate, years)


def level_payment(principal: float, rate_per_period: float, periods: int) -> float:
    """Payment at the end of each period that pays a loan off.

    Parameters
    ----------
    principal
        Sum lent.
    rate_per_period
        Interest per period, fraction.
    periods
        Number of payments.

    Returns
    -------
    float
        Money per period.

    Examples
    --------
    >>> level_payment(1200.0, 0.0, 12)
    100.0
    """
    return principal / _payments_factor(rate_per_period, periods)


def still_owed(payment: float, rate_per_period: float, periods_left: int) -> float:
    """Balance of a loan after a payment: what the payments that are left are worth then.

    Parameters
    ----------
    payment
        Paid at the end of each period.
    rate_per_period
        Interest per period, fraction.
    periods_left
        Number of payments still to come.

    Returns
    -------
    float
        Money.
    """
    return payment * _payments_factor(rate_per_period, periods_left)


def _payments_factor(rate_per_period: float, periods: int) -> float:
    """Sum instead of the closed form, which divides by the rate and loses digits near 0."""
    return present_value(np.append(0.0, np.ones(periods)), rate_per_period)
