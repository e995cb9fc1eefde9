"""Charts of what the options cost: by year and by month."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.ticker import MaxNLocator, StrMethodFormatter

from energymodel.arrays import Array
from energymodel.report.figures.bars import KEY_IN, draw_key, draw_part
from energymodel.report.figures.cost_view import (
    RANGE_LINE,
    CostView,
    cost_caption,
    monthly_message,
    note,
    yearly_message,
)
from energymodel.report.figures.panel import (
    Panel,
    Weight,
    caption_height_in,
    heading_height_in,
    line_height_in,
    text_width_in,
    wrapped,
)
from energymodel.report.figures.style import BODY_PT, CONTEXT, LABEL_PT, LOOKS, SMALL_PT
from energymodel.study.comparison.cost_parts import CostPart

if TYPE_CHECKING:
    from matplotlib.axes import Axes

ROW_IN = 0.38
MONTH_PANEL_IN = 1.25
_NAME_SHARE = 0.3
_NOTE_WIDTHS_IN = (0.85, 1.0, 1.2, 1.5)
_NOTE_LINES = 2
_AXIS_IN = 0.44
_BAR = 0.64
_MONTHS = "JFMAMJJASOND"
_MOST_COLUMNS = 3


def yearly_height_in(view: CostView, width_in: float) -> float:
    """Height that the chart by year needs.

    Parameters
    ----------
    view
        Costs of all options.
    width_in
        Width of its panel, inches.

    Returns
    -------
    float
        Inches.
    """
    heading = heading_height_in(*yearly_message(view), width_in)
    caption = caption_height_in(cost_caption(view, RANGE_LINE), width_in)
    return heading + caption + KEY_IN + _AXIS_IN + ROW_IN * len(view.parts)


def draw_yearly(panel: Panel, view: CostView) -> None:
    """Draw one bar per option, with what it is made of.

    Parameters
    ----------
    panel
        Where.
    view
        Costs of all options.
    """
    top_in = panel.heading(*yearly_message(view))
    bottom_in = panel.caption(cost_caption(view, RANGE_LINE)) + _AXIS_IN
    bars = _Bars.fitted(panel, view)
    if not bars.speak:
        top_in -= KEY_IN
        draw_key(panel, view.kinds, top_in + 0.06)
    left_in = panel.width_in - bars.width_in
    axes = panel.axes(left_in, bottom_in, bars.width_in, top_in - bottom_in)
    axes.set_xlim(0.0, bars.longest)
    axes.set_ylim(len(view.parts) - 0.45, -0.55)
    for row, parts in enumerate(view.parts):
        _draw_bar(axes, row, parts, bars)
        _write_end(axes, row, bars)
        _write_name(panel, axes, row, bars)
    _finish(axes, view)


def _finish(axes: Axes, view: CostView) -> None:
    most = max(*view.totals, 1.0)
    ticks = MaxNLocator(nbins=5, steps=[1, 2, 5, 10]).tick_values(0.0, most)
    axes.set_yticks([])
    axes.set_xticks([tick for tick in ticks if 0 <= tick <= most])
    axes.xaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    axes.grid(visible=False)
    axes.spines["left"].set_visible(True)
    axes.spines["bottom"].set_visible(False)
    axes.set_xlabel(f"Energy cost, {view.sign} a year", loc="left")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Bars:
    """Sizes of the bars by year and of what is written beside them."""

    view: CostView
    width_in: float
    longest: float
    notes: tuple[str, ...]

    @classmethod
    def fitted(cls, panel: Panel, view: CostView) -> _Bars:
        """Leave room for names on the left, for totals and notes on the right."""
        width_in = panel.width_in * (1.0 - _NAME_SHARE)
        notes = tuple(note(outcome, view) for outcome in view.outcomes)
        longest = max(*view.totals, 1.0)
        for total, (_, high), words in zip(view.totals, view.ends, notes, strict=True):
            beside_in = _amount_in(view.amount(total)) + _note_in(words) + 0.2
            end = max(total, high)
            longest = max(longest, end * width_in / max(width_in - beside_in, 0.3 * width_in))
        return cls(view=view, width_in=width_in, longest=longest, notes=notes)

    def fits(self, text: str, amount: float) -> bool:
        """Whether a text fits into a part of a bar."""
        room_in = amount / self.longest * self.width_in - 0.1
        return text_width_in(text, LABEL_PT) <= room_in

    def spoken(self, part: CostPart, amount: float) -> str:
        """Name and amount of a part."""
        return f"{part.value} {self.view.amount(amount)}"

    @property
    def speak(self) -> bool:
        """Whether every part of every bar has room for its name, so that no key is needed."""
        return all(
            self.fits(self.spoken(part, float(values.sum())), float(values.sum()))
            for parts in self.view.parts
            for part, values in parts.items()
        )


def _amount_in(amount: str) -> float:
    return text_width_in(amount, BODY_PT, "bold")


def _note_lines(words: str) -> list[str]:
    """Break a note into as few and as short lines as hold all of it."""
    whole = words.split()
    for width_in in _NOTE_WIDTHS_IN:
        lines = wrapped(words, width_in, LABEL_PT, most_lines=_NOTE_LINES)
        if " ".join(lines).split() == whole:
            break
    return lines


def _note_in(words: str) -> float:
    return max((text_width_in(line, LABEL_PT) for line in _note_lines(words)), default=0.0)


def _draw_bar(axes: Axes, row: int, parts: Mapping[CostPart, Array], bars: _Bars) -> None:
    start = 0.0
    low, high = bars.view.ends[row]
    for part, values in parts.items():
        amount = float(values.sum())
        draw_part(
            axes.barh, part, np.array([float(row)]), np.array([amount]), left=start, height=_BAR
        )
        text = bars.spoken(part, amount) if bars.speak else bars.view.amount(amount)
        said_at_the_end = len(parts) == 1 and not bars.speak
        free = min(start + amount, low) - start if high > low else amount  # left of the range
        if bars.fits(text, free) and not said_at_the_end:
            axes.text(
                start + free / 2.0,
                row,
                text,
                fontsize=LABEL_PT,
                color=LOOKS[part].ink,
                ha="center",
                va="center",
                bbox={"facecolor": LOOKS[part].colour, "edgecolor": "none", "pad": 1.2},
            )
        start += amount
    if high > low:
        axes.hlines(row, low, high, color="black", linewidth=1.0)
        axes.vlines((low, high), row - 0.13, row + 0.13, color="black", linewidth=1.0)


def _write_end(axes: Axes, row: int, bars: _Bars) -> None:
    total = bars.view.totals[row]
    amount = bars.view.amount(total)
    per_in = bars.longest / bars.width_in
    at = max(total, bars.view.ends[row][1]) + 0.06 * per_in
    axes.text(at, row, amount, fontsize=BODY_PT, fontweight="bold", va="center")
    at += (0.08 + _amount_in(amount)) * per_in
    text = "\n".join(_note_lines(bars.notes[row]))
    axes.text(at, row, text, fontsize=LABEL_PT, color=CONTEXT, va="center")


def _write_name(panel: Panel, axes: Axes, row: int, bars: _Bars) -> None:
    weight = _weight(bars.view, row)
    room_in = panel.width_in * _NAME_SHARE - 0.1
    name = bars.view.outcomes[row].name
    lines = wrapped(name, room_in, BODY_PT, weight=weight, most_lines=2)
    _, up = panel.figure.get_size_inches()
    place = axes.get_position()
    low, high = axes.get_ylim()
    share = (row - low) / (high - low)
    middle_in = float((place.y0 + share * place.height) * up) - panel.bottom_in
    step = line_height_in(BODY_PT)
    first_in = middle_in + (len(lines) - 1) * step / 2.0 - 0.3 * step
    for index, line in enumerate(lines):
        panel.text(0.0, first_in - index * step, line, size_pt=BODY_PT, weight=weight)


def monthly_columns(options: int) -> int:
    """Small charts side by side.

    Parameters
    ----------
    options
        How many options.

    Returns
    -------
    int
        At most three.
    """
    return 2 if options == 4 else min(options, _MOST_COLUMNS)


def _rows(options: int) -> int:
    return -(-options // monthly_columns(options))


def monthly_height_in(view: CostView, width_in: float) -> float:
    """Height that the chart by month needs.

    Parameters
    ----------
    view
        Costs of all options.
    width_in
        Width of its panel, inches.

    Returns
    -------
    float
        Inches.
    """
    rows = _rows(len(view.parts))
    panel_in = MONTH_PANEL_IN if rows > 1 else 1.4 * MONTH_PANEL_IN
    heading = heading_height_in(monthly_message(view), "", width_in)
    return heading + KEY_IN + rows * panel_in + caption_height_in(cost_caption(view), width_in)


def draw_monthly(panel: Panel, view: CostView) -> None:
    """Draw one small chart per option, all on one scale.

    Parameters
    ----------
    panel
        Where.
    view
        Costs of all options.
    """
    top_in = panel.heading(monthly_message(view), "") - KEY_IN
    bottom_in = panel.caption(cost_caption(view)) + 0.02
    draw_key(panel, view.kinds, top_in + 0.1)
    most = max(float(sum(parts.values(), np.zeros(12)).max()) for parts in view.parts)
    places = list(_places(panel, len(view.parts), (bottom_in, top_in)))
    high = max(len(_name_lines(places[0], view, index)) for index in range(len(places)))
    for index, place in enumerate(places):
        axes_top_in = _name_months(place, view, index, lines=high)
        _draw_months(place, view.parts[index], view, (axes_top_in, most))


def _places(panel: Panel, count: int, between_in: tuple[float, float]) -> Iterator[Panel]:
    columns = monthly_columns(count)
    gap_in = 0.16
    wide_in = (panel.width_in - gap_in * (columns - 1)) / columns
    high_in = (between_in[1] - between_in[0]) / _rows(count)
    for index in range(count):
        row, column = divmod(index, columns)
        yield Panel(
            figure=panel.figure,
            left_in=panel.left_in + column * (wide_in + gap_in),
            bottom_in=panel.bottom_in + between_in[1] - (row + 1) * high_in,
            width_in=wide_in,
            height_in=high_in,
        )


def _name_lines(place: Panel, view: CostView, index: int) -> list[str]:
    return wrapped(
        view.outcomes[index].name,
        place.width_in,
        LABEL_PT,
        weight=_weight(view, index),
        most_lines=2,
    )


def _weight(view: CostView, index: int) -> Weight:
    return "bold" if view.outcomes[index] is view.comparison.cheapest else "normal"


def _name_months(place: Panel, view: CostView, index: int, *, lines: int) -> float:
    """Write name, unit and note below the free lines; return the height that is left."""
    name = _name_lines(place, view, index)
    y_in = place.height_in - (lines - len(name)) * line_height_in(LABEL_PT)
    for line in name:
        y_in -= line_height_in(LABEL_PT)
        place.text(0.0, y_in, line, size_pt=LABEL_PT, weight=_weight(view, index))
    y_in -= line_height_in(SMALL_PT)
    words = f"{view.sign} a month", note(view.outcomes[index], view)
    text = "; ".join(word for word in words if word)
    place.text(0.0, y_in, text, size_pt=SMALL_PT, colour=CONTEXT)
    return y_in


def _draw_months(
    place: Panel, parts: Mapping[CostPart, Array], view: CostView, room: tuple[float, float]
) -> None:
    top_in, most = room
    axes = place.axes(0.32, 0.19, place.width_in - 0.34, top_in - 0.25)
    floor, months = np.zeros(12), np.arange(12.0)
    for part, values in parts.items():
        there = values != 0
        draw_part(axes.bar, part, months[there], values[there], bottom=floor[there], width=0.82)
        floor = floor + values
    axes.set_xlim(-0.6, 11.6)
    axes.set_ylim(0.0, max(most, 1.0) * 1.2)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=4, steps=[1, 2, 5, 10]))
    axes.yaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
    axes.set_xticks(months, list(_MONTHS))
    axes.tick_params(length=0, labelsize=SMALL_PT)
    _write_peak(axes, floor, view, (place.width_in - 0.34, most))


def _write_peak(axes: Axes, cost: Array, view: CostView, size: tuple[float, float]) -> None:
    """Write the dearest month's amount above its bar, moved inwards where it would stick out."""
    width_in, most = size
    peak = int(cost.argmax())
    text = view.amount(float(cost[peak]))
    low, high = axes.get_xlim()
    half = 0.5 * text_width_in(text, SMALL_PT) / width_in * (high - low)
    axes.text(
        float(np.clip(peak, low + half + 0.2, high - half - 0.2)),
        cost[peak] + most * 0.03,
        text,
        fontsize=SMALL_PT,
        ha="center",
        va="bottom",
    )
