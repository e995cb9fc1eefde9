"""Meter indexes, uses since the last read and tank fills -> periods with days and use.

Notes
-----
Convention of days: :mod:`energymodel.meters.periods`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from energymodel.errors import InputError
from energymodel.meters.estimates import collected
from energymodel.meters.periods import Meter, MeterPeriods, Period, repair_notice
from energymodel.meters.remedies import say
from energymodel.notices import Notice


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One dated number: a meter index, the use since the previous read, or a tank fill.

    Parameters
    ----------
    read_on
        Day of the read or fill.
    amount
        Number in the meter's unit.
    estimated
        Not read: estimated by the supplier, or a fill that did not reach the usual mark.
    where
        Place to name in an error.
    days
        Days since the previous read as the list prints them; None: not printed.
    """

    read_on: date
    amount: float
    estimated: bool = False
    where: str = ""
    days: int | None = None


def periods_from_index(
    readings: Sequence[Reading], meter: Meter, *, dials: int | None = None
) -> MeterPeriods:
    """Periods from the numbers on a meter's counter.

    Parameters
    ----------
    readings
        Index at each read, oldest first; estimated ones flagged.
    meter
        Carrier and unit.
    dials
        Number of dials of a counter that ran past its end and began again at zero; None: a
        falling index is refused.

    Returns
    -------
    MeterPeriods
        One period between two actual reads.

    Raises
    ------
    InputError
        If dates do not rise, the index falls, or fewer than two actual reads are left.
    """
    kept, notices = _from_first_actual(readings, meter)
    actual = [at for at, read in enumerate(kept) if not read.estimated]
    periods = [
        Period(
            first_day=kept[before].read_on,
            end_day=kept[after].read_on,
            amount=_used(kept[before], kept[after], dials),
            merged=after - before - 1,
            where=kept[after].where,
        )
        for before, after in pairwise(actual)
    ]
    trailing = len(kept) - 1 - actual[-1]
    if trailing:
        text = f"{trailing} estimated reads after the last actual one were left out."
        notices.append(repair_notice(text))
    return collected(periods, meter, notices)


def _used(before: Reading, after: Reading, dials: int | None) -> float:
    used = after.amount - before.amount
    if used >= 0:
        return used
    if dials is not None and used + 10.0**dials >= 0:
        return used + 10.0**dials
    raise InputError(
        f"the index falls from {before.amount:g} on {before.read_on} to {after.amount:g} on "
        f"{after.read_on}",
        where=after.where,
        expected="a counter that only rises",
        remedy="if it passed its end " + say(dials="NUMBER") + "; if the meter was exchanged give "
        "the old and the new one as two lists",
    )


def periods_from_use(readings: Sequence[Reading], meter: Meter) -> MeterPeriods:
    """Periods from the use since the previous read.

    The first row only opens the first period, unless the list prints its days.

    Parameters
    ----------
    readings
        Use since the previous read at each read date, oldest first.
    meter
        Carrier and unit.

    Returns
    -------
    MeterPeriods
        One period between two actual reads.

    Raises
    ------
    InputError
        If dates do not rise, a use is negative, or fewer than two actual reads are left.
    """
    return _since_previous(readings, meter, "first row has no read before it; its use")


def periods_from_fills(fills: Sequence[Reading], meter: Meter) -> MeterPeriods:
    """Periods from deliveries into a tank that is filled to the same mark each time.

    Parameters
    ----------
    fills
        Amount filled on each date, oldest first; `estimated` marks a fill that did not reach the
        mark, which is merged with the next one that did.
    meter
        Carrier and unit.

    Returns
    -------
    MeterPeriods
        What was burned between two fills is what the second one put back.

    Raises
    ------
    InputError
        If dates do not rise, an amount is negative, or fewer than two full fills are left.
    """
    return _since_previous(fills, meter, "first fill replaced what was used before it; its amount")


def _since_previous(readings: Sequence[Reading], meter: Meter, first: str) -> MeterPeriods:
    kept, notices = _from_first_actual(readings, meter)
    periods = [
        Period(
            first_day=before.read_on,
            end_day=after.read_on,
            amount=after.amount,
            estimated=after.estimated,
            where=after.where,
        )
        for before, after in pairwise(kept)
    ]
    opening = _opening(kept[0]) if kept[0] is readings[0] else None
    if opening is None:
        left = f"The {first} of {kept[0].amount:g} {meter.unit} is left out."
        notices.append(repair_notice(left))
    else:
        periods.insert(0, opening)
        text = f"The first row has no read before it; its {opening.days} days begin it: "
        notices.append(repair_notice(text + f"{opening.label}."))
    return collected(periods, meter, [*notices, *_other_days(kept)])


def _opening(first: Reading) -> Period | None:
    if first.days is None:
        return None
    return Period(
        first_day=first.read_on - timedelta(days=first.days),
        end_day=first.read_on,
        amount=first.amount,
        where=first.where,
    )


def _other_days(kept: Sequence[Reading]) -> list[Notice]:
    """Tell of rows whose days differ from their dates by more than the way of counting."""
    apart = [
        f"{after.days} days for {(after.read_on - before.read_on).days} ({after.where})"
        for before, after in pairwise(kept)
        if after.days is not None and abs(after.days - (after.read_on - before.read_on).days) > 1
    ]
    if not apart:
        return []
    text = f"The days printed differ from the dates, which were taken: {', '.join(apart)}."
    return [repair_notice(text)]


def _from_first_actual(
    readings: Sequence[Reading], meter: Meter
) -> tuple[list[Reading], list[Notice]]:
    for before, after in pairwise(readings):
        if after.read_on <= before.read_on:
            raise InputError(
                f"the read of {after.read_on} follows that of {before.read_on}",
                where=after.where,
                expected="one read a day at most, oldest first",
            )
    start = next((at for at, read in enumerate(readings) if not read.estimated), len(readings))
    actual = sum(not read.estimated for read in readings)
    if actual < 2:
        raise InputError(
            f"{len(readings)} readings of {meter.carrier} with {actual} actual ones",
            expected="at least two actual reads",
        )
    text = f"{start} estimated reads before the first actual one were left out."
    return list(readings[start:]), [repair_notice(text)] if start else []
