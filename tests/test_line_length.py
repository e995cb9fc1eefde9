"""Refrigerant lines: capacity against length and height."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.equipment.curves import Function
from energymodel.equipment.line_length import capacity_factor
from energymodel.errors import EquipmentError

# Capacity multipliers of a 42 kBtu/h inverter split system, level, p. 64 of the maker's data
# (published): pipe length in m, cooling, heating.
PUBLISHED = [
    (15.0, 0.971, 0.987),
    (25.0, 0.942, 0.973),
    (35.0, 0.913, 0.960),
    (50.0, 0.870, 0.940),
    (65.0, 0.826, 0.920),
]
# The same table between 5 m and 15 m, at the 7.5 m of the rating (computed).
COOLING_AT_7_5 = 0.99275
HEATING_AT_7_5 = 0.99675


@pytest.mark.parametrize(("length_m", "cooling", "heating"), PUBLISHED)
def test_published_multipliers_relative_to_the_rated_length(length_m, cooling, heating):
    assert capacity_factor(length_m, function=Function.COOLING) == pytest.approx(
        cooling / COOLING_AT_7_5, abs=1e-12
    )
    assert capacity_factor(length_m, function=Function.HEATING) == pytest.approx(
        heating / HEATING_AT_7_5, abs=1e-12
    )


@pytest.mark.parametrize(
    ("function", "per_m"),
    # About -0.3 % per m in cooling and -0.13 % in heating (computed from the table).
    [(Function.COOLING, 0.003), (Function.HEATING, 0.0013)],
)
def test_loss_per_metre(function, per_m):
    lost = capacity_factor(7.5, function=function) - capacity_factor(57.5, function=function)
    assert lost / 50.0 == pytest.approx(per_m, rel=0.12)


@pytest.mark.parametrize("function", list(Function))
@pytest.mark.parametrize("length_m", [0.0, 3.0, 5.0, 7.5])
def test_short_line_gives_no_more_than_rated(function, length_m):
    assert capacity_factor(length_m, function=function) == 1.0


@pytest.mark.parametrize(
    ("function", "outdoor_above_m", "lost"),
    # Same data: indoor unit above costs cooling, outdoor unit above costs heating (published).
    [
        (Function.COOLING, -5.0, 0.005),
        (Function.COOLING, -10.0, 0.015),
        (Function.COOLING, 10.0, 0.0),
        (Function.HEATING, 5.0, 0.008),
        (Function.HEATING, 10.0, 0.016),
        (Function.HEATING, -10.0, 0.0),
        # Another book gives 0.025 as its largest loss (published).
        (Function.COOLING, -15.0, 0.025),
    ],
)
def test_height_costs_the_side_that_lifts_liquid(function, outdoor_above_m, lost):
    factor = capacity_factor(7.5, function=function, outdoor_above_m=outdoor_above_m)
    assert factor == pytest.approx(1.0 - lost, abs=1e-12)


@pytest.mark.parametrize("length_m", [-1.0, 66.0, float("nan")])
def test_length_outside_the_table_is_refused(length_m):
    with pytest.raises(EquipmentError, match="refrigerant line") as caught:
        capacity_factor(length_m, function=Function.HEATING)
    assert "maker's table" in caught.value.remedy


@pytest.mark.parametrize("height_m", [15.1, -16.0])
def test_height_outside_the_manuals_is_refused(height_m):
    with pytest.raises(EquipmentError, match="height"):
        capacity_factor(10.0, function=Function.COOLING, outdoor_above_m=height_m)


@given(
    shorter_m=st.floats(0.0, 60.0),
    more_m=st.floats(0.0, 5.0),
    height_m=st.floats(-15.0, 15.0),
    function=st.sampled_from(Function),
)
def test_longer_line_never_gives_more(shorter_m, more_m, height_m, function):
    near = capacity_factor(shorter_m, function=function, outdoor_above_m=height_m)
    far = capacity_factor(shorter_m + more_m, function=function, outdoor_above_m=height_m)
    assert 0.7 < far <= near + 1e-12 <= 1.0 + 1e-12
