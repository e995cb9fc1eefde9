"""Tariff files of our own: TOML in trade words, read strictly, written back the same."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path

from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.new_file import check_new_file, write_new
from energymodel.tariffs.parsed_lists import each, read_choice
from energymodel.tariffs.parsed_table import Faults, Table
from energymodel.tariffs.sale_unit import SaleUnit, sale_unit
from energymodel.tariffs.tariff import MonthlyAmounts, RoundedWhere, Rounding, Tariff
from energymodel.tariffs.text_file import read_text
from energymodel.tariffs.toml_read import (
    baseline_reader,
    read_fixed,
    read_holidays,
    read_hourly,
    read_interruption,
    read_minimum,
    read_percent,
    read_reactive,
    read_rider,
    read_seasons,
)
from energymodel.tariffs.toml_read_periods import energy_reader, read_demand, read_export
from energymodel.tariffs.toml_write import tariff_to_toml

_LARGEST_BYTES = 2_000_000
"""A hundred times the longest tariff; the parser takes seconds for this much."""
_OF_A_SCENARIO = frozenset({"place", "option"})


def read_tariff(path: str | Path) -> Tariff:
    """Read and check a tariff file.

    Parameters
    ----------
    path
        TOML file.

    Returns
    -------
    Tariff
        The record.

    Raises
    ------
    InputError
        If the file is missing, too large or not TOML (a syntax error names its line), or is a
        scenario.
    ManyFaultsError
        With every fault of the content at once, each with its path in the file.
    """
    text = read_text(path, largest=_LARGEST_BYTES, expected="a tariff in TOML")
    return tariff_from_toml(text, where=Path(path).name)


def tariff_from_toml(text: str, *, where: str = "tariff") -> Tariff:
    """Read and check the text of a tariff file.

    Parameters
    ----------
    text
        TOML.
    where
        Name of the file, for messages.

    Returns
    -------
    Tariff
        The record.

    Raises
    ------
    InputError
        If it is not TOML.
    ManyFaultsError
        With every fault of the content at once.

    Examples
    --------
    >>> tariff = tariff_from_toml('''
    ... name = "Two steps"
    ... [[fixed]]
    ... name = "Customer charge"
    ... price = "0.2253 per day"
    ... [[energy]]
    ... name = "Energy"
    ... blocks = [{ up_to = "675 kWh per month", price = 0.1097 }, { price = 0.1408 }]
    ... ''')
    >>> [block.price for block in tariff.energy[0].periods[0].blocks]
    [0.1097, 0.1408]
    """
    try:
        content = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            f"not valid TOML: {error}", where=where, expected='lines such as name = "value"'
        ) from None
    except RecursionError:
        raise InputError("tables or lists are nested too deeply", where=where) from None
    except ValueError:  # Python's own limit of digits, which the parser passes on
        raise InputError("a number has too many digits", where=where) from None
    if set(content) >= _OF_A_SCENARIO:
        raise InputError(
            "this is a scenario, not a tariff",
            where=where,
            expected="the tariff file that its price table names",
            remedy=f"run it: energymodel compare {where}",
        )
    return _tariff(content, where)


def _unit(table: Table) -> SaleUnit:
    name, factor = table.text("unit", "kWh"), table.text("billing_factor")
    return table.read("unit", lambda: sale_unit(name, factor=factor), SaleUnit(name=name))


def _tariff(content: Mapping[str, object], where: str) -> Tariff:
    faults: Faults = []
    table = Table(content, path="", faults=faults)
    found: Tariff | None = None
    contradictions: tuple[EnergyModelError, ...] = ()
    try:
        found = _record(table)
    except ManyFaultsError as error:
        contradictions = error.faults
    table.close()
    # what cannot be read comes first: a record made of placeholders may contradict itself
    if faults or found is None:
        raise ManyFaultsError(faults or contradictions, where=where)
    return found


def _record(table: Table) -> Tariff:
    unit = _unit(table)
    return Tariff(
        name=table.needed_text("name"),
        utility=table.text("utility"),
        source=table.text("source"),
        conditions=table.text("conditions"),
        currency=table.text("currency", "USD"),
        unit=unit,
        effective=table.date("effective"),
        expires=table.date("expires"),
        seasons=read_seasons(table),
        holidays=read_holidays(table),
        baseline=each(table, "baseline", baseline_reader(unit.name)),
        fixed=each(table, "fixed", read_fixed),
        energy=each(table, "energy", energy_reader(unit.name)),
        hourly=each(table, "hourly", read_hourly),
        riders=each(table, "rider", read_rider),
        demand=each(table, "demand", read_demand),
        reactive=each(table, "reactive", read_reactive),
        export=read_export(table, unit.name),
        minimum=each(table, "minimum", read_minimum),
        percents=each(table, "percent", read_percent),
        interruptions=each(table, "interruption", read_interruption),
        rounding=Rounding(
            where=read_choice(table, "round", RoundedWhere.EACH_LINE),
            decimals=table.whole("decimals", 2),
        ),
        monthly_amounts=read_choice(table, "monthly_amounts", MonthlyAmounts.ONE_PER_BILL),
    )


def write_tariff(tariff: Tariff, path: str | Path, *, replace: bool = False) -> Path:
    """Write a tariff file.

    Parameters
    ----------
    tariff
        The record.
    path
        File to write.
    replace
        Whether an existing file may be replaced.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If the file exists and may not be replaced, or its folder does not exist.
    """
    target = Path(path)
    check_new_file(target, replace=replace)
    return write_new(target, tariff_to_toml(tariff))


__all__ = ["read_tariff", "tariff_from_toml", "tariff_to_toml", "write_tariff"]
