"""What a comparison has to say about one option, with its numbers."""

from __future__ import annotations

from energymodel.notices import Notice
from energymodel.season.result import COOLING, HEATING
from energymodel.study.outcome import UNMET_LIMIT, Outcome

HEATING_BAND = (1.0, 4.5)
COOLING_BAND = (2.0, 9.0)
"""Seasonal COP seen in the field (our choice, after the field studies named in the README)."""


def option_notices(outcome: Outcome) -> list[Notice]:
    """Collect what the reader should know of one option.

    Parameters
    ----------
    outcome
        The option's year.

    Returns
    -------
    list of Notice
        Capacity, operating range, extrapolation, seasonal COP, payback guards, emissions.
    """
    return [
        *_capacity(outcome),
        *_range(outcome),
        *_season(outcome),
        *(outcome.against_present.payback.notices if outcome.against_present else ()),
    ]


def _capacity(outcome: Outcome) -> list[Notice]:
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
        notices.append(
            Notice(
                topic="capacity",
                text=f"{outcome.name} does not carry the load: {coverage.unmet_kwh:.0f} kWh"
                f" ({coverage.unmet_share:.1%}) stay unmet; covering them by electric resistance"
                f" would cost about {coverage.cover_cost:.0f} a year. It is not ranked first.",
            )
        )
    return notices


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


def _season(outcome: Outcome) -> list[Notice]:
    notices = []
    for service, (low, high) in ((HEATING, HEATING_BAND), (COOLING, COOLING_BAND)):
        cop = outcome.result.cop_season(service)
        pumped = outcome.result.total(f"{service}_pump_heat_kwh") > 0
        if cop is not None and pumped and not low <= cop <= high:
            notices.append(
                Notice(
                    topic="seasonal COP",
                    text=f"{outcome.name}: the {service} season comes out at COP {cop:.2f}, outside"
                    f" the {low:g} to {high:g} seen in the field; check the unit's points.",
                )
            )
    return notices
