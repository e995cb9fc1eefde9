"""A meter of an option's own in a scenario: its whole bill, and what stays with the house.

Loads, rates and prices are invented; what is expected of them is computed beside each check.
"""

from __future__ import annotations

import runpy
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from energymodel.errors import EnergyModelError
from energymodel.scenario.assemble import assemble
from energymodel.scenario.changes import changed
from energymodel.scenario.files import read_scenario
from energymodel.study.batch.costs import CostVariants, batch_costs
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_range import cost_ranges
from energymodel.study.comparison.house_tariffs import heat_prices
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.sweep.sweep import sweep
from energymodel.study.switchover.lockout import lockouts
from energymodel.weather.library import shipped_year

_TOOLS = runpy.run_path(str(Path(__file__).with_name("interruptible_house.py")))
FLAT = _TOOLS["FLAT"]
BY_TARIFF = _TOOLS["BY_TARIFF"]
OTHER = _TOOLS["OTHER"]
METER = _TOOLS["METER"]
FANS = _TOOLS["FANS"]
write = _TOOLS["write"]
outcome = _TOOLS["outcome"]
hours = _TOOLS["hours"]
electricity = _TOOLS["electricity"]
WEATHER = shipped_year("greensboro-nc")


@pytest.fixture(scope="module")
def on_two_meters(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return compare(write(tmp_path_factory.mktemp("two"), BY_TARIFF, meter=METER))


@pytest.fixture(scope="module")
def beside_flat(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return compare(write(tmp_path_factory.mktemp("flat"), FLAT, meter=METER))


def own_meter_bill(table: pd.DataFrame) -> float:
    """Bill of the heat meter: all electricity but the furnace's fans, 6 a month, two prices."""
    own = electricity(table).drop(columns=FANS, errors="ignore").sum(axis=1)
    price = np.where(table["winter"], 0.075, 0.13)
    return 12 * 6.0 + float((own * price).sum())


def tiers_bill(kwh: pd.Series) -> float:
    """Bill of the house: wall-clock months, two steps, 9 a month."""
    months = kwh.groupby(kwh.index.tz_convert("America/New_York").month).sum()
    energy = np.minimum(months, 900.0) * 0.11 + np.maximum(months - 900.0, 0.0) * 0.14
    return 12 * 9.0 + float(energy.sum())


@pytest.mark.parametrize("name", ["Strips", "Dual fuel"])
def test_an_option_on_its_own_meter_costs_the_bills_that_pandas_adds_up(
    on_two_meters: Comparison, name: str
) -> None:
    one = outcome(on_two_meters, name)
    table = hours(one)
    own_kwh = one.result.hourly_own_meter_of("heating", WEATHER.month.astype(np.intp))
    own_kwh = own_kwh + one.result.hourly_own_meter_of("cooling", WEATHER.month.astype(np.intp))
    assert (own_kwh[table["cut"].to_numpy()] == 0.0).all()
    days = pd.Series(table.index.days_in_month, index=table.index)
    other = pd.Series(np.array(OTHER)[table.index.month - 1], index=table.index) / (24.0 * days)
    fans = table[[name for name in FANS if name in table]].sum(axis=1)
    added = tiers_bill(other + fans) - tiers_bill(other)
    gas = table.filter(regex="_fuel_natural_gas_").to_numpy().sum() / 29.3071 * 1.35
    assert (fans.sum() > 0) == (name == "Dual fuel")
    assert one.billed is not None
    assert one.billed.whole_bill == pytest.approx(
        own_meter_bill(table) + tiers_bill(other + fans), rel=1e-9
    )
    assert float(one.billed.whole.total) == pytest.approx(own_meter_bill(table) + added, rel=1e-9)
    # the therm of 29.3071 kWh has six digits
    assert one.yearly_cost == pytest.approx(own_meter_bill(table) + added + gas, rel=1e-6)


def test_the_lines_of_both_meters_bear_their_names(on_two_meters: Comparison) -> None:
    billed = outcome(on_two_meters, "Dual fuel").billed
    assert billed is not None
    amounts = {line.label: float(line.amount.sum()) for line in billed.whole.lines}
    assert amounts["own meter: Second meter"] == pytest.approx(72.0)
    assert amounts["house: Customer charge"] == 0.0
    assert amounts["house: Energy, block 1"] > 0.0
    assert sum(amounts.values()) == pytest.approx(float(billed.whole.total), rel=1e-12)


def test_other_options_cost_what_they_cost_without_anyones_own_meter(
    on_two_meters: Comparison, beside_flat: Comparison, tmp_path: Path
) -> None:
    by_tariff = compare(write(tmp_path, BY_TARIFF))
    flat = compare(write(tmp_path, FLAT))
    for name in ("Gas furnace", "Electric furnace"):
        assert outcome(on_two_meters, name).yearly_cost == outcome(by_tariff, name).yearly_cost
        # a flat price as a tariff of one price
        cost = outcome(beside_flat, name).yearly_cost
        assert cost == pytest.approx(outcome(flat, name).yearly_cost, rel=1e-9)
    assert outcome(flat, "Strips").carries
    assert not outcome(beside_flat, "Strips").carries


def test_beside_a_flat_price_the_fans_of_the_furnace_cost_the_flat_price(
    beside_flat: Comparison,
) -> None:
    one = outcome(beside_flat, "Dual fuel")
    table = hours(one)
    gas = table.filter(regex="_fuel_natural_gas_").to_numpy().sum() / 29.3071 * 1.35
    fans = table[FANS].to_numpy().sum() * 0.12
    assert one.yearly_cost == pytest.approx(own_meter_bill(table) + fans + gas, rel=1e-6)
    assert one.billed is not None
    assert not [notice for notice in beside_flat.notices if notice.topic == "other use"]


def test_a_meter_for_heating_alone_leaves_the_cooling_on_the_house(tmp_path: Path) -> None:
    path = write(tmp_path, FLAT)
    text = path.read_text("utf-8").replace(
        'name = "Electric furnace"', 'name = "Electric furnace"\nmeter = { tariff = "heat.toml" }'
    )
    path.write_text(text, "utf-8")
    comparison = compare(path)
    one = outcome(comparison, "Electric furnace")
    table = hours(one)
    cooling = table.filter(regex="cooling_electricity_|idle_electricity_").to_numpy().sum()
    assert one.service_cost["cooling"] == pytest.approx(cooling * 0.12, rel=1e-9)
    heating = table.filter(regex="heating_electricity_").sum(axis=1)
    price = np.where(table["winter"], 0.075, 0.13)
    own = 72.0 + float((heating * price).sum())
    assert one.service_cost["heating"] == pytest.approx(own, rel=1e-9)
    used = {default.name: default.value for default in comparison.model.defaults}
    assert used["what the own meter of Electric furnace covers"] == "heating"


def test_the_strips_of_a_failed_pump_are_cut_with_it(beside_flat: Comparison) -> None:
    plain = outcome(beside_flat, "Strips").planned
    alone = plain.backup_alone
    assert alone is not None
    assert alone.heating_supply.own_meter
    assert alone.heating_supply.interruption is not None


def test_a_failed_pump_without_backup_is_replaced_on_the_household_supply(tmp_path: Path) -> None:
    path = write(tmp_path, FLAT, meter=METER)
    text = path.read_text("utf-8")
    strips = 'backup = { heater = { kind = "electric resistance", capacity = "10 kW" } }'
    path.write_text(text.replace(strips, ""), "utf-8")
    one = outcome(compare(path), "Strips")
    alone = one.planned.backup_alone
    assert one.planned.borrowed
    assert alone is not None
    assert alone.heating_supply.interruption is None
    assert not alone.heating_supply.own_meter
    month = one.failure.month - 1 if one.failure is not None else -1
    load = one.result.month_totals("heating_load_kwh")[month]
    # 1 kWh of resistance heat for each kWh of load at the flat price, and the charge of the meter
    assert one.failure is not None
    assert one.failure.cost == pytest.approx(load * 0.12, rel=1e-9)


@pytest.mark.parametrize("fixture", ["on_two_meters", "beside_flat"])
@pytest.mark.parametrize("name", ["Strips", "Dual fuel"])
def test_variants_at_once_cost_what_a_comparison_of_each_gives(
    fixture: str, name: str, request: pytest.FixtureRequest
) -> None:
    comparison = request.getfixturevalue(fixture)
    one = outcome(comparison, name)
    model = assemble(comparison.model.scenario)
    found = batch_costs(model, one.planned, CostVariants(heating_load_factor=np.array([1.0, 0.7])))
    assert found.total_cost[0] == pytest.approx(one.yearly_cost, rel=1e-9)
    assert found.exact_by == "hours"
    unmet = one.result.total("heating_unmet_kwh") + one.cooling_unmet_kwh
    assert found.unmet_kwh[0] == pytest.approx(unmet, rel=1e-9, abs=1e-9)
    assert found.total_cost[1] < found.total_cost[0]


def test_ranges_hold_the_likely_cost(on_two_meters: Comparison) -> None:
    for name, found in cost_ranges(on_two_meters).items():
        cost = outcome(on_two_meters, name).yearly_cost
        assert found.low < cost < found.high


def test_the_best_switch_of_a_dual_fuel_system_counts_its_own_meter(
    on_two_meters: Comparison,
) -> None:
    found = next(one for one in lockouts(on_two_meters) if one.option == "Dual fuel")
    one = outcome(on_two_meters, "Dual fuel")
    assert found.as_set_cost == pytest.approx(one.service_cost["heating"], rel=1e-9)
    assert found.forced_hours == 64
    assert found.hourly_cost <= found.best_cost * (1.0 + 1e-9)
    price = heat_prices(on_two_meters, [one]).electricity_per_kwh
    # in winter most of it at 0.075, a little at 0.13 and the fans at the house's 0.11
    assert 0.075 < price < 0.09


@pytest.mark.slow
def test_a_sweep_of_prices_beside_an_own_meter_equals_single_comparisons(tmp_path: Path) -> None:
    path = write(tmp_path, FLAT, meter=METER)
    grid = "\n[sweep.grid]\nprice.electricity.energy = { from = 0.08, to = 0.20, steps = 8 }\n"
    path.write_text(path.read_text("utf-8") + grid, "utf-8")
    scenario = read_scenario(path)
    years = sweep(scenario).years
    for place, price in ((0, 0.08), (-1, 0.20)):
        comparison = compare(changed(scenario, {"price.electricity.energy": price}))
        for name in ("Electric furnace", "Dual fuel"):
            wanted, row = outcome(comparison, name), years[years["option"] == name].iloc[place]
            assert row["yearly_cost"] == pytest.approx(wanted.yearly_cost, rel=1e-9)
            assert bool(row["carries"]) == wanted.carries


FAULTS = {
    'meter = { tariff = "no.toml" }': "no.toml",
    'meter = { tariff = "heat.toml", covers = "heating" }': "one unit heats and cools",
    'meter = { tariff = "heat.toml", covers = "hot water" }': "heating and cooling",
    'meter = { covers = "heating" }': "tariff",
}


@pytest.mark.parametrize("meter", FAULTS)
def test_a_meter_that_cannot_be_is_refused(tmp_path: Path, meter: str) -> None:
    with pytest.raises(EnergyModelError) as caught:
        compare(write(tmp_path, FLAT, meter=meter))
    assert FAULTS[meter] in str(caught.value)
    assert "meter" in str(caught.value)


def test_a_meter_on_an_option_without_electric_heat_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path, FLAT)
    text = path.read_text("utf-8").replace("present = true", f"present = true\n{METER}")
    path.write_text(text, "utf-8")
    with pytest.raises(EnergyModelError, match="nothing of this option heats or cools"):
        compare(path)
    path.write_text(text.replace('"heat.toml"', '"heat.toml", covers = "cooling"'), "utf-8")
    with pytest.raises(EnergyModelError, match="the option has no electric cooling"):
        compare(path)
