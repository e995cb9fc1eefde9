"""`energymodel tariff FILE`: a tariff in plain words, its hours, sample bills."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

_CHOOSE = (
    "For a record of the rate database, which leaves them open: missing-rate=zero,"
    " ratchet=percent, look-back=11, tiers='time order', demand-window=30, power-factor=0.95,"
    " holidays=US, season-begins='15 Apr', currency=USD. May be repeated; with --out the tariff"
    " file keeps the choices."
)


def tariff(
    file: Annotated[
        Path, typer.Argument(help="Tariff file (TOML), or a rate database record (JSON, CSV).")
    ],
    zone: Annotated[
        str | None,
        typer.Option(help="Time zone of the place, such as America/New_York.", metavar="ZONE"),
    ] = None,
    choose: Annotated[list[str] | None, typer.Option(help=_CHOOSE, metavar="NAME=VALUE")] = None,
    out: Annotated[
        Path | None, typer.Option(help="Write it as a tariff file (TOML) of this name.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace a file that exists.")] = False,
) -> None:
    """Check a tariff file: its plain words, prices by the hour, sample bills.

    `energymodel new rate.toml --tariff` writes a tariff file that shows every key with a comment:
    fixed charges, blocks, seasons, time of use, holidays, demand with ratchet, minimum bill,
    baseline, riders, taxes, hourly prices from a CSV file, feed-in, interruption, gas units.
    """
    from energymodel.cli.tariff_tables import print_tariff
    from energymodel.tariffs.files import read_tariff_file
    from energymodel.tariffs.price_files import read_price_files
    from energymodel.tariffs.toml_form import write_tariff

    read, notices = read_tariff_file(file, zone, choose or ())
    prices = read_price_files(read, file.parent, zone=zone)
    written = write_tariff(read, out, replace=replace) if out is not None else None
    print_tariff(read, notices, prices, zone=zone, written=written)
