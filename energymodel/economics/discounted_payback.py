"""Discounted payback: when the savings, brought to today, have paid the extra cost back.

Also the simple payback of savings that differ from year to year (discount rate 0).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from energymodel.arrays import Array
from energymodel.economics.rates import checked_rate
from energymodel.errors import InputError

_ROUNDING = 1e-12
_NO_DISCOUNT = 1e-14
_USED_UP = "cheaper to buy, costs more later: the advantage is used up in year {year}"


@dataclass(frozen=True, slots=True, kw_only=True)
class DiscountedPayback:
    """When an extra cost is paid back, in years where it is and in words always.

    Parameters
    ----------
    years
        Years with the fraction of the last one; 0 where it is cheaper from the start and stays so;
        None where it is never paid back.
    in_year
        The year in which the savings come to cover the cost; 0 and None as for `years`.
    words
        The answer as a phrase.
    open_again_in_year
        First later year at whose end a late cost has made up for the savings; None: it stays paid.
    """

    years: float | None
    in_year: int | None
    words: str
    open_again_in_year: int | None = None


def discounted_payback(
    extra_cost: float, savings: ArrayLike, discount_rate: float
) -> DiscountedPayback:
    """Payback of an extra cost by savings that may differ from year to year.

    Parameters
    ----------
    extra_cost
        Paid more at the start than for the base, money; negative: cheaper to buy.
    savings
        Saved in years 1, 2, ... against the base, money; shape (years,).
    discount_rate
        Per year, fraction, in the same money as the savings; 0 gives the simple payback.

    Returns
    -------
    DiscountedPayback
        Within the years given.

    Raises
    ------
    InputError
        If an amount is not finite, or the rate is no fraction.

    Notes
    -----
    Paid back in the first year k with sum over t <= k of S_t (1+d)^-t >= extra cost; k - 1 + f
    years, f = -ln(1 - R d (1+d)^(k-1) / S_k) / ln(1+d), R the present value still open after year
    k - 1; at d = 0, f = R / S_k.

    References
    ----------
    NIST Handbook 135, discounted payback (from memory); 10 CFR 436.23 for d = 0 (quoted).

    Examples
    --------
    >>> discounted_payback(7500.0, [1500.0] * 15, 0.07).words
    'paid back in year 7 (6.4 years)'
    >>> discounted_payback(7500.0, [400.0] * 15, 0.07).words
    'never within 15 years: 3,857 of the cost is still open'
    """
    yearly = _checked(extra_cost, savings)
    rate = checked_rate(discount_rate, "discount rate")
    worth = yearly * (1.0 + rate) ** -np.arange(1.0, yearly.size + 1)
    balance = np.concatenate([[-extra_cost], -extra_cost + np.cumsum(worth)])
    slack = _ROUNDING * max(abs(extra_cost), float(np.abs(worth).max(initial=0.0)))
    if balance[0] >= -slack:
        return _cheaper_to_buy(balance, slack)
    paid = np.flatnonzero(balance >= -slack)
    if paid.size == 0:
        text = (
            f"never within {_counted(yearly.size)}: {-balance[-1]:,.0f} of the cost is still open"
        )
        return DiscountedPayback(years=None, in_year=None, words=text)
    year = int(paid[0])
    part = _part_of_year(-float(balance[year - 1]), float(yearly[year - 1]), rate, before=year - 1)
    return _paid_back(year, year - 1 + part, _open_again(balance, year, slack))


def _checked(extra_cost: float, savings: ArrayLike) -> Array:
    yearly = np.asarray(savings, dtype=np.float64)
    if not math.isfinite(extra_cost) or yearly.ndim != 1 or not np.isfinite(yearly).all():
        raise InputError(
            "the extra cost and the yearly savings are not all finite amounts",
            expected="one amount at the start and one row with an amount for each later year",
        )
    if yearly.size == 0:
        raise InputError("there is no year of savings", expected="one amount for each later year")
    return yearly


def _part_of_year(open_today: float, saving: float, rate: float, *, before: int) -> float:
    if abs(rate) < _NO_DISCOUNT:
        return min(open_today / saving, 1.0)
    share = open_today * rate * (1.0 + rate) ** before / saving
    if share >= 1.0:
        return 1.0  # met within rounding only
    return min(-math.log1p(-share) / math.log1p(rate), 1.0)


def _open_again(balance: Array, year: int, slack: float) -> int | None:
    later = np.flatnonzero(balance[year:] < -slack)
    return int(later[0]) + year if later.size else None


def _counted(years: int) -> str:
    return "1 year" if years == 1 else f"{years} years"


def _paid_back(year: int, years: float, open_again: int | None) -> DiscountedPayback:
    words = f"paid back in year {year} ({years:.1f} years)"
    if open_again is not None:
        words += f"; open again from year {open_again}, when a later cost falls due"
    return DiscountedPayback(years=years, in_year=year, words=words, open_again_in_year=open_again)


def _cheaper_to_buy(balance: Array, slack: float) -> DiscountedPayback:
    behind = _open_again(balance, 0, slack)
    if behind is None:
        same = float(np.abs(balance).max()) <= slack
        words = "the same cost throughout" if same else "cheaper from the start"
        return DiscountedPayback(years=0.0, in_year=0, words=words)
    ahead_again = np.flatnonzero(balance[behind:] >= -slack)
    if balance[:behind].max() <= slack and ahead_again.size == 0:
        return DiscountedPayback(years=None, in_year=None, words="never: it costs more to run")
    words = _USED_UP.format(year=behind)
    if ahead_again.size:
        words += f", ahead again from year {behind + int(ahead_again[0])}"
    return DiscountedPayback(years=None, in_year=None, words=words, open_again_in_year=behind)


def uniform_payback(
    extra_cost: float, yearly_saving: float, discount_rate: float
) -> DiscountedPayback:
    """Payback of an extra cost by the same saving every year, however long it takes.

    Parameters
    ----------
    extra_cost
        Paid more at the start than for the base, money; negative: cheaper to buy.
    yearly_saving
        Saved every year, money; negative: it costs more to run.
    discount_rate
        Per year, fraction.

    Returns
    -------
    DiscountedPayback
        Never where the saving does not cover the interest on the extra cost.

    Raises
    ------
    InputError
        If an amount is not finite, or the rate is no fraction.

    Notes
    -----
    y = -ln(1 - d I / S) / ln(1 + d); never where d I / S >= 1.

    Examples
    --------
    >>> uniform_payback(7500.0, 1500.0, 0.07).words
    'paid back in year 7 (6.4 years)'
    >>> uniform_payback(7500.0, 500.0, 0.07).words
    'never: the saving does not cover the interest on the extra cost'
    """
    _checked(extra_cost, [yearly_saving])
    rate = checked_rate(discount_rate, "discount rate")
    if extra_cost <= 0:
        return _nothing_extra(extra_cost, yearly_saving, rate)
    if yearly_saving <= 0:
        lost = "it saves nothing" if yearly_saving == 0 else "it costs more to run"
        return DiscountedPayback(years=None, in_year=None, words=f"never: {lost}")
    years = float(payback_years(extra_cost, yearly_saving, rate))
    if not math.isfinite(years):
        words = "never: the saving does not cover the interest on the extra cost"
        return DiscountedPayback(years=None, in_year=None, words=words)
    return _paid_back(max(1, math.ceil(years * (1.0 - _ROUNDING))), years, None)


def _nothing_extra(extra_cost: float, yearly_saving: float, rate: float) -> DiscountedPayback:
    if yearly_saving >= 0:
        same = extra_cost == 0 and yearly_saving == 0
        words = "the same cost throughout" if same else "cheaper from the start"
        return DiscountedPayback(years=0.0, in_year=0, words=words)
    if extra_cost == 0:
        return DiscountedPayback(years=None, in_year=None, words="never: it costs more to run")
    gone = float(payback_years(-extra_cost, -yearly_saving, rate))
    if not math.isfinite(gone):
        return DiscountedPayback(years=0.0, in_year=0, words="cheaper from the start")
    year = max(1, math.ceil(gone * (1.0 - _ROUNDING)))
    words = _USED_UP.format(year=year)
    return DiscountedPayback(years=None, in_year=None, words=words, open_again_in_year=year)


def payback_years(
    extra_cost: ArrayLike, yearly_saving: ArrayLike, discount_rate: ArrayLike
) -> Array:
    """Payback of many cases at once, uniform savings.

    Parameters
    ----------
    extra_cost
        Paid more at the start than for the base, money.
    yearly_saving
        Saved every year, money.
    discount_rate
        Per year, fraction; 0 gives the simple payback.

    Returns
    -------
    Array
        Years, shape of the inputs broadcast together: 0 where nothing extra is paid and nothing
        lost, infinite where it is never paid back or is cheaper to buy and costs more to run.
        Never nan: fit for counting and percentiles.
    """
    cost, saving, rate = np.broadcast_arrays(
        *(np.asarray(one, dtype=np.float64) for one in (extra_cost, yearly_saving, discount_rate))
    )
    years = np.full(cost.shape, np.inf)
    years[(cost <= 0) & (saving >= 0)] = 0.0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        simple = cost / saving
        share = rate * simple
        with_interest = -np.log1p(-share) / np.log1p(rate)
    flat = np.abs(rate) < _NO_DISCOUNT
    pays = (cost > 0) & (saving > 0)
    np.copyto(years, simple, where=pays & flat)
    np.copyto(years, with_interest, where=pays & ~flat & (share < 1.0 - _ROUNDING))
    return years
