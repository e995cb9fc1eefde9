"""Money per unit of heat delivered, against published comparison tables."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.economics.cost_of_heat import (
    FuelHeater,
    break_even,
    break_even_cop,
    cost_per_kwh_heat,
    dollars_per_mmbtu_delivered,
    equal_cost_price,
    fan_kwh_per_kwh_heat,
    yearly_cost,
)
from energymodel.economics.fuels import SalePrice, heat_content
from energymodel.errors import InputError
from energymodel.quantities import ENERGY, read_quantity
from energymodel.units import BTU_PER_WH

_TRIES = settings(max_examples=50, deadline=None)


def _delivered(price: SalePrice, efficiency: float) -> float:
    return dollars_per_mmbtu_delivered(price.price_per_kwh, efficiency)


# University of Connecticut extension, "Comparing Fuel Costs", updated 2013 (published): multiplier
# of the price for $/MMBtu delivered; half the last printed digit. Shelled corn and green chips are
# burned as a solid fuel with that table's heat content.
@pytest.mark.parametrize(
    ("carrier", "per", "heat", "efficiency", "printed", "half_digit"),
    [
        ("heating oil", "gal", "138,500 Btu/gal", 0.70, 10.3, 0.05),
        ("heating oil", "gal", "138,500 Btu/gal", 0.75, 9.6, 0.05),
        ("natural gas", "therm", None, 0.75, 13.3, 0.05),
        ("propane", "gal", "92,500 Btu/gal", 0.75, 14.4, 0.05),
        ("propane", "gal", "92,500 Btu/gal", 0.90, 12.0, 0.05),
        ("electricity", "kWh", None, 1.0, 293.0, 0.5),
    ],
)
def test_extension_multipliers_come_out_as_printed(
    carrier: str, per: str, heat: str | None, efficiency: float, printed: float, half_digit: float
) -> None:
    price = SalePrice(price=1.0, per=per, carrier=carrier, heat_content=heat)
    assert _delivered(price, efficiency) == pytest.approx(printed, abs=half_digit)


@pytest.mark.parametrize(
    ("carrier", "per", "heat", "efficiency", "divisor", "half_digit"),
    [
        ("wood", "cord", "20 MMBtu/cord", 0.60, 12.0, 0.05),  # hardwood
        ("wood", "cord", "12 MMBtu/cord", 0.60, 7.2, 0.05),  # softwood
        ("wood", "short ton", "4,500 Btu/lb", 0.75, 6.75, 0.005),  # green chips
        ("pellets", "short ton", "8,200 Btu/lb", 0.80, 13.1, 0.05),  # shelled corn
    ],
)
def test_extension_divisors_come_out_as_printed(
    carrier: str, per: str, heat: str, efficiency: float, divisor: float, half_digit: float
) -> None:
    # Same table: solid fuels are printed as a divisor of the price.
    price = SalePrice(price=1.0, per=per, carrier=carrier, heat_content=heat)
    assert 1 / _delivered(price, efficiency) == pytest.approx(divisor, abs=half_digit)


def test_extension_row_for_gas_at_90_percent_is_a_misprint_and_ours_is_11_11() -> None:
    # Same table prints 12.5, which is the multiplier at 80 %.
    price = SalePrice(price=1.0, per="therm", carrier="natural gas")
    assert _delivered(price, 0.90) == pytest.approx(11.111, abs=5e-4)
    assert _delivered(price, 0.80) == pytest.approx(12.5, abs=5e-4)


# State of Maine, heating fuel price comparisons on the energy basis: one winter and 8 Sep 2014
# (quoted from the press), 12 Oct 2021 (published). Heat contents implied by the rows (computed).
@pytest.mark.parametrize(
    ("price", "per", "carrier", "heat", "printed"),
    [
        (3.66, "gal", "heating oil", "138,690 Btu/gal", 26.39),
        (1.55, "therm", "natural gas", None, 15.50),
        (2.92, "gal", "propane", "91,333 Btu/gal", 31.97),
        (242.0, "short_ton", "pellets", "16.5 MMBtu/short_ton", 14.67),
        (250.0, "cord", "wood", "22 MMBtu/cord", 11.36),
        (0.15, "kWh", "electricity", None, 43.96),
        (3.38, "gal", "heating oil", "138,690 Btu/gal", 24.37),
        (2.85, "gal", "propane", "91,333 Btu/gal", 31.20),
        (3.91, "gal", "kerosene", None, 28.96),
        (1.45, "therm", "natural gas", None, 14.50),
        (275.0, "cord", "wood", "22 MMBtu/cord", 12.50),
        (268.0, "short_ton", "pellets", "16.5 MMBtu/short_ton", 16.24),
        (3.02, "gal", "heating oil", "138,690 Btu/gal", 21.78),
        (0.0505, "kWh", "electricity", None, 14.80),
        (3.55, "gal", "kerosene", None, 26.30),
        (3.17, "gal", "propane", "91,333 Btu/gal", 34.71),
        (2.059, "therm", "natural gas", None, 20.59),
    ],
)
def test_state_fuel_price_rows_come_out_to_the_cent(
    price: float, per: str, carrier: str, heat: str | None, printed: float
) -> None:
    sold = SalePrice(price=price, per=per, carrier=carrier, heat_content=heat)
    assert _delivered(sold, 1.0) == pytest.approx(printed, abs=0.01)


def test_state_heat_pump_row_is_met_within_the_rounding_of_its_printed_price() -> None:
    # Maine, 12 Oct 2021 (published): 5.97 c/kWh -> 17.51; the printed price is rounded.
    sold = SalePrice(price=0.0597, per="kWh", carrier="electricity")
    assert _delivered(sold, 1.0) == pytest.approx(17.51, abs=0.03)


def test_state_row_for_cheap_gas_is_a_misprint_and_ours_is_10_08() -> None:
    # Maine, 12 Oct 2021 prints 10.88 for 1.008 $/therm.
    sold = SalePrice(price=1.008, per="therm", carrier="natural gas")
    assert _delivered(sold, 1.0) == pytest.approx(10.08, abs=0.005)


def test_course_example_of_oil_is_11_54_where_the_page_rounds_to_11_50() -> None:
    # Penn State EGEE 102, open courseware, Ex. 1 (inputs published; exact value computed).
    oil = SalePrice(price=1.02, per="gal", carrier="heating oil", heat_content="0.13 MMBtu/gal")
    assert _delivered(oil, 0.68) == pytest.approx(11.538, abs=0.01)


def test_course_example_of_gas_and_oil_with_two_heat_contents() -> None:
    # Penn State EGEE 102, Ex. 2 (inputs published; results computed).
    gas = SalePrice(price=9.74, per="Mcf", carrier="natural gas", heat_content="1 MMBtu/Mcf")
    assert _delivered(gas, 0.90) == pytest.approx(10.82, abs=0.01)
    for heat, ours in (("0.13 MMBtu/gal", 9.52), ("0.14 MMBtu/gal", 8.84)):
        oil = SalePrice(price=0.99, per="gal", carrier="heating oil", heat_content=heat)
        assert _delivered(oil, 0.80) == pytest.approx(ours, abs=0.01)


def test_course_example_of_a_year_of_heat() -> None:
    # Penn State EGEE 102, a later page: 116.53 MMBtu at 24.77 and 10.50 $/MMBtu (published).
    heat_kwh = read_quantity("116.53 MMBtu", ENERGY)
    for per_mmbtu, exact in ((24.77, 2886.45), (10.50, 1223.57)):  # the page prints 2,886.44
        fuel = SalePrice(price=per_mmbtu, per="MMBtu", carrier="natural gas").price_per_kwh
        bill = yearly_cost(heat_kwh, price_per_kwh=fuel, seasonal_efficiency=1.0)
        assert bill == pytest.approx(exact, abs=0.01)


def test_dollars_per_mmbtu_of_a_heat_pump_is_1000_times_the_price_over_its_rating() -> None:
    # Identity: $/MMBtu = 1000 x ($/kWh) / HSPF (computed).
    assert dollars_per_mmbtu_delivered(0.14, 9.0 / BTU_PER_WH) == pytest.approx(140 / 9, rel=1e-12)


@pytest.mark.parametrize("efficiency", [0.0, -0.5, float("nan"), 92.0])
def test_an_efficiency_that_is_a_percentage_or_nothing_is_refused(efficiency: float) -> None:
    with pytest.raises(InputError, match="seasonal efficiency"):
        cost_per_kwh_heat(0.05, efficiency)


def test_a_fuel_heater_above_100_percent_is_asked_for_its_basis() -> None:
    with pytest.raises(InputError) as refused:
        FuelHeater(fuel_per_kwh=0.05, seasonal_efficiency=1.04)
    assert "net basis" in refused.value.remedy


def test_free_heat_has_no_break_even_cop() -> None:
    with pytest.raises(InputError, match="costs 0 per kWh"):
        break_even_cop(0.15, 0.0)


_PRICES = st.floats(0.005, 1.0)


@_TRIES
@given(_PRICES, _PRICES, st.floats(0.5, 1.0), st.floats(0.0, 0.1))
def test_at_the_break_even_cop_both_heats_cost_the_same(
    electricity: float, fuel: float, efficiency: float, fan: float
) -> None:
    heater = FuelHeater(fuel_per_kwh=fuel, seasonal_efficiency=efficiency, fan_kwh_per_kwh_heat=fan)
    found = break_even(heater, electricity)
    pairs = (
        (found.without_fan, heater.heat_without_fan()),
        (found.fan_counted, heater.heat_with_fan(electricity)),
        (found.fan_credited, heater.heat_with_fan_credited(electricity)),
    )
    for cop, heat in pairs:
        assert electricity / cop == pytest.approx(heat, rel=1e-12)
    assert found.default == found.fan_credited
    assert found.fan_counted <= found.fan_credited * (1 + 1e-12)
    # Fan heat is worth its electricity only below resistance: the three keep their order there.
    if heater.heat_without_fan() <= electricity:
        assert found.fan_credited <= found.without_fan * (1 + 1e-12)


@_TRIES
@given(st.floats(0.01, 1.0), st.floats(0.5, 1.0))
def test_the_equal_cost_price_gives_that_cost_of_heat(cost: float, efficiency: float) -> None:
    content = heat_content("propane", "gal", given="91,500 Btu/gal")
    price = equal_cost_price(cost, seasonal_efficiency=efficiency, content=content)
    sold = SalePrice(price=price, per="gal", carrier="propane", heat_content="91,500 Btu/gal")
    assert cost_per_kwh_heat(sold.price_per_kwh, efficiency) == pytest.approx(cost, rel=1e-12)


def test_the_words_name_the_convention() -> None:
    fan = fan_kwh_per_kwh_heat(fan_w=500.0, input_w=22_000.0, seasonal_efficiency=0.95)
    heater = FuelHeater(fuel_per_kwh=0.04, seasonal_efficiency=0.95, fan_kwh_per_kwh_heat=fan)
    words = break_even(heater, 0.12).words
    assert "fan counted, its heat credited" in words
    assert "without the fan" in words
