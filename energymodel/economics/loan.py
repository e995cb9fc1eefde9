"""A loan for the installed cost, and its payments against the monthly saving."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.economics.present_value import level_payment, still_owed
from energymodel.economics.rates import checked_rate, checked_years
from energymodel.errors import InputError

_MONTHS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Loan:
    """A loan paid back in equal monthly payments, in current money.

    Parameters
    ----------
    principal
        Sum lent on the day of installation, money.
    yearly_rate
        Nominal interest per year, fraction; a twelfth of it is charged each month.
    years
        Term.
    """

    principal: float
    yearly_rate: float
    years: int

    def __post_init__(self) -> None:
        if not (math.isfinite(self.principal) and self.principal > 0):
            raise InputError(f"a loan of {self.principal:g}", expected="more than 0")
        if checked_rate(self.yearly_rate, "interest of the loan") < 0:
            raise InputError(
                f"the interest of the loan is {self.yearly_rate:g}", expected="0 or more"
            )
        checked_years(self.years, "term of the loan")

    @property
    def monthly_payment(self) -> float:
        """Money per month."""
        return level_payment(self.principal, self.yearly_rate / _MONTHS, self.years * _MONTHS)

    @property
    def total_interest(self) -> float:
        """Money paid above the principal over the whole term."""
        return self.monthly_payment * self.years * _MONTHS - self.principal

    def yearly_flows(self, study_years: int) -> Array:
        """Flows to the borrower: the sum lent in, payments out.

        Parameters
        ----------
        study_years
            Study period.

        Returns
        -------
        Array
            Current money of years 0 to `study_years`, shape (study_years + 1,); twelve payments
            stand at the end of their year; what is still owed when the study ends is paid then.
        """
        flows = np.zeros(study_years + 1)
        flows[0] = self.principal
        paid_years = min(self.years, study_years)
        flows[1 : paid_years + 1] = -_MONTHS * self.monthly_payment
        if self.years > study_years:
            left = _MONTHS * (self.years - study_years)
            flows[-1] -= still_owed(self.monthly_payment, self.yearly_rate / _MONTHS, left)
        return flows

    def against(self, yearly_saving: float) -> LoanAgainstSaving:
        """Hold the payments against a saving.

        Parameters
        ----------
        yearly_saving
            Money per year, current prices; a twelfth of it is set against each payment.

        Returns
        -------
        LoanAgainstSaving
            In money per month.

        Raises
        ------
        InputError
            If the saving is not finite.

        Examples
        --------
        >>> lent = Loan(principal=6000.0, yearly_rate=0.0, years=10)
        >>> lent.against(720.0).words
        'the loan takes 50.00 a month for 10 years, the saving is 60.00: 10.00 a month is left'
        """
        if not math.isfinite(yearly_saving):
            raise InputError(
                f"the yearly saving is {yearly_saving}", expected="a finite amount of money"
            )
        return LoanAgainstSaving(
            monthly_payment=self.monthly_payment,
            monthly_saving=yearly_saving / _MONTHS,
            years=self.years,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanAgainstSaving:
    """What a loan leaves of the saving, month by month on the average of a year.

    Parameters
    ----------
    monthly_payment
        Money per month while the loan runs.
    monthly_saving
        Money per month, a twelfth of the year's.
    years
        Term of the loan.
    """

    monthly_payment: float
    monthly_saving: float
    years: int

    @property
    def monthly_left(self) -> float:
        """Saving less payment, money per month; negative: paid on top."""
        return self.monthly_saving - self.monthly_payment

    @property
    def words(self) -> str:
        """Both figures and what is left."""
        left = self.monthly_left
        end = f"{left:,.2f} a month is left" if left >= 0 else f"{-left:,.2f} a month is missing"
        years = "1 year" if self.years == 1 else f"{self.years} years"
        return (
            f"the loan takes {self.monthly_payment:,.2f} a month for {years}, "
            f"the saving is {self.monthly_saving:,.2f}: {end}"
        )
