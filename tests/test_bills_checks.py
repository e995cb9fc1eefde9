"""`from-bills` refuses what cannot be by the name of its option, before anything is printed."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from energymodel.cli.from_bills import from_bills
from energymodel.datafiles import data_file
from energymodel.errors import EnergyModelError

GAS = data_file("examples", "gas-bills.csv")
POWER = data_file("examples", "electricity-bills.csv")

app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
app.command()(from_bills)


def refused(*arguments: object) -> str:
    words = [*(str(one) for one in arguments), "--weather", "newark-nj-2013"]
    result = CliRunner().invoke(app, words)
    assert isinstance(result.exception, EnergyModelError), result.output
    assert "Heating load" not in result.output
    return " ".join(f"{result.output} {result.exception}".split())


def printed(*arguments: object) -> str:
    words = [*(str(one) for one in arguments), "--weather", "newark-nj-2013"]
    result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return str(result.output)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--ducts", "0.3"], "--ducts 0.3. expected: a fraction from 0.60 to 1"),
        (["--dials", "0"], "--dials 0."),
        (["--efficiency", "80"], "--efficiency 80."),
        (["--efficiency", "1.2"], "--efficiency 1.2. expected: AFUE as a fraction"),
        (["--efficiency-band", "8"], "--efficiency-band 8."),
        (["--cooling-efficiency", "0"], "--cooling-efficiency 0."),
        (["--hot-water", "80"], "--hot-water 80."),
        (["--option", "X"], "--option stands without --scenario"),
        (["--scenario", "x.toml"], "--scenario stands without --check"),
        (["--fuel-price", "-1"], "--fuel-price stands without --out"),
        (["--electricity-price", "0.2"], "--electricity-price stands without --out"),
        (["--indoor", "200 degF"], "--indoor '200 degF'"),
        (["--indoor", "68"], "--indoor: '68' has no unit"),
        (["--cooling-indoor", "0 degF"], "--cooling-indoor '0 degF'"),
        (["--design-temperature", "14"], "--design-temperature: '14' has no unit"),
        (["--design-temperature", "140 degF"], "--design-temperature '140 degF'"),
        (["--area", "1800"], "--area: '1800' has no unit"),
        (["--set-point-change", "3"], "--set-point-change: '3' has no unit"),
        (["--after", "nosuch.csv"], "--after: there is no file nosuch.csv"),
        (["--check", "nosuch.csv"], "--check: there is no file nosuch.csv"),
        (["--check", str(GAS), "--scenario", "nosuch.toml"], "--scenario: there is no file"),
        (["--since", "2014-01-01"], "--since 2014-01-01: no whole period of"),
        (["--balance", "160 degF"], "--balance '160 degF'"),
        (["--balance-range", "2 degF"], "--balance-range stands without --balance"),
        (["--base", "1"], "--base stands without --balance"),
        (["--heat-content", "5"], "--heat-content:"),
        (["--heat-pump", "inverter-cold-climate-24", "--after", str(GAS)], "--after and --heat"),
        (["--heat-pump", "inverter-cold-climate-24", "--balance", "60 degF"], "--balance and"),
        (["--heat-pump", "inverter-cold-climate-24", "--chart", "x.png"], "--chart and"),
    ],
)
def test_an_input_that_cannot_be_is_refused_by_the_name_of_its_option(
    arguments: list[str], words: str
) -> None:
    assert words in refused(GAS, *arguments)


def test_a_price_without_sense_and_a_folder_as_a_file_are_refused_by_name(tmp_path: Path) -> None:
    out = tmp_path / "house.toml"
    assert "--fuel-price -1" in refused(GAS, "--fuel-price", "-1", "--out", out)
    assert f"{tmp_path}: this is a folder" in refused(GAS, "--out", tmp_path)
    assert "there is no folder" in refused(GAS, "--out", tmp_path / "none" / "house.toml")
    out.mkdir()
    assert "is a folder" in refused(GAS, "--out", out, "--replace")
    assert "9999" not in refused(GAS, "--since", "2014-01-01")


def test_reads_that_were_all_estimated_name_the_file_and_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "gas.csv"
    path.write_text(GAS.read_text("utf-8").replace(",actual,", ",estimated,"), "utf-8")
    text = refused(path)
    assert "gas.csv: " in text
    assert "what to do:" in text


def test_the_efficiency_behind_a_load_is_printed_and_marked_where_it_is_assumed() -> None:
    text = " ".join(printed(GAS).split())
    assert "efficiency 0.80 (assumed), no duct loss (assumed): 80% of the metered" in text
    assert "give --efficiency and --ducts" in text
    known = " ".join(printed(GAS, "--efficiency", "0.80", "--ducts", "0.85").split())
    assert "efficiency 0.80, ducts 0.85: 68% of the metered heating reaches the rooms" in known
    assert "Heat loss per degree, at the rooms" in known
    assert "as metered" not in known


def test_an_efficiency_that_is_taken_off_is_said_once_for_hot_water() -> None:
    text = printed(GAS, "--hot-water", "0.6", "--details")
    assert "of the base use is taken as hot water" in text
    assert "part of it then counts as" not in " ".join(text.split())
    assert "counts as heating. --hot-water" in " ".join(printed(GAS, "--details").split())


def test_the_decimal_mark_of_an_ambiguous_list_can_be_said(tmp_path: Path) -> None:
    lines = [
        line.replace(",", ";") for line in GAS.read_text("utf-8").splitlines() if line[0] != "#"
    ]
    numbers = [";".join([*one.split(";")[:2], f"{one.split(';')[2]},500"]) for one in lines[1:]]
    path = tmp_path / "gas.csv"
    path.write_text("\n".join(["from;to;use (therm)", *numbers]) + "\n", "utf-8")
    assert "--decimal-mark" in refused(path)
    assert "From 12 periods" in printed(path, "--decimal-mark", "comma")


@pytest.mark.parametrize(("times", "words"), [(1e-3, "too small by a factor such as 1000 (Wh")])
def test_a_load_that_no_house_has_names_the_slips_of_units_that_fit(
    times: float, words: str, tmp_path: Path
) -> None:
    rows = [line.split(",") for line in GAS.read_text("utf-8").splitlines() if line[0] == "2"]
    small = [f"{row[0]},{row[1]},{float(row[2]) * times:.5f}" for row in rows]
    path = tmp_path / "gas.csv"
    path.write_text("\n".join(["from,to,use (therm)", *small]) + "\n", "utf-8")
    text = " ".join(printed(path).split())
    assert "is no house's" in text
    assert words in text


def test_the_periods_of_a_check_are_shown_from_read_to_read_as_on_the_bill(tmp_path: Path) -> None:
    text = printed(GAS, "--check", GAS)
    assert "Read to read" in text
    assert "2013-01-03 to 2013-02-05" in text  # as the bill prints them
    assert "read 2013-01-03 to 2013-12-31" in text
    assert POWER.is_file()
