"""Entry point: one command per question; faults as one block and exit code 2."""

from __future__ import annotations

import os
import sys
from typing import NoReturn

import typer

from energymodel.cli import (
    bill,
    compare,
    from_bills,
    handout,
    new,
    notebook,
    rate,
    room_day,
    suitability,
    sweep,
    switchover,
    tariff,
    uncertainty,
    weather,
)
from energymodel.errors import EnergyModelError

app = typer.Typer(
    name="energymodel",
    help="What a room or house costs per year to heat and cool, hour by hour.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.command("compare")(compare.compare)
app.command("new")(new.new)
app.command("suitability")(suitability.suitability)
app.command("switchover")(switchover.switchover)
app.command("uncertainty")(uncertainty.uncertainty)
app.command("room-day")(room_day.room_day)
app.command("handout")(handout.handout)
app.command("from-bills")(from_bills.from_bills)
app.command("tariff")(tariff.tariff)
app.command("bill")(bill.bill)
app.command("sweep")(sweep.sweep)
app.command("rate")(rate.rate)
app.add_typer(weather.app, name="weather")
app.command("notebook")(notebook.notebook)


@app.callback(invoke_without_command=True)
def _top(
    version: bool = typer.Option(False, "--version", help="Print the version and stop."),
) -> None:
    if version:
        from energymodel import __version__

        print(__version__)
        raise typer.Exit


_INTERRUPTED = 130
"""Exit code after the interrupt key, by the shells' custom."""


def _stopped() -> NoReturn:
    print("energymodel: stopped", file=sys.stderr)
    sys.exit(_INTERRUPTED)


def run() -> None:
    """Run the command line; a fault of the input ends with exit code 2."""
    # the search for plug-ins reads every installed package and would find none that matters
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    try:
        app()
    except EnergyModelError as error:
        print(f"energymodel: {error}", file=sys.stderr)
        sys.exit(2)
    except KeyboardInterrupt:
        _stopped()
    except SystemExit as ended:
        if ended.code == _INTERRUPTED:
            _stopped()
        raise
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(141)
    except OSError as error:
        name = f"{error.filename}: " if error.filename else ""
        print(f"energymodel: {name}{error.strerror or error}.", file=sys.stderr)
        sys.exit(2)
