"""Refusal of European test points that are missing, misplaced or impossible, by name."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

import numpy as np

from energymodel.equipment.curves import Function
from energymodel.errors import EquipmentError
from energymodel.notices import Notice
from energymodel.ratings.europe.points import (
    ColdPoint,
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    HeatingDeclaration,
)
from energymodel.ratings.europe.tables import (
    COOLING_DESIGN_C,
    COOLING_POINTS_C,
    EXTRA_COLD_POINT_BELOW_C,
    EXTRA_COLD_POINT_C,
    HEATING_POINTS_C,
    Climate,
    HeatingSeason,
    part_load_ratio,
)
from energymodel.ratings.second_law import check_efficiency

LOAD_TOLERANCE = 0.10
"""A point that should carry the load may miss it by this share: the 10 % of clauses 6.4.2.2 and
7.4.2.2 of EN 14825:2012 (from memory), applied to every unit (our choice)."""
RISE_WITH_COLD = 0.03
"""Capacity of a fixed-speed unit may rise by this share towards the cold (our choice)."""
_SAME_K = 1e-6


def required_heating_points(
    declaration: HeatingDeclaration, season: HeatingSeason, cold_point: ColdPoint
) -> dict[str, float]:
    """Test points that a climate asks of a unit.

    Parameters
    ----------
    declaration
        Bivalent temperature and operation limit decide points E, F and G.
    season
        Reference heating season.
    cold_point
        Where E lies when the operation limit is below the design temperature.

    Returns
    -------
    dict
        Letter -> outdoor temperature, degC; letters may share a temperature.

    References
    ----------
    EN 14825:2012 (points A to F and the extra point at -15 degC from memory).
    """
    points = dict(HEATING_POINTS_C[season.climate])
    below_design = declaration.limit_c < season.design_c
    at_design = below_design and cold_point is ColdPoint.AT_DESIGN
    points["E"] = season.design_c if at_design else declaration.limit_c
    points["F"] = declaration.bivalent_c
    if season.climate is Climate.COLDER and declaration.limit_c < EXTRA_COLD_POINT_BELOW_C:
        points["G"] = EXTRA_COLD_POINT_C
    return points


def check_heating(
    declaration: HeatingDeclaration, season: HeatingSeason, cold_point: ColdPoint
) -> tuple[Notice, ...]:
    """Refuse a heating declaration that cannot be rated.

    Parameters
    ----------
    declaration
        Test points.
    season
        Reference heating season.
    cold_point
        Where E lies when the operation limit is below the design temperature.

    Returns
    -------
    tuple of Notice
        What is possible but doubtful.

    Raises
    ------
    EquipmentError
        If a point is missing, out of place, not positive, cannot carry the load above the
        bivalent temperature, rises with cold (fixed speed) or lies above the second-law limit.
    """
    _check_numbers(declaration.points, declaration.design_load_w, "Pdesignh")
    _check_limits(declaration, season)
    names = required_heating_points(declaration, season, cold_point)
    _check_places(declaration.points, names)
    ordered = sorted(declaration.points, key=lambda point: point.outdoor_c)
    carried = [p for p in ordered if p.outdoor_c >= declaration.bivalent_c - _SAME_K]
    _check_carried(carried, names, declaration.design_load_w, season.design_c)
    _check_bivalent(carried[0], declaration.design_load_w, season.design_c)
    if declaration.control is Control.FIXED:
        _check_fixed(ordered, names)
    return _check_efficiencies(ordered, names, Function.HEATING)


def check_cooling(declaration: CoolingDeclaration) -> tuple[Notice, ...]:
    """Refuse a cooling declaration that cannot be rated.

    Parameters
    ----------
    declaration
        Test points.

    Returns
    -------
    tuple of Notice
        What is possible but doubtful.

    Raises
    ------
    EquipmentError
        If a point is missing, out of place, not positive, cannot carry the load or lies above
        the second-law limit.
    """
    _check_numbers(declaration.points, declaration.design_load_w, "Pdesignc")
    _check_places(declaration.points, COOLING_POINTS_C)
    ordered = sorted(declaration.points, key=lambda point: point.outdoor_c)
    _check_carried(ordered, COOLING_POINTS_C, declaration.design_load_w, COOLING_DESIGN_C)
    return _check_efficiencies(ordered, COOLING_POINTS_C, Function.COOLING)


def point_label(outdoor_c: float, names: Mapping[str, float]) -> str:
    """Letters and temperature of a test point, for messages.

    Parameters
    ----------
    outdoor_c
        Temperature of the point, degC.
    names
        Letter -> temperature.

    Returns
    -------
    str
        Such as "A/F (-7 degC)".
    """
    letters = sorted(name for name, place in names.items() if abs(place - outdoor_c) < _SAME_K)
    return f"{'/'.join(letters)} ({outdoor_c:g} degC)" if letters else f"at {outdoor_c:g} degC"


def _check_numbers(points: Sequence[DeclaredPoint], design_load_w: float, name: str) -> None:
    if not (math.isfinite(design_load_w) and design_load_w > 0):
        raise EquipmentError(f"{name} is {design_load_w:g} W", expected="a design load above zero")
    for point in points:
        values = (point.outdoor_c, point.capacity_w, point.cop)
        if not all(math.isfinite(v) for v in values) or min(values[1:]) <= 0:
            raise EquipmentError(
                f"the test point at {point.outdoor_c:g} degC has capacity {point.capacity_w:g} W "
                f"and COP or EER {point.cop:g}",
                expected="both above zero",
            )


def _check_limits(declaration: HeatingDeclaration, season: HeatingSeason) -> None:
    lowest = max(declaration.limit_c, season.design_c)
    if not lowest <= declaration.bivalent_c <= season.bivalent_max_c:
        raise EquipmentError(
            f"the bivalent temperature is {declaration.bivalent_c:g} degC",
            where=f"{season.climate.value} climate",
            expected=f"between {lowest:g} (operation limit, design) and "
            f"{season.bivalent_max_c:g} degC",
        )
    if not declaration.limit_c <= season.limit_max_c:
        raise EquipmentError(
            f"the operation limit is {declaration.limit_c:g} degC",
            where=f"{season.climate.value} climate",
            expected=f"{season.limit_max_c:g} degC or colder",
        )


def _check_places(points: Sequence[DeclaredPoint], names: Mapping[str, float]) -> None:
    given = sorted(point.outdoor_c for point in points)
    for first, second in itertools.pairwise(given):
        if second - first < _SAME_K:
            raise EquipmentError(
                f"test point {point_label(first, names)} stands twice", remedy="keep one of them"
            )
    missing = dict.fromkeys(
        point_label(place, names)
        for place in sorted(names.values())
        if not any(abs(place - outdoor_c) < _SAME_K for outdoor_c in given)
    )
    if missing:
        raise EquipmentError(
            f"test point {', '.join(missing)} is missing",
            remedy="a rating by this standard needs every point; build a map from plate values "
            "if only some are known",
        )
    for outdoor_c in given:
        if not any(abs(place - outdoor_c) < _SAME_K for place in names.values()):
            raise EquipmentError(
                f"{outdoor_c:g} degC is not a test point of this unit and season",
                expected=", ".join(sorted({point_label(t, names) for t in names.values()})),
            )


def _check_carried(
    points: Sequence[DeclaredPoint],
    names: Mapping[str, float],
    design_load_w: float,
    design_c: float,
) -> None:
    for point in points:
        load = _load_w(point.outdoor_c, design_load_w, design_c)
        if point.capacity_w < (1.0 - LOAD_TOLERANCE) * load:
            raise EquipmentError(
                f"test point {point_label(point.outdoor_c, names)} gives {point.capacity_w:.0f} W, "
                f"the load there is {load:.0f} W",
                expected="a capacity that carries the load"
                + (" at and above the bivalent temperature" if design_c < 16.0 else ""),
            )


def _check_bivalent(point: DeclaredPoint, design_load_w: float, design_c: float) -> None:
    load = _load_w(point.outdoor_c, design_load_w, design_c)
    if point.capacity_w > (1.0 + LOAD_TOLERANCE) * load:
        raise EquipmentError(
            f"test point F ({point.outdoor_c:g} degC) gives {point.capacity_w:.0f} W, the load "
            f"there is {load:.0f} W",
            expected="a declared capacity equal to the load at the bivalent temperature",
        )


def _check_fixed(ordered: Sequence[DeclaredPoint], names: Mapping[str, float]) -> None:
    for colder, warmer in itertools.pairwise(ordered):
        if colder.capacity_w > (1.0 + RISE_WITH_COLD) * warmer.capacity_w:
            raise EquipmentError(
                f"capacity rises with cold: {colder.capacity_w:.0f} W at test point "
                f"{point_label(colder.outdoor_c, names)}, {warmer.capacity_w:.0f} W at "
                f"{point_label(warmer.outdoor_c, names)}",
                expected="a fixed-speed unit gives less the colder it is",
            )


def _check_efficiencies(
    points: Sequence[DeclaredPoint], names: Mapping[str, float], function: Function
) -> tuple[Notice, ...]:
    notices: list[Notice] = []
    for point in points:
        label = point_label(point.outdoor_c, names)
        notices.extend(check_efficiency(label, function, point.outdoor_c, point.cop))
    return tuple(notices)


def _load_w(outdoor_c: float, design_load_w: float, design_c: float) -> float:
    return design_load_w * float(part_load_ratio(np.array(outdoor_c), design_c))
