"""Interval data for `energymodel bill`: tables and Green Button files, held against a bill line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from energymodel.cli.bill_facts import Said
from energymodel.errors import InputError
from energymodel.meters.bill_check import BillLine
from energymodel.meters.file_kind import FileKind
from energymodel.meters.gaps import Gap
from energymodel.meters.green_button import read_green_button
from energymodel.meters.interval import read_interval
from energymodel.meters.interval_data import IntervalData
from energymodel.notices import Notice

if TYPE_CHECKING:
    from energymodel.meters.facts import MeterFacts
    from energymodel.meters.interval_data import Commodity, Moments

_HOUR = np.timedelta64(1, "h")


@dataclass(frozen=True, slots=True, kw_only=True)
class Billing:
    """Where and how a meter is billed.

    Parameters
    ----------
    zone
        Time zone of the place.
    day
        Day of the month on which a bill begins.
    commodity
        What the tariff bills.
    """

    zone: str
    day: int
    commodity: Commodity


def read_intervals(
    path: Path, kind: FileKind, said: Said, billing: Billing
) -> tuple[IntervalData, tuple[Notice, ...]]:
    """Read interval data that can be billed.

    Parameters
    ----------
    path
        File.
    kind
        A table of interval data or a Green Button file.
    said
        What the user says of it.
    billing
        Where and how it is billed.

    Returns
    -------
    data : IntervalData
        Without gaps.
    notices : tuple of Notice
        What the reader should know beside those of the data.

    Raises
    ------
    InputError
        If the file is rejected, has gaps, or counts something else than the tariff bills.
    """
    meter, notices = said.meter_facts()
    if said.heat_content is not None and billing.commodity == "electricity":
        raise InputError(
            f"--heat-content {said.heat_content} with a tariff of electricity",
            where=path.name,
            remedy="leave it out: it turns volumes of gas into energy",
        )
    line = None
    if said.bill_line is not None:
        line = _line(path, kind, said, billing)
    if kind is FileKind.FEED:
        data = _feed(path, said, meter, billing.zone, line)
    else:
        facts = said.table_facts(billing.commodity)
        data = read_interval(path, zone=billing.zone, facts=facts, meter=meter, bill=line)
    if data.commodity != billing.commodity:
        raise InputError(
            f"the readings are of {data.commodity}, and the tariff bills {billing.commodity}",
            where=path.name,
            expected="use and tariff of one kind",
        )
    refuse_gaps(data.name, data.gaps)
    return data, (*notices, *_confirmed(data))


def refuse_gaps(name: str, gaps: tuple[Gap, ...]) -> None:
    """Refuse to bill a use that is not known in full.

    Parameters
    ----------
    name
        File name.
    gaps
        Stretches without values.

    Raises
    ------
    InputError
        If there are any; the first is named with its row.
    """
    if not gaps:
        return
    more = f"; and {len(gaps) - 1} more gaps" if len(gaps) > 1 else ""
    raise InputError(
        f"{gaps[0]}{more}",
        where=f"{name}, {gaps[0].row}",
        expected="a value for every interval from the first to the last",
        remedy="export the stretch again, or put a value that you can defend into the file: "
        "without it the bill would be too low",
    )


def _feed(
    path: Path, said: Said, meter: MeterFacts, zone: str, line: BillLine | None
) -> IntervalData:
    return read_green_button(
        path,
        zone=zone,
        usage_point=said.usage_point,
        meter_reading=said.meter_reading,
        meter=meter,
        bill=line,
    )


def _line(path: Path, kind: FileKind, said: Said, billing: Billing) -> BillLine | None:
    text = said.bill_line
    if text is None:
        return None
    if text.first_day is not None and text.last_day is not None:
        first, last = text.first_day, text.last_day
    else:
        first, last = _latest_bill(_span(path, kind, said, billing), billing.day, path.name)
    return BillLine(first_day=first, last_day=last, quantity=text.quantity, unit=text.unit)


def _span(path: Path, kind: FileKind, said: Said, billing: Billing) -> Moments:
    """Return when a file begins and ends; its unit, which the bill shall confirm, is left open."""
    meter, _ = said.meter_facts()
    if kind is FileKind.FEED:
        data = _feed(path, said, meter, billing.zone, None)
    else:
        facts = replace(said.table_facts("electricity"), unit="kWh")
        data = read_interval(path, zone=billing.zone, facts=facts, meter=meter)
    end = data.start_local[-1] + data.length_s[-1].astype("timedelta64[s]")
    # local midnight is an hour earlier on standard time while daylight saving holds
    return np.array([data.start_local[0] + _HOUR, end + _HOUR], dtype="datetime64[s]")


def _latest_bill(span: Moments, day: int, name: str) -> tuple[date, date]:
    first = (span[0] - 2 * _HOUR).astype("datetime64[D]") + 1
    months = np.arange(first.astype("datetime64[M]"), span[1].astype("datetime64[M]") + 1)
    starts = months.astype("datetime64[D]") + (day - 1)
    inside = starts[(starts >= first) & (starts <= span[1].astype("datetime64[D]"))]
    if inside.size < 2:
        raise InputError(
            "the file holds no whole bill to compare with",
            where=name,
            expected="at least one month from the day on which bills begin (--day)",
            remedy="give the days of the bill: --bill-line '745 kWh 2024-01-05 2024-02-04'",
        )
    begin: date = inside[-2].astype(object)
    end: date = inside[-1].astype(object)
    return begin, end - timedelta(days=1)


def _confirmed(data: IntervalData) -> tuple[Notice, ...]:
    return tuple(
        Notice(topic="unit", text=f"{data.name}: confirmed, the {line.name} is {line.value}.")
        for line in data.report.read_as
        if line.name == "sum"
    )
