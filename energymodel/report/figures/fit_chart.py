"""The chart of units against the load: lowest to full output of each at the design temperature."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from matplotlib.ticker import MaxNLocator

from energymodel.equipment.curves import Function
from energymodel.errors import InputError
from energymodel.new_file import PICTURES, check_new_file, new_file
from energymodel.report.figures.comparison import MARGIN_IN, save_figure
from energymodel.report.figures.page_panel import page_panel
from energymodel.report.figures.panel import (
    Panel,
    Weight,
    caption_height_in,
    heading_height_in,
    text_width_in,
)
from energymodel.report.figures.style import (
    CONTEXT,
    COOLING,
    HEAT_PUMP,
    LABEL_PT,
    MINUS,
    PAGE_WIDTH_IN,
    SMALL_PT,
    SOFT,
    house_style,
)
from energymodel.report.numbers import Display
from energymodel.report.suitability.units import SiteUnits
from energymodel.study.suitability.capacity import ServiceFit
from energymodel.study.suitability.suitability import Suitability
from energymodel.study.suitability.verdict import UnitFit

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_ROW_IN = 0.185
_ABOVE_IN = 0.34
_BELOW_IN = 0.38
_GAP_IN = 0.16
_VERDICT_GAP_IN = 0.08
_COLOURS = {Function.HEATING: HEAT_PUMP, Function.COOLING: COOLING}
_LONGEST_NAMED = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitColumn:
    """One function of all units.

    Parameters
    ----------
    function
        Heating or cooling.
    services
        Of each row; None: the unit does not serve it.
    load_w, design_c
        Load at the design temperature, W, and that temperature, degC.
    sheet_w
        Load of the heat-loss sheet, gains not taken off, W; None: it is the same.
    """

    function: Function
    services: tuple[ServiceFit | None, ...]
    load_w: float
    design_c: float
    sheet_w: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitView:
    """What the chart shows.

    Parameters
    ----------
    rows
        Units, the smallest output first.
    columns
        Heating, cooling, or both.
    leading
        Labels of the units that fit, or of the nearest one where none does.
    title, facts, caption
        In words.
    """

    rows: tuple[UnitFit, ...]
    columns: tuple[FitColumn, ...]
    leading: frozenset[str]
    title: str
    facts: str
    caption: str


def fit_view(result: Suitability, units: SiteUnits) -> FitView:
    """Choose what the chart shows.

    Parameters
    ----------
    result
        All candidates.
    units
        Of the reader.

    Returns
    -------
    FitView
        Rows sorted by full output of the first function, then of the other one.

    Raises
    ------
    InputError
        If no unit serves any load of the room.
    """
    rows = tuple(sorted(result.fits, key=_output))
    columns = []
    for heats in (True, False):
        services = tuple(fit.heating if heats else fit.cooling for fit in rows)
        there = [one for one in services if one is not None]
        if there:
            columns.append(
                FitColumn(
                    function=there[0].function,
                    services=services,
                    load_w=there[0].design_load_w,
                    design_c=there[0].design_c,
                    sheet_w=there[0].sheet_load_w if there[0].has_sheet else None,
                )
            )
    if not columns:
        raise InputError("no unit serves a load of this room", expected="at least one that does")
    site = result.model.weather.site.name
    title = result.model.scenario.content.title.strip().rstrip(".")
    return FitView(
        rows=rows,
        columns=tuple(columns),
        leading=frozenset(fit.candidate.label for fit in result.leaders),
        title=message(result, columns[0], units.show),
        facts="Bar: lowest to full output. Load left of the bar: the unit cycles; right of it: heat"
        " or cooling is missing",
        caption=f"{title + '. ' if title else ''}Output in the room as installed at the design"
        f" temperature, {site}; the mean where its controls let it run half of the time. A unit"
        " may reach the line and still stop in colder hours: see the verdict. Estimate; no result"
        " approves an installation.",
    )


def _output(fit: UnitFit) -> tuple[float, float, str]:
    main, other = fit.heating, fit.cooling
    return (
        -1.0 if main is None else main.design_output_w,
        -1.0 if other is None else other.design_output_w,
        fit.candidate.label,
    )


def message(result: Suitability, column: FitColumn, show: Display) -> str:
    """Say in one sentence what the chart shows.

    Parameters
    ----------
    result
        All candidates.
    column
        Its first function.
    show
        Units of the reader.

    Returns
    -------
    str
        Title of the chart.
    """
    at = show.temperature(column.design_c).replace("-", MINUS)
    load = show.heat_flow(column.load_w)
    suited = [fit.candidate.label for fit in result.suited]
    if not suited and result.leaders:
        return f"No unit of the list fits; {result.leaders[0].candidate.label} is nearest"
    if not suited:
        return f"No unit of the list fits this room ({load} at {at})"
    named = " and ".join(suited[:_LONGEST_NAMED])
    if len(suited) > _LONGEST_NAMED:
        return f"{len(suited)} units fit, {suited[0]} first (load {load} at {at})"
    return f"{named} {'fit' if len(suited) > 1 else 'fits'} (load {load})"


def fit_figure(result: Suitability, units: SiteUnits) -> Figure:
    """Draw units against the load.

    Parameters
    ----------
    result
        All candidates.
    units
        Of the reader.

    Returns
    -------
    Figure
        One row per unit, one column per function.

    Raises
    ------
    InputError
        If no unit serves any load of the room.
    """
    view = fit_view(result, units)
    wide_in = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
    inside_in = (
        heading_height_in(view.title, view.facts, wide_in)
        + _ABOVE_IN
        + _ROW_IN * len(view.rows)
        + _BELOW_IN
        + caption_height_in(view.caption, wide_in)
    )
    with house_style():
        figure, panel = page_panel(inside_in + 2.0 * MARGIN_IN)
        _draw(panel, view, units.show)
    return figure


def write_fit_chart(result: Suitability, path: Path, units: SiteUnits) -> None:
    """Draw units against the load into a file.

    Parameters
    ----------
    result
        All candidates.
    path
        Ends in .png or .svg; a file that exists is replaced, so ask before.
    units
        Of the reader.
    """
    check_new_file(path, endings=PICTURES, replace=True)
    with new_file(path) as part:
        save_figure(fit_figure(result, units), part)


def _draw(panel: Panel, view: FitView, show: Display) -> None:
    top_in = panel.heading(view.title, view.facts) - _ABOVE_IN
    bottom_in = panel.caption(view.caption) + _BELOW_IN
    left_in = max(text_width_in(fit.candidate.label, LABEL_PT, "bold") for fit in view.rows) + 0.1
    right_in = max(text_width_in(fit.verdict.value, LABEL_PT, "bold") for fit in view.rows)
    room_in = panel.width_in - left_in - right_in - _VERDICT_GAP_IN
    each_in = (room_in - _GAP_IN * (len(view.columns) - 1)) / len(view.columns)
    for index, column in enumerate(view.columns):
        at_in = left_in + index * (each_in + _GAP_IN)
        axes = panel.axes(at_in, bottom_in, each_in, top_in - bottom_in)
        _draw_column(axes, column, view, show)
        _head(panel, column, (at_in, top_in + 0.2), show)
    _names(panel, view, (bottom_in, panel.width_in - right_in))


def _names(panel: Panel, view: FitView, place_in: tuple[float, float]) -> None:
    bottom_in, right_in = place_in
    for row, fit in enumerate(view.rows):
        y_in = bottom_in + (row + 0.5) * _ROW_IN - 0.035
        leads = fit.candidate.label in view.leading
        weight: Weight = "bold" if leads else "normal"
        colour = "black" if leads else CONTEXT
        panel.text(0.0, y_in, fit.candidate.label, size_pt=LABEL_PT, weight=weight, colour=colour)
        panel.text(
            right_in, y_in, fit.verdict.value, size_pt=LABEL_PT, weight=weight, colour=colour
        )


def _head(panel: Panel, column: FitColumn, place_in: tuple[float, float], show: Display) -> None:
    at = show.temperature(column.design_c).replace("-", MINUS)
    noun = column.function.value.capitalize()
    panel.text(*place_in, f"{noun} at {at}", size_pt=LABEL_PT, weight="bold")


def _draw_column(axes: Axes, column: FitColumn, view: FitView, show: Display) -> None:
    rows = view.rows
    colour = _COLOURS[column.function]
    load = show.heat_value(column.load_w)
    most = load
    for row, (service, fit) in enumerate(zip(column.services, rows, strict=True)):
        if service is None:
            continue
        low = show.heat_value(service.design_lowest_w)
        high = show.heat_value(service.design_output_w)
        most = max(most, high)
        if high <= 0:
            _stands_still(axes, row)
            continue
        leads = fit.candidate.label in view.leading
        face = colour if leads else "white"
        axes.plot([low, high], [row, row], color=colour, linewidth=3.0 if leads else 1.2)
        for value in (low, high):
            axes.plot(
                [value], [row], marker="o", markersize=4.5, markerfacecolor=face,
                markeredgecolor=colour, linestyle="none", zorder=3,
            )  # fmt: skip
    told = _draw_loads(axes, column, show)
    axes.set_xlim(0.0, most * 1.06)
    axes.set_ylim(-0.5, len(rows) - 0.5)
    axes.set_yticks([])
    axes.grid(visible=False)
    for row in range(len(rows)):
        axes.axhline(row, color=SOFT, linewidth=0.5, zorder=0)
    axes.spines["left"].set_visible(False)
    axes.xaxis.set_major_locator(MaxNLocator(nbins=5))
    axes.set_xlabel("Output, kBtu/h" if show.us else "Output, kW", fontsize=LABEL_PT)
    axes.text(
        load,
        len(rows) - 0.45,
        told,
        fontsize=LABEL_PT,
        color=CONTEXT,
        ha="center" if load > 0.15 * most and column.sheet_w is None else "left",
        va="bottom",
    )


def _draw_loads(axes: Axes, column: FitColumn, show: Display) -> str:
    """Draw the load, and that of the sheet where gains are taken off; say both."""
    load = show.heat_value(column.load_w)
    axes.axvline(load, color=CONTEXT, linewidth=1.4, linestyle="--", zorder=1)
    if column.sheet_w is None:
        return f"load {load:.1f}"
    sheet = show.heat_value(column.sheet_w)
    axes.axvline(sheet, color=CONTEXT, linewidth=1.2, linestyle=":", zorder=1)
    return f"load {load:.1f}, by the sheet {sheet:.1f}"


def _stands_still(axes: Axes, row: int) -> None:
    axes.text(
        0.0,
        row,
        "stands still",
        fontsize=SMALL_PT,
        color=CONTEXT,
        va="center",
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.8},
    )
