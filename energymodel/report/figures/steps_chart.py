"""The way from label to site as a waterfall."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.ticker import MaxNLocator

from energymodel.equipment.curves import Function
from energymodel.new_file import PICTURES, check_new_file, new_file
from energymodel.report.figures.bars import pattern_colour
from energymodel.report.figures.comparison import MARGIN_IN, save_figure
from energymodel.report.figures.panel import (
    Panel,
    caption_height_in,
    heading_height_in,
    text_width_in,
)
from energymodel.report.figures.style import (
    BODY_PT,
    CONTEXT,
    COOLING,
    HEAT_PUMP,
    LABEL_PT,
    MINUS,
    PAGE_WIDTH_IN,
    RESISTANCE,
    house_style,
)
from energymodel.study.rating.label_to_site import ORDER_NOTE, LabelToSite
from energymodel.study.rating.rate import SiteRange

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_ROW_IN = 0.22
_AXIS_IN = 0.42
_BAR = 0.62
_NUMBER_IN = 0.5
_SHOWN = 0.0005
"""Smallest change that is drawn, kWh per kWh."""


def steps_figure(found: SiteRange) -> Figure:
    """Draw the steps from label to site.

    Parameters
    ----------
    found
        Steps and range.

    Returns
    -------
    Figure
        One row per step that changes anything; bars from zero at the two ends.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415 - with the figure
    from matplotlib.figure import Figure  # noqa: PLC0415 - half a second that a table saves

    width_in = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
    heading, caption = _heading(found), _caption(found)
    rows = _rows(found.likely)
    inside_in = (
        heading_height_in(*heading, width_in)
        + caption_height_in(caption, width_in)
        + _AXIS_IN
        + _ROW_IN * len(rows)
    )
    with house_style():
        figure = Figure(figsize=(PAGE_WIDTH_IN, inside_in + 2.0 * MARGIN_IN))
        FigureCanvasAgg(figure)
        panel = Panel(
            figure=figure,
            left_in=MARGIN_IN,
            bottom_in=MARGIN_IN,
            width_in=width_in,
            height_in=inside_in,
        )
        top_in = panel.heading(*heading)
        bottom_in = panel.caption(caption) + _AXIS_IN
        _draw(panel, rows, found, (bottom_in, top_in))
    return figure


_Row = tuple[str, float, float]
"""Name, where the bar begins, where it ends."""


def _rows(way: LabelToSite) -> list[_Row]:
    rows = [("Label", 0.0, way.start)]
    before = way.start
    for step in way.steps:
        after = step.use.kwh_per_kwh
        if abs(step.change) >= _SHOWN:
            rows.append((step.name.capitalize(), before, after))
        before = after
    return [*rows, ("Site", 0.0, way.end)]


def _heading(found: SiteRange) -> tuple[str, str]:
    way = found.likely
    what = "heat" if way.function is Function.HEATING else "cooling"
    place = way.site.weather.site.name
    title = (
        f"{place}: COP {way.cop_end:.1f} in {_season(way)}, where the label stands for"
        f" {way.cop_start:.1f}"
    )
    return title, (
        f"{way.unit}: kWh of electricity per kWh of {what}; range at the site COP"
        f" {found.cop_low:.1f} to {found.cop_high:.1f}"
    )


def _season(way: LabelToSite) -> str:
    return "heating" if way.function is Function.HEATING else "cooling"


def _caption(found: SiteRange) -> str:
    way = found.likely
    weather = way.site.weather
    source = weather.source.partition(" (")[0]
    without = [step.name for step in way.steps if abs(step.change) < _SHOWN]
    nothing = f" No change by: {', '.join(without)}." if without else ""
    return (
        f"Label: {way.basis.name} {way.basis.figure:.3g} {way.basis.unit}. Weather:"
        f" {weather.site.name}, {weather.year_label}, hour by hour ({source}).{nothing}"
        f" {ORDER_NOTE}"
    )


def _draw(
    panel: Panel, rows: list[_Row], found: SiteRange, between_in: tuple[float, float]
) -> None:
    bottom_in, top_in = between_in
    names_in = max(text_width_in(name, BODY_PT) for name, _, _ in rows) + 0.12
    width_in = panel.width_in - names_in - _NUMBER_IN
    axes = panel.axes(names_in, bottom_in, width_in, top_in - bottom_in)
    worst = 1.0 / found.cop_low
    most = max(worst, *(max(begin, end) for _, begin, end in rows))
    axes.set_xlim(0.0, 1.003 * most)
    axes.set_ylim(len(rows) - 0.45, -0.55)
    for at, (name, begin, end) in enumerate(rows):
        total = at in (0, len(rows) - 1)
        _bar(axes, at, (begin, end), _colour(name, found.likely, total=total), total=total)
        beside = max(begin, end, worst if at == len(rows) - 1 else 0.0)
        _number(axes, at, (begin, end), beside + 0.008 * most, total=total)
        if not total:
            axes.plot([begin, begin], [at - 0.69, at + 0.31], color=CONTEXT, linewidth=0.5)
    ends, last = [1.0 / found.cop_high, worst], [len(rows) - 1] * 2
    axes.plot(ends, last, color="black", linewidth=1.0, marker="|", markersize=5.0)
    axes.set_yticks(np.arange(len(rows)), [name for name, _, _ in rows], fontsize=BODY_PT)
    axes.xaxis.set_major_locator(MaxNLocator(nbins=6, steps=[1, 2, 5, 10]))
    axes.grid(visible=False)
    axes.spines["left"].set_visible(True)
    axes.spines["bottom"].set_visible(False)
    axes.set_xlabel("kWh of electricity per kWh", loc="left")


def _colour(name: str, way: LabelToSite, *, total: bool) -> str:
    if total:
        return HEAT_PUMP if way.function is Function.HEATING else COOLING
    return RESISTANCE if name == "Backup" else CONTEXT


def _bar(axes: Axes, at: int, ends: tuple[float, float], colour: str, *, total: bool) -> None:
    begin, end = ends
    saves = end < begin and not total
    axes.barh(
        at,
        abs(end - begin),
        left=min(begin, end),
        height=_BAR,
        facecolor=pattern_colour(colour) if saves else colour,
        edgecolor=colour,
        hatch="////" if saves else None,
        linewidth=0.6,
    )


def _number(axes: Axes, at: int, ends: tuple[float, float], beside: float, *, total: bool) -> None:
    begin, end = ends
    text = f"{end:.3f}" if total else f"{end - begin:+.3f}".replace("-", MINUS)
    axes.text(
        beside,
        at,
        text,
        va="center",
        ha="left",
        fontsize=LABEL_PT,
        fontweight="bold" if total else "normal",
    )


def write_steps_chart(found: SiteRange, path: Path, *, replace: bool) -> None:
    """Write the chart of the steps to a file.

    Parameters
    ----------
    found
        Steps and range.
    path
        Ends in .png or .svg.
    replace
        Whether a file that exists is replaced.

    Raises
    ------
    InputError
        If the file exists, its folder does not, or its ending is another one.
    """
    check_new_file(path, endings=PICTURES, replace=replace)
    with new_file(path) as part:
        save_figure(steps_figure(found), part)
