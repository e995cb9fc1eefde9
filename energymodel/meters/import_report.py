"""What became of a meter file: accepted, accepted with listed repairs, or rejected."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

from energymodel.errors import InputError

_PLACE = re.compile(r"(.*), ((?:line|reading) .+)", re.DOTALL)


class Outcome(Enum):
    """The three ways in which an import can end."""

    ACCEPTED = "accepted"
    REPAIRED = "accepted with listed repairs"
    REJECTED = "rejected"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportEntry:
    """One thing that was not as it should be, and what was done about it.

    Parameters
    ----------
    file
        File name.
    row
        Line or reading of the file ("line 12", "lines 12-40"); empty for the whole file.
    found
        What stands there, without personal text.
    expected
        What would have been right.
    done
        What the import did.
    """

    file: str
    row: str
    found: str
    expected: str
    done: str

    def __str__(self) -> str:
        where = f"{self.file}, {self.row}" if self.row else self.file
        return f"{where}: {self.found}; expected: {self.expected}; done: {self.done}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadAs:
    """One decision on how the file was read, and on what it rests.

    Parameters
    ----------
    name
        What was decided: "unit", "stamps", "date order", ...
    value
        The decision.
    basis
        "given", "header", "all rows", "common practice", ...
    """

    name: str
    value: str
    basis: str

    def __str__(self) -> str:
        return f"{self.name}: {self.value} ({self.basis})"


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportReport:
    """The outcome of one import.

    Parameters
    ----------
    file
        File name.
    outcome
        One of the three outcomes.
    entries
        Repairs, or the reasons of a rejection.
    read_as
        How the file was read; empty for a rejected file.
    """

    file: str
    outcome: Outcome
    entries: tuple[ReportEntry, ...] = ()
    read_as: tuple[ReadAs, ...] = ()

    def __str__(self) -> str:
        head = f"{self.file}: {self.outcome.value}"
        return "\n".join([head, *(f"- {line}" for line in (*self.read_as, *self.entries))])


def accepted_report(
    file: str, entries: tuple[ReportEntry, ...], read_as: tuple[ReadAs, ...]
) -> ImportReport:
    """Return the report of an accepted file.

    Parameters
    ----------
    file
        File name.
    entries
        Repairs; none make it a plain "accepted".
    read_as
        How the file was read.

    Returns
    -------
    ImportReport
        Accepted, or accepted with listed repairs.
    """
    outcome = Outcome.REPAIRED if entries else Outcome.ACCEPTED
    return ImportReport(file=file, outcome=outcome, entries=entries, read_as=read_as)


def place(file: str, row: int | str, *, noun: str = "line") -> str:
    """Return the place of a row for an error.

    Parameters
    ----------
    file
        File name.
    row
        Line or reading, counted from 1, or a range of them.
    noun
        What is counted: "line" or "reading".

    Returns
    -------
    str
        For example "use.csv, line 12".
    """
    return f"{file}, {noun} {row}"


class MeterError(InputError):
    """A meter file is rejected; the report says why.

    Parameters
    ----------
    what, where, expected, remedy
        As for every error of the package; `where` is built by `place`.
    """

    @property
    def report(self) -> ImportReport:
        """The import report of the rejected file."""
        match = _PLACE.fullmatch(self.where)
        file, row = match.groups() if match else (self.where, "")
        entry = ReportEntry(
            file=file,
            row=row,
            found=self.what,
            expected=self.expected,
            done="rejected" + (f"; {self.remedy}" if self.remedy else ""),
        )
        return ImportReport(file=file, outcome=Outcome.REJECTED, entries=(entry,))
