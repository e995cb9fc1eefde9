"""The question and the answer of the customer's page, in sentences and in three figures."""

from __future__ import annotations

from typing import Any

from energymodel.report.comparison.range_words import rounded_ends
from energymodel.report.handout.numbers import SAME, rounded_range
from energymodel.report.handout.payback import payback_range
from energymodel.report.handout.sheet import NAME_LENGTH, Sheet, one_line, shortened
from energymodel.study.comparison.cost_range import CostRange
from energymodel.study.comparison.outcome import Outcome

Part = dict[str, Any]
LATEST_YEARS = 50.0
"""A payback beyond this is no payback worth a number (our choice)."""


def question(sheet: Sheet) -> str:
    """Return the question that the page answers.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    str
        As asked in the scenario, else a usual one.
    """
    asked = one_line(sheet.content.handout.question)
    if asked:
        return asked
    load = sheet.comparison.model.load
    if load.heating is not None and load.cooling is not None:
        return sheet.words.say("question.both")
    return sheet.words.say("question.heating" if load.heating is not None else "question.cooling")


def answer(sheet: Sheet) -> Part:
    """Return the answer.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    dict
        Sentences, and figures each with a low, a likely and a high text.
    """
    best, present = sheet.best, sheet.present
    if best is None:
        nobody = sheet.words.say("answer.nobody")
        return {"sentences": [nobody], "scope": _scope(sheet), "figures": []}
    return {
        "sentences": [
            _likely(sheet, best),
            *_against(sheet, best, present),
            *_reason(sheet, best, present),
            *_new_services(sheet, best),
        ],
        "scope": _scope(sheet),
        "figures": [_cost(sheet, best), *_saving(sheet, best), *_payback(sheet, best)],
    }


def _name(outcome: Outcome) -> str:
    return shortened(outcome.name, NAME_LENGTH)


def _likely(sheet: Sheet, best: Outcome) -> str:
    span, show = sheet.span(best), sheet.figures
    low, likely, high = rounded_range(span.low, span.likely, span.high)
    ends = {"low": show.money(low), "high": show.money(high)}
    return sheet.words.say(
        "answer.likely" if low < high else "answer.likely_flat",
        option=_name(best),
        cost=show.money(likely),
        services=sheet.words.services(list(best.service_cost)),
        **(ends if low < high else {}),
    )


def _against(sheet: Sheet, best: Outcome, present: Outcome | None) -> list[str]:
    words = sheet.words
    if present is None:
        return []
    if best is present:
        others = sum(outcome.carries for outcome in sheet.comparison.outcomes) > 1
        key = "not_shown" if others else "present_only"
        return [words.say(f"answer.{key}", present=_name(present))]
    services = words.services(list(present.service_cost))
    now = words.say(
        "answer.now",
        present=_name(present),
        cost=sheet.figures.about(present.yearly_cost),
        services=services,
    )
    return [now, *_saving_sentence(sheet, sheet.span(best), services)]


def _reason(sheet: Sheet, best: Outcome, present: Outcome | None) -> list[str]:
    """Say why: heat per unit of electricity, and what heat costs."""
    if present is None or best is present or len(best.energy_kwh) > 1:
        return []
    cop, price = best.result.cop_season("heating"), best.cost_per_mmbtu()
    now = present.cost_per_mmbtu()
    pump = best.result.total("heating_pump_heat_kwh") > 0
    if cop is None or price is None or now is None or not pump:
        return []
    return [
        sheet.words.say(
            "answer.reason",
            cop=sheet.figures.formats.number(cop, 1),
            counted=_counted(sheet, best),
            price=sheet.figures.heat_price_money(price),
            present=sheet.figures.heat_price_money(now),
            unit=sheet.words.say(f"answer.unit_{'us' if sheet.figures.us else 'si'}"),
        )
    ]


def _counted(sheet: Sheet, best: Outcome) -> str:
    """Name what a seasonal figure holds beside the heat pump's own heat and power."""
    backed = best.planned.backup_alone is not None and not best.planned.borrowed
    return sheet.words.say("answer.counted_backup" if backed else "answer.counted")


def _saving_sentence(sheet: Sheet, span: CostRange, services: str) -> list[str]:
    ends = saving_ends(span)
    if ends is None:
        return []
    text = _either(sheet, ends, services) if ends[0] < 0 < ends[2] else ""
    wider = [sheet.words.say("answer.no_range")] if _nothing_varied(span) else []
    return [text or _one_way(sheet, ends, services), *wider]


def _either(sheet: Sheet, ends: tuple[float, float, float], services: str) -> str:
    low, likely, high = ends
    return sheet.words.say(
        "answer.either",
        services=services,
        more=sheet.figures.money(-low),
        less=sheet.figures.money(high),
        likely=saving_text(sheet, likely),
    )


def _one_way(sheet: Sheet, ends: tuple[float, float, float], services: str) -> str:
    low, likely, high = ends
    near, far = sorted((abs(low), abs(high)))
    return sheet.words.say(
        "answer.less" if high > 0 else "answer.more",
        services=services,
        likely=sheet.figures.money(abs(likely)),
        low=sheet.figures.money(near),
        high=sheet.figures.money(far),
    )


def saving_ends(span: CostRange) -> tuple[float, float, float] | None:
    """Round the range of a saving.

    Parameters
    ----------
    span
        Range of an option.

    Returns
    -------
    tuple of float or None
        Low, likely, high; the ends outwards. None without a saving.
    """
    low, likely, high = span.saving_low, span.saving_likely, span.saving_high
    if low is None or likely is None or high is None:
        return None
    ends = rounded_range(low, likely, high)
    first, last = rounded_ends(low, high) if ends[0] == ends[2] else (ends[0], ends[2])
    return first, ends[1], last


def _nothing_varied(span: CostRange) -> bool:
    ends = span.saving_low or 0.0, span.saving_high or 0.0
    return ends[1] - ends[0] <= SAME * max(abs(end) for end in ends)


def saving_text(sheet: Sheet, saving: float) -> str:
    """Write a saving as less or more.

    Parameters
    ----------
    sheet
        The page.
    saving
        Rounded money per year.

    Returns
    -------
    str
        "$340 less".
    """
    if saving == 0:
        return sheet.words.say("answer.same")
    key = "answer.likely_less" if saving > 0 else "answer.likely_more"
    return sheet.words.say(key, amount=sheet.figures.money(abs(saving)))


def _new_services(sheet: Sheet, best: Outcome) -> list[str]:
    if best.against_present is None:
        return []
    return [
        sheet.words.say(
            "answer.new",
            service=sheet.words.say(f"services.{service}"),
            cost=sheet.figures.about(cost),
        )
        for service, cost in best.against_present.added_comfort.items()
    ]


def _scope(sheet: Sheet) -> str:
    load = sheet.comparison.model.load
    needed = {"heating": load.heating, "cooling": load.cooling}
    name = shortened(sheet.content.room.name, NAME_LENGTH)
    return sheet.words.say(
        "answer.scope",
        services=sheet.words.services([one for one, line in needed.items() if line is not None]),
        room=name or sheet.words.say("answer.this_room"),
    )


def _cost(sheet: Sheet, best: Outcome) -> Part:
    span = sheet.span(best)
    values = rounded_range(span.low, span.likely, span.high)
    return {
        "label": sheet.words.say("figures.cost"),
        "values": [sheet.figures.money(value) for value in values],
    }


def _saving(sheet: Sheet, best: Outcome) -> list[Part]:
    ends, present = saving_ends(sheet.span(best)), sheet.present
    if ends is None or present is None:
        return []
    low, _, high = ends
    key = "less" if low >= 0 else "more" if high <= 0 else "either"
    values = sorted(-value for value in ends) if key == "more" else ends
    services = sheet.words.services(list(present.service_cost))
    return [
        {
            "label": sheet.words.say(f"figures.saving_{key}", services=services),
            "values": [sheet.figures.money(value) for value in values],
        }
    ]


def _payback(sheet: Sheet, best: Outcome) -> list[Part]:
    found = payback_range(sheet, best)
    if found is None or found.extra <= 0:
        return []
    return [
        {
            "label": sheet.words.say("figures.payback"),
            "values": [_years(sheet, years) for years in found.years],
        }
    ]


def _years(sheet: Sheet, years: float | None) -> str:
    if years is None or years > LATEST_YEARS:
        return sheet.words.say("figures.never")
    return sheet.figures.formats.number(years, 1)
