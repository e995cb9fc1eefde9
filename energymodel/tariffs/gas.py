"""The gas account: what it costs to keep it open, and when closing it pays.

The customer charge is saved only when the last appliance leaves. As long as one gas water heater
stays, heat that moves to electricity saves gas and nothing else.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

import numpy as np

from energymodel.errors import InputError
from energymodel.tariffs.billing_period import of_readings
from energymodel.tariffs.readings import Readings, bill_readings
from energymodel.tariffs.tariff import Tariff

_ANY_COMMON_YEAR = 2023


def open_account_per_year(tariff: Tariff) -> float:
    """Money that an open account costs in a year without use.

    Parameters
    ----------
    tariff
        Of the account.

    Returns
    -------
    float
        Customer charges, minimum bills and the taxes on them, money per year.
    """
    marks = [date(_ANY_COMMON_YEAR, month, 1) for month in range(1, 13)]
    months = of_readings([*marks, date(_ANY_COMMON_YEAR + 1, 1, 1)])
    return float(bill_readings(tariff, months, Readings(use=np.zeros(12))).total)


@dataclass(frozen=True, slots=True, kw_only=True)
class AccountClosing:
    """What leaving appliances do to an account.

    Parameters
    ----------
    remaining
        Appliances that stay on the account.
    saved_per_year
        Charges saved besides the energy, money per year; 0 while an appliance stays.
    exit_fee
        Due once when the account closes, money; 0 while it stays open.
    """

    remaining: tuple[str, ...]
    saved_per_year: float
    exit_fee: float

    @property
    def closes(self) -> bool:
        """Whether the account closes."""
        return not self.remaining

    @property
    def years_to_break_even(self) -> float | None:
        """Years until the saved charges have paid the exit fee; None: never."""
        if not self.closes or self.saved_per_year <= 0:
            return None
        return self.exit_fee / self.saved_per_year

    @property
    def words(self) -> str:
        """One sentence for the reader."""
        if not self.closes:
            return (
                f"The account stays open for {', '.join(self.remaining)}: its fixed charges are"
                " paid as before, only the energy of what leaves is saved."
            )
        text = f"The last appliance leaves: {self.saved_per_year:,.2f} a year of charges end"
        if not self.exit_fee:
            return text + "."
        years = self.years_to_break_even
        if years is None:
            return text + f"; the exit fee of {self.exit_fee:,.2f} is not earned back."
        return text + f", which pays the exit fee of {self.exit_fee:,.2f} in {years:.1f} years."


def close_account(
    appliances: Collection[str],
    leaving: Collection[str],
    *,
    charges_per_year: float,
    exit_fee: float = 0.0,
) -> AccountClosing:
    """Apply the rule of the last appliance.

    Parameters
    ----------
    appliances
        All appliances on the account now.
    leaving
        Those that leave it.
    charges_per_year
        What the open account costs without use, as :func:`open_account_per_year`.
    exit_fee
        Due once when the account closes.

    Returns
    -------
    AccountClosing
        Whether it closes, what that saves and how long the fee takes to be earned back.

    Raises
    ------
    InputError
        If an appliance leaves that is not there, or an amount is negative.

    Examples
    --------
    >>> both = close_account(
    ...     ["furnace", "water heater"],
    ...     ["furnace", "water heater"],
    ...     charges_per_year=180.0,
    ...     exit_fee=1400.0,
    ... )
    >>> round(both.years_to_break_even, 2)
    7.78
    >>> close_account(["furnace", "water heater"], ["furnace"], charges_per_year=180.0).closes
    False
    """
    unknown = [name for name in leaving if name not in appliances]
    if unknown:
        raise InputError(
            f'"{unknown[0]}" leaves, but is not on the account',
            expected="one of " + ", ".join(appliances),
        )
    if charges_per_year < 0 or exit_fee < 0:
        raise InputError("charges below zero", expected="0 or more")
    remaining = tuple(name for name in appliances if name not in leaving)
    return AccountClosing(
        remaining=remaining,
        saved_per_year=0.0 if remaining else charges_per_year,
        exit_fee=0.0 if remaining else exit_fee,
    )
