"""Curves that keep the raw lines of the US procedures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import Curve


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BrokenLine:
    """Straight lines side by side, each from its own edge up; they may jump at an edge.

    Parameters
    ----------
    edges_c
        Temperatures from which the second, third, ... line holds, degC, rising.
    anchor_c, anchor_value, slope_per_k
        Each line through a point with a slope; one more than edges.

    Examples
    --------
    >>> jump = BrokenLine(
    ...     edges_c=np.array([0.0]),
    ...     anchor_c=np.array([0.0, 0.0]),
    ...     anchor_value=np.array([1.0, 5.0]),
    ...     slope_per_k=np.array([0.0, 1.0]),
    ... )
    >>> jump(np.array([-1.0, 0.0, 1.0])).tolist()
    [1.0, 5.0, 6.0]
    """

    edges_c: Array
    anchor_c: Array
    anchor_value: Array
    slope_per_k: Array

    def __call__(self, outdoor_c: Array) -> Array:
        """Evaluate at outdoor temperatures, degC; same shape."""
        piece = np.searchsorted(self.edges_c, outdoor_c, side="right")
        away: Array = outdoor_c - self.anchor_c[piece]
        return self.anchor_value[piece] + self.slope_per_k[piece] * away


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FanBlend:
    """A curve between minimum and full air volume, by the fan power at each temperature.

    Parameters
    ----------
    least, full
        Curves at minimum and at full air volume.
    share_c, share
        Fan power above its minimum over its range, 0..1, against outdoor temperature, degC.
    """

    least: Curve
    full: Curve
    share_c: Array
    share: Array

    def __call__(self, outdoor_c: Array) -> Array:
        """Evaluate at outdoor temperatures, degC; same shape."""
        share = np.interp(outdoor_c, self.share_c, self.share)
        return (1.0 - share) * self.least(outdoor_c) + share * self.full(outdoor_c)
