"""`energymodel uncertainty`: spread, chances and reasons inside 100 columns, and its files."""

from __future__ import annotations

import csv
import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from energymodel.cli.uncertainty import uncertainty
from energymodel.errors import EnergyModelError, InputError
from energymodel.report.uncertainty.files import spread_csv, spread_json
from energymodel.report.uncertainty.table import influence_table, print_uncertainty
from energymodel.report.uncertainty.words import (
    answer_lines,
    best_option,
    chance,
    chance_words,
)
from energymodel.study.uncertainty.result import Quantiles, UncertaintyResult
from energymodel.study.uncertainty.uncertainty import uncertainty as run

ROOM = """
title = "A small room"
currency = "NOK"
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "20 degC", cooling = "24 degC" }
[room.heating]
ua = "90 W/K"
design_temperature = "-9 degC"
balance_temperature = "16 degC"
[price.electricity]
energy = 1.50
per = "kWh"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Small heater"
heating = { kind = "electric resistance", capacity = "0.9 kW" }
installed_cost = 500
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-cold-climate-12" }
installed_cost = 30000
[ranges]
payback_within = 9
"""
app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
app.command()(uncertainty)


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("scenario") / "room.toml"
    file.write_text(ROOM, "utf-8")
    return file


@pytest.fixture(scope="module")
def result(room: Path) -> UncertaintyResult:
    return run(room, draws=512)


def printed(*arguments: object) -> str:
    done = CliRunner().invoke(app, [str(one) for one in arguments], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    assert max(len(line) for line in done.output.splitlines()) <= 100
    assert "\x1b" not in done.output
    return done.output


def refused(*arguments: object) -> str:
    done = CliRunner().invoke(app, [str(one) for one in arguments])
    assert isinstance(done.exception, EnergyModelError), done.output
    return str(done.exception)


def test_the_command_prints_spread_chances_and_reasons(
    room: Path, result: UncertaintyResult
) -> None:
    text = " ".join(printed(room, "--draws", 512).split())
    assert "512 draws, seed 1" in text
    inverter = result.option("Inverter")
    amounts = [round(inverter.cost.p10), round(inverter.cost.p50), round(inverter.cost.p90)]
    assert " ".join(f"{amount:,}" for amount in amounts) in text
    assert "In 8 of 10 draws Inverter costs between" in text
    assert "Chance that it is paid back within 9 years: about" in text
    assert "What moves the yearly saving" in text
    # 1 K is 1.8 degF (exact): the scenario speaks of Fahrenheit
    assert "One weather year: its spread is assumed, -1.8 to +1.8 °F" in text
    assert "Estimate, not a quotation or guarantee" in text


def test_a_small_heater_is_short_of_the_load_and_never_the_lowest(
    room: Path, result: UncertaintyResult
) -> None:
    small = result.option("Small heater")
    assert small.short_share == 1.0
    assert small.lowest_share == 0.0
    assert small.saving is not None  # it costs less because it heats less: no saving to print
    row = next(line for line in printed(room, "--draws", 512).splitlines() if "Small" in line)
    assert len(row.removeprefix("Small heater").split()) == 5
    best = best_option(result)
    assert best is not None
    assert best.name == "Inverter"


def test_years_and_seed_can_be_chosen(room: Path) -> None:
    text = printed(room, "--draws", 256, "--seed", 5, "--within", 12)
    assert "seed 5" in text
    assert "Within" in text
    assert "12 yr" in text


def test_details_rank_every_option_and_list_what_was_assumed(
    result: UncertaintyResult, capsys: pytest.CaptureFixture[str]
) -> None:
    print_uncertainty(result, details=True)
    text = capsys.readouterr().out
    assert max(len(line) for line in text.splitlines()) <= 100
    for one in result.options:
        assert f"{one.name}: share of the spread by input" in text
    joined = " ".join(text.split())
    for entry in (*result.defaults, *result.notices):
        assert " ".join(str(entry).split()) in joined


def test_no_promise_is_made(result: UncertaintyResult, capsys: pytest.CaptureFixture[str]) -> None:
    # Wording after the US Federal Trade Commission's guidance of 2012 on energy claims (published).
    print_uncertainty(result, details=True)
    text = capsys.readouterr().out.lower()
    for promise in ("up to $", "guaranteed", "pays for itself", "!"):
        assert promise not in text


def test_the_influences_fall_from_the_strongest_and_leave_out_those_without_a_part(
    result: UncertaintyResult,
) -> None:
    spread = result.option("Inverter")
    totals = [one.total for one in spread.influences]
    assert totals == sorted(totals, reverse=True)
    assert influence_table(spread, result).row_count == sum(total >= 0.005 for total in totals)


def test_words_follow_the_sign_of_the_saving(result: UncertaintyResult) -> None:
    best = best_option(result)
    assert best is not None
    for saving, words in (
        (Quantiles(p10=100.0, p50=200.0, p90=300.0), "and saves between 100 NOK and 300 NOK"),
        (Quantiles(p10=-300.0, p50=-200.0, p90=-100.0), "between 100 NOK and 300 NOK more than"),
        (Quantiles(p10=-150.0, p50=0.0, p90=220.0), "from 150 NOK more to 220 NOK less than"),
    ):
        others = tuple(
            replace(one, saving=saving) if one is best else one for one in result.options
        )
        assert words in answer_lines(replace(result, options=others))[0]


def test_at_most_six_lines_stand_under_the_tables(result: UncertaintyResult) -> None:
    assert len(answer_lines(result, [Path("x.csv")])) <= 6


def test_a_chance_is_never_rounded_to_certainty() -> None:
    assert [chance(share) for share in (0.0, 0.0001, 0.5, 0.9999, 1.0)] == [
        "0%", "<1%", "50%", ">99%", "100%",
    ]  # fmt: skip


def test_the_csv_holds_one_row_per_option_with_full_numbers(result: UncertaintyResult) -> None:
    rows = list(csv.DictReader(spread_csv(result).splitlines()))
    assert [row["option"] for row in rows] == [one.name for one in result.options]
    for row, one in zip(rows, result.options, strict=True):
        assert float(row["yearly_cost_p90"]) == one.cost.p90
        never = one.payback is None or math.isinf(one.payback.years.p90)
        assert (row["simple_payback_years_p90"] == "") == never


def test_the_json_is_strict_and_says_never_in_words(result: UncertaintyResult) -> None:
    record = json.loads(spread_json(result), parse_constant=pytest.fail)
    options = {one["name"]: one for one in record["options"]}
    assert options["Baseboard"]["yearly_saving"] is None
    small = options["Small heater"]["simple_payback_years"]
    assert set(small) == {"p10", "p50", "p90"}
    assert record["kind"] == "estimate, not a quotation or guarantee"
    assert record["draws"] == 512
    infinite = Quantiles(p10=3.0, p50=math.inf, p90=math.inf)
    inverter = result.option("Inverter")
    assert inverter.payback is not None
    changed = replace(inverter, payback=replace(inverter.payback, years=infinite))
    text = spread_json(replace(result, options=(changed,)))
    assert json.loads(text)["options"][0]["simple_payback_years"]["p90"] == "never"


def test_files_are_written_only_where_named_and_replaced_only_when_told(
    room: Path, tmp_path: Path
) -> None:
    target = tmp_path / "spread.json"
    assert "Written: spread.json" in printed(room, "--draws", 256, "--out", target)
    assert list(tmp_path.iterdir()) == [target]
    before = target.read_bytes()
    assert "this file exists" in refused(room, "--draws", 256, "--out", target)
    assert target.read_bytes() == before
    printed(room, "--draws", 256, "--seed", 2, "--out", target, "--replace")
    assert target.read_bytes() != before
    assert "ends in .json or .csv" in refused(room, "--out", tmp_path / "spread.txt")
    assert "there is no folder" in refused(room, "--out", tmp_path / "none" / "spread.csv")


def test_a_scenario_in_si_units_has_its_shift_in_kelvin(room: Path, tmp_path: Path) -> None:
    file = tmp_path / "room.toml"
    file.write_text('units = "si"\n' + room.read_text("utf-8"), "utf-8")
    text = printed(file, "--draws", 256)
    assert "-1.0 to +1.0 K" in text
    assert "°F" not in text


def test_a_chance_in_a_sentence_is_not_about_over_it(result: UncertaintyResult) -> None:
    text = " ".join(answer_lines(result))
    assert not re.search(r"about (over|under|<|>)", text)
    assert re.search(r"within 9 years: (about \d+|over 99|under 1|0|100) %", text)
    assert [chance_words(share) for share in (0.0, 0.0001, 0.352, 0.9999, 1.0)] == [
        "0 %", "under 1 %", "about 35 %", "over 99 %", "100 %",
    ]  # fmt: skip


@pytest.mark.parametrize("years", ["nan", "inf", "0", "-3", "200"])
def test_years_that_cannot_be_name_the_option_and_what_it_takes(room: Path, years: str) -> None:
    message = refused(room, "--within", years)
    assert message.startswith(f"--within: {years} years")
    assert "0.1 to 100 years" in message
    assert "what to do:" in message


def test_an_option_that_serves_no_worse_than_what_is_there_has_its_saving_printed(
    room: Path, tmp_path: Path
) -> None:
    file = tmp_path / "room.toml"
    small = 'heating = { kind = "electric resistance" }'
    text = room.read_text("utf-8").replace(small, small.replace(" }", ', capacity = "0.9 kW" }'), 1)
    file.write_text(text, "utf-8")
    lines = printed(file, "--draws", 256).splitlines()
    row = next(line for line in lines if line.startswith("Small heater"))
    assert len(row.removeprefix("Small heater").split()) == 12  # three times three, three shares


def test_without_a_cost_of_installation_no_payback_is_told(room: Path, tmp_path: Path) -> None:
    file = tmp_path / "room.toml"
    file.write_text(room.read_text("utf-8").replace("installed_cost = 30000\n", ""), "utf-8")
    found = run(file, draws=256).option("Inverter")
    assert found.saving is not None
    assert found.payback is None


def test_draws_that_cannot_be_are_refused_before_any_work(room: Path) -> None:
    assert "256 to 262,144" in refused(room, "--draws", 10)
    with pytest.raises(InputError):
        run(room, draws=10)
