"""Where a study does not know cut hours or a second meter it says so; the page names both."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from energymodel.datafiles import data_file
from energymodel.report.handout.cold import cold
from energymodel.report.handout.first import prices
from energymodel.report.handout.handout import make_sheet
from energymodel.report.handout.sheet import HandoutSettings
from energymodel.report.numbers import Display
from energymodel.report.room_day.table import room_day_lines
from energymodel.study.comparison.compare import compare
from energymodel.study.room_day.room_day import room_day
from energymodel.study.suitability.suitability import suitability

_TOOLS = runpy.run_path(str(Path(__file__).with_name("interruptible_house.py")))
FLAT, METER, write = _TOOLS["FLAT"], _TOOLS["METER"], _TOOLS["write"]


@pytest.fixture(scope="module")
def two_meters(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file: Path = write(tmp_path_factory.mktemp("two"), FLAT, meter=METER)
    return file


def test_suitability_says_that_every_unit_is_supplied_and_priced_by_the_house(
    two_meters: Path,
) -> None:
    first = suitability(two_meters, units=["inverter-standard-24"]).notices[0]
    assert first.topic == "interruption"
    assert "supplied at all hours and priced at the rate of the house" in first.text


def test_room_day_says_that_heaters_are_supplied_at_all_hours(tmp_path: Path) -> None:
    told = "here every heater is supplied at all hours"
    assert told not in " ".join(room_day_lines(room_day(), Display(us=True)))
    name = "Inverter 12 kBtu/h, standard"
    demo = data_file("scenarios", "demo.toml").read_text("utf-8")
    head, found, rest = demo.partition(f'name = "{name}"\n')
    assert found
    file = tmp_path / "room.toml"
    file.write_text(f'{head}{found}meter = {{ tariff = "heat-meter.toml" }}\n{rest}', "utf-8")
    rate = data_file("examples", "heat-meter.toml").read_bytes()
    (tmp_path / "heat-meter.toml").write_bytes(rate)
    lines = " ".join(room_day_lines(room_day(file, options=[name]), Display(us=True)))
    assert told in lines


def test_the_page_names_the_second_meter_and_the_hours_without_supply(two_meters: Path) -> None:
    comparison = compare(two_meters)
    for language, meter, hours in (
        ("en", "on a meter of its own", "the rate cuts its electricity"),
        ("es", "con contador propio", "la tarifa corta su electricidad"),
    ):
        sheet = make_sheet(comparison, us=True, settings=HandoutSettings(language=language))
        rows = [row for row in prices(sheet) if meter in row["price"]]
        assert rows
        # heat meter of the example: 6 a month
        assert all("72" in row["fixed"] for row in rows)
        assert any(hours in text for text in cold(sheet)["sentences"])
