"""Emissions by hour or year, with the shape of a bill."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.tariffs.billing_period import monthly_from_day
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.emission_rate import EmissionRate, emissions_by_bill

CLOCK = year_clock(2023, zone="America/New_York")


def test_emissions_have_the_shape_of_a_bill_by_year_or_by_hour() -> None:
    load = np.random.default_rng(7).gamma(1.5, 0.8, 8760)
    periods = monthly_from_day(1, CLOCK)
    yearly = EmissionRate(kg_per_kwh=np.asarray(0.4), basis="average")
    hourly = EmissionRate(kg_per_kwh=np.full(8760, 0.4), basis="average")
    found = emissions_by_bill(yearly, load, clock=CLOCK, periods=periods)
    assert found.shape == (12,)
    assert found.sum() == pytest.approx(0.4 * load.sum())
    assert emissions_by_bill(hourly, load, clock=CLOCK, periods=periods) == pytest.approx(found)
    short = EmissionRate(kg_per_kwh=np.ones(3), basis="average")
    with pytest.raises(InputError, match="3 emission rates"):
        emissions_by_bill(short, load, clock=CLOCK, periods=periods)
