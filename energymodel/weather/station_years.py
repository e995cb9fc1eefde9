"""From the UTC hours that a station published to complete years in its local standard time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.errors import WeatherError
from energymodel.notices import Notice
from energymodel.weather.gaps import GapFill
from energymodel.weather.grid import HourNumbers
from energymodel.weather.station_cache import METEOSTAT_TERMS
from energymodel.weather.station_hours import (
    LocalYear,
    Station,
    StationHours,
    place_of,
    site_of,
)
from energymodel.weather.validation import HourlyRows, complete_year, with_notice
from energymodel.weather.year import WeatherYear


@dataclass(frozen=True, slots=True, kw_only=True)
class YearRules:
    """What may go into a year besides observed hours.

    Parameters
    ----------
    include_model_data
        Keep values that a weather model computed.
    fill
        What replaces gaps longer than three hours; None refuses them.
    """

    include_model_data: bool = False
    fill: GapFill | WeatherYear | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Hours:
    """The hours of one local year, from all files that hold some of them."""

    hour_utc: HourNumbers
    outdoor_c: Array
    relative_humidity_pct: Array
    outdoor_model: Mask
    humidity_model: Mask
    used_sources: frozenset[str]


def weather_year(
    station: Station,
    year: LocalYear,
    files: Mapping[int, StationHours | WeatherError],
    rules: YearRules,
) -> WeatherYear:
    """Make one complete local year.

    Parameters
    ----------
    station
        Complete record.
    year
        Which year, with its offset.
    files
        Per UTC year the hours, or why there are none.
    rules
        Model data and fill.

    Returns
    -------
    WeatherYear
        Kind "observed".

    Raises
    ------
    WeatherError
        If the main file is missing, or too many hours are.
    """
    where = place_of(station, year.year)
    main = files[year.year]
    if isinstance(main, WeatherError):
        raise main
    parts = {utc_year: files[utc_year] for utc_year in year.last_hours_utc}
    present = [part for part in parts.values() if isinstance(part, StationHours)]
    hours = _hours_within(present, year)
    rows = _rows(hours, year, where, include_model_data=rules.include_model_data)
    try:
        complete = complete_year(
            rows,
            site=site_of(station, year),
            kind="observed",
            source=_source(station, year, present, hours, rules),
            fill=rules.fill,
        )
    except WeatherError as fault:
        reasons = _reasons(parts, hours, rules)
        raise WeatherError(
            "; ".join([fault.what, *reasons]),
            where=where,
            expected=fault.expected,
            remedy=fault.remedy,
        ) from fault
    for notice in _notices(where, year, hours, rules):
        complete = with_notice(complete, notice)
    return complete


def _hours_within(parts: Sequence[StationHours], year: LocalYear) -> _Hours:
    hour_utc = np.concatenate([part.hour_utc for part in parts])
    inside = np.isin(hour_utc, year.hours_utc)
    outdoor_model = np.concatenate([part.model_mask(part.outdoor_source) for part in parts])
    humidity_model = np.concatenate([part.model_mask(part.humidity_source) for part in parts])
    texts = [
        f"{outdoor} {humidity}"
        for part in parts
        for outdoor, humidity in zip(part.outdoor_source, part.humidity_source, strict=True)
    ]
    used = {
        name for text, there in zip(texts, inside, strict=True) if there for name in text.split()
    }
    return _Hours(
        hour_utc=hour_utc[inside],
        outdoor_c=np.concatenate([part.outdoor_c for part in parts])[inside],
        relative_humidity_pct=np.concatenate([part.relative_humidity_pct for part in parts])[
            inside
        ],
        outdoor_model=outdoor_model[inside],
        humidity_model=humidity_model[inside],
        used_sources=frozenset(used),
    )


def _rows(hours: _Hours, year: LocalYear, where: str, *, include_model_data: bool) -> HourlyRows:
    outdoor, humidity = hours.outdoor_c, hours.relative_humidity_pct
    if not include_model_data:
        outdoor = np.where(hours.outdoor_model, np.nan, outdoor)
        humidity = np.where(hours.humidity_model, np.nan, humidity)
    if np.isnan(outdoor).all():
        raise WeatherError(
            "every hour of temperature comes from a weather model",
            where=where,
            expected="hours that the station observed",
            remedy="take another year or station, or ask for model data as well",
        )
    return HourlyRows(
        name=where,
        hours=year.local_hours(hours.hour_utc),
        lines=np.arange(1, hours.hour_utc.size + 1, dtype=np.int64),
        outdoor_c=outdoor,
        relative_humidity_pct=humidity,
    )


def _reasons(
    parts: Mapping[int, StationHours | WeatherError], hours: _Hours, rules: YearRules
) -> list[str]:
    """Say what the gaps have to do with files that are missing and values that were left out."""
    reasons = [
        f"the file of the UTC year {utc_year}, which holds some of its hours: {part.what}"
        for utc_year, part in parts.items()
        if isinstance(part, WeatherError)
    ]
    models = int(hours.outdoor_model.sum())
    if models and not rules.include_model_data:
        reasons.append(f"{models} hours of a weather model were left out")
    return reasons


def _notices(where: str, year: LocalYear, hours: _Hours, rules: YearRules) -> list[Notice]:
    notices = []
    if rules.include_model_data and (hours.outdoor_model.any() or hours.humidity_model.any()):
        text = (
            f"{where}: {int(hours.outdoor_model.sum())} hours of temperature and "
            f"{int(hours.humidity_model.sum())} of humidity come from a weather model, not from "
            "the station."
        )
        notices.append(Notice(topic="weather", text=text))
    minutes = round(60.0 * (year.utc_offset_h % 1.0))
    if minutes:
        text = (
            f"{where}: local standard time is UTC{year.utc_offset_h:+g} h, so the hour from 00:00 "
            f"carries the observation of 00:{minutes:02d}."
        )
        notices.append(Notice(topic="weather", text=text))
    return notices


def _source(
    station: Station,
    year: LocalYear,
    parts: Sequence[StationHours],
    hours: _Hours,
    rules: YearRules,
) -> str:
    """Name data set, licence, whom to credit and what was changed, as CC BY 4.0 asks."""
    used = {
        source.name: source
        for part in parts
        for source in part.sources
        if source.name in hours.used_sources and (rules.include_model_data or not source.model)
    }
    origins = [
        " ".join(filter(None, [name, source.credit, source.licence and f"[{source.licence}]"]))
        for name, source in sorted(used.items())
    ]
    fetched = max(part.fetched_at for part in parts).date()
    return (
        f"{place_of(station, year.year)}: Meteostat ({METEOSTAT_TERMS}), from "
        f"{', '.join(origins) or 'sources not named'}; fetched {fetched} with {parts[0].library}; "
        "changes: laid on local standard time, repairs as listed"
    )
