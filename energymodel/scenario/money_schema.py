"""The table [money]: the years looked at, the discount rate, how prices move."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated, Literal

import numpy as np
from pydantic import BeforeValidator, Field, model_validator

from energymodel.notices import UsedDefault
from energymodel.scenario.fields import MoneyPerYear, Record, refuse, shown

if TYPE_CHECKING:
    from energymodel.economics.rates import Money, PriceCourse
    from energymodel.economics.study_period import StudyPeriod

STUDY_YEARS = 15
DISCOUNT_RATE = 0.03

RATE_WORDS = "a fraction per year, such as 0.03 for 3 %"
DAY_WORDS = "a day without quotes, such as 2025-06-01"
_AMOUNT_WORDS = "money, a plain number such as 4100, without quotes"

YearlyRate = Annotated[float, Field(ge=-0.2, le=0.5, description=RATE_WORDS)]
Amount = Annotated[float, Field(ge=0, description=_AMOUNT_WORDS)]
PositiveAmount = Annotated[float, Field(gt=0, description=_AMOUNT_WORDS)]
Years = Annotated[int, Field(ge=1, le=100, description="a whole number of years from 1 to 100")]
Day = Annotated[date, Field(description=DAY_WORDS)]


class Escalation(Record):
    """How the price of one carrier moves: one rate, or an index year by year."""

    rate: YearlyRate | None = None
    index: list[Amount] | None = Field(
        default=None,
        min_length=1,
        description="price of years 1, 2, ... over today's, such as [1.02, 1.05, 1.06]",
    )
    source: str = Field(default="", description="the document of the index and its date")
    rises_from_year: Literal[1, 2] = Field(
        default=1, description="1: the first year's price has risen already; 2: it is today's"
    )

    @model_validator(mode="after")
    def _one_way(self) -> Escalation:
        if (self.rate is None) == (self.index is None):
            raise refuse(
                "an escalation with both a rate and an index, or with neither",
                expected=_ESCALATION_WORDS,
            )
        if self.index is not None and not self.source.strip():
            raise refuse(
                "a price index without its source",
                expected='source = "the document it comes from and its date"',
            )
        return self

    def course(self, money: Money) -> PriceCourse:
        """Build the course of the price.

        Parameters
        ----------
        money
            Money of the study, in which it is stated.

        Returns
        -------
        PriceCourse
            Gives an index for each year.
        """
        from energymodel.economics.rates import (  # noqa: PLC0415 - a year alone needs none
            ConstantEscalation,
            PriceIndex,
            Rate,
        )

        if self.index is not None:
            return PriceIndex(by_year=np.array(self.index), money=money, source=self.source)
        rate = Rate(per_year=self.rate or 0.0, money=money)
        return ConstantEscalation(rate=rate, priced_in_year=self.rises_from_year - 1)


_ESCALATION_WORDS = (
    'a rate such as 0.01, or { index = [1.02, 1.05, ...], source = "..." } with one figure a year'
)


def _escalation(value: object) -> object:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number and not isinstance(value, dict | Escalation):
        raise refuse(f"{shown(value)} is not an escalation", expected=_ESCALATION_WORDS)
    return {"rate": value} if number else value


class MoneyTable(Record):
    """The table [money]: the years looked at, the discount rate, how prices move."""

    study_years: Years = STUDY_YEARS
    discount_rate: YearlyRate = DISCOUNT_RATE
    rates: Literal["real", "nominal"] = "real"
    inflation: YearlyRate | None = Field(default=None, description=RATE_WORDS)
    escalation: dict[str, Annotated[Escalation, BeforeValidator(_escalation)]] = Field(
        default_factory=dict,
        description="carriers with their yearly rise, such as { electricity = 0.01 }",
    )
    installed_on: Day | None = Field(default=None, description=DAY_WORDS)
    longest_payback_years: PositiveAmount | None = Field(
        default=None, description="years, a number such as 8"
    )
    bills_now: MoneyPerYear | None = None
    other_use_now: MoneyPerYear | None = None

    @model_validator(mode="after")
    def _agrees(self) -> MoneyTable:
        if self.rates == "nominal":
            missing = [
                name
                for name, given in (
                    ("discount_rate", "discount_rate" in self.model_fields_set),
                    ("inflation", self.inflation is not None),
                )
                if not given
            ]
            if missing:
                raise refuse(
                    f'rates = "nominal" without {" and ".join(missing)}',
                    expected="a nominal discount_rate and the inflation in it, both a year",
                    remedy='or rates = "real", inflation left out of every rate',
                )
        if self.other_use_now is not None and self.bills_now is None:
            raise refuse(
                "other_use_now stands without bills_now",
                expected='bills_now = "1800 per year", the sum of a year\'s bills',
            )
        if (self.other_use_now or 0.0) > (self.bills_now or 0.0):
            raise refuse(
                f"other_use_now, {self.other_use_now:,.0f} a year, is more than bills_now,"
                f" {self.bills_now:,.0f} a year",
                expected="the part of the bills that heating and cooling do not cause",
                remedy="take it from the months with the smallest bills",
            )
        self._index_long_enough()
        return self

    def _index_long_enough(self) -> None:
        for carrier, escalation in self.escalation.items():
            years = len(escalation.index or ())
            if escalation.index is not None and years < self.study_years:
                raise refuse(
                    f"the price index of {carrier} has {years} years, the study {self.study_years}",
                    expected="one figure for each year of the study",
                    remedy="shorten study_years, or write down the years that are missing",
                )

    @property
    def money(self) -> Money:
        """Constant money with real rates, current money with nominal ones."""
        from energymodel.economics.rates import Money  # noqa: PLC0415 - a year alone needs none

        return Money.CONSTANT if self.rates == "real" else Money.CURRENT

    def study(self) -> StudyPeriod:
        """Build the study period.

        Returns
        -------
        StudyPeriod
            Years, discount rate, money, day of installation.
        """
        from energymodel.economics.rates import Rate  # noqa: PLC0415 - a year alone needs none
        from energymodel.economics.study_period import StudyPeriod  # noqa: PLC0415 - as above

        return StudyPeriod(
            years=self.study_years,
            discount=Rate(per_year=self.discount_rate, money=self.money),
            inflation=self.inflation,
            starts=self.installed_on,
        )

    def course_of(self, carrier: str) -> PriceCourse | None:
        """Course of the price of a carrier.

        Parameters
        ----------
        carrier
            "electricity", "natural gas", ...

        Returns
        -------
        PriceCourse or None
            None: with general inflation.
        """
        named = {key.replace("_", " "): value for key, value in self.escalation.items()}
        return named[carrier].course(self.money) if carrier in named else None

    def defaults(self) -> list[UsedDefault]:
        """List what was not given.

        Returns
        -------
        list of UsedDefault
            With its source.
        """
        given = self.model_fields_set
        found = (
            (
                "study_years",
                "study period",
                f"{self.study_years} years",
                "our choice: median service life of a residential air-to-air heat pump, ASHRAE"
                " equipment-life chart (quoted)",
            ),
            (
                "discount_rate",
                "discount rate",
                f"{self.discount_rate:.1%} a year, real".replace("%", " %"),
                "our choice: the lowest real rate of 10 CFR 436.14(a)(2) (published)",
            ),
            (
                "escalation",
                "rise of energy prices",
                "with general inflation",
                "our choice; [money] escalation gives it by carrier",
            ),
        )
        return [
            UsedDefault(name=name, value=value, source=source)
            for key, name, value, source in found
            if key not in given
        ]
