"""A rating season run by the kernel: raw lines of the map, shared `Operation`, backup at COP 1."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array, Mask
from energymodel.building.load import LoadLine
from energymodel.equipment.curves import PerformanceMap
from energymodel.equipment.kernel import Stack, respond
from energymodel.equipment.operation import Operation
from energymodel.ratings.bin_table import Bins, BinTable
from energymodel.ratings.conditions import ImpossiblePointError
from energymodel.ratings.load_line_curve import bin_table
from energymodel.ratings.us.points import TOUCHING
from energymodel.units import f_from_c


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatingSeason:
    """Everything a rating asks of the kernel.

    Parameters
    ----------
    performance
        Map of the unit, W by the edition's Btu per Wh, so that resistance heat has COP 1.
    load
        The procedure's load line.
    bins
        Its bins; hours are fractions of a season.
    operation
        Controls, with the procedure's stops at COP below 1.
    """

    performance: PerformanceMap
    load: LoadLine
    bins: Bins
    operation: Operation

    def run(self) -> BinTable:
        """Run the season through the kernel.

        Returns
        -------
        BinTable
            W in each bin; `cop_system` times the edition's Btu per Wh is the rating.

        Raises
        ------
        ImpossiblePointError
            If lines of the map cross where the load needs them.
        """
        outdoor_c = self.bins.outdoor_c
        load_w = self.load.load_w(outdoor_c)
        capacity, power = self.performance.raw(outdoor_c)
        allowed = self.operation.speeds_allowed(outdoor_c, len(capacity))
        self.check_order()
        if len(capacity) > 1:
            _refuse(outdoor_c, _uncovered(load_w, capacity, power, allowed[0]))
        stack = Stack(
            capacity_w=capacity,
            power_w=power,
            available=allowed & _in_order(capacity),
            staging=self.performance.staging,
            cycling=self.performance.cycling,
        )
        part, full = self.shares(outdoor_c)
        answer = respond(stack, load_w, part_share=part, full_share=full)
        return bin_table(self.bins, load_w, answer, self.performance.function)

    def check_order(self) -> None:
        """Refuse bins in which the lowest and the highest speed have crossed.

        Raises
        ------
        ImpossiblePointError
            If that matters at the load of a bin.
        """
        outdoor_c = self.bins.outdoor_c
        load_w = self.load.load_w(outdoor_c)
        capacity, power = self.performance.raw(outdoor_c)
        allowed = self.operation.speeds_allowed(outdoor_c, len(capacity))
        bad: Mask = (capacity[-1] > 0) & (power[-1] <= 0)
        if len(capacity) > 1:
            part = allowed[0] & (load_w < np.maximum(capacity[0], capacity[-1]))
            bad |= part & (capacity[0] > capacity[-1] + TOUCHING * np.abs(capacity[-1]))
            bad |= part & (load_w <= capacity[0]) & (power[0] <= 0)
        _refuse(outdoor_c, bad & (load_w > 0))

    def shares(self, outdoor_c: Array) -> tuple[Array, Array]:
        """Shares of the time in which the controls let the unit run.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        part_share, full_share : Array
            For loads below and at the full capacity.
        """
        capacity, power = self.performance.raw(outdoor_c)
        share = self.operation.temperature_share(outdoor_c)
        return self.operation.shares(share, capacity[-1] < power[-1])


def _in_order(capacity: Array) -> Mask:
    """Speeds with a capacity, not above full speed and not below the speed under them."""
    touch = TOUCHING * np.abs(capacity[-1])
    ordered: Mask = (capacity > 0) & (capacity <= capacity[-1] + touch)
    ordered[1:-1] &= capacity[1:-1] >= capacity[:-2] - touch
    return ordered


def _uncovered(load_w: Array, capacity: Array, power: Array, low_permitted: Mask) -> Mask:
    """Bins whose answer lies between two speeds of which one has no sound line there."""
    low, upper, top = capacity[0], capacity[1], capacity[-1]
    inside: Mask = low_permitted & (load_w > np.maximum(low, 0.0)) & (load_w < top)
    touch = TOUCHING * top
    bad: Mask = (load_w < upper) & ((low <= touch) | (power[0] <= 0))
    bad |= (upper < low - touch) | (upper > top + touch) | (upper <= touch) | (power[1] <= 0)
    inside &= bad
    return inside


def _refuse(outdoor_c: Array, bad: Mask) -> None:
    if not np.any(bad):
        return
    raise ImpossiblePointError(
        "the lines of two speeds cross, or one has sunk below zero, where the load needs them",
        where=f"{f_from_c(float(outdoor_c[bad][0])):.0f} F bin",
        remedy="check the tests of the speeds against each other",
    )
