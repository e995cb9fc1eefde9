"""Later readings against what was expected in their weather, period by period."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.ticker import MaxNLocator

from energymodel.report.figures.panel import Panel, caption_height_in, heading_height_in
from energymodel.report.figures.style import (
    BODY_PT,
    CONTEXT,
    LABEL_PT,
    PAGE_WIDTH_IN,
    RESISTANCE,
    SOFT,
)
from energymodel.report.house.answers import verdict_line
from energymodel.report.house.units import MONTHS
from energymodel.study.house.after_check import CheckedPeriods
from energymodel.study.house.installed_check import Verdict

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_PLOT_IN = 1.5
_AXIS_IN = 0.36
_UNIT_IN = 0.2
_LEFT_IN = 0.42
_WIDTH = 0.5
_INSIDE_IN = PAGE_WIDTH_IN - 0.16


def check_height_in(checked: CheckedPeriods) -> float:
    """Height that the chart takes.

    Parameters
    ----------
    checked
        Readings, expectation and verdict.

    Returns
    -------
    float
        Inches.
    """
    heading, caption = _heading(checked), _caption(checked)
    return (
        heading_height_in(*heading, _INSIDE_IN)
        + caption_height_in(caption, _INSIDE_IN)
        + _PLOT_IN
        + _AXIS_IN
        + _UNIT_IN
    )


def draw_check(panel: Panel, checked: CheckedPeriods) -> None:
    """Draw the expected band of each period with its likely value, and the reading on it.

    Parameters
    ----------
    panel
        Where to.
    checked
        Readings, expectation and verdict.
    """
    top_in = panel.heading(*_heading(checked))
    bottom_in = panel.caption(_caption(checked)) + _AXIS_IN
    axes = panel.axes(
        _LEFT_IN, bottom_in, panel.width_in - _LEFT_IN - 0.1, top_in - bottom_in - _UNIT_IN
    )
    days = checked.readings.days
    per_day = 1.0 / (checked.content_kwh * days)
    bands = checked.predicted.periods_kwh
    low, likely, high = (
        np.array([getattr(band, name) for band in bands]) * per_day
        for name in ("low", "likely", "high")
    )
    metered = checked.readings.amount / days
    at = np.arange(days.size, dtype=np.float64)
    axes.bar(at, high - low, bottom=low, width=_WIDTH, color=SOFT, zorder=1)
    axes.hlines(likely, at - _WIDTH / 2, at + _WIDTH / 2, color=CONTEXT, linewidth=1.2, zorder=2)
    _readings(axes, checked, at, metered)
    axes.set_xlim(-0.6, days.size - 0.4)
    axes.set_ylim(0.0, 1.1 * max(float(high.max()), float(metered.max())))
    axes.set_xticks(at, _names(checked), fontsize=LABEL_PT)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=4, steps=[1, 2, 2.5, 5, 10]))
    unit = checked.readings.meter.unit
    panel.text(0.0, top_in - 0.12, f"{unit} per day", size_pt=BODY_PT, colour=CONTEXT)


def _readings(axes: Axes, checked: CheckedPeriods, at: np.ndarray, metered: np.ndarray) -> None:
    looks = {
        Verdict.INSIDE: ("o", "black"),
        Verdict.ABOVE: ("^", RESISTANCE),
        Verdict.BELOW: ("v", RESISTANCE),
    }
    verdicts = checked.check.periods
    for verdict, (marker, colour) in looks.items():
        rows = np.array([one is verdict for one in verdicts])
        axes.plot(at[rows], metered[rows], marker, color=colour, ms=5.0, zorder=3)


def _names(checked: CheckedPeriods) -> list[str]:
    starts = [(period.first_day, period.days) for period in checked.readings.periods]
    return [f"{MONTHS[day.month - 1]} {day.day}\n{days} d" for day, days in starts]


def _heading(checked: CheckedPeriods) -> tuple[str, str]:
    return verdict_line(checked).rstrip("."), f"Expected of: {checked.basis}"


def _caption(checked: CheckedPeriods) -> str:
    del checked
    return (
        "Grey: expected range of each period in its own weather, line: likely. Circle: reading"
        " inside its range; triangle up or down: above or below it. The verdict is on the sum."
    )
