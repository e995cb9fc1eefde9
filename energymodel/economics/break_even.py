"""At what outdoor temperature two sources of heat cost the same: the cost balance.

The cost of heat is given as a curve over outdoor temperature. It should be taken at the load of
each temperature, with frost, in-service factor and fan; its `basis` says what is counted.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.cost_of_heat import FuelHeater
from energymodel.economics.crossings import Curve, clear_difference, crossings
from energymodel.errors import InputError

_STEP_K = 0.25


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatSource:
    """A source of heat and what its heat costs over outdoor temperature.

    Parameters
    ----------
    name
        As it should read in a sentence: "the heat pump", "the furnace".
    cost_per_kwh_heat
        Money per kWh of heat to the room at an array of outdoor temperatures, degC; infinite
        where the source does not run.
    basis
        What the cost counts, in words; empty: nothing to say.
    """

    name: str
    cost_per_kwh_heat: Curve
    basis: str = ""


def heat_pump_source(name: str, electricity_per_kwh: float, cop: Curve) -> HeatSource:
    """Source whose heat costs the price of electricity over its COP.

    Parameters
    ----------
    name
        As it should read in a sentence.
    electricity_per_kwh
        Money per kWh.
    cop
        System COP at an array of outdoor temperatures, degC, at the load of each; 0 where the
        unit does not run.

    Returns
    -------
    HeatSource
        Infinite cost where the COP is 0; a negative COP is refused when the curve is read.
    """

    def cost(outdoor_c: Array) -> Array:
        at_load = np.broadcast_to(np.asarray(cop(outdoor_c), np.float64), outdoor_c.shape)
        if (at_load < 0).any():
            raise InputError(
                f"the COP of {name} is negative at {outdoor_c[at_load < 0][0]:g} degC",
                expected="above 0, or 0 where it does not run",
            )
        with np.errstate(divide="ignore"):
            return np.where(at_load == 0, np.inf, electricity_per_kwh / at_load)

    return HeatSource(name=name, cost_per_kwh_heat=cost)


def fuel_source(name: str, heater: FuelHeater, electricity_per_kwh: float) -> HeatSource:
    """Source whose heat costs the same at every temperature, its fan counted and credited.

    Parameters
    ----------
    name
        As it should read in a sentence.
    heater
        Furnace or boiler with its fan or pump.
    electricity_per_kwh
        Money per kWh, for the fan.

    Returns
    -------
    HeatSource
        In the default convention of :class:`~energymodel.economics.cost_of_heat.BreakEven`.
    """
    level = heater.heat_with_fan_credited(electricity_per_kwh)
    return HeatSource(
        name=name,
        cost_per_kwh_heat=lambda outdoor_c: np.full(outdoor_c.shape, level),
        basis="furnace fan counted, its heat credited" if heater.fan_kwh_per_kwh_heat else "",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CostBalance:
    """Which of two sources heats for less, from the coldest temperature to the warmest.

    Parameters
    ----------
    first, second
        Names of the sources.
    coldest_c, warmest_c
        Range that was looked at, degC.
    balances_c
        Outdoor temperatures at which the cheaper source changes, degC, rising.
    steps
        For each: whether the cost jumps there, as where a unit stops, instead of meeting.
    cheaper
        Name of the cheaper source in each stretch from cold to warm, one more than balances; ""
        where both cost the same throughout.
    basis
        What the costs count, in words.
    """

    first: str
    second: str
    coldest_c: float
    warmest_c: float
    balances_c: tuple[float, ...]
    steps: tuple[bool, ...]
    cheaper: tuple[str, ...]
    basis: str

    @property
    def always_first(self) -> bool:
        """Whether the first source is cheaper over the whole range."""
        return self.cheaper == (self.first,)

    @property
    def never_first(self) -> bool:
        """Whether the first source is nowhere cheaper."""
        return self.first not in self.cheaper

    @property
    def single_c(self) -> float | None:
        """The temperature where there is exactly one, degC; None otherwise."""
        return self.balances_c[0] if len(self.balances_c) == 1 else None

    def in_words(self, temperature: Callable[[float], str] = "{:.1f} degC".format) -> str:
        """Say which source to run where.

        Parameters
        ----------
        temperature
            Writes an outdoor temperature, degC, as text.

        Returns
        -------
        str
            One sentence, without a final stop.
        """
        span = f"between {temperature(self.coldest_c)} and {temperature(self.warmest_c)}"
        note = f" ({self.basis})" if self.basis else ""
        if not self.balances_c:
            return self._one_answer(span) + note
        places = [
            temperature(at) + (" (a step in the cost)" if step else "")
            for at, step in zip(self.balances_c, self.steps, strict=True)
        ]
        stretches = [f"below {places[0]} {self.cheaper[0]} is cheaper"]
        stretches += [
            f"from {places[i]} to {places[i + 1]} {self.cheaper[i + 1]}"
            for i in range(len(places) - 1)
        ]
        stretches.append(f"above {places[-1]} {self.cheaper[-1]}")
        return ", ".join(stretches) + note

    def _one_answer(self, span: str) -> str:
        if self.always_first:
            return f"{self.first} is always cheaper than {self.second} {span}"
        if self.cheaper == (self.second,):
            return f"{self.first} is never cheaper than {self.second} {span}"
        return f"{self.first} and {self.second} cost the same {span}"


def cost_balance(
    first: HeatSource, second: HeatSource, *, coldest_c: float, warmest_c: float
) -> CostBalance:
    """Find the outdoor temperatures at which two sources cost the same.

    Parameters
    ----------
    first
        The source in question, a heat pump usually.
    second
        What it is held against.
    coldest_c, warmest_c
        Range to look at, degC: from below the design temperature to the balance temperature.

    Returns
    -------
    CostBalance
        None, one or several temperatures; two that lie within a quarter of a kelvin escape.

    Raises
    ------
    InputError
        If the range is empty, a cost is negative or nan, or neither source runs somewhere.

    Examples
    --------
    >>> pump = heat_pump_source("the heat pump", 0.15, lambda outdoor_c: 3.0 + 0.06 * outdoor_c)
    >>> gas = FuelHeater(fuel_per_kwh=0.05, seasonal_efficiency=0.95)
    >>> furnace = fuel_source("the furnace", gas, 0.15)
    >>> cost_balance(pump, furnace, coldest_c=-20.0, warmest_c=15.0).in_words()
    'below -2.5 degC the furnace is cheaper, above -2.5 degC the heat pump'
    """
    if not (np.isfinite([coldest_c, warmest_c]).all() and coldest_c < warmest_c):
        raise InputError(
            f"the range of outdoor temperature is {coldest_c:g} to {warmest_c:g} degC",
            expected="from the colder to the warmer",
        )

    def extra_cost(outdoor_c: Array) -> Array:
        return _difference(first, second, outdoor_c)

    places = int(np.ceil((warmest_c - coldest_c) / _STEP_K)) + 1
    grid = np.linspace(coldest_c, warmest_c, max(places, 2))
    found = crossings(extra_cost, grid)
    return CostBalance(
        first=first.name,
        second=second.name,
        coldest_c=coldest_c,
        warmest_c=warmest_c,
        balances_c=tuple(one.at for one in found),
        steps=tuple(one.is_step for one in found),
        cheaper=_cheaper(first.name, second.name, extra_cost(grid), [one.rises for one in found]),
        basis="; ".join(dict.fromkeys(one.basis for one in (first, second) if one.basis)),
    )


def _difference(first: HeatSource, second: HeatSource, outdoor_c: Array) -> Array:
    costs = _costs(first, outdoor_c), _costs(second, outdoor_c)
    nowhere = np.isinf(costs[0]) & np.isinf(costs[1])
    if nowhere.any():
        raise InputError(
            f"neither {first.name} nor {second.name} runs at {outdoor_c[nowhere][0]:g} degC",
            remedy="narrow the range, or give the source that stops its backup",
        )
    return clear_difference(*costs)


def _costs(source: HeatSource, outdoor_c: Array) -> Array:
    costs = np.broadcast_to(
        np.asarray(source.cost_per_kwh_heat(outdoor_c), dtype=np.float64), outdoor_c.shape
    )
    wrong = ~(costs >= 0)
    if wrong.any():
        raise InputError(
            f"the heat of {source.name} costs {costs[wrong][0]:g} per kWh at "
            f"{outdoor_c[wrong][0]:g} degC",
            expected="0 or more; infinity where it does not run",
        )
    return costs


def _cheaper(first: str, second: str, extra_cost: Array, rises: list[bool]) -> tuple[str, ...]:
    """Name the cheaper one in each stretch; `extra_cost` of the first over the range."""
    if not rises:
        signed = extra_cost[extra_cost != 0]
        if signed.size == 0:
            return ("",)
        return (second if signed[0] > 0 else first,)
    return (first if rises[0] else second, *(second if up else first for up in rises))
