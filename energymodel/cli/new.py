"""`energymodel new FILE`: a commented starter scenario that runs as it is."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def new(
    file: Annotated[Path, typer.Argument(help="Scenario file to write (TOML).")],
    replace: Annotated[bool, typer.Option("--replace", help="Replace an existing file.")] = False,
) -> None:
    """Write a commented starter scenario that runs as it is."""
    from energymodel.scenario.files import write_starter

    target = write_starter(file, replace=replace)
    print(f"{target} written. Edit it, then run: energymodel compare {target}")
