"""`energymodel switchover`: tables in plain words, charts and files only where asked."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from energymodel.cli.main import app
from energymodel.errors import InputError
from energymodel.report.figures.switchover_chart import (
    cost_of_heat_view,
    message,
    switchover_figure,
)
from energymodel.report.numbers import Display
from energymodel.report.switchover.files import main_pairs, write_switchover
from energymodel.report.switchover.flip_cells import flip_rows, pair_text
from energymodel.report.switchover.table import pairs_table, print_switchover
from energymodel.study.switchover.pair_flips import FlipValue, Moved, PairFlips
from energymodel.study.switchover.switchover import SwitchoverResult, switchover

# House and prices are invented.
SCENARIO = """
title = "A house"
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
ua = "400 Btu/(h degF)"
balance_temperature = "60 degF"
design_temperature = "15 degF"
[price.electricity]
energy = 0.135
per = "kWh"
[price.natural_gas]
energy = 1.32
per = "therm"
[[option]]
name = "Old furnace"
present = true
heating = { kind = "furnace", fuel = "natural gas", afue = 0.80, output = "60 kBtu/h", \
blower = "400 W", ducts = { efficiency = 0.80 } }
[[option]]
name = "Dual fuel"
installed_cost = 9000
[option.heating]
kind = "heat pump"
unit = "two-stage-36"
off = "30 degF"
ducts = { efficiency = 0.80 }
[option.heating.backup]
runs = "instead"
heater = { kind = "furnace", fuel = "natural gas", afue = 0.95, output = "60 kBtu/h", \
blower = "400 W" }
"""
RUNNER = CliRunner()


def call(*arguments: object) -> Result:
    return RUNNER.invoke(app, ["switchover", *map(str, arguments)])


@pytest.fixture(scope="module")
def scenario(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("scenario") / "house.toml"
    file.write_text(SCENARIO, "utf-8")
    return file


@pytest.fixture(scope="module")
def house(scenario: Path) -> SwitchoverResult:
    return switchover(scenario)


@pytest.fixture(scope="module")
def demo() -> SwitchoverResult:
    return switchover()


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory, scenario: Path) -> tuple[Path, Result]:
    folder = tmp_path_factory.mktemp("out") / "flips"
    return folder, call(scenario, "--out", folder, "--units", "si", "--spread-years", "15")


def _plain(text: str) -> str:
    return " ".join(text.split())


def test_the_demo_says_where_the_heat_pump_is_always_cheaper() -> None:
    done = call()
    assert done.exit_code == 0
    assert all(len(line) <= 100 for line in done.output.splitlines())
    text = _plain(done.output)
    assert "always" in text
    assert "heat pump throughout" in text
    assert "Capacity balance: full output equals the load." in text
    assert "Estimate, not a quotation or guarantee." in text


def test_a_house_gets_temperatures_settings_and_flip_values(
    written: tuple[Path, Result],
) -> None:
    _, done = written
    assert done.exit_code == 0, done.output
    assert all(len(line) <= 100 for line in done.output.splitlines())
    text = _plain(done.output)
    assert "°C" in text
    assert "°F" not in text
    for part in (
        "By temperature",
        "its own backup",
        "Best switch temperature",
        "within 1 %",
        "price of natural gas, USD per therm",
        "in-service factor",
        "furnace fan counted, its heat credited",
        "without that credit",
        "paid back in 10 years",
    ):
        assert part in text


def test_every_file_is_written_and_the_tables_agree_with_the_record(
    written: tuple[Path, Result],
) -> None:
    folder, done = written
    names = sorted(path.name for path in folder.iterdir())
    for name in (
        "balance-points.csv",
        "cost-of-heat.csv",
        "flip-values.csv",
        "price-map.csv",
        "price-map.png",
        "price-map.svg",
        "switch-temperature.csv",
        "switchover.json",
    ):
        assert name in names
    assert f"Written: {len(names)} files" in _plain(done.output)
    record = json.loads((folder / "switchover.json").read_text("utf-8"))
    with (folder / "balance-points.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(record["balance_points"])
    for row, pair in zip(rows, record["balance_points"], strict=True):
        assert float(row["break_even_cop"]) == pair["break_even_cop"]
    assert record["price_map"]["installed_cost_spread_over_years"] == 15


def test_files_are_not_replaced_unless_told(
    written: tuple[Path, Result], demo: SwitchoverResult
) -> None:
    folder, _ = written
    before = (folder / "switchover.json").read_text("utf-8")
    with pytest.raises(InputError, match="exist") as refused:
        write_switchover(demo, None, folder, show=Display(us=True), replace=False)
    assert "--replace" in str(refused.value)
    assert (folder / "switchover.json").read_text("utf-8") == before


def test_details_list_every_pair(
    demo: SwitchoverResult, capsys: pytest.CaptureFixture[str]
) -> None:
    show = Display(us=True)
    print_switchover(demo, show)
    brief = _plain(capsys.readouterr().out)
    print_switchover(demo, show, details=True)
    full = _plain(capsys.readouterr().out)
    name = "Propane wall heater + window unit against Electric baseboard:"
    assert name not in brief
    assert name in full


def test_a_chart_per_heat_pump_shows_its_own_backup_or_what_is_there_now(
    house: SwitchoverResult,
) -> None:
    (own,) = main_pairs(house)
    assert (own.heat_pump, own.backup) == ("Dual fuel", "instead")
    without_own = replace(house, pairs=tuple(pair for pair in house.pairs if not pair.backup))
    assert [pair.other for pair in main_pairs(without_own)] == ["Old furnace"]


def test_the_chart_names_both_sources_and_the_cost_balance(house: SwitchoverResult) -> None:
    pair = next(one for one in main_pairs(house) if one.backup == "instead")
    assert pair.balance.single_c is not None
    show = Display(us=True)
    at = show.temperature(pair.balance.single_c)
    view = cost_of_heat_view(house.comparison, pair)
    assert message(view, show) == f"Below {at} the furnace heats for less"
    figure = switchover_figure(house.comparison, pair, show)
    words = [text.get_text() for axes in figure.axes for text in axes.texts]
    for part in ("furnace", "heat pump", f"cost balance {at}", "furnace alone", "heat pump alone"):
        assert part in words
    styles = {line.get_linestyle() for line in figure.axes[1].lines}
    assert len(styles) > 1


def test_the_hours_under_the_title_are_those_in_which_the_other_source_is_cheaper(
    house: SwitchoverResult,
) -> None:
    pair = next(one for one in main_pairs(house) if one.backup == "instead")
    view = cost_of_heat_view(house.comparison, pair)
    assert pair.balance.single_c is not None
    cold = house.comparison.model.weather.outdoor_c < pair.balance.single_c
    assert view.other_hours == int(cold.sum())


def test_what_pays_back_is_the_option_that_costs_more_to_install(demo: SwitchoverResult) -> None:
    best = demo.comparison.cheapest
    assert best is not None
    (pair,) = [one for one in demo.flips if one.first.startswith("Inverter")]
    assert pair.second == best.name
    assert pair.extra_cost > 0
    years = pair.extra_cost / pair.saving
    text = pair_text(pair, "USD")
    assert text.startswith(f"{pair.second} against {pair.first}: $700 more to install, saves about")
    assert text.endswith(f"; paid back in {years:.1f} years")


def test_an_in_service_factor_better_than_rated_is_not_reachable() -> None:
    rows = flip_rows(_pair(payback_at=1.17, saving=20.0), "USD")
    assert rows == [
        ["  its in-service factor", "0.90", "0.80 or more", "-11 %", "not reachable", ""]
    ]
    paid = flip_rows(_pair(payback_at=0.85, saving=80.0), "USD")
    assert paid[0][4:] == ["0.85 or more", "-6 %"]


def test_without_a_cost_to_pay_back_nothing_is_said_of_paying_it_back() -> None:
    free = replace(_pair(payback_at=0.85, saving=20.0), extra_cost=-300.0)
    assert flip_rows(free, "USD")[0][4:] == ["", ""]
    assert pair_text(free, "USD").endswith("saves about $20 a year; nothing to pay back")
    unknown = replace(free, cost_given=False)
    assert "cost of installation not given" in pair_text(unknown, "USD")
    dearer = replace(free, extra_cost=300.0, saving=-20.0)
    assert pair_text(dearer, "USD").endswith("about $20 a year more; it never pays back")


def _pair(*, payback_at: float, saving: float) -> PairFlips:
    value = FlipValue(
        moved=Moved.IN_SERVICE, name="the in-service factor of B", unit="", today=0.90,
        same_cost=0.80, pays_back=payback_at, of_second=True,
    )  # fmt: skip
    return PairFlips(
        first="A", second="B", saving=saving, extra_cost=700.0, limit_years=10.0, values=(value,)
    )


def test_the_same_heat_stands_in_one_row(tmp_path: Path, scenario: Path) -> None:
    more = """
[[option]]
name = "Baseboard"
heating = { kind = "electric resistance" }
[[option]]
name = "Split"
heating = { kind = "heat pump", unit = "inverter-standard-24", \
backup = { heater = { kind = "electric resistance" } } }
"""
    file = tmp_path / "house.toml"
    file.write_text(scenario.read_text("utf-8") + more, "utf-8")
    result = switchover(file)
    own = [pair for pair in result.pairs if pair.heat_pump == "Split"]
    assert [pair.other for pair in own] == ["Split", "Old furnace", "Baseboard"]
    table = pairs_table(own, Display(us=True))
    assert table.row_count == 2
    against = list(table.columns[1].cells)
    assert against == ["its own backup, resistance heat, as Baseboard", "Old furnace"]


def test_options_left_out_are_named_with_what_they_lack(tmp_path: Path, scenario: Path) -> None:
    file = tmp_path / "house.toml"
    small = '[[option]]\nname = "Small"\nheating = { kind = "heat pump", unit = "window" }\n'
    small = small.replace('"window"', '"inverter-standard-9"')
    file.write_text(scenario.read_text("utf-8") + small, "utf-8")
    (note,) = [one.text for one in switchover(file).notices if "Left out" in one.text]
    assert "Small (short of heating by " in note


@pytest.mark.parametrize("extra", [("--fuel", "propane"), ("--spread-years", "15")])
def test_what_shapes_the_price_map_is_refused_without_a_place_for_it(
    extra: tuple[str, str],
) -> None:
    done = call(*extra)
    assert isinstance(done.exception, InputError)
    assert "--out DIR" in done.exception.expected
