"""The year of one option as a map: electric power by day and hour of the day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure

from energymodel.arrays import Array
from energymodel.report.figures.captions import weather_caption
from energymodel.report.figures.page_panel import MARGIN_IN, page_panel
from energymodel.report.figures.panel import Panel, caption_height_in, heading_height_in
from energymodel.report.figures.style import CONTEXT, LABEL_PT, PAGE_WIDTH_IN, SMALL_PT, house_style
from energymodel.study.comparison.outcome import Comparison, Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_INSIDE_IN = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
_MAP_IN = 1.9
_AXIS_IN = 0.26
_LEFT_IN = 0.3
_RIGHT_IN = 0.62
_BAR_IN = 0.1
_DAY_H = 24
_SHADES = ("#f7f7f7", "#9fd8c6", "#009E73", "#00402f")
"""From nothing to the peak: bluish green, darker in grey print too."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HourMap:
    """Electric power of an option on its calendar.

    Parameters
    ----------
    power_kw
        Hourly mean, kW, shape (days, 24).
    month_starts
        Day of the year at which each month begins, from 0, shape (12,).
    """

    power_kw: Array
    month_starts: Array

    @property
    def peak(self) -> tuple[int, int]:
        """Day of the year and hour of the day of the largest hourly mean, both from 0."""
        day, hour = np.unravel_index(int(self.power_kw.argmax()), self.power_kw.shape)
        return int(day), int(hour)


def hour_map(comparison: Comparison, outcome: Outcome) -> HourMap:
    """Lay the hourly electricity of an option on days and hours.

    Parameters
    ----------
    comparison
        All options; the weather year is taken from it.
    outcome
        The option.

    Returns
    -------
    HourMap
        Local standard time.
    """
    month = comparison.model.weather.month
    power_kw = outcome.result.hourly_electricity_kwh().reshape(-1, _DAY_H)
    starts = [int(np.argmax(month == number)) // _DAY_H for number in range(1, 13)]
    return HourMap(power_kw=power_kw, month_starts=np.array(starts, dtype=np.float64))


def hour_map_message(found: HourMap) -> str:
    """Say in one sentence when the option draws most.

    Parameters
    ----------
    found
        Its year.

    Returns
    -------
    str
        Title of the chart.
    """
    day, hour = found.peak
    month = _MONTHS[int(np.searchsorted(found.month_starts, day, side="right")) - 1]
    date = day - int(found.month_starts[_MONTHS.index(month)]) + 1
    means = found.power_kw.mean(axis=0)
    dearest = int(means.argmax())
    return (
        f"Most power at {hour}-{hour + 1} h on {date} {month}, {found.power_kw.max():.1f} kW;"
        f" over the year most at {dearest}-{dearest + 1} h"
    )


def hour_map_figure(comparison: Comparison, outcome: Outcome) -> Figure:
    """Draw the electric power of an option by day of the year and hour of the day.

    Parameters
    ----------
    comparison
        All options.
    outcome
        The option.

    Returns
    -------
    Figure
        Days across, hours down; the darker, the more power.
    """
    found = hour_map(comparison, outcome)
    title = hour_map_message(found)
    subtitle = f"{outcome.name}: {found.power_kw.sum():,.0f} kWh a year, hourly mean power"
    caption = f"{weather_caption(comparison)} Local standard time. Estimate, not a quotation."
    with house_style():
        words_in = heading_height_in(title, subtitle, _INSIDE_IN)
        words_in += caption_height_in(caption, _INSIDE_IN)
        figure, panel = page_panel(words_in + _MAP_IN + _AXIS_IN + 0.3 + 2.0 * MARGIN_IN)
        top_in = panel.heading(title, subtitle) - 0.24
        bottom_in = panel.caption(caption) + _AXIS_IN
        wide_in = panel.width_in - _LEFT_IN - _RIGHT_IN
        _draw_map(panel.axes(_LEFT_IN, bottom_in, wide_in, top_in - bottom_in), found)
        panel.text(0.0, top_in + 0.06, "Hour of the day", size_pt=LABEL_PT)
        left_in = _LEFT_IN + wide_in + 0.14
        _draw_scale(panel, found, (left_in, bottom_in, top_in - bottom_in))
        panel.text(left_in, top_in + 0.06, "kW", size_pt=LABEL_PT)
    return figure


def _shades() -> LinearSegmentedColormap:
    return LinearSegmentedColormap.from_list("power", list(_SHADES))


def _most_kw(found: HourMap) -> float:
    return max(float(found.power_kw.max()), 1e-9)


def _draw_map(axes: Axes, found: HourMap) -> None:
    days = len(found.power_kw)
    axes.imshow(
        found.power_kw.T,
        cmap=_shades(),
        vmin=0.0,
        vmax=_most_kw(found),
        aspect="auto",
        interpolation="nearest",
        extent=(0.0, float(days), float(_DAY_H), 0.0),
    )
    ends = np.append(found.month_starts[1:], days)
    axes.set_xticks((found.month_starts + ends) / 2.0, list(_MONTHS))
    axes.set_yticks(range(0, _DAY_H + 1, 6))
    axes.tick_params(axis="both", length=0, labelsize=LABEL_PT)
    axes.grid(visible=False)
    for start in found.month_starts[1:]:
        axes.axvline(float(start), color="white", linewidth=0.5)
    axes.spines["bottom"].set_visible(False)


def _draw_scale(panel: Panel, found: HourMap, place_in: tuple[float, float, float]) -> None:
    left_in, bottom_in, height_in = place_in
    axes = panel.axes(left_in, bottom_in, _BAR_IN, height_in)
    most_kw = _most_kw(found)
    ramp = np.linspace(0.0, 1.0, 256).reshape(-1, 1)
    axes.imshow(
        ramp, cmap=_shades(), aspect="auto", origin="lower", extent=(0.0, 1.0, 0.0, most_kw)
    )
    axes.set_xticks([])
    axes.yaxis.tick_right()
    axes.locator_params(axis="y", nbins=5)
    axes.tick_params(axis="y", length=2, labelsize=SMALL_PT, color=CONTEXT)
    axes.grid(visible=False)
    axes.spines["bottom"].set_visible(False)
