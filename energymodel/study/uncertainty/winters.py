"""Real winters: calendar years of one place joined from July to June."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pandas as pd

from energymodel.errors import InputError
from energymodel.notices import Notice
from energymodel.scenario.fields import shown
from energymodel.scenario.place import Place, place_weather
from energymodel.scenario.ranges_schema import MOST_YEARS
from energymodel.weather.year import WeatherYear, year_of_table

_STATION_YEARS = re.compile(r"station ([A-Z0-9]{5}) (\d{4})(?:\s*-\s*(\d{4}))?")
_FIRST_MONTH = 7
_SAME_PLACE_DEG = 0.02
_WAYS = '"station 72502 2013" or "station 72502 2013-2022" for fetched years, or weather files'


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Winter:
    """One real winter with the summer around it, as a year.

    Parameters
    ----------
    label
        Such as "2012-13", or a calendar year south of the equator.
    weather
        January to June of the second year, then July to December of the first, on the calendar
        of the second.
    """

    label: str
    weather: WeatherYear


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Winters:
    """The winters of a list of years.

    Parameters
    ----------
    winters
        In the order of the calendar.
    notices
        Years that could not be used, and how tariffs see the months.
    """

    winters: tuple[Winter, ...]
    notices: tuple[Notice, ...]


def read_years(entries: Sequence[str], folder: Path) -> tuple[WeatherYear, ...]:
    """Read real weather years.

    Parameters
    ----------
    entries
        Fetched station years, one or a run of them, or files.
    folder
        From which file names count.

    Returns
    -------
    tuple of WeatherYear
        Complete calendar years.

    Raises
    ------
    InputError
        If an entry is a typical year, or there are too many.
    WeatherError
        If a year was not fetched, or cannot be used.
    """
    names = [name for entry in entries for name in _single(entry)]
    if len(names) > MOST_YEARS:
        raise InputError(
            f"{len(names)} weather years", where="weather_years", expected=f"at most {MOST_YEARS}"
        )
    years = []
    for name in dict.fromkeys(names):
        year = place_weather(Place(weather=name), folder)
        if year.kind == "typical":
            raise InputError(
                f"{shown(name)} is a typical year, not a real one",
                where="weather_years",
                expected=_WAYS,
                remedy="the typical year of the scenario is marked on the spread anyway",
            )
        years.append(year)
    return tuple(years)


def _single(entry: str) -> list[str]:
    match = _STATION_YEARS.fullmatch(entry.strip())
    if match is None or match.group(3) is None:
        return [entry.strip()]
    first, last = int(match.group(2)), int(match.group(3))
    if not first <= last < first + MOST_YEARS:
        raise InputError(
            f"the years {first} to {last}", where="weather_years", expected="first to last year"
        )
    return [f"station {match.group(1)} {year}" for year in range(first, last + 1)]


def winters_of(years: Sequence[WeatherYear]) -> Winters:
    """Join calendar years to winters.

    Parameters
    ----------
    years
        Complete calendar years of real weather, any order.

    Returns
    -------
    Winters
        North of the equator 1 July to 30 June of two years that follow each other; south of it the
        calendar years.

    Raises
    ------
    InputError
        If the years give no winter.
    """
    ordered = sorted(years, key=lambda year: (_place(year), int(year.year_label)))
    pairs = [pair for pair in pairwise(ordered) if _follows(*pair)]
    whole = [year for year in ordered if year.site.latitude_deg < 0]
    found = [Winter(label=year.year_label, weather=year) for year in whole]
    found += [_joined(*pair) for pair in pairs if pair[0].site.latitude_deg >= 0]
    used = {id(year) for year in whole} | {id(year) for pair in pairs for year in pair}
    alone = [year for year in ordered if id(year) not in used]
    if not found:
        raise InputError(
            f"{len(ordered)} years give no winter",
            where="weather_years",
            expected="two calendar years of one place that follow each other (July to June)",
            remedy=f"give more years: {_WAYS}",
        )
    notices = [_left_out(year) for year in alone]
    if pairs:
        notices.append(_calendar())
    return Winters(winters=tuple(found), notices=tuple(notices))


def _left_out(year: WeatherYear) -> Notice:
    return Notice(
        topic="weather",
        text=f"{year.site.name}, {year.year_label}: no year before or after it is given, so no"
        " winter could be made of it; it is left out.",
    )


def _calendar() -> Notice:
    return Notice(
        topic="weather",
        text="A winter runs from 1 July to 30 June, with the hours of July to December put on the"
        " calendar of the second year: weekdays and holidays of a tariff are that year's.",
    )


def _place(year: WeatherYear) -> tuple[int, int]:
    site = year.site
    return round(site.latitude_deg / _SAME_PLACE_DEG), round(site.longitude_deg / _SAME_PLACE_DEG)


def _follows(first: WeatherYear, second: WeatherYear) -> bool:
    return _place(first) == _place(second) and int(second.year_label) == int(first.year_label) + 1


def _joined(first: WeatherYear, second: WeatherYear) -> Winter:
    spring = second.table[second.month < _FIRST_MONTH]
    autumn = first.table[first.month >= _FIRST_MONTH]
    columns = [name for name in second.table.columns if name in first.table.columns]
    table = pd.concat([spring[columns], autumn[columns]])
    year = int(second.year_label)
    hours = pd.date_range(f"{year}-01-01", periods=len(table), freq="h")
    notices = dict.fromkeys((*first.notices, *second.notices))
    return Winter(
        label=f"{first.year_label}-{second.year_label[-2:]}",
        weather=year_of_table(
            table.set_axis(hours, axis=0),
            site=second.site,
            kind="observed",
            source=f"July to December: {first.source}; January to June: {second.source}",
            notices=tuple(notices),
        ),
    )
