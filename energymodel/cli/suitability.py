"""`energymodel suitability [FILE]`: which units fit the room, climate, supply and pipes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from energymodel.cli.compare import Units


def suitability(
    file: Annotated[
        Path | None, typer.Argument(help="Scenario file (TOML). Without it: the demo.")
    ] = None,
    *,
    unit: Annotated[
        list[str] | None,
        typer.Option(
            metavar="KEY", help="Candidate unit; give several. Default: the whole catalogue."
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write every number and reason as .json or .csv."),
    ] = None,
    chart: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write the units against the load as .png or .svg."),
    ] = None,
    units: Annotated[
        Units | None, typer.Option(help="Units of the result; default: the scenario's.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace files that exist.")] = False,
    details: Annotated[
        bool, typer.Option("--details", help="Print every reason, defaults and all notices.")
    ] = False,
) -> None:
    """Find the size and the version that fit a room, its climate, its supply and its pipe run."""
    from energymodel.new_file import PICTURES, TABLES, check_new_file
    from energymodel.report.suitability.files import write_suitability
    from energymodel.report.suitability.table import print_suitability
    from energymodel.report.suitability.units import SiteUnits
    from energymodel.study.suitability.suitability import suitability as run

    if out is not None:
        check_new_file(out, endings=TABLES, replace=replace)
    if chart is not None:
        check_new_file(chart, endings=PICTURES, replace=replace)
    result = run(file, units=unit or [])
    shown = units.value if units else result.model.scenario.content.units
    show = SiteUnits(us=shown == "us")
    written = []
    if out is not None:
        write_suitability(result, out, show)
        written.append(out)
    if chart is not None:
        from energymodel.report.figures.fit_chart import write_fit_chart

        write_fit_chart(result, chart, show)
        written.append(chart)
    print_suitability(result, show, details=details, written=written)
