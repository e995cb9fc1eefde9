"""Weather of a scenario from a table of the user's own, or a fetched station."""

from __future__ import annotations

from pathlib import Path

import pytest

from energymodel.errors import EnergyModelError
from energymodel.study.comparison.compare import compare
from energymodel.weather.library import shipped_year

ROOM = """
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
heating = { ua = "170 Btu/(h degF)", balance_temperature = "60 degF" }
[price.electricity]
energy = 0.14
per = "kWh"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
"""
TABLE = """
[place.table]
time = "stamp"
outdoor = "t_out"
outdoor_unit = "degF"
humidity = "rh"
latitude = 36.1
longitude = -79.95
elevation = "273 m"
utc_offset = -5
"""


def test_a_table_of_own_hours_costs_what_the_same_year_costs(tmp_path: Path) -> None:
    year = shipped_year("greensboro-nc").table
    rows = [
        f"{stamp:%Y-%m-%d %H:%M},{celsius * 1.8 + 32:.6f},{humidity:.0f}"
        for stamp, celsius, humidity in zip(
            year.index, year["outdoor_c"], year["relative_humidity_pct"], strict=True
        )
    ]
    (tmp_path / "hours.csv").write_text("stamp,t_out,rh\n" + "\n".join(rows) + "\n", "utf-8")
    own, shipped = tmp_path / "own.toml", tmp_path / "shipped.toml"
    own.write_text('[place]\nweather = "hours.csv"\n' + TABLE + ROOM, "utf-8")
    shipped.write_text('[place]\nweather = "greensboro-nc"\n' + ROOM, "utf-8")
    costs = [compare(path).outcomes[0].yearly_cost for path in (own, shipped)]
    assert costs[0] == pytest.approx(costs[1], rel=1e-6)


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ('weather = "greensboro-nc"\n' + TABLE, "stands beside a weather year that is no file"),
        ('weather = "hours.csv"\n' + TABLE.replace("degF", "F"), "degF"),
        ('weather = "station T0001 2013"\n', "T0001"),
    ],
)
def test_a_place_that_cannot_be_used_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: str, words: str
) -> None:
    monkeypatch.setenv("ENERGYMODEL_CACHE", str(tmp_path / "cache"))
    (tmp_path / "room.toml").write_text(f"[place]\n{place}{ROOM}", "utf-8")
    with pytest.raises(EnergyModelError) as caught:
        compare(tmp_path / "room.toml")
    assert words in str(caught.value)
