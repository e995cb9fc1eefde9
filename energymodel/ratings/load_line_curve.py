"""What a rating standard knows of a unit: its output and COP along one load line.

The test points of some standards are taken at the load of the standard's own line. They say what
the unit does on that line and nothing about other loads; a curve of this kind answers the kernel
only under the line it was made for. For a site a speed map is needed instead.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import Curve, Function
from energymodel.equipment.kernel import (
    PartLoadFactor,
    Response,
    Stack,
    modulating,
    no_cycling_loss,
    respond,
)
from energymodel.errors import EquipmentError
from energymodel.ratings.bin_table import Bins, BinTable


def always(outdoor_c: Array) -> Array:
    """Share of the time that a unit without temperature limits may run: 1.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature, degC.

    Returns
    -------
    Array
        Ones, same shape.
    """
    return np.ones_like(outdoor_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunsFrom:
    """Share of the time that a unit may run which stops below a temperature.

    Parameters
    ----------
    limit_c
        Operation limit temperature, degC; the unit still runs at the limit itself.
    """

    limit_c: float

    def __call__(self, outdoor_c: Array) -> Array:
        """Share of the time at each outdoor temperature, 0 or 1."""
        return np.where(outdoor_c >= self.limit_c, 1.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoadLineCurve:
    """Output and COP of a unit against outdoor temperature, valid on one load line only.

    Parameters
    ----------
    function
        Heating or cooling. In heating, electric backup at COP 1 covers what the unit lacks.
    load_w
        The load line, W against outdoor degC, >= 0.
    capacity_w
        Output while it runs on that line, W: above the load it cycles, below the load it is
        short. Zero or less: it does not run.
    cop
        COP (EER) while it runs at `capacity_w` on that line.
    cycling
        Part-load factor when the output exceeds the load; none if `cop` already contains it.
    share
        Share of the time in which the controls let it run, in {0, 1/2, 1}.

    References
    ----------
    EN 14825 and ISO 16358 take their points on the standard's own load line (quoted).
    """

    function: Function
    load_w: Curve
    capacity_w: Curve
    cop: Curve
    cycling: PartLoadFactor = no_cycling_loss
    share: Curve = always

    def respond(self, outdoor_c: Array) -> Response:
        """Answer the standard's own load at each temperature through the kernel.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        Response
            Same shape.

        Raises
        ------
        EquipmentError
            If the COP is not above zero where the unit should run.
        """
        share = self.share(outdoor_c)
        capacity = self.capacity_w(outdoor_c)
        cop = self.cop(outdoor_c)
        runs = (share > 0) & (capacity > 0)
        if np.any(runs & ~(cop > 0)):
            coldest = float(outdoor_c[runs & ~(cop > 0)][0])
            raise EquipmentError(
                f"the COP on the load line is not above zero at {coldest:g} degC",
                remedy="check the test points next to this temperature",
            )
        stack = Stack(
            capacity_w=capacity[np.newaxis],
            power_w=np.divide(capacity, cop, out=np.zeros_like(capacity), where=runs)[np.newaxis],
            available=runs[np.newaxis],
            staging=modulating,
            cycling=(self.cycling,),
        )
        return respond(stack, self.load_w(outdoor_c), part_share=share, full_share=share)

    def on_bins(self, bins: Bins) -> BinTable:
        """Run the curve through a season.

        Parameters
        ----------
        bins
            The standard's bins.

        Returns
        -------
        BinTable
            What the unit and, in heating, the electric backup do in each bin.
        """
        load = self.load_w(bins.outdoor_c)
        return bin_table(bins, load, self.respond(bins.outdoor_c), self.function)


def bin_table(bins: Bins, load_w: Array, answer: Response, function: Function) -> BinTable:
    """Lay a kernel answer on the bins of a season.

    Parameters
    ----------
    bins
        Temperatures and hours.
    load_w
        Load of each bin, W.
    answer
        Kernel answer at the bins.
    function
        In heating, electric backup at COP 1 covers the rest; in cooling the rest is unmet.

    Returns
    -------
    BinTable
        One row per bin.
    """
    short = load_w - answer.delivered_w
    backup = short if function is Function.HEATING else np.zeros_like(short)
    return BinTable(
        outdoor_c=bins.outdoor_c,
        hours=bins.hours,
        load_w=load_w,
        delivered_w=answer.delivered_w,
        power_w=answer.power_w,
        backup_w=backup,
    )
