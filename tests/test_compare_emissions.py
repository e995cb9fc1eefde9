"""Emission rates by the hour in a comparison: hours times rates, two forms, refusals."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from energymodel.errors import EnergyModelError
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

# Room, prices and rates of this file are invented; only relations between results are checked.
ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
heating = { ua = "170 Btu/(h degF)", balance_temperature = "60 degF" }
cooling = { design_load = "7 kBtu/h", design_temperature = "91 degF", balance_temperature = "68 degF" }
[price.electricity]
energy = 0.14
per = "kWh"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-standard-12" }
cooling = { kind = "heat pump", unit = "inverter-standard-12" }
[emissions]
"""  # noqa: E501 - inline tables of TOML stand on one line
FORM = 'hourly = "rates.csv"\nhourly_unit = "UNIT"\n'
HOURS = ",".join(str(hour) for hour in range(24))
YEAR = pd.date_range("2023-01-01", periods=8760, freq="h")
Run = Callable[..., Comparison]


def month_table(rates: np.ndarray) -> str:
    rows = [f"{month}," + ",".join(str(rate) for rate in row) for month, row in enumerate(rates, 1)]
    return "\n".join([f"month,{HOURS}", *rows])


def wall_hours(year: int) -> pd.DatetimeIndex:
    """Wall-clock starts of the hours of a year in Greensboro, with daylight saving."""
    standard = pd.date_range(f"{year}-01-01", periods=8760, freq="h", tz="Etc/GMT+5")
    return standard.tz_convert("America/New_York").tz_localize(None)


@pytest.fixture
def run(tmp_path: Path) -> Run:
    def of(emissions: str, rates: str = "") -> Comparison:
        (tmp_path / "rates.csv").write_text(rates, "utf-8")
        (tmp_path / "room.toml").write_text(ROOM + emissions, "utf-8")
        return compare(tmp_path / "room.toml")

    return of


@pytest.mark.parametrize(("unit", "size"), [("kg/kWh", 1.0), ("g/kWh", 1000.0), ("kg/MWh", 1000.0),
                                            ("lb/MWh", 1000.0 / 0.45359237)])  # fmt: skip
def test_one_rate_for_all_hours_is_the_yearly_factor(run: Run, unit: str, size: float) -> None:
    yearly = run('grid = "0.4 kg/kWh"\ngrid_loss = 0.05\n')
    table = month_table(np.full((12, 24), 0.4 * size))
    by_hour = run(FORM.replace("UNIT", unit) + "data_year = 2022\ngrid_loss = 0.05\n", table)
    for one, other in zip(yearly.outcomes, by_hour.outcomes, strict=True):
        assert other.emissions.co2e_kg == pytest.approx(one.emissions.co2e_kg, rel=1e-12)


def test_rates_by_month_and_hour_meet_the_wall_clock_hours_of_the_option(run: Run) -> None:
    rates = np.linspace(0.1, 0.9, 288).reshape(12, 24)
    comparison = run(FORM.replace("UNIT", "kg/kWh") + "data_year = 2022\n", month_table(rates))
    wall = wall_hours(2022)
    for one in comparison.outcomes:
        drawn = one.result.hourly_electricity_kwh()
        by_hand = float(drawn @ rates[wall.month - 1, wall.hour])
        assert one.emissions.co2e_kg == pytest.approx(by_hand, rel=1e-12)
    means = [one.emissions.factors[0].co2e_kg_per_kwh for one in comparison.outcomes]
    assert means[0] != pytest.approx(means[1], rel=1e-3)
    for one in comparison.outcomes:
        assert "data year 2022" in one.emissions.factors[0].basis
        assert "rates.csv" in one.emissions.factors[0].basis


def test_rates_of_every_hour_name_their_own_year(run: Run) -> None:
    wall = wall_hours(2023)
    # the last standard hour of the year meets the first of it where the clock is ahead; not here
    values = 0.3 + 0.2 * np.sin(np.arange(8760) / 500.0)
    lines = [f"{stamp:%Y-%m-%d %H:%M},{rate}" for stamp, rate in zip(wall, values, strict=True)]
    comparison = run(FORM.replace("UNIT", "kg/kWh"), "\n".join(["start,rate", *lines]))
    for one in comparison.outcomes:
        drawn = one.result.hourly_electricity_kwh()
        assert one.emissions.co2e_kg == pytest.approx(float(drawn @ values), rel=1e-9)
        assert "data year 2023" in one.emissions.factors[0].basis
    listed = {used.name: used.value for used in comparison.model.defaults}
    assert listed["calendar year of the emission rates"] == "2023"


def test_fuels_keep_their_own_factor_beside_rates_by_the_hour(run: Run) -> None:
    gas = (
        '[price.natural_gas]\nenergy = 1.2\nper = "therm"\n[[option]]\nname = "Heater"\n'
        'heating = { kind = "room heater", fuel = "natural gas", afue = 0.8 }\n'
    )
    rates = month_table(np.full((12, 24), 0.2))
    comparison = run(FORM.replace("UNIT", "kg/kWh") + "data_year = 2022\n" + gas, rates)
    heater = next(one for one in comparison.outcomes if one.name == "Heater")
    yearly = next(one for one in run('grid = "0.2 kg/kWh"\n' + gas).outcomes
                  if one.name == "Heater")  # fmt: skip
    assert heater.emissions.co2e_kg == pytest.approx(yearly.emissions.co2e_kg)


@pytest.mark.parametrize(
    ("emissions", "rates", "fault"),
    [
        ('hourly = "rates.csv"\n', "", "have no unit"),
        ('hourly_unit = "kg/kWh"\n', "", "without a file of rates"),
        (FORM.replace("UNIT", "kWh"), "", "is not a unit of emission rates"),
        (FORM.replace("UNIT", "kg/kWh") + 'grid = "US"\n', "", "grid stands beside hourly"),
        (FORM.replace("UNIT", "kg/kWh"), month_table(np.full((12, 24), 0.4)), "data year"),
        (FORM.replace("UNIT", "kg/kWh") + "data_year = 2022\n",
         month_table(np.full((12, 24), 400.0)), "more than any plant emits"),
        (FORM.replace("UNIT", "kg/kWh") + "data_year = 2022\n",
         month_table(np.full((11, 24), 0.4)), "11 rows"),
        (FORM.replace("UNIT", "kg/kWh") + "data_year = 2022\n",
         month_table(np.full((12, 24), -0.4)), "0 or more"),
        (FORM.replace("UNIT", "kg/kWh"), "hour,kg\n1,2\n", "heading"),
        (FORM.replace("UNIT", "kg/kWh"), "start,rate\n2023-01-01 00:00,0.4\n", "no rate for"),
        (FORM.replace("UNIT", "kg/kWh") + "data_year = 2022\n",
         "start,rate\n2023-01-01 00:00,0.4\n", "data_year = 2022"),
        (FORM.replace("UNIT", "kg/kWh"), "start,rate\n2023-01-01 00:30,0.4\n", "2024-01-31"),
        (FORM.replace("UNIT", "kg/kWh"), "start,rate\n", "no hour in it"),
        ('hourly = "none.csv"\nhourly_unit = "kg/kWh"\n', "", "there is no such file"),
    ],
)  # fmt: skip
def test_rates_that_cannot_be_used_are_refused(
    run: Run, emissions: str, rates: str, fault: str
) -> None:
    with pytest.raises(EnergyModelError) as caught:
        run(emissions, rates)
    assert fault in str(caught.value)
