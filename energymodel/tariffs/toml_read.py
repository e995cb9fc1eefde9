"""Tables of a tariff file into records: calendar, fixed charges, riders, percentages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from energymodel.tariffs.charges import (
    FixedCharge,
    HourlyPrice,
    MinimumBill,
    Per,
    PercentCharge,
    ReactiveCharge,
    Rider,
)
from energymodel.tariffs.holiday import HolidayAs, HolidayRule, checked_names, public_names
from energymodel.tariffs.parsed_lists import needed_words, read_choice
from energymodel.tariffs.parsed_table import Table
from energymodel.tariffs.tariff import BaselineAllowance, Interruption
from energymodel.tariffs.toml_amounts import read_money, read_temperature, read_with_unit
from energymodel.tariffs.toml_read_periods import read_windows
from energymodel.tariffs.toml_words import read_date, read_span
from energymodel.tariffs.windows import Season, Span

_NOT_READ = (0.0, Per.MONTH)


def read_seasons(table: Table) -> tuple[Season, ...]:
    """Read the table of seasons.

    Parameters
    ----------
    table
        The file.

    Returns
    -------
    tuple of Season
        Empty where there are none.
    """
    inner = table.table("seasons")
    if inner is None:
        return ()
    none: tuple[Span, ...] = ()
    seasons = []
    for name in inner.keys():  # noqa: SIM118 - asking marks the names as known
        spans = inner.read(name, partial(_spans, inner.texts(name)), none)
        seasons.append(Season(name=name, spans=spans))
    return tuple(seasons)


def _spans(texts: Sequence[str]) -> tuple[Span, ...]:
    return tuple(read_span(text) for text in texts)


def read_holidays(table: Table) -> HolidayRule | None:
    """Read the table of holidays.

    Parameters
    ----------
    table
        The file.

    Returns
    -------
    HolidayRule or None
        None where the tariff has none.
    """
    inner = table.table("holidays")
    if inner is None:
        return None
    yearly, only = inner.texts("every_year"), inner.texts("only")
    rule = HolidayRule(
        country=inner.text("country"),
        subdivision=inner.text("subdivision"),
        dates=inner.list_of("dates", date, "dates such as 2024-11-29"),
        every_year=inner.read("every_year", lambda: tuple(map(_yearly, yearly)), ()),
        observed=inner.flag("observed", default=True),
        count_as=read_choice(inner, "count_as", HolidayAs.WEEKEND),
    )
    inner.close()
    return _with_list(inner, rule, only)


def _yearly(text: str) -> tuple[int, int]:
    return HolidayRule(every_year=(read_date(text),)).every_year[0]


def _with_list(inner: Table, rule: HolidayRule, only: tuple[str, ...]) -> HolidayRule:
    """Look the country and the names up now: a bill would find out too late."""
    if rule.country and not inner.read("country", lambda: bool(public_names(rule)), default=False):
        return HolidayRule()
    return inner.read("only", lambda: checked_names(replace(rule, only=only)), rule)


def _money(table: Table) -> tuple[float, Per]:
    return needed_words(table, "price", read_money, _NOT_READ)


def read_fixed(table: Table) -> FixedCharge:
    """Read a fixed charge.

    Parameters
    ----------
    table
        One of [[fixed]].

    Returns
    -------
    FixedCharge
        The record.
    """
    amount, per = _money(table)
    return FixedCharge(
        name=table.needed_text("name"), amount=amount, per=per, seasons=table.texts("seasons")
    )


def read_minimum(table: Table) -> MinimumBill:
    """Read a minimum bill.

    Parameters
    ----------
    table
        One of [[minimum]].

    Returns
    -------
    MinimumBill
        The record.
    """
    amount, per = _money(table)
    return MinimumBill(name=table.needed_text("name"), amount=amount, per=per, of=table.texts("of"))


def read_hourly(table: Table) -> HourlyPrice:
    """Read a charge by hourly prices.

    Parameters
    ----------
    table
        One of [[hourly]].

    Returns
    -------
    HourlyPrice
        The record.
    """
    return HourlyPrice(
        name=table.needed_text("name"),
        file=table.text("file"),
        factor=table.number("factor", 1.0),
        adder=table.number("adder", 0.0),
    )


def read_rider(table: Table) -> Rider:
    """Read a surcharge or credit per unit.

    Parameters
    ----------
    table
        One of [[rider]].

    Returns
    -------
    Rider
        The record.
    """
    if not table.has("price"):
        table.fault("price", "this is missing", expected="a number, or twelve by month")
    return Rider(name=table.needed_text("name"), prices=table.numbers("price") or (0.0,))


def read_reactive(table: Table) -> ReactiveCharge:
    """Read a charge for reactive demand.

    Parameters
    ----------
    table
        One of [[reactive]].

    Returns
    -------
    ReactiveCharge
        The record.
    """
    return ReactiveCharge(
        name=table.needed_text("name"),
        price=table.number("price"),
        allowance_kvar_per_kw=table.number("allowance", 0.0),
    )


def read_percent(table: Table) -> PercentCharge:
    """Read a tax or rebate.

    Parameters
    ----------
    table
        One of [[percent]].

    Returns
    -------
    PercentCharge
        The record.
    """
    return PercentCharge(
        name=table.needed_text("name"), percent=table.number("percent"), of=table.texts("of")
    )


def baseline_reader(unit: str) -> Callable[[Table], BaselineAllowance]:
    """Make the reader of baseline allowances.

    Parameters
    ----------
    unit
        Unit of the tariff.

    Returns
    -------
    callable
        Reads one of [[baseline]].
    """

    def allowance(table: Table) -> BaselineAllowance:
        return BaselineAllowance(
            per_day=needed_words(table, "per_day", lambda text: read_with_unit(text, unit), 1.0),
            seasons=table.texts("seasons"),
        )

    return allowance


def read_interruption(table: Table) -> Interruption:
    """Read a rule of interruption.

    Parameters
    ----------
    table
        One of [[interruption]].

    Returns
    -------
    Interruption
        The record.
    """

    def limit(key: str) -> float | None:
        return table.words(key, read_temperature, 0.0) if table.has(key) else None

    return Interruption(
        name=table.needed_text("name"),
        when=read_windows(table),
        below_c=limit("at_or_below"),
        above_c=limit("at_or_above"),
    )
