"""Costs of many variants at once: what a comparison of each variant gives."""

from __future__ import annotations

import runpy
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from energymodel.equipment.resistance import Resistance
from energymodel.errors import InputError
from energymodel.scenario.assemble import Model, PlannedOption
from energymodel.season.states import distinct_states
from energymodel.study.batch import costs as batch_costs_module
from energymodel.study.batch.costs import BatchCosts, CostVariants, batch_costs
from energymodel.study.comparison.bill_costs import house_bill
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison
from energymodel.tariffs.calendar import year_clock

_TOOLS = runpy.run_path(str(Path(__file__).with_name("cost_scenario.py")))
BASE, RATES, HEAD = _TOOLS["BASE"], _TOOLS["RATES"], _TOOLS["HEAD"]
FLAT, GAS, BY_TARIFF = _TOOLS["FLAT"], _TOOLS["GAS"], _TOOLS["BY_TARIFF"]
model_of = _TOOLS["model_of"]
HOURS_NEEDED = ("time order", "demand day by day")
SHIFT_K = 1.25
Compared = Callable[..., Comparison]


@pytest.fixture
def compared(tmp_path: Path) -> Compared:
    def run(prices: str, rate: str = "", **changes: object) -> Comparison:
        model_of(tmp_path, prices, rate, **changes)
        return compare(tmp_path / "room.toml")

    return run


FACTORS = np.array([0.4, 1.0])
PUMP = np.array([0.8, 0.97])
BURNER = np.array([0.95, 1.0])
SHIFTS_K = np.array([-SHIFT_K, SHIFT_K])


def some_variants(**prices: np.ndarray) -> CostVariants:
    return CostVariants(
        heating_load_factor=FACTORS,
        cooling_load_factor=FACTORS,
        heating_balance_shift_k=SHIFTS_K,
        cooling_balance_shift_k=SHIFTS_K,
        heat_pump_in_service=PUMP,
        burner_in_service=BURNER,
        price_factor={name.replace("_", " "): values for name, values in prices.items()},
    )


def _changes(index: int) -> dict[str, float]:
    return {
        "factor": FACTORS[index],
        "heating_balance": 15.5 + SHIFTS_K[index],
        "cooling_balance": 20.5 + SHIFTS_K[index],
        "pump": PUMP[index],
        "burner": BURNER[index],
    }


def assert_equal(costs: BatchCosts, comparison: Comparison, name: str, index: int) -> None:
    outcome = next(one for one in comparison.outcomes if one.name == name)
    whole = outcome.yearly_cost
    assert set(costs.service_cost) == set(outcome.service_cost)
    for service, cost in outcome.service_cost.items():
        assert costs.service_cost[service][index] == pytest.approx(
            cost, rel=1e-12, abs=1e-12 * (whole + 1000.0)
        ), (name, service)
    for carrier, kwh in outcome.energy_kwh.items():
        assert costs.energy_kwh[carrier][index] == pytest.approx(kwh, rel=1e-12), (name, carrier)
    unmet = outcome.cooling_unmet_kwh
    unmet += outcome.coverage.unmet_kwh if outcome.coverage is not None else 0.0
    assert costs.unmet_kwh[index] == pytest.approx(unmet, rel=1e-11, abs=1e-8), name


def assert_equals_compare(
    folder: Path, prices: str, rate: str, variants: CostVariants, **changes: object
) -> BatchCosts:
    model = model_of(folder, prices, rate, **changes)
    found = [batch_costs(model, planned, variants) for planned in model.options]
    for index in range(len(variants)):
        model_of(folder, prices, rate, **{**changes, **_changes(index)})
        comparison = compare(folder / "room.toml")
        for planned, costs in zip(model.options, found, strict=True):
            assert_equal(costs, comparison, planned.option.name, index)
    return found[1]


def _option(model: Model, name: str) -> PlannedOption:
    return next(one for one in model.options if one.option.name == name)


def test_flat_prices_cost_what_comparisons_cost(tmp_path: Path) -> None:
    costs = assert_equals_compare(tmp_path, FLAT + GAS, "", some_variants())
    assert costs.exact_by == "cells"
    assert costs.because == ""


@pytest.mark.parametrize("name", RATES)
def test_a_tariff_costs_what_comparisons_cost(tmp_path: Path, name: str) -> None:
    costs = assert_equals_compare(tmp_path, BY_TARIFF + GAS, RATES[name], some_variants())
    assert costs.exact_by == ("hours" if name in HOURS_NEEDED else "cells")
    assert bool(costs.because) == (name in HOURS_NEEDED)


def test_a_tariff_of_gas_beside_one_of_electricity_costs_what_comparisons_cost(
    tmp_path: Path,
) -> None:
    (tmp_path / "gas.toml").write_text(
        HEAD
        + """
unit = "therm"
[[fixed]]
name = "Customer"
price = "11 per month"
[[energy]]
name = "Gas"
blocks = [{ up_to = "40 therm per month", price = 1.3 }, { price = 1.0 }]
""",
        "utf-8",
    )
    gas = '[price.natural_gas]\ntariff = "gas.toml"\nother_use = [GAS]\n'
    prices = BY_TARIFF + gas.replace("GAS", ",".join(["12.0"] * 12))
    assert_equals_compare(tmp_path, prices, RATES["time of use"], some_variants())


@pytest.mark.parametrize("prices", [FLAT, BY_TARIFF], ids=["flat", "tariff"])
def test_accounts_that_an_option_closes_count_as_in_a_comparison(
    tmp_path: Path, prices: str
) -> None:
    gas = GAS + 'other_use = [{}]\nother_appliances = ["water heater"]\n'.format(
        ",".join(["10.0"] * 12)
    )
    use = ", ".join(str(200 + 5 * month) for month in range(12))
    closing = f'closes_account = ["natural gas"]\nappliance_use_kwh = [{use}]'
    rate = RATES["demand and minimum"]
    assert_equals_compare(tmp_path, prices + gas, rate, some_variants(), inverter=closing)


def test_a_head_in_one_zone_costs_what_comparisons_cost(tmp_path: Path) -> None:
    zone = """
[[option]]
name = "Head in one zone"
load_factor = {factor}
[option.heating]
kind = "heat pump"
unit = "inverter-standard-9"
in_service = {pump}
zone = {{ share = 0.4, doors = 0.2, old_set_point = "18 degC" }}
[option.heating.backup.heater]
kind = "boiler"
fuel = "natural gas"
afue = 0.82
output = "9 kW"
in_service = {burner}
"""
    assert_equals_compare(tmp_path, FLAT + GAS, "", some_variants(), more=zone)


def test_prices_by_the_hour_are_sums_too(tmp_path: Path) -> None:
    clock = year_clock(2026, zone="America/New_York")
    price = 0.05 + 0.04 * np.sin(np.arange(8760) / 7.0)
    lines = [f"{stamp},{one:.5f}" for stamp, one in zip(clock.starts, price, strict=True)]
    (tmp_path / "market.csv").write_text("\n".join(["start,price", *lines]), "utf-8")
    rate = '[[hourly]]\nname = "Market"\nfile = "market.csv"\nadder = 0.02\n'
    costs = assert_equals_compare(tmp_path, BY_TARIFF + GAS, rate, some_variants())
    assert costs.exact_by == "cells"


@pytest.mark.parametrize("name", ["time of use", "demand by season, ratchet"])
def test_heating_and_cooling_loads_may_differ_apart_from_each_other(
    tmp_path: Path, name: str
) -> None:
    """Idle power then belongs to heating in other months for one variant than for another."""
    heating, cooling = np.array([0.2, 1.0, 1.0]), np.array([1.5, 0.2, 0.0001])
    prices, rate = BY_TARIFF + GAS, RATES[name]
    model = model_of(tmp_path, prices, rate)
    variants = CostVariants(heating_load_factor=heating, cooling_load_factor=cooling)
    found = [batch_costs(model, planned, variants) for planned in model.options]
    for index in range(3):
        model_of(
            tmp_path,
            prices,
            rate,
            ua=BASE["ua"] * heating[index],
            cooling_load=BASE["cooling_load"] * cooling[index],
        )
        comparison = compare(tmp_path / "room.toml")
        for planned, costs in zip(model.options, found, strict=True):
            assert_equal(costs, comparison, planned.option.name, index)


def test_a_price_factor_multiplies_energy_and_no_charge_without_use(compared: Compared) -> None:
    prices = FLAT + GAS
    comparison = compared(prices)
    dearer = compared(prices, e=0.14 * 1.5, g=1.25 * 0.7)
    variants = CostVariants(
        price_factor={"electricity": np.array([1.0, 1.5]), "natural gas": np.array([1.0, 0.7])}
    )
    for planned in comparison.model.options:
        costs = batch_costs(comparison.model, planned, variants)
        assert_equal(costs, comparison, planned.option.name, 0)
        assert_equal(costs, dearer, planned.option.name, 1)


def test_under_a_tariff_a_price_factor_multiplies_the_whole_difference(tmp_path: Path) -> None:
    model = model_of(tmp_path, BY_TARIFF + GAS, RATES["time of use"])
    variants = CostVariants(price_factor={"electricity": np.array([1.0, 1.2])})
    costs = batch_costs(model, _option(model, "Inverter"), variants)
    for money in costs.service_cost.values():
        assert money[1] == pytest.approx(1.2 * money[0], rel=1e-13)


def test_tariffs_laid_beforehand_change_no_number(tmp_path: Path) -> None:
    model = model_of(tmp_path, BY_TARIFF + GAS, RATES["demand and minimum"])
    tariff = model.prices["electricity"].house
    assert tariff is not None
    house = house_bill(tariff, model.weather)
    planned = _option(model, "Inverter")
    own = batch_costs(model, planned, some_variants())
    for given in (house, {"electricity": house}):
        costs = batch_costs(model, planned, some_variants(), house=given)
        assert costs.total_cost.tolist() == own.total_cost.tolist()


def test_many_blocks_of_variants_give_what_one_gives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    model = model_of(tmp_path, BY_TARIFF + GAS, RATES["time of use"])
    planned = _option(model, "Gas heater, window unit")
    whole = batch_costs(model, planned, some_variants())
    monkeypatch.setattr(batch_costs_module, "_KINDS_AT_ONCE", 1)
    pieces = batch_costs(model, planned, some_variants())
    assert pieces.total_cost == pytest.approx(whole.total_cost, rel=1e-13)
    for carrier, kwh in whole.energy_kwh.items():
        assert pieces.energy_kwh[carrier] == pytest.approx(kwh, rel=1e-13)


class _Counting:
    """Resistance heat that counts how many loads it was asked."""

    uses_humidity = False

    def __init__(self) -> None:
        self.asked = 0

    def run(self, conditions: object, load_w: np.ndarray) -> object:
        self.asked += load_w.size
        return Resistance().run(conditions, load_w)  # type: ignore[arg-type]


@pytest.mark.parametrize("prices", [FLAT, BY_TARIFF], ids=["flat", "tariff"])
def test_variants_that_differ_only_in_price_are_run_once(tmp_path: Path, prices: str) -> None:
    model = model_of(tmp_path, prices + GAS, RATES["demand and minimum"])
    counting, planned = _Counting(), _option(model, "Baseboard")
    option = replace(planned.option, heating=counting)  # type: ignore[arg-type]
    variants = CostVariants(
        heating_load_factor=np.full(500, 0.5),
        price_factor={"electricity": np.linspace(0.5, 2.0, 500)},
    )
    costs = batch_costs(model, replace(planned, option=option), variants)
    assert counting.asked <= 1 + len(distinct_states(option, model.weather))
    assert costs.total_cost.shape == (500,)
    assert costs.total_cost[-1] == pytest.approx(4.0 * costs.total_cost[0])


def test_columns_that_do_not_fit_are_refused(tmp_path: Path) -> None:
    model = model_of(tmp_path, FLAT + GAS)
    planned = _option(model, "Inverter")
    with pytest.raises(InputError, match="shapes"):
        batch_costs(
            model,
            planned,
            CostVariants(heating_load_factor=np.ones(2), heat_pump_in_service=np.ones(3)),
        )
    with pytest.raises(InputError, match="price factor for coal"):
        batch_costs(model, planned, CostVariants(price_factor={"coal": 1.1}))
    with pytest.raises(InputError, match="not a number"):
        batch_costs(model, planned, CostVariants(price_factor={"electricity": np.array([np.nan])}))
    with pytest.raises(InputError, match="does not rise"):
        batch_costs(model, planned, CostVariants(heating_load_factor=np.array([0.0])))
    with pytest.raises(InputError, match="above the cooling balance"):
        batch_costs(model, planned, CostVariants(heating_balance_shift_k=np.array([9.0])))
