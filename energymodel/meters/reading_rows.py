"""Rows of a list of readings, bills or fills, and what the user knows of them -> periods."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from energymodel.errors import InputError
from energymodel.meters.bills import Bill, LastDay, periods_from_bills
from energymodel.meters.date_order import DateOrder
from energymodel.meters.decimal_marks import Mark
from energymodel.meters.periods import Meter, MeterPeriods, repair_notice
from energymodel.meters.reading_columns import Kind
from energymodel.meters.readings import (
    Reading,
    periods_from_fills,
    periods_from_index,
    periods_from_use,
)
from energymodel.notices import Notice


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingFacts:
    """What the user knows of a list of readings that the list may not say.

    Parameters
    ----------
    unit
        Unit of the numbers.
    last_day
        What the last day of a bill means.
    dials
        Number of dials of a counter that began again at zero.
    date_order
        Order of day, month and year.
    decimal_mark
        Decimal mark of the numbers.
    value_column
        Heading or number, from 1, of the column with the numbers.
    """

    unit: str | None = None
    last_day: LastDay | None = None
    dials: int | None = None
    date_order: DateOrder | None = None
    decimal_mark: Mark | None = None
    value_column: str | int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRows:
    """Rows of one list, before they are made into periods.

    Parameters
    ----------
    meter
        Carrier and unit.
    kind
        What the numbers of a list with one date a row are; None: bills with two dates.
    bills
        Bills, oldest first; empty for other lists.
    readings
        Readings or fills, oldest first; empty for bills.
    date_order
        Order of day, month and year in the list.
    notices
        How it was read, and what was left out.
    """

    meter: Meter
    kind: Kind | None
    bills: tuple[Bill, ...]
    readings: tuple[Reading, ...]
    date_order: DateOrder
    notices: tuple[Notice, ...]

    @property
    def in_words(self) -> str:
        """Unit and kind of the numbers."""
        kind = "bills with two dates" if self.kind is None else self.kind.value
        return f"{self.meter.carrier} in {self.meter.unit} ({kind})"

    @property
    def where(self) -> str:
        """Place of the first row."""
        places = [*(bill.where for bill in self.bills), *(one.where for one in self.readings)]
        return places[0] if places else ""


def periods_of_rows(rows: ReadingRows, *, facts: ReadingFacts | None = None) -> MeterPeriods:
    """Make periods of the rows of a list, or of several lists joined.

    Parameters
    ----------
    rows
        Oldest first.
    facts
        What the list does not say.

    Returns
    -------
    MeterPeriods
        Actual periods.

    Raises
    ------
    InputError
        If reads overlap, fall or are too few, or the amounts are equal payments.
    """
    facts = facts or ReadingFacts()
    if rows.kind is None:
        found = periods_from_bills(rows.bills, rows.meter, last_day=facts.last_day)
    elif rows.kind is Kind.INDEX:
        found = periods_from_index(rows.readings, rows.meter, dials=facts.dials)
    elif rows.kind is Kind.FILL:
        found = periods_from_fills(rows.readings, rows.meter)
    else:
        found = periods_from_use(rows.readings, rows.meter)
    return replace(found, notices=(*rows.notices, *found.notices))


def joined_rows(parts: Sequence[ReadingRows]) -> ReadingRows:
    """Join the rows of several lists of one meter, such as one file for each bill.

    Parameters
    ----------
    parts
        At least one.

    Returns
    -------
    ReadingRows
        Rows of all, oldest first; a row that stands in two lists with the same numbers counts
        once, with a notice.

    Raises
    ------
    InputError
        If the lists differ in unit or in what their numbers are.
    """
    first = parts[0]
    for part in parts[1:]:
        if part.meter != first.meter or part.kind != first.kind:
            raise InputError(
                f"the lists do not belong together: {first.in_words}, but {part.in_words}",
                where=part.where,
                expected="one unit, and either bills with two dates or one kind of reading",
                remedy="give the files of each meter apart",
            )
    bills = {_of_bill(bill): bill for part in parts for bill in part.bills}
    readings = {_of_reading(one): one for part in parts for one in part.readings}
    twice = sum(len(part.bills) + len(part.readings) for part in parts) - len(bills) - len(readings)
    doubled = [repair_notice(f"Rows that stand in two lists count once: {twice} left out.")]
    notices = [notice for part in parts for notice in part.notices]
    return replace(
        first,
        bills=tuple(bills[key] for key in sorted(bills)),
        readings=tuple(readings[key] for key in sorted(readings)),
        notices=(*notices, *(doubled if twice else [])),
    )


def _of_bill(bill: Bill) -> tuple[date, date, float, bool]:
    return bill.first_day, bill.last_day, bill.amount, bill.estimated


def _of_reading(reading: Reading) -> tuple[date, float, bool]:
    return reading.read_on, reading.amount, reading.estimated
