"""A finished piece of a sweep: its tables, and what it adds to the summary."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from energymodel.study.sweep.files import encoded
from energymodel.study.sweep.frame import months_frame, years_frame
from energymodel.study.sweep.run import Runner
from energymodel.study.sweep.tally import PieceRows, piece_rows

Table = pd.DataFrame | bytes
"""Rows, or the content of a file with them."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """A piece that has run.

    Parameters
    ----------
    number
        Of the piece.
    years, months
        Its tables; no months where they are not wanted.
    rows
        For the summary.
    """

    number: int
    years: Table
    months: Table | None
    rows: PieceRows


def make_piece(runner: Runner, number: int, ending: str) -> Piece:
    """Run a piece and set out its tables.

    Parameters
    ----------
    runner
        The sweep.
    number
        Of the piece.
    ending
        ".parquet" or ".csv": tables as the content of files; empty: as frames.

    Returns
    -------
    Piece
        Whole.
    """
    block = runner.run(number)
    years = years_frame(runner.plan, block)
    months = months_frame(runner.plan, block) if runner.plan.months else None
    rows = piece_rows(years, len(runner.plan.options))
    if not ending:
        return Piece(number=number, years=years, months=months, rows=rows)
    return Piece(
        number=number,
        years=encoded(years, ending),
        months=None if months is None else encoded(months, ending),
        rows=rows,
    )
