"""`energymodel new FILE`: a commented starter scenario or tariff that runs as it is."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from energymodel.errors import InputError


def new(
    file: Annotated[Path, typer.Argument(help="Scenario (or tariff) file to write (TOML).")],
    replace: Annotated[bool, typer.Option("--replace", help="Replace an existing file.")] = False,
    house: Annotated[
        bool, typer.Option("--house", help="A whole house, its load from walls, windows and air.")
    ] = False,
    tariff: Annotated[
        bool, typer.Option("--tariff", help="A tariff with every key in it, not a scenario.")
    ] = False,
) -> None:
    """Write a commented starter scenario that runs as it is; with --tariff a tariff file."""
    from energymodel.scenario.files import HOUSE, STARTER, write_starter
    from energymodel.tariffs.starter import TARIFF_STARTER

    if house and tariff:
        raise InputError("--house and --tariff are two files", remedy="write one at a time")
    example = TARIFF_STARTER if tariff else HOUSE if house else STARTER
    command = "tariff" if tariff else "compare"
    target = write_starter(file, replace=replace, example=example)
    print(f"{target} written. Edit it, then run: energymodel {command} {shlex.quote(str(target))}")
