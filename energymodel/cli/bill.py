"""`energymodel bill USAGE TARIFF`."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from energymodel.cli.from_bills import DateOrderChoice, DecimalMarkChoice, LastDayChoice


class SignsChoice(StrEnum):
    """What values of one column are."""

    load = "load"
    net = "net"


class StampsChoice(StrEnum):
    """Which moment of its interval a stamp names."""

    start = "start"
    end = "end"


class ClockChoice(StrEnum):
    """What stamps follow."""

    wall = "wall"
    standard = "standard"
    utc = "utc"


class RepeatsChoice(StrEnum):
    """What becomes of rows that repeat a stamp on the day on which the clock is put forward."""

    fold = "fold"
    drop = "drop"


_READ, _FEED, _LIST = "How to read tables", "Green Button files", "Lists of readings"


def bill(
    usage: Annotated[
        Path,
        typer.Argument(
            help="Use: a table month,kWh; a list of meter readings; interval data (CSV); or a"
            " Green Button file (XML)."
        ),
    ],
    tariff: Annotated[
        Path, typer.Argument(help="Tariff file (TOML), or a rate database record (JSON, CSV).")
    ],
    *,
    zone: Annotated[
        str | None,
        typer.Option(help="Time zone of the place, such as America/New_York.", metavar="ZONE"),
    ] = None,
    day: Annotated[
        int, typer.Option(help="Day of the month on which a bill of interval data begins.")
    ] = 1,
    bill_line: Annotated[
        str | None,
        typer.Option(
            help="Use printed on the latest bill, such as '745 kWh', or on that of given days,"
            " '745 kWh 2024-01-05 2024-02-04': confirms the unit."
        ),
    ] = None,
    unit: Annotated[
        str | None,
        typer.Option(help="Unit of the values: W, kW, Wh, kWh, therm, ...", rich_help_panel=_READ),
    ] = None,
    interval: Annotated[
        float | None,
        typer.Option(min=1.0, help="Length of each interval, minutes.", rich_help_panel=_READ),
    ] = None,
    signs: Annotated[
        SignsChoice | None,
        typer.Option(
            help="Whether a column is the load, or net: negative values are export.",
            rich_help_panel=_READ,
        ),
    ] = None,
    decimal_mark: Annotated[
        DecimalMarkChoice | None,
        typer.Option(help="Decimal mark of the numbers.", rich_help_panel=_READ),
    ] = None,
    date_order: Annotated[
        DateOrderChoice | None, typer.Option(help="Order of the dates.", rich_help_panel=_READ)
    ] = None,
    column: Annotated[
        str | None,
        typer.Option(help="Heading or number of the column of the use.", rich_help_panel=_READ),
    ] = None,
    export_column: Annotated[
        str | None,
        typer.Option(help="The same of the column of export.", rich_help_panel=_READ),
    ] = None,
    time_column: Annotated[
        str | None,
        typer.Option(help="The same of the column of date and time.", rich_help_panel=_READ),
    ] = None,
    stamps: Annotated[
        StampsChoice | None,
        typer.Option(help="What a stamp names of its interval.", rich_help_panel=_READ),
    ] = None,
    clock: Annotated[
        ClockChoice | None,
        typer.Option(
            help="What stamps follow: the wall clock, standard time all year, or UTC.",
            rich_help_panel=_READ,
        ),
    ] = None,
    repeats: Annotated[
        RepeatsChoice | None,
        typer.Option(
            help="Rows doubled where the clock is put forward: add them up, or drop equal ones.",
            rich_help_panel=_READ,
        ),
    ] = None,
    heat_content: Annotated[
        str | None,
        typer.Option(
            help="Energy of one unit of gas, such as '1.02 therm/ccf' (billing factor).",
            rich_help_panel=_READ,
        ),
    ] = None,
    usage_point: Annotated[
        int | None,
        typer.Option(help="Number of the meter where a file has several.", rich_help_panel=_FEED),
    ] = None,
    series: Annotated[
        int | None,
        typer.Option(help="Number of the series where a meter has several.", rich_help_panel=_FEED),
    ] = None,
    last_day: Annotated[
        LastDayChoice | None,
        typer.Option(help="Last day of a bill: read day, or included.", rich_help_panel=_LIST),
    ] = None,
    dials: Annotated[
        int | None,
        typer.Option(help="Dials of a counter that passed its end.", rich_help_panel=_LIST),
    ] = None,
    lines: Annotated[bool, typer.Option("--lines", help="Print every line of every bill.")] = False,
    details: Annotated[
        bool, typer.Option("--details", help="Also print all notices and defaults used.")
    ] = False,
) -> None:
    """Bill a use under a tariff, to the cent."""
    from energymodel.cli.bill_facts import Said, bill_text, column_named, last_day_of, mark_of
    from energymodel.cli.bill_tables import print_bill
    from energymodel.cli.bill_usage import read_usage
    from energymodel.tariffs.files import read_tariff_file
    from energymodel.tariffs.interruption import metered_as_it_was
    from energymodel.tariffs.plausible import money_first

    said = Said(
        unit=unit,
        interval_min=interval,
        decimal_mark=mark_of(decimal_mark),
        date_order=None if date_order is None else date_order.value,
        value_column=column_named(column),
        export_column=column_named(export_column),
        time_column=column_named(time_column),
        label=None if stamps is None else stamps.value,
        clock=None if clock is None else clock.value,
        signs=None if signs is None else signs.value,
        repeats=None if repeats is None else repeats.value,
        usage_point=usage_point,
        meter_reading=series,
        last_day=last_day_of(last_day),
        dials=dials,
        heat_content=heat_content,
        bill_line=bill_text(bill_line),
    )
    read, notices = read_tariff_file(tariff, zone)
    billed = read_usage(usage, read, said, zone=zone, day=day, folder=tariff.parent)
    said_of_it = (*metered_as_it_was(read), *billed.notices, *notices)
    print_bill(billed, money_first(said_of_it), lines=lines, details=details)
