"""Holidays of a tariff: a country's list, own dates, and what such a day is billed as."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from enum import StrEnum
from functools import cache

from energymodel.errors import InputError

_OBSERVED = " (observed)"
_ANY_LEAP_YEAR = 2024
_SOME_YEARS = (2005, 2015, _ANY_LEAP_YEAR, 2026)
"""A holiday may be younger than a year that is billed, or no longer kept."""


class HolidayAs(StrEnum):
    """What a holiday is billed as."""

    WEEKEND = "weekend"
    ORDINARY_DAY = "ordinary day"
    HOLIDAY = "holiday"


@dataclass(frozen=True, slots=True, kw_only=True)
class HolidayRule:
    """Which dates are holidays.

    Parameters
    ----------
    country
        Two-letter code of the public list, such as "US"; empty: own dates only.
    subdivision
        State or province code of that list; empty: the whole country.
    only
        Names from the list, where the tariff sheet names fewer days; empty: all of the list.
    dates
        Own dates of particular years.
    every_year
        Own dates as (month, day).
    observed
        Whether the day on which a holiday at the weekend is made up for counts too.
    count_as
        What a holiday is billed as.
    """

    country: str = ""
    subdivision: str = ""
    only: tuple[str, ...] = ()
    dates: tuple[date, ...] = ()
    every_year: tuple[tuple[int, int], ...] = ()
    observed: bool = True
    count_as: HolidayAs = HolidayAs.WEEKEND

    def __post_init__(self) -> None:
        for month, day in self.every_year:
            try:
                date(_ANY_LEAP_YEAR, month, day)
            except ValueError:
                raise InputError(f"month {month}, day {day} is not a date") from None
        if self.only and not self.country:
            raise InputError(
                "names of holidays without a country", remedy='add country = "US" or own dates'
            )


@cache
def _public_list(
    country: str, subdivision: str, year: int, *, observed: bool
) -> tuple[tuple[date, str], ...]:
    import holidays  # noqa: PLC0415 - a fifth of a second that flat tariffs do not need

    try:
        found = holidays.country_holidays(
            country, subdiv=subdivision or None, years=year, observed=observed
        )
    except NotImplementedError as error:
        raise InputError(
            f"there is no list of holidays: {error}",
            expected='a country such as "US" or "CA", a state or province such as "ON"',
        ) from None
    return tuple(sorted((day, str(name)) for day, name in found.items()))


def _plain_names(name: str) -> list[str]:
    return [part.removesuffix(_OBSERVED) for part in name.split("; ")]


def public_names(rule: HolidayRule) -> tuple[str, ...]:
    """Names on the public list of a rule's country and subdivision.

    Parameters
    ----------
    rule
        With a country.

    Returns
    -------
    tuple of str
        In order of the alphabet.

    Raises
    ------
    InputError
        If the country or its subdivision is not known.
    """
    listed = (
        name
        for year in _SOME_YEARS
        for _, name in _public_list(rule.country, rule.subdivision, year, observed=rule.observed)
    )
    return tuple(sorted({plain for name in listed for plain in _plain_names(name)}))


def checked_names(rule: HolidayRule) -> HolidayRule:
    """Check the names of a rule against the list of its country.

    Parameters
    ----------
    rule
        Which dates.

    Returns
    -------
    HolidayRule
        The same.

    Raises
    ------
    InputError
        If a name is not on the list; it names those that are.
    """
    known = public_names(rule) if rule.only else ()
    for name in rule.only:
        if name not in known:
            near = get_close_matches(name, known, n=1)
            raise InputError(
                f'the holiday "{name}" is not on the list of {rule.country}',
                expected=", ".join(known),
                remedy=f'did you mean "{near[0]}"?' if near else "",
            )
    return rule


def holiday_dates(rule: HolidayRule, years: Iterable[int]) -> tuple[date, ...]:
    """Dates that are holidays under a rule.

    Parameters
    ----------
    rule
        Which dates.
    years
        Calendar years.

    Returns
    -------
    tuple of date
        In order.

    Raises
    ------
    InputError
        If the country, its subdivision or a name is not known.

    Examples
    --------
    >>> rule = HolidayRule(country="US", only=("Independence Day",))
    >>> [str(day) for day in holiday_dates(rule, [2021])]
    ['2021-07-04', '2021-07-05']
    """
    wanted = sorted(set(years))
    found = {day for day in rule.dates if day.year in wanted}
    for year in wanted:
        for month, day in rule.every_year:
            if (month, day) != (2, 29) or year % 4 == 0:
                found.add(date(year, month, day))
        if rule.country:
            found |= set(_of_the_list(rule, year))
    return tuple(sorted(found))


def _of_the_list(rule: HolidayRule, year: int) -> list[date]:
    listed = _public_list(rule.country, rule.subdivision, year, observed=rule.observed)
    checked_names(rule)
    return [
        day
        for day, name in listed
        if not rule.only or any(plain in rule.only for plain in _plain_names(name))
    ]
