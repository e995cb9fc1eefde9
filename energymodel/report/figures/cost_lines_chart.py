"""What the yearly cost of each option is charged for: use, peak demand, fuel, fixed charges."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from energymodel.report.comparison.cost_lines import LineGroup, cost_lines
from energymodel.report.figures.captions import scenario_caption, weather_caption
from energymodel.report.figures.page_panel import MARGIN_IN, page_panel
from energymodel.report.figures.panel import (
    Panel,
    caption_height_in,
    heading_height_in,
    line_height_in,
    text_width_in,
    wrapped,
)
from energymodel.report.figures.style import (
    BODY_PT,
    CONTEXT,
    FUEL,
    LABEL_PT,
    PAGE_WIDTH_IN,
    SOFT,
    Look,
    house_style,
)
from energymodel.report.numbers import money
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.outcome import Comparison, Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LINE_LOOKS = {
    LineGroup.ENERGY: Look(colour="#4d4d4d", hatch="", ink="white"),
    LineGroup.DEMAND: Look(colour="#a6a6a6", hatch="////", ink="black"),
    LineGroup.FUEL: Look(colour=FUEL, hatch="....", ink="black"),
    LineGroup.FIXED: Look(colour=SOFT, hatch="", ink="black"),
    LineGroup.OTHER: Look(colour="white", hatch="xxxx", ink="black"),
}
_INSIDE_IN = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
_ROW_IN = 0.36
_AXIS_IN = 0.4
_KEY_IN = 0.22
_NAME_SHARE = 0.34


def line_groups(outcome: Outcome, comparison: Comparison) -> dict[LineGroup, float]:
    """Sum what an option is charged for.

    Parameters
    ----------
    outcome
        One option.
    comparison
        All options; prices are taken from it.

    Returns
    -------
    dict of float
        Money per year; an account that closes counts below zero. Their sum is the yearly cost.
    """
    found = dict.fromkeys(LineGroup, 0.0)
    for line in cost_lines(outcome, comparison.model.prices):
        found[line.group] += line.year
    return {group: value for group, value in found.items() if abs(value) >= 0.005}


def cost_lines_message(groups: Mapping[str, Mapping[LineGroup, float]]) -> str:
    """Say in one sentence what weighs most.

    Parameters
    ----------
    groups
        By name of the option.

    Returns
    -------
    str
        Title of the chart.
    """
    demand = {name: one.get(LineGroup.DEMAND, 0.0) for name, one in groups.items()}
    most = max(demand, key=lambda name: demand[name])
    if demand[most] > 0:
        share = demand[most] / sum(groups[most].values())
        return f"Peak demand weighs most in {most}: {share:.0%} of its cost"
    fixed = sum(abs(one.get(LineGroup.FIXED, 0.0)) for one in groups.values())
    if fixed > 0:
        return "Use makes most of the cost; fixed charges change where an account opens or closes"
    return "All of the cost is for use: who uses less pays less"


def cost_lines_figure(comparison: Comparison) -> Figure:
    """Draw what each option is charged for in the year.

    Parameters
    ----------
    comparison
        All options.

    Returns
    -------
    Figure
        One bar per option; what an account that closes saves lies left of zero.
    """
    groups = {one.name: line_groups(one, comparison) for one in comparison.outcomes}
    title = cost_lines_message(groups)
    subtitle = "Lines of the bills with the option less the bills without, a year"
    caption = (
        f"{scenario_caption(comparison)}{weather_caption(comparison)} Estimate, not a quotation."
    )
    with house_style():
        words_in = heading_height_in(title, subtitle, _INSIDE_IN)
        words_in += caption_height_in(caption, _INSIDE_IN)
        rows_in = _ROW_IN * len(groups)
        figure, panel = page_panel(words_in + _KEY_IN + rows_in + _AXIS_IN + 2.0 * MARGIN_IN)
        top_in = panel.heading(title, subtitle) - _KEY_IN
        bottom_in = panel.caption(caption) + _AXIS_IN
        left_in = panel.width_in * _NAME_SHARE
        axes = panel.axes(left_in, bottom_in, panel.width_in - left_in, top_in - bottom_in)
        _draw_key(panel, groups, top_in + 0.04)
        _draw_bars(axes, groups, comparison.model.scenario.content.currency)
        for row, name in enumerate(groups):
            _write_name(panel, name, top_in - _ROW_IN * (row + 0.5))
    return figure


def _draw_key(panel: Panel, groups: Mapping[str, Mapping[LineGroup, float]], y_in: float) -> None:
    across, up = panel.figure.get_size_inches()
    x_in = 0.0
    for group in (group for group in LineGroup if any(group in one for one in groups.values())):
        look = LINE_LOOKS[group]
        swatch = Rectangle(
            ((panel.left_in + x_in) / across, (panel.bottom_in + y_in - 0.01) / up),
            0.18 / across,
            0.1 / up,
            facecolor=look.colour,
            hatch=look.hatch,
            edgecolor=CONTEXT,
            linewidth=0.4,
            transform=panel.figure.transFigure,
        )
        panel.figure.add_artist(swatch)
        panel.text(x_in + 0.23, y_in, group.value, size_pt=LABEL_PT)
        x_in += 0.43 + text_width_in(group.value, LABEL_PT)


def _draw_bars(axes: Axes, groups: Mapping[str, Mapping[LineGroup, float]], currency: str) -> None:
    ends = []
    for row, one in enumerate(groups.values()):
        right = left = 0.0
        for group, value in one.items():
            look = LINE_LOOKS[group]
            start = right if value > 0 else left
            axes.barh(
                row, value, left=start, height=0.55, color=look.colour, hatch=look.hatch,
                edgecolor=CONTEXT, linewidth=0.4,
            )  # fmt: skip
            right, left = right + max(value, 0.0), left + min(value, 0.0)
        ends.append((left, right))
        axes.annotate(
            money(sum(one.values()), currency),
            (right, row),
            xytext=(4.0, 0.0),
            textcoords="offset points",
            va="center",
            fontsize=LABEL_PT,
        )
    axes.set_ylim(len(groups) - 0.5, -0.5)
    axes.set_yticks([])
    axes.set_xlim(1.05 * min(left for left, _ in ends), 1.15 * max(right for _, right in ends))
    axes.grid(visible=False, axis="y")
    axes.grid(visible=True, axis="x")
    axes.axvline(0.0, color=CONTEXT, linewidth=0.8)
    axes.locator_params(axis="x", nbins=6)
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.set_xlabel(f"{SIGNS.get(currency, currency)} a year")


def _write_name(panel: Panel, name: str, middle_in: float) -> None:
    lines = wrapped(name, panel.width_in * _NAME_SHARE - 0.1, BODY_PT)[:2]
    step = line_height_in(BODY_PT)
    y_in = middle_in + step * len(lines) / 2.0 - 0.8 * step
    for line in lines:
        panel.text(0.0, y_in, line, size_pt=BODY_PT)
        y_in -= step
