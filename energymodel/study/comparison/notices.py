"""What a comparison has to say about one option, with its numbers."""

from __future__ import annotations

from collections.abc import Sequence

from energymodel.notices import Notice
from energymodel.scenario.assemble import Model
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.amounts import amount, temperature
from energymodel.study.comparison.outcome import UNMET_LIMIT, Coverage, Outcome


def option_notices(outcome: Outcome, *, currency: str = "", units: str = "us") -> list[Notice]:
    """Collect what the reader should know of one option.

    Parameters
    ----------
    outcome
        The option's year.
    currency
        Code for amounts of money; empty: without.
    units
        "us" or "si", for temperatures.

    Returns
    -------
    list of Notice
        Services, capacity, operating range, extrapolation. What cannot be is flagged by
        :func:`energymodel.study.comparison.guards.guards`.
    """
    return [*_capacity(outcome, currency, units), *_range(outcome)]


def _capacity(outcome: Outcome, currency: str, units: str) -> list[Notice]:
    notices = []
    for service in outcome.missing_services:
        notices.append(
            Notice(
                topic="services",
                text=f"{outcome.name} gives no {service}, which it is compared on; it is not"
                f" ranked first. Add a companion that gives {service} to compare like with like.",
            )
        )
    coverage = outcome.coverage
    if coverage is not None and not coverage.carries:
        cost = amount(coverage.cover_cost, currency)
        cut = HEATING in outcome.result.states.no_supply
        at_design = _at_design(coverage, cut=cut)
        larger = "a backup that needs no such supply" if cut else "a larger unit or a backup"
        notices.append(
            Notice(
                topic="capacity",
                text=f"{outcome.name} does not carry the heating load:{at_design}"
                f" {coverage.unmet_kwh:,.0f} kWh ({coverage.unmet_share:.1%}, limit"
                f" {UNMET_LIMIT:.1%}) of the year stay unmet; covering them by electric resistance"
                f" would cost about {cost} a year. It is not ranked first; {larger} would"
                " carry it.",
            )
        )
    if outcome.cooling_unmet_share > UNMET_LIMIT:
        notices.append(Notice(topic="capacity", text=_short_of_cooling(outcome, units)))
    return notices


def _short_of_cooling(outcome: Outcome, units: str) -> str:
    """Say how much, in how many hours and from which outdoor temperature on."""
    result = outcome.result
    short = result.columns["cooling_unmet_kwh"] > 0
    hours = float(result.states.hours_in_month[:, short].sum())
    lowest_c = float(result.states.outdoor_c[short].min())
    above = temperature(lowest_c, units)
    return (
        f"{outcome.name} does not carry the cooling load: {outcome.cooling_unmet_share:.1%} of it"
        f" stays unmet (limit {UNMET_LIMIT:.1%}), in {hours:,.0f} hours at {above} or more. It is"
        " not ranked first."
    )


def _at_design(coverage: Coverage, *, cut: bool) -> str:
    """Say how much of the load it gives at the design temperature, where that is too little."""
    share = coverage.design_output_w / coverage.design_load_w if coverage.design_load_w else 1.0
    if coverage.design_c is None or share >= 1.0 - 1e-9:
        return ""
    when = " while its supply is cut" if cut else ""
    return f" at the design temperature it gives {share:.0%} of it{when};"


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


def house_notices(outcomes: Sequence[Outcome], model: Model) -> list[Notice]:
    """Collect what the scenario leaves out and the answer hangs on.

    Parameters
    ----------
    outcomes
        Options as run.
    model
        What was run.

    Returns
    -------
    list of Notice
        Installed costs and other use of the house that are not given.
    """
    return [*_uncosted(outcomes), *_empty_house(model)]


def _uncosted(outcomes: Sequence[Outcome]) -> list[Notice]:
    """Name the options whose payback cannot be told."""
    names = [one.name for one in outcomes if not one.cost_given]
    if not names or not any(one.present for one in outcomes):
        return []
    return [
        Notice(
            topic="installed cost",
            text=f"no installed cost is given for {', '.join(names)}: no payback can be told."
            " Write installed_cost into the option; 0 where it costs nothing.",
        )
    ]


def _empty_house(model: Model) -> list[Notice]:
    """Say that a tariff sees the option's use alone, where the scenario gives no other."""
    carriers = [
        carrier
        for carrier, price in model.prices.items()
        if price.house is not None and price.other_use_kwh is None
    ]
    if not carriers:
        return []
    return [
        Notice(
            topic="other use",
            text=f"no other use of {' or '.join(carriers)} is given: steps, minimum charges and"
            " demand of the tariff are counted from zero, as in an empty house. Write"
            " other_use_kwh into the price table; savings can change much.",
        )
    ]


def less_comfort_notices(outcomes: Sequence[Outcome], currency: str) -> list[Notice]:
    """Say what of a saving is a lowered set-point.

    Parameters
    ----------
    outcomes
        Options as run.
    currency
        Code for amounts of money.

    Returns
    -------
    list of Notice
        One for each option with a lowered set-point.
    """
    return [
        Notice(
            topic="saving",
            text=f"{one.name}: {amount(one.less_comfort.cost, currency)} a year is saved because"
            " the old system's rooms are kept cooler: less comfort, not efficiency"
            f" ({one.less_comfort.heat_kwh:,.0f} kWh of heat).",
        )
        for one in outcomes
        if one.less_comfort is not None
    ]
