"""The outdoor temperature at which two sources of heat cost the same."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from energymodel.arrays import Array
from energymodel.economics.break_even import (
    CostBalance,
    HeatSource,
    cost_balance,
    fuel_source,
    heat_pump_source,
)
from energymodel.economics.cost_of_heat import FuelHeater, break_even, fan_kwh_per_kwh_heat
from energymodel.economics.crossings import crossings
from energymodel.economics.fuels import SalePrice
from energymodel.errors import InputError
from energymodel.units import c_from_f, w_from_btu_h

_TRIES = settings(max_examples=50, deadline=None)
_GAS = FuelHeater(fuel_per_kwh=0.05, seasonal_efficiency=0.95)
_FURNACE = fuel_source("the furnace", _GAS, 0.15)


def _straight_cop(outdoor_c: Array) -> Array:
    return 3.0 + 0.06 * outdoor_c


def _against_furnace(source: HeatSource, coldest_c: float = -20.0) -> CostBalance:
    return cost_balance(source, _FURNACE, coldest_c=coldest_c, warmest_c=15.0)


def test_the_balance_lies_where_the_cop_meets_the_break_even_cop() -> None:
    # Analytic: 3 + 0.06 T = 0.15 / (0.05 / 0.95) = 2.85, so T = -2.5.
    found = _against_furnace(heat_pump_source("the heat pump", 0.15, _straight_cop))
    assert break_even(_GAS, 0.15).default == pytest.approx(2.85)
    assert found.single_c == pytest.approx(-2.5, abs=1e-9)
    assert found.cheaper == ("the furnace", "the heat pump")
    assert found.steps == (False,)


def test_a1_prices_balance_where_the_cop_is_2_33_with_the_fan_heat_credited() -> None:
    # Case A1 [F]: gas $0.96/therm, 93 %, 75,000 Btu/h, fan 0.5 kW, $0.085/kWh; 2.334 (computed).
    gas = SalePrice(price=0.96, per="therm", carrier="natural gas").price_per_kwh
    heater = FuelHeater(
        fuel_per_kwh=gas,
        seasonal_efficiency=0.93,
        fan_kwh_per_kwh_heat=fan_kwh_per_kwh_heat(
            fan_w=500.0, input_w=w_from_btu_h(75_000.0), seasonal_efficiency=0.93
        ),
    )
    pump = heat_pump_source("the heat pump", 0.085, _straight_cop)
    furnace = fuel_source("the furnace", heater, 0.085)
    found = cost_balance(pump, furnace, coldest_c=-25.0, warmest_c=15.0)
    assert found.single_c is not None
    assert _straight_cop(np.array(found.single_c)) == pytest.approx(2.334, abs=0.01)
    assert "furnace fan counted, its heat credited" in found.in_words()


@_TRIES
@given(st.floats(0.05, 0.5), st.floats(0.01, 0.2), st.floats(0.5, 0.98), st.floats(0.0, 0.03))
def test_the_balance_agrees_with_a_library_root_finder(
    electricity: float, fuel: float, efficiency: float, fan: float
) -> None:
    heater = FuelHeater(fuel_per_kwh=fuel, seasonal_efficiency=efficiency, fan_kwh_per_kwh_heat=fan)
    needed = break_even(heater, electricity).default
    found = cost_balance(
        heat_pump_source("pump", electricity, _straight_cop),
        fuel_source("furnace", heater, electricity),
        coldest_c=-25.0,
        warmest_c=18.0,
    )
    coldest, warmest = 3.0 + 0.06 * -25.0, 3.0 + 0.06 * 18.0
    if coldest < needed < warmest:
        at = brentq(lambda outdoor_c: 3.0 + 0.06 * outdoor_c - needed, -25.0, 18.0, xtol=1e-10)
        assert found.single_c == pytest.approx(at, abs=1e-6)
    elif needed < coldest:
        assert found.always_first
    else:
        assert found.never_first


def test_always_and_never_are_said_with_the_range() -> None:
    cheap = _against_furnace(heat_pump_source("the heat pump", 0.05, _straight_cop))
    assert cheap.always_first
    assert not cheap.never_first
    assert cheap.single_c is None
    assert cheap.in_words() == (
        "the heat pump is always cheaper than the furnace between -20.0 degC and 15.0 degC"
    )
    dear = _against_furnace(heat_pump_source("the heat pump", 0.47, _straight_cop))
    assert dear.never_first
    assert "the heat pump is never cheaper than the furnace" in dear.in_words()


def test_the_words_take_any_way_to_write_a_temperature() -> None:
    found = _against_furnace(heat_pump_source("the heat pump", 0.15, _straight_cop))
    words = found.in_words(lambda outdoor_c: f"{outdoor_c * 1.8 + 32:.0f} degF")
    assert words == "below 28 degF the furnace is cheaper, above 28 degF the heat pump"


def test_two_sources_of_equal_cost_have_no_balance() -> None:
    same = HeatSource(
        name="resistance", cost_per_kwh_heat=lambda outdoor_c: np.full(outdoor_c.shape, 0.05 / 0.95)
    )
    found = _against_furnace(same)
    assert found.cheaper == ("",)
    assert not found.always_first
    assert found.never_first
    assert found.in_words().startswith("resistance and the furnace cost the same between")


def test_several_balances_are_all_named() -> None:
    # Analytic: the frost dip 3.4 - 0.7 at 0 degC cuts 2.85 on either side, and the cold once more.
    def with_frost(outdoor_c: Array) -> Array:
        return np.interp(outdoor_c, [-20.0, -8.0, 0.0, 6.0], [2.0, 3.2, 2.7, 3.9])

    found = _against_furnace(heat_pump_source("the heat pump", 0.15, with_frost))
    expected = (-20 + 0.85 / 1.2 * 12, -8 + 0.35 / 0.5 * 8, 0.15 / 1.2 * 6)
    assert found.balances_c == pytest.approx(expected, abs=1e-9)
    assert found.cheaper == ("the furnace", "the heat pump", "the furnace", "the heat pump")
    assert found.in_words() == (
        "below -11.5 degC the furnace is cheaper, from -11.5 degC to -2.4 degC the heat pump, "
        "from -2.4 degC to 0.8 degC the furnace, above 0.8 degC the heat pump"
    )


def test_a_unit_that_stops_changes_the_source_by_a_step() -> None:
    def stops(outdoor_c: Array) -> Array:
        return np.where(outdoor_c < -10.03, 0.0, 3.5)

    found = _against_furnace(heat_pump_source("the heat pump", 0.15, stops))
    assert found.single_c == pytest.approx(-10.03, abs=1e-9)
    assert found.steps == (True,)
    assert "below -10.0 degC (a step in the cost) the furnace is cheaper" in found.in_words()


def test_a_range_without_any_source_a_negative_cop_and_an_empty_range_are_refused() -> None:
    stopped = heat_pump_source("the heat pump", 0.15, lambda outdoor_c: 0.0 * outdoor_c)
    with pytest.raises(InputError, match="neither the heat pump nor the heat pump runs at -20"):
        cost_balance(stopped, stopped, coldest_c=-20.0, warmest_c=0.0)
    negative = heat_pump_source("the heat pump", 0.15, lambda outdoor_c: outdoor_c)
    with pytest.raises(InputError, match="is negative at -20"):
        _against_furnace(negative)
    with pytest.raises(InputError, match="the range of outdoor temperature"):
        _against_furnace(stopped, coldest_c=15.0)
    unknown = HeatSource(name="stove", cost_per_kwh_heat=lambda outdoor_c: outdoor_c * np.nan)
    with pytest.raises(InputError, match="the heat of stove costs nan"):
        _against_furnace(unknown)


@pytest.mark.parametrize(
    ("carrier", "heat", "efficiency", "cop"),
    [
        ("propane", "91,500 Btu/gal", 0.95, 3.63),
        ("heating oil", "138,690 Btu/gal", 0.85, 4.92),
    ],
)
def test_b2_dear_electricity_needs_a_cop_that_this_unit_reaches_nowhere(
    carrier: str, heat: str, efficiency: float, cop: float
) -> None:
    # Case B2 [F]: 47 c/kWh, propane and oil $3.30 a gallon (computed).
    fuel = SalePrice(price=3.30, per="gal", carrier=carrier, heat_content=heat)
    heater = FuelHeater(fuel_per_kwh=fuel.price_per_kwh, seasonal_efficiency=efficiency)
    assert break_even(heater, 0.47).default == pytest.approx(cop, abs=0.01)
    found = cost_balance(
        heat_pump_source("the heat pump", 0.47, _straight_cop),
        fuel_source("the boiler", heater, 0.47),
        coldest_c=float(c_from_f(0.0)),
        warmest_c=float(c_from_f(47.0)),
    )
    assert found.never_first


def test_touching_zero_is_no_crossing_and_a_stretch_of_zero_is_one() -> None:
    grid = np.linspace(-2.0, 2.0, 9)
    assert crossings(np.square, grid) == ()
    flat = crossings(lambda x: np.sign(x) * np.maximum(np.abs(x) - 0.6, 0.0), grid)
    assert [one.at for one in flat] == [0.0]
    assert crossings(lambda x: x, grid)[0].at == 0.0


def test_a_curve_with_no_value_somewhere_is_refused() -> None:
    with pytest.raises(InputError, match="no value at -1"):
        crossings(lambda x: np.where(x == -1.0, np.nan, x), np.linspace(-2.0, 2.0, 5))
