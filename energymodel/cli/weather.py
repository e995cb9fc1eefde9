"""`energymodel weather list, show, fetch`: years at hand, what is in one, years of a station."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from energymodel.errors import InputError

if TYPE_CHECKING:
    from energymodel.weather.stations import Station, StationAccess
    from energymodel.weather.year import WeatherYear

app = typer.Typer(
    help="Weather years: at hand, shown, fetched from stations.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)
_NOTICES_UNDER_A_TABLE = 3
_QUIET_S = 1.0
"""A bar appears only when a download takes longer than this."""

_FillYear = Annotated[
    int | None,
    typer.Option(
        metavar="YEAR", help="Fill gaps longer than 3 h from this year of the same station."
    ),
]
_ModelData = Annotated[
    bool, typer.Option("--model-data", help="Also take hours that a weather model computed.")
]
_Details = Annotated[bool, typer.Option("--details", help="Print all notices whole.")]


@app.command("list")
def list_years() -> None:
    """List the weather years at hand: shipped ones, and stations fetched before."""
    from energymodel.cli.weather_tables import years_at_hand
    from energymodel.report.console import console
    from energymodel.weather.library import shipped_years
    from energymodel.weather.stations import stored_stations

    out = console()
    stored = stored_stations()
    out.print(years_at_hand(shipped_years(), stored))
    out.print("Look into one: energymodel weather show KEY (or a weather file)")
    if stored:
        out.print("Into a fetched one: energymodel weather show STATION --year YEAR")


@app.command("show")
def show_year(
    key_or_file: Annotated[
        str,
        typer.Argument(
            metavar="KEY_OR_FILE",
            help="Key of a shipped year, a weather file, or with --year a fetched station.",
        ),
    ],
    year: Annotated[
        int | None,
        typer.Option(metavar="YEAR", help="Calendar year of a station that was fetched before."),
    ] = None,
    fill_year: _FillYear = None,
    model_data: _ModelData = False,
    bins: Annotated[bool, typer.Option("--bins", help="Print hours in 5 °F bins instead.")] = False,
    details: _Details = False,
) -> None:
    """Show what is in a weather year: extremes, degree-days, design temperatures or bins."""
    from energymodel.cli.weather_tables import bin_hours, print_lines, site_line, year_facts
    from energymodel.report.console import console
    from energymodel.weather.bins import bins_5f
    from energymodel.weather.design import design_temperatures

    if year is None:
        shown = _year_at_hand(key_or_file)
    else:
        shown = _stored_year(key_or_file, year, fill_year, include_model_data=model_data)
    out = console()
    print_lines(out, [site_line(shown), f"Source: {shown.source}"])
    notices = [notice.text for notice in shown.notices]
    if bins:
        counted = bins_5f(shown.outdoor_c)
        out.print(bin_hours(counted))
        print_lines(out, [f"Counted as: {counted.definition}."])
    else:
        design = design_temperatures(shown)
        out.print(year_facts(shown, design))
        print_lines(out, [notice.text for notice in design.notices])
    print_lines(out, notices, most=None if details else _NOTICES_UNDER_A_TABLE)


def _year_at_hand(key_or_file: str) -> WeatherYear:
    from energymodel.weather.files import read_weather
    from energymodel.weather.library import shipped_year

    path = Path(key_or_file)
    if path.suffix or len(path.parts) > 1 or path.is_file():
        return read_weather(path)
    return shipped_year(key_or_file)


def _stored_year(
    station_id: str, year: int, fill_year: int | None, *, include_model_data: bool
) -> WeatherYear:
    from energymodel.weather.stations import read_station_years

    fill = None if fill_year is None else read_station_years(station_id, [fill_year])[0]
    (stored,) = read_station_years(
        station_id, [year], include_model_data=include_model_data, fill=fill
    )
    return stored


@app.command("fetch")
def fetch_years(
    *,
    near: Annotated[
        str | None,
        typer.Option(metavar="LAT,LON", help="Take the station nearest to this place."),
    ] = None,
    station: Annotated[
        str | None, typer.Option(metavar="ID", help="Take the station with this identifier.")
    ] = None,
    year: Annotated[
        list[int] | None,
        typer.Option(metavar="YEAR", help="Calendar year; may be given several times."),
    ] = None,
    first: Annotated[
        int | None, typer.Option("--from", metavar="YEAR", help="First of several years.")
    ] = None,
    last: Annotated[
        int | None, typer.Option("--to", metavar="YEAR", help="Last of several years.")
    ] = None,
    fill_year: _FillYear = None,
    model_data: _ModelData = False,
    radius_km: Annotated[float, typer.Option(help="Farthest distance of a station, km.")] = 50.0,
    timeout_s: Annotated[float, typer.Option(help="Longest wait for one file, seconds.")] = 60.0,
    details: _Details = False,
) -> None:
    """Fetch years of a weather station; without a year, list the stations near a place."""
    from energymodel.weather.stations import StationAccess

    years = _years(year or [], first, last)
    with _bar() as progress:
        access = StationAccess(timeout_s=_positive_s(timeout_s), progress=progress)
        found = _stations(near, station, radius_km, access)
        if years:
            fetched = _fetched(found[0], years, (fill_year, model_data), access)
    if years:
        _print_fetched(found[0], fetched, details=details)
    else:
        _print_stations(found)


def _stations(
    near: str | None, station: str | None, radius_km: float, access: StationAccess
) -> Sequence[Station]:
    from energymodel.weather.stations import find_station, find_stations

    if near is None and station is not None:
        return [find_station(station, access)]
    if near is None or station is not None:
        raise InputError(
            "no station is named" if near is None else "both --near and --station are given",
            expected='either --near "40.69,-74.17" or --station 72502',
        )
    latitude_deg, longitude_deg = _place(near)
    found = find_stations(latitude_deg, longitude_deg, radius_km=radius_km, access=access)
    if not found:
        raise InputError(
            f"there is no station within {radius_km:g} km of {near}",
            expected="a place with a weather station nearby",
            remedy="allow more with --radius-km",
        )
    return found


def _place(near: str) -> tuple[float, float]:
    try:
        latitude, longitude = (float(part) for part in near.split(","))
    except ValueError:
        raise InputError(
            f"--near {near!r} is no place",
            expected='latitude and longitude in degrees, west negative, like "40.69,-74.17"',
        ) from None
    return latitude, longitude


def _positive_s(timeout_s: float) -> float:
    if not timeout_s > 0.0:
        raise InputError(f"--timeout-s {timeout_s:g} leaves no time", expected="seconds above 0")
    return timeout_s


def _years(single: Sequence[int], first: int | None, last: int | None) -> list[int]:
    if first is None and last is None:
        return sorted(set(single))
    if first is None or last is None or not first <= last <= first + 100:
        raise InputError(
            f"--from {first or 'nothing'} --to {last or 'nothing'} is no span of years",
            expected="both years, the earlier one first",
        )
    return sorted({*single, *range(first, last + 1)})


def _fetched(
    station: Station, years: Sequence[int], choice: tuple[int | None, bool], access: StationAccess
) -> Sequence[WeatherYear]:
    from energymodel.weather.stations import fetch_station_years

    fill_year, model_data = choice
    fill = None
    if fill_year is not None:
        (fill,) = fetch_station_years(station, [fill_year], access=access)
    return fetch_station_years(
        station, years, include_model_data=model_data, fill=fill, access=access
    )


def _print_fetched(station: Station, years: Sequence[WeatherYear], *, details: bool) -> None:
    from energymodel.cli.weather_tables import fetched_years, print_lines, station_line
    from energymodel.report.console import console
    from energymodel.weather.stations import station_files

    out = console()
    print_lines(out, [station_line(station)])
    out.print(fetched_years(years))
    files = station_files(station, [int(year.year_label) for year in years])
    names = ", ".join(file.name for file in files)
    if len(files) > 3:
        names = f"{files[0].name} to {files[-1].name}, {len(files)} files"
    # A path that is broken by a line end cannot be copied.
    out.print(f"Stored in {files[0].parent}: {names}", soft_wrap=True)
    for source in dict.fromkeys(year.source.split(": ", 1)[1] for year in years):
        print_lines(out, [f"Source: {source}"])
    notices = [notice.text for year in years for notice in year.notices]
    print_lines(out, notices, most=None if details else _NOTICES_UNDER_A_TABLE)
    last = years[-1].year_label
    print_lines(out, [f"Next: energymodel weather show {station.id} --year {last}"])


def _print_stations(found: Sequence[Station]) -> None:
    from energymodel.cli.weather_tables import print_lines, stations_near
    from energymodel.report.console import console

    out = console()
    out.print(stations_near(found))
    lines = [
        "The distance says nothing of height, or of the years with data.",
        f"Next: energymodel weather fetch --station {found[0].id} --year YEAR",
    ]
    print_lines(out, lines)


@contextmanager
def _bar() -> Iterator[Callable[[int, int], None] | None]:
    """Show the files that have arrived, on a terminal and only if it takes a while."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    bar = Progress(console=Console(stderr=True), transient=True)
    task = bar.add_task("Fetching station files", total=None)
    begin = threading.Timer(_QUIET_S, bar.start)
    begin.daemon = True
    begin.start()
    try:
        yield lambda done, wanted: bar.update(task, completed=done, total=wanted)
    finally:
        begin.cancel()
        begin.join()
        bar.stop()
