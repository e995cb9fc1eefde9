"""The coldest day of the customer's page: whose output is printed, and why that unit is shown."""

from __future__ import annotations

import math
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.datafiles import shipped_folder
from energymodel.report.handout.formats import Formats
from energymodel.report.handout.handout import make_sheet, page_data
from energymodel.report.handout.language import read_language
from energymodel.report.handout.numbers import Figures
from energymodel.report.handout.sheet import HandoutSettings
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

# Room, prices and options are invented. Heat lost at 10 degF: 9 kBtu/h, gains taken off it.
ROOM = """
[place]
weather = "newark-nj-2013"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9 kBtu/h"
design_temperature = "10 degF"
balance_temperature = "60 degF"
gains = "excluded"
[price.electricity]
energy = 0.184
per = "kWh"
[price.propane]
energy = 1.10
per = "gallon"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
"""
PUMP = """
[[option]]
name = "Pump"
installed_cost = 2100
heating = {{ kind = "heat pump", unit = "{unit}"{backup} }}
"""
BACKUP = ', backup = {{ heater = {{ kind = "electric resistance"{size} }} }}'
FURNACE = """
[[option]]
name = "Furnace"
installed_cost = 2900
heating = { kind = "furnace", fuel = "propane", afue = 0.95, ducts = { efficiency = 0.9 } }
"""
LOAD_KBTU_H = 9.0 * (60.0 - 10.0) / (70.0 - 10.0)
"""Load at 10 degF, on the line that ends at 60 degF (computed)."""


def run(folder: Path, *options: str, room: str = ROOM) -> Comparison:
    file = folder / "room.toml"
    file.write_text(room + "".join(options), "utf-8")
    return compare(file)


def pump(unit: str, *, size: str | None = None, backup: bool = True) -> str:
    sized = f', capacity = "{size}"' if size else ""
    return PUMP.format(unit=unit, backup=BACKUP.format(size=sized) if backup else "")


def cold_of(comparison: Comparison, language: str = "en") -> dict[str, Any]:
    settings = HandoutSettings(day=date(2026, 11, 24), language=language)
    found: dict[str, Any] = page_data(make_sheet(comparison, us=True, settings=settings))["cold"]
    return found


def words(cold: dict[str, Any]) -> str:
    return " ".join(cold["sentences"]).replace("\u00a0", " ")


def heats(text: str) -> list[float]:
    return [float(one) for one in re.findall(r"([\d.]+) kBtu/h", text)]


def test_a_backup_of_no_stated_size_is_never_printed_as_a_number(tmp_path: Path) -> None:
    text = words(cold_of(run(tmp_path, pump("packaged-heat-pump-12"))))
    # the catalogue's packaged unit stops at 35 degF (its data file)
    assert (
        f"At the design temperature (10 °F) the room needs {LOAD_KBTU_H:.1f} kBtu/h; the heat pump"
        " stands still and its backup covers all of it." in text
    )
    assert max(heats(text)) <= LOAD_KBTU_H + 0.05


def test_a_unit_that_is_too_small_gives_its_own_output_and_its_backup_the_rest(
    tmp_path: Path,
) -> None:
    big = ROOM.replace('"9 kBtu/h"', '"30 kBtu/h"')
    comparison = run(tmp_path, pump("inverter-standard-12"), room=big)
    coverage = comparison.outcomes[1].coverage
    assert coverage is not None
    assert coverage.design_pump_w is not None
    assert math.isinf(coverage.design_output_w)
    own = coverage.design_pump_w * 3.412142 / 1000.0  # kBtu/h to the kW (IT Btu)
    assert 0.0 < own < 25.0  # load: 30 x 50/60
    assert (
        f"the room needs 25.0 kBtu/h; the heat pump can give {own:.1f} kBtu/h and its backup"
        " covers the rest." in words(cold_of(comparison))
    )
    spanish = words(cold_of(comparison, "es"))
    assert f"puede dar {own:.1f} kBtu/h y su respaldo cubre el resto." in spanish


def test_a_backup_whose_size_is_given_and_too_small_is_printed_with_it(tmp_path: Path) -> None:
    comparison = run(tmp_path, pump("packaged-heat-pump-12", size="1 kW"))
    # 1 kW is 3.412 kBtu/h; the heat pump stands still at 10 degF
    assert "the heat pump stands still, with its backup it is 3.4 kBtu/h." in words(
        cold_of(comparison)
    )


def test_a_unit_that_is_enough_is_printed_without_a_backup(tmp_path: Path) -> None:
    text = words(cold_of(run(tmp_path, pump("inverter-cold-climate-12", backup=False))))
    assert re.search(r"needs 7.5 kBtu/h; the heat pump can give [\d.]+ kBtu/h\. ", text)
    assert "covers" not in text


@pytest.mark.parametrize(
    ("size", "said"),
    [
        ("", "the size of its heater is not given and is taken as large enough"),
        (', capacity = "4 kW"', "this option can give 13.6 kBtu/h"),  # 4 x 3.412
    ],
)
def test_without_a_heat_pump_the_heater_is_named(tmp_path: Path, size: str, said: str) -> None:
    room = ROOM.replace('"electric resistance"', f'"electric resistance"{size}')
    cold = cold_of(run(tmp_path, room=room))
    assert said in words(cold)
    assert cold["chart"] is None


def test_a_heat_pump_that_is_not_the_answer_is_said_to_be_the_cheapest_one(tmp_path: Path) -> None:
    burning = run(tmp_path, FURNACE, pump("packaged-heat-pump-12"))
    assert burning.cheapest is not None
    assert burning.cheapest.name == "Furnace"
    assert cold_of(burning)["why"].startswith("Shown: the heat pump with the lowest cost.")
    assert cold_of(burning, "es")["why"].startswith("Se muestra la bomba de calor de menor costo.")
    small = run(
        tmp_path,
        pump("inverter-standard-9", backup=False),
        room=ROOM.replace('"9 kBtu/h"', '"30 kBtu/h"'),
    )
    assert cold_of(small)["why"].endswith("no heat pump here carries the load.")
    answer = run(tmp_path, pump("inverter-cold-climate-12"))
    assert cold_of(answer)["why"] == ""


@pytest.fixture(scope="module")
def figures() -> Figures:
    return Figures(formats=read_language("en", Path()).formats, currency="USD", us=True)


def test_two_amounts_side_by_side_are_rounded_alike(figures: Figures) -> None:
    assert figures.alike(148.3, 44.2) == ("$150", "$40")
    assert figures.alike(44.2, 148.3) == ("$40", "$150")
    assert figures.alike(43.9, 21.2) == ("$44", "$21")
    assert figures.alike(148.3, 4.4) == ("$148", "$4")


@given(first=st.floats(1, 1e5), second=st.floats(1, 1e5))
def test_no_amount_is_lost_beside_another(first: float, second: float) -> None:
    formats = Formats({"thousands": "", "decimal": ".", "minus": "-", "money": "{sign}{number}"})
    shown = Figures(formats=formats, currency="USD", us=True).alike(first, second)
    values = [float(one.removeprefix("$")) for one in shown]
    # a step is at most as large as the smaller amount, so that rounding keeps half of it
    for value, amount in zip(values, (first, second), strict=True):
        assert value > 0
        assert abs(value - amount) <= max(0.5, 0.5 * min(first, second))


@given(share=st.floats(0, 1), digits=st.integers(0, 2))
def test_a_part_is_never_rounded_to_all_or_to_nothing(share: float, digits: int) -> None:
    formats = read_language("en", shipped_folder("data")).formats
    text = formats.part(share, digits)
    number = float(re.findall(r"[\d.]+", text)[0])
    if 0.0 < share < 1.0:
        assert 0.0 < number < 100.0
        assert ("than" in text) or abs(number - 100.0 * share) <= 0.51 * 10.0**-digits
    else:
        assert number == 100.0 * share
