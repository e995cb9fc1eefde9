"""A figure as wide as the page, with one panel inside its margins."""

from __future__ import annotations

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from energymodel.report.figures.panel import Panel
from energymodel.report.figures.style import PAGE_WIDTH_IN

MARGIN_IN = 0.08


def page_panel(height_in: float, *, width_in: float = PAGE_WIDTH_IN) -> tuple[Figure, Panel]:
    """Make an empty figure; call it inside the house style.

    Parameters
    ----------
    height_in, width_in
        Size of the figure, inches.

    Returns
    -------
    figure : Figure
        Empty.
    panel : Panel
        All of it but the margins.
    """
    figure = Figure(figsize=(width_in, height_in))
    FigureCanvasAgg(figure)
    return figure, Panel(
        figure=figure,
        left_in=MARGIN_IN,
        bottom_in=MARGIN_IN,
        width_in=width_in - 2.0 * MARGIN_IN,
        height_in=height_in - 2.0 * MARGIN_IN,
    )
