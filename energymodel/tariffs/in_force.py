"""Which of several versions of a tariff is in force, and on which year hours are laid."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from energymodel.errors import InputError
from energymodel.notices import UsedDefault
from energymodel.tariffs.tariff import Tariff

_ANY_YEAR = 2025


def billing_year(tariff: Tariff) -> tuple[int, UsedDefault]:
    """Calendar year on which a typical year is laid where the user names none.

    Parameters
    ----------
    tariff
        Its first day in force decides, if known.

    Returns
    -------
    year
        Calendar year.
    default
        To be listed in the result.
    """
    known = tariff.effective is not None
    year = tariff.effective.year if tariff.effective is not None else _ANY_YEAR
    source = "the tariff's first year in force" if known else "our choice"
    return year, UsedDefault(name="calendar year of the bills", value=str(year), source=source)


def tariff_in_force(versions: Iterable[Tariff], day: date) -> Tariff:
    """Find the version in force on a day.

    Parameters
    ----------
    versions
        Of one tariff, in any order.
    day
        First day of the bill.

    Returns
    -------
    Tariff
        The one with the latest first day that has not expired; a version without a first day
        stands for all days before the others.

    Raises
    ------
    InputError
        If none is in force.
    """
    known = list(versions)
    open_ = [
        one
        for one in known
        if (one.effective is None or one.effective <= day)
        and (one.expires is None or day <= one.expires)
    ]
    if not open_:
        spans = ", ".join(f"{one.effective or '...'} to {one.expires or '...'}" for one in known)
        raise InputError(f"no version is in force on {day}", expected=f"a day in {spans}")
    return max(open_, key=lambda one: one.effective or date.min)
