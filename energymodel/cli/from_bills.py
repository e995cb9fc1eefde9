"""`energymodel from-bills READINGS`: the load line of a house from its meters, and checks."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Units(StrEnum):
    """Units of the printed result."""

    us = "us"
    si = "si"


class DateOrderChoice(StrEnum):
    """Order of day, month and year."""

    mdy = "mdy"
    dmy = "dmy"
    ymd = "ymd"


class DecimalMarkChoice(StrEnum):
    """Decimal mark of the numbers."""

    comma = "comma"
    point = "point"


class LastDayChoice(StrEnum):
    """What the last day printed on a bill means."""

    read = "read"
    included = "included"


_READ, _HOUSE, _ASK, _OUT = "How to read", "The house", "Further questions", "Output"


def from_bills(
    readings: Annotated[
        list[Path],
        typer.Argument(
            help="Readings or bills (CSV), or a folder of them; never amounts of money."
        ),
    ],
    *,
    weather: Annotated[
        list[str],
        typer.Option(
            metavar="KEY|FILE|'station ID YEARS'",
            help="Observed weather of the same days; may be given several times.",
        ),
    ],
    fuel: Annotated[
        str | None,
        typer.Option(help="What heats: gas, propane, oil, electricity, ...", rich_help_panel=_READ),
    ] = None,
    unit: Annotated[
        str | None, typer.Option(help="Unit of that meter.", rich_help_panel=_READ)
    ] = None,
    heat_content: Annotated[
        str | None,
        typer.Option(
            help="Energy of one unit, such as '1.02 therm/ccf' (billing factor).",
            rich_help_panel=_READ,
        ),
    ] = None,
    date_order: Annotated[
        DateOrderChoice | None, typer.Option(help="Order of the dates.", rich_help_panel=_READ)
    ] = None,
    last_day: Annotated[
        LastDayChoice | None,
        typer.Option(help="Last day of a bill: read day, or included.", rich_help_panel=_READ),
    ] = None,
    decimal_mark: Annotated[
        DecimalMarkChoice | None,
        typer.Option(help="Decimal mark of the numbers.", rich_help_panel=_READ),
    ] = None,
    dials: Annotated[
        int | None,
        typer.Option(help="Dials of a counter that passed its end.", rich_help_panel=_READ),
    ] = None,
    column: Annotated[
        str | None,
        typer.Option(help="Heading or number of the column of the use.", rich_help_panel=_READ),
    ] = None,
    since: Annotated[
        str | None,
        typer.Option(metavar="DATE", help="Only periods from this day on.", rich_help_panel=_READ),
    ] = None,
    until: Annotated[
        str | None,
        typer.Option(
            metavar="DATE", help="Only periods that end by this day.", rich_help_panel=_READ
        ),
    ] = None,
    bill_line: Annotated[
        str | None,
        typer.Option(
            help="Energy printed on the latest bill, such as '72 therm': confirms the unit.",
            rich_help_panel=_READ,
        ),
    ] = None,
    efficiency: Annotated[
        float | None,
        typer.Option(help="Of the existing heating: AFUE; 1 = baseboard.", rich_help_panel=_HOUSE),
    ] = None,
    ducts: Annotated[
        float | None, typer.Option(help="Duct efficiency, 0.6 to 1.", rich_help_panel=_HOUSE)
    ] = None,
    efficiency_band: Annotated[
        float | None,
        typer.Option(
            help="How far both may be off, such as 0.08; of a heat pump: its in-service factor.",
            rich_help_panel=_HOUSE,
        ),
    ] = None,
    heat_pump: Annotated[
        str | None,
        typer.Option(
            metavar="UNIT", help="Existing heat pump: key or TOML file.", rich_help_panel=_HOUSE
        ),
    ] = None,
    cooling_efficiency: Annotated[
        float | None, typer.Option(help="Seasonal COP of the cooling.", rich_help_panel=_HOUSE)
    ] = None,
    indoor: Annotated[
        str | None, typer.Option(help="Heating set-point, '70 degF'.", rich_help_panel=_HOUSE)
    ] = None,
    cooling_indoor: Annotated[
        str | None, typer.Option(help="Cooling set-point, '75 degF'.", rich_help_panel=_HOUSE)
    ] = None,
    design_temperature: Annotated[
        str | None,
        typer.Option(help="Published design temperature, '14 degF'.", rich_help_panel=_HOUSE),
    ] = None,
    balance: Annotated[
        str | None,
        typer.Option(
            help="Outdoor temperature at which heating begins, '60 degF', where the readings do not"
            " tell (fills, one season): use per degree-day below it, with a wider band.",
            rich_help_panel=_HOUSE,
        ),
    ] = None,
    balance_range: Annotated[
        str | None,
        typer.Option(
            help="How far --balance may be off, '3 degF' [5.4 degF].", rich_help_panel=_HOUSE
        ),
    ] = None,
    base: Annotated[
        float | None,
        typer.Option(
            help="Use a day besides heating, in the meter's unit, where it is not fitted: with"
            " --balance, or fills.",
            rich_help_panel=_HOUSE,
        ),
    ] = None,
    hot_water: Annotated[
        float | None,
        typer.Option(
            help="Share of the base use that heats water: takes its winter rise off.",
            rich_help_panel=_HOUSE,
        ),
    ] = None,
    area: Annotated[
        str | None,
        typer.Option(help="Heated floor area, for the rule of thumb.", rich_help_panel=_HOUSE),
    ] = None,
    normal: Annotated[
        list[str] | None,
        typer.Option(
            help="Weather for a normal year; several: their spread.", rich_help_panel=_ASK
        ),
    ] = None,
    set_point_change: Annotated[
        str | None, typer.Option(help="Effect of a set-point, '-3 degF'.", rich_help_panel=_ASK)
    ] = None,
    after: Annotated[
        list[Path] | None,
        typer.Option(help="Readings after a change: the saving.", rich_help_panel=_ASK),
    ] = None,
    check: Annotated[
        list[Path] | None,
        typer.Option(help="Later readings: inside the expected band?", rich_help_panel=_ASK),
    ] = None,
    scenario: Annotated[
        Path | None,
        typer.Option(help="With --check: scenario of what was installed.", rich_help_panel=_ASK),
    ] = None,
    option: Annotated[
        str | None, typer.Option(help="With --scenario: its option.", rich_help_panel=_ASK)
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(help="Write a scenario (.toml) with this load.", rich_help_panel=_OUT),
    ] = None,
    fuel_price: Annotated[
        float | None,
        typer.Option(help="With --out: price per unit of the meter.", rich_help_panel=_OUT),
    ] = None,
    electricity_price: Annotated[
        float | None, typer.Option(help="With --out: price per kWh.", rich_help_panel=_OUT)
    ] = None,
    chart: Annotated[
        Path | None, typer.Option(help="Write a chart (.png, .svg).", rich_help_panel=_OUT)
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace files that exist.", rich_help_panel=_OUT)
    ] = False,
    units: Annotated[
        Units, typer.Option(help="Units of the result.", rich_help_panel=_OUT)
    ] = Units.us,
    details: Annotated[
        bool,
        typer.Option("--details", help="All forms, defaults, notices.", rich_help_panel=_OUT),
    ] = False,
) -> None:
    """Find the heating load of a house from its readings, with its band."""
    from energymodel.cli.bills_inputs import Given, carrier_named, day, reading_facts
    from energymodel.cli.bills_run import Questions, run

    _check_outputs(out, chart, replace=replace)
    given = Given(
        fuel=carrier_named(fuel),
        efficiency=efficiency,
        ducts=ducts,
        efficiency_band=efficiency_band,
        cooling_efficiency=cooling_efficiency,
        heat_pump=heat_pump,
        indoor=indoor,
        cooling_indoor=cooling_indoor,
        design_temperature=design_temperature,
        heat_content=heat_content,
        hot_water=hot_water,
        balance=balance,
        balance_range=balance_range,
        base=base,
    )
    questions = Questions(
        since=day(since, "--since"),
        until=day(until, "--until"),
        bill_line=bill_line,
        area=area,
        normal=tuple(normal or ()),
        set_point_change=set_point_change,
        after=tuple(after or ()),
        check=tuple(check or ()),
        scenario=scenario,
        option=option,
        out=out,
        prices=(fuel_price, electricity_price),
        chart=chart,
        replace=replace,
        us=units is Units.us,
        details=details,
    )
    facts = reading_facts(
        unit,
        date_order.value if date_order else None,
        last_day.value if last_day else None,
        dials,
        column,
        decimal_mark.value if decimal_mark else None,
    )
    run(readings, weather, facts, given, questions)


def _check_outputs(out: Path | None, chart: Path | None, *, replace: bool) -> None:
    if out is not None:
        from energymodel.new_file import check_new_file

        check_new_file(out, endings=(".toml",), replace=replace)
    if chart is not None:
        from energymodel.new_file import PICTURES, check_new_file

        check_new_file(chart, endings=PICTURES, replace=replace)
