"""Where the cash flows stand on their page, for formulas on other pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from energymodel.report.workbook.page import FIRST_ROW, Page

WORTH, YEAR_0 = 3, 4
"""Columns of the present value and of year 0."""
YEARS_ROW, FACTOR_ROW = FIRST_ROW, FIRST_ROW + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class GainRows:
    """Rows of an option against what is there now.

    Parameters
    ----------
    base
        Rows of what is there now on the same services.
    gain, cumulative, discounted
        Gained in the year, so far, and so far in present value.
    paid_back, paid_back_discounted, open_again, signs
        When the balance turns, and the sign of the gain.
    """

    base: FlowRows
    gain: int
    cumulative: int
    discounted: int
    paid_back: int
    paid_back_discounted: int
    open_again: int
    signs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowRows:
    """Rows of one cash flow.

    Parameters
    ----------
    total, running
        What it costs in each year; of that energy and upkeep.
    gains
        None for the present option, or without one.
    """

    total: int
    running: int
    gains: GainRows | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flows:
    """Where the cash flows stand.

    Parameters
    ----------
    page
        The page.
    years
        Of the study.
    rows
        By name of the option.
    """

    page: Page
    years: int
    rows: Mapping[str, FlowRows]

    def block(self, row: int, first: int = 0, last: int | None = None) -> str:
        """Name some years of a row.

        Parameters
        ----------
        row
            Place.
        first, last
            Years; None: the last of the study.

        Returns
        -------
        str
            Block of cells.
        """
        end = self.years if last is None else last
        return self.page.block((row, YEAR_0 + first), (row, YEAR_0 + end))

    def year(self, row: int, year: int) -> str:
        """Name the cell of a year.

        Parameters
        ----------
        row
            Place.
        year
            0 to N.

        Returns
        -------
        str
            Cell.
        """
        return self.page.cell(row, YEAR_0 + year)

    def worth(self, row: int) -> str:
        """Name the cell with the present value of a row.

        Parameters
        ----------
        row
            Place.

        Returns
        -------
        str
            Cell.
        """
        return self.page.cell(row, WORTH)

    @property
    def year_numbers(self) -> str:
        """Block with the years."""
        return self.block(YEARS_ROW)
