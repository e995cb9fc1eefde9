"""Cells of the flip values: numbers in the user's unit, distances in percent."""

from __future__ import annotations

from energymodel.report.numbers import money
from energymodel.study.switchover.pair_flips import FlipValue, Moved, PairFlips

FAR = 10.0
"""A value ten times today's or a tenth of it is called far, not printed."""


def limit_text(years: float) -> str:
    """Write a limit of years.

    Parameters
    ----------
    years
        Limit of simple payback.

    Returns
    -------
    str
        "10 years".

    Examples
    --------
    >>> limit_text(1.0), limit_text(7.5)
    ('1 year', '7.5 years')
    """
    return f"{years:g} year" + ("" if years == 1 else "s")


def flip_rows(pair: PairFlips, currency: str) -> list[list[str]]:
    """Write the flip values of a pair.

    Parameters
    ----------
    pair
        Its values.
    currency
        Of the scenario.

    Returns
    -------
    list of list of str
        Name, today's value, the two flip values each with its distance.
    """
    return [
        [
            _name(value, pair),
            flip_text(value.today, value, currency),
            *([""] * 2 if _one_off(value) else _cells(value, value.same_cost, currency)),
            *_cells(value, value.pays_back, currency),
        ]
        for value in pair.values
    ]


def _one_off(value: FlipValue) -> bool:
    """Whether the input does not touch the yearly cost."""
    return value.moved is Moved.INSTALLED_COST


def _name(value: FlipValue, pair: PairFlips) -> str:
    text = value.name.removeprefix("the ").removesuffix(f" of {pair.second}")
    text = text.removesuffix(f" of {pair.first}")
    return f"  {text}, {value.unit}" if value.moved is Moved.PRICE else f"  {text}"


def flip_text(value: float, of: FlipValue, currency: str) -> str:
    """Write a value of an input.

    Parameters
    ----------
    value
        Today's or a flip value.
    of
        The input.
    currency
        Of the scenario.

    Returns
    -------
    str
        Money in whole units, prices to the tenth of a cent, factors with two decimals.
    """
    if of.moved is Moved.INSTALLED_COST:
        return money(value, currency)
    if of.moved is Moved.PRICE:
        return f"{value:.3f}" if of.today < 1 else f"{value:.2f}"
    return f"{value:.2f}" if of.moved is Moved.IN_SERVICE else f"x {value:.2f}"


def _cells(of: FlipValue, value: float | None, currency: str) -> list[str]:
    if value is None:
        return ["none", ""]
    change = of.change(value)
    if change is None:
        return [flip_text(value, of, currency), ""]
    if not 1.0 / FAR <= 1.0 + change <= FAR:
        return ["far", ""]
    return [flip_text(value, of, currency), f"{change:+.0%}".replace("%", " %")]
