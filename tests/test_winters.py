"""Real winters: July to June out of calendar years, from stations and files; spread over them."""

from __future__ import annotations

import runpy
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from energymodel.errors import EnergyModelError, InputError, WeatherError
from energymodel.study.comparison.compare import compare
from energymodel.study.uncertainty.inputs import Kind
from energymodel.study.uncertainty.uncertainty import uncertainty
from energymodel.study.uncertainty.winters import read_years, winters_of
from energymodel.weather.library import shipped_year
from energymodel.weather.stations import Station, fetch_station_years
from energymodel.weather.year import WeatherYear, year_of_table

_TOOLS = runpy.run_path(str(Path(__file__).with_name("station_server.py")))
StationServer: Any = _TOOLS["StationServer"]
NEWARK: Station = _TOOLS["NEWARK"]
HOUR: dict[int, int] = _TOOLS["HOUR"]
invented_hours: Any = _TOOLS["invented_hours"]
ROOM = """
[place]
weather = "greensboro-nc"
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
"""


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
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
        yield folder


@pytest.fixture(scope="module")
def years(stored: Path) -> tuple[WeatherYear, ...]:
    return read_years(["station 72502 2012-2014"], stored)


def observed(year: int, outdoor_c: float, latitude_deg: float = 40.0) -> WeatherYear:
    """A year of one temperature."""
    typical = shipped_year("greensboro-nc")
    index = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h")
    table = pd.DataFrame({"outdoor_c": outdoor_c, "relative_humidity_pct": 60.0}, index=index)
    site = replace(typical.site, latitude_deg=latitude_deg)
    return year_of_table(table, site=site, kind="observed", source=f"invented {year}")


# --- joining --------------------------------------------------------------------------------


def test_a_winter_is_july_to_december_and_the_next_january_to_june(
    years: tuple[WeatherYear, ...],
) -> None:
    found = winters_of(years[::-1])
    assert [winter.label for winter in found.winters] == ["2012-13", "2013-14"]
    for winter, first, second in zip(found.winters, years[:2], years[1:], strict=True):
        joined = winter.weather
        assert joined.year_label == second.year_label
        assert (joined.outdoor_c[joined.month < 7] == second.outdoor_c[second.month < 7]).all()
        assert (joined.outdoor_c[joined.month >= 7] == first.outdoor_c[first.month >= 7]).all()
        assert (joined.month[1:] >= joined.month[:-1]).all()


def test_a_leap_day_belongs_to_the_second_year() -> None:
    found = winters_of([observed(year, 5.0) for year in (2011, 2012, 2013)])
    # 29 February 2012 lies in the winter 2011-12
    assert [len(winter.weather.table) for winter in found.winters] == [8784, 8760]
    assert all(winter.weather.table.index.is_monotonic_increasing for winter in found.winters)


def test_south_of_the_equator_a_winter_is_a_calendar_year() -> None:
    found = winters_of([observed(2013, 5.0, -37.8), observed(2015, 6.0, -37.8)])
    assert [winter.label for winter in found.winters] == ["2013", "2015"]
    assert not found.notices


def test_a_year_without_a_neighbour_is_left_out_and_named() -> None:
    found = winters_of([observed(year, 5.0) for year in (2010, 2012, 2013)])
    assert [winter.label for winter in found.winters] == ["2012-13"]
    assert any("2010" in note.text and "left out" in note.text for note in found.notices)


def test_years_of_two_places_are_not_joined() -> None:
    pair = [observed(2012, 5.0, 40.0), observed(2013, 5.0, 45.0)]
    with pytest.raises(InputError, match="2 years give no winter"):
        winters_of(pair)


# --- reading --------------------------------------------------------------------------------


def test_typical_years_are_refused_as_winters(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a typical year, not a real one"):
        read_years(["greensboro-nc"], tmp_path)


@pytest.mark.parametrize("entry", ["station 72502 2014-2012", "station 72502 1900-2012"])
def test_a_run_of_years_that_cannot_be_is_refused(entry: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="the years"):
        read_years([entry], tmp_path)


def test_years_that_were_not_fetched_say_how_to_fetch_them(stored: Path) -> None:
    with pytest.raises(WeatherError, match="weather fetch --station 72502 --year 2016"):
        read_years(["station 72502 2016"], stored)


# --- spread over winters --------------------------------------------------------------------


def test_each_winter_costs_what_a_comparison_over_it_costs(stored: Path) -> None:
    file = stored / "room.toml"
    file.write_text(f'{ROOM}[ranges]\nweather_years = ["station 72502 2012-2014"]\n', "utf-8")
    result = uncertainty(file, draws=512)
    assert result.winter_labels == ("2012-13", "2013-14")
    joined = winters_of(read_years(["station 72502 2012-2014"], stored)).winters
    for number, winter in enumerate(joined):
        csv = stored / f"winter{number}.csv"
        table = winter.weather.table.rename_axis("time")
        table.to_csv(csv, date_format="%Y-%m-%d %H:%M")
        own = ROOM.replace('weather = "greensboro-nc"', f'weather = "{csv.name}"').replace(
            "[room]",
            '[place.table]\ntime = "time"\noutdoor = "outdoor_c"\noutdoor_unit = "degC"\n'
            'humidity = "relative_humidity_pct"\nlatitude = 40.7\nlongitude = -74.2\n'
            'elevation = "5 m"\nutc_offset = -5\n[room]',
            1,
        )
        (stored / "one.toml").write_text(own, "utf-8")
        for one in compare(stored / "one.toml").outcomes:
            cost = result.option(one.name).winter_costs[number]
            assert cost == pytest.approx(one.yearly_cost, rel=1e-9)


def test_real_winters_take_the_place_of_the_assumed_shift(stored: Path) -> None:
    file = stored / "plain.toml"
    file.write_text(ROOM, "utf-8")
    result = uncertainty(file, draws=512, weather_years=["station 72502 2012-2014"])
    kinds = [one.kind for one in result.inputs]
    assert Kind.WINTER in kinds
    assert Kind.SHIFT not in kinds
    assert any("2 real winters, each equally likely" in note.text for note in result.notices)
    baseboard = result.option("Baseboard")
    # the second winter is 2 K milder in every hour
    assert baseboard.winter_costs[1] < baseboard.winter_costs[0]
    winter = next(one for one in baseboard.influences if one.uncertain.kind is Kind.WINTER)
    assert (winter.at_low, winter.at_high) == (
        pytest.approx(baseboard.winter_costs.min()),
        pytest.approx(baseboard.winter_costs.max()),
    )
    assert baseboard.likely_cost == compare(file).outcomes[0].yearly_cost


def test_half_of_the_draws_lie_in_each_of_two_winters(stored: Path) -> None:
    file = stored / "fixed.toml"
    file.write_text(
        f'{ROOM}[ranges]\nload = "0 %"\nprice.electricity = "0 %"\n'
        'weather_years = ["station 72502 2012-2014"]\n',
        "utf-8",
    )
    result = uncertainty(file, draws=512)
    drawn = result.cost_draws["Baseboard"]
    costs = result.option("Baseboard").winter_costs
    counted = [int(np.isclose(drawn, cost, rtol=1e-12).sum()) for cost in costs]
    assert counted == [256, 256]


def test_a_fault_of_the_years_is_told_before_anything_runs(stored: Path) -> None:
    file = stored / "alone.toml"
    file.write_text(f'{ROOM}[ranges]\nweather_years = ["station 72502 2013"]\n', "utf-8")
    with pytest.raises(EnergyModelError, match="two calendar years of one place"):
        uncertainty(file, draws=512)
