"""The rows of a file, and the hours of the year that they describe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np

from energymodel.arrays import Array, Index, Mask
from energymodel.errors import WeatherError
from energymodel.weather.grid import HourNumbers, YearGrid, hour_label, runs_of, year_hours

TYPICAL_CALENDAR_YEAR = 2001
"""Calendar year on which every typical year is indexed: not a leap year, begins on a Monday."""

_LONGEST_YEAR_H = 366 * 24
_CLOCK_CHANGES = frozenset(
    {(3, 11), (3, 10), (4, 10), (4, 9), (3, 9), (9, 4), (10, 4), (10, 3), (10, 2), (9, 3)}
)
"""Months in which an hour is dropped and doubled: northern rules, then southern ones."""
Kind: TypeAlias = Literal["typical", "observed"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourlyRows:
    """The rows of a file in file order, nothing repaired yet.

    Parameters
    ----------
    name
        File or data set, for messages.
    hours
        START of each row's hour in local standard time, whole hours since 1970-01-01 00:00,
        shape (rows,).
    lines
        Line of each row in the file, from 1, shape (rows,).
    outdoor_c
        Outdoor temperature, degC, nan = missing, shape (rows,).
    relative_humidity_pct
        Relative humidity, %, nan = missing, shape (rows,); None if the file has no such column.
    irradiance_w_m2
        Columns `ghi_w_m2`, `dni_w_m2`, `dhi_w_m2` that the file has, each shape (rows,).
    """

    name: str
    hours: HourNumbers
    lines: HourNumbers
    outdoor_c: Array
    relative_humidity_pct: Array | None = None
    irradiance_w_m2: Mapping[str, Array] = field(default_factory=dict)


def lay_on_year(rows: HourlyRows, kind: Kind) -> tuple[YearGrid, Index]:
    """Find the hour of the year that each row describes.

    Parameters
    ----------
    rows
        Raw hours.
    kind
        "typical" or "observed".

    Returns
    -------
    tuple
        The year's hours with their file lines, and the hour of the year of each row.

    Raises
    ------
    WeatherError
        If there are no rows, rows of several years in an observed one, a 29 February in a typical
        one, or hours that stand twice.
    """
    if not rows.hours.size:
        raise WeatherError("there are no hours", where=rows.name, expected="8,760 hourly rows")
    if kind == "typical":
        position, hours = _typical_position(rows), year_hours(TYPICAL_CALENDAR_YEAR)
    else:
        year = _only_year(rows)
        hours = year_hours(year)
        position = (rows.hours - hours[0]).astype(np.intp)
    lines = np.zeros(hours.size, dtype=np.int64)
    lines[position] = rows.lines
    grid = YearGrid(name=rows.name, hours=hours, lines=lines, typical=kind == "typical")
    _refuse_doubled_hours(rows, position, grid)
    return grid, position


def calendar_years(hours: HourNumbers) -> HourNumbers:
    """Return the calendar year of each hour.

    Parameters
    ----------
    hours
        Whole hours since 1970-01-01 00:00, any shape.

    Returns
    -------
    HourNumbers
        Calendar year, same shape.
    """
    return hours.astype("datetime64[h]").astype("datetime64[Y]").astype(np.int64) + 1970


def kind_of_hours(hours: HourNumbers) -> Kind:
    """Say whether rows come from one real year or from months of several.

    Parameters
    ----------
    hours
        Start of each row's hour, whole hours since 1970-01-01 00:00, in file order.

    Returns
    -------
    str
        "typical" if the months come from different years, each month from one of them, and the
        years do not simply follow each other; else "observed".

    Notes
    -----
    A year that begins in July, or one whose clock is shifted so that some of its hours fall into
    the next, is observed: it is then refused for not being a calendar year.
    """
    years = calendar_years(hours)
    if years[0] == years[-1] and bool((years == years[0]).all()):
        return "observed"
    months = hours.astype("datetime64[h]").astype("datetime64[M]").astype(np.int64)
    once = np.unique(np.unique(months) % 12, return_counts=True)[1].max() == 1
    follows_on = bool((np.diff(hours) > 0).all()) and hours[-1] - hours[0] <= _LONGEST_YEAR_H
    return "typical" if once and not follows_on else "observed"


def _only_year(rows: HourlyRows) -> int:
    years = calendar_years(rows.hours)
    labels, counts = np.unique(years, return_counts=True)
    year = int(labels[np.argmax(counts)])
    outside = years != year
    if outside.any():
        first = int(np.argmax(outside))
        stamp = hour_label(int(rows.hours[first]), typical=False)
        raise WeatherError(
            f"{int(outside.sum())} of {years.size} rows are not of {year}, the first begins at "
            f"{stamp} local standard time",
            where=f"{rows.name}, line {rows.lines[first]}",
            expected="the hours of one calendar year in local standard time",
            remedy="cut the file to one calendar year; say whether its stamps are the start or "
            "the end of the hour, and that they are local, not UTC",
        )
    return year


def place_in_year(hours: HourNumbers) -> tuple[Index, Mask]:
    """Find the hour of a 365-day year by month, day and clock.

    Parameters
    ----------
    hours
        Whole hours since 1970-01-01 00:00, shape (rows,).

    Returns
    -------
    tuple
        Hour of the year, 0..8759, and where the day is a 29 February (placed on the 28th).
    """
    days = hours.astype("datetime64[h]").astype("datetime64[D]")
    months = days.astype("datetime64[M]")
    month = months.astype(np.int64) % 12
    day = (days - months).astype(np.int64)
    leap: Mask = (month == 1) & (day == 28)
    first_days = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])
    place: Index = ((first_days[month] + day - leap) * 24 + hours % 24).astype(np.intp)
    return place, leap


def _typical_position(rows: HourlyRows) -> Index:
    position, leap = place_in_year(rows.hours)
    if leap.any():
        first = int(np.argmax(leap))
        raise WeatherError(
            "a typical year has 365 days, but this file has a 29 February",
            where=f"{rows.name}, line {rows.lines[first]}",
            remedy="leave its 24 hours out, or read the file as one observed year",
        )
    return position


def _refuse_doubled_hours(rows: HourlyRows, position: Index, grid: YearGrid) -> None:
    times = np.bincount(position, minlength=grid.hours.size)
    doubled = np.flatnonzero(times > 1)
    if not doubled.size:
        return
    _refuse_daylight_saving(times, grid)
    hour = int(doubled[0])
    rows_there = rows.lines[position == hour]
    raise WeatherError(
        f"the hour {grid.label(hour)} stands {times[hour]} times"
        + (f", and {doubled.size - 1} more hours do" if doubled.size > 1 else ""),
        where=f"{rows.name}, line {rows_there[1]} (first in line {rows_there[0]})",
        expected="each hour once",
        remedy="leave out the repeated rows; half-hourly files must be averaged to hours first",
    )


def _refuse_daylight_saving(times: Index, grid: YearGrid) -> None:
    """Recognise wall-clock stamps: one night hour missing in spring, one doubled in autumn."""
    night = grid.hours % 24 <= 3
    doubled = np.flatnonzero(times > 1)
    missing = [first for first, length in runs_of(times == 0) if length == 1 and night[first]]
    month = grid.starts.astype("datetime64[M]").astype(np.int64) % 12 + 1
    if doubled.size != 1 or not night[doubled[0]]:
        return
    for hour in missing:
        pair = (int(month[hour]), int(month[doubled[0]]))
        if pair in _CLOCK_CHANGES:
            raise WeatherError(
                f"the hour {grid.label(hour)} is missing and {grid.label(int(doubled[0]))} stands "
                "twice: the stamps follow the wall clock, with daylight-saving time",
                where=grid.at(int(doubled[0])),
                expected="local standard time all year round",
                remedy="move the summer rows one hour back, or give each stamp its offset from "
                'UTC ("2013-07-01T00:00-04:00")',
            )


def placed(values: Array, position: Index, grid: YearGrid) -> Array:
    """Lay a column of rows on the hours of the year.

    Parameters
    ----------
    values
        One value per row, shape (rows,).
    position
        Hour of the year of each row, shape (rows,).
    grid
        The year.

    Returns
    -------
    Array
        Column with nan where the file has no row, shape (hours,).
    """
    column = np.full(grid.hours.size, np.nan)
    column[position] = values
    return column
