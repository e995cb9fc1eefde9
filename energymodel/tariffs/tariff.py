"""A tariff: all its charges in the order in which they stand on a bill, its calendar, its rules.

The order is that of common bills: customer, energy, adjustments, demand, reactive, export credit,
minimum, then taxes and rebates.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import TypeAlias

from energymodel.errors import ManyFaultsError
from energymodel.tariffs.charges import (
    DemandCharge,
    EnergyCharge,
    FixedCharge,
    HourlyPrice,
    MinimumBill,
    PercentCharge,
    ReactiveCharge,
    Rider,
)
from energymodel.tariffs.export import Export
from energymodel.tariffs.faults import faults_of
from energymodel.tariffs.holiday import HolidayRule
from energymodel.tariffs.sale_unit import SaleUnit
from energymodel.tariffs.windows import Season, Window

Charge: TypeAlias = (
    FixedCharge
    | EnergyCharge
    | HourlyPrice
    | Rider
    | DemandCharge
    | ReactiveCharge
    | Export
    | MinimumBill
    | PercentCharge
)


class RoundedWhere(StrEnum):
    """What is rounded on a printed bill."""

    EACH_LINE = "each line"
    TOTAL = "total"


class MonthlyAmounts(StrEnum):
    """How often an amount per month is due on a bill that is not a calendar month."""

    ONE_PER_BILL = "one per bill"
    BY_DAYS = "by days"
    """Days of the bill in each calendar month over the days of that month."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounding:
    """How a printed bill is rounded: half away from zero, in decimal arithmetic.

    Parameters
    ----------
    where
        Each line (the total is then the sum of rounded lines), or the total alone.
    decimals
        Digits of money after the point.
    """

    where: RoundedWhere = RoundedWhere.EACH_LINE
    decimals: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Interruption:
    """When the supply of an interruptible meter is cut and other heat must run.

    Parameters
    ----------
    name
        As on the tariff sheet.
    when
        Windows, any of which may hold; empty: at all times.
    below_c
        Only at outdoor temperatures at or below this, degC; None: at any.
    above_c
        Only at outdoor temperatures at or above this, degC; None: at any.
    """

    name: str
    when: tuple[Window, ...] = ()
    below_c: float | None = None
    above_c: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BaselineAllowance:
    """Allowance per day on which blocks "baseline" count.

    Parameters
    ----------
    per_day
        Units of use per day of the bill.
    seasons
        Names of its seasons; empty: the whole year.
    """

    per_day: float
    seasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tariff:
    """Everything that decides a bill.

    Parameters
    ----------
    name
        As on the tariff sheet.
    utility, source, conditions
        Who bills, document and place, who may have it.
    currency
        Three-letter code.
    unit
        Unit of use.
    effective, expires
        First and last date; None: not known.
    seasons
        Named parts of the year that windows refer to.
    holidays
        None: the tariff has none.
    baseline
        Allowances by season.
    fixed, energy, hourly, riders, demand, reactive, export, minimum, percents
        The charges.
    interruptions
        Of an interruptible meter.
    rounding
        Of a printed bill.
    monthly_amounts
        How often an amount per month is due.

    Raises
    ------
    ManyFaultsError
        With everything that contradicts itself.
    """

    name: str
    utility: str = ""
    source: str = ""
    conditions: str = ""
    currency: str = "USD"
    unit: SaleUnit = field(default_factory=SaleUnit)
    effective: date | None = None
    expires: date | None = None
    seasons: tuple[Season, ...] = ()
    holidays: HolidayRule | None = None
    baseline: tuple[BaselineAllowance, ...] = ()
    fixed: tuple[FixedCharge, ...] = ()
    energy: tuple[EnergyCharge, ...] = ()
    hourly: tuple[HourlyPrice, ...] = ()
    riders: tuple[Rider, ...] = ()
    demand: tuple[DemandCharge, ...] = ()
    reactive: tuple[ReactiveCharge, ...] = ()
    export: Export | None = None
    minimum: tuple[MinimumBill, ...] = ()
    percents: tuple[PercentCharge, ...] = ()
    interruptions: tuple[Interruption, ...] = ()
    rounding: Rounding = field(default_factory=Rounding)
    monthly_amounts: MonthlyAmounts = MonthlyAmounts.ONE_PER_BILL

    def __post_init__(self) -> None:
        faults = faults_of(self)
        if faults:
            raise ManyFaultsError(faults, where=self.name)

    def charges(self) -> Iterator[Charge]:
        """All charges in the order of the bill.

        Yields
        ------
        Charge
            One record per charge.
        """
        yield from self.fixed
        yield from self.energy
        yield from self.hourly
        yield from self.riders
        yield from self.demand
        yield from self.reactive
        if self.export is not None:
            yield self.export
        yield from self.minimum
        yield from self.percents

    def windows(self) -> Iterator[tuple[str, Window]]:
        """All windows with the place where they stand.

        Yields
        ------
        tuple of str and Window
            Name of the charge (and period), and the window.
        """
        priced = (*self.energy, *self.demand, *(() if self.export is None else (self.export,)))
        for charge in priced:
            for period in charge.periods:
                place = f"{charge.name}, {period.name}" if period.name else charge.name
                for window in period.when:
                    yield place, window
        for rule in self.interruptions:
            for window in rule.when:
                yield rule.name, window

    @property
    def needs_clock(self) -> bool:
        """Whether days of the week or hours decide a price, so that the zone must be known."""
        return any(window.needs_clock for _, window in self.windows())
