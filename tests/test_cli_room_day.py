"""`energymodel room-day`: three days, a schedule, files."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from energymodel.cli.room_day import room_day
from energymodel.errors import EnergyModelError

app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
app.command()(room_day)
DAYS = ("mild", "typical", "coldest")
PLAIN = "Electric baseboard"


def printed(*arguments: str) -> str:
    result = CliRunner().invoke(app, list(arguments), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    assert max(len(line) for line in result.output.splitlines()) <= 100
    return result.output


def refused(*arguments: str) -> str:
    result = CliRunner().invoke(app, list(arguments))
    assert isinstance(result.exception, EnergyModelError), result.output
    return str(result.exception)


def _rows(text: str, head: str) -> list[list[str]]:
    lines = [line for line in text.splitlines() if line.startswith(f"  {head}")]
    return [line.removeprefix(f"  {head}").split() for line in lines]


def test_three_days_stand_in_one_table_and_the_answer_under_it() -> None:
    text = printed()
    for day in DAYS:
        assert f"\n{day.capitalize()}, " in text
    rows = _rows(text, "Inverter 12 kBtu/h, standard")
    assert len(rows) == 3
    low, swing, starts, runs, kwh, *_ = rows[1]
    assert (low, swing, starts, runs) == ("70.0", "0.0", "0.0", "100%")
    answer = f"Inverter 12 kBtu/h, standard holds the room steady, 0 starts, {kwh} kWh"
    assert f"On the typical day: {answer}" in " ".join(text.split())


def test_si_units_are_shown_on_request() -> None:
    text = printed("--units", "si", "--option", PLAIN)
    assert "low °C" in text
    assert "swing K" in text
    assert "°F" not in text
    assert "35 m2" in text


def test_a_schedule_is_set_beside_steady_heat_with_its_cautions() -> None:
    text = printed("--setback", "63 degF 22-6", "--preheat", "70 degF 4-6", "--option", PLAIN)
    assert "63 °F at 22-6 h, preheat 70 °F at 4-6 h, against steady" in text
    steady, schedule = (_rows(text, name)[0] for name in ("steady", "schedule"))
    used = [float(row[0].replace(",", "")) for row in (steady, schedule)]
    assert used[1] < used[0]
    assert "less energy" in text
    assert "no deep setback" in " ".join(text.split())
    assert "freeze" in text


def test_details_list_what_the_minute_model_assumes() -> None:
    text = " ".join(printed("--option", PLAIN, "--details").split())
    assert "dead band 1 K" in text
    assert "ISO 13790" in text
    assert "common practice" in text


def test_chart_and_minutes_are_written_where_they_are_asked_for(tmp_path: Path) -> None:
    out = tmp_path / "day"
    text = printed("--option", PLAIN, "--out", str(out))
    names = sorted(path.name for path in out.iterdir())
    assert names == sorted(
        ["comfort.png", "comfort.svg", *(f"minutes-{day}-electric-baseboard.csv" for day in DAYS)]
    )
    assert "Written:" in text
    with (out / "minutes-coldest-electric-baseboard.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 1440
    assert all(float(row["heat_w"]) == float(row["power_w"]) for row in rows)
    assert rows[0]["set_point_c"] == "21.11"  # 70 degF
    assert {row["running"] for row in rows} == {"0", "1"}


def test_files_that_exist_stay_as_they_are_without_replace(tmp_path: Path) -> None:
    (tmp_path / "comfort.png").write_text("mine", "utf-8")
    message = refused("--option", PLAIN, "--out", str(tmp_path))
    assert "comfort.png" in message
    assert "--replace" in message
    assert [path.name for path in tmp_path.iterdir()] == ["comfort.png"]
    printed("--option", PLAIN, "--out", str(tmp_path), "--replace")
    assert (tmp_path / "comfort.png").read_bytes().startswith(b"\x89PNG")


def test_a_folder_without_a_parent_is_refused(tmp_path: Path) -> None:
    message = refused("--option", PLAIN, "--out", str(tmp_path / "no" / "folder"))
    assert "there is no folder" in message


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--setback", "63 degF"), "--setback"),
        (("--preheat", "60 degF 4-6"), "lies below"),
        (("--setback", "75 degF 22-6"), "not below"),
        (("--mass", "straw"), "not a type of room"),
        (("--option", "Nothing"), "there is no option"),
        (("--dead-band", "1"), "unit"),
        (("missing.toml",), "missing.toml"),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(arguments: tuple[str, ...], message: str) -> None:
    assert message in refused(*arguments)
