"""What an option costs besides energy, as written in a scenario, and whether it fits the study."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Annotated

from pydantic import BeforeValidator, Field, model_validator

from energymodel.scenario.fields import MoneyPerYear, Record, refuse, shown
from energymodel.scenario.money_schema import (
    DAY_WORDS,
    RATE_WORDS,
    Amount,
    Day,
    MoneyTable,
    PositiveAmount,
    Years,
)

if TYPE_CHECKING:
    from energymodel.economics.loan import Loan
    from energymodel.economics.option_costs import Incentive, PlannedCost, YearlyCost
    from energymodel.scenario.schema import OptionTable

STRAIGHT_LINE = "straight line"
NO_RESIDUAL = "none"

Year = Annotated[
    int,
    Field(ge=0, le=100, description="0 (at the installation) or the year at whose end it falls"),
]
Name = Annotated[str, Field(min_length=1, description="a name in quotes, not empty")]


class UpkeepEntry(Record):
    """Maintenance, tank rent, a service contract, a chimney sweep."""

    name: Name
    cost: float = Field(ge=0, description="money each time it falls, a plain number such as 150")
    every_years: Years = 1
    first_year: Years = 1
    last_year: Years | None = None

    @model_validator(mode="after")
    def _in_order(self) -> UpkeepEntry:
        if self.last_year is not None and self.last_year < self.first_year:
            raise refuse(
                f"last_year {self.last_year} lies before first_year {self.first_year}",
                expected="first_year at or before last_year",
            )
        return self

    def yearly(self) -> YearlyCost:
        """Build the cost.

        Returns
        -------
        YearlyCost
            At today's prices, rising with general inflation.
        """
        from energymodel.economics.option_costs import YearlyCost  # noqa: PLC0415 - few have one

        return YearlyCost(
            name=self.name,
            per_year=self.cost,
            first_year=self.first_year,
            last_year=self.last_year,
            every_years=self.every_years,
        )


class PlannedEntry(Record):
    """What an option must replace in any case, whatever else is decided."""

    name: Name
    cost: Amount
    year: Year = 0

    def planned(self) -> PlannedCost:
        """Build the cost.

        Returns
        -------
        PlannedCost
            At today's prices.
        """
        from energymodel.economics.option_costs import PlannedCost  # noqa: PLC0415 - few have one

        return PlannedCost(name=self.name, cost=self.cost, year=self.year)


class IncentiveEntry(Record):
    """A rebate or tax credit as the user found it on a day; none is built in."""

    name: Name
    amount: PositiveAmount
    source: str = Field(min_length=1, description="the page, letter or form it stands in")
    as_of: Day
    ends: Day | None = Field(default=None, description=DAY_WORDS)
    year: Year = 0

    def incentive(self) -> Incentive:
        """Build the receipt.

        Returns
        -------
        Incentive
            In the money of its year.
        """
        from energymodel.economics.option_costs import Incentive  # noqa: PLC0415 - few have one

        return Incentive(**self.model_dump())


class LoanEntry(Record):
    """A loan with equal monthly payments."""

    sum: PositiveAmount | None = None
    interest: Annotated[float, Field(ge=0, le=0.5, description=RATE_WORDS)]
    years: Years

    def loan(self, installed_cost: float) -> Loan:
        """Build the loan.

        Parameters
        ----------
        installed_cost
            Money lent where no sum is given.

        Returns
        -------
        Loan
            In current money.
        """
        from energymodel.economics.loan import Loan  # noqa: PLC0415 - few options have one

        principal = self.sum or installed_cost
        return Loan(principal=principal, yearly_rate=self.interest, years=self.years)


class ClaimEntry(Record):
    """What a seller says of an option; held against the estimate and never used in it."""

    by: str = "the seller"
    saving: MoneyPerYear | None = None
    payback_years: PositiveAmount | None = None
    total: PositiveAmount | None = None
    years: Years | None = None

    @model_validator(mode="after")
    def _says_something(self) -> ClaimEntry:
        if self.saving is None and self.payback_years is None:
            raise refuse(
                "a claim that names neither a saving nor a payback",
                expected='saving = "500 per year", payback_years = 4, or both',
            )
        if (self.total is None) != (self.years is None) or (self.total and self.saving is None):
            raise refuse(
                "a claimed total without its years and its yearly saving",
                expected='total = 5400, years = 15 and saving = "250 per year" together',
            )
        return self


_RESIDUAL_WORDS = (
    '"straight line" over lasts_years, "none", or money at the end of the study (negative: removal'
    " costs money)"
)


def _residual(value: object) -> object:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number and value not in (STRAIGHT_LINE, NO_RESIDUAL):
        raise refuse(f"{shown(value)} is not a residual", expected=_RESIDUAL_WORDS)
    return float(value) if isinstance(value, int | float) else value


Residual = Annotated[float | str, BeforeValidator(_residual), Field(description=_RESIDUAL_WORDS)]


def check_option_money(option: OptionTable) -> None:
    """Refuse money keys of one option that do not go together.

    Parameters
    ----------
    option
        As written.

    Raises
    ------
    PydanticCustomError
        With the first of them.
    """
    if option.lasts_years is None:
        beside = [
            text
            for text, given in (
                ("replacement_cost", option.replacement_cost is not None),
                ('residual = "straight line"', option.residual == STRAIGHT_LINE),
            )
            if given
        ]
        if beside:
            raise refuse(
                f"{' and '.join(beside)} without lasts_years",
                expected="lasts_years = 15, the service life in years",
            )
    elif not (option.installed_cost or option.replacement_cost or option.replaced_anyway):
        raise refuse(
            "lasts_years where neither the installation nor a replacement costs anything",
            expected="replacement_cost = 4100, money at the end of each life",
            remedy="for what is there now and must go, give replaced_anyway with its year",
        )
    if option.loan is not None and option.loan.sum is None and not option.installed_cost:
        raise refuse(
            "a loan without its sum, and no installed cost to take it from",
            expected="sum = 4000, the money lent",
        )


def check_money(
    money: MoneyTable, options: Sequence[OptionTable], carriers: Mapping[str, object]
) -> None:
    """Refuse options that do not fit into the study, and prices that rise but do not exist.

    Parameters
    ----------
    money
        The study.
    options
        All options.
    carriers
        Prices by carrier, as written.

    Raises
    ------
    PydanticCustomError
        With all of them.
    """
    faults = [*_unpriced(money, carriers)]
    for option in options:
        faults += [f"{shown(option.name)}: {fault}" for fault in _misfits(money, option)]
    if faults:
        raise refuse("; ".join(faults), expected="a table [money] that all options fit into")


def _unpriced(money: MoneyTable, carriers: Mapping[str, object]) -> Iterator[str]:
    priced = {key.replace("_", " ") for key in carriers}
    for key in money.escalation:
        if key.replace("_", " ") not in priced:
            yield f"money.escalation names {key}, which has no price"


def _misfits(money: MoneyTable, option: OptionTable) -> Iterator[str]:
    anyway = option.replaced_anyway
    if anyway is not None and anyway.year >= money.study_years:
        yield (
            f"{anyway.name} is replaced in year {anyway.year}, the study ends with year"
            f" {money.study_years}"
        )
    current = option.loan is not None
    for incentive in option.incentives:
        current = current or incentive.year > 0
        if incentive.year > money.study_years:
            yield f"{incentive.name} is paid in year {incentive.year}, after the study"
        ends, day = incentive.ends, money.installed_on
        if ends is not None and day is not None and ends < day:
            yield f"{incentive.name} ended on {ends}, the installation is on {day}"
    if current and money.rates == "real" and money.inflation is None:
        yield (
            "a loan or a later incentive is fixed in current money: give the inflation in [money],"
            " which brings it to real rates"
        )
