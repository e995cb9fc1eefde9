"""Labels of the wall clock -> instants, with the days on which the clock changes.

An hour that comes twice is told apart by the order of the rows. Whether the stamps follow the wall
clock or stay on standard time is read from the change days in the file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.meters.daily_pattern import followed_clock
from energymodel.meters.import_report import MeterError, ReadAs, place
from energymodel.meters.remedies import say_one_of
from energymodel.meters.wall_clock import DAY_S, Seconds, ZoneClock, day_text, label_text, within

PATTERN_BASIS: Mapping[Literal["wall", "standard"], str] = {
    "wall": "24 hours on every day, and the daily pattern of use keeps its hours when the clock "
    "changes",
    "standard": "24 hours on every day, and the daily pattern of use moves when the clock changes",
}
"""What rests on the pattern of use where the labels leave the clock open."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Labels:
    """Labels of one channel in rising order.

    Parameters
    ----------
    file
        File name.
    lines
        Line of each row, shape (rows,).
    local_s
        Label, s since 1970, shape (rows,).
    same_value
        Whether a row has the values of the row before it, shape (rows,).
    void
        Whether a row is blank or zero, shape (rows,).
    use
        Use of each row in any unit, nan where missing, shape (rows,).
    step_s
        Length of the intervals, s.
    is_end
        Whether labels are the ends of their intervals.
    """

    file: str
    lines: Seconds
    local_s: Seconds
    same_value: Mask
    void: Mask
    use: Array
    step_s: int
    is_end: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Reading:
    start_s: Seconds
    defects: int
    unclear_row: int | None


def instants(
    labels: Labels, clock: ZoneClock, kind: Literal["wall", "standard", "utc"] | None
) -> tuple[Seconds, Literal["wall", "standard", "utc"], ReadAs]:
    """Return the start of each interval in UTC.

    Parameters
    ----------
    labels
        Labels.
    clock
        Clock of the place.
    kind
        What the stamps follow, if the user knows it.

    Returns
    -------
    tuple
        Starts, UTC, shape (rows,), not yet free of repeats; what the stamps follow; and the same
        in words.

    Raises
    ------
    MeterError
        If it cannot be told what the stamps follow, or which pass of a doubled hour is which.
    """
    if kind == "utc":
        return _naive_starts(labels), kind, ReadAs(name="clock", value="UTC", basis="given")
    wall = _on_wall(labels, clock)
    standard = _naive_starts(labels) - clock.standard_offset_s
    basis = "given"
    if kind is None:
        kind, basis = _decided(labels, clock, wall)
    if kind == "standard":
        value = "local standard time all year"
        return standard, kind, ReadAs(name="clock", value=value, basis=basis)
    if wall.unclear_row is not None:
        row = wall.unclear_row
        raise MeterError(
            f"the hour of {label_text(int(labels.local_s[row]))} comes twice on this day, the "
            "two rows of each stamp stand side by side and differ, so their order is unclear",
            where=place(labels.file, int(labels.lines[row])),
            expected="the rows of the first pass before those of the second",
            remedy="export the file with stamps in UTC or with their offset",
        )
    value = f"wall clock of {clock.name}"
    return wall.start_s, kind, ReadAs(name="clock", value=value, basis=basis)


def _naive_starts(labels: Labels) -> Seconds:
    return labels.local_s - labels.step_s * labels.is_end


def _on_wall(labels: Labels, clock: ZoneClock) -> _Reading:
    """End labels may be written as start plus length or as the clock reads: take what fits."""
    naive = _localised(labels, _naive_starts(labels), clock)
    if not labels.is_end or labels.step_s >= DAY_S:
        return naive
    shown = _localised(labels, labels.local_s, clock)
    if shown.defects < naive.defects:
        return _Reading(
            start_s=shown.start_s - labels.step_s,
            defects=shown.defects,
            unclear_row=shown.unclear_row,
        )
    return naive


def _localised(labels: Labels, local: Seconds, clock: ZoneClock) -> _Reading:
    start = clock.utc_of_label(local)
    defects, unclear = 0, None
    for first, end, change in zip(*clock.windows(), strict=True):
        rows = np.flatnonzero(within(local, int(first), int(end)))
        if change > 0:
            defects += int((~labels.void[rows]).sum())
        elif rows.size:
            second, found, row = _second_pass(labels, local, rows)
            start[second] -= change
            defects += found
            unclear = row if unclear is None else unclear
    kept = start[~_skipped(local, clock) | ~labels.void]
    defects += int(kept.size - np.unique(kept).size)
    return _Reading(start_s=start, defects=defects, unclear_row=unclear)


def _skipped(local: Seconds, clock: ZoneClock) -> Mask:
    skipped: Mask = np.zeros(local.size, dtype=np.bool_)
    for first, end, change in zip(*clock.windows(), strict=True):
        if change > 0:
            skipped |= within(local, int(first), int(end))
    return skipped


def _second_pass(labels: Labels, local: Seconds, rows: Seconds) -> tuple[Seconds, int, int | None]:
    """Return the rows of the second pass, the number of defects, and a row that is unclear."""
    inside = local[rows]
    steps = np.diff(inside)
    if (steps > 0).all():
        return rows[:0], 1, None
    back = np.flatnonzero(steps <= 0)
    if back.size == 1:
        return rows[back[0] + 1 :], 0, None
    paired = inside.size % 2 == 0 and bool((inside[::2] == inside[1::2]).all())
    if paired and labels.same_value[rows[1::2]].all():
        return rows[1::2], 0, None
    return rows[:0], 1, int(rows[back[0] + 1])


def _seen_changes(labels: Labels, clock: ZoneClock) -> tuple[bool, bool, bool]:
    """Return whether the file covers a change forward, one back, and one with its hour left out.

    Labels that skip the hour, written as starts or as ends, leave as many stamps out around the
    change as the skipped time holds.
    """
    forward = back = left_out = False
    starts = np.unique(_naive_starts(labels))
    for first, end, change in zip(*clock.windows(), strict=True):
        if change < 0:
            back |= bool(within(starts, int(first), int(end)).any())
            continue
        step = labels.step_s
        there = int(within(starts, int(first) - step, int(end) + step).sum())
        whole = (int(change) + 2 * step) // step
        without = whole - int(change) // step
        forward |= without <= there
        left_out |= without <= there < whole
    return forward, back, left_out


def _decided(
    labels: Labels, clock: ZoneClock, wall: _Reading
) -> tuple[Literal["wall", "standard"], str]:
    if labels.step_s >= DAY_S or not clock.changes_utc_s.size:
        return "wall", "whole days" if labels.step_s >= DAY_S else "a zone without changes"
    forward, back, left_out = _seen_changes(labels, clock)
    if not (forward or back):
        summer = clock.offset_s(wall.start_s) != clock.standard_offset_s
        listed = "common practice; no change of the clock in the file"
        return "wall", listed if summer.any() else "no daylight saving in the file"
    doubled = np.unique(labels.local_s).size < labels.local_s.size
    if wall.defects == 0 or left_out or doubled:
        return "wall", "the days on which the clock changes"
    if forward and _void_where_skipped(labels, clock):
        return "wall", "the hour that the clock skips is blank or zero"
    starts = _naive_starts(labels)
    followed = followed_clock(starts, labels.use, clock, step_s=labels.step_s)
    if followed is None:
        raise _open_question(labels, clock)
    return followed, PATTERN_BASIS[followed]


def _void_where_skipped(labels: Labels, clock: ZoneClock) -> bool:
    skipped = _skipped(_naive_starts(labels), clock)
    return bool(skipped.any() and labels.void[skipped].all() and not labels.void.all())


def _open_question(labels: Labels, clock: ZoneClock) -> MeterError:
    days = [
        day_text(int(first))
        for first, end in zip(*clock.windows()[:2], strict=True)
        if within(labels.local_s, int(first), int(end)).any()
    ]
    return MeterError(
        f"the clock of {clock.name} changes on {', '.join(days)}, but the file has 24 hours on "
        "that day: its stamps may stay on standard time, or an hour is lost or added, and the "
        "daily pattern of use does not tell which",
        where=labels.file,
        expected="23 or 25 hours on that day, or weeks before and after it with the same daily "
        "pattern of use",
        remedy=say_one_of("clock", "standard", "wall"),
    )


def change_days(
    start_s: Seconds, length_s: Seconds, clock: ZoneClock
) -> Sequence[tuple[str, float]]:
    """Return the days of the data that have more or fewer than 24 hours.

    Parameters
    ----------
    start_s
        Start of each interval, UTC, shape (intervals,).
    length_s
        Length of each interval, s, shape (intervals,).
    clock
        Clock of the place.

    Returns
    -------
    sequence of tuple
        Date and hours of the day.
    """
    days = []
    for change, before, after in zip(
        clock.changes_utc_s, clock.offsets_s[:-1], clock.offsets_s[1:], strict=True
    ):
        if start_s[0] < change < start_s[-1] + length_s[-1]:
            hours = 24.0 - (int(after) - int(before)) / 3600
            days.append((day_text(int(change) + int(before)), hours))
    return days
