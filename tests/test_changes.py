"""Named fields of a scenario, changed and checked again."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from energymodel.errors import InputError, ManyFaultsError
from energymodel.scenario.assemble import assemble
from energymodel.scenario.changes import changed, field, value_of_text
from energymodel.scenario.field_path import read_path, write_path
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.study.comparison.compare import compare

TEXT = """
title = "A room"
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
fixed = "12 per month"
[price.natural_gas]
energy = 1.25
per = "therm"
[[option]]
name = "Electric baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Furnace, 80 %"
heating = { kind = "furnace", fuel = "natural gas", afue = 0.80, ducts = { efficiency = 0.75 } }
installed_cost = 2900
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-standard-12" }
"""


@pytest.fixture
def room(tmp_path: Path) -> Scenario:
    return _read(tmp_path, TEXT)


def _read(folder: Path, text: str) -> Scenario:
    file = folder / "room.toml"
    file.write_text(text, "utf-8")
    return read_scenario(file)


EDITS = [
    ("price.electricity.energy", 0.18, "energy = 0.14", "energy = 0.18"),
    ("price.electricity.fixed", "9 per month", '"12 per month"', '"9 per month"'),
    ("price.natural_gas.per", "ccf", '"therm"', '"ccf"'),
    ("room.heating.design_load", "3 kW", '"9.5 kBtu/h"', '"3 kW"'),
    ("room.indoor.heating", "20 degC", '"70 degF"', '"20 degC"'),
    ('option."Furnace, 80 %".installed_cost', 1800, "= 2900", "= 1800"),
    ("option[2].heating.ducts.efficiency", 0.9, "efficiency = 0.75", "efficiency = 0.9"),
    ("option.Inverter.heating.unit", "inverter-standard-9", "standard-12", "standard-9"),
    ("option.Inverter.name", "Mini", '"Inverter"', '"Mini"'),
    ("place.weather", "miami-fl", "greensboro-nc", "miami-fl"),
]


@pytest.mark.parametrize(("path", "value", "old", "new"), EDITS, ids=[edit[0] for edit in EDITS])
def test_a_change_is_as_if_the_file_were_written_so(
    room: Scenario, path: str, value: object, old: str, new: str
) -> None:
    assert TEXT.count(old) == 1
    edited = _read(room.path.parent, TEXT.replace(old, new))
    made = changed(room, {path: value})
    assert made.content == edited.content
    assert made.content != room.content
    assert made.written == edited.written
    assert made.path == room.path


def test_the_scenario_itself_stays_as_it_is(room: Scenario) -> None:
    changed(room, {"option.Inverter.heating.unit": "x", "price.electricity.energy": 1.0})
    assert room.written == tomllib.loads(TEXT)


def test_no_change_gives_the_same_content_back(room: Scenario) -> None:
    assert changed(room, {}).content == room.content


def test_changes_add_up_one_after_another_and_at_once(room: Scenario) -> None:
    both = {"price.electricity.energy": 0.2, "room.heating.balance_temperature": "58 degF"}
    after = room
    for path, value in both.items():
        after = changed(after, {path: value})
    assert changed(room, both).content == after.content


def test_defaults_stay_defaults_and_none_brings_one_back(room: Scenario) -> None:
    made = changed(room, {"option.Inverter.heating.in_service": 0.8})
    assert "in-service" not in " ".join(d.name for d in assemble(made).defaults if "pump" in d.name)
    back = changed(made, {"option.Inverter.heating.in_service": None})
    assert back.written == room.written
    assert [d.name for d in assemble(back).defaults] == [d.name for d in assemble(room).defaults]


def test_tables_that_the_file_leaves_out_are_made(room: Scenario) -> None:
    made = changed(
        room, {"emissions.grid": "SRVC", "option.Inverter.heating.ducts.efficiency": 0.8}
    )
    assert made.content.emissions.grid == "SRVC"
    assert made.written["option"][2]["heating"]["ducts"] == {"efficiency": 0.8}


def test_a_whole_table_and_a_new_price_can_be_given(room: Scenario) -> None:
    propane = {"energy": 2.6, "per": "gallon"}
    made = changed(
        room,
        {
            "price.propane.energy": 3.0,
            "price.propane": propane,
            'option."Furnace, 80 %".heating.fuel': "propane",
        },
    )
    assert made.content.price["propane"].energy == 3.0
    assert propane["energy"] == 2.6


def test_the_kind_of_an_entry_and_its_keys_change_together_in_any_order(room: Scenario) -> None:
    made = changed(
        room,
        {
            'option."Furnace, 80 %".heating.capacity': "10 kW",
            'option."Furnace, 80 %".heating.fuel': None,
            'option."Furnace, 80 %".heating.afue': None,
            'option."Furnace, 80 %".heating.kind': "electric furnace",
        },
    )
    assert made.written["option"][1]["heating"] == {
        "kind": "electric furnace",
        "capacity": "10 kW",
        "ducts": {"efficiency": 0.75},
    }


def test_an_option_can_be_taken_out(room: Scenario) -> None:
    made = changed(room, {"option.Inverter": None})
    assert [option.name for option in made.content.option] == [
        "Electric baseboard",
        "Furnace, 80 %",
    ]


def test_a_tariff_takes_the_place_of_the_flat_price_and_counts_from_the_folder(
    tmp_path: Path,
) -> None:
    room = _read(tmp_path, TEXT)
    made = changed(room, {"price.electricity.tariff": Path("rates/day.toml")})
    assert made.written["price"]["electricity"] == {"tariff": "rates/day.toml"}
    with pytest.raises(ManyFaultsError) as caught:
        assemble(made)
    assert str(tmp_path / "rates" / "day.toml") in str(caught.value)


def test_numbers_of_numpy_count_as_numbers(room: Scenario) -> None:
    one = changed(room, {"price.electricity.energy": np.float64(0.2)})
    whole = changed(room, {"option.Inverter.installed_cost": np.int64(5)})
    use = changed(
        room, {"price.electricity": {"tariff": "t.toml", "other_use_kwh": np.arange(12.0)}}
    )
    assert type(one.written["price"]["electricity"]["energy"]) is float
    assert type(whole.written["option"][2]["installed_cost"]) is int
    assert changed(use, {"price.electricity.other_use_kwh[12]": 99.0}).content.price[
        "electricity"
    ].other_use_kwh == [*map(float, range(11)), 99.0]


WRONG = [
    ("price.electricty.energy", 'no "electricty" in price', "did you mean price.electricity?"),
    ("price.electricity.enrgy", "one of energy, per, tariff", "price.electricity.energy?"),
    ("option.inverter.note", '"Electric baseboard", "Furnace, 80 %", Inverter', "option.Inverter?"),
    ("option.Furnace.note", 'no "Furnace" in option', 'did you mean option."Furnace, 80 %"?'),
    ("rom.heating.design_load", 'no "rom" in a scenario', "did you mean room?"),
    ("room.installed_cost", 'no "installed_cost" in room', "belongs into option"),
    ("option[4].note", "there is no entry [4]", "[1] to [3]"),
    ("option[0].note", "asks for entry [0]", "[1] for the first"),
    ("room[1]", "is no list", "end the path at room"),
    ("room.heating.design_load.kW", "nothing is inside it", "room.heating.design_load"),
    ("option.Electric baseboard.note", "not the name of a field", "into quotes"),
    ("price..energy", "not the name of a field", "joined by dots"),
    ("", "not the name of a field", "joined by dots"),
    ("option.Inverter.heating.afue", 'no "afue" in option.Inverter.heating', "one of kind, unit"),
]


@pytest.mark.parametrize(("path", "what", "help_"), WRONG, ids=[wrong[0] for wrong in WRONG])
def test_a_wrong_path_says_what_is_there_and_what_comes_near(
    room: Scenario, path: str, what: str, help_: str
) -> None:
    with pytest.raises(ManyFaultsError) as caught:
        changed(room, {path: 1.0})
    message = str(caught.value)
    assert what in message
    assert help_ in message
    assert "room.toml" in message


def test_all_wrong_paths_are_told_at_once(room: Scenario) -> None:
    with pytest.raises(ManyFaultsError) as caught:
        changed(room, {"rom.x": 1, "price.electricity.energy": 0.1, "prise.x": 2})
    assert len(caught.value.faults) == 2


def test_faults_of_the_content_are_those_of_the_file(room: Scenario) -> None:
    changes = {"price.electricity.energy": -1, "room.heating.design_load": 9500}
    with pytest.raises(ManyFaultsError) as there:
        changed(room, changes)
    text = TEXT.replace("energy = 0.14", "energy = -1").replace('"9.5 kBtu/h"', "9500")
    with pytest.raises(ManyFaultsError) as written:
        _read(room.path.parent, text)
    assert [str(fault) for fault in there.value.faults] == [
        str(fault) for fault in written.value.faults
    ]
    assert "price.electricity.energy = -1, room.heating.design_load = 9500" in str(there.value)


def test_a_changed_price_reaches_the_result() -> None:
    demo = read_scenario()
    first = compare(demo).present
    second = compare(changed(demo, {"price.electricity.energy": 0.28})).present
    assert first is not None
    assert second is not None
    assert second.yearly_cost == pytest.approx(2.0 * first.yearly_cost, rel=1e-12)


def test_a_field_can_be_looked_up(room: Scenario) -> None:
    assert field(room, "room.heating.design_load") == "9.5 kBtu/h"
    assert field(room, "option[2].heating.ducts.efficiency") == 0.75
    assert field(room, "emissions.grid") is None
    with pytest.raises(InputError, match="did you mean"):
        field(room, "room.heating.design_lod")


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        ("price.electricity.energy", "0.14", 0.14),
        ("price.electricity.energy", " 1e-1 ", 0.1),
        ("option.Inverter.installed_cost", "4100", 4100),
        ("option.Inverter.present", "true", True),
        ("option.Inverter.heating.unit", "12", "12"),
        ("room.heating.design_load", "9.5 kBtu/h", "9.5 kBtu/h"),
        ("price.electricity.energy", "cheap", "cheap"),
        ("emissions.grid", "0.37 kg/kWh", "0.37 kg/kWh"),
    ],
)
def test_text_becomes_what_the_place_holds(
    room: Scenario, path: str, text: str, value: object
) -> None:
    read = value_of_text(room, path, text)
    assert read == value
    assert type(read) is type(value)


@given(st.lists(st.one_of(st.text(max_size=12), st.integers(0, 999)), min_size=1, max_size=5))
def test_a_written_path_reads_back(steps: list[str | int]) -> None:
    path = ["option", *steps]
    assert read_path(write_path(*path)) == tuple(path)


@given(
    st.lists(st.text(st.characters(categories=("L", "N", "P", "Zs", "S")), max_size=12), min_size=1)
)
def test_a_path_is_a_dotted_key_of_toml(steps: list[str]) -> None:
    inner: object = tomllib.loads(f"{write_path(*steps)} = 7")
    for step in read_path(write_path(*steps)):
        assert isinstance(inner, dict)
        assert list(inner) == [step]
        inner = inner[step]
    assert inner == 7


def test_both_kinds_of_quotes_and_blanks_around_dots_are_read_as_in_toml() -> None:
    assert read_path("option . 'a \"b\"' . note") == ("option", 'a "b"', "note")
    assert read_path(r'option."a \"b\" \\".note') == ("option", 'a "b" \\', "note")
