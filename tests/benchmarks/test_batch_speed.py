"""Speed of a year: hours in a plain loop, hours as arrays, states one year at a time, a batch.

Run with `pytest -m benchmark -s tests/benchmarks/test_batch_speed.py`. Nothing is asserted about
time. Each line gives the median in option-years per second of processor time of one core, and the
ratio to the plain loop in the same run.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from energymodel.arrays import Array
from energymodel.building.load import LoadLine
from energymodel.equipment.backup import BackupWith
from energymodel.equipment.curves import (
    Frost,
    Function,
    PerformanceMap,
    TablePoint,
    map_from_table,
)
from energymodel.equipment.heat_pump import HeatPump
from energymodel.equipment.idle import IdlePower
from energymodel.equipment.resistance import Resistance
from energymodel.season.annual import annual
from energymodel.season.batch import batch
from energymodel.season.batch_cells import hours_in_cells, largest_base_w
from energymodel.season.batch_variants import Variants
from energymodel.season.option import IdleUnit, Option
from energymodel.season.states import States, distinct_states, every_hour
from energymodel.units import c_from_f
from energymodel.weather.library import shipped_year

pytestmark = pytest.mark.benchmark
YEAR = shipped_year("greensboro-nc")
VARIANTS = 20_000
CD = 0.25
IDLE = IdlePower(controls_w=5.0, crankcase_w=20.0, pan_w=60.0)
# invented: (capacity in W, COP) at 5 F and at 47 F, three speeds
SPEEDS = (
    ((900.0, 2.6), (1300.0, 4.6)),
    ((2200.0, 2.4), (3100.0, 4.1)),
    ((3200.0, 2.1), (4300.0, 3.5)),
)
COLD_C, WARM_C = c_from_f(5.0), c_from_f(47.0)


def _map(function: Function) -> PerformanceMap:
    heats = function is Function.HEATING
    outdoor_c = (COLD_C, WARM_C) if heats else (c_from_f(95.0), c_from_f(82.0))
    points = [
        TablePoint(speed=f"speed {n}", outdoor_c=t, capacity_w=q, power_w=q / cop)
        for n, ends in enumerate(SPEEDS)
        for t, (q, cop) in zip(outdoor_c, ends, strict=True)
    ]
    return map_from_table(points, function=function, frost=Frost.STEADY, cd=CD)


def _option(*, cools: bool, frost: bool = False) -> Option:
    pump = HeatPump(performance=_map(Function.HEATING), frost_loss=frost)
    return Option(
        name="invented inverter",
        heating=BackupWith(main=pump, backup=Resistance(use="backup")),
        cooling=HeatPump(performance=_map(Function.COOLING)) if cools else None,
        heating_load=LoadLine(slope_w_per_k=150.0, balance_c=15.0, indoor_c=20.0, heating=True),
        cooling_load=LoadLine(slope_w_per_k=120.0, balance_c=20.0, indoor_c=24.0, heating=False),
        idle=(IdleUnit(idle=IDLE, heats=True, cools=cools),),
        heating_indoor_c=c_from_f(70.0),
        cooling_indoor_c=24.0,
    )


def _variants() -> Variants:
    random = np.random.default_rng(1)
    return Variants(
        heating_slope_w_per_k=random.uniform(40.0, 300.0, VARIANTS),
        heating_balance_c=random.uniform(12.0, 18.0, VARIANTS),
        cooling_slope_w_per_k=random.uniform(40.0, 300.0, VARIANTS),
        cooling_balance_c=random.uniform(18.0, 22.0, VARIANTS),
        heating_in_service_factor=random.uniform(0.8, 1.0, VARIANTS),
    )


def _line(ends: tuple[float, float], outdoor_c: float) -> float:
    return ends[0] + (ends[1] - ends[0]) * (outdoor_c - COLD_C) / (WARM_C - COLD_C)


def _power_and_run(load_w: float, outdoor_c: float) -> tuple[float, float, float]:
    """Power, run share and backup of the invented machine, one hour, without arrays."""
    below = (0.0, 1.0)
    lowest = True
    for (q_cold, cop_cold), (q_warm, cop_warm) in SPEEDS:
        q = _line((q_cold, q_warm), outdoor_c)
        p = _line((q_cold / cop_cold, q_warm / cop_warm), outdoor_c)
        if load_w <= q and lowest:
            x = load_w / q
            run = x / (1.0 - CD * (1.0 - x))
            return p * run, run, 0.0
        if load_w <= q:
            share = (load_w - below[0]) / (q - below[0])
            cop = below[0] / below[1] + share * (q / p - below[0] / below[1])
            return load_w / cop, 1.0, 0.0
        below, lowest = (q, p), False
    return below[1], 1.0, load_w - below[0]


def _plain_loop(outdoor_c: list[float], month: list[int]) -> list[list[float]]:
    """Five uses by month, kWh: compressor, backup, controls, crankcase heater, pan heater."""
    totals = [[0.0] * 12 for _ in range(5)]
    for hour, outdoor in enumerate(outdoor_c):
        load_w = 150.0 * max(15.0 - outdoor, 0.0)
        power, run, backup = _power_and_run(load_w, outdoor) if load_w > 0 else (0.0, 0.0, 0.0)
        off, m = 1.0 - run, month[hour] - 1
        totals[0][m] += power / 1000.0
        totals[1][m] += backup / 1000.0
        totals[2][m] += IDLE.controls_w * off / 1000.0
        totals[3][m] += IDLE.crankcase_w * off / 1000.0 if outdoor < IDLE.crankcase_below_c else 0.0
        totals[4][m] += IDLE.pan_w / 1000.0 if outdoor < IDLE.pan_below_c else 0.0
    return totals


def _plain_year() -> list[list[float]]:
    return _plain_loop(YEAR.outdoor_c.tolist(), YEAR.month.tolist())


@pytest.fixture(scope="module")
def plain_rate() -> float:
    """Year-runs per second of the plain loop, median of five."""
    seconds = []
    for _ in range(5):
        start = time.process_time()
        _plain_year()
        seconds.append(time.process_time() - start)
    return 1.0 / float(np.median(seconds))


def _report(fixture: Any, run: Callable[[], object], name: str, years: int, plain: float) -> None:
    seconds: list[float] = []

    def timed() -> None:
        start = time.process_time()
        run()
        seconds.append(time.process_time() - start)

    fixture.pedantic(timed, rounds=7, warmup_rounds=1)
    rate = years / float(np.median(seconds[1:]))
    fixture.extra_info.update(option_years_per_s=rate, ratio_to_plain_loop=rate / plain)
    ratio = f"{rate / plain:,.1f} x the plain loop ({plain:.0f})"
    print(f"\n{name}: {rate:,.0f} option-years/s, {ratio}")  # noqa: T201 - what a benchmark is for


def test_the_plain_loop_computes_what_the_batch_computes(benchmark: Any, plain_rate: float) -> None:
    option = _option(cools=False)
    totals = np.array(_plain_year())
    result = batch(option, distinct_states(option, YEAR), Variants())
    names = [
        "heating_electricity_compressor_kwh",
        "heating_electricity_backup_kwh",
        "idle_electricity_controls_kwh",
        "idle_electricity_crankcase_heater_kwh",
        "idle_electricity_pan_heater_kwh",
    ]
    for name, by_month in zip(names, totals, strict=True):
        assert result.column(name)[0] == pytest.approx(by_month, abs=1e-9), name
    _report(benchmark, _plain_year, "plain loop over the hours", 1, plain_rate)


def _five_uses(option: Option, states: States) -> Callable[[], object]:
    def run() -> list[Array]:
        year = annual(option, YEAR, indexing=lambda _option, _year: states)
        return [year.month_totals(name) for name in year.columns if "_electricity_" in name]

    return run


@pytest.mark.parametrize("hourly", [True, False], ids=["hours as arrays", "states one at a time"])
def test_speed_of_single_years(benchmark: Any, plain_rate: float, hourly: bool) -> None:
    option = _option(cools=False)
    states = (every_hour if hourly else distinct_states)(option, YEAR)
    name = f"{'hours as arrays' if hourly else 'distinct states one at a time'}, {len(states)}"
    _report(benchmark, _five_uses(option, states), name, 1, plain_rate)


@pytest.mark.parametrize("frost", [False, True], ids=["no frost", "frost"])
@pytest.mark.parametrize("cools", [False, True], ids=["heating", "heating and cooling"])
@pytest.mark.parametrize("cells", [12, 36])
def test_speed_of_a_batch(
    benchmark: Any, plain_rate: float, frost: bool, cools: bool, cells: int
) -> None:
    option = _option(cools=cools, frost=frost)
    states = distinct_states(option, YEAR)
    hour = np.arange(YEAR.outdoor_c.size) % 24
    part = (hour >= 7).astype(np.intp) + (hour >= 17)
    cell = YEAR.month - 1 if cells == 12 else (YEAR.month - 1) * 3 + part
    hours = hours_in_cells(states, cell, cells)
    variants = _variants()
    what = "heating and cooling" if cools else "heating"
    _report(
        benchmark,
        lambda: batch(option, states, variants, hours=hours),
        f"batch, {what}, {cells} cells, {len(states)} states",
        VARIANTS,
        plain_rate,
    )


def test_speed_of_a_batch_with_a_peak_in_each_month(benchmark: Any, plain_rate: float) -> None:
    option = _option(cools=False)
    states = distinct_states(option, YEAR)
    base_w = np.random.default_rng(2).uniform(0.0, 4000.0, YEAR.outdoor_c.size)
    largest = largest_base_w(states, base_w, YEAR.month - 1, 12)
    variants = _variants()
    _report(
        benchmark,
        lambda: batch(option, states, variants, base_w=largest),
        f"batch, heating, months and peaks, {len(states)} states",
        VARIANTS,
        plain_rate,
    )


@pytest.mark.parametrize("states_per_year", [440, 8760])
def test_speed_of_a_batch_against_the_number_of_states(
    benchmark: Any, plain_rate: float, states_per_year: int
) -> None:
    option = _option(cools=False)
    levels = np.linspace(-14.0, 36.0, states_per_year)
    order = np.argsort(np.argsort(YEAR.outdoor_c)) * states_per_year // 8760
    table = YEAR.table.assign(outdoor_c=levels[order])
    states = distinct_states(option, replace(YEAR, table=table))
    assert len(states) == states_per_year
    variants = _variants()
    _report(
        benchmark,
        lambda: batch(option, states, variants),
        f"batch, heating, invented year of {states_per_year} states",
        VARIANTS,
        plain_rate,
    )
