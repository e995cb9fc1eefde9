"""Monthly sums of a Green Button file, as the rows of a list of readings."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np

from energymodel.arrays import Mask
from energymodel.meters.bills import Bill, LastDay
from energymodel.meters.espi_feed import UsagePoint, read_feed
from energymodel.meters.espi_series import select_series
from energymodel.meters.facts import MeterFacts
from energymodel.meters.green_button import read_green_button
from energymodel.meters.import_report import MeterError
from energymodel.meters.interval_data import Commodity, IntervalData, MonthlyUse
from energymodel.meters.periods import Meter, readings_notice, repair_notice
from energymodel.meters.power_check import UNIT_CHECK
from energymodel.meters.reading_rows import ReadingRows
from energymodel.notices import Notice

_COMMODITIES: dict[str, Commodity] = {"electricity": "electricity", "natural gas": "gas"}
_CARRIER_OF_SERVICE = {0: "electricity", 1: "natural gas"}
_AS_VOLUME = 1.0
"""Heat content that leaves a gas volume in cubic metres."""


def carriers_of_feed(path: Path) -> tuple[str, ...]:
    """Tell what the meters of a feed count.

    Parameters
    ----------
    path
        Green Button file.

    Returns
    -------
    tuple of str
        Carriers, each once.

    Raises
    ------
    MeterError
        If the file cannot be read or counts neither electricity nor gas.
    """
    carriers = tuple(dict.fromkeys(filter(None, map(_carrier, read_feed(path)))))
    if not carriers:
        raise MeterError(
            "no usage point of the file is of electricity or gas",
            where=path.name,
            expected="ServiceCategory kind 0 (electricity) or 1 (gas)",
        )
    return carriers


def rows_of_feed(path: Path, carrier: str, *, last_day: LastDay | None = None) -> ReadingRows:
    """Sum the readings of one meter by calendar month.

    Parameters
    ----------
    path
        Green Button file that states its clock.
    carrier
        "electricity" or "natural gas".
    last_day
        What the user says of the last day of all lists; the months are written that way.

    Returns
    -------
    ReadingRows
        One bill for each whole month, in kWh, or in m3 where gas is counted by volume.

    Raises
    ------
    MeterError
        If the file cannot be read, has several meters of the carrier, or no whole month.
    """
    point = _only_point(path, carrier)
    selected, _ = select_series(path.name, point, _COMMODITIES[carrier], None)
    by_volume = selected[0].unit.kind == "volume"
    data = read_green_button(
        path,
        usage_point=point.number,
        meter=MeterFacts(heat_kwh_per_m3=_AS_VOLUME if by_volume else None),
    )
    months = data.monthly()
    whole = months.covered_share > 1.0 - 1e-9
    if not whole.any():
        raise MeterError(
            "the readings cover no calendar month in full",
            where=path.name,
            expected="whole months between the first and the last reading",
        )
    return ReadingRows(
        meter=Meter(carrier=carrier, unit="m3" if by_volume else "kWh"),
        kind=None,
        bills=_bills(path.name, months, whole, included=last_day is LastDay.INCLUDED),
        readings=(),
        date_order="ymd",
        notices=(*_read_as(path.name, whole), *_repairs(data, whole)),
    )


def _carrier(point: UsagePoint) -> str | None:
    return None if point.service is None else _CARRIER_OF_SERVICE.get(point.service)


def _only_point(path: Path, carrier: str) -> UsagePoint:
    points = [point for point in read_feed(path) if _carrier(point) == carrier]
    if len(points) != 1:
        raise MeterError(
            f"the file has {len(points) or 'no'} usage points of {carrier}",
            where=path.name,
            expected="one meter of each kind in a file",
            remedy="export each meter by itself, or list the use of its bills by read dates",
        )
    if points[0].clock is None:
        raise MeterError(
            "the file does not state its clock, without which its months are not known",
            where=path.name,
            expected="LocalTimeParameters",
            remedy="export it with its time block, or list the use of its bills by read dates; "
            "`energymodel bill` reads it with --zone",
        )
    return points[0]


def _bills(name: str, months: MonthlyUse, whole: Mask, *, included: bool) -> tuple[Bill, ...]:
    bills = []
    for place in np.flatnonzero(whole):
        first: date = months.month[place].astype("datetime64[D]").astype(object)
        following: date = (months.month[place] + 1).astype("datetime64[D]").astype(object)
        bills.append(
            Bill(
                first_day=first,
                last_day=following - timedelta(days=1) if included else following,
                amount=float(months.import_kwh[place]),
                where=f"{name}, {first:%Y-%m}",
            )
        )
    return tuple(bills)


def _read_as(name: str, whole: Mask) -> tuple[Notice, ...]:
    text = (
        f"{name}: Green Button readings of interval data were summed by calendar month of local "
        f"standard time: {int(whole.sum())} whole months."
    )
    return (readings_notice(text),)


def _repairs(data: IntervalData, whole: Mask) -> tuple[Notice, ...]:
    notices = [repair_notice(one.text) for one in data.notices if one.topic == UNIT_CHECK]
    notices += [repair_notice(f"{entry}.") for entry in data.report.entries]
    left = int((~whole).sum())
    if left:
        notices.append(repair_notice(f"{left} months that the readings cover in part: left out."))
    if data.total_export_kwh > 0.0:
        text = f"{data.total_export_kwh:,.0f} kWh of export were left aside: use from the grid."
        notices.append(repair_notice(text))
    return tuple(notices)
