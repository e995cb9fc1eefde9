"""Thousands of variants of a scenario: every combination of a grid, or the rows of a table."""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Iterable, Sequence
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TypeAlias

import pandas as pd

from energymodel.errors import InputError
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.study.sweep.piece import Piece, make_piece
from energymodel.study.sweep.plan import SweepPlan, sweep_plan
from energymodel.study.sweep.run import Runner
from energymodel.study.sweep.store import Output, Store, pieces_left
from energymodel.study.sweep.tally import SweepSummary, Tally, piece_rows
from energymodel.study.sweep.weather import with_weather

PieceMaker: TypeAlias = Callable[[int], Piece]
Progress: TypeAlias = Callable[[Sequence[int], str], Iterable[int]]
"""Gives out the numbers of the pieces one by one and shows how many are done."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SweepResult:
    """A sweep that has run.

    Parameters
    ----------
    plan
        What was swept.
    summary
        Which option is cheapest where, and by how much.
    years
        A row per variant and option, as :func:`energymodel.study.sweep.frame.years_frame` sets
        them out, in the order of the variants; None where the sweep went to disk.
    months
        A row per variant, option and month; None where months are not wanted, or on disk.
    written
        Files or folder.
    kept
        Variants that an earlier run had finished.
    seconds
        What the others took.
    """

    plan: SweepPlan
    summary: SweepSummary
    years: pd.DataFrame | None
    months: pd.DataFrame | None
    written: tuple[Path, ...]
    kept: int
    seconds: float

    @property
    def option_years_per_second(self) -> float:
        """Speed of this run; 0 where nothing was left to run."""
        ran = (self.summary.variants - self.kept) * len(self.plan.options)
        return ran / self.seconds if self.seconds > 0 and ran else 0.0


def sweep(
    scenario: Scenario | str | Path,
    *,
    out: Output | str | Path | None = None,
    workers: int = 1,
    scheduler: str | None = None,
    progress: Progress | None = None,
) -> SweepResult:
    """Run the sweep of a scenario.

    Parameters
    ----------
    scenario
        With a table [sweep]: `[sweep.grid]` with lists or ranges of named fields, or `table`, a
        CSV file whose headers are names of fields and whose empty cells mean "as written"; a
        column `label` names its rows, and rows without any entry are left out.
    out
        Where it goes: a folder for Parquet parts, a file that ends in .csv or .parquet; None: it
        stays in memory. Existing things are refused unless :class:`Output` says otherwise.
    workers
        Processes; more than one needs the `cluster` extra.
    scheduler
        Address of a running scheduler of dask; None: none.
    progress
        Shows how far it is; None: nothing is shown.

    Returns
    -------
    SweepResult
        With every variant, the refused ones with their reason.

    Raises
    ------
    InputError
        If there is no sweep, the place is taken, or every variant is refused.
    ManyFaultsError
        With every name of a field that leads nowhere.

    Notes
    -----
    Every number is that of a single comparison to 1e-12. Variants of one structure (place, units,
    set-points, tariff) run in a batch, checked against single comparisons at its first and last
    variant; everything else runs one by one. The column `run` says which.
    """
    if not isinstance(scenario, Scenario):
        scenario = read_scenario(scenario)
    _check_workers(workers, scheduler)
    plan = with_weather(sweep_plan(scenario))
    runner = Runner(plan)
    pieces = len(runner.chunks)
    output = Output(path=Path(out)) if isinstance(out, str | Path) else out
    store = Store(plan, output, pieces) if output is not None else None
    left = pieces_left(store, pieces)
    tally, memory = Tally(plan), _Memory()
    kept = sorted(set(range(pieces)) - set(left))
    if store is not None:
        for number in kept:
            tally.add(piece_rows(store.read_years(number), len(plan.options)))
    begun = time.monotonic()
    make = partial(make_piece, runner, ending=output.ending if output is not None else "")
    with closing(_pieces(make, left, workers, scheduler)) as finished:
        for _ in left if progress is None else progress(left, "Running variants"):
            piece = next(finished)
            (memory if store is None else store).write(piece)
            tally.add(piece.rows)
    seconds = time.monotonic() - begun
    summary = tally.summary()
    _check_any(summary, scenario, store)
    return SweepResult(
        plan=plan,
        summary=summary,
        years=memory.years() if store is None else None,
        months=memory.months() if store is None and plan.months else None,
        written=store.finish() if store is not None else (),
        kept=sum(runner.chunks[number].variants.size for number in kept),
        seconds=seconds,
    )


def _check_workers(workers: int, scheduler: str | None) -> None:
    if workers < 1:
        raise InputError(f"{workers} workers", expected="1 or more")
    if workers > 1 or scheduler is not None:
        from energymodel.study.sweep.cluster import check_installed  # noqa: PLC0415 - an extra

        check_installed()


def _pieces(
    make: PieceMaker, left: Sequence[int], workers: int, scheduler: str | None
) -> Generator[Piece, None, None]:
    if workers == 1 and scheduler is None:
        return (make(number) for number in left)
    from energymodel.study.sweep.cluster import cluster_pieces  # noqa: PLC0415 - an extra

    return cluster_pieces(make, left, workers=workers, scheduler=scheduler)


def _check_any(summary: SweepSummary, scenario: Scenario, store: Store | None) -> None:
    if summary.refused < summary.variants:
        return
    if store is not None:
        store.discard()
    variant, reason = summary.reasons[0]
    raise InputError(
        f"every one of the {summary.variants} variants is refused; variant {variant}: {reason}",
        where=f"{scenario.path.name}, sweep",
        remedy="nothing was written",
    )


class _Memory:
    """Pieces that stay in memory."""

    def __init__(self) -> None:
        self._years: list[pd.DataFrame] = []
        self._months: list[pd.DataFrame] = []

    def write(self, piece: Piece) -> None:
        for kept, table in ((self._years, piece.years), (self._months, piece.months)):
            if isinstance(table, pd.DataFrame):
                kept.append(table)

    def years(self) -> pd.DataFrame:
        return _joined(self._years)

    def months(self) -> pd.DataFrame:
        return _joined(self._months)


def _joined(frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """One frame in the order of the variants; texts of refused variants differ by piece."""
    plain = [
        frame.assign(refused=frame["refused"].astype(object)) if "refused" in frame else frame
        for frame in frames
    ]
    whole = pd.concat(plain, ignore_index=True)
    return whole.sort_values("variant", kind="stable", ignore_index=True)
