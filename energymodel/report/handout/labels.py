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
_GAPS = (0.045, 0.024, 0.1)
"""Between a name and its line, as shares of the plot's height: the usual one, where it is
narrow, and where the line is steep."""
_CLEAR = (0.006, 0.02)
"""Room that a name leaves beside and above itself to what is drawn, as shares."""
_STARTS = ((0.5, 0.0), (0.0, 0.0), (1.0, 0.0), (0.0, 0.02), (1.0, -0.02))
"""Share of a name that lies left of its point, and what it is moved by then."""
_APART = 0.01
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
        """Count the points behind the name, or so near that they crowd it.

        Parameters
        ----------
        points
            Shares of the plot, shape (points, 2).

        Returns
        -------
        int
            How many.
        """
        (beside, above), x, y = _CLEAR, points[:, 0] - self.left, points[:, 1] - self.bottom
        inside = (x > -beside) & (x < self.width + beside) & (y > -above) & (y < _LINE + above)
        return int(inside.sum())

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
    inside
        Whether the line is the middle of an area, in which the name stands.
    """

    text: str
    points: Array
    where: Mask
    inside: bool = False


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
    """Take points at equal distances along a line, so that a steep one counts as a flat one."""
    if len(line) < 2:
        return line
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0.0, along[-1], int(along[-1] / _APART) + 2)
    return np.column_stack([np.interp(at, along, line[:, axis]) for axis in (0, 1)])


def _choices(name: Named) -> Iterator[tuple[float, Placed]]:
    allowed = np.flatnonzero(name.where)
    if not allowed.size:
        return
    width = _LETTER * len(name.text)
    for rank, share in enumerate(_SHARES):
        x, y = name.points[allowed[round(share * (allowed.size - 1))]]
        bottoms = [place for gap in _GAPS for place in (y + gap, y - gap - _LINE)]
        for side, bottom in enumerate([y - _LINE / 2.0] * name.inside + bottoms):
            for shift, (start, beside) in enumerate(_STARTS):
                left = x - start * width + beside
                box = Placed(text=name.text, left=left, bottom=bottom, width=width)
                yield rank + 3.0 * side + 0.6 * shift, box


def _cost(box: Placed, obstacles: Array, placed: Sequence[Placed]) -> float:
    outside = box.left < 0 or box.left + box.width > 1 or box.bottom < 0.01 or box.bottom > 0.95
    if outside or any(box.touches(other) for other in placed):
        return _FORBIDDEN
    return 8.0 * box.covers(obstacles)
