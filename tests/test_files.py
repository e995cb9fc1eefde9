"""Files of a comparison: complete, exact, never half written, never over another file unasked."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from rich.console import Console

from energymodel.datafiles import data_file
from energymodel.errors import InputError
from energymodel.report import progress
from energymodel.report.comparison.files import slugs, write_comparison
from energymodel.report.comparison.tables import HOUR_COLUMN
from energymodel.report.pictures import NAME, draw_pictures
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.weather.year import with_table

FUEL_ONLY = """
currency = "EUR"
place = { weather = "greensboro-nc" }
[room]
indoor = { heating = "20 degC", cooling = "25 degC" }
[room.heating]
design_load = "3 kW"
design_temperature = "-9 degC"
balance_temperature = "16 degC"
[price.kerosene]
energy = 1.1
per = "litre"
[[option]]
name = "Kerosene = heater, small"
heating = { kind = "room heater", fuel = "kerosene", afue = 0.8, output = "1.2 kW" }
[[option]]
name = "Kerosene (heater) small!"
heating = { kind = "room heater", fuel = "kerosene", afue = 0.75 }
"""


@pytest.fixture(scope="module")
def demo() -> Comparison:
    """The baseboard that is there and the best heat pump: enough for every kind of file."""
    whole = compare()
    return replace(whole, outcomes=whole.outcomes[:2])


@pytest.fixture(scope="module")
def fuel_only(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    path = tmp_path_factory.mktemp("fuel") / "fuel.toml"
    path.write_text(FUEL_ONLY, "utf-8")
    return compare(path)


@pytest.fixture(scope="module")
def folder(demo: Comparison, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("out") / "new"
    written = write_comparison(demo, target, us=True, replace=False)
    assert sorted(written) == sorted(target.iterdir())
    return target


@pytest.fixture(scope="module")
def fuel_folder(fuel_only: Comparison, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Written over an older file, beside one that is not ours."""
    target = tmp_path_factory.mktemp("fuel-out")
    (target / "annual.csv").write_text("old", "utf-8")
    (target / "notes.txt").write_text("mine", "utf-8")
    write_comparison(fuel_only, target, us=False, replace=True)
    return target


def pump(comparison: Comparison) -> tuple[Outcome, str]:
    return comparison.outcomes[1], slugs(one.name for one in comparison.outcomes)[1]


def record_of(folder: Path) -> dict[str, Any]:
    def refuse(word: str) -> None:
        raise AssertionError(word)

    text = (folder / "result.json").read_text("utf-8")
    record: dict[str, Any] = json.loads(text, parse_constant=refuse)
    return record


def test_every_kind_of_file_is_there_and_nothing_else(folder: Path) -> None:
    names = {path.name for path in folder.iterdir()}
    heat_pump = "inverter-12-kbtu-h-cold-climate"
    tables = {f"{kind}-{slug}.csv" for kind in ("hourly", "monthly") for slug in (
        "electric-baseboard", heat_pump,
    )}  # fmt: skip
    charts = {
        f"{stem}.{ending}"
        for stem in (
            *("yearly-cost", "monthly-cost", "cost-by-line", "range", "cash-flow"),
            *(f"capacity-{heat_pump}", f"duration-{heat_pump}", "hours-of-the-least-costly"),
        )
        for ending in ("png", "svg")
    }
    assert names == {"annual.csv", "result.json"} | tables | charts


def test_hours_months_and_the_year_add_up_to_the_result(demo: Comparison, folder: Path) -> None:
    outcome, slug = pump(demo)
    hourly = pd.read_csv(folder / f"hourly-{slug}.csv")
    monthly = pd.read_csv(folder / f"monthly-{slug}.csv")
    annual = pd.read_csv(folder / "annual.csv").set_index("option").loc[outcome.name]
    month = pd.to_datetime(hourly[HOUR_COLUMN]).dt.month
    assert outcome.result.columns
    for name in outcome.result.columns:
        by_month = hourly[name].groupby(month).sum().to_numpy()
        np.testing.assert_allclose(by_month, monthly[name], rtol=1e-9, atol=1e-9)
        expected = outcome.result.total(name)
        assert hourly[name].sum() == pytest.approx(expected, rel=1e-9, abs=1e-9)
        assert float(annual[name]) == pytest.approx(expected, rel=1e-12)


def test_hours_are_labelled_by_their_start_and_carry_their_own_temperature(
    demo: Comparison, folder: Path
) -> None:
    _, slug = pump(demo)
    hourly = pd.read_csv(folder / f"hourly-{slug}.csv", parse_dates=[HOUR_COLUMN])
    table = demo.model.weather.table
    assert hourly[HOUR_COLUMN].tolist() == table.index.tolist()
    assert (hourly[HOUR_COLUMN].iloc[0].hour, hourly[HOUR_COLUMN].iloc[-1].hour) == (0, 23)
    np.testing.assert_array_equal(hourly["outdoor_c"], table["outdoor_c"])


def test_costs_of_months_and_year_are_those_of_the_comparison(
    demo: Comparison, folder: Path
) -> None:
    outcome, slug = pump(demo)
    monthly = pd.read_csv(folder / f"monthly-{slug}.csv")
    for service, cost in outcome.cost_by_month.items():
        np.testing.assert_allclose(monthly[f"{service}_cost"], cost, rtol=1e-12)
    annual = pd.read_csv(folder / "annual.csv").set_index("option")
    for one in demo.outcomes:
        assert annual.loc[one.name, "yearly_cost"] == pytest.approx(one.yearly_cost, rel=1e-12)
    assert annual["present"].tolist() == ["yes", "no"]
    assert np.isnan(annual.loc["Electric baseboard", "cooling_cost"])


def test_the_record_is_strict_json_with_inputs_options_defaults_and_sources(
    demo: Comparison, folder: Path
) -> None:
    record = record_of(folder)
    outcome, slug = pump(demo)
    option = record["options"][1]
    assert option["slug"] == slug
    assert option["cost"]["yearly"] == pytest.approx(outcome.yearly_cost)
    assert sum(option["cost"]["by_part"].values()) == pytest.approx(outcome.yearly_cost)
    assert option["seasonal_cop"]["heating"]["season"] == outcome.result.cop_season("heating")
    assert option["capacity"]["heating"]["balance_temperature_c"] == pytest.approx(
        (60.0 - 32.0) / 1.8
    )
    assert record["inputs"]["price"]["propane"]["per"] == "gallon"
    assert "inverter-cold-climate-12" in record["catalogue_units"]
    assert len(record["defaults"]) == len(demo.model.defaults)
    assert len(record["notices"]) == len(demo.notices)
    assert demo.model.weather.source in record["sources"]
    assert len(record["cautions"]) > 3
    assert record["scenario_file"] == "demo.toml"


def test_what_is_not_known_is_null_in_json_and_empty_in_csv(
    fuel_only: Comparison, fuel_folder: Path
) -> None:
    short = next(one for one in fuel_only.outcomes if not one.carries)
    assert short.coverage is not None
    assert np.isnan(short.coverage.cover_cost)  # no price of electricity was given
    option = next(one for one in record_of(fuel_folder)["options"] if one["name"] == short.name)
    assert option["coverage"]["cover_cost"] is None
    cells = (fuel_folder / "annual.csv").read_text("utf-8").lower().replace("\n", ",").split(",")
    assert not {"nan", "inf", "none"} & set(cells)


def test_options_whose_names_collide_get_files_of_their_own(fuel_folder: Path) -> None:
    names = {path.name for path in fuel_folder.iterdir()}
    assert {"hourly-kerosene-heater-small.csv", "hourly-kerosene-heater-small-2.csv"} <= names


def test_files_are_never_replaced_unasked(demo: Comparison, tmp_path: Path) -> None:
    (tmp_path / "annual.csv").write_text("mine", "utf-8")
    (tmp_path / "result.json").write_text("mine too", "utf-8")
    with pytest.raises(InputError, match=r"2 files exist: annual\.csv, result\.json") as error:
        write_comparison(demo, tmp_path, us=True, replace=False)
    assert "--replace" in error.value.remedy
    assert {path.name for path in tmp_path.iterdir()} == {"annual.csv", "result.json"}
    assert (tmp_path / "annual.csv").read_text("utf-8") == "mine"


def test_asked_to_replace_it_replaces_its_own_files_only(fuel_folder: Path) -> None:
    assert (fuel_folder / "annual.csv").read_text("utf-8").startswith("option,")
    assert (fuel_folder / "notes.txt").read_text("utf-8") == "mine"


def broken(comparison: Comparison) -> Comparison:
    """An hour too many: seen when the last line of hours is written, after other files."""
    weather = comparison.model.weather
    longer = pd.concat([weather.table, weather.table.iloc[-1:]])
    return replace(comparison, model=replace(comparison.model, weather=with_table(weather, longer)))


def test_a_failed_run_leaves_nothing_behind(demo: Comparison, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="shorter"):
        write_comparison(broken(demo), tmp_path / "new", us=True, replace=False)
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "notes.txt").write_text("mine", "utf-8")
    with pytest.raises(ValueError, match="shorter"):
        write_comparison(broken(demo), tmp_path, us=True, replace=True)
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


def test_a_folder_that_cannot_be_used_is_named(demo: Comparison, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no folder"):
        write_comparison(demo, tmp_path / "one" / "two", us=True, replace=False)
    (tmp_path / "file").write_text("x", "utf-8")
    with pytest.raises(InputError, match="a file, not a folder"):
        write_comparison(demo, tmp_path / "file", us=True, replace=True)
    (tmp_path / "out" / "annual.csv").mkdir(parents=True)
    with pytest.raises(InputError, match="a folder stands where a file is to be written"):
        write_comparison(demo, tmp_path / "out", us=True, replace=True)
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["annual.csv"]


def test_a_second_run_writes_the_same_bytes(demo: Comparison, folder: Path, tmp_path: Path) -> None:
    for path in write_comparison(demo, tmp_path, us=True, replace=False):
        assert path.read_bytes() == (folder / path.name).read_bytes(), path.name


def test_pictures_have_200_dots_per_inch(folder: Path) -> None:
    with Image.open(folder / "yearly-cost.png") as picture:
        assert picture.size[0] == 1300  # 6.5 inches
        assert picture.info["dpi"] == pytest.approx((200.0, 200.0), abs=0.1)
    assert (folder / "yearly-cost.svg").read_text("utf-8").startswith("<?xml")


def test_the_picture_of_the_documents_is_wide_and_small() -> None:
    path = data_file("pictures", NAME)
    assert path.stat().st_size < 200_000
    with Image.open(path) as picture:
        assert picture.size[0] > 2 * picture.size[1]


@pytest.mark.slow
def test_the_picture_of_the_documents_shows_the_demo_as_it_is(tmp_path: Path) -> None:
    (path,) = draw_pictures(tmp_path / "pictures")
    with Image.open(path) as drawn, Image.open(data_file("pictures", NAME)) as shipped:
        assert drawn.size == shipped.size
        now, then = (np.asarray(one.convert("L"), dtype=float) for one in (drawn, shipped))
    # letters may be drawn a little differently by another version of the library
    assert np.mean(np.abs(now - then) > 64.0) < 0.01


@given(st.lists(st.text(max_size=80), max_size=8))
def test_slugs_are_safe_and_different_whatever_the_names(names: list[str]) -> None:
    found = slugs(names)
    assert len(found) == len(names) == len(set(found))
    for slug in found:
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", slug)
        assert len(slug) < 70


def test_progress_is_shown_after_a_second_on_terminals_only(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for patience_s, terminal, seen in (
        (1.0, True, False),
        (-1.0, True, True),
        (-1.0, False, False),
    ):
        monkeypatch.setattr(progress, "PATIENCE_S", patience_s)
        screen = StringIO()
        console = Console(file=screen, force_terminal=terminal)
        assert list(progress.with_progress([1, 2, 3], "Counting", console=console)) == [1, 2, 3]
        assert ("Counting" in screen.getvalue()) is seen
