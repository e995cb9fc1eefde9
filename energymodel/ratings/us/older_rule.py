"""Older rule for variable speed as a curve on the rating's own load line.

The quadratic is not a property of the machine but of machine and load line together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.equipment.curves import Curve
from energymodel.ratings.conditions import ImpossiblePointError
from energymodel.ratings.load_line_curve import LoadLineCurve
from energymodel.ratings.us.kernel import RatingSeason


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _OnTheLine:
    """A variable-speed unit along one load line, by the older quadratic rule."""

    season: RatingSeason
    centre_c: float
    coefficients: Array

    def _speeds(self, outdoor_c: Array) -> tuple[Array, Array, Array, Array]:
        capacity, power = self.season.performance.raw(outdoor_c)
        load = self.season.load.load_w(outdoor_c)
        return capacity, power, load <= capacity[0], load >= capacity[-1]

    def capacity_w(self, outdoor_c: Array) -> Array:
        capacity, _, low, full = self._speeds(outdoor_c)
        load = self.season.load.load_w(outdoor_c)
        return np.where(full, capacity[-1], np.where(low, capacity[0], load))

    def cop(self, outdoor_c: Array) -> Array:
        capacity, power, low, full = self._speeds(outdoor_c)
        mixed = np.polynomial.polynomial.polyval(outdoor_c - self.centre_c, self.coefficients)
        mixed = np.where(low, capacity[0] / power[0], mixed)
        return np.where(full, capacity[-1] / power[-1], mixed)

    def share(self, outdoor_c: Array) -> Array:
        part, full = self.season.shares(outdoor_c)
        return np.where(self._speeds(outdoor_c)[3], full, part)


def older_rule(season: RatingSeason) -> LoadLineCurve:
    """Older rule for variable speed as a curve on the procedure's own load line.

    Parameters
    ----------
    season
        Season of a variable-speed unit.

    Returns
    -------
    LoadLineCurve
        COP quadratic in temperature through the three crossings; valid on this line only.

    Raises
    ------
    ImpossiblePointError
        If a speed never meets the load line.

    References
    ----------
    10 CFR 430 Subpart B, Appendix M, sections 4.1.4.2 and 4.2.4.2 (from memory).
    """
    season.check_order()
    speeds = season.performance.speeds
    places = np.array([_crossing(season.load, speed.capacity_w) for speed in speeds])
    cops = np.array(
        [
            float(speed.capacity_w(at)[0] / speed.power_w(at)[0])
            for speed, at in zip(speeds, places[:, np.newaxis], strict=True)
        ]
    )
    centre = float(places[1])
    vandermonde = np.vander(places - centre, 3, increasing=True)
    line = _OnTheLine(
        season=season, centre_c=centre, coefficients=np.linalg.solve(vandermonde, cops)
    )
    return LoadLineCurve(
        function=season.performance.function,
        load_w=season.load.load_w,
        capacity_w=line.capacity_w,
        cop=line.cop,
        cycling=season.performance.cycling[0],
        share=line.share,
    )


def _crossing(load: LoadLine, capacity_w: Curve) -> float:
    """Coldest temperature with a load at which a capacity equals it, to rounding, degC."""
    grid = np.arange(-250.0, 250.0) + 0.137
    over = capacity_w(grid) - load.load_w(grid)
    for index in np.flatnonzero((over[:-1] > 0) != (over[1:] > 0)):
        place = _bisected(load, capacity_w, grid[index : index + 2], over[index] > 0)
        around = place + np.array([-1e-7, 1e-7])
        jump = np.ptp(capacity_w(around) - load.load_w(around))
        if load.load_w(np.array([place]))[0] > 0 and jump < 1e-4 * np.abs(over).max():
            return place
    raise ImpossiblePointError(
        "the capacity of a speed never equals the load of the rating",
        remedy="the older rule for variable speed cannot rate this unit",
    )


def _bisected(load: LoadLine, capacity_w: Curve, ends: Array, above: np.bool_) -> float:
    left, right = float(ends[0]), float(ends[1])
    for _ in range(60):
        middle = np.array([0.5 * (left + right)])
        if (capacity_w(middle)[0] > load.load_w(middle)[0]) == above:
            left = float(middle[0])
        else:
            right = float(middle[0])
    return 0.5 * (left + right)
