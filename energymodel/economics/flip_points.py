"""How far a price, a cost, a load or a factor must move before the ranking changes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TypeAlias

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.crossings import Crossing, clear_difference, crossings
from energymodel.errors import InputError

CostCurves: TypeAlias = Callable[[Array], Array]
"""Costs of all options, shape (options, n), at n values of one input; infinite: does not serve."""

_PLACES = 201
_TIE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class VariedInput:
    """An input that is moved while all others stay.

    Parameters
    ----------
    name
        "the electricity price", "the installed cost of the heat pump", ...
    unit
        As it should follow the number: "per kWh"; empty for a factor or plain money.
    today
        Today's value.
    low, high
        Range to look at, today's value inside it.
    """

    name: str
    unit: str
    today: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.high - self.low) and self.low <= self.today <= self.high):
            raise InputError(
                f"{self.name} is {self.today:g}, the range is {self.low:g} to {self.high:g}",
                expected="today's value inside the range",
            )
        if not self.low < self.high:
            raise InputError(f"the range of {self.name} is empty")

    def text(self, value: float) -> str:
        """Write a value of this input.

        Parameters
        ----------
        value
            The value.

        Returns
        -------
        str
            Three figures, or whole units from a thousand up, with the unit.

        Examples
        --------
        >>> VariedInput(name="x", unit="per kWh", today=0.14, low=0, high=1).text(0.2094)
        '0.209 per kWh'
        """
        figure = f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.3g}"
        return f"{figure} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Flip:
    """A value at which two options change places.

    Parameters
    ----------
    value
        Value of the input.
    change
        That value less today's.
    cheaper_now, cheaper_then
        Which of the two costs less on today's side, and which beyond.
    changes_cheapest
        Whether the cheapest of all options changes there.
    """

    value: float
    change: float
    cheaper_now: str
    cheaper_then: str
    changes_cheapest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FlipPoints:
    """Where the ranking of the options changes as one input moves.

    Parameters
    ----------
    varied
        The input and the range that was looked at.
    cheapest_now
        Names of the options that cost least today: one, or several that cost the same.
    flips
        All changes of place, nearest to today's value first.
    """

    varied: VariedInput
    cheapest_now: tuple[str, ...]
    flips: tuple[Flip, ...]

    @property
    def nearest(self) -> Flip | None:
        """The nearest value at which the cheapest option changes; None in the whole range."""
        return next((flip for flip in self.flips if flip.changes_cheapest), None)

    @property
    def relative_change(self) -> float | None:
        """Change to the nearest such value over today's value; None without one, or from 0."""
        if self.nearest is None or self.varied.today == 0:
            return None
        return self.nearest.change / abs(self.varied.today)

    @property
    def words(self) -> str:
        """What it takes to change the answer, as a sentence without a final stop."""
        varied, nearest = self.varied, self.nearest
        now = " and ".join(self.cheapest_now)
        if nearest is None:
            span = f"{varied.text(varied.low)} and {varied.text(varied.high)}"
            stays = "stays cheapest" if len(self.cheapest_now) == 1 else "cost the least, alike,"
            return f"{now} {stays} for {varied.name} anywhere between {span}"
        if nearest.change == 0:
            return f"{varied.name} of {varied.text(varied.today)} is where {now} cost the same"
        return (
            f"{nearest.cheaper_now} stays cheapest until {varied.name} "
            f"{'rises' if nearest.change > 0 else 'falls'} to {varied.text(nearest.value)}"
            f"{self._distance()}; beyond, {nearest.cheaper_then} is cheapest"
        )

    def _distance(self) -> str:
        share = self.relative_change
        if share is None:
            return ""
        side = "above" if share > 0 else "below"
        return f", {abs(share):.0%}".replace("%", " %") + (
            f" {side} today's {self.varied.text(self.varied.today)}"
        )


def flip_points(varied: VariedInput, names: Sequence[str], costs: CostCurves) -> FlipPoints:
    """Find the values of one input at which the ranking of the options changes.

    Parameters
    ----------
    varied
        The input and the range to look at.
    names
        Names of the options, as they should read in a sentence.
    costs
        Yearly or life-cycle costs of all options, shape (options, n), at n values of the input.

    Returns
    -------
    FlipPoints
        For every pair of options; two changes of a pair within a two-hundredth of the range
        escape.

    Raises
    ------
    InputError
        If there are fewer than two options, or the costs have another shape or hold nan.

    Examples
    --------
    >>> price = VariedInput(
    ...     name="the electricity price", unit="per kWh", today=0.14, low=0.05, high=0.50
    ... )
    >>> found = flip_points(
    ...     price,
    ...     ["the heat pump", "the furnace"],
    ...     lambda per_kwh: np.stack([4000 * per_kwh, 600 + 300 * per_kwh]),
    ... )
    >>> print(found.words)
    the heat pump stays cheapest until the electricity price rises to 0.162 per kWh, 16 % above \
today's 0.14 per kWh; beyond, the furnace is cheapest
    """
    if len(names) < 2:
        raise InputError("there is one option only", expected="two or more to rank")
    table = _checked(costs, len(names))
    pairs = combinations(range(len(names)), 2)
    flips = [flip for pair in pairs for flip in _pair_flips(varied, names, table, pair)]
    flips.sort(key=lambda flip: (abs(flip.change), not flip.changes_cheapest))
    today = table(np.array([varied.today]))[:, 0]
    least = [name for name, cost in zip(names, today, strict=True) if _ties(cost, today.min())]
    return FlipPoints(varied=varied, cheapest_now=tuple(least), flips=tuple(flips))


def _checked(costs: CostCurves, options: int) -> CostCurves:
    def table(values: Array) -> Array:
        found = np.asarray(costs(values), dtype=np.float64)
        if found.shape != (options, values.size):
            raise InputError(
                f"the costs have the shape {found.shape}",
                expected=f"one row for each of the {options} options, {values.size} values each",
            )
        if np.isnan(found).any():
            raise InputError("a cost is no number", expected="infinity where an option fails")
        return found

    return table


def _pair_flips(
    varied: VariedInput, names: Sequence[str], table: CostCurves, pair: tuple[int, int]
) -> list[Flip]:
    first, second = pair

    def extra_cost(values: Array) -> Array:
        found = table(values)
        neither = np.isinf(found[first]) & np.isinf(found[second])
        kept = np.where(neither, 0.0, found)
        return clear_difference(kept[first], kept[second])

    grid = np.unique(np.append(np.linspace(varied.low, varied.high, _PLACES), varied.today))
    return [
        _flip(
            varied, (names[first], names[second]), crossing, cheapest=_leads(table, pair, crossing)
        )
        for crossing in crossings(extra_cost, grid)
    ]


def _leads(table: CostCurves, pair: tuple[int, int], crossing: Crossing) -> bool:
    """Whether one of the pair is cheapest just before and just after."""
    sides = table(np.array([crossing.below, crossing.above]))
    least, of_pair = sides.min(axis=0), sides[list(pair)].min(axis=0)
    return all(_ties(one, all_of_them) for one, all_of_them in zip(of_pair, least, strict=True))


def _ties(cost: float, least: float) -> bool:
    return bool(cost == least or cost - least <= _TIE * abs(least))


def _flip(
    varied: VariedInput, names: tuple[str, str], crossing: Crossing, *, cheapest: bool
) -> Flip:
    change = crossing.at - varied.today
    if abs(change) <= 1e-12 * (varied.high - varied.low):
        change = 0.0
    first_below = crossing.rises  # from negative to positive: the first is cheaper below
    first_now = first_below if change >= 0 else not first_below
    now, then = names if first_now else names[::-1]
    return Flip(
        value=crossing.at,
        change=change,
        cheaper_now=now,
        cheaper_then=then,
        changes_cheapest=cheapest,
    )
