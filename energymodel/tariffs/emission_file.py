"""Emission rates of the grid from a file: one for every hour of a year, or by month and hour."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.hour_series import HourSeries, Rows, hour_series, read_rows, values_on

_BY_HOUR = ["start", "rate"]
_BY_MONTH = ["month", *(str(hour) for hour in range(24))]
_MONTHS = 12
_NO_TIME, _ONE_DAY = np.timedelta64(0, "D"), np.timedelta64(1, "D")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EmissionFile:
    """Rates as they stand in a file, in its own unit.

    Parameters
    ----------
    name
        Of the file.
    by_month_and_hour
        Shape (12, 24): rows January to December, wall-clock hours; None in the other form.
    series
        By hour of one year; None in the other form.
    """

    name: str
    by_month_and_hour: Array | None = None
    series: HourSeries | None = None

    @property
    def year(self) -> int | None:
        """Calendar year of the hours; None: by month and hour."""
        if self.series is None:
            return None
        # in UTC the year of a place begins or ends a few hours into another one
        middle = np.sort(self.series.starts)[len(self.series.starts) // 2]
        return int(middle.astype("datetime64[Y]").astype(int)) + 1970

    @property
    def rates(self) -> Array:
        """All rates of the file."""
        if self.series is not None:
            return self.series.values
        return np.zeros(0) if self.by_month_and_hour is None else self.by_month_and_hour


def read_emission_file(path: str | Path) -> EmissionFile:
    """Read average emission rates.

    Parameters
    ----------
    path
        CSV with the heading "start,rate" (start of each hour by the wall clock,
        "2024-01-31 15:00", the hour that the autumn change repeats twice; or with its offset from
        UTC, "2024-01-31T15:00-05:00") or "month,0,1, ... 23" and twelve rows.

    Returns
    -------
    EmissionFile
        As in the file.

    Raises
    ------
    InputError
        If the file is missing, has another heading or shape, or holds no number or a negative one.
    """
    rows = read_rows(path)
    name = Path(path).name
    head = [cell.strip().lower() for cell in rows[0][1]] if rows else []
    if head not in (_BY_HOUR, _BY_MONTH):
        raise InputError(
            f"the heading {','.join(head)!r}",
            where=name,
            expected="start,rate for every hour, or month,0,1,2, ... 23",
        )
    values = [[_rate(cell, f"{name}, row {line}") for cell in row[1:]] for line, row in rows[1:]]
    if head == _BY_HOUR:
        return EmissionFile(name=name, series=_series(rows, name))
    return EmissionFile(name=name, by_month_and_hour=_table(name, values))


def _rate(cell: str, where: str) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value >= 0):
        raise InputError(f"the rate {cell.strip()!r}", where=where, expected="0 or more")
    return value


def _table(name: str, values: list[list[float]]) -> Array:
    if [len(row) for row in values] != [len(_BY_MONTH) - 1] * _MONTHS:
        raise InputError(
            f"{len(values)} rows", where=name, expected="twelve rows of a month and 24 rates"
        )
    return np.array(values)


def _series(rows: Rows, name: str) -> HourSeries:
    series = hour_series(rows, name=name, noun="rate")
    file = EmissionFile(name=name, series=series)
    first = np.datetime64(f"{file.year}-01-01", "m")
    after = np.datetime64(f"{(file.year or 0) + 1}-01-01", "m")
    spare = _ONE_DAY if series.utc is not None else _NO_TIME
    if series.starts.min() < first - spare or series.starts.max() >= after + spare:
        raise InputError(
            "the hours are not those of one year", where=name, expected="one calendar year"
        )
    return series


def rates_on(file: EmissionFile, clock: WallClock) -> Array:
    """Lay the rates of a file on the intervals of a clock.

    Parameters
    ----------
    file
        Rates.
    clock
        Of the rows; a file by the hour needs the clock of its own year.

    Returns
    -------
    Array
        Rate of each row, in the file's unit, shape (rows,).

    Raises
    ------
    InputError
        If an hour of the clock has no rate.
    """
    if file.series is not None:
        return values_on(file.series, clock)
    table = file.rates
    by_row: Array = table[clock.months - 1, clock.minutes // 60]
    return by_row
