"""An invented inverter, its year as a plain Python loop, and the way speeds are measured."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest

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
from energymodel.season.option import IdleUnit, Option
from energymodel.units import c_from_f
from energymodel.weather.library import shipped_year
from energymodel.weather.year import WeatherYear

CD = 0.25
IDLE = IdlePower(controls_w=5.0, crankcase_w=20.0, pan_w=60.0)
# invented: (capacity in W, COP) at the hard and at the easy point, three speeds
SPEEDS = (
    ((900.0, 2.6), (1300.0, 4.6)),
    ((2200.0, 2.4), (3100.0, 4.1)),
    ((3200.0, 2.1), (4300.0, 3.5)),
)
HEATING_C = (c_from_f(5.0), c_from_f(47.0))
COOLING_C = (c_from_f(95.0), c_from_f(82.0))
COOLING_HOLDS_C = c_from_f(65.0)
USES = (
    "heating_electricity_compressor_kwh",
    "heating_electricity_backup_kwh",
    "cooling_electricity_compressor_kwh",
    "idle_electricity_controls_kwh",
    "idle_electricity_crankcase_heater_kwh",
    "idle_electricity_pan_heater_kwh",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """Load lines and in-service factor of one variant."""

    heating_w_per_k: float = 150.0
    heating_balance_c: float = 15.0
    cooling_w_per_k: float = 0.0
    cooling_balance_c: float = 20.0
    in_service: float = 1.0


class Inverter:
    """The invented machine."""

    year: WeatherYear = shipped_year("greensboro-nc")

    @staticmethod
    def _map(function: Function) -> PerformanceMap:
        ends_c = HEATING_C if function is Function.HEATING else COOLING_C
        points = [
            TablePoint(speed=f"speed {n}", outdoor_c=t, capacity_w=q, power_w=q / cop)
            for n, ends in enumerate(SPEEDS)
            for t, (q, cop) in zip(ends_c, ends, strict=True)
        ]
        return map_from_table(points, function=function, frost=Frost.STEADY, cd=CD)

    def option(self, *, cools: bool, frost: bool = False) -> Option:
        """Heating with resistance backup, cooling if wanted, five uses."""
        pump = HeatPump(performance=self._map(Function.HEATING), frost_loss=frost)
        cooler = HeatPump(performance=self._map(Function.COOLING))
        return Option(
            name="invented inverter",
            heating=BackupWith(main=pump, backup=Resistance(use="backup")),
            cooling=cooler if cools else None,
            heating_load=LoadLine(slope_w_per_k=150.0, balance_c=15.0, indoor_c=20.0, heating=True),
            cooling_load=LoadLine(
                slope_w_per_k=120.0, balance_c=20.0, indoor_c=24.0, heating=False
            ),
            idle=(IdleUnit(idle=IDLE, heats=True, cools=cools),),
            heating_indoor_c=c_from_f(70.0),
            cooling_indoor_c=24.0,
        )

    def year_of(self, states: int) -> WeatherYear:
        """Greensboro with about so many temperatures: whole steps, tenths of a degree, or all."""
        if states < 200:
            return self.year
        jitter = np.random.default_rng(7).uniform(-0.25, 0.25, self.year.outdoor_c.size)
        outdoor_c = self.year.outdoor_c + jitter
        outdoor_c = np.round(outdoor_c, 1) if states < 1000 else outdoor_c
        return replace(self.year, columns={**self.year.columns, "outdoor_c": outdoor_c})


def _line(ends: tuple[float, float], outdoor_c: float, ends_c: tuple[float, float]) -> float:
    return ends[0] + (ends[1] - ends[0]) * (outdoor_c - ends_c[0]) / (ends_c[1] - ends_c[0])


def _speeds(outdoor_c: float, ends_c: tuple[float, float]) -> list[tuple[float, float]]:
    """Capacity and power of each speed; below the coldest point the ratios to full are held."""
    at_c = max(outdoor_c, HEATING_C[0]) if ends_c is HEATING_C else outdoor_c
    speeds = [
        (
            _line((q_hard, q_easy), at_c, ends_c),
            _line((q_hard / cop_hard, q_easy / cop_easy), at_c, ends_c),
        )
        for (q_hard, cop_hard), (q_easy, cop_easy) in SPEEDS
    ]
    if at_c == outdoor_c:
        return speeds
    (q_hard, cop_hard), (q_easy, cop_easy) = SPEEDS[-1]
    q_share = _line((q_hard, q_easy), outdoor_c, ends_c) / speeds[-1][0]
    powers = (q_hard / cop_hard, q_easy / cop_easy)
    p_share = _line(powers, outdoor_c, ends_c) / speeds[-1][1]
    return [(q * q_share, p * p_share) for q, p in speeds]


def _answer(
    load_w: float, outdoor_c: float, ends_c: tuple[float, float]
) -> tuple[float, float, float]:
    """Power, run share and what is missing, one hour, without arrays."""
    below = (0.0, 1.0)
    lowest = True
    for q, p in _speeds(outdoor_c, ends_c):
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


def plain_hours(outdoor_c: list[float], loads: Loads) -> list[tuple[float, ...]]:
    """Uses of every hour in the order of USES, kWh: what an hour-by-hour program does."""
    hours = []
    for outdoor in outdoor_c:
        heating_w = loads.heating_w_per_k * max(loads.heating_balance_c - outdoor, 0.0)
        cooling_w = loads.cooling_w_per_k * max(outdoor - loads.cooling_balance_c, 0.0)
        heat = cool = (0.0, 0.0, 0.0)
        if heating_w > 0:
            heat = _answer(heating_w, outdoor, HEATING_C)
        if cooling_w > 0:
            cool = _answer(cooling_w, max(outdoor, COOLING_HOLDS_C), COOLING_C)
        off = 1.0 - heat[1] - cool[1]
        hours.append(
            (
                heat[0] / loads.in_service / 1000.0,
                heat[2] / 1000.0,
                cool[0] / loads.in_service / 1000.0,
                IDLE.controls_w * off / 1000.0,
                IDLE.crankcase_w * off / 1000.0 if outdoor < IDLE.crankcase_below_c else 0.0,
                IDLE.pan_w / 1000.0 if outdoor < IDLE.pan_below_c else 0.0,
            )
        )
    return hours


def plain_months(year: WeatherYear, loads: Loads) -> list[list[float]]:
    """Uses by month, kWh."""
    totals = [[0.0] * 12 for _ in USES]
    hours = plain_hours(year.outdoor_c.tolist(), loads)
    for month, uses in zip(year.month.tolist(), hours, strict=True):
        for total, kwh in zip(totals, uses, strict=True):
            total[month - 1] += kwh
    return totals


class Plain:
    """The plain loop and its speed."""

    Loads = Loads
    USES = USES

    def __init__(self) -> None:
        seconds = []
        for _ in range(5):
            start = time.process_time()
            plain_months(Inverter.year, Loads())
            seconds.append(time.process_time() - start)
        self.rate = 1.0 / float(np.median(seconds))

    hours = staticmethod(plain_hours)
    months = staticmethod(plain_months)


Report = Callable[[Callable[[], object], str, int], None]


@pytest.fixture(scope="session")
def inverter() -> Inverter:
    """The invented machine."""
    return Inverter()


@pytest.fixture(scope="session")
def plain() -> Plain:
    """The plain loop, with its option-years per second in this very run."""
    return Plain()


@pytest.fixture
def report(benchmark: Any, plain: Plain) -> Report:
    """Measure something and print its rate beside that of the plain loop, by processor time."""

    def measure(run: Callable[[], object], name: str, years: int) -> None:
        cpu: list[float] = []
        wall: list[float] = []

        def timed() -> None:
            start = (time.process_time(), time.perf_counter())
            run()
            cpu.append(time.process_time() - start[0])
            wall.append(time.perf_counter() - start[1])

        benchmark.pedantic(timed, rounds=7, warmup_rounds=1)
        rates = [years / float(np.median(seconds[1:])) for seconds in (cpu, wall)]
        benchmark.extra_info.update(
            option_years_per_s=rates[0],
            option_years_per_s_of_wall_clock=rates[1],
            ratio_to_plain_loop=rates[0] / plain.rate,
        )
        times = f"{rates[0] / plain.rate:,.1f} x the plain loop ({plain.rate:.0f})"
        rate = f"{rates[0]:,.0f} option-years/s"
        clock = f"wall clock {rates[1]:,.0f}"
        print(f"\n{name}: {rate}, {times}; {clock}")  # noqa: T201 - what a benchmark is for

    return measure
