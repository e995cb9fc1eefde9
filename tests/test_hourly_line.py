"""A line fitted by days, turned into one of the hours: same energy, same design load.

Loads, rates and prices are invented; what is expected of them is computed beside each check.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.arrays import Array
from energymodel.building.change_point_forms import (
    COOLING_DEGREE_DAYS,
    HEATING_3P,
    HEATING_DEGREE_DAYS,
    Form,
)
from energymodel.building.fit_bands import Band
from energymodel.building.load import LoadLine
from energymodel.building.period_use import PeriodTemperatures
from energymodel.study.house.bill_load import BillLoad
from energymodel.study.house.hourly_line import hourly_excess, hourly_load
from energymodel.weather.library import shipped_year

DESIGN_C, COOLING_DESIGN_C = -10.0, 33.0
NO_BASE = Band(low=0.0, likely=0.0, high=0.0)


@pytest.fixture(scope="module")
def outdoor_c() -> Array:
    """Hours of ten stretches of 36 days, shape (periods, days, 24)."""
    return shipped_year("newark-nj-2013").outdoor_c[: 360 * 24].reshape(10, 36, 24)


def days_and_hours(outdoor_c: Array) -> tuple[PeriodTemperatures, PeriodTemperatures]:
    days = PeriodTemperatures(samples_c=outdoor_c.mean(axis=2))
    return days, PeriodTemperatures(samples_c=outdoor_c.reshape(len(outdoor_c), -1))


def load_of(balance_c: float, *, heating: bool = True) -> BillLoad:
    line = LoadLine(slope_w_per_k=250.0, balance_c=balance_c, indoor_c=21.0, heating=heating)
    spread = np.linspace(-1.0, 1.0, 5)
    return BillLoad(
        line=line,
        slopes_w_per_k=250.0 * (1.0 - 0.05 * spread),
        balances_c=balance_c + spread,
        base_kwh_per_day=NO_BASE,
        notices=(),
    )


def by_day_kwh(outdoor_c: Array, line: LoadLine, form: Form) -> float:
    daily_c = outdoor_c.mean(axis=2)
    seen = daily_c if form.by_day else np.broadcast_to(daily_c.mean(axis=1)[:, None], daily_c.shape)
    return float(line.load_w(seen.ravel()).sum() * 24 / 1000)


@given(balance_c=st.floats(8.0, 20.0), form=st.sampled_from([HEATING_DEGREE_DAYS, HEATING_3P]))
@settings(max_examples=20, deadline=None)
def test_the_hours_take_what_the_fit_gives_and_the_design_load_stays(
    balance_c: float, form: Form, outdoor_c: Array
) -> None:
    days, hours = days_and_hours(outdoor_c)
    load = load_of(balance_c)
    found = hourly_load(load, form, days=days, hours=hours, design_c=DESIGN_C)
    by_hour = float(found.line.load_w(outdoor_c.ravel()).sum() / 1000)
    assert by_hour == pytest.approx(by_day_kwh(outdoor_c, load.line, form), rel=1e-6)
    before, after = load.load_w(DESIGN_C), found.load_w(DESIGN_C)
    for end in ("low", "likely", "high"):
        assert getattr(after, end) == pytest.approx(getattr(before, end), rel=1e-9)
    assert found.line.balance_c < balance_c


def test_cooling_is_turned_about_its_own_design_temperature(outdoor_c: Array) -> None:
    days, hours = days_and_hours(outdoor_c)
    load = load_of(20.0, heating=False)
    found = hourly_load(
        load, COOLING_DEGREE_DAYS, days=days, hours=hours, design_c=COOLING_DESIGN_C
    )
    by_hour = float(found.line.load_w(outdoor_c.ravel()).sum() / 1000)
    assert by_hour == pytest.approx(by_day_kwh(outdoor_c, load.line, COOLING_DEGREE_DAYS), rel=1e-6)
    assert found.load_w(COOLING_DESIGN_C).likely == pytest.approx(
        load.load_w(COOLING_DESIGN_C).likely
    )
    assert found.line.balance_c > 20.0


def test_days_without_a_swing_need_no_turn(outdoor_c: Array) -> None:
    flat = np.broadcast_to(outdoor_c.mean(axis=2, keepdims=True), outdoor_c.shape)
    days, hours = days_and_hours(np.array(flat))
    load = load_of(16.0)
    assert hourly_excess(load, HEATING_DEGREE_DAYS, days=days, hours=hours) == pytest.approx(0.0)
    found = hourly_load(load, HEATING_DEGREE_DAYS, days=days, hours=hours, design_c=DESIGN_C)
    assert found.line.balance_c == pytest.approx(16.0, abs=1e-6)


def test_the_excess_is_hours_over_days(outdoor_c: Array) -> None:
    days, hours = days_and_hours(outdoor_c)
    load = load_of(16.0)
    by_hour = float(load.line.load_w(outdoor_c.ravel()).sum() / 1000)
    expected = by_hour / by_day_kwh(outdoor_c, load.line, HEATING_DEGREE_DAYS) - 1.0
    found = hourly_excess(load, HEATING_DEGREE_DAYS, days=days, hours=hours)
    assert found == pytest.approx(expected)
    assert 0.005 < found < 0.08


def test_near_the_balance_temperature_the_slope_alone_is_scaled(outdoor_c: Array) -> None:
    days, hours = days_and_hours(outdoor_c)
    load = load_of(16.0)
    found = hourly_load(load, HEATING_DEGREE_DAYS, days=days, hours=hours, design_c=13.0)
    assert found.line.balance_c == 16.0
    by_hour = float(found.line.load_w(outdoor_c.ravel()).sum() / 1000)
    assert by_hour == pytest.approx(by_day_kwh(outdoor_c, load.line, HEATING_DEGREE_DAYS))
