"""Cells of the flip values: numbers in the user's unit, distances in percent."""

from __future__ import annotations

from dataclasses import dataclass

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


def pair_text(pair: PairFlips, currency: str) -> str:
    """Say which of two options costs more to install, which costs less to run, and what of it.

    Parameters
    ----------
    pair
        Its values.
    currency
        Of the scenario.

    Returns
    -------
    str
        The second against the first.
    """
    extra, saving = round(pair.extra_cost), pair.saving
    more = {True: "more", False: "less"}
    install = f"{money(abs(extra), currency)} {more[extra > 0]} to install"
    if not pair.cost_given:
        install = "cost of installation not given"
    elif extra == 0:
        install = "the same to install"
    amount = money(round(abs(saving), -1 if abs(saving) >= 10 else 0), currency)
    run = f"saves about {amount} a year" if saving > 0 else f"costs about {amount} a year more"
    if round(abs(saving)) == 0:
        run = "costs the same to run"
    return f"{pair.second} against {pair.first}: {install}, {run}{_back_today(pair)}"


def _back_today(pair: PairFlips) -> str:
    if not pair.cost_given:
        return ""
    if pair.extra_cost <= 0:
        return "; nothing to pay back"
    years = pair.payback_years
    return "; it never pays back" if years is None else f"; paid back in {years:.1f} years"


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
        Name, today's value, at which values the second is cheaper to run and at which its extra
        cost comes back in time, each with its distance.
    """
    years = pair.payback_years
    back_today = years is not None and years <= pair.limit_years
    rows = []
    for value in pair.values:
        one_off = value.moved is Moved.INSTALLED_COST
        given = pair.cost_given or not one_off
        told = pair.extra_cost > 0 if pair.cost_given else one_off
        running = _Question(value=value, met=pair.saving > 0, currency=currency)
        back = _Question(value=value, met=back_today, currency=currency)
        rows.append(
            [
                _name(value, pair),
                flip_text(value.today, value, currency) if given else "not given",
                *(_NOTHING if one_off else running.cells(value.same_cost)),
                *(back.cells(value.pays_back) if told else _NOTHING),
            ]
        )
    return rows


_NOTHING = ("", "")


def _name(value: FlipValue, pair: PairFlips) -> str:
    text = value.name.removeprefix("the ")
    if value.of_second:
        text = f"its {text.removesuffix(f' of {pair.second}')}"
    return f"  {text}, {value.unit}" if value.unit else f"  {text}"


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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Question:
    """One of the two questions about an input, and whether the answer is yes today."""

    value: FlipValue
    met: bool
    currency: str

    def cells(self, at: float | None) -> tuple[str, str]:
        """On which side of a flip value the answer is yes, and how far away it is."""
        of = self.value
        if at is None:
            return ("always" if self.met else "never"), ""
        if not of.reachable(at):
            return ("always" if self.met else "not reachable"), ""
        change = of.change(at)
        if change is not None and not 1.0 / FAR <= 1.0 + change <= FAR:
            return ("nearly always" if self.met else "hardly ever"), ""
        more = self.met if at < of.today else not self.met
        if of.moved is Moved.INSTALLED_COST:
            more = False
        text = f"{flip_text(at, of, self.currency)} or {'more' if more else 'less'}"
        return text, "" if change is None else f"{change:+.0%}".replace("%", " %")
