"""Maps from plate values: how missing values follow, what is sold, what is refused."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from energymodel.equipment.curves import Frost, Function, PerformanceMap
from energymodel.equipment.limits import check_map
from energymodel.errors import EquipmentError, InputError
from energymodel.ratings.plate.input import (
    INVERTER,
    INVERTER_COLD_CLIMATE,
    SINGLE_SPEED,
    Level,
    Plate,
    PlateKind,
    PlatePoint,
)
from energymodel.ratings.plate.metrics import Label, Metric
from energymodel.ratings.plate.performance import PlateMap, plate_map
from energymodel.ratings.plate.set import PlateSet
from energymodel.ratings.plate.shapes import (
    LOW_CAPACITY_COMPRESSOR,
    ORDINARY,
    NationalStandardShape,
    RatedSize,
)
from energymodel.ratings.us.editions import M1
from energymodel.ratings.us.map_tests import unit_of_maps
from energymodel.ratings.us.units import Service, VariableSpeedUnit
from energymodel.units import BTU_PER_WH, c_from_f, w_from_btu_h

HEATING, COOLING = Function.HEATING, Function.COOLING
CLOSE = 1e-6


def at(
    function: Function,
    level: Level,
    outdoor_f: float,
    kbtu_h: float | None,
    cop: float | None = None,
) -> PlatePoint:
    capacity = None if kbtu_h is None else w_from_btu_h(1000.0 * kbtu_h)
    return PlatePoint(
        function=function, level=level, outdoor_c=c_from_f(outdoor_f), capacity_w=capacity, cop=cop
    )


def rated_cooling(kbtu_h: float, eer: float | None = None) -> PlatePoint:
    return at(COOLING, Level.RATED, 95.0, kbtu_h, None if eer is None else eer / BTU_PER_WH)


def label(metric: Metric, value: float) -> Label:
    return Label(metric=metric, value=value)


THREE_LINES = Plate(
    kind=INVERTER,
    points=(rated_cooling(12.0),),
    heating_label=label(Metric.HSPF2, 9.5),
    cooling_label=label(Metric.SEER2, 18.0),
)
BROCHURE = Plate(
    kind=INVERTER_COLD_CLIMATE,
    points=(
        rated_cooling(12.0, 13.0),
        at(HEATING, Level.RATED, 47.0, 14.4, 4.0),
        at(HEATING, Level.RATED, 17.0, 9.6, 2.8),
        at(HEATING, Level.MAXIMUM, 17.0, 15.6, 2.45),
        at(HEATING, Level.MAXIMUM, 5.0, 13.8, 2.1),
        at(HEATING, Level.MINIMUM, 47.0, 3.6),
    ),
    heating_label=label(Metric.HSPF2, 11.0),
    cooling_label=label(Metric.SEER2, 21.0),
)


FULL_TABLE = Plate(
    kind=SINGLE_SPEED,
    points=(
        rated_cooling(36.0, 12.0),
        at(COOLING, Level.RATED, 82.0, 38.4, 4.25),
        at(COOLING, Level.RATED, 65.0, 41.0, 5.3),
        at(COOLING, Level.RATED, 115.0, 31.7, 2.6),
        at(HEATING, Level.RATED, 47.0, 35.0, 3.5),
        at(HEATING, Level.RATED, 17.0, 21.5, 2.45),
        at(HEATING, Level.RATED, 5.0, 17.0, 2.0),
    ),
)


@cache
def three_lines() -> PlateMap:
    return plate_map(THREE_LINES)


@cache
def brochure() -> PlateMap:
    return plate_map(BROCHURE)


def read(performance: PerformanceMap | None, speed: str, outdoor_f: float) -> tuple[float, float]:
    """Capacity in kBtu/h and COP of a speed."""
    assert performance is not None
    curve = next(one for one in performance.speeds if one.name == speed)
    place = np.array([c_from_f(outdoor_f)])
    capacity, power = curve.capacity_w(place)[0], curve.power_w(place)[0]
    return capacity * BTU_PER_WH / 1000.0, capacity / power


def sets(made: PlateMap) -> tuple[PlateSet, PlateSet, PlateSet]:
    return made.low, made.likely, made.high


# --- the recipe -----------------------------------------------------------------------------------


def test_missing_inverter_values_follow_the_recipe() -> None:
    made = plate_map(Plate(kind=INVERTER, points=(rated_cooling(12.0),)))
    full47, rated47, low47 = (
        read(made.heating, name, 47.0) for name in ("full", "rated", "minimum")
    )
    # our choice: minimum = maximum/4.5; COP 1.20 times that of rated output at 47 F, 1.10 at 17 F
    assert low47[0] == pytest.approx(full47[0] / 4.5)
    assert low47[1] == pytest.approx(1.20 * rated47[1])
    assert read(made.heating, "minimum", 17.0)[1] == pytest.approx(
        1.10 * read(made.heating, "rated", 17.0)[1]
    )
    # common practice, rated to rated: 0.60 to 0.70 of the capacity and 0.68 to 0.75 of the COP
    rated17 = read(made.heating, "rated", 17.0)
    assert 0.60 <= rated17[0] / rated47[0] <= 0.70
    assert 0.68 <= rated17[1] / rated47[1] <= 0.75
    # national calculation standard (Japan): 1.2090 x 3516.9 - 85.1 W
    assert rated47[0] == pytest.approx((1.2090 * 3516.85 - 85.1) * BTU_PER_WH / 1000.0, rel=1e-4)


def test_above_47_f_the_slope_from_17_f_goes_on_and_power_is_linear() -> None:
    made = plate_map(FULL_TABLE)
    q47, q17, q65 = (read(made.heating, "full", t)[0] for t in (47.0, 17.0, 65.0))
    assert q65 == pytest.approx(q47 + (q47 - q17) / 30.0 * 18.0)
    (q47, c47), (q17, c17), (q32, c32) = (read(made.heating, "full", t) for t in (47.0, 17.0, 32.0))
    assert q32 / c32 == pytest.approx(0.5 * (q47 / c47 + q17 / c17))


def test_the_highest_speed_goes_on_to_the_cut_out_with_its_last_slope() -> None:
    made = brochure()  # cold-climate units: usual cut-out -15 F
    (q17, c17), (q5, c5), (q_end, c_end) = (
        read(made.heating, "full", t) for t in (17.0, 5.0, -15.0)
    )
    assert q_end == pytest.approx(q5 - (q17 - q5) / 12.0 * 20.0)
    assert q_end / c_end == pytest.approx(q5 / c5 - (q17 / c17 - q5 / c5) / 12.0 * 20.0)


def test_an_inverter_map_has_five_outputs_and_heating_is_steady() -> None:
    made = three_lines()
    assert made.heating is not None
    names = [speed.name for speed in made.heating.speeds]
    assert names == ["minimum", "low", "middle", "rated", "full"]
    assert {speed.frost for speed in made.heating.speeds} == {Frost.STEADY}
    assert [one.name for one in plate_map(FULL_TABLE).heating.speeds] == ["full"]  # type: ignore[union-attr]


@pytest.mark.parametrize("shape", [ORDINARY, LOW_CAPACITY_COMPRESSOR])
def test_a_chosen_part_load_shape_is_in_the_added_curves(shape: NationalStandardShape) -> None:
    made = plate_map(replace(THREE_LINES, shape=shape))
    rated47, full47 = (read(made.heating, name, 47.0)[0] for name in ("rated", "full"))
    size = RatedSize(cooling_w=3516.85, rated_w=rated47, maximum_w=full47)
    for outdoor_f in (5.0, 17.0, 47.0):
        place = np.array([c_from_f(outdoor_f)])
        q_rated, cop_rated = read(made.heating, "rated", outdoor_f)
        at_rated = shape.relative_cop(HEATING, size, place, np.array([q_rated / rated47]))
        for name in ("minimum", "low", "middle"):
            capacity, cop = read(made.heating, name, outdoor_f)
            wanted = shape.relative_cop(HEATING, size, place, np.array([capacity / rated47]))
            assert cop / cop_rated == pytest.approx(float(wanted[0] / at_rated[0]), rel=1e-3)


def test_without_a_shape_the_cop_is_a_parabola_in_output() -> None:
    made = three_lines()
    points = [read(made.heating, name, 47.0) for name in ("minimum", "rated", "full")]
    (q0, c0), (q1, c1), (q2, c2) = points
    for name in ("low", "middle"):
        q, cop = read(made.heating, name, 47.0)
        first, second = (c1 - c0) / (q1 - q0), (c2 - c1) / (q2 - q1)
        by_newton = c0 + first * (q - q0) + (second - first) / (q2 - q0) * (q - q0) * (q - q1)
        assert cop == pytest.approx(by_newton, rel=1e-9)


def test_full_speed_is_the_maximum_in_heating_and_the_rated_one_in_cooling() -> None:
    made = plate_map(
        replace(BROCHURE, points=(*BROCHURE.points, at(COOLING, Level.MAXIMUM, 95.0, 14.0)))
    )
    tests = made.unit.tests
    assert isinstance(made.unit, VariableSpeedUnit)
    assert tests["A2"].capacity_btu_h == pytest.approx(12_000.0)
    assert tests["H3_2"].capacity_btu_h == pytest.approx(15_600.0)
    assert tests["H4_2"].capacity_btu_h == pytest.approx(13_800.0)
    assert tests["H1_N"].capacity_btu_h == pytest.approx(14_400.0)
    assert read(made.cooling, "full", 95.0)[0] == pytest.approx(14.0), "the site knows the maximum"


def test_the_intermediate_test_lies_a_third_of_the_way() -> None:
    # 10 CFR 430 Subpart B, Appendix M1: minimum + (full - minimum)/3 (from memory)
    tests = brochure().unit.tests
    q1 = (
        tests["B1"].capacity_btu_h + (tests["B1"].capacity_btu_h - tests["F1"].capacity_btu_h) / 3.0
    )
    q2 = (
        tests["B2"].capacity_btu_h
        + (tests["A2"].capacity_btu_h - tests["B2"].capacity_btu_h) * 5 / 13
    )
    assert tests["E_V"].capacity_btu_h == pytest.approx(q1 + (q2 - q1) / 3.0)


def test_the_frost_test_is_the_procedures_own_estimate() -> None:
    # Q(35) = 0.90 {Q(17) + 0.6 [Q(47) - Q(17)]}, E(35) likewise with 0.985 (from memory, quoted)
    made = plate_map(FULL_TABLE)
    tests = made.unit.tests
    assert tests["H2"].capacity_btu_h == pytest.approx(
        0.90 * (0.4 * tests["H3"].capacity_btu_h + 0.6 * tests["H1"].capacity_btu_h)
    )
    assert tests["H2"].power_w == pytest.approx(
        0.985 * (0.4 * tests["H3"].power_w + 0.6 * tests["H1"].power_w)
    )


def test_the_test_at_5_f_counts_only_if_the_plate_has_it() -> None:
    assert "H4_2" not in three_lines().unit.tests
    assert "H4_2" in brochure().unit.tests


def test_degradation_is_the_same_on_site_as_in_the_rating() -> None:
    made = three_lines()
    assert made.heating is not None
    factor = made.heating.cycling[0](np.array([0.0]))[0]
    # variable speed: 0.25 in heating (from memory)
    assert 1.0 - factor == pytest.approx(M1.cd.heating) == pytest.approx(made.unit.cd_heating)
    given = plate_map(replace(THREE_LINES, cd_heating=0.1))
    assert given.unit.cd_heating == 0.1
    assert given.heating is not None
    assert given.heating.cycling[0](np.array([0.0]))[0] == pytest.approx(0.9)


# --- what is sold ---------------------------------------------------------------------------------


def test_a_heating_only_unit_is_sized_by_its_rated_heating_capacity() -> None:
    plate = Plate(
        kind=INVERTER,
        service=Service.HEATING_ONLY,
        points=(at(HEATING, Level.RATED, 47.0, 14.0),),
        heating_label=label(Metric.HSPF2, 9.5),
    )
    made = plate_map(plate)
    assert made.cooling is None
    assert made.ratings["HSPF2"] == pytest.approx(9.5, rel=CLOSE)
    assert read(made.heating, "rated", 47.0)[0] == pytest.approx(14.0)
    assert "SEER2" not in made.ratings


def test_an_air_conditioner_has_no_heating_map() -> None:
    plate = Plate(
        kind=SINGLE_SPEED,
        service=Service.AIR_CONDITIONER,
        points=(rated_cooling(24.0),),
        cooling_label=label(Metric.SEER2, 13.4),
    )
    made = plate_map(plate)
    assert made.heating is None
    assert made.ratings["SEER2"] == pytest.approx(13.4, rel=CLOSE)
    assert set(made.ratings) == {"SEER2", "SEER", "European SEER"}


@pytest.mark.parametrize(
    "known",
    [
        at(HEATING, Level.RATED, 47.0, 14.0, 3.8),
        at(HEATING, Level.MAXIMUM, 17.0, 12.0),
        at(COOLING, Level.RATED, 82.0, 12.0),
    ],
    ids=["47 F", "maximum at 17 F", "82 F"],
)
def test_any_one_capacity_sizes_a_unit(known: PlatePoint) -> None:
    made = plate_map(Plate(kind=INVERTER, points=(known,)))
    performance = made.heating if known.function is HEATING else made.cooling
    name = INVERTER.speeds[known.level]
    capacity = read(performance, name, known.outdoor_c * 1.8 + 32.0)[0]
    assert known.capacity_w is not None
    assert capacity == pytest.approx(known.capacity_w * BTU_PER_WH / 1000.0)
    assert 9.0 < made.unit.tests["A2"].capacity_btu_h / 1000.0 < 16.0


def test_a_map_reads_back_as_the_tests_it_was_rated_with() -> None:
    made = brochure()
    assert dict(unit_of_maps(made.likely.mapped).tests) == dict(made.unit.tests)
    for performance in (made.heating, made.cooling):
        assert performance is not None
        check_map(performance)


# --- refused by name ------------------------------------------------------------------------------


def refused(
    *points: PlatePoint, kind: PlateKind = INVERTER
) -> pytest.ExceptionInfo[EquipmentError]:
    with pytest.raises(EquipmentError) as error:
        plate_map(Plate(kind=kind, points=(rated_cooling(12.0), *points)))
    return error


def test_a_cop_above_the_second_law_limit_is_refused_by_name() -> None:
    text = str(refused(at(HEATING, Level.RATED, 17.0, 9.6, 7.2)).value)
    assert "COP 7.20" in text
    assert "'rated' at 17 F" in text
    assert "70% of the Carnot limit" in text


def test_a_rated_capacity_that_rises_with_cold_is_refused_by_name() -> None:
    text = str(
        refused(at(HEATING, Level.RATED, 47.0, 10.0), at(HEATING, Level.RATED, 17.0, 12.0)).value
    )
    assert "capacity of speed 'rated' is 12.0 kBtu/h" in text
    assert "at 17 F" in text
    assert "at most 3 %" in text


def test_a_power_that_falls_with_speed_is_refused_by_name() -> None:
    text = str(
        refused(
            at(HEATING, Level.RATED, 47.0, 14.0, 3.0), at(HEATING, Level.MAXIMUM, 47.0, 14.5, 3.9)
        ).value
    )
    assert "power of speed 'rated' at 47 F" in text
    assert "above" in text


def test_a_plate_without_a_capacity_is_refused() -> None:
    with pytest.raises(EquipmentError, match="no capacity is given"):
        Plate(kind=INVERTER, points=(at(HEATING, Level.RATED, 47.0, None, 4.0),))


def test_a_point_that_stands_twice_is_refused() -> None:
    text = str(
        refused(at(HEATING, Level.RATED, 17.0, 9.0), at(HEATING, Level.RATED, 17.1, 9.1)).value
    )
    assert "the heating point rated at 17 F stands twice" in text


def test_a_speed_that_the_kind_does_not_have_is_refused() -> None:
    text = str(refused(at(HEATING, Level.MAXIMUM, 17.0, 9.0), kind=SINGLE_SPEED).value)
    assert "a single speed unit has only rated" in text


def test_points_and_labels_of_a_function_that_is_not_sold_are_refused() -> None:
    with pytest.raises(EquipmentError, match="does not belong to a unit sold as air conditioner"):
        Plate(
            kind=INVERTER,
            service=Service.AIR_CONDITIONER,
            points=(rated_cooling(12.0), at(HEATING, Level.RATED, 47.0, 14.0)),
        )
    with pytest.raises(InputError, match="SEER2 18 is no heating figure"):
        replace(THREE_LINES, heating_label=label(Metric.SEER2, 18.0))
