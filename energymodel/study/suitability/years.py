"""Every weather year at hand for a site: the scenario's, those it names, and fetched ones."""

from __future__ import annotations

import re
from dataclasses import dataclass

from energymodel.errors import WeatherError
from energymodel.notices import Notice
from energymodel.scenario.assemble import Model
from energymodel.study.uncertainty.winters import read_years
from energymodel.weather.year import WeatherYear

_STATION = re.compile(r"^station ([A-Z0-9]{5}) (\d{4})$")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SiteYears:
    """Weather years of a site.

    Parameters
    ----------
    years
        The scenario's first, then real years in the order of the calendar.
    notices
        What to mind of them.
    """

    years: tuple[WeatherYear, ...]
    notices: tuple[Notice, ...]

    @property
    def only_typical(self) -> bool:
        """Whether no real year is among them."""
        return all(year.kind == "typical" for year in self.years)


def site_years(model: Model) -> SiteYears:
    """Gather the years.

    Parameters
    ----------
    model
        Its scenario may name real years in [ranges] weather_years; where its own year is a
        fetched station year, every other stored year of that station counts too.

    Returns
    -------
    SiteYears
        Each year once.

    Raises
    ------
    EnergyModelError
        If a named year cannot be used.
    """
    content = model.scenario.content
    named = content.ranges.weather_years if content.ranges is not None else []
    found = [model.weather, *read_years(named, model.scenario.path.parent)]
    stored, left_out = _stored(content.place.weather)
    found += stored
    years: dict[tuple[str, str], WeatherYear] = {}
    for year in found:
        years.setdefault((year.site.name, year.year_label), year)
    first, *rest = years.values()
    ordered = (first, *sorted(rest, key=lambda year: (year.site.name, year.year_label)))
    repaired = dict.fromkeys(note for year in ordered[1:] for note in year.notices)
    notices = (*repaired, *left_out)
    made = SiteYears(years=ordered, notices=notices)
    return made if not made.only_typical else SiteYears(years=ordered, notices=(_TYPICAL, *notices))


_TYPICAL = Notice(
    topic="weather",
    text="only a typical year was looked at, and its cold extremes are some 2 to 3 K too mild:"
    " give real years in [ranges] weather_years before a size is chosen by its cold spells",
)


def _stored(place: str) -> tuple[list[WeatherYear], list[Notice]]:
    """Read every whole local year of a station that is stored; list those that are not."""
    match = _STATION.match(place)
    if match is None:
        return [], []
    from energymodel.weather.station_cache import (  # noqa: PLC0415 - only for fetched years
        cache_folder,
        stored_years,
    )
    from energymodel.weather.stations import read_station_years  # noqa: PLC0415 - as above

    station = match.group(1)
    years: list[WeatherYear] = []
    notices: list[Notice] = []
    for year in sorted(stored_years(cache_folder()).get(station, {})):
        try:
            years += read_station_years(station, [year])
        except WeatherError as error:
            text = f"{year} of station {station} is left out: {error.what}"
            notices.append(Notice(topic="weather", text=text))
    return years, notices
