"""European seasonal cooling figures clause by clause: SEERon and SEER.

Clause numbers are those of EN 14825:2012, from memory.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.notices import Notice
from energymodel.ratings.bin_table import Bins, BinTable
from energymodel.ratings.europe.points import (
    CoolingDeclaration,
    DeclaredPoint,
    Degrade,
    PartLoadRules,
    bin_efficiency,
)
from energymodel.ratings.europe.tables import BALANCE_C, COOLING_DESIGN_C, ModeHours


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CoolingRating:
    """European seasonal cooling figures of a unit.

    Parameters
    ----------
    seer_on
        All cold over all electricity in active mode.
    seer
        Reference cooling demand over yearly electricity, all modes.
    demand_kwh
        QC = Pdesignc x H_CE, kWh/year.
    active_kwh, other_modes_kwh
        Electricity in active mode (QC / SEERon) and outside it, kWh/year.
    bins
        The season bin by bin.
    notices
        What is possible but doubtful in the test points.
    """

    seer_on: float
    seer: float
    demand_kwh: float
    active_kwh: float
    other_modes_kwh: float
    bins: BinTable
    notices: tuple[Notice, ...] = ()

    @property
    def annual_kwh(self) -> float:
        """Yearly electricity of the label, Q_CE = QC / SEER, kWh/year."""
        return self.active_kwh + self.other_modes_kwh


def rate_cooling(
    declaration: CoolingDeclaration, bins: Bins, hours: ModeHours, rules: PartLoadRules
) -> CoolingRating:
    """SEERon and SEER of a unit.

    Parameters
    ----------
    declaration
        Test points, taken as they are;
        :func:`energymodel.ratings.europe.seasonal.seer` checks them first.
    bins
        Cooling season.
    hours
        Hours by mode, h/year.
    rules
        Choices of the calculation; those of the warm end, the cold point and the shortfall
        concern heating only.

    Returns
    -------
    CoolingRating
        Without notices.

    Notes
    -----
    The whole load counts as delivered, also above 35 degC where it exceeds the design load.

    References
    ----------
    EN 14825:2012, clauses 6.1-6.4 (from memory).
    """
    load = [_load_w(float(t), declaration.design_load_w) for t in bins.outdoor_c]
    eer = [_eer_bin(float(t), declaration, rules) for t in bins.outdoor_c]
    demand_kwh = declaration.design_load_w * hours.active_h / 1000.0  # QC = Pdesignc H_CE
    on = _seer_on(bins.hours.tolist(), load, eer)
    other_kwh = declaration.modes.yearly_kwh(hours)
    return CoolingRating(
        seer_on=on,
        seer=demand_kwh / (demand_kwh / on + other_kwh),  # clauses 6.1-6.3
        demand_kwh=demand_kwh,
        active_kwh=demand_kwh / on,
        other_modes_kwh=other_kwh,
        bins=_table(bins, load, eer),
    )


def _seer_on(hours: Sequence[float], load: Sequence[float], eer: Sequence[float]) -> float:
    """Sum h Pc / sum h Pc / EERbin (clauses 6.1-6.3)."""
    cold = math.fsum(h * pc for h, pc in zip(hours, load, strict=True))
    electricity = math.fsum(h * pc / e for h, pc, e in zip(hours, load, eer, strict=True))
    return cold / electricity


def _load_w(outdoor_c: float, design_load_w: float) -> float:
    """Pc(Tj) = Pdesignc (Tj - 16) / (35 - 16), clause 6.4."""
    return design_load_w * max((outdoor_c - BALANCE_C) / (COOLING_DESIGN_C - BALANCE_C), 0.0)


def _eer_bin(outdoor_c: float, declaration: CoolingDeclaration, rules: PartLoadRules) -> float:
    points = sorted(declaration.points, key=lambda point: point.outdoor_c)
    control = declaration.control
    if rules.degrade is Degrade.IN_BINS:
        load = _load_w(outdoor_c, declaration.design_load_w)
        return bin_efficiency(load, _interpolated(outdoor_c, points), rules, control)
    degraded = [
        DeclaredPoint(
            outdoor_c=p.outdoor_c,
            capacity_w=p.capacity_w,
            cop=bin_efficiency(_load_w(p.outdoor_c, declaration.design_load_w), p, rules, control),
        )
        for p in points
    ]
    return _interpolated(outdoor_c, degraded).cop


def _interpolated(outdoor_c: float, points: Sequence[DeclaredPoint]) -> DeclaredPoint:
    """Linear between the nearest points; D below 20 degC, A above 35 degC (from memory)."""
    if outdoor_c <= points[0].outdoor_c:
        return points[0]
    for low, high in itertools.pairwise(points):
        if outdoor_c <= high.outdoor_c:
            share = (outdoor_c - low.outdoor_c) / (high.outdoor_c - low.outdoor_c)
            return DeclaredPoint(
                outdoor_c=outdoor_c,
                capacity_w=low.capacity_w + share * (high.capacity_w - low.capacity_w),
                cop=low.cop + share * (high.cop - low.cop),
            )
    return points[-1]


def _table(bins: Bins, load: Sequence[float], eer: Sequence[float]) -> BinTable:
    load_w = np.array(load)
    return BinTable(
        outdoor_c=bins.outdoor_c,
        hours=bins.hours,
        load_w=load_w,
        delivered_w=load_w,
        power_w=load_w / np.array(eer),
        backup_w=np.zeros_like(load_w),
    )
