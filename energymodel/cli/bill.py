"""`energymodel bill USAGE TARIFF` and `energymodel tariff FILE`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

_Zone = Annotated[
    str | None,
    typer.Option(help="Time zone of the place, such as America/New_York.", metavar="ZONE"),
]
_Replace = Annotated[bool, typer.Option("--replace", help="Replace a file that exists.")]


def bill(
    usage: Annotated[
        Path,
        typer.Argument(
            help="Use: a table month,kWh; a list of meter readings; or interval data (CSV)."
        ),
    ],
    tariff: Annotated[
        Path, typer.Argument(help="Tariff file (TOML), or a rate database record (JSON, CSV).")
    ],
    zone: _Zone = None,
    day: Annotated[
        int, typer.Option(help="Day of the month on which a bill of interval data begins.")
    ] = 1,
    lines: Annotated[bool, typer.Option("--lines", help="Print every line of every bill.")] = False,
    details: Annotated[
        bool, typer.Option("--details", help="Also print all notices and defaults used.")
    ] = False,
) -> None:
    """Bill a use under a tariff, to the cent."""
    from energymodel.cli.bill_tables import print_bill
    from energymodel.cli.bill_usage import read_usage
    from energymodel.tariffs.files import read_tariff_file

    read, notices = read_tariff_file(tariff, zone)
    billed = read_usage(usage, read, zone=zone, day=day, folder=tariff.parent)
    print_bill(billed, (*notices, *billed.notices), lines=lines, details=details)


def tariff(
    file: Annotated[
        Path, typer.Argument(help="Tariff file (TOML), or a rate database record (JSON, CSV).")
    ],
    zone: _Zone = None,
    out: Annotated[
        Path | None, typer.Option(help="Write it as a tariff file (TOML) of this name.")
    ] = None,
    replace: _Replace = False,
) -> None:
    """Check a tariff file: its plain words, prices by the hour, sample bills."""
    from energymodel.cli.bill_tables import print_tariff
    from energymodel.tariffs.files import read_tariff_file
    from energymodel.tariffs.toml_form import write_tariff

    read, notices = read_tariff_file(file, zone)
    written = write_tariff(read, out, replace=replace) if out is not None else None
    print_tariff(read, notices, zone=zone, written=written)
