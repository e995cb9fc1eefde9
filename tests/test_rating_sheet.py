"""All figures of a unit from its maps: US tests and European points read off them."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.equipment.curves import Frost, Function, PerformanceMap, TablePoint, map_from_table
from energymodel.equipment.kernel import modulating, time_shared
from energymodel.errors import EquipmentError
from energymodel.ratings.europe.map_declarations import (
    Declared,
    control_of,
    cooling_declaration,
    heating_declaration,
)
from energymodel.ratings.europe.points import Control
from energymodel.ratings.europe.seasonal import scop, seer
from energymodel.ratings.europe.tables import Climate, UnitKind, part_load_ratio
from energymodel.ratings.us.load import Requirement
from energymodel.ratings.us.map_tests import MappedUnit, unit_of_maps
from energymodel.ratings.us.seasonal import hspf, hspf2, seer2
from energymodel.ratings.us.tables import Region
from energymodel.scenario.catalogue import catalogue_unit
from energymodel.study.rating.rate import rate
from energymodel.study.rating.rated_unit import read_rated_unit


def heating(key: str) -> PerformanceMap:
    performance = catalogue_unit(key).heating
    assert performance is not None
    return performance


def test_every_figure_is_the_one_that_its_own_procedure_gives() -> None:
    unit = read_rated_unit("inverter-standard-12")
    sheet = rate(unit).likely
    one, european = unit.likely.us, unit.likely.european
    assert one is not None
    assert set(sheet.hspf2) == set(sheet.hspf) == set(Region)
    assert sheet.hspf2[Region.V] == hspf2(one, region=Region.V).value_btu_per_wh
    largest = hspf(one, region=Region.II, requirement=Requirement.MAXIMUM)
    assert sheet.hspf_maximum[Region.II] == largest.value_btu_per_wh
    assert sheet.seer2 == seer2(one).value_btu_per_wh
    declared = european.heating[Climate.COLDER]()
    rating = scop(declared, climate=Climate.COLDER, unit=UnitKind.REVERSIBLE)
    assert sheet.scop[Climate.COLDER] == rating.scop
    assert european.cooling is not None
    assert sheet.seer_europe == seer(european.cooling(), unit=UnitKind.REVERSIBLE).seer
    assert sheet.refused == ()


def test_a_climate_that_a_unit_cannot_serve_is_left_out_with_the_reason() -> None:
    sheet = rate(read_rated_unit("packaged-heat-pump-12")).likely
    assert set(sheet.scop) == {Climate.WARMER}
    assert any("heating stops at 1.7 degC" in reason for reason in sheet.refused)


def test_an_air_conditioner_has_no_heating_figure() -> None:
    sheet = rate(read_rated_unit("central-air-conditioner-24")).likely
    assert dict(sheet.hspf2) == {}
    assert dict(sheet.scop) == {}
    # federal minimum of 2023 SEER2 13.4 or 14.3, 10 CFR 430.32(c): a unit near it
    assert sheet.seer2 == pytest.approx(13.85, abs=0.5)


def test_a_modulating_unit_is_declared_at_the_load_or_at_its_nearest_output() -> None:
    performance = heating("inverter-cold-climate-12")
    declared = heating_declaration(performance, Declared(design_load_w=3000.0, limit_c=-26.0))
    load = {t: 3000.0 * float(part_load_ratio(np.array([t]), -10.0)[0]) for t in (-7.0, 2.0, 7.0)}
    by_place = {round(point.outdoor_c, 3): point for point in declared.points}
    for place, wanted in load.items():
        assert by_place[place].capacity_w == pytest.approx(wanted)
    lowest = performance.speeds[0].capacity_w(np.array([12.0]))[0]
    assert by_place[12.0].capacity_w == pytest.approx(lowest), "it cannot go lower"
    assert declared.bivalent_c == -10.0, "the unit carries the load at the design temperature"
    assert declared.control is Control.VARIABLE


def test_a_bivalent_temperature_is_where_full_output_equals_the_load() -> None:
    performance = heating("inverter-standard-12")
    declared = heating_declaration(performance, Declared(design_load_w=4000.0, limit_c=-20.0))
    assert -10.0 < declared.bivalent_c < 2.0
    point = next(p for p in declared.points if p.outdoor_c == declared.bivalent_c)
    load = 4000.0 * float(part_load_ratio(np.array([point.outdoor_c]), -10.0)[0])
    assert point.capacity_w == pytest.approx(load, rel=1e-6)
    with pytest.raises(EquipmentError, match="does not carry a design load of 9,000 W"):
        heating_declaration(performance, Declared(design_load_w=9000.0))


def test_a_fixed_speed_unit_is_sized_at_its_usual_bivalent_temperature() -> None:
    declared = heating_declaration(heating("single-speed-36"), Declared(design_load_w=None))
    assert declared.bivalent_c == -7.0  # common practice
    assert declared.control is Control.FIXED
    capacities = [p.capacity_w for p in sorted(declared.points, key=lambda p: p.outdoor_c)]
    assert capacities == sorted(capacities)


def test_stages_are_declared_between_their_outputs_and_cooling_at_its_load() -> None:
    performance = catalogue_unit("two-stage-36").cooling
    assert performance is not None
    assert control_of(performance) is Control.STAGED
    declared = cooling_declaration(performance, Declared(design_load_w=None))
    full = performance.speeds[-1].capacity_w(np.array([35.0]))[0]
    by_place = {point.outdoor_c: point for point in declared.points}
    assert declared.design_load_w == pytest.approx(full)
    assert by_place[35.0].capacity_w == pytest.approx(full)
    low = performance.speeds[0].capacity_w(np.array([20.0]))[0]
    assert by_place[20.0].capacity_w == pytest.approx(low), "less than low stage is not to be had"


def test_maps_of_two_kinds_are_no_unit() -> None:
    def table(staging: object, function: Function) -> PerformanceMap:
        rows = [
            TablePoint(speed=name, outdoor_c=t, capacity_w=q, power_w=q / 3.5)
            for name, q in (("low", 2000.0), ("full", 4000.0))
            for t in (-8.0, 8.0, 18.0)
        ]
        return map_from_table(
            rows,
            function=function,
            frost=Frost.STEADY,
            cd=0.2,
            staging=staging,  # type: ignore[arg-type]
        )

    pair = MappedUnit(
        heating=table(modulating, Function.HEATING), cooling=table(time_shared, Function.COOLING)
    )
    with pytest.raises(EquipmentError, match="different kinds of speed control"):
        unit_of_maps(pair)
    with pytest.raises(EquipmentError, match="without a heating or a cooling map"):
        unit_of_maps(MappedUnit(heating=None, cooling=None))
