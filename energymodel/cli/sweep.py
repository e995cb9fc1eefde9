"""`energymodel sweep FILE`: thousands of variants of a scenario, to CSV or Parquet."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer


def sweep(
    file: Annotated[Path, typer.Argument(help="Scenario file (TOML) with a table [sweep].")],
    out: Annotated[
        Path | None,
        typer.Option(help="Folder for Parquet parts, or a file that ends in .csv or .parquet."),
    ] = None,
    workers: Annotated[
        int, typer.Option(min=1, help="Processes; more than one needs the cluster extra.")
    ] = 1,
    scheduler: Annotated[
        str | None, typer.Option(help="Address of a running dask scheduler, tcp://HOST:PORT.")
    ] = None,
    resume: Annotated[
        bool, typer.Option("--resume", help="Keep the pieces that an earlier run finished.")
    ] = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace an earlier sweep at the same place.")
    ] = False,
) -> None:
    """Run every variant of a scenario and tell which option is cheapest where."""
    from energymodel.errors import InputError
    from energymodel.report.progress import with_progress
    from energymodel.report.sweep.table import print_sweep
    from energymodel.study.sweep.store import Existing, Output
    from energymodel.study.sweep.sweep import sweep as run

    if resume and replace:
        raise InputError("--resume and --replace are both given", expected="one of them")
    if (resume or replace) and out is None:
        flag = "--resume" if resume else "--replace"
        raise InputError(f"{flag} without --out", expected="--out with the place of that sweep")
    existing = Existing.REPLACE if replace else Existing.REFUSE
    output = None
    if out is not None:
        output = Output(path=out, existing=Existing.RESUME if resume else existing)
    try:
        result = run(file, out=output, workers=workers, scheduler=scheduler, progress=with_progress)
    except KeyboardInterrupt:
        kept = "what is finished is kept; --resume goes on with it"
        print(f"energymodel: sweep: {kept if output else 'nothing was kept'}", file=sys.stderr)
        raise
    print_sweep(result)
