"""The lines under the table of a comparison: the answer first, six at most, then the cautions."""

from __future__ import annotations

import calendar
from collections.abc import Mapping, Sequence
from pathlib import Path

from energymodel.notices import Notice
from energymodel.report.cautions import cautions_for
from energymodel.report.comparison.range_words import saving_words
from energymodel.report.numbers import Display, money
from energymodel.study.comparison.cost_range import CostRange
from energymodel.study.comparison.outcome import Comparison

LOUD = (
    *("units", "savings", "claim", "payback", "seasonal COP", "bills"),
    *("services", "capacity", "load", "interruption", "installed cost", "other use"),
    *("note", "saving"),
)
"""Topics that change which option to choose; what cannot be comes first, its cause before it."""
MOST_FACTS = 3
"""Facts between the answer and what the columns mean; the others stand in the details."""


def closing_lines(
    comparison: Comparison,
    show: Display,
    ranges: Mapping[str, CostRange],
    written: Sequence[Path] = (),
) -> list[str]:
    """Return the lines under the table, at most six and the cautions.

    Parameters
    ----------
    comparison
        All options.
    show
        Units of the reader.
    ranges
        Low, likely and high by option.
    written
        Files that were written.

    Returns
    -------
    list of str
        The answer, what it would miss, what the figures mean, where to look on, cautions.
    """
    brief = [caution.brief for caution in cautions_for(comparison) if caution.brief]
    return [
        *_answer(comparison, ranges),
        *_facts(comparison, show)[:MOST_FACTS],
        _columns(comparison, show, ranges),
        _estimate(comparison, show, written),
        f"Cautions: {'; '.join(brief)}. Local code decides.",
    ]


def further_lines(comparison: Comparison, show: Display) -> list[str]:
    """Return the facts that found no place under the table.

    Parameters
    ----------
    comparison
        All options.
    show
        Units of the reader.

    Returns
    -------
    list of str
        For the details.
    """
    return _facts(comparison, show)[MOST_FACTS:]


def _facts(comparison: Comparison, show: Display) -> list[str]:
    return [
        *(str(note) for note in _loud(comparison)),
        *_in_the_cold(comparison, show),
        *_failure(comparison),
        *_billed(comparison),
    ]


def _columns(comparison: Comparison, show: Display, ranges: Mapping[str, CostRange]) -> str:
    coldest = show.temperature(float(comparison.model.weather.outdoor_c.min()))
    words = next(iter(ranges.values())).words
    return (
        f"Range: {words}. vs now, Back: saving and simple payback on the services there now."
        f" Cold hour: share of the load given at {coldest}."
    )


def _estimate(comparison: Comparison, show: Display, written: Sequence[Path]) -> str:
    counts = (
        (len(comparison.model.defaults), "default"),
        (len(comparison.notices), "notice"),
        (len(further_lines(comparison, show)), "further fact"),
    )
    behind = ", ".join(
        f"{count} {noun}{'' if count == 1 else 's'}"
        for count, noun in counts
        if count or noun != "further fact"
    )
    files = ""
    if written:
        what = (
            str(written[0]) if len(written) == 1 else f"{len(written)} files in {written[0].parent}"
        )
        files = f"Written: {what}. "
    return (
        f"{files}Estimate, not a quotation or guarantee. Behind it: {behind}; --details lists them."
    )


def _loud(comparison: Comparison) -> list[Notice]:
    """Notices that change which option to choose: they stand under the table, at most two."""
    loud = [note for note in comparison.notices if note.topic in LOUD]
    return sorted(loud, key=lambda note: LOUD.index(note.topic))[:2]


def _answer(comparison: Comparison, ranges: Mapping[str, CostRange]) -> list[str]:
    best, present = comparison.cheapest, comparison.present
    currency = comparison.model.scenario.content.currency
    if best is None:
        return ["No option gives every service and carries the load."]
    if present is None or best is present or best.against_present is None:
        return [f"{best.name} has the lowest yearly cost of those that carry the load."]
    like = best.against_present
    saving = like.payback.yearly_saving
    word = "less" if saving >= 0 else "more"
    text = (
        f"{best.name}: about {money(round(abs(saving), -1), currency)} a year {word} than"
        f" {present.name} for the same services{saving_words(ranges[best.name], currency)}"
    )
    for service, cost in like.added_comfort.items():
        later = like.with_added_comfort
        text += f"; new {service} adds about {money(round(cost, -1), currency)} a year"
        if later is not None and later.years is not None:
            text += f" (payback with it: {later.words})"
    return [text + "."]


def _in_the_cold(comparison: Comparison, show: Display) -> list[str]:
    best = comparison.cheapest
    coverage = best.coverage if best else None
    if coverage is None or coverage.unmet_kwh < 0.5:
        return []
    share = min(coverage.coldest_output_w / coverage.coldest_load_w, 1.0)
    return [
        f"In the coldest hour ({show.temperature(coverage.coldest_c)}) it gives {share:.0%} of the"
        f" load; {coverage.unmet_kwh:,.0f} kWh a year stay unmet. Keep other heat for those hours."
    ]


def _billed(comparison: Comparison) -> list[str]:
    best = comparison.cheapest
    if best is None or best.billed is None:
        return []
    whole = best.billed.whole
    if not whole.energy_kwh.sum() > 0:
        return []
    return [
        f"Under the tariff its kWh cost {float(whole.marginal_price_per_kwh):.3f} each on the bill"
        f" (bill with it less bill without); the whole bill averages"
        f" {float(whole.average_price_per_kwh):.3f} per kWh."
    ]


def _failure(comparison: Comparison) -> list[str]:
    best = comparison.cheapest
    failure = best.failure if best else None
    if best is None or failure is None:
        return []
    currency = comparison.model.scenario.content.currency
    how = "borrowed electric heaters" if failure.borrowed else "its backup alone"
    return [
        f"If its heat pump fails: {calendar.month_name[failure.month]} on {how} costs about"
        f" {money(failure.cost, currency)} instead of {money(failure.normal_cost, currency)}."
    ]
