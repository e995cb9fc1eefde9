"""Names inside convex areas of a chart, clear of the edges, of each other and of marked points."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.patheffects import withStroke

from energymodel.arrays import Array, Mask
from energymodel.report.figures.panel import line_height_in, text_width_in, wrapped
from energymodel.report.figures.style import LABEL_PT, TEXT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_WIDTHS_IN = (2.2, 1.7, 1.35, 1.05, 0.85)
_FREE_IN = 0.14
_CLEAR_IN = 0.05
_PLACES = 33


def in_inches(axes: Axes, points: Array) -> Array:
    """Place of data points.

    Parameters
    ----------
    axes
        Linear axes from zero.
    points
        Data units, shape (points, 2).

    Returns
    -------
    Array
        Inches from the lower left corner, same shape.
    """
    figure = axes.get_figure(root=True)
    size = figure.get_size_inches() if figure is not None else np.ones(2)
    place = axes.get_position()
    scale = np.array([place.width, place.height]) * size
    ends = np.array([axes.get_xlim()[1], axes.get_ylim()[1]])
    return np.asarray(points / ends * scale, dtype=np.float64)


def name_areas(axes: Axes, areas: Mapping[str, Array], kept_free_in: Array) -> None:
    """Write each name into its area; a name that does not fit stands beside it, with a line.

    Parameters
    ----------
    axes
        Linear axes from zero; limits and place must not change afterwards.
    areas
        Corners of convex areas by name, data units, shape (corners, 2).
    kept_free_in
        Points that no name may cover, inches, shape (points, 2).
    """
    shapes = {name: in_inches(axes, corners) for name, corners in areas.items()}
    taken = [(point, np.full(2, _FREE_IN / 2.0)) for point in kept_free_in]
    narrow: list[str] = []
    for name, shape in shapes.items():
        found = _place(name, [shape], taken, shape.mean(axis=0))
        if found is None:
            narrow.append(name)
            continue
        taken.append((found[0], _half_size(found[1])))
        _write(axes, *found)
    for name in narrow:
        middle = shapes[name].mean(axis=0)
        others = [shape for other, shape in shapes.items() if other != name]
        found = _place(name, others, taken, middle)
        if found is not None:
            taken.append((found[0], _half_size(found[1])))
            _point_at(axes, middle, found[0])
            _write(axes, *found)


Taken = Sequence[tuple[Array, Array]]


def _place(
    name: str, shapes: Sequence[Array], taken: Taken, target: Array
) -> tuple[Array, list[str]] | None:
    """Find the widest wrapping of a name that lies inside one of the shapes, near a target."""
    corners = np.vstack(shapes)
    low, high = corners.min(axis=0), corners.max(axis=0)
    steps = np.linspace(0.02, 0.98, _PLACES)
    across, up = (low + (high - low) * steps[:, None]).T
    grid = np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)
    grid = grid[np.argsort(((grid - target) ** 2).sum(axis=1), kind="stable")]
    for width_in in _WIDTHS_IN:
        lines = wrapped(name, width_in, LABEL_PT, most_lines=6)
        if any(line.endswith("…") for line in lines):
            continue
        half = _half_size(lines)
        fits = np.any([_holds(shape, grid, half) for shape in shapes], axis=0)
        for middle, size in taken:
            fits &= ~(np.abs(grid - middle) < half + size).all(axis=1)
        if fits.any():
            return grid[int(np.argmax(fits))], lines
    return None


def _holds(corners: Array, middles: Array, half: Array) -> Mask:
    signs = ((1, 1), (1, -1), (-1, 1), (-1, -1))
    all_four = [inside(corners, middles + half * np.array(sign)) for sign in signs]
    return np.asarray(np.all(all_four, axis=0))


def _half_size(lines: Sequence[str]) -> Array:
    wide_in = max(text_width_in(line, LABEL_PT) for line in lines)
    return np.array([wide_in, len(lines) * line_height_in(LABEL_PT)]) / 2.0 + _CLEAR_IN


def inside(corners: Array, points: Array) -> Mask:
    """Tell which points lie inside a convex area, its rim included.

    Parameters
    ----------
    corners
        Of the area in turn, shape (corners, 2).
    points
        Shape (points, 2).

    Returns
    -------
    Mask
        Shape (points,).
    """
    step = np.roll(corners, -1, axis=0) - corners
    away = points[:, None, :] - corners
    side = step[:, 0] * away[:, :, 1] - step[:, 1] * away[:, :, 0]
    room = 1e-9 * max(float(np.abs(side).max()), 1e-300)
    return np.asarray((side >= -room).all(axis=1) | (side <= room).all(axis=1))


def _write(axes: Axes, middle_in: Array, lines: Sequence[str]) -> None:
    across, up = (float(value) for value in middle_in / _inches_of_axes(axes))
    text = axes.text(
        across,
        up,
        "\n".join(lines),
        transform=axes.transAxes,
        fontsize=LABEL_PT,
        ha="center",
        va="center",
        linespacing=1.2,
    )
    text.set_path_effects([withStroke(linewidth=3.0, foreground="white")])


def _inches_of_axes(axes: Axes) -> Array:
    return in_inches(axes, np.array([axes.get_xlim()[1], axes.get_ylim()[1]]))


def _point_at(axes: Axes, area_in: Array, label_in: Array) -> None:
    size = _inches_of_axes(axes)
    (x0, y0), (x1, y1) = (point / size for point in (label_in, area_in))
    axes.plot(
        [x0, x1],
        [y0, y1],
        transform=axes.transAxes,
        color=TEXT,
        linewidth=0.7,
        solid_capstyle="butt",
    )
