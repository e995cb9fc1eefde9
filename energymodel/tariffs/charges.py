"""The charges a tariff is made of, one record for each kind of line on a bill."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from energymodel.tariffs.windows import Window

MONTHS = tuple(range(1, 13))


class Per(StrEnum):
    """Time for which an amount is due."""

    DAY = "day"
    MONTH = "month"
    YEAR = "year"


class BlockPer(StrEnum):
    """What the upper limit of an energy block counts."""

    MONTH = "month"
    DAY = "day"
    KW = "kW"
    KW_AND_DAY = "kW and day"
    BASELINE = "baseline"


class BlockCount(StrEnum):
    """How blocks fill up where a charge has several periods."""

    MONTH_TOTAL = "month total"
    """All use of the month fills the blocks; each period has the blocks in its share of the use."""
    TIME_ORDER = "time order"
    """An hour is in the block that the use since the bill's first day has reached."""
    EACH_PERIOD = "each period"
    """The use of each period fills blocks of its own."""


class Measured(StrEnum):
    """Time over which the highest demand is looked for."""

    BILL = "bill"
    CALENDAR_MONTH = "calendar month"
    DAY = "day"


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedCharge:
    """Due whatever the use.

    Parameters
    ----------
    name
        As printed on the bill.
    amount
        Money per day, month or year.
    per
        That time.
    seasons
        Names of the seasons in which it is due, by days; empty: always.
    """

    name: str
    amount: float
    per: Per = Per.MONTH
    seasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A block (tier) of use at one price.

    Parameters
    ----------
    price
        Money per unit of sale; may be negative.
    up_to
        Upper limit of the use since the bill's first day; None: no limit.
    per
        What the limit counts: per month, per day of the bill, per kW of billed demand, or times
        the baseline allowance.
    """

    price: float
    up_to: float | None = None
    per: BlockPer = BlockPer.MONTH


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyPeriod:
    """Hours that share a price.

    Parameters
    ----------
    name
        As printed on the bill: "on-peak"; empty where the charge has no other period.
    blocks
        In rising order; one block without a limit is a flat price.
    when
        Windows; an interval belongs to the period if any of them holds. Empty: all hours that no
        other period of the charge claims.
    """

    name: str = ""
    blocks: tuple[Block, ...]
    when: tuple[Window, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyCharge:
    """Money per unit of use, by period and block.

    Parameters
    ----------
    name
        As printed on the bill.
    periods
        Every hour of the year belongs to exactly one of them.
    count
        How blocks fill up.
    demand
        Name of the demand charge whose billed kW count in blocks "per kW"; empty: the highest
        interval of the data.
    """

    name: str
    periods: tuple[EnergyPeriod, ...]
    count: BlockCount = BlockCount.MONTH_TOTAL
    demand: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HourlyPrice:
    """Money per unit of use by a series of prices.

    Parameters
    ----------
    name
        As printed on the bill; the series is given under this name.
    file
        CSV file of the series, as named in the tariff file; empty: given by the caller.
    factor
        Multiplies every price (losses, say).
    adder
        Money per unit added to every price.
    """

    name: str
    file: str = ""
    factor: float = 1.0
    adder: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rider:
    """A surcharge or credit on every unit of use, such as a fuel adjustment.

    Parameters
    ----------
    name
        As printed on the bill.
    prices
        Money per unit, one for the whole year or twelve by calendar month; may be negative.
    """

    name: str
    prices: tuple[float, ...]

    def price_of(self, month: int) -> float:
        """Price in a month.

        Parameters
        ----------
        month
            1..12.

        Returns
        -------
        float
            Money per unit.
        """
        return self.prices[0] if len(self.prices) == 1 else self.prices[month - 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandBlock:
    """A block of billed demand at one price.

    Parameters
    ----------
    price
        Money per kW.
    up_to_kw
        Upper limit, kW; None: no limit.
    """

    price: float
    up_to_kw: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandPeriod:
    """Hours or seasons whose highest demand is billed at one price.

    Parameters
    ----------
    name
        As printed on the bill; empty where the charge has no other period.
    blocks
        In rising order.
    when
        Windows; empty: all hours that no other period claims. Hours in no period are not billed.
    """

    name: str = ""
    blocks: tuple[DemandBlock, ...]
    when: tuple[Window, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratchet:
    """Bill at least a share of the highest demand of the months before.

    Parameters
    ----------
    percents
        Share, %, one for the whole year or twelve by the month that is billed.
    look_back
        Number of bills before this one.
    months
        Months whose highest demand is remembered.
    """

    percents: tuple[float, ...]
    look_back: int = 11
    months: tuple[int, ...] = MONTHS

    def share(self, month: int) -> float:
        """Share in a billed month.

        Parameters
        ----------
        month
            1..12.

        Returns
        -------
        float
            Fraction of the remembered demand.
        """
        percent = self.percents[0] if len(self.percents) == 1 else self.percents[month - 1]
        return percent / 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandCharge:
    """Money per kW of the highest average demand.

    Parameters
    ----------
    name
        As printed on the bill.
    periods
        Each has a maximum of its own.
    interval_min
        Length of the intervals that are averaged, minutes.
    measured
        Over the bill, over the last calendar month that ends with it or before, or day by day
        (the daily maxima are added up).
    ratchet
        None: every bill stands alone.
    minimum_kw
        Least billed demand, kW.
    at
        Starts of the wall-clock hours of the system's peak; if given, the mean demand in these
        hours is billed (coincident demand).
    """

    name: str
    periods: tuple[DemandPeriod, ...]
    interval_min: int = 15
    measured: Measured = Measured.BILL
    ratchet: Ratchet | None = None
    minimum_kw: float = 0.0
    at: tuple[datetime, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReactiveCharge:
    """Money per kvar of reactive demand above an allowance.

    Parameters
    ----------
    name
        As printed on the bill.
    price
        Money per kvar and month.
    allowance_kvar_per_kw
        Free kvar per kW of the highest demand.
    """

    name: str
    price: float
    allowance_kvar_per_kw: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MinimumBill:
    """The least that a bill comes to; it binds only where the charges are lower.

    Parameters
    ----------
    name
        As printed on the bill.
    amount
        Money per day, month or year.
    per
        That time; with a year the difference is due on the last bill.
    of
        Names of the charges that count towards it; empty: all above it.
    """

    name: str
    amount: float
    per: Per = Per.MONTH
    of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PercentCharge:
    """A tax, or a rebate (negative), on a subtotal.

    Parameters
    ----------
    name
        As printed on the bill.
    percent
        %.
    of
        Names of the charges in the subtotal; empty: all above it.
    """

    name: str
    percent: float
    of: tuple[str, ...] = ()
