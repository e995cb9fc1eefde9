"""The quick ratio of use to degree-days, and its refusal."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.building.use_per_degree_day import merged_ratio, ratio_of_period
from energymodel.errors import InputError

# user problem B4 (forum): ragged gas reads in ccf, degree-days partly missing, no answer printed
B4_USE = np.array([65.0, 65.0, 193.0, 173.0, 823.0, 263.0])
B4_DEGREE_DAYS = np.array([154.0, 502.0, np.nan, np.nan, 2275.0, 1203.0])


def test_one_ragged_period_is_refused_and_merged_periods_are_offered() -> None:
    with pytest.raises(InputError, match=r"0\.42, 0\.13, 0\.36, 0\.22") as refused:
        ratio_of_period(B4_USE, B4_DEGREE_DAYS, period=1)
    # 1216 ccf / 4134 degree-days (computed)
    assert "0.294 per degree-day over 4 periods" in refused.value.remedy
    assert "merged" in refused.value.remedy
    assert "without period 3, 4" in refused.value.remedy


def test_a_period_without_degree_days_is_refused() -> None:
    with pytest.raises(InputError, match="period 3 are not known"):
        ratio_of_period(B4_USE, B4_DEGREE_DAYS, period=3)


def test_the_merged_ratio_is_that_of_the_sums() -> None:
    merged = merged_ratio(B4_USE, B4_DEGREE_DAYS)
    assert merged.ratio == pytest.approx(1216.0 / 4134.0)
    assert (merged.low, merged.high) == pytest.approx((65.0 / 502.0, 65.0 / 154.0))
    assert not merged.agrees


def test_a_single_known_period_is_no_ratio() -> None:
    with pytest.raises(InputError, match="1 period with known"):
        merged_ratio(np.array([5.0, 6.0]), np.array([np.nan, 100.0]))
