"""Range of the yearly cost of each option: dot and whisker, real winters as ticks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, StrMethodFormatter

from energymodel.report.comparison.range_words import range_text
from energymodel.report.figures.captions import scenario_caption, weather_caption
from energymodel.report.figures.panel import (
    Panel,
    caption_height_in,
    heading_height_in,
    line_height_in,
    wrapped,
)
from energymodel.report.figures.style import (
    BODY_PT,
    CONTEXT,
    LABEL_PT,
    PAGE_WIDTH_IN,
    TEXT,
    house_style,
)
from energymodel.report.numbers import money
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.cost_range import cost_ranges
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.uncertainty.result import UncertaintyResult
from energymodel.study.uncertainty.uncertainty import weather_words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_MARGIN_IN = 0.08
_ROW_IN = 0.36
_AXIS_IN = 0.42
_NAME_SHARE = 0.34
_BEYOND = 1.18


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeRow:
    """One option of the chart.

    Parameters
    ----------
    name
        Of the option.
    best
        Whether it has the lowest yearly cost of those that carry the load.
    low, likely, high
        Money per year.
    winters
        Yearly cost in each real winter.
    """

    name: str
    best: bool
    low: float
    likely: float
    high: float
    winters: tuple[float, ...] = ()


def range_figure(comparison: Comparison) -> Figure:
    """Draw low, likely and high of a comparison.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    Figure
        One row per option: the likely cost as a dot, the corners of the ranges as its whisker.
    """
    ranges = cost_ranges(comparison)
    rows = [
        RangeRow(
            name=one.name,
            best=one is comparison.cheapest,
            low=ranges[one.name].low,
            likely=one.yearly_cost,
            high=ranges[one.name].high,
        )
        for one in comparison.outcomes
    ]
    words = next(iter(ranges.values())).words
    return _figure(rows, comparison, "likely (dot), lowest to highest (line)", f"Range: {words}.")


def spread_figure(result: UncertaintyResult) -> Figure:
    """Draw the spread of an uncertainty run.

    Parameters
    ----------
    result
        Of all options.

    Returns
    -------
    Figure
        One row per option: the likely cost as a dot, 8 of 10 draws as its whisker, real winters
        as ticks.
    """
    comparison = result.comparison
    rows = [
        RangeRow(
            name=one.name,
            best=comparison.cheapest is not None and one.name == comparison.cheapest.name,
            low=one.cost.p10,
            likely=one.likely_cost,
            high=one.cost.p90,
            winters=tuple(one.winter_costs.tolist()),
        )
        for one in result.options
    ]
    marks = "likely (dot), 8 of 10 draws (line)"
    marks += ", real winters (ticks)" if result.winter_labels else ""
    return _figure(rows, comparison, marks, weather_words(result.inputs))


def _figure(rows: list[RangeRow], comparison: Comparison, marks: str, words: str) -> Figure:
    currency = comparison.model.scenario.content.currency
    caption = f"{scenario_caption(comparison)}{words} {weather_caption(comparison)}"
    title = _message(rows, currency)
    subtitle = f"Yearly cost: {marks}"
    inside_in = PAGE_WIDTH_IN - 2.0 * _MARGIN_IN
    height_in = heading_height_in(title, subtitle, inside_in) + _AXIS_IN
    height_in += caption_height_in(caption, inside_in) + _ROW_IN * len(rows)
    with house_style():
        figure = Figure(figsize=(PAGE_WIDTH_IN, height_in + 2.0 * _MARGIN_IN))
        FigureCanvasAgg(figure)
        panel = Panel(
            figure=figure,
            left_in=_MARGIN_IN,
            bottom_in=_MARGIN_IN,
            width_in=inside_in,
            height_in=height_in,
        )
        top_in = panel.heading(title, subtitle)
        bottom_in = panel.caption(caption) + _AXIS_IN
        width_in = inside_in * (1.0 - _NAME_SHARE)
        axes = panel.axes(inside_in - width_in, bottom_in, width_in, top_in - bottom_in)
        _draw(axes, rows, SIGNS.get(currency, currency))
        for number, row in enumerate(rows):
            middle_in = bottom_in + (top_in - bottom_in) * (1.0 - (number + 0.5) / len(rows))
            _name(panel, row, middle_in)
    return figure


def _message(rows: list[RangeRow], currency: str) -> str:
    best = next((row for row in rows if row.best), None)
    if best is None:
        return "No option gives every service and carries the load"
    ends = range_text(best.low, best.high)
    text = f"{best.name}: about {money(round(best.likely, -1), currency)} a year"
    return f"{text} (range {ends})" if ends else text


def _draw(axes: Axes, rows: list[RangeRow], sign: str) -> None:
    most = max(*(max(row.high, row.likely, *row.winters, 1.0) for row in rows), 1.0)
    axes.set_xlim(0.0, most * _BEYOND)
    axes.set_ylim(len(rows) - 0.5, -0.5)
    for number, row in enumerate(rows):
        weight = 2.4 if row.best else 1.6
        axes.plot([row.low, row.high], [number, number], color=CONTEXT, linewidth=weight)
        for winter in row.winters:
            axes.plot([winter, winter], [number - 0.24, number - 0.08], color=TEXT, linewidth=0.8)
        axes.plot([row.likely], [number], marker="o", markersize=5.0, color=TEXT, linestyle="none")
        end = max(row.high, row.likely, *row.winters, 0.0)
        label = range_text(row.low, row.high) or f"{row.likely:,.0f}"
        axes.text(end + 0.02 * most, number, label, fontsize=LABEL_PT, va="center")
    ticks = MaxNLocator(nbins=5, steps=[1, 2, 5, 10]).tick_values(0.0, most)
    axes.set_xticks([tick for tick in ticks if 0 <= tick <= most])
    axes.xaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    axes.set_yticks([])
    axes.grid(visible=False)
    axes.spines["left"].set_visible(True)
    axes.spines["bottom"].set_visible(False)
    axes.set_xlabel(f"Yearly cost, {sign} a year", loc="left")


def _name(panel: Panel, row: RangeRow, middle_in: float) -> None:
    room_in = panel.width_in * _NAME_SHARE - 0.1
    lines = wrapped(row.name, room_in, BODY_PT, weight="bold", most_lines=2)
    step = line_height_in(BODY_PT)
    first_in = middle_in + 0.5 * step * (len(lines) - 1) - 0.3 * step
    for number, line in enumerate(lines):
        weight = "bold" if row.best else "normal"
        panel.text(0.0, first_in - number * step, line, size_pt=BODY_PT, weight=weight)  # type: ignore[arg-type]
