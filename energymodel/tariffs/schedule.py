"""Which period of a charge each interval belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from energymodel.arrays import Index, Mask
from energymodel.errors import InputError
from energymodel.tariffs.windows import (
    KEYS_PER_YEAR,
    MONTH_NAMES,
    DayKind,
    Season,
    Window,
    any_of,
    date_key,
    season_holds,
    window_tables,
)

NO_PERIOD = -1


class Period(Protocol):
    """What has a name and windows."""

    @property
    def name(self) -> str:
        """Name on the bill."""

    @property
    def when(self) -> tuple[Window, ...]:
        """Windows; empty: all hours that no other period claims."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hours:
    """Intervals as the look-up tables of windows see them.

    Parameters
    ----------
    keys
        Date within the year, shape (intervals,).
    kinds
        Kind of day, shape (intervals,).
    minutes
        Minute of the day at the start, shape (intervals,).
    seasons
        All seasons of the tariff.
    """

    keys: Index
    kinds: Index
    minutes: Index
    seasons: tuple[Season, ...]

    def hold(self, window: Window) -> Mask:
        """Intervals that start inside a window.

        Parameters
        ----------
        window
            Season, days and hours.

        Returns
        -------
        Mask
            Shape (intervals,).
        """
        tables = window_tables(window, self.seasons)
        held: Mask = tables.dates[self.keys] & tables.days[self.kinds]
        if window.hours:
            held &= tables.minutes[self.minutes]
        return held

    def hold_any(self, windows: Sequence[Window]) -> Mask:
        """Intervals that start inside any of several windows.

        Parameters
        ----------
        windows
            Empty: all intervals.

        Returns
        -------
        Mask
            Shape (intervals,).
        """
        if not windows:
            return np.ones(len(self.keys), dtype=np.bool_)
        return any_of([self.hold(window) for window in windows])


def period_index(periods: Sequence[Period], hours: Hours) -> Index:
    """Find the period of each interval.

    Parameters
    ----------
    periods
        Of one charge; they do not overlap.
    hours
        The intervals.

    Returns
    -------
    Index
        Shape (intervals,); NO_PERIOD where none holds.
    """
    index = np.full(len(hours.keys), NO_PERIOD, dtype=np.intp)
    for number, period in enumerate(periods):
        if period.when:
            index[hours.hold_any(period.when)] = number
    for number, period in enumerate(periods):
        if not period.when:
            index[index == NO_PERIOD] = number
    return index


def whole_index(periods: Sequence[Period], hours: Hours, *, where: str) -> Index:
    """Find the period of each interval, where each must have one.

    Parameters
    ----------
    periods
        Of one charge that prices energy.
    hours
        The intervals.
    where
        Name of the charge, for messages.

    Returns
    -------
    Index
        Shape (intervals,); never NO_PERIOD: all energy is billed.

    Raises
    ------
    InputError
        If an interval lies in no period.
    """
    index = period_index(periods, hours)
    outside = np.flatnonzero(index == NO_PERIOD)
    if outside.size:
        raise InputError(
            f"{outside.size:,} intervals lie in no period and would not be billed, the first at"
            f" {_example(hours, int(outside[0]))}",
            where=where,
            expected="one period without `when`, which takes the hours that are left",
        )
    return index


def all_hours_of_a_year(
    windows: Sequence[Window], seasons: tuple[Season, ...], *, holidays: bool
) -> Hours:
    """One interval for each combination of date, day and hour that windows can tell apart.

    Parameters
    ----------
    windows
        That will be looked at.
    seasons
        All seasons of the tariff.
    holidays
        Whether holidays are a kind of day of their own.

    Returns
    -------
    Hours
        Few intervals that stand for all.
    """
    held = [season_holds(season, seasons) for season in seasons]
    tables = np.array(held or [np.ones(KEYS_PER_YEAR, bool)])
    days = np.arange("2024-01-01", "2025-01-01", dtype="datetime64[D]").tolist()  # a leap year
    real = np.array([date_key(day.month, day.day) for day in days])
    keys = real[np.unique(tables[:, real], axis=1, return_index=True)[1]]
    edges = {0} | {span.from_minute for window in windows for span in window.hours}
    edges |= {span.to_minute for window in windows for span in window.hours} - {1440}
    kinds = np.arange(len(DayKind) if holidays else int(DayKind.HOLIDAY))
    grid = np.meshgrid(keys, kinds, np.array(sorted(edges)), indexing="ij")
    flat = [axis.ravel().astype(np.intp) for axis in grid]
    return Hours(keys=flat[0], kinds=flat[1], minutes=flat[2], seasons=seasons)


def check_cover(periods: Sequence[Period], hours: Hours, *, whole: bool) -> list[InputError]:
    """Find hours that two periods claim, and hours that none does.

    Parameters
    ----------
    periods
        Of one charge.
    hours
        Intervals that stand for all.
    whole
        Whether every hour must have a period.

    Returns
    -------
    list of InputError
        At most one of each kind, with an example.
    """
    claims = [hours.hold_any(period.when) for period in periods if period.when]
    names = [period.name for period in periods if period.when]
    count = np.sum(claims, axis=0) if claims else np.zeros(len(hours.keys))
    faults = []
    if (count > 1).any():
        first = int(np.flatnonzero(count > 1)[0])
        both = [name for name, claim in zip(names, claims, strict=True) if claim[first]]
        faults.append(
            InputError(
                f'{_example(hours, first)} lies in "{both[0]}" and in "{both[1]}"',
                expected="periods that do not overlap",
            )
        )
    if whole and all(period.when for period in periods) and (count == 0).any():
        first = int(np.flatnonzero(count == 0)[0])
        faults.append(
            InputError(
                f"{_example(hours, first)} lies in no period",
                expected="one period without `when`, which takes the hours that are left",
            )
        )
    return faults


def _example(hours: Hours, number: int) -> str:
    month, day = divmod(int(hours.keys[number]), date_key(1, 0))
    minute = int(hours.minutes[number])
    kind = DayKind(int(hours.kinds[number])).name.capitalize()
    date = f"{day} {MONTH_NAMES[month - 1]}"
    return f"{minute // 60}:{minute % 60:02d} on a {kind} (if {date} is one)"
