"""Periods of a meter: days, use, and what was done to get them.

A period runs from one read to the next. The day of a read is the first day of the period that it
opens and no day of the one it closes, so that the days of all periods add up to the calendar.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.meters.remedies import say
from energymodel.notices import Notice

_MONEY_WORDS = frozenset(
    (
        *("usd", "us$", "dollar", "dollars", "cent", "cents", "c", "cad", "eur", "euro", "euros"),
        *("gbp", "pound sterling", "pence", "money", "cost", "costs", "charge", "charges", "price"),
    )
)
MONEY_SIGNS = "$€£¥"


def is_money(word: str) -> bool:
    """Whether a unit or heading speaks of money.

    Parameters
    ----------
    word
        As printed.

    Returns
    -------
    bool
        True for currencies and words such as "cost".

    Examples
    --------
    >>> is_money("US$"), is_money("therm")
    (True, False)
    """
    plain = word.strip().lower()
    return plain in _MONEY_WORDS or any(sign in plain for sign in MONEY_SIGNS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """What is metered and in which unit.

    Parameters
    ----------
    carrier
        "electricity", "natural gas", "propane", ...
    unit
        Unit of the quantities, as sold: "kWh", "therm", "ccf", "gallon", ...
    """

    carrier: str
    unit: str

    def __post_init__(self) -> None:
        if not self.unit.strip():
            raise InputError(
                f"the readings of {self.carrier} have no unit",
                expected='the unit on the bill, such as "kWh", "therm", "ccf" or "gallon"',
                remedy="name it in the heading, as use (ccf), or " + say(unit="ccf"),
            )
        if is_money(self.unit):
            raise InputError(
                f"the readings of {self.carrier} are money ({self.unit}), which is not energy",
                expected="quantities and read dates",
                remedy="read the quantity used and the dates of the reads off the bill; prices "
                "change and equal payments hide the use",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """Days between two reads and what was used in them.

    Parameters
    ----------
    first_day
        First day, included.
    end_day
        Day after the last one: the day of the closing read.
    amount
        Use in the meter's unit.
    estimated
        The closing read was estimated.
    merged
        Number of estimated periods merged into it.
    where
        Place to name in an error.
    """

    first_day: date
    end_day: date
    amount: float
    estimated: bool = False
    merged: int = 0
    where: str = ""

    @property
    def days(self) -> int:
        """Number of days."""
        return (self.end_day - self.first_day).days

    @property
    def per_day(self) -> float:
        """Use per day."""
        return self.amount / self.days

    @property
    def label(self) -> str:
        """First and last day, for tables and messages."""
        last = self.end_day - timedelta(days=1)
        return f"{self.first_day.isoformat()} to {last.isoformat()}"


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterPeriods:
    """Periods of one meter, in order, none overlapping another.

    Parameters
    ----------
    meter
        Carrier and unit.
    periods
        Actual periods, estimated ones merged.
    notices
        What was merged, left out or found missing.
    """

    meter: Meter
    periods: tuple[Period, ...]
    notices: tuple[Notice, ...] = ()

    def __len__(self) -> int:
        return len(self.periods)

    @property
    def days(self) -> Array:
        """Days of each period, shape (periods,)."""
        return np.array([period.days for period in self.periods], dtype=np.float64)

    @property
    def amount(self) -> Array:
        """Use of each period in the meter's unit, shape (periods,)."""
        return np.array([period.amount for period in self.periods], dtype=np.float64)

    @property
    def per_day(self) -> Array:
        """Use per day of each period in the meter's unit, shape (periods,)."""
        return np.asarray(self.amount / self.days)

    @property
    def merged(self) -> int:
        """Number of estimated periods that were merged with the next actual one."""
        return sum(period.merged for period in self.periods)

    def between(self, since: date, before: date) -> MeterPeriods:
        """Periods that lie wholly in a stretch of days.

        Parameters
        ----------
        since
            First day.
        before
            Day after the last one.

        Returns
        -------
        MeterPeriods
            With a notice of what was left out.

        Raises
        ------
        InputError
            If no period lies in it.
        """
        kept = tuple(p for p in self.periods if p.first_day >= since and p.end_day <= before)
        left = len(self.periods) - len(kept)
        if not kept:
            raise InputError(
                f"no period of {self.meter.carrier} lies between {since} and {before}",
                expected=f"days between {self.periods[0].first_day} and {self.periods[-1].end_day}",
            )
        ends = [f"from {since}"] if since > date.min else []
        ends += [f"until {before}"] if before < date.max else []
        text = f"Only periods {' '.join(ends)} are taken: {left} left out."
        notices = (*self.notices, repair_notice(text)) if left else self.notices
        return replace(self, periods=kept, notices=notices)


REPAIR = "repair"
"""Topic of what was done to readings that were not as they should be."""


def repair_notice(text: str) -> Notice:
    """Notice of what was merged, left out or found missing.

    Parameters
    ----------
    text
        One or two sentences.

    Returns
    -------
    Notice
        With that text; it makes the import one "with listed repairs".
    """
    return Notice(topic=REPAIR, text=text)


def readings_notice(text: str) -> Notice:
    """Notice of how readings were read.

    Parameters
    ----------
    text
        One or two sentences.

    Returns
    -------
    Notice
        With that text.
    """
    return Notice(topic="readings", text=text)


def add_meters(parts: Sequence[MeterPeriods]) -> MeterPeriods:
    """Use of several meters of one carrier with the same read days, together.

    Parameters
    ----------
    parts
        One for each meter, in the same unit.

    Returns
    -------
    MeterPeriods
        Sums of the use of each period.

    Raises
    ------
    InputError
        If units or read days differ.
    """
    first = parts[0]
    for part in parts[1:]:
        if part.meter != first.meter:
            raise InputError(
                f"meters of {first.meter.carrier} in {first.meter.unit} and of "
                f"{part.meter.carrier} in {part.meter.unit} cannot be added",
                expected="one carrier and one unit",
            )
        days = [(period.first_day, period.end_day) for period in part.periods]
        if days != [(period.first_day, period.end_day) for period in first.periods]:
            raise InputError(
                "the meters were read on different days",
                expected="the same read days for all meters that are added",
                remedy="fit each meter by itself",
            )
    added = [
        replace(period, amount=sum(part.periods[at].amount for part in parts))
        for at, period in enumerate(first.periods)
    ]
    notices = tuple(notice for part in parts for notice in part.notices)
    return MeterPeriods(meter=first.meter, periods=tuple(added), notices=notices)
