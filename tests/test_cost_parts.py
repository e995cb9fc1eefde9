"""Parts of the energy cost add up to it, and each kWh lies where it belongs."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from energymodel.datafiles import data_file
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_parts import CostPart, cost_parts
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.units import KWH_PER_THERM

HOUSE = """
currency = "USD"
place = { weather = "greensboro-nc" }
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "30 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[price.electricity]
energy = 0.15
per = "kWh"
[price.natural_gas]
energy = 1.4
per = "therm"
fixed = "15 per month"
[[option]]
name = "Furnace"
[option.heating]
kind = "furnace"
fuel = "natural gas"
afue = 0.9
blower = "400 W"
auxiliary = "80 W"
ducts = { efficiency = 0.8 }
[[option]]
name = "Dual fuel"
[option.heating]
kind = "heat pump"
unit = "single-speed-36"
off = "30 degF"
backup.runs = "instead"
backup.heater = { kind = "boiler", fuel = "natural gas", afue = 0.9, auxiliary = "80 W" }
[[option]]
name = "Electric furnace"
[option.heating]
kind = "electric furnace"
capacity = "15 kW"
blower = "400 W"
ducts = { efficiency = 0.8 }
"""


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    path = tmp_path_factory.mktemp("house") / "house.toml"
    path.write_text(HOUSE, "utf-8")
    return compare(path)


def named(comparison: Comparison, name: str) -> Outcome:
    return next(outcome for outcome in comparison.outcomes if outcome.name == name)


def test_parts_add_up_to_the_cost_of_each_month(demo: Comparison, house: Comparison) -> None:
    for comparison in (demo, house):
        for outcome in comparison.outcomes:
            parts = cost_parts(outcome, comparison.model.prices)
            expected = sum(outcome.cost_by_month.values(), np.zeros(12))
            expected = expected + sum(outcome.standing_charges.values()) / 12.0
            np.testing.assert_allclose(sum(parts.values(), np.zeros(12)), expected, rtol=1e-12)


def test_backup_strips_are_resistance_heat_at_the_price_of_electricity(demo: Comparison) -> None:
    outcome = named(demo, "Packaged through-wall heat pump")
    parts = cost_parts(outcome, demo.model.prices)
    used = outcome.result.month_totals("heating_electricity_backup_kwh")
    np.testing.assert_allclose(parts[CostPart.RESISTANCE], used * 0.14, rtol=1e-9)
    assert CostPart.FUEL not in parts


def test_blower_and_controls_go_with_the_fuel_they_serve(house: Comparison) -> None:
    furnace = cost_parts(named(house, "Furnace"), house.model.prices)
    assert set(furnace) == {CostPart.FUEL, CostPart.STANDING}
    assert furnace[CostPart.STANDING] == pytest.approx(np.full(12, 15.0))
    dual = cost_parts(named(house, "Dual fuel"), house.model.prices)
    assert set(dual) == {CostPart.HEAT_PUMP, CostPart.FUEL, CostPart.STANDING}
    electric = cost_parts(named(house, "Electric furnace"), house.model.prices)
    assert set(electric) == {CostPart.RESISTANCE}


def test_the_fuel_of_a_dual_fuel_system_costs_what_was_burned(house: Comparison) -> None:
    outcome = named(house, "Dual fuel")
    parts = cost_parts(outcome, house.model.prices)
    burned = outcome.result.month_totals("heating_fuel_natural_gas_kwh")
    running = outcome.result.month_totals("heating_electricity_auxiliary_kwh")
    expected = burned * house.model.prices["natural gas"].per_kwh + running * 0.15
    np.testing.assert_allclose(parts[CostPart.FUEL], expected, rtol=1e-9)


def test_idle_power_of_a_window_unit_in_winter_is_a_cost_of_cooling(demo: Comparison) -> None:
    outcome = named(demo, "Baseboard + window unit")
    assert outcome.result.idle_by_month("heating") == pytest.approx(np.zeros(12))
    assert outcome.result.idle_by_month("cooling").min() > 0
    baseboard = named(demo, "Electric baseboard")
    assert outcome.service_cost["heating"] == baseboard.service_cost["heating"]
    assert outcome.against_present is not None
    assert outcome.against_present.payback.words == "never: it saves nothing"
    parts = cost_parts(outcome, demo.model.prices)
    assert set(parts) == {CostPart.RESISTANCE, CostPart.COOLING}
    np.testing.assert_allclose(parts[CostPart.RESISTANCE], outcome.cost_by_month["heating"])
    np.testing.assert_allclose(parts[CostPart.COOLING], outcome.cost_by_month["cooling"])


def test_on_a_meter_of_its_own_each_carrier_bears_its_own_price(tmp_path: Path) -> None:
    # invented rates: 0.15 per kWh for the house; gas 1.4 per therm; the meter's kWh bear the rest
    rate = data_file("examples", "heat-meter.toml").read_bytes()
    (tmp_path / "heat-meter.toml").write_bytes(rate)
    meter = 'name = "Dual fuel"\nmeter = { tariff = "heat-meter.toml" }\n'
    file = tmp_path / "house.toml"
    file.write_text(HOUSE.replace('name = "Dual fuel"\n', meter), "utf-8")
    comparison = compare(file)
    dual = next(one for one in comparison.outcomes if one.name == "Dual fuel")
    parts = cost_parts(dual, comparison.model.prices)
    result = dual.result
    fans = result.total("heating_electricity_auxiliary_kwh")
    gas = result.total("heating_fuel_natural_gas_kwh") / KWH_PER_THERM * 1.4
    assert parts[CostPart.FUEL].sum() == pytest.approx(gas + fans * 0.15, rel=1e-9)
    heating = dual.cost_by_month["heating"].sum()
    pump = heating - gas - fans * 0.15
    assert parts[CostPart.HEAT_PUMP].sum() == pytest.approx(pump, rel=1e-9)
