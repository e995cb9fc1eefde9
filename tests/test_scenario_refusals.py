"""Scenarios that fit the schema and still cannot be built: refused with their place and remedy."""

from __future__ import annotations

import os
import runpy
from pathlib import Path

import pytest

_TOOLS = runpy.run_path(str(Path(__file__).with_name("scenario_text.py")))
BASE, build = _TOOLS["BASE"], _TOOLS["build"]
changed, refused = _TOOLS["changed"], _TOOLS["refused"]
BASEBOARD, FURNACE = _TOOLS["BASEBOARD"], _TOOLS["FURNACE"]
STRIPS, INVERTER = _TOOLS["STRIPS"], _TOOLS["INVERTER"]
STRIP = '{ kind = "electric resistance", capacity = "5 kW" }'
OWN_FILE = ('unit = "inverter-standard-12", line', 'unit = "mine.toml", line')


@pytest.mark.parametrize(
    ("old", "new", "path", "what", "expected"),
    [
        ('per = "therm"', "", "price.natural_gas", "the price has no per", "energy (money) and"),
        ("energy = 1.25", "", "price.natural_gas", "the price has no energy", "or a tariff file"),
        ('"therm"', '"gallon"', "price.natural_gas.per", "not sold per 'gallon'", "ccf"),
        ('"therm"', '"ton"', "price.natural_gas.per", "not sold per 'ton'", "which ton"),
        ('"therm"', "1", "price.natural_gas.per", "1 is not a unit", '"therm"'),
        ('"therm"', '" "', "price.natural_gas.per", "is not a unit", '"therm"'),
        ("[price.natural_gas]", "[price.naturl_gas]", "price.naturl_gas",
         "'naturl gas' is not known", 'did you mean "natural gas"?'),
        ('"therm"', '"ccf"\nheat_content = "5 kg"', "price.natural_gas.heat_content", "5 kg", ""),
        ('"therm"', '"ccf"\nheat_content = "9 Btu^9^9^9"', "price.natural_gas.heat_content",
         "cannot be read", "Btu/gal"),
        ('"therm"', '"therm"\nheat_content = "1 kWh/ft3"', "price.natural_gas.heat_content",
         "which is an energy already", ""),
        ("[price.natural_gas]", '[price.natural-gas]\nper = "ccf"\nenergy = 1\n[price.natural_gas]',
         "price.natural_gas", "the price of natural gas is given twice", ""),
    ],
)  # fmt: skip
def test_a_price_is_refused_without_its_unit_of_sale(
    tmp_path: Path, old: str, new: str, path: str, what: str, expected: str
) -> None:
    message = refused(tmp_path, changed((old, new)))
    assert message.startswith(f"room.toml: {path}: ")
    assert what in message
    assert expected in message


def test_a_tariff_file_that_is_not_there_is_placed_in_the_scenario(tmp_path: Path) -> None:
    flat = 'energy = 0.14\nper = "kWh"\nfixed = "12 per month"'
    message = refused(tmp_path, changed((flat, 'tariff = "house-rate.toml"')))
    assert message.startswith("room.toml: price.electricity.tariff: ")
    assert "house-rate.toml: there is no such file" in message


def test_a_carrier_that_an_option_burns_needs_a_price(tmp_path: Path) -> None:
    text = changed(("[price.natural_gas]", "[price.propane]"), ('"therm"', '"gal"'))
    message = refused(tmp_path, text)
    assert message.startswith(f"room.toml: {FURNACE}.heating: it uses natural gas, which has no")
    assert "expected: a table [price.natural_gas] with energy and per" in message


def test_the_carrier_of_a_backup_needs_a_price_too(tmp_path: Path) -> None:
    oil = '{ kind = "boiler", fuel = "heating oil", afue = 0.85 }'
    message = refused(tmp_path, changed((STRIP, oil)))
    assert message.startswith(f"room.toml: {STRIPS}.heating.backup.heater: it uses heating oil")


@pytest.mark.parametrize(
    ("old", "new", "path", "what"),
    [
        ('{ kind = "furnace", fuel = "natural gas", afue = 0.80, ducts = { efficiency = 0.75 } }',
         '{ kind = "room heater", fuel = "natural gas", afue = 0.80, vented = false }',
         f"{FURNACE}.heating", "an unvented room heater is not a heating option here"),
        (", ducts = { efficiency = 0.75 } }", " }", FURNACE, "a furnace without its ducts"),
        ('heating = { kind = "electric resistance" }', "", BASEBOARD,
         "an option that neither heats nor cools"),
        ('"inverter-standard-12", l', '"inverter-standart-12", l', f"{INVERTER}.heating.unit",
         'there is no unit "inverter-standart-12"'),
        ('"inverter-standard-12", l', '"window-8", l', f"{INVERTER}.heating.unit",
         'the unit "window-8" has no heating table'),
        ('line_length = "25 ft"', 'line_length = "900 ft"', f"{INVERTER}.heating",
         "a refrigerant line of"),
        ('line_length = "25 ft"', 'on = "25 degF"', f"{INVERTER}.heating",
         "without a cut-out temperature"),
        ('line_length = "25 ft"', 'off = "15 degF", on = "5 degF"', f"{INVERTER}.heating",
         '"on", 5 degF (-15 degC), lies below'),
        (f"{STRIP} }}", f'{STRIP}, off_above = "-30 degF" }}', f"{STRIPS}.heating.backup.off_above",
         "between -30 degF (-34.4 degC) and 0 degF (-17.8 degC) neither the heat pump nor its"),
        (STRIP, '{ kind = "furnace", fuel = "natural gas", afue = 0.9, ducts = { efficiency = 1 }}',
         f"{STRIPS}.heating", "the ducts are given twice"),
        (f"heater = {STRIP}",
         'runs = "instead", heater = { kind = "boiler", fuel = "natural gas", afue = 0.9 }',
         f"{STRIPS}.heating", "a boiler does not stand in the heat pump's air stream"),
        (STRIP, '{ kind = "furnace", fuel = "natural gas", afue = 0.9 }, off_above = "40 degF"',
         f"{STRIPS}.heating.backup.off_above", "off_above is for electric resistance"),
    ],
)  # fmt: skip
def test_equipment_that_cannot_be_built_is_named_with_its_option(
    tmp_path: Path, old: str, new: str, path: str, what: str
) -> None:
    message = refused(tmp_path, changed((old, new)))
    assert message.startswith(f"room.toml: {path}: ")
    assert what in message


def test_a_heater_cannot_be_sized_where_the_room_has_no_heating_load(tmp_path: Path) -> None:
    start = BASE.index("[room.heating]")
    text = BASE[:start] + BASE[BASE.index("[room.cooling]") :]
    message = refused(tmp_path, text)
    assert message.startswith(
        f"room.toml: {FURNACE}.heating: the output of the natural gas furnace"
    )


HEAT_ONLY = """
[unit.mine]
name = "Mine"
sources = { table = "submittal" }
[unit.mine.heating]
cd = 0.25
points = [
  { speed = "full", outdoor = "47 degF", capacity = "12 kBtu/h", cop = 3.3 },
  { speed = "full", outdoor = "17 degF", capacity = "8 kBtu/h", cop = 2.4 },
]
"""


def test_a_unit_that_only_heats_cannot_cool(tmp_path: Path) -> None:
    message = refused(tmp_path, changed(('"inverter-standard-12" }', '"mine" }')) + HEAT_ONLY)
    assert message.startswith(
        f'room.toml: {INVERTER}.cooling.unit: the unit "mine" has no cooling table.'
    )


def test_units_of_the_scenario_itself_are_checked_and_suggested(tmp_path: Path) -> None:
    mine = changed(('"inverter-standard-12", l', '"mine", l'))
    assert "Carnot" in refused(tmp_path, mine + HEAT_ONLY.replace("cop = 2.4", "cop = 7.5"))
    mien = changed(('"mine", l', '"mien", l'), text=mine)
    assert "did you mean mine?" in refused(tmp_path, mien + HEAT_ONLY)


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (None, "mine.toml: there is no such file"),
        (b"name = ", "mine.toml: not valid TOML: Invalid value"),
        (b'name = "x"\n[heating\n', "mine.toml, line 2: not valid TOML"),
        (b'name = "x"\nname = "y"\n', "mine.toml, line 2: not valid TOML: Cannot overwrite"),
        (bytes(range(256)), "mine.toml: not a text in UTF-8 (line 2, byte 128)"),
        (
            b'name = "x"\n[heating]\ncd = 0.2\npoints = []',
            "mine.toml: heating.points: an empty list",
        ),
        (b"", "mine.toml: name: this is missing"),
        (b"a = " + b"[" * 3000, "mine.toml: tables or lists are nested too deeply"),
        (b"a = " + b"{a=" * 3000, "mine.toml: tables or lists are nested too deeply"),
        (b"a = " + b"1" * 6000, "mine.toml: a number has too many digits"),
        (b"#" * 2_100_000, "mine.toml: the file is too large"),
    ],
)
def test_a_broken_unit_file_is_named_inside_its_option(
    tmp_path: Path, content: bytes | None, what: str
) -> None:
    if content is not None:
        (tmp_path / "mine.toml").write_bytes(content)
    message = refused(tmp_path, changed(OWN_FILE))
    assert f"{INVERTER}.heating.unit: " in message
    assert what in message.replace(f"{tmp_path}/", "")


def test_a_unit_file_that_is_a_folder_or_locked_is_named(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.mkdir()
    assert "mine.toml: this is a folder, not a file" in refused(tmp_path, changed(OWN_FILE))
    file.rmdir()
    file.symlink_to(file)
    assert "mine.toml: cannot be read: " in refused(tmp_path, changed(OWN_FILE))


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root reads all")
def test_a_unit_file_without_permission_is_named(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").touch(mode=0)
    assert "cannot be read: Permission denied" in refused(tmp_path, changed(OWN_FILE))


def test_the_faults_of_a_unit_file_are_listed_one_by_one(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(
        'name = "x"\nsources = { a = "b" }\n[heating]\ncd = 2\n'
        'points = [{ speed = "full", outdoor = "47", capacity = "3 ton", cop = "x" }]\n'
    )
    lines = refused(tmp_path, changed(OWN_FILE)).splitlines()
    assert lines[0] == "room.toml: 4 faults found:"
    place = f"- {INVERTER}.heating.unit: mine.toml: heating."
    assert [line.removeprefix(place).partition(":")[0] for line in lines if line[0] == "-"] == [
        "cd", "points[1].outdoor", "points[1].capacity", "points[1].cop",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "path", "what"),
    [
        ('balance_temperature = "60 degF"', 'balance_temperature = "80 degF"', "room.heating",
         "the balance temperature, 80 degF (26.7 degC), lies above the indoor set-point"),
        ('balance_temperature = "68 degF"', 'balance_temperature = "50 degF"', "room",
         "the heating balance temperature, 60 degF (15.6 degC), lies above the cooling balance"),
        ('"15 degF"', '"65 degF"', "room.heating",
         "the design temperature, 65 degF (18.3 degC), is not below the balance temperature"),
        ('"91 degF"', '"60 degF"', "room.cooling",
         "the design temperature, 60 degF (15.6 degC), is not above the balance temperature"),
        ('"70 degF"', '"76 degF"', "room.indoor", "the heating set-point lies above the cooling"),
        ('"70 degF"', '"-5 degC"', "room.indoor", "an indoor set-point of 23 degF (-5 degC)"),
        ('design_load = "9.5', 'ua = "170 Btu/(h degF)"\ndesign_load = "9.5', "room.heating",
         "the heating load is given by design_load and by ua"),
        ('design_load = "9.5 kBtu/h"\n', "", "room.heating",
         "the heating load is given by nothing"),
        ('design_temperature = "15 degF"\n', "", "room.heating",
         "design_load without design_temperature"),
        ('balance_temperature = "60 degF"\n', "", "room.heating", "neither balance_temp"),
        ('design_load = "8 kBtu/h"\n', "", "room.cooling", "design_load missing"),
    ],
)  # fmt: skip
def test_loads_and_temperatures_must_make_sense_together(
    tmp_path: Path, old: str, new: str, path: str, what: str
) -> None:
    message = refused(tmp_path, changed((old, new)))
    assert message.startswith(f"room.toml: {path}: ")
    assert what in message


def test_a_room_without_any_load_is_refused(tmp_path: Path) -> None:
    start, end = BASE.index("[room.heating]"), BASE.index("[price.electricity]")
    assert "a room without a heating or a cooling load" in refused(
        tmp_path, BASE[:start] + BASE[end:]
    )


def test_names_are_given_once_and_one_option_is_present(tmp_path: Path) -> None:
    message = refused(tmp_path, changed(('"Furnace"', '"Baseboard"\npresent = true')))
    assert message.startswith('room.toml: option: 2 options are called "Baseboard"; "Baseboard"')
    assert "are marked as present" in message


def test_no_option_need_be_present(tmp_path: Path) -> None:
    assert build(tmp_path, changed(("present = true\n", ""))).options[0].table.present is False


@pytest.mark.parametrize(
    ("weather", "what"),
    [
        ("greensborro-nc", 'did you mean "greensboro-nc"?'),
        ("mytown.epw", 'there is no file "mytown.epw"'),
        (".", '"." is a folder'),
        ("broken.epw", "broken.epw, line 1: the format of this file is not known"),
        ("x" * 400 + ".epw", "cannot be read: File name too long"),
    ],
)
def test_weather_that_is_not_there_is_placed_in_the_scenario(
    tmp_path: Path, weather: str, what: str
) -> None:
    (tmp_path / "broken.epw").write_text("hello\nworld\n")
    message = refused(tmp_path, changed(("greensboro-nc", weather)))
    assert message.startswith("room.toml: place.weather: ")
    assert what in message


@pytest.mark.parametrize(
    "grid",
    ["0.37", "0.37 kg", "0.37 kgg/kWh", "0.37 kWh/kg", "-0.37 kg/kWh", "nan kg/kWh", "inf kg/kWh",
     "1e400 kg/kWh", "0,37 kg/kWh", "0.37 kg/kWh/h", "", "370 kg/kWh", "SRVX"],
)  # fmt: skip
def test_an_emission_rate_is_a_known_region_or_mass_per_energy(tmp_path: Path, grid: str) -> None:
    message = refused(tmp_path, changed(('grid = "US"', f'grid = "{grid}"')))
    assert message.startswith("room.toml: emissions.grid: ")


def test_faults_behind_the_schema_are_reported_at_once_too(tmp_path: Path) -> None:
    text = changed(
        ("greensboro-nc", "greensborro-nc"),
        ('balance_temperature = "60 degF"', 'balance_temperature = "80 degF"'),
        ('"therm"', '"gallon"'),
        ('"single-speed-24"\nducts', '"singel-speed-24"\nducts'),
        ('line_length = "25 ft"', 'line_length = "900 ft"'),
    )
    lines = refused(tmp_path, text).splitlines()
    assert lines[0] == "room.toml: 5 faults found:"
    places = [line[2:].split(": ")[0] for line in lines if line.startswith("- ")]
    assert places == [
        "place.weather", "room.heating", "price.natural_gas.per", f"{STRIPS}.heating.unit",
        f"{INVERTER}.heating",
    ]  # fmt: skip


def test_one_misspelt_unit_in_heating_and_cooling_is_told_once(tmp_path: Path) -> None:
    text = BASE.replace('"inverter-standard-12"', '"invrter"')
    assert refused(tmp_path, text).startswith(
        f"room.toml: {INVERTER}.heating.unit: there is no unit"
    )
