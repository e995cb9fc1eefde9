"""Languages of the customer's page: the same keys everywhere, honest words, a file of one's own."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from energymodel.datafiles import shipped_folder
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.report.handout.handout import make_sheet, page_data
from energymodel.report.handout.language import languages, places, read_language
from energymodel.report.handout.numbers import Figures
from energymodel.report.handout.sheet import HandoutSettings
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare

FOLDER = shipped_folder("data") / "handout"
# US Federal Trade Commission, "Make your claims crystal clear" (2012): "up to" needs that nearly
# all buyers reach it; nothing is promised
FORBIDDEN = (
    "up to", "guaranteed", "pays for itself", "!", "hasta", "garantizad", "se paga sol", "¡",
)  # fmt: skip


def table(code: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / f"{code}.toml").read_text("utf-8"))


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from leaves(item, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from leaves(item, f"{path}[{number}]")
    else:
        yield path, value


def test_every_shipped_language_has_the_same_keys_and_places_to_fill() -> None:
    assert set(languages()) >= {"en", "es"}
    english = dict(leaves(table("en")))
    for code in languages():
        other = dict(leaves(table(code)))
        assert other.keys() == english.keys()
        assert {key: places(text) for key, text in other.items()} == {
            key: places(text) for key, text in english.items()
        }
        assert other["format.lang"] == code


@pytest.mark.parametrize("code", languages())
def test_no_language_promises_or_flatters(code: str) -> None:
    for key, text in leaves(table(code)):
        for word in FORBIDDEN:
            assert word not in text.lower(), (key, word)


@pytest.mark.parametrize("code", [code for code in languages() if code != "en"])
def test_every_text_but_formats_and_units_is_translated(code: str) -> None:
    english = dict(leaves(table("en")))
    same = [key for key, text in leaves(table(code)) if text == english[key]]
    allowed = ("format.", "sold_by.", "answer.unit_si", "flips.change", "defaults.entry")
    assert [key for key in same if not key.startswith(allowed)] == []


def test_every_text_is_used_somewhere() -> None:
    package = Path(__file__).resolve().parents[1] / "energymodel" / "report" / "handout"
    if not package.is_dir():
        pytest.skip("not a checkout: the package is installed")
    code = "\n".join(path.read_text("utf-8") for path in package.glob("*.py"))
    code += "\n".join(path.read_text("utf-8") for path in FOLDER.glob("*.typ"))
    unused = []
    for key, _ in leaves(table("en")):
        group, _, name = key.split("[")[0].partition(".")
        # some names are put together, as in f"options.part_{part}"
        parts = [name[: k + 1] for k, letter in enumerate(name) if letter == "_"]
        whole = re.search(rf"\b{re.escape(name)}\b", code)
        joined = any(re.search(rf"\b{re.escape(one)}\{{", code) for one in parts)
        if not whole and not joined and group not in ("carriers", "sold_by", "services"):
            unused.append(key)
    assert unused == []


def own_words(folder: Path, *changes: tuple[str, str]) -> Path:
    text = (FOLDER / "en.toml").read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    file = folder / "mine.toml"
    file.write_text(text, "utf-8")
    return file


def test_a_language_of_ones_own_sets_marks_dates_and_words(tmp_path: Path) -> None:
    file = own_words(
        tmp_path,
        ('decimal = "."', 'decimal = ","'),
        ('thousands = ","', 'thousands = "."'),
        ('money = "{sign}{number}"', 'money = "{number} {sign}"'),
        ('date = "{month} {day}, {year}"', 'date = "{day}. {month} {year}"'),
        ('head = "The question"', 'head = "Die Frage"'),
        ('lang = "en"', 'lang = "de"'),
    )
    words = read_language(str(file), Path())
    figures = Figures(formats=words.formats, currency="EUR", us=False)
    assert figures.money(1234.5, 1) == "1.234,5 €"
    assert figures.temperature(-9.44) == "\u22129,4\u00a0°C"
    assert words.day(date(2026, 11, 24)) == "24. November 2026"
    settings = HandoutSettings(language=str(file), day=date(2026, 11, 24))
    data = page_data(make_sheet(compare(), us=False, settings=settings))
    assert (data["lang"], data["question"]["head"]) == ("de", "Die Frage")
    assert "3,0\u00a0%" in data["buy"]["words"]


def test_a_language_file_of_a_scenario_lies_beside_it(tmp_path: Path) -> None:
    own_words(tmp_path, ('head = "The answer"', 'head = "In short"'))
    scenario = tmp_path / "room.toml"
    demo = (shipped_folder("data") / "scenarios" / "demo.toml").read_text("utf-8")
    scenario.write_text(demo + '\n[handout]\nlanguage = "mine.toml"\n', "utf-8")
    data = page_data(make_sheet(compare(scenario), us=True, settings=HandoutSettings()))
    assert data["answer"]["head"] == "In short"


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('nobody = "No option', 'nobodi = "No option', "answer.nobody is missing"),
        (
            '[sources]\nhead = "Sources"',
            '[sources]\nhaed = 1\nhead = "S"',
            "sources.haed is not known",
        ),
        ("{low} and {high} less", "{low} and {hihg} less", "has other places to fill"),
        ("{low} and {high} less", "{low} and {high.__class__} less", "has other places to fill"),
        ("{low} and {high} less", "{low} and {high less", "has other places to fill"),
        ('["Refrigerant work: a certified technician."]', '"one text"', "another kind of value"),
        ('"November", "December"]', '"November"]', "format.months cannot be used"),
        ("[notes]", "[nots]", "table [notes] is missing"),
    ],
)
def test_a_faulty_language_file_is_refused_with_the_key(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    file = own_words(tmp_path, (old, new))
    with pytest.raises(ManyFaultsError) as caught:
        read_language(str(file), Path())
    assert message in str(caught.value)
    assert "mine.toml" in str(caught.value)


def test_an_unknown_language_names_the_known_ones(tmp_path: Path) -> None:
    with pytest.raises(InputError, match='"xx"') as caught:
        read_language("xx", tmp_path)
    assert "en, es" in str(caught.value)
    with pytest.raises(InputError, match="no such file"):
        read_language("absent.toml", tmp_path)


@pytest.mark.parametrize(
    "line",
    ['language = "English"', f'prepared_for = "{"x" * 81}"', 'paper = "legal"', 'dat = 2026-01-01',
     'date = "today"', f'question = "{"x" * 201}"'],
)  # fmt: skip
def test_a_faulty_table_is_refused_with_its_place(tmp_path: Path, line: str) -> None:
    file = tmp_path / "room.toml"
    demo = (shipped_folder("data") / "scenarios" / "demo.toml").read_text("utf-8")
    file.write_text(f"{demo}\n[handout]\n{line}\n", "utf-8")
    with pytest.raises(EnergyModelError) as caught:
        read_scenario(file)
    assert f"handout.{line.split(maxsplit=1)[0]}" in str(caught.value)
