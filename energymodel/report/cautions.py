"""The usual cautions that go with a result, chosen by what its options are."""

from __future__ import annotations

from dataclasses import dataclass

from energymodel.datafiles import read_table
from energymodel.study.comparison.outcome import Comparison


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution.

    Parameters
    ----------
    text
        One or two calm sentences.
    brief
        Its form in one line under a table; empty: only in the full list.
    """

    text: str
    brief: str


def cautions_for(comparison: Comparison) -> tuple[Caution, ...]:
    """Choose the cautions that a comparison calls for.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    tuple of Caution
        In the order of the shipped table.
    """
    applies = {"always", "electric"}
    for outcome in comparison.outcomes:
        if outcome.result.total("heating_pump_heat_kwh") > 0:
            applies.add("heat pump")
        if any(carrier != "electricity" for carrier in outcome.energy_kwh):
            applies.add("fuel")
        if outcome.coverage is not None and not outcome.coverage.carries:
            applies.add("short")
    return tuple(
        Caution(text=row["text"], brief=row["brief"])
        for row in read_table("cautions.csv")
        if row["applies"] in applies
    )
