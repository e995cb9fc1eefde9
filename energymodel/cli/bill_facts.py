"""What the user says of a file of use, for each kind of file that `energymodel bill` reads."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date
from typing import TYPE_CHECKING

from energymodel.errors import InputError
from energymodel.meters.bills import LastDay
from energymodel.meters.date_order import DateOrder
from energymodel.meters.decimal_marks import Mark
from energymodel.meters.facts import ClockKind, Label, MeterFacts, Repeats, Signs, TableFacts
from energymodel.meters.file_kind import FileKind
from energymodel.meters.reading_rows import ReadingFacts
from energymodel.meters.remedies import option_of

if TYPE_CHECKING:
    from energymodel.meters.interval_data import Commodity
    from energymodel.notices import Notice

_TABLE = {"unit", "decimal_mark", "date_order", "value_column", "bill_line"}
_METER = {"signs", "repeats", "heat_content", "bill_line"}
_USED: dict[FileKind, set[str]] = {
    FileKind.MONTHS: {"decimal_mark"},
    FileKind.READINGS: _TABLE | {"last_day", "dials"},
    FileKind.INTERVALS: _TABLE
    | _METER
    | {"interval_min", "export_column", "time_column", "label", "clock"},
    FileKind.FEED: _METER | {"usage_point", "meter_reading"},
}
_OTHER_OPTIONS = {
    "bill_line": "--bill-line",
    "heat_content": "--heat-content",
    "last_day": "--last-day",
}
_BILL_LINE = re.compile(
    r"(?P<number>\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?)\s*(?P<unit>[^\W\d_]\w*)"
    r"(?:\s+(?P<first>\d{4}-\d{2}-\d{2})(?:\s+to)?\s+(?P<last>\d{4}-\d{2}-\d{2}))?"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BillText:
    """One line of a bill as the user wrote it.

    Parameters
    ----------
    quantity, unit
        As printed.
    first_day, last_day
        Days of the bill, both counted; None: the latest whole bill of the file.
    """

    quantity: float
    unit: str
    first_day: date | None
    last_day: date | None

    @property
    def printed(self) -> str:
        """Quantity with its unit."""
        return f"{self.quantity:g} {self.unit}"


def bill_text(text: str | None) -> BillText | None:
    """Read `--bill-line`.

    Parameters
    ----------
    text
        Quantity and unit, and the days of the bill; None: not given.

    Returns
    -------
    BillText or None
        None where nothing is given.

    Raises
    ------
    InputError
        If the text is no such line.
    """
    if text is None:
        return None
    match = _BILL_LINE.fullmatch(text.strip())
    days = None if match is None else _days(match.group("first", "last"))
    if match is None or days is None:
        raise InputError(
            f"--bill-line {text!r} is no line of a bill",
            expected="'745 kWh', or with its days '745 kWh 2024-01-05 2024-02-04'",
        )
    first, last = days
    number = float(match.group("number").replace(",", ""))
    return BillText(quantity=number, unit=match.group("unit"), first_day=first, last_day=last)


def _days(texts: Sequence[str | None]) -> tuple[date | None, date | None] | None:
    """Return two days, None for each where none is given; None if a day does not exist."""
    try:
        first, last = (None if text is None else date.fromisoformat(text) for text in texts)
    except ValueError:
        return None
    return first, last


def mark_of(word: str | None) -> Mark | None:
    """Return the mark that a word names.

    Parameters
    ----------
    word
        "comma" or "point"; None: not given.

    Returns
    -------
    {",", "."} or None
        The mark.
    """
    marks: dict[str, Mark] = {"comma": ",", "point": "."}
    return None if word is None else marks[word]


def last_day_of(word: str | None) -> LastDay | None:
    """Return what the last day of a bill means.

    Parameters
    ----------
    word
        "read" or "included"; None: not given.

    Returns
    -------
    LastDay or None
        The rule.
    """
    rules = {"read": LastDay.OPENS_THE_NEXT, "included": LastDay.INCLUDED}
    return None if word is None else rules[word]


def column_named(text: str | None) -> str | int | None:
    """Turn the number of a column into a number.

    Parameters
    ----------
    text
        Heading or number; None: not given.

    Returns
    -------
    str, int or None
        As the readers take it.
    """
    return int(text) if text is not None and text.isdigit() else text


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What the user says of the file; None: not said.

    Parameters
    ----------
    unit, interval_min, decimal_mark, date_order, value_column, export_column, time_column
        Of a table.
    label, clock
        What its stamps mean.
    signs, repeats
        Of the meter.
    usage_point, meter_reading
        Of a Green Button file.
    last_day, dials
        Of a list of readings.
    heat_content
        Energy of one unit of gas volume.
    bill_line
        Line of one bill.
    """

    unit: str | None = None
    interval_min: float | None = None
    decimal_mark: Mark | None = None
    date_order: DateOrder | None = None
    value_column: str | int | None = None
    export_column: str | int | None = None
    time_column: str | int | None = None
    label: Label | None = None
    clock: ClockKind | None = None
    signs: Signs | None = None
    repeats: Repeats | None = None
    usage_point: int | None = None
    meter_reading: int | None = None
    last_day: LastDay | None = None
    dials: int | None = None
    heat_content: str | None = None
    bill_line: BillText | None = None

    def check(self, kind: FileKind, name: str) -> None:
        """Refuse what has no meaning for a kind of file.

        Parameters
        ----------
        kind
            Of the file.
        name
            File name.

        Raises
        ------
        InputError
            If something is said that would not be used.
        """
        said = {field.name for field in fields(self) if getattr(self, field.name) is not None}
        idle = sorted(said - _USED[kind])
        if idle:
            options = ", ".join(_OTHER_OPTIONS.get(one) or option_of(one) for one in idle)
            raise InputError(
                f"{options} has no meaning for {kind.value}"
                if len(idle) == 1
                else f"{options} have no meaning for {kind.value}",
                where=name,
                remedy="leave it out, or check that this is the file you mean",
            )

    def table_facts(self, commodity: Commodity) -> TableFacts:
        """Return what is said of a table of interval data.

        Parameters
        ----------
        commodity
            What the meter counts.

        Returns
        -------
        TableFacts
            For its reader.
        """
        return TableFacts(
            commodity=commodity,
            unit=self.unit,
            interval_min=self.interval_min,
            label=self.label,
            clock=self.clock,
            date_order=self.date_order,
            decimal_mark=self.decimal_mark,
            time_column=self.time_column,
            value_column=self.value_column,
            export_column=self.export_column,
        )

    def reading_facts(self) -> ReadingFacts:
        """Return what is said of a list of readings.

        Returns
        -------
        ReadingFacts
            For its reader.
        """
        return ReadingFacts(
            unit=self.unit,
            last_day=self.last_day,
            dials=self.dials,
            date_order=self.date_order,
            decimal_mark=self.decimal_mark,
            value_column=self.value_column,
        )

    def meter_facts(self) -> tuple[MeterFacts, tuple[Notice, ...]]:
        """Return what is said of the meter.

        Returns
        -------
        facts : MeterFacts
            For the readers of interval data.
        notices : tuple of Notice
            What looks odd about the heat content.
        """
        heat: float | None = None
        notices: tuple[Notice, ...] = ()
        if self.heat_content is not None:
            from energymodel.economics.fuels import heat_content

            content = heat_content(
                "natural gas", "m3", given=self.heat_content, where="--heat-content"
            )
            heat, notices = content.kwh_per_unit, content.notices
        facts = MeterFacts(signs=self.signs, heat_kwh_per_m3=heat, repeats=self.repeats or "fold")
        return facts, notices
