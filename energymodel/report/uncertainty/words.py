"""What an uncertainty run says in plain words: the answer first, then chances, then reasons."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from energymodel.report.comparison.range_words import rounded_ends
from energymodel.report.numbers import money
from energymodel.study.uncertainty.inputs import Kind
from energymodel.study.uncertainty.result import OptionSpread, UncertaintyResult
from energymodel.study.uncertainty.uncertainty import weather_words

_TOLD = 3
_PART = 0.05


def chance(share: float) -> str:
    """Write a chance as a whole per cent; never certainty from a finite number of draws.

    Parameters
    ----------
    share
        0..1.

    Returns
    -------
    str
        Such as "35%".

    Examples
    --------
    >>> chance(0.352), chance(0.0), chance(0.004), chance(0.998), chance(1.0)
    ('35%', '0%', '<1%', '>99%', '100%')
    """
    if 0.0 < share < 0.01:
        return "<1%"
    if 0.99 < share < 1.0:
        return ">99%"
    return f"{share:.0%}"


def chance_words(share: float) -> str:
    """Write a chance as it stands in a sentence.

    Parameters
    ----------
    share
        0..1.

    Returns
    -------
    str
        Such as "about 35 %".

    Examples
    --------
    >>> chance_words(0.352), chance_words(0.0), chance_words(0.004), chance_words(0.998)
    ('about 35 %', '0 %', 'under 1 %', 'over 99 %')
    """
    if share in (0.0, 1.0):
        return f"{100.0 * share:.0f} %"
    if share < 0.01:
        return "under 1 %"
    return "over 99 %" if share > 0.99 else f"about {100.0 * share:.0f} %"


def best_option(result: UncertaintyResult) -> OptionSpread | None:
    """Choose the option that the words are about.

    Parameters
    ----------
    result
        Of all options.

    Returns
    -------
    OptionSpread or None
        The likeliest to have the lowest cost; where that is what is there now, the next one that
        carries the load. None: no option carries the load.
    """
    able = able_names(result)
    ranked = sorted(
        (one for one in result.options if one.name in able),
        key=lambda one: (-one.lowest_share, one.cost.p50),
    )
    return next((one for one in ranked if not one.present), next(iter(ranked), None))


def able_names(result: UncertaintyResult) -> frozenset[str]:
    """Name the options that give every service and carry the load in the likely case.

    Parameters
    ----------
    result
        Of all options.

    Returns
    -------
    frozenset of str
        Only they are named in the answer.
    """
    return frozenset(one.name for one in result.comparison.outcomes if one.carries)


def answer_lines(result: UncertaintyResult, written: Sequence[Path] = ()) -> list[str]:
    """Return the lines under the tables, at most six.

    Parameters
    ----------
    result
        Of all options.
    written
        Files that were written.

    Returns
    -------
    list of str
        Spread, chances, reasons, weather, what the figures are.
    """
    best = best_option(result)
    lines = ["No option gives every service and carries the load."]
    if best is not None:
        lines = [_spread(best, result), *_payback(best, result), _lowest(result), *_reasons(best)]
    lines.append(_weather(best, result))
    files = f"Written: {', '.join(path.name for path in written)}. " if written else ""
    lines.append(
        f"{files}P10, P90: one draw in ten lies below, above. Estimate, not a quotation or"
        " guarantee; --details lists what was assumed."
    )
    return lines


def _between(low: float, high: float, currency: str) -> str:
    ends = rounded_ends(low, high)
    return f"{money(ends[0], currency)} and {money(ends[1], currency)}"


def _spread(best: OptionSpread, result: UncertaintyResult) -> str:
    currency = result.comparison.model.scenario.content.currency
    text = (
        f"In 8 of 10 draws {best.name} costs between"
        f" {_between(best.cost.p10, best.cost.p90, currency)} a year"
    )
    present = result.comparison.present
    if best.saving is None or present is None:
        return text + "."
    low, high = best.saving.p10, best.saving.p90
    if low >= 0:
        return f"{text} and saves between {_between(low, high, currency)} against {present.name}."
    if high <= 0:
        more = _between(-high, -low, currency)
        return f"{text}, between {more} more than {present.name}."
    ends = [money(abs(end), currency) for end in rounded_ends(low, high)]
    return f"{text}: from {ends[0]} more to {ends[1]} less than {present.name}."


def _payback(best: OptionSpread, result: UncertaintyResult) -> list[str]:
    payback = best.payback
    if payback is None:
        return []
    text = (
        f"Chance that it is paid back within {result.within_years:g} years:"
        f" {chance_words(payback.within_share)}"
    )
    if payback.never_share > 0:
        text += f"; in {chance_words(payback.never_share)} of the draws it never is"
    return [text + " (simple payback, services there now)."]


def _lowest(result: UncertaintyResult) -> str:
    ranked = sorted(result.options, key=lambda one: -one.lowest_share)
    told = [one for one in ranked if one.lowest_share > 0][:_TOLD]
    if not told:
        return "In no draw does an option carry the load."
    chances = ", ".join(f"{one.name} {chance_words(one.lowest_share)}" for one in told)
    return f"Chance of the lowest yearly cost of those that carry the load: {chances}."


def _reasons(best: OptionSpread) -> list[str]:
    told = [one for one in best.influences if one.total >= _PART][:_TOLD]
    if not told:
        return []
    parts = ", ".join(
        f"{one.uncertain.name} ({chance_words(min(one.total, 1.0))} of it)" for one in told
    )
    return [f"The spread of its {best.output} comes mostly from: {parts}."]


def _weather(best: OptionSpread | None, result: UncertaintyResult) -> str:
    text = weather_words(result.inputs)
    real = any(one.kind is Kind.WINTER for one in result.inputs)
    if best is None or not real or not best.winter_costs.size:
        return text
    currency = result.comparison.model.scenario.content.currency
    costs, labels = best.winter_costs, result.winter_labels
    dearer = int(np.sum(costs > best.likely_cost))
    return (
        f"{text} From {money(costs.min(), currency)} ({labels[int(costs.argmin())]}) to"
        f" {money(costs.max(), currency)} ({labels[int(costs.argmax())]}), all else as likely;"
        f" {dearer} of {costs.size} cost more than the {money(best.likely_cost, currency)} of the"
        f" {_year(result)}."
    )


def _year(result: UncertaintyResult) -> str:
    weather = result.comparison.model.weather
    return "typical year" if weather.kind == "typical" else f"year {weather.year_label}"
