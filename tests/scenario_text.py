"""A sound scenario as text, for tests that change or break it."""

from __future__ import annotations

from pathlib import Path

import pytest

from energymodel.errors import EnergyModelError
from energymodel.scenario.assemble import Model, assemble
from energymodel.scenario.files import read_scenario

BASE = """
title = "A room"
units = "us"
currency = "USD"
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9.5 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[room.cooling]
design_load = "8 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
months_without = ["Apr"]
[price.electricity]
energy = 0.14
per = "kWh"
fixed = "12 per month"
[price.natural_gas]
energy = 1.25
per = "therm"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Furnace"
heating = { kind = "furnace", fuel = "natural gas", afue = 0.80, ducts = { efficiency = 0.75 } }
installed_cost = 2900
[[option]]
name = "Strips"
cooling = { kind = "heat pump", unit = "single-speed-24", ducts = { efficiency = 0.80 } }
[option.heating]
kind = "heat pump"
unit = "single-speed-24"
ducts = { efficiency = 0.80 }
backup = { heater = { kind = "electric resistance", capacity = "5 kW" } }
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-standard-12", line_length = "25 ft" }
cooling = { kind = "heat pump", unit = "inverter-standard-12" }
[emissions]
grid = "US"
"""
JARGON = ("Input should", "should have", "dictionary", "pydantic", "instance of", "validation")
BASEBOARD = 'option[1] ("Baseboard")'
FURNACE = 'option[2] ("Furnace")'
STRIPS = 'option[3] ("Strips")'
INVERTER = 'option[4] ("Inverter")'


def changed(*pairs: tuple[str, str], text: str = BASE) -> str:
    """Replace pieces of the scenario, each of which must be there."""
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def build(folder: Path, text: str) -> Model:
    """Write the scenario to a file, read it and assemble it."""
    file = folder / "room.toml"
    file.write_text(text, "utf-8")
    return assemble(read_scenario(file))


def refused(folder: Path, text: str) -> str:
    """Return the message with which the scenario is refused."""
    with pytest.raises(EnergyModelError) as caught:
        build(folder, text)
    message = str(caught.value)
    for word in (*JARGON, "None"):
        assert word not in message
    return message
