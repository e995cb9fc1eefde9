"""Emission rates of the grid from a file: one for every hour of a year, or by month and hour."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.tariffs.calendar import WallClock
from energymodel.tariffs.price_series import PriceSeries, prices_on

_BY_HOUR = ["start", "rate"]
_BY_MONTH = ["month", *(str(hour) for hour in range(24))]
_MONTHS = 12


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
        By wall-clock hour of one year; None in the other form.
    """

    name: str
    by_month_and_hour: Array | None = None
    series: PriceSeries | None = None

    @property
    def year(self) -> int | None:
        """Calendar year of the hours; None: by month and hour."""
        if self.series is None:
            return None
        return int(self.series.hours[0].astype("datetime64[Y]").astype(int)) + 1970

    @property
    def rates(self) -> Array:
        """All rates of the file."""
        if self.series is not None:
            return self.series.prices
        return np.zeros(0) if self.by_month_and_hour is None else self.by_month_and_hour


def read_emission_file(path: str | Path) -> EmissionFile:
    """Read average emission rates.

    Parameters
    ----------
    path
        CSV with the heading "start,rate" (wall-clock start of each hour, "2024-01-31 15:00") or
        "month,0,1, ... 23" and twelve rows.

    Returns
    -------
    EmissionFile
        As in the file.

    Raises
    ------
    InputError
        If the file is missing, has another heading or shape, or holds no number or a negative one.
    """
    file = Path(path)
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError("there is no such file", where=str(file)) from None
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"cannot be read: {error}", where=str(file)) from None
    rows = [row for row in csv.reader(text.splitlines()) if row]
    head = [cell.strip().lower() for cell in rows[0]] if rows else []
    if head not in (_BY_HOUR, _BY_MONTH):
        raise InputError(
            f"the heading {','.join(head)!r}",
            where=file.name,
            expected="start,rate for every hour, or month,0,1,2, ... 23",
        )
    values = [
        [_rate(cell, f"{file.name}, row {number}") for cell in row[1:]]
        for number, row in enumerate(rows[1:], start=2)
    ]
    if head == _BY_HOUR:
        return EmissionFile(name=file.name, series=_series(file.name, rows[1:], values))
    return EmissionFile(name=file.name, by_month_and_hour=_table(file.name, values))


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


def _series(name: str, rows: list[list[str]], values: list[list[float]]) -> PriceSeries:
    stamps = [_stamp(row, f"{name}, row {number}") for number, row in enumerate(rows, start=2)]
    hours = np.array(stamps, dtype="datetime64[h]")
    if not hours.size or np.unique(hours.astype("datetime64[Y]")).size != 1:
        raise InputError(
            "the hours are not those of one year", where=name, expected="one calendar year"
        )
    return PriceSeries(hours=hours, prices=np.array([row[0] for row in values]), name=name)


def _stamp(row: list[str], where: str) -> datetime:
    """Start of a whole hour."""
    try:
        stamp = datetime.strptime(row[0].strip().replace("T", " "), "%Y-%m-%d %H:%M")
    except ValueError:
        stamp = datetime.max
    if len(row) != len(_BY_HOUR) or stamp.minute:
        raise InputError(",".join(row), where=where, expected="2024-01-31 15:00,0.412")
    return stamp


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
        return prices_on(file.series, clock)
    table = file.rates
    by_row: Array = table[clock.months - 1, clock.minutes // 60]
    return by_row
