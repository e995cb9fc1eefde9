"""A tariff into the text of a tariff file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import tomlkit
from tomlkit.items import AoT, Array, InlineTable, Item
from tomlkit.items import Table as TomlTable

from energymodel.tariffs.charges import (
    MONTHS,
    Block,
    BlockCount,
    DemandBlock,
    DemandCharge,
    DemandPeriod,
    EnergyCharge,
    EnergyPeriod,
    HourlyPrice,
    Measured,
    Per,
    Ratchet,
)
from energymodel.tariffs.export import CreditKept, CreditLeft, Export
from energymodel.tariffs.holiday import HolidayAs, HolidayRule
from energymodel.tariffs.tariff import Interruption, MonthlyAmounts, RoundedWhere, Tariff
from energymodel.tariffs.toml_amounts import limit_text, number_text, temperature_text
from energymodel.tariffs.toml_words import date_text, days_words, hours_text, span_text
from energymodel.tariffs.windows import EVERY_DAY, MONTH_NAMES, Window

_WIDE = 70


def tariff_to_toml(tariff: Tariff) -> str:
    """Write a tariff as the text of a tariff file.

    Parameters
    ----------
    tariff
        The record.

    Returns
    -------
    str
        TOML that :func:`energymodel.tariffs.toml_form.tariff_from_toml` reads back exactly.
    """
    document = tomlkit.document()
    for key, value in _head(tariff).items():
        document.add(key, tomlkit.item(value))
    if tariff.seasons:
        seasons = tomlkit.table()
        for season in tariff.seasons:
            seasons.add(season.name, _one_or_list([span_text(span) for span in season.spans]))
        document.add("seasons", seasons)
    if tariff.holidays is not None:
        document.add("holidays", _holidays(tariff.holidays))
    for key, tables in _charges(tariff):
        if tables:
            document.add(key, _array_of_tables(tables))
    if tariff.export is not None:
        document.add("export", _export(tariff.export, tariff.unit.name))
    for key, tables in _closing(tariff):
        if tables:
            document.add(key, _array_of_tables(tables))
    return tomlkit.dumps(document)


def _head(tariff: Tariff) -> dict[str, object]:
    head: dict[str, object] = {"name": tariff.name}
    optional: dict[str, tuple[object, object]] = {
        "utility": (tariff.utility, ""),
        "source": (tariff.source, ""),
        "conditions": (tariff.conditions, ""),
        "currency": (tariff.currency, None),
        "unit": (tariff.unit.name, "kWh"),
        "billing_factor": (tariff.unit.factor, ""),
        "effective": (tariff.effective, None),
        "expires": (tariff.expires, None),
        "round": (tariff.rounding.where.value, RoundedWhere.EACH_LINE.value),
        "decimals": (tariff.rounding.decimals, 2),
        "monthly_amounts": (tariff.monthly_amounts.value, MonthlyAmounts.ONE_PER_BILL.value),
    }
    head.update({key: value for key, (value, usual) in optional.items() if value != usual})
    return head


def _one_or_list(values: Sequence[object]) -> Item:
    if len(values) == 1:
        return tomlkit.item(values[0])
    array = tomlkit.item(list(values))
    assert isinstance(array, Array)  # noqa: S101 - told to the type checker
    if len(array.as_string()) > _WIDE:
        array.multiline(multiline=True)
    return array


def _list(tables: Iterable[InlineTable]) -> Array:
    array = tomlkit.array()
    for table in tables:
        array.append(table)
    if len(array.as_string()) > _WIDE:
        array.multiline(multiline=True)
    return array


def _array_of_tables(tables: Iterable[TomlTable]) -> AoT:
    array = tomlkit.aot()
    for table in tables:
        array.append(table)
    return array


def _table(**values: object) -> TomlTable:
    table = tomlkit.table()
    for key, value in values.items():
        table.add(key, value if isinstance(value, Item) else tomlkit.item(value))
    return table


def _add(table: TomlTable | InlineTable, key: str, value: object, usual: object) -> None:
    if value != usual:
        item = _one_or_list(value) if isinstance(value, tuple) else tomlkit.item(value)
        table.add(key, item)


def _holidays(rule: HolidayRule) -> TomlTable:
    table = tomlkit.table()
    _add(table, "country", rule.country, "")
    _add(table, "subdivision", rule.subdivision, "")
    _add(table, "only", rule.only, ())
    _add(table, "dates", rule.dates, ())
    _add(table, "every_year", tuple(date_text(*day) for day in rule.every_year), ())
    _add(table, "observed", rule.observed, usual=True)
    _add(table, "count_as", rule.count_as.value, HolidayAs.WEEKEND.value)
    return table


def _money(amount: float, per: Per) -> str:
    return f"{number_text(amount)} per {per.value}"


def _charges(tariff: Tariff) -> Iterable[tuple[str, list[TomlTable]]]:
    unit = tariff.unit.name
    baseline = []
    for allowance in tariff.baseline:
        table = _table(per_day=f"{number_text(allowance.per_day)} {unit}")
        _add(table, "seasons", allowance.seasons, ())
        baseline.append(table)
    yield "baseline", baseline
    fixed = []
    for charge in tariff.fixed:
        table = _table(name=charge.name, price=_money(charge.amount, charge.per))
        _add(table, "seasons", charge.seasons, ())
        fixed.append(table)
    yield "fixed", fixed
    yield "energy", [_energy(charge, unit) for charge in tariff.energy]
    yield "hourly", [_hourly(charge) for charge in tariff.hourly]
    yield "rider", [_table(name=r.name, price=_one_or_list(r.prices)) for r in tariff.riders]
    yield "demand", [_demand(charge) for charge in tariff.demand]
    reactive = []
    for one in tariff.reactive:
        table = _table(name=one.name, price=one.price)
        _add(table, "allowance", one.allowance_kvar_per_kw, 0.0)
        reactive.append(table)
    yield "reactive", reactive


def _closing(tariff: Tariff) -> Iterable[tuple[str, list[TomlTable]]]:
    minimum = []
    for charge in tariff.minimum:
        table = _table(name=charge.name, price=_money(charge.amount, charge.per))
        _add_list(table, "of", charge.of)
        minimum.append(table)
    yield "minimum", minimum
    percents = []
    for percent in tariff.percents:
        table = _table(name=percent.name, percent=percent.percent)
        _add_list(table, "of", percent.of)
        percents.append(table)
    yield "percent", percents
    yield "interruption", [_interruption(rule) for rule in tariff.interruptions]


def _add_list(table: TomlTable, key: str, values: tuple[str, ...]) -> None:
    if values:
        table.add(key, tomlkit.item(list(values)))


def _window(window: Window) -> InlineTable:
    table = tomlkit.inline_table()
    _add(table, "seasons", window.seasons, ())
    _add(table, "days", tuple(days_words(window.days)), tuple(days_words(EVERY_DAY)))
    _add(table, "hours", tuple(hours_text(span) for span in window.hours), ())
    return table


def _windows(table: TomlTable, windows: Sequence[Window]) -> None:
    if len(windows) == 1:
        table.add("when", _window(windows[0]))
    elif windows:
        table.add("when", _list(_window(window) for window in windows))


def _blocks(table: TomlTable, blocks: Sequence[Block], unit: str) -> None:
    if len(blocks) == 1:
        table.add("price", tomlkit.item(blocks[0].price))
        return
    table.add("blocks", _list(_block(block, unit) for block in blocks))


def _block(block: Block, unit: str) -> InlineTable:
    inline = tomlkit.inline_table()
    if block.up_to is not None:
        inline.add("up_to", limit_text(block, unit))
    inline.add("price", block.price)
    return inline


def _energy_periods(table: TomlTable, periods: Sequence[EnergyPeriod], unit: str) -> None:
    if len(periods) == 1 and not periods[0].name and not periods[0].when:
        _blocks(table, periods[0].blocks, unit)
        return
    parts = []
    for period in periods:
        part = _table(name=period.name)
        _blocks(part, period.blocks, unit)
        _windows(part, period.when)
        parts.append(part)
    table.add("period", _array_of_tables(parts))


def _energy(charge: EnergyCharge, unit: str) -> TomlTable:
    table = _table(name=charge.name)
    _add(table, "blocks_count", charge.count.value, BlockCount.MONTH_TOTAL.value)
    _add(table, "demand", charge.demand, "")
    _energy_periods(table, charge.periods, unit)
    return table


def _hourly(charge: HourlyPrice) -> TomlTable:
    table = _table(name=charge.name)
    _add(table, "file", charge.file, "")
    _add(table, "factor", charge.factor, 1.0)
    _add(table, "adder", charge.adder, 0.0)
    return table


def _demand_blocks(table: TomlTable, blocks: Sequence[DemandBlock]) -> None:
    if len(blocks) == 1:
        table.add("price", tomlkit.item(blocks[0].price))
        return
    inlines = []
    for block in blocks:
        inline = tomlkit.inline_table()
        if block.up_to_kw is not None:
            inline.add("up_to", f"{number_text(block.up_to_kw)} kW")
        inline.add("price", block.price)
        inlines.append(inline)
    table.add("blocks", _list(inlines))


def _demand(charge: DemandCharge) -> TomlTable:
    table = _table(name=charge.name)
    _add(table, "interval", f"{charge.interval_min} min", "15 min")
    _add(table, "measured", charge.measured.value, Measured.BILL.value)
    _add(table, "minimum", f"{number_text(charge.minimum_kw)} kW", "0 kW")
    _add(table, "at", charge.at, ())
    if charge.ratchet is not None:
        table.add("ratchet", _ratchet(charge.ratchet))
    _demand_periods(table, charge.periods)
    return table


def _demand_periods(table: TomlTable, periods: Sequence[DemandPeriod]) -> None:
    if len(periods) == 1 and not periods[0].name:
        _demand_blocks(table, periods[0].blocks)
        _windows(table, periods[0].when)
        return
    parts = []
    for period in periods:
        part = _table(name=period.name)
        _demand_blocks(part, period.blocks)
        _windows(part, period.when)
        parts.append(part)
    table.add("period", _array_of_tables(parts))


def _ratchet(ratchet: Ratchet) -> InlineTable:
    inline = tomlkit.inline_table()
    inline.add("percent", _one_or_list(ratchet.percents))
    inline.add("look_back", ratchet.look_back)
    if ratchet.months != MONTHS:
        inline.add("months", [MONTH_NAMES[month - 1] for month in ratchet.months])
    return inline


def _export(export: Export, unit: str) -> TomlTable:
    table = _table(name=export.name, rule=export.rule.value)
    _add(table, "true_up", MONTH_NAMES[export.true_up_month - 1], "Dec")
    _add(table, "surplus_price", export.surplus_price, 0.0)
    _add(table, "kept", export.kept.value, CreditKept.BY_PERIOD.value)
    _add(table, "left", export.left.value, CreditLeft.LOST.value)
    _add(table, "cap_percent", export.cap_percent, None)
    _add_list(table, "of", export.of)
    if export.size_steps:
        table.add("by_size", _list(_size(s.below_kw, s.percent) for s in export.size_steps))
    if export.periods:
        _energy_periods(table, export.periods, unit)
    return table


def _size(below_kw: float, percent: float) -> InlineTable:
    inline = tomlkit.inline_table()
    inline.add("below", f"{number_text(below_kw)} kW")
    inline.add("percent", percent)
    return inline


def _interruption(rule: Interruption) -> TomlTable:
    table = _table(name=rule.name)
    if rule.below_c is not None:
        table.add("at_or_below", temperature_text(rule.below_c))
    if rule.above_c is not None:
        table.add("at_or_above", temperature_text(rule.above_c))
    _windows(table, rule.when)
    return table
