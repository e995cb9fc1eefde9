"""Plate files and files of test points: three lines are enough, faults name their place."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from energymodel.equipment.curves import Function
from energymodel.errors import EnergyModelError, EquipmentError, InputError, ManyFaultsError
from energymodel.ratings.plate.input import (
    INVERTER_COLD_CLIMATE,
    Level,
)
from energymodel.ratings.plate.metrics import Metric, Product
from energymodel.ratings.plate.shapes import LOW_CAPACITY_COMPRESSOR
from energymodel.ratings.us.seasonal import hspf2
from energymodel.ratings.us.units import Service, TwoCapacityUnit, VariableSpeedUnit
from energymodel.scenario.faults import validated
from energymodel.scenario.plate_schema import PlateTable
from energymodel.scenario.plate_unit import PlateFile, unit_of_plate
from energymodel.scenario.tested_schema import DeclarationFile, TestsFile
from energymodel.scenario.unit_schema import build_unit
from energymodel.study.rating.rated_unit import read_rated_unit
from energymodel.units import BTU_PER_WH, c_from_f, w_from_btu_h

THREE_LINES = """
kind = "inverter"
capacity = "12 kBtu/h"
hspf2 = 9.5
"""
LONG = """
name = "Ductless, north wall"
kind = "inverter, cold-climate"
product = "ducted split"
capacity = "12 kBtu/h"
eer = 13.0
heating_capacity = "14.4 kBtu/h"
cop = 4.0
hspf2 = 10.5
seer2 = 21
part_load = "low-capacity compressor"
cd_heating = 0.2
off = "-13 degF"
on = "-9 degF"
defrost_credit = 1.02
heating = [
  { speed = "maximum", outdoor = "5 degF", capacity = "13.8 kBtu/h", cop = 2.1 },
  { speed = "minimum", outdoor = "47 degF", capacity = "3.6 kBtu/h", power = "200 W" },
]
cooling = [{ outdoor = "82 degF", eer = 16.0 }]
[idle]
controls = "3 W"
[europe]
heating_load = "3 kW"
"""
TESTS = """
kind = "inverter"
[tests]
A2 = { capacity = "18 kBtu/h", power = "1440 W" }
B2 = { capacity = "19.6 kBtu/h", power = "1240 W" }
E_V = { capacity = "11.2 kBtu/h", power = "560 W" }
B1 = { capacity = "6.6 kBtu/h", power = "270 W" }
F1 = { capacity = "7.2 kBtu/h", power = "210 W" }
H0_1 = { capacity = "8.2 kBtu/h", power = "480 W" }
H1_1 = { capacity = "6.6 kBtu/h", power = "430 W" }
H1_N = { capacity = "24 kBtu/h", power = "1800 W" }
H1_2 = { capacity = "21.6 kBtu/h", power = "1600 W" }
H2_V = { capacity = "11 kBtu/h", power = "800 W" }
H3_2 = { capacity = "15.6 kBtu/h", power = "1560 W" }
H4_2 = { capacity = "13.2 kBtu/h", power = "1540 W" }
"""
DECLARED = """
kind = "inverter"
[declared_heating]
design_load = "2.8 kW"
bivalent = "-10 degC"
limit = "-15 degC"
points = [
  { outdoor = "-10 degC", capacity = "2.8 kW", cop = 2.3 },
  { outdoor = "-7 degC", capacity = "2.48 kW", cop = 2.6 },
  { outdoor = "2 degC", capacity = "1.51 kW", cop = 4.0 },
  { outdoor = "7 degC", capacity = "1.0 kW", cop = 5.2 },
  { outdoor = "12 degC", capacity = "0.9 kW", cop = 6.0 },
]
"""


def plate_file(text: str) -> PlateFile:
    return validated(PlateFile, tomllib.loads(text), where="plate.toml")


def message(text: str, model: type[PlateFile] | type[TestsFile] | type[DeclarationFile]) -> str:
    with pytest.raises(ManyFaultsError) as error:
        validated(model, tomllib.loads(text), where="plate.toml")
    return str(error.value)


def test_three_lines_are_a_plate() -> None:
    plate = plate_file(THREE_LINES).plate()
    (point,) = plate.points
    assert point.function is Function.COOLING
    assert point.level is Level.RATED
    assert point.outdoor_c == pytest.approx(35.0)
    assert point.capacity_w == pytest.approx(w_from_btu_h(12_000.0))
    assert plate.heating_label is not None
    assert plate.heating_label.metric is Metric.HSPF2
    assert plate.cooling_label is None


def test_a_long_plate_keeps_every_word() -> None:
    table = plate_file(LONG)
    plate = table.plate()
    assert plate.kind is INVERTER_COLD_CLIMATE
    assert plate.product is Product.DUCTED_SPLIT
    assert plate.shape is LOW_CAPACITY_COMPRESSOR
    assert plate.cd_heating == 0.2
    assert plate.heating_limits is not None
    assert plate.heating_limits.off_c == pytest.approx(c_from_f(-13.0))
    assert plate.cooling_limits is None
    assert plate.european.heating_w == pytest.approx(3000.0)
    by_place = {(p.level, round(p.outdoor_c * 1.8 + 32)): p for p in plate.points if p.cop}
    assert by_place[Level.RATED, 95].cop == pytest.approx(13.0 / BTU_PER_WH)
    assert by_place[Level.RATED, 82].cop == pytest.approx(16.0 / BTU_PER_WH)
    assert by_place[Level.RATED, 47].cop == pytest.approx(4.0)
    assert by_place[Level.MAXIMUM, 5].cop == pytest.approx(2.1)
    assert by_place[Level.MINIMUM, 47].cop == pytest.approx(w_from_btu_h(3600.0) / 200.0)
    unit, made = unit_of_plate(table, name=table.name, idle=table.idle)
    assert unit.name == "Ductless, north wall"
    assert unit.idle.controls == 3.0
    assert made.ratings["HSPF2"] == pytest.approx(10.5, rel=1e-6)


def test_a_plate_becomes_a_unit_of_the_catalogues_form_with_the_same_maps() -> None:
    table = plate_file(THREE_LINES)
    unit, made = unit_of_plate(table)
    built = build_unit("mine", unit)
    assert unit.name == "Inverter heat pump, 12 kBtu/h class"
    for from_table, own in ((built.heating, made.heating), (built.cooling, made.cooling)):
        assert from_table is not None
        assert own is not None
        places = np.linspace(-30.0, 50.0, 33)
        np.testing.assert_allclose(from_table.raw(places), own.raw(places), rtol=1e-12)
        np.testing.assert_allclose(
            from_table.on_site(places).capacity_w, own.on_site(places).capacity_w, rtol=1e-12
        )
    assert unit.heating is not None
    assert unit.heating.operation() == made.likely.mapped.heating_operation
    assert unit.cooling is not None
    assert unit.cooling.operation() == made.likely.mapped.cooling_operation


def test_a_bare_table_serves_inside_a_scenario() -> None:
    table = validated(PlateTable, tomllib.loads(THREE_LINES), where="unit.x.plate")
    unit, _ = unit_of_plate(table, name="Room unit")
    assert unit.name == "Room unit"
    # usual idle power, common practice
    assert (unit.idle.controls, unit.idle.crankcase) == (5.0, 20.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('kind = "invertor"\ncapacity = "12 kBtu/h"', 'did you mean "inverter"?'),
        ('kind = "inverter"\ncapacity = "12"', "has no unit"),
        ('kind = "inverter"\ncapacity = 12', "has no unit"),
        ('kind = "inverter"\ncapacty = "12 kBtu/h"', 'did you mean "capacity"?'),
        (THREE_LINES + "hspf = 10\n", "hspf2 and hspf are given"),
        (THREE_LINES + 'sold_as = "heating only"\n', "heating_capacity"),
        (THREE_LINES + 'on = "5 degF"\n', '"off"'),
        (THREE_LINES + 'heating = [{ outdoor = "5 degF" }]\n', "says nothing"),
        (
            THREE_LINES + 'heating = [{ outdoor = "5 degF", cop = 2, power = "900 W" }]\n',
            "power and cop",
        ),
    ],
)
def test_a_faulty_plate_is_refused_with_place_and_remedy(text: str, words: str) -> None:
    said = message(text, PlateFile)
    assert "plate.toml" in said
    assert words in said


def test_a_capacity_given_twice_alike_is_one_point() -> None:
    text = THREE_LINES + 'cooling = [{ outdoor = "95 degF", capacity = "12 kBtu/h", eer = 12 }]\n'
    (point,) = plate_file(text).plate().points
    assert point.cop == pytest.approx(12.0 / BTU_PER_WH)


def test_a_capacity_given_twice_with_two_values_is_refused() -> None:
    text = THREE_LINES + 'cooling = [{ outdoor = "95 degF", capacity = "11 kBtu/h" }]\n'
    with pytest.raises(EquipmentError, match="the cooling point rated at 95 F stands twice"):
        plate_file(text).plate()


# --- files ----------------------------------------------------------------------------------------


def written(folder: Path, text: str, name: str = "unit.toml") -> str:
    path = folder / name
    path.write_text(text, "utf-8")
    return str(path)


def test_us_test_points_become_the_unit_of_the_procedure(tmp_path: Path) -> None:
    unit = read_rated_unit(written(tmp_path, TESTS))
    assert isinstance(unit.likely.us, VariableSpeedUnit)
    # computed: HSPF2 region IV with the 5 F test
    assert hspf2(unit.likely.us).value_btu_per_wh == pytest.approx(11.13541, abs=1e-5)
    assert unit.guessed == ()


def test_cyclic_tests_and_lock_outs_of_a_two_stage_unit_are_read() -> None:
    text = """
kind = "two-stage"
low_stage_off_below = "20 degF"
cyclic = { D1 = { mean_capacity = "6 kBtu/h", mean_power = "520 W", cycle_minutes = 30 } }
[defrost]
between_hours = 6
longest_hours = 12
[tests]
A2 = { capacity = "36 kBtu/h", eer = 12.2 }
C1 = { capacity = "24 kBtu/h", cop = 4.2 }
"""
    unit = validated(TestsFile, tomllib.loads(text), where="t.toml").unit()
    assert isinstance(unit, TwoCapacityUnit)
    assert unit.cyclic["D1"].capacity_btu == pytest.approx(3000.0)
    assert unit.cyclic["D1"].energy_wh == pytest.approx(260.0)
    assert unit.heating_operation.lockouts[0].below_c == pytest.approx(c_from_f(20.0))
    assert unit.tests["A2"].power_w == pytest.approx(36_000.0 / 12.2)
    assert unit.defrost is not None


def test_a_missing_test_is_named(tmp_path: Path) -> None:
    text = "\n".join(line for line in TESTS.splitlines() if not line.startswith("H3_2"))
    with pytest.raises(EnergyModelError, match=r"test H3_2 is missing .*outdoor 17 F"):
        read_rated_unit(written(tmp_path, text))


def test_an_unknown_test_is_refused_with_the_nearest_name() -> None:
    text = TESTS.replace("H3_2 =", "H3_3 =")
    said = message(text, TestsFile)
    assert "there is no test named 'H3_3'" in said
    assert "H3_" in said.split("did you mean")[1]


def test_european_declared_points_are_read(tmp_path: Path) -> None:
    unit = read_rated_unit(written(tmp_path, DECLARED))
    assert unit.likely.us is None
    assert unit.likely.mapped.service is Service.HEATING_ONLY
    assert len(unit.likely.european.heating) == 1


def test_a_declaration_of_nothing_is_refused() -> None:
    assert "neither heating nor cooling" in message('kind = "inverter"', DeclarationFile)


def test_a_fault_of_a_file_names_the_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"unit\.toml: HSPF2 is 2"):
        read_rated_unit(written(tmp_path, THREE_LINES.replace("9.5", "2")))
    with pytest.raises(EnergyModelError, match=r"mine\.toml: no capacity is given"):
        read_rated_unit(written(tmp_path, 'kind = "inverter"\nhspf2 = 9', "mine.toml"))
    with pytest.raises(InputError, match="not valid TOML"):
        read_rated_unit(written(tmp_path, "kind = inverter"))
    with pytest.raises(InputError, match="there is no such file"):
        read_rated_unit(str(tmp_path / "none.toml"))
    with pytest.raises(InputError, match=r"there is no unit .inverter-cold-climate-13"):
        read_rated_unit("inverter-cold-climate-13")


def test_a_unit_in_the_catalogues_form_is_read_from_a_file_and_by_its_key(tmp_path: Path) -> None:
    by_key = read_rated_unit("single-speed-36")
    assert by_key.basis == "performance table"
    assert by_key.likely.us is not None
    # federal minimum of 2023, 10 CFR 430.32(c): SEER2 14.3, HSPF2 7.5; a unit near it
    assert hspf2(by_key.likely.us).value_btu_per_wh == pytest.approx(7.5, abs=0.2)
