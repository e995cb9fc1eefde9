"""What would change the answer: prices that move, break-even COP, temperatures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from energymodel.report.handout.sheet import NAME_LENGTH, SHORT_LENGTH, Sheet, shortened
from energymodel.study.comparison.linear_cost import LinearCost, PriceAxis, linear_cost, price_axis
from energymodel.study.comparison.outcome import Outcome
from energymodel.study.switchover.pair_flips import PAYBACK_YEARS
from energymodel.study.switchover.pairs import SwitchPair, switch_pairs

Part = dict[str, Any]
FAR = 10.0
"""A price ten times today's is called far off, not printed."""
_MOST_PAIRS = 2
_MOST_CARRIERS = 3
_BELOW_K = 0.1


def flips(sheet: Sheet) -> Part:
    """Return what would change the answer.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    dict
        The pair, heads and rows of the table, sentences on break-even.
    """
    words, pair = sheet.words, _pair(sheet)
    if pair is None:
        return {"heads": [], "pairs": [], "sentences": [words.say("flips.nothing")]}
    years = sheet.figures.formats.number(PAYBACK_YEARS)
    return {
        "heads": [
            words.say("flips.what"),
            words.say("flips.today"),
            words.say("flips.same"),
            words.say("flips.back", years=years),
        ],
        "pairs": [
            _rows(sheet, pair, [*_price_rows(sheet, *pair), *_installed_row(sheet, *pair)]),
            *(_rows(sheet, one, _price_rows(sheet, *one)) for one in _other_fuel(sheet, pair)),
        ],
        "sentences": [text for one in _break_evens(sheet, pair) for text in _words(sheet, one)],
    }


def _rows(sheet: Sheet, pair: tuple[Outcome, Outcome], rows: Iterable[list[str]]) -> Part:
    first, second = (shortened(one.name, NAME_LENGTH) for one in pair)
    return {
        "against": sheet.words.say("flips.against", first=first, second=second),
        "rows": list(rows),
    }


def _other_fuel(sheet: Sheet, pair: tuple[Outcome, Outcome]) -> list[tuple[Outcome, Outcome]]:
    """Pair with the cheapest that burns something, where neither of the first pair does."""
    burning = _burners(sheet)
    if not burning or any(len(one.energy_kwh) > 1 for one in pair):
        return []
    return [(burning[0], pair[1])]


def _pair(sheet: Sheet) -> tuple[Outcome, Outcome] | None:
    best, present = sheet.best, sheet.present
    able = [one for one in sheet.comparison.outcomes if one.carries]
    others = sorted((one for one in able if one is not best), key=lambda one: one.like_cost)
    if best is None:
        return None
    if present is not None and best is not present:
        return present, best
    return (best, others[0]) if others else None


def _price_rows(sheet: Sheet, first: Outcome, second: Outcome) -> Iterator[list[str]]:
    lines = tuple(linear_cost(sheet.comparison, one) for one in (first, second))
    extra = second.first_cost - first.first_cost
    saving = first.like_cost - second.like_cost
    carriers = dict.fromkeys(name for line in lines for name in line.units)
    for carrier in list(carriers)[:_MOST_CARRIERS]:
        axis = price_axis(sheet.comparison, carrier)
        slope = _slope(lines[0], carrier) - _slope(lines[1], carrier)
        back = _price_at(axis, slope, extra / PAYBACK_YEARS - saving) if extra > 0 else None
        yield [
            _axis_name(sheet, axis),
            _value(sheet, axis, axis.today),
            _cell(sheet, axis, _price_at(axis, slope, -saving)),
            _cell(sheet, axis, back) if second.cost_given else "",
        ]


def _slope(line: LinearCost, carrier: str) -> float:
    return line.units.get(carrier, 0.0)


def _price_at(axis: PriceAxis, slope: float, missing: float) -> float | None:
    """Price at which a saving, a straight line of it, has grown by what is missing."""
    if abs(slope) * axis.today <= 1e-9 * max(1.0, abs(missing)):
        return None
    value = axis.today + missing / slope
    return value if value > 1e-9 * axis.today else None


def _axis_name(sheet: Sheet, axis: PriceAxis) -> str:
    carrier = sheet.words.carrier(axis.carrier)
    if axis.by_tariff:
        return sheet.words.say("flips.tariff", carrier=carrier)
    per = sheet.comparison.model.prices[axis.carrier].per
    unit = sheet.words.table["sold_by"].get(per, shortened(per, 24))
    return sheet.words.say("flips.price", carrier=carrier, unit=unit)


def _value(sheet: Sheet, axis: PriceAxis, value: float) -> str:
    if axis.by_tariff:
        number = sheet.figures.formats.number(value, 2)
        return sheet.words.say("flips.times", number=number)
    digits = 3 if axis.today < 1 and round(value, 2) != value else 2
    return sheet.figures.money(value, digits)


def _cell(sheet: Sheet, axis: PriceAxis, value: float | None) -> str:
    if value is None:
        return sheet.words.say("flips.none")
    change = value / axis.today - 1.0
    if not 1.0 / FAR <= 1.0 + change <= FAR:
        return sheet.words.say("flips.far")
    sign = "+" if change > 0 else ""
    percent = sign + sheet.figures.formats.percent(change)
    return sheet.words.say("flips.change", value=_value(sheet, axis, value), percent=percent)


def _installed_row(sheet: Sheet, first: Outcome, second: Outcome) -> Iterator[list[str]]:
    """Price of the second at which simple payback takes the limit of years."""
    today = second.planned.table.installed_cost
    if not today:
        return
    rest = second.first_cost - today
    limit = first.first_cost + PAYBACK_YEARS * (first.like_cost - second.like_cost) - rest
    cell = sheet.words.say("flips.none")
    if limit >= 0:
        change = limit / today - 1.0
        percent = ("+" if change > 0 else "") + sheet.figures.formats.percent(change)
        value = sheet.figures.about(limit)
        cell = sheet.words.say("flips.change", value=value, percent=percent)
    name = shortened(second.name, SHORT_LENGTH)
    yield [
        sheet.words.say("flips.installed", option=name),
        sheet.figures.money(today),
        "",
        cell,
    ]


def _break_evens(sheet: Sheet, pair: tuple[Outcome, Outcome]) -> list[SwitchPair]:
    """Hold the heat pump of the pair against its own backup and the other heat of the page."""
    pump = next((one for one in reversed(pair) if _has_pump(one)), None)
    if pump is None:
        return []
    rivals = [one for one in (*pair, *_burners(sheet)) if one is not pump and not _has_pump(one)]
    chosen = {one.name: one for one in (pump, *rivals[:_MOST_PAIRS])}
    found = switch_pairs(replace(sheet.comparison, outcomes=tuple(chosen.values())))
    telling = [one for one in found if not _trivial(one)]
    return telling[:_MOST_PAIRS] or list(found)[:1]  # resistance heat is alike wherever it stands


def _has_pump(outcome: Outcome) -> bool:
    return outcome.result.total("heating_pump_heat_kwh") > 0


def _burners(sheet: Sheet) -> list[Outcome]:
    """Options that burn something, the cheapest first."""
    burning = [one for one in sheet.shown if len(one.energy_kwh) > 1 and one.carries]
    return sorted(burning, key=lambda one: one.like_cost)


def _trivial(pair: SwitchPair) -> bool:
    """Resistance heat needs no more than a COP of 1: others come first."""
    return pair.break_even.cops.default <= 1.0 + 1e-9


def _words(sheet: Sheet, pair: SwitchPair) -> Iterator[str]:
    words, number = sheet.words, sheet.figures.formats.number
    other = words.say("flips.own_backup")
    if not pair.backup:
        other = shortened(pair.other, NAME_LENGTH)
    yield words.say(
        "flips.cop",
        other=other,
        needed=number(pair.break_even.cops.default, 1),
        has=number(pair.season_cop, 1),
    )
    yield _where(sheet, pair, other)


def _stops_below(pair: SwitchPair, at_c: float) -> bool:
    """Whether the heat pump gives nothing below a temperature, so that no cost decides there."""
    return not pair.pump_cost.flows(np.array([at_c - _BELOW_K])).delivered_w.any()


def _where(sheet: Sheet, pair: SwitchPair, other: str) -> str:
    words, balances = sheet.words, pair.balance.balances_c
    if not balances:
        keys: Mapping[str, str] = {"always cheaper": "always", "never cheaper": "never"}
        key = keys.get(pair.answer, "same_cost")
        return words.say(f"flips.{key}", **({"other": other} if key == "never" else {}))
    temperatures = [sheet.figures.temperature(at_c) for at_c in balances]
    if len(balances) == 1 and pair.balance.cheaper[0] == pair.balance.second:
        key = "stops" if _stops_below(pair, balances[0]) else "below"
        return words.say(f"flips.{key}", temperature=temperatures[0])
    return words.say("flips.several", temperatures=words.listed(temperatures))
