"""What the chart of cumulative cash flow shows: lines, ranges and words, before it is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.cash_flow import FlowKind
from energymodel.report.figures.captions import scenario_caption
from energymodel.report.figures.style import COOLING, FUEL, HEAT_PUMP, MINUS, RESISTANCE
from energymodel.report.numbers import money
from energymodel.season.result import HEATING
from energymodel.study.comparison.money import AgainstPresent, OptionMoney, option_money
from energymodel.study.comparison.outcome import Comparison, Outcome


class SavingRange(Protocol):
    """Lowest, likely and highest saving against what is there now, money per year."""

    @property
    def saving_low(self) -> float | None:
        """Lowest."""
        ...

    @property
    def saving_likely(self) -> float | None:
        """Likely."""
        ...

    @property
    def saving_high(self) -> float | None:
        """Highest."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """The cumulative cash flow of one option against what is there now.

    Parameters
    ----------
    name
        Name of the option.
    against
        Its measures.
    colour
        By what heats.
    low, high
        Cumulative cash flow at the lowest and highest saving, shape (N + 1,); None: no range.
    best
        Whether its life-cycle cost is the lowest.
    """

    name: str
    against: AgainstPresent
    colour: str
    low: Array | None
    high: Array | None
    best: bool

    @property
    def years(self) -> Array:
        """Years 0 to N."""
        return np.arange(self.against.gain.size, dtype=np.float64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CashFlowView:
    """What the chart shows.

    Parameters
    ----------
    comparison
        All options.
    courses
        Of the options that carry the load and give the services there now, but the present one.
    """

    comparison: Comparison
    courses: tuple[Course, ...]

    @property
    def currency(self) -> str:
        """Code of the currency."""
        return self.comparison.model.scenario.content.currency

    def amount(self, value: float) -> str:
        """Write an amount.

        Parameters
        ----------
        value
            Money.

        Returns
        -------
        str
            Whole, with the sign of the currency and a true minus.
        """
        return money(value, self.currency).replace("-", MINUS)


def cash_flow_view(
    comparison: Comparison, ranges: Mapping[str, SavingRange] | None = None
) -> CashFlowView:
    """Gather what the chart shows.

    Parameters
    ----------
    comparison
        All options.
    ranges
        Range of the saving by name of the option; None: none.

    Returns
    -------
    CashFlowView
        Without any course where there is nothing to compare.
    """
    options = option_money(comparison)
    able = [one for one in options if one.carries]
    best = min(able, key=lambda one: one.cost.total, default=None)
    pairs = zip(comparison.outcomes, options, strict=True)
    courses = [
        _course(outcome, one, (ranges or {}).get(one.name), best)
        for outcome, one in pairs
        if one.carries and one.against_present is not None
    ]
    return CashFlowView(
        comparison=comparison, courses=tuple(one for one in courses if one is not None)
    )


def _course(
    outcome: Outcome, one: OptionMoney, spread: SavingRange | None, best: OptionMoney | None
) -> Course | None:
    against = one.against_present
    if against is None:
        return None
    low, high = None, None
    if spread is not None and spread.saving_likely is not None:
        low, high = (
            fan(against, (end or 0.0) - spread.saving_likely)
            for end in (spread.saving_low, spread.saving_high)
        )
    return Course(
        name=one.name,
        against=against,
        colour=_colour(outcome),
        low=low,
        high=high,
        best=one is best,
    )


def fan(against: AgainstPresent, extra_saving: float) -> Array:
    """Cumulative cash flow with another saving in the first year.

    Parameters
    ----------
    against
        The option.
    extra_saving
        Saved more than is likely, money per year at today's prices.

    Returns
    -------
    Array
        Years 0 to N, shape (N + 1,); the difference rises as the energy cost there now rises.
    """
    index = np.ones(against.gain.size)
    energy = -against.base.of(FlowKind.ENERGY)
    if against.base_energy > 0:
        index = energy / against.base_energy
    index[0] = 0.0
    return np.asarray(against.cumulative + np.cumsum(extra_saving * index))


def _colour(outcome: Outcome) -> str:
    result = outcome.result
    if result.total("heating_pump_heat_kwh") > 0:
        return HEAT_PUMP
    if result.names(HEATING, "fuel"):
        return FUEL
    return RESISTANCE if HEATING in outcome.cost_by_month else COOLING


def cash_flow_message(view: CashFlowView) -> tuple[str, str]:
    """Say what the chart shows.

    Parameters
    ----------
    view
        At least one course.

    Returns
    -------
    title, subtitle : str
        When the best is paid back and how far ahead it ends; how the lines are to be read.
    """
    best = next((one for one in view.courses if one.best), None)
    course = best or max(view.courses, key=lambda one: float(one.against.cumulative[-1]))
    years = course.against.flow.study.years
    end = view.amount(round(abs(float(course.against.cumulative[-1])), -1))
    if not any(one.against.measures.simple_payback.years is not None for one in view.courses):
        title = f"No option is paid back within {years} years"
    else:
        ahead = "ahead" if course.against.cumulative[-1] >= 0 else "behind"
        paid = bool(course.against.measures.simple_payback.years)
        when = f"likely {_when(course)} and" if paid else f"{_when(course)}, likely"
        title = f"{course.name}: {when} about {end} {ahead} after {years} years"
    present = view.comparison.present
    rate = f"{course.against.flow.study.discount.per_year:.1%}".replace("%", " %")
    parts = [
        f"Gained against {present.name if present else 'what is there now'} on"
        f" {' and '.join(course.against.services)}; dashed: discounted at {rate} a year"
    ]
    if len(view.courses) > 1:
        parts.append("grey: the other options")
    if any(one.low is not None for one in view.courses):
        parts.append("band: range of the saving")
    return title, "; ".join(parts)


def _when(course: Course) -> str:
    found = course.against.measures.simple_payback
    if found.years is None:
        return "not paid back"
    return "cheaper from the start" if not found.years else f"paid back in year {found.in_year}"


def cash_flow_facts(course: Course, view: CashFlowView) -> str:
    """Say when one option is paid back, without and with discounting.

    Parameters
    ----------
    course
        The option.
    view
        For amounts.

    Returns
    -------
    str
        A phrase.
    """
    found = course.against.measures.discounted_payback.years
    years = course.against.flow.study.years
    if course.against.measures.simple_payback.years is None:
        after = "" if found is not None else f", {view.amount(course.against.cumulative[-1])}"
        return f"not within {years} years{after}"
    text = _when(course)
    if found:
        return f"{text}; discounted in {course.against.measures.discounted_payback.in_year}"
    return text if found == 0 else f"{text}; discounted not within {years}"


def cash_flow_caption(view: CashFlowView) -> str:
    """Say under which conditions the lines hold.

    Parameters
    ----------
    view
        At least one course.

    Returns
    -------
    str
        Sentences in small type.
    """
    study = view.courses[0].against.flow.study
    rises = view.comparison.model.scenario.content.money.escalation
    prices = "prices moved as the scenario says" if rises else "prices rise with inflation"
    bare = [one.name for one in view.comparison.outcomes if not one.cost_given]
    left_out = f" Not drawn, for lack of an installed cost: {', '.join(bare)}." if bare else ""
    return (
        f"{scenario_caption(view.comparison)}Every year is the weather year of the comparison;"
        f" {prices}; {study.money.value}. Flows stand at the end of their year.{left_out}"
        " Estimate, not a quotation."
    )
