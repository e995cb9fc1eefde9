"""`energymodel rate`: one table for each question, inside 100 columns."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from energymodel.cli.rate import rate
from energymodel.errors import EnergyModelError, InputError

THREE_LINES = 'kind = "inverter"\ncapacity = "12 kBtu/h"\nhspf2 = 9.5\nseer2 = 18\n'
CENTRAL = 'kind = "single speed"\ncapacity = "36 kBtu/h"\nhspf2 = 7.5\nseer2 = 14.3\n'
DECLARED = """
kind = "inverter"
name = "Invented split"
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

app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
app.command()(rate)


@pytest.fixture(scope="module")
def plate(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("plates") / "mini.toml"
    path.write_text(THREE_LINES, "utf-8")
    return str(path)


def printed(*arguments: str) -> str:
    result = CliRunner().invoke(app, list(arguments), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    assert max(len(line) for line in result.output.splitlines()) <= 100
    return result.output


def refused(*arguments: str) -> str:
    result = CliRunner().invoke(app, list(arguments))
    assert isinstance(result.exception, EnergyModelError), result.output
    return str(result.exception)


def row(text: str, head: str) -> list[str]:
    line = next(line for line in text.splitlines() if line.startswith(head))
    return line.removeprefix(head).split()


def test_three_lines_are_answered_with_a_map_ratings_and_what_was_guessed(plate: str) -> None:
    text = printed(plate)
    assert text.startswith("Inverter heat pump, 12 kBtu/h class")
    assert row(text, "HSPF2")[3] == "9.50", "region IV is the label's"
    assert row(text, "  low to high")[3:5] == ["as", "label"]
    assert row(text, "95 °F")[1] == "12.0", "given values stand plain, guessed ones with ~"
    assert all(cell.startswith("~") for cell in row(text, "17 °F"))
    assert "HSPF2 9.5 is met with guessed heating powers times" in text
    assert "values from usual ratios" in text
    for word in ("SCOP", "CSPF", "HSPF, maximum load", "EER2"):
        assert word in text


def test_everything_that_was_guessed_is_listed_on_demand(plate: str) -> None:
    text = printed(plate, "--details")
    assert "Guessed and usual values" in text
    assert "heating, minimum, 47 F, COP" in text
    assert "demand-defrost credit inside the heating label: 1.015 (1.00 to 1.03)" in text
    assert "common practice" in text
    assert "Notices" not in printed(plate)


def test_conversions_are_said_without_being_asked(tmp_path: Path) -> None:
    path = tmp_path / "central.toml"
    path.write_text(CENTRAL, "utf-8")
    text = " ".join(printed(str(path)).split())
    assert "HSPF2 7.5 was taken as HSPF 8.82" in text
    assert "0.85 for the class ducted split" in text


def test_a_catalogue_unit_is_rated_by_its_key() -> None:
    text = printed("two-stage-36")
    assert "~" not in text
    assert "nothing was guessed" in text
    assert row(text, "47 °F")[:2] == ["25.2", "35.0"]


def test_the_bins_are_printed_on_demand(plate: str) -> None:
    text = printed(plate, "--bins")
    assert "HSPF2 9.50, IV" in text
    assert "SEER2 18.00" in text
    assert row(text, "  32 °F")[0] == "16.6", "0.126 of the season's 0.757 with a load"
    assert "cycles" in text
    assert "stopped" in text, "below the usual cut-out at -4 F"


def test_the_bins_of_a_european_declaration_are_european(tmp_path: Path) -> None:
    path = tmp_path / "declared.toml"
    path.write_text(DECLARED, "utf-8")
    text = printed(str(path), "--bins", "--units", "si")
    assert "SCOPon" in text
    assert "  -10.0 °C" in text
    assert "HSPF2" not in text


def test_the_steps_to_a_place_add_up_as_printed(plate: str) -> None:
    text = printed(plate, "--place", "newark-nj-2013", "--design-load", "9.5 kBtu/h")
    answer = text.splitlines()[0]
    assert answer.startswith("Heating COP about")
    assert "Newark, New Jersey" in answer
    assert "the label says 2.8" in answer
    start = float(row(text, "label")[5])
    end, total = (float(cell) for cell in row(text, "site")[-3:-1])
    assert start + total == pytest.approx(end, abs=0.0011)
    assert "HSPF2, region IV: 9.50 Btu/Wh" in text
    assert "another order gives other shares" in text
    assert "Ducts are not in it" in text


def test_a_computed_rating_is_not_called_a_label() -> None:
    text = printed("single-speed-36", "--place", "newark-nj-2013", "--function", "cooling")
    assert "the rating says" in text
    assert row(text, "rating")[:2] == ["SEER2:", "14.5"]
    assert "Backup" not in text
    assert "cooling" in text.splitlines()[0].lower()


def test_a_chart_of_the_steps_is_written_once(plate: str, tmp_path: Path) -> None:
    place = (plate, "--place", "newark-nj-2013", "--chart")
    picture = tmp_path / "steps.svg"
    assert f"Written: {picture}" in printed(*place, str(picture)).replace("\n", "")
    content = picture.read_text("utf-8")
    assert content.startswith("<?xml")
    assert "exists" in refused(*place, str(picture))
    printed(*place, str(picture), "--replace")
    assert picture.read_text("utf-8") == content, "the same chart gives the same file"
    assert [path.name for path in tmp_path.iterdir()] == ["steps.svg"]
    assert ".png or .svg" in refused(*place, str(tmp_path / "steps.pdf"))
    assert "there is no folder" in refused(*place, str(tmp_path / "no" / "steps.svg"))


def test_options_of_a_place_without_a_place_are_refused(plate: str) -> None:
    assert "--design-load stands without --place" in refused(plate, "--design-load", "9 kBtu/h")
    assert "two questions" in refused(plate, "--bins", "--place", "newark-nj-2013")
    said = refused(plate, "--place", "newark-nj-2013", "--balance", "60 degF")
    assert "--balance stands without --design-load" in said
    assert "9.5" in refused(plate, "--place", "newark-nj-2013", "--design-load", "9.5")


def test_a_missing_file_says_what_would_do() -> None:
    said = refused("nothing.toml")
    assert "there is no such file" in said
    assert 'capacity = "12 kBtu/h"' in said


def test_an_impossible_in_service_factor_is_refused(plate: str) -> None:
    said = refused(plate, "--place", "newark-nj-2013", "--in-service", "0.1")
    assert "in-service factor" in said


def test_the_command_is_known_by_its_docstring() -> None:
    assert rate.__doc__ is not None
    with pytest.raises(InputError):
        rate("nothing.toml")


LOAD = ("--design-load", "9 kBtu/h")
NEWARK = ("inverter-standard-9", "--place", "newark-nj-2013")


@pytest.mark.parametrize(
    ("arguments", "option"),
    [
        (("--indoor", "400 degF"), "--indoor"),
        (("--indoor", "20 degF"), "--indoor"),
        (("--design-load", "-9 kBtu/h"), "--design-load"),
        (("--design-load", "0 kBtu/h"), "--design-load"),
        (("--design-load", "9e30 kBtu/h"), "--design-load"),
        ((*LOAD, "--design-temperature", "-400 degF"), "--design-temperature"),
        ((*LOAD, "--balance", "10 degF"), "--balance"),
        ((*LOAD, "--balance", "500 degC"), "--balance"),
        (("--function", "cooling", *LOAD, "--balance", "99 degF"), "--balance"),
        (("--in-service", "90"), "--in-service"),
        (("--in-service", "nan"), "--in-service"),
    ],
)  # fmt: skip
def test_what_no_site_has_is_refused_with_its_option(
    arguments: tuple[str, ...], option: str
) -> None:
    said = refused(*NEWARK, *arguments)
    assert said.startswith(f"{option}: ")
    assert "  expected: " in said
    assert "  what to do: " in said


def test_a_function_that_a_unit_lacks_names_the_one_it_has() -> None:
    said = refused("window-8", "--place", "newark-nj-2013")
    assert "does not serve heating" in said
    assert "this one serves cooling" in said
    assert "--function cooling" in said


def test_a_file_that_is_no_text_is_said_to_be_none(tmp_path: Path) -> None:
    path = tmp_path / "bin.toml"
    path.write_bytes(bytes([0xEE, 0x01, 0xFF, 0x00]))
    said = refused(str(path))
    assert "not a text in UTF-8" in said
    assert "codec" not in said
    path.write_text("capacity = = 3", "utf-8")
    assert "line 1" in refused(str(path))


def test_a_scenario_is_not_taken_for_a_unit(tmp_path: Path) -> None:
    path = tmp_path / "room.toml"
    path.write_text('[room]\nname = "Room"\n[[option]]\nname = "Heater"\n', "utf-8")
    said = refused(str(path))
    assert "this is a scenario with options, not a unit" in said
    assert "energymodel compare room.toml" in said
