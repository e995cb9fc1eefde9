"""Yearly rates and price courses that know their money: constant or current, never mixed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Protocol

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.errors import InputError

_LOWEST_RATE = -0.5
_HIGHEST_RATE = 1.0


class Money(Enum):
    """What one unit of money of a later year is worth."""

    CONSTANT = "constant money (real rates, inflation left out)"
    CURRENT = "current money (nominal rates, inflation included)"


def checked_rate(rate: float, noun: str) -> float:
    """Refuse a yearly rate that is no fraction.

    Parameters
    ----------
    rate
        Rate per year as a fraction.
    noun
        What it is, for the message: "discount rate", ...

    Returns
    -------
    float
        The rate.

    Raises
    ------
    InputError
        If it is not finite, or lies outside -0.5 to 1.

    Examples
    --------
    >>> checked_rate(0.03, "discount rate")
    0.03
    """
    if not _LOWEST_RATE <= rate <= _HIGHEST_RATE:
        raise InputError(
            f"the {noun} is {rate:g} per year",
            expected="a fraction between -0.5 and 1, such as 0.03 for 3 %",
            remedy="divide a percentage by 100",
        )
    return rate


def checked_years(years: int, noun: str = "study period") -> int:
    """Refuse a number of years that is not a whole number from 1 to 100.

    Parameters
    ----------
    years
        Number of years.
    noun
        What it is, for the message.

    Returns
    -------
    int
        The number of years.

    Raises
    ------
    InputError
        If it is not a whole number, or lies outside 1 to 100.
    """
    whole = isinstance(years, int | np.integer) and not isinstance(years, bool)
    if not whole or not 1 <= years <= 100:
        raise InputError(f"the {noun} is {years} years", expected="a whole number from 1 to 100")
    return int(years)


def nominal_from_real(real: float, inflation: float) -> float:
    """Nominal rate of a real one.

    Parameters
    ----------
    real
        Real rate per year, fraction.
    inflation
        Inflation per year, fraction.

    Returns
    -------
    float
        Nominal rate per year: 1 + D = (1 + d)(1 + inflation).

    References
    ----------
    NIST Handbook 135, discount rates with and without inflation (from memory).

    Examples
    --------
    >>> round(nominal_from_real(0.03, 0.02), 4)
    0.0506
    """
    return real + inflation + real * inflation


def real_from_nominal(nominal: float, inflation: float) -> float:
    """Real rate of a nominal one.

    Parameters
    ----------
    nominal
        Nominal rate per year, fraction.
    inflation
        Inflation per year, fraction.

    Returns
    -------
    float
        Real rate per year.

    References
    ----------
    As :func:`nominal_from_real`.
    """
    return (nominal - inflation) / (1.0 + inflation)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """A yearly rate: of discount, of escalation, of a loan.

    Parameters
    ----------
    per_year
        Fraction per year, 0.03 for 3 %.
    money
        Constant: a real rate; current: a nominal one.
    """

    per_year: float
    money: Money

    def __post_init__(self) -> None:
        checked_rate(self.per_year, "rate")

    def in_current_money(self, inflation: float) -> Rate:
        """Nominal rate that belongs to this one.

        Parameters
        ----------
        inflation
            Inflation per year, fraction.

        Returns
        -------
        Rate
            Itself where it is nominal already.
        """
        if self.money is Money.CURRENT:
            return self
        per_year = nominal_from_real(self.per_year, checked_rate(inflation, "inflation"))
        return Rate(per_year=per_year, money=Money.CURRENT)

    def in_constant_money(self, inflation: float) -> Rate:
        """Real rate that belongs to this one.

        Parameters
        ----------
        inflation
            Inflation per year, fraction.

        Returns
        -------
        Rate
            Itself where it is real already.
        """
        if self.money is Money.CONSTANT:
            return self
        per_year = real_from_nominal(self.per_year, checked_rate(inflation, "inflation"))
        return Rate(per_year=per_year, money=Money.CONSTANT)


def real_rate(per_year: float) -> Rate:
    """Rate without inflation.

    Parameters
    ----------
    per_year
        Fraction per year.

    Returns
    -------
    Rate
        In constant money.
    """
    return Rate(per_year=per_year, money=Money.CONSTANT)


def nominal_rate(per_year: float) -> Rate:
    """Rate with inflation in it, as banks and tariffs state it.

    Parameters
    ----------
    per_year
        Fraction per year.

    Returns
    -------
    Rate
        In current money.
    """
    return Rate(per_year=per_year, money=Money.CURRENT)


class PriceCourse(Protocol):
    """How a yearly cost moves: anything that gives an index for each year."""

    @property
    def money(self) -> Money:
        """Money in which the index is stated."""
        ...

    def index(self, years: int) -> Array:
        """Price of years 1 to `years` over the price in which the cost is stated.

        Parameters
        ----------
        years
            Length of the study period.

        Returns
        -------
        Array
            Shape (years,).
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class ConstantEscalation:
    """A price that rises by the same rate each year.

    Parameters
    ----------
    rate
        Escalation per year.
    priced_in_year
        Year whose prices the cost is stated in. 0: prices of today, so that the first year's cost
        is already escalated once; 1: the first year is paid as stated.
    """

    rate: Rate
    priced_in_year: int = 0

    def __post_init__(self) -> None:
        if self.priced_in_year not in (0, 1):
            raise InputError(
                f"a cost priced in year {self.priced_in_year}", expected="year 0 or year 1"
            )

    @property
    def money(self) -> Money:
        """Money in which the index is stated."""
        return self.rate.money

    def index(self, years: int) -> Array:
        """Price of years 1 to `years` over the stated price.

        Parameters
        ----------
        years
            Length of the study period.

        Returns
        -------
        Array
            Shape (years,).
        """
        exponent = np.arange(1, years + 1) - self.priced_in_year
        return frozen((1.0 + self.rate.per_year) ** exponent)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PriceIndex:
    """Projected prices, year by year.

    Parameters
    ----------
    by_year
        Projected price over base-year price, years 1, 2, ...; shape (years or more,).
    money
        Money in which the projection is stated.
    source
        Document and date of the projection.
    """

    by_year: Array
    money: Money
    source: str

    def __post_init__(self) -> None:
        values = frozen(self.by_year)
        if values.ndim != 1 or not (np.isfinite(values).all() and (values >= 0).all()):
            raise InputError(
                "a price index holds something else than numbers from 0 up",
                expected="one figure a year, the base year being 1",
            )
        if not self.source.strip():
            raise InputError(
                "a price index has no source", expected="the document it comes from and its date"
            )
        object.__setattr__(self, "by_year", values)

    def index(self, years: int) -> Array:
        """Price of years 1 to `years` over the base-year price.

        Parameters
        ----------
        years
            Length of the study period.

        Returns
        -------
        Array
            Shape (years,).

        Raises
        ------
        InputError
            If the projection ends before the study period.
        """
        if self.by_year.size < years:
            raise InputError(
                f"the price index has {self.by_year.size} years, the study period {years}",
                remedy="shorten the study period, or write down the years that are missing",
            )
        return self.by_year[:years]
