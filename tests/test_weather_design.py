"""Design temperatures estimated from a year of hours."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.units import f_from_c
from energymodel.weather.design import design_temperatures, design_temperatures_of
from energymodel.weather.library import shipped_year, unfilled_rows

# 99.6 %, 99 %, 1 %, 0.4 %, coldest 24 h mean, F: quantiles over all hours, linear (computed from
# the files as in the test of bins)
KNOWN = {
    "greensboro-nc": (12.02, 15.08, 89.96, 91.94, 10.08),
    "sand-point-ak": (15.98, 17.60, 59.90, 61.88, 15.90),
    "miami-fl": (48.05, 51.98, 89.06, 89.06, 47.5),
    "newark-nj-2013": (15.98, 19.04, 91.94, 93.92, 15.41),
}


def figures_f(design):
    return [
        f_from_c(value)
        for value in (
            design.heating_99_6_c,
            design.heating_99_c,
            design.cooling_1_c,
            design.cooling_0_4_c,
            design.coldest_24h_mean_c,
        )
    ]


@pytest.mark.parametrize("key", KNOWN)
def test_shipped_years_have_the_known_design_temperatures(key):
    found = figures_f(design_temperatures_of(unfilled_rows(key)["outdoor_c"].to_numpy()))
    assert found == pytest.approx(KNOWN[key], abs=0.0061)


def test_a_typical_year_warns_that_it_is_too_mild_for_sizing():
    design = design_temperatures(shipped_year("greensboro-nc"))
    assert any("too mild" in notice.text for notice in design.notices)


def test_an_observed_year_warns_that_it_is_only_one():
    design = design_temperatures(shipped_year("newark-nj-2013"))
    assert any("one observed year" in notice.text for notice in design.notices)


def test_the_coldest_24_hours_may_begin_at_any_hour():
    outdoor = np.full(72, 10.0)
    outdoor[30:54] = -6.0
    assert design_temperatures_of(outdoor).coldest_24h_mean_c == -6.0


def test_hours_with_a_gap_in_every_day_are_refused():
    outdoor = np.zeros(96)
    outdoor[::20] = np.nan
    with pytest.raises(InputError, match="design temperatures"):
        design_temperatures_of(outdoor)
