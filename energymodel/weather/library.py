"""Weather years that are at hand without a network."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from energymodel.arrays import Array
from energymodel.datafiles import data_file, read_table
from energymodel.errors import WeatherError
from energymodel.weather.csv_columns import CsvColumns, read_csv_rows
from energymodel.weather.files import read_weather
from energymodel.weather.gaps import GapFill
from energymodel.weather.grid import shifted
from energymodel.weather.rows import HourlyRows
from energymodel.weather.validation import Kind, columns_of_rows, complete_year
from energymodel.weather.year import Site, WeatherYear

if TYPE_CHECKING:
    import pandas as pd

_PLAIN_COLUMNS = CsvColumns(
    time="hour_start",
    outdoor="temperature_degF",
    outdoor_unit="degF",
    humidity="relative_humidity_pct",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShippedYear:
    """One weather year at hand.

    Parameters
    ----------
    key
        What a scenario writes.
    site
        Place, with its time zone.
    kind
        "typical" or "observed".
    file
        File name.
    carried_by
        "energymodel" if the file is part of this package, else the library that brings it.
    source
        Document or data set.
    licence
        Terms, as far as they are stated.
    fill_linear_h, fill_earlier_h
        Declared fill: gaps up to the first number of hours are interpolated, longer ones take the
        values of the second number of hours before; None: three hours, longer ones refused.
    """

    key: str
    site: Site
    kind: Kind
    file: str
    carried_by: str
    source: str
    licence: str
    fill_linear_h: int | None = None
    fill_earlier_h: int | None = None


def shipped_years() -> tuple[ShippedYear, ...]:
    """Return the weather years at hand.

    Returns
    -------
    tuple of ShippedYear
        In the order in which they are listed to a user.

    Examples
    --------
    >>> [year.key for year in shipped_years()]
    ['greensboro-nc', 'miami-fl', 'sand-point-ak', 'newark-nj-2013']
    """
    return tuple(_entry_of(row) for row in read_table("weather", "years.csv"))


def suggest(key: str) -> str | None:
    """Return the key that a misspelt one probably means.

    Parameters
    ----------
    key
        As written.

    Returns
    -------
    str or None
        Nearest key, if one is near.

    Examples
    --------
    >>> suggest("greensborough")
    'greensboro-nc'
    """
    wanted = key.strip().lower().replace(" ", "-").replace("_", "-")
    keys = [year.key for year in shipped_years()]
    near = get_close_matches(wanted, keys, n=1, cutoff=0.5)
    return near[0] if near else None


def shipped_entry(key: str) -> ShippedYear:
    """Return what is known of one weather year at hand.

    Parameters
    ----------
    key
        For example "greensboro-nc".

    Returns
    -------
    ShippedYear
        Place, source and licence; nothing is read yet.

    Raises
    ------
    WeatherError
        If there is no such year.
    """
    entries = {year.key: year for year in shipped_years()}
    if key in entries:
        return entries[key]
    near = suggest(key)
    raise WeatherError(
        f"there is no shipped weather year {key!r}",
        expected=", ".join(entries),
        remedy=f'did you mean "{near}"?' if near else "name one of these, or a weather file",
    )


def shipped_year(key: str) -> WeatherYear:
    """Read a weather year that is at hand.

    Parameters
    ----------
    key
        For example "greensboro-nc".

    Returns
    -------
    WeatherYear
        Complete year; every filled hour is listed in its notices.

    Raises
    ------
    WeatherError
        If there is no such year, or the library that brings it is not installed.

    Examples
    --------
    >>> len(shipped_year("greensboro-nc").table)
    8760
    """
    entry = shipped_entry(key)
    if entry.carried_by != "energymodel":
        path = _library_folder(entry.carried_by) / entry.file
        year = read_weather(path, zone=entry.site.zone, kind=entry.kind)
        site = replace(year.site, name=entry.site.name)
        return replace(year, site=site, source=_source(entry))
    rows = _own_rows(entry)
    fill = _declared_fill(entry, columns_of_rows(rows, entry.kind)[1])
    return complete_year(rows, site=entry.site, kind=entry.kind, source=_source(entry), fill=fill)


def unfilled_rows(key: str) -> pd.DataFrame:
    """Return the hours of a weather year at hand as observed, before any filling.

    Parameters
    ----------
    key
        For example "newark-nj-2013".

    Returns
    -------
    pandas.DataFrame
        One row per hour of the year, columns `outdoor_c` and `relative_humidity_pct`; nan where
        nothing was observed.

    Raises
    ------
    WeatherError
        As `shipped_year`.
    """
    entry = shipped_entry(key)
    if entry.carried_by != "energymodel":
        return shipped_year(key).table[["outdoor_c", "relative_humidity_pct"]]
    import pandas as pd  # noqa: PLC0415 - a third of a second, and a run does without

    grid, columns = columns_of_rows(_own_rows(entry), entry.kind)
    index = pd.DatetimeIndex(grid.starts.astype("datetime64[s]"), name="hour")
    return pd.DataFrame(columns, index=index)


def _own_rows(entry: ShippedYear) -> HourlyRows:
    return read_csv_rows(
        data_file("weather", entry.file), _PLAIN_COLUMNS, utc_offset_h=entry.site.utc_offset_h
    )


def _entry_of(row: dict[str, str]) -> ShippedYear:
    site = Site(
        name=row["place"],
        latitude_deg=float(row["latitude_deg"]),
        longitude_deg=float(row["longitude_deg"]),
        elevation_m=float(row["elevation_m"]),
        utc_offset_h=float(row["utc_offset_h"]),
        zone=row["zone"],
    )
    linear, earlier = (
        int(row[name]) if row[name] else None for name in ("fill_linear_h", "fill_earlier_h")
    )
    return ShippedYear(
        key=row["key"],
        site=site,
        kind="typical" if row["kind"] == "typical" else "observed",
        file=row["file"],
        carried_by=row["carried_by"],
        source=row["source"],
        licence=row["licence"],
        fill_linear_h=linear,
        fill_earlier_h=earlier,
    )


def _source(entry: ShippedYear) -> str:
    return f"{entry.source} ({entry.licence})"


def _declared_fill(entry: ShippedYear, columns: Mapping[str, Array]) -> GapFill | None:
    if entry.fill_linear_h is None or entry.fill_earlier_h is None:
        return None

    def earlier(name: str) -> Array:
        return shifted(columns[name], entry.fill_earlier_h or 0)

    return GapFill(
        name=f"the hours {entry.fill_earlier_h} h before (declared fill of {entry.key})",
        outdoor_c=earlier("outdoor_c"),
        relative_humidity_pct=earlier("relative_humidity_pct"),
        longest_linear_h=entry.fill_linear_h,
    )


def _library_folder(library: str) -> Path:
    """Find the library's data without importing it: the import takes half a second."""
    spec = find_spec(library)
    if spec is None or not spec.submodule_search_locations:
        raise WeatherError(
            f"the library {library}, which brings this weather year, is not installed",
            remedy=f"install it (pip install {library}), or name a weather file of your own",
        )
    return Path(spec.submodule_search_locations[0]) / "data"
