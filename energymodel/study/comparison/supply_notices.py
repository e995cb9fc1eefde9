"""What happens to an option in the hours in which a tariff cuts its supply."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from energymodel.notices import Notice
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import HEATING, AnnualResult
from energymodel.study.comparison.outcome import Outcome

_NOTHING_KWH = 1e-6


def supply_notices(outcome: Outcome, model: Model) -> list[Notice]:
    """Say how much load falls into hours without supply, and what carries it.

    Parameters
    ----------
    outcome
        The option's year.
    model
        For the names of the tariffs.

    Returns
    -------
    list of Notice
        One per function whose supply is cut in hours with a load.
    """
    cut = [
        function
        for function in outcome.result.states.no_supply
        if outcome.result.total(f"{function}_no_supply_h")
    ]
    texts = [_words(outcome, model, function) for function in cut]
    if not cut and HEATING in outcome.result.states.no_supply:
        rate = _rate(outcome, model, HEATING)
        texts = [f"{rate} cuts its electricity at times, but in no hour of this year with a load."]
    return [Notice(topic="interruption", text=f"{outcome.name}: {text}") for text in texts]


def _words(outcome: Outcome, model: Model, function: str) -> str:
    result, rate = outcome.result, _rate(outcome, model, function)
    hours = result.total(f"{function}_no_supply_h")
    load_kwh = without_supply_kwh(result, function, "load")
    unmet_kwh = without_supply_kwh(result, function, "unmet")
    heat = "heat" if function == HEATING else "cold"
    text = (
        f"{rate} gives its {function} no electricity in {hours:,.0f} h, with a load of"
        f" {load_kwh:,.0f} kWh of {heat};"
    )
    if load_kwh - unmet_kwh > _NOTHING_KWH:
        text += f" {_carriers(result, function)} carries {load_kwh - unmet_kwh:,.0f} kWh of it."
    else:
        text += " nothing else of the option carries it."
    if unmet_kwh > _NOTHING_KWH:
        text += f" {unmet_kwh:,.0f} kWh stay unmet."
    return f"{text} The utility decides the real hours; these follow the printed rules."


def taken_as_supplied(options: Iterable[PlannedOption], left_out: str) -> list[Notice]:
    """Say that a study leaves out what a tariff does to the supply.

    Parameters
    ----------
    options
        Options of the scenario that the study is about.
    left_out
        What the study takes instead, as a clause.

    Returns
    -------
    list of Notice
        Empty where no supply is cut and no option has a meter of its own.
    """
    supplies = [supply for one in options for supply in one.option.supplies.values()]
    told = []
    if any(supply.interruption is not None for supply in supplies):
        told.append("the tariff cuts the supply in some hours")
    if any(supply.own_meter for supply in supplies):
        told.append("an option has a meter of its own")
    if not told:
        return []
    return [
        Notice(
            topic="interruption",
            text=f"{' and '.join(told)}: {left_out}. energymodel compare counts both",
        )
    ]


def without_supply_kwh(result: AnnualResult, function: str, name: str) -> float:
    """Energy of a column in the hours without supply.

    Parameters
    ----------
    result
        A year.
    function
        "heating" or "cooling".
    name
        Such as "load" or "unmet".

    Returns
    -------
    float
        kWh; zero where the supply is never cut.
    """
    cut = result.states.no_supply.get(function)
    values = result.columns.get(f"{function}_{name}_kwh")
    if cut is None or values is None:
        return 0.0
    return float(result.states.hours_in_month.sum(axis=0) @ np.where(cut, values, 0.0))


def _rate(outcome: Outcome, model: Model, function: str) -> str:
    house = model.prices[ELECTRICITY].house
    if house is None:
        return "the tariff"
    meter = house.meters.get(outcome.name)
    tariff = meter.tariff if meter is not None and function in meter.covers else house.tariff
    return f'the tariff "{tariff.name}"'


def _carriers(result: AnnualResult, function: str) -> str:
    fuels = [name.replace("_", " ") for name in result.fuel_by_month(function)]
    return " and ".join(fuels) or "the option"
