"""Interval data of a meter from a plain table, as utilities and portals export it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from energymodel.meters.bill_check import AGREES, BillLine, Measured, confirm, ratio_to_bill
from energymodel.meters.clock_change import PATTERN_BASIS
from energymodel.meters.columns import find_columns
from energymodel.meters.directions import channels_of
from energymodel.meters.facts import MeterFacts, TableFacts
from energymodel.meters.import_report import MeterError, ReadAs
from energymodel.meters.interval_data import IntervalData
from energymodel.meters.intervals import Intervals, Origin, interval_data, lengths_of
from energymodel.meters.meter_text import read_meter_text
from energymodel.meters.meter_units import known_unit
from energymodel.meters.quality_words import count_qualities
from energymodel.meters.remedies import say, say_one_of
from energymodel.meters.row_sources import TableRows
from energymodel.meters.row_times import read_times
from energymodel.meters.table import MeterTable, find_table
from energymodel.meters.table_series import (
    Draft,
    column_values,
    join_channels,
    place_channel,
)
from energymodel.meters.unit_choice import UnitChoice, choose_unit
from energymodel.notices import Notice

_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
_BILL_REMEDY = (
    "give the quantity and the dates of one bill: --bill-line '72 therm 2024-01-05 2024-02-04' "
    "(from Python: bill=BillLine(...))"
)
_ELECTRIC_UNITS = ("Wh", "kWh", "MWh", "W", "kW", "MW")


def read_interval(
    path: Path | str,
    *,
    zone: str,
    facts: TableFacts | None = None,
    meter: MeterFacts | None = None,
    bill: BillLine | None = None,
) -> IntervalData:
    """Read the interval data of a meter from a table of text.

    Parameters
    ----------
    path
        Text file with a row per interval: date and time, and energy or average power.
    zone
        Zone of the meter's place, IANA name or fixed offset; never that of the computer.
    facts
        What the user knows of the table; what is not given is found in the file or asked for.
    meter
        What the user knows of the meter.
    bill
        One line of a bill against which the sum is compared. Needed for gas, and where only a
        header says that values of less than an hour are power.

    Returns
    -------
    IntervalData
        Energy by interval, with a report of every repair.

    Raises
    ------
    MeterError
        If the file is rejected; the error carries the report.
    """
    facts, meter = facts or TableFacts(), meter or MeterFacts()
    table = find_table(read_meter_text(path))
    columns = find_columns(table, facts)
    channels = channels_of(table, columns)
    times = read_times(table, columns, channels, facts, zone)
    choice = choose_unit(table, columns, facts, step_s=times.step_s)
    _refuse_unconfirmed(table, choice, facts, bill)
    values, marks, thousands = column_values(table, columns, facts)
    draft = Draft(
        table=table, columns=columns, times=times, choice=choice, facts=facts, meter=meter
    )
    placed = [
        place_channel(draft, values, channel, rising)
        for channel, rising in zip(channels, times.dated.groups, strict=True)
    ]
    start, imported, exported, turned = join_channels(draft, placed)
    found = Intervals(
        start_s=start,
        length_s=lengths_of(start, times.step_s, times.clock),
        import_kwh=imported,
        export_kwh=exported,
        row=placed[0].rows.lines,
    )
    found, checks = _confirmed(draft, found, bill)
    repairs = tuple(entry for one in placed for entry in one.entries)
    origin = Origin(
        name=table.name,
        commodity=facts.commodity,
        clock=times.clock,
        entries=(*table.entries, *columns.entries, *thousands, *repairs, *turned),
        read_as=(
            ReadAs(name="separator", value=_SEPARATORS[table.separator], basis="all rows"),
            *marks,
            *times.read_as,
            placed[0].clock,
            *checks,
        ),
        quality=count_qualities(table, columns.quality),
        rows=TableRows(table=table, columns=columns),
        unconfirmed_unit=choice.main.name
        if bill is None and facts.commodity == "electricity"
        else None,
        notices=_clock_notices(table.name, placed[0].clock),
    )
    return interval_data(origin, found)


def _clock_notices(name: str, clock: ReadAs) -> tuple[Notice, ...]:
    """Tell of a clock that rests on the pattern of use alone."""
    other = {PATTERN_BASIS["wall"]: "standard", PATTERN_BASIS["standard"]: "wall"}.get(clock.basis)
    if other is None:
        return ()
    text = f"{name}: stamps taken as {clock.value}: {clock.basis}; if not so, {say(clock=other)}."
    return (Notice(topic="meter", text=text),)


def _refuse_unconfirmed(
    table: MeterTable, choice: UnitChoice, facts: TableFacts, bill: BillLine | None
) -> None:
    unit = choice.main.name
    if facts.commodity == "electricity" and unit not in _ELECTRIC_UNITS:
        raise MeterError(
            f"the unit {unit} is not one of electricity",
            where=table.name,
            expected="one of " + ", ".join(_ELECTRIC_UNITS),
            remedy="if this is a gas meter, give `bill` a gas tariff, or take the readings to "
            '`from-bills` (from Python: commodity="gas")',
        )
    if facts.commodity == "gas" and bill is None:
        raise MeterError(
            f"the unit of a gas meter ({unit} here) is often labelled wrongly",
            where=table.name,
            expected="one bill line to confirm it",
            remedy=_BILL_REMEDY,
        )
    if choice.doubtful and bill is None:
        raise MeterError(
            f"the {choice.read_as.basis} says {unit}, but such columns often hold {unit}h",
            where=table.name,
            expected=f"the statement of the user whether the values are {unit} or {unit}h, or "
            "one bill line (--bill-line)",
            remedy=say_one_of("unit", unit, f"{unit}h")
            + f": {unit} is average power, {unit}h energy per interval",
        )


def _confirmed(
    draft: Draft, found: Intervals, bill: BillLine | None
) -> tuple[Intervals, tuple[ReadAs, ...]]:
    """Compare with the bill; where only a header says power, the bill decides."""
    if bill is None:
        return found, (draft.choice.read_as,)
    measured = Measured(
        file=draft.table.name,
        start_s=found.start_s,
        length_s=found.length_s,
        kwh=found.import_kwh,
        unit=draft.choice.main,
        commodity=draft.facts.commodity,
        heat_kwh_per_m3=draft.meter.heat_kwh_per_m3,
    )
    clock = draft.times.clock
    hours = draft.times.step_s / 3600.0
    unit = draft.choice.read_as
    ratio = ratio_to_bill(measured, bill, clock)
    if draft.choice.doubtful and abs(ratio / hours - 1.0) <= AGREES < abs(ratio - 1.0):
        energy = known_unit(draft.choice.main.name + "h")
        found = replace(
            found,
            import_kwh=found.import_kwh / hours,
            export_kwh=found.export_kwh / hours,
        )
        measured = replace(measured, kwh=found.import_kwh, unit=energy)
        unit = replace(unit, value=energy.name, basis="the bill line")
    return found, (unit, confirm(measured, bill, clock))
