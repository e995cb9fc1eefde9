"""What the charts of costs say: parts, totals, messages and notes, before anything is drawn."""

from __future__ import annotations

import calendar
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.report.comparison.range_words import saving_words
from energymodel.report.figures.captions import scenario_caption, weather_caption
from energymodel.report.numbers import money
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.cost_parts import CostPart, cost_parts
from energymodel.study.comparison.cost_range import CostRange, cost_ranges
from energymodel.study.comparison.outcome import Comparison, Outcome

LACKS = {HEATING: "heat", COOLING: "cooling"}
"""What is missing where the load of a service is not carried."""
RANGE_LINE = "Line at the end of a bar: its range."
"""What the line of a bar by year stands for."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CostView:
    """What a chart of costs shows.

    Parameters
    ----------
    comparison
        All options.
    parts
        Of each option, money by month, shape (12,).
    ranges
        Low, likely and high yearly cost by name of the option.
    """

    comparison: Comparison
    parts: tuple[dict[CostPart, Array], ...]
    ranges: Mapping[str, CostRange]

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """The options."""
        return self.comparison.outcomes

    @property
    def currency(self) -> str:
        """Code of the currency."""
        return self.comparison.model.scenario.content.currency

    @property
    def sign(self) -> str:
        """Sign of the currency, else its code."""
        return SIGNS.get(self.currency, self.currency)

    @property
    def kinds(self) -> tuple[CostPart, ...]:
        """Parts that any option has, in the order in which they are stacked."""
        return tuple(part for part in CostPart if any(part in parts for parts in self.parts))

    @property
    def totals(self) -> list[float]:
        """Yearly cost of each option, money."""
        return [sum(float(values.sum()) for values in parts.values()) for parts in self.parts]

    @property
    def ends(self) -> list[tuple[float, float]]:
        """Lowest and highest yearly cost of each option, money."""
        found = [self.ranges[outcome.name] for outcome in self.outcomes]
        return [(one.low, one.high) for one in found]

    def amount(self, value: float) -> str:
        """Format an amount.

        Parameters
        ----------
        value
            Money.

        Returns
        -------
        str
            Whole, with the sign of the currency.
        """
        return money(value, self.currency)


def cost_view(comparison: Comparison) -> CostView:
    """Divide the costs of all options.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    CostView
        In the order of the comparison.
    """
    prices = comparison.model.prices
    return CostView(
        comparison=comparison,
        parts=tuple(cost_parts(outcome, prices) for outcome in comparison.outcomes),
        ranges=cost_ranges(comparison),
    )


def yearly_message(view: CostView) -> tuple[str, str]:
    """Say what the yearly costs come to.

    Parameters
    ----------
    view
        Costs of all options.

    Returns
    -------
    title, subtitle : str
        The answer, and what it includes.
    """
    best, present = view.comparison.cheapest, view.comparison.present
    if best is None:
        return "No option gives every service and carries the load", ""
    like = best.against_present
    if present is None or like is None:
        what = "What is there now" if best is present else best.name
        return f"{what} costs least: {view.amount(best.yearly_cost)} a year", ""
    saving = like.payback.yearly_saving
    word = "less" if saving >= 0 else "more"
    title = f"{best.name}: about {view.amount(round(abs(saving), -1))} a year {word}"
    words = saving_words(view.ranges[best.name], view.currency)
    details = [f"than {present.name} for the same services{words}"]
    details += [
        f"new {service} adds about {view.amount(round(cost, -1))} a year"
        for service, cost in like.added_comfort.items()
    ]
    return title, "; ".join(details)


def monthly_message(view: CostView) -> str:
    """Say what the dearest month costs.

    Parameters
    ----------
    view
        Costs of all options.

    Returns
    -------
    str
        The dearest month of what is there now, or of the dearest option, beside the cheapest.
    """
    by_month = [sum(parts.values(), np.zeros(12)) for parts in view.parts]
    outcomes = list(view.outcomes)
    best, present = view.comparison.cheapest, view.comparison.present
    reference = present or max(outcomes, key=lambda outcome: outcome.yearly_cost)
    values = by_month[outcomes.index(reference)]
    month = int(values.argmax())
    words = "what is there now" if present else "the dearest option"
    text = f"{calendar.month_name[month + 1]} costs {view.amount(values[month])} with {words}"
    if best is None or best is reference:
        return text
    return f"{text}, {view.amount(by_month[outcomes.index(best)][month])} with the least costly"


def note(outcome: Outcome, view: CostView) -> str:
    """Say what a reader must know of an option beside its cost.

    Parameters
    ----------
    outcome
        The option.
    view
        Costs of all options.

    Returns
    -------
    str
        Words after the total; may be empty.
    """
    words = []
    if outcome.present:
        words.append("there now")
    if outcome is view.comparison.cheapest:
        words.append("lowest yearly cost")
    load = view.comparison.model.load
    if load.heating is not None and load.cooling is not None and len(outcome.service_cost) == 1:
        words.append(f"{next(iter(outcome.service_cost))} only")
    if outcome.short_of:
        words.append(f"short of {' and '.join(LACKS[service] for service in outcome.short_of)}")
    return ", ".join(words)


def cost_caption(view: CostView, marks: str = "") -> str:
    """Name prices and weather.

    Parameters
    ----------
    view
        Costs of all options.
    marks
        A sentence on what is drawn, such as :data:`RANGE_LINE`.

    Returns
    -------
    str
        Sentences in small type.
    """
    prices = ", ".join(
        f"{price.carrier} {price.text}" for price in view.comparison.model.prices.values()
    )
    return (
        f"{scenario_caption(view.comparison)}Prices in {view.currency}: {prices}; standing charges"
        f" only where an option opens or closes the account.{marks and ' '}{marks}"
        f" {weather_caption(view.comparison)} Estimate, not a quotation."
    )
