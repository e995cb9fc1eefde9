"""Ranges of the customer's page over real winters."""

from __future__ import annotations

import runpy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from energymodel.report.handout.handout import make_sheet, page_data
from energymodel.report.handout.ranges import Ranges, ranges
from energymodel.report.handout.sheet import HandoutSettings
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison
from energymodel.weather.stations import Station, fetch_station_years

_TOOLS = runpy.run_path(str(Path(__file__).with_name("station_server.py")))
StationServer: Any = _TOOLS["StationServer"]
NEWARK: Station = _TOOLS["NEWARK"]
HOUR: dict[int, int] = _TOOLS["HOUR"]
invented_hours: Any = _TOOLS["invented_hours"]
# Room and prices are invented.
ROOM = """
[place]
weather = "newark-nj-2013"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9.5 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
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
installed_cost = 3600
[ranges]
weather_years = ["station 72502 2012-2014"]
"""


@pytest.fixture(scope="module")
def comparison(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Comparison]:
    """Three years of a station, 2 K milder from year to year, fetched from this machine."""
    folder = tmp_path_factory.mktemp("stations")
    with pytest.MonkeyPatch.context() as patch, StationServer(folder / "server") as server:
        for name, value in server.environment(folder / "cache").items():
            patch.setenv(name, value)
        hours = [
            (hour, celsius + 2.0 * sum(hour >= HOUR[year] + 5 for year in (2013, 2014)), *rest)
            for hour, celsius, *rest in invented_hours(HOUR[2012], HOUR[2015] + 24)
        ]
        server.put_hours("72502", hours)
        fetch_station_years(NEWARK, (2012, 2013, 2014))
        server.stop()
        file = folder / "room.toml"
        file.write_text(ROOM, "utf-8")
        yield compare(file)


@pytest.fixture(scope="module")
def found(comparison: Comparison) -> Ranges:
    return ranges(comparison)


def test_the_range_runs_over_the_real_winters_named(found: Ranges) -> None:
    assert found.winters == ("2012-13", "2013-14")
    for span in found.by_option.values():
        assert span.low < span.likely or span.likely < span.high


def test_resistance_heat_varies_with_the_winters_alone(
    comparison: Comparison, found: Ranges
) -> None:
    # one price and COP 1: its range is that of the winters' loads; the likely value is the
    # comparison's own year (computed)
    span = found.by_option["Baseboard"]
    assert span.likely == comparison.outcomes[0].yearly_cost
    assert span.high - span.low > 0.01 * span.likely
    assert span.saving_low is None


def test_the_saving_is_taken_winter_by_winter(found: Ranges) -> None:
    baseboard, inverter = found.by_option["Baseboard"], found.by_option["Inverter"]
    assert inverter.saving_low is not None
    assert inverter.saving_high is not None
    # both see the same winter, so the saving cannot span low of the one to high of the other
    assert inverter.saving_high <= baseboard.high - inverter.low
    assert inverter.saving_low >= baseboard.low - inverter.high
    assert inverter.saving_high < baseboard.high


def test_the_page_names_the_winters_and_marks_the_year_of_the_likely_value(
    comparison: Comparison,
) -> None:
    data = page_data(make_sheet(comparison, us=True, settings=HandoutSettings()))
    assert data["options"]["year"] == "year 2013"
    text = " ".join(data["range"])
    assert "Low and high are over 2 real winters (2012-13 to 2013-14)" in text
    assert "the likely value is that of the year 2013" in text
    assert "2 real winters" in dict(data["room"])["Weather"]
