"""Interruptible and separate meters: cut by clock and temperature, billed on one account."""

from __future__ import annotations

import numpy as np
import pytest

from energymodel.errors import InputError
from energymodel.tariffs.bill import prepare
from energymodel.tariffs.billing_period import monthly_from_day
from energymodel.tariffs.calendar import year_clock
from energymodel.tariffs.interruption import interrupted
from energymodel.tariffs.several_meters import together
from energymodel.tariffs.toml_form import tariff_from_toml

CLOCK = year_clock(2023, zone="America/New_York")
HOUSE = tariff_from_toml('name = "house"\n[[energy]]\nname = "Energy"\nprice = 0.12')

INTERRUPTIBLE = tariff_from_toml(
    """
    name = "heat meter"
    [[fixed]]
    name = "Second meter"
    price = "3 per month"
    [[energy]]
    name = "Heat"
    price = 0.06
    [[interruption]]
    name = "Cold evenings"
    at_or_below = "15 degF"
    when = { days = "weekdays", hours = "17-21" }
    [[interruption]]
    name = "Deep cold"
    at_or_below = "-10 degF"
    """
)


def test_a_heat_meter_is_cut_by_clock_and_temperature() -> None:
    outdoor = np.full(8760, 0.0)
    evening = CLOCK.starts == np.datetime64("2023-01-10T18:00")
    sunday = CLOCK.starts == np.datetime64("2023-01-15T18:00")
    night = CLOCK.starts == np.datetime64("2023-01-16T03:00")
    outdoor[evening | sunday] = -9.5
    outdoor[night] = -25.0
    cut = interrupted(INTERRUPTIBLE, CLOCK, outdoor)
    assert np.flatnonzero(cut).tolist() == [
        int(np.flatnonzero(evening)[0]),
        int(np.flatnonzero(night)[0]),
    ]
    with pytest.raises(InputError, match="3 temperatures"):
        interrupted(INTERRUPTIBLE, CLOCK, np.zeros(3))


def test_two_meters_of_a_customer_stand_on_one_bill_with_their_own_lines() -> None:
    house = prepare(HOUSE, CLOCK).bill(np.full(8760, 0.7))
    heat = prepare(INTERRUPTIBLE, CLOCK).bill(np.full(8760, 0.4))
    both = together({"house": house, "heat meter": heat})
    assert both.total == pytest.approx(float(house.total + heat.total))
    assert both.of_charge("heat meter: Second meter").sum() == pytest.approx(36.0)


def test_meters_with_other_billing_periods_cannot_stand_on_one_bill() -> None:
    house = prepare(HOUSE, CLOCK).bill(np.ones(8760))
    other = prepare(HOUSE, CLOCK, periods=monthly_from_day(10, CLOCK)).bill(np.ones(8760))
    with pytest.raises(InputError, match="different billing periods"):
        together({"house": house, "heat meter": other})
