"""A year of one option: hours, states or bins through the same equipment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.building.load import LoadLine
from energymodel.equipment.flows import Conditions, Flows, Source
from energymodel.errors import InputError
from energymodel.season.option import IdleUnit, Option
from energymodel.season.result import COOLING, HEATING, IDLE, AnnualResult
from energymodel.season.states import Indexing, States, distinct_states, every_hour
from energymodel.weather.year import WeatherYear


def annual(
    option: Option, weather: WeatherYear, *, indexing: Indexing | None = None
) -> AnnualResult:
    """Run a year of an option.

    Parameters
    ----------
    option
        What heats and cools, and the loads.
    weather
        A complete year of hours.
    indexing
        `distinct_states` (exact), `every_hour` (the plain path), `bins_5f` or `bins_1k`
        (classical, approximate), from :mod:`energymodel.season.states`. By default distinct
        states, or every hour for an option with a memory.

    Returns
    -------
    AnnualResult
        Columns at the states; delivered + unmet = load in every one of them.

    Raises
    ------
    InputError
        If an option with a memory is asked for states or bins.

    Examples
    --------
    >>> from energymodel.equipment.resistance import Resistance
    >>> from energymodel.weather.library import shipped_year
    >>> option = Option(
    ...     name="baseboard",
    ...     heating=Resistance(),
    ...     cooling=None,
    ...     heating_load=LoadLine(slope_w_per_k=100.0, balance_c=15.0, indoor_c=20.0, heating=True),
    ...     cooling_load=None,
    ...     heating_indoor_c=20.0,
    ...     cooling_indoor_c=24.0,
    ... )
    >>> result = annual(option, shipped_year("greensboro-nc"))
    >>> round(result.total("heating_electricity_resistance_kwh"))
    3854
    """
    states = _indexing(option, indexing)(option, weather)
    columns: dict[str, Array] = {}
    answers = _answers(option, states)
    for function, answer in answers.items():
        columns.update(_columns(function, answer, states.no_supply.get(function)))
    waiting = _waiting(option, states, answers)
    idle_w = _idle(waiting)
    columns.update({f"idle_electricity_{use}_kwh": w / 1000.0 for use, w in idle_w.items()})
    running = sum((one.flows.running_w for one in answers.values()), np.zeros(len(states)))
    return AnnualResult(
        option_name=option.name,
        states=states,
        columns=columns,
        running_w=sum(idle_w.values(), running),
        idle_serves=option.idle_serves,
        own_meter_kwh=_own_meter_kwh(option, answers, waiting),
    )


def _indexing(option: Option, wanted: Indexing | None) -> Indexing:
    if not option.has_memory:
        return wanted or distinct_states
    if wanted not in (None, every_hour):
        raise InputError(
            f"{option.name} depends on the hour before",
            expected="the plain hourly path",
            remedy="leave the indexing out, or use every_hour",
        )
    return every_hour


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Answer:
    """The load of one function and what its source does about it."""

    load_w: Array
    flows: Flows


def _answers(option: Option, states: States) -> dict[str, _Answer]:
    """Answers of the functions that the option has, heating first."""
    heating = _function(
        option.heating,
        option.heating_load,
        states,
        option.heating_indoor_c,
        no_supply=states.no_supply.get(HEATING),
    )
    cooling = _function(
        option.cooling,
        option.cooling_load,
        states,
        option.cooling_indoor_c,
        off_months=option.months_without_cooling,
        no_supply=states.no_supply.get(COOLING),
    )
    both = {HEATING: heating, COOLING: cooling}
    return {function: answer for function, answer in both.items() if answer is not None}


def _function(
    source: Source | None,
    line: LoadLine | None,
    states: States,
    indoor_c: float,
    *,
    off_months: frozenset[int] = frozenset(),
    no_supply: Mask | None,
) -> _Answer | None:
    if source is None or line is None:
        return None
    load_w = line.load_w(states.outdoor_c)
    if off_months:
        load_w = np.where(states.in_months(off_months), 0.0, load_w)
    conditions = Conditions(
        outdoor_c=states.outdoor_c,
        relative_humidity_pct=states.relative_humidity_pct,
        indoor_c=indoor_c,
    )
    if no_supply is None:
        return _Answer(load_w=load_w, flows=source.run(conditions, load_w))
    from energymodel.equipment.interruptible import run_interrupted  # noqa: PLC0415 - few have one

    return _Answer(load_w=load_w, flows=run_interrupted(source, conditions, load_w, no_supply))


def _columns(function: str, answer: _Answer, no_supply: Mask | None) -> dict[str, Array]:
    flows = answer.flows
    energies = {
        "load": answer.load_w,
        "delivered": flows.delivered_w,
        "unmet": flows.unmet_w,
        "duct_loss": flows.duct_loss_w,
        "pump_heat": flows.pump_heat_w,
        "pump_power": flows.pump_power_w,
        **{f"electricity_{use.replace(' ', '_')}": w for use, w in flows.electricity_w.items()},
        **{f"fuel_{carrier.replace(' ', '_')}": w for carrier, w in flows.fuel_w.items()},
    }
    hours = {
        "loaded": answer.load_w > 0,
        "cycling": flows.cycling,
        "at_full": flows.at_full,
        "outside_range": flows.outside,
        "extrapolated": flows.extrapolated,
    }
    if no_supply is not None:
        hours["no_supply"] = no_supply & (answer.load_w > 0)
    columns = {f"{function}_{name}_kwh": w / 1000.0 for name, w in energies.items()}
    columns.update({f"{function}_{name}_h": mask.astype(float) for name, mask in hours.items()})
    return columns


_Waiting = tuple[IdleUnit, dict[str, Array]]


def _waiting(option: Option, states: States, answers: dict[str, _Answer]) -> list[_Waiting]:
    """Idle power of each unit by use, W."""
    found = []
    nothing = np.zeros(len(states))
    for unit in option.idle:
        functions = ((HEATING, unit.heats), (COOLING, unit.cools))
        served = [answers[name] for name, on in functions if on and name in answers]
        run = sum((one.flows.run_share for one in served), nothing)
        loaded = sum((one.load_w for one in served), nothing) > 0
        drawn = unit.idle.electricity_w(
            states.outdoor_c, run, loaded=loaded, switched_on=states.connected(unit)
        )
        found.append((unit, drawn))
    return found


def _idle(waiting: list[_Waiting]) -> dict[str, Array]:
    total: dict[str, Array] = {}
    for _, drawn in waiting:
        for use, w in drawn.items():
            name = use.replace(" ", "_")
            total[name] = total[name] + w if name in total else 0.0 + w
    return total


def _own_meter_kwh(
    option: Option, answers: dict[str, _Answer], waiting: list[_Waiting]
) -> dict[str, Array]:
    """Electricity that passes the option's own meter, by function and for idle units."""
    own = {function for function, supply in option.supplies.items() if supply.own_meter}
    if not own:
        return {}
    from energymodel.equipment.interruptible import household_uses  # noqa: PLC0415 - few have one

    sources = {HEATING: option.heating, COOLING: option.cooling}
    found: dict[str, Array] = {}
    for function, answer in answers.items():
        source = sources[function]
        if function in own and source is not None:
            kept = household_uses(source)
            uses = [w for use, w in answer.flows.electricity_w.items() if use not in kept]
            found[function] = sum(uses, np.zeros_like(answer.load_w)) / 1000.0
    idle = [w for unit, drawn in waiting if unit.supplied_for in own for w in drawn.values()]
    if idle:
        found[IDLE] = sum(idle, np.zeros_like(idle[0])) / 1000.0
    return found
