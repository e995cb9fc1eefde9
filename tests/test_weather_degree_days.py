"""Degree-days by three definitions."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.units import c_from_f, f_from_c
from energymodel.weather.degree_days import (
    degree_days_daily_mean,
    degree_days_hourly,
    degree_days_max_min,
)
from energymodel.weather.grid import runs_of
from energymodel.weather.library import shipped_year, unfilled_rows

# Base 65 F: hourly, daily mean, max and min. Files as in the test of bins (computed).
HEATING = {
    "greensboro-nc": (4050.4, 3875.8, 3868.9),
    "sand-point-ak": (9140.9, 9140.6, 9140.3),
    "miami-fl": (218.2, 129.7, 140.3),
    "newark-nj-2013": (4829.7, 4743.2, 4769.6),
}
COOLING = {
    "greensboro-nc": (1480.5, 1305.9, 1370.5),
    "sand-point-ak": (0.2, 0.0, 0.0),
    "miami-fl": (4147.5, 4059.0, 4126.8),
    "newark-nj-2013": (1389.1, 1295.7, 1298.6),
}
# mean, lowest and highest hour, F; hourly heating degree-days at 60 and 55 F (computed)
HOURS = {
    "greensboro-nc": (8760, 57.959, 1.94, 96.08, 3066.9, 2242.3),
    "sand-point-ak": (8760, 39.957, 12.92, 66.92, 7322.2, 5536.9),
    "miami-fl": (8760, 75.765, 37.94, 93.02, 94.1, 30.7),
    "newark-nj-2013": (8730, 55.541, 10.94, 100.04, 3727.2, 2770.1),
}
DEFINITIONS = (degree_days_hourly, degree_days_daily_mean, degree_days_max_min)


def hours_of(key):
    """Newark: gaps up to 6 h inside the record filled, longer ones and the first hour left out."""
    if key != "newark-nj-2013":
        return shipped_year(key).outdoor_c
    outdoor = unfilled_rows(key)["outdoor_c"].to_numpy().copy()
    known = np.flatnonzero(~np.isnan(outdoor))
    line = np.interp(np.arange(outdoor.size), known, outdoor[known])
    for first, length in runs_of(np.isnan(outdoor)):
        if first > 0 and length <= 6:
            outdoor[first : first + length] = line[first : first + length]
    return outdoor


@pytest.mark.parametrize("key", HEATING)
def test_shipped_years_have_the_known_degree_days(key):
    found = [definition(hours_of(key)) for definition in DEFINITIONS]
    assert [round(sums.heating_f_day, 1) for sums in found] == list(HEATING[key])
    assert [round(sums.cooling_f_day, 1) for sums in found] == list(COOLING[key])


@pytest.mark.parametrize("key", HOURS)
def test_shipped_years_have_the_known_means_and_extremes(key):
    count, mean, lowest, highest, base_60, base_55 = HOURS[key]
    outdoor = hours_of(key)
    fahrenheit = f_from_c(outdoor[~np.isnan(outdoor)])
    assert fahrenheit.size == count
    assert float(fahrenheit.mean()) == pytest.approx(mean, abs=0.0006)
    assert float(fahrenheit.min()) == pytest.approx(lowest, abs=1e-9)
    assert float(fahrenheit.max()) == pytest.approx(highest, abs=1e-9)
    sums = [degree_days_hourly(outdoor, c_from_f(base)).heating_f_day for base in (60.0, 55.0)]
    assert [round(value, 1) for value in sums] == [base_60, base_55]


def test_newark_as_observed_has_the_known_hourly_degree_days():
    # 58 hours missing, nothing filled: HDD65 4,812.9, mean 55.55 F (computed)
    outdoor = unfilled_rows("newark-nj-2013")["outdoor_c"].to_numpy()
    sums = degree_days_hourly(outdoor)
    assert sums.hours == 8760 - 58
    assert sums.heating_f_day == pytest.approx(4812.9, abs=0.06)
    assert f_from_c(float(np.nanmean(outdoor))) == pytest.approx(55.55, abs=0.006)


def test_the_three_definitions_agree_when_no_day_crosses_the_base():
    days = np.tile(np.linspace(-5.0, 5.0, 24), 3)
    found = [definition(days, 20.0) for definition in DEFINITIONS]
    assert [sums.heating_k_day for sums in found] == pytest.approx([60.0, 60.0, 60.0])
    assert [sums.cooling_k_day for sums in found] == [0.0, 0.0, 0.0]


def test_each_result_names_its_definition():
    names = {definition(np.zeros(24)).definition for definition in DEFINITIONS}
    assert len(names) == 3


def test_a_part_of_a_day_is_refused_where_days_count():
    with pytest.raises(InputError, match="whole days"):
        degree_days_daily_mean(np.zeros(25))
