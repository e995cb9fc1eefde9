"""ISO 16358-1 test points as a curve on the standard's load line, for the kernel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import Curve, Function, PiecewiseLinear
from energymodel.equipment.kernel import AirCycling
from energymodel.ratings.iso.cooling import IsoCoolingRules, IsoCoolingUnit, IsoStage, stage_line
from energymodel.ratings.load_line_curve import LoadLineCurve


@dataclass(frozen=True, slots=True, kw_only=True)
class _Load:
    """Load line through two temperatures."""

    zero_c: float
    full_c: float
    full_w: float

    def __call__(self, outdoor_c: Array) -> Array:
        rise = self.full_w / (self.full_c - self.zero_c)
        return np.maximum(rise * (outdoor_c - self.zero_c), 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stage:
    """Capacity and power lines of one stage, and where the load reaches it."""

    capacity_w: Curve
    power_w: Curve
    met_c: float

    def cop(self, outdoor_c: Array) -> Array:
        return self.capacity_w(outdoor_c) / self.power_w(outdoor_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Output:
    """Smallest stage below its crossing, the load between the stages, full output above."""

    stages: tuple[_Stage, ...]
    load_w: Curve

    def __call__(self, outdoor_c: Array) -> Array:
        smallest, full = self.stages[0], self.stages[-1]
        middle = np.where(
            outdoor_c <= full.met_c, self.load_w(outdoor_c), full.capacity_w(outdoor_c)
        )
        return np.where(outdoor_c <= smallest.met_c, smallest.capacity_w(outdoor_c), middle)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Eer:
    """EER that belongs to the output: of the stage, or linear between the crossings."""

    stages: tuple[_Stage, ...]

    def __call__(self, outdoor_c: Array) -> Array:
        smallest, full = self.stages[0], self.stages[-1]
        met = np.array([stage.met_c for stage in self.stages])
        at = np.array([stage.cop(met[i : i + 1])[0] for i, stage in enumerate(self.stages)])
        middle = np.interp(outdoor_c, met, at)
        above = np.where(outdoor_c <= full.met_c, middle, full.cop(outdoor_c))
        return np.where(outdoor_c <= smallest.met_c, smallest.cop(outdoor_c), above)


def iso_cooling_curve(unit: IsoCoolingUnit, rules: IsoCoolingRules | None = None) -> LoadLineCurve:
    """Test points of ISO 16358-1 as a curve on its load line.

    Parameters
    ----------
    unit
        Test points.
    rules
        Load line and default factors.

    Returns
    -------
    LoadLineCurve
        `iso_cooling_curve(unit).on_bins(reference_cooling_bins()).cop_system` is the CSPF.
    """
    chosen = rules or IsoCoolingRules()
    load = _Load(zero_c=chosen.zero_load_c, full_c=chosen.full_load_c, full_w=unit.full.capacity_w)
    stages = tuple(_stage(stage, load, chosen) for _, stage in unit.stages())
    return LoadLineCurve(
        function=Function.COOLING,
        load_w=load,
        capacity_w=_Output(stages=stages, load_w=load),
        cop=_Eer(stages=stages),
        cycling=AirCycling(cd=unit.cd),
    )


def _stage(stage: IsoStage, load: _Load, rules: IsoCoolingRules) -> _Stage:
    line = stage_line(stage, rules)
    places = np.array([29.0, 35.0])
    capacity = PiecewiseLinear(places, np.array([line.capacity_29_w, line.capacity_35_w]))
    power = PiecewiseLinear(places, np.array([line.power_29_w, line.power_35_w]))
    return _Stage(capacity_w=capacity, power_w=power, met_c=_met(capacity, load))


def _met(capacity: Curve, load: _Load) -> float:
    """Temperature at which the spare capacity, a straight line above zero load, is used up."""
    ends: Sequence[float] = (load.zero_c, load.full_c)
    spare = capacity(np.array(ends)) - load(np.array(ends))
    share = spare[0] / (spare[0] - spare[1])
    return float(ends[0] + share * (ends[1] - ends[0]))
