"""`energymodel bill`."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from energymodel.cli import bill as commands
from energymodel.errors import EnergyModelError, InputError, ManyFaultsError

TWO_STEPS = """name = "Two steps"
[[fixed]]
name = "Basic charge"
price = "0.2253 per day"
[[energy]]
name = "Energy"
blocks = [{ up_to = "675 kWh per month", price = 0.1097 }, { price = 0.1408 }]
"""
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


@pytest.fixture
def app() -> typer.Typer:
    made = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None)
    made.command("bill")(commands.bill)
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


def test_one_month_prints_an_itemised_bill_to_the_cent(app: typer.Typer, tmp_path: Path) -> None:
    tariff = _write(tmp_path, "t.toml", TWO_STEPS)
    usage = _write(tmp_path, "u.csv", "month,kWh\n2023-04,1200\n")
    shown = _run(app, "bill", usage, tariff)
    # trade article on a Canadian province's two-step rate, 30 days: 154.73 (computed)
    for words in ("2023-04-01 to 2023-04-30", "74.05", "73.92", "154.73", "costs 0.1408"):
        assert words in shown, words


def test_several_months_print_a_table_with_all_bills(app: typer.Typer, tmp_path: Path) -> None:
    tariff = _write(tmp_path, "t.toml", TWO_STEPS)
    usage = _write(tmp_path, "u.csv", "month,kWh\nApr,1200\nMay,600\n")
    shown = _run(app, "bill", usage, tariff, "--details")
    assert "2025-04-01 to 2025-04-30" in shown
    assert "154.73" in shown
    assert "All bills" in shown
    assert "Default: calendar year of the bills: 2025 (our choice)" in shown


def test_a_list_of_meter_readings_is_billed_between_its_dates(
    app: typer.Typer, tmp_path: Path
) -> None:
    tariff = _write(tmp_path, "t.toml", TWO_STEPS)
    usage = _write(
        tmp_path,
        "u.csv",
        "from,to,use (kWh)\n2023-04-01,2023-05-01,600\n2023-05-01,2023-06-01,700\n",
    )
    shown = _run(app, "bill", usage, tariff)
    assert "2023-04-01 to 2023-04-30" in shown
    assert "72.58" in shown  # computed


def test_monthly_use_under_time_of_use_is_refused_with_the_reason(
    app: typer.Typer, tmp_path: Path
) -> None:
    tariff = _write(tmp_path, "t.toml", TIME_OF_USE)
    usage = _write(tmp_path, "u.csv", "month,kWh\n2024-04,1200\n")
    with pytest.raises(ManyFaultsError, match="does not say when it was"):
        _run(app, "bill", usage, tariff)


def _interval_file(folder: Path) -> Path:
    first = datetime(2024, 3, 1)
    hours = range(24 * 14)  # 1 to 14 March holds the hour that the clock skips
    rows = [first + timedelta(hours=hour) for hour in hours]
    lines = [f"{row:%Y-%m-%d %H:%M},1.0" for row in rows if row != datetime(2024, 3, 10, 2)]
    return _write(folder, "i.csv", "\n".join(["start,kWh", *lines]) + "\n")


def test_interval_data_are_billed_by_the_hour(app: typer.Typer, tmp_path: Path) -> None:
    tariff = _write(tmp_path, "t.toml", TIME_OF_USE)
    usage = _interval_file(tmp_path)
    with pytest.raises(InputError, match="need the time zone"):
        _run(app, "bill", usage, tariff)
    shown = _run(app, "bill", usage, tariff, "--zone", "America/New_York")
    # 335 hours, 10 weekdays of 5 hours on-peak: 50 x 0.3 + 285 x 0.1 (computed)
    assert "43.50" in shown


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("month,therm\n2024-01,5\n", "month,kWh"),
        ("month,kWh\nfoo,5\n", "2024-01, Jan 2024, Jan or 1"),
        ("month,kWh\n2024-01,much\n", "line 2: text that is not a number"),
        ("month,kWh\n2024-01,\n", "line 2: the use of this month is blank"),
        ("month,kWh\n", "no months below its headings"),
        ('month,kWh\n2024-01,"5,120"\n2024-02,"4,800"\n', "'5,120' is 5.12 with a decimal comma"),
        ("month,kWh\n2024-01,5\n2024-03,5\n", "every month"),
    ],
)
def test_a_table_of_months_that_cannot_be_read_is_refused(
    app: typer.Typer, tmp_path: Path, text: str, words: str
) -> None:
    tariff = _write(tmp_path, "t.toml", TWO_STEPS)
    with pytest.raises(InputError) as refused:
        _run(app, "bill", _write(tmp_path, "u.csv", text), tariff)
    assert words in str(refused.value)


def test_a_missing_file_is_one_message(app: typer.Typer, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        _run(app, "bill", tmp_path / "none.csv", tmp_path / "none.toml")
