"""Write where the answer flips into a folder: charts, CSV and JSON; all of it or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any

from energymodel.report.comparison.files import (
    Job,
    chart_job,
    slugs,
    text_job,
    write_all,
)
from energymodel.report.comparison.tables import csv_text
from energymodel.report.numbers import Display
from energymodel.report.switchover.record import (
    balance_rows,
    cost_of_heat_rows,
    flip_value_rows,
    price_map_rows,
    switch_rows,
    switchover_text,
)
from energymodel.study.switchover.pairs import SwitchPair
from energymodel.study.switchover.price_map import PriceMap
from energymodel.study.switchover.switchover import SwitchoverResult


def write_switchover(
    result: SwitchoverResult,
    prices: PriceMap | None,
    folder: Path,
    *,
    show: Display,
    replace: bool,
) -> tuple[Path, ...]:
    """Write a result into a folder.

    Parameters
    ----------
    result
        All of it.
    prices
        The map; None: there is none.
    folder
        Made if its parent exists.
    show
        Units of the charts; tables are in SI units.
    replace
        Whether files of the same names may be replaced.

    Returns
    -------
    tuple of Path
        `switchover.json`, a CSV file of each part, a chart of the map and of each heat pump
        against its own backup, else against what is there now, as PNG and SVG.

    Raises
    ------
    InputError
        If the folder cannot be made or written, or files exist and may not be replaced; nothing
        is written then.
    """
    jobs = [
        text_job("switchover.json", lambda: [switchover_text(result, prices)]),
        *_csv_jobs(result, prices),
        *_chart_jobs(result, prices, show),
    ]
    return write_all(folder, jobs, replace=replace)


def _csv_jobs(result: SwitchoverResult, prices: PriceMap | None) -> Iterable[Job]:
    made: dict[str, list[dict[str, Any]]] = {
        "balance-points.csv": balance_rows(result),
        "cost-of-heat.csv": cost_of_heat_rows(result),
        "switch-temperature.csv": switch_rows(result),
        "flip-values.csv": flip_value_rows(result),
        "price-map.csv": [] if prices is None else price_map_rows(prices),
    }
    for name, rows in made.items():
        if rows:
            yield text_job(name, partial(_csv, rows))


def _csv(rows: list[dict[str, Any]]) -> list[str]:
    return [csv_text(rows)]


def _chart_jobs(result: SwitchoverResult, prices: PriceMap | None, show: Display) -> Iterable[Job]:
    # matplotlib only where charts are made
    from energymodel.report.figures.price_map_chart import price_map_figure  # noqa: PLC0415
    from energymodel.report.figures.switchover_chart import switchover_figure  # noqa: PLC0415

    if prices is not None:
        yield chart_job("price-map", partial(price_map_figure, result.comparison, prices))
    drawn = main_pairs(result)
    for pair, slug in zip(drawn, slugs(pair.heat_pump for pair in drawn), strict=True):
        draw: Callable[[], Any] = partial(switchover_figure, result.comparison, pair, show)
        yield chart_job(f"cost-of-heat-{slug}", draw)


def main_pairs(result: SwitchoverResult) -> list[SwitchPair]:
    """Choose one pair per heat pump for a chart.

    Parameters
    ----------
    result
        All of it.

    Returns
    -------
    list of SwitchPair
        Against its own backup, else against what is there now, else the first.
    """
    present = result.comparison.present
    name = present.name if present is not None else ""
    chosen: dict[str, SwitchPair] = {}
    for pair in result.pairs:
        before = chosen.get(pair.heat_pump)
        if before is None or (not before.backup and before.other != name and pair.other == name):
            chosen[pair.heat_pump] = pair
    return list(chosen.values())
