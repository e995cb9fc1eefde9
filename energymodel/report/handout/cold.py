"""The coldest day and mild weather of the option that is drawn, in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from energymodel.equipment.curves import FULL_SPEED_REACH_K
from energymodel.report.handout.chart import Curves, chart, pump_curves
from energymodel.report.handout.sheet import NAME_LENGTH, Sheet, shortened
from energymodel.study.comparison.cost_parts import CostPart, cost_parts
from energymodel.study.comparison.outcome import Coverage
from energymodel.study.pump_changes import pump_of

Part = dict[str, Any]
_HOURS = 0.5


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
        sentences = [words.say("cold.no_pump"), *_carried(sheet, best.coverage)]
        return _section(sheet, head, None, sentences, [])
    head = words.say("cold.head", option=shortened(curves.outcome.name, NAME_LENGTH))
    sentences = [
        *_carried(sheet, curves.outcome.coverage),
        *_covered(sheet, curves),
        *_limit(sheet, curves),
        *_failure(sheet, curves),
        words.say("cold.power_cut"),
    ]
    return _section(sheet, head, chart(sheet, curves), sentences, list(_mild(sheet, curves)))


def _section(
    sheet: Sheet, head: str, drawn: Part | None, sentences: list[str], mild: list[str]
) -> Part:
    return {
        "head": head,
        "chart": drawn,
        "day": sheet.words.say("cold.day"),
        "sentences": sentences,
        "mild_head": sheet.words.say("cold.mild_head"),
        "mild": mild,
    }


def _carried(sheet: Sheet, coverage: Coverage | None) -> Iterator[str]:
    if coverage is None:
        return
    show = sheet.figures
    if coverage.design_c is not None:
        yield sheet.words.say(
            "cold.gives_design",
            temperature=show.temperature(coverage.design_c),
            load=show.heat(coverage.design_load_w),
            output=show.heat(coverage.design_output_w),
        )
    yield sheet.words.say(
        "cold.gives",
        temperature=show.temperature(coverage.coldest_c),
        load=show.heat(coverage.coldest_load_w),
        output=show.heat(coverage.coldest_output_w),
    )


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
            share=show.formats.percent(share, 1 if share < 0.1 else 0),
            cost=show.about(_backup_cost(sheet, curves)),
        )
    elif unmet >= _HOURS:
        yield words.say("cold.short", hours=hours, energy=show.energy(unmet))


def _backup_cost(sheet: Sheet, curves: Curves) -> float:
    parts = cost_parts(curves.outcome, sheet.comparison.model.prices)
    backup = (parts[part] for part in (CostPart.RESISTANCE, CostPart.FUEL) if part in parts)
    return sum(float(values.sum()) for values in backup)


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
    yield words.say(
        "cold.fails",
        month=words.texts("format.months")[failure.month - 1],
        cost=sheet.figures.about(failure.cost),
        normal=sheet.figures.about(failure.normal_cost),
        heat=words.say("cold.fails_borrowed" if failure.borrowed else "cold.fails_backup"),
    )


def _mild(sheet: Sheet, curves: Curves) -> Iterator[str]:
    result, number = curves.outcome.result, sheet.figures.formats.number
    hours, cycling = result.total("heating_loaded_h"), result.total("heating_cycling_h")
    if cycling < _HOURS:
        yield sheet.words.say("cold.mild_never")
        return
    yield sheet.words.say("cold.mild", hours=number(cycling), all=number(hours))
