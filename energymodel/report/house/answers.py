"""Answers beside the load from bills: normal year, saving, set-point, check after installation."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.building.fit_bands import Band
from energymodel.report.house.table import print_lines
from energymodel.report.house.units import BillsDisplay, figures, range_text
from energymodel.study.house.installed_check import Verdict
from energymodel.study.house.normal_year import NormalUse, Saving
from energymodel.study.house.period_weather import read_to_read

if TYPE_CHECKING:
    from energymodel.study.house.after_check import CheckedPeriods

_SHORT = {Verdict.INSIDE: "inside", Verdict.ABOVE: "above", Verdict.BELOW: "below"}


def _amounts(band_kwh: Band, show: BillsDisplay) -> Band:
    return band_kwh.times(1.0 / show.kwh_per_unit)


def _year(label: str) -> str:
    return "the typical year" if label == "typical year" else label


def normal_lines(normal: NormalUse, show: BillsDisplay) -> list[str]:
    """Say what the house uses in a year of other weather.

    Parameters
    ----------
    normal
        Use under one year or several.
    show
        Units.

    Returns
    -------
    list of str
        One line a year, and one for all where there are several.
    """
    lines = [
        f"Use in the weather of {_year(year.label)}: about"
        f" {range_text(_amounts(year.use_kwh, show), show.unit)}, base use included."
        for year in normal.years
    ]
    if len(normal.years) > 1:
        low, high = (figures(show.amount(kwh)) for kwh in normal.spread_kwh)
        lines.append(
            f"Over these {len(normal.years)} years: median"
            f" {figures(show.amount(normal.median_kwh))} {show.unit}; {low} to {high} by the"
            " weather alone."
        )
    return lines


def saving_lines(saving: Saving, show: BillsDisplay) -> list[str]:
    """Say what a change in the house saves under one weather.

    Parameters
    ----------
    saving
        Before less after.
    show
        Units.

    Returns
    -------
    list of str
        Answer and whether it is sure.
    """
    share = saving.saved_share
    more = saving.saved_kwh.likely < 0
    word = "more" if more else "less"
    band = _amounts(saving.saved_kwh, show)
    if more:
        band = Band(low=-band.high, likely=-band.likely, high=-band.low)
        share = Band(low=-share.high, likely=-share.likely, high=-share.low)
    sure = (
        "The band does not hold zero."
        if saving.is_certain
        else "Not shown: the band holds zero, so the readings do not tell it from nothing."
    )
    percent = f"{share.likely:.0%} ({share.low:.0%} to {share.high:.0%})"
    return [
        f"Before and after in the weather of {_year(saving.label)}: about"
        f" {range_text(band, show.unit)} a year {word}, {percent}.",
        sure,
    ]


def set_point_line(effect_kwh: Band, change_k: float, label: str, show: BillsDisplay) -> str:
    """Say what another set-point would do.

    Parameters
    ----------
    effect_kwh
        Additional use of the year, kWh.
    change_k
        New less old set-point, K.
    label
        Weather year.
    show
        Units.

    Returns
    -------
    str
        One sentence.
    """
    degrees = abs(change_k) * (1.8 if show.show.us else 1.0)
    way = "higher" if change_k > 0 else "lower"
    band = _amounts(effect_kwh, show)
    word = "more"
    if band.likely < 0:
        band = Band(low=-band.high, likely=-band.likely, high=-band.low)
        word = "less"
    return (
        f"Set-point {degrees:.1f} {show.degree} {way}, all hours, weather of {_year(label)}: about"
        f" {range_text(band, show.unit)} a year {word}."
    )


def print_check(out: Console, checked: CheckedPeriods, *, us: bool) -> None:
    """Print the check of later readings.

    Parameters
    ----------
    out
        Where to.
    checked
        Readings, expectation and verdict.
    us
        US units, or SI.
    """
    out.print()
    out.print(Text(verdict_line(checked), style="bold"))
    print_lines(out, [f"Expected of: {checked.basis}"])
    out.print()
    out.print(check_table(checked, us=us))
    check = checked.check
    lines = [f"- {note.text}" for note in checked.notices if note.topic == "check"]
    if check.pattern is not None:
        head = f"The difference is {check.pattern.value}. Usual causes, none of them proven:"
        lines += [head, *(f"- {cause}" for cause in check.causes)]
    print_lines(out, lines)


def verdict_line(checked: CheckedPeriods) -> str:
    """Say the verdict in one sentence.

    Parameters
    ----------
    checked
        Readings, expectation and verdict.

    Returns
    -------
    str
        Metered against expected, with the range.
    """
    check = checked.check
    unit = checked.readings.meter.unit
    band = check.expected_kwh.times(1.0 / checked.content_kwh)
    return (
        f"Metered {figures(check.metered_kwh / checked.content_kwh)} {unit}, expected about"
        f" {range_text(band, unit)}: {check.verdict.value}."
    )


def check_table(checked: CheckedPeriods, *, us: bool) -> Table:
    """Make the table of the periods after a change.

    Parameters
    ----------
    checked
        Readings, expectation and verdict.
    us
        US units, or SI.

    Returns
    -------
    Table
        One row a period, in the meter's unit.
    """
    unit = checked.readings.meter.unit
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    table.add_column("Read to read", no_wrap=True, min_width=26)
    heads = (f"Outdoor\n{'°F' if us else '°C'}", f"Metered\n{unit}", "Low\n", "Likely\n", "High\n")
    for head in heads:
        table.add_column(head, justify="right", no_wrap=True, min_width=8)
    table.add_column("")
    mean = np.asarray(checked.mean_c * 1.8 + 32.0 if us else checked.mean_c)
    rows = zip(
        checked.readings.periods,
        mean.tolist(),
        checked.predicted.periods_kwh,
        checked.check.periods,
        strict=True,
    )
    for period, outdoor, band, verdict in rows:
        expected = band.times(1.0 / checked.content_kwh)
        table.add_row(
            read_to_read(period),
            f"{outdoor:.0f}",
            figures(period.amount),
            *(figures(value) for value in (expected.low, expected.likely, expected.high)),
            _SHORT[verdict],
        )
    return table
