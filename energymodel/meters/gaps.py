"""Stretches of a meter file without values, in the file's own labels."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from energymodel.arrays import Mask
from energymodel.meters.wall_clock import Seconds


class RowSource(Protocol):
    """Rows of a file, found by their line or reading."""

    @property
    def noun(self) -> str:
        """What rows are counted by: "line" or "reading"."""

    def label(self, row: int) -> str:
        """Return the label of a row as the file has it.

        Parameters
        ----------
        row
            Line or reading.

        Returns
        -------
        str
            Quoted.
        """

    def is_blank(self, row: int) -> bool:
        """Return whether a row stands in the file with a blank value.

        Parameters
        ----------
        row
            Line or reading.

        Returns
        -------
        bool
            False where something else stands for the missing value.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """One stretch without values.

    Parameters
    ----------
    hours
        Its length, h.
    row
        Line or reading to look at, with its noun ("line 12").
    words
        What is missing, in the file's own labels.
    """

    hours: float
    row: str
    words: str

    def __str__(self) -> str:
        return f"{self.words} ({self.hours:g} h)"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Listed:
    """Intervals of a file with those that have no value.

    Parameters
    ----------
    start_s, length_s
        Start (UTC) and length of each interval, s, rising, shape (intervals,).
    row
        Line or reading of each interval, shape (intervals,).
    known
        Whether it has a value, shape (intervals,).
    source
        The rows of the file.
    """

    start_s: Seconds
    length_s: Seconds
    row: Seconds
    known: Mask
    source: RowSource


def find_gaps(listed: Listed) -> tuple[Gap, ...]:
    """Find what lies between intervals with values.

    Parameters
    ----------
    listed
        Intervals, not overlapping.

    Returns
    -------
    tuple of Gap
        In order of time; before the first value and behind the last one nothing is missing.
    """
    places = np.flatnonzero(listed.known)
    ends = listed.start_s + listed.length_s
    missing = listed.start_s[places[1:]] - ends[places[:-1]]
    return tuple(
        _gap(listed, int(places[hole]), int(places[hole + 1])) for hole in np.flatnonzero(missing)
    )


def _gap(listed: Listed, before: int, after: int) -> Gap:
    first = int(listed.start_s[before] + listed.length_s[before])
    missing_s = int(listed.start_s[after]) - first
    empty = range(before + 1, after)
    covered_s = sum(int(listed.length_s[place]) for place in empty)
    hours = missing_s / 3600.0
    if covered_s == missing_s and empty:
        words, place = _empty_words(listed, empty), empty[0]
    else:
        count = f"{len(empty)} rows" if len(empty) > 1 else "one row"
        also = f", with {count} without a value between" if empty else ""
        words = f"after {_named(listed, before)} comes {_named(listed, after)}{also}"
        place = after
    return Gap(hours=hours, row=f"{listed.source.noun} {listed.row[place]}", words=words)


def _named(listed: Listed, place: int) -> str:
    row = int(listed.row[place])
    return f"{listed.source.label(row)} ({listed.source.noun} {row})"


def _empty_words(listed: Listed, empty: range) -> str:
    rows = [int(listed.row[place]) for place in empty]
    blank = all(listed.source.is_blank(row) for row in rows)
    what = "blank" if blank else "a code for no value" if len(rows) == 1 else "without a value"
    if len(rows) == 1:
        return f"the value of {_named(listed, empty[0])} is {what}"
    return (
        f"the values of {len(rows)} rows from {_named(listed, empty[0])} to "
        f"{_named(listed, empty[-1])} are {what}"
    )
