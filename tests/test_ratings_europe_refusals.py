"""European test points that are missing or impossible, refused by name."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from energymodel.equipment.curves import Function
from energymodel.equipment.limits import kindest_carnot
from energymodel.errors import EquipmentError
from energymodel.ratings.europe.checks import (
    required_heating_points,
)
from energymodel.ratings.europe.curve import heating_curve
from energymodel.ratings.europe.heating import HeatingRating
from energymodel.ratings.europe.points import (
    ColdPoint,
    Control,
    CoolingDeclaration,
    DeclaredPoint,
    HeatingDeclaration,
    PartLoadRules,
)
from energymodel.ratings.europe.seasonal import scop, seer
from energymodel.ratings.europe.tables import (
    Climate,
    ModePower,
    UnitKind,
    heating_season,
)


def points(*rows: tuple[float, float, float]) -> tuple[DeclaredPoint, ...]:
    return tuple(DeclaredPoint(outdoor_c=t, capacity_w=q, cop=c) for t, q, c in rows)


# EN 14825:2018 Annex H, fixed-capacity air-to-water unit (inputs from memory)
ANNEX_H = HeatingDeclaration(
    design_load_w=11_460,
    bivalent_c=-6,
    limit_c=-10,
    control=Control.FIXED,
    points=points(
        (-10, 7_800, 2.60),
        (-7, 9_550, 3.26),
        (-6, 9_700, 3.30),
        (2, 11_170, 4.00),
        (7, 12_660, 4.91),
        (12, 14_300, 5.50),
    ),
)
MODES = ModePower(thermostat_off_w=10, standby_w=1.5, off_w=1.5)

# Invented variable-capacity air-to-air unit; all expected values computed
VARIABLE = HeatingDeclaration(
    design_load_w=3_000,
    bivalent_c=-7,
    limit_c=-10,
    control=Control.VARIABLE,
    modes=MODES,
    points=points(
        (-10, 2_550, 2.50),
        (-7, 3_000 * 23 / 26, 2.80),
        (2, 3_000 * 14 / 26, 4.60),
        (7, 1_100, 5.80),
        (12, 1_300, 7.00),
    ),
)
AIR_CONDITIONER = CoolingDeclaration(
    design_load_w=2_500,
    control=Control.VARIABLE,
    modes=MODES,
    points=points(
        (35, 2_500, 3.9), (30, 2_500 * 14 / 19, 6.0), (25, 2_500 * 9 / 19, 9.5), (20, 1_000, 12.0)
    ),
)


def without(unit: HeatingDeclaration, outdoor_c: float) -> HeatingDeclaration:
    return replace(unit, points=tuple(p for p in unit.points if p.outdoor_c != outdoor_c))


def changed(unit: HeatingDeclaration, place_c: float, /, **new: float) -> HeatingDeclaration:
    return replace(
        unit,
        points=tuple(replace(p, **new) if p.outdoor_c == place_c else p for p in unit.points),
    )


def rate(unit: HeatingDeclaration) -> HeatingRating:
    return scop(unit, climate=Climate.AVERAGE, unit=UnitKind.HEATING_ONLY)


@pytest.mark.parametrize(
    ("outdoor_c", "name"),
    [(-10, "E"), (-7, "A"), (-6, "F"), (2, "B"), (7, "C"), (12, "D")],
)
def test_a_missing_test_point_is_named(outdoor_c: float, name: str) -> None:
    with pytest.raises(EquipmentError, match=rf"test point {name} \({outdoor_c} degC\) is missing"):
        rate(without(ANNEX_H, outdoor_c))


def test_a_point_with_two_letters_is_named_by_both() -> None:
    with pytest.raises(EquipmentError, match=r"A/F \(-7 degC\) is missing"):
        rate(without(VARIABLE, -7))


def test_a_missing_cooling_point_is_named() -> None:
    unit = replace(AIR_CONDITIONER, points=AIR_CONDITIONER.points[:-1])
    with pytest.raises(EquipmentError, match=r"D \(20 degC\) is missing"):
        seer(unit, unit=UnitKind.REVERSIBLE)


def test_the_colder_climate_asks_for_minus_15_only_of_units_that_run_below_minus_20() -> None:
    # EN 14825, point at -15 degC (from memory)
    season = heating_season(Climate.COLDER)
    for limit_c, needed in ((-22.0, True), (-20.0, False)):
        unit = replace(VARIABLE, limit_c=limit_c, bivalent_c=-10.0)
        names = required_heating_points(unit, season, ColdPoint.AT_DESIGN)
        assert ("G" in names) is needed


def test_point_e_lies_at_the_design_temperature_of_a_unit_that_runs_colder() -> None:
    # EN 14825 (from memory, medium confidence), therefore a rule
    season = heating_season(Climate.AVERAGE)
    unit = replace(VARIABLE, limit_c=-20.0)
    assert required_heating_points(unit, season, ColdPoint.AT_DESIGN)["E"] == -10.0
    assert required_heating_points(unit, season, ColdPoint.AT_LIMIT)["E"] == -20.0


def test_the_warmer_climate_has_no_point_a() -> None:
    season = heating_season(Climate.WARMER)
    names = required_heating_points(VARIABLE, season, ColdPoint.AT_DESIGN)
    assert "A" not in names


@pytest.mark.parametrize(
    ("unit", "message"),
    [
        (changed(ANNEX_H, 7, cop=25.0), r"C \(7 degC\) has COP 25.00, above the second-law limit"),
        (changed(ANNEX_H, 7, cop=-4.0), "expected: both above zero"),
        (changed(ANNEX_H, 7, capacity_w=math.nan), "expected: both above zero"),
        (changed(ANNEX_H, 7, capacity_w=10_000), "capacity rises with cold.*B.*C"),
        (changed(ANNEX_H, 2, capacity_w=5_000), r"B \(2 degC\) gives 5000 W, the load there is"),
        (changed(ANNEX_H, -6, capacity_w=12_000), "equal to the load at the bivalent"),
        (changed(ANNEX_H, 7, outdoor_c=2), r"B \(2 degC\) stands twice"),
        (replace(ANNEX_H, bivalent_c=3), "the bivalent temperature is 3 degC"),
        (replace(ANNEX_H, bivalent_c=-12), "between -10 .* and 2 degC"),
        (replace(ANNEX_H, limit_c=-6), "operation limit is -6 degC"),
        (replace(ANNEX_H, design_load_w=0), "Pdesignh is 0 W"),
        (replace(ANNEX_H, points=(*ANNEX_H.points, *points((4, 12_000, 4)))), "4 degC is not a"),
    ],
)
def test_an_impossible_heating_declaration_is_refused_by_name(
    unit: HeatingDeclaration, message: str
) -> None:
    with pytest.raises(EquipmentError) as error:
        rate(unit)
    assert re.search(message, str(error.value), re.DOTALL)


def test_an_impossible_cooling_declaration_is_refused_by_name() -> None:
    too_small = replace(AIR_CONDITIONER, design_load_w=4_000)
    with pytest.raises(EquipmentError, match=r"C \(25 degC\) gives 1184 W, the load there is"):
        seer(too_small, unit=UnitKind.REVERSIBLE)
    wrong_unit = replace(AIR_CONDITIONER, points=points((35, 2_500, 13.3), *_mild()))
    with pytest.raises(EquipmentError, match=r"A \(35 degC\) has EER 13.30"):
        seer(wrong_unit, unit=UnitKind.REVERSIBLE)


def _mild() -> list[tuple[float, float, float]]:
    return [(p.outdoor_c, p.capacity_w, p.cop) for p in AIR_CONDITIONER.points[1:]]


def test_a_cop_close_to_the_limit_is_noted() -> None:
    ideal = float(kindest_carnot(Function.HEATING, np.array([2.0]))[0])
    notices = rate(changed(ANNEX_H, 2, cop=0.65 * ideal)).notices
    assert [notice.topic for notice in notices] == ["efficiency"]
    assert rate(ANNEX_H).notices == ()


def test_a_cop_extrapolated_below_zero_is_refused() -> None:
    unit = changed(changed(VARIABLE, 7, cop=6.0), 12, cop=1.2)
    with pytest.raises(EquipmentError, match="COPbin falls to"):
        rate(unit)
    season = heating_season(Climate.AVERAGE)
    with pytest.raises(EquipmentError, match="not above zero at 14 degC"):
        heating_curve(unit, season, PartLoadRules()).on_bins(season.bins)
