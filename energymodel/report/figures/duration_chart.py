"""Duration curve of the heating load: hours from the hardest to the mildest, what covers them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure

from energymodel.arrays import Array
from energymodel.report.figures.captions import scenario_caption, weather_caption
from energymodel.report.figures.page_panel import page_panel
from energymodel.report.figures.panel import Panel
from energymodel.report.figures.shares import part_words
from energymodel.report.figures.style import (
    CONTEXT,
    HEAT_PUMP,
    LABEL_PT,
    PAGE_HEIGHT_IN,
    RESISTANCE,
    SOFT,
    TEXT,
    house_style,
)
from energymodel.report.numbers import Display
from energymodel.season.result import HEATING
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.units import btu_h_from_w

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_LEFT_IN = 0.36
_RIGHT_IN = 1.15
_AXIS_IN = 0.38
_LEAST_SHARE = 0.002
"""Of the year's load: below it an area is too thin to be named."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Duration:
    """Hours with a heating load, hardest first.

    Parameters
    ----------
    load_w, pump_w, other_w, unmet_w
        Load of the room, and what of it the heat pump gives, other heat gives and stays unmet, W,
        shape (hours with a load,); the three add up to the load.
    """

    load_w: Array
    pump_w: Array
    other_w: Array
    unmet_w: Array

    @property
    def helped_h(self) -> int:
        """Hours in which the heat pump does not give all."""
        return int((self.pump_w < self.load_w * (1.0 - 1e-6)).sum())


def duration(outcome: Outcome) -> Duration:
    """Sort the hours of an option by their heating load.

    Parameters
    ----------
    outcome
        One option.

    Returns
    -------
    Duration
        Without hours that need no heat.
    """
    result = outcome.result
    none = np.zeros(len(result.states))

    def by_hour(name: str) -> Array:
        values: Array = result.columns.get(f"{HEATING}_{name}_kwh", none)[result.states.inverse]
        return 1000.0 * values

    load_w, unmet_w = by_hour("load"), by_hour("unmet")
    met_w = load_w - unmet_w
    at_unit_w = met_w + by_hour(
        "duct_loss"
    )  # the loss of ducts is shared by all that heats in them
    share = np.divide(
        by_hour("pump_heat"), at_unit_w, out=np.zeros(load_w.size), where=at_unit_w > 0
    )
    pump_w = met_w * np.minimum(share, 1.0)
    order = np.argsort(-load_w, kind="stable")[: int((load_w > 0).sum())]
    return Duration(
        load_w=load_w[order],
        pump_w=pump_w[order],
        other_w=(met_w - pump_w)[order],
        unmet_w=unmet_w[order],
    )


def duration_message(found: Duration, show: Display) -> str:
    """Say in one sentence what covers the load.

    Parameters
    ----------
    found
        Hours of an option.
    show
        Units of the reader.

    Returns
    -------
    str
        Title of the chart.
    """
    hours = found.load_w.size
    if not hours:
        return "No hour needs heat"
    half = show.heat_flow(float(found.load_w[0]) / 2.0)
    mild = float((found.load_w < found.load_w[0] / 2.0).mean())
    if not found.pump_w.any():
        return (
            f"{part_words(mild, 0)} of the heating hours need less than {half}, half of the hardest"
            " hour"
        )
    share = float(found.pump_w.sum() / found.load_w.sum())
    if found.helped_h == 0:
        return f"The heat pump carries all {hours:,} heating hours alone"
    return (
        f"The heat pump gives {part_words(share)} of the heat;"
        f" {found.helped_h:,} of {hours:,} hours need more"
    )


def duration_figure(comparison: Comparison, outcome: Outcome, show: Display) -> Figure:
    """Draw the heating load of the year from the hardest hour to the mildest.

    Parameters
    ----------
    comparison
        All options.
    outcome
        The option that covers it.
    show
        Units of the reader.

    Returns
    -------
    Figure
        Areas: what the heat pump gives, what other heat gives, what stays unmet.
    """
    found = duration(outcome)
    caption = (
        f"{outcome.name}. {scenario_caption(comparison)}{weather_caption(comparison)} Hours sorted"
        " by load; at equal load the cold, damp hour gives less. Estimate, not a quotation."
    )
    with house_style():
        figure, panel = page_panel(PAGE_HEIGHT_IN)
        hours = found.load_w.size
        facts = f"{hours:,} hours with a heating load, {found.load_w.sum() / 1e6:,.1f} MWh a year"
        top_in = panel.heading(duration_message(found, show), facts) - 0.2
        bottom_in = panel.caption(caption) + _AXIS_IN
        wide_in = panel.width_in - _LEFT_IN - _RIGHT_IN
        axes = panel.axes(_LEFT_IN, bottom_in, wide_in, top_in - bottom_in)
        _draw(axes, found, show)
        unit = "kBtu/h" if show.us else "kW"
        panel.text(0.0, top_in + 0.06, f"Heating load, {unit}", size_pt=LABEL_PT)
        _name(panel, found, (_LEFT_IN + wide_in + 0.08, top_in))
    return figure


def _shown(heat_w: Array, show: Display) -> Array:
    if not show.us:
        return heat_w / 1000.0
    shown: Array = np.asarray(btu_h_from_w(heat_w)) / 1000.0
    return shown


def _areas(found: Duration) -> list[tuple[str, Array, str, str]]:
    """Name, heat, colour and hatch of the areas that can be seen, from below."""
    least = _LEAST_SHARE * float(found.load_w.sum())
    every = [
        ("heat pump", found.pump_w, HEAT_PUMP, ""),
        ("other heat", found.other_w, RESISTANCE, "////"),
        ("not covered", found.unmet_w, SOFT, "...."),
    ]
    return [area for area in every if float(area[1].sum()) > least]


def _draw(axes: Axes, found: Duration, show: Display) -> None:
    hours = np.arange(found.load_w.size)
    below = np.zeros(found.load_w.size)
    for _, heat_w, colour, hatch in _areas(found):
        top = below + _shown(heat_w, show)
        axes.fill_between(
            hours, below, top, facecolor=colour, edgecolor=CONTEXT, hatch=hatch, linewidth=0.0,
            alpha=0.85,
        )  # fmt: skip
        axes.plot(hours, top, color="white", linewidth=1.0)  # parts the areas in a grey print
        below = top
    axes.plot(hours, _shown(found.load_w, show), color=TEXT, linewidth=1.2)
    axes.set_xlim(0.0, max(found.load_w.size, 1))
    axes.set_ylim(bottom=0.0)
    axes.set_xlabel("Hours of the year, hardest first")
    axes.xaxis.set_major_formatter("{x:,.0f}")


def _name(panel: Panel, found: Duration, corner_in: tuple[float, float]) -> None:
    x_in, y_in = corner_in
    whole = float(found.load_w.sum())
    for name, heat_w, colour, _ in reversed(_areas(found)):
        ink = CONTEXT if colour == SOFT else colour
        panel.text(x_in, y_in - 0.1, name, size_pt=LABEL_PT, weight="bold", colour=ink)
        words = f"{float(heat_w.sum()) / 1000.0:,.0f} kWh, {_share(float(heat_w.sum()) / whole)}"
        panel.text(x_in, y_in - 0.22, words, size_pt=LABEL_PT)
        y_in -= 0.36


def _share(share: float) -> str:
    """Beside an area there is room for a sign, not for words."""
    return part_words(share).replace("more than ", "> ").replace("less than ", "< ")
