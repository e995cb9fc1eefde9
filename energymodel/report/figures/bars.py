"""Parts of stacked bars, and the key that names their colours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from matplotlib.colors import to_rgb
from matplotlib.patches import Rectangle

from energymodel.arrays import Array
from energymodel.report.figures.panel import Panel, text_width_in
from energymodel.report.figures.style import LABEL_PT, LOOKS
from energymodel.study.comparison.cost_parts import CostPart

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

KEY_IN = 0.24
_SWATCH_IN = (0.18, 0.1)


def pattern_colour(colour: str) -> tuple[float, float, float]:
    """Colour of the pattern on an area: half way to white.

    Parameters
    ----------
    colour
        Of the area.

    Returns
    -------
    tuple of float
        Red, green and blue, 0..1.
    """
    red, green, blue = (0.5 * (1.0 + value) for value in to_rgb(colour))
    return red, green, blue


def draw_part(
    draw: Callable[..., Any], part: CostPart, at: Array, amount: Array, **place: Any
) -> None:
    """Draw one part of some bars with its pattern and a white edge.

    Parameters
    ----------
    draw
        `bar` or `barh` of the axes.
    part
        What it stands for.
    at
        Positions of the bars.
    amount
        Money, same shape.
    **place
        Where the part begins and how thick the bars are, as `draw` names them.
    """
    look = LOOKS[part]
    draw(
        at,
        amount,
        facecolor=look.colour,
        edgecolor=pattern_colour(look.colour),
        hatch=look.hatch or None,
        linewidth=0.0,
        **place,
    )
    draw(at, amount, facecolor="none", edgecolor="white", linewidth=0.4, **place)


def draw_key(panel: Panel, parts: Sequence[CostPart], y_in: float) -> None:
    """Name the colours in one line.

    Parameters
    ----------
    panel
        Where.
    parts
        In the order in which they are stacked.
    y_in
        Base line of the names, inches inside the panel.
    """
    across, up = panel.figure.get_size_inches()
    wide_in, high_in = _SWATCH_IN
    x_in = 0.0
    for part in parts:
        look = LOOKS[part]
        swatch = Rectangle(
            ((panel.left_in + x_in) / across, (panel.bottom_in + y_in - 0.01) / up),
            wide_in / across,
            high_in / up,
            facecolor=look.colour,
            hatch=look.hatch or None,
            edgecolor=pattern_colour(look.colour),
            linewidth=0.0,
            transform=panel.figure.transFigure,
        )
        panel.figure.add_artist(swatch)
        panel.text(x_in + wide_in + 0.05, y_in, part.value, size_pt=LABEL_PT)
        x_in += wide_in + 0.05 + text_width_in(part.value, LABEL_PT) + 0.2
