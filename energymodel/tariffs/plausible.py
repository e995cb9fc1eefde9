"""What looks like a slip in a tariff: cents for dollars, a fraction for percent, a wrong sign."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from energymodel.notices import Notice
from energymodel.tariffs.charges import PercentCharge
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_amounts import shown_number
from energymodel.tariffs.windows import with_leap_day

_HIGHEST_PER_KWH = 2.0
"""Money per kWh above which no use is sold anywhere for dollars, euros or pounds (our choice)."""
_OF_THIS_SIZE = frozenset({"USD", "CAD", "AUD", "NZD", "EUR", "GBP", "CHF"})
_LEAST_PERCENT = 0.3
"""A tax or rebate below this is rarer than one written as a fraction, 0.07 for 7 % (our choice)."""
_MONEY_FIRST = ("check", "prices", "reactive demand", "interruption", "seasons", "export", "demand")


def tariff_notices(tariff: Tariff) -> tuple[Notice, ...]:
    """Say what looks like a slip in a tariff, and how a season that ends on 28 February is read.

    Parameters
    ----------
    tariff
        The record.

    Returns
    -------
    tuple of Notice
        Empty for a usual tariff.
    """
    checks = (*_prices(tariff), *_percents(tariff), *_ratchets(tariff))
    return (
        *(Notice(topic="check", text=text) for text in checks),
        *(
            Notice(
                topic="seasons",
                text=f'The season "{name}" ends on 28 Feb, and no season names 29 Feb: that day'
                ' counts in it too; write "to 29 Feb" or give the day to another season.',
            )
            for name in with_leap_day(tariff.seasons)
        ),
    )


def _priced(tariff: Tariff) -> Iterator[tuple[str, tuple[float, ...]]]:
    for charge in tariff.energy:
        for period in charge.periods:
            place = f"{charge.name}, {period.name}" if period.name else charge.name
            yield place, tuple(block.price for block in period.blocks)
    for rider in tariff.riders:
        yield rider.name, rider.prices


def _prices(tariff: Tariff) -> Iterator[str]:
    most = _HIGHEST_PER_KWH * tariff.unit.kwh
    per = f"{tariff.currency} per {tariff.unit.name}"
    for place, prices in _priced(tariff):
        highest = max(prices, default=0.0)
        if tariff.currency in _OF_THIS_SIZE and highest > most:
            yield (
                f"{place}: {shown_number(highest)} {per} is far above any usual price. If the sheet"
                f" counts cents, write {shown_number(highest / 100.0)}."
            )
    for charge in tariff.energy:
        blocks = [block for period in charge.periods for block in period.blocks]
        if blocks and all(block.price < 0 for block in blocks):
            yield (
                f"{charge.name}: every price is below zero, so that use earns money. Is the sign"
                " right?"
            )


def _percents(tariff: Tariff) -> Iterator[str]:
    for charge in tariff.percents:
        if 0.0 < abs(charge.percent) < _LEAST_PERCENT:
            yield _as_fraction(charge)


def _as_fraction(charge: PercentCharge) -> str:
    share, meant = shown_number(charge.percent), shown_number(charge.percent * 100.0)
    return f"{charge.name}: {share} % is next to nothing. If {meant} % is meant, write {meant}."


def _ratchets(tariff: Tariff) -> Iterator[str]:
    for charge in tariff.demand:
        if charge.ratchet is not None and 0.0 < max(charge.ratchet.percents) <= 1.0:
            share = max(charge.ratchet.percents)
            yield (
                f"{charge.name}: a ratchet of {shown_number(share)} %. If"
                f" {shown_number(share * 100.0)} % is meant, write {shown_number(share * 100.0)}."
            )


def money_first(notices: Iterable[Notice]) -> tuple[Notice, ...]:
    """Put the notices that change money before the others, in their order otherwise.

    Parameters
    ----------
    notices
        Of a bill or a tariff.

    Returns
    -------
    tuple of Notice
        All of them, each once.
    """
    rank = {topic: number for number, topic in enumerate(_MONEY_FIRST)}
    once = dict.fromkeys(notices)
    return tuple(sorted(once, key=lambda notice: rank.get(notice.topic, len(rank))))
