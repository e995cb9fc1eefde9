"""A part of a whole in words: rounding makes it neither all nor nothing."""

from __future__ import annotations


def part_words(share: float, digits: int = 1) -> str:
    """Write a part of a whole.

    Parameters
    ----------
    share
        0..1.
    digits
        Behind the decimal point.

    Returns
    -------
    str
        In percent.

    Examples
    --------
    >>> part_words(0.5), part_words(0.9999), part_words(0.0002), part_words(1.0)
    ('50.0%', 'more than 99.9%', 'less than 0.1%', '100.0%')
    """
    least = 10.0 ** -(digits + 2)
    if 0.0 < share < least / 2.0:
        return f"less than {least:.{digits}%}"
    if 1.0 - least / 2.0 <= share < 1.0:
        return f"more than {1.0 - least:.{digits}%}"
    return f"{share:.{digits}%}"
