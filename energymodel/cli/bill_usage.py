"""Files for `energymodel bill`: use as months, readings, interval data or a Green Button file."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.cli.bill_facts import Said
from energymodel.cli.bill_intervals import Billing, read_intervals
from energymodel.errors import InputError
from energymodel.meters.decimal_marks import NumberColumn, read_numbers
from energymodel.meters.file_kind import FileKind, kind_of_file
from energymodel.meters.import_report import Outcome, ReportEntry
from energymodel.meters.interval_data import Commodity, IntervalData
from energymodel.meters.meter_text import read_meter_text
from energymodel.meters.periods import REPAIR, MeterPeriods
from energymodel.meters.reading_file import read_readings
from energymodel.meters.stamps import month_number
from energymodel.notices import Notice, UsedDefault
from energymodel.tariffs.bill import Bill, prepare
from energymodel.tariffs.billing_period import (
    BillingPeriods,
    monthly_from_day,
    of_months,
    of_readings,
)
from energymodel.tariffs.calendar import clock_from_utc
from energymodel.tariffs.in_force import billing_year
from energymodel.tariffs.price_series import hourly_prices
from energymodel.tariffs.readings import Readings, bill_readings
from energymodel.tariffs.tariff import Tariff

_YEAR_MONTH = re.compile(r"(\d{4})[-/.](\d{1,2})")
_MONTH_NAME = re.compile(r"([^\W\d_]{3,9})\.?(?:[-/ ]+(\d{4}))?")


@dataclass(frozen=True, slots=True, kw_only=True)
class UsageReport:
    """How a file of use was read.

    Parameters
    ----------
    name
        File name.
    outcome
        Accepted, or accepted with listed repairs.
    repairs
        What was repaired, merged or left out.
    """

    name: str
    outcome: Outcome
    repairs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BilledUse:
    """Bills of a use, and of the same use with a little more.

    Parameters
    ----------
    bill
        Of the use.
    more
        Of one hundredth more in every hour: their difference is the marginal price.
    report
        How the file of the use was read.
    notices
        What the reader should know.
    defaults
        Values that were used and not given.
    stated_cost
        Cost that the file itself states for the same intervals, with its currency; None: none.
    """

    bill: Bill
    more: Bill
    report: UsageReport
    notices: tuple[Notice, ...] = ()
    defaults: tuple[UsedDefault, ...] = ()
    stated_cost: tuple[float, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Use:
    """A use that bills itself with any factor, and what is known of it."""

    billed: Callable[[float], Bill]
    report: UsageReport
    notices: tuple[Notice, ...] = ()
    defaults: tuple[UsedDefault, ...] = ()
    stated_cost: tuple[float, str] | None = None

    def with_more(self) -> BilledUse:
        bill = self.billed(1.0)
        return BilledUse(
            bill=bill,
            more=self.billed(1.01),
            report=self.report,
            notices=(*self.notices, *bill.notices),
            defaults=(*self.defaults, *bill.defaults),
            stated_cost=self.stated_cost,
        )


def read_usage(
    path: Path, tariff: Tariff, said: Said, *, zone: str | None, day: int, folder: Path
) -> BilledUse:
    """Read a use and bill it.

    Parameters
    ----------
    path
        Table month,kWh; list of meter readings; interval data; or Green Button file.
    tariff
        Under which it is billed.
    said
        What the user says of the file.
    zone
        Time zone of the place; interval data need it.
    day
        Day of the month on which a bill of interval data begins.
    folder
        Of the tariff file: its price series lie beside it.

    Returns
    -------
    BilledUse
        With what the reader should know.

    Raises
    ------
    InputError
        If the file cannot be read, something is said that would not be used, or interval data
        come without a zone.
    """
    kind = kind_of_file(path)
    said.check(kind, path.name)
    if kind is FileKind.MONTHS:
        return _months(path, tariff, said).with_more()
    if kind is FileKind.READINGS:
        return _listed(path, tariff, said).with_more()
    if zone is None:
        raise InputError(
            "interval data need the time zone of the place",
            where=path.name,
            remedy="add --zone America/New_York (or the zone it is)",
        )
    billing = Billing(zone=zone, day=day, commodity=_commodity(tariff))
    data, notices = read_intervals(path, kind, said, billing)
    return _intervals(data, tariff, billing, folder, notices).with_more()


def _commodity(tariff: Tariff) -> Commodity:
    return "electricity" if tariff.unit.name == "kWh" else "gas"


def _months(path: Path, tariff: Tariff, said: Said) -> _Use:
    mark, rows = _month_rows(path)
    head = [cell.strip() for cell in rows[0][1]]
    if len(head) < 2 or head[1].lower() != tariff.unit.name.lower():
        raise InputError(
            f"the columns {', '.join(head)}",
            where=path.name,
            expected=f"month,{tariff.unit.name}",
            remedy="the tariff counts " + tariff.unit.name + ": give the use in that unit",
        )
    year, default = billing_year(tariff)
    months = [_month(cells[0], f"{path.name}, line {line}") for line, cells in rows[1:]]
    guessed = any(named is None for named, _ in months)
    use, entries = _month_use(path.name, mark, rows, said)
    return _Use(
        billed=_by_reading(tariff, of_months([(named or year, one) for named, one in months]), use),
        report=_report(path.name, [f"{entry}." for entry in entries]),
        defaults=(default,) if guessed else (),
    )


def _month_rows(path: Path) -> tuple[str, list[tuple[int, list[str]]]]:
    """Return the separator, and the heading and the rows of a table of months with their lines."""
    text = read_meter_text(path)
    mark = ","
    rows: list[tuple[int, list[str]]] = []
    for number, line in enumerate(text.lines, start=1):
        if not line.strip(" \t;,") or line.startswith("#"):
            continue
        if not rows:
            mark = max(",;\t", key=line.count)
        try:
            rows.append((number, next(csv.reader([line], delimiter=mark))))
        except csv.Error:
            raise InputError(
                "the line cannot be cut into columns",
                where=text.at(number - 1),
                expected="a month and its use",
            ) from None
    if len(rows) < 2:
        raise InputError(
            "the table has no months below its headings",
            where=path.name,
            expected="a row for each month",
        )
    return mark, rows


def _month_use(
    name: str, separator: str, rows: Sequence[tuple[int, list[str]]], said: Said
) -> tuple[Array, tuple[ReportEntry, ...]]:
    lines = [line for line, _ in rows[1:]]
    column = NumberColumn(
        file=name,
        lines=lines,
        cells=[cells[1].strip() if len(cells) > 1 else "" for _, cells in rows[1:]],
        separator=separator,
        noun="use",
    )
    use, _, entries = read_numbers(column, mark=said.decimal_mark)
    if np.isnan(use).any():
        raise InputError(
            "the use of this month is blank",
            where=f"{name}, line {lines[int(np.argmax(np.isnan(use)))]}",
            expected="a number for every month",
        )
    return use, entries


def _month(cell: str, where: str) -> tuple[int | None, int]:
    """Return the year, None if it is not named, and the month."""
    text = cell.strip()
    dated, named = _YEAR_MONTH.fullmatch(text), _MONTH_NAME.fullmatch(text)
    year, month = None, 0
    if dated is not None:
        year, month = int(dated.group(1)), int(dated.group(2))
    elif named is not None:
        year = int(named.group(2)) if named.group(2) else None
        month = month_number(named.group(1))
    elif text.isdecimal():
        month = int(text)
    if not 1 <= month <= 12:
        raise InputError(
            f"{text[:20]!r} is not a month", where=where, expected="2024-01, Jan 2024, Jan or 1"
        )
    return year, month


def _listed(path: Path, tariff: Tariff, said: Said) -> _Use:
    carrier = "electricity" if _commodity(tariff) == "electricity" else "natural gas"
    found = read_readings(path, carrier=carrier, facts=said.reading_facts())
    if found.meter.unit != tariff.unit.name:
        raise InputError(
            f"readings in {found.meter.unit}, and the tariff counts {tariff.unit.name}",
            where=path.name,
            remedy=f"take the {tariff.unit.name} off the bills, or a tariff that counts "
            f"{found.meter.unit}",
        )
    marks = [period.first_day for period in found.periods]
    marks.append(found.periods[-1].end_day)
    for period, following in zip(found.periods, marks[1:], strict=True):
        if period.end_day != following:
            raise InputError(
                f"no reading covers {period.end_day} to {following}",
                where=path.name,
                expected="bills that follow each other",
            )
    repairs = [notice.text for notice in found.notices if notice.topic == REPAIR]
    rest = [notice for notice in found.notices if notice.topic != REPAIR]
    return _Use(
        billed=_by_reading(tariff, of_readings(marks), found.amount),
        report=_report(path.name, repairs),
        notices=(*_unit_confirmed(found, said), *rest),
    )


def _unit_confirmed(found: MeterPeriods, said: Said) -> tuple[Notice, ...]:
    """Hold the latest single bill of a list against the energy that it prints."""
    line = said.bill_line
    if line is None:
        return ()
    from energymodel.economics.fuels import heat_content
    from energymodel.study.house.bill_line import check_bill_line

    if line.first_day is not None:
        raise InputError(
            "--bill-line with days is for interval data; a list is held against its latest bill",
            remedy=f"leave the days out: --bill-line '{line.printed}'",
        )
    content = heat_content(found.meter.carrier, found.meter.unit)
    latest = [period for period in found.periods if not period.merged][-1]
    ratio = check_bill_line(latest.amount, content, line.printed).ratio
    text = f"confirmed, {latest.label} is {ratio:.1%} of the {line.printed} on the bill."
    return (Notice(topic="unit", text=text),)


def _report(name: str, repairs: Sequence[str]) -> UsageReport:
    outcome = Outcome.REPAIRED if repairs else Outcome.ACCEPTED
    return UsageReport(name=name, outcome=outcome, repairs=tuple(repairs))


def _by_reading(tariff: Tariff, periods: BillingPeriods, use: Array) -> Callable[[float], Bill]:
    def billed(factor: float) -> Bill:
        return bill_readings(tariff, periods, Readings(use=np.asarray(use) * factor))

    return billed


def _intervals(
    data: IntervalData,
    tariff: Tariff,
    billing: Billing,
    folder: Path,
    notices: tuple[Notice, ...],
) -> _Use:
    lengths = set(data.length_s.tolist())
    if len(lengths) != 1:
        raise InputError(
            "intervals of different lengths", where=data.name, expected="one length throughout"
        )
    clock = clock_from_utc(data.start_utc, zone=billing.zone, step_min=int(lengths.pop()) // 60)
    prepared = prepare(
        tariff,
        clock,
        periods=monthly_from_day(billing.day, clock),
        series=hourly_prices(tariff, clock, folder),
    )
    fed_in = data.export_kwh if data.export_kwh.any() else None

    def billed(factor: float) -> Bill:
        return prepared.bill(data.import_kwh * factor, fed_in_kwh=fed_in)

    repairs = [f"{entry}." for entry in data.report.entries]
    told = frozenset(repairs)
    cost = data.total_cost
    return _Use(
        billed=billed,
        report=_report(data.name, repairs),
        notices=(*notices, *(note for note in data.notices if note.text not in told)),
        defaults=data.defaults,
        stated_cost=None if cost is None else (cost, data.currency or ""),
    )
