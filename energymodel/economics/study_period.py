"""The years that are looked at, and the money they are counted in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from energymodel.arrays import Array, frozen
from energymodel.economics.rates import Money, PriceCourse, Rate, checked_rate, checked_years
from energymodel.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyPeriod:
    """How long, at which discount rate, in which money.

    Parameters
    ----------
    years
        Years after installation; every flow after year 0 falls at the end of its year.
    discount
        Discount rate. A real one makes a study in constant money, a nominal one in current money.
    inflation
        General inflation per year, fraction. Required with a nominal discount rate, because costs
        are stated at today's prices; with a real one needed only for amounts fixed in current
        money (a loan, an incentive paid later).
    starts
        Day of installation; None: not stated, and the dates of incentives are not checked.
    """

    years: int
    discount: Rate
    inflation: float | None = None
    starts: date | None = None

    def __post_init__(self) -> None:
        checked_years(self.years)
        if self.inflation is not None:
            checked_rate(self.inflation, "inflation")
        elif self.money is Money.CURRENT:
            raise InputError(
                "the discount rate is nominal and no inflation is given",
                expected="inflation per year: costs are stated at today's prices and rise with it",
                remedy="give the inflation, or a real discount rate",
            )

    @property
    def money(self) -> Money:
        """Money of all flows of the study."""
        return self.discount.money

    def today_index(self) -> Array:
        """Growth of one unit of money of today in the study's money.

        Returns
        -------
        Array
            Years 0 to `years`, shape (years + 1,): 1 in constant money, rising with inflation in
            current money.
        """
        if self.money is Money.CONSTANT or self.inflation is None:
            return frozen(np.ones(self.years + 1))
        return frozen((1.0 + self.inflation) ** np.arange(self.years + 1))

    def current_index(self, what: str) -> Array:
        """Worth of one unit of current money of each year in the study's money.

        Parameters
        ----------
        what
            The amount that is fixed in current money, for the message.

        Returns
        -------
        Array
            Years 0 to `years`, shape (years + 1,): 1 in current money, falling with inflation in
            constant money.

        Raises
        ------
        InputError
            If the study is in constant money and knows no inflation.
        """
        if self.money is Money.CURRENT:
            return frozen(np.ones(self.years + 1))
        if self.inflation is None:
            raise InputError(
                f"{what} is fixed in current money, the study is in constant money",
                expected="the inflation per year, to bring the two together",
                remedy="give the study period an inflation",
            )
        return frozen((1.0 + self.inflation) ** -np.arange(self.years + 1.0))

    def price_index(self, course: PriceCourse | None, what: str) -> Array:
        """Price of each year over the price in which a yearly cost is stated.

        Parameters
        ----------
        course
            How the price moves; None: with general inflation, steady in constant money.
        what
            The cost, for the message.

        Returns
        -------
        Array
            Years 1 to `years`, shape (years,).

        Raises
        ------
        InputError
            If the course is in other money than the study.
        """
        if course is None:
            return self.today_index()[1:]
        if course.money is not self.money:
            raise InputError(
                f"the escalation of {what} is in {course.money.value}, the discount rate in "
                f"{self.money.value}",
                expected="both real or both nominal: mixed they give a wrong present value",
                remedy="convert one of them with the inflation: 1 + D = (1 + d)(1 + inflation)",
            )
        return course.index(self.years)

    def in_current_money(self) -> StudyPeriod:
        """Return the same study with the nominal discount rate.

        Returns
        -------
        StudyPeriod
            Itself where it is in current money already.

        Raises
        ------
        InputError
            If no inflation is given.
        """
        return replace(self, discount=self.discount.in_current_money(self._known_inflation()))

    def in_constant_money(self) -> StudyPeriod:
        """Return the same study with the real discount rate.

        Returns
        -------
        StudyPeriod
            Itself where it is in constant money already.

        Raises
        ------
        InputError
            If no inflation is given.
        """
        return replace(self, discount=self.discount.in_constant_money(self._known_inflation()))

    def _known_inflation(self) -> float:
        if self.inflation is None:
            raise InputError(
                "the study period has no inflation",
                expected="inflation per year, to go from one money to the other",
            )
        return self.inflation
