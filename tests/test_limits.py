"""What a performance table may not say, and what it is asked about."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.curves import (
    Frost,
    Function,
    PerformanceMap,
    TablePoint,
    map_from_table,
)
from energymodel.equipment.limits import (
    carnot_cooling,
    carnot_heating,
    check_map,
    kindest_carnot,
)
from energymodel.equipment.single_speed import heating_table
from energymodel.errors import EquipmentError
from energymodel.units import BTU_PER_WH, c_from_f, f_from_c

Row = tuple[str, float, float, float]


def heating(*rows: Row) -> PerformanceMap:
    """Rows of speed, outdoor F, capacity W, COP."""
    return _map(Function.HEATING, [(name, t, q, q / cop) for name, t, q, cop in rows])


def cooling(*rows: Row) -> PerformanceMap:
    """Rows of speed, outdoor F, capacity W, EER."""
    return _map(Function.COOLING, [(name, t, q, q * BTU_PER_WH / e) for name, t, q, e in rows])


def _map(function: Function, rows: list[Row]) -> PerformanceMap:
    points = [
        TablePoint(speed=name, outdoor_c=c_from_f(t), capacity_w=q, power_w=p)
        for name, t, q, p in rows
    ]
    return map_from_table(points, function=function, frost=Frost.STEADY, cd=0.25)


SOUND = (
    ("minimum", 47.0, 1_000.0, 5.0),
    ("minimum", 17.0, 800.0, 3.2),
    ("rated", 47.0, 4_000.0, 4.0),
    ("rated", 17.0, 2_800.0, 2.8),
    ("full", 47.0, 5_500.0, 3.1),
    ("full", 17.0, 4_400.0, 2.4),
    ("full", 5.0, 3_900.0, 2.1),
)


def test_sound_table_passes_without_a_word():
    assert check_map(heating(*SOUND)) == ()


def test_hard_limits_are_those_of_the_room_and_the_outdoor_air():
    # COP < T_in / (T_in - T_out) at 70 F indoors (computed).
    outdoor_c = c_from_f(np.array([-13.0, 5.0, 17.0, 35.0, 47.0]))
    limits = carnot_heating(outdoor_c, condenser_k=0.0, evaporator_k=0.0)
    assert limits.tolist() == pytest.approx([6.4, 8.1, 10.0, 15.1, 23.0], abs=0.06)


def test_carnot_with_usual_approaches():
    # 15 K and 8 K (computed to two decimals; the first is 4.475).
    outdoor_c = c_from_f(np.array([-13.0, 5.0, 17.0, 35.0, 47.0, 55.0]))
    limits = carnot_heating(outdoor_c, condenser_k=15.0, evaporator_k=8.0)
    assert limits.tolist() == pytest.approx([4.48, 5.23, 5.90, 7.29, 8.64, 9.87], abs=0.0053)


def test_second_law_efficiency_of_the_published_table():
    # A manufacturer's single-speed table (published), 15 K and 8 K (computed).
    table = heating_table()
    outdoor_f = [47, 35, 17, 5, 0, -10]
    rows = [table[np.argmin(np.abs(f_from_c(table[:, 0]) - t))] for t in outdoor_f]
    cop = np.array([(29.0 * q) / (2.25 * p) / 3.412 for _, q, p in rows])
    carnot = carnot_heating(
        c_from_f(np.array(outdoor_f, dtype=float)), condenser_k=15.0, evaporator_k=8.0
    )
    assert (cop / carnot).tolist() == pytest.approx([0.44, 0.45, 0.43, 0.40, 0.37, 0.30], abs=0.006)


def test_kindest_heating_limit_at_47_f():
    # Approaches of 8 K and 4 K at 47 F: Carnot 12.2 (computed).
    assert kindest_carnot(Function.HEATING, np.array([c_from_f(47.0)]))[0] == pytest.approx(
        12.2, abs=0.05
    )


def test_kindest_cooling_limit_at_95_f():
    # Computed by hand: evaporating 16.67 C = 289.82 K, condensing 40 C, lift 23.33 K.
    kindest = kindest_carnot(Function.COOLING, np.array([35.0]))[0]
    assert kindest == pytest.approx(289.82 / 23.333, rel=1e-4)
    assert carnot_cooling(np.array([35.0]), condenser_k=15.0, evaporator_k=18.0)[0] < kindest


def test_lift_is_at_least_10_k():
    # Computed: evaporating 289.82 K over a lift of 10 K.
    assert kindest_carnot(Function.COOLING, np.array([0.0]))[0] == pytest.approx(28.982, abs=0.001)
    assert kindest_carnot(Function.HEATING, np.array([60.0]))[0] == pytest.approx(
        (c_from_f(70.0) + 8.0 + 273.15) / 10.0
    )


def test_crossing_capacities_name_speed_temperature_and_values():
    rows = [row for row in SOUND if row[:2] != ("full", 17.0)]
    with pytest.raises(EquipmentError) as caught:
        check_map(heating(*rows, ("full", 17.0, 2_500.0, 2.0)))
    text = str(caught.value)
    assert "capacity of speed 'rated' at 17 F (-8.3 C) is 2800 W" in text
    assert "above the 2500 W of speed 'full'" in text


def test_capacities_that_cross_between_unlike_test_points_are_refused():
    # The rated speed has no 30 F point; full speed dips below its line there.
    with pytest.raises(EquipmentError, match="at 30 F"):
        check_map(heating(*SOUND, ("full", 30.0, 3_200.0, 2.4)))


def test_power_that_falls_with_speed_is_refused():
    rows = [row for row in SOUND if row[:2] != ("full", 47.0)]
    with pytest.raises(EquipmentError, match="power of speed 'rated' at 47 F"):
        check_map(heating(*rows, ("full", 47.0, 5_500.0, 6.0)))


def test_speeds_tested_at_different_temperatures_are_not_compared():
    check_map(heating(("minimum", 62.0, 3_000.0, 5.0), ("full", 17.0, 2_800.0, 2.5)))


def test_equal_capacity_of_two_speeds_is_accepted():
    rows = [row for row in SOUND if row[:2] != ("full", 17.0)]
    assert check_map(heating(*rows, ("full", 17.0, 2_800.0, 2.8))) != ()


@pytest.mark.parametrize(("rise", "refused"), [(1.029, False), (1.031, True)])
def test_only_speed_may_rise_with_cold_by_3_percent(rise, refused):
    table = heating(("one", 47.0, 4_000.0, 3.5), ("one", 17.0, 4_000.0 * rise, 2.5))
    if refused:
        with pytest.raises(EquipmentError, match=r"at most 3 % is possible"):
            check_map(table)
    else:
        assert check_map(table) == ()


def test_rated_speed_of_an_inverter_may_not_rise_with_cold():
    rows = [row for row in SOUND if row[:2] != ("rated", 17.0)]
    with pytest.raises(EquipmentError, match="capacity of speed 'rated'"):
        check_map(heating(*rows, ("rated", 17.0, 4_200.0, 2.8)))


@pytest.mark.parametrize("row", [("minimum", 5.0, 900.0, 2.6), ("full", -13.0, 4_000.0, 1.8)])
def test_limits_of_an_inverter_may_rise_with_cold_and_are_noticed(row):
    (notice,) = check_map(heating(*SOUND, row))
    assert notice.topic == "capacity"
    assert repr(row[0]) in notice.text
    assert f"{row[1]:.0f} F" in notice.text


def test_cooling_capacity_may_rise_with_cold():
    table = cooling(("full", 95.0, 3_500.0, 12.0), ("full", 82.0, 3_800.0, 15.0))
    assert check_map(table) == ()


@pytest.mark.parametrize(
    ("share", "outcome"), [(0.59, "passes"), (0.61, "questioned"), (0.71, "refused")]
)
@pytest.mark.parametrize("function", list(Function))
def test_second_law_limits(share, outcome, function):
    outdoor_c = np.array([c_from_f(17.0 if function is Function.HEATING else 95.0)])
    cop = share * float(kindest_carnot(function, outdoor_c)[0])
    table = _map(function, [("full", float(f_from_c(outdoor_c)[0]), 3_000.0, 3_000.0 / cop)])
    if outcome == "refused":
        with pytest.raises(EquipmentError, match="70% of the Carnot limit"):
            check_map(table)
    else:
        notices = check_map(table)
        assert [n.topic for n in notices] == ["efficiency"] * (outcome == "questioned")


def test_cop_above_8_asks_for_an_eer():
    # 70 F is mild enough for a COP of 8.5 to be possible.
    notices = check_map(heating(("minimum", 65.0, 1_000.0, 8.5), ("minimum", 47.0, 900.0, 5.0)))
    assert [n for n in notices if "is this an EER?" in n.text and "at 65 F" in n.text]


def test_eer_in_a_cop_field_is_refused_at_cold():
    # EER 10 entered as COP at 17 F: above 0.70 of Carnot 7.3 (computed).
    with pytest.raises(EquipmentError, match=r"COP 10\.00"):
        check_map(heating(("full", 17.0, 3_000.0, 10.0)))


def test_eer_below_5_asks_for_a_cop():
    (notice,) = check_map(cooling(("full", 95.0, 3_500.0, 3.5)))
    assert "EER 3.5 of speed 'full' at 95 F (35.0 C) is below 5: is this a COP?" in notice.text


def test_all_faults_stand_in_one_message():
    rows = [row for row in SOUND if row[1] != 17.0]
    with pytest.raises(EquipmentError) as caught:
        check_map(
            heating(
                *rows,
                ("minimum", 17.0, 3_000.0, 3.2),
                ("rated", 17.0, 2_800.0, 9.0),
                ("full", 17.0, 4_400.0, 2.4),
            )
        )
    text = str(caught.value)
    assert "'minimum' at 17 F" in text
    assert "COP 9.00" in text


@given(
    capacity_w=st.floats(1_000.0, 20_000.0),
    cop=st.floats(1.0, 30.0),
    outdoor_f=st.floats(-20.0, 65.0),
)
def test_single_point_is_refused_exactly_above_the_limit(capacity_w, cop, outdoor_f):
    table = heating(("full", outdoor_f, capacity_w, cop))
    limit = 0.70 * float(kindest_carnot(Function.HEATING, np.array([c_from_f(outdoor_f)]))[0])
    if cop > limit * (1 + 1e-9):
        with pytest.raises(EquipmentError):
            check_map(table)
    elif cop < limit * (1 - 1e-9):
        check_map(table)
