"""Load and output of a heat pump against outdoor temperature, and where the two meet.

What is drawn is the unit as installed: line length, altitude, indoor temperature, frost, cut-outs
and ducts are in it; its backup is not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.building.load import LoadLine
from energymodel.equipment.curves import Function
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.flows import Conditions, Source
from energymodel.equipment.frost import DEFAULT_HUMIDITY_PCT, in_frost_band
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.partial import PartialDisplacement
from energymodel.season.option import Option
from energymodel.study.pump_changes import pump_alone
from energymodel.weather.year import WeatherYear

STEP_K = 0.1
LIMITLESS_W = 1e9
_ROUNDING = 1e-9
_CUTS = 64
_ROUNDS = 7


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CapacityCurve:
    """Load and output against outdoor temperature, for one function of one option.

    Parameters
    ----------
    function
        Heating or cooling.
    outdoor_c
        Temperatures, degC, rising, from the extreme to the balance temperature of the load.
    load_w
        Load of the room, W.
    lowest_w, full_w
        Output of the lowest and the highest speed in the room, W; the mean over time where the
        controls stop the unit for a share of it. Equal for a single-speed unit.
    delivered_w
        What the unit gives of the load, W.
    extrapolated
        Where the output lies outside the tested points.
    balance_c
        Temperature at which the load is zero, degC.
    capacity_balances_c
        Temperatures at which the unit begins or ceases to carry the load alone, the mildest
        first, degC; empty if it always or never does.
    humidity_pct
        Outdoor humidity at which frost is drawn; None where frost plays no part.
    short_c
        Outdoor temperature of each hour of the year in which the load exceeds what the unit
        gives, degC, with the humidity of that hour.
    """

    function: Function
    outdoor_c: Array
    load_w: Array
    lowest_w: Array
    full_w: Array
    delivered_w: Array
    extrapolated: Mask
    balance_c: float
    capacity_balances_c: tuple[float, ...]
    humidity_pct: float | None
    short_c: Array

    @property
    def short(self) -> Mask:
        """Where the load exceeds what the unit gives."""
        return _short(self.load_w, self.delivered_w)

    @property
    def capacity_balance_c(self) -> float | None:
        """The mildest temperature at which full output equals the load; None: there is none."""
        return self.capacity_balances_c[0] if self.capacity_balances_c else None


def capacity_curve(
    option: Option, weather: WeatherYear, function: Function, *, also_c: Sequence[float] = ()
) -> CapacityCurve | None:
    """Evaluate load and output of an option against outdoor temperature.

    Parameters
    ----------
    option
        What heats and cools, and the loads.
    weather
        The year; its extremes bound the curve.
    function
        Heating or cooling.
    also_c
        Temperatures that the curve reaches too, such as the design temperature, degC.

    Returns
    -------
    CapacityCurve or None
        None if no heat pump or air conditioner serves the function, or no hour has a load.
    """
    heats = function is Function.HEATING
    unit = pump_alone(option.heating if heats else option.cooling)
    line = _asked(option) if heats else option.cooling_load
    reach_c = [float(weather.outdoor_c.min()), float(weather.outdoor_c.max()), *also_c]
    if unit is None or line is None or not line.load_w(np.array(reach_c)).any():
        return None
    indoor_c = option.heating_indoor_c if heats else option.cooling_indoor_c
    outdoor_c = _temperatures(line, reach_c)
    humidity = _typical_humidity(weather)
    at = _conditions(outdoor_c, humidity, indoor_c)
    load_w = line.load_w(outdoor_c)
    full = unit.run(at, np.full_like(outdoor_c, LIMITLESS_W))
    return CapacityCurve(
        function=function,
        outdoor_c=outdoor_c,
        load_w=load_w,
        lowest_w=_lowest_w(unit, at),
        full_w=full.delivered_w,
        delivered_w=unit.run(at, load_w).delivered_w,
        extrapolated=full.extrapolated,
        balance_c=line.balance_c,
        capacity_balances_c=_balances(unit, line, at),
        humidity_pct=humidity if unit.uses_humidity else None,
        short_c=_short_hours(unit, option, weather, line),
    )


def _asked(option: Option) -> LoadLine | None:
    """Load that the unit is asked for: in a zone, its share of the house."""
    source, line = option.heating, option.heating_load
    if not isinstance(source, PartialDisplacement) or line is None:
        return line
    return replace(line, slope_w_per_k=line.slope_w_per_k * source.reached_share)


def _temperatures(line: LoadLine, reach_c: Sequence[float]) -> Array:
    ends = (min(*reach_c, line.balance_c), line.balance_c)
    if not line.heating:
        ends = (line.balance_c, max(*reach_c, line.balance_c))
    steps = max(int(np.ceil((ends[1] - ends[0]) / STEP_K)), 1)
    return np.linspace(*ends, steps + 1)


def _typical_humidity(weather: WeatherYear) -> float:
    """Mean over the hours that are cold enough for frost."""
    humidity = weather.relative_humidity_pct[in_frost_band(weather.outdoor_c)]
    known = humidity[~np.isnan(humidity)]
    return float(known.mean()) if known.size else DEFAULT_HUMIDITY_PCT


def _conditions(outdoor_c: Array, humidity_pct: float, indoor_c: float) -> Conditions:
    return Conditions(
        outdoor_c=outdoor_c,
        relative_humidity_pct=np.full_like(outdoor_c, humidity_pct),
        indoor_c=indoor_c,
    )


def _lowest_w(unit: Source, at: Conditions) -> Array:
    if isinstance(unit, Ducted):
        inside_w = _lowest_w(unit.source, at)
        sign = 1.0 if unit.function is Function.HEATING else -1.0
        on = _running_share(unit.source, at) * (inside_w > 0)
        into_room_w: Array = unit.efficiency * (inside_w + sign * unit.extra_fan_w * on)
        return np.maximum(into_room_w, 0.0)
    if isinstance(unit, HeatPump):
        return unit.lowest_output_w(at)
    return np.zeros_like(at.outdoor_c)


def _running_share(unit: Source, at: Conditions) -> Array:
    return unit.run(at, np.full_like(at.outdoor_c, LIMITLESS_W)).run_share


def _short(load_w: Array, delivered_w: Array) -> Mask:
    return delivered_w < load_w * (1.0 - _ROUNDING)


def _balances(unit: Source, line: LoadLine, at: Conditions) -> tuple[float, ...]:
    """Narrow down the steps in which the answer to "does it carry the load?" changes.

    A question instead of a root: the output may jump past the load where a control stops it.
    """
    outdoor_c = at.outdoor_c[line.load_w(at.outdoor_c) > 0]
    answer = _carries(unit, line, at, outdoor_c)
    changes = np.flatnonzero(answer[1:] != answer[:-1])
    low, high = outdoor_c[changes], outdoor_c[changes + 1]
    share = np.linspace(0.0, 1.0, _CUTS + 1)
    for _ in range(_ROUNDS if changes.size else 0):
        cuts = low[:, np.newaxis] + (high - low)[:, np.newaxis] * share
        inside = _carries(unit, line, at, cuts.ravel()).reshape(cuts.shape)
        last_as_low = (inside == answer[changes][:, np.newaxis])[:, :-1].sum(axis=1) - 1
        rows = np.arange(changes.size)
        low, high = cuts[rows, last_as_low], cuts[rows, last_as_low + 1]
    found = [float(value) for value in 0.5 * (low + high)]
    return tuple(sorted(found, reverse=line.heating))


def _carries(unit: Source, line: LoadLine, at: Conditions, outdoor_c: Array) -> Mask:
    there = replace(
        at,
        outdoor_c=outdoor_c,
        relative_humidity_pct=np.full_like(outdoor_c, at.relative_humidity_pct[0]),
    )
    load_w = line.load_w(outdoor_c)
    return ~_short(load_w, unit.run(there, load_w).delivered_w)


def _short_hours(unit: Source, option: Option, weather: WeatherYear, line: LoadLine) -> Array:
    humidity = weather.relative_humidity_pct
    hours = Conditions(
        outdoor_c=weather.outdoor_c,
        relative_humidity_pct=np.where(np.isnan(humidity), DEFAULT_HUMIDITY_PCT, humidity),
        indoor_c=option.heating_indoor_c if line.heating else option.cooling_indoor_c,
    )
    load_w = line.load_w(weather.outdoor_c)
    if not line.heating and option.months_without_cooling:
        closed = np.isin(weather.month, sorted(option.months_without_cooling))
        load_w = np.where(closed, 0.0, load_w)
    delivered_w = unit.run(hours, load_w).delivered_w
    return weather.outdoor_c[_short(load_w, delivered_w)]
