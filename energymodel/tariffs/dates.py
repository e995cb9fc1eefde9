"""Parts of calendar dates as numbers."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from energymodel.arrays import Array, Index
from energymodel.tariffs.windows import date_key

Dates: TypeAlias = NDArray[np.datetime64]


def months_of(dates: Dates) -> Index:
    """Calendar month of dates.

    Parameters
    ----------
    dates
        datetime64, any shape.

    Returns
    -------
    Index
        1..12, same shape.
    """
    months: Index = dates.astype("datetime64[M]").astype(np.intp) % 12 + 1
    return months


def date_keys(dates: Dates) -> Index:
    """Return the number of each date within its year.

    Parameters
    ----------
    dates
        datetime64[D], any shape.

    Returns
    -------
    Index
        As :func:`energymodel.tariffs.windows.date_key`, same shape.
    """
    return months_of(dates) * date_key(1, 0) + day_of_month(dates)


def day_of_month(dates: Dates) -> Index:
    """Return the day of the month of dates.

    Parameters
    ----------
    dates
        datetime64[D], any shape.

    Returns
    -------
    Index
        1..31, same shape.
    """
    day: Index = (dates - dates.astype("datetime64[M]").astype("datetime64[D]")).astype(np.intp) + 1
    return day


def month_starts(months: Dates) -> Dates:
    """Return the first date of calendar months.

    Parameters
    ----------
    months
        datetime64 of any unit, any shape.

    Returns
    -------
    Dates
        datetime64[D], same shape.
    """
    return months.astype("datetime64[M]").astype("datetime64[D]")


def month_lengths(dates: Dates) -> Array:
    """Return the number of days in the calendar month of dates.

    Parameters
    ----------
    dates
        datetime64, any shape.

    Returns
    -------
    Array
        28 to 31, same shape.
    """
    after = dates.astype("datetime64[M]") + np.timedelta64(1, "M")
    return (after.astype("datetime64[D]") - month_starts(dates)).astype(np.float64)
