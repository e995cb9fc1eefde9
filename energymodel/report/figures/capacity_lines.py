"""Load line and capacity band with their names beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.ticker import MaxNLocator

from energymodel.arrays import Array, Mask
from energymodel.equipment.curves import Function
from energymodel.report.figures.labels import Label, LabelSpace
from energymodel.report.figures.style import CONTEXT, COOLING, HEAT_PUMP, LABEL_PT, MINUS, TEXT
from energymodel.report.numbers import Display
from energymodel.study.comparison.capacity_curve import STEP_K, CapacityCurve

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BAND_COLOUR = {Function.HEATING: HEAT_PUMP, Function.COOLING: COOLING}
_BELOW = ((1, -1), (0, -1), (-1, -1), (1, 0), (-1, 0), (1, 1), (0, 1), (-1, 1))
_ABOVE = ((0, 1), (1, 1), (-1, 1), (0, -1), (1, -1), (-1, -1))
_SHARES = (0.35, 0.5, 0.25, 0.65, 0.15, 0.8)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnCurve:
    """A curve in the units of the reader.

    Parameters
    ----------
    curve
        In SI.
    cover
        Colour of what covers the rest of the load; empty: nothing does.
    x, load, lowest, full, delivered
        Arrays of the curve, degF and kBtu/h or degC and kW.
    """

    curve: CapacityCurve
    cover: str
    x: Array
    load: Array
    lowest: Array
    full: Array
    delivered: Array

    @property
    def modulates(self) -> bool:
        """Whether lowest and full output differ anywhere."""
        return bool(np.any(self.lowest < self.full * (1.0 - 1e-9)))

    def points(self, values: Array) -> list[tuple[float, float]]:
        """Points along one of the lines, beside which its name may stand.

        Parameters
        ----------
        values
            The line.

        Returns
        -------
        list of tuple
            In data units, the best first; only where the line is off the axis.
        """
        there = np.flatnonzero(values > 0.02 * self.full.max())
        chosen = [there[round(share * (there.size - 1))] for share in _SHARES if there.size]
        return [(float(self.x[i]), float(values[i])) for i in chosen]


def _drawn(curve: CapacityCurve, cover: str, show: Display) -> DrawnCurve:
    scale = show.heat_value(1.0)
    return DrawnCurve(
        curve=curve,
        cover=cover,
        x=np.array([show.temperature_value(float(t)) for t in curve.outdoor_c]),
        load=curve.load_w * scale,
        lowest=curve.lowest_w * scale,
        full=curve.full_w * scale,
        delivered=curve.delivered_w * scale,
    )


def draw_lines(axes: Axes, curves: Sequence[tuple[CapacityCurve, str]], show: Display) -> None:
    """Draw bands, load lines and shortages, and name them.

    Parameters
    ----------
    axes
        With limits set.
    curves
        Each with the colour of what covers the rest of its load; empty: nothing does.
    show
        Units of the reader.
    """
    axes.yaxis.set_major_locator(MaxNLocator(nbins=4, steps=[1, 2, 5, 10]))
    space = LabelSpace(axes=axes)
    drawn = [_drawn(curve, cover, show) for curve, cover in curves]
    for one in drawn:
        _draw(axes, one)
        for values in (one.full, one.lowest, one.load):
            space.avoid(one.x, values)
    named = [_name_shortage(space, one, inside=True) for one in drawn]
    for one in drawn:
        _avoid_shortage(space, one)
        _mark(axes, space, one, show)
    for one, done in zip(drawn, named, strict=True):
        if not done:
            _name_shortage(space, one, inside=False)
        _name_partly(space, one)
        _name_output(space, one)
    _name_rest(space, drawn[0])


def _part(values: Array, mask: Mask) -> Array:
    """Values at the mask and one step beyond it, so that the parts of a line meet."""
    wide = mask.copy()
    wide[1:] |= mask[:-1]
    return np.where(wide, values, np.nan)


def _draw(axes: Axes, one: DrawnCurve) -> None:
    colour = BAND_COLOUR[one.curve.function]
    beyond = one.curve.extrapolated
    axes.fill_between(one.x, one.lowest, one.full, color=colour, alpha=0.16, linewidth=0)
    for values, width in ((one.full, 1.8), (one.lowest, 0.9)):
        axes.plot(one.x, _part(values, ~beyond), color=colour, linewidth=width)
        axes.plot(one.x, _part(values, beyond), color=colour, linewidth=width, linestyle="--")
    axes.plot(one.x, one.load, color=CONTEXT, linewidth=2.4)
    axes.fill_between(
        one.x,
        one.delivered,
        one.load,
        where=one.curve.short.tolist(),
        facecolor=one.cover or "none",
        edgecolor="none" if one.cover else TEXT,
        alpha=0.5 if one.cover else 1.0,
        hatch=None if one.cover else "xxxx",
        linewidth=0.0,
    )
    axes.plot(
        [one.x[0 if one.load[0] == 0 else -1]],
        [0.0],
        marker="o",
        markersize=4.5,
        color=TEXT,
        clip_on=False,
        zorder=5,
    )


def _mark(axes: Axes, space: LabelSpace, one: DrawnCurve, show: Display) -> None:
    for at_c in one.curve.capacity_balances_c:
        x = show.temperature_value(at_c)
        y = float(np.interp(at_c, one.curve.outdoor_c, one.load))
        axes.plot([x], [y], marker="o", markersize=4.5, color=TEXT, clip_on=False, zorder=5)
        space.avoid(np.array([x]), np.array([y]))
        shown = show.temperature(at_c).replace("-", MINUS)
        space.place(
            Label(
                lines=balance_words(one.curve, at_c, shown),
                anchors=[(x, y)],
                sides=_BELOW,
                size_pt=LABEL_PT,
                colour=TEXT,
            )
        )


def balance_words(curve: CapacityCurve, at_c: float, shown: str) -> tuple[str, str]:
    """Name a point at which the unit begins or ceases to carry the load.

    Parameters
    ----------
    curve
        The curve.
    at_c
        One of its capacity balances, degC.
    shown
        The temperature as text.

    Returns
    -------
    tuple of str
        Two lines. Output that jumps past the load meets it nowhere: a control stops the unit.
    """
    near = np.abs(curve.outdoor_c - at_c) < 3.0 * STEP_K
    full_w, load_w = curve.full_w[near], curve.load_w[near]
    mild, extreme = (full_w[-1], full_w[0])
    if curve.function is Function.COOLING:
        mild, extreme = extreme, mild
    if max(mild, extreme) <= 1.1 * load_w.max():
        return "capacity balance", shown
    heats = curve.function is Function.HEATING
    if min(mild, extreme) <= 0:
        return f"stops {'below' if heats else 'above'}", shown
    return "runs freely", f"{'above' if heats else 'below'} {shown}"


def _name_output(space: LabelSpace, one: DrawnCurve) -> None:
    word = one.curve.function.value
    space.place(
        Label(
            lines=(f"{word}, full output" if one.modulates else f"{word} output",),
            anchors=one.points(one.full),
            sides=_ABOVE,
            size_pt=LABEL_PT,
            colour=TEXT,
        )
    )


def _name_rest(space: LabelSpace, one: DrawnCurve) -> None:
    """Name load and lowest output once; on the other side they look the same."""
    below = (*_ABOVE[3:], *_ABOVE[:3])
    names = [("load of the room", one.load, _ABOVE, CONTEXT)]
    if one.modulates:
        names.append(("lowest output", one.lowest, below, TEXT))
    for text, values, sides, colour in names:
        space.place(
            Label(
                lines=(text,),
                anchors=one.points(values),
                sides=sides,
                size_pt=LABEL_PT,
                colour=colour,
                optional=True,
            )
        )


def _avoid_shortage(space: LabelSpace, one: DrawnCurve) -> None:
    short = one.curve.short
    for share in np.linspace(0.1, 0.9, 9):
        inside = one.delivered + share * (one.load - one.delivered)
        space.avoid(one.x[short], inside[short])


def _name_shortage(space: LabelSpace, one: DrawnCurve, *, inside: bool) -> bool:
    """Name the area between output and load, inside it if the words fit there."""
    short = one.curve.short
    if not short.any():
        return True
    x, middle = one.x[short], 0.5 * (one.delivered + one.load)[short]
    words = "backup heat" if one.cover else "not covered"
    label = Label(
        lines=(words,),
        anchors=_spread(x, middle),
        sides=((0, 0),) if inside else (*_ABOVE, *_BELOW),
        size_pt=LABEL_PT,
        colour=TEXT,
        weight="bold",
        optional=inside,
    )
    return space.place(label) is not None


def _name_partly(space: LabelSpace, one: DrawnCurve) -> None:
    """Between cut-out and cut-in the output suffices, but only for half of the time."""
    partly = one.curve.short & (one.full > one.load)
    if partly.any():
        space.place(
            Label(
                lines=("runs half of", "the time"),
                anchors=_spread(one.x[partly], one.full[partly]),
                sides=(*_ABOVE, *_BELOW),
                size_pt=LABEL_PT,
                colour=TEXT,
            )
        )


def _spread(x: Array, y: Array) -> list[tuple[float, float]]:
    shares = np.array([0.5, 0.3, 0.7, 0.15, 0.85, 0.0, 1.0])
    chosen = (shares * (x.size - 1)).round().astype(int)
    return [(float(x[i]), float(y[i])) for i in chosen]
