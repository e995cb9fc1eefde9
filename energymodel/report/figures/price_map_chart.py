"""The map of the cheapest option over the price of electricity and the price of a fuel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke

from energymodel.arrays import Array
from energymodel.report.figures.area_labels import in_inches, inside, name_areas
from energymodel.report.figures.captions import scenario_caption, weather_caption
from energymodel.report.figures.option_looks import option_looks
from energymodel.report.figures.page_panel import MARGIN_IN, page_panel
from energymodel.report.figures.panel import (
    Panel,
    caption_height_in,
    heading_height_in,
    text_width_in,
)
from energymodel.report.figures.style import LABEL_PT, PAGE_WIDTH_IN, TEXT, Look, house_style
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.comparison.linear_cost import PriceAxis
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.switchover.price_map import PriceArea, PriceMap

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MAP_IN = 2.75
_LEFT_IN = 0.34
_RIGHT_IN = 0.1
_BELOW_IN = 0.42
_ABOVE_IN = 0.2
_FAINT = 0.38
_EDGE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MapView:
    """What the chart shows.

    Parameters
    ----------
    prices
        The map.
    looks
        Colour and pattern by option.
    title, subtitle
        The message and what is behind it.
    caption
        Source and conditions.
    """

    prices: PriceMap
    looks: dict[str, Look]
    title: str
    subtitle: str
    caption: str


def price_map_figure(comparison: Comparison, prices: PriceMap) -> Figure:
    """Draw the map.

    Parameters
    ----------
    comparison
        What was run.
    prices
        Its map.

    Returns
    -------
    Figure
        One area per option, its name in it, and today's prices.
    """
    view = map_view(comparison, prices)
    with house_style():
        width_in = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
        words_in = heading_height_in(view.title, view.subtitle, width_in)
        words_in += caption_height_in(view.caption, width_in)
        figure, panel = page_panel(words_in + _ABOVE_IN + MAP_IN + _BELOW_IN + 2.0 * MARGIN_IN)
        draw_price_map(panel, view)
    return figure


def map_view(comparison: Comparison, prices: PriceMap) -> MapView:
    """Put the words of a map together.

    Parameters
    ----------
    comparison
        What was run.
    prices
        Its map.

    Returns
    -------
    MapView
        Ready to be drawn.
    """
    tables = {one.name: one.planned.table for one in comparison.outcomes}
    looks = option_looks([tables[area.option] for area in prices.areas])
    currency = comparison.model.scenario.content.currency
    return MapView(
        prices=prices,
        looks=looks,
        title=_title(prices),
        subtitle=_subtitle(prices, currency),
        caption=_caption(comparison, prices),
    )


def _area_today(prices: PriceMap) -> PriceArea | None:
    """Find the area in which today's prices lie; None: they lie outside the map."""
    at = np.array([prices.today])
    return next((area for area in prices.areas if inside(area.corners, at)[0]), None)


def _title(prices: PriceMap) -> str:
    area = _area_today(prices)
    if area is None:
        return "Which option costs least at which prices"
    if len(prices.areas) == 1:
        return f"{area.option} costs least at all these prices"
    return f"At today's prices {area.option} costs least"


def _subtitle(prices: PriceMap, currency: str) -> str:
    area = _area_today(prices)
    if area is None or len(prices.areas) == 1:
        return ""
    x, y = prices.today
    parts = (
        _span(area.corners, prices.electricity, float(prices.electricity_prices[-1]), y),
        _span(area.corners[:, ::-1], prices.fuel, float(prices.fuel_prices[-1]), x),
    )
    found = [_span_text(span, currency) for span in parts if span is not None]
    return f"Holds for {', and for '.join(found)}" if found else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Span:
    """Prices of one axis inside an area; None: to the end of the map."""

    axis: PriceAxis
    low: float | None
    high: float | None


def _span(corners: Array, axis: PriceAxis, end: float, other: float) -> _Span | None:
    """Cut an area along one axis at today's price of the other, given last."""
    crossed = [
        float(one[0] + (other - one[1]) / (two[1] - one[1]) * (two[0] - one[0]))
        for one, two in zip(corners, np.roll(corners, -1, axis=0), strict=True)
        if (one[1] <= other) != (two[1] <= other)
    ]
    if len(crossed) != 2:
        return None
    low, high = sorted(crossed)
    span = _Span(
        axis=axis,
        low=low if low > _EDGE * end else None,
        high=high if high < (1.0 - _EDGE) * end else None,
    )
    return None if span.low is None and span.high is None else span


def _span_text(span: _Span, currency: str) -> str:
    noun = f"the {span.axis.carrier} tariff" if span.axis.by_tariff else span.axis.carrier
    if span.low is None:
        return f"{noun} below {price_text(span.high or 0.0, span.axis, currency)}"
    if span.high is None:
        return f"{noun} above {price_text(span.low, span.axis, currency)}"
    low = price_text(span.low, span.axis, currency).partition(" per ")[0]
    return f"{noun} from {low} to {price_text(span.high, span.axis, currency)}"


def price_text(value: float, axis: PriceAxis, currency: str) -> str:
    """Write a price with its unit.

    Parameters
    ----------
    value
        On the axis.
    axis
        Which price.
    currency
        Of the scenario.

    Returns
    -------
    str
        "$0.182 per kWh"; under a tariff "1.30 times today's prices".
    """
    if axis.by_tariff:
        return f"{value:.2f} times today's"
    digits = 3 if axis.today < 1 else 2
    unit = axis.unit.partition(" per ")[2]
    sign = SIGNS.get(currency)
    number = f"{sign}{value:.{digits}f}" if sign else f"{value:.{digits}f} {currency}"
    return f"{number} per {unit}"


def _caption(comparison: Comparison, prices: PriceMap) -> str:
    what = "Yearly energy cost on like services"
    if prices.spread_years is not None:
        what += f" and installed cost over {prices.spread_years:g} years, without interest"
    parts = [scenario_caption(comparison) + what + "; options that carry the load."]
    if prices.held:
        parts.append(f"Held at today's price: {', '.join(prices.held)}.")
    return " ".join([*parts, weather_caption(comparison), "Estimate, not a quotation."])


def draw_price_map(panel: Panel, view: MapView) -> None:
    """Draw the chart.

    Parameters
    ----------
    panel
        Where.
    view
        The map and its words.
    """
    top_in = panel.heading(view.title, view.subtitle)
    bottom_in = panel.caption(view.caption) + _BELOW_IN
    wide_in = panel.width_in - _LEFT_IN - _RIGHT_IN
    axes = panel.axes(_LEFT_IN, bottom_in, wide_in, top_in - _ABOVE_IN - bottom_in)
    prices = view.prices
    axes.set_xlim(0.0, float(prices.electricity_prices[-1]))
    axes.set_ylim(0.0, float(prices.fuel_prices[-1]))
    axes.grid(visible=False)
    axes.set_xlabel(_axis_title(prices.electricity))
    panel.text(0.0, top_in - 0.11, _axis_title(prices.fuel), size_pt=LABEL_PT)
    for area in prices.areas:
        look = view.looks[area.option]
        _paint(axes, area, look)
    for line in prices.boundaries:
        axes.plot(*line.line.T, color=TEXT, linewidth=0.9)
    today_in = _draw_today(axes, prices)
    name_areas(axes, {area.option: area.corners for area in prices.areas}, today_in)


def _axis_title(axis: PriceAxis) -> str:
    if axis.by_tariff:
        return f"Price of {axis.carrier}, times today's tariff"
    return f"Price of {axis.carrier}, {axis.unit}"


def _paint(axes: Axes, area: PriceArea, look: Look) -> None:
    axes.add_patch(
        Polygon(area.corners, closed=True, facecolor=look.colour, alpha=_FAINT, linewidth=0.0)
    )
    if look.hatch:
        axes.add_patch(
            Polygon(
                area.corners,
                closed=True,
                facecolor="none",
                edgecolor=look.colour,
                hatch=look.hatch,
                linewidth=0.0,
            )
        )


def _draw_today(axes: Axes, prices: PriceMap) -> Array:
    at = np.array([prices.today])
    if at[0, 0] > axes.get_xlim()[1] or at[0, 1] > axes.get_ylim()[1]:
        return np.full((1, 2), np.inf)
    axes.plot(
        *at.T, marker="o", markersize=6.5, color=TEXT, markeredgecolor="white", markeredgewidth=1.2
    )
    text = axes.annotate(
        "today",
        (float(at[0, 0]), float(at[0, 1])),
        xytext=(6, 0),
        textcoords="offset points",
        fontsize=LABEL_PT,
        fontweight="bold",
        va="center",
    )
    text.set_path_effects([withStroke(linewidth=2.5, foreground="white")])
    wide_in = text_width_in("today", LABEL_PT, "bold") + 0.1
    place = in_inches(axes, at)
    return np.array([place[0], place[0] + [wide_in / 2.0, 0.0], place[0] + [wide_in, 0.0]])
