"""One year of hourly weather at one site."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from energymodel.arrays import Array
from energymodel.notices import Notice

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where a weather year was taken.

    Parameters
    ----------
    name
        Place, as printed.
    latitude_deg, longitude_deg
        Degrees, north and east positive.
    elevation_m
        Height above sea level, m.
    utc_offset_h
        Local standard time less UTC, hours.
    zone
        Time-zone name ("America/New_York"), or None if not known: wall-clock tariffs need it.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    utc_offset_h: float
    zone: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeatherYear:
    """A complete year of hours; every reader ends in one.

    Parameters
    ----------
    site
        Where.
    starts
        START of each hour in local standard time (naive), shape (8760,) or (8784,).
    columns
        `outdoor_c`; `relative_humidity_pct` (nan where the file has none); `ghi_w_m2`, `dni_w_m2`,
        `dhi_w_m2` where the file has irradiance; each shape (hours,), read-only.
    kind
        "typical" (months of several years) or "observed" (one real year).
    source
        Document, file or data set, with its licence where known.
    notices
        Repairs and warnings.
    """

    site: Site
    starts: NDArray[np.datetime64]
    columns: Mapping[str, Array]
    kind: Literal["typical", "observed"]
    source: str
    notices: tuple[Notice, ...] = ()

    def __post_init__(self) -> None:
        columns = {name: _read_only(values) for name, values in self.columns.items()}
        object.__setattr__(self, "columns", columns)

    @property
    def table(self) -> pd.DataFrame:
        """A new table of the columns, indexed by the start of each hour."""
        import pandas as pd  # noqa: PLC0415 - a third of a second, and a run does without

        index = pd.DatetimeIndex(self.starts, name="hour")
        return pd.DataFrame({name: values.copy() for name, values in self.columns.items()}, index)

    @property
    def outdoor_c(self) -> Array:
        """Outdoor dry-bulb temperature, degC, shape (hours,)."""
        return self.columns["outdoor_c"]

    @property
    def relative_humidity_pct(self) -> Array:
        """Outdoor relative humidity, %, shape (hours,); nan where not known."""
        return self.columns["relative_humidity_pct"]

    @property
    def month(self) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
        """Month of each hour, 1..12, shape (hours,)."""
        return self.starts.astype("datetime64[M]").astype(np.int64) % 12 + 1

    @property
    def year_label(self) -> str:
        """The words "typical year", or the calendar year, for captions."""
        return "typical year" if self.kind == "typical" else str(self.starts[0])[:4]


def _read_only(values: Array) -> Array:
    kept = np.asarray(values, dtype=np.float64).view()
    kept.flags.writeable = False
    return kept


def year_of_table(
    table: pd.DataFrame,
    *,
    site: Site,
    kind: Literal["typical", "observed"],
    source: str,
    notices: tuple[Notice, ...] = (),
) -> WeatherYear:
    """Make a weather year of a table that is complete; nothing is checked.

    Parameters
    ----------
    table
        8,760 or 8,784 rows, indexed by the START of each hour in local standard time (naive);
        columns as in :class:`WeatherYear`.
    site, kind, source, notices
        As in :class:`WeatherYear`.

    Returns
    -------
    WeatherYear
        With the same hours.
    """
    columns = {str(name): table[name].to_numpy(np.float64, copy=True) for name in table.columns}
    return WeatherYear(
        site=site,
        starts=table.index.to_numpy(copy=True),
        columns=columns,
        kind=kind,
        source=source,
        notices=notices,
    )


def with_table(year: WeatherYear, table: pd.DataFrame) -> WeatherYear:
    """Return a year with the hours of another table.

    Parameters
    ----------
    year
        Place, kind, source and notices.
    table
        As for `year_of_table`.

    Returns
    -------
    WeatherYear
        Copy; nothing is checked.
    """
    other = year_of_table(table, site=year.site, kind=year.kind, source=year.source)
    return replace(year, starts=other.starts, columns=other.columns)
