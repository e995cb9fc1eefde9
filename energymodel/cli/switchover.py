"""`energymodel switchover [FILE]`: at what temperature and at what price the answer flips."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from energymodel.cli.compare import Units
from energymodel.errors import InputError


def switchover(
    file: Annotated[
        Path | None, typer.Argument(help="Scenario file (TOML). Without it: the demo.")
    ] = None,
    *,
    out: Annotated[Path | None, typer.Option(help="Folder for charts, CSV and JSON.")] = None,
    units: Annotated[
        Units | None, typer.Option(help="Units of the result; default: the scenario's.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace files that exist in the folder.")
    ] = False,
    payback_years: Annotated[
        float, typer.Option(help="Limit of simple payback for the flip values.")
    ] = 10.0,
    fuel: Annotated[
        str | None, typer.Option(help="Fuel on the price map; default: the first one used.")
    ] = None,
    spread_years: Annotated[
        float | None,
        typer.Option(help="Price map with the installed cost spread over so many years."),
    ] = None,
    details: Annotated[
        bool, typer.Option("--details", help="Also print the flip values of every pair.")
    ] = False,
) -> None:
    """Find the outdoor temperature and the prices at which another option becomes cheaper."""
    from energymodel.report.numbers import Display
    from energymodel.report.switchover.table import print_switchover
    from energymodel.study.switchover.switchover import switchover as run

    if out is None and (fuel is not None or spread_years is not None):
        raise InputError(
            f"--{'fuel' if fuel is not None else 'spread-years'} is for the price map",
            expected="--out DIR beside it: the map is a file",
        )
    result = run(file, limit_years=payback_years)
    content = result.comparison.model.scenario.content
    show = Display(us=(units.value if units else content.units) == "us")
    written: tuple[Path, ...] = ()
    if out is not None:
        from energymodel.report.switchover.files import write_switchover
        from energymodel.study.switchover.price_map import map_fuels, price_map

        able = sum(outcome.carries for outcome in result.comparison.outcomes)
        prices = None
        asked = fuel is not None or spread_years is not None
        if asked or (map_fuels(result.comparison) and able > 1):
            prices = price_map(result.comparison, fuel=fuel, spread_years=spread_years)
        written = write_switchover(result, prices, out, show=show, replace=replace)
    print_switchover(result, show, details=details, written=written)
