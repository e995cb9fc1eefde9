"""The chart of load and output against outdoor temperature, with the hours of the year below."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import Function
from energymodel.report.figures.capacity_lines import draw_lines
from energymodel.report.figures.captions import scenario_caption, weather_caption
from energymodel.report.figures.panel import Panel, text_width_in
from energymodel.report.figures.shares import part_words
from energymodel.report.figures.style import CONTEXT, FUEL, LABEL_PT, MINUS, RESISTANCE, SOFT, TEXT
from energymodel.report.numbers import Display
from energymodel.season.result import HEATING
from energymodel.study.comparison.capacity_curve import CapacityCurve, capacity_curve
from energymodel.study.comparison.outcome import Comparison, Outcome

if TYPE_CHECKING:
    from matplotlib.axes import Axes

HISTOGRAM_IN = 0.5
_LEFT_IN = 0.3
_RIGHT_IN = 0.08
_ROW_IN = 0.15


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CapacityView:
    """What the chart of one option shows.

    Parameters
    ----------
    outcome
        The option.
    heating, cooling
        Its curves; None: no heat pump or air conditioner there.
    outdoor_c
        Outdoor temperature of each hour of the year, degC.
    design_c
        Heating design temperature, degC; None: not given.
    caption
        Source and conditions.
    """

    outcome: Outcome
    heating: CapacityCurve | None
    cooling: CapacityCurve | None
    outdoor_c: Array
    design_c: float | None
    caption: str

    @property
    def curves(self) -> tuple[CapacityCurve, ...]:
        """Those that exist, heating first."""
        return tuple(curve for curve in (self.heating, self.cooling) if curve is not None)

    def cover(self, curve: CapacityCurve) -> str:
        """Colour of what covers the rest of a load.

        Parameters
        ----------
        curve
            One of the curves.

        Returns
        -------
        str
            Empty: nothing does.
        """
        planned = self.outcome.planned
        if curve is not self.heating or planned.backup_alone is None or planned.borrowed:
            return ""
        return FUEL if self.outcome.result.names(HEATING, "fuel") else RESISTANCE


def capacity_view(comparison: Comparison, outcome: Outcome) -> CapacityView:
    """Evaluate the curves of an option.

    Parameters
    ----------
    comparison
        All options; weather and room are taken from it.
    outcome
        The option.

    Returns
    -------
    CapacityView
        Without any curve where neither a heat pump nor an air conditioner is in the option.
    """
    weather = comparison.model.weather
    table = comparison.model.scenario.content.room.heating
    design_c = table.design_temperature if table else None
    option = outcome.planned.option
    heating = capacity_curve(
        option, weather, Function.HEATING, also_c=[] if design_c is None else [design_c]
    )
    cooling = capacity_curve(option, weather, Function.COOLING)
    return CapacityView(
        outcome=outcome,
        heating=heating,
        cooling=cooling,
        outdoor_c=weather.outdoor_c,
        design_c=design_c if heating is not None else None,
        caption=_caption(comparison, heating, cooling),
    )


def _caption(
    comparison: Comparison, heating: CapacityCurve | None, cooling: CapacityCurve | None
) -> str:
    humidity = heating.humidity_pct if heating else None
    frost = "" if humidity is None else f", frost at {humidity:.0f} % humidity"
    parts = [
        scenario_caption(comparison) + weather_caption(comparison),
        f"Output as installed{frost}.",
    ]
    if any(curve.extrapolated.any() for curve in (heating, cooling) if curve is not None):
        parts.append("Dashed: beyond the tested points.")
    if comparison.model.weather.kind == "typical":
        parts.append("A typical year is too mild for sizing.")
    return " ".join(parts)


def message(view: CapacityView, show: Display) -> str:
    """Say in one sentence what the chart shows.

    Parameters
    ----------
    view
        Curves of the option; at least one.
    show
        Units of the reader.

    Returns
    -------
    str
        Title of the chart.
    """
    curve = view.curves[0]
    heats = curve.function is Function.HEATING
    at_c = curve.capacity_balance_c
    if at_c is None and curve.short.any():
        return "The room needs more than the unit gives at every temperature"
    if at_c is None:
        end = _shown(curve.outdoor_c[0 if heats else -1], show)
        if heats:
            return f"Down to {end} the unit heats the room alone"
        return f"At {end} and below the unit cools the room alone"
    at = _shown(at_c, show)
    if not heats:
        return f"Above {at} the room needs more cooling than the unit gives"
    if view.cover(curve) or len(curve.capacity_balances_c) > 1:
        return f"Above {at} the unit heats the room alone"
    return f"Below {at} the room needs more heat than the unit gives"


def _shown(temperature_c: float, show: Display) -> str:
    return show.temperature(float(temperature_c)).replace("-", MINUS)


def facts(view: CapacityView) -> str:
    """Say what the chart means for the year.

    Parameters
    ----------
    view
        Curves of the option.

    Returns
    -------
    str
        Name of the option, and what happens in the hours that the unit does not carry.
    """
    parts = [view.outcome.name]
    if view.heating is not None:
        parts.append(_heating_fact(view, view.heating))
    if view.cooling is not None and view.cooling.short_c.size:
        parts.append(f"cooling short in {view.cooling.short_c.size:,} h a year")
    return "; ".join(part for part in parts if part)


def _heating_fact(view: CapacityView, curve: CapacityCurve) -> str:
    result = view.outcome.result
    hours = curve.short_c.size
    if not hours and curve.short.any():
        return "no hour of this year is that cold"
    if not hours:
        spare = curve.full_w[0] / curve.load_w[0] if curve.load_w[0] > 0 else 0.0
        return f"at the coldest it could give {spare:.1f} times the load" if spare else ""
    if not view.cover(curve):
        unmet = result.total("heating_unmet_kwh")
        missing = part_words(unmet / max(result.total("heating_load_kwh"), 1e-9))
        return f"short in {hours:,} h a year, {unmet:,.0f} kWh ({missing} of the heat) missing"
    given = result.total("heating_delivered_kwh") + result.total("heating_duct_loss_kwh")
    share = 1.0 - result.total("heating_pump_heat_kwh") / max(given, 1e-9)
    return f"backup helps in {hours:,} h a year and gives {part_words(share)} of the heat"


def draw_capacity(panel: Panel, view: CapacityView, show: Display) -> None:
    """Draw the chart.

    Parameters
    ----------
    panel
        Where.
    view
        Curves of the option; at least one.
    show
        Units of the reader.
    """
    top_in = panel.heading(message(view, show), facts(view))
    bottom_in = panel.caption(view.caption) + 0.38
    wide_in = panel.width_in - _LEFT_IN - _RIGHT_IN
    main_in = bottom_in + HISTOGRAM_IN + 0.06 + _ROW_IN
    hours = panel.axes(_LEFT_IN, bottom_in, wide_in, HISTOGRAM_IN)
    axes = panel.axes(_LEFT_IN, main_in, wide_in, top_in - 0.2 - main_in)
    limits = _limits(view, show)
    _draw_hours(hours, view, show, limits)
    most_w = max(float(max(c.full_w.max(), c.load_w.max())) for c in view.curves)
    axes.set_xlim(*limits)
    axes.set_ylim(0.0, show.heat_value(most_w) * 1.12)
    axes.tick_params(axis="x", labelbottom=False, length=0)
    draw_lines(axes, [(curve, view.cover(curve)) for curve in view.curves], show)
    unit, step = ("kBtu/h", "2 °F") if show.us else ("kW", "1 °C")
    panel.text(0.0, top_in - 0.11, f"Load and output, {unit}", size_pt=LABEL_PT)
    left, side = (0.01, "left") if view.heating is not None else (0.99, "right")
    hours.text(
        left,
        0.98,
        f"Hours a year per {step} step",
        transform=hours.transAxes,
        fontsize=LABEL_PT,
        ha=side,
        va="top",
    )
    _name_temperatures(panel, axes, view, show, main_in - _ROW_IN)


def _limits(view: CapacityView, show: Display) -> tuple[float, float]:
    low_c = min(float(curve.outdoor_c.min()) for curve in view.curves)
    high_c = max(float(curve.outdoor_c.max()) for curve in view.curves)
    if view.cooling is None:
        high_c += 0.12 * (high_c - low_c)
    return show.temperature_value(low_c - 0.5), show.temperature_value(high_c + 0.5)


def _draw_hours(axes: Axes, view: CapacityView, show: Display, limits: tuple[float, float]) -> None:
    step = 2.0 if show.us else 1.0
    edges = np.arange(np.floor(limits[0] / step) * step, limits[1] + step, step)
    axes.hist(_degrees(view.outdoor_c, show), bins=edges.tolist(), color=SOFT, rwidth=0.9)
    most = axes.get_ylim()[1]
    for curve in view.curves:
        if curve.short_c.size:
            colour = view.cover(curve) or TEXT
            axes.hist(_degrees(curve.short_c, show), bins=edges.tolist(), color=colour, rwidth=0.9)
    axes.set_xlim(*limits)
    axes.set_ylim(0.0, most * 1.45)
    axes.grid(visible=False)
    axes.set_yticks([0.0, _round_down(most)])
    axes.set_xlabel(f"Outdoor temperature, {'°F' if show.us else '°C'}")


def _degrees(temperature_c: Array, show: Display) -> Array:
    return np.array([show.temperature_value(float(value)) for value in temperature_c])


def _round_down(value: float) -> float:
    """Find the largest 1, 2 or 5 times a power of ten that is not above a value."""
    power = 10.0 ** np.floor(np.log10(max(value, 1.0)))
    return float(
        max(factor for factor in (1.0, 2.0, 5.0) if factor * power <= max(value, 1.0)) * power
    )


def _name_temperatures(
    panel: Panel, axes: Axes, view: CapacityView, show: Display, row_in: float
) -> None:
    """Name balance and design temperatures in the row under the axis, where no curve runs."""
    across, _ = panel.figure.get_size_inches()
    place = axes.get_position()

    def at_in(temperature_c: float) -> float:
        low, high = axes.get_xlim()
        share = (show.temperature_value(temperature_c) - low) / (high - low)
        return float((place.x0 + share * place.width) * across) - panel.left_in

    shown = [f"{c.function.value} {_shown(c.balance_c, show)}" for c in view.curves]
    text = "balance temperature: " + ", ".join(shown)
    wide_in = text_width_in(text, LABEL_PT)
    middle_in = float(np.mean([at_in(curve.balance_c) for curve in view.curves]))
    start_in = float(np.clip(middle_in - wide_in / 2.0, 0.0, panel.width_in - wide_in))
    panel.text(start_in, row_in, text, size_pt=LABEL_PT)
    if view.design_c is None:
        return
    design = f"design {_shown(view.design_c, show)}"
    design_wide_in = text_width_in(design, LABEL_PT)
    left_in = min(
        max(at_in(view.design_c) - design_wide_in / 2.0, 0.0), start_in - design_wide_in - 0.12
    )
    heating = view.heating
    if left_in >= 0 and heating is not None:
        panel.text(left_in, row_in, design, size_pt=LABEL_PT, colour=CONTEXT)
        x = show.temperature_value(view.design_c)
        load_w = float(np.interp(view.design_c, heating.outdoor_c, heating.load_w))
        axes.plot(
            [x, x], [0.0, show.heat_value(load_w)], color=CONTEXT, linewidth=0.8, linestyle=":"
        )
