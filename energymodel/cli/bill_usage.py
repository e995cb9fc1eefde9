"""Files for `energymodel bill`: tariffs of both kinds, and use as months, readings or intervals."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.meters.interval import read_interval
from energymodel.meters.interval_data import IntervalData
from energymodel.meters.reading_file import read_readings
from energymodel.notices import Notice, UsedDefault
from energymodel.tariffs.bill import Bill, prepare
from energymodel.tariffs.billing_period import (
    BillingPeriods,
    monthly_from_day,
    of_months,
    of_readings,
)
from energymodel.tariffs.calendar import WallClock, clock_from_utc
from energymodel.tariffs.in_force import billing_year
from energymodel.tariffs.price_series import prices_on, read_price_series
from energymodel.tariffs.readings import Readings, bill_readings
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_words import read_month

_MOST_READINGS = 120
_YEAR_MONTH = re.compile(r"^(\d{4})-(\d{1,2})$")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BilledUse:
    """Bills of a use, and of the same use with a little more.

    Parameters
    ----------
    bill
        Of the use.
    more
        Of one hundredth more in every hour: their difference is the marginal price.
    notices
        How the use was read.
    defaults
        Values that were used and not given.
    """

    bill: Bill
    more: Bill
    notices: tuple[Notice, ...] = ()
    defaults: tuple[UsedDefault, ...] = ()


def read_usage(
    path: Path, tariff: Tariff, *, zone: str | None, day: int, folder: Path
) -> BilledUse:
    """Read a use and bill it.

    Parameters
    ----------
    path
        Table month,kWh; list of meter readings; or interval data.
    tariff
        Under which it is billed.
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
        If the file cannot be read, or interval data come without a zone.
    """
    rows = _rows(path)
    if rows and rows[0] and rows[0][0].strip().lower() == "month":
        periods, use, defaults = _months(rows, tariff, path.name)
        return _billed_readings(tariff, periods, use, defaults=defaults)
    if len(rows) <= _MOST_READINGS:
        return _listed(path, tariff)
    if zone is None:
        raise InputError(
            "interval data need the time zone of the place",
            where=path.name,
            remedy="add --zone America/New_York (or the zone it is)",
        )
    data = read_interval(path, zone=zone)
    return _intervals(data, tariff, zone=zone, day=day, folder=folder)


def _rows(path: Path) -> list[list[str]]:
    try:
        text = path.read_bytes().decode("utf-8-sig", errors="replace")
    except FileNotFoundError:
        raise InputError("there is no such file", where=str(path)) from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=str(path)) from None
    return [row for row in csv.reader(text.splitlines()) if any(cell.strip() for cell in row)]


def _months(
    rows: Sequence[Sequence[str]], tariff: Tariff, where: str
) -> tuple[BillingPeriods, list[float], tuple[UsedDefault, ...]]:
    head = [cell.strip() for cell in rows[0]]
    if len(head) < 2 or head[1].lower() != tariff.unit.name.lower():
        raise InputError(
            f"the columns {', '.join(head)}", where=where, expected=f"month,{tariff.unit.name}"
        )
    year, default = billing_year(tariff)
    months, use, guessed = [], [], False
    for number, row in enumerate(rows[1:], start=2):
        place = f"{where}, row {number}"
        dated = _YEAR_MONTH.match(row[0].strip())
        guessed |= dated is None
        months.append(
            (int(dated.group(1)), int(dated.group(2))) if dated else (year, _month(row[0], place))
        )
        use.append(_number(row[1] if len(row) > 1 else "", place))
    return of_months(months), use, (default,) if guessed else ()


def _month(cell: str, where: str) -> int:
    text = cell.strip()
    if text.isdigit() and 1 <= int(text) <= 12:
        return int(text)
    try:
        return read_month(text)
    except InputError as error:
        raise InputError(error.what, where=where, expected="2024-01, Jan or 1") from None


def _number(cell: str, where: str) -> float:
    try:
        return float(cell.strip())
    except ValueError:
        raise InputError(f"{cell!r} is not a number", where=where) from None


def _listed(path: Path, tariff: Tariff) -> BilledUse:
    carrier = "electricity" if tariff.unit.name == "kWh" else "natural gas"
    found = read_readings(path, carrier=carrier)
    if found.meter.unit != tariff.unit.name:
        raise InputError(
            f"readings in {found.meter.unit}, and the tariff counts {tariff.unit.name}",
            where=path.name,
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
    return _billed_readings(tariff, of_readings(marks), list(found.amount), notices=found.notices)


def _billed_readings(
    tariff: Tariff,
    periods: BillingPeriods,
    use: Sequence[float],
    *,
    notices: tuple[Notice, ...] = (),
    defaults: tuple[UsedDefault, ...] = (),
) -> BilledUse:
    def billed(factor: float) -> Bill:
        return bill_readings(tariff, periods, Readings(use=np.array(use) * factor))

    return _with_more(billed, notices, defaults)


def _with_more(
    billed: Callable[[float], Bill],
    notices: tuple[Notice, ...],
    defaults: tuple[UsedDefault, ...] = (),
) -> BilledUse:
    bill = billed(1.0)
    return BilledUse(
        bill=bill,
        more=billed(1.01),
        notices=(*notices, *bill.notices),
        defaults=(*defaults, *bill.defaults),
    )


def _series(tariff: Tariff, clock: WallClock, folder: Path) -> dict[str, Array]:
    """Price files are named from the folder of the tariff file."""
    return {
        hourly.name: prices_on(read_price_series(folder / hourly.file), clock)
        for hourly in tariff.hourly
        if hourly.file
    }


def _intervals(
    data: IntervalData, tariff: Tariff, *, zone: str, day: int, folder: Path
) -> BilledUse:
    lengths = set(data.length_s.tolist())
    if len(lengths) != 1:
        raise InputError(
            "intervals of different lengths", where=data.name, expected="one length throughout"
        )
    clock = clock_from_utc(data.start_utc, zone=zone, step_min=int(lengths.pop()) // 60)
    prepared = prepare(
        tariff, clock, periods=monthly_from_day(day, clock), series=_series(tariff, clock, folder)
    )
    fed_in = data.export_kwh if data.export_kwh.any() else None

    def billed(factor: float) -> Bill:
        return prepared.bill(data.import_kwh * factor, fed_in_kwh=fed_in)

    return _with_more(billed, data.notices, data.defaults)
