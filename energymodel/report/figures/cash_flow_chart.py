"""The chart of cumulative cash flow by year: one small chart per option, all on one scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke
from matplotlib.ticker import MaxNLocator

from energymodel.errors import InputError
from energymodel.report.figures.cash_flow_view import (
    CashFlowView,
    Course,
    SavingRange,
    cash_flow_caption,
    cash_flow_facts,
    cash_flow_message,
    cash_flow_view,
)
from energymodel.report.figures.comparison import MARGIN_IN
from energymodel.report.figures.panel import (
    Panel,
    Weight,
    caption_height_in,
    heading_height_in,
    line_height_in,
    text_width_in,
    wrapped,
)
from energymodel.report.figures.style import (
    BODY_PT,
    CONTEXT,
    LABEL_PT,
    PAGE_WIDTH_IN,
    SMALL_PT,
    SOFT,
    TEXT,
    house_style,
)
from energymodel.study.comparison.outcome import Comparison

if TYPE_CHECKING:
    from matplotlib.axes import Axes

AXES_IN = 1.1
_GAP_IN = 0.2
_BELOW_IN = 0.36
_ABOVE_IN = 0.1
_MOST_COLUMNS = 3


def cash_flow_figure(
    comparison: Comparison, ranges: Mapping[str, SavingRange] | None = None
) -> Figure:
    """Draw the cumulative cash flow of each option by year, with the year of payback.

    Parameters
    ----------
    comparison
        All options, one of them present.
    ranges
        Range of the saving by name of the option; None: lines alone.

    Returns
    -------
    Figure
        One small chart per option, all on one scale, the others behind it in grey.

    Raises
    ------
    InputError
        If no option can be held against a present one.
    """
    view = cash_flow_view(comparison, ranges)
    if not view.courses:
        raise InputError(
            "there is nothing to draw: no option that carries the load stands beside a present one",
            expected="present = true on what is there now, and another option",
        )
    inside_in = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
    with house_style():
        height_in = cash_flow_height_in(view, inside_in) + 2.0 * MARGIN_IN
        figure = Figure(figsize=(PAGE_WIDTH_IN, height_in))
        FigureCanvasAgg(figure)
        panel = Panel(
            figure=figure,
            left_in=MARGIN_IN,
            bottom_in=MARGIN_IN,
            width_in=inside_in,
            height_in=height_in - 2.0 * MARGIN_IN,
        )
        draw_cash_flow(panel, view)
    return figure


def _columns(view: CashFlowView) -> int:
    count = len(view.courses)
    return 2 if count == 4 else min(count, _MOST_COLUMNS)


def cash_flow_height_in(view: CashFlowView, width_in: float) -> float:
    """Height that the chart needs.

    Parameters
    ----------
    view
        At least one course.
    width_in
        Width of its panel, inches.

    Returns
    -------
    float
        Inches.
    """
    heading = heading_height_in(*cash_flow_message(view), width_in)
    rows = sum(row.height_in for row in _rows(view, width_in))
    return heading + rows + caption_height_in(cash_flow_caption(view), width_in)


def draw_cash_flow(panel: Panel, view: CashFlowView) -> None:
    """Draw one small chart per option, all on one scale.

    Parameters
    ----------
    panel
        Where.
    view
        At least one course.
    """
    top_in = panel.heading(*cash_flow_message(view))
    panel.caption(cash_flow_caption(view))
    for row in _rows(view, panel.width_in):
        for column, course in enumerate(row.courses):
            place = Panel(
                figure=panel.figure,
                left_in=panel.left_in + column * (row.width_in + _GAP_IN),
                bottom_in=panel.bottom_in + top_in - row.height_in,
                width_in=row.width_in,
                height_in=row.height_in,
            )
            _draw_course(place, course, view, row.lines)
        top_in -= row.height_in


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Row:
    """Charts side by side, and how many lines their names take."""

    courses: tuple[Course, ...]
    width_in: float
    lines: int

    @property
    def height_in(self) -> float:
        above = self.lines * line_height_in(BODY_PT) + line_height_in(SMALL_PT) + _ABOVE_IN
        return above + AXES_IN + _BELOW_IN


def _rows(view: CashFlowView, width_in: float) -> list[_Row]:
    columns = _columns(view)
    each_in = (width_in - _GAP_IN * (columns - 1)) / columns
    chosen = [view.courses[at : at + columns] for at in range(0, len(view.courses), columns)]
    return [
        _Row(
            courses=courses,
            width_in=each_in,
            lines=max(len(_name(each_in, course)) for course in courses),
        )
        for courses in chosen
    ]


def _name(width_in: float, course: Course) -> list[str]:
    return wrapped(course.name, width_in, BODY_PT, weight=_weight(course), most_lines=2)


def _weight(course: Course) -> Weight:
    return "bold" if course.best else "normal"


def _draw_course(place: Panel, course: Course, view: CashFlowView, lines: int) -> None:
    name = _name(place.width_in, course)
    y_in = place.height_in - (lines - len(name)) * line_height_in(BODY_PT)
    for text in name:
        y_in -= line_height_in(BODY_PT)
        place.text(0.0, y_in, text, size_pt=BODY_PT, weight=_weight(course))
    y_in -= line_height_in(SMALL_PT)
    place.text(0.0, y_in, cash_flow_facts(course, view), size_pt=SMALL_PT, colour=CONTEXT)
    low, high = _limits(view)
    found = MaxNLocator(nbins=4, steps=[1, 2, 5, 10]).tick_values(low, high)
    ticks = [float(tick) for tick in np.asarray(found) if low <= tick <= high]
    left_in = max(text_width_in(view.amount(tick), LABEL_PT) for tick in ticks) + 0.07
    axes = place.axes(left_in, _BELOW_IN, place.width_in - left_in - 0.04, AXES_IN)
    axes.set_xlim(0.0, course.years[-1])
    axes.set_ylim(low, high)
    _draw_lines(axes, course, view)
    axes.set_yticks(ticks, [view.amount(tick) for tick in ticks])
    axes.xaxis.set_major_locator(MaxNLocator(nbins=4, integer=True, steps=[1, 2, 5, 10]))
    axes.set_xlabel("Years", loc="left", labelpad=1)


def _limits(view: CashFlowView) -> tuple[float, float]:
    every = [one.against.cumulative for one in view.courses]
    every += [one.against.cumulative_discounted for one in view.courses]
    every += [end for one in view.courses for end in (one.low, one.high) if end is not None]
    low = min(0.0, *(float(each.min()) for each in every))
    high = max(0.0, *(float(each.max()) for each in every))
    room = 0.1 * max(high - low, 1.0)
    return low - room, high + 1.4 * room


def _draw_lines(axes: Axes, course: Course, view: CashFlowView) -> None:
    for other in view.courses:
        if other is not course:
            axes.plot(other.years, other.against.cumulative, color=SOFT, linewidth=0.9, zorder=1)
    axes.axhline(0.0, color=CONTEXT, linewidth=0.9, zorder=2)
    if course.low is not None and course.high is not None:
        axes.fill_between(
            course.years, course.low, course.high, color=course.colour, alpha=0.18, linewidth=0
        )
    axes.plot(course.years, course.against.cumulative, color=course.colour, zorder=4)
    axes.plot(
        course.years,
        course.against.cumulative_discounted,
        color=course.colour,
        linewidth=1.0,
        linestyle=(0, (4, 2)),
        zorder=3,
    )
    _mark_payback(axes, course, view)
    _write_end(axes, course, view)


def _mark_payback(axes: Axes, course: Course, view: CashFlowView) -> None:
    """Mark the year; the line rises, so there is room above on its left and below on its right."""
    years = course.against.measures.simple_payback.years
    if not years:
        return
    axes.plot([years], [0.0], marker="o", markersize=4.5, color=TEXT, zorder=6, clip_on=False)
    low, high = axes.get_ylim()
    late = years > 0.45 * course.years[-1]
    step = 0.02 * course.years[-1]
    text = axes.text(
        min(years - step, _end_begins(axes, course, view)) if late else years + step,
        (0.04 if late else -0.05) * (high - low),
        f"{years:.1f} years",
        fontsize=LABEL_PT,
        ha="right" if late else "left",
        va="bottom" if late else "top",
        zorder=7,
    )
    text.set_path_effects([withStroke(linewidth=2.0, foreground="white")])


def _end_begins(axes: Axes, course: Course, view: CashFlowView) -> float:
    """Year at which the last amount, written at the right end, begins with some room before it."""
    figure = axes.get_figure(root=True)
    across = float(figure.get_size_inches()[0]) if figure else 1.0
    amount = view.amount(float(course.against.cumulative[-1]))
    share = (text_width_in(amount, LABEL_PT, "bold") + 0.05) / (axes.get_position().width * across)
    return float(course.years[-1]) * (1.0 - share)


def _write_end(axes: Axes, course: Course, view: CashFlowView) -> None:
    """Write the last amount clear of the lines that run below or above it."""
    end = float(course.against.cumulative[-1])
    low, high = axes.get_ylim()
    drawn = [course.against.cumulative, course.against.cumulative_discounted]
    drawn += [line for line in (course.low, course.high) if line is not None]
    last = np.array([line[-max(2, line.size // 3) :] for line in drawn])
    above = end >= 0
    text = axes.text(
        course.years[-1],
        float(last.max() if above else last.min()) + (0.03 if above else -0.04) * (high - low),
        view.amount(end),
        fontsize=LABEL_PT,
        fontweight="bold",
        ha="right",
        va="bottom" if above else "top",
        zorder=7,
    )
    text.set_path_effects([withStroke(linewidth=2.0, foreground="white")])
