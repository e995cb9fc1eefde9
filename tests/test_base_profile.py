"""Monthly use spread over hours: exact totals, stated shapes, refused halves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.errors import InputError
from energymodel.meters.base_profile import FLAT, day_profile, spread_months

MONTHLY = [900.0, 800.0, 700.0, 600.0, 500.0, 550.0, 700.0, 720.0, 610.0, 580.0, 690.0, 850.0]


def year(label):
    return np.arange(f"{label}-01-01", f"{label + 1}-01-01", dtype="datetime64[h]")


def month_sums(use):
    month = use.start_local.astype("datetime64[M]").astype(np.int64) % 12
    return [math.fsum(use.use_kwh[month == number]) for number in range(12)]


@settings(max_examples=25, deadline=None)
@given(
    monthly=st.lists(st.floats(0.0, 1e5), min_size=12, max_size=12),
    weekday=st.lists(st.floats(0.0, 100.0), min_size=24, max_size=24).filter(any),
    label=st.sampled_from([2001, 2023, 2024]),
)
def test_every_month_adds_up_to_its_use(monthly, weekday, label):
    use = spread_months(monthly, year(label), profile=day_profile(weekday))
    np.testing.assert_allclose(month_sums(use), monthly, rtol=1e-15, atol=1e-300)
    assert (use.use_kwh >= 0.0).all()


def test_the_flat_profile_gives_every_hour_of_a_month_the_same():
    use = spread_months(MONTHLY, year(2023))
    january = use.use_kwh[:744]
    np.testing.assert_allclose(january, 900.0 / 744.0, rtol=1e-12)
    # 28 days of 24 h, and 29 in a leap year (computed)
    assert use.use_kwh[800] == pytest.approx(800.0 / 672.0)
    assert spread_months(MONTHLY, year(2024)).use_kwh[800] == pytest.approx(800.0 / 696.0)


def test_weekdays_and_weekends_have_their_shapes():
    weekday = [1.0] * 12 + [2.0] * 12
    use = spread_months(MONTHLY, year(2024), profile=day_profile(weekday, [4.0] * 24))
    # 2024-01-01 was a Monday, 2024-01-06 a Saturday
    monday, saturday = use.use_kwh[:24], use.use_kwh[120:144]
    assert monday[12] / monday[11] == pytest.approx(2.0)
    np.testing.assert_allclose(saturday / monday[0], 4.0)
    # 23 weekdays of 36 and 8 weekend days of 96 shares (computed)
    assert monday[0] == pytest.approx(900.0 / (23 * 36 + 8 * 96))


def test_a_year_without_its_leap_day_is_whole():
    hours = year(2024)
    leap = hours.astype("datetime64[D]") == np.datetime64("2024-02-29")
    use = spread_months(MONTHLY, hours[~leap])
    assert month_sums(use)[1] == pytest.approx(800.0, rel=1e-15)


def test_the_profile_is_marked_as_an_assumption():
    use = spread_months(MONTHLY, year(2023))
    assert str(use.defaults[0]) == "profile of the other use: flat (our choice)"
    assert "an assumption" in use.notices[0].text
    own = spread_months(MONTHLY, year(2023), profile=day_profile([1.0] * 24, name="shop"))
    assert "'shop' (given by the user)" in own.notices[0].text


@pytest.mark.parametrize(
    "hours", [year(2023)[:-1], year(2023)[24:], np.concatenate([year(2023), year(2023)[:1]]),
              year(2023)[:0]]
)  # fmt: skip
def test_parts_of_months_are_refused(hours):
    with pytest.raises(InputError, match="not those of whole months"):
        spread_months(MONTHLY, hours)


@pytest.mark.parametrize("monthly", [MONTHLY[:11], [*MONTHLY[:11], -1.0], [math.nan] * 12])
def test_monthly_use_must_be_twelve_positive_values(monthly):
    with pytest.raises(InputError, match="monthly use"):
        spread_months(monthly, year(2023))


@pytest.mark.parametrize(
    ("weekday", "weekend"),
    [([1.0] * 23, None), ([0.0] * 24, None), ([1.0] * 24, [-1.0] * 24), ([math.inf] * 24, None)],
)
def test_a_shape_must_be_24_values_of_zero_or_more(weekday, weekend):
    with pytest.raises(InputError, match="the profile"):
        day_profile(weekday, weekend)


def test_flat_is_flat():
    assert len(FLAT.weekday) == len(FLAT.weekend) == 24
    assert set(FLAT.weekday) == set(FLAT.weekend)
