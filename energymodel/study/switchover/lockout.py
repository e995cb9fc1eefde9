"""The best temperature at which to switch from a heat pump to its backup, on real hours.

A fixed switch temperature is held against the best choice in every single hour, and against the
cost balance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.scenario.heat_pump_kind import HeatPumpRecord
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import HEATING
from energymodel.study.comparison.house_tariffs import house_tariffs
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.switchover.dual_fuel import DualFuel, dual_fuel

NEARLY_BEST = 0.01
"""Switch temperatures within this share of the lowest cost are as good (our choice)."""
_MOST_BILLED = 100
_CHUNK = 200
_UNMET_KWH = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lockout:
    """Yearly heating cost as a function of the switch temperature, and the hourly choice.

    Parameters
    ----------
    option
        Name of the option.
    runs
        "with" or "instead".
    switch_c
        Switch temperatures, degC, rising: at and below each the backup heats alone. The first is
        below the coldest hour with a load (the heat pump always runs), the last the warmest hour
        with a load (it never does).
    yearly_cost
        Money per year for heating, same shape; infinite where more heat stays unmet than need be.
    hourly_cost
        Money per year when each hour takes the cheaper of the two.
    as_set_c
        Switch temperature in the scenario, degC; None: none is set.
    as_set_cost
        Money per year for heating as set.
    pump_hours, backup_hours
        Hours with a load in which the hourly choice runs the heat pump, or the backup alone.
    forced_hours
        Hours with a load in which the tariff cuts the heat pump off.
    by_tariff
        Whether the price changes from hour to hour or block to block.
    """

    option: str
    runs: str
    switch_c: Array
    yearly_cost: Array
    hourly_cost: float
    as_set_c: float | None
    as_set_cost: float
    pump_hours: int
    backup_hours: int
    forced_hours: int
    by_tariff: bool

    @property
    def best(self) -> int:
        """Place of the lowest cost; the coldest such temperature where several tie."""
        lowest = self.yearly_cost.min()
        return int(np.flatnonzero(self.yearly_cost <= lowest * (1.0 + 1e-12))[0])

    @property
    def best_c(self) -> float:
        """Switch temperature with the lowest yearly cost, degC."""
        return float(self.switch_c[self.best])

    @property
    def best_cost(self) -> float:
        """Lowest yearly cost with a fixed switch temperature, money."""
        return float(self.yearly_cost[self.best])

    @property
    def always_pump_cost(self) -> float:
        """Yearly cost if the heat pump always runs, money."""
        return float(self.yearly_cost[0])

    @property
    def backup_alone_cost(self) -> float:
        """Yearly cost if the backup always heats alone, money."""
        return float(self.yearly_cost[-1])

    @property
    def flat_range_c(self) -> tuple[float, float]:
        """Stretch around the best in which the cost stays within 1 % of the lowest, degC."""
        near = self.yearly_cost <= self.best_cost * (1.0 + NEARLY_BEST)
        low = high = self.best
        while low > 0 and near[low - 1]:
            low -= 1
        while high < near.size - 1 and near[high + 1]:
            high += 1
        return float(self.switch_c[low]), float(self.switch_c[high])

    def best_in_words(self, temperature: Callable[[float], str] = "{:.1f} degC".format) -> str:
        """Say where to switch, and how exact that needs to be.

        Parameters
        ----------
        temperature
            Writes an outdoor temperature, degC, as text.

        Returns
        -------
        str
            A phrase, without a final stop.
        """
        low, high = self.flat_range_c
        first, last = float(self.switch_c[0]), float(self.switch_c[-1])
        if self.best == 0:
            text = "never (the heat pump at all temperatures)"
        elif self.best == self.switch_c.size - 1:
            text = "always (the backup at all temperatures)"
        else:
            text = f"at {temperature(self.best_c)}"
        if low == first and high == last:
            return f"{text}; any setting is within 1 %"
        if low == high:
            return text
        if low == first:
            return f"{text}; within 1 % anywhere below {temperature(high)}"
        if high == last:
            return f"{text}; within 1 % anywhere above {temperature(low)}"
        return f"{text}; within 1 % from {temperature(low)} to {temperature(high)}"


def lockouts(comparison: Comparison) -> tuple[Lockout, ...]:
    """Find the best switch temperature of every option with a heat pump and its own backup.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    tuple of Lockout
        Empty where no option has a backup of its own.
    """
    houses = house_tariffs(comparison)
    found = (dual_fuel(comparison, outcome, houses) for outcome in comparison.outcomes)
    return tuple(lockout(dual) for dual in found if dual is not None)


def lockout(dual: DualFuel) -> Lockout:
    """Find the best switch temperature of one option.

    Parameters
    ----------
    dual
        Its two ways of running.

    Returns
    -------
    Lockout
        Every temperature of the year's loaded hours is tried under a flat price; under a tariff
        about a hundred of them, because each takes a year of bills.
    """
    switch_c = _candidates(dual)
    cost = np.concatenate([_costs(dual, part) for part in _chunks(switch_c)])
    better = dual.pump_is_better
    operation_c = _as_set_c(dual.outcome)
    forced = int((dual.forced & dual.loaded).sum())
    as_set = float(dual.outcome.cost_by_month[HEATING].sum())
    if forced or dual.outcome.bills.keys() - {ELECTRICITY}:
        at = np.array([-np.inf if operation_c is None else operation_c])
        as_set = float(dual.yearly_cost(_above(dual, at))[0])
    return Lockout(
        option=dual.outcome.name,
        runs=dual.runs,
        switch_c=switch_c,
        yearly_cost=cost,
        hourly_cost=float(dual.yearly_cost(better[:, np.newaxis])[0]),
        as_set_c=operation_c,
        as_set_cost=as_set,
        pump_hours=int((better & dual.loaded).sum()),
        backup_hours=int((~better & dual.loaded).sum()),
        forced_hours=forced,
        by_tariff=dual.house is not None,
    )


def _as_set_c(outcome: Outcome) -> float | None:
    record = outcome.planned.table.heating
    return record.off if isinstance(record, HeatPumpRecord) else None


def _candidates(dual: DualFuel) -> Array:
    """Below the coldest hour, then temperatures that occur with a load, up to the warmest."""
    there = np.unique(dual.outdoor_c[dual.loaded])
    if dual.house is not None and there.size > _MOST_BILLED:
        there = there[np.unique(np.linspace(0, there.size - 1, _MOST_BILLED).round().astype(int))]
    return np.concatenate([[there[0] - 0.1], there])


def _chunks(switch_c: Array) -> list[Array]:
    return [switch_c[first : first + _CHUNK] for first in range(0, switch_c.size, _CHUNK)]


def _above(dual: DualFuel, switch_c: Array) -> Mask:
    return dual.outdoor_c[:, np.newaxis] > switch_c


def _costs(dual: DualFuel, switch_c: Array) -> Array:
    runs = _above(dual, switch_c)
    least_kwh = float(dual.unmet_kwh(dual.pump_is_better[:, np.newaxis])[0])
    unmet_kwh = dual.unmet_kwh(runs)
    return np.where(unmet_kwh <= least_kwh + _UNMET_KWH, dual.yearly_cost(runs), np.inf)
