"""Choices for a rate record in words: `ratchet=percent`, `holidays=US`."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from enum import StrEnum
from typing import TypeVar

from energymodel.errors import InputError
from energymodel.tariffs.charges import BlockCount
from energymodel.tariffs.holiday import HolidayRule, public_names
from energymodel.tariffs.rate_choices import MissingRate, RatchetIn, RateChoices
from energymodel.tariffs.toml_words import read_date

Word = TypeVar("Word", bound=StrEnum)
_MOST_BILLS = 24


def _one_of(text: str, words: type[Word]) -> Word:
    known = [word.value for word in words]
    if text not in known:
        raise InputError(f'"{text}" is not one of the choices', expected=", ".join(known))
    return words(text)


def _whole(text: str, most: int) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= most:
        raise InputError(f'"{text}" will not do', expected=f"a whole number from 1 to {most}")
    return int(text)


def _power_factor(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0.0 < value <= 1.0:
        raise InputError(f'"{text}" will not do', expected="above 0, at most 1")
    return value


def _holidays(text: str) -> HolidayRule:
    country, _, subdivision = text.partition("-")
    rule = HolidayRule(country=country, subdivision=subdivision)
    public_names(rule)
    return rule


def _first_day(choices: RateChoices, text: str) -> RateChoices:
    month, day = read_date(text)
    return replace(choices, season_first_days={**choices.season_first_days, month: day})


CHOICES: Mapping[str, tuple[str, Callable[[RateChoices, str], RateChoices]]] = {
    "missing-rate": (
        "a tier without a rate: refuse (usual) or zero",
        lambda c, text: replace(c, missing_rate=_one_of(text, MissingRate)),
    ),
    "ratchet": (
        "how ratchet percentages are written: fraction (usual) or percent",
        lambda c, text: replace(c, ratchet_in=_one_of(text, RatchetIn)),
    ),
    "look-back": (
        "bills that a ratchet looks back on; usual 11",
        lambda c, text: replace(c, look_back=_whole(text, _MOST_BILLS)),
    ),
    "tiers": (
        "how tiers fill over several periods: month total (usual), time order, each period",
        lambda c, text: replace(c, count=_one_of(text, BlockCount)),
    ),
    "demand-window": (
        "minutes, where the record gives none; usual 15",
        lambda c, text: replace(c, demand_window_min=_whole(text, 60)),
    ),
    "power-factor": (
        "turns kVA into kW; usual 1",
        lambda c, text: replace(c, power_factor=_power_factor(text)),
    ),
    "holidays": (
        "a public list, such as US or CA-ON, billed by the weekend's schedule; usual none",
        lambda c, text: replace(c, holidays=_holidays(text)),
    ),
    "season-begins": (
        "first day of a season inside a month, such as '15 Apr'; may be repeated",
        _first_day,
    ),
    "currency": ("three letters; usual USD", lambda c, text: replace(c, currency=text)),
}
"""By name: what it chooses, and how it changes the choices."""


def read_choices(words: Sequence[str], *, zone: str | None) -> RateChoices:
    """Read choices.

    Parameters
    ----------
    words
        Each "name=value".
    zone
        Time zone of the utility; None: not given.

    Returns
    -------
    RateChoices
        The usual ones, changed.

    Raises
    ------
    InputError
        If a name or a value is not known.

    Examples
    --------
    >>> read_choices(["ratchet=percent", "look-back=3"], zone=None).look_back
    3
    """
    choices = RateChoices(zone=zone)
    for word in words:
        name, _, text = (part.strip() for part in word.partition("="))
        if name not in CHOICES:
            near = get_close_matches(name, CHOICES, n=1)
            raise InputError(
                f'there is no choice "{name}"',
                expected=", ".join(CHOICES),
                remedy=f'did you mean "{near[0]}"?' if near else "",
            )
        try:
            choices = CHOICES[name][1](choices, text)
        except InputError as error:
            raise InputError(
                error.what, where=name, expected=error.expected, remedy=error.remedy
            ) from None
    return choices
