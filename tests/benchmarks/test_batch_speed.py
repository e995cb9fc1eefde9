"""Speed of a year: hours in a plain loop, hours as arrays, states one at a time, a batch.

Run with `pytest -m benchmark -s tests/benchmarks/test_batch_speed.py`. Nothing is asserted about
time. Each line gives the median in option-years per second of processor time, and the ratio to the
plain loop in the same run; each asserts that its numbers are those of the plain loop.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from energymodel.arrays import Array
from energymodel.season.annual import annual
from energymodel.season.batch.batch import batch
from energymodel.season.batch.cells import hours_in_cells, largest_base_w
from energymodel.season.batch.many import many_years
from energymodel.season.batch.run import BatchResult
from energymodel.season.batch.variants import Variants
from energymodel.season.option import Option
from energymodel.season.states import States, distinct_states, every_hour
from energymodel.weather.year import WeatherYear

pytestmark = pytest.mark.benchmark
VARIANTS = 20_000


def _variants(*, cools: bool) -> Variants:
    random = np.random.default_rng(1)
    factor = random.uniform(0.8, 1.0, VARIANTS)
    return Variants(
        heating_slope_w_per_k=random.uniform(40.0, 300.0, VARIANTS),
        heating_balance_c=random.uniform(12.0, 18.0, VARIANTS),
        cooling_slope_w_per_k=random.uniform(40.0, 300.0, VARIANTS) if cools else None,
        cooling_balance_c=random.uniform(18.0, 22.0, VARIANTS) if cools else None,
        heating_in_service_factor=factor,
        cooling_in_service_factor=factor,
    )


def _loads(plain: Any, variants: Variants, index: int) -> Any:
    columns = {
        "heating_w_per_k": variants.heating_slope_w_per_k,
        "heating_balance_c": variants.heating_balance_c,
        "cooling_w_per_k": variants.cooling_slope_w_per_k,
        "cooling_balance_c": variants.cooling_balance_c,
        "in_service": variants.heating_in_service_factor,
    }
    given = {name: float(column[index]) for name, column in columns.items() if column is not None}
    return plain.Loads(**given)


def _assert_equal(
    result: BatchResult, plain: Any, variants: Variants, year: WeatherYear, per_month: int = 1
) -> None:
    for index in (0, 1, VARIANTS - 1):
        by_month = plain.months(year, _loads(plain, variants, index))
        for name, wanted in zip(plain.USES, by_month, strict=True):
            found = result.column(name)[index].reshape(12, per_month).sum(axis=1)
            assert found == pytest.approx(wanted, rel=1e-9, abs=1e-9), name


def _five_uses(option: Option, year: WeatherYear, states: States) -> Callable[[], list[Array]]:
    def run() -> list[Array]:
        one = annual(option, year, indexing=lambda _option, _year: states)
        return [one.month_totals(name) for name in one.columns if "_electricity_" in name]

    return run


def test_speed_of_the_plain_loop(report: Any, inverter: Any, plain: Any) -> None:
    option = inverter.option(cools=False)
    result = batch(option, distinct_states(option, inverter.year), Variants())
    wanted = plain.months(inverter.year, plain.Loads())
    for name, by_month in zip(plain.USES, wanted, strict=True):
        assert result.column(name)[0] == pytest.approx(by_month, abs=1e-9), name
    report(lambda: plain.months(inverter.year, plain.Loads()), "plain loop over the hours", 1)


@pytest.mark.parametrize("hourly", [True, False], ids=["hours as arrays", "states one at a time"])
def test_speed_of_single_years(report: Any, inverter: Any, plain: Any, hourly: bool) -> None:
    option = inverter.option(cools=False)
    states = (every_hour if hourly else distinct_states)(option, inverter.year)
    run = _five_uses(option, inverter.year, states)
    wanted = plain.months(inverter.year, plain.Loads())
    found = sum(by_month.sum() for by_month in run())
    assert found == pytest.approx(np.sum(wanted), rel=1e-9)
    name = f"{'hours as arrays' if hourly else 'distinct states one at a time'}, {len(states)}"
    report(run, name, 1)


@pytest.mark.parametrize("cools", [False, True], ids=["heating", "heating and cooling"])
@pytest.mark.parametrize("cells", [12, 36])
def test_speed_of_a_batch(report: Any, inverter: Any, plain: Any, cools: bool, cells: int) -> None:
    option, year = inverter.option(cools=cools), inverter.year
    states = distinct_states(option, year)
    hour = np.arange(year.outdoor_c.size) % 24
    part = (hour >= 7).astype(np.intp) + (hour >= 17)
    cell = year.month - 1 if cells == 12 else (year.month - 1) * 3 + part
    hours = hours_in_cells(states, cell, cells)
    variants = _variants(cools=cools)
    _assert_equal(batch(option, states, variants, hours=hours), plain, variants, year, cells // 12)
    what = "heating and cooling" if cools else "heating"
    report(
        lambda: batch(option, states, variants, hours=hours),
        f"batch, {what}, {cells} cells, {len(states)} states",
        VARIANTS,
    )


def test_speed_of_a_batch_with_frost(report: Any, inverter: Any) -> None:
    option = inverter.option(cools=False, frost=True)
    states = distinct_states(option, inverter.year)
    own = batch(option, states, Variants())
    hourly = annual(option, inverter.year, indexing=every_hour)  # the plain loop has no frost
    for name in own.names:
        assert own.column(name)[0] == pytest.approx(hourly.month_totals(name), abs=1e-8), name
    variants = _variants(cools=False)
    name = f"batch, heating with frost, 12 cells, {len(states)} states"
    report(lambda: batch(option, states, variants), name, VARIANTS)


def test_speed_of_a_batch_with_a_peak_in_each_month(report: Any, inverter: Any, plain: Any) -> None:
    option, year = inverter.option(cools=False), inverter.year
    states = distinct_states(option, year)
    base_w = np.random.default_rng(2).uniform(0.0, 4000.0, year.outdoor_c.size)
    largest = largest_base_w(states, base_w, year.month - 1, 12)
    variants = _variants(cools=False)
    result = batch(option, states, variants, base_w=largest)
    _assert_equal(result, plain, variants, year)
    hours = plain.hours(year.outdoor_c.tolist(), _loads(plain, variants, 0))
    peaks = [0.0] * 12
    for month, base, uses in zip(year.month.tolist(), base_w.tolist(), hours, strict=True):
        peaks[month - 1] = max(peaks[month - 1], base / 1000.0 + sum(uses))
    assert result.peak_kw is not None
    assert result.peak_kw[0] == pytest.approx(peaks, rel=1e-9)
    report(
        lambda: batch(option, states, variants, base_w=largest),
        f"batch, heating, months and peaks, {len(states)} states",
        VARIANTS,
    )


@pytest.mark.parametrize("wanted", [147, 440, 8760])
def test_speed_of_a_batch_against_the_number_of_states(
    report: Any, inverter: Any, plain: Any, wanted: int
) -> None:
    option, year = inverter.option(cools=False), inverter.year_of(wanted)
    states = distinct_states(option, year)
    variants = _variants(cools=False)
    _assert_equal(batch(option, states, variants), plain, variants, year)
    report(
        lambda: batch(option, states, variants),
        f"batch, heating, a year of {len(states)} states",
        VARIANTS,
    )


def test_speed_of_many_years_with_loads(report: Any, inverter: Any, plain: Any) -> None:
    option, variants = inverter.option(cools=True), _variants(cools=True)
    _assert_equal(many_years(option, inverter.year, variants), plain, variants, inverter.year)
    report(
        lambda: many_years(option, inverter.year, variants),
        "many years, heating and cooling, with loads and delivered energy",
        VARIANTS,
    )
