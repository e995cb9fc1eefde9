"""What a customer who feeds into the grid is credited with."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from energymodel.errors import InputError
from energymodel.tariffs.charges import EnergyPeriod


class ExportRule(StrEnum):
    """How use and feed-in are set against each other.

    The four are those of the open US utility rate database (`dgrules`: Net Metering, Net Billing
    Instantaneous, Net Billing Hourly, Buy All Sell All).
    """

    NET_METERING = "net metering"
    """Over the bill, in energy, period by period; what is left is kept for later bills."""
    NET_BILLING = "net billing"
    """Nothing is set off: what the meter has counted in costs its price, what it has counted out
    earns the export price. Where only the net of an interval is known, that is what it counted."""
    HOURLY_NET_BILLING = "hourly net billing"
    """In and out are set off within each hour; the net of the hour is bought or sold."""
    SELL_ALL = "sell all"
    """All use is bought and all generation sold: give the whole of both."""


class CreditKept(StrEnum):
    """Where energy that was fed in above the use of a bill is kept (net metering)."""

    BY_PERIOD = "by period"
    TOGETHER = "together"


class CreditLeft(StrEnum):
    """What happens to credit in money that is left at the true-up (net billing)."""

    PAID = "paid"
    LOST = "lost"


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeStep:
    """Share of the credit up to a size of the generator.

    Parameters
    ----------
    below_kw
        The step holds for generators SMALLER than this; exactly this size is the next step's.
    percent
        Share of the credit, %.
    """

    below_kw: float
    percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Export:
    """Credit for energy fed into the grid.

    Parameters
    ----------
    name
        As printed on the bill.
    rule
        How use and feed-in are set against each other.
    periods
        Export prices by period, one block each; empty with net metering.
    size_steps
        Share of the credit by size of the generator, rising; empty: all of it at any size.
    cap_percent
        Feed-in credited per year, % of the use of the year before; None: no cap.
    true_up_month
        The bill in which this calendar month ends settles what is left.
    surplus_price
        Money per unit of energy left at the true-up (net metering).
    kept
        Where energy is kept between bills (net metering).
    left
        What happens to money left at the true-up (net billing).
    of
        Names of the charges that credit in money may pay; empty: all above it.
    """

    name: str = "Export credit"
    rule: ExportRule
    periods: tuple[EnergyPeriod, ...] = ()
    size_steps: tuple[SizeStep, ...] = ()
    cap_percent: float | None = None
    true_up_month: int = 12
    surplus_price: float = 0.0
    kept: CreditKept = CreditKept.BY_PERIOD
    left: CreditLeft = CreditLeft.LOST
    of: tuple[str, ...] = ()


def credited_share(export: Export, generator_kw: float | None) -> float:
    """Share of the feed-in that is credited.

    Parameters
    ----------
    export
        With its steps by size.
    generator_kw
        Size of the generator, kW; None: not known.

    Returns
    -------
    float
        Fraction.

    Raises
    ------
    InputError
        If the tariff needs the size, or admits no generator of this size.

    Examples
    --------
    >>> steps = (SizeStep(below_kw=10.0, percent=100.0), SizeStep(below_kw=25.0, percent=60.0))
    >>> rule = Export(rule=ExportRule.NET_METERING, size_steps=steps)
    >>> credited_share(rule, 9.9), credited_share(rule, 10.0)
    (1.0, 0.6)
    """
    if not export.size_steps:
        return 1.0
    if generator_kw is None:
        raise InputError(
            "the credit depends on the size of the generator, which is not given",
            where=export.name,
            remedy="take by_size out of the tariff and give the export price of that size; from"
            " Python, Customer(generator_kw=...)",
        )
    for step in export.size_steps:
        if generator_kw < step.below_kw:
            return step.percent / 100.0
    raise InputError(
        f"a generator of {generator_kw:g} kW",
        where=export.name,
        expected=f"below {export.size_steps[-1].below_kw:g} kW: larger ones get no credit here",
    )
