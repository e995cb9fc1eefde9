"""Speed of costs: one comparison, warm and cold; thousands of variants under prices and tariffs.

Run with `pytest -m benchmark -s tests/benchmarks/test_cost_speed.py`. Nothing is asserted about
time; numbers are those of a plain loop over the hours with a plain bill.
"""

from __future__ import annotations

import subprocess
import sys
import time
import tracemalloc
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from energymodel.scenario.assemble import Model, PlannedOption, assemble
from energymodel.scenario.files import read_scenario
from energymodel.study.batch.costs import CostVariants, batch_costs
from energymodel.study.comparison.bill_costs import HouseBill, house_bill
from energymodel.study.comparison.compare import compare
from energymodel.tariffs.calendar import year_clock
from energymodel.weather.library import shipped_year

pytestmark = pytest.mark.benchmark
VARIANTS = 20_000
OTHER_KWH = 400.0
ROOM = """
units = "si"
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "21 degC", cooling = "24 degC" }
heating = { ua = "150 W/K", balance_temperature = "15 degC" }
[room.cooling]
design_load = "1800 W"
design_temperature = "35 degC"
balance_temperature = "20 degC"
[[option]]
name = "Baseboard"
heating = { kind = "electric resistance" }
"""
# invented prices
FLAT = '[price.electricity]\nenergy = 0.14\nper = "kWh"\n'
BY_TARIFF = f'[price.electricity]\ntariff = "rate.toml"\nother_use_kwh = {[OTHER_KWH] * 12}\n'
TIME_OF_USE = """
name = "Rate"
effective = 2026-01-01
[[energy]]
name = "E"
[[energy.period]]
name = "on"
price = 0.30
when = [{ days = "weekdays", hours = "17-20" }]
[[energy.period]]
name = "shoulder"
price = 0.15
when = [{ days = "weekdays", hours = "7-17" }]
[[energy.period]]
name = "off"
price = 0.08
"""
TIERS_AND_DEMAND = """
name = "Rate"
effective = 2026-01-01
[[energy]]
name = "E"
blocks = [{ up_to = "600 kWh per month", price = 0.08 }, { price = 0.12 }]
[[demand]]
name = "D"
price = 6
interval = "60 min"
"""


def _model(folder: Path, prices: str, rate: str = "") -> Model:
    (folder / "rate.toml").write_text(rate, "utf-8")
    (folder / "room.toml").write_text(ROOM + prices, "utf-8")
    return assemble(read_scenario(folder / "room.toml"))


def _planned(model: Model, inverter: Any, *, cools: bool) -> PlannedOption:
    return replace(model.options[0], option=inverter.option(cools=cools))


def _house(model: Model) -> HouseBill | None:
    tariff = model.prices["electricity"].house
    return None if tariff is None else house_bill(tariff, model.weather)


def _variants(*, cools: bool) -> CostVariants:
    random = np.random.default_rng(1)
    return CostVariants(
        heating_load_factor=random.uniform(0.3, 2.0, VARIANTS),
        cooling_load_factor=random.uniform(0.3, 2.0, VARIANTS) if cools else None,
        heating_balance_shift_k=random.uniform(-3.0, 3.0, VARIANTS),
        cooling_balance_shift_k=random.uniform(-1.9, 2.0, VARIANTS) if cools else None,
        heat_pump_in_service=random.uniform(0.8, 1.0, VARIANTS),
        price_factor={"electricity": random.uniform(0.8, 1.3, VARIANTS)},
    )


def _plain_use(plain: Any, inverter: Any, variants: CostVariants, index: int) -> list[float]:
    cools = variants.cooling_load_factor is not None
    loads = plain.Loads(
        heating_w_per_k=150.0 * variants.heating_load_factor[index],
        heating_balance_c=15.0 + variants.heating_balance_shift_k[index],
        cooling_w_per_k=120.0 * variants.cooling_load_factor[index] if cools else 0.0,
        cooling_balance_c=20.0 + (variants.cooling_balance_shift_k[index] if cools else 0.0),
        in_service=variants.heat_pump_in_service[index],
    )
    return [sum(uses) for uses in plain.hours(inverter.year.outdoor_c.tolist(), loads)]


def _plain_bill(use_kwh: list[float], rate: str) -> float:
    """The invented tariffs hour by hour, on the wall clock."""
    clock = year_clock(2026, zone="America/New_York", utc_offset_h=-5.0)
    sums, peaks, money = [0.0] * 12, [0.0] * 12, 0.0
    for stamp, kwh in zip(clock.starts.tolist(), use_kwh, strict=True):
        sums[stamp.month - 1] += kwh
        peaks[stamp.month - 1] = max(peaks[stamp.month - 1], kwh)
        weekday = stamp.weekday() < 5
        on, shoulder = weekday and 17 <= stamp.hour < 20, weekday and 7 <= stamp.hour < 17
        money += kwh * (0.30 if on else 0.15 if shoulder else 0.08)
    if rate == TIME_OF_USE:
        return money
    tiers = sum(0.08 * min(one, 600.0) + 0.12 * max(one - 600.0, 0.0) for one in sums)
    return tiers + 6.0 * sum(peaks)


def _plain_cost(use_kwh: list[float], months: list[int], rate: str) -> float:
    if not rate:
        return 0.14 * sum(use_kwh)
    hours = [months.count(month) for month in range(1, 13)]
    base = [OTHER_KWH / hours[month - 1] for month in months]
    whole = [one + other for one, other in zip(use_kwh, base, strict=True)]
    return _plain_bill(whole, rate) - _plain_bill(base, rate)


CASES = {
    "flat price": (FLAT, ""),
    "time of use": (BY_TARIFF, TIME_OF_USE),
    "tiers and demand": (BY_TARIFF, TIERS_AND_DEMAND),
}


@pytest.mark.parametrize("cools", [False, True], ids=["heating", "heating and cooling"])
@pytest.mark.parametrize("case", CASES)
def test_speed_of_costs(
    report: Any, inverter: Any, plain: Any, tmp_path: Path, case: str, cools: bool
) -> None:
    prices, rate = CASES[case]
    model = _model(tmp_path, prices, rate)
    planned, house = _planned(model, inverter, cools=cools), _house(model)
    variants = _variants(cools=cools)
    costs = batch_costs(model, planned, variants, house=house)
    assert costs.exact_by == "cells"
    for index in (0, VARIANTS - 1):
        use = _plain_use(plain, inverter, variants, index)
        cost = _plain_cost(use, inverter.year.month.tolist(), rate)
        factor = variants.price_factor["electricity"][index]
        assert costs.total_cost[index] == pytest.approx(cost * factor, rel=1e-9)
    report(
        lambda: batch_costs(model, planned, variants, house=house),
        f"costs, {case}, {'heating and cooling' if cools else 'heating'}",
        VARIANTS,
    )


def test_speed_of_a_sweep_of_loads_and_prices_under_time_of_use(
    report: Any, inverter: Any, plain: Any, tmp_path: Path
) -> None:
    model = _model(tmp_path, BY_TARIFF, TIME_OF_USE)
    planned, house = _planned(model, inverter, cools=True), _house(model)
    grid = np.meshgrid(
        np.linspace(0.5, 2.0, 40), np.linspace(0.8, 1.0, 5), np.linspace(0.7, 1.5, 100)
    )
    load, pump, price = (column.ravel() for column in grid)
    variants = CostVariants(
        heating_load_factor=load,
        heat_pump_in_service=pump,
        price_factor={"electricity": price},
    )
    costs = batch_costs(model, planned, variants, house=house)
    loads = plain.Loads(heating_w_per_k=150.0 * load[0], cooling_w_per_k=120.0, in_service=pump[0])
    use = [sum(uses) for uses in plain.hours(inverter.year.outdoor_c.tolist(), loads)]
    cost = _plain_cost(use, inverter.year.month.tolist(), TIME_OF_USE) * price[0]
    assert costs.total_cost[0] == pytest.approx(cost, rel=1e-9)
    report(
        lambda: batch_costs(model, planned, variants, house=house),
        "sweep of 40 loads x 5 factors x 100 prices under time of use",
        load.size,
    )


def test_memory_of_costs_under_tiers_and_demand(inverter: Any, plain: Any, tmp_path: Path) -> None:
    model = _model(tmp_path, BY_TARIFF, TIERS_AND_DEMAND)
    planned, house = _planned(model, inverter, cools=True), _house(model)
    variants = _variants(cools=True)
    tracemalloc.start()
    costs = batch_costs(model, planned, variants, house=house)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    use = _plain_use(plain, inverter, variants, 0)
    cost = _plain_cost(use, inverter.year.month.tolist(), TIERS_AND_DEMAND)
    factor = variants.price_factor["electricity"][0]
    assert costs.total_cost[0] == pytest.approx(cost * factor, rel=1e-9)
    text = f"{VARIANTS:,} variants under tiers and demand, memory at most {peak / 1e6:,.0f} MB"
    print(f"\n{text}")  # noqa: T201 - what a benchmark is for


def _plain_baseboard_kwh() -> float:
    """The demo's baseboard: design load without gains, 70 F indoors, 60 F balance, 15 F design."""
    watts_per_f = 9_500.0 * 0.29307107017222 / (70.0 - 15.0)
    outdoor_f = (shipped_year("greensboro-nc").outdoor_c * 1.8 + 32.0).tolist()
    return sum(watts_per_f * max(60.0 - outdoor, 0.0) for outdoor in outdoor_f) / 1000.0


def test_speed_of_one_comparison(report: Any) -> None:
    comparison = compare()
    assert comparison.present is not None
    found = comparison.present.energy_kwh["electricity"]
    assert found == pytest.approx(_plain_baseboard_kwh(), rel=1e-9)
    options = len(comparison.outcomes)
    report(compare, f"one comparison of {options} options, warm, file and weather read", options)


def test_speed_of_one_comparison_from_a_cold_start() -> None:
    code = (
        "from energymodel.study.comparison.compare import compare;"
        "print(repr(compare().present.energy_kwh['electricity']))"
    )
    seconds = []
    for _ in range(5):
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        )
        seconds.append(time.perf_counter() - start)
        assert float(done.stdout.strip().removeprefix("np.float64(").rstrip(")")) == pytest.approx(
            _plain_baseboard_kwh(), rel=1e-9
        )
    text = f"one comparison from a cold start, {np.median(seconds):.2f} s of wall clock"
    print(f"\n{text}")  # noqa: T201 - what a benchmark is for
