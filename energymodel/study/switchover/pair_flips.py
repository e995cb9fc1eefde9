"""How far a price, a cost, the load or a factor must move before two options change places.

Two questions stand beside each other: where both cost the same to run, and where the extra
installed cost comes back in just so many years (simple payback).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from functools import cache

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.season.option import Option
from energymodel.study.comparison.house_tariffs import house_tariffs
from energymodel.study.comparison.linear_cost import (
    PriceAxis,
    energy_cost,
    linear_cost,
    price_axis,
)
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.study.pump_changes import load_scaled, pump_of, with_in_service

PAYBACK_YEARS = 10.0
"""Limit of simple payback (our choice)."""
LOAD_RANGE = (0.25, 4.0)
IN_SERVICE_RANGE = (0.5, 1.2)
_PLACES = 7
_EXACT = 1e-7
_NOTHING = 1e-9


class Moved(Enum):
    """What is moved while all else stays."""

    PRICE = "price"
    TARIFF = "tariff"
    INSTALLED_COST = "installed cost"
    LOAD = "load"
    IN_SERVICE = "in-service factor"


@dataclass(frozen=True, slots=True, kw_only=True)
class FlipValue:
    """Where one input changes the order of two options.

    Parameters
    ----------
    moved
        Kind of input.
    name
        The input, as it should read in a sentence.
    unit
        Of its values; empty for plain money.
    today
        Today's value.
    same_cost
        Value at which both cost the same per year; None: none in the range.
    pays_back
        Value at which the extra installed cost comes back in the limit of years; None: none.
    low, high
        Range that was looked at.
    of_second
        Whether it belongs to the second option alone.
    """

    moved: Moved
    name: str
    unit: str
    today: float
    same_cost: float | None
    pays_back: float | None
    low: float = 0.0
    high: float = math.inf
    of_second: bool = False

    def reachable(self, value: float) -> bool:
        """Whether a value can be: no unit in service is better than as rated.

        Parameters
        ----------
        value
            One of the two values.

        Returns
        -------
        bool
            False for an in-service factor above 1, or above today's.
        """
        return self.moved is not Moved.IN_SERVICE or value <= max(1.0, self.today)

    def change(self, value: float | None) -> float | None:
        """Distance of a value from today's.

        Parameters
        ----------
        value
            One of the two values.

        Returns
        -------
        float or None
            Share of today's value; None without a value, or from 0.
        """
        return None if value is None or self.today == 0 else value / self.today - 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PairFlips:
    """Flip values of two options.

    Parameters
    ----------
    first, second
        Names; the saving is that of the second against the first.
    saving
        Yearly cost of the first less that of the second on like services, money.
    extra_cost
        Installed cost of the second less that of the first, with what is due once for accounts
        that close, money.
    limit_years
        Limit of simple payback.
    values
        One per input.
    cost_given
        Whether the scenario says what the second costs to install.
    """

    first: str
    second: str
    saving: float
    extra_cost: float
    limit_years: float
    values: tuple[FlipValue, ...]
    cost_given: bool = True

    @property
    def payback_years(self) -> float | None:
        """Simple payback of the second's extra cost today, years; None: never, or no extra cost."""
        if not self.cost_given or self.extra_cost <= 0 or self.saving <= 0:
            return None
        return self.extra_cost / self.saving


def pair_flips(
    comparison: Comparison, *, limit_years: float = PAYBACK_YEARS
) -> tuple[PairFlips, ...]:
    """Find the flip values of the present option against each other one, and of the best two.

    Parameters
    ----------
    comparison
        All options.
    limit_years
        Limit of simple payback, years, > 0.

    Returns
    -------
    tuple of PairFlips
        Options that do not carry the load are left out. Of the best two the second is the one that
        costs more to install: its extra cost is what may come back.

    Raises
    ------
    InputError
        If the limit is not above zero.

    Notes
    -----
    Prices and installed cost: exact, since costs are linear in them. Load (heating and cooling
    alike, heat that stays unmet counted as resistance heat) and in-service factor: the year is run
    again, the nearest root is bracketed and found to 1e-7.
    """
    if not (math.isfinite(limit_years) and limit_years > 0):
        raise InputError(
            f"a payback limit of {limit_years:g} years",
            expected="above 0, such as 10",
            remedy="leave --payback-years out for 10 years",
        )
    work = _Work(comparison=comparison, limit_years=limit_years)
    return tuple(work.flips(first, second) for first, second in _pairs(comparison))


def _pairs(comparison: Comparison) -> list[tuple[Outcome, Outcome]]:
    present = comparison.present
    able = [one for one in comparison.outcomes if one.carries and one is not present]
    pairs = [] if present is None else [(present, other) for other in able]
    ranked = sorted((one for one in comparison.outcomes if one.carries), key=_like_cost)
    if len(ranked) > 1:
        best, next_best = ranked[:2]
        if present is None or present not in (best, next_best):
            pair = sorted((best, next_best), key=lambda one: one.first_cost)
            pairs.append((pair[0], pair[1]))
    return pairs


def _like_cost(outcome: Outcome) -> float:
    return outcome.like_cost


class _Work:
    """Costs of the options of one comparison, each run at most once per value."""

    def __init__(self, *, comparison: Comparison, limit_years: float) -> None:
        self.comparison = comparison
        self.limit_years = limit_years
        self.houses = house_tariffs(comparison)
        self.outcomes = {one.name: one for one in comparison.outcomes}
        self.lines = {one.name: linear_cost(comparison, one) for one in comparison.outcomes}
        self.at_load = cache(self._at_load)

    def flips(self, first: Outcome, second: Outcome) -> PairFlips:
        extra = second.first_cost - first.first_cost
        values = self._prices(first, second, extra / self.limit_years)
        values.append(self._installed(first, second))
        values.append(self._load(first, second, extra / self.limit_years))
        values += self._in_service(first, second, extra / self.limit_years)
        return PairFlips(
            first=first.name,
            second=second.name,
            saving=first.like_cost - second.like_cost,
            extra_cost=extra,
            limit_years=self.limit_years,
            values=tuple(values),
            cost_given=second.cost_given,
        )

    def _prices(self, first: Outcome, second: Outcome, needed: float) -> list[FlipValue]:
        lines = self.lines[first.name], self.lines[second.name]
        carriers = dict.fromkeys(name for line in lines for name in line.units)
        saving = first.like_cost - second.like_cost
        found = []
        for carrier in carriers:
            axis = price_axis(self.comparison, carrier)
            slope = lines[0].units.get(carrier, 0.0) - lines[1].units.get(carrier, 0.0)
            found.append(
                FlipValue(
                    moved=Moved.TARIFF if axis.by_tariff else Moved.PRICE,
                    name=axis.name,
                    unit=axis.unit,
                    today=axis.today,
                    same_cost=_price_at(axis, slope, -saving),
                    pays_back=_price_at(axis, slope, needed - saving),
                )
            )
        return found

    def _installed(self, first: Outcome, second: Outcome) -> FlipValue:
        saving = first.like_cost - second.like_cost
        closing = second.first_cost - second.planned.table.installed_cost
        cost = first.first_cost + self.limit_years * saving - closing
        return FlipValue(
            moved=Moved.INSTALLED_COST,
            name=f"the installed cost of {second.name}",
            unit="",
            today=second.planned.table.installed_cost,
            same_cost=None,
            pays_back=cost if cost >= 0 else None,
            of_second=True,
        )

    def _at_load(self, name: str, factor: float) -> float:
        option = load_scaled(self.outcomes[name].planned.option, factor)
        return energy_cost(self.comparison, option, self.houses)

    def _load(self, first: Outcome, second: Outcome, needed: float) -> FlipValue:
        accounts = first.account_cost - second.account_cost

        def saving(factor: float) -> float:
            return self.at_load(first.name, factor) - self.at_load(second.name, factor) + accounts

        places = np.geomspace(*LOAD_RANGE, _PLACES)
        return FlipValue(
            moved=Moved.LOAD,
            name="the load",
            unit="x today's",
            today=1.0,
            same_cost=_nearest(saving, places, 0.0, 1.0),
            pays_back=_nearest(saving, places, needed, 1.0),
            low=LOAD_RANGE[0],
            high=LOAD_RANGE[1],
        )

    def _in_service(self, first: Outcome, second: Outcome, needed: float) -> list[FlipValue]:
        moved = second if pump_of(second.planned.option.heating) is not None else first
        pump = pump_of(moved.planned.option.heating)
        if pump is None:
            return []
        sign = -1.0 if moved is second else 1.0
        rest = (first if moved is second else second).like_cost
        run = cache(lambda factor: self._energy(with_in_service(moved.planned, factor)))
        # what a new run does not contain (charges of accounts) is in the difference to today's cost
        offset = moved.like_cost - run(pump.in_service_factor)

        def saving(factor: float) -> float:
            return sign * (run(factor) + offset - rest)

        places = np.linspace(*IN_SERVICE_RANGE, _PLACES)
        today = pump.in_service_factor
        return [
            FlipValue(
                moved=Moved.IN_SERVICE,
                name=f"the in-service factor of {moved.name}",
                unit="",
                today=today,
                same_cost=_nearest(saving, places, 0.0, today),
                pays_back=_nearest(saving, places, needed, today),
                low=IN_SERVICE_RANGE[0],
                high=IN_SERVICE_RANGE[1],
                of_second=moved is second,
            )
        ]

    def _energy(self, option: Option) -> float:
        return energy_cost(self.comparison, option, self.houses)


def _price_at(axis: PriceAxis, slope: float, missing: float) -> float | None:
    if slope == 0:
        return None
    value = axis.today + missing / slope
    return value if value > _NOTHING * axis.today else None


def _nearest(
    saving: Callable[[float], float], places: Array, needed: float, today: float
) -> float | None:
    """Find the root nearest to today's value among those the places bracket."""
    from scipy import optimize  # noqa: PLC0415 - slow to import and only flips need it

    grid = np.unique(np.append(places, today))
    missing = np.array([saving(float(at)) - needed for at in grid])
    turns = np.flatnonzero(np.sign(missing[1:]) * np.sign(missing[:-1]) < 0)
    roots = [float(at) for at in grid[missing == 0]]
    roots += [
        float(
            optimize.brentq(
                lambda at: saving(float(at)) - needed, grid[k], grid[k + 1], xtol=_EXACT
            )
        )
        for k in turns
    ]
    return min(roots, key=lambda at: abs(math.log(at / today)), default=None)
