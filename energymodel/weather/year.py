"""One year of hourly weather at one site."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

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
    table
        8,760 or 8,784 rows, indexed by the START of each hour in local standard time (naive).
        Columns: `outdoor_c`; `relative_humidity_pct` (nan where the file has none);
        `ghi_w_m2`, `dni_w_m2`, `dhi_w_m2` where the file has irradiance.
    kind
        "typical" (months of several years) or "observed" (one real year).
    source
        Document, file or data set, with its licence where known.
    notices
        Repairs and warnings.
    """

    site: Site
    table: pd.DataFrame
    kind: Literal["typical", "observed"]
    source: str
    notices: tuple[Notice, ...] = ()

    @property
    def outdoor_c(self) -> Array:
        """Outdoor dry-bulb temperature, degC, shape (hours,)."""
        return self.table["outdoor_c"].to_numpy(np.float64)

    @property
    def relative_humidity_pct(self) -> Array:
        """Outdoor relative humidity, %, shape (hours,); nan where not known."""
        return self.table["relative_humidity_pct"].to_numpy(np.float64)

    @property
    def month(self) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
        """Month of each hour, 1..12, shape (hours,)."""
        index: pd.DatetimeIndex = self.table.index  # type: ignore[assignment]
        return index.month.to_numpy().astype(np.int64)

    @property
    def year_label(self) -> str:
        """The words "typical year", or the calendar year, for captions."""
        index: pd.DatetimeIndex = self.table.index  # type: ignore[assignment]
        return "typical year" if self.kind == "typical" else str(index[0].year)
