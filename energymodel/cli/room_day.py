"""`energymodel room-day [FILE]`: inverter against on/off, minute by minute; setback, preheating."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Units(StrEnum):
    """Units of the printed result."""

    us = "us"
    si = "si"


class ChartDay(StrEnum):
    """Day of the chart."""

    mild = "mild"
    typical = "typical"
    coldest = "coldest"


_SCHEDULE = "Setback and preheating, over the whole winter"


def room_day(
    file: Annotated[
        Path | None, typer.Argument(help="Scenario file (TOML). Without it: the demo.")
    ] = None,
    *,
    option: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME",
            help="Option of the scenario; give several. Default: an inverter, the on/off unit"
            " nearest to it in size that runs on these days, electric resistance.",
        ),
    ] = None,
    setback: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PERIOD",
            help="Lower set-point with its hours, such as '65 degF 22-6'.",
            rich_help_panel=_SCHEDULE,
        ),
    ] = None,
    preheat: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PERIOD",
            help="Usual or higher set-point ahead of dear hours, such as '73 degF 4-6'.",
            rich_help_panel=_SCHEDULE,
        ),
    ] = None,
    mass: Annotated[
        str | None,
        typer.Option(metavar="KEY", help="Type of room: very-light, timber-frame, masonry, ..."),
    ] = None,
    area: Annotated[
        str | None,
        typer.Option(metavar="AREA", help="Floor area, such as '380 ft2'; default: as there."),
    ] = None,
    dead_band: Annotated[
        str | None,
        typer.Option(
            metavar="DIFFERENCE", help="Thermostat, off to on, such as '1 degF'; default: 1 K."
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Folder for the comfort chart and the minutes as CSV.")
    ] = None,
    day: Annotated[ChartDay, typer.Option(help="Day of the chart.")] = ChartDay.typical,
    units: Annotated[
        Units | None, typer.Option(help="Units of the result; default: the scenario's.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace files that exist in the folder.")
    ] = False,
    details: Annotated[
        bool, typer.Option("--details", help="Also print what the minute model assumes.")
    ] = False,
) -> None:
    """Show a mild, a typical and the coldest day of a room minute by minute."""
    from energymodel.report.numbers import Display
    from energymodel.report.room_day.table import print_room_day, print_setback, print_written
    from energymodel.scenario.files import read_scenario
    from energymodel.study.room_day.room_case import read_choice
    from energymodel.study.room_day.set_points import read_period

    lower = [read_period(text, where="--setback") for text in setback or ()]
    warmer = [read_period(text, where="--preheat") for text in preheat or ()]
    choice = read_choice(mass=mass, area=area, dead_band=dead_band)
    scenario = read_scenario(file)
    show = Display(us=(units.value if units else scenario.content.units) == "us")
    if lower or warmer:
        from energymodel.study.room_day.setback import setback as run_setback

        both = run_setback(
            scenario, lower=lower, preheat=warmer, options=option or (), choice=choice
        )
        print_setback(both, show, details=details)
    if out is None and (lower or warmer):
        return
    from energymodel.study.room_day.room_day import DayKind
    from energymodel.study.room_day.room_day import room_day as run

    result = run(scenario, options=option or (), choice=choice)
    written: tuple[Path, ...] = ()
    if out is not None:
        from energymodel.report.room_day.files import write_room_day

        written = write_room_day(result, out, show, kind=DayKind(day.value), replace=replace)
    if not (lower or warmer):
        print_room_day(result, show, details=details)
    print_written(written)
