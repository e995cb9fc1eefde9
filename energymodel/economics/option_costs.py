"""What an option costs over the years, as the user states it: costs positive, today's prices."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from energymodel.economics.loan import Loan
from energymodel.economics.rates import PriceCourse, checked_years
from energymodel.errors import InputError


def _check_cost(amount: float, what: str) -> None:
    if not (math.isfinite(amount) and amount >= 0):
        raise InputError(
            f"{what} costs {amount:g}", expected="0 or more: costs are entered as positive amounts"
        )


def _check_year(year: int, what: str) -> None:
    if isinstance(year, bool) or not isinstance(year, int) or year < 0:
        raise InputError(f"{what} falls in year {year}", expected="a whole number from 0 (now) up")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCost:
    """A cost that falls once: a replacement, the capping of a tank, the closing of an account.

    Parameters
    ----------
    name
        What is paid for.
    cost
        Money at today's prices, 0 or more.
    year
        Year at whose end it falls; 0: together with the installation.
    """

    name: str
    cost: float
    year: int

    def __post_init__(self) -> None:
        _check_cost(self.cost, self.name)
        _check_year(self.year, self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class YearlyCost:
    """A cost that comes back: energy of one carrier, maintenance, tank rent, a service contract.

    Parameters
    ----------
    name
        The carrier or the service.
    per_year
        Money per year; negative where more is earned than paid.
    course
        How its price moves; None: with general inflation, steady in constant money.
    first_year, last_year
        First and last year in which it falls; None: to the end of the study.
    every_years
        1: each year; 3: in the first year and each third one after it.
    """

    name: str
    per_year: float
    course: PriceCourse | None = None
    first_year: int = 1
    last_year: int | None = None
    every_years: int = 1

    def __post_init__(self) -> None:
        if not math.isfinite(self.per_year):
            raise InputError(f"{self.name} costs {self.per_year} a year", expected="finite money")
        if self.first_year < 1 or self.every_years < 1:
            raise InputError(
                f"{self.name} begins in year {self.first_year} and falls every "
                f"{self.every_years} years",
                expected="both from 1 up",
            )
        if self.last_year is not None and self.last_year < self.first_year:
            raise InputError(
                f"{self.name} ends in year {self.last_year}, before its first year "
                f"{self.first_year}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Incentive:
    """A rebate or tax credit as the user found it; none is built in.

    Parameters
    ----------
    name
        Name of the programme.
    amount
        Money received, current money of its year, more than 0.
    source
        Where the figure stands: a page, a letter, a form.
    as_of
        Day on which that source was read.
    ends
        Last day of installation for which it is paid; None: not stated there.
    year
        Year at whose end it arrives; 0: taken off the price.
    """

    name: str
    amount: float
    source: str
    as_of: date
    ends: date | None = None
    year: int = 0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.amount) and self.amount > 0):
            raise InputError(f"the incentive {self.name!r} is {self.amount:g}", expected="above 0")
        if not self.source.strip():
            raise InputError(
                f"the incentive {self.name!r} has no source",
                expected="the page, letter or form in which the amount stands",
            )
        _check_year(self.year, f"the incentive {self.name!r}")

    def check_in_force(self, starts: date) -> None:
        """Refuse an incentive that ends before the installation.

        Parameters
        ----------
        starts
            Day of installation.

        Raises
        ------
        InputError
            If the last day lies before it.
        """
        if self.ends is not None and self.ends < starts:
            raise InputError(
                f"the incentive {self.name!r} ended on {self.ends.isoformat()}, the installation "
                f"is on {starts.isoformat()}",
                remedy="take it out, or enter the programme that is in force on that day",
            )

    @property
    def words(self) -> str:
        """What was counted, from which source, and how long it lasts."""
        end = "may end" if self.ends is None else f"ends {self.ends.isoformat()}"
        return (
            f"{self.name}: {self.amount:,.0f} counted as entered "
            f"({self.source}, as of {self.as_of.isoformat()}; {end})"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionCosts:
    """Everything that one option costs and brings over the study period.

    Parameters
    ----------
    name
        Name of the option.
    installed_cost
        Money at the start; 0 for what is there now.
    replaced_anyway
        What the option must replace in any case, sooner or later: the furnace at the end of its
        life in the base.
    planned
        Later replacements, and costs that fall once.
    residual
        Worth at the end of the study at today's prices; negative: its removal costs money.
    energy
        Yearly cost by carrier.
    upkeep
        Maintenance, tank rent, service contracts, chimney sweep.
    incentives
        As the user found them.
    loan
        How the installed cost is paid; None: at once.
    """

    name: str
    installed_cost: float = 0.0
    replaced_anyway: PlannedCost | None = None
    planned: tuple[PlannedCost, ...] = ()
    residual: float = 0.0
    energy: tuple[YearlyCost, ...] = ()
    upkeep: tuple[YearlyCost, ...] = ()
    incentives: tuple[Incentive, ...] = ()
    loan: Loan | None = None

    def __post_init__(self) -> None:
        _check_cost(self.installed_cost, f"the installation of {self.name!r}")
        if not math.isfinite(self.residual):
            raise InputError(f"the residual of {self.name!r} is {self.residual}")


def replacements(
    name: str, cost: float, *, life_years: int, study_years: int
) -> tuple[PlannedCost, ...]:
    """List the replacements of equipment at the end of each of its lives within the study.

    Parameters
    ----------
    name
        What is replaced.
    cost
        Money each time, today's prices.
    life_years
        Service life.
    study_years
        Study period; at its end nothing is replaced.

    Returns
    -------
    tuple of PlannedCost
        In order of time; empty where the equipment outlives the study.

    Examples
    --------
    >>> [one.year for one in replacements("unit", 4000.0, life_years=8, study_years=20)]
    [8, 16]
    """
    checked_years(life_years, "service life")
    return tuple(
        PlannedCost(name=name, cost=cost, year=year)
        for year in range(life_years, study_years, life_years)
    )


def straight_line_residual(cost: float, *, life_years: int, study_years: int) -> float:
    """Worth of equipment at the end of the study, by the share of its last life that is left.

    Parameters
    ----------
    cost
        Money when new, today's prices.
    life_years
        Service life.
    study_years
        Study period; equipment is replaced at the end of each life.

    Returns
    -------
    float
        Money at today's prices.

    References
    ----------
    Straight line over the service life: common practice.

    Examples
    --------
    >>> straight_line_residual(4000.0, life_years=15, study_years=20)
    2666.6666666666665
    """
    checked_years(life_years, "service life")
    used = study_years % life_years or life_years
    return cost * (life_years - used) / life_years
