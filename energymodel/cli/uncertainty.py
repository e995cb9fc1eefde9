"""`energymodel uncertainty [FILE]`: how far the likely figures may be off, and why."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from energymodel.errors import InputError

_SHORTEST, _LONGEST = 0.1, 100.0


def uncertainty(
    file: Annotated[
        Path | None, typer.Argument(help="Scenario file (TOML). Without it: the demo.")
    ] = None,
    *,
    draws: Annotated[int, typer.Option(help="Rounded up to a power of two.")] = 8192,
    seed: Annotated[int, typer.Option(min=0, help="The same seed gives the same draws.")] = 1,
    within: Annotated[
        float | None,
        typer.Option(metavar="YEARS", help="For the chance of a payback, 0.1 to 100; default: 10."),
    ] = None,
    year: Annotated[
        list[str] | None,
        typer.Option(
            metavar="'station ID YEARS'|FILE",
            help="Real weather years, such as 'station 72502 2013-2022'; give several.",
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also write the result, .json or .csv.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace a file that exists.")] = False,
    details: Annotated[
        bool,
        typer.Option("--details", help="Rank the inputs for every option; list what was assumed."),
    ] = False,
) -> None:
    """Show the spread of cost, saving and payback, the chances, and what makes the spread."""
    from energymodel.new_file import TABLES, check_new_file
    from energymodel.report.progress import with_progress
    from energymodel.report.uncertainty.files import write_spread
    from energymodel.report.uncertainty.table import print_uncertainty
    from energymodel.study.uncertainty.uncertainty import uncertainty as run

    if within is not None:
        _check_within(within)
    if out is not None:
        check_new_file(out, endings=TABLES, replace=replace)
    result = run(
        file,
        draws=draws,
        seed=seed,
        within_years=within,
        weather_years=year or (),
        in_turn=partial(with_progress, doing="Running options"),
    )
    written = [] if out is None else [write_spread(result, out, replace=replace)]
    print_uncertainty(result, details=details, written=written)


def _check_within(years: float) -> None:
    if not _SHORTEST <= years <= _LONGEST:
        raise InputError(
            f"{years:g} years for the chance of a payback",
            where="--within",
            expected=f"{_SHORTEST:g} to {_LONGEST:g} years, such as --within 10",
            remedy="leave it out for the scenario's payback_within, else 10 years",
        )
