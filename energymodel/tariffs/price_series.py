"""Hourly price series from a file, laid on the hours of a clock."""

from __future__ import annotations

from pathlib import Path

from energymodel.arrays import Array
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.hour_series import HourSeries, hour_series, read_rows, values_on


def read_price_series(path: str | Path) -> HourSeries:
    """Read a series of hourly prices.

    Parameters
    ----------
    path
        CSV with the heading "start,price": start of each hour by the wall clock
        ("2024-01-31 15:00", the hour that the autumn change repeats twice, in order) or with its
        offset from UTC ("2024-01-31T15:00-05:00"), and money per unit.

    Returns
    -------
    HourSeries
        As in the file.

    Raises
    ------
    InputError
        If the file is missing, its heading is another, a cell cannot be read, or an hour stands
        twice.
    """
    return hour_series(read_rows(path), name=Path(path).name, noun="price")


def prices_on(series: HourSeries, clock: WallClock) -> Array:
    """Lay a series on the intervals of a clock.

    Parameters
    ----------
    series
        From a file.
    clock
        Of the rows.

    Returns
    -------
    Array
        Money per unit at each row, shape (rows,).

    Raises
    ------
    InputError
        If an hour of the clock has no price.
    """
    return values_on(series, clock)
