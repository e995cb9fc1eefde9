"""The customer's page: costs that are not given, defaults marked where they are, nothing cut."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from energymodel.datafiles import shipped_folder
from energymodel.report.handout.handout import make_sheet, page_data, write_handout
from energymodel.report.handout.sheet import HandoutSettings
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

TEMPLATE = shipped_folder("data") / "handout"
SETTINGS = HandoutSettings(day=date(2026, 11, 24))
# Room, prices and options are invented.
ROOM = """
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
balance_temperature = "66 degF"
[price.electricity]
energy = 0.14
per = "kWh"
fixed = "9 per month"
[price.propane]
energy = 3.35
per = "gallon"
[[option]]
name = "Baseboard and a window unit for each of the two windows"
present = true
heating = { kind = "electric resistance" }
cooling = { kind = "air conditioner", unit = "window-12" }
"""
LONG = "Propane furnace extended + window unit"
FURNACE = f"""
[[option]]
name = "{LONG}"
installed_cost = 2900
heating = {{ kind = "furnace", fuel = "propane", afue = 0.8, ducts = {{ efficiency = 0.75 }} }}
cooling = {{ kind = "air conditioner", unit = "window-12" }}
"""
INVERTER = """
[[option]]
name = "Inverter {number}"
{cost}
heating = {{ kind = "heat pump", unit = "inverter-cold-climate-{size}"{backup} }}
cooling = {{ kind = "heat pump", unit = "inverter-cold-climate-{size}" }}
"""


def inverter(
    number: int = 1, *, size: int = 12, cost: float | None = 4300, backup: str = ""
) -> str:
    line = "" if cost is None else f"installed_cost = {cost}"
    return INVERTER.format(number=number, size=size, cost=line, backup=backup)


def run(folder: Path, *options: str, room: str = ROOM) -> Comparison:
    file = folder / "room.toml"
    file.write_text(room + "".join(options), "utf-8")
    return compare(file)


def data_of(comparison: Comparison, language: str = "en") -> dict[str, Any]:
    settings = HandoutSettings(day=SETTINGS.day, language=language)
    return page_data(make_sheet(comparison, us=True, settings=settings))


def row_of(data: dict[str, Any], name: str) -> list[str]:
    found: list[str] = next(row for row in data["buy"]["rows"] if row[0] == name)
    return found


def test_without_an_installed_cost_there_is_no_extra_cost_and_no_payback(tmp_path: Path) -> None:
    data = data_of(run(tmp_path, inverter(cost=None), FURNACE))
    row = row_of(data, "Inverter 1")
    assert "not given" in row
    assert "not known" in row
    assert not any("year" in cell or "start" in cell or cell == "$0" for cell in row)
    assert [one["label"] for one in data["answer"]["figures"]][-1].startswith("Less than now")
    prices = data["flips"]["pairs"][0]["rows"]
    assert [row[3] for row in prices] == [""] * len(prices)
    given = data_of(run(tmp_path, inverter(), FURNACE))
    assert any("years" in cell for cell in row_of(given, "Inverter 1"))
    assert "Simple payback" in given["answer"]["figures"][-1]["label"]


def test_a_label_says_which_load_is_not_carried(tmp_path: Path) -> None:
    hot = ROOM.replace('"8 kBtu/h"', '"12 kBtu/h"')
    comparison = run(tmp_path, inverter(size=9), inverter(2, size=24), room=hot)
    short = {one.name: one.short_of for one in comparison.outcomes}
    assert short["Inverter 1"] == ("cooling",)
    for language, said in (("en", "short of cooling"), ("es", "falta frío")):
        data = data_of(comparison, language)
        marks = {row["name"]: row["marks"] for row in data["options"]["rows"]}
        assert marks["Inverter 1"] == said
        assert said in row_of(data, "Inverter 1")
    cold = ROOM.replace('"9.5 kBtu/h"', '"40 kBtu/h"').replace('"8 kBtu/h"', '"12 kBtu/h"')
    both = data_of(run(tmp_path, inverter(size=9), room=cold))
    assert both["options"]["rows"][1]["marks"] == "short of heat and cooling"


def test_both_seasonal_figures_say_what_they_hold(tmp_path: Path) -> None:
    data = data_of(run(tmp_path, inverter(), FURNACE))
    answer, flips = (" ".join(data[key]["sentences"]) for key in ("answer", "flips"))
    assert re.search(r"gives [\d.]+ units of heat .*, its standby power counted, so heat", answer)
    assert "the heat pump by itself, without standby power and backup, has" in flips
    resistance = ', backup = { heater = { kind = "electric resistance" } }'
    backed = data_of(run(tmp_path, inverter(backup=resistance)))
    assert "its standby power and backup counted" in " ".join(backed["answer"]["sentences"])


def test_where_the_heat_pump_stops_no_cost_is_said_to_decide(tmp_path: Path) -> None:
    packaged = """
[[option]]
name = "Packaged"
installed_cost = 2100
heating.kind = "heat pump"
heating.unit = "packaged-heat-pump-12"
heating.backup = { heater = { kind = "electric resistance" } }
cooling = { kind = "heat pump", unit = "packaged-heat-pump-12" }
"""
    text = " ".join(data_of(run(tmp_path, packaged))["flips"]["sentences"]).replace("\u00a0", " ")
    # its data file: off at 35 degF
    assert "Below about 35 °F the heat pump does not run" in text
    assert text.count("break-even COP 1.0") == 1


def test_the_mark_of_a_default_stands_at_the_default_and_not_at_a_given_price(
    tmp_path: Path,
) -> None:
    prices = {one["name"]: one for one in data_of(run(tmp_path, FURNACE))["prices"]}
    assert prices["propane"]["price"] == "$3.35 per gallon, usual heat content†"
    assert prices["electricity"]["price"] == "$0.14 per kWh"
    assert prices["electricity"]["fixed"] == "$108 a year, paid in any case: not counted†"
    # natural gas by the therm is sold as energy: no heat content is assumed
    gas = ROOM.replace("[price.propane]", "[price.natural_gas]").replace('"gallon"', '"therm"')
    burner = FURNACE.replace('fuel = "propane"', 'fuel = "natural gas"')
    prices = {one["name"]: one for one in data_of(run(tmp_path, burner, room=gas))["prices"]}
    assert prices["natural gas"]["price"] == "$3.35 per therm"


@pytest.fixture(scope="module", params=["en", "es"])
def eight(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Text of a page with as many options as find a place."""
    folder = tmp_path_factory.mktemp("eight")
    pumps = [inverter(number, cost=4000 + number) for number in range(6)]
    settings = HandoutSettings(day=SETTINGS.day, language=request.param)
    file = folder / "page.pdf"
    write_handout(run(folder, FURNACE, *pumps), file, us=True, replace=False, settings=settings)
    return " ".join(" ".join(one.extract_text() for one in PdfReader(file).pages).split())


def test_names_are_broken_over_lines_and_not_cut(eight: str) -> None:
    assert "…" not in eight
    assert eight.count(LONG) == 4  # costs, payback, parts, and the pair it stands in


def test_sources_of_defaults_are_not_cut(tmp_path: Path) -> None:
    texts = data_of(run(tmp_path, inverter(), FURNACE))["defaults"]["texts"]
    assert any(one.endswith("ASHRAE equipment-life chart (quoted)") for one in texts)
    assert not any("…" in one for one in texts)


def test_a_number_and_its_unit_stay_on_one_line(tmp_path: Path) -> None:
    data = data_of(run(tmp_path, inverter(), FURNACE))
    parts = (data["answer"], data["room"], data["range"], data["cold"]["sentences"], data["buy"])
    text = str(parts) + data["cold"]["chart"]["title"]
    assert re.findall(r"\d (?:°F|kBtu/h|%|kWh\b)", text) == []
    assert len(re.findall(r"\d\\xa0(?:°F|kBtu/h|%)", text)) > 10


def test_english_entries_are_announced_on_a_spanish_page(tmp_path: Path) -> None:
    comparison = run(tmp_path, inverter())
    spanish, english = data_of(comparison, "es"), data_of(comparison)
    assert spanish["defaults"]["language"].startswith("Cada entrada está en inglés")
    assert english["defaults"]["language"] == ""
    assert spanish["defaults"]["lang"] == "en"
    assert spanish["sources"]["texts"][0].startswith("Clima (fuente en inglés): ")
    assert "(avisos en inglés)" in spanish["words"]["notes"]["head"]


def test_the_words_on_the_hours_stand_above_the_tallest_bar() -> None:
    text = (TEMPLATE / "chart.typ").read_text("utf-8")
    row, bar = (
        float(re.findall(rf"#let {name}-height = ([\d.]+)mm", text)[0])
        for name in ("hours", "bars")
    )
    # small type is 0.84 of at most 10 pt; a line of it with its gap is 1.2 times that
    assert row - bar >= 0.84 * 10.0 * 1.2 * 25.4 / 72.0
