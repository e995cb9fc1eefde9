"""A map from plate values: given values stay, guessed ones meet the label."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from energymodel.equipment.curves import Function, PerformanceMap
from energymodel.errors import EquipmentError
from energymodel.ratings.plate.input import (
    INVERTER,
    INVERTER_COLD_CLIMATE,
    SINGLE_SPEED,
    TWO_STAGE,
    Level,
    Plate,
    PlateKind,
    PlatePoint,
)
from energymodel.ratings.plate.metrics import Label, Metric, Product
from energymodel.ratings.plate.performance import PlateMap, plate_map
from energymodel.ratings.plate.set import PlateSet
from energymodel.ratings.us.season import cooling_season, heating_season, kernel_rating
from energymodel.ratings.us.seasonal import hspf, hspf2, seer2
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


# --- the label ------------------------------------------------------------------------------------


@pytest.mark.parametrize("plate", [THREE_LINES, BROCHURE], ids=["three lines", "brochure"])
def test_the_map_of_a_plate_rates_as_its_label_says_by_both_ways(plate: Plate) -> None:
    assert plate.heating_label is not None
    assert plate.cooling_label is not None
    for one in sets(plate_map(plate)):
        assert hspf2(one.unit).value_btu_per_wh == pytest.approx(
            plate.heating_label.value, rel=CLOSE
        )
        assert seer2(one.unit).value_btu_per_wh == pytest.approx(
            plate.cooling_label.value, rel=CLOSE
        )
        # the kernel on the standard's bins, before the demand-defrost credit
        credit = hspf2(one.unit).defrost_factor
        by_kernel = kernel_rating(heating_season(one.unit)) * credit
        assert by_kernel == pytest.approx(plate.heating_label.value, rel=CLOSE)
        assert kernel_rating(cooling_season(one.unit)) == pytest.approx(
            plate.cooling_label.value, rel=CLOSE
        )


# federal minimum pairs from 2023, 10 CFR 430.32(c), and their classes
MINIMUMS = [
    (SINGLE_SPEED, Product.DUCTED_SPLIT, 14.3, 7.5),
    (SINGLE_SPEED, Product.SINGLE_PACKAGE, 13.4, 6.7),
    (SINGLE_SPEED, Product.SPACE_CONSTRAINED, 11.9, 6.3),
    (TWO_STAGE, Product.DUCTED_SPLIT, 14.3, 7.5),
]


@pytest.mark.parametrize(("kind", "product", "seer2_label", "hspf2_label"), MINIMUMS)
def test_a_unit_at_the_federal_minimum_is_met_by_usual_values(
    kind: PlateKind, product: Product, seer2_label: float, hspf2_label: float
) -> None:
    plate = Plate(
        kind=kind,
        product=product,
        points=(rated_cooling(36.0),),
        heating_label=label(Metric.HSPF2, hspf2_label),
        cooling_label=label(Metric.SEER2, seer2_label),
    )
    made = plate_map(plate)
    assert made.ratings["HSPF2"] == pytest.approx(hspf2_label, rel=CLOSE)
    for function in Function:
        assert 0.85 <= made.multiplier[function] <= 1.15


@pytest.mark.parametrize(
    ("heating", "cooling"),
    [(Metric.HSPF, Metric.SEER), (Metric.SCOP, Metric.SEER_EUROPE)],
)
def test_old_us_and_european_labels_are_met_by_their_own_procedures(
    heating: Metric, cooling: Metric
) -> None:
    figures = {Metric.HSPF: 10.5, Metric.SEER: 20.0, Metric.SCOP: 4.0, Metric.SEER_EUROPE: 6.5}
    plate = replace(
        THREE_LINES,
        heating_label=label(heating, figures[heating]),
        cooling_label=label(cooling, figures[cooling]),
    )
    made = plate_map(plate)
    assert made.ratings[heating.value] == pytest.approx(figures[heating], rel=CLOSE)
    assert made.ratings[cooling.value] == pytest.approx(figures[cooling], rel=CLOSE)
    if heating is Metric.HSPF:
        assert hspf(made.unit).value_btu_per_wh == pytest.approx(10.5, rel=CLOSE)


def test_the_multiplier_acts_on_the_power_of_guessed_points_only() -> None:
    met, usual = brochure(), plate_map(replace(BROCHURE, heating_label=None))
    factor = met.multiplier[HEATING]
    assert abs(factor - 1.0) > 0.005
    for speed, outdoor_f, guessed in (
        ("rated", 47.0, False),
        ("rated", 17.0, False),
        ("full", 17.0, False),
        ("full", 5.0, False),
        ("full", 47.0, True),
        ("minimum", 47.0, True),
        ("minimum", 17.0, True),
        ("rated", 5.0, True),
    ):
        (q_met, cop_met), (q_usual, cop_usual) = (
            read(one.heating, speed, outdoor_f) for one in (met, usual)
        )
        assert q_met == pytest.approx(q_usual, rel=1e-12), "capacities are never touched"
        wanted = cop_usual / factor if guessed else cop_usual
        assert cop_met == pytest.approx(wanted, rel=1e-9), (speed, outdoor_f)


def test_every_given_value_stands_in_the_map_of_all_three_sets() -> None:
    for one in sets(brochure()):
        for point in BROCHURE.points:
            performance = one.mapped.heating if point.function is HEATING else one.mapped.cooling
            name = BROCHURE.kind.speeds[point.level]
            capacity, cop = read(performance, name, point.outdoor_c * 1.8 + 32.0)
            assert point.capacity_w is not None
            assert capacity == pytest.approx(point.capacity_w * BTU_PER_WH / 1000.0, rel=1e-12)
            if point.cop is not None:
                assert cop == pytest.approx(point.cop, rel=1e-12)


def test_the_defrost_credit_is_part_of_the_low_and_high_set() -> None:
    made = three_lines()
    # limits of the credit, 10 CFR 430 Subpart B, Appendix M1, section 3.9.2 (from memory)
    assert [hspf2(one.unit).defrost_factor for one in sets(made)] == pytest.approx(
        [1.03, 1.015, 1.0]
    )
    known = plate_map(replace(THREE_LINES, defrost_credit=1.02))
    assert [hspf2(one.unit).defrost_factor for one in sets(known)] == pytest.approx([1.02] * 3)


def test_the_sets_differ_where_something_was_guessed_and_only_there() -> None:
    made = brochure()
    assert read(made.low.mapped.heating, "full", 47.0) != read(
        made.high.mapped.heating, "full", 47.0
    )
    assert read(made.low.mapped.heating, "full", 5.0) == read(made.high.mapped.heating, "full", 5.0)
    low, likely, high = (read(one.mapped.heating, "full", 5.0)[0] for one in sets(three_lines()))
    assert low < likely < high


def test_a_wide_multiplier_is_reported() -> None:
    plate = replace(THREE_LINES, heating_label=label(Metric.HSPF2, 7.5))
    made = plate_map(plate)
    assert made.multiplier[HEATING] > 1.15
    text = " ".join(note.text for note in made.notices)
    assert f"times {made.multiplier[HEATING]:.2f}" in text
    assert "0.85 to 1.15 is usual" in text


def test_a_label_that_no_unit_of_the_kind_has_is_refused() -> None:
    with pytest.raises(EquipmentError, match=r"HSPF2 17 cannot be met: the usual values give"):
        plate_map(replace(THREE_LINES, heating_label=label(Metric.HSPF2, 17.0)))


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


def test_a_missed_label_is_reported_where_nothing_was_guessed() -> None:
    own = plate_map(FULL_TABLE).ratings["HSPF2"]
    near = plate_map(replace(FULL_TABLE, heating_label=label(Metric.HSPF2, 1.04 * own)))
    assert near.multiplier[HEATING] == 1.0
    assert near.notices == ()
    far = plate_map(replace(FULL_TABLE, heating_label=label(Metric.HSPF2, 1.08 * own)))
    (note,) = far.notices
    assert "is missed by" in note.text
    assert "nothing was guessed" in note.text


def test_a_complete_table_is_taken_as_it_is() -> None:
    made = plate_map(FULL_TABLE)
    for one in sets(made):
        assert read(one.mapped.heating, "full", 17.0) == pytest.approx((21.5, 2.45))
        assert read(one.mapped.cooling, "full", 95.0)[0] == pytest.approx(36.0)
    names = [entry.name for entry in made.guessed]
    assert not [name for name in names if name.endswith(("capacity", "COP", "EER"))]


def test_what_was_guessed_is_listed_with_value_range_and_source() -> None:
    guessed = {entry.name: entry for entry in three_lines().guessed}
    five = guessed["heating, full, 5 F, capacity"]
    assert "(" in five.value
    assert "to" in five.value
    assert "common practice" in five.source
    assert "cooling, rated, 95 F, capacity" not in guessed, "it was given"
    assert "demand-defrost credit inside the heating label" in guessed
    assert "product class" in guessed
    assert all(entry.source for entry in guessed.values())


def test_a_conversion_that_fed_a_first_guess_is_said() -> None:
    plate = Plate(
        kind=SINGLE_SPEED,
        points=(rated_cooling(36.0),),
        heating_label=label(Metric.HSPF2, 7.5),
        cooling_label=label(Metric.SEER2, 14.3),
    )
    texts = [note.text for note in plate_map(plate).notices]
    assert any("HSPF2 7.5 was taken as HSPF 8.82" in text for text in texts)
    assert any("0.95 for the class ducted split" in text for text in texts)
    assert not three_lines().notices, "inverters use no relation to the old metrics"
