"""Cost of every option in a year: numbers, bars and the line from low to high."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from energymodel.report.handout.first import has_fuel, likely_year
from energymodel.report.handout.numbers import rounded_range
from energymodel.report.handout.sheet import NAME_LENGTH, SHORTEST_LENGTH, Sheet, short_names
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.cost_parts import CostPart, cost_parts
from energymodel.study.comparison.money_flows import cost_by_carrier
from energymodel.study.comparison.outcome import Outcome

Part = dict[str, Any]
_ALT_ROWS = 8
_KEYS = {
    CostPart.HEAT_PUMP: "heat_pump",
    CostPart.RESISTANCE: "resistance",
    CostPart.FUEL: "fuel",
    CostPart.COOLING: "cooling",
    CostPart.STANDING: "standing",
}


def options(sheet: Sheet) -> Part:
    """Return the table of options.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    dict
        Rows with numbers as text and bars as shares of the axis, ticks, legend, alternative text.
    """
    names = short_names(sheet.shown, NAME_LENGTH)
    shorter = short_names(sheet.shown, SHORTEST_LENGTH)
    triples = [_triple(sheet, outcome) for outcome in sheet.shown]
    parts = [_parts(sheet, outcome) for outcome in sheet.shown]
    axis = _axis(triples, parts)
    rows = [
        {"name": names[outcome.name], "short": shorter[outcome.name]}
        | _row(sheet, outcome)
        | _bar(axis, triple, part)
        for outcome, triple, part in zip(sheet.shown, triples, parts, strict=True)
    ]
    used = [key for key in _KEYS.values() if any(key in part for part in parts)]
    legend = [{"part": key, "text": sheet.words.say(f"options.part_{key}")} for key in used]
    return {
        "rows": rows,
        "fuel": has_fuel(sheet),
        "cooling": any(COOLING in outcome.service_cost for outcome in sheet.shown),
        "heating": any(HEATING in outcome.service_cost for outcome in sheet.shown),
        "ticks": [[axis.at(value), sheet.figures.money(value)] for value in axis.ticks],
        "zero": axis.at(0.0),
        "legend": legend,
        "year": likely_year(sheet) if sheet.ranges.winters else "",
        "alt": _alt(sheet, names, triples, [one["text"] for one in legend]),
        "more": _more(sheet),
    }


def _more(sheet: Sheet) -> str:
    if not sheet.not_shown:
        return ""
    return sheet.words.say("options.more", count=str(sheet.not_shown))


def _triple(sheet: Sheet, outcome: Outcome) -> tuple[float, float, float]:
    span = sheet.span(outcome)
    return rounded_range(span.low, span.likely, span.high)


def _parts(sheet: Sheet, outcome: Outcome) -> dict[str, float]:
    found = cost_parts(outcome, sheet.comparison.model.prices)
    return {_KEYS[part]: float(values.sum()) for part, values in found.items()}


class _Axis:
    """A money axis from zero, or from below it, with round ticks."""

    def __init__(self, low: float, high: float) -> None:
        step = _step(max(high, 1.0) / 3.5)
        first, last = math.floor(low / step), max(math.ceil(high / step - 1e-9), 1)
        self.low, self.high = low, max(high, step)
        self.ticks = [step * k for k in range(first, last + 1) if self.low <= step * k <= self.high]

    def at(self, value: float) -> float:
        return (value - self.low) / (self.high - self.low)


def _axis(
    triples: Sequence[tuple[float, float, float]], parts: Sequence[dict[str, float]]
) -> _Axis:
    highest = max(
        *(triple[2] for triple in triples),
        *(sum(value for value in part.values() if value > 0) for part in parts),
    )
    lowest = min(
        0.0,
        *(triple[0] for triple in triples),
        *(sum(value for value in part.values() if value < 0) for part in parts),
    )
    return _Axis(float(lowest), 1.02 * float(highest))


def _step(about: float) -> float:
    """Round to 1, 2 or 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(about))
    return next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= about)


def _bar(axis: _Axis, triple: tuple[float, float, float], parts: dict[str, float]) -> Part:
    above, below = 0.0, 0.0
    bars = []
    for key, value in parts.items():
        start = above if value > 0 else below + value
        bars.append([key, axis.at(start), axis.at(start + abs(value))])
        above, below = above + max(value, 0.0), below + min(value, 0.0)
    low, likely, high = triple
    return {"bars": bars, "span": [axis.at(low), axis.at(likely), axis.at(high)]}


def _row(sheet: Sheet, outcome: Outcome) -> Part:
    show, cost = sheet.figures, outcome.service_cost
    bills = cost_by_carrier(outcome, sheet.comparison.model.prices, tuple(cost))
    fuel = sum(spent for carrier, spent in bills.items() if carrier != ELECTRICITY)
    low, likely, high = _triple(sheet, outcome)
    return {
        "marks": marks(sheet, outcome),
        "best": outcome is sheet.best,
        "heating": show.bare(cost[HEATING]) if HEATING in cost else sheet.words.say("options.none"),
        "cooling": show.bare(cost[COOLING]) if COOLING in cost else sheet.words.say("options.none"),
        "electric": show.bare(bills.get(ELECTRICITY, 0.0)),
        "fuel": show.bare(fuel),
        "low": show.formats.number(low),
        "likely": show.formats.number(likely),
        "high": show.formats.number(high),
    }


def marks(sheet: Sheet, outcome: Outcome) -> str:
    """Say what a reader must know of an option beside its cost.

    Parameters
    ----------
    sheet
        The page.
    outcome
        One option.

    Returns
    -------
    str
        Words; may be empty.
    """
    words = sheet.words
    found = []
    if outcome.present:
        found.append(words.say("options.mark_now"))
    if outcome is sheet.best:
        found.append(words.say("options.mark_best"))
    elif outcome.missing_services:
        services = words.services(list(outcome.missing_services))
        found.append(words.say("options.mark_missing", services=services))
    elif not outcome.carries:
        found.append(short_text(sheet, outcome))
    return ", ".join(found)


def short_text(sheet: Sheet, outcome: Outcome) -> str:
    """Say which load an option does not carry.

    Parameters
    ----------
    sheet
        The page.
    outcome
        An option that is short of something.

    Returns
    -------
    str
        "short of cooling".
    """
    words = sheet.words
    lacks = words.listed([words.say(f"options.lacks_{service}") for service in outcome.short_of])
    return words.say("options.mark_short", services=lacks)


def _alt(
    sheet: Sheet,
    names: dict[str, str],
    triples: Sequence[tuple[float, float, float]],
    parts: Sequence[str],
) -> str:
    money = sheet.figures.money
    rows = [
        sheet.words.say(
            "options.alt_row",
            option=names[outcome.name],
            low=money(low),
            likely=money(likely),
            high=money(high),
        )
        for outcome, (low, likely, high) in zip(sheet.shown, triples, strict=True)
    ]
    return sheet.words.say(
        "options.alt", parts=sheet.words.listed(parts), rows=" ".join(rows[:_ALT_ROWS])
    )


def parts_table(sheet: Sheet) -> Part:
    """Return what the yearly cost is made of.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    dict
        Heads and rows of text; columns that nothing fills are left out.
    """
    names = short_names(sheet.shown, NAME_LENGTH)
    rows = [[names[outcome.name], *_part_cells(sheet, outcome)] for outcome in sheet.shown]
    unit = "us" if sheet.figures.us else "si"
    heads = [
        sheet.words.say("parts.option"),
        *(sheet.words.say(f"parts.{key}") for key in ("heat_pump", "resistance", "fuel", "fan")),
        *(sheet.words.say(f"parts.{key}") for key in ("cooling", "standing")),
        sheet.words.say(f"parts.heat_price_{unit}", sign=sheet.figures.sign),
        sheet.words.say("parts.cold"),
        sheet.words.say("parts.mild"),
    ]
    kept = [0, *(k for k in range(1, len(heads)) if any(row[k] for row in rows))]
    return {
        "heads": [heads[k] for k in kept],
        "rows": [[row[k] for k in kept] for row in rows],
        "best": [outcome is sheet.best for outcome in sheet.shown],
        "words": sheet.words.say("parts.words"),
    }


def _part_cells(sheet: Sheet, outcome: Outcome) -> list[str]:
    parts, show = _parts(sheet, outcome), sheet.figures
    fan = _fan(sheet, outcome)
    per_heat, coverage = outcome.cost_per_mmbtu(), outcome.coverage
    cold = ""
    if coverage is not None and coverage.coldest_load_w > 0:
        share = min(coverage.coldest_output_w / coverage.coldest_load_w, 1.0)
        cold = show.formats.percent(math.floor(100.0 * share + 1e-9) / 100.0)
    return [
        *(show.bare(parts[key]) if key in parts else "" for key in ("heat_pump", "resistance")),
        show.bare(parts["fuel"]) if "fuel" in parts else "",
        show.bare(fan) if fan else "",
        *(show.bare(parts[key]) if key in parts else "" for key in ("cooling", "standing")),
        "" if per_heat is None else show.heat_price(per_heat),
        cold,
        _mild(sheet, outcome),
    ]


def _fan(sheet: Sheet, outcome: Outcome) -> float:
    """Cost of the electricity of blowers at the mean price of a kWh."""
    price = sheet.comparison.model.prices.get(ELECTRICITY)
    uses = ("heating_electricity_blower_kwh", "heating_electricity_duct_fan_kwh")
    return sum(outcome.result.total(use) for use in uses) * (price.per_kwh if price else 0.0)


def _mild(sheet: Sheet, outcome: Outcome) -> str:
    result = outcome.result
    hours = result.total("heating_loaded_h")
    if not result.total("heating_pump_heat_kwh") > 0 or hours <= 0:
        return ""
    return sheet.figures.formats.percent(result.total("heating_cycling_h") / hours)
