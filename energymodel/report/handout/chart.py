"""Need and output against outdoor temperature, as shares of a plot that the page itself draws."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.equipment.curves import Function
from energymodel.report.handout.labels import Named, place_names
from energymodel.report.handout.sheet import Sheet, one_line
from energymodel.study.comparison.capacity_curve import CapacityCurve, capacity_curve
from energymodel.study.comparison.outcome import Outcome

Part = dict[str, Any]
Points = list[list[float]]
_POINTS = 72
_ROUND = 5
_NEAR_K = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curves:
    """Curves of the option that is drawn.

    Parameters
    ----------
    outcome
        The option.
    heating
        Its heating curve.
    cooling
        Its cooling curve; None: it does not cool.
    design_c
        Heating design temperature, degC; None: not given.
    """

    outcome: Outcome
    heating: CapacityCurve
    cooling: CapacityCurve | None
    design_c: float | None

    @property
    def all(self) -> tuple[CapacityCurve, ...]:
        """Those that exist, heating first."""
        return (self.heating,) if self.cooling is None else (self.heating, self.cooling)

    @property
    def has_backup(self) -> bool:
        """Whether something of the option itself covers what the heat pump leaves."""
        planned = self.outcome.planned
        return planned.backup_alone is not None and not planned.borrowed


def pump_curves(sheet: Sheet) -> Curves | None:
    """Choose the option that is drawn and evaluate it.

    Parameters
    ----------
    sheet
        The page.

    Returns
    -------
    Curves or None
        The cheapest option with a heat pump for heating; None where there is none.
    """
    pumps = [one for one in sheet.shown if one.result.total("heating_pump_heat_kwh") > 0]
    chosen = min(pumps, key=lambda one: (not one.carries, one.like_cost), default=None)
    if chosen is None:
        return None
    table, weather = sheet.content.room.heating, sheet.comparison.model.weather
    design_c = table.design_temperature if table else None
    also = [] if design_c is None else [design_c]
    option = chosen.planned.option
    heating = capacity_curve(option, weather, Function.HEATING, also_c=also)
    if heating is None:
        return None
    cooling = capacity_curve(option, weather, Function.COOLING)
    return Curves(outcome=chosen, heating=heating, cooling=cooling, design_c=design_c)


class _Plot:
    """Limits of the plot; gives places as shares of its width and height, from below."""

    def __init__(self, sheet: Sheet, curves: Curves) -> None:
        self.figures = sheet.figures
        temperatures = np.concatenate([curve.outdoor_c for curve in curves.all])
        low, high = (self.figures.show.temperature_value(float(one)) for one in _ends(temperatures))
        margin = 0.015 * (high - low)
        self.low, self.high = low - margin, high + margin
        most_w = max(float(max(one.full_w.max(), one.load_w.max())) for one in curves.all)
        self.top = 1.14 * self.figures.show.heat_value(most_w)

    def x(self, temperature_c: float) -> float:
        at = (self.figures.show.temperature_value(temperature_c) - self.low) / (
            self.high - self.low
        )
        return round(at, _ROUND)

    def y(self, heat_w: float) -> float:
        return round(self.figures.show.heat_value(heat_w) / self.top, _ROUND)

    def line(self, outdoor_c: Array, heat_w: Array) -> Points:
        """Thin a line out to what an eye can see."""
        picks = np.unique(np.linspace(0, outdoor_c.size - 1, _POINTS).round().astype(np.intp))
        return [
            [self.x(float(t)), self.y(float(q))]
            for t, q in zip(outdoor_c[picks], heat_w[picks], strict=True)
        ]


def _ends(values: Array) -> tuple[float, float]:
    return float(values.min()), float(values.max())


def chart(sheet: Sheet, curves: Curves) -> Part:
    """Return the chart.

    Parameters
    ----------
    sheet
        The page.
    curves
        What is drawn.

    Returns
    -------
    dict
        Lines, areas, ticks and labels; places are shares of the plot.
    """
    plot, words = _Plot(sheet, curves), sheet.words
    unit = "us" if sheet.figures.us else "si"
    title = message(sheet, curves)
    low_c, high_c = _ends(np.concatenate([curve.outdoor_c for curve in curves.all]))
    return {
        "title": title,
        "alt": words.say(
            "cold.alt",
            title=title,
            low=sheet.figures.temperature(low_c),
            high=sheet.figures.temperature(high_c),
        ),
        "y_label": words.say(f"cold.axis_{unit}"),
        "x_label": words.say(f"cold.temperature_{unit}"),
        "x_ticks": _x_ticks(sheet, plot),
        "y_ticks": _y_ticks(sheet, plot),
        "curves": [_curve(plot, curve) for curve in curves.all],
        "labels": _labels(sheet, plot, curves),
        "row": _row(sheet, plot, curves),
        "points": _points(plot, curves),
        "design": _design(plot, curves),
        "hours": _hours(sheet, plot, curves),
        "caption": _caption(sheet, curves),
    }


def message(sheet: Sheet, curves: Curves) -> str:
    """Say in one sentence what the chart shows.

    Parameters
    ----------
    sheet
        The page.
    curves
        What is drawn.

    Returns
    -------
    str
        Its title.
    """
    curve = curves.heating
    at_c = curve.capacity_balance_c
    if at_c is None and curve.short.any():
        return sheet.words.say("cold.chart_never")
    if at_c is None:
        coldest = sheet.figures.temperature(float(curve.outdoor_c[0]))
        return sheet.words.say("cold.chart_alone", temperature=coldest)
    backed = curves.has_backup or len(curve.capacity_balances_c) > 1
    key = "cold.chart_backup" if backed else "cold.chart_below"
    return sheet.words.say(key, temperature=sheet.figures.temperature(at_c))


def _curve(plot: _Plot, curve: CapacityCurve) -> Part:
    heats = curve.function is Function.HEATING
    full = plot.line(curve.outdoor_c, curve.full_w)
    lowest = plot.line(curve.outdoor_c, curve.lowest_w) if _modulates(curve) else []
    return {
        "kind": "heating" if heats else "cooling",
        "load": plot.line(curve.outdoor_c, curve.load_w),
        "lowest": lowest,
        "band": [*full, *reversed(lowest)] if lowest else [],
        "solid": _runs(plot, curve, ~curve.extrapolated),
        "dashed": _runs(plot, curve, curve.extrapolated),
        "short": _short_areas(plot, curve),
    }


def _runs(plot: _Plot, curve: CapacityCurve, where: Mask) -> list[Points]:
    """Cut the full-output line into the stretches in which a mask holds."""
    found = []
    for start, stop in _stretches(where):
        last = min(stop + 1, where.size)  # stretches meet in one point
        if last - start > 1:
            found.append(plot.line(curve.outdoor_c[start:last], curve.full_w[start:last]))
    return found


def _stretches(where: Mask) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], where, [False]]).astype(np.int8)))
    return [(int(start), int(stop)) for start, stop in edges.reshape(-1, 2)]


def _short_areas(plot: _Plot, curve: CapacityCurve) -> list[Points]:
    """Areas between the load and what the unit gives of it."""
    areas = []
    for start, stop in _stretches(curve.short):
        if stop - start < 2:
            continue
        at = curve.outdoor_c[start:stop]
        above = plot.line(at, curve.load_w[start:stop])
        areas.append([*above, *reversed(plot.line(at, curve.delivered_w[start:stop]))])
    return areas


def _x_ticks(sheet: Sheet, plot: _Plot) -> list[list[Any]]:
    step = 10.0 if plot.high - plot.low <= 110.0 else 20.0
    first = math.ceil(plot.low / step)
    values = [step * k for k in range(first, math.floor(plot.high / step) + 1)]
    number = sheet.figures.formats.number
    return [
        [round((value - plot.low) / (plot.high - plot.low), _ROUND), number(value)]
        for value in values
    ]


def _y_ticks(sheet: Sheet, plot: _Plot) -> list[list[Any]]:
    power = 10.0 ** math.floor(math.log10(plot.top / 3.0))
    step = next(size * power for size in (1.0, 2.0, 5.0, 10.0) if size * power >= plot.top / 3.5)
    count = math.floor(plot.top / step)
    digits = max(0, -math.floor(math.log10(step)))
    number = sheet.figures.formats.number
    return [
        [round(step * k / plot.top, _ROUND), number(step * k, digits)] for k in range(count + 1)
    ]


def _labels(sheet: Sheet, plot: _Plot, curves: Curves) -> list[Part]:
    lines = [
        np.array(plot.line(curve.outdoor_c, heat_w))
        for curve in curves.all
        for heat_w in (curve.load_w, curve.full_w, curve.lowest_w)
    ]
    return [
        {"x": one.left, "y": one.bottom, "width": one.width, "text": one.text}
        for one in place_names(_names(sheet, plot, curves), lines)
    ]


def _names(sheet: Sheet, plot: _Plot, curves: Curves) -> list[Named]:
    words, heat, cool = sheet.words, curves.heating, curves.cooling
    carried = ~heat.short & (heat.full_w > 0)
    names = []
    if heat.capacity_balance_c is not None:
        at = sheet.figures.temperature(heat.capacity_balance_c)
        near = np.abs(heat.outdoor_c - heat.capacity_balance_c) < _NEAR_K
        text = words.say("cold.capacity", temperature=at)
        names.append(_named(plot, heat, heat.load_w, text, near))
    if heat.short.any():
        missing = words.say("cold.missing_backup" if curves.has_backup else "cold.missing")
        middle_w = (heat.load_w + heat.delivered_w) / 2.0
        area = _named(plot, heat, middle_w, missing, heat.short)
        names.append(replace(area, inside=True))
    names.append(_named(plot, heat, heat.full_w, words.say("cold.full"), carried))
    names.append(_named(plot, heat, heat.load_w, words.say("cold.load"), heat.load_w > 0))
    if _modulates(heat):
        names.append(_named(plot, heat, heat.lowest_w, words.say("cold.lowest"), carried))
    if cool is not None:
        anywhere = np.ones(cool.outdoor_c.size, dtype=bool)
        names.append(_named(plot, cool, cool.full_w, words.say("cold.cooling_full"), anywhere))
    return names


def _named(plot: _Plot, curve: CapacityCurve, heat_w: Array, text: str, where: Mask) -> Named:
    points = [
        [plot.x(float(t)), plot.y(float(q))] for t, q in zip(curve.outdoor_c, heat_w, strict=True)
    ]
    return Named(text=text, points=np.array(points), where=where)


def _modulates(curve: CapacityCurve) -> bool:
    return bool((curve.lowest_w < curve.full_w * (1.0 - 1e-6)).any())


def _row(sheet: Sheet, plot: _Plot, curves: Curves) -> list[Part]:
    """Names of temperatures in the row under the axis."""
    show, words = sheet.figures, sheet.words
    row = []
    for curve, side in zip(curves.all, ("left", "right"), strict=False):
        key = f"cold.balance_{curve.function.value}"
        text = words.say(key, temperature=show.temperature(curve.balance_c))
        row.append({"x": plot.x(curve.balance_c), "text": text, "side": side})
    if curves.design_c is not None:
        text = words.say("cold.design", temperature=show.temperature(curves.design_c))
        row.append({"x": plot.x(curves.design_c), "text": text, "side": "middle"})
    return row


def _points(plot: _Plot, curves: Curves) -> Points:
    """Balance points: no load, and full output that meets the load."""
    points = [[plot.x(curve.balance_c), 0.0] for curve in curves.all]
    heat, meets_c = curves.heating, curves.heating.capacity_balance_c
    if meets_c is not None:
        load_w = float(np.interp(meets_c, heat.outdoor_c, heat.load_w))
        points.append([plot.x(meets_c), plot.y(load_w)])
    return points


def _design(plot: _Plot, curves: Curves) -> list[float]:
    if curves.design_c is None:
        return []
    curve = curves.heating
    load_w = float(np.interp(curves.design_c, curve.outdoor_c, curve.load_w))
    return [plot.x(curves.design_c), plot.y(load_w)]


def _hours(sheet: Sheet, plot: _Plot, curves: Curves) -> Part:
    step = 2.0 if sheet.figures.us else 1.0
    edges = np.arange(math.floor(plot.low / step) * step, plot.high + step, step)
    outdoor_c = sheet.comparison.model.weather.outdoor_c
    every = np.histogram(_degrees(sheet, outdoor_c), edges)[0]
    short = np.histogram(_degrees(sheet, curves.heating.short_c), edges)[0]
    most = float(max(every.max(), 1))
    left = (edges[:-1] - plot.low) / (plot.high - plot.low)
    right = (edges[1:] - plot.low) / (plot.high - plot.low)
    bars = [
        [round(max(a, 0.0), _ROUND), round(min(b, 1.0), _ROUND), n / most, s / most]
        for a, b, n, s in zip(
            left.tolist(), right.tolist(), every.tolist(), short.tolist(), strict=True
        )
        if n and b > 0.0 and a < 1.0
    ]
    text = sheet.words.say(
        f"cold.hours_{'us' if sheet.figures.us else 'si'}", most=sheet.figures.formats.number(most)
    )
    return {"bars": bars, "label": text}


def _degrees(sheet: Sheet, outdoor_c: Array) -> Array:
    return outdoor_c * 1.8 + 32.0 if sheet.figures.us else outdoor_c


def _caption(sheet: Sheet, curves: Curves) -> str:
    words, humidity = sheet.words, curves.heating.humidity_pct
    frost = ""
    if humidity is not None:
        frost = words.say(
            "cold.caption_frost", humidity=sheet.figures.formats.percent(humidity / 100.0)
        )
    dashed = any(curve.extrapolated.any() for curve in curves.all)
    weather = sheet.comparison.model.weather
    typical = words.say("cold.caption_typical") if weather.kind == "typical" else ""
    return one_line(
        words.say(
            "cold.caption",
            frost=frost,
            dashed=words.say("cold.caption_dashed") if dashed else "",
            weather=typical,
        )
    )
