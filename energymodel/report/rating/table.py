"""Ratings of a unit, its map, bins and steps to a site, as tables in the terminal."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.ratings.europe.tables import Climate
from energymodel.ratings.plate.grid import Grid
from energymodel.ratings.plate.input import Level
from energymodel.ratings.rating_sheet import RatingSheet
from energymodel.ratings.us.tables import Region
from energymodel.report.console import console
from energymodel.report.numbers import Display
from energymodel.report.rating.lines import closing_lines
from energymodel.study.rating.rate import Rated
from energymodel.study.rating.rated_unit import RatedUnit
from energymodel.units import BTU_PER_WH, c_from_f

HEATING_F = (47.0, 17.0, 5.0)
COOLING_F = (82.0, 95.0)
_COLUMNS = 6
_NEAR_K = 0.4
_SAME = 0.005


def print_rating(rated: Rated, show: Display, *, details: bool = False) -> None:
    """Print map and ratings of a unit.

    Parameters
    ----------
    rated
        The unit with its ratings.
    show
        Units of the reader.
    details
        Whether to list what was guessed and all notices.
    """
    out = console()
    out.print(Text(rated.unit.name, style="bold"))
    out.print(rating_table(rated, show))
    for line in closing_lines(rated, details=details):
        out.print(Text(line))
    if details:
        print_details(out, rated.unit, rated.likely)


def print_details(out: Console, unit: RatedUnit, sheet: RatingSheet | None = None) -> None:
    """Print all that was guessed, all notices, and figures that are not to be had.

    Parameters
    ----------
    out
        Where to.
    unit
        The unit.
    sheet
        Its ratings; None: without the reasons for missing ones.
    """
    groups = (
        ("Guessed and usual values", [str(one) for one in unit.guessed]),
        ("Notices", [str(one) for one in unit.notices]),
        ("Not to be had", list(sheet.refused) if sheet else []),
    )
    for title, entries in groups:
        if not entries:
            continue
        out.print()
        out.print(Text(title, style="bold"))
        for entry in entries:
            out.print(Text(f"- {entry}"))


def rating_table(rated: Rated, show: Display) -> Table:
    """Make the table of map and ratings.

    Parameters
    ----------
    rated
        The unit with its ratings.
    show
        Units of the reader.

    Returns
    -------
    Table
        Sections: heating map, cooling map, US heating by region, other figures.
    """
    table = Table(
        box=box.SIMPLE_HEAD,
        show_header=False,
        padding=(0, 1, 0, 0),
        pad_edge=False,
        show_edge=False,
    )
    table.add_column(min_width=29, no_wrap=True)
    for _ in range(_COLUMNS):
        table.add_column(justify="right", min_width=9, no_wrap=True)
    _map_section(table, rated.unit, Function.HEATING, show)
    _map_section(table, rated.unit, Function.COOLING, show)
    _us_section(table, rated)
    _other_section(table, rated)
    return table


def _head(table: Table, title: str, cells: Sequence[str]) -> None:
    texts = [*cells, *([""] * (_COLUMNS - len(cells)))]
    table.add_section()
    table.add_row(Text(title, style="bold"), *(Text(cell, style="dim") for cell in texts))


def _map_section(table: Table, unit: RatedUnit, function: Function, show: Display) -> None:
    mapped = unit.likely.mapped
    heats = function is Function.HEATING
    performance = mapped.heating if heats else mapped.cooling
    if performance is None:
        return
    power = "kBtu/h" if show.us else "kW"
    efficiency = "COP" if heats or not show.us else "EER"
    named = ("lowest", "rated", "full")
    speeds = _three(performance)
    there = [speed is not None for speed in speeds]
    heads = [name for _ in range(2) for name, here in zip(named, there, strict=True) if here]
    title = f"{function.value.capitalize()} map: {power}, {efficiency}"
    _head(table, title, _spread_out(heads, there))
    for outdoor_f in HEATING_F if heats else COOLING_F:
        place = c_from_f(outdoor_f)
        cells = _map_cells(unit, performance, place, show)
        table.add_row(show.temperature(place), *_spread_out(cells, there))


def _three(performance: PerformanceMap) -> tuple[int | None, int | None, int | None]:
    """Find the lowest, the rated and the highest speed; None where two are the same."""
    names = [speed.name for speed in performance.speeds]
    last = len(names) - 1
    rated = names.index("rated") if "rated" in names[1:last] else None
    return (0 if last > 0 else None), rated, last


def _spread_out(cells: Sequence[str], there: Sequence[bool]) -> list[str]:
    """Put cells of capacity and efficiency under the columns of their speeds."""
    rest = iter(cells)
    return [next(rest) if here else "" for _ in range(2) for here in there]


def _map_cells(
    unit: RatedUnit, performance: PerformanceMap, outdoor_c: float, show: Display
) -> list[str]:
    heats = performance.function is Function.HEATING
    place = np.array([outdoor_c])
    capacity, power = performance.raw(place)
    speeds = [index for index in _three(performance) if index is not None]
    capacities, efficiencies = [], []
    for index in speeds:
        known = _known(unit, performance, index, outdoor_c)
        factor = 1.0 if heats or not show.us else BTU_PER_WH
        digits = 2 if factor == 1.0 else 1
        cop = float(capacity[index, 0] / power[index, 0]) * factor
        watts = float(capacity[index, 0])
        capacities.append(_tilde(f"{show.heat_value(watts):.1f}", known[0]))
        efficiencies.append(_tilde(f"{cop:.{digits}f}", known[1]))
    return [*capacities, *efficiencies]


def _tilde(text: str, known: bool) -> str:  # noqa: FBT001 - private, two callers
    return text if known else f"~{text}"


_LEVELS = (Level.MINIMUM, Level.RATED, Level.MAXIMUM)


def _known(
    unit: RatedUnit, performance: PerformanceMap, index: int, outdoor_c: float
) -> tuple[bool, bool]:
    """Whether capacity and efficiency stand on the plate; True without a plate."""
    if unit.plate is None:
        return True, True
    heats = performance.function is Function.HEATING
    likely = unit.plate.likely
    grid = likely.heating_grid if heats else likely.cooling_grid
    level = _level(unit, performance, index)
    return (False, False) if grid is None or level is None else _in_grid(grid, level, outdoor_c)


def _level(unit: RatedUnit, performance: PerformanceMap, index: int) -> Level | None:
    if unit.plate is None:
        return None
    names = unit.plate.plate.kind.speeds
    return next((lv for lv in _LEVELS if names.get(lv) == performance.speeds[index].name), None)


def _in_grid(grid: Grid, level: Level, outdoor_c: float) -> tuple[bool, bool]:
    row = grid.rows.get(level)
    away = np.abs(grid.outdoor_c - outdoor_c)
    at = int(away.argmin())
    if row is None or away[at] > _NEAR_K:
        return False, False
    return bool(row.capacity.given[at]), bool(row.cop.given[at])


def _us_section(table: Table, rated: Rated) -> None:
    sheet = rated.likely
    if not sheet.hspf2 and not sheet.hspf:
        return
    _head(table, "US heating, Btu/Wh: region", [region.value for region in Region])
    rows: tuple[tuple[str, Callable[[RatingSheet], dict[Region, float]]], ...] = (
        ("HSPF2", lambda one: dict(one.hspf2)),
        ("HSPF, minimum load", lambda one: dict(one.hspf)),
        ("HSPF, maximum load", lambda one: dict(one.hspf_maximum)),
    )
    for name, read in rows:
        values = read(sheet)
        if values:
            table.add_row(name, *(_figure(values.get(region)) for region in Region))
        if name == "HSPF2" and len(rated.by_case) > 1:
            table.add_row("  low to high", *_region_spread(rated, read))


def _region_spread(rated: Rated, read: Callable[[RatingSheet], dict[Region, float]]) -> list[str]:
    cells = []
    for region in Region:
        ends = rated.spread(lambda one, region=region: read(one).get(region))  # type: ignore[misc]
        cells.append("" if ends is None else _ends(*ends))
    return cells


def _ends(low: float, high: float) -> str:
    texts = [f"{value:.1f}" if high >= 9.995 else f"{value:.2f}" for value in (low, high)]
    return "as label" if high - low < _SAME else "-".join(texts)


def _figure(value: float | None) -> str:
    if value is None:
        return ""
    return f"{value:.2f}"


def _other_section(table: Table, rated: Rated) -> None:
    sheet = rated.likely
    us = (("SEER2", sheet.seer2), ("SEER", sheet.seer), ("EER2", sheet.eer2))
    there = [(name, value) for name, value in us if value is not None]
    if there:
        _head(table, "US cooling, Btu/Wh", [name for name, _ in there])
        table.add_row("from the same points", *_padded([_figure(value) for _, value in there]))
    scop = [(one.value, sheet.scop.get(one)) for one in Climate]
    rest = (("SEER", sheet.seer_europe), ("CSPF", sheet.cspf))
    heads = [(name, value) for name, value in (*scop, *rest) if value is not None]
    if heads:
        _head(table, "European SCOP, SEER; ISO CSPF", [name for name, _ in heads])
        table.add_row("W/W, from the same points", *_padded([f"{value:.2f}" for _, value in heads]))


def _padded(cells: Sequence[str]) -> list[str]:
    return [*cells, *([""] * (_COLUMNS - len(cells)))]
