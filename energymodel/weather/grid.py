"""The hours of one year, and where in the file each of them stood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from energymodel.arrays import Array, Mask

HourNumbers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class YearGrid:
    """Every hour of a calendar year, with the file line that described it.

    Parameters
    ----------
    name
        File or data set, for messages.
    hours
        Start of each hour, local standard time, whole hours since 1970-01-01 00:00, shape (hours,).
    lines
        File line of each hour, from 1; 0 where the file has no row; shape (hours,).
    typical
        True if the calendar year only carries a typical year.
    """

    name: str
    hours: HourNumbers
    lines: HourNumbers
    typical: bool

    @property
    def starts(self) -> NDArray[np.datetime64]:
        """Start of each hour, shape (hours,)."""
        return self.hours.astype("datetime64[h]")

    def label(self, index: int) -> str:
        """Return an hour as text.

        Parameters
        ----------
        index
            Hour of the year, from 0.

        Returns
        -------
        str
            "2013-03-04 05:00", without the year for a typical year.
        """
        return hour_label(int(self.hours[index]), typical=self.typical)

    def at(self, index: int) -> str:
        """Return the place of an hour in the file.

        Parameters
        ----------
        index
            Hour of the year, from 0.

        Returns
        -------
        str
            "room.csv, line 12", or "room.csv, after line 11" for an hour without a row.
        """
        if self.lines[index]:
            return f"{self.name}, line {self.lines[index]}"
        before = self.lines[:index]
        last = int(before[before > 0][-1]) if (before > 0).any() else 0
        return f"{self.name}, after line {last}" if last else f"{self.name}, before the first row"


def hour_label(hour: int, *, typical: bool) -> str:
    """Return the start of an hour as text.

    Parameters
    ----------
    hour
        Hours since 1970-01-01 00:00.
    typical
        Leave out the year, which means nothing in a typical year.

    Returns
    -------
    str
        For example "2013-03-04 05:00".
    """
    text = str(np.datetime64(hour, "h").astype("datetime64[m]")).replace("T", " ")
    return text[5:] if typical else text


def runs_of(mask: Mask) -> list[tuple[int, int]]:
    """Return the unbroken stretches of a mask.

    Parameters
    ----------
    mask
        True inside a stretch, shape (hours,).

    Returns
    -------
    list of tuple
        (first index, length) of each stretch, in order.

    Examples
    --------
    >>> runs_of(np.array([True, False, True, True]))
    [(0, 1), (2, 2)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([False], mask, [False])).astype(np.int8)))
    return [(int(a), int(b - a)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def year_hours(year: int) -> HourNumbers:
    """Return all hours of a calendar year.

    Parameters
    ----------
    year
        Calendar year.

    Returns
    -------
    HourNumbers
        Whole hours since 1970-01-01 00:00, shape (8760,) or (8784,).
    """
    first, after = (
        np.datetime64(f"{label:04d}-01-01T00", "h").astype(np.int64) for label in (year, year + 1)
    )
    return np.arange(first, after, dtype=np.int64)


def shifted(values: Array, hours: int) -> Array:
    """Return the values that stood a number of hours earlier; nan before the first.

    Parameters
    ----------
    values
        Hourly column, shape (hours,).
    hours
        How much earlier; negative means later.

    Returns
    -------
    Array
        Same shape.
    """
    result = np.full_like(values, np.nan)
    if hours >= 0:
        result[hours:] = values[: values.size - hours]
    else:
        result[:hours] = values[-hours:]
    return result
