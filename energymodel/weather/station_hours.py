"""A weather station and its hours: published in UTC, used in local standard time."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.errors import WeatherError
from energymodel.weather.grid import HourNumbers, year_hours
from energymodel.weather.year import Site

_STATION_ID = re.compile(r"[A-Z0-9]{5}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A weather station.

    Parameters
    ----------
    id
        Identifier in the station list, five capital letters or digits.
    name
        As printed.
    latitude_deg, longitude_deg
        Degrees, north and east positive.
    elevation_m
        Height above sea level, m; nan if not known.
    zone
        Time-zone name ("America/New_York"), empty if not known.
    distance_km
        Distance from the place asked for, km; None for a station named by its identifier.
    """

    id: str
    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    zone: str
    distance_km: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HourSource:
    """Where some hours of a station come from.

    Parameters
    ----------
    name
        Short name beside each value ("isd_lite").
    model
        True if the values are computed by a weather model, not observed.
    licence
        Terms; empty if not stated.
    credit
        Whom to name; empty if nobody in particular.
    """

    name: str
    model: bool
    licence: str
    credit: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StationHours:
    """What a station published for one UTC year.

    Parameters
    ----------
    station
        Which station.
    utc_year
        Year of the file.
    address
        Where the file came from.
    fetched_at
        When, UTC.
    library
        Library that read it, with its version.
    sources
        Description of the sources named beside the values.
    hour_utc
        Hour of each row, whole hours since 1970-01-01 00:00 UTC, shape (rows,).
    outdoor_c
        Outdoor temperature, degC, nan = missing, shape (rows,).
    outdoor_source
        Sources of each temperature, shape (rows,).
    relative_humidity_pct
        Relative humidity, %, nan = missing, shape (rows,).
    humidity_source
        Sources of each humidity, shape (rows,).
    """

    station: Station
    utc_year: int
    address: str
    fetched_at: datetime
    library: str
    sources: tuple[HourSource, ...]
    hour_utc: HourNumbers
    outdoor_c: Array
    outdoor_source: tuple[str, ...]
    relative_humidity_pct: Array
    humidity_source: tuple[str, ...]

    def model_mask(self, sources: Sequence[str]) -> Mask:
        """Return which values come from a weather model.

        Parameters
        ----------
        sources
            `outdoor_source` or `humidity_source`.

        Returns
        -------
        Mask
            Shape (rows,).
        """
        models = {source.name for source in self.sources if source.model}
        return np.array([not models.isdisjoint(text.split()) for text in sources], dtype=np.bool_)


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalYear:
    """One calendar year in the standard time of a station's zone.

    Parameters
    ----------
    year
        Calendar year.
    utc_offset_h
        Local standard time less UTC, hours; 5.5 in India.
    """

    year: int
    utc_offset_h: float

    @property
    def hours_utc(self) -> HourNumbers:
        """UTC hours that fall into the year, whole hours since 1970, shape (8760,) or (8784,).

        In a zone with a broken offset the UTC hour H falls inside the local hour that starts at
        floor(H + offset), and is the observation from within that hour.
        """
        return year_hours(self.year) - math.floor(self.utc_offset_h)

    @property
    def last_hours_utc(self) -> dict[int, int]:
        """Last UTC hour that is needed from each UTC year's file, keyed by that year."""
        stamps = self.hours_utc.astype("datetime64[h]")
        years = stamps.astype("datetime64[Y]").astype(np.int64) + 1970
        return {int(year): int(self.hours_utc[years == year][-1]) for year in np.unique(years)}

    def local_hours(self, hour_utc: HourNumbers) -> HourNumbers:
        """Return the start of the local hour that each UTC hour falls into.

        Parameters
        ----------
        hour_utc
            Whole hours since 1970-01-01 00:00 UTC, any shape.

        Returns
        -------
        ndarray
            Whole hours since 1970-01-01 00:00 local standard time, same shape.
        """
        return hour_utc + math.floor(self.utc_offset_h)


def local_year(year: int, zone: str) -> LocalYear:
    """Return a calendar year in the standard time of a zone.

    Parameters
    ----------
    year
        Calendar year.
    zone
        Time-zone name.

    Returns
    -------
    LocalYear
        With the standard offset of that year.

    Raises
    ------
    WeatherError
        If the zone is not known.

    Notes
    -----
    Standard time is the smaller of the offsets of January and July: summer time is ahead of it in
    both hemispheres, and a zone that calls its summer time the standard (Dublin) is still read as
    the trade reads it.

    Examples
    --------
    >>> local_year(2013, "America/New_York").utc_offset_h
    -5.0
    >>> local_year(2013, "Australia/Adelaide").utc_offset_h
    9.5
    """
    try:
        clock = ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as fault:
        raise WeatherError(
            f"the time zone {zone!r} is not known",
            expected='a name like "America/New_York"',
            remedy="give the station as a record with its zone",
        ) from fault
    offsets = [
        datetime(year, month, 1, tzinfo=clock).utcoffset() or timedelta() for month in (1, 7)
    ]
    return LocalYear(year=year, utc_offset_h=min(offsets) / timedelta(hours=1))


def check_station_id(station_id: str) -> None:
    """Refuse what cannot be a station identifier.

    Parameters
    ----------
    station_id
        Text to check.

    Raises
    ------
    WeatherError
        If it is not five capital letters or digits.
    """
    if not _STATION_ID.fullmatch(station_id):
        raise WeatherError(
            f"{station_id!r} is no station identifier",
            expected='five capital letters or digits, like "72502"',
            remedy="look for stations near a place: energymodel weather fetch --near LAT,LON",
        )


def check_station(station: Station) -> None:
    """Refuse a station that cannot be asked or placed.

    Parameters
    ----------
    station
        Record to check.

    Raises
    ------
    WeatherError
        If the identifier is malformed, or zone or elevation are missing.
    """
    check_station_id(station.id)
    missing = [
        noun
        for noun, known in (
            ("time zone", bool(station.zone)),
            ("elevation", math.isfinite(station.elevation_m)),
        )
        if not known
    ]
    if missing:
        raise WeatherError(
            f"the station has no {' and no '.join(missing)}",
            where=place_of(station),
            remedy="give the station as a record with its elevation and zone, or take another one",
        )


def check_years(station: Station, years: Sequence[int]) -> None:
    """Refuse calendar years that have not ended at the station.

    Parameters
    ----------
    station
        Complete record.
    years
        Calendar years.

    Raises
    ------
    WeatherError
        If there is no year, or one lies before 1900 or has not ended.
    """
    today = datetime.now(UTC).date()
    if not years:
        raise WeatherError(
            "no year is named",
            where=place_of(station),
            expected="one or more calendar years, like 2013",
        )
    for year in years:
        if not 1900 <= year <= 9998:
            raise WeatherError(
                f"{year} is no year with hourly observations",
                where=place_of(station),
                expected="a calendar year from about 1931 on",
            )
        after = local_year(year, station.zone).hours_utc[-1] + 1
        if after > datetime.now(UTC).timestamp() / 3600.0:
            raise WeatherError(
                f"the year {year} has not ended; today is {today}",
                where=place_of(station),
                expected="a calendar year that is complete",
                remedy=f"take {today.year - 1} or an earlier year",
            )


def site_of(station: Station, year: LocalYear) -> Site:
    """Return the station as the site of a weather year.

    Parameters
    ----------
    station
        Complete record.
    year
        The year with its offset.

    Returns
    -------
    Site
        With zone and offset.
    """
    return Site(
        name=station.name,
        latitude_deg=station.latitude_deg,
        longitude_deg=station.longitude_deg,
        elevation_m=station.elevation_m,
        utc_offset_h=year.utc_offset_h,
        zone=station.zone,
    )


def place_of(station: Station, *years: int) -> str:
    """Return a station, or a station and years, as the place of a message.

    Parameters
    ----------
    station
        Record.
    *years
        Calendar years.

    Returns
    -------
    str
        For example "station 72502 (Newark), 2013".
    """
    name = f" ({station.name})" if station.name else ""
    return ", ".join([f"station {station.id}{name}", *(str(year) for year in years)])
