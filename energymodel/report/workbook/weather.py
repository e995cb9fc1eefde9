"""The page "Weather": the year by month, from the hours."""

from __future__ import annotations

import numpy as np

from energymodel.arrays import Array
from energymodel.report.figures.captions import weather_caption
from energymodel.report.figures.style import CONTEXT, COOLING, RESISTANCE
from energymodel.report.numbers import Display
from energymodel.report.workbook.book import Book
from energymodel.report.workbook.cells import Column, Form, Formula, Style, Value
from energymodel.report.workbook.charts import ChartKind, ChartTexts, Plot, Series, add_chart
from energymodel.report.workbook.hours import Hours
from energymodel.report.workbook.months import MONTH_NAMES
from energymodel.report.workbook.page import FIRST_ROW, Page
from energymodel.report.workbook.printing import print_whole
from energymodel.study.comparison.outcome import Comparison
from energymodel.units import METRE_PER_FOOT

_HOURS, _MEAN, _LOWEST, _HIGHEST, _HUMIDITY = 1, 2, 3, 4, 5
_TOTAL = FIRST_ROW + 12


def write_weather(book: Book, comparison: Comparison, hours: Hours, show: Display) -> None:
    """Write the page.

    Parameters
    ----------
    book
        The workbook.
    comparison
        All options.
    hours
        What is summed.
    show
        Units of the temperature.
    """
    unit = "°F" if show.us else "°C"
    page = book.page(
        "Weather",
        title="Weather of the year",
        message=_message(comparison, show),
        columns=[
            Column(heading="Month", form=Form.TEXT, width=28),
            Column(heading="Hours, h", width=11),
            Column(heading=f"Mean outdoor temperature, {unit}", form=Form.ONE, width=14),
            Column(heading=f"Lowest hour, {unit}", form=Form.ONE, width=11),
            Column(heading=f"Highest hour, {unit}", form=Form.ONE, width=11),
            Column(heading="Mean relative humidity, %", form=Form.ONE, width=14),
        ],
    )
    for month in range(12):
        page.put_row(FIRST_ROW + month, _month(month, comparison, hours))
    page.put_row(_TOTAL, _year(page, comparison, hours), Style.TOTAL)
    row = _TOTAL + 2
    for name, value, form in _facts(comparison, show):
        page.put(row, 0, name)
        page.put(row, 1, value, form=form)
        row += 1
    page.put(row + 1, 0, weather_caption(comparison), Style.NOTE)
    print_whole(page)
    _chart(book, page, _message(comparison, show), unit)


def _message(comparison: Comparison, show: Display) -> str:
    weather = comparison.model.weather
    low, high = (
        show.temperature(float(x)) for x in (weather.outdoor_c.min(), _highest(comparison))
    )
    return f"{weather.site.name}, {weather.year_label}: {low} to {high}"


def _highest(comparison: Comparison) -> float:
    return float(comparison.model.weather.outdoor_c.max())


def _month(month: int, comparison: Comparison, hours: Hours) -> list[Value]:
    inside = hours.month == month + 1
    outdoor = hours.outdoor[inside]
    count = f"=COUNTIFS({hours.months},{month + 1})"
    mean = f"=AVERAGEIFS({hours.temperatures},{hours.months},{month + 1})"
    return [
        MONTH_NAMES[month],
        Formula(text=count, value=float(inside.sum())),
        Formula(text=mean, value=float(outdoor.mean())),
        float(outdoor.min()),
        float(outdoor.max()),
        _humidity(comparison.model.weather.relative_humidity_pct[inside]),
    ]


def _humidity(values: Array) -> float | None:
    known = values[~np.isnan(values)]
    return float(known.mean()) if known.size else None


def _year(page: Page, comparison: Comparison, hours: Hours) -> list[Value]:
    def block(column: int) -> str:
        return f"{page.near(FIRST_ROW, column)}:{page.near(_TOTAL - 1, column)}"

    mean = f"=SUMPRODUCT({block(_HOURS)},{block(_MEAN)})/SUM({block(_HOURS)})"
    return [
        "Year",
        Formula(text=f"=SUM({block(_HOURS)})", value=float(hours.rows)),
        Formula(text=mean, value=float(hours.outdoor.mean())),
        Formula(text=f"=MIN({block(_LOWEST)})", value=float(hours.outdoor.min())),
        Formula(text=f"=MAX({block(_HIGHEST)})", value=float(hours.outdoor.max())),
        _humidity(comparison.model.weather.relative_humidity_pct),
    ]


def _facts(comparison: Comparison, show: Display) -> list[tuple[str, Value, Form]]:
    site = comparison.model.weather.site
    height = site.elevation_m / METRE_PER_FOOT if show.us else site.elevation_m
    return [
        ("Latitude, ° north", site.latitude_deg, Form.TWO),
        ("Longitude, ° east", site.longitude_deg, Form.TWO),
        (f"Elevation, {'ft' if show.us else 'm'}", height, Form.WHOLE),
        ("Local standard time less UTC, h", site.utc_offset_h, Form.ONE),
        ("Kind of year", comparison.model.weather.kind, Form.TEXT),
    ]


def _chart(book: Book, page: Page, message: str, unit: str) -> None:
    looks = (
        (_HIGHEST, RESISTANCE, "dash"),
        (_MEAN, CONTEXT, "solid"),
        (_LOWEST, COOLING, "round_dot"),
    )
    series = [
        Series(
            name=page.cell(FIRST_ROW - 1, column),
            categories=page.block((FIRST_ROW, 0), (_TOTAL - 1, 0)),
            values=page.block((FIRST_ROW, column), (_TOTAL - 1, column)),
            colour=colour,
            dash=dash,
        )
        for column, colour, dash in looks
    ]
    texts = ChartTexts(title=message, up=f"Outdoor temperature, {unit}")
    add_chart(
        book, page, (FIRST_ROW - 1, 7), Plot(kind=ChartKind.LINES, series=series, texts=texts)
    )
