"""The bins behind the ratings of a unit, and the steps from label to site, as tables."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from rich import box
from rich.table import Table
from rich.text import Text

from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.ratings.bin_table import BinTable
from energymodel.ratings.europe.seasonal import scop, seer
from energymodel.ratings.plate.ratios import Case
from energymodel.ratings.us import seasonal as us
from energymodel.ratings.us.cases import Mode
from energymodel.ratings.us.result import BinRow, SeasonalRating
from energymodel.ratings.us.season import cooling_season, heating_season
from energymodel.ratings.us.units import Service, UsUnit
from energymodel.report.console import console
from energymodel.report.numbers import Display
from energymodel.report.rating.table import print_details
from energymodel.study.rating.label_to_site import LabelToSite
from energymodel.study.rating.rate import IN_SERVICE, SiteRange
from energymodel.study.rating.rated_unit import RatedUnit


def print_bins(unit: RatedUnit, show: Display) -> None:
    """Print the bins behind the label figures.

    Parameters
    ----------
    unit
        The unit.
    show
        Units of the reader.
    """
    out = console()
    out.print(Text(unit.name, style="bold"))
    table = bin_table(unit, show)
    out.print(table)
    out.print(
        Text(
            "Share of that season's hours with a load; load, output and power are means in the bin."
        )
    )


def bin_table(unit: RatedUnit, show: Display) -> Table:
    """Make the table of bins: US ones where the unit has US tests, else the European ones.

    Parameters
    ----------
    unit
        The unit.
    show
        Units of the reader.

    Returns
    -------
    Table
        One section per season.

    Raises
    ------
    InputError
        If no season can be rated.
    """
    power = "kBtu/h" if show.us else "kW"
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    table.add_column("Season and bin", no_wrap=True)
    for head in (
        "Share, %",
        f"Load, {power}",
        f"Output, {power}",
        "Input, kW",
        "Backup, kW",
        "COP",
    ):
        table.add_column(head, justify="right", no_wrap=True)
    table.add_column("Runs", no_wrap=True)
    seasons = list(_seasons(unit))
    if not seasons:
        raise InputError(f"{unit.name} has no season to show bins of")
    for title, bins, modes in seasons:
        table.add_section()
        table.add_row(Text(title, style="bold"))
        _bin_rows(table, bins, modes, show)
    return table


_Season = tuple[str, BinTable, tuple[str, ...]]


def _seasons(unit: RatedUnit) -> Iterator[_Season]:
    one = unit.likely
    if one.us is not None:
        yield from _us_seasons(one.us)
        return
    european = one.european
    for climate, read in european.heating.items():
        rating = scop(read(), climate=climate, unit=european.kind)
        yield f"SCOPon {rating.scop_on:.2f}, {climate.value}", rating.bins, ()
    if european.cooling is not None:
        cooling = seer(european.cooling(), unit=european.kind)
        yield f"SEERon {cooling.seer_on:.2f}", cooling.bins, ()


def _us_seasons(one: UsUnit) -> Iterator[_Season]:
    if one.service is not Service.AIR_CONDITIONER:
        rating = us.hspf2(one)
        yield f"HSPF2 {rating.value_btu_per_wh:.2f}, IV", heating_season(one).run(), _modes(rating)
    if one.service is not Service.HEATING_ONLY:
        rating = us.seer2(one)
        yield f"SEER2 {rating.value_btu_per_wh:.2f}", cooling_season(one).run(), _modes(rating)


def _modes(rating: SeasonalRating) -> tuple[str, ...]:
    """Modes by rising temperature, of the bins that have a load."""
    loaded = [row for row in rating.rows if row.load_btu_h > 0]
    return tuple(_mode(row) for row in sorted(loaded, key=lambda row: row.outdoor_f))


_WORDS = {
    Mode.CYCLING: "cycles",
    Mode.CYCLING_HIGH: "cycles, high stage",
    Mode.ALTERNATING: "low and high",
    Mode.LOW_TO_INTERMEDIATE: "low to middle",
    Mode.INTERMEDIATE_TO_FULL: "middle to full",
    Mode.BETWEEN_SPEEDS: "between speeds",
    Mode.FULL: "full",
}


def _mode(row: BinRow) -> str:
    if row.allowed_share == 0.0:
        return "stopped"
    half = " half the time" if row.allowed_share < 1.0 else ""
    return _WORDS[row.mode] + half


def _bin_rows(table: Table, bins: BinTable, modes: tuple[str, ...], show: Display) -> None:
    order = np.argsort(-bins.outdoor_c)
    season = float(bins.hours.sum())
    for at in order:
        cop = float(bins.cop[at])
        table.add_row(
            f"  {show.temperature(float(bins.outdoor_c[at]))}",
            f"{100.0 * bins.hours[at] / season:.1f}",
            f"{show.heat_value(float(bins.load_w[at])):.1f}",
            f"{show.heat_value(float(bins.delivered_w[at])):.1f}",
            f"{bins.power_w[at] / 1000.0:.2f}",
            f"{bins.backup_w[at] / 1000.0:.2f}" if bins.backup_w[at] > 0 else "",
            "" if np.isnan(cop) else f"{cop:.2f}",
            modes[at] if len(modes) == bins.hours.size else "",
        )


def print_steps(unit: RatedUnit, found: SiteRange, *, details: bool = False) -> None:
    """Print the steps from label to site.

    Parameters
    ----------
    unit
        The unit.
    found
        Steps and range.
    details
        Whether to list what was guessed and all notices.
    """
    out = console()
    way = found.likely
    out.print(Text(answer(found), style="bold"))
    out.print(Text(unit.name, style="dim"))
    out.print(steps_table(way))
    for line in step_lines(found):
        out.print(Text(line))
    if details:
        print_details(out, unit)


def answer(found: SiteRange) -> str:
    """Say in one sentence what the unit does at the site.

    Parameters
    ----------
    found
        Steps and range.

    Returns
    -------
    str
        COP at both ends.
    """
    way = found.likely
    return (
        f"{way.function.value.capitalize()} COP about {way.cop_end:.1f} in"
        f" {way.site.weather.site.name} (range {found.cop_low:.1f} to {found.cop_high:.1f});"
        f" the {_what(way)} says {way.cop_start:.1f}."
    )


def _what(way: LabelToSite) -> str:
    return "label" if way.basis.printed else "rating"


def steps_table(way: LabelToSite) -> Table:
    """Make the table of steps.

    Parameters
    ----------
    way
        From label to site.

    Returns
    -------
    Table
        kWh of electricity per kWh of heat; COP at the two ends.
    """
    heats = way.function is Function.HEATING
    what = "heat" if heats else "cooling"
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    table.add_column("Step", no_wrap=True)
    table.add_column("What changes", max_width=38, overflow="fold")
    heads = [f"kWh per\nkWh {what}", "Change", "COP", "Backup\nin it", "Cycling\nin it"]
    for head in heads if heats else [*heads[:3], heads[4]]:
        table.add_column(head, justify="right", no_wrap=True)
    basis = way.basis
    digits = 2 if basis.figure < 10 else 1
    label = f"{basis.name}: {basis.figure:.{digits}f} {basis.unit}"
    ends = [f"{way.start:.3f}", "", f"{way.cop_start:.2f}"]
    table.add_row(Text(_what(way), style="bold"), label, *ends)
    for step in way.steps:
        use = step.use
        inside = [f"{use.backup_kwh_per_kwh:.3f}"] if heats else []
        table.add_row(
            step.name,
            step.text,
            f"{use.kwh_per_kwh:.3f}",
            f"{step.change:+.3f}".replace("+0.000", "0.000").replace("-0.000", "0.000"),
            "",
            *inside,
            f"{use.cycling_kwh_per_kwh:.3f}",
        )
    table.add_section()
    place = f"{way.site.weather.site.name}, {way.site.weather.year_label}"
    total = f"{way.end - way.start:+.3f}"
    table.add_row(Text("site", style="bold"), place, f"{way.end:.3f}", total, f"{way.cop_end:.2f}")
    return table


def step_lines(found: SiteRange) -> list[str]:
    """Return the lines under the steps.

    Parameters
    ----------
    found
        Steps and range.

    Returns
    -------
    list of str
        Range, notices, and what is not part of it.
    """
    low, high = IN_SERVICE[Case.LOW], IN_SERVICE[Case.HIGH]
    lines = [
        f"Range {found.cop_low:.2f} to {found.cop_high:.2f}: what was guessed, and an in-service"
        f" factor of {low:.2f} to {high:.2f}. Ducts are not in it."
    ]
    return [*lines, *(note.text for note in found.likely.notices)]
