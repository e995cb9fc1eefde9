"""The weather years of a sweep, each read once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from energymodel.errors import EnergyModelError
from energymodel.scenario.changes import changed
from energymodel.scenario.field_path import read_path
from energymodel.scenario.place import Place, place_weather
from energymodel.study.sweep.groups import combined
from energymodel.study.sweep.plan import SweepPlan
from energymodel.weather.year import WeatherYear

MOST_PLACES = 200
"""Years kept in memory, a third of a MB each; with more places every variant reads its own."""


def with_weather(plan: SweepPlan) -> SweepPlan:
    """Read the weather of every place in a sweep, so that no variant has to.

    Parameters
    ----------
    plan
        The sweep.

    Returns
    -------
    SweepPlan
        With its years; a place that cannot be read is left to its variants, which say why.
    """
    axes = [axis for axis in plan.axes if any(read_path(p)[0] == "place" for p in axis.paths)]
    first, _ = combined(axes, np.arange(plan.count, dtype=np.intp))
    if first.size > MOST_PLACES:
        return plan
    years: dict[Place, WeatherYear] = {}
    for variant in first.tolist():
        try:
            place = changed(plan.base, plan.changes(variant, axes)).content.place
            if place not in years:
                years[place] = place_weather(place, plan.base.path.parent)
        except EnergyModelError:
            continue
    return replace(plan, weather=years)
