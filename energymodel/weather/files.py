"""Read a weather file of any known format, recognised by its content."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from energymodel.errors import WeatherError
from energymodel.weather.epw import epw_year, is_epw
from energymodel.weather.filetext import FileText, read_file_text
from energymodel.weather.gaps import GapFill
from energymodel.weather.nsrdb import is_nsrdb, nsrdb_year
from energymodel.weather.rows import Kind
from energymodel.weather.tmy2 import is_tmy2, tmy2_year
from energymodel.weather.tmy3 import is_tmy3, tmy3_year
from energymodel.weather.year import WeatherYear


class _YearOfText(Protocol):
    def __call__(
        self,
        text: FileText,
        *,
        zone: str | None,
        kind: Kind | None,
        fill: GapFill | WeatherYear | None,
    ) -> WeatherYear: ...


_FORMATS: tuple[tuple[Callable[[FileText], bool], _YearOfText], ...] = (
    (is_tmy3, tmy3_year),
    (is_epw, epw_year),
    (is_nsrdb, nsrdb_year),
    (is_tmy2, tmy2_year),
)


def read_weather(
    path: Path | str,
    *,
    zone: str | None = None,
    kind: Kind | None = None,
    fill: GapFill | WeatherYear | None = None,
) -> WeatherYear:
    """Read a weather file whose content says what it is.

    Parameters
    ----------
    path
        TMY3, TMY2, EPW or NSRDB file, whose name does not matter; or the key of a year that comes
        with the package ("greensboro-nc"), as `energymodel weather list` shows it.
    zone
        Time-zone name of the place ("America/New_York"): wall-clock tariffs need it, the files
        have only the offset from UTC.
    kind
        "typical" or "observed"; None: as the format says, or observed if all rows of an EPW or
        NSRDB file carry the same calendar year.
    fill
        What replaces gaps longer than three hours; None refuses them.

    Returns
    -------
    WeatherYear
        Complete year.

    Raises
    ------
    WeatherError
        If the content is of no known format, or its hours are not a plausible year.
    """
    if isinstance(path, str) and not Path(path).exists():
        shipped = _shipped(path)
        if shipped is not None:
            if (zone, kind, fill) != (None, None, None):
                raise WeatherError(
                    "zone, kind and fill are given for a year that has its own",
                    where=path,
                    expected="the key alone",
                )
            return shipped
    text = read_file_text(path)
    for recognises, year_of in _FORMATS:
        if recognises(text):
            return year_of(text, zone=zone, kind=kind, fill=fill)
    raise WeatherError(
        f"the format of this file is not known; it begins with {text.lines[0][:60]!r}",
        where=text.at(0),
        expected="a TMY3, TMY2, EPW or NSRDB file with its head lines",
        remedy="for any other table name its columns and units and use read_csv_columns",
    )


def _shipped(key: str) -> WeatherYear | None:
    from energymodel.weather.library import (  # noqa: PLC0415 - it reads its files through here
        shipped_year,
        shipped_years,
    )

    return shipped_year(key) if key in {entry.key for entry in shipped_years()} else None
