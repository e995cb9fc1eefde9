"""`energymodel suitability`: the answer first, one table, reasons, and files only where named."""

from __future__ import annotations

import csv
import json
import runpy
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from energymodel.cli.main import app
from energymodel.errors import InputError
from energymodel.scenario.catalogue import catalogue_keys

ROOMS: Any = runpy.run_path(str(Path(__file__).with_name("suitability_rooms.py")))
RUNNER = CliRunner()
TWO = ("--unit", "inverter-cold-climate-9", "--unit", "window-8")


def call(*arguments: object) -> Result:
    return RUNNER.invoke(app, ["suitability", *map(str, arguments)])


@pytest.fixture(scope="module")
def printed() -> str:
    done = call()
    assert done.exit_code == 0, done.output
    return done.output


def test_the_answer_stands_above_the_table_and_the_reasons_below(printed):
    places = [
        printed.index(words)
        for words in (
            "Fits: inverter-cold-climate-9",
            "Version for heating",
            "Version for cooling",
            "Verdict",
            "Why, unit by unit",
            "Order of the list",
            "Nothing here approves an installation",
        )
    ]
    assert places == sorted(places)


def test_it_fits_a_hundred_columns(printed):
    assert max(len(line.rstrip()) for line in printed.splitlines()) <= 100
    assert "\x1b" not in printed
    assert "…" not in printed


def test_every_unit_stands_in_the_table_and_has_its_reason(printed):
    table, why = printed.split("Why, unit by unit")
    for key in catalogue_keys():
        assert key in table
        assert f"{key}: " in " ".join(why.split())


def test_no_word_sells_or_approves(printed):
    text = printed.lower()
    for word in ("up to code", "guaranteed", "pays for itself", "is approved", "is safe", "!"):
        assert word not in text


def test_details_print_every_topic_and_the_defaults_used(printed):
    text = call("--details", *TWO).output
    for topic in ("heat:", "cold spell:", "operating range:", "lowest output:", "supply:", "lines:",
                  "refrigerant:", "cost:"):  # fmt: skip
        assert f"   {topic}" in text
    assert "- indoor humidity while cooling: 50 % (common practice)" in text
    assert "   supply:" not in printed


def test_si_units_are_shown_on_request():
    text = call("--units", "si", *TWO).output
    assert "-9.4 °C" in text
    assert "°F" not in text
    assert "kBtu/h" not in text


def test_json_holds_the_answer_the_order_and_every_reason(tmp_path):
    target = tmp_path / "fit.json"
    assert call("--out", target, *TWO).exit_code == 0
    record = json.loads(target.read_text("utf-8"))
    assert record["answer"][0].startswith("Fits: inverter-cold-climate-9")
    assert record["order"][0] == "gives what the room asks for"
    first, second = record["units"]
    assert (first["unit"], first["verdict"], first["rank"]) == (
        "inverter-cold-climate-9",
        "fits",
        1,
    )
    assert second["heating_design_output_w"] is None
    # 9.5 kBtu/h of the sheet; a balance of 60 degF takes 10 of 55 K of degF off it.
    with_gains = first["heating_sheet_load_w"] * 45.0 / 55.0
    assert first["heating_design_load_w"] == pytest.approx(with_gains, rel=1e-12)
    assert {one["topic"] for one in first["reasons"]} >= {"heat", "supply", "lines", "refrigerant"}
    year = first["years"]["heating"][0]
    assert year["coldest_72_h_begin"] == "3 February"
    assert year["short_h"] == first["heating_short_h"]
    assert {one["limit_c"] for one in record["cooling_load_at_or_below"]} >= {-10.0}


def test_csv_has_one_row_per_unit_with_the_numbers_of_the_json(tmp_path):
    for name in ("fit.csv", "fit.json"):
        assert call("--out", tmp_path / name, *TWO).exit_code == 0
    rows = list(csv.DictReader((tmp_path / "fit.csv").read_text("utf-8").splitlines()))
    units = json.loads((tmp_path / "fit.json").read_text("utf-8"))["units"]
    assert [row["unit"] for row in rows] == [one["unit"] for one in units]
    assert float(rows[0]["cost_per_year"]) == units[0]["cost_per_year"]


def test_a_file_is_replaced_only_on_request_and_nothing_is_left_half_done(tmp_path):
    target = tmp_path / "fit.csv"
    target.write_text("kept", "utf-8")
    done = call("--out", target, *TWO)
    assert isinstance(done.exception, InputError)
    assert target.read_text("utf-8") == "kept"
    assert call("--out", target, "--replace", *TWO).exit_code == 0
    assert target.read_text("utf-8").startswith("rank,")
    assert [path.name for path in tmp_path.iterdir()] == ["fit.csv"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--out", "fit.txt"), "ends in .json or .csv"),
        (("--out", "no/such/folder/fit.csv"), "there is no folder"),
        (("--chart", "fit.pdf"), "ends in .png or .svg"),
        (("--unit", "nothing"), "there is no unit"),
        (("no-such.toml",), "no-such.toml"),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(arguments, words):
    done = call(*arguments)
    assert isinstance(done.exception, InputError)
    assert words in str(done.exception)


def test_a_chart_is_written_where_it_is_named(tmp_path):
    target = tmp_path / "fit.png"
    done = call("--chart", target, *TWO)
    assert done.exit_code == 0, done.output
    assert target.read_bytes().startswith(b"\x89PNG")
    assert "Written:" in done.output


def test_a_room_without_a_cooling_load_has_no_cooling_columns(tmp_path):
    text = ROOMS["place"]("sand-point-ak") + ROOMS["DEMO_ROOM"]
    start, rest = text.split("[room.cooling]")
    text = start + rest[rest.index("[price") :]
    done = call(ROOMS["write"](tmp_path, text), *TWO)
    assert done.exit_code == 0, done.output
    assert "Version for cooling" not in done.output
    assert "Cool" not in done.output.split("Why, unit by unit")[0].split("Verdict")[1]
