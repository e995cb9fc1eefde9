"""`energymodel rate FILE`: seasonal ratings of a unit; label-to-site steps with `--place`."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from energymodel.errors import InputError

if TYPE_CHECKING:
    from energymodel.equipment.curves import Function
    from energymodel.study.rating.label_to_site import Site
    from energymodel.study.rating.site_text import SiteTexts
    from energymodel.weather.year import WeatherYear


class Units(StrEnum):
    """Units of the printed result."""

    us = "us"
    si = "si"


class Service(StrEnum):
    """Function that the steps are for."""

    heating = "heating"
    cooling = "cooling"


class BackupChoice(StrEnum):
    """Second heater at the site."""

    electric = "electric"
    none = "none"


_SITE = "Label to site"


def rate(
    file: Annotated[
        str,
        typer.Argument(
            metavar="FILE", help="Plate values, test points or a unit (TOML), or a catalogue key."
        ),
    ],
    *,
    place: Annotated[
        str | None,
        typer.Option(
            metavar="KEY",
            help="Weather year or file: show the steps from the label to this place.",
            rich_help_panel=_SITE,
        ),
    ] = None,
    function: Annotated[
        Service, typer.Option(help="Function that the steps are for.", rich_help_panel=_SITE)
    ] = Service.heating,
    design_load: Annotated[
        str | None,
        typer.Option(
            metavar="POWER",
            help="Load at the design temperature, such as '9.5 kBtu/h'; default: the label's load.",
            rich_help_panel=_SITE,
        ),
    ] = None,
    design_temperature: Annotated[
        str | None,
        typer.Option(
            metavar="TEMPERATURE",
            help="Default: 1 % of the year's hours are beyond it.",
            rich_help_panel=_SITE,
        ),
    ] = None,
    balance: Annotated[
        str | None,
        typer.Option(
            metavar="TEMPERATURE",
            help="Outdoor temperature without a load; default 60 degF heating, 68 degF cooling.",
            rich_help_panel=_SITE,
        ),
    ] = None,
    indoor: Annotated[
        str | None,
        typer.Option(
            metavar="TEMPERATURE",
            help="Set-point; default 70 degF heating, 75 degF cooling.",
            rich_help_panel=_SITE,
        ),
    ] = None,
    backup: Annotated[
        BackupChoice,
        typer.Option(help="What covers a shortfall in heating.", rich_help_panel=_SITE),
    ] = BackupChoice.electric,
    in_service: Annotated[
        float,
        typer.Option(
            help="Divides power: charge, air flow, placement, controls.", rich_help_panel=_SITE
        ),
    ] = 0.90,
    chart: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Write the steps as a .png or .svg.", rich_help_panel=_SITE
        ),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace a chart that exists.", rich_help_panel=_SITE)
    ] = False,
    bins: Annotated[bool, typer.Option("--bins", help="Print the bins instead.")] = False,
    units: Annotated[Units, typer.Option(help="Units of the result.")] = Units.us,
    details: Annotated[
        bool, typer.Option("--details", help="List guessed values, sources and all notices.")
    ] = False,
) -> None:
    """Rate a unit by every standard; with --place, explain why the site differs from the label."""
    from energymodel.report.numbers import Display
    from energymodel.study.rating.rated_unit import read_rated_unit

    show = Display(us=units is Units.us)
    if chart is not None:
        from energymodel.new_file import PICTURES, check_new_file

        check_new_file(chart, endings=PICTURES, replace=replace)
    unit = read_rated_unit(file)
    given: dict[str, object] = {
        "--design-load": design_load,
        "--design-temperature": design_temperature,
        "--balance": balance,
        "--indoor": indoor,
        "--chart": chart,
    }
    _check_place(place, given, bins=bins)
    if bins:
        from energymodel.report.rating.bins import print_bins

        print_bins(unit, show)
    elif place is None:
        from energymodel.report.rating.table import print_rating
        from energymodel.study.rating.rate import rate as rate_unit

        print_rating(rate_unit(unit), show, details=details)
    else:
        from energymodel.equipment.curves import Function
        from energymodel.report.rating.bins import print_steps
        from energymodel.study.rating.rate import site_range
        from energymodel.study.rating.site_text import SiteTexts

        serves = Function.HEATING if function is Service.heating else Function.COOLING
        texts = SiteTexts(
            load=design_load, design=design_temperature, balance=balance, indoor=indoor
        )
        found = site_range(unit, _site(place, texts, backup, in_service, serves), serves)
        print_steps(unit, found, details=details)
        if chart is not None:
            from energymodel.report.figures.steps_chart import write_steps_chart

            write_steps_chart(found, chart, replace=replace)
            print(f"Written: {chart}")


def _check_place(place: str | None, given: dict[str, object], *, bins: bool) -> None:
    without = [name for name, value in given.items() if value is not None]
    if place is None and without:
        raise InputError(
            f"{without[0]} stands without --place",
            expected="a weather year, such as --place newark-nj-2013",
            remedy="add --place KEY",
        )
    if place is not None and bins:
        raise InputError("--bins and --place are two questions", remedy="ask one at a time")


def _site(
    place: str, texts: SiteTexts, backup: BackupChoice, in_service: float, function: Function
) -> Site:
    from energymodel.equipment.curves import Function
    from energymodel.study.rating.label_to_site import Site
    from energymodel.study.rating.site_run import ELECTRIC_BACKUP, NO_BACKUP
    from energymodel.study.rating.site_text import (
        USUAL_INDOOR_C,
        check_in_service,
        read_indoor_c,
        read_site_load,
    )

    check_in_service(in_service)
    weather = _weather(place)
    line = read_site_load(texts, weather, function)
    indoor_c = {**USUAL_INDOOR_C, function: read_indoor_c(texts, function)}
    return Site(
        weather=weather,
        heating_load=line if function is Function.HEATING else None,
        cooling_load=line if function is Function.COOLING else None,
        heating_indoor_c=indoor_c[Function.HEATING],
        cooling_indoor_c=indoor_c[Function.COOLING],
        backup=ELECTRIC_BACKUP if backup is BackupChoice.electric else NO_BACKUP,
        in_service_factor=in_service,
    )


def _weather(place: str) -> WeatherYear:
    from energymodel.weather.files import read_weather
    from energymodel.weather.library import shipped_year

    path = Path(place)
    if path.suffix or len(path.parts) > 1 or path.is_file():
        return read_weather(path)
    return shipped_year(place)
