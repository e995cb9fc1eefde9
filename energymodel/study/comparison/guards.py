"""Guards against impossible answers: each says what was found, why it cannot be, what to do."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from energymodel.equipment.curves import Function
from energymodel.equipment.limits import CARNOT_REFUSED, kindest_carnot
from energymodel.notices import Notice
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.amounts import amount, figures
from energymodel.study.comparison.input_guards import heating_spend_by_bills, input_guards
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.comparison.slips import (
    EFFICIENCIES,
    PAYBACKS,
    Band,
    likely_slips,
    slip_words,
)

HEATING_BAND: Band = (1.0, 4.5)
COOLING_BAND: Band = (2.0, 9.0)
"""Seasonal COP seen in the field (our choice, after the field studies named in the README)."""
PAYBACK_BAND: Band = (2.0, 25.0)
"""Years of payback that are usual (our choice)."""


def guards(comparison: Comparison) -> tuple[Notice, ...]:
    """Flag answers that cannot be, and inputs that look like a slip of units or decimals.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    tuple of Notice
        Topics "savings", "claim", "payback", "seasonal COP", "units", "bills". A slip is named by
        its factor (3.412, 4, 12, 100, 1000) where undoing it would make the value plausible.
    """
    found = [*_claims(comparison)]
    for outcome in comparison.outcomes:
        found += [*_savings(outcome, comparison), *_payback(outcome, comparison)]
        found += [*_seasons(outcome), *_kept_heater(outcome, comparison)]
    return tuple(dict.fromkeys([*found, *input_guards(comparison)]))


def _currency(comparison: Comparison) -> str:
    return comparison.model.scenario.content.currency


def _claims(comparison: Comparison) -> Iterator[Notice]:
    if all(outcome.planned.table.claim is None for outcome in comparison.outcomes):
        return
    from energymodel.study.comparison.claims import claim_guards  # noqa: PLC0415 - few options have one

    for outcome in comparison.outcomes:
        yield from claim_guards(outcome, comparison, bills_now=heating_spend_by_bills(comparison))


def _savings(outcome: Outcome, comparison: Comparison) -> Iterator[Notice]:
    like, present = outcome.against_present, comparison.present
    if like is None or present is None:
        return
    if not any(note.topic == "savings" for note in like.payback.notices):
        return
    currency = _currency(comparison)
    spend = sum(
        present.service_cost[one] for one in present.service_cost if one in outcome.service_cost
    )
    yield Notice(
        topic="savings",
        text=f"{outcome.name}: a saving of {amount(like.payback.yearly_saving, currency)} a year is"
        f" more than the {amount(spend, currency)} that {present.name} costs now for the same"
        " services. It cannot be; check prices, units and the share displaced.",
    )


def _payback(outcome: Outcome, comparison: Comparison) -> Iterator[Notice]:
    like = outcome.against_present
    quick = like is not None and any(note.topic == "payback" for note in like.payback.notices)
    if like is None or not quick or not outcome.comparable:
        return
    years, extra_cost = like.payback.years or 0.0, like.payback.extra_cost or 0.0
    slips = likely_slips(years, PAYBACK_BAND, PAYBACKS)
    currency = _currency(comparison)
    yield Notice(
        topic="payback",
        text=f"{outcome.name}: a payback of {years * 12.0:.1f} months"
        f" ({amount(extra_cost, currency)} extra,"
        f" {amount(like.payback.yearly_saving, currency)} a year saved) is hardly ever real; check"
        " the installed cost, the unit of the price and the load."
        + slip_words(slips, [f"{slip.meant(years):.1f} years" for slip in slips]),
    )


def _kept_heater(outcome: Outcome, comparison: Comparison) -> Iterator[Notice]:
    """Flag a replacement that is avoided on paper: the heater that must go is still there."""
    present, table = comparison.present, outcome.planned.table
    if present is None or outcome is present or table.replaced_anyway is not None:
        return
    anyway = present.planned.table.replaced_anyway
    if anyway is None or table.heating is None or table.heating != present.planned.table.heating:
        return
    when = f"in year {anyway.year}" if anyway.year else "now"
    yield Notice(
        topic="savings",
        text=f"{outcome.name} keeps the heating of {present.name}, which must be replaced {when}"
        f" for {amount(anyway.cost, _currency(comparison))}; without replaced_anyway of its own"
        " that cost counts as saved. Write it into this option too.",
    )


def _seasons(outcome: Outcome) -> Iterator[Notice]:
    for service, band in ((HEATING, HEATING_BAND), (COOLING, COOLING_BAND)):
        cop = outcome.result.cop_season(service)
        if cop is None or not outcome.result.total(f"{service}_pump_heat_kwh") > 0:
            continue
        if any(used.any() for used in outcome.result.fuel_by_month(service).values()):
            continue  # heat of a fuel in it: the figure is no COP
        notice = season_guard(
            outcome.name, service, cop, band=band, limit=best_cop(outcome, service)
        )
        if notice is not None:
            yield notice


def season_guard(
    name: str, service: str, cop: float, *, band: Band, limit: float = np.inf
) -> Notice | None:
    """Flag a seasonal COP that physics or the field does not know.

    Parameters
    ----------
    name
        Name of the option.
    service
        "heating" or "cooling".
    cop
        Seasonal COP, W/W.
    band
        Lowest and highest seen in the field.
    limit
        Highest that physics allows in the hours of that year.

    Returns
    -------
    Notice or None
        None inside band and limit.

    Examples
    --------
    >>> print(season_guard("Unit", "cooling", 11.0, band=COOLING_BAND).text[:81])
    Unit: the cooling season comes out at COP 11.0, outside the 2 to 9 seen in the fi
    """
    low, high = band
    if low <= cop <= min(high, limit):
        return None
    why = f"outside the {low:g} to {high:g} seen in the field"
    if cop > limit:
        why = f"above the {figures(limit)} that physics allows at the temperatures of that year"
    slips = likely_slips(cop, (low, min(high, limit)), EFFICIENCIES)
    return Notice(
        topic="seasonal COP",
        text=f"{name}: the {service} season comes out at COP {figures(cop)}, {why}; check the"
        f" unit's points and their unit, and its idle power."
        + slip_words(slips, [f"COP {slip.meant(cop):.1f}" for slip in slips]),
    )


def best_cop(outcome: Outcome, service: str) -> float:
    """Highest seasonal COP that the second law allows a heat pump in the hours of the year.

    Parameters
    ----------
    outcome
        One option.
    service
        "heating" or "cooling".

    Returns
    -------
    float
        Heat moved over the least power for it: 0.70 of the ideal COP at the kindest approaches in
        each hour (our choice); infinite where nothing is moved.
    """
    result = outcome.result
    heat = result.columns.get(f"{service}_pump_heat_kwh")
    if heat is None or not heat.any():
        return float(np.inf)
    hours = np.asarray(result.states.hours_in_month).sum(axis=0)
    function = Function.HEATING if service == HEATING else Function.COOLING
    ideal = kindest_carnot(function, result.states.outdoor_c)
    least_kwh = float((hours * heat / (CARNOT_REFUSED * ideal)).sum())
    return float((hours * heat).sum()) / least_kwh
