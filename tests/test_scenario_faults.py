"""Scenario files that break the schema: every fault at once, with path, expectation and remedy."""

from __future__ import annotations

import copy
import runpy
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energymodel.errors import InputError, ManyFaultsError
from energymodel.scenario.faults import placed, validated
from energymodel.scenario.schema import ScenarioFile

_TOOLS = runpy.run_path(str(Path(__file__).with_name("scenario_text.py")))
BASE, JARGON = _TOOLS["BASE"], _TOOLS["JARGON"]
build, changed, refused = _TOOLS["build"], _TOOLS["changed"], _TOOLS["refused"]
BASEBOARD, FURNACE = _TOOLS["BASEBOARD"], _TOOLS["FURNACE"]
STRIPS, INVERTER = _TOOLS["STRIPS"], _TOOLS["INVERTER"]
HEAD = BASE.split("[[option]]", maxsplit=1)[0]


def test_the_scenario_that_the_cases_break_is_sound(tmp_path: Path) -> None:
    assert len(build(tmp_path, BASE).options) == 4


@pytest.mark.parametrize(
    ("old", "new", "path", "meant"),
    [
        ("[place]", "[plaec]", "plaec", "place"),
        ("currency =", "curency =", "curency", "currency"),
        ("[room.heating]", "[room.heatng]", "room.heatng", "heating"),
        ("design_load", "design-load", "room.heating.design-load", "design_load"),
        ("energy =", "enrgy =", "price.electricity.enrgy", "energy"),
        ('unit = "inv', 'unti = "inv', f"{INVERTER}.heating.unti", "unit"),
        ("capacity =", "capasity =", f"{STRIPS}.heating.backup.heater.capasity", "capacity"),
        ("efficiency", "eficiency", f"{FURNACE}.heating.ducts.eficiency", "efficiency"),
    ],
)
def test_a_misspelt_key_is_one_fault_with_the_spelling_that_was_meant(
    tmp_path: Path, old: str, new: str, path: str, meant: str
) -> None:
    message = refused(tmp_path, changed((old, new)))
    assert message.startswith(f"room.toml: {path}: the key ")
    assert "is not known here.\n  expected: one of " in message
    assert message.endswith(f'what to do: did you mean "{meant}"?')


@pytest.mark.parametrize(
    ("table", "line", "home"),
    [
        ("[place]", "installed_cost = 5", "into option"),
        (
            "[emissions]",
            'balance_temperature = "60 degF"',
            "into room.heating or into room.cooling",
        ),
        ("[room]", 'grid = "US"', "into emissions"),
        ("[place]", 'currency = "USD"', "at the top of the file, above the first [table]"),
    ],
)
def test_a_key_in_the_wrong_table_is_told_where_it_belongs(
    tmp_path: Path, table: str, line: str, home: str
) -> None:
    assert f"this key belongs {home}" in refused(tmp_path, changed((table, f"{table}\n{line}")))


@pytest.mark.parametrize(
    ("gone", "path", "expected"),
    [
        ('[place]\nweather = "greensboro-nc"\n', "place", "a table with weather"),
        ('weather = "greensboro-nc"\n', "place.weather", "a shipped year"),
        (', cooling = "75 degF"', "room.indoor.cooling", "a temperature with its unit"),
        ('unit = "single-speed-24"\n', f"{STRIPS}.heating.unit", "a unit such as"),
        ('kind = "heat pump"\n', f"{STRIPS}.heating.kind", 'one of "electric resistance"'),
        ('kind = "electric resistance", ', f"{STRIPS}.heating.backup.heater.kind", "one of"),
        ('name = "Baseboard"\n', "option[1].name", "a name in quotes"),
        (BASE[len(HEAD) :], "option", "one or more tables [[option]]"),
    ],
)
def test_what_is_missing_is_named_with_what_it_would_look_like(
    tmp_path: Path, gone: str, path: str, expected: str
) -> None:
    message = refused(tmp_path, changed((gone, "")))
    assert message.startswith(f"room.toml: {path}: this is missing.\n  expected: {expected}")


@pytest.mark.parametrize("text", ["", "# nothing but a comment\n", "\ufeff"])
def test_an_empty_file_lists_what_a_scenario_needs(tmp_path: Path, text: str) -> None:
    message = refused(tmp_path, text)
    assert message.startswith("room.toml: 4 faults found:\n- place: this is missing.")
    for table in ("- room: ", "- option: ", "- price: "):
        assert table in message


RESISTANCE = '{ kind = "electric resistance" }'


@pytest.mark.parametrize(
    ("old", "new", "path", "what", "expected"),
    [
        (RESISTANCE, '{ kind = "electric resistence" }', f"{BASEBOARD}.heating.kind",
         '"electric resistence" is not one of', 'did you mean "electric resistance"?'),
        (RESISTANCE, '"baseboard"', f"{BASEBOARD}.heating", '"baseboard" cannot', "a table with"),
        (RESISTANCE, "[1]", f"{BASEBOARD}.heating", "a list cannot", "a table with kind"),
        ('cooling = { kind = "heat pump", unit = "inv', 'cooling = { kind = "cooler", unit = "inv',
         f"{INVERTER}.cooling.kind", '"cooler" is not one of', '"air conditioner"'),
        ('heating = { kind = "heat pump"', 'heating = { kind = "air conditioner"',
         f"{INVERTER}.heating.kind", '"air conditioner" is not one of', '"heat pump"'),
        ('units = "us"', 'units = "metric"', "units", '"metric" is not one', 'one of "us", "si"'),
        ('"USD"', '"dollars"', "currency", '"dollars" cannot', "a short code"),
        ('title = "A room"', "title = 7", "title", "7 cannot be used", "text in quotes"),
        ('"Baseboard"', "5", "option[1].name", "5 cannot", "a name in quotes"),
        ('"Baseboard"', '""', "option[1].name", '"" cannot', "not empty"),
        ('"Baseboard"', '["a"]', "option[1].name", "a list cannot", "a name"),
        ("= true", '= "yes"', f"{BASEBOARD}.present", '"yes" cannot', "true or false, without"),
        ("2900", '"2900 USD"', f"{FURNACE}.installed_cost", '"2900 USD" cannot', "a plain number"),
        ("2900", "-2900", f"{FURNACE}.installed_cost", "-2900 cannot", "0 or more"),
        ("installed_cost = 2900", "load_factor = 80", f"{FURNACE}.load_factor", "80 cannot",
         "write 80 % as 0.8"),
        ('"inverter-standard-12", l', "12, l", f"{INVERTER}.heating.unit", "12 cannot", "a unit"),
        ('"greensboro-nc"', "27401", "place.weather", "27401 cannot", "a shipped year"),
        ('"greensboro-nc"', '""', "place.weather", '"" cannot', "a shipped year"),
        ('grid = "US"', "grid = 0.37", "emissions.grid", "0.37 cannot", "an eGRID subregion"),
        ('grid = "US"', "grid_loss = 5", "emissions.grid_loss", "5 cannot", "write 5 % as 0.05"),
        ("[price.electricity]", "[price]\nelectricity = 0.14\n[price.gas]", "price.electricity",
         "0.14 cannot be used", "a table with energy, per"),
        ('"12 per month"', "12", "price.electricity.fixed", "12 is not an amount", "per day"),
        ('"12 per month"', '"12 a week"', "price.electricity.fixed", '"12 a week" is not',
         '"150 per year"'),
        ('["Apr"]', '["Apr", "Octember"]', "room.cooling.months_without[2]",
         '"Octember" is not a month', '"October"'),
        ('["Apr"]', "[4]", "room.cooling.months_without[1]", "4 is not a month", '"October"'),
        ('["Apr"]', '"Apr"', "room.cooling.months_without", '"Apr" cannot', "a list"),
        ('"70 degF"', '"70 degC"', "room.indoor.heating", '"70 degC" is no temperature of air',
         "140 degF (60 degC)"),
    ],
)  # fmt: skip
def test_a_value_of_the_wrong_kind_is_told_in_plain_words(
    tmp_path: Path, old: str, new: str, path: str, what: str, expected: str
) -> None:
    message = refused(tmp_path, changed((old, new)))
    assert message.startswith(f"room.toml: {path}: {what}")
    assert expected in message.partition("expected: ")[2]


@pytest.mark.parametrize(
    ("written", "what", "expected"),
    [
        ("9.5", "9.5 has no unit", '"12 kBtu/h"'),
        ('"9.5"', "'9.5' has no unit", '"12 kBtu/h"'),
        ('"9.5 kBtu"', '"9.5 kBtu" ', '"12 kBtu/h"'),
        ('"3 ton"', "the unit 'ton' is not known", "ton_of_refrigeration"),
        ('"-9.5 kBtu/h"', '"-9.5 kBtu/h" cannot be used', "above 0"),
        ('"0 kBtu/h"', '"0 kBtu/h" cannot be used', "above 0"),
        ('"nan kBtu/h"', "'nan kBtu/h' is not a number", '"12 kBtu/h"'),
        ('"1e999 kBtu/h"', '"1e999 kBtu/h" is not a finite number', '"12 kBtu/h"'),
        ("nan", "nan has no unit", '"12 kBtu/h"'),
        ("true", "true is not a heat flow", '"12 kBtu/h"'),
        ('["9.5 kBtu/h"]', "a list is not a heat flow", '"12 kBtu/h"'),
        ("2024-05-01", "2024-05-01 is not a heat flow", '"12 kBtu/h"'),
        ('"9.5 $%&"', '"9.5 $%&" ', '"12 kBtu/h"'),
        ('"9.5 W**9**9**9**9"', '"9.5 W**9**9**9**9" cannot be read', '"12 kBtu/h"'),
        ('"9.5 9**9**9**9 W"', '"9.5 9**9**9**9 W" cannot be read', '"12 kBtu/h"'),
        ('"9.5 W^(9^(9^9))"', '"9.5 W^(9^(9^9))" cannot be read', '"12 kBtu/h"'),
        ('"9.5 ' + "(" * 900 + '"', '"9.5 (((', '"12 kBtu/h"'),
        ("1" + "0" * 40, "a huge number has no unit", '"12 kBtu/h"'),
    ],
)
def test_a_load_without_a_proper_unit_is_refused_with_an_example(
    tmp_path: Path, written: str, what: str, expected: str
) -> None:
    message = refused(tmp_path, changed(('"9.5 kBtu/h"', written)))
    assert message.startswith(f"room.toml: room.heating.design_load: {what}")
    assert expected in message.split("\n", 1)[1]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ('"0.14"', "leave the quotes out"),
        ('"0.14 USD/kWh"', "a plain number such as 0.14"),
        ("-0.14", "0 or more"),
        ("nan", "a finite number"),
        ("inf", "a finite number"),
        ("true", "a plain number such as 0.14"),
        ("1" + "0" * 400, "a plain number such as 0.14"),
    ],
)
def test_a_price_that_is_no_plain_number_is_refused(
    tmp_path: Path, written: str, expected: str
) -> None:
    message = refused(tmp_path, changed(("energy = 0.14", f"energy = {written}")))
    assert message.startswith("room.toml: price.electricity.energy: ")
    assert expected in message


@pytest.mark.parametrize(
    ("afue", "what", "remedy"),
    [
        ("95", "a burner efficiency of 95", "write 95 % as 0.95"),
        ("1.05", "is above 100 %: net basis?", "multiply a net-basis figure by 0.90"),
        ("0", "a burner efficiency of 0", "0.95"),
        ("195", "a burner efficiency of 195", "0.95"),
        ('"80 %"', '"80 %" cannot be used', "write 80 % as 0.8, without quotes"),
        ('0.80, pilot = "200 W"', "afue stands beside a pilot", "leave pilot and cycling_cd out"),
        ("0.80, steady_state_efficiency = 0.8", "not given in one way", "afue = 0.95"),
    ],
)
def test_an_efficiency_is_a_fraction_given_in_one_way(
    tmp_path: Path, afue: str, what: str, remedy: str
) -> None:
    message = refused(tmp_path, changed(("afue = 0.80", f"afue = {afue}")))
    assert message.startswith(f"room.toml: {FURNACE}.heating")
    assert what in message
    assert remedy in message


def test_faults_of_several_places_are_reported_at_once(tmp_path: Path) -> None:
    text = changed(
        ('units = "us"', 'units = "metric"'),
        ('"9.5 kBtu/h"', "9"),
        ('"electric resistance" }', '"electrc resistance" }'),
        ('unit = "inverter-standard-12", line', 'unti = "inverter-standard-12", line'),
        ("energy = 0.14", 'energy = "x"'),
    )
    lines = refused(tmp_path, text).splitlines()
    assert lines[0] == "room.toml: 5 faults found:"
    assert sum(line.startswith("- ") for line in lines) == 5


def test_quoted_keys_are_shown_as_they_are_written(tmp_path: Path) -> None:
    text = changed(("[price.natural_gas]\nenergy", '[price."natural gas"]\nenrgy'))
    assert refused(tmp_path, text).startswith('room.toml: price."natural gas".enrgy: ')


def test_single_and_double_brackets_are_explained(tmp_path: Path) -> None:
    single = f'{HEAD}[option]\nname = "A"\n'
    assert "write [[option]], with two brackets" in refused(tmp_path, single)
    double = changed(("[place]", "[[place]]"))
    assert "write [place], with one bracket" in refused(tmp_path, double)


def test_faults_of_a_part_are_taken_apart_and_placed() -> None:
    inner = ManyFaultsError([InputError("one", where="a"), InputError("two")], where="unit.toml")
    faults = placed(inner, "option[1].")
    assert [fault.where for fault in faults] == ["option[1].unit.toml: a", "option[1].unit.toml"]
    assert placed(InputError("x"), "place.weather: ")[0].where == "place.weather"


CONTENT = tomllib.loads(BASE)
VALUES = st.one_of(
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.dates(),
    st.times(),
    st.text(max_size=8),
    st.sampled_from(["9 kW", "5 degF", "therm", "furnace", "12 per month", "80 %", "3 ton"]),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.sampled_from(["kind", "name", "a b"]), st.text(max_size=3), max_size=2),
)


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value)
    found = []
    for key, inner in inside:
        found.append((*path, key))
        if isinstance(inner, dict | list):
            found += _places(inner, (*path, key))
    return found


def _put(content: Any, path: tuple[Any, ...], value: Any) -> None:
    """Set a value; a place that an earlier change took away stays away."""
    for step in path[:-1]:
        try:
            content = content[step]
        except (LookupError, TypeError):
            return
    if isinstance(content, dict):
        content[path[-1]] = value


def _faults(content: Any) -> tuple[Any, ...]:
    try:
        validated(ScenarioFile, content, where="room.toml")
    except ManyFaultsError as error:
        return error.faults
    return ()


@settings(max_examples=250, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(_places(CONTENT)), VALUES), min_size=1, max_size=3))
def test_whatever_stands_in_a_file_is_accepted_or_refused_in_plain_words(
    changes: list[tuple[tuple[Any, ...], Any]],
) -> None:
    content = copy.deepcopy(CONTENT)
    for path, value in changes:
        _put(content, path, value)
    for fault in _faults(content):
        assert fault.where
        assert fault.expected or fault.remedy
        assert not any(word in str(fault) for word in JARGON)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([("option", 3, "heating"), ("room",), ("price", "electricity"), ()]),
       st.from_regex(r"[a-z]{1,3}[ .]?[0-9]{2}", fullmatch=True))  # fmt: skip
def test_an_unknown_key_anywhere_is_one_fault_at_its_path(path: tuple[Any, ...], key: str) -> None:
    content = copy.deepcopy(CONTENT)
    _put(content, (*path, key), "anything")
    (fault,) = _faults(content)
    assert fault.where.strip('"').endswith(key)
    assert fault.expected.startswith("one of ")
