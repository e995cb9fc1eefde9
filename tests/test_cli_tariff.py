"""`energymodel tariff`."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from energymodel.cli import tariff as command
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.tariffs.toml_form import read_tariff

TIME_OF_USE = """name = "Time of use"
effective = 2024-01-01
[[energy]]
name = "Energy"
[[energy.period]]
name = "on-peak"
price = 0.3
when = { days = "weekdays", hours = "16-21" }
[[energy.period]]
name = "off-peak"
price = 0.1
"""
MARKET = """name = "Market"
[[hourly]]
name = "Spot"
file = "prices.csv"
"""
RECORD = Path(__file__).parent / "rates" / "industrial.json"


@pytest.fixture
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    made.command("tariff")(command.tariff)
    made.command("other")(lambda: None)
    return made


def _run(app: typer.Typer, *arguments: object) -> str:
    done = CliRunner().invoke(app, [str(one) for one in arguments])
    if done.exception is not None and isinstance(done.exception, EnergyModelError):
        raise done.exception
    assert done.exit_code == 0, done.output
    assert max(map(len, done.stdout.splitlines())) <= 100
    return done.stdout


def _write(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text)
    return path


def test_a_tariff_is_shown_in_words_hours_and_sample_bills(
    app: typer.Typer, tmp_path: Path
) -> None:
    tariff = _write(tmp_path, "t.toml", TIME_OF_USE)
    shown = _run(app, "tariff", tariff, "--zone", "America/New_York")
    assert "Energy, on-peak: 0.30 per kWh; weekdays 16-21 h." in shown
    assert "Jan  aaaaaaaaaaaaaaaabbbbbaaa  aaaaaaaaaaaaaaaaaaaaaaaa" in shown
    assert "a 0.1000, b 0.3000" in shown
    rows = [line.split() for line in shown.splitlines() if line.strip().startswith("1,000")]
    # 2024, 29 February left out: 261 weekdays of 5 hours at 12,000/8,760 kW (computed)
    assert float(rows[0][3].replace(",", "")) == pytest.approx(
        1200 + 0.2 * 261 * 5 * 12000 / 8760, abs=0.1
    )
    assert "give --zone" in _run(app, "tariff", tariff)


def test_a_record_of_the_rate_database_is_shown_and_written_as_a_tariff_file(
    app: typer.Typer, tmp_path: Path
) -> None:
    out = tmp_path / "industrial.toml"
    shown = _run(app, "tariff", RECORD, "--out", out)
    assert "11.50 per kW of the highest 15 minutes of the bill; May-Oct." in shown
    assert "rate database: The database holds no taxes" in shown
    assert read_tariff(out).demand[0].ratchet is not None
    with pytest.raises(InputError, match="this file exists"):
        _run(app, "tariff", RECORD, "--out", out)
    _run(app, "tariff", RECORD, "--out", out, "--replace")


def test_a_missing_file_is_one_message(app: typer.Typer, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        _run(app, "tariff", tmp_path / "none.toml")


def test_a_file_of_hourly_prices_is_read_and_summed_up(app: typer.Typer, tmp_path: Path) -> None:
    tariff = _write(tmp_path, "t.toml", MARKET)
    with pytest.raises(ManyFaultsError) as refused:
        _run(app, "tariff", tariff)
    assert 'hourly ("Spot").file' in str(refused.value)
    assert "prices.csv: there is no such file" in str(refused.value)
    _write(tmp_path, "prices.csv", "start,price\n2024-03-10 01:00,0.1\n2024-03-10 02:00,0.3\n")
    shown = " ".join(_run(app, "tariff", tariff).split())
    assert "Spot: prices.csv, 2 hours from 2024-03-10 01:00 to 2024-03-10 03:00" in shown
    assert "lowest 0.1000, mean 0.2000" in shown
    with pytest.raises(ManyFaultsError, match="skip the hour 2024-03-10T02:00"):
        _run(app, "tariff", tariff, "--zone", "America/New_York")


def test_choices_for_a_record_go_into_the_tariff_file_that_is_written(
    app: typer.Typer, tmp_path: Path
) -> None:
    out = tmp_path / "rate.toml"
    _run(app, "tariff", RECORD, "--choose", "look-back=3", "--choose", "holidays=US", "--out", out)
    written = read_tariff(out)
    assert written.demand[0].ratchet is not None
    assert written.demand[0].ratchet.look_back == 3
    assert written.holidays is not None
    with pytest.raises(InputError, match="choices are for records"):
        _run(app, "tariff", out, "--choose", "look-back=3")


def test_what_looks_like_a_slip_stands_before_the_other_notices(
    app: typer.Typer, tmp_path: Path
) -> None:
    slips = (
        'name = "slips"\n[seasons]\nw = "1 Dec to 28 Feb"\ns = "1 Mar to 30 Nov"\n[[energy]]\n'
        'name = "E"\nprice = 14.5\n[[energy]]\nname = "Less"\nprice = -0.02\n[[demand]]\n'
        'name = "D"\nprice = 3\nratchet = { percent = 0.8 }\n[[percent]]\nname = "T"\n'
        "percent = 0.07\n"
    )
    shown = " ".join(_run(app, "tariff", _write(tmp_path, "t.toml", slips)).split())
    for words in (
        "check: E: 14.5 USD per kWh is far above any usual price. If the sheet counts cents,"
        " write 0.145.",
        "check: Less: every price is below zero",
        "check: T: 0.07 % is next to nothing. If 7 % is meant, write 7.",
        "check: D: a ratchet of 0.8 %. If 80 % is meant, write 80.",
    ):
        assert words in shown, words
    assert shown.index("check: D") < shown.index('seasons: The season "w" ends on 28 Feb')


def test_the_help_points_to_the_commented_tariff(app: typer.Typer) -> None:
    shown = " ".join(_run_help(app).split())
    assert "`energymodel new rate.toml --tariff` writes a tariff file" in shown


def _run_help(app: typer.Typer) -> str:
    return CliRunner().invoke(app, ["tariff", "--help"]).stdout
