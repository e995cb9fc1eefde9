"""A mild, a typical and the coldest heating day of a year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.weather.year import WeatherYear

HOURS_OF_DAY = 24


class DayKind(Enum):
    """Which day of the heating season."""

    MILD = "mild"
    TYPICAL = "typical"
    COLDEST = "coldest"


_HEAT_ON_MILDER_DAYS = {DayKind.MILD: 0.15, DayKind.TYPICAL: 0.50}
"""Share of the year's heat that falls on milder days (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One day of the weather year.

    Parameters
    ----------
    kind
        Why it was picked.
    first_hour
        Row of its first hour.
    date
        As printed, such as "12 Feb".
    mean_c, coldest_c
        Mean and lowest outdoor temperature, degC.
    """

    kind: DayKind
    first_hour: int
    date: str
    mean_c: float
    coldest_c: float


def pick_days(weather: WeatherYear, load_w: Array) -> tuple[Day, ...]:
    """Pick a mild, a typical and the coldest heating day.

    Parameters
    ----------
    weather
        A complete year.
    load_w
        Heating load of each hour, W.

    Returns
    -------
    tuple of Day
        15 % of the year's heat falls on days milder than the first, half on days milder than the
        second; the third has the largest load.
    """
    daily = load_w.reshape(-1, HOURS_OF_DAY).sum(axis=1)
    order = np.argsort(daily, kind="stable")
    share = np.cumsum(daily[order]) / daily.sum()
    picked = {
        kind: int(order[np.searchsorted(share, wanted)])
        for kind, wanted in _HEAT_ON_MILDER_DAYS.items()
    }
    picked[DayKind.COLDEST] = int(order[-1])
    return tuple(_day(kind, weather, row) for kind, row in picked.items())


def _day(kind: DayKind, weather: WeatherYear, row: int) -> Day:
    first = row * HOURS_OF_DAY
    outdoor_c = weather.outdoor_c[first : first + HOURS_OF_DAY]
    stamp = weather.table.index[first]
    return Day(
        kind=kind,
        first_hour=first,
        date=f"{stamp.day} {stamp:%b}",
        mean_c=float(outdoor_c.mean()),
        coldest_c=float(outdoor_c.min()),
    )


def hours_of(days: Sequence[Day]) -> Index:
    """Rows of the weather year that some days cover.

    Parameters
    ----------
    days
        Of one year.

    Returns
    -------
    Index
        Shape (24 x days,).
    """
    starts = np.array([day.first_hour for day in days])
    hours: Index = (starts[:, np.newaxis] + np.arange(HOURS_OF_DAY)).reshape(-1)
    return hours
