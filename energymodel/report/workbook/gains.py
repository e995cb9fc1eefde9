"""Rows that say when an option comes ahead of what is there now: one formula for each year."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.report.workbook.cells import Formula

AHEAD = "1E-9"
"""Money that is the rounding of a sum, as a formula has it."""
_SLACK = float(AHEAD)
_NO_DISCOUNT = 1e-12

Cells = Sequence[str]
"""Cells of a row, years 0 to N."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Balance:
    """A row of what is gained up to each year, with what it is worked out from.

    Parameters
    ----------
    cells, values
        Gained so far, years 0 to N.
    years
        Cells with the numbers of the years.
    rate
        Cell with the discount rate; empty: nothing is discounted.
    per_year
        Discount rate.
    """

    cells: Cells
    values: Array
    years: Cells
    rate: str = ""
    per_year: float = 0.0

    def paid_back(self) -> Iterator[Formula]:
        """Say in years with their fraction when the balance turns to the good.

        Yields
        ------
        Formula
            Years 1 to N; words of no length where it does not turn.

        Notes
        -----
        k - 1 + f in year k, f = -ln(1 - R d (1 + d)^(k-1) / S_k) / ln(1 + d), R still open, S_k the
        saving; here with the discounted saving D = S_k (1 + d)^-k: f = -ln(1 - R d / ((1 + d) D))
        / ln(1 + d). Without discount f = R / S_k.
        """
        for year in range(1, len(self.cells)):
            before, now = self.cells[year - 1], self.cells[year]
            share = f"-{before}/({now}-{before})"
            if self.rate:
                owed = f"-{before}*{self.rate}/((1+{self.rate})*({now}-{before}))"
                part = f"IF({owed}<1,-LN(1-{owed})/LN(1+{self.rate}),1)"
                share = f"IF(ABS({self.rate})<{_NO_DISCOUNT:G},{share},{part})"
            turns = f"AND({before}<-{AHEAD},{now}>=-{AHEAD})"
            text = f'=IF({turns},{self.years[year]}-1+{share},"")'
            yield Formula(text=text, value=self._turn(year))

    def _turn(self, year: int) -> float | str:
        before, now = float(self.values[year - 1]), float(self.values[year])
        if not before < -_SLACK <= now:
            return ""
        if abs(self.per_year) < _NO_DISCOUNT:
            return year - 1 - before / (now - before)
        owed = -before * self.per_year / ((1.0 + self.per_year) * (now - before))
        part = -np.log1p(-owed) / np.log1p(self.per_year) if owed < 1.0 else 1.0
        return float(year - 1 + part)

    def open_again(self) -> Iterator[Formula]:
        """Say in which years the balance turns to the bad.

        Yields
        ------
        Formula
            Years 1 to N; words of no length where it does not turn.
        """
        for year in range(1, len(self.cells)):
            before, now = self.cells[year - 1], self.cells[year]
            turns = f"AND({before}>=-{AHEAD},{now}<-{AHEAD})"
            bad = self.values[year] < -_SLACK <= self.values[year - 1]
            value = float(year) if bad else ""
            yield Formula(text=f'=IF({turns},{self.years[year]},"")', value=value)


def signs(gains: Cells, own: Cells, values: Array) -> Iterator[Formula]:
    """Carry the sign of the gain from year to year, so that its changes can be counted.

    Parameters
    ----------
    gains, own
        Cells of the gain and of this row.
    values
        The gain.

    Yields
    ------
    Formula
        -1, 0 or 1; a year without gain or loss has the sign of the year before.
    """
    last = 0.0
    for year, gain in enumerate(values.tolist()):
        last = float(np.sign(gain)) if abs(gain) > _SLACK else last
        before = own[year - 1] if year else "0"
        yield Formula(
            text=f"=IF(ABS({gains[year]})>{AHEAD},SIGN({gains[year]}),{before})", value=last
        )
