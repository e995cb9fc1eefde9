"""A house from its bills, in the terminal: what was read, what was found, how sure it is."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.building.fit_bands import CONFIDENCE, Band
from energymodel.building.fit_statistics import guideline_criteria
from energymodel.meters.import_report import Outcome
from energymodel.meters.reading_files import FileReport
from energymodel.report.house.lines import known_line
from energymodel.report.house.units import BillsDisplay, figures, range_text
from energymodel.study.house.base_use import BaseUse
from energymodel.study.house.billed_house import BilledHouse
from energymodel.study.house.from_bills import BillFit
from energymodel.study.house.load_slips import SLIP


def print_lines(out: Console, lines: Sequence[str], *, indent: str = "") -> None:
    """Print sentences, each with its further lines set in.

    Parameters
    ----------
    out
        Where to.
    lines
        Sentences; those that begin with "- " hang behind it.
    indent
        Before each line.
    """
    for line in lines:
        hanging = indent + ("  " if line.startswith("- ") else "")
        wrapped = textwrap.wrap(line, out.width, initial_indent=indent, subsequent_indent=hanging)
        for part in wrapped or [""]:
            out.print(Text(part))


def print_readings(out: Console, reports: Sequence[FileReport], *, details: bool) -> None:
    """Print what became of each file of readings.

    Parameters
    ----------
    out
        Where to.
    reports
        One for each file.
    details
        Whether to say how each was read.
    """
    out.print(Text("Readings", style="bold"))
    for report in reports:
        whose = f" ({report.carrier})" if report.carrier else ""
        loud = report.outcome is Outcome.REJECTED
        out.print(
            Text(f"{report.name}{whose}: {report.outcome.value}", style="bold" if loud else "")
        )
        told = (*(report.read_as if details else ()), *report.repairs)
        print_lines(out, [f"- {line}" for line in told], indent="  ")


def display_of(house: BilledHouse, *, us: bool) -> BillsDisplay:
    """Choose the units in which a house is shown.

    Parameters
    ----------
    house
        From its bills.
    us
        US units, or SI.

    Returns
    -------
    BillsDisplay
        With the unit of the meter that heats.
    """
    from energymodel.report.numbers import Display  # noqa: PLC0415 - tiny

    unit = house.readings.meter.unit
    if house.bills is not None:
        return BillsDisplay(
            show=Display(us=us), unit=unit, kwh_per_unit=house.bills.content.kwh_per_unit
        )
    return BillsDisplay(
        show=Display(us=us), unit=unit, kwh_per_unit=1000.0 if unit == "MWh" else 1.0
    )


def print_house(out: Console, house: BilledHouse, show: BillsDisplay, *, details: bool) -> None:
    """Print what the meters say of a house.

    Parameters
    ----------
    out
        Where to.
    house
        From its bills.
    show
        Units.
    details
        Whether to list all forms, defaults and notices.
    """
    out.print()
    out.print(Text(headline(house, show), style="bold"))
    print_lines(out, [note.text for note in house.notices if note.topic == SLIP])
    print_lines(out, [line for line in (known_line(house), basis_line(house)) if line])
    out.print()
    out.print(house_table(house, show))
    if house.bills is not None:
        _print_choice(out, house.bills, details=details)
    elif house.pump is not None:
        out.print(
            Text(
                "Fitted on load, hour by hour through the heat pump's own map: CV(RMSE), divisor"
                f" periods less unknowns, {house.pump.cv_rmse_pct:.1f} %."
            )
        )
    if house.base is not None:
        print_lines(out, [base_line(house.base, show)])


def headline(house: BilledHouse, show: BillsDisplay) -> str:
    """Say the answer in one sentence.

    Parameters
    ----------
    house
        From its bills.
    show
        Units.

    Returns
    -------
    str
        The load at the design temperature with its range.
    """
    load = house.design_load_w
    if load is None:
        if house.cooling is None:
            return "The readings show neither heating nor cooling."
        load = house.cooling.load_w(house.cooling_design_c)
        what, at = "Cooling", house.cooling_design_c
    else:
        what, at = "Heating", house.design_c
    band = _heat(load, show)
    return (
        f"{what} load at {show.show.temperature(at)}: about {range_text(band, show.heat_unit)},"
        f" gains included, range of {CONFIDENCE:.0%}"
    )


def basis_line(house: BilledHouse) -> str:
    """Say what the answer stands on.

    Parameters
    ----------
    house
        From its bills.

    Returns
    -------
    str
        Periods, days and weather.
    """
    periods = house.readings.periods
    site = house.years[0].site.name
    return (
        f"From {len(periods)} periods of {house.carrier}, read {periods[0].first_day} to"
        f" {periods[-1].end_day}, and the weather of exactly those days ({site},"
        f" {house.weather.label})"
    )


def house_table(house: BilledHouse, show: BillsDisplay) -> Table:
    """Make the table of slopes, balance temperatures, base use and loads.

    Parameters
    ----------
    house
        From its bills.
    show
        Units.

    Returns
    -------
    Table
        Low, likely and high.
    """
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    table.add_column("", min_width=40)
    for head in ("Low", "Likely", "High"):
        table.add_column(head, justify="right", min_width=8, no_wrap=True)
    table.add_column("", min_width=10)
    if house.heating is not None:
        slope, balance = house.heating.slope_w_per_k, house.heating.balance_c
        _row(table, "Heat loss per degree, at the rooms", slope, show.slope, show.slope_unit)
        _row(table, "Heating begins below (balance)", balance, show.temperature, show.degree)
        at = show.show.temperature(house.design_c)
        load = house.heating.load_w(house.design_c)
        _row(table, f"Heating load at {at}", load, show.show.heat_value, show.heat_unit)
    if house.cooling is not None:
        balance = house.cooling.balance_c
        _row(table, "Cooling begins above (balance)", balance, show.temperature, show.degree)
        at = show.show.temperature(house.cooling_design_c)
        load = house.cooling.load_w(house.cooling_design_c)
        _row(table, f"Cooling load at {at}, total", load, show.show.heat_value, show.heat_unit)
    main = house.heating or house.cooling
    if main is not None:
        per_day = f"{show.unit}/day"
        _row(table, f"Base use, {house.carrier}", main.base_kwh_per_day, show.amount, per_day)
    if house.rest is not None and house.rest.fit.form.change_points:
        band = house.rest.bands.base_per_day
        _row(table, "Base use, electricity", band, lambda kwh: kwh, "kWh/day")
    return table


def _row(table: Table, name: str, band: Band, convert: Callable[[float], float], unit: str) -> None:
    values = sorted((convert(band.low), convert(band.high)))
    decimals = 1 if unit in ("°F", "°C") else None
    cells = [
        f"{value:.{decimals}f}" if decimals else figures(value)
        for value in (values[0], convert(band.likely), values[1])
    ]
    table.add_row(name, *cells, unit)


def _heat(load_w: Band, show: BillsDisplay) -> Band:
    return load_w.times(show.show.heat_value(1000.0) / 1000.0)


def _print_choice(out: Console, bills: BillFit, *, details: bool) -> None:
    out.print()
    out.print(Text("Form of the regression", style="bold"))
    reasons = bills.choice.reasons
    shown = list(reasons if details else reasons[:4])
    if details:
        shown += [f"{one.form.name}: not possible, {one.reason}." for one in bills.choice.refused]
    rest = len(reasons) + len(bills.choice.refused) - len(shown)
    if rest:
        shown.append(f"{rest} more form{'s' if rest > 1 else ''}: --details")
    shown += [str(criterion) for criterion in guideline_criteria(bills.fit.statistics)]
    print_lines(out, [f"- {line}" for line in shown])


def base_line(base: BaseUse, show: BillsDisplay) -> str:
    """Set the methods for the base use side by side.

    Parameters
    ----------
    base
        By all methods.
    show
        Units.

    Returns
    -------
    str
        One sentence.
    """
    parts = [f"{one.method} {figures(show.amount(one.kwh_per_day))}" for one in base.estimates]
    low, high = show.amount(base.low_kwh_per_day), show.amount(base.high_kwh_per_day)
    return (
        f"Base use by method, {show.unit}/day: {'; '.join(parts)}. Spread {figures(low)} to"
        f" {figures(high)}."
    )
