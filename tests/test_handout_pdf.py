"""The customer's page as a file: two pages, tagged, fonts inside, hostile text printed as typed."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject

from energymodel.datafiles import shipped_folder
from energymodel.errors import EnergyModelError, InputError
from energymodel.report.handout import handout
from energymodel.report.handout import typst as handout_typst
from energymodel.report.handout.glyphs import REPLACEMENT, missing_characters, printable
from energymodel.report.handout.handout import write_handout
from energymodel.report.handout.sheet import HandoutSettings
from energymodel.report.handout.typst import FAMILY, pages_as_svg
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison

DAY = date(2026, 11, 24)
DATA = shipped_folder("data")
HEAD = """
[place]
weather = "greensboro-nc"
[room]
name = '{room}'
indoor = {{ heating = "70 degF", cooling = "75 degF" }}
[room.heating]
design_load = "9.5 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[room.cooling]
design_load = "7 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
[price.electricity]
energy = 0.14
per = "kWh"
source = '{source}'
"""
OPTIONS = """
[[option]]
name = '{first}'
present = true
heating = {{ kind = "electric resistance" }}
[[option]]
name = '{second}'
installed_cost = 3600
heating = {{ kind = "heat pump", unit = "inverter-standard-12" }}
cooling = {{ kind = "heat pump", unit = "inverter-standard-12" }}
"""
HOSTILE = (
    "#let x = 1", r"\ back \u{41}", "$100 $ $x^2$", "@ref <label>", "<b>bold</b>", "*a* _b_ `c`",
    "= head", "- item", "// gone? /* no */", "[link](x)", '"quoted" {x} {0}', "~ -- ... ---",
)  # fmt: skip


def run(folder: Path, title: str, **names: str) -> Comparison:
    file = folder / "room.toml"
    values = {"room": "Room", "source": "bill", "first": "Baseboard", "second": "Inverter"} | names
    text = f"title = '{title}'\n" + (HEAD + OPTIONS).format(**values)
    file.write_text(text, "utf-8")
    return compare(file)


def written(comparison: Comparison, folder: Path, **settings: Any) -> PdfReader:
    us = settings.pop("us", True)
    chosen = HandoutSettings(day=DAY, **settings)
    write_handout(comparison, folder / "page.pdf", us=us, replace=True, settings=chosen)
    return PdfReader(folder / "page.pdf")


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


@pytest.fixture(scope="module")
def reader(demo: Comparison, tmp_path_factory: pytest.TempPathFactory) -> PdfReader:
    return written(demo, tmp_path_factory.mktemp("page"), prepared_by="A. Person")


# US letter: 8.5 x 11 in (ANSI Y14.1); A4: 210 x 297 mm (ISO 216)
SIZES = {"us-letter": (612.0, 792.0), "a4": (595.28, 841.89)}


@pytest.mark.parametrize("paper", list(SIZES))
@pytest.mark.parametrize("language", ["en", "es"])
def test_demo_and_page_sizes(demo: Comparison, tmp_path: Path, paper: str, language: str) -> None:
    pages = written(demo, tmp_path, paper=paper, language=language, us=paper != "a4").pages
    assert len(pages) == 2
    for page in pages:
        size = (float(page.mediabox.width), float(page.mediabox.height))
        assert size == pytest.approx(SIZES[paper], abs=0.01)


def crowded(folder: Path) -> Comparison:
    """Eight options and more, every text as long as it may be."""
    words = "a very long name with everything that one could write about it in one line"
    note = "a remark of many words that nobody would otherwise know, and then some more of them"
    prices = "".join(
        f'[price.{carrier}]\nenergy = 2.5\nper = "{unit}"\nfixed = "12 per month"\n'
        f'source = "{note}"\ndate = "read on the first of November 2026, in the evening"\n'
        for carrier, unit in (
            ("propane", "gallon"),
            ("kerosene", "gallon"),
            ("natural_gas", "therm"),
        )
    )
    burners = "".join(
        f'[[option]]\nname = "Heater {fuel}, {words}"\ninstalled_cost = 900\nnote = "{note}"\n'
        f'heating = {{ kind = "room heater", fuel = "{fuel}", afue = 0.8 }}\n'
        for fuel in ("propane", "kerosene", "natural gas")
    )
    pumps = "".join(
        f'[[option]]\nname = "Pump {number}, {words}"\ninstalled_cost = 3{number}00\n'
        f'note = "{note}"\nheating = {{ kind = "heat pump", unit = "inverter-standard-12" }}\n'
        f'incentives = [{{ name = "{words}", amount = 4, source = "{note}",'
        " as_of = 2026-02-01 }]\n"
        f'replaced_anyway = {{ name = "{words}", cost = 500, year = 3 }}\n'
        for number in range(7)
    )
    table = (
        f'[handout]\nprepared_for = "{"w" * 80}"\nprepared_by = "{"W" * 80}"\n'
        f'question = "{"why " * 50}"\nserves = "{"all " * 50}"\nload_source = "{"so " * 60}"\n'
    )
    file = folder / "crowded.toml"
    values = {"room": "W" * 90, "source": note, "first": f"Old {words}", "second": "W" * 90}
    text = f"title = '{words} {words}'\n" + (HEAD + OPTIONS).format(**values)
    file.write_text(text + prices + burners + pumps + table, "utf-8")
    return compare(file)


@pytest.mark.parametrize(
    ("paper", "language"),
    [
        ("us-letter", "es"),
        pytest.param("us-letter", "en", marks=pytest.mark.slow),
        pytest.param("a4", "en", marks=pytest.mark.slow),
        pytest.param("a4", "es", marks=pytest.mark.slow),
    ],
)
def test_it_stays_two_pages_however_much_there_is_to_say(
    tmp_path: Path, paper: str, language: str
) -> None:
    comparison = crowded(tmp_path)
    assert len(comparison.outcomes) == 12
    reader = written(comparison, tmp_path, paper=paper, language=language)
    assert len(reader.pages) == 2
    assert "4 m" in text_of(reader)  # "and 4 more", "y 4 más": four options have no place


def test_a_house_of_seven_options_and_a_bare_room_both_fill_two_pages(tmp_path: Path) -> None:
    house = compare(DATA / "scenarios" / "house.toml")
    assert len(written(house, tmp_path).pages) == 2
    assert len(written(run(tmp_path, ""), tmp_path).pages) == 2


def fonts(value: Any, seen: set[int]) -> Iterator[DictionaryObject]:
    value = value.get_object()
    if id(value) in seen:
        return
    seen.add(id(value))
    if isinstance(value, DictionaryObject):
        if value.get("/Type") == "/Font":
            yield value
        for key, item in value.items():
            if key not in ("/Parent", "/StructTreeRoot", "/StructParents"):
                yield from fonts(item, seen)
    elif isinstance(value, ArrayObject):
        for item in value:
            yield from fonts(item, seen)


def test_every_font_is_embedded_and_of_one_family(reader: PdfReader) -> None:
    found = [
        font
        for page in reader.pages
        for font in fonts(page["/Resources"], set())
        if "/DescendantFonts" not in font
    ]
    assert len(found) >= 3  # upright, bold, italic
    for font in found:
        descriptor = font["/FontDescriptor"]
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor)
        assert "LibertinusSerif" in descriptor["/FontName"]


def structure(element: Any) -> Iterator[DictionaryObject]:
    element = element.get_object()
    if isinstance(element, ArrayObject):
        for item in element:
            yield from structure(item)
    elif isinstance(element, DictionaryObject):
        yield element
        if "/K" in element:
            yield from structure(element["/K"])


def test_it_is_tagged_titled_and_says_its_language(reader: PdfReader) -> None:
    # ISO 14289-1 (PDF/UA-1), 5 and 7: identifier, Marked, title shown, language (from memory)
    catalog = reader.root_object
    assert catalog["/MarkInfo"]["/Marked"]
    assert catalog["/ViewerPreferences"]["/DisplayDocTitle"]
    assert catalog["/Lang"] == "en"
    assert re.search(rb"pdfuaid:part[^1]{0,3}1", catalog["/Metadata"].get_data())
    assert reader.metadata is not None
    assert reader.metadata.title == compare().model.scenario.content.title
    assert reader.metadata.author == "A. Person"
    assert reader.metadata.creation_date is not None
    assert reader.metadata.creation_date.date() == DAY


def test_charts_have_an_alternative_text_and_tables_their_heads(reader: PdfReader) -> None:
    elements = list(structure(reader.root_object["/StructTreeRoot"]["/K"]))
    kinds = [str(element.get("/S")) for element in elements]
    assert kinds.count("/H1") == 1
    assert kinds.count("/H2") >= 10
    assert kinds.count("/TH") >= 20
    alternatives = [str(element["/Alt"]) for element in elements if "/Alt" in element]
    bars = next(text for text in alternatives if text.startswith("Bars of the likely yearly cost"))
    assert all(outcome.name in bars for outcome in compare().outcomes)
    assert any("against outdoor temperature" in text for text in alternatives)


def test_hostile_names_are_printed_as_typed_wherever_they_stand(tmp_path: Path) -> None:
    title, room, source = " ".join(HOSTILE[:3]), HOSTILE[4], HOSTILE[3]
    first, second = " ".join(HOSTILE[5:8]), " ".join(HOSTILE[8:10])
    comparison = run(tmp_path, title, room=room, source=source, first=first, second=second)
    found = text_of(
        written(comparison, tmp_path, prepared_for=HOSTILE[10], prepared_by=HOSTILE[11])
    )
    for text in (title, room, source, first, second, HOSTILE[10], HOSTILE[11]):
        assert " ".join(text.split()) in found


def test_a_character_without_a_sign_is_marked_and_told(tmp_path: Path) -> None:
    comparison = run(tmp_path, "Fire \U0001f525 and \u4e2d", first="Dr. \u0416 \u0645\u202e x")
    notices = write_handout(
        comparison, tmp_path / "page.pdf", us=True, replace=True, settings=HandoutSettings(day=DAY)
    )
    assert [note.topic for note in notices] == ["characters"]
    for code in ("U+1F525 (fire)", "U+4E2D", "U+202E (right-to-left override)"):
        assert code in notices[0].text
    assert "U+0416" not in notices[0].text  # the family has Cyrillic letters
    assert f"Fire {REPLACEMENT} and {REPLACEMENT}" in text_of(PdfReader(tmp_path / "page.pdf"))


def test_marks_above_letters_are_composed_and_need_no_notice() -> None:
    data, notices = printable({"name": "Jose\u0301", "list": ["a", {"b": ["\u00e9"]}]})
    assert data == {"name": "Jos\u00e9", "list": ["a", {"b": ["\u00e9"]}]}
    assert notices == ()


def test_latin_letters_are_all_in_the_family_itself() -> None:
    letters = [chr(code) for code in (*range(0x21, 0x7F), *range(0xA1, 0x180)) if code != 0xAD]
    source = (
        "#set page(width: auto, height: auto, margin: 1pt)\n"
        f'#set text(font: "{FAMILY}", fallback: false)\n'
        "#for one in json(bytes(sys.inputs.data)) { page(text(one)) }"
    )
    from json import dumps

    nothing, *pages = pages_as_svg(source.encode(), dumps(["\U0010fffe", *letters]))
    lost = [one for one, page in zip(letters, pages, strict=True) if page == nothing]
    assert [one for one in lost if one != "\u0149"] == []  # U+0149 is deprecated (Unicode)


def test_control_and_private_characters_are_missing_and_spaces_are_not() -> None:
    assert missing_characters({"\x07", "\ue000", "\u200b", " ", "\u00a0", "\u202f", "\n"}) == [
        "\x07", "\u200b", "\ue000",
    ]  # fmt: skip


def test_equal_input_gives_an_equal_file(demo: Comparison, tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        settings = HandoutSettings(day=DAY)
        write_handout(demo, tmp_path / name, us=True, replace=False, settings=settings)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_a_file_is_never_replaced_unasked_and_never_half_written(
    demo: Comparison, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "page.pdf"
    file.write_bytes(b"old")
    with pytest.raises(InputError, match="exists"):
        write_handout(demo, file, us=True, replace=False)

    def broken(data: object) -> bytes:
        raise EnergyModelError("the page cannot be set")

    monkeypatch.setattr(handout, "page_as_pdf", broken)
    with pytest.raises(EnergyModelError, match="cannot be set"):
        write_handout(demo, file, us=True, replace=True)
    assert file.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["page.pdf"]


@pytest.mark.parametrize(
    ("name", "message"),
    [("page.txt", "ends in .pdf"), ("none/page.pdf", "no folder"), ("d.pdf", "folder")],
)
def test_a_path_that_cannot_be_written_is_refused_before_the_work(
    demo: Comparison, tmp_path: Path, name: str, message: str
) -> None:
    (tmp_path / "d.pdf").mkdir()
    with pytest.raises(InputError, match=message):
        write_handout(demo, tmp_path / name, us=True, replace=True)


def test_a_fault_of_the_typesetter_is_one_of_ours() -> None:
    with pytest.raises(EnergyModelError, match="the page cannot be set"):
        handout_typst.page_as_pdf({"lang": "en"})


def test_the_template_asks_for_no_package_and_no_file_outside() -> None:
    for path in (DATA / "handout").glob("*.typ"):
        text = path.read_text("utf-8")
        assert "@preview" not in text
        assert "read(" not in text
        assert set(re.findall(r'#import "([^"]+)"', text)) <= {
            "style.typ", "first.typ", "second.typ", "chart.typ",
        }  # fmt: skip


def test_making_a_page_imports_none_of_the_charting_and_weather_libraries(tmp_path: Path) -> None:
    code = (
        "import sys; from energymodel.study.comparison.compare import compare;"
        "from energymodel.report.handout.handout import write_handout;"
        f"write_handout(compare(), {str(tmp_path / 'page.pdf')!r}, us=True, replace=False);"
        "print(sorted({name.split('.')[0] for name in sys.modules}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    for name in ("matplotlib", "pvlib", "meteostat", "holidays", "requests"):
        assert f"'{name}'" not in done.stdout


@pytest.mark.slow
def test_it_works_with_the_network_cut(tmp_path: Path) -> None:
    cut = shutil.which("unshare")
    quiet = [cut or "unshare", "-rn"]
    if cut is None or subprocess.run([*quiet, "true"], check=False, capture_output=True).returncode:
        pytest.skip("unshare cannot cut the network here")
    code = (
        "from energymodel.study.comparison.compare import compare;"
        "from energymodel.report.handout.handout import write_handout;"
        f"write_handout(compare(), {str(tmp_path / 'page.pdf')!r}, us=True, replace=False)"
    )
    command = [*quiet, sys.executable, "-c", code]
    subprocess.run(command, check=True, env=os.environ | {"HOME": str(tmp_path)})
    assert len(PdfReader(tmp_path / "page.pdf").pages) == 2
