"""Missing hours: short ones interpolated and listed, longer ones refused or filled by name."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import WeatherError
from energymodel.notices import Notice
from energymodel.weather.grid import YearGrid, runs_of

LONGEST_LINEAR_H = 3
"""Gaps up to this many hours are interpolated (our choice; every one is listed)."""
_LISTED = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GapFill:
    """What replaces the gaps that are too long to interpolate without asking.

    Parameters
    ----------
    name
        What the values are, as printed: "the same hours of Newark 2013".
    outdoor_c
        Outdoor temperature for every hour of the year, degC, nan where the fill has none either.
    relative_humidity_pct
        Relative humidity for every hour of the year, %, or nan.
    longest_linear_h
        Gaps up to this many hours are interpolated instead.
    """

    name: str
    outdoor_c: Array
    relative_humidity_pct: Array
    longest_linear_h: int = LONGEST_LINEAR_H

    def of_temperature(self) -> ColumnFill:
        """Return the fill of the outdoor temperature."""
        return ColumnFill(
            name=self.name, values=self.outdoor_c, longest_linear_h=self.longest_linear_h
        )

    def of_humidity(self) -> ColumnFill:
        """Return the fill of the relative humidity."""
        return ColumnFill(
            name=self.name,
            values=self.relative_humidity_pct,
            longest_linear_h=self.longest_linear_h,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColumnFill:
    """What replaces the long gaps of one column.

    Parameters
    ----------
    name
        What the values are, as printed.
    values
        One value for every hour of the year, nan where the fill has none either.
    longest_linear_h
        Gaps up to this many hours are interpolated instead.
    """

    name: str
    values: Array
    longest_linear_h: int


def fill_gaps(
    values: Array, grid: YearGrid, *, noun: str, fill: ColumnFill | None = None
) -> tuple[Array, tuple[Notice, ...]]:
    """Interpolate short gaps, fill or refuse long ones.

    Parameters
    ----------
    values
        One value per hour of the year, nan = missing, shape (hours,).
    grid
        The hours and their lines.
    noun
        "outdoor temperature" or "relative humidity".
    fill
        What replaces long gaps; None refuses them.

    Returns
    -------
    tuple
        The complete column, and one notice per kind of repair.

    Raises
    ------
    WeatherError
        If a gap is too long and no fill has values for it.

    Notes
    -----
    Linear between the hours on both sides. At the ends of an observed year the nearest hour is
    held; a typical year is closed, so 31 December meets 1 January.
    """
    missing = np.isnan(values)
    if not missing.any():
        return values, ()
    limit = LONGEST_LINEAR_H if fill is None else fill.longest_linear_h
    gaps = runs_of(missing)
    long = [gap for gap in gaps if gap[1] > limit]
    short = [gap for gap in gaps if gap[1] <= limit]
    _refuse_unfilled(long, grid, noun, fill)
    filled = values.copy()
    notices = []
    if fill is not None and long:
        for first, length in long:
            filled[first : first + length] = fill.values[first : first + length]
        notices.append(_notice(long, grid, noun, f"taken from {fill.name}"))
    if short:
        filled = _interpolated(filled, grid)
        held = any(first == 0 or first + length == values.size for first, length in short)
        edge = (
            "; at the ends of the year the nearest hour is held"
            if held and not grid.typical
            else ""
        )
        notices.append(_notice(short, grid, noun, f"filled by linear interpolation{edge}"))
    return filled, tuple(notices)


def _interpolated(values: Array, grid: YearGrid) -> Array:
    known = np.flatnonzero(~np.isnan(values))
    period = float(values.size) if grid.typical else None
    result: Array = np.interp(np.arange(values.size), known, values[known], period=period)
    return np.where(np.isnan(values), result, values)


def _refuse_unfilled(
    gaps: list[tuple[int, int]], grid: YearGrid, noun: str, fill: ColumnFill | None
) -> None:
    if fill is not None:
        gaps = [gap for gap in gaps if np.isnan(fill.values[gap[0] : gap[0] + gap[1]]).any()]
    if not gaps:
        return
    first, length = gaps[0]
    limit = LONGEST_LINEAR_H if fill is None else fill.longest_linear_h
    hours = sum(gap[1] for gap in gaps)
    which = f"{len(gaps)} gaps" if len(gaps) > 1 else "one gap"
    raise WeatherError(
        f"{hours} hours of {noun} are missing in {which} longer than {limit} h; the first "
        f"begins at {grid.label(first)} and lasts {length} h",
        where=grid.at(first),
        expected=f"a complete year; gaps up to {limit} h are interpolated and listed",
        remedy=_leap_day_remedy(gaps, grid)
        + "use another year or station, or name a weather year to fill the gaps from",
    )


def _leap_day_remedy(gaps: list[tuple[int, int]], grid: YearGrid) -> str:
    if [grid.label(first)[5:] for first, length in gaps if length == 24] != ["02-29 00:00"]:
        return ""
    return "the file leaves out 29 February: get it again with the leap day; or "


def _notice(gaps: list[tuple[int, int]], grid: YearGrid, noun: str, how: str) -> Notice:
    hours = sum(length for _, length in gaps)
    places = [f"{grid.label(first)} ({length} h)" for first, length in gaps[:_LISTED]]
    if len(gaps) > _LISTED:
        places.append(f"and {len(gaps) - _LISTED} more")
    return Notice(
        topic="weather",
        text=f"{grid.name}: {hours} missing hour{'s' if hours != 1 else ''} of {noun} {how}: "
        + ", ".join(places)
        + ".",
    )
