"""A house, its rates and its options with interruptible supply, for tests; run by runpy."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd

from energymodel.datafiles import data_file
from energymodel.study.comparison.outcome import Comparison, Outcome

HOUSE = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "76 degF" }
[room.heating]
design_load = "26 kBtu/h"
design_temperature = "18 degF"
balance_temperature = "60 degF"
[room.cooling]
design_load = "20 kBtu/h"
design_temperature = "92 degF"
balance_temperature = "69 degF"
[price.natural_gas]
energy = 1.35
per = "therm"
[[option]]
name = "Gas furnace"
present = true
[option.heating]
kind = "furnace"
fuel = "natural gas"
afue = 0.80
blower = "400 W"
auxiliary = "60 W"
ducts = { efficiency = 0.85 }
[[option]]
name = "Electric furnace"
[option.heating]
kind = "electric furnace"
capacity = "15 kW"
blower = "400 W"
ducts = { efficiency = 0.85 }
[option.cooling]
kind = "air conditioner"
unit = "central-air-conditioner-36"
ducts = { efficiency = 0.85 }
[[option]]
name = "Strips"
METER
[option.heating]
kind = "heat pump"
unit = "two-stage-36"
ducts = { efficiency = 0.85 }
backup = { heater = { kind = "electric resistance", capacity = "10 kW" } }
[option.cooling]
kind = "heat pump"
unit = "two-stage-36"
ducts = { efficiency = 0.85 }
[[option]]
name = "Dual fuel"
METER
[option.heating]
kind = "heat pump"
unit = "two-stage-36"
ducts = { efficiency = 0.85 }
[option.heating.backup]
runs = "instead"
heater = { kind = "furnace", fuel = "natural gas", afue = 0.80, blower = "400 W" }
[option.cooling]
kind = "heat pump"
unit = "two-stage-36"
ducts = { efficiency = 0.85 }
"""
FLAT = '[price.electricity]\nenergy = 0.12\nper = "kWh"\nfixed = "10 per month"\n'
TIERS = """
name = "Tiers"
effective = 2026-01-01
[[fixed]]
name = "Customer charge"
price = "9 per month"
[[energy]]
name = "Energy"
blocks = [{ up_to = "900 kWh per month", price = 0.11 }, { price = 0.14 }]
"""
OTHER = [620, 540, 520, 460, 440, 470, 500, 500, 450, 470, 520, 610]
BY_TARIFF = f'[price.electricity]\ntariff = "house.toml"\nother_use_kwh = {OTHER}\n'
HEAT_METER = data_file("examples", "heat-meter.toml").read_text("utf-8")
CONTROL = HEAT_METER[HEAT_METER.index("[[interruption]]") :]
SEASONS = HEAT_METER[HEAT_METER.index("[seasons]") : HEAT_METER.index("[[fixed]]")]
METER = 'meter = { tariff = "heat.toml" }'
FANS = ["heating_electricity_blower_kwh", "heating_electricity_auxiliary_kwh"]


def write(folder: Path, price: str, *, house: str = TIERS, meter: str = "") -> Path:
    (folder / "house.toml").write_text(house, "utf-8")
    (folder / "heat.toml").write_text(HEAT_METER, "utf-8")
    path = folder / "scenario.toml"
    path.write_text(price + HOUSE.replace("METER", meter), "utf-8")
    return path


def outcome(comparison: Comparison, name: str) -> Outcome:
    return next(one for one in comparison.outcomes if one.name == name)


def hours(one: Outcome) -> pd.DataFrame:
    """Every column by hour, with the wall clock of 2026, by pandas alone."""
    standard = pd.date_range("2026-01-01", periods=8760, freq="h", tz="Etc/GMT+5")
    table = one.result.hourly(standard)
    wall = standard.tz_convert("America/New_York")
    cold = table["outdoor_c"] <= (20.0 - 32.0) / 1.8 + 1e-9
    table["winter"] = np.isin(wall.month, (11, 12, 1, 2, 3))
    table["cut"] = table["winter"] & np.isin(wall.hour, (6, 7, 8, 17, 18, 19)) & cold
    return table


def electricity(table: pd.DataFrame) -> pd.DataFrame:
    return table.filter(regex="_electricity_")
