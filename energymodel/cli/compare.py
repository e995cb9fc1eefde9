"""`energymodel compare [FILE]`: what each option costs per year here."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Units(StrEnum):
    """Units of the printed result."""

    us = "us"
    si = "si"


def compare(
    file: Annotated[
        Path | None, typer.Argument(help="Scenario file (TOML). Without it: the demo.")
    ] = None,
    *,
    out: Annotated[
        Path | None,
        typer.Option(help="Folder for hourly, monthly and annual CSV, JSON and charts."),
    ] = None,
    units: Annotated[
        Units | None, typer.Option(help="Units of the result; default: the scenario's.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace files that exist.")] = False,
    tariff: Annotated[
        list[Path] | None,
        typer.Option(help="Tariff file; give several: the same loads under each."),
    ] = None,
    details: Annotated[
        bool, typer.Option("--details", help="Also print defaults used and all notices.")
    ] = False,
    workbook: Annotated[
        Path | None,
        typer.Option(
            help="Workbook to write (.xlsx). Change prices, installed costs or discount rate in it:"
            " costs and paybacks follow."
        ),
    ] = None,
    money: Annotated[
        bool,
        typer.Option("--money", help="Also print life-cycle cost, payback and returns."),
    ] = False,
) -> None:
    """Compare what each option costs per year to heat and cool the room."""
    from energymodel.report.comparison.table import print_comparison
    from energymodel.study.comparison.compare import compare as run

    if workbook is not None:
        from energymodel.new_file import check_new_file

        check_new_file(workbook, endings=(".xlsx",), replace=replace)
    ranking = None
    if tariff:
        from energymodel.scenario.files import read_scenario
        from energymodel.study.comparison.tariff_ranking import rank_tariffs

        ranking = rank_tariffs(read_scenario(file), tariff)
    comparison = run(file)
    shown = units.value if units else comparison.model.scenario.content.units
    written: tuple[Path, ...] = ()
    if out is not None:
        from energymodel.report.comparison.files import write_comparison

        written = write_comparison(comparison, out, us=shown == "us", replace=replace)
    if workbook is not None:
        from energymodel.report.workbook.workbook import write_workbook

        made = write_workbook(comparison, workbook, us=shown == "us", replace=replace)
        written = (*written, made)
    print_comparison(comparison, us=shown == "us", details=details, written=written)
    if money or details:
        from energymodel.report.comparison.money_table import money_console, print_money

        print_money(money_console(comparison), comparison, details=details)
    if ranking is not None:
        from energymodel.report.comparison.tariff_table import print_ranking
        from energymodel.report.console import console

        print_ranking(console(), ranking)
