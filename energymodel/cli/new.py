"""`energymodel new FILE`: a commented starter scenario that runs as it is."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from energymodel.errors import InputError


def new(
    file: Annotated[Path, typer.Argument(help="Scenario file to write (TOML).")],
    replace: Annotated[bool, typer.Option("--replace", help="Replace an existing file.")] = False,
) -> None:
    """Write a commented starter scenario that runs as it is."""
    from energymodel.scenario.files import write_starter

    try:
        if file.is_dir():
            raise InputError(
                "this is a folder", where=str(file), remedy=f"name a file: {file / 'room.toml'}"
            )
        target = write_starter(file, replace=replace)
    except OSError as error:
        raise InputError(f"cannot be written: {error.strerror}", where=str(file)) from None
    print(f"{target} written. Edit it, then run: energymodel compare {shlex.quote(str(target))}")
