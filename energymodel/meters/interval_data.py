"""Energy by interval as a meter recorded it, and its sums by hour and by month."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from energymodel.arrays import Array, frozen
from energymodel.meters.gaps import Gap
from energymodel.meters.import_report import ImportReport, MeterError
from energymodel.meters.wall_clock import Seconds
from energymodel.notices import Notice, UsedDefault

Moments: TypeAlias = NDArray[np.datetime64]
Commodity: TypeAlias = Literal["electricity", "gas"]
HOUR_S = 3600


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourlyUse:
    """Energy by hour of local standard time, without breaks from the first hour to the last.

    Parameters
    ----------
    start_local
        Start of each hour, local standard time, shape (hours,).
    standard_offset_s
        Local standard time less UTC, s.
    import_kwh, export_kwh
        Energy from and to the grid, kWh, shape (hours,); nan where the file has nothing at all.
    covered_share
        Share of each hour that the file covers, 0 to 1, shape (hours,).
    """

    start_local: Moments
    standard_offset_s: int
    import_kwh: Array
    export_kwh: Array
    covered_share: Array

    @property
    def complete(self) -> bool:
        """Whether every hour is covered in full."""
        return bool((self.covered_share > 1.0 - 1e-9).all())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MonthlyUse:
    """Energy by calendar month of local standard time.

    Parameters
    ----------
    month
        Months, without breaks from the first to the last, shape (months,).
    import_kwh, export_kwh
        Energy from and to the grid, kWh, shape (months,); nan where the file has nothing at all.
    covered_share
        Share of each month that the file covers, 0 to 1, shape (months,).
    """

    month: Moments
    import_kwh: Array
    export_kwh: Array
    covered_share: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class IntervalData:
    """Energy by interval.

    Parameters
    ----------
    name
        File name.
    commodity
        "electricity", or "gas" (kWh of fuel, higher heating value, in `import_kwh`).
    zone
        Clock of the place in words.
    standard_offset_s
        Local standard time less UTC, s.
    start_utc
        Start of each interval, UTC, rising, shape (intervals,).
    length_s
        Length of each interval, s, shape (intervals,).
    import_kwh, export_kwh
        Energy from and to the grid, kWh, both >= 0, shape (intervals,).
    report
        What was repaired, and how the file was read.
    quality
        Number of readings by quality, as far as the file states it.
    cost
        Cost that the file states for each interval, in `currency`; None if it states none.
    currency
        ISO 4217 letters.
    gaps
        Stretches without values between the first and the last interval.
    notices, defaults
        What the reader of a result should know.
    """

    name: str
    commodity: Commodity
    zone: str
    standard_offset_s: int
    start_utc: Moments
    length_s: Seconds
    import_kwh: Array
    export_kwh: Array
    report: ImportReport
    quality: Mapping[str, int] = field(default_factory=dict)
    cost: Array | None = None
    currency: str | None = None
    gaps: tuple[Gap, ...] = ()
    notices: tuple[Notice, ...] = ()
    defaults: tuple[UsedDefault, ...] = ()

    @property
    def start_local(self) -> Moments:
        """Start of each interval, local standard time, shape (intervals,)."""
        return self.start_utc + np.timedelta64(self.standard_offset_s, "s")

    @property
    def total_import_kwh(self) -> float:
        """Energy from the grid in all intervals, kWh."""
        return math.fsum(self.import_kwh)

    @property
    def total_export_kwh(self) -> float:
        """Energy to the grid in all intervals, kWh."""
        return math.fsum(self.export_kwh)

    @property
    def total_cost(self) -> float | None:
        """Stated cost of all intervals in `currency`; None if the file states none."""
        return None if self.cost is None else math.fsum(self.cost[~np.isnan(self.cost)])

    def hourly(self) -> HourlyUse:
        """Sum the intervals by hour of local standard time.

        Returns
        -------
        HourlyUse
            The same total. An interval that crosses the full hour is divided by time.

        Raises
        ------
        MeterError
            If an interval is longer than an hour: its hours are not known.
        """
        if (self.length_s > HOUR_S).any():
            raise MeterError(
                f"the intervals last up to {int(self.length_s.max()) / HOUR_S:g} h",
                where=self.name,
                expected="intervals of an hour or less",
                remedy="use the monthly sums and spread them by a stated profile",
            )
        start = self.start_local.astype(np.int64)
        first = int(start[0]) // HOUR_S
        last = -(-int(start[-1] + self.length_s[-1]) // HOUR_S)
        edges = np.arange(first, last + 1, dtype=np.int64) * HOUR_S
        sums = self._sums(edges)
        return HourlyUse(
            start_local=(edges[:-1] // HOUR_S).astype("datetime64[h]"),
            standard_offset_s=self.standard_offset_s,
            import_kwh=sums[0],
            export_kwh=sums[1],
            covered_share=sums[2],
        )

    def monthly(self) -> MonthlyUse:
        """Sum the intervals by calendar month of local standard time.

        Returns
        -------
        MonthlyUse
            The same total. An interval that crosses midnight at a month's end is divided by time.
        """
        start = self.start_local
        ends = start + self.length_s.astype("timedelta64[s]")
        last = (ends[-1] - np.timedelta64(1, "s")).astype("datetime64[M]")
        month = np.arange(start[0].astype("datetime64[M]"), last + 1)
        edges = np.append(month, last + 1).astype("datetime64[s]").astype(np.int64)
        sums = self._sums(edges)
        return MonthlyUse(
            month=month, import_kwh=sums[0], export_kwh=sums[1], covered_share=sums[2]
        )

    def _sums(self, edges: Seconds) -> tuple[Array, Array, Array]:
        start = self.start_local.astype(np.int64)
        covered = summed_between(start, self.length_s, self.length_s.astype(np.float64), edges)
        sums = []
        for values in (self.import_kwh, self.export_kwh):
            total = summed_between(start, self.length_s, values, edges)
            total[covered == 0.0] = np.nan
            sums.append(frozen(total))
        return sums[0], sums[1], frozen(covered / np.diff(edges))


def summed_between(start_s: Seconds, length_s: Seconds, values: Array, edges_s: Seconds) -> Array:
    """Sum the values of intervals between edges; what crosses an edge is divided by time.

    Parameters
    ----------
    start_s
        Start of each interval, s, shape (intervals,).
    length_s
        Length of each interval, s, shape (intervals,).
    values
        Value of each interval, shape (intervals,).
    edges_s
        Rising edges that enclose all intervals, s, shape (sums + 1,).

    Returns
    -------
    Array
        Sums, shape (sums,). The pieces of a divided value add up to it.
    """
    end = start_s + length_s
    first = np.searchsorted(edges_s, start_s, side="right") - 1
    last = np.searchsorted(edges_s, end, side="left") - 1
    sums: Array = np.zeros(edges_s.size - 1)
    rest = values.astype(np.float64)
    for step in range(int((last - first).max(initial=0))):
        crossing = np.flatnonzero(last - first > step)
        cell = first[crossing] + step
        inside = edges_s[cell + 1] - np.maximum(edges_s[cell], start_s[crossing])
        piece = values[crossing] * inside / length_s[crossing]
        np.add.at(sums, cell, piece)
        rest[crossing] -= piece
    np.add.at(sums, last, rest)
    return sums
