"""Hour numbers of a table -> seconds of the day on the wall clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from energymodel.arrays import Mask
from energymodel.meters.import_report import MeterError
from energymodel.meters.remedies import say_one_of
from energymodel.meters.wall_clock import DAY_S, Seconds, ZoneClock

HOUR_S = 3600


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourColumn:
    """Hour numbers as they stand.

    Parameters
    ----------
    file
        File name.
    hours
        Hour of each row, 0 to 25, shape (rows,).
    label
        Whether a number is the start or the end of its hour, if the header or the user says it.
    """

    file: str
    hours: Seconds
    label: Literal["start", "end"] | None


def hour_label(column: HourColumn) -> tuple[Literal["start", "end"], str]:
    """Find whether hour numbers are starts (0 to 23) or ends (1 to 24).

    Parameters
    ----------
    column
        Hour numbers.

    Returns
    -------
    tuple
        "start" or "end", and what it rests on.

    Raises
    ------
    MeterError
        If the numbers contradict each other or the label, or leave it open.
    """
    low, high = int(column.hours.min()), int(column.hours.max())
    # a day counted from 0 has a number 24 only when it has 25 hours
    last, first = (int((column.hours == number).sum()) for number in (24, 0))
    if first and 2 * last >= first:
        raise MeterError(
            "the hour numbers run from 0 to 24",
            where=column.file,
            expected="0 to 23 (starts) or 1 to 24 (ends), and one more on the long day",
        )
    if column.label is not None:
        return column.label, "header or given"
    if low == 0:
        return "start", "hour numbers from 0"
    if high >= 24:
        return "end", "hour numbers up to 24"
    raise MeterError(
        f"the hour numbers run from {low} to {high}",
        where=column.file,
        expected="hours of whole days, numbered 0 to 23 or 1 to 24",
        remedy=say_one_of("label", "start", "end"),
    )


def second_of_hour(hours: Seconds, label: Literal["start", "end"]) -> Seconds:
    """Return when each numbered hour begins, leaving clock changes aside.

    Parameters
    ----------
    hours
        Hour numbers, shape (rows,).
    label
        "start": 0 to 23; "end": 1 to 24.

    Returns
    -------
    Seconds
        Second of the day, shape (rows,).
    """
    return (hours - (1 if label == "end" else 0)) * HOUR_S


def on_wall_clock(local_s: Seconds, day_s: Seconds, clock: ZoneClock) -> Seconds:
    """Move the hours of days that count 1 to 23 or 1 to 25 onto the wall clock.

    Parameters
    ----------
    local_s
        Start of each row's hour as counted from midnight, shape (rows,).
    day_s
        Midnight of each row's day, shape (rows,).
    clock
        Clock of the place.

    Returns
    -------
    Seconds
        Labels of the wall clock, shape (rows,). Days that skip or repeat a number stay as they
        are.
    """
    labels = local_s.copy()
    for first, _end, change in zip(*clock.windows(), strict=True):
        if abs(change) != HOUR_S:
            continue
        on_day = day_s == first // DAY_S * DAY_S
        passed = on_day & _counted_through(local_s, on_day, int(first), int(change))
        labels[passed] += change
    return labels


def _counted_through(local_s: Seconds, on_day: Mask, first: int, change: int) -> Mask:
    """Return the rows behind the change, if the day counts its hours without a break."""
    there = set((local_s[on_day] % (2 * DAY_S)).tolist())
    midnight = first // DAY_S * DAY_S
    last = (midnight + DAY_S - HOUR_S) % (2 * DAY_S)
    if change > 0:
        counted = first % (2 * DAY_S) in there and last not in there
        return (local_s >= first) & counted
    counted = (last + HOUR_S) % (2 * DAY_S) in there
    return (local_s > first) & counted
