"""The quick ratio of use to degree-days, and when it may not be trusted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError

AGREEMENT = 1.25
"""Largest ratio between periods that still counts as one house in one state (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MergedRatio:
    """Use per degree-day over several periods together.

    Parameters
    ----------
    ratio
        Sum of use over sum of degree-days.
    low, high
        Lowest and highest ratio of a single period.
    periods
        Number of periods with known degree-days.
    left_out
        Numbers of the periods, from 1, whose degree-days are not known.
    """

    ratio: float
    low: float
    high: float
    periods: int
    left_out: tuple[int, ...]

    @property
    def agrees(self) -> bool:
        """The single periods lie near each other."""
        return self.high <= AGREEMENT * self.low

    def __str__(self) -> str:
        left = ", ".join(str(number) for number in self.left_out)
        without = f", without period {left} (degree-days not known)" if left else ""
        return (
            f"{self.ratio:.3f} per degree-day over {self.periods} periods together{without}; "
            f"single periods {self.low:.3f} to {self.high:.3f}"
        )


def merged_ratio(use: Array, degree_days: Array) -> MergedRatio:
    """Use per degree-day of all periods with known degree-days together.

    Parameters
    ----------
    use
        Use of each period, base use not taken off, shape (periods,).
    degree_days
        Degree-days of each period, nan = not known, shape (periods,).

    Returns
    -------
    MergedRatio
        Ratio of the sums and the spread of the single ones.

    Raises
    ------
    InputError
        If fewer than two periods have degree-days above zero.
    """
    known = np.isfinite(degree_days) & (np.nan_to_num(degree_days) > 0)
    if known.sum() < 2:
        raise InputError(
            f"{int(known.sum())} period with known degree-days", expected="at least two"
        )
    single = use[known] / degree_days[known]
    return MergedRatio(
        ratio=float(use[known].sum() / degree_days[known].sum()),
        low=float(single.min()),
        high=float(single.max()),
        periods=int(known.sum()),
        left_out=tuple(int(index) + 1 for index in np.flatnonzero(~known)),
    )


def ratio_of_period(use: Array, degree_days: Array, *, period: int) -> float:
    """Use per degree-day of one period, if the others agree with it.

    Parameters
    ----------
    use, degree_days
        As for :func:`merged_ratio`.
    period
        Number of the period, from 1.

    Returns
    -------
    float
        Use over degree-days of that period.

    Raises
    ------
    InputError
        If its degree-days are not known or the periods disagree; the remedy gives the ratio
        over all periods together.

    Examples
    --------
    >>> ratio_of_period(np.array([50.0, 105.0]), np.array([100.0, 200.0]), period=1)
    0.5
    """
    merged = merged_ratio(use, degree_days)
    if period in merged.left_out:
        raise InputError(
            f"the degree-days of period {period} are not known", remedy=f"use {merged}"
        )
    if not merged.agrees:
        jumps = ", ".join(f"{value:.2f}" for value in use / degree_days if np.isfinite(value))
        raise InputError(
            f"the use per degree-day jumps from period to period ({jumps}), so that of one period "
            "says nothing",
            expected=f"periods within a factor of {AGREEMENT:g} of each other",
            remedy=f"fit merged periods, or use {merged}; check estimated reads, read dates and "
            "changes of the set-point",
        )
    return float(use[period - 1] / degree_days[period - 1])
