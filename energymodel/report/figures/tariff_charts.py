"""Charts of tariffs: prices by month and hour, and what options cost under several tariffs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator, StrMethodFormatter

from energymodel.arrays import Array, Index
from energymodel.report.figures.bars import KEY_IN
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
    LABEL_PT,
    PAGE_WIDTH_IN,
    SMALL_PT,
    house_style,
)
from energymodel.report.numbers import money
from energymodel.study.comparison.amounts import SIGNS, amount
from energymodel.study.comparison.tariff_ranking import TariffRanking
from energymodel.tariffs.hour_prices import first_unit_prices
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.windows import DayKind

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_INSIDE_IN = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
_MAP_IN = 1.75
_AXIS_IN = 0.4
_LEFT_IN = 0.3
_GAP_IN = 0.3
_MONTHS = "JFMAMJJASOND"
_CHEAP, _DEAR = 0.93, 0.25
_DAYS = {"Weekdays": DayKind.WEDNESDAY, "Weekends": DayKind.SUNDAY}
_GREYS = ("#d9d9d9", "#8c8c8c", "#404040", "#f2f2f2", "#b3b3b3", "#1a1a1a")
_HATCHES = ("", "////", "", "....", "----", "")
_ROW_IN = 0.15
_NAME_SHARE = 0.3


def price_hours_figure(tariff: Tariff) -> Figure:
    """Draw the price of the first unit of use by month and hour, weekdays and weekends.

    Parameters
    ----------
    tariff
        The record; prices by an hourly series are left out.

    Returns
    -------
    Figure
        Two maps, dark where a unit is dear, and the prices in words above them.
    """
    prices = {days: first_unit_prices(tariff, kind) for days, kind in _DAYS.items()}
    levels = np.unique(np.round(np.concatenate(list(prices.values())), 9))
    title, subtitle = _hours_words(tariff, levels)
    caption = (
        f"Prices of a first unit, hour by hour, clock time. Source: {tariff.source or 'file'}."
    )
    with house_style():
        words_in = heading_height_in(title, subtitle, _INSIDE_IN)
        words_in += caption_height_in(caption, _INSIDE_IN)
        figure, panel = page_panel(words_in + KEY_IN + 0.2 + _MAP_IN + _AXIS_IN + 2.0 * MARGIN_IN)
        top_in = panel.heading(title, subtitle) - KEY_IN
        bottom_in = panel.caption(caption) + _AXIS_IN
        _draw_levels(panel, tariff, levels, top_in + 0.06)
        wide_in = (panel.width_in - 2.0 * _LEFT_IN - _GAP_IN) / 2.0
        for number, (days, values) in enumerate(prices.items()):
            left_in = _LEFT_IN + number * (wide_in + _LEFT_IN + _GAP_IN)
            panel.text(left_in, top_in - 0.12, days, size_pt=LABEL_PT, weight="bold")
            axes = panel.axes(left_in, bottom_in, wide_in, top_in - 0.2 - bottom_in)
            _draw_hours(axes, np.searchsorted(levels, np.round(values, 9)), levels.size)
    return figure


def _hours_words(tariff: Tariff, levels: Array) -> tuple[str, str]:
    unit = tariff.unit.name
    if levels.size == 1:
        return f"{tariff.name}: a {unit} costs the same at all times", ""
    dear = amount(float(levels[-1]), tariff.currency, digits=3)
    cheap = amount(float(levels[0]), tariff.currency, digits=3)
    times = f"{levels[-1] / levels[0]:.1f} times" if levels[0] > 0 else "more than"
    title = f"{tariff.name}: a {unit} in the dearest hours costs {times} one in the cheapest"
    return title, f"{dear} against {cheap} for the first {unit} of a bill"


def _shade(level: int, count: int) -> float:
    """Grey of a price level: 1 is white."""
    return _CHEAP if count == 1 else _CHEAP + (_DEAR - _CHEAP) * level / (count - 1)


def _draw_levels(panel: Panel, tariff: Tariff, levels: Array, y_in: float) -> None:
    across, up = panel.figure.get_size_inches()
    x_in = 0.0
    for level, price in enumerate(levels):
        grey = str(_shade(level, levels.size))
        swatch = Rectangle(
            ((panel.left_in + x_in) / across, (panel.bottom_in + y_in - 0.01) / up),
            0.18 / across,
            0.1 / up,
            facecolor=grey,
            edgecolor=CONTEXT,
            linewidth=0.4,
            transform=panel.figure.transFigure,
        )
        panel.figure.add_artist(swatch)
        words = f"{amount(float(price), tariff.currency, digits=3)} per {tariff.unit.name}"
        panel.text(x_in + 0.23, y_in, words, size_pt=LABEL_PT)
        x_in += 0.43 + text_width_in(words, LABEL_PT)


def _draw_hours(axes: Axes, levels: Index, count: int) -> None:
    greys = [str(_shade(level, count)) for level in range(count)]
    colours = LinearSegmentedColormap.from_list("prices", greys * 2 if count == 1 else greys)
    axes.imshow(
        levels,
        cmap=colours,
        vmin=0,
        vmax=max(count - 1, 1),
        aspect="auto",
        interpolation="nearest",
        extent=(0.0, 24.0, 12.0, 0.0),
    )
    axes.set_yticks(np.arange(12) + 0.5, list(_MONTHS))
    axes.set_xticks(range(0, 25, 6))
    axes.tick_params(axis="both", length=0, labelsize=SMALL_PT)
    axes.grid(visible=False)
    axes.set_xlabel("Hour of the day", loc="left")
    axes.set_xticks(range(1, 24), minor=True)
    axes.set_yticks(range(1, 12), minor=True)
    axes.grid(visible=True, axis="both", which="minor", color="white", linewidth=0.4)
    axes.tick_params(which="minor", length=0)


def ranking_figure(ranking: TariffRanking) -> Figure:
    """Draw the whole electricity bill of the house with each option under each tariff.

    Parameters
    ----------
    ranking
        By option and tariff.

    Returns
    -------
    Figure
        A group of bars per option, one per tariff; the smallest bill of a group is in bold.
    """
    title = _ranking_message(ranking)
    subtitle = "Whole electricity bill of the house, the other use with it; no fuel"
    caption = "The same loads under each tariff. A change of tariff moves the other use too."
    count = len(ranking.tariffs)
    group_in = _ROW_IN * count + 0.16
    with house_style():
        words_in = heading_height_in(title, subtitle, _INSIDE_IN)
        words_in += caption_height_in(caption, _INSIDE_IN)
        rows_in = group_in * len(ranking.house_bill)
        figure, panel = page_panel(words_in + rows_in + _AXIS_IN + 2.0 * MARGIN_IN)
        top_in = panel.heading(title, subtitle)
        bottom_in = panel.caption(caption) + _AXIS_IN
        left_in = panel.width_in * _NAME_SHARE
        axes = panel.axes(left_in, bottom_in, panel.width_in - left_in, top_in - bottom_in)
        _draw_groups(axes, ranking, group_in)
        for number, name in enumerate(ranking.house_bill):
            _write_group(panel, name, top_in - group_in * (number + 0.5))
    return figure


def _ranking_message(ranking: TariffRanking) -> str:
    best = {name: ranking.best(name) for name in ranking.house_bill}
    if len(set(best.values())) == 1:
        return f"{next(iter(best.values()))} gives the smallest bill with every option"
    return "Which tariff is best depends on the option"


def _draw_groups(axes: Axes, ranking: TariffRanking, group_in: float) -> None:
    most = max(max(bills) for bills in ranking.house_bill.values())
    axes.set_xlim(0.0, most * 1.5)
    axes.set_ylim(len(ranking.house_bill) * group_in, 0.0)
    for number, (name, bills) in enumerate(ranking.house_bill.items()):
        for place, (tariff, bill) in enumerate(zip(ranking.tariffs, bills, strict=True)):
            y = group_in * number + 0.08 + _ROW_IN * (place + 0.5)
            look = place % len(_GREYS)
            axes.barh(
                y,
                bill,
                height=_ROW_IN * 0.84,
                facecolor=_GREYS[look],
                edgecolor="white",
                hatch=_HATCHES[look] or None,
                linewidth=0.0,
            )
            weight = "bold" if tariff == ranking.best(name) else "normal"
            words = f"{money(bill, ranking.currency)}  {tariff}"
            axes.text(
                bill + 0.012 * most, y, words, fontsize=LABEL_PT, fontweight=weight, va="center"
            )
    sign = SIGNS.get(ranking.currency, ranking.currency)
    ticks = MaxNLocator(nbins=5, steps=[1, 2, 5, 10]).tick_values(0.0, most)
    axes.set_xticks([tick for tick in ticks if 0 <= tick <= most])
    axes.xaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    axes.set_yticks([])
    axes.grid(visible=False)
    axes.spines["left"].set_visible(True)
    axes.spines["bottom"].set_visible(False)
    axes.set_xlabel(f"Electricity bill, {sign} a year", loc="left")


def _write_group(panel: Panel, name: str, middle_in: float) -> None:
    lines = wrapped(name, panel.width_in * _NAME_SHARE - 0.1, BODY_PT, most_lines=2)
    step = line_height_in(BODY_PT)
    first_in = middle_in + 0.5 * step * (len(lines) - 1) - 0.3 * step
    for number, line in enumerate(lines):
        panel.text(0.0, first_in - number * step, line, size_pt=BODY_PT)
