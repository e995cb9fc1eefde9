"""Internal rate of return, answered in words where there is none or more than one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from energymodel.arrays import Array
from energymodel.economics.crossings import crossings
from energymodel.errors import InputError

_LOWEST_GROWTH = 0.01
_HIGHEST_GROWTH = 11.0
_PLACES = 2000
_RANGE_WORDS = "between -99 % and 1,000 % a year"


@dataclass(frozen=True, slots=True, kw_only=True)
class RateOfReturn:
    """Discount rates at which the present value of a row of flows is zero.

    Parameters
    ----------
    rates
        Per year, fractions, rising; empty where there is none.
    words
        The answer as a phrase.
    """

    rates: tuple[float, ...]
    words: str

    @property
    def rate(self) -> float | None:
        """The rate where there is exactly one; None otherwise."""
        return self.rates[0] if len(self.rates) == 1 else None


def internal_rate_of_return(flows: ArrayLike) -> RateOfReturn:
    """Find the rates of return of a row of yearly flows.

    Parameters
    ----------
    flows
        Money of years 0, 1, 2, ..., out negative; shape (years + 1,). For an option against the
        base: its flows less those of the base.

    Returns
    -------
    RateOfReturn
        All rates between -99 % and 1,000 % a year.

    Raises
    ------
    InputError
        If a flow is not finite.

    Notes
    -----
    With one change of sign in the row there is one rate (Descartes' rule of signs); with more
    there may be several or none, and then net savings is the measure to use.

    Examples
    --------
    >>> internal_rate_of_return([-100.0, 60.0, 60.0]).words
    '13.1 % a year'
    >>> internal_rate_of_return([-1000.0, 2300.0, -1320.0]).words
    'no single rate of return: 10.0 % and 20.0 % a year all fit; use net savings'
    """
    values = np.asarray(flows, dtype=np.float64)
    if values.ndim != 1 or not np.isfinite(values).all():
        raise InputError(
            "the yearly flows are not one row of finite amounts",
            expected="money of years 0, 1, 2, ...",
        )
    changes = _sign_changes(values)
    if changes == 0:
        return RateOfReturn(rates=(), words=_one_sided(values))
    rates = _rates(values)
    return RateOfReturn(rates=rates, words=_in_words(rates, values, sign_changes=changes))


def _sign_changes(values: Array) -> int:
    signs = np.sign(values[values != 0])
    return int(np.count_nonzero(np.diff(signs)))


def _rates(values: Array) -> tuple[float, ...]:
    scaled = values / np.abs(values).max()

    def worth(growth: Array) -> Array:
        return np.asarray(np.polynomial.polynomial.polyval(1.0 / growth, scaled), np.float64)

    grid = np.geomspace(_LOWEST_GROWTH, _HIGHEST_GROWTH, _PLACES)
    return tuple(one.at - 1.0 for one in crossings(worth, grid))


def _one_sided(values: Array) -> str:
    if not values.any():
        return "no rate of return: nothing is paid and nothing saved"
    if values.max() > 0:
        return "no rate of return: it saves from the start and costs nothing extra"
    return "no rate of return: it costs more and saves nothing"


def _in_words(rates: tuple[float, ...], values: Array, *, sign_changes: int) -> str:
    if len(rates) > 1:
        listed = " and ".join(f"{rate:.1%}".replace("%", " %") for rate in rates)
        return f"no single rate of return: {listed} a year all fit; use net savings"
    if not rates:
        if sign_changes > 1:
            return f"no rate of return: no rate {_RANGE_WORDS} fits; use net savings"
        return f"no rate of return {_RANGE_WORDS}"
    words = f"{rates[0]:.1%} a year".replace("%", " %")
    if values[values != 0][0] > 0:
        return f"{words}, as the cost of borrowing: cheaper to buy, dearer later"
    return f"{words}: the cost does not come back" if rates[0] < 0 else words
