"""The page "Load": hours, load and output by class of outdoor temperature, and the load lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.equipment.curves import Function
from energymodel.report.figures.style import CONTEXT, COOLING, HEAT_PUMP, RESISTANCE, SOFT
from energymodel.report.numbers import Display
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.charts import ChartKind, ChartTexts, Plot, Series, add_chart
from energymodel.report.workbook.hours import ROOM, Hours
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.report.workbook.printing import print_whole
from energymodel.season.result import COOLING as COOLS
from energymodel.season.result import HEATING as HEATS
from energymodel.study.comparison.capacity_curve import CapacityCurve, capacity_curve
from energymodel.study.comparison.outcome import Comparison
from energymodel.units import KELVIN_PER_DEGF, btu_h_from_w

_US_STEP, _SI_STEP = 5.0, 2.0
_FACT = 4
"""Column of what is known of the load lines, so that their names find room before it."""
_SECOND = {HEATS: RESISTANCE, COOLS: COOLING}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """The page while it is written."""

    page: Page
    comparison: Comparison
    hours: Hours
    show: Display
    centres: Array

    @property
    def step(self) -> float:
        """Width of a class, degF or K."""
        return _US_STEP if self.show.us else _SI_STEP

    @property
    def lines(self) -> dict[str, LoadLine]:
        """Load lines of the room by service."""
        load = self.comparison.model.load
        both = {HEATS: load.heating, COOLS: load.cooling}
        return {service: line for service, line in both.items() if line is not None}

    @property
    def facts_row(self) -> int:
        """First row under the table."""
        return FIRST_ROW + self.centres.size + 2

    def slope_row(self, service: str) -> int:
        """Row of the slope of a load line; its balance temperature is in the next."""
        return self.facts_row + 6 * list(self.lines).index(service)

    def slope(self, line: LoadLine) -> float:
        """Slope in the shown heat flow per shown degree."""
        per_k = line.slope_w_per_k / 1000.0
        return (
            btu_h_from_w(line.slope_w_per_k) / 1000.0 * KELVIN_PER_DEGF if self.show.us else per_k
        )


def write_load(book: Book, comparison: Comparison, hours: Hours, show: Display) -> None:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    hours
        What is counted and summed.
    show
        Units of temperature and heat flow.
    """
    outputs = list(_outputs(comparison))
    lines = comparison.model.load
    services = [HEATS] * (lines.heating is not None) + [COOLS] * (lines.cooling is not None)
    page = book.page(
        "Load",
        title="Load of the room and output of the units",
        message=_message(comparison, show),
        columns=list(_columns(show, services, outputs)),
    )
    step = _US_STEP if show.us else _SI_STEP
    first, last = (np.floor(at / step + 0.5) for at in (hours.outdoor.min(), hours.outdoor.max()))
    centres = np.arange(first, last + 1.0) * step
    sheet = _Sheet(page=page, comparison=comparison, hours=hours, show=show, centres=centres)
    for number, centre in enumerate(centres.tolist()):
        _write_class(sheet, FIRST_ROW + number, centre, outputs)
    total = FIRST_ROW + centres.size
    counted = f"{page.near(FIRST_ROW, 1)}:{page.near(total - 1, 1)}"
    page.put(total, 0, "All hours", Style.TOTAL)
    page.put(total, 1, Formula(text=f"=SUM({counted})", value=float(hours.rows)), Style.TOTAL)
    for service in sheet.lines:
        _write_line(sheet, service)
    print_whole(page)
    _chart(book, sheet, outputs)


Output = tuple[str, str, CapacityCurve]


def _outputs(comparison: Comparison) -> Iterator[Output]:
    for outcome in comparison.outcomes:
        for service, function in ((HEATS, Function.HEATING), (COOLS, Function.COOLING)):
            curve = capacity_curve(outcome.planned.option, comparison.model.weather, function)
            if curve is not None:
                yield outcome.name, service, curve


def _columns(show: Display, services: list[str], outputs: list[Output]) -> Iterator[Column]:
    degree, flow = ("°F", "kBtu/h") if show.us else ("°C", "kW")
    step = _US_STEP if show.us else _SI_STEP
    kelvin = "°F" if show.us else "K"
    yield Column(
        heading=f"Outdoor temperature, middle of a class of {step:g} {kelvin}, {degree}",
        form=Form.WHOLE,
        width=20,
    )
    yield Column(heading="Hours of the year, h", width=10)
    for service in services:
        yield Column(heading=f"{service.capitalize()} load, {flow}", form=Form.TWO, width=11)
    for name, service, _ in outputs:
        yield Column(
            heading=f"Full output, {service}, {flow}", form=Form.ONE, width=9.5, group=name[:60]
        )


def _message(comparison: Comparison, show: Display) -> str:
    found = []
    weather, load = comparison.model.weather, comparison.model.load
    for line, at_c in (
        (load.heating, float(weather.outdoor_c.min())),
        (load.cooling, float(weather.outdoor_c.max())),
    ):
        if line is not None:
            load_w = float(line.load_w(np.array([at_c]))[0])
            word = "heating" if line.heating else "cooling"
            found.append(f"{show.heat_flow(load_w)} of {word} at {show.temperature(at_c)}")
    return f"Most that the room needs in this year: {' and '.join(found)}"


def _write_class(sheet: _Sheet, row: int, centre: float, outputs: list[Output]) -> None:
    page, half = sheet.page, sheet.step / 2.0
    outdoor, block = sheet.hours.outdoor, sheet.hours.temperatures
    inside = (outdoor >= centre - half) & (outdoor < centre + half)
    at = page.near(row, 0)
    text = f'=COUNTIFS({block},">="&({at}-{half:g}),{block},"<"&({at}+{half:g}))'
    page.put(row, 0, centre)
    page.put(row, 1, Formula(text=text, value=float(inside.sum())))
    column = 2
    for service, line in sheet.lines.items():
        page.put(row, column, _load(sheet, service, line, (row, centre)))
        column += 1
    for _, _, curve in outputs:
        page.put(row, column, _output(curve, centre, sheet.show))
        column += 1


def _load(sheet: _Sheet, service: str, line: LoadLine, place: tuple[int, float]) -> Formula:
    row, centre = place
    slope, balance = (sheet.page.cell(sheet.slope_row(service) + down, _FACT) for down in (0, 1))
    slope, balance = slope.partition("!")[2], balance.partition("!")[2]
    at = sheet.page.near(row, 0)
    away = f"{balance}-{at}" if line.heating else f"{at}-{balance}"
    distance = sheet.show.temperature_value(line.balance_c) - centre
    value = sheet.slope(line) * max(distance if line.heating else -distance, 0.0)
    return Formula(text=f"=MAX({away},0)*{slope}", value=value)


def _output(curve: CapacityCurve, centre: float, show: Display) -> float | None:
    at_c = np.array([show.temperature_value(float(value)) for value in curve.outdoor_c])
    if not at_c[0] <= centre <= at_c[-1]:
        return None
    return show.heat_value(float(np.interp(centre, at_c, curve.full_w)))


def _write_line(sheet: _Sheet, service: str) -> None:
    page, line, row = sheet.page, sheet.lines[service], sheet.slope_row(service)
    degree, flow, kelvin = ("°F", "kBtu/h", "°F") if sheet.show.us else ("°C", "kW", "K")
    shown, word = sheet.show.temperature_value, service.capitalize()
    facts: list[tuple[str, Value, Form]] = [
        (f"{word}: slope of the load line, {flow} per {kelvin}", sheet.slope(line), Form.FOUR),
        (f"{word}: balance temperature, {degree}", shown(line.balance_c), Form.TWO),
        (f"{word}: set-point, {degree}", shown(line.indoor_c), Form.ONE),
        (f"{word}: load of the year by the line, kWh", _by_line(sheet, service), Form.ONE),
        (f"{word}: load of the year in Hours, kWh", _by_hours(sheet, service), Form.ONE),
    ]
    for down, (name, value, form) in enumerate(facts):
        page.put(row + down, 0, name, form=Form.TEXT)
        page.put(row + down, _FACT, value, form=form)


def _by_line(sheet: _Sheet, service: str) -> Formula:
    """Slope times the degree-hours of all hours: the load again, by another way."""
    line, row = sheet.lines[service], sheet.slope_row(service)
    slope, balance = sheet.page.near(row, _FACT), sheet.page.near(row + 1, _FACT)
    block = sheet.hours.temperatures
    away = f"{balance}-{block}" if line.heating else f"{block}-{balance}"
    counted = f"({away}>0)*({away})"
    off = sorted(sheet.comparison.model.load.months_without_cooling)
    if service == COOLS and off:
        counted += "".join(f"*({sheet.hours.months}<>{month})" for month in off)
    to_kwh = f"/{btu_h_from_w(1.0):.12g}" if sheet.show.us else ""
    return Formula(text=f"=SUMPRODUCT({counted})*{slope}{to_kwh}", value=_year_kwh(sheet, service))


def _by_hours(sheet: _Sheet, service: str) -> Value:
    block = sheet.hours.find(ROOM, service, "load")
    if not block:
        return 0.0
    return Formula(text=f"=SUM({block})", value=_year_kwh(sheet, service))


def _year_kwh(sheet: _Sheet, service: str) -> float:
    for one in sheet.hours.columns:
        if (one.owner, one.service, one.what) == (ROOM, service, "load"):
            return float(one.hourly.sum())
    return 0.0


def _chart(book: Book, sheet: _Sheet, outputs: list[Output]) -> None:
    page, last = sheet.page, FIRST_ROW + sheet.centres.size - 1
    classes = page.block((FIRST_ROW, 0), (last, 0))

    def series(column: int, colour: str, name: str = "", dash: str = "solid") -> Series:
        return Series(
            name=name or page.cell(FIRST_ROW - 1, column),
            categories=classes,
            values=page.block((FIRST_ROW, column), (last, column)),
            colour=colour,
            dash=dash,
        )

    loads = [
        series(2 + place, CONTEXT if service == HEATS else COOLING)
        for place, service in enumerate(sheet.lines)
    ]
    column = 2 + len(sheet.lines)
    best = sheet.comparison.cheapest
    for place, (name, service, _) in enumerate(outputs, column):
        if best is not None and name == best.name and service == HEATS:
            loads.append(series(place, HEAT_PUMP, page.cell(FIRST_ROW - 2, place), "dash"))
    degree, flow = ("°F", "kBtu/h") if sheet.show.us else ("°C", "kW")
    texts = ChartTexts(
        title=_message(sheet.comparison, sheet.show),
        across=f"Outdoor temperature, {degree}",
        up="Hours of the year, h",
        beside=f"Load and output, {flow}",
    )
    plot = Plot(
        kind=ChartKind.COLUMNS,
        series=[series(1, SOFT)],
        texts=texts,
        beside=loads,
        size_px=(780, 400),
    )
    add_chart(book, page, (sheet.facts_row + 6 * len(sheet.lines) + 1, 0), plot)
