"""What heat costs from two sources against outdoor temperature, and where the two meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure

from energymodel.arrays import Array, Mask
from energymodel.report.figures.captions import scenario_caption, weather_caption
from energymodel.report.figures.labels import Label, LabelSpace
from energymodel.report.figures.page_panel import MARGIN_IN, page_panel
from energymodel.report.figures.panel import Panel, text_width_in
from energymodel.report.figures.style import (
    CONTEXT,
    FUEL,
    HEAT_PUMP,
    LABEL_PT,
    MINUS,
    PAGE_HEIGHT_IN,
    RESISTANCE,
    TEXT,
    house_style,
)
from energymodel.report.numbers import Display
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.switchover.pairs import SwitchPair
from energymodel.study.switchover.zones import Runs, Zone
from energymodel.units import KWH_PER_MMBTU

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_LEFT_IN = 0.34
_RIGHT_IN = 0.1
_STRIP_IN = 0.2
_STEPS = 400
_ROOM = 1.3
_MILD_SHARE = 0.12
"""The cost of a cycling unit shoots up where there is hardly a load: it is cut off there."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CostView:
    """What the chart shows.

    Parameters
    ----------
    pair
        The two sources.
    outdoor_c
        Temperatures, degC, rising.
    pump_cost, other_cost
        Money per kWh of heat to the room, same shape; infinite where a source stops.
    extrapolated
        Where the heat pump's output lies outside the tested points.
    other_hours
        Hours of the year with a load in which the other source is cheaper.
    burns_fuel
        Whether the other source burns a fuel.
    currency, caption
        Of the scenario.
    """

    pair: SwitchPair
    outdoor_c: Array
    pump_cost: Array
    other_cost: Array
    extrapolated: Mask
    other_hours: int
    burns_fuel: bool
    currency: str
    caption: str


def switchover_figure(comparison: Comparison, pair: SwitchPair, show: Display) -> Figure:
    """Draw the cost of heat of a pair.

    Parameters
    ----------
    comparison
        What was run.
    pair
        One of its pairs.
    show
        Units of the reader.

    Returns
    -------
    Figure
        Two lines, the cost balance named, and what to run where below.
    """
    view = cost_of_heat_view(comparison, pair)
    with house_style():
        figure, panel = page_panel(PAGE_HEIGHT_IN + 2.0 * MARGIN_IN)
        draw_switchover(panel, view, show)
    return figure


def cost_of_heat_view(comparison: Comparison, pair: SwitchPair) -> CostView:
    """Evaluate the two costs.

    Parameters
    ----------
    comparison
        What was run.
    pair
        One of its pairs.

    Returns
    -------
    CostView
        Ready to be drawn.
    """
    outdoor_c = np.linspace(pair.balance.coldest_c, pair.balance.warmest_c, _STEPS)
    pump, other = pair.pump_cost, pair.other_cost
    hours_c = comparison.model.weather.outdoor_c
    hours_c = hours_c[hours_c < pair.balance.warmest_c]
    dearer = pump.per_kwh_heat(hours_c) > other.per_kwh_heat(hours_c)
    return CostView(
        pair=pair,
        outdoor_c=outdoor_c,
        pump_cost=pump.per_kwh_heat(outdoor_c),
        other_cost=other.per_kwh_heat(outdoor_c),
        extrapolated=pump.flows(outdoor_c).extrapolated,
        other_hours=int(dearer.sum()),
        burns_fuel=bool(other.flows(outdoor_c).fuel_w),
        currency=comparison.model.scenario.content.currency,
        caption=_caption(comparison, pair),
    )


def _caption(comparison: Comparison, pair: SwitchPair) -> str:
    counted = pair.balance.basis
    counted = counted[:1].upper() + counted[1:]
    return (
        f"{scenario_caption(comparison)}{counted}; idle power in neither."
        f" {weather_caption(comparison)} Estimate, not a quotation."
    )


def message(view: CostView, show: Display) -> str:
    """Say in one sentence what the chart shows.

    Parameters
    ----------
    view
        The two costs.
    show
        Units of the reader.

    Returns
    -------
    str
        Title of the chart.
    """
    balance = view.pair.balance
    other = balance.second
    if not balance.balances_c:
        return {
            "always cheaper": f"The heat pump always heats for less than {other}",
            "never cheaper": f"The heat pump never heats for less than {other}",
        }.get(view.pair.answer, f"The heat pump and {other} heat for the same")
    if len(balance.balances_c) > 1:
        return f"The heat pump and {other} change places {len(balance.balances_c)} times"
    at = _shown(balance.balances_c[0], show)
    if balance.cheaper[0] == balance.first:
        return f"Above {at} {other} heats for less"
    if balance.steps[0]:
        return f"Below {at} the heat pump stops; above, it heats for less"
    return f"Below {at} {other} heats for less"


def _shown(temperature_c: float, show: Display) -> str:
    return show.temperature(float(temperature_c)).replace("-", MINUS)


def _facts(view: CostView) -> str:
    pair = view.pair
    noun = "its own backup" if pair.backup else pair.other
    count = f"{view.other_hours:,} h" if view.other_hours else "no hour"
    hours = f"{noun} is the cheaper one in {count} of this year with a load"
    return (
        f"{pair.heat_pump}; {hours}; break-even COP {pair.break_even.cops.default:.2f}"
        f" (over the year it has {pair.season_cop:.2f})"
    )


def _scale(show: Display) -> float:
    return KWH_PER_MMBTU if show.us else 1.0


def draw_switchover(panel: Panel, view: CostView, show: Display) -> None:
    """Draw the chart.

    Parameters
    ----------
    panel
        Where.
    view
        The two costs.
    show
        Units of the reader.
    """
    top_in = panel.heading(message(view, show), _facts(view))
    strip_in = panel.caption(view.caption) + 0.4
    wide_in = panel.width_in - _LEFT_IN - _RIGHT_IN
    strip = panel.axes(_LEFT_IN, strip_in, wide_in, _STRIP_IN)
    bottom_in = strip_in + _STRIP_IN + 0.04
    axes = panel.axes(_LEFT_IN, bottom_in, wide_in, top_in - 0.2 - bottom_in)
    ends = (view.pair.balance.coldest_c, view.pair.load_balance_c)
    limits = tuple(show.temperature_value(end) for end in ends)
    for one in (axes, strip):
        one.set_xlim(*limits)
    axes.set_ylim(0.0, _top(view, show))
    axes.tick_params(axis="x", labelbottom=False, length=0)
    sign = SIGNS.get(view.currency, view.currency)
    unit = "million Btu" if show.us else "kWh"
    panel.text(0.0, top_in - 0.11, f"Cost of heat in the room, {sign} per {unit}", size_pt=LABEL_PT)
    _draw_lines(axes, view, show)
    _draw_strip(strip, view, show)


def _top(view: CostView, show: Display) -> float:
    span = view.outdoor_c[-1] - view.outdoor_c[0]
    cold = view.outdoor_c < view.outdoor_c[-1] - _MILD_SHARE * span
    values = np.concatenate([view.pump_cost[cold], view.other_cost[cold]])
    return float(values[np.isfinite(values)].max()) * _scale(show) * _ROOM


def _draw_lines(axes: Axes, view: CostView, show: Display) -> None:
    x = np.array([show.temperature_value(float(at)) for at in view.outdoor_c])
    scale = _scale(show)
    pump = np.where(np.isfinite(view.pump_cost), view.pump_cost, np.nan) * scale
    other = np.where(np.isfinite(view.other_cost), view.other_cost, np.nan) * scale
    dashed = view.extrapolated
    axes.plot(x, np.where(dashed, np.nan, pump), color=HEAT_PUMP, linewidth=2.2)
    axes.plot(x, np.where(dashed, pump, np.nan), color=HEAT_PUMP, linewidth=2.2, linestyle="--")
    colour = FUEL if view.burns_fuel else RESISTANCE
    axes.plot(x, other, color=colour, linewidth=2.2, linestyle=(0, (7, 1.5, 1.5, 1.5)))
    space = LabelSpace(axes=axes)
    for line in (pump, other):
        seen = np.isfinite(line) & (line < axes.get_ylim()[1])
        space.avoid(x[seen], line[seen])
    _name_balances(space, view, show)
    _name_capacity(space, view, show)
    for name, line in ((view.pair.balance.first, pump), (view.pair.balance.second, other)):
        _name_line(space, name, x, line)


def _name_line(space: LabelSpace, name: str, x: Array, line: Array) -> None:
    seen = np.flatnonzero(np.isfinite(line) & (line < space.axes.get_ylim()[1]))
    if not seen.size:
        return
    places = seen[(seen.size * np.array([0.12, 0.3, 0.5, 0.7, 0.85])).astype(int)]
    space.place(
        Label(
            lines=(name.removeprefix("the "),),
            anchors=[(float(x[k]), float(line[k])) for k in places],
            sides=((0, 1), (0, -1)),
            size_pt=LABEL_PT,
            colour=TEXT,
        )
    )


def _name_balances(space: LabelSpace, view: CostView, show: Display) -> None:
    balance = view.pair.balance
    for at, step in zip(balance.balances_c, balance.steps, strict=True):
        x = show.temperature_value(at)
        y = float(np.interp(at, view.outdoor_c, view.other_cost)) * _scale(show)
        space.axes.plot([x], [y], marker="o", markersize=5.5, color=TEXT, zorder=4)
        text = f"{'stops' if step else 'cost balance'} {_shown(at, show)}"
        space.place(
            Label(
                lines=(text,),
                anchors=[(x, y)],
                sides=((0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1), (1, 0), (-1, 0)),
                size_pt=LABEL_PT,
                colour=TEXT,
                weight="bold",
            )
        )


def _name_capacity(space: LabelSpace, view: CostView, show: Display) -> None:
    top = space.axes.get_ylim()[1]
    for at in view.pair.capacity_balances_c[:1]:
        x = show.temperature_value(at)
        space.axes.plot([x, x], [0.0, top], color=CONTEXT, linewidth=0.9, linestyle=":")
        space.place(
            Label(
                lines=(f"capacity balance {_shown(at, show)}",),
                anchors=[(x, top * 0.06), (x, top * 0.94), (x, top * 0.2)],
                sides=((1, 0), (-1, 0)),
                size_pt=LABEL_PT,
                colour=CONTEXT,
            )
        )


def _draw_strip(strip: Axes, view: CostView, show: Display) -> None:
    """Show what to run where, in the colours of the lines."""
    strip.set_ylim(0.0, 1.0)
    strip.set_yticks([])
    strip.grid(visible=False)
    strip.set_xlabel(f"Outdoor temperature, {'°F' if show.us else '°C'}")
    colour = FUEL if view.burns_fuel else RESISTANCE
    looks = {
        Runs.HEAT_PUMP: (HEAT_PUMP, ""),
        Runs.BOTH: ("#bdbdbd", "////"),
        Runs.OTHER: (colour, "...."),
    }
    for zone in view.pair.zones:
        low, high = (show.temperature_value(end) for end in (zone.from_c, zone.to_c))
        face, hatch = looks[zone.runs]
        strip.axvspan(low, high, facecolor=face, alpha=0.4, hatch=hatch, edgecolor="white", lw=0.8)
        _name_zone(strip, view, zone, (low, high))


def _name_zone(strip: Axes, view: CostView, zone: Zone, ends: tuple[float, float]) -> None:
    other = view.pair.balance.second.removeprefix("the ")
    names = {
        Runs.HEAT_PUMP: ("heat pump alone", "heat pump"),
        Runs.BOTH: ("both in turn" if view.pair.backup == "instead" else "both", "both"),
        Runs.OTHER: (f"{other} alone", other),
    }
    figure = strip.get_figure(root=True)
    across = float(figure.get_size_inches()[0]) if figure is not None else 1.0
    low, high = strip.get_xlim()
    room_in = (ends[1] - ends[0]) / (high - low) * float(strip.get_position().width) * across
    for name in names[zone.runs]:
        if text_width_in(name, LABEL_PT) + 0.08 <= room_in:
            strip.text(
                (ends[0] + ends[1]) / 2.0,
                0.46,
                name,
                fontsize=LABEL_PT,
                ha="center",
                va="center",
                bbox={"facecolor": "white", "alpha": 0.75, "pad": 1.0, "linewidth": 0.0},
            )
            return
