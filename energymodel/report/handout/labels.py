"""Where the names of lines stand in a plot: beside their line, clear of other lines and names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask

_LETTER = 0.0098
"""Mean width of a letter as a share of the plot's width, somewhat on the wide side."""
_LINE = 0.095
"""Height of a line of text as a share of the plot's height."""
_GAP = 0.022
_FORBIDDEN = 1e6
_SHARES = (0.36, 0.5, 0.25, 0.62, 0.75, 0.14, 0.86)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A name and its place; shares of the plot, from the lower left.

    Parameters
    ----------
    text
        The name.
    left, bottom, width
        Of its box.
    """

    text: str
    left: float
    bottom: float
    width: float

    def covers(self, points: Array) -> int:
        """Count the points behind the name.

        Parameters
        ----------
        points
            Shares of the plot, shape (points, 2).

        Returns
        -------
        int
            How many.
        """
        x, y = points[:, 0] - self.left, points[:, 1] - self.bottom
        return int(((x > 0) & (x < self.width) & (y > 0) & (y < _LINE)).sum())

    def touches(self, other: Placed) -> bool:
        """Whether two names overlap.

        Parameters
        ----------
        other
            The second.

        Returns
        -------
        bool
            True if they do.
        """
        beside = self.left + self.width < other.left or other.left + other.width < self.left
        return not beside and abs(self.bottom - other.bottom) < _LINE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Named:
    """A line that wants its name.

    Parameters
    ----------
    text
        The name.
    points
        Of the line, shape (points, 2).
    where
        Points beside which the name may stand.
    above
        Whether above the line is better than below.
    """

    text: str
    points: Array
    where: Mask
    above: bool = True


def place_names(names: Sequence[Named], lines: Sequence[Array]) -> list[Placed]:
    """Place the names one after the other.

    Parameters
    ----------
    names
        The most important first.
    lines
        Everything drawn, each of shape (points, 2).

    Returns
    -------
    list of Placed
        Names without a place inside the plot are left out.
    """
    obstacles = np.concatenate([_dense(line) for line in lines])
    placed: list[Placed] = []
    for name in names:
        choices = [
            (cost + _cost(box, obstacles, placed), number, box)
            for number, (cost, box) in enumerate(_choices(name))
        ]
        cost, _, best = min(choices, key=lambda one: one[:2], default=(_FORBIDDEN, 0, None))
        if best is not None and cost < _FORBIDDEN:
            placed.append(best)
    return placed


def _dense(line: Array) -> Array:
    """Add points between those of a line, so that none can pass a name unseen."""
    if len(line) < 2:
        return line
    at = np.linspace(0.0, len(line) - 1.0, 6 * len(line))
    known = np.arange(len(line))
    return np.column_stack([np.interp(at, known, line[:, axis]) for axis in (0, 1)])


def _choices(name: Named) -> Iterator[tuple[float, Placed]]:
    allowed = np.flatnonzero(name.where)
    if not allowed.size:
        return
    width = _LETTER * len(name.text)
    for rank, share in enumerate(_SHARES):
        x, y = name.points[allowed[round(share * (allowed.size - 1))]]
        for side, up in enumerate((name.above, not name.above)):
            bottom = y + _GAP if up else y - _GAP - _LINE
            for shift, start in enumerate((0.5, 0.0, 1.0)):
                box = Placed(text=name.text, left=x - start * width, bottom=bottom, width=width)
                yield rank + 3.0 * side + 0.6 * shift, box


def _cost(box: Placed, obstacles: Array, placed: Sequence[Placed]) -> float:
    outside = box.left < 0 or box.left + box.width > 1 or box.bottom < 0.01 or box.bottom > 0.95
    if outside or any(box.touches(other) for other in placed):
        return _FORBIDDEN
    return 8.0 * box.covers(obstacles)
