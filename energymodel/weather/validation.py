"""From the raw hours of any file to a complete, checked weather year.

Every reader ends here, so the rules for gaps, doubled hours, clocks, ranges and units are the same
for all formats.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from energymodel.arrays import Array, Index
from energymodel.notices import Notice
from energymodel.weather.gaps import LONGEST_LINEAR_H, GapFill, fill_gaps
from energymodel.weather.grid import YearGrid, runs_of
from energymodel.weather.plausibility import (
    check_site,
    check_temperature_range,
    check_whole_year,
    checked_humidity,
    without_spikes,
)
from energymodel.weather.rows import (
    TYPICAL_CALENDAR_YEAR,
    HourlyRows,
    Kind,
    lay_on_year,
    place_in_year,
    placed,
)
from energymodel.weather.year import Site, WeatherYear

__all__ = [
    "TYPICAL_CALENDAR_YEAR",
    "HourlyRows",
    "Kind",
    "columns_of_rows",
    "complete_year",
    "with_notice",
]

_STRONGEST_SUN_W_M2 = 2000.0


def complete_year(
    rows: HourlyRows,
    *,
    site: Site,
    kind: Kind,
    source: str,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Check the rows of a file and make a complete year of them.

    Parameters
    ----------
    rows
        Raw hours.
    site
        Place.
    kind
        "typical" (months of several years, laid on `TYPICAL_CALENDAR_YEAR`, no 29 February) or
        "observed" (one calendar year).
    source
        Document, file or data set, with its licence where known.
    fill
        What replaces gaps longer than three hours: another weather year, or a declared fill. None
        refuses them.

    Returns
    -------
    WeatherYear
        8,760 or 8,784 hours; every repair is one of its notices.

    Raises
    ------
    WeatherError
        If hours are doubled or missing for longer than the fill allows, the clock is on
        daylight-saving time, or a value cannot be true.
    """
    check_site(site, where=rows.name)
    grid, position = lay_on_year(rows, kind)
    chosen = _as_gap_fill(fill, grid)
    outdoor = placed(rows.outdoor_c, position, grid)
    check_temperature_range(outdoor, grid)
    outdoor, spikes = without_spikes(outdoor, grid)
    humidity, damp = _humidity(rows, position, grid)
    outdoor, humidity, gaps = _filled(outdoor, humidity, grid, chosen)
    steady = check_whole_year(outdoor, grid)
    sun, dark = _irradiance(rows, position, grid)
    return WeatherYear(
        site=site,
        starts=grid.starts.astype("datetime64[s]"),
        columns={"outdoor_c": outdoor, "relative_humidity_pct": humidity, **sun},
        kind=kind,
        source=source,
        notices=(*_order_notice(rows, position), *spikes, *gaps, *steady, *damp, *dark),
    )


def columns_of_rows(rows: HourlyRows, kind: Kind) -> tuple[YearGrid, dict[str, Array]]:
    """Lay the rows of a file on their year and repair nothing.

    Parameters
    ----------
    rows
        Raw hours.
    kind
        "typical" or "observed".

    Returns
    -------
    tuple
        The hours of the year, and the columns `outdoor_c` and `relative_humidity_pct`, each shape
        (hours,); nan where the file has nothing.

    Raises
    ------
    WeatherError
        As `lay_on_year`.
    """
    grid, position = lay_on_year(rows, kind)
    humidity = rows.relative_humidity_pct
    if humidity is None:
        humidity = np.full(rows.hours.size, np.nan)
    columns = {"outdoor_c": rows.outdoor_c, "relative_humidity_pct": humidity}
    return grid, {name: placed(values, position, grid) for name, values in columns.items()}


def with_notice(year: WeatherYear, notice: Notice) -> WeatherYear:
    """Return the same year with one notice more.

    Parameters
    ----------
    year
        Complete year.
    notice
        What its reader should know besides.

    Returns
    -------
    WeatherYear
        Copy; the hours are shared.
    """
    return replace(year, notices=(*year.notices, notice))


def _filled(
    outdoor: Array, humidity: Array, grid: YearGrid, fill: GapFill | None
) -> tuple[Array, Array, tuple[Notice, ...]]:
    """Fill both columns; gaps that they share are listed once."""
    together = np.array_equal(np.isnan(outdoor), np.isnan(humidity))
    outdoor, listed = fill_gaps(
        outdoor,
        grid,
        noun="outdoor temperature" + " and relative humidity" * together,
        fill=fill.of_temperature() if fill else None,
    )
    if np.isnan(humidity).all():
        return outdoor, humidity, listed
    humidity, damp = fill_gaps(
        humidity, grid, noun="relative humidity", fill=fill.of_humidity() if fill else None
    )
    return outdoor, humidity, listed if together else (*listed, *damp)


def _humidity(
    rows: HourlyRows, position: Index, grid: YearGrid
) -> tuple[Array, tuple[Notice, ...]]:
    column = rows.relative_humidity_pct
    if column is None or np.isnan(column).all():
        text = f"{rows.name} has no relative humidity; what depends on it uses a stated default."
        return np.full(grid.hours.size, np.nan), (Notice(topic="weather", text=text),)
    return checked_humidity(placed(column, position, grid), grid)


def _irradiance(
    rows: HourlyRows, position: Index, grid: YearGrid
) -> tuple[dict[str, Array], tuple[Notice, ...]]:
    kept: dict[str, Array] = {}
    notices: list[Notice] = []
    for name, values in rows.irradiance_w_m2.items():
        column = placed(values, position, grid)
        wrong = (column < 0.0) | (column > _STRONGEST_SUN_W_M2)
        gaps = runs_of(np.isnan(column))
        if wrong.any() or any(length > LONGEST_LINEAR_H for _, length in gaps):
            text = f"{rows.name}: the column {name} is incomplete or impossible and was left out."
            notices.append(Notice(topic="weather", text=text))
            continue
        kept[name], listed = fill_gaps(column, grid, noun=name)
        notices.extend(listed)
    return kept, tuple(notices)


def _order_notice(rows: HourlyRows, position: Index) -> tuple[Notice, ...]:
    back = np.flatnonzero(np.diff(position) < 0)
    if not back.size:
        return ()
    line = int(rows.lines[back[0] + 1])
    text = f"{rows.name}: rows were put in the order of their stamps, from line {line} on."
    return (Notice(topic="weather", text=text),)


def _as_gap_fill(fill: GapFill | WeatherYear | None, grid: YearGrid) -> GapFill | None:
    """Take the same calendar hours of another year; 29 February is that year's 28th."""
    if fill is None or isinstance(fill, GapFill):
        return fill
    there = fill.starts.astype("datetime64[h]").astype(np.int64)
    place, leap = place_in_year(there)
    kept = np.flatnonzero(~leap)
    row = np.zeros(kept.size, dtype=np.intp)
    row[place[kept]] = kept
    wanted = row[place_in_year(grid.hours)[0]]
    return GapFill(
        name=f"the same hours of {fill.site.name} ({fill.year_label})",
        outdoor_c=fill.outdoor_c[wanted],
        relative_humidity_pct=fill.relative_humidity_pct[wanted],
    )
