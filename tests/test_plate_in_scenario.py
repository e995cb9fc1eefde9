"""A unit known by its plate alone heats a room."""

from __future__ import annotations

from pathlib import Path

import pytest

from energymodel.errors import EnergyModelError
from energymodel.study.comparison.compare import compare

PLATE = 'kind = "inverter"\ncapacity = "12 kBtu/h"\nhspf2 = 9.5\nseer2 = 18\n'
ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
heating = { ua = "170 Btu/(h degF)", balance_temperature = "60 degF" }
[price.electricity]
energy = 0.14
per = "kWh"
[[option]]
name = "By its plate"
heating = { kind = "heat pump", unit = "UNIT" }
"""


def test_a_plate_file_and_a_plate_in_the_scenario_give_the_same_year(tmp_path: Path) -> None:
    (tmp_path / "plate.toml").write_text(PLATE, "utf-8")
    by_file, inside = tmp_path / "file.toml", tmp_path / "inside.toml"
    by_file.write_text(ROOM.replace("UNIT", "plate.toml"), "utf-8")
    inside.write_text(
        ROOM.replace("UNIT", "mine") + '[unit.mine]\nname = "Mine"\n[unit.mine.plate]\n' + PLATE,
        "utf-8",
    )
    runs = [compare(path) for path in (by_file, inside)]
    costs = [run.outcomes[0].yearly_cost for run in runs]
    assert costs[0] == pytest.approx(costs[1], rel=1e-12)
    # seasonal COP of ductless units in the field: 2.0 to 3.2 (common practice)
    cop = runs[0].outcomes[0].result.cop_season("heating")
    assert cop is not None
    assert 2.0 < cop < 3.5
    assert any("usual ratios" in notice.text for notice in runs[0].notices)


def test_a_plate_beside_a_performance_table_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "room.toml"
    path.write_text(
        ROOM.replace("UNIT", "mine")
        + '[unit.mine]\nname = "Mine"\n[unit.mine.plate]\n'
        + PLATE
        + "[unit.mine.heating]\ncd = 0.25\n"
        + 'points = [{ speed = "full", outdoor = "47 degF", capacity = "12 kBtu/h", cop = 3.0 }]\n',
        "utf-8",
    )
    with pytest.raises(EnergyModelError, match="both a plate and a performance table"):
        compare(path)
