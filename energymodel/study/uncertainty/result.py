"""Records of an uncertainty run: spread, chances and what makes the spread, option by option."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.notices import Notice, UsedDefault
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.uncertainty.inputs import UncertainInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantiles:
    """Tenth, fiftieth and ninetieth percentile of the draws.

    Parameters
    ----------
    p10, p50, p90
        One draw in ten lies at or below the first, nine in ten at or below the last. Infinite for
        a payback that never comes.
    """

    p10: float
    p50: float
    p90: float

    @classmethod
    def of(cls, values: Array) -> Quantiles:
        """Read the percentiles of some draws.

        Parameters
        ----------
        values
            Shape (n,); infinite values are values.

        Returns
        -------
        Quantiles
            Values that were drawn: nothing is interpolated, so that infinity stays what it is.
        """
        found = np.quantile(values, (0.1, 0.5, 0.9), method="inverted_cdf")
        return cls(p10=float(found[0]), p50=float(found[1]), p90=float(found[2]))


@dataclass(frozen=True, slots=True, kw_only=True)
class PaybackSpread:
    """Simple payback over the draws.

    Parameters
    ----------
    years
        Percentiles; infinite: never.
    never_share
        Share of the draws without a payback.
    within_share
        Share that is paid back within the years asked for.
    """

    years: Quantiles
    never_share: float
    within_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Influence:
    """What one input does to the output of an option.

    Parameters
    ----------
    uncertain
        The input.
    at_low, at_high
        Output with this input at its low and its high end and all others as likely, money per
        year; for winters the lowest and the highest of them.
    first_order
        Share of the variance that the input makes alone.
    total
        Share in which it has a part.
    """

    uncertain: UncertainInput
    at_low: float
    at_high: float
    first_order: float
    total: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OptionSpread:
    """Spread of one option.

    Parameters
    ----------
    name
        Of the option.
    present
        Whether it is what is there now.
    likely_cost
        The comparison's own number, money per year.
    cost
        Yearly cost of all services, money.
    saving
        Yearly saving on the services of the present option, money; None for that option itself,
        without one, or where the option lacks one of its services.
    payback
        None as the saving.
    lowest_share
        Chance of the lowest yearly cost of like services among the options that carry the load.
    short_share
        Chance that more of the load than the limit stays unmet.
    winter_costs
        Yearly cost in each real winter, all else as likely, money, shape (winters,).
    influences
        On the saving, else on the cost; the strongest first.
    """

    name: str
    present: bool
    likely_cost: float
    cost: Quantiles
    saving: Quantiles | None
    payback: PaybackSpread | None
    lowest_share: float
    short_share: float
    winter_costs: Array
    influences: tuple[Influence, ...]

    @property
    def output(self) -> str:
        """What the influences are on: "yearly saving" or "yearly cost"."""
        return "yearly cost" if self.saving is None else "yearly saving"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UncertaintyResult:
    """Spread, chances and influences of all options.

    Parameters
    ----------
    comparison
        The likely case.
    inputs
        What was varied.
    draws, seed
        Number of draws, and the seed that repeats them.
    within_years
        For the chance of a payback.
    winter_labels
        Real winters; empty: one year only.
    options
        In the order of the comparison.
    cost_draws
        By option: yearly cost of every draw, money, shape (draws,).
    defaults, notices
        What the run used and found.
    """

    comparison: Comparison
    inputs: tuple[UncertainInput, ...]
    draws: int
    seed: int
    within_years: float
    winter_labels: tuple[str, ...]
    options: tuple[OptionSpread, ...]
    cost_draws: Mapping[str, Array]
    defaults: tuple[UsedDefault, ...]
    notices: tuple[Notice, ...]

    def option(self, name: str) -> OptionSpread:
        """Find the spread of an option.

        Parameters
        ----------
        name
            Of the option.

        Returns
        -------
        OptionSpread
            Its spread.
        """
        return next(one for one in self.options if one.name == name)


def payback_years(extra_cost: Array, yearly_saving: Array) -> Array:
    """Years until savings equal the extra installed cost, draw by draw.

    Parameters
    ----------
    extra_cost
        Installed cost above that of the other option, money, shape (n,).
    yearly_saving
        Money per year, shape (n,).

    Returns
    -------
    Array
        0 where it is cheaper from the start, infinite where there is no payback; as
        :func:`energymodel.economics.payback.simple_payback` for each draw.

    Examples
    --------
    >>> payback_years(np.array([400.0, 400.0, -5.0]), np.array([100.0, -1.0, 3.0])).tolist()
    [4.0, inf, 0.0]
    """
    never = np.full(np.broadcast_shapes(extra_cost.shape, yearly_saving.shape), np.inf)
    with np.errstate(over="ignore"):  # a saving next to nothing takes for ever
        years = np.divide(extra_cost, yearly_saving, out=never, where=yearly_saving > 0)
    start = (extra_cost <= 0) & (yearly_saving >= 0)
    return np.where(start, 0.0, years)


def payback_spread(extra_cost: Array, yearly_saving: Array, within_years: float) -> PaybackSpread:
    """Read the spread of the payback.

    Parameters
    ----------
    extra_cost, yearly_saving
        As in :func:`payback_years`.
    within_years
        For the chance.

    Returns
    -------
    PaybackSpread
        Draws that never pay back count as longer than any number of years.
    """
    years = payback_years(extra_cost, yearly_saving)
    return PaybackSpread(
        years=Quantiles.of(years),
        never_share=float(np.mean(np.isinf(years))),
        within_share=float(np.mean(years <= within_years)),
    )


def lowest_shares(costs: Array, able: Mask) -> Array:
    """Chance of each option to have the lowest cost.

    Parameters
    ----------
    costs
        Money, shape (options, draws).
    able
        Whether it may be ranked first, same shape.

    Returns
    -------
    Array
        Shape (options,); options at the same cost share the draw. The sum is below 1 where in some
        draws no option may be ranked first.
    """
    ranked = np.where(able, costs, np.inf)
    first = able & (ranked == ranked.min(axis=0))
    number = np.maximum(first.sum(axis=0), 1)
    shares: Array = np.mean(first / number, axis=1)
    return shares
