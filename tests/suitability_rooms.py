"""Invented rooms for tests of suitability, and a synthetic cold year that is no real place."""

from __future__ import annotations

from pathlib import Path

import numpy as np

DEMO_ROOM = """
[room]
name = "Room addition"
area = "380 ft2"
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9.5 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[room.cooling]
design_load = "7 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
[price.electricity]
energy = 0.14
per = "kWh"
[[option]]
name = "Electric baseboard"
present = true
heating = { kind = "electric resistance" }
"""
SERVER_ROOM = """
[room]
indoor = { heating = "60 degF", cooling = "76 degF" }
cooling = { design_load = "8 kBtu/h", design_temperature = "88 degF", \
balance_temperature = "-60 degF" }
[price.electricity]
energy = 0.14
per = "kWh"
[[option]]
name = "Window unit"
cooling = { kind = "air conditioner", unit = "window-8" }
[site]
kind = "server room"
"""
COLD_PLACE = """
[place]
weather = "cold.csv"
name = "synthetic cold inland place"
[place.table]
time = "time"
outdoor = "outdoor_degC"
outdoor_unit = "degC"
humidity = "humidity_pct"
latitude = 47.0
longitude = -97.0
elevation = "270 m"
utc_offset = -6
"""


def place(key: str) -> str:
    """A [place] table of a year at hand."""
    return f'[place]\nweather = "{key}"\n'


def cold_hours_c() -> np.ndarray:
    """Synthetic year: seasons, days, waves of some days, and a hard spell in January."""
    hour = np.arange(8760)
    day = hour / 24.0
    year = -17.0 * np.cos(2 * np.pi * (day - 18.0) / 365.0)
    daily = 5.0 * np.sin(2 * np.pi * (hour % 24 - 9.0) / 24.0)
    waves = 5.0 * np.sin(2 * np.pi * day / 9.3) + 3.0 * np.sin(2 * np.pi * day / 4.1 + 1.0)
    spell = np.where((day >= 14) & (day < 19), -11.0, 0.0)
    return np.round(7.0 + year + daily + waves + spell, 1)


def write_cold(folder: Path, text: str) -> Path:
    """Write the synthetic year and a scenario at its place."""
    stamps = np.datetime64("2019-01-01T00:00") + np.arange(8760) * np.timedelta64(60, "m")
    rows = [
        f"{str(stamp).replace('T', ' ')},{value},72"
        for stamp, value in zip(stamps, cold_hours_c(), strict=True)
    ]
    lines = ["time,outdoor_degC,humidity_pct", *rows]
    (folder / "cold.csv").write_text("\n".join(lines) + "\n", "utf-8")
    return write(folder, COLD_PLACE + text)


def write(folder: Path, text: str) -> Path:
    """Write a scenario."""
    file = folder / "room.toml"
    file.write_text(text, "utf-8")
    return file
