"""A sweep on disk: piece by piece, each whole or not at all, so that it can be taken up again."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from energymodel import __version__
from energymodel.errors import InputError, install_line
from energymodel.study.sweep.files import join_parts, read_part, write_part
from energymodel.study.sweep.piece import Piece
from energymodel.study.sweep.plan import SweepPlan

if TYPE_CHECKING:
    import pandas as pd

PLAN_FILE = "_sweep.json"
YEARS, MONTHS = "years", "months"


class Existing(Enum):
    """What to do with what is there already."""

    REFUSE = "refuse"
    RESUME = "keep the finished pieces"
    REPLACE = "write anew"


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """Where a sweep goes.

    Parameters
    ----------
    path
        A folder for Parquet parts, or one file that ends in .csv or .parquet.
    existing
        What to do with an earlier sweep there.
    """

    path: Path
    existing: Existing = Existing.REFUSE

    @property
    def single(self) -> bool:
        """Whether it becomes one file."""
        return self.path.suffix in (".csv", ".parquet")

    @property
    def ending(self) -> str:
        """Ending of the parts."""
        return self.path.suffix if self.single else ".parquet"

    @property
    def folder(self) -> Path:
        """Where the parts stand."""
        return self.path.with_name(f".{self.path.name}.parts") if self.single else self.path

    @property
    def months_file(self) -> Path:
        """The file of the months, where the sweep becomes one file."""
        return self.path.with_name(f"{self.path.stem}-months{self.path.suffix}")


class Store:
    """Parts of one sweep on disk.

    Parameters
    ----------
    plan
        The sweep.
    output
        Where it goes.
    pieces
        In how many pieces it is cut.

    Raises
    ------
    InputError
        If something is there that may not be replaced, or belongs to another sweep.
    """

    def __init__(self, plan: SweepPlan, output: Output, pieces: int) -> None:
        self.plan = plan
        self.output = output
        self.pieces = pieces
        _check_name(output)
        _check_parent(output)
        self._check_targets()
        self._open()

    @property
    def done(self) -> frozenset[int]:
        """Numbers of the pieces that are whole."""
        years = self.output.folder / YEARS
        found = (path.stem.removeprefix("part-") for path in years.glob(f"part-*{self._ending}"))
        return frozenset(int(number) for number in found if number.isdigit())

    @property
    def _ending(self) -> str:
        return self.output.ending

    def write(self, piece: Piece) -> None:
        """Write a piece; its years come last and say that it is whole.

        Parameters
        ----------
        piece
            With tables as contents of files.
        """
        for kind, content in ((MONTHS, piece.months), (YEARS, piece.years)):
            if isinstance(content, bytes):
                write_part(self._part(kind, piece.number), content)

    def read_years(self, number: int) -> pd.DataFrame:
        """Read a piece back.

        Parameters
        ----------
        number
            Of the piece.

        Returns
        -------
        DataFrame
            Its years.
        """
        return read_part(self._part(YEARS, number))

    def finish(self) -> tuple[Path, ...]:
        """Join the parts where one file is wanted.

        Returns
        -------
        tuple of Path
            What was written.
        """
        output = self.output
        if not output.single:
            return (output.path,)
        targets = [(YEARS, output.path)]
        targets += [(MONTHS, output.months_file)] if self.plan.months else []
        for kind, target in targets:
            join_parts([self._part(kind, number) for number in range(self.pieces)], target)
        shutil.rmtree(output.folder)
        return tuple(target for _, target in targets)

    def discard(self) -> None:
        """Take away what was written."""
        for name in (YEARS, MONTHS):
            shutil.rmtree(self.output.folder / name, ignore_errors=True)
        (self.output.folder / PLAN_FILE).unlink(missing_ok=True)
        if not any(self.output.folder.iterdir()):
            self.output.folder.rmdir()

    def _part(self, kind: str, number: int) -> Path:
        return self.output.folder / kind / f"part-{number:05d}{self._ending}"

    def _check_targets(self) -> None:
        if not self.output.single or self.output.existing is Existing.REPLACE:
            return
        targets = [self.output.path, *([self.output.months_file] if self.plan.months else [])]
        for target in targets:
            if target.exists():
                raise InputError(
                    "this file exists",
                    where=str(target),
                    remedy="choose another name, or replace it (--replace)",
                )

    def _open(self) -> None:
        folder, existing = self.output.folder, self.output.existing
        there = folder.is_dir() and any(folder.iterdir())
        if there and not (folder / PLAN_FILE).is_file():
            raise InputError(
                "this folder holds other things than a sweep",
                where=str(folder),
                remedy="name a new folder",
            )
        if there and existing is Existing.REFUSE:
            raise InputError(
                f"a sweep is here already, {len(self.done)} of {self.pieces} pieces of it done",
                where=str(self.output.path),
                remedy="resume it (--resume), replace it (--replace), or name another place",
            )
        if there and existing is Existing.REPLACE:
            self.discard()
        if there and existing is Existing.RESUME:
            self._check_belongs()
        for name in (YEARS, MONTHS):
            (folder / name).mkdir(parents=True, exist_ok=True)
            for left in (folder / name).glob(".*.part"):
                left.unlink()
        if not self.plan.months:
            (folder / MONTHS).rmdir()
        self._write_plan()

    def _check_belongs(self) -> None:
        file = self.output.folder / PLAN_FILE
        try:
            found = json.loads(file.read_text("utf-8"))
        except (OSError, ValueError):
            found = {}
        if found.get("digest") != self.plan.digest or found.get("pieces") != self.pieces:
            raise InputError(
                "what is here belongs to another sweep: the scenario, a file it names or the"
                " version has changed since",
                where=str(file),
                remedy="name another place, or replace it (--replace)",
            )

    def _write_plan(self) -> None:
        file = self.output.folder / PLAN_FILE
        plan = {
            "digest": self.plan.digest,
            "version": __version__,
            "variants": self.plan.count,
            "pieces": self.pieces,
            "fields": self.plan.paths,
            "options": self.plan.options,
        }
        temporary = file.with_name(f".{file.name}.part")
        temporary.write_text(json.dumps(plan, indent=1), "utf-8")
        temporary.replace(file)


_OTHER_TABLES = (".xls", ".xlsx", ".json", ".txt", ".tsv", ".feather", ".pq")


def _check_name(output: Output) -> None:
    """Refuse a name that promises another kind of table, which would become a folder."""
    if output.path.suffix.lower() in _OTHER_TABLES and not output.path.is_dir():
        raise InputError(
            f"{output.path.name} is no kind of table that a sweep writes",
            where=str(output.path),
            expected="a name that ends in .csv or .parquet, or a folder",
        )


def _check_parent(output: Output) -> None:
    target = output.path
    if not target.parent.is_dir():
        raise InputError(f"there is no folder {target.parent}", where=str(target))
    if output.single == target.is_dir():
        if output.single:
            raise InputError("this is a folder, not a file", where=str(target))
        if target.exists():
            raise InputError(
                "this is a file",
                where=str(target),
                expected="a folder, or a file that ends in .csv or .parquet",
            )
    if output.ending == ".parquet" and find_spec("pyarrow") is None:
        raise InputError(
            "Parquet needs the library pyarrow, which is not installed",
            where=str(target),
            remedy=f"{install_line('sweeps')}, or name a file that ends in .csv",
        )


def pieces_left(store: Store | None, pieces: int) -> list[int]:
    """List the pieces that are still to run.

    Parameters
    ----------
    store
        What is on disk; None: nothing is.
    pieces
        All of them.

    Returns
    -------
    list of int
        Their numbers.
    """
    done: Iterable[int] = store.done if store is not None else ()
    return sorted(set(range(pieces)) - set(done))
