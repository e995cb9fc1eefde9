"""International seasonal cooling figure of ISO 16358-1: CSPF, clause by clause.

All formulas, default factors and bin hours are recalled (from memory). Fixed-speed and variable
units are covered. Left out: two-stage and multi-stage units, whose rule between the stages is not
known here; the hot-climate path of Amendment 1:2019 (Annex F, 46 degC point), whose bins are not
known here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from energymodel.datafiles import read_table
from energymodel.equipment.curves import Function
from energymodel.errors import EquipmentError
from energymodel.ratings.bin_table import Bins, BinTable
from energymodel.ratings.second_law import check_efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class IsoStage:
    """Full, half or minimum output of a unit at the two test temperatures.

    Parameters
    ----------
    capacity_w, power_w
        Capacity and power at 35 degC, W.
    capacity_29_w, power_29_w
        The same at 29 degC; None: default factors on the 35 degC values.
    """

    capacity_w: float
    power_w: float
    capacity_29_w: float | None = None
    power_29_w: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class IsoCoolingUnit:
    """Test points of a unit.

    Parameters
    ----------
    full
        Full output; alone: a fixed-speed unit.
    half
        Half output of a variable unit.
    minimum
        Minimum output of a variable unit; needs `half` too.
    cd
        Degradation coefficient of cycling; 0.25 without a test.

    Raises
    ------
    EquipmentError
        If a stage is missing or impossible, named.
    """

    full: IsoStage
    half: IsoStage | None = None
    minimum: IsoStage | None = None
    cd: float = 0.25

    def __post_init__(self) -> None:
        if self.minimum is not None and self.half is None:
            raise EquipmentError(
                "the half output is missing", expected="half output beside the minimum output"
            )
        if not 0.0 <= self.cd < 1.0:
            raise EquipmentError(f"degradation coefficient {self.cd:g}", expected="0 to below 1")
        for name, stage in self.stages():
            _check_stage(name, stage)
        for (low, small), (high, large) in pairwise(self.stages()):
            if small.capacity_w >= large.capacity_w or small.power_w >= large.power_w:
                raise EquipmentError(
                    f"the {low} output at 35 degC is not below the {high} output in capacity "
                    "and power"
                )

    def stages(self) -> list[tuple[str, IsoStage]]:
        """Return the tested stages by name, smallest first."""
        named = (("minimum", self.minimum), ("half", self.half), ("full", self.full))
        return [(name, stage) for name, stage in named if stage is not None]


@dataclass(frozen=True, slots=True, kw_only=True)
class IsoCoolingRules:
    """Constants of ISO 16358-1, from memory.

    Parameters
    ----------
    zero_load_c, full_load_c
        Outdoor temperatures without load and with the full capacity as load, degC.
    capacity_factor_29, power_factor_29
        Default of the 29 degC values over the 35 degC values, every stage.
    """

    zero_load_c: float = 20.0
    full_load_c: float = 35.0
    capacity_factor_29: float = 1.077
    power_factor_29: float = 0.914


@dataclass(frozen=True, slots=True, kw_only=True)
class StageLine:
    """Capacity and power of one stage, linear in outdoor temperature.

    Parameters
    ----------
    capacity_35_w, capacity_29_w, power_35_w, power_29_w
        Values at 35 and 29 degC, W.
    """

    capacity_35_w: float
    capacity_29_w: float
    power_35_w: float
    power_29_w: float

    def capacity_w(self, outdoor_c: float) -> float:
        """Capacity phi(t) = phi(35) + [phi(29) - phi(35)] (35 - t) / 6.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        float
            W.
        """
        return self.capacity_35_w + (self.capacity_29_w - self.capacity_35_w) * (
            35.0 - outdoor_c
        ) / (35.0 - 29.0)

    def power_w(self, outdoor_c: float) -> float:
        """Power P(t) = P(35) + [P(29) - P(35)] (35 - t) / 6.

        Parameters
        ----------
        outdoor_c
            Outdoor temperature, degC.

        Returns
        -------
        float
            W.
        """
        return self.power_35_w + (self.power_29_w - self.power_35_w) * (35.0 - outdoor_c) / (
            35.0 - 29.0
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Where the load line meets the capacity line of a stage.

    Parameters
    ----------
    stage
        "minimum", "half" or "full".
    outdoor_c
        Outdoor temperature, degC.
    eer
        Capacity over power of the stage there, W/W.
    """

    stage: str
    outdoor_c: float
    eer: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class IsoCoolingRating:
    """CSPF of a unit.

    Parameters
    ----------
    cspf
        Seasonal load removed over seasonal energy, Wh/Wh.
    removed_kwh, energy_kwh
        L_CST and C_CSE, kWh.
    crossings
        Where the load line meets the stages, smallest stage first.
    bins
        The season bin by bin.
    """

    cspf: float
    removed_kwh: float
    energy_kwh: float
    crossings: tuple[Crossing, ...]
    bins: BinTable

    def total_cspf(self, inactive_kwh: float) -> float:
        """TCSPF: the same with the energy of inactive modes.

        Parameters
        ----------
        inactive_kwh
            Electricity while inactive, disconnected modes excluded, kWh.

        Returns
        -------
        float
            L_CST / (C_CSE + inactive energy).
        """
        return self.removed_kwh / (self.energy_kwh + inactive_kwh)


def reference_cooling_bins() -> Bins:
    """Return the reference outdoor bins of ISO 16358-1.

    Returns
    -------
    Bins
        21 to 35 degC, 1817 h (from memory).
    """
    rows = read_table("ratings", "iso_cooling_bins.csv")
    return Bins(
        outdoor_c=np.array([float(row["outdoor_c"]) for row in rows]),
        hours=np.array([float(row["hours_h"]) for row in rows]),
    )


def stage_line(stage: IsoStage, rules: IsoCoolingRules) -> StageLine:
    """Capacity and power lines of a stage.

    Parameters
    ----------
    stage
        Test points.
    rules
        Default factors for what was not tested at 29 degC.

    Returns
    -------
    StageLine
        Linear through 35 and 29 degC.
    """
    capacity = stage.capacity_29_w
    power = stage.power_29_w
    return StageLine(
        capacity_35_w=stage.capacity_w,
        capacity_29_w=rules.capacity_factor_29 * stage.capacity_w if capacity is None else capacity,
        power_35_w=stage.power_w,
        power_29_w=rules.power_factor_29 * stage.power_w if power is None else power,
    )


def cspf(
    unit: IsoCoolingUnit, *, bins: Bins | None = None, rules: IsoCoolingRules | None = None
) -> IsoCoolingRating:
    """Cooling seasonal performance factor of a unit.

    Parameters
    ----------
    unit
        Test points.
    bins
        Hours by outdoor temperature; default: the reference bins.
    rules
        Load line and default factors.

    Returns
    -------
    IsoCoolingRating
        CSPF, seasonal sums, crossings and the bin table.

    Raises
    ------
    EquipmentError
        If the load line does not meet a stage below the full-load temperature.

    Notes
    -----
    Below the smallest stage the unit cycles; between stages its EER is linear in outdoor
    temperature between the crossings; above full output it runs at full.

    References
    ----------
    ISO 16358-1:2013 (formulas from memory).
    """
    chosen, season = rules or IsoCoolingRules(), bins or reference_cooling_bins()
    lines = [(name, stage_line(stage, chosen)) for name, stage in unit.stages()]
    met = [_crossing(name, line, lines[-1][1], chosen) for name, line in lines]
    _check_crossings(met)
    load = [_load_w(float(t), lines[-1][1], chosen) for t in season.outdoor_c]
    done = [
        _bin(float(t), w, [line for _, line in lines], met, unit.cd)
        for t, w in zip(season.outdoor_c, load, strict=True)
    ]
    table = _table(season, load, done)
    removed = float(table.delivered_kwh.sum())  # L_CST
    energy = float(table.unit_kwh.sum())  # C_CSE
    return IsoCoolingRating(
        cspf=removed / energy,
        removed_kwh=removed,
        energy_kwh=energy,
        crossings=tuple(met),
        bins=table,
    )


def _table(season: Bins, load: Sequence[float], done: Sequence[tuple[float, float]]) -> BinTable:
    return BinTable(
        outdoor_c=season.outdoor_c,
        hours=season.hours,
        load_w=np.array(load),
        delivered_w=np.array([cold for cold, _ in done]),
        power_w=np.array([power for _, power in done]),
        backup_w=np.zeros(len(done)),
    )


def _load_w(outdoor_c: float, full: StageLine, rules: IsoCoolingRules) -> float:
    """Lc(t) = phi_ful(35) (t - 20) / (35 - 20), never negative."""
    share = (outdoor_c - rules.zero_load_c) / (rules.full_load_c - rules.zero_load_c)
    return full.capacity_35_w * max(share, 0.0)


def _crossing(name: str, line: StageLine, full: StageLine, rules: IsoCoolingRules) -> Crossing:
    """Solve Lc(t) = phi(t) for the temperature."""
    slope = full.capacity_35_w / (rules.full_load_c - rules.zero_load_c)
    gain = (line.capacity_29_w - line.capacity_35_w) / (35.0 - 29.0)
    if slope + gain <= 0:
        raise EquipmentError(f"the load line never meets the {name} output")
    met_c = (line.capacity_35_w + 35.0 * gain + slope * rules.zero_load_c) / (slope + gain)
    return Crossing(stage=name, outdoor_c=met_c, eer=line.capacity_w(met_c) / line.power_w(met_c))


def _bin(
    outdoor_c: float,
    load_w: float,
    lines: Sequence[StageLine],
    met: Sequence[Crossing],
    cd: float,
) -> tuple[float, float]:
    """Cold given and mean power in a bin, W."""
    if outdoor_c <= met[0].outdoor_c:
        x = load_w / lines[0].capacity_w(outdoor_c)  # X = Lc / phi
        part_load = 1.0 - cd * (1.0 - x)  # F_PL
        return load_w, x * lines[0].power_w(outdoor_c) / part_load
    for low, high in pairwise(met):
        if outdoor_c <= high.outdoor_c:
            place = (outdoor_c - low.outdoor_c) / (high.outdoor_c - low.outdoor_c)
            return load_w, load_w / (low.eer + place * (high.eer - low.eer))  # P = Lc / EER(t)
    capacity = lines[-1].capacity_w(outdoor_c)
    return min(load_w, capacity), lines[-1].power_w(outdoor_c)


def _check_stage(name: str, stage: IsoStage) -> None:
    values = (stage.capacity_w, stage.power_w, stage.capacity_29_w, stage.power_29_w)
    if not all(value is None or (math.isfinite(value) and value > 0) for value in values):
        raise EquipmentError(
            f"the {name} output has a capacity or power that is not above zero",
            expected="capacity and power in W, above zero",
        )
    check_efficiency(f"{name} 35 degC", Function.COOLING, 35.0, stage.capacity_w / stage.power_w)
    if stage.capacity_29_w is not None and stage.power_29_w is not None:
        eer = stage.capacity_29_w / stage.power_29_w
        check_efficiency(f"{name} 29 degC", Function.COOLING, 29.0, eer)


def _check_crossings(met: Sequence[Crossing]) -> None:
    for low, high in pairwise(met):
        if low.outdoor_c >= high.outdoor_c:
            raise EquipmentError(
                f"the load line meets the {low.stage} output at {low.outdoor_c:.1f} degC, not "
                f"below the {high.stage} output at {high.outdoor_c:.1f} degC"
            )
