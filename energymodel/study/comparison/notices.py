"""What a comparison has to say about one option, with its numbers."""

from __future__ import annotations

from energymodel.notices import Notice
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.amounts import amount
from energymodel.study.comparison.outcome import UNMET_LIMIT, Coverage, Outcome


def option_notices(outcome: Outcome, *, currency: str = "") -> list[Notice]:
    """Collect what the reader should know of one option.

    Parameters
    ----------
    outcome
        The option's year.
    currency
        Code for amounts of money; empty: without.

    Returns
    -------
    list of Notice
        Services, capacity, operating range, extrapolation. What cannot be is flagged by
        :func:`energymodel.study.comparison.guards.guards`.
    """
    return [*_capacity(outcome, currency), *_range(outcome)]


def _capacity(outcome: Outcome, currency: str) -> list[Notice]:
    notices = []
    for service in outcome.missing_services:
        notices.append(
            Notice(
                topic="services",
                text=f"{outcome.name} gives no {service}, which it is compared on; it is not"
                f" ranked first. Add a companion that gives {service} to compare like with like.",
            )
        )
    if outcome.cooling_unmet_share > UNMET_LIMIT:
        notices.append(
            Notice(
                topic="capacity",
                text=f"{outcome.name} does not carry the cooling load:"
                f" {outcome.cooling_unmet_share:.1%} of it stays unmet. It is not ranked first.",
            )
        )
    coverage = outcome.coverage
    if coverage is not None and not coverage.carries:
        cost = amount(coverage.cover_cost, currency)
        notices.append(
            Notice(
                topic="capacity",
                text=f"{outcome.name} does not carry the load:{_at_design(coverage)}"
                f" {coverage.unmet_kwh:,.0f} kWh ({coverage.unmet_share:.1%}) of the year stay"
                f" unmet; covering them by electric resistance would cost about {cost} a year. It"
                " is not ranked first; a larger unit or a backup would carry it.",
            )
        )
    return notices


def _at_design(coverage: Coverage) -> str:
    """Say how much of the load it gives at the design temperature, where that is too little."""
    share = coverage.design_output_w / coverage.design_load_w if coverage.design_load_w else 1.0
    if coverage.design_c is None or share >= 1.0 - 1e-9:
        return ""
    return f" at the design temperature it gives {share:.0%} of it;"


def _range(outcome: Outcome) -> list[Notice]:
    notices = []
    result = outcome.result
    for service in (HEATING, COOLING):
        outside = result.total(f"{service}_outside_range_h")
        beyond = result.total(f"{service}_extrapolated_h")
        if outside:
            notices.append(
                Notice(
                    topic="operating range",
                    text=f"{outcome.name}: {outside:.0f} h with a {service} load lie outside the"
                    " unit's operating range.",
                )
            )
        if beyond > 24:
            notices.append(
                Notice(
                    topic="extrapolation",
                    text=f"{outcome.name}: {beyond:.0f} h of {service} use values extended beyond"
                    " the tested points.",
                )
            )
    return notices
