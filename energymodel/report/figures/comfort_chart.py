"""The comfort chart: room temperature and power of two heaters over the same day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from energymodel.arrays import Array
from energymodel.report.figures.panel import Panel, line_height_in, wrapped
from energymodel.report.figures.style import (
    CONTEXT,
    HEAT_PUMP,
    LABEL_PT,
    PAGE_WIDTH_IN,
    RESISTANCE,
    SOFT,
    TEXT,
    house_style,
)
from energymodel.report.numbers import Display
from energymodel.study.room_day.room_day import COMFORT_BAND_K, DayKind, DayRun, RoomDayResult
from energymodel.units import METRE_PER_FOOT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

HEIGHT_IN = 4.6
ON_OFF = "#4d4d4d"
_MARGIN_IN = 0.08
_LEFT_IN = 0.34
_RIGHT_IN = 1.12
_POWER_IN = 0.96
"""One power chart with the gap above it."""
_GAP_IN = 0.3
_HOURS = (0, 6, 12, 18, 24)
_STEADY_K = 0.3
_STARTS_TO_SAY = 6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ComfortView:
    """What the chart shows.

    Parameters
    ----------
    runs
        One or two heaters on one day.
    names
        How each is called in the chart.
    caption
        Source and conditions.
    """

    runs: tuple[DayRun, ...]
    names: tuple[str, ...]
    caption: str


def comfort_view(
    result: RoomDayResult, show: Display, kind: DayKind = DayKind.TYPICAL
) -> ComfortView:
    """Choose what the chart shows.

    Parameters
    ----------
    result
        Options on three days.
    show
        Units of the reader.
    kind
        Which day.

    Returns
    -------
    ComfortView
        The first two options that were run.
    """
    runs = result.on(kind)[:2]
    names = tuple(_noun(run) for run in runs)
    if len(set(names)) < len(names):
        names = tuple(run.case.name for run in runs)
    return ComfortView(runs=runs, names=names, caption=_caption(result, show, runs, names))


def _caption(
    result: RoomDayResult, show: Display, runs: Sequence[DayRun], names: Sequence[str]
) -> str:
    first, weather, cases = runs[0], result.cases.model.weather, result.cases
    area = f"{cases.area_m2 / METRE_PER_FOOT**2:.0f} ft²" if show.us else f"{cases.area_m2:.0f} m²"
    dead_band_k = first.case.choice.thermostat.dead_band_k
    source = weather.source.partition(" (")[0]
    called = [
        f"{_first_up(name.removeprefix('the '))}: {run.case.name}"
        for run, name in zip(runs, names, strict=True)
        if name != run.case.name
    ]
    return (
        ("; ".join(called) + ". " if called else "")
        + f"Weather: {weather.site.name}, {weather.year_label}, {first.day.date} ({source})."
        f" Two-node room model, minute by minute: {cases.mass.room}, {area}; thermal mass,"
        f" dead band {_difference(dead_band_k, show)} and start-up are common practice. Shaded: a"
        f" swing of {_difference(COMFORT_BAND_K, show)}, which people hardly notice."
    )


def comfort_message(view: ComfortView, show: Display) -> str:
    """Say in one sentence what the chart shows.

    Parameters
    ----------
    view
        Two heaters on one day.
    show
        Units of the reader.

    Returns
    -------
    str
        Title of the chart.
    """
    pairs = list(zip(view.runs, view.names, strict=True))
    for run, name in pairs:
        if run.air_c.min() < run.set_point_c - 2.0 * COMFORT_BAND_K:
            low = show.temperature(float(run.air_c.min()))
            return f"On this day the room falls to {low} with {name} alone"
    (steady, name), (other, second) = pairs[0], pairs[-1]
    starts = round(float(other.starts.sum()))
    if steady.swing_k < _STEADY_K and starts >= _STARTS_TO_SAY:
        return f"{_first_up(name)} holds the room; {second} starts {starts} times"
    swings = ", ".join(f"{_swing(run, show)} with {name}" for run, name in pairs)
    return f"Swing of the room: {swings}"


def comfort_facts(view: ComfortView, show: Display) -> str:
    """Say what the day took.

    Parameters
    ----------
    view
        Heaters on one day.
    show
        Units of the reader.

    Returns
    -------
    str
        One line under the title.
    """
    day = view.runs[0].day
    used = " against ".join(f"{run.electricity_kwh:.1f} kWh" for run in view.runs)
    return (
        f"{_first_up(day.kind.value)} day, {show.temperature(day.mean_c)} outdoors on average:"
        f" {used} of electricity"
    )


def _noun(run: DayRun) -> str:
    pump = run.case.pump
    if pump is None:
        return "the heater"
    if len(pump.performance.speeds) == 1:
        return "the on/off unit"
    return "the inverter" if run.case.modulates else "the two-stage unit"


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def _difference(difference_k: float, show: Display) -> str:
    """Write a difference of temperature."""
    return f"{difference_k * 1.8:.1f} °F" if show.us else f"{difference_k:.1f} K"


def _swing(run: DayRun, show: Display) -> str:
    return _difference(run.swing_k, show)


def comfort_figure(result: RoomDayResult, show: Display, kind: DayKind = DayKind.TYPICAL) -> Figure:
    """Draw room temperature and power of two heaters over one day.

    Parameters
    ----------
    result
        Options on three days; the first two are drawn.
    show
        Units of the reader.
    kind
        Which day.

    Returns
    -------
    Figure
        The room above, the power of each below, on one scale.
    """
    view = comfort_view(result, show, kind)
    with house_style():
        height_in = HEIGHT_IN if len(view.runs) > 1 else HEIGHT_IN - _POWER_IN
        figure = Figure(figsize=(PAGE_WIDTH_IN, height_in))
        FigureCanvasAgg(figure)
        panel = Panel(
            figure=figure,
            left_in=_MARGIN_IN,
            bottom_in=_MARGIN_IN,
            width_in=PAGE_WIDTH_IN - 2.0 * _MARGIN_IN,
            height_in=height_in - 2.0 * _MARGIN_IN,
        )
        draw_comfort(panel, view, show)
    return figure


def draw_comfort(panel: Panel, view: ComfortView, show: Display) -> None:
    """Draw the chart.

    Parameters
    ----------
    panel
        Where.
    view
        Heaters on one day.
    show
        Units of the reader.
    """
    top_in = panel.heading(comfort_message(view, show), comfort_facts(view, show)) - 0.16
    bottom_in = panel.caption(view.caption) + 0.36
    wide_in = panel.width_in - _LEFT_IN - _RIGHT_IN
    room_in = top_in - bottom_in - len(view.runs) * _POWER_IN
    power_in = _POWER_IN - _GAP_IN
    room = panel.axes(_LEFT_IN, top_in - room_in, wide_in, room_in)
    _draw_room(room, view, show)
    panel.text(0.0, top_in + 0.05, f"Room, {'°F' if show.us else '°C'}", size_pt=LABEL_PT)
    most_kw = max(float(run.power_w.max()) for run in view.runs) / 1000.0
    for number, run in enumerate(view.runs):
        low_in = bottom_in + (len(view.runs) - 1 - number) * _POWER_IN
        axes = panel.axes(_LEFT_IN, low_in, wide_in, power_in)
        _draw_power(axes, run, most_kw, _colour(number))
        panel.text(0.0, low_in + power_in + 0.05, "Power, kW", size_pt=LABEL_PT)
        lines = (view.names[number], *_figures(run, show))
        _describe(panel, lines, (_LEFT_IN + wide_in + 0.08, low_in + power_in), _colour(number))
    axes.set_xticks(_HOURS, [f"{hour}" for hour in _HOURS])
    axes.tick_params(axis="x", length=3, labelbottom=True)
    axes.set_xlabel("Hour of the day")


def _colour(number: int) -> str:
    return (HEAT_PUMP, ON_OFF)[number]


def _hours() -> Array:
    return np.arange(1, 1441) / 60.0


def _draw_room(axes: Axes, view: ComfortView, show: Display) -> None:
    half_k = COMFORT_BAND_K / 2.0
    set_c = view.runs[0].set_point_c
    axes.axhspan(
        show.temperature_value(set_c - half_k), show.temperature_value(set_c + half_k), color=SOFT,
        alpha=0.6, linewidth=0,
    )  # fmt: skip
    for number, run in reversed(list(enumerate(view.runs))):
        wide = (2.0, 0.9)[number]
        axes.plot(_hours(), _shown(run.air_c, show), color=_colour(number), linewidth=wide)
    low_c = min(set_c - COMFORT_BAND_K, *(float(run.air_c.min()) for run in view.runs))
    high_c = max(set_c + COMFORT_BAND_K, *(float(run.air_c.max()) for run in view.runs))
    axes.set_ylim(*(show.temperature_value(value) for value in (low_c - 0.25, high_c + 0.25)))
    _finish(axes)
    axes.spines["bottom"].set_visible(False)
    for text, above_pt, colour in (
        (f"set to {show.temperature(set_c)}", 0.0, TEXT),
        ("comfort band", 10.0, CONTEXT),
    ):
        axes.annotate(
            text,
            (24.0, show.temperature_value(set_c)),
            xytext=(5.0, above_pt),
            textcoords="offset points",
            va="center",
            fontsize=LABEL_PT,
            color=colour,
            annotation_clip=False,
        )


def _shown(temperature_c: Array, show: Display) -> Array:
    return np.array([show.temperature_value(float(value)) for value in temperature_c])


def _draw_power(axes: Axes, run: DayRun, most_kw: float, colour: str) -> None:
    hours = _hours()
    main_kw = (run.power_w - run.backup_w) / 1000.0
    total_kw = run.power_w / 1000.0
    axes.fill_between(hours, 0.0, main_kw, step="pre", color=colour, alpha=0.9, linewidth=0)
    if run.backup_w.any():
        axes.fill_between(hours, main_kw, total_kw, step="pre", color=RESISTANCE, linewidth=0)
    axes.set_ylim(0.0, most_kw * 1.05)
    _finish(axes)


def _finish(axes: Axes) -> None:
    axes.set_xlim(0.0, 24.0)
    axes.set_xticks(_HOURS)
    axes.tick_params(axis="x", length=0, labelbottom=False)
    axes.locator_params(axis="y", nbins=4)


def _figures(run: DayRun, show: Display) -> tuple[str, ...]:
    lines = (
        f"swing {_swing(run, show)}",
        f"{round(float(run.starts.sum()))} starts",
        f"{run.electricity_kwh:.1f} kWh",
    )
    return (*lines, f"{run.backup_kwh:.1f} of it backup") if run.backup_w.any() else lines


def _describe(
    panel: Panel, lines: Sequence[str], corner_in: tuple[float, float], colour: str
) -> None:
    """Write name and figures of a heater beside its power."""
    x_in, y_in = corner_in
    room_in = panel.width_in - x_in
    name, *figures = lines
    for line in wrapped(_first_up(name.removeprefix("the ")), room_in, LABEL_PT, weight="bold"):
        y_in -= line_height_in(LABEL_PT)
        panel.text(x_in, y_in, line, size_pt=LABEL_PT, weight="bold", colour=colour)
    for line in figures:
        y_in -= line_height_in(LABEL_PT)
        ink = RESISTANCE if line.endswith("backup") else TEXT
        panel.text(x_in, y_in, line, size_pt=LABEL_PT, colour=ink)
