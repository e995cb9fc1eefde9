"""Rows of a comma-separated text; what the reader cannot take is told with its line."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator

from energymodel.errors import InputError


def csv_rows(lines: Iterable[str], *, where: str, delimiter: str = ",") -> Iterator[list[str]]:
    """Read rows one by one.

    Parameters
    ----------
    lines
        Lines of the text.
    where
        File, for the message.
    delimiter
        One character between the fields.

    Yields
    ------
    list of str
        Fields of a row; a row may take several lines where a field is quoted.

    Raises
    ------
    InputError
        If a field is longer than 131,072 characters, or a quoted field breaks off.

    Examples
    --------
    >>> list(csv_rows(["start,price", '"2026-01-01 00:00",0.11'], where="prices.csv"))
    [['start', 'price'], ['2026-01-01 00:00', '0.11']]
    """
    reader = csv.reader(lines, delimiter=delimiter)
    while True:
        try:
            row = next(reader, None)
        except csv.Error as fault:
            raise InputError(
                f"this line is no row of a table: {fault}",
                where=f"{where}, line {reader.line_num}",
                expected="fields of at most 131,072 characters, quotes closed",
            ) from None
        if row is None:
            return
        yield row
