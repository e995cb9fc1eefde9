"""What must hold for every bill: sums, additivity, monotony, vectors, splits."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.errors import InputError
from energymodel.tariffs.bill import Bill, prepare
from energymodel.tariffs.bill_line import LineKind
from energymodel.tariffs.billing_period import BillingPeriods, monthly_from_day
from energymodel.tariffs.calendar import clock_from_standard_time, year_clock
from energymodel.tariffs.difference import difference
from energymodel.tariffs.printed_bill import print_bills
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_form import tariff_from_toml

ZONE = "America/New_York"
CLOCK = year_clock(2023, zone=ZONE)
TRIES = settings(max_examples=25, deadline=None)
seeds = st.integers(0, 2**32 - 1)
prices = st.floats(0.0, 1.0, allow_nan=False)

EVERYTHING = tariff_from_toml(
    """
    name = "all kinds of lines"
    [seasons]
    summer = "15 May to 14 Oct"
    [holidays]
    country = "US"
    [[baseline]]
    per_day = "9 kWh"
    [[fixed]]
    name = "Customer charge"
    price = "12.50 per month"
    [[fixed]]
    name = "Meter"
    price = "24 per year"
    [[energy]]
    name = "Generation"
    {count}
    [[energy.period]]
    name = "on-peak"
    when = { seasons = "summer", days = "weekdays", hours = "14-20" }
    blocks = [{ up_to = "1 x baseline", price = 0.21 }, { price = 0.34 }]
    [[energy.period]]
    name = "off-peak"
    blocks = [
      { up_to = "300 kWh per month", price = 0.08 },
      { up_to = "25 kWh per day", price = 0.11 },
      { price = 0.15 },
    ]
    [[energy]]
    name = "Delivery"
    price = 0.035
    [[rider]]
    name = "Fuel"
    price = [-0.01, 0.0, 0.01, 0.0, 0.0, 0.02, 0.02, 0.0, 0.0, 0.0, 0.0, -0.01]
    [[demand]]
    name = "Demand"
    interval = "60 min"
    price = 3.0
    ratchet = { percent = 60, look_back = 11 }
    [[minimum]]
    name = "Minimum"
    price = "60 per month"
    [[percent]]
    name = "Tax"
    percent = 6.5
    [[percent]]
    name = "Rebate"
    percent = -3
    of = ["Generation"]
    """.replace("{count}", "")
)


def _load(seed: int, columns: int = 1) -> np.ndarray:
    load = np.random.default_rng(seed).gamma(1.5, 0.8, (8760, columns))
    return load if columns > 1 else load[:, 0]


@TRIES
@given(seed=seeds)
def test_the_total_is_the_sum_of_the_lines_and_of_the_kinds(seed: int) -> None:
    bill = prepare(EVERYTHING, CLOCK).bill(_load(seed))
    lines = np.sum([line.amount for line in bill.lines], axis=0)
    assert bill.total_by_period == pytest.approx(lines, rel=1e-12)
    assert bill.total_by_period == pytest.approx(
        np.sum([bill.of_kind(kind) for kind in LineKind], axis=0), rel=1e-12
    )
    for one in print_bills(bill):
        assert sum(line.amount for line in one.lines) == one.total
    assert [float(one.total) for one in print_bills(bill)] == pytest.approx(
        bill.total_by_period.tolist(), abs=0.08
    )


@TRIES
@given(seed=seeds)
def test_many_columns_are_billed_as_single_ones(seed: int) -> None:
    prepared = prepare(EVERYTHING, CLOCK)
    loads = _load(seed, columns=4)
    whole = prepared.bill(loads)
    for column in range(4):
        single = prepared.bill(np.ascontiguousarray(loads[:, column]))
        for line, own in zip(whole.lines, single.lines, strict=True):
            assert line.amount[:, column] == pytest.approx(own.amount, rel=1e-12, abs=1e-12)
        assert whole.of_column(column).total == pytest.approx(float(single.total), rel=1e-12)


@TRIES
@given(seed=seeds, more=st.floats(0.0, 3.0))
def test_the_difference_of_two_bills_is_the_sum_of_its_lines(seed: int, more: float) -> None:
    prepared = prepare(EVERYTHING, CLOCK)
    base = _load(seed)
    added = np.where(CLOCK.months <= 3, more, 0.0)
    without, with_it = prepared.bill(base), prepared.bill(base + added)
    found = difference(with_it, without)
    assert found.total == pytest.approx(float(with_it.total - without.total), abs=1e-9)
    assert found.total_by_period[5] >= -1e-9
    assert np.sum([found.of_kind(kind).sum() for kind in LineKind]) == pytest.approx(
        float(found.total), abs=1e-9
    )
    assert found.energy_kwh.sum() == pytest.approx(added.sum(), abs=1e-6)


INCLINING = tariff_from_toml(
    """
    name = "inclining blocks"
    [[fixed]]
    name = "Customer charge"
    price = "9 per month"
    [[energy]]
    name = "Energy"
    blocks = [
      { up_to = "400 kWh per month", price = 0.09 },
      { up_to = "30 kWh per day", price = 0.12 },
      { price = 0.19 },
    ]
    [[minimum]]
    name = "Minimum"
    price = "15 per month"
    """
)


@TRIES
@given(seed=seeds, factor=st.floats(1.0, 4.0))
def test_more_use_never_costs_less_and_its_price_never_falls_on_inclining_blocks(
    seed: int, factor: float
) -> None:
    prepared = prepare(INCLINING, CLOCK)
    load = _load(seed)
    bills = [prepared.bill(load * size) for size in (1.0, factor, factor * 1.5)]
    for low, high in pairwise(bills):
        assert (high.total_by_period >= low.total_by_period - 1e-9).all()
    energy = [bill.of_charge("Energy") / np.maximum(bill.energy_kwh, 1e-12) for bill in bills]
    assert (energy[1] >= energy[0] - 1e-12).all()
    assert (energy[2] >= energy[1] - 1e-12).all()


ADDITIVE = tariff_from_toml(
    """
    name = "additive"
    [holidays]
    country = "US"
    [[energy]]
    name = "Energy"
    [[energy.period]]
    name = "peak"
    price = 0.3
    when = { days = "weekdays", hours = "16-21" }
    [[energy.period]]
    name = "other"
    price = 0.1
    [[rider]]
    name = "Fuel"
    price = -0.013
    [[percent]]
    name = "Tax"
    percent = 5
    """
)


@TRIES
@given(seed=seeds)
def test_energy_without_blocks_is_additive_over_loads(seed: int) -> None:
    prepared = prepare(ADDITIVE, CLOCK)
    one, other = _load(seed), _load(seed ^ 0xFFFF)
    together_ = prepared.bill(one + other).total_by_period
    apart = prepared.bill(one).total_by_period + prepared.bill(other).total_by_period
    assert together_ == pytest.approx(apart, rel=1e-12)


def _flat(price: float, *, periods: bool, count: str = "month total") -> Tariff:
    blocks = f"[{{ up_to = '500 kWh per month', price = {price} }}, {{ price = {price + 0.05} }}]"
    if not periods:
        return tariff_from_toml(f"name = 'flat'\n[[energy]]\nname = 'E'\nblocks = {blocks}")
    return tariff_from_toml(
        f"""
        name = 'one price in three periods'
        [[energy]]
        name = 'E'
        blocks_count = '{count}'
        [[energy.period]]
        name = 'day'
        blocks = {blocks}
        when = {{ hours = '7-19' }}
        [[energy.period]]
        name = 'Saturday night'
        blocks = {blocks}
        when = {{ days = 'Sat', hours = '19-7' }}
        [[energy.period]]
        name = 'other'
        blocks = {blocks}
        """
    )


@TRIES
@given(seed=seeds, price=prices)
def test_periods_at_one_price_cost_as_much_as_no_periods(seed: int, price: float) -> None:
    load = _load(seed)
    flat = prepare(_flat(price, periods=False), CLOCK).bill(load)
    for count in ("month total", "time order"):
        split = prepare(_flat(price, periods=True, count=count), CLOCK).bill(load)
        assert split.total_by_period == pytest.approx(flat.total_by_period, rel=1e-12)


def test_blocks_in_time_order_agree_with_adding_up_hour_by_hour() -> None:
    text = """
    name = "time order"
    [[energy]]
    name = "E"
    blocks_count = "time order"
    [[energy.period]]
    name = "peak"
    blocks = [{ up_to = "300 kWh per month", price = 0.2 }, { price = 0.4 }]
    when = { days = "weekdays", hours = "15-20" }
    [[energy.period]]
    name = "off-peak"
    blocks = [{ up_to = "500 kWh per month", price = 0.05 }, { price = 0.1 }]
    """
    load = _load(11)
    zone = ZoneInfo(ZONE)
    expected = np.zeros(12)
    reached = np.zeros(12)
    for hour, kwh in enumerate(load):
        moment = datetime.fromtimestamp(1672549200 + 3600 * hour, tz=zone)  # 2023-01-01 00:00 EST
        month = moment.month - 1
        peak = moment.weekday() < 5 and 15 <= moment.hour < 20
        limit, low, high = (300.0, 0.2, 0.4) if peak else (500.0, 0.05, 0.1)
        below = min(max(limit - reached[month], 0.0), kwh)
        expected[month] += below * low + (kwh - below) * high
        reached[month] += kwh
    bill = prepare(tariff_from_toml(text), CLOCK).bill(load)
    assert bill.total_by_period == pytest.approx(expected, rel=1e-9)
    assert bill.energy_kwh == pytest.approx(reached, rel=1e-12)


SPLIT_SAFE = Tariff(
    name="nothing counted per bill",
    seasons=EVERYTHING.seasons,
    holidays=EVERYTHING.holidays,
    fixed=EVERYTHING.fixed,
    energy=ADDITIVE.energy,
    riders=EVERYTHING.riders,
    percents=ADDITIVE.percents,
)


def _winter_bill(first: str, after: str, day: int, load: np.ndarray) -> tuple[Bill, BillingPeriods]:
    starts = np.arange(f"{first}T00:00", f"{after}T00:00", 60, dtype="datetime64[m]")
    clock = clock_from_standard_time(starts, zone=ZONE)
    periods = monthly_from_day(day, clock)
    return prepare(SPLIT_SAFE, clock, periods=periods).bill(load[: len(starts)]), periods


@TRIES
@given(seed=seeds, day=st.integers(2, 28))
def test_cutting_a_bill_at_the_years_end_changes_nothing_that_is_not_counted_per_bill(
    seed: int, day: int
) -> None:
    load = _load(seed)[: 24 * 62]
    whole, _ = _winter_bill("2023-12-01", "2024-02-01", day, load)
    before, cut = _winter_bill("2023-12-01", "2024-01-01", day, load)
    after, _ = _winter_bill("2024-01-01", "2024-02-01", day, load[24 * 31 :])
    assert float(before.total + after.total) == pytest.approx(float(whole.total), rel=1e-9)
    assert len(cut) == 2
    middle = whole.total_by_period[1]
    assert before.total_by_period[1] + after.total_by_period[0] == pytest.approx(middle, rel=1e-9)


@TRIES
@given(seed=seeds)
def test_quarter_hours_and_hours_of_the_same_use_cost_the_same(seed: int) -> None:
    quarters = year_clock(2023, zone=ZONE, rows=4 * 8760, step_min=15)
    load = _load(seed)
    by_hour = prepare(ADDITIVE, CLOCK).bill(load)
    by_quarter = prepare(ADDITIVE, quarters).bill(np.repeat(load / 4.0, 4))
    assert by_quarter.total_by_period == pytest.approx(by_hour.total_by_period, rel=1e-12)


def test_wrong_shapes_and_gaps_are_refused() -> None:
    prepared = prepare(ADDITIVE, CLOCK)
    with pytest.raises(InputError, match=r"shape \(8784,\)"):
        prepared.bill(np.ones(8784))
    with pytest.raises(InputError, match="not numbers"):
        prepared.bill(np.full(8760, np.nan))


def test_a_tariff_of_hours_without_a_zone_is_refused_and_a_flat_one_is_not() -> None:
    clock = year_clock(2023, zone=None)
    with pytest.raises(InputError, match="time zone of the place is not known"):
        prepare(ADDITIVE, clock)
    assert prepare(INCLINING, clock).bill(_load(1)).total > 0


def test_prices_out_of_force_are_used_with_a_notice() -> None:
    head = 'name = "old"\neffective = 2020-01-01\nexpires = 2020-12-31\n'
    text = head + '[[energy]]\nname = "E"\nprice = 1'
    bill = prepare(tariff_from_toml(text), CLOCK).bill(_load(1))
    assert any("2020-01-01 to 2020-12-31" in notice.text for notice in bill.notices)
