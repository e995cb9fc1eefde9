"""Whether the daily pattern of use keeps its hours when the clock changes.

Households follow the wall clock. Where a file has as many rows on the days of a change as on any
other, its labels alone do not say whether they follow the wall clock or stay on standard time;
the pattern of the weeks before and after the change may.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from energymodel.arrays import Array
from energymodel.meters.wall_clock import DAY_S, Seconds, ZoneClock

_FEWEST_DAYS, _MOST_DAYS = 7, 28
_LIKE = 0.5
"""Correlation that the better reading needs (our choice)."""
_CLEARER = 0.5
"""Largest share of the other reading's unexplained part that decides (our choice)."""


def followed_clock(
    local_s: Seconds, use: Array, clock: ZoneClock, *, step_s: int
) -> Literal["wall", "standard"] | None:
    """Tell from the daily pattern of use what labels follow.

    Parameters
    ----------
    local_s
        Start of each interval as labelled, s since 1970, shape (rows,).
    use
        Use of each interval, nan where missing, shape (rows,).
    clock
        Clock of the place.
    step_s
        Length of the intervals, s.

    Returns
    -------
    {"wall", "standard"} or None
        None: the weeks around the changes are too few or too unlike to tell.

    Notes
    -----
    Mean days of 7 to 28 days before and after each change are compared. Labels of the wall clock
    keep the pattern; labels of standard time show it moved by the change. The reading with the
    higher correlation r is taken if r is at least 0.5 and 1 - r at most half of the other's. Use
    that follows the sun instead, such as net values of a solar roof, misleads this test.
    """
    likeness = []
    for first, _end, change in zip(*clock.windows(), strict=True):
        day = int(first) // DAY_S * DAY_S
        before = _mean_day(local_s, use, (day - _MOST_DAYS * DAY_S, day), step_s)
        after = _mean_day(local_s, use, (day + DAY_S, day + (_MOST_DAYS + 1) * DAY_S), step_s)
        if before is not None and after is not None and change % step_s == 0:
            moved = np.roll(before, -int(change) // step_s)
            likeness.append((_correlation(before, after), _correlation(moved, after)))
    if not likeness:
        return None
    kept, moved_too = (float(np.mean(values)) for values in zip(*likeness, strict=True))
    if max(kept, moved_too) < _LIKE:
        return None
    if 1.0 - kept <= _CLEARER * (1.0 - moved_too):
        return "wall"
    return "standard" if 1.0 - moved_too <= _CLEARER * (1.0 - kept) else None


def _mean_day(local_s: Seconds, use: Array, span: tuple[int, int], step_s: int) -> Array | None:
    inside = (local_s >= span[0]) & (local_s < span[1]) & ~np.isnan(use)
    places = local_s[inside] % DAY_S // step_s
    count = np.bincount(places, minlength=DAY_S // step_s)
    if count.min() < _FEWEST_DAYS:
        return None
    total = np.bincount(places, use[inside], minlength=count.size)
    return np.asarray(total / count, dtype=np.float64)


def _correlation(one: Array, other: Array) -> float:
    one, other = one - one.mean(), other - other.mean()
    size = float(np.sqrt((one @ one) * (other @ other)))
    return float(one @ other) / size if size > 0.0 else 0.0
