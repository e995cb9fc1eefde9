"""`energymodel sweep` in the terminal."""

from __future__ import annotations

from importlib.machinery import ModuleSpec
from importlib.util import find_spec
from pathlib import Path

import pandas as pd
import pytest
from typer.testing import CliRunner

from energymodel.cli import main
from energymodel.cli.main import app
from energymodel.errors import InputError
from energymodel.report.sweep.map import price_map_lines
from energymodel.report.sweep.table import basis_lines, share_text
from energymodel.study.sweep.sweep import sweep

ROOM = """
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
[price.propane]
energy = 2.6
per = "gallon"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Wall heater"
heating = { kind = "room heater", fuel = "propane", afue = 0.8, output = "20 kBtu/h" }
installed_cost = 900
[sweep.grid]
price.electricity.energy = [0.08, 0.14, 0.20]
price.propane.energy = [1.5, 3.0, 4.5]
room.heating.balance_temperature = ["58 degF", "72 degF"]
"""
TARIFF = """
name = "Invented"
currency = "USD"
effective = 2026-01-01
[[energy]]
name = "Energy"
price = {price}
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "room.toml"
    path.write_text(ROOM, "utf-8")
    return path


def _run(*arguments: str) -> str:
    result = CliRunner().invoke(app, ["sweep", *arguments])
    if result.exception is not None:
        raise result.exception
    return result.output


def test_the_table_says_which_option_is_cheapest_where(file: Path) -> None:
    output = _run(str(file))
    assert "18 variants of 2 options: 18 option-years" in output
    assert "9 variants are refused; variant 2: room.toml" in output
    assert "Baseboard" in output
    assert "price.electricity.energy" in output
    assert "Nothing was written" in output
    assert all(len(line) <= 100 for line in output.splitlines())


def test_the_price_map_turns_where_propane_heat_costs_what_electric_heat_costs(
    file: Path,
) -> None:
    """Break-even by hand: 1 gallon of propane is 91,452 Btu HHV, 26.8 kWh (EIA units page)."""
    result = sweep(file)
    lines = price_map_lines(result)
    letters = {line.split()[0]: line.split()[1:] for line in lines[2:5]}
    key = {line.split(maxsplit=1)[0]: line for line in lines[5:]}
    assert any("Baseboard" in line for line in key.values())
    per_kwh_of_heat = {p: p / 26.8 / 0.8 / 0.98 for p in (1.5, 3.0, 4.5)}
    for row, electric in (("0.08", 0.08), ("0.14", 0.14), ("0.2", 0.20)):
        cheaper = [electric < price for price in per_kwh_of_heat.values()]
        baseboard = letters[row]
        assert [letter == "A" for letter in baseboard] == cheaper


def test_files_are_written_and_named(file: Path, tmp_path: Path) -> None:
    out = tmp_path / "all.csv"
    output = _run(str(file), "--out", str(out))
    assert "Written:" in output
    assert len(pd.read_csv(out)) == 9 * 2 + 9
    with pytest.raises(InputError, match="this file exists"):
        _run(str(file), "--out", str(out))
    assert "Written:" in _run(str(file), "--out", str(out), "--replace")


def test_resume_keeps_what_is_done(file: Path, tmp_path: Path) -> None:
    _run(str(file), "--out", str(tmp_path / "out"))
    output = _run(str(file), "--out", str(tmp_path / "out"), "--resume")
    assert "18 variants were finished by an earlier run" in output
    with pytest.raises(InputError, match="both given"):
        _run(str(file), "--out", str(tmp_path / "out"), "--resume", "--replace")
    with pytest.raises(InputError, match="--resume without --out"):
        _run(str(file), "--resume")


def test_tariffs_are_ranked(tmp_path: Path) -> None:
    for name, price in (("low", "0.10"), ("high", "0.30")):
        (tmp_path / f"{name}.toml").write_text(TARIFF.replace("{price}", price), "utf-8")
    grid = '[sweep.grid]\nprice.electricity.tariff = ["high.toml", "low.toml"]\n'
    room = tmp_path / "room.toml"
    room.write_text(ROOM[: ROOM.index("[sweep.grid]")] + grid, "utf-8")
    output = _run(str(room))
    assert "Mean cost per year under" in output
    ranking = output.partition("Mean cost per year under")[2]
    line = next(line for line in ranking.splitlines() if line.startswith("Baseboard"))
    assert line.rstrip().endswith("low.toml")


def test_without_the_cluster_extra_the_message_names_the_install_line(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _hide(monkeypatch, "sweep.cluster", "distributed")
    out = file.parent / "out"
    with pytest.raises(InputError, match="several workers need dask") as caught:
        _run(str(file), "--workers", "2", "--out", str(out))
    assert not out.exists()
    assert "pip install '.[cluster]'" in str(caught.value)


def test_without_the_sweeps_extra_parquet_is_refused_with_the_install_line(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _hide(monkeypatch, "sweep.store", "pyarrow")
    with pytest.raises(InputError, match="Parquet needs the library pyarrow") as caught:
        _run(str(file), "--out", str(tmp_path / "out"))
    assert "pip install '.[sweeps]'" in str(caught.value)
    assert "Written:" in _run(str(file), "--out", str(tmp_path / "all.csv"))


def _hide(monkeypatch: pytest.MonkeyPatch, module: str, library: str) -> None:
    def without(name: str) -> ModuleSpec | None:
        return None if name == library else find_spec(name)

    monkeypatch.setattr(f"energymodel.study.{module}.find_spec", without)


def test_shares_round_to_all_and_none_only_where_it_is_all_or_none() -> None:
    assert [share_text(s) for s in (0.0, 0.004, 0.4, 0.996, 1.0)] == [
        "0 %", "<1 %", "40 %", ">99 %", "100 %",
    ]  # fmt: skip


def test_the_line_above_the_table_tells_which_path_ran(file: Path) -> None:
    lines = basis_lines(sweep(file))
    assert lines[1].startswith("9 variants ran in a batch, 0 one by one")


def test_a_sweep_that_is_interrupted_says_that_it_can_go_on(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("energymodel.study.sweep.sweep.sweep", interrupted)
    monkeypatch.setattr(
        "sys.argv", ["energymodel", "sweep", str(file), "--out", str(tmp_path / "out.csv")]
    )
    with pytest.raises(SystemExit) as ended:
        main.run()
    assert ended.value.code == 130
    told = capsys.readouterr().err
    assert "--resume goes on with it" in told
    assert "energymodel: stopped" in told
