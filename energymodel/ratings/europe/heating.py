"""European seasonal heating figures clause by clause: SCOPon, SCOPnet and SCOP.

Clause and equation numbers are those of EN 14825:2012, from memory; the 2018 edition numbers some
formulas anew. They stand beside each step where they are known.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.errors import EquipmentError
from energymodel.notices import Notice
from energymodel.ratings.bin_table import BinTable
from energymodel.ratings.europe.points import (
    DeclaredPoint,
    Degrade,
    HeatingDeclaration,
    PartLoadRules,
    Shortfall,
    WarmEnd,
    bin_efficiency,
)
from energymodel.ratings.europe.tables import BALANCE_C, Climate, HeatingSeason, ModeHours


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingRating:
    """European seasonal heating figures of a unit in one climate.

    Parameters
    ----------
    climate
        Reference climate.
    scop_on
        All heat over all electricity in active mode, electric backup included.
    scop_net
        Heat of the heat pump over its electricity; nan if it never runs.
    scop
        Reference heat demand over yearly electricity, all modes.
    demand_kwh
        QH = Pdesignh x H_HE, kWh/year.
    active_kwh, other_modes_kwh
        Electricity in active mode (QH / SCOPon) and outside it, kWh/year.
    bins
        The season bin by bin.
    notices
        What is possible but doubtful in the test points.
    """

    climate: Climate
    scop_on: float
    scop_net: float
    scop: float
    demand_kwh: float
    active_kwh: float
    other_modes_kwh: float
    bins: BinTable
    notices: tuple[Notice, ...] = ()

    @property
    def annual_kwh(self) -> float:
        """Yearly electricity of the label, Q_HE = QH / SCOP, kWh/year."""
        return self.active_kwh + self.other_modes_kwh


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bin:
    outdoor_c: float
    hours: float
    load_w: float
    backup_w: float
    cop_bin: float


def rate_heating(
    declaration: HeatingDeclaration,
    season: HeatingSeason,
    hours: ModeHours,
    rules: PartLoadRules,
) -> HeatingRating:
    """SCOPon, SCOPnet and SCOP of a unit.

    Parameters
    ----------
    declaration
        Test points, taken as they are;
        :func:`energymodel.ratings.europe.seasonal.scop` checks them first.
    season
        Reference heating season, or any bins with a design temperature.
    hours
        Hours by mode, h/year.
    rules
        Choices of the calculation.

    Returns
    -------
    HeatingRating
        Without notices.

    Notes
    -----
    SCOPon weighs by bin hours while the other modes are set against QH; in the average climate
    of an air conditioner (1400 h against 2066 h) they weigh 1.48 times more than the bins imply.

    References
    ----------
    EN 14825:2012, clauses 7.2 and 7.4.2, equations 9 and 10 (from memory); Regulation (EU)
    811/2013 Annex VII(4) for QH and SCOP.
    """
    rows = [
        _bin(float(outdoor_c), float(h), declaration, season, rules)
        for outdoor_c, h in zip(season.bins.outdoor_c, season.bins.hours, strict=True)
    ]
    on = _scop_on(rows)
    demand_kwh = declaration.design_load_w * hours.active_h / 1000.0  # Reg. 811/2013 Annex VII(4)
    active_kwh = demand_kwh / on
    other_kwh = declaration.modes.yearly_kwh(hours)
    return HeatingRating(
        climate=season.climate,
        scop_on=on,
        scop_net=_scop_net(rows),
        scop=demand_kwh / (active_kwh + other_kwh),  # QH / QHE, same place
        demand_kwh=demand_kwh,
        active_kwh=active_kwh,
        other_modes_kwh=other_kwh,
        bins=_table(rows),
    )


def _scop_on(rows: Sequence[_Bin]) -> float:
    """Sum h Ph / sum h [(Ph - elbu) / COPbin + elbu] (2012: Eq. 9; 2018: formula 19)."""
    heat = math.fsum(r.hours * r.load_w for r in rows)
    electricity = math.fsum(r.hours * (_unit_power_w(r) + r.backup_w) for r in rows)
    return heat / electricity


def _scop_net(rows: Sequence[_Bin]) -> float:
    """Sum h (Ph - elbu) / sum h (Ph - elbu) / COPbin (2012: Eq. 10); nan if it never runs."""
    heat = math.fsum(r.hours * (r.load_w - r.backup_w) for r in rows)
    electricity = math.fsum(r.hours * _unit_power_w(r) for r in rows)
    return heat / electricity if electricity > 0 else math.nan


def _unit_power_w(row: _Bin) -> float:
    heat = row.load_w - row.backup_w
    return heat / row.cop_bin if heat > 0 else 0.0


def _bin(
    outdoor_c: float,
    hours: float,
    declaration: HeatingDeclaration,
    season: HeatingSeason,
    rules: PartLoadRules,
) -> _Bin:
    ratio = (outdoor_c - BALANCE_C) / (season.design_c - BALANCE_C)  # pl(Tj), clause 7.2
    load = declaration.design_load_w * max(ratio, 0.0)  # Ph(Tj)
    if outdoor_c < declaration.limit_c:  # below TOL the heat pump is off, elbu = Ph
        return _Bin(outdoor_c=outdoor_c, hours=hours, load_w=load, backup_w=load, cop_bin=math.nan)
    points = sorted(declaration.points, key=lambda point: point.outdoor_c)
    declared = _interpolated(outdoor_c, points, rules.warm_end)
    if rules.degrade is Degrade.IN_BINS:
        cop_bin = bin_efficiency(load, declared, rules, declaration.control)
    else:
        degraded = [_degraded(p, declaration, season, rules) for p in points]
        cop_bin = _interpolated(outdoor_c, degraded, rules.warm_end).cop
    short = min(load, max(0.0, load - declared.capacity_w))  # elbu(Tj), Eq. 9
    if rules.shortfall is Shortfall.BELOW_BIVALENT and outdoor_c >= declaration.bivalent_c:
        short = 0.0
    if load > short and not cop_bin > 0.0:
        raise EquipmentError(
            f"COPbin falls to {cop_bin:.2f} at {outdoor_c:g} degC, outside the test points",
            remedy="check points C and D, or hold the value of the warmest point",
        )
    return _Bin(outdoor_c=outdoor_c, hours=hours, load_w=load, backup_w=short, cop_bin=cop_bin)


def _degraded(
    point: DeclaredPoint,
    declaration: HeatingDeclaration,
    season: HeatingSeason,
    rules: PartLoadRules,
) -> DeclaredPoint:
    ratio = (point.outdoor_c - BALANCE_C) / (season.design_c - BALANCE_C)
    load = declaration.design_load_w * max(ratio, 0.0)
    cop_bin = bin_efficiency(load, point, rules, declaration.control)  # clause 7.4.2
    return DeclaredPoint(outdoor_c=point.outdoor_c, capacity_w=point.capacity_w, cop=cop_bin)


def _interpolated(
    outdoor_c: float, points: Sequence[DeclaredPoint], warm_end: WarmEnd
) -> DeclaredPoint:
    """Capacity and COP in a bin, linear between the two nearest points (from memory)."""
    if len(points) == 1 or (outdoor_c > points[-1].outdoor_c and warm_end is WarmEnd.HELD):
        return points[-1]
    upper = next(
        (i for i in range(1, len(points)) if outdoor_c <= points[i].outdoor_c), len(points) - 1
    )
    low, high = points[upper - 1], points[upper]
    share = (outdoor_c - low.outdoor_c) / (high.outdoor_c - low.outdoor_c)
    return DeclaredPoint(
        outdoor_c=outdoor_c,
        capacity_w=low.capacity_w + share * (high.capacity_w - low.capacity_w),
        cop=low.cop + share * (high.cop - low.cop),
    )


def _table(rows: Sequence[_Bin]) -> BinTable:
    load = np.array([row.load_w for row in rows])
    backup = np.array([row.backup_w for row in rows])
    return BinTable(
        outdoor_c=np.array([row.outdoor_c for row in rows]),
        hours=np.array([row.hours for row in rows]),
        load_w=load,
        delivered_w=load - backup,
        power_w=np.array([_unit_power_w(row) for row in rows]),
        backup_w=backup,
    )
