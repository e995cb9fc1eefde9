"""What a room or house costs per year to heat and cool, from hourly weather."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

__version__ = "0.1.0"

if TYPE_CHECKING:
    from energymodel.report.handout.handout import write_handout
    from energymodel.report.workbook.workbook import write_workbook
    from energymodel.scenario.files import read_scenario
    from energymodel.season.annual import annual
    from energymodel.study.comparison.compare import compare
    from energymodel.study.house.from_bills import fit_readings
    from energymodel.study.rating.rate import rate
    from energymodel.study.sweep.sweep import sweep
    from energymodel.study.switchover.switchover import switchover
    from energymodel.study.uncertainty.uncertainty import uncertainty
    from energymodel.tariffs.bill import bill
    from energymodel.weather.files import read_weather
    from energymodel.weather.stations import fetch_stations

_HOMES = {
    "annual": "energymodel.season.annual",
    "bill": "energymodel.tariffs.bill",
    "compare": "energymodel.study.comparison.compare",
    "fetch_stations": "energymodel.weather.stations",
    "fit_readings": "energymodel.study.house.from_bills",
    "rate": "energymodel.study.rating.rate",
    "read_scenario": "energymodel.scenario.files",
    "read_weather": "energymodel.weather.files",
    "sweep": "energymodel.study.sweep.sweep",
    "switchover": "energymodel.study.switchover.switchover",
    "uncertainty": "energymodel.study.uncertainty.uncertainty",
    "write_handout": "energymodel.report.handout.handout",
    "write_workbook": "energymodel.report.workbook.workbook",
}

__all__ = [
    "annual",
    "bill",
    "compare",
    "fetch_stations",
    "fit_readings",
    "rate",
    "read_scenario",
    "read_weather",
    "sweep",
    "switchover",
    "uncertainty",
    "write_handout",
    "write_workbook",
]


def __getattr__(name: str) -> object:
    """Import a public name at its first use, so that `import energymodel` stays cheap."""
    if name in _HOMES:
        return getattr(importlib.import_module(_HOMES[name]), name)
    msg = f"module 'energymodel' has no attribute {name!r}"
    raise AttributeError(msg)


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__"])
