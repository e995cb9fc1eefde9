"""Labels beside curves: each goes where it covers neither another label nor a curve."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.patheffects import withStroke

from energymodel.arrays import Array
from energymodel.report.figures.panel import Weight, line_height_in, text_width_in

if TYPE_CHECKING:
    from matplotlib.axes import Axes

GAPS_IN = (0.05, 0.10, 0.16, 0.24)
PADDING_IN = 0.04
_FORBIDDEN = 1e6
_CROSSING = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle in inches from the lower left corner of the axes.

    Parameters
    ----------
    left, bottom, right, top
        Edges, inches.
    """

    left: float
    bottom: float
    right: float
    top: float

    def near(self, other: Box) -> bool:
        """Whether two rectangles touch, or nearly so.

        Parameters
        ----------
        other
            The second.

        Returns
        -------
        bool
            True if they do.
        """
        return (
            self.left < other.right + PADDING_IN
            and other.left < self.right + PADDING_IN
            and self.bottom < other.top
            and other.bottom < self.top
        )

    def holds(self, points: Array) -> int:
        """Count the points inside.

        Parameters
        ----------
        points
            Shape (points, 2), inches.

        Returns
        -------
        int
            How many.
        """
        x, y = points[:, 0], points[:, 1]
        inside = (x > self.left) & (x < self.right) & (y > self.bottom) & (y < self.top)
        return int(inside.sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A text and the points beside which it may stand.

    Parameters
    ----------
    lines
        The text.
    anchors
        Points of the curve, in data units, the best first.
    sides
        Directions from the anchor, such as (1, 0) for right of it; the best first.
    size_pt, weight, colour
        Of the text.
    optional
        Left out rather than written across a curve.
    """

    lines: tuple[str, ...]
    anchors: Sequence[tuple[float, float]]
    sides: Sequence[tuple[int, int]]
    size_pt: float
    colour: str
    weight: Weight = "normal"
    optional: bool = False

    @property
    def size_in(self) -> tuple[float, float]:
        """Width and height, inches."""
        width = max(text_width_in(line, self.size_pt, self.weight) for line in self.lines)
        return width, len(self.lines) * line_height_in(self.size_pt)


@dataclass(slots=True, kw_only=True, eq=False)
class LabelSpace:
    """Axes with fixed limits in which labels are placed one after the other.

    Parameters
    ----------
    axes
        Linear axes; limits and place must not change afterwards.
    obstacles
        Points of what should not be covered, inches, shape (points, 2).
    taken
        Rectangles of labels placed so far.
    """

    axes: Axes
    obstacles: Array = field(default_factory=lambda: np.zeros((0, 2)))
    taken: list[Box] = field(default_factory=list)

    @property
    def size_in(self) -> tuple[float, float]:
        """Width and height of the axes, inches."""
        figure = self.axes.get_figure(root=True)
        across, up = figure.get_size_inches() if figure else (1.0, 1.0)
        place = self.axes.get_position()
        return float(place.width * across), float(place.height * up)

    def inches(self, x: Array, y: Array) -> Array:
        """Place of data points.

        Parameters
        ----------
        x, y
            Data units, shape (points,).

        Returns
        -------
        Array
            Inches from the lower left corner, shape (points, 2).
        """
        width, height = self.size_in
        (x0, x1), (y0, y1) = self.axes.get_xlim(), self.axes.get_ylim()
        return np.column_stack([(x - x0) / (x1 - x0) * width, (y - y0) / (y1 - y0) * height])

    def avoid(self, x: Array, y: Array) -> None:
        """Keep labels away from a curve.

        Parameters
        ----------
        x, y
            Data units, shape (points,).
        """
        self.obstacles = np.vstack([self.obstacles, self.inches(x, y)])

    def place(self, label: Label) -> Box | None:
        """Write a label at its best place.

        Parameters
        ----------
        label
            Text and anchors.

        Returns
        -------
        Box or None
            Where it stands; None, and nothing written, where every place is taken.
        """
        cost, box = min(
            self._choices(label), key=lambda choice: choice[0], default=(_FORBIDDEN, None)
        )
        if box is None or cost >= (_CROSSING if label.optional else _FORBIDDEN):
            return None
        self.taken.append(box)
        self._write(label, box)
        return box

    def _choices(self, label: Label) -> Iterator[tuple[float, Box]]:
        """Every place with its cost: far from the curve is worse, across a curve much worse."""
        wide, high = label.size_in
        gaps = GAPS_IN[:2] if label.optional else GAPS_IN
        for rank, anchor in enumerate(label.anchors):
            ((x, y),) = self.inches(*(np.array([value]) for value in anchor)).tolist()
            for (far, gap), (side, (across, up)) in product(
                enumerate(gaps), enumerate(label.sides)
            ):
                left = x + across * gap - (1 - across) * wide / 2.0
                bottom = y + up * gap - (1 - up) * high / 2.0
                box = Box(left=left, bottom=bottom, right=left + wide, top=bottom + high)
                yield self._cost(box) + side + 1.2 * far + 0.5 * rank, box

    def _cost(self, box: Box) -> float:
        width, height = self.size_in
        outside = box.left < 0 or box.bottom < 0 or box.right > width or box.top > height
        if outside or any(box.near(other) for other in self.taken):
            return _FORBIDDEN
        return _CROSSING * box.holds(self.obstacles)

    def _write(self, label: Label, box: Box) -> None:
        width, height = self.size_in
        step = line_height_in(label.size_pt)
        for index, line in enumerate(label.lines):
            text = self.axes.text(
                (box.left + box.right) / 2.0 / width,
                (box.top - (index + 0.5) * step) / height,
                line,
                transform=self.axes.transAxes,
                fontsize=label.size_pt,
                fontweight=label.weight,
                color=label.colour,
                ha="center",
                va="center",
            )
            text.set_path_effects([withStroke(linewidth=2.5, foreground="white")])
