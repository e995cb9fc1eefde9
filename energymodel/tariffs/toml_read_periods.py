"""Tables of a tariff file into records: what is priced by period - energy, demand, export."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TypeVar

from energymodel.errors import InputError
from energymodel.tariffs.charges import (
    MONTHS,
    Block,
    BlockCount,
    BlockPer,
    DemandBlock,
    DemandCharge,
    DemandPeriod,
    EnergyCharge,
    EnergyPeriod,
    Measured,
    Ratchet,
)
from energymodel.tariffs.export import CreditKept, CreditLeft, Export, ExportRule, SizeStep
from energymodel.tariffs.parsed_lists import each, read_choice
from energymodel.tariffs.parsed_table import Table
from energymodel.tariffs.toml_amounts import read_limit, read_with_unit
from energymodel.tariffs.toml_words import read_days, read_hours, read_month
from energymodel.tariffs.windows import EVERY_DAY, Window

Record = TypeVar("Record")
_NO_LIMIT = (1.0, BlockPer.MONTH)


def _window(table: Table) -> Window:
    seasons = table.texts("seasons")
    days = table.texts("days")
    hours = table.texts("hours")
    return Window(
        seasons=seasons,
        days=table.read("days", lambda: read_days(days), EVERY_DAY) if days else EVERY_DAY,
        hours=table.read("hours", lambda: tuple(map(read_hours, hours)), ()),
    )


def read_windows(table: Table) -> tuple[Window, ...]:
    """Read the windows of a period.

    Parameters
    ----------
    table
        With the key `when`.

    Returns
    -------
    tuple of Window
        Empty where the key is missing.
    """
    return each(table, "when", _window)


def _blocks(table: Table, unit: str) -> tuple[Block, ...]:
    if table.has("blocks") == table.has("price"):
        table.fault("", "either price or blocks, one of them", expected="price = 0.12")
        return (Block(price=0.0),)
    if table.has("price"):
        return (Block(price=table.number("price")),)
    return each(table, "blocks", lambda one: _block(one, unit))


def _block(table: Table, unit: str) -> Block:
    price = table.number("price")
    if not table.has("up_to"):
        return Block(price=price)
    limit, per = table.words("up_to", lambda text: read_limit(text, unit), _NO_LIMIT)
    return Block(price=price, up_to=limit, per=per)


def _periods(
    table: Table, whole: Callable[[Table], Record], part: Callable[[Table], Record]
) -> tuple[Record, ...]:
    """Read the only period of a charge from its own table, or several from [[period]]."""
    if not table.has("period"):
        return (whole(table),)
    for key in ("price", "blocks"):
        if table.has(key):
            table.fault(key, "a price beside [[period]]", remedy="move it into the periods")
    return each(table, "period", part)


def _whole(table: Table, unit: str) -> EnergyPeriod:
    return EnergyPeriod(blocks=_blocks(table, unit))


def _part(table: Table, unit: str) -> EnergyPeriod:
    return EnergyPeriod(
        name=table.needed_text("name"), blocks=_blocks(table, unit), when=read_windows(table)
    )


def _energy_periods(table: Table, unit: str) -> tuple[EnergyPeriod, ...]:
    return _periods(table, lambda one: _whole(one, unit), lambda one: _part(one, unit))


def energy_reader(unit: str) -> Callable[[Table], EnergyCharge]:
    """Make the reader of energy charges.

    Parameters
    ----------
    unit
        Unit of the tariff.

    Returns
    -------
    callable
        Reads one of [[energy]].
    """

    def charge(table: Table) -> EnergyCharge:
        return EnergyCharge(
            name=table.needed_text("name"),
            periods=_energy_periods(table, unit),
            count=read_choice(table, "blocks_count", BlockCount.MONTH_TOTAL),
            demand=table.text("demand"),
        )

    return charge


def _demand_blocks(table: Table) -> tuple[DemandBlock, ...]:
    if table.has("blocks") == table.has("price"):
        table.fault("", "either price or blocks, one of them", expected="price = 11.50")
        return (DemandBlock(price=0.0),)
    if table.has("price"):
        return (DemandBlock(price=table.number("price")),)
    return each(table, "blocks", _demand_block)


def _demand_block(table: Table) -> DemandBlock:
    price = table.number("price")
    if not table.has("up_to"):
        return DemandBlock(price=price)
    return DemandBlock(price=price, up_to_kw=_kw(table, "up_to"))


def _kw(table: Table, key: str) -> float:
    return table.words(key, lambda text: read_with_unit(text, "kW"), 1.0)


def _all_demand(table: Table) -> DemandPeriod:
    return DemandPeriod(blocks=_demand_blocks(table), when=read_windows(table))


def _demand_period(table: Table) -> DemandPeriod:
    return DemandPeriod(
        name=table.needed_text("name"), blocks=_demand_blocks(table), when=read_windows(table)
    )


def _whole_minutes(text: str) -> int:
    minutes = read_with_unit(text, "min")
    if not minutes.is_integer():
        raise InputError(f'"{text}" is not a whole number of minutes', expected='"15 min"')
    return int(minutes)


def read_demand(table: Table) -> DemandCharge:
    """Read a demand charge.

    Parameters
    ----------
    table
        One of [[demand]].

    Returns
    -------
    DemandCharge
        The record.
    """
    return DemandCharge(
        name=table.needed_text("name"),
        periods=_periods(table, _all_demand, _demand_period),
        interval_min=table.words("interval", _whole_minutes, 15),
        measured=read_choice(table, "measured", Measured.BILL),
        ratchet=_ratchet(table),
        minimum_kw=_kw(table, "minimum") if table.has("minimum") else 0.0,
        at=table.list_of("at", datetime, "times such as 2024-07-16T17:00:00"),
    )


def _ratchet(table: Table) -> Ratchet | None:
    inner = table.table("ratchet")
    if inner is None:
        return None
    if not inner.has("percent"):
        inner.fault("percent", "this is missing", expected="a number, or twelve by month")
    names = inner.texts("months")
    ratchet = Ratchet(
        percents=inner.numbers("percent") or (0.0,),
        look_back=inner.whole("look_back", 11),
        months=inner.read("months", lambda: tuple(map(read_month, names)), ()) or MONTHS,
    )
    inner.close()
    return ratchet


def read_export(table: Table, unit: str) -> Export | None:
    """Read the credit for feed-in.

    Parameters
    ----------
    table
        The file.
    unit
        Unit of the tariff.

    Returns
    -------
    Export or None
        None where the tariff has none.
    """
    inner = table.table("export")
    if inner is None:
        return None
    if not inner.has("rule"):
        rules = ", ".join(rule.value for rule in ExportRule)
        inner.fault("rule", "this is missing", expected=f"one of {rules}")
    rule = read_choice(inner, "rule", ExportRule.NET_METERING)
    periods: tuple[EnergyPeriod, ...] = ()
    if rule is not ExportRule.NET_METERING:
        periods = _energy_periods(inner, unit)
    export = Export(
        name=inner.text("name", "Export credit"),
        rule=rule,
        periods=periods,
        size_steps=each(inner, "by_size", _size_step),
        cap_percent=inner.number("cap_percent") if inner.has("cap_percent") else None,
        true_up_month=inner.words("true_up", read_month, 12),
        surplus_price=inner.number("surplus_price", 0.0),
        kept=read_choice(inner, "kept", CreditKept.BY_PERIOD),
        left=read_choice(inner, "left", CreditLeft.LOST),
        of=inner.texts("of"),
    )
    inner.close()
    return export


def _size_step(table: Table) -> SizeStep:
    return SizeStep(below_kw=_kw(table, "below"), percent=table.number("percent"))
