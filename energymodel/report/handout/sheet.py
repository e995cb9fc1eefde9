"""What every part of the customer's page draws on: results, words, figures, short names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from energymodel.notices import UsedDefault
from energymodel.report.handout.language import Language
from energymodel.report.handout.numbers import Figures
from energymodel.report.handout.ranges import Ranges
from energymodel.scenario.schema import ScenarioFile
from energymodel.study.comparison.cost_range import CostRange
from energymodel.study.comparison.money import OptionMoney
from energymodel.study.comparison.outcome import Comparison, Outcome

MARK = "†"
MOST_OPTIONS = 8
NAME_LENGTH = 56
SHORT_LENGTH = 40
SHORTEST_LENGTH = 48
TEXT_LENGTH = 150


@dataclass(frozen=True, slots=True, kw_only=True)
class HandoutSettings:
    """What the caller sets beside, or instead of, the scenario's table [handout].

    Parameters
    ----------
    prepared_for, prepared_by
        Names; None: the scenario's.
    paper
        "us-letter" or "a4"; None: the scenario's, else US letter with US units and A4 with SI.
    language
        Code or TOML file; None: the scenario's.
    day
        Date of the page; None: the scenario's, else today.
    """

    prepared_for: str | None = None
    prepared_by: str | None = None
    paper: str | None = None
    language: str | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """Everything that one hand-out says comes from here.

    Parameters
    ----------
    comparison
        All options.
    ranges
        Low, likely and high.
    money
        Paybacks by name of the option.
    words
        Language.
    figures
        Numbers, money and measures.
    settings
        What the caller set.
    """

    comparison: Comparison
    ranges: Ranges
    money: Mapping[str, OptionMoney]
    words: Language
    figures: Figures
    settings: HandoutSettings

    @property
    def content(self) -> ScenarioFile:
        """Records of the scenario."""
        return self.comparison.model.scenario.content

    @property
    def shown(self) -> tuple[Outcome, ...]:
        """Options that have a place on the page, in the order of the comparison.

        What is there now and the cheapest are always among them.
        """
        return self.comparison.outcomes[:MOST_OPTIONS]

    @property
    def not_shown(self) -> int:
        """Number of options without a place."""
        return len(self.comparison.outcomes) - len(self.shown)

    @property
    def present(self) -> Outcome | None:
        """What is there now."""
        return self.comparison.present

    @property
    def best(self) -> Outcome | None:
        """The cheapest that does the job."""
        return self.comparison.cheapest

    @property
    def defaults(self) -> tuple[UsedDefault, ...]:
        """Defaults of the model and of the money, each once."""
        money = (entry for one in self.money.values() for entry in one.defaults)
        return tuple(dict.fromkeys((*self.comparison.model.defaults, *money)))

    def span(self, outcome: Outcome) -> CostRange:
        """Low, likely and high of an option.

        Parameters
        ----------
        outcome
            One option.

        Returns
        -------
        CostRange
            Its own.
        """
        return self.ranges.by_option[outcome.name]

    def mark(self, *starts: str) -> str:
        """Return the mark of a default if one was used.

        Parameters
        ----------
        *starts
            First words of the names of the defaults.

        Returns
        -------
        str
            The mark, or nothing.
        """
        return MARK if any(one.name.startswith(starts) for one in self.defaults) else ""

    def like_services(self) -> list[str]:
        """Services by which the options are compared.

        Returns
        -------
        list of str
            Those of the present option; without one all of the best.
        """
        reference = self.present or self.best
        return list(reference.service_cost) if reference else []


def one_line(text: str) -> str:
    """Put a text on one line.

    Parameters
    ----------
    text
        As written.

    Returns
    -------
    str
        Single spaces.
    """
    return " ".join(text.split())


def shortened(text: str, most: int) -> str:
    """Cut a text that is too long for its place.

    Parameters
    ----------
    text
        As written.
    most
        Letters that fit.

    Returns
    -------
    str
        On one line; an ellipsis stands for what was cut.

    Examples
    --------
    >>> shortened("a long name", 6), shortened("short", 6)
    ('a lon…', 'short')
    """
    line = one_line(text)
    return line if len(line) <= most else line[: most - 1].rstrip() + "…"


def short_names(outcomes: Sequence[Outcome], most: int) -> dict[str, str]:
    """Short names of options, each one different.

    Parameters
    ----------
    outcomes
        Options.
    most
        Letters that fit.

    Returns
    -------
    dict of str
        By full name; a number tells names apart that were cut to the same.
    """
    found: dict[str, str] = {}
    for outcome in outcomes:
        name, number = shortened(outcome.name, most), 1
        while name in found.values():
            number += 1
            tail = f" ({number})"
            name = shortened(outcome.name, most - len(tail)) + tail
        found[outcome.name] = name
    return found
