"""European test points as a curve on the standard's load line, for the kernel.

The second way to the same rating: the points become a :class:`LoadLineCurve`, the kernel answers
the load in every bin, and the seasonal figure is heat over electricity.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from energymodel.arrays import Array
from energymodel.equipment.curves import Curve, Function, PiecewiseLinear
from energymodel.equipment.kernel import no_cycling_loss
from energymodel.ratings.europe.points import (
    MATCH_SLACK,
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    Degrade,
    HeatingDeclaration,
    PartLoadRules,
    Shortfall,
    WarmEnd,
)
from energymodel.ratings.europe.tables import COOLING_DESIGN_C, HeatingSeason, part_load_ratio
from energymodel.ratings.load_line_curve import LoadLineCurve, RunsFrom


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadLine:
    """European load line: zero at 16 degC, full at the design temperature.

    Parameters
    ----------
    design_load_w
        Pdesign, W.
    design_c
        Tdesign, degC.
    """

    design_load_w: float
    design_c: float

    def __call__(self, outdoor_c: Array) -> Array:
        """Load at each outdoor temperature, W."""
        return self.design_load_w * part_load_ratio(outdoor_c, self.design_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """A curve read no colder and no warmer than its limits."""

    curve: Curve
    coldest_c: float
    warmest_c: float

    def __call__(self, outdoor_c: Array) -> Array:
        return self.curve(np.clip(outdoor_c, self.coldest_c, self.warmest_c))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Output:
    """Output on the line: the declared capacity, or the load where the unit carries it."""

    declared_w: Curve
    load_w: Curve
    carries_from_c: float
    tolerance: float

    def __call__(self, outdoor_c: Array) -> Array:
        declared, load = self.declared_w(outdoor_c), self.load_w(outdoor_c)
        excess = declared - load
        matching = (excess >= 0) & (excess <= (self.tolerance + MATCH_SLACK) * load)
        carried = (excess < 0) & (outdoor_c >= self.carries_from_c)
        return np.where(matching | carried, load, declared)


def heating_curve(
    declaration: HeatingDeclaration, season: HeatingSeason, rules: PartLoadRules
) -> LoadLineCurve:
    """Heating points as a curve on the load line of their climate.

    Parameters
    ----------
    declaration
        Test points.
    season
        Climate they were declared for.
    rules
        Choices of the calculation.

    Returns
    -------
    LoadLineCurve
        `heating_curve(...).on_bins(season.bins).cop_system` is SCOPon, `cop_unit` SCOPnet.
    """
    line = LoadLine(design_load_w=declaration.design_load_w, design_c=season.design_c)
    warmest = max(point.outdoor_c for point in declaration.points)
    held = warmest if rules.warm_end is WarmEnd.HELD else np.inf
    everywhere = rules.shortfall is Shortfall.EVERYWHERE
    return _curve(
        declaration.points,
        _Shape(
            function=Function.HEATING,
            line=line,
            limits_c=(-np.inf, held),
            carries_from_c=np.inf if everywhere else declaration.bivalent_c,
            runs_from_c=declaration.limit_c,
            control=declaration.control,
        ),
        rules,
    )


def cooling_curve(declaration: CoolingDeclaration, rules: PartLoadRules) -> LoadLineCurve:
    """Cooling points as a curve on the European cooling load line.

    Parameters
    ----------
    declaration
        Test points.
    rules
        Choices of the calculation.

    Returns
    -------
    LoadLineCurve
        `cooling_curve(...).on_bins(cooling_bins()).cop_system` is SEERon.

    Notes
    -----
    The standard counts the whole load as delivered, so the output is never below the load.
    """
    places = [point.outdoor_c for point in declaration.points]
    return _curve(
        declaration.points,
        _Shape(
            function=Function.COOLING,
            line=LoadLine(design_load_w=declaration.design_load_w, design_c=COOLING_DESIGN_C),
            limits_c=(min(places), max(places)),
            carries_from_c=-np.inf,
            runs_from_c=-np.inf,
            control=declaration.control,
        ),
        rules,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    """What differs between the heating and the cooling curve."""

    function: Function
    line: LoadLine
    limits_c: tuple[float, float]
    carries_from_c: float
    runs_from_c: float
    control: Control


def _curve(points: Sequence[DeclaredPoint], shape: _Shape, rules: PartLoadRules) -> LoadLineCurve:
    ordered = sorted(points, key=lambda point: point.outdoor_c)
    outdoor = np.array([point.outdoor_c for point in ordered])
    capacity = np.array([point.capacity_w for point in ordered])
    cop = np.array([point.cop for point in ordered])
    tolerance = 0.0 if shape.control is Control.FIXED else rules.match_tolerance
    cycling = rules.degradation.cycling()
    if rules.degrade is Degrade.AT_POINTS:
        cop = cop * cycling(_load_factor(capacity, shape.line(outdoor), tolerance))
        cycling = no_cycling_loss
    cold, warm = shape.limits_c
    declared = _Held(curve=PiecewiseLinear(outdoor, capacity), coldest_c=cold, warmest_c=warm)
    return LoadLineCurve(
        function=shape.function,
        load_w=shape.line,
        capacity_w=_Output(
            declared_w=declared,
            load_w=shape.line,
            carries_from_c=shape.carries_from_c,
            tolerance=tolerance,
        ),
        cop=_Held(curve=PiecewiseLinear(outdoor, cop), coldest_c=cold, warmest_c=warm),
        cycling=cycling,
        share=RunsFrom(limit_c=shape.runs_from_c),
    )


def _load_factor(capacity_w: Array, load_w: Array, tolerance: float) -> Array:
    matching = np.abs(capacity_w - load_w) <= (tolerance + MATCH_SLACK) * load_w
    return np.where(matching, 1.0, np.minimum(load_w / capacity_w, 1.0))
