"""Bills that print the first and the last day of their period -> periods with days and use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from itertools import pairwise

from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.meters.estimates import collected
from energymodel.meters.periods import Meter, MeterPeriods, Period, readings_notice, repair_notice
from energymodel.notices import Notice

_ONE_DAY = timedelta(days=1)


class LastDay(Enum):
    """What the last day printed on a bill means."""

    OPENS_THE_NEXT = "the last day printed is the read day, which opens the next period"
    INCLUDED = "the last day printed belongs to the bill"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """One bill.

    Parameters
    ----------
    first_day, last_day
        Days as printed.
    amount
        Quantity in the meter's unit.
    estimated
        The closing read was estimated.
    where
        Place to name in an error.
    """

    first_day: date
    last_day: date
    amount: float
    estimated: bool = False
    where: str = ""


def last_day_rule(bills: Sequence[Bill]) -> LastDay | None:
    """Tell from bills that follow each other whether the last day is printed twice.

    Parameters
    ----------
    bills
        In order.

    Returns
    -------
    LastDay or None
        The first day repeats the last day of the bill before: the read day opens the next
        period. It is the day after: the last day belongs to the bill. None: no two bills follow
        each other.

    Examples
    --------
    >>> winter = Bill(first_day=date(2023, 12, 15), last_day=date(2024, 1, 14), amount=90.0)
    >>> later = Bill(first_day=date(2024, 1, 15), last_day=date(2024, 2, 13), amount=95.0)
    >>> last_day_rule([winter, later]).name
    'INCLUDED'
    """
    steps = {(after.first_day - before.last_day).days for before, after in pairwise(bills)}
    if 0 in steps:
        return LastDay.OPENS_THE_NEXT
    return LastDay.INCLUDED if 1 in steps else None


def periods_from_bills(
    bills: Sequence[Bill], meter: Meter, *, last_day: LastDay | None = None
) -> MeterPeriods:
    """Periods from bills with two dates.

    Parameters
    ----------
    bills
        Oldest first; estimated ones flagged.
    meter
        Carrier and unit.
    last_day
        What the last day means; None: told from bills that follow each other.

    Returns
    -------
    MeterPeriods
        Days between bills that no bill covers are named in a notice and left out.

    Raises
    ------
    InputError
        If a bill ends before it begins, bills overlap (each pair is named), or a single bill
        leaves open what its last day means.
    """
    if not bills:
        raise InputError(f"no bills of {meter.carrier}", expected="at least one")
    rule = last_day or last_day_rule(bills)
    if rule is None:
        days = (bills[0].last_day - bills[0].first_day).days
        raise InputError(
            f"the bill of {bills[0].first_day} to {bills[0].last_day} has {days} or {days + 1} "
            "days, depending on whether the last day counts",
            where=bills[0].where,
            expected="bills that follow each other, or last_day said",
            remedy="say whether the last day is the read day, which opens the next bill "
            "(--last-day read), or belongs to the bill (--last-day included)",
        )
    periods = [_period(bill, rule) for bill in bills]
    _refuse_overlaps(periods)
    read_as = readings_notice(f"Days of the bills: {rule.value}.")
    return collected(periods, meter, [read_as, *_gaps(periods)])


def _period(bill: Bill, rule: LastDay) -> Period:
    end = bill.last_day + _ONE_DAY if rule is LastDay.INCLUDED else bill.last_day
    if end <= bill.first_day:
        raise InputError(
            f"the bill of {bill.first_day} to {bill.last_day} has no days",
            where=bill.where,
            expected="a last day after the first",
        )
    return Period(
        first_day=bill.first_day,
        end_day=end,
        amount=bill.amount,
        estimated=bill.estimated,
        where=bill.where,
    )


def _refuse_overlaps(periods: Sequence[Period]) -> None:
    faults: list[EnergyModelError] = [
        InputError(
            f"{after.label} overlaps {before.label}",
            where=after.where,
            expected="bills that follow each other, oldest first",
            remedy="take out corrected or doubled bills, or put the bills in order",
        )
        for before, after in pairwise(periods)
        if after.first_day < before.end_day
    ]
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise ManyFaultsError(faults)


def _gaps(periods: Sequence[Period]) -> list[Notice]:
    return [
        repair_notice(
            f"No bill covers {before.end_day} to {after.first_day - _ONE_DAY} "
            f"({(after.first_day - before.end_day).days} days): left out."
        )
        for before, after in pairwise(periods)
        if after.first_day > before.end_day
    ]
