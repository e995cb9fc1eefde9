"""The tables that `energymodel weather` prints."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.units import KELVIN_PER_DEGF, f_from_c
from energymodel.weather.bins import TemperatureBins
from energymodel.weather.degree_days import (
    DegreeDays,
    degree_days_daily_mean,
    degree_days_hourly,
    degree_days_max_min,
)
from energymodel.weather.design import DesignTemperatures
from energymodel.weather.year import Site, WeatherYear

if TYPE_CHECKING:
    from energymodel.arrays import Array
    from energymodel.weather.library import ShippedYear
    from energymodel.weather.stations import Station

_DEFINITIONS: tuple[Callable[[Array], DegreeDays], ...] = (
    degree_days_hourly,
    degree_days_daily_mean,
    degree_days_max_min,
)


def _table(*columns: str, right: Sequence[str] = ()) -> Table:
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, collapse_padding=True)
    for name in columns:
        if name in right:
            table.add_column(name, justify="right", no_wrap=True)
        else:
            table.add_column(name, overflow="fold")
    return table


def years_at_hand(
    shipped: Sequence[ShippedYear], stored: Sequence[tuple[Station, tuple[int, ...]]]
) -> Table:
    """Make the table of weather years at hand.

    Parameters
    ----------
    shipped
        Years that come with the program or a library.
    stored
        Stations with fetched hours, with the UTC years of their files.

    Returns
    -------
    rich.table.Table
        One row per year or station.
    """
    table = _table("Key", "Place", "Kind", "Source")
    table.columns[0].no_wrap = True
    for year in shipped:
        table.add_row(year.key, year.site.name, year.kind, f"{year.source} ({year.licence})")
    for station, utc_years in stored:
        files = "fetched, UTC years " + ", ".join(str(year) for year in utc_years)
        table.add_row(station.id, station.name, "observed", files)
    return table


def stations_near(stations: Sequence[Station]) -> Table:
    """Make the table of stations around a place.

    Parameters
    ----------
    stations
        Nearest first.

    Returns
    -------
    rich.table.Table
        One row per station.
    """
    numbers = ("Distance, km", "Latitude", "Longitude", "Height, m")
    table = _table("Station", "Name", *numbers, "Zone", right=numbers)
    for station in stations:
        distance = "" if station.distance_km is None else f"{station.distance_km:.1f}"
        table.add_row(
            station.id,
            station.name,
            distance,
            f"{station.latitude_deg:.2f}",
            f"{station.longitude_deg:.2f}",
            f"{station.elevation_m:.0f}",
            station.zone or "not known",
        )
    return table


def year_facts(year: WeatherYear, design: DesignTemperatures) -> Table:
    """Make the table of what is in a weather year.

    Parameters
    ----------
    year
        Complete year.
    design
        Its design temperatures.

    Returns
    -------
    rich.table.Table
        Each fact in both unit systems, with how it was counted.
    """
    table = _table("Fact", "US", "SI", "How it is counted", right=("US", "SI"))
    outdoor_c = year.outdoor_c
    hours = f"{outdoor_c.size:,} hours"
    for noun, value_c, how in (
        ("Lowest temperature", outdoor_c.min(), f"of {hours}"),
        ("Mean temperature", outdoor_c.mean(), f"of {hours}"),
        ("Highest temperature", outdoor_c.max(), f"of {hours}"),
    ):
        table.add_row(noun, *_temperature(float(value_c)), how)
    counts = [count(outdoor_c) for count in _DEFINITIONS]
    for days in counts:
        table.add_row("Heating degree-days", *_days(days.heating_k_day), _definition(days))
    for days in counts:
        table.add_row("Cooling degree-days", *_days(days.cooling_k_day), _definition(days))
    for noun, value_c, how in (
        ("Heating design, 99.6 %", design.heating_99_6_c, "0.4 % of the hours are colder"),
        ("Heating design, 99 %", design.heating_99_c, "1 % of the hours are colder"),
        ("Cooling design, 1 %", design.cooling_1_c, "1 % of the hours are warmer"),
        ("Cooling design, 0.4 %", design.cooling_0_4_c, "0.4 % of the hours are warmer"),
        ("Coldest 24 hours", design.coldest_24h_mean_c, "mean, beginning at any hour"),
    ):
        table.add_row(noun, *_temperature(value_c), how)
    return table


def _temperature(value_c: float) -> tuple[str, str]:
    return f"{f_from_c(value_c):.1f} °F", f"{value_c:.1f} °C"


def _days(value_k_day: float) -> tuple[str, str]:
    return f"{value_k_day / KELVIN_PER_DEGF:,.0f} °F d", f"{value_k_day:,.0f} K d"


def _definition(days: DegreeDays) -> str:
    return f"{days.definition}, base {f_from_c(days.base_c):.0f} °F ({days.base_c:.1f} °C)"


def bin_hours(bins: TemperatureBins) -> Table:
    """Make the table of hours by outdoor temperature.

    Parameters
    ----------
    bins
        5 F bins of whole degrees.

    Returns
    -------
    rich.table.Table
        Warmest bin first.
    """
    columns = ("Outdoor, °F", "Stands for, °F", "Hours", "Share, %", "Hours this cold or colder")
    table = _table(*columns, right=columns)
    total = float(bins.hours.sum())
    colder = bins.hours.cumsum()
    for at in range(bins.hours.size - 1, -1, -1):
        table.add_row(
            f"{bins.lower[at]:.0f} to {bins.lower[at] + 4:.0f}",
            f"{f_from_c(float(bins.centre_c[at])):.0f}",
            f"{bins.hours[at]:,.0f}",
            f"{100.0 * bins.hours[at] / total:.1f}",
            f"{colder[at]:,.0f}",
        )
    return table


def fetched_years(years: Sequence[WeatherYear]) -> Table:
    """Make the table of fetched years.

    Parameters
    ----------
    years
        In the order of the calendar.

    Returns
    -------
    rich.table.Table
        One row per year.
    """
    numbers = ("Hours", "Lowest, °F", "Mean, °F", "Highest, °F", "HDD65 hourly, °F d", "Notices")
    table = _table("Year", *numbers, right=numbers)
    for year in years:
        fahrenheit = f_from_c(year.outdoor_c)
        table.add_row(
            year.year_label,
            f"{fahrenheit.size:,}",
            f"{fahrenheit.min():.1f}",
            f"{fahrenheit.mean():.1f}",
            f"{fahrenheit.max():.1f}",
            f"{degree_days_hourly(year.outdoor_c).heating_f_day:,.0f}",
            str(len(year.notices)),
        )
    return table


def site_line(year: WeatherYear) -> str:
    """Say where and when a weather year was taken.

    Parameters
    ----------
    year
        Complete year.

    Returns
    -------
    str
        One line.
    """
    site = year.site
    return (
        f"{site.name}, {year.year_label}: {_position(site)}, standard time"
        f" UTC{site.utc_offset_h:+g} h, {site.zone or 'time zone not known'}"
    )


def station_line(station: Station) -> str:
    """Say which station was taken.

    Parameters
    ----------
    station
        Record.

    Returns
    -------
    str
        One line, with the distance if it was looked for by place.
    """
    distance = ""
    if station.distance_km is not None:
        distance = f", {station.distance_km:.1f} km from the place asked for"
    return f"Station {station.id}, {station.name}: {_position(station)}{distance}"


def _position(place: Site | Station) -> str:
    north = "N" if place.latitude_deg >= 0 else "S"
    east = "E" if place.longitude_deg >= 0 else "W"
    return (
        f"{abs(place.latitude_deg):.2f} {north}, {abs(place.longitude_deg):.2f} {east},"
        f" {place.elevation_m:.0f} m"
    )


def print_lines(target: Console, lines: Sequence[str], *, most: int | None = None) -> None:
    """Print lines under a table, whole or each cut to one line.

    Parameters
    ----------
    target
        Where to.
    lines
        One sentence or more each.
    most
        Cut each line to the width and stop after so many, saying how to see the rest; None prints
        everything.
    """
    if most is None:
        for line in lines:
            target.print(Text(line))
        return
    width = target.width
    short = [line if len(line) <= width else line[: width - 4].rstrip() + " ..." for line in lines]
    for line in short[:most]:
        target.print(Text(line, no_wrap=True))
    if len(lines) > most or short != list(lines):
        target.print(Text("Add --details to read the notices whole."))
