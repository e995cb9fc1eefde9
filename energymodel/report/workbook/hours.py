"""The page "Hours": every hour of the year, all options side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.report.numbers import Display
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.report.workbook.printing import print_head
from energymodel.scenario.prices import ELECTRICITY
from energymodel.season.result import COOLING, HEATING
from energymodel.study.comparison.outcome import Comparison, Outcome

LONGEST_NAME = 60
ROOM = "Room"
_MONTH, _OUTDOOR = 1, 2
_PRINTED = 24
"""Hours that print; all would be more than a hundred sheets of paper."""
_DAY_ZERO = np.datetime64("1899-12-30T00:00")
"""Day 0 of the calendar of spreadsheets."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourColumn:
    """One column of hourly values.

    Parameters
    ----------
    owner
        Name of the option, or "Room".
    service
        "heating" or "cooling".
    what
        "load", "unmet", or a carrier.
    hourly
        kWh, shape (hours,).
    """

    owner: str
    service: str
    what: str
    hourly: Array

    @property
    def heading(self) -> str:
        """Words above the column."""
        if self.what == "load":
            return f"{self.service.capitalize()} load, kWh"
        if self.what == "unmet":
            return f"Unmet {self.service}, kWh"
        return f"{self.what.capitalize()} for {self.service}, kWh"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hours:
    """Where the hours stand.

    Parameters
    ----------
    page
        The page.
    columns
        From the fourth column on.
    rows
        Hours of the year.
    outdoor
        Outdoor temperature as it stands there, degF or degC, shape (hours,).
    month
        Month of each hour, 1..12.
    """

    page: Page
    columns: tuple[HourColumn, ...]
    rows: int
    outdoor: Array
    month: Array

    def block(self, column: int) -> str:
        """Name all hours of a column.

        Parameters
        ----------
        column
            Its place.

        Returns
        -------
        str
            Block of cells.
        """
        return self.page.block((FIRST_ROW, column), (FIRST_ROW + self.rows - 1, column))

    @property
    def months(self) -> str:
        """Block with the month of each hour."""
        return self.block(_MONTH)

    @property
    def temperatures(self) -> str:
        """Block with the outdoor temperature of each hour."""
        return self.block(_OUTDOOR)

    def find(self, owner: str, service: str, what: str) -> str:
        """Name the hours of a quantity of an option.

        Parameters
        ----------
        owner, service, what
            As of :class:`HourColumn`; a load that an option does not have of its own is that of
            the room.

        Returns
        -------
        str
            Block of cells; empty where every hour of it is zero.
        """
        for name in (owner, ROOM) if what == "load" else (owner,):
            for place, one in enumerate(self.columns):
                if (one.owner, one.service, one.what) == (name, service, what):
                    return self.block(_OUTDOOR + 1 + place)
        return ""


def write_hours(book: Book, comparison: Comparison, show: Display) -> Hours:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    show
        Units of the temperature.

    Returns
    -------
    Hours
        Blocks for formulas.
    """
    weather = comparison.model.weather
    typical = weather.kind == "typical"
    columns = tuple(_columns(comparison))
    heads = [
        Column(
            heading="Start of hour, local standard time",
            form=Form.HOUR_OF_ANY_YEAR if typical else Form.HOUR,
            width=14,
        ),
        Column(heading="Month", width=7),
        Column(heading=f"Outdoor, {'°F' if show.us else '°C'}", form=Form.ONE, width=9),
        *(
            Column(heading=one.heading, form=Form.THREE, width=10.5, group=_short(one.owner))
            for one in columns
        ),
    ]
    page = book.page(
        "Hours",
        title="Every hour of the year, by option",
        message="Heat the room needs and energy each option uses; fuels by higher heating value."
        " A load that is not listed for an option is the room's. Printed: the first day.",
        columns=heads,
    )
    print_head(page, FIRST_ROW + _PRINTED)
    outdoor = np.array([show.temperature_value(float(value)) for value in weather.outdoor_c])
    stamps = weather.table.index.to_numpy().astype("datetime64[m]")
    days = (stamps - _DAY_ZERO) / np.timedelta64(1, "D")
    month = weather.month.astype(np.float64)
    table = np.column_stack([days, month, outdoor, *(one.hourly for one in columns)])
    for row, values in enumerate(table.tolist(), FIRST_ROW):
        page.put_row(row, values)
    return Hours(page=page, columns=columns, rows=len(table), outdoor=outdoor, month=month)


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"


def _columns(comparison: Comparison) -> Iterator[HourColumn]:
    room = {service: _room_load(comparison, service) for service in (HEATING, COOLING)}
    for service, load_kwh in room.items():
        if load_kwh.any():
            yield HourColumn(owner=ROOM, service=service, what="load", hourly=load_kwh)
    months = comparison.model.weather.month.astype(np.intp)
    for outcome in comparison.outcomes:
        for service in (HEATING, COOLING):
            if f"{service}_load_kwh" not in outcome.result.columns:
                continue
            own = _at_hours(outcome, f"{service}_load_kwh")
            if not np.allclose(own, room[service], rtol=0.0, atol=1e-12):
                yield HourColumn(owner=outcome.name, service=service, what="load", hourly=own)
            yield from _energies(outcome, service, months)


def _energies(
    outcome: Outcome, service: str, months: np.ndarray[tuple[int], np.dtype[np.intp]]
) -> Iterator[HourColumn]:
    result = outcome.result
    power = result.hourly_electricity_of(service, months)
    fuels = {
        name.removeprefix(f"{service}_fuel_").removesuffix("_kwh"): _at_hours(outcome, name)
        for name in result.names(service, "fuel")
    }
    found = {"unmet": _at_hours(outcome, f"{service}_unmet_kwh"), ELECTRICITY: power, **fuels}
    for what, hourly in found.items():
        if hourly.any():
            name = what.replace("_", " ")
            yield HourColumn(owner=outcome.name, service=service, what=name, hourly=hourly)


def _at_hours(outcome: Outcome, name: str) -> Array:
    result = outcome.result
    by_hour: Array = result.columns[name][result.states.inverse]
    return by_hour


def _room_load(comparison: Comparison, service: str) -> Array:
    """Load of the room by its load line, as an option without changes of its own has it."""
    model = comparison.model
    line = model.load.heating if service == HEATING else model.load.cooling
    if line is None:
        return np.zeros(model.weather.outdoor_c.size)
    load_kwh = line.load_w(model.weather.outdoor_c) / 1000.0
    if service == COOLING:
        closed = np.isin(model.weather.month, sorted(model.load.months_without_cooling))
        load_kwh = np.where(closed, 0.0, load_kwh)
    return load_kwh
