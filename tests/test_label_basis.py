"""What the label keeps for itself: its lines, its frost, its defrost credit, its modes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from energymodel.building.load import cooling_line, heating_line_without_gains
from energymodel.equipment.curves import Frost, Function, PerformanceMap
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.operation import Operation
from energymodel.ratings.conditions import TestPoint
from energymodel.ratings.europe.map import heating_site_map
from energymodel.ratings.europe.points import (
    AirDegradation,
    Control,
    DeclaredPoint,
    HeatingDeclaration,
    PartLoadRules,
)
from energymodel.ratings.europe.tables import Climate, ModePower, UnitKind, heating_season
from energymodel.ratings.plate.input import (
    INVERTER,
    Level,
    Plate,
    PlatePoint,
)
from energymodel.ratings.plate.performance import plate_map
from energymodel.ratings.us.maps import cooling_map, heating_map
from energymodel.ratings.us.units import DemandDefrost, VariableSpeedUnit
from energymodel.study.rating.label_basis import (
    LabelBasis,
    european_heating_basis,
    us_cooling_basis,
    us_heating_basis,
)
from energymodel.study.rating.label_frost import with_european_frost, with_us_frost
from energymodel.study.rating.label_to_site import InstalledUnit, LabelToSite, Site, label_to_site
from energymodel.units import BTU_PER_WH, c_from_f
from energymodel.weather.library import shipped_year

IDLE = IdlePower(controls_w=5.0, crankcase_w=20.0)


@cache
def steady_map() -> PerformanceMap:
    known = PlatePoint(
        function=Function.COOLING, level=Level.RATED, outdoor_c=35.0, capacity_w=3517.0
    )
    performance = plate_map(Plate(kind=INVERTER, points=(known,))).heating
    assert performance is not None
    return performance


def site() -> Site:
    return Site(
        weather=shipped_year("newark-nj-2013"),
        heating_load=heating_line_without_gains(
            design_load_w=2800.0, design_c=-9.0, balance_c=15.5, indoor_c=20.0
        ),
        cooling_load=cooling_line(
            design_load_w=2300.0, design_c=33.0, balance_c=20.0, indoor_c=24.0
        ),
        heating_indoor_c=20.0,
        cooling_indoor_c=24.0,
    )


def changes(way: LabelToSite) -> dict[str, float]:
    return {step.name: step.change for step in way.steps}


# --- the map rule ---------------------------------------------------------------------------------


def measured(**points: tuple[float, float]) -> dict[str, TestPoint]:
    return {name: TestPoint(capacity_btu_h=q, power_w=p) for name, (q, p) in points.items()}


VARIABLE = VariableSpeedUnit(
    tests=measured(
        A2=(18_000, 1440), B2=(19_600, 1240), E_V=(11_200, 560), B1=(6600, 270), F1=(7200, 210),
        H0_1=(8200, 480), H1_1=(6600, 430), H1_N=(24_000, 1800), H1_2=(21_600, 1600),
        H2_V=(11_000, 800), H3_2=(15_600, 1560), H4_2=(13_200, 1540),
    )
)  # fmt: skip


def from_tests(unit: VariableSpeedUnit) -> InstalledUnit:
    return InstalledUnit(
        name="tested",
        heating=heating_map(unit),
        cooling=cooling_map(unit),
        heating_operation=unit.heating_operation,
        cooling_operation=unit.cooling_operation,
        idle=IdlePower(),
    )


def test_where_the_site_map_is_the_tested_one_the_cooling_map_rule_is_nothing() -> None:
    way = label_to_site(from_tests(VARIABLE), us_cooling_basis(VARIABLE), site())
    # computed: SEER2 with V = 0.93, linear rule, 21.49672
    assert way.cop_start * BTU_PER_WH == pytest.approx(21.49672, abs=1e-5)
    # Btu per Wh of the edition, 3.413, does not enter: load and capacity are both in Btu/h
    assert way.steps[0].change == pytest.approx(0.0, abs=1e-9)


def test_tested_curves_contain_frost_so_that_step_is_nothing() -> None:
    way = label_to_site(from_tests(VARIABLE), us_heating_basis(VARIABLE), site())
    assert changes(way)["frost"] == 0.0
    # computed: HSPF2 IV with the 5 F test 11.13541, before any credit
    assert way.cop_start * BTU_PER_WH == pytest.approx(11.13541, abs=1e-5)


def test_the_demand_defrost_credit_stays_behind_with_the_label() -> None:
    credited = replace(VARIABLE, defrost=DemandDefrost(between_h=1.5, longest_h=12.0))
    without = label_to_site(from_tests(VARIABLE), us_heating_basis(VARIABLE), site())
    way = label_to_site(from_tests(credited), us_heating_basis(credited), site())
    assert way.start == pytest.approx(without.start / 1.03)  # 3.9.2, from memory
    assert way.end == pytest.approx(without.end, rel=1e-12)
    assert changes(way)["map rule"] - changes(without)["map rule"] == pytest.approx(
        without.start - way.start
    )


def test_the_us_frost_of_a_label_is_that_of_the_frost_test_at_35_f() -> None:
    steady = steady_map()
    frosted = with_us_frost(steady)
    places = c_from_f(np.array([5.0, 17.0, 35.0, 46.0]))
    # 0.90 of the capacity and 0.985 of the power at 35 F (from memory, quoted); none at 17 F
    (q_clear, p_clear), (q_frost, p_frost) = steady.raw(places), frosted.raw(places)
    np.testing.assert_allclose(q_frost / q_clear, np.tile([1.0, 1.0, 0.90, 1.0], (5, 1)))
    np.testing.assert_allclose(p_frost / p_clear, np.tile([1.0, 1.0, 0.985, 1.0], (5, 1)))
    assert {speed.frost for speed in frosted.speeds} == {Frost.INCLUDED}
    assert with_us_frost(frosted).raw(places)[0] == pytest.approx(q_frost), "never twice"


def test_the_european_frost_of_a_label_is_that_of_damp_air() -> None:
    steady = steady_map()
    ratio = with_european_frost(steady).raw(np.array([0.0]))[0] / steady.raw(np.array([0.0]))[0]
    # three manufacturers' tables agree on 0.85 at 32 F and 85 % humidity (published); ours 0.86
    np.testing.assert_allclose(ratio, 0.86, atol=0.001)


# --- European labels ------------------------------------------------------------------------------

DECLARED = HeatingDeclaration(
    design_load_w=2800.0,
    bivalent_c=-10.0,
    limit_c=-15.0,
    points=(
        DeclaredPoint(outdoor_c=-10.0, capacity_w=2800.0, cop=2.3),
        DeclaredPoint(outdoor_c=-7.0, capacity_w=2480.0, cop=2.6),
        DeclaredPoint(outdoor_c=2.0, capacity_w=1510.0, cop=4.0),
        DeclaredPoint(outdoor_c=7.0, capacity_w=1000.0, cop=5.2),
        DeclaredPoint(outdoor_c=12.0, capacity_w=900.0, cop=6.0),
    ),
    control=Control.VARIABLE,
    modes=ModePower(thermostat_off_w=15.0, standby_w=3.0, off_w=3.0),
)


def european_basis() -> LabelBasis:
    return european_heating_basis(DECLARED, kind=UnitKind.REVERSIBLE, climate=Climate.AVERAGE)


def test_a_european_label_adds_up_and_its_modes_give_way_to_idle_power() -> None:
    rules = PartLoadRules(degradation=AirDegradation())
    season = heating_season(Climate.AVERAGE)
    unit = InstalledUnit(
        name="declared",
        heating=heating_site_map(DECLARED, season, rules),
        cooling=None,
        heating_operation=Operation(),
        cooling_operation=Operation(),
        idle=IDLE,
    )
    there = replace(site(), cooling_load=None)
    basis = european_basis()
    way = label_to_site(unit, basis, there)
    assert way.start + sum(step.change for step in way.steps) == pytest.approx(way.end, abs=1e-9)
    assert basis.other_kwh_per_kwh > 0
    step = next(one for one in way.steps if one.name == "idle power")
    use = step.use
    idle = float(use.result.idle_by_month("heating").sum())
    delivered = use.result.total("heating_delivered_kwh")
    assert step.change == pytest.approx(idle / delivered - basis.other_kwh_per_kwh, abs=1e-12)
    assert basis.load.load_w(np.array([-10.0]))[0] == pytest.approx(2800.0)
