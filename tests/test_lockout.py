"""Best switch temperature of a heat pump with its own backup, against the choice of each hour."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from energymodel.season.result import HEATING
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.house_tariffs import house_tariffs
from energymodel.study.comparison.marginal_price import marginal_hour_price
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.switchover.dual_fuel import DualFuel, dual_fuel
from energymodel.study.switchover.lockout import Lockout, lockout, lockouts
from energymodel.study.switchover.pairs import switch_pairs
from energymodel.units import c_from_f

# House, prices and tariffs are invented; relations between results are checked.
HOUSE = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
ua = "400 Btu/(h degF)"
balance_temperature = "60 degF"
design_temperature = "15 degF"
[price.natural_gas]
energy = 1.32
per = "therm"
[[option]]
name = "Dual"
[option.heating]
kind = "heat pump"
unit = "two-stage-36"
off = "OFF degF"
ducts = { efficiency = 0.80 }
[option.heating.backup]
runs = "instead"
heater = { kind = "furnace", fuel = "natural gas", afue = 0.95, output = "60 kBtu/h", \
blower = "400 W" }
"""
FLAT = '[price.electricity]\nenergy = 0.135\nper = "kWh"\n'
OTHER = ", ".join(["600.0"] * 12)
BY_TARIFF = f'[price.electricity]\ntariff = "rate.toml"\nother_use_kwh = [{OTHER}]\n'
HEAD = 'name = "Rate"\ncurrency = "USD"\neffective = 2026-01-01\n'
TWO_PRICES = """
[[energy]]
name = "Energy"
[[energy.period]]
name = "peak"
price = 0.36
when = [{ days = "weekdays", hours = ["6-10", "17-21"] }]
[[energy.period]]
name = "off-peak"
price = 0.08
"""


def run(folder: Path, price: str = FLAT, rate: str = "", off: str = "30") -> Comparison:
    (folder / "rate.toml").write_text(HEAD + rate, "utf-8")
    (folder / "house.toml").write_text(HOUSE.replace("OFF", off) + price, "utf-8")
    return compare(folder / "house.toml")


def ways(comparison: Comparison) -> DualFuel:
    found = dual_fuel(comparison, comparison.outcomes[0], house_tariffs(comparison))
    assert found is not None
    return found


@pytest.fixture(scope="module")
def flat(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return run(tmp_path_factory.mktemp("flat"))


@pytest.fixture(scope="module")
def two_prices(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return run(tmp_path_factory.mktemp("two"), BY_TARIFF, TWO_PRICES)


def _cost_at(one: Lockout, switch_c: float) -> float:
    place = int(np.searchsorted(one.switch_c, switch_c + 1e-9)) - 1
    return float(one.yearly_cost[max(place, 0)])


@pytest.mark.parametrize("off", ["10", "30", "44"])
def test_a_comparison_with_that_switch_costs_what_the_curve_says(
    tmp_path: Path, flat: Comparison, off: str
) -> None:
    (found,) = lockouts(flat)
    there = run(tmp_path, off=off).outcomes[0]
    heating = float(there.cost_by_month[HEATING].sum())
    assert _cost_at(found, c_from_f(float(off))) == pytest.approx(heating, rel=1e-12)


def test_each_hour_at_its_cheaper_source_costs_no_more_than_any_switch(flat: Comparison) -> None:
    (found,) = lockouts(flat)
    assert found.hourly_cost <= found.best_cost * (1.0 + 1e-12)
    assert found.best_cost == found.yearly_cost.min()
    assert found.best_cost < found.always_pump_cost
    assert found.best_cost < found.backup_alone_cost
    assert found.as_set_cost == pytest.approx(_cost_at(found, c_from_f(30.0)), rel=1e-12)
    assert found.pump_hours + found.backup_hours == int(
        flat.outcomes[0].result.total("heating_loaded_h")
    )


def test_the_best_switch_lies_by_the_cost_balance_and_inside_its_flat_range(
    flat: Comparison,
) -> None:
    (found,), (pair,) = lockouts(flat), switch_pairs(flat)
    low, high = found.flat_range_c
    assert pair.balance.single_c is not None
    assert low <= found.best_c <= high
    assert low <= pair.balance.single_c <= high
    # real hours have their own humidity, and a standing unit draws more idle power
    assert found.best_c == pytest.approx(pair.balance.single_c, abs=2.5)
    inside = (found.switch_c >= low) & (found.switch_c <= high)
    assert (found.yearly_cost[inside] <= 1.01 * found.best_cost).all()
    assert (found.yearly_cost[inside] <= 1.01 * found.best_cost).sum() < found.switch_c.size


def test_without_frost_and_idle_power_the_best_switch_is_the_last_step_below_the_balance(
    tmp_path: Path,
) -> None:
    text = HOUSE.replace('off = "OFF degF"', "frost_loss = false") + FLAT
    (tmp_path / "house.toml").write_text(text, "utf-8")
    dry = compare(tmp_path / "house.toml")
    (pair,) = switch_pairs(dry)
    outcome = dry.outcomes[0]
    option = replace(outcome.planned.option, idle=())
    bare = replace(outcome, planned=replace(outcome.planned, option=option))
    dual = dual_fuel(dry, bare, {})
    assert dual is not None
    found = lockout(dual)
    assert found.hourly_cost == pytest.approx(found.best_cost, rel=1e-12)
    above_c = float(found.switch_c[found.best + 1])
    assert pair.balance.single_c is not None
    assert found.best_c <= pair.balance.single_c <= above_c
    assert found.as_set_c is None


def test_idle_power_of_a_standing_heat_pump_moves_the_best_switch_down(tmp_path: Path) -> None:
    # while it runs it draws no crankcase heat, so running costs a little less than it seems
    text = HOUSE.replace('off = "OFF degF"', "frost_loss = false") + FLAT
    (tmp_path / "house.toml").write_text(text, "utf-8")
    dry = compare(tmp_path / "house.toml")
    (found,), (pair,) = lockouts(dry), switch_pairs(dry)
    assert pair.balance.single_c is not None
    assert found.best_c < pair.balance.single_c


def test_cheap_electricity_never_switches_and_dear_electricity_always_does(tmp_path: Path) -> None:
    cheap = lockouts(run(tmp_path, FLAT.replace("0.135", "0.05")))[0]
    assert cheap.best == 0
    assert cheap.best_in_words().startswith("never (the heat pump at all temperatures)")
    dear = lockouts(run(tmp_path, FLAT.replace("0.135", "0.60")))[0]
    assert dear.best_c == dear.switch_c[-1]
    assert dear.best_in_words().startswith("always (the backup at all temperatures)")
    assert dear.best_cost == dear.backup_alone_cost


def test_under_two_prices_no_fixed_switch_is_as_good_as_the_hourly_choice(
    two_prices: Comparison,
) -> None:
    (found,) = lockouts(two_prices)
    assert found.by_tariff
    assert found.hourly_cost < 0.97 * found.best_cost
    assert found.as_set_cost == pytest.approx(
        float(two_prices.outcomes[0].cost_by_month[HEATING].sum()), rel=1e-12
    )


def test_under_two_prices_the_furnace_takes_the_dear_hours(two_prices: Comparison) -> None:
    dual = ways(two_prices)
    assert sorted(set(np.round(dual.price_per_kwh, 9))) == [0.08, 0.36]
    peak = dual.loaded & (dual.price_per_kwh > 0.3)
    mild = dual.loaded & (dual.price_per_kwh < 0.1) & (dual.outdoor_c > 0.0)
    assert not dual.pump_is_better[peak].any()
    assert dual.pump_is_better[mild].all()


def test_the_hourly_cost_is_the_bill_with_heating_less_the_bill_without(
    two_prices: Comparison,
) -> None:
    dual = ways(two_prices)
    better = dual.pump_is_better
    used = np.where(better, dual.pump.electricity_kwh, dual.backup.electricity_kwh)
    fuel = np.where(better, dual.pump.fuel_cost, dual.backup.fuel_cost)
    by_hand = float((used * dual.price_per_kwh + fuel).sum())  # two prices, no blocks, no demand
    assert lockout(dual).hourly_cost == pytest.approx(by_hand, rel=1e-9)


def test_the_price_of_one_more_kwh_is_that_of_the_block_that_the_month_has_reached(
    tmp_path: Path,
) -> None:
    rate = """
    [[energy]]
    name = "Energy"
    blocks = [{ up_to = "500 kWh per month", price = 0.10 }, { price = 0.25 }]
    [[rider]]
    name = "Rider"
    price = 0.02
    [[demand]]
    name = "Demand"
    price = 9.0
    """
    house = house_tariffs(run(tmp_path, BY_TARIFF, rate))["electricity"]
    few = marginal_hour_price(house, np.full(8760, 0.1))
    many = marginal_hour_price(house, np.full(8760, 2.0))
    assert few == pytest.approx(np.full(8760, 0.12), rel=1e-9)
    assert many == pytest.approx(np.full(8760, 0.27), rel=1e-9)


def test_without_demand_a_tax_is_part_of_the_price_of_one_more_kwh(tmp_path: Path) -> None:
    rate = """
    [[energy]]
    name = "Energy"
    price = 0.10
    [[percent]]
    name = "Tax"
    percent = 5.0
    """
    house = house_tariffs(run(tmp_path, BY_TARIFF, rate))["electricity"]
    assert marginal_hour_price(house, house.other_kwh) == pytest.approx(
        np.full(8760, 0.105), rel=1e-9
    )


def test_in_hours_that_the_tariff_cuts_off_the_furnace_runs(tmp_path: Path) -> None:
    rate = (
        TWO_PRICES.replace("0.36", "0.08")
        + """
    [[interruption]]
    name = "Cold evenings"
    when = [{ hours = "17-21" }]
    at_or_below = "32 degF"
    """
    )
    comparison = run(tmp_path, BY_TARIFF, rate)
    dual = ways(comparison)
    (found,) = lockouts(comparison)
    assert found.forced_hours == int((dual.forced & dual.loaded).sum()) > 50
    assert (dual.outdoor_c[dual.forced] <= 0.0).all()
    fuel = dual.pump.fuel_cost[dual.forced]
    assert np.array_equal(fuel, dual.backup.fuel_cost[dual.forced])
    assert (fuel > 0).all()
    assert found.as_set_cost >= found.hourly_cost


def test_a_backup_that_is_too_small_alone_is_never_the_best_switch(tmp_path: Path) -> None:
    small = HOUSE.replace('"60 kBtu/h"', '"12 kBtu/h"').replace("OFF", "5") + FLAT
    (tmp_path / "house.toml").write_text(small, "utf-8")
    (found,) = lockouts(compare(tmp_path / "house.toml"))
    assert np.isinf(found.yearly_cost[-1])
    assert np.isfinite(found.best_cost)


def test_an_option_without_a_backup_of_its_own_has_no_switch_to_set(tmp_path: Path) -> None:
    head, _, rest = HOUSE.partition("[option.heating.backup]")
    assert rest
    (tmp_path / "house.toml").write_text(head.replace("OFF", "5") + FLAT, "utf-8")
    assert lockouts(compare(tmp_path / "house.toml")) == ()
