"""One-line checks of units and bills, and a textbook season by degree-days.

The printed figures stand on trade pages (T), a forum (F) and in a paper (P); the right ones are
computed. Where a printed figure is wrong, the test asserts ours and says so in its name.
"""

from __future__ import annotations

import pytest

from energymodel.building.envelope import degree_day_heat_kwh
from energymodel.economics.cost_of_heat import yearly_cost
from energymodel.economics.fuels import SalePrice, heat_content
from energymodel.quantities import POWER, TEMPERATURE_DIFFERENCE, convert, read_quantity
from energymodel.units import BTU_PER_WH


def _electricity(per_kwh: float) -> float:
    return SalePrice(price=per_kwh, per="kWh", carrier="electricity").price_per_kwh


def test_room_unit_of_eer_9_draws_1333_w_and_costs_17_cents_an_hour() -> None:
    # One-line check [F]: EER 9, 12,000 Btu/h, 13 c.
    power_w = read_quantity("12,000 Btu/h", POWER) / (9 / BTU_PER_WH)
    assert power_w == pytest.approx(1333, abs=0.5)
    assert power_w / 1000 * _electricity(0.13) == pytest.approx(0.173, abs=5e-4)


def test_a_ton_at_eer_12_for_1500_hours_costs_225_dollars() -> None:
    # One-line check [T]: 1,500 kWh per ton, 15 c.
    cold_kwh = read_quantity("1 ton_of_refrigeration", POWER) * 1500 / 1000
    used_kwh = cold_kwh / (12 / BTU_PER_WH)
    assert used_kwh == pytest.approx(1500, rel=1e-9)
    bill = yearly_cost(cold_kwh, price_per_kwh=0.15, seasonal_efficiency=12 / BTU_PER_WH)
    assert bill == pytest.approx(225, rel=1e-9)


@pytest.mark.parametrize(("rating", "cop"), [(9.0, 2.638), (8.0, 2.3446)])
def test_rating_in_btu_per_watt_hour_over_3_412_is_the_cop(rating: float, cop: float) -> None:
    # One-line checks [T]: printed 2.637 (factor 3.413) and 2.34.
    assert convert(rating, "Btu/Wh", "dimensionless") == pytest.approx(cop, abs=5e-4)


def test_printed_month_of_an_800_w_unit_is_wrong_and_ours_is_23_04() -> None:
    # One-line check [T]: 800 W x 8 h x 30 d at $0.12, printed $22.92.
    used_kwh = read_quantity("800 W", POWER) / 1000 * 8 * 30
    assert used_kwh * _electricity(0.12) == pytest.approx(23.04, abs=0.005)


def test_baseboard_of_3000_w_for_14_4_hours_uses_43_2_kwh() -> None:
    # One-line check [T]: the page divides by three, right only by luck.
    assert read_quantity("3000 W", POWER) / 1000 * 14.4 == pytest.approx(43.2, rel=1e-12)


def test_winter_discount_of_6_cents_saving_540_dollars_means_9000_kwh() -> None:
    # One-line check [T].
    assert 540 / _electricity(0.06) == pytest.approx(9000, rel=1e-12)


def test_pilot_saving_of_400_dollars_over_2000_kwh_means_20_cents() -> None:
    # One-line check [P].
    assert yearly_cost(2000, price_per_kwh=_electricity(0.20), seasonal_efficiency=1.0) == 400


def test_recent_winters_have_0_963_of_the_typical_years_heat() -> None:
    # One-line check [T]: degree-days 6,812 in 2011-16, 7,071 in the typical year.
    recent, typical = (degree_day_heat_kwh(100.0, f_d * 5 / 9) for f_d in (6812.0, 7071.0))
    assert recent / typical == pytest.approx(0.963, abs=5e-4)


def test_h2_textbook_degree_day_problem_is_106_54_mmbtu_and_1158_therm() -> None:
    # Engineering textbook (inputs quoted, result computed): 52,000 Btu/h at 73 F, 6,232 F d, 92 %.
    ua = read_quantity("52,000 Btu/h", POWER) / read_quantity("73 degF", TEMPERATURE_DIFFERENCE)
    heat_kwh = degree_day_heat_kwh(ua, read_quantity("6232 degF", TEMPERATURE_DIFFERENCE))
    assert convert(heat_kwh, "kWh", "MMBtu") == pytest.approx(106.54, abs=0.01)
    therm = heat_content("natural gas", "therm")
    assert therm.amount(heat_kwh / 0.92) == pytest.approx(1158, abs=0.5)
    cubic_foot = heat_content("natural gas", "ft3", given="1000 Btu/ft3")
    assert cubic_foot.amount(heat_kwh / 0.92) == pytest.approx(115_806, abs=5)
    assert convert(heat_kwh / 0.92, "kWh", "MMBtu") == pytest.approx(115.81, abs=0.01)
