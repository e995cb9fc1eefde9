"""Which columns of a list of readings, bills or fills are which."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from energymodel.datafiles import read_table
from energymodel.errors import InputError
from energymodel.meters.decimal_marks import is_number
from energymodel.meters.header_words import (
    END,
    IDENTITY,
    MONEY,
    OTHER_QUANTITY,
    QUALITY,
    START,
    USE,
    word_set,
    words_of,
)
from energymodel.meters.remedies import say
from energymodel.meters.stamps import looks_like_stamp
from energymodel.meters.table import MeterTable

_INDEX = word_set("index counter register reading readings dial")
_FILL = word_set("fill fills filled delivery deliveries delivered")
_DAYS = word_set("days day")
_CARRIER = word_set("carrier fuel commodity service")
_UNIT = word_set("unit units uom")
_QUALITY = QUALITY | word_set("est estimate actual read full type")
_USED = word_set("use usage used consumption")
_MOST = 0.8


class Kind(Enum):
    """What the numbers of a list are."""

    INDEX = "what the counter shows"
    USE = "use since the previous read"
    FILL = "amount filled into the tank"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingColumns:
    """Positions of the columns, from 0.

    Parameters
    ----------
    end
        Day of the read or fill, or last day of the bill.
    start
        First day of the bill; None: only one date a row.
    amount
        The numbers.
    kind
        What they are.
    unit_word
        Unit named in the heading, as sold; None: not named there.
    unit, estimated, carrier, days
        Columns with the unit, the kind of read, the carrier and the number of days of each row;
        None: none.
    """

    end: int
    start: int | None
    amount: int
    kind: Kind
    unit_word: str | None
    unit: int | None
    estimated: int | None
    carrier: int | None
    days: int | None


def find_reading_columns(
    table: MeterTable, carrier: str, *, named: str | int | None = None
) -> ReadingColumns:
    """Find the columns by their headings and their content.

    Parameters
    ----------
    table
        Rows of the list.
    carrier
        "electricity", "natural gas", ...; its units of sale are looked for in headings.
    named
        Heading or number, from 1, of the column with the numbers; None: found.

    Returns
    -------
    ReadingColumns
        Positions.

    Raises
    ------
    InputError
        If dates or numbers are not found, several columns could be the numbers, or the only
        numbers are money.
    """
    if not table.header:
        raise InputError(
            "the list has no line of headings",
            where=table.name,
            expected='headings such as "from", "to", "use (therm)", "estimated", or "date", '
            '"index (kWh)"',
        )
    dates = [at for at in range(table.width) if _mostly(table, at, looks_like_stamp)]
    start, end = _dates(table, dates)
    amount = _named(table, named) if named is not None else _amount(table, carrier, dates)
    texts = [at for at in range(table.width) if at not in (*dates, amount)]
    words = {at: words_of(table.title(at)) for at in texts}
    return ReadingColumns(
        end=end,
        start=start,
        amount=amount,
        kind=_kind(words_of(table.title(amount))),
        unit_word=unit_in(table.title(amount), carrier),
        unit=_first(words, _UNIT),
        estimated=_first(words, _QUALITY),
        carrier=_first(words, _CARRIER),
        days=_days_column(table, texts),
    )


def _days_column(table: MeterTable, columns: Sequence[int]) -> int | None:
    found = [
        at
        for at in columns
        if words_of(table.title(at)) & _DAYS and _mostly(table, at, str.isdecimal)
    ]
    return found[0] if len(found) == 1 else None


def units_elsewhere(text: str, carrier: str) -> tuple[str, tuple[str, ...]] | None:
    """Find a unit in a heading in which other carriers are sold and this one is not.

    Parameters
    ----------
    text
        Heading.
    carrier
        Carrier that is not sold by it.

    Returns
    -------
    tuple or None
        The unit and the carriers sold by it; None if the heading names no such unit.

    Examples
    --------
    >>> units_elsewhere("use (therm)", "electricity")
    ('therm', ('natural gas',))
    """
    if unit_in(text, carrier) is not None:
        return None
    carriers = dict.fromkeys(row["carrier"] for row in read_table("fuel_units.csv"))
    found = {other: unit for other in carriers if (unit := unit_in(text, other)) is not None}
    if not found:
        return None
    first = next(iter(found.values()))
    return first, tuple(other for other, unit in found.items() if unit == first)


def holds_only_money(table: MeterTable) -> bool:
    """Return whether all numbers of a list are money, whatever the carrier is.

    Parameters
    ----------
    table
        Rows of the list.

    Returns
    -------
    bool
        Numbers of days, accounts and the like are left aside.
    """
    numbers = [
        at
        for at in range(table.width)
        if _mostly(table, at, is_number) and not _mostly(table, at, looks_like_stamp)
    ]
    titles = {at: table.title(at) for at in numbers}
    aside = OTHER_QUANTITY | IDENTITY | _DAYS
    money = [
        at
        for at, title in titles.items()
        if words_of(title) & MONEY and units_elsewhere(title, "") is None
    ]
    rest = [at for at, title in titles.items() if at not in money and not words_of(title) & aside]
    return bool(money) and not rest


def unit_in(text: str, carrier: str) -> str | None:
    """Find a unit in which a carrier is sold in a heading or a cell.

    Parameters
    ----------
    text
        Heading or cell.
    carrier
        Name of the carrier.

    Returns
    -------
    str or None
        The unit as printed in the table of units; None if there is none.

    Examples
    --------
    >>> unit_in("Filled (gal)", "propane"), unit_in("Filled", "propane")
    ('gallon', None)
    """
    for row in read_table("fuel_units.csv"):
        if row["carrier"] == carrier:
            spellings = [row["unit"].lower(), *filter(None, row["spellings"].split(";"))]
            for word in spellings:
                if re.search(rf"(?<![^\W_]){re.escape(word)}(?![^\W_])", text.lower()):
                    return row["unit"]
    return None


def _mostly(table: MeterTable, at: int, test: Callable[[str], bool]) -> bool:
    cells = table.sample(at)
    return bool(cells) and sum(map(test, cells)) >= _MOST * len(cells)


def _first(words: dict[int, frozenset[str]], wanted: frozenset[str]) -> int | None:
    return next((at for at, found in words.items() if found & wanted), None)


def _dates(table: MeterTable, dates: list[int]) -> tuple[int | None, int]:
    starts = [at for at in dates if words_of(table.title(at)) & START]
    ends = [at for at in dates if words_of(table.title(at)) & END and at not in starts]
    if len(dates) == 1:
        return None, dates[0]
    if len(dates) == 2 and len(starts) + len(ends) == 1:
        starts = starts or [at for at in dates if at not in ends]
        ends = ends or [at for at in dates if at not in starts]
    if len(starts) == 1 and len(ends) == 1:
        return starts[0], ends[0]
    raise InputError(
        f"{len(dates)} columns hold dates",
        where=table.name,
        expected='one column with the read date, or two headed "from" and "to"',
    )


def _named(table: MeterTable, name: str | int) -> int:
    if isinstance(name, int) and 1 <= name <= table.width:
        return name - 1
    titles = [title.lower() for title in table.header]
    wanted = str(name).strip().lower()
    if titles.count(wanted) == 1:
        return titles.index(wanted)
    raise InputError(
        f"there is no column {name!r}",
        where=table.name,
        expected=f"a heading that stands once, or a number from 1 to {table.width}",
    )


def _amount(table: MeterTable, carrier: str, dates: list[int]) -> int:
    numbers = [at for at in range(table.width) if at not in dates and _mostly(table, at, is_number)]
    words = {at: words_of(table.title(at)) for at in numbers}
    in_unit = [at for at in numbers if unit_in(table.title(at), carrier)]
    energy = [
        at
        for at in numbers
        if at in in_unit or not words[at] & (MONEY | OTHER_QUANTITY | IDENTITY | _DAYS)
    ]
    found = [at for at in energy if at in in_unit or words[at] & (USE | _INDEX | _FILL)] or energy
    uses = [at for at in found if not words[at] & _INDEX]
    if len(found) > 1 and len(uses) == 1:
        found = uses
    if len(found) == 1:
        return found[0]
    if not found:
        raise _no_amount(table)
    listed = ", ".join(f"column {at + 1}" for at in found)
    raise InputError(
        f"the use could stand in {listed}",
        where=table.name,
        expected='one column headed "use", "index" or "filled"',
        remedy=say(value_column="NUMBER"),
    )


def only_money(name: str) -> InputError:
    """Fault of a list that holds amounts of money instead of quantities.

    Parameters
    ----------
    name
        File name.

    Returns
    -------
    InputError
        To be raised.
    """
    return InputError(
        "the only numbers of the list are money, which is not energy",
        where=name,
        expected="quantities and read dates",
        remedy="read the quantity used and the dates of the reads off the bill; prices change "
        "and equal payments hide the use",
    )


def _no_amount(table: MeterTable) -> InputError:
    if any(words_of(title) & MONEY for title in table.header):
        return only_money(table.name)
    return InputError(
        "no column holds the use",
        where=table.name,
        expected='a column headed "use (therm)", "index (kWh)", "filled (gallon)" or the like',
    )


def _kind(words: frozenset[str]) -> Kind:
    if words & _INDEX and not words & _USED:
        return Kind.INDEX
    return Kind.FILL if words & _FILL else Kind.USE
