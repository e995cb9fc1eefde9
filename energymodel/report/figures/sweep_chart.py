"""What a sweep costs over one of its fields: a line and a band per option."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, StrMethodFormatter

from energymodel.arrays import Array
from energymodel.errors import InputError
from energymodel.report.figures.labels import Label, LabelSpace
from energymodel.report.figures.option_looks import option_looks
from energymodel.report.figures.page_panel import MARGIN_IN, page_panel
from energymodel.report.figures.panel import caption_height_in, heading_height_in
from energymodel.report.figures.style import LABEL_PT, PAGE_WIDTH_IN, TEXT, Look, house_style
from energymodel.study.comparison.amounts import SIGNS
from energymodel.study.sweep.sweep import SweepResult

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)")
_AXES_IN = 2.5
_AXIS_IN = 0.42
_LEFT_IN = 0.4
_ROOM = 1.12
_DASHES = ("-", (0, (6, 2)), (0, (7, 1.5, 1.5, 1.5)), (0, (1.5, 1.5)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SweepLine:
    """Yearly cost of one option over a field.

    Parameters
    ----------
    low, middle, high
        Smallest, median and largest cost over all other fields, money per year, shape (values,).
    """

    low: Array
    middle: Array
    high: Array


def sweep_lines(result: SweepResult, path: str) -> tuple[Array, str, Mapping[str, SweepLine]]:
    """Gather the costs of a sweep over one field.

    Parameters
    ----------
    result
        A sweep that stayed in memory.
    path
        Name of a field that varies and holds numbers, with or without a unit.

    Returns
    -------
    values : Array
        Of the field, rising, shape (values,).
    unit : str
        Behind them; empty: none.
    lines : Mapping of SweepLine
        By option.

    Raises
    ------
    InputError
        If the sweep is on disk, the field does not vary, or it holds no numbers of one unit.
    """
    years = result.years
    if years is None:
        raise InputError("this sweep is on disk", expected="a sweep without `out`")
    fields = [name for axis in result.plan.axes for name in axis.paths if len(axis.values) > 1]
    if path not in fields:
        raise InputError(f"{path} does not vary", expected="one of " + ", ".join(fields))
    texts = [str(value) for value in years[path].unique()]
    found = {text: match for text in texts if (match := _NUMBER.fullmatch(text)) is not None}
    units = {match[2] for match in found.values()}
    if len(found) < len(texts) or len(units) != 1:
        raise InputError(f"{path} holds no numbers of one unit", expected="a price, a load, ...")
    numbers = years[path].astype(str).map(lambda text: float(found[text][1]))
    spread = years.groupby([numbers.rename("value"), "option"], observed=True)["like_cost"]
    lines = {
        name: SweepLine(
            low=spread.min().xs(name, level="option").to_numpy(np.float64),
            middle=spread.median().xs(name, level="option").to_numpy(np.float64),
            high=spread.max().xs(name, level="option").to_numpy(np.float64),
        )
        for name in result.plan.options
    }
    return np.array(sorted(set(numbers))), units.pop(), lines


def sweep_figure(result: SweepResult, path: str, *, label: str = "") -> Figure:
    """Draw yearly cost over one field of a sweep.

    Parameters
    ----------
    result
        A sweep that stayed in memory.
    path
        Name of a field that varies and holds numbers.
    label
        Name of the axis; empty: the name of the field.

    Returns
    -------
    Figure
        The middle of all variants as a line, lowest to highest as a band, one per option.

    Raises
    ------
    InputError
        If there is nothing to draw; the message says why.
    """
    x, unit, lines = sweep_lines(result, path)
    content = result.plan.base.content
    title = _message(lines, label or path)
    count = result.summary.variants - result.summary.refused
    subtitle = f"Middle of {count:,} variants (line), lowest to highest (band)"
    caption = (
        f"{content.title.strip().rstrip('.')}. Running cost a year for the services of the present"
        " option; installed costs are not in it."
    )
    inside_in = PAGE_WIDTH_IN - 2.0 * MARGIN_IN
    with house_style():
        words_in = heading_height_in(title, subtitle, inside_in)
        words_in += caption_height_in(caption, inside_in)
        figure, panel = page_panel(words_in + _AXES_IN + _AXIS_IN + 0.2 + 2.0 * MARGIN_IN)
        top_in = panel.heading(title, subtitle)
        bottom_in = panel.caption(caption) + _AXIS_IN
        sign = SIGNS.get(content.currency, content.currency)
        panel.text(0.0, top_in - 0.11, f"Cost, {sign} a year", size_pt=LABEL_PT)
        wide_in = panel.width_in - _LEFT_IN - 0.1
        axes = panel.axes(_LEFT_IN, bottom_in, wide_in, top_in - 0.2 - bottom_in)
        _draw(axes, x, lines, option_looks(content.option))
        axes.set_xlabel(f"{label or path}{', ' + unit if unit else ''}", loc="left")
    return figure


def _message(lines: Mapping[str, SweepLine], label: str) -> str:
    """Say which option is cheapest at both ends, by the middle of the variants."""
    names = list(lines)
    best = np.argmin(np.array([lines[name].middle for name in names]), axis=0)
    first, last = names[int(best[0])], names[int(best[-1])]
    if len(set(best.tolist())) == 1:
        return f"{first} costs least over the whole range"
    return f"Low {label}: {first} costs least; high: {last}"


def _draw(axes: Axes, x: Array, lines: Mapping[str, SweepLine], looks: Mapping[str, Look]) -> None:
    axes.set_xlim(float(x[0]), float(x[-1]))
    axes.set_ylim(0.0, max(float(line.high.max()) for line in lines.values()) * _ROOM)
    space = LabelSpace(axes=axes)
    fine = np.linspace(x[0], x[-1], 40)
    for number, (name, line) in enumerate(lines.items()):
        colour = looks[name].colour
        axes.fill_between(x, line.low, line.high, color=colour, alpha=0.18, linewidth=0.0)
        dashes = _DASHES[number % len(_DASHES)]
        axes.plot(x, line.middle, color=colour, linewidth=2.0, linestyle=dashes)
        space.avoid(fine, np.interp(fine, x, line.middle))
    for name, line in lines.items():
        at = [float(x[0] + share * (x[-1] - x[0])) for share in (0.5, 0.3, 0.7, 0.85, 0.15)]
        space.place(
            Label(
                lines=(name,),
                anchors=[(one, float(np.interp(one, x, line.middle))) for one in at],
                sides=((0, 1), (0, -1)),
                size_pt=LABEL_PT,
                colour=TEXT,
            )
        )
    axes.yaxis.set_major_locator(MaxNLocator(nbins=5, steps=[1, 2, 5, 10]))
    axes.yaxis.set_major_formatter(StrMethodFormatter("{x:,.0f}"))
