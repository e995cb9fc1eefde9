"""Ranges as a reader sees them: ends rounded outwards, so that the likely value stays inside."""

from __future__ import annotations

import math

from energymodel.report.numbers import money
from energymodel.study.comparison.cost_range import CostRange

_SAME = 0.005
"""Ends this near to each other, as a share, are no range worth printing."""


def rounded_ends(low: float, high: float) -> tuple[int, int]:
    """Round the ends of a range of money outwards.

    Parameters
    ----------
    low, high
        Money.

    Returns
    -------
    tuple of int
        To whole units below 100, to tens below 10,000, else to hundreds.

    Examples
    --------
    >>> rounded_ends(209.2, 256.4), rounded_ends(43.2, 51.7), rounded_ends(-12.0, 131.0)
    ((200, 260), (43, 52), (-20, 140))
    """
    largest = max(abs(low), abs(high))
    step = 1 if largest < 100 else 10 if largest < 10_000 else 100
    return math.floor(low / step) * step, math.ceil(high / step) * step


def range_text(low: float, high: float) -> str:
    """Write a range of money without its sign.

    Parameters
    ----------
    low, high
        Money.

    Returns
    -------
    str
        "200-260"; empty where nothing varies.

    Examples
    --------
    >>> range_text(209.2, 256.4), range_text(-12.0, 131.0), range_text(522.0, 522.0)
    ('200-260', '-20 to 140', '')
    """
    if high - low <= _SAME * max(abs(low), abs(high)):
        return ""
    ends = rounded_ends(low, high)
    return f"{ends[0]:,} to {ends[1]:,}" if ends[0] < 0 else f"{ends[0]:,}-{ends[1]:,}"


def saving_words(found: CostRange, currency: str) -> str:
    """Write the range of a saving, to stand behind the likely one.

    Parameters
    ----------
    found
        Range of an option.
    currency
        For the amounts.

    Returns
    -------
    str
        " (range $340-$380)", " (range: $20 more to $90 less)", or nothing where nothing varies.
    """
    low, high = found.saving_low, found.saving_high
    if low is None or high is None or not range_text(low, high):
        return ""
    ends = rounded_ends(low, high)
    if ends[0] >= 0 or ends[1] <= 0:
        near, far = sorted(abs(end) for end in ends)
        first = money(near, currency).removesuffix(f" {currency}")
        return f" (range {first}-{money(far, currency)})"
    texts = [money(abs(end), currency) for end in ends]
    return f" (range: {texts[0]} more to {texts[1]} less)"
