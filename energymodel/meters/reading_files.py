"""Readings of a house in files and folders: whose each file is, and what became of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from energymodel.datafiles import read_table
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.meters.feed_bills import carriers_of_feed, rows_of_feed
from energymodel.meters.header_words import words_of
from energymodel.meters.import_report import Outcome
from energymodel.meters.meter_text import is_xml
from energymodel.meters.periods import REPAIR, MeterPeriods
from energymodel.meters.reading_columns import unit_in
from energymodel.meters.reading_file import read_rows, table_of_file
from energymodel.meters.reading_rows import (
    ReadingFacts,
    ReadingRows,
    joined_rows,
    periods_of_rows,
)
from energymodel.notices import Notice

ELECTRICITY = "electricity"
ENDINGS = (".csv", ".tsv", ".txt")
_WORDS = {
    "electricity": ELECTRICITY,
    "electric": ELECTRICITY,
    "power": ELECTRICITY,
    "gas": "natural gas",
    "propane": "propane",
    "lpg": "propane",
    "oil": "heating oil",
    "kerosene": "kerosene",
    "pellets": "pellets",
    "wood": "wood",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FileReport:
    """What became of one file, or of several files of one meter together.

    Parameters
    ----------
    name
        File, or what was put together.
    carrier
        Whose readings they are; empty: not known.
    outcome
        Accepted, accepted with listed repairs, or rejected.
    read_as
        How it was read.
    repairs
        What was merged, left out or found missing, or why it was rejected.
    """

    name: str
    carrier: str
    outcome: Outcome
    read_as: tuple[str, ...] = ()
    repairs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HouseReadings:
    """Readings of all meters of a house.

    Parameters
    ----------
    meters
        Periods by carrier.
    reports
        One for each file, and one where several files are one meter.
    """

    meters: Mapping[str, MeterPeriods]
    reports: tuple[FileReport, ...]


def reading_files(paths: Sequence[Path]) -> list[Path]:
    """List the files of readings behind some paths.

    Parameters
    ----------
    paths
        Files, or folders whose .csv, .tsv and .txt files are taken.

    Returns
    -------
    list of Path
        Folders replaced by their files, in the order of their names.

    Raises
    ------
    InputError
        If a folder holds no such file.
    """
    files: list[Path] = []
    for path in paths:
        if not path.is_dir():
            files.append(path)
            continue
        inside = sorted(one for one in path.iterdir() if one.suffix.lower() in ENDINGS)
        if not inside:
            raise InputError(
                "there are no readings in this folder",
                where=str(path),
                expected=f"text tables whose names end in {', '.join(ENDINGS)}",
            )
        files += inside
    return files


def carriers_of_file(path: Path, *, expected: str | None = None) -> tuple[str, ...]:
    """Tell whose readings a file holds.

    Parameters
    ----------
    path
        Text table, or Green Button file.
    expected
        Carrier to take where neither a column, the file name nor a heading names one.

    Returns
    -------
    tuple of str
        Several only where a column names the carrier of each row.

    Raises
    ------
    InputError
        If it cannot be told, or the file is no table of readings.
    """
    if is_xml(path):
        return carriers_of_feed(path)
    table, columns = table_of_file(path, expected or ELECTRICITY)
    if columns is not None and columns.carrier is not None:
        cells = dict.fromkeys(table.column(columns.carrier))
        named = [carrier for cell in cells for carrier in _named(cell)]
        if named:
            return tuple(dict.fromkeys(named))
    for text in (path.stem, " ".join(table.header)):
        if named := _named(text):
            return (named[0],)
    if expected is not None:
        return (expected,)
    return (_of_unit(" ".join(table.header), table.name),)


def _named(text: str) -> list[str]:
    words = words_of(text.replace("_", " "))
    return list(dict.fromkeys(carrier for word, carrier in _WORDS.items() if word in words))


def _of_unit(heading: str, name: str) -> str:
    carriers = dict.fromkeys(row["carrier"] for row in read_table("fuel_units.csv"))
    sold = [carrier for carrier in carriers if unit_in(heading, carrier)]
    if ELECTRICITY in sold:
        return ELECTRICITY
    if len(sold) == 1:
        return sold[0]
    raise InputError(
        "neither the file nor its headings say what was metered",
        where=name,
        expected="electricity, gas, propane, oil, ... in the file name, a heading or a column",
        remedy="say --fuel",
    )


def read_house_readings(
    paths: Sequence[Path], *, fuel: str | None = None, facts: ReadingFacts | None = None
) -> HouseReadings:
    """Read the readings of a house from files and folders.

    Parameters
    ----------
    paths
        Files and folders; several files of one carrier are one meter.
    fuel
        Carrier that the facts are about, taken where a file names none.
    facts
        What the files of that carrier do not say; order of dates, decimal mark and last day are
        taken for all files.

    Returns
    -------
    HouseReadings
        Meters, and what became of each file.

    Raises
    ------
    InputError
        If no file is left, or the rows of a meter cannot be made into periods.
    ManyFaultsError
        If several files are rejected and none is left.
    """
    reader = _Reader(fuel=fuel, facts=facts or ReadingFacts())
    for path in reading_files(paths):
        reader.take(path)
    reader.try_again()
    return reader.result()


def _rows_of_file(path: Path, carrier: str, facts: ReadingFacts) -> ReadingRows:
    if is_xml(path):
        return rows_of_feed(path, carrier, last_day=facts.last_day)
    return read_rows(path, carrier=carrier, facts=facts)


class _Reader:
    """Gathers rows by carrier and reports by file."""

    def __init__(self, *, fuel: str | None, facts: ReadingFacts) -> None:
        self.fuel = fuel
        self.facts = facts
        self.rows: dict[str, list[tuple[Path, ReadingRows]]] = {}
        self.failed: list[tuple[Path, str, EnergyModelError]] = []

    def facts_for(self, carrier: str) -> ReadingFacts:
        if self.fuel in (None, carrier):
            return self.facts
        return ReadingFacts(
            date_order=self.facts.date_order,
            decimal_mark=self.facts.decimal_mark,
            last_day=self.facts.last_day,
        )

    def take(self, path: Path) -> None:
        try:
            carriers = carriers_of_file(path, expected=self.fuel)
        except InputError as fault:
            self.failed.append((path, "", fault))
            return
        for carrier in carriers:
            self.read(path, carrier, self.facts_for(carrier))

    def read(self, path: Path, carrier: str, facts: ReadingFacts) -> None:
        try:
            rows = _rows_of_file(path, carrier, facts)
        except InputError as fault:
            self.failed.append((path, carrier, fault))
        else:
            self.rows.setdefault(carrier, []).append((path, rows))

    def try_again(self) -> None:
        """Read files whose dates have two ways in the one way of their neighbours."""
        failed, self.failed = self.failed, []
        for path, carrier, fault in failed:
            orders = {rows.date_order for _, rows in self.rows.get(carrier, [])}
            facts = self.facts_for(carrier)
            if "two ways" in fault.what and len(orders) == 1:
                self.read(path, carrier, replace(facts, date_order=orders.pop()))
            else:
                self.failed.append((path, carrier, fault))

    def result(self) -> HouseReadings:
        if not self.rows:
            raise _nothing_left([fault for _, _, fault in self.failed])
        reports = [_rejected(path, carrier, fault) for path, carrier, fault in self.failed]
        meters = {}
        for carrier, parts in self.rows.items():
            facts = self.facts_for(carrier)
            joined = joined_rows([rows for _, rows in parts])
            found = periods_of_rows(joined, facts=facts)
            meters[carrier] = found
            reports += _accepted(carrier, parts, found)
        return HouseReadings(meters=meters, reports=tuple(reports))


def _nothing_left(faults: Sequence[EnergyModelError]) -> EnergyModelError:
    if len(faults) == 1:
        return faults[0]
    return ManyFaultsError(faults, where="the readings")


def _rejected(path: Path, carrier: str, fault: EnergyModelError) -> FileReport:
    return FileReport(
        name=path.name, carrier=carrier, outcome=Outcome.REJECTED, repairs=(str(fault),)
    )


def _accepted(
    carrier: str, parts: Sequence[tuple[Path, ReadingRows]], found: MeterPeriods
) -> list[FileReport]:
    if len(parts) == 1:
        return [_report(parts[0][0].name, carrier, found.notices)]
    single = [_report(path.name, carrier, rows.notices) for path, rows in parts]
    told = {notice for _, rows in parts for notice in rows.notices}
    together = [notice for notice in found.notices if notice not in told]
    return [*single, _report(f"{len(parts)} files together", carrier, together)]


def _report(name: str, carrier: str, notices: Sequence[Notice]) -> FileReport:
    repairs = tuple(notice.text for notice in notices if notice.topic == REPAIR)
    return FileReport(
        name=name,
        carrier=carrier,
        outcome=Outcome.REPAIRED if repairs else Outcome.ACCEPTED,
        read_as=tuple(notice.text for notice in notices if notice.topic != REPAIR),
        repairs=repairs,
    )
