"""Quality marks of a table's rows, counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from energymodel.meters.header_words import word_set, words_of
from energymodel.meters.table import MeterTable

_VALID = word_set("a act actual valid validated ok good measured real gemessen mesure v w")
_ESTIMATED = word_set("e est estimated estimate estimation geschatzt estime estimado")


def count_qualities(table: MeterTable, index: int | None) -> Mapping[str, int]:
    """Count the rows by what their quality column says.

    Parameters
    ----------
    table
        Table.
    index
        Quality column, from 0; None if there is none.

    Returns
    -------
    mapping
        Rows by "valid", "estimated", "other" and "not stated"; empty without such a column.
    """
    if index is None:
        return {}
    estimates = any(word.startswith("estim") for word in words_of(table.title(index)))
    return dict(Counter(_quality(cell, asks_estimated=estimates) for cell in table.column(index)))


def _quality(cell: str, *, asks_estimated: bool) -> str:
    words = words_of(cell)
    if not words:
        return "not stated"
    if asks_estimated and words & {"yes", "y", "true", "ja", "oui", "si", "x"}:
        return "estimated"
    if asks_estimated and words & {"no", "n", "false", "nein", "non"}:
        return "valid"
    if words & _ESTIMATED:
        return "estimated"
    return "valid" if words & _VALID else "other"
