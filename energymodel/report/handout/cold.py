"""The coldest day and mild weather of the option that is drawn, in sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from energymodel.equipment.curves import FULL_SPEED_REACH_K
from energymodel.report.handout.chart import Curves, chart, pump_curves
from energymodel.report.handout.sheet import NAME_LENGTH, Sheet, shortened
from energymodel.season.result import HEATING
from energymodel.study.comparison.cost_parts import CostPart, cost_parts
from energymodel.study.comparison.outcome import Outcome
from energymodel.study.comparison.supply_notices import without_supply_kwh
from energymodel.study.pump_changes import pump_of

Part = dict[str, Any]
_HOURS = 0.5
_ROUNDING = 1e-9


def cold(sheet: Sheet) -> Part:
    """Return the chart and what goes with it.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    dict
        Head, chart (None without a heat pump) and sentences.
    """
    words = sheet.words
    if sheet.comparison.model.load.heating is None:
        return _section(sheet, "", None, [], [])
    curves = pump_curves(sheet)
    if curves is None:
        best = sheet.best or sheet.shown[0]
        head = words.say("cold.head", option=shortened(best.name, NAME_LENGTH))
        sentences = [words.say("cold.no_pump"), *_carried(sheet, best, backed=False)]
        return _section(sheet, head, None, sentences, [])
    head = words.say("cold.head", option=shortened(curves.outcome.name, NAME_LENGTH))
    sentences = [
        *_carried(sheet, curves.outcome, backed=curves.has_backup),
        *_covered(sheet, curves),
        *_cut(sheet, curves),
        *_limit(sheet, curves),
        *_failure(sheet, curves),
        words.say("cold.power_cut"),
    ]
    mild = list(_mild(sheet, curves))
    section = _section(sheet, head, chart(sheet, curves), sentences, mild)
    return section | {"why": _why_shown(sheet, curves)}


def _why_shown(sheet: Sheet, curves: Curves) -> str:
    """Say why this option is drawn where it is not the answer of the page."""
    if curves.outcome is sheet.best:
        return ""
    carries = curves.outcome.carries
    return sheet.words.say("cold.shown_cheapest" if carries else "cold.shown_none_carries")


def _section(
    sheet: Sheet, head: str, drawn: Part | None, sentences: list[str], mild: list[str]
) -> Part:
    return {
        "head": head,
        "why": "",
        "chart": drawn,
        "day": sheet.words.say("cold.day"),
        "sentences": sentences,
        "mild_head": sheet.words.say("cold.mild_head"),
        "mild": mild,
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cold:
    """Heat at one cold temperature, W: needed, of the heat pump alone, of all that heats."""

    temperature_c: float
    load_w: float
    pump_w: float | None
    output_w: float


def _carried(sheet: Sheet, outcome: Outcome, *, backed: bool) -> Iterator[str]:
    """Say what is needed and what can be had where it is coldest."""
    found = outcome.coverage
    if found is None:
        return
    if found.design_c is not None:
        design = _Cold(
            temperature_c=found.design_c,
            load_w=found.design_load_w,
            pump_w=found.design_pump_w,
            output_w=found.design_output_w,
        )
        yield _gives(sheet, "gives_design", design, backed=backed)
    coldest = _Cold(
        temperature_c=found.coldest_c,
        load_w=found.coldest_load_w,
        pump_w=found.coldest_pump_w,
        output_w=found.coldest_output_w,
    )
    yield _gives(sheet, "gives", coldest, backed=backed)


def _gives(sheet: Sheet, key: str, at: _Cold, *, backed: bool) -> str:
    return sheet.words.say(
        f"cold.{key}",
        temperature=sheet.figures.temperature(at.temperature_c),
        load=sheet.figures.heat(at.load_w),
        source=_heater(sheet, at) if at.pump_w is None else _pump(sheet, at, backed=backed),
    )


def _heater(sheet: Sheet, at: _Cold) -> str:
    if not math.isfinite(at.output_w):
        return sheet.words.say("cold.heater_any")
    return sheet.words.say("cold.heater", output=sheet.figures.heat(at.output_w))


def _pump(sheet: Sheet, at: _Cold, *, backed: bool) -> str:
    """Name the heat pump's own output, and what its backup adds to it."""
    words, show, own_w = sheet.words, sheet.figures, at.pump_w or 0.0
    stands = own_w <= 0.0
    pump = words.say("cold.pump_stands") if stands else ""
    pump = pump or words.say("cold.pump", output=show.heat(own_w))
    enough_w = at.load_w * (1.0 - _ROUNDING)
    if own_w >= enough_w or not backed:
        return pump
    if at.output_w < enough_w:
        return words.say("cold.backup_short", pump=pump, output=show.heat(at.output_w))
    return words.say("cold.backup_all" if stands else "cold.backup_rest", pump=pump)


def _covered(sheet: Sheet, curves: Curves) -> Iterator[str]:
    words, show, result = sheet.words, sheet.figures, curves.outcome.result
    hours = show.formats.number(curves.heating.short_c.size)
    unmet = result.total("heating_unmet_kwh")
    if not curves.heating.short_c.size:
        yield words.say("cold.alone")
    elif curves.has_backup:
        given = result.total("heating_delivered_kwh") + result.total("heating_duct_loss_kwh")
        share = 1.0 - result.total("heating_pump_heat_kwh") / max(given, 1e-9)
        yield words.say(
            "cold.backup",
            hours=hours,
            share=show.formats.part(share, 1 if share < 0.1 else 0),
            cost=show.about(_backup_cost(sheet, curves)),
        )
    elif unmet >= _HOURS:
        yield words.say("cold.short", hours=hours, energy=show.energy(unmet))


def _backup_cost(sheet: Sheet, curves: Curves) -> float:
    parts = cost_parts(curves.outcome, sheet.comparison.model.prices)
    backup = (parts[part] for part in (CostPart.RESISTANCE, CostPart.FUEL) if part in parts)
    return sum(float(values.sum()) for values in backup)


def _cut(sheet: Sheet, curves: Curves) -> Iterator[str]:
    """Say what happens in the hours in which the rate cuts the supply."""
    result = curves.outcome.result
    hours = result.total("heating_no_supply_h")
    if hours < _HOURS:
        return
    unmet_kwh = without_supply_kwh(result, HEATING, "unmet")
    key = "cold.cut_missing" if unmet_kwh >= _HOURS else "cold.cut_backup"
    yield sheet.words.say(
        key,
        hours=sheet.figures.formats.number(hours),
        energy=sheet.figures.energy(unmet_kwh),
    )


def _limit(sheet: Sheet, curves: Curves) -> Iterator[str]:
    pump = pump_of(curves.outcome.planned.option.heating)
    if pump is None:
        return
    if pump.operation.off_c is not None:
        at = sheet.figures.temperature(pump.operation.off_c)
        key = "cold.stops_backup" if curves.has_backup else "cold.stops"
        yield sheet.words.say(key, temperature=at)
        return
    coldest_c = pump.performance.speeds[-1].coldest_c
    yield sheet.words.say(
        "cold.reach",
        temperature=sheet.figures.temperature(coldest_c),
        limit=sheet.figures.temperature(coldest_c - FULL_SPEED_REACH_K),
    )


def _failure(sheet: Sheet, curves: Curves) -> Iterator[str]:
    failure = curves.outcome.failure
    if failure is None:
        return
    words = sheet.words
    cost, normal = sheet.figures.alike(failure.cost, failure.normal_cost)
    yield words.say(
        "cold.fails",
        month=words.texts("format.months")[failure.month - 1],
        cost=cost,
        normal=normal,
        heat=words.say("cold.fails_borrowed" if failure.borrowed else "cold.fails_backup"),
    )


def _mild(sheet: Sheet, curves: Curves) -> Iterator[str]:
    result, number = curves.outcome.result, sheet.figures.formats.number
    hours, cycling = result.total("heating_loaded_h"), result.total("heating_cycling_h")
    if cycling < _HOURS:
        yield sheet.words.say("cold.mild_never")
        return
    yield sheet.words.say("cold.mild", hours=number(cycling), all=number(hours))
