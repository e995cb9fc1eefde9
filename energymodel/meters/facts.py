"""What the user knows of a meter or its file that the file itself may not say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from energymodel.meters.date_order import DateOrder
from energymodel.meters.decimal_marks import Mark
from energymodel.meters.interval_data import Commodity

Label: TypeAlias = Literal["start", "end"]
ClockKind: TypeAlias = Literal["wall", "standard", "utc"]
Signs: TypeAlias = Literal["load", "net"]
Repeats: TypeAlias = Literal["fold", "drop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterFacts:
    """What the user knows of a meter.

    Parameters
    ----------
    signs
        Whether the values are the "load" of the house, or "net": use less own production, so that
        negative values are export. Needed where negative values occur.
    heat_kwh_per_m3
        Higher heating value of the gas as billed, kWh/m3; needed where gas is counted by volume.
    repeats
        What becomes of rows whose stamp stands twice because the clock was put forward: "fold"
        adds their energy to the interval, "drop" keeps the first row and is refused if the rows
        differ.
    """

    signs: Signs | None = None
    heat_kwh_per_m3: float | None = None
    repeats: Repeats = "fold"


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFacts:
    """What the user knows of a table.

    Parameters
    ----------
    commodity
        What the meter counts.
    unit
        Unit of the values ("W", "kW", "Wh", "kWh", "therm", "m3", ...).
    interval_min
        Length of each interval, minutes.
    label
        Whether a stamp is the "start" or the "end" of its interval.
    clock
        What the stamps follow: the "wall" clock with its changes, local "standard" time all year,
        or "utc".
    date_order
        Order of the numbers in a date.
    decimal_mark
        Decimal mark of the values.
    time_column, value_column, export_column
        Header cell or number (from 1) of a column.
    """

    commodity: Commodity = "electricity"
    unit: str | None = None
    interval_min: float | None = None
    label: Label | None = None
    clock: ClockKind | None = None
    date_order: DateOrder | None = None
    decimal_mark: Mark | None = None
    time_column: str | int | None = None
    value_column: str | int | None = None
    export_column: str | int | None = None
