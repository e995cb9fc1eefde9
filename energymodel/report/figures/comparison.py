"""Charts of a comparison as matplotlib figures; nothing of pyplot's global state is touched."""

from __future__ import annotations

from pathlib import Path

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from energymodel.errors import InputError
from energymodel.report.figures.capacity_chart import CapacityView, capacity_view, draw_capacity
from energymodel.report.figures.cost_charts import (
    draw_monthly,
    draw_yearly,
    monthly_height_in,
    yearly_height_in,
)
from energymodel.report.figures.cost_view import cost_view
from energymodel.report.figures.panel import Panel
from energymodel.report.figures.style import PAGE_HEIGHT_IN, PAGE_WIDTH_IN, house_style
from energymodel.report.numbers import Display
from energymodel.study.comparison.outcome import Comparison, Outcome

MARGIN_IN = 0.08
WIDE_IN = 10.0
DOTS_PER_INCH = 200
_BETWEEN_IN = 0.3
_INSIDE_IN = PAGE_WIDTH_IN - 2.0 * MARGIN_IN


def _tall(inside_in: float) -> float:
    return inside_in + 2.0 * MARGIN_IN


def _blank(width_in: float, height_in: float) -> tuple[Figure, Panel]:
    figure = Figure(figsize=(width_in, height_in))
    FigureCanvasAgg(figure)
    return figure, Panel(
        figure=figure,
        left_in=MARGIN_IN,
        bottom_in=MARGIN_IN,
        width_in=width_in - 2.0 * MARGIN_IN,
        height_in=height_in - 2.0 * MARGIN_IN,
    )


def has_capacity_figure(comparison: Comparison, outcome: Outcome) -> bool:
    """Whether an option has an output that depends on outdoor temperature, and a load for it.

    Parameters
    ----------
    comparison
        All options; weather and room are taken from it.
    outcome
        The option.

    Returns
    -------
    bool
        False for baseboards, furnaces and the like.
    """
    return bool(capacity_view(comparison, outcome).curves)


def capacity_figure(comparison: Comparison, outcome: Outcome, show: Display) -> Figure:
    """Draw load and output of one option against outdoor temperature.

    Parameters
    ----------
    comparison
        All options; weather and room are taken from it.
    outcome
        The option.
    show
        Units of the reader.

    Returns
    -------
    Figure
        Load line and capacity band, hours of the year below.

    Raises
    ------
    InputError
        If the option has neither a heat pump nor an air conditioner.
    """
    view = _view(comparison, outcome)
    with house_style():
        figure, panel = _blank(PAGE_WIDTH_IN, PAGE_HEIGHT_IN)
        draw_capacity(panel, view, show)
    return figure


def _view(comparison: Comparison, outcome: Outcome) -> CapacityView:
    view = capacity_view(comparison, outcome)
    if not view.curves:
        raise InputError(
            f"{outcome.name} has no output that depends on outdoor temperature, or no load for it",
            expected="an option with a heat pump or an air conditioner that is needed",
        )
    return view


def yearly_cost_figure(comparison: Comparison) -> Figure:
    """Draw what each option costs per year, and what for.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    Figure
        One bar per option.
    """
    view = cost_view(comparison)
    with house_style():
        figure, panel = _blank(PAGE_WIDTH_IN, _tall(yearly_height_in(view, _INSIDE_IN)))
        draw_yearly(panel, view)
    return figure


def monthly_cost_figure(comparison: Comparison) -> Figure:
    """Draw what each option costs in each month, heating and cooling apart.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    Figure
        One small chart per option, all on one scale.
    """
    view = cost_view(comparison)
    with house_style():
        figure, panel = _blank(PAGE_WIDTH_IN, _tall(monthly_height_in(view, _INSIDE_IN)))
        draw_monthly(panel, view)
    return figure


def overview_figure(comparison: Comparison, outcome: Outcome, show: Display) -> Figure:
    """Draw yearly costs beside load and output of one option, in one wide picture.

    Parameters
    ----------
    comparison
        All options.
    outcome
        The option on the right; with a heat pump or air conditioner.
    show
        Units of the reader.

    Returns
    -------
    Figure
        Two charts side by side.

    Raises
    ------
    InputError
        If the option has neither a heat pump nor an air conditioner.
    """
    costs, curves = cost_view(comparison), _view(comparison, outcome)
    with house_style():
        half_in = (WIDE_IN - 2.0 * MARGIN_IN - _BETWEEN_IN) / 2.0
        height_in = max(_tall(yearly_height_in(costs, half_in)), PAGE_HEIGHT_IN)
        figure, whole = _blank(WIDE_IN, height_in)
        left, right = (
            Panel(
                figure=figure,
                left_in=left_in,
                bottom_in=whole.bottom_in,
                width_in=half_in,
                height_in=whole.height_in,
            )
            for left_in in (whole.left_in, whole.left_in + half_in + _BETWEEN_IN)
        )
        draw_yearly(left, costs)
        draw_capacity(right, curves, show)
    return figure


def save_figure(figure: Figure, path: Path, *, dots_per_inch: int = DOTS_PER_INCH) -> None:
    """Write a figure so that the same figure gives the same file.

    Parameters
    ----------
    figure
        Made by this module.
    path
        Ends in .png or .svg (letters as outlines).
    dots_per_inch
        Of a PNG.
    """
    metadata = {"Date": None} if path.suffix == ".svg" else {"Software": None}
    with house_style():
        figure.savefig(path, metadata=metadata, dpi=dots_per_inch)
