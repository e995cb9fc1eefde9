"""Part-load shapes of inverters, against the values worked out from the published polynomials."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.arrays import Array
from energymodel.equipment.curves import Function
from energymodel.ratings.plate.shapes import (
    LOW_CAPACITY_COMPRESSOR,
    ORDINARY,
    NationalStandardShape,
    RatedSize,
    parabola,
)

UNIT_A = RatedSize(cooling_w=3500.0, rated_w=4150.0, maximum_w=6920.0)
OUTPUTS = np.array([0.15, 0.25, 0.50, 0.75, 1.0, 1.25])

# COP over the rated 7 degC COP at the outputs above; computed from a national calculation standard
# for room air conditioners (Japan), chapter 4 section 3, for qC 3.5 kW, qH 4.15 kW, mH 6.92 kW
TABLE = {
    -15.0: ([0.38, 0.53, 0.66, 0.67, 0.64, 0.58], [0.82, 0.85, 0.79, 0.74, 0.70, 0.67]),
    -8.3: ([0.42, 0.59, 0.75, 0.76, 0.73, 0.66], [0.92, 0.95, 0.89, 0.82, 0.78, 0.73]),
    -5.0: ([0.45, 0.63, 0.80, 0.81, 0.77, 0.71], [0.97, 1.01, 0.94, 0.87, 0.82, 0.76]),
    0.0: ([0.48, 0.68, 0.88, 0.90, 0.86, 0.79], [1.05, 1.11, 1.03, 0.95, 0.88, 0.82]),
    1.7: ([0.50, 0.71, 0.92, 0.93, 0.89, 0.82], [1.08, 1.15, 1.07, 0.98, 0.91, 0.84]),
    7.0: ([0.55, 0.78, 1.03, 1.05, 1.00, 0.92], [1.19, 1.27, 1.19, 1.08, 1.00, 0.92]),
    8.3: ([0.56, 0.80, 1.06, 1.08, 1.03, 0.95], [1.21, 1.31, 1.22, 1.11, 1.02, 0.94]),
    12.0: ([0.60, 0.87, 1.17, 1.19, 1.13, 1.04], [1.29, 1.41, 1.32, 1.20, 1.10, 1.01]),
}


def heating(shape: NationalStandardShape, outdoor_c: float, output: Array) -> Array:
    place = np.full_like(output, outdoor_c)
    return shape.relative_cop(Function.HEATING, UNIT_A, place, output)


@pytest.mark.parametrize("outdoor_c", TABLE)
@pytest.mark.parametrize(("shape", "column"), [(ORDINARY, 0), (LOW_CAPACITY_COMPRESSOR, 1)])
def test_a_shape_has_the_published_form(
    shape: NationalStandardShape, column: int, outdoor_c: float
) -> None:
    printed = np.array(TABLE[outdoor_c][column])
    # printed to 0.01, so each ratio of two printed values may be off by half a unit of both; at
    # 8.3 degC, which stands for 47 F, by a little more
    rated = printed[4]
    error = (0.005 + 0.005 * printed / rated) / rated + 0.004
    np.testing.assert_array_less(
        np.abs(heating(shape, outdoor_c, OUTPUTS) - printed / rated), error
    )


def test_a_low_capacity_compressor_gains_down_to_a_quarter_and_an_ordinary_one_loses() -> None:
    # computed, -15 to 12 degC: +13 to 20 % at half and +21 to 28 % at a quarter of rated output;
    # ordinary +2 to 3 % at half, -17 to -22 % at a quarter; each from values rounded to 0.01
    for outdoor_c in TABLE:
        half, quarter = heating(LOW_CAPACITY_COMPRESSOR, outdoor_c, np.array([0.5, 0.25]))
        assert 1.125 <= half <= 1.205
        assert 1.20 <= quarter <= 1.29
        half, quarter = heating(ORDINARY, outdoor_c, np.array([0.5, 0.25]))
        assert 1.015 <= half <= 1.04
        assert 0.775 <= quarter <= 0.835


@given(
    shape=st.sampled_from([ORDINARY, LOW_CAPACITY_COMPRESSOR]),
    function=st.sampled_from(Function),
    cooling_w=st.floats(min_value=2000.0, max_value=20_000.0),
    reserve=st.floats(min_value=1.0, max_value=1.9),
    outdoor_c=st.floats(min_value=-30.0, max_value=50.0),
)
def test_a_shape_is_one_at_rated_output_and_positive_everywhere(
    shape: NationalStandardShape,
    function: Function,
    cooling_w: float,
    reserve: float,
    outdoor_c: float,
) -> None:
    size = RatedSize(cooling_w=cooling_w, rated_w=cooling_w, maximum_w=reserve * cooling_w)
    output = np.array([0.001, 0.05, 0.2, 0.6, 1.0, 1.2])
    ratio = shape.relative_cop(function, size, np.full_like(output, outdoor_c), output)
    assert ratio[4] == pytest.approx(1.0, rel=1e-12)
    assert np.all(np.isfinite(ratio))
    assert np.all(ratio > 0)


def test_coefficients_between_two_printed_sizes_are_linear() -> None:
    # the standard: p at 2.2, 4.0 and 7.1 kW, linear in between, held outside
    polynomial = LOW_CAPACITY_COMPRESSOR.polynomial
    middle = polynomial(Function.HEATING, 3100.0)
    ends = [polynomial(Function.HEATING, w) for w in (2200.0, 4000.0)]
    np.testing.assert_allclose(middle, 0.5 * (ends[0] + ends[1]))
    np.testing.assert_array_equal(
        polynomial(Function.COOLING, 15_000.0), polynomial(Function.COOLING, 7100.0)
    )


def test_beyond_its_range_of_temperature_a_shape_is_held() -> None:
    np.testing.assert_array_equal(
        heating(ORDINARY, -40.0, OUTPUTS), heating(ORDINARY, -15.0, OUTPUTS)
    )


def test_a_parabola_goes_through_its_three_points() -> None:
    knots = (np.array([1.0]), np.array([3.0]), np.array([4.0]))
    values = (np.array([2.0]), np.array([5.0]), np.array([1.0]))
    for x, y in zip(knots, values, strict=True):
        assert parabola(x, knots, values)[0] == pytest.approx(y[0])
    straight = (np.array([2.0]), np.array([6.0]), np.array([8.0]))
    assert parabola(np.array([2.0]), knots, straight)[0] == pytest.approx(4.0)
