"""What `energymodel tariff` prints."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path

import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.arrays import Array
from energymodel.notices import Notice
from energymodel.report.console import console
from energymodel.tariffs.bill import Prepared, prepare
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.difference import difference
from energymodel.tariffs.hour_prices import first_unit_prices
from energymodel.tariffs.hour_series import HourSeries, span_of
from energymodel.tariffs.in_force import billing_year
from energymodel.tariffs.printed_bill import print_bills
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.windows import MONTH_NAMES, DayKind
from energymodel.tariffs.words import tariff_words

_SAMPLES = {"kWh": (500.0, 1000.0, 2000.0)}
_OTHER_SAMPLES = (25.0, 50.0, 100.0)
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def _table(title: str = "") -> Table:
    return Table(
        title=title or None,
        title_justify="left",
        box=box.SIMPLE_HEAD,
        padding=(0, 1, 0, 0),
        pad_edge=False,
    )


def print_tariff(
    tariff: Tariff,
    notices: Sequence[Notice],
    prices: Mapping[str, HourSeries],
    *,
    zone: str | None,
    written: Path | None,
) -> None:
    """Print a tariff in plain words, its hours, and sample bills.

    Parameters
    ----------
    tariff
        The record.
    notices
        What the reader should know, first what changes money.
    prices
        By name of a charge: its hourly prices.
    zone
        Time zone of the place; None: clocks keep standard time.
    written
        File that was written; None: none.
    """
    out = console()
    dates = f", from {tariff.effective}" if tariff.effective else ""
    dates += f" to {tariff.expires}" if tariff.expires else ""
    out.print(Text(f"{tariff.name} ({tariff.currency}{dates})", style="bold"))
    for label, text in (("For", tariff.conditions), ("Source", tariff.source)):
        if text:
            out.print(f"{label}: {text}")
    out.print()
    for sentence in tariff_words(tariff):
        out.print(sentence)
    out.print()
    _print_hours(out, tariff)
    for name, series in prices.items():
        out.print(Text(_of_series(name, series, tariff)))
    if tariff.hourly:
        out.print("No sample bill: prices by the hour need a use by the hour (energymodel bill).")
    else:
        _print_samples(out, tariff, zone)
    for notice in notices:
        out.print(str(notice))
    if written is not None:
        out.print(f"Written: {written}")


def _of_series(name: str, series: HourSeries, tariff: Tariff) -> str:
    first, end = span_of(series)
    clock = "wall clock" if series.utc is None else "with their offset from UTC"
    values = series.values
    return (
        f"{name}: {series.name}, {len(values):,} hours from {first:%Y-%m-%d %H:%M} to"
        f" {end:%Y-%m-%d %H:%M} ({clock}); lowest {values.min():.4f}, mean {values.mean():.4f},"
        f" highest {values.max():.4f} {tariff.currency} per {tariff.unit.name}."
    )


def hour_map(tariff: Tariff) -> list[str]:
    """Draw the price of the first unit of use by month and hour, weekdays and weekends.

    Parameters
    ----------
    tariff
        The record.

    Returns
    -------
    list of str
        Lines; "a" is the lowest price. Empty where one price holds at all times.
    """
    weekday = np.round(first_unit_prices(tariff, DayKind.WEDNESDAY), 9)
    weekend = np.round(first_unit_prices(tariff, DayKind.SUNDAY), 9)
    levels = np.unique(np.concatenate([weekday, weekend]))
    if len(levels) == 1:
        return []
    legend = ", ".join(
        f"{_LETTERS[number % 26]} {level:.4f}" for number, level in enumerate(levels)
    )
    head = "".join(f"{hour:<6d}" for hour in range(0, 24, 6))
    lines = [f"     weekdays{'':16}  weekends", f"h    {head}  {head}".rstrip()]
    for month in range(12):
        rows = ("".join(_letter(levels, row[month])) for row in (weekday, weekend))
        lines.append(f"{MONTH_NAMES[month]}  {'  '.join(rows)}")
    return [*lines, f"{tariff.currency} per {tariff.unit.name}, first block: {legend}"]


def _letter(levels: Array, row: Array) -> list[str]:
    return [_LETTERS[int(place) % 26] for place in np.searchsorted(levels, row)]


def _print_hours(out: Console, tariff: Tariff) -> None:
    lines = hour_map(tariff)
    for line in lines:
        out.print(Text(line))
    if lines:
        out.print()


def _print_samples(out: Console, tariff: Tariff, zone: str | None) -> None:
    year, _ = billing_year(tariff)
    clock = year_clock(year, zone=zone or "UTC")
    prepared = prepare(tariff, clock)
    unit = tariff.unit
    table = _table(f"Sample bills of {year}, the same power in every hour")
    for head in (f"{unit.name} a month", "January", "July", "year", "average", "one more"):
        table.add_column(head, justify="right")
    for use in _SAMPLES.get(unit.name, _OTHER_SAMPLES):
        table.add_row(*_sample(prepared, use * unit.kwh * 12.0 / 8760.0, use))
    out.print(table)
    standard = "" if zone or not tariff.needs_clock else " Clocks keep standard time: give --zone."
    out.print(
        f"{tariff.currency}; average and one more per {unit.name} of the year, {tariff.currency}."
        + standard
    )


def _sample(prepared: Prepared, kw: float, use: float) -> list[str]:
    clock = prepared.plan.clock
    load = np.full(len(clock), kw)
    bill, more = prepared.bill(load), prepared.bill(load * 1.01)
    printed = print_bills(bill)
    unit_kwh = bill.tariff.unit.kwh
    total = sum((one.total for one in printed), Decimal(0))
    return [
        f"{use:,.0f}",
        f"{printed[0].total:,f}",
        f"{printed[6].total:,f}",
        f"{total:,f}",
        f"{float(bill.average_price_per_kwh) * unit_kwh:.4f}",
        f"{float(difference(more, bill).marginal_price_per_kwh) * unit_kwh:.4f}",
    ]
