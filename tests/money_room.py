"""A room whose yearly costs are what a worked problem says, for tests of money."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

PLACE = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
ua = "100 W/K"
design_temperature = "17 degF"
balance_temperature = "62 degF"
"""
NOW = """
[[option]]
name = "Now"
present = true
heating = { kind = "electric resistance" }
"""


def electricity(per_kwh: float) -> str:
    """Price table of electricity."""
    return f'[price.electricity]\nenergy = {per_kwh!r}\nper = "kWh"\n'


def run(folder: Path, text: str) -> Comparison:
    """Write a scenario to a file and compare its options."""
    file = folder / "room.toml"
    file.write_text(text, "utf-8")
    return compare(file)


@cache
def load_kwh() -> float:
    """Heat that the room needs in the year, kWh."""
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        (now,) = run(Path(folder), PLACE + electricity(0.1) + NOW).outcomes
    return now.result.total("heating_load_kwh")


def price_for(yearly_cost: float) -> str:
    """Price table with which the room costs so much a year on electric resistance."""
    return electricity(yearly_cost / load_kwh())


def option(share: float, keys: str = "", *, name: str = "Option", cost: float = 0.0) -> str:
    """An option that needs a share of the present use, with more keys below it."""
    return (
        f'\n[[option]]\nname = "{name}"\nheating = {{ kind = "electric resistance" }}\n'
        f"load_factor = {share!r}\ninstalled_cost = {cost!r}\n{keys}\n"
    )
