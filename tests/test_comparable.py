"""What may stand beside the present option: shortfalls alike, costs given, known outputs."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from energymodel.cli.main import app
from energymodel.datafiles import data_file
from energymodel.economics.payback import simple_payback
from energymodel.errors import EnergyModelError
from energymodel.report.comparison.files import slugs
from energymodel.report.comparison.record import result_text
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.money import option_money
from energymodel.study.comparison.outcome import UNMET_LIMIT, Comparison, Outcome

ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[room.cooling]
design_load = "COOLING"
design_temperature = "91 degF"
balance_temperature = "66 degF"
[price.electricity]
PRICE
"""
FLAT = 'energy = 0.20\nper = "kWh"'
NOW = """
[[option]]
name = "Now"
present = true
heating = { kind = "electric resistance" }
cooling = { kind = "air conditioner", unit = "window-8" }
"""
ALIKE = """
[[option]]
name = "Alike"
heating = { kind = "electric resistance" }
cooling = { kind = "air conditioner", unit = "window-8" }
load_factor = 0.9
installed_cost = 500
"""
PUMP = """
[[option]]
name = "Pump"
heating = { kind = "heat pump", unit = "single-speed-24", BACKUP }
cooling = { kind = "heat pump", unit = "single-speed-24" }
COST
""".replace("BACKUP", 'backup = { heater = { kind = "electric resistance" } }')


def run(folder: Path, options: str, *, cooling: str = "7 kBtu/h", price: str = FLAT) -> Comparison:
    file = folder / "room.toml"
    file.write_text(ROOM.replace("COOLING", cooling).replace("PRICE", price) + options, "utf-8")
    return compare(file)


def named(comparison: Comparison, name: str) -> Outcome:
    return next(one for one in comparison.outcomes if one.name == name)


def printed(*arguments: str) -> str:
    result = CliRunner().invoke(app, ["compare", *arguments], catch_exceptions=False)
    return result.stdout


def test_who_is_no_shorter_than_what_is_there_keeps_its_payback_and_is_not_first(
    tmp_path: Path,
) -> None:
    comparison = run(tmp_path, NOW + ALIKE, cooling="9.5 kBtu/h")
    alike = named(comparison, "Alike")
    assert alike.short_of == ("cooling",)
    assert alike.cooling_unmet_share > UNMET_LIMIT
    assert alike.comparable
    assert not alike.carries
    assert comparison.cheapest is None
    text = printed(str(tmp_path / "room.toml"), "--money")
    assert "does not carry the" in text
    assert "cooling load" in text
    row = next(line for line in text.splitlines() if line.startswith("Alike"))
    saving = named(comparison, "Now").yearly_cost - alike.yearly_cost
    assert f"{-round(saving)}" in row.split()


def test_the_notice_says_in_which_hours_cooling_is_short(tmp_path: Path) -> None:
    comparison = run(tmp_path, NOW + ALIKE, cooling="9.5 kBtu/h")
    now, weather = named(comparison, "Now"), comparison.model.weather
    unmet = now.result.hourly()["cooling_unmet_kwh"].to_numpy()
    lowest_f = weather.outdoor_c[unmet > 0].min() * 1.8 + 32.0
    text = next(note.text for note in comparison.notices if note.text.startswith("Now"))
    assert f"in {np.count_nonzero(unmet > 0)} hours at {lowest_f:.0f} °F or more" in text
    assert f"{now.cooling_unmet_share:.1%}" in text


def test_the_gravest_shortfall_is_told_first(tmp_path: Path) -> None:
    tiny = """
[[option]]
name = "Tiny"
heating = { kind = "electric resistance", capacity = "0.5 kW" }
cooling = { kind = "air conditioner", unit = "window-8" }
"""
    comparison = run(tmp_path, NOW + ALIKE + tiny, cooling="9.5 kBtu/h")
    told = [note.text for note in comparison.notices if note.topic == "capacity"]
    assert told[0].startswith("Tiny does not carry the heating load")


def test_a_heater_without_a_size_has_no_number_for_its_output(tmp_path: Path) -> None:
    comparison = run(tmp_path, NOW + PUMP.replace("COST", "installed_cost = 4000"))
    coverage = named(comparison, "Pump").coverage
    assert coverage is not None
    assert coverage.design_output_w == np.inf
    assert coverage.design_pump_w is not None
    # two tons at 47 degF give clearly less, and not nothing, at 15 degF
    assert 2000.0 < coverage.design_pump_w < 7000.0
    there = named(comparison, "Now").coverage
    assert there is not None
    assert there.design_pump_w is None
    names = slugs(one.name for one in comparison.outcomes)
    options = json.loads(result_text(comparison, names))["options"]
    found = next(one for one in options if one["name"] == "Pump")
    assert found["coverage"]["design_output_w"] is None
    assert found["coverage"]["design_heat_pump_w"] == pytest.approx(coverage.design_pump_w)


def test_a_heater_with_a_size_keeps_its_number(tmp_path: Path) -> None:
    heater = NOW.replace(
        '{ kind = "electric resistance" }', '{ kind = "electric resistance", capacity = "5 kW" }'
    )
    coverage = named(run(tmp_path, heater), "Now").coverage
    assert coverage is not None
    assert coverage.design_output_w == pytest.approx(5000.0)


def test_without_an_installed_cost_there_is_no_payback(tmp_path: Path) -> None:
    comparison = run(tmp_path, NOW + PUMP.replace("COST", ""))
    pump = named(comparison, "Pump")
    assert pump.against_present is not None
    assert pump.against_present.payback.years is None
    assert pump.against_present.payback.words == "not known: no installed cost is given"
    assert pump.against_present.payback.yearly_saving > 100.0
    assert any(
        note.topic == "installed cost" and "Pump" in note.text for note in comparison.notices
    )
    money = next(one for one in option_money(comparison) if one.name == "Pump")
    assert money.against_present is None
    text = printed(str(tmp_path / "room.toml"), "--money")
    assert "unknown" in text
    assert "no installed cost is given for Pump" in " ".join(text.split())
    assert "costs nothing extra" not in text


def test_an_installed_cost_of_nothing_is_a_cost(tmp_path: Path) -> None:
    comparison = run(tmp_path, NOW + PUMP.replace("COST", "installed_cost = 0"))
    pump = named(comparison, "Pump")
    assert pump.against_present is not None
    assert pump.against_present.payback.years == 0.0
    assert not any(note.topic == "installed cost" for note in comparison.notices)


def test_a_tariff_without_other_use_says_so_under_the_table(tmp_path: Path) -> None:
    rate = data_file("examples", "flat-rate.toml").read_bytes()
    (tmp_path / "flat-rate.toml").write_bytes(rate)
    comparison = run(tmp_path, NOW + ALIKE, price='tariff = "flat-rate.toml"')
    assert any(note.topic == "other use" for note in comparison.notices)
    assert "as in an empty house" in " ".join(printed(str(tmp_path / "room.toml")).split())
    used = 'tariff = "flat-rate.toml"\nother_use_kwh = ' + str([400] * 12)
    again = run(tmp_path, NOW + ALIKE, price=used)
    assert not any(note.topic == "other use" for note in again.notices)


def test_loads_above_those_of_any_house_are_refused_with_both_units(tmp_path: Path) -> None:
    with pytest.raises(EnergyModelError) as caught:
        run(tmp_path, NOW, cooling="7000 kBtu/h")
    assert "more than any room or house needs" in str(caught.value)
    assert "1,000 kW (3,412 kBtu/h)" in str(caught.value)


def test_a_design_temperature_that_many_hours_pass_is_flagged(tmp_path: Path) -> None:
    file = tmp_path / "room.toml"
    text = ROOM.replace("COOLING", "7 kBtu/h").replace("PRICE", FLAT) + NOW
    file.write_text(text.replace('"15 degF"', '"10 degC"'), "utf-8")
    comparison = compare(read_scenario(file))
    colder = np.mean(comparison.model.weather.outdoor_c < 10.0)
    note = next(note for note in comparison.notices if "design temperature" in note.text)
    assert f"of 50 °F is passed in {colder:.0%} of the hours" in note.text
    assert not any("design temperature" in one.text for one in run(tmp_path, NOW).notices)


def test_the_load_line_says_what_is_left_after_gains(tmp_path: Path) -> None:
    run(tmp_path, NOW + ALIKE)
    # the line from 70 degF at 9 kBtu/h to 15 degF, shifted to its balance at 60 degF: 9 x 45/55
    assert "heating 9.0 kBtu/h at 15 °F (7.4 kBtu/h after gains)" in printed(
        str(tmp_path / "room.toml")
    )


def test_numbers_are_not_cut_when_they_are_wide(tmp_path: Path) -> None:
    run(tmp_path, NOW + ALIKE, price='energy = 20\nper = "kWh"')
    lines = printed(str(tmp_path / "room.toml")).splitlines()
    heads = next(line for line in lines if line.startswith("Option"))
    assert heads.split()[-1] == "hour"
    assert next(line for line in lines if line.startswith("Now")).split()[-1] == "100%"


def test_columns_asked_for_by_the_environment_are_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run(tmp_path, NOW + PUMP.replace("COST", ""))
    monkeypatch.setenv("COLUMNS", "200")
    text = printed(str(tmp_path / "room.toml"))
    assert max(len(line.rstrip()) for line in text.splitlines()) > 150


def test_tariffs_are_read_before_anything_is_printed_or_written(tmp_path: Path) -> None:
    run(tmp_path, NOW + ALIKE)
    out = tmp_path / "out"
    result = CliRunner().invoke(
        app,
        [
            "compare", str(tmp_path / "room.toml"), "--tariff", str(tmp_path / "none.toml"),
            "--out", str(out), "--workbook", str(tmp_path / "w.xlsx"),
        ],
    )  # fmt: skip
    assert isinstance(result.exception, EnergyModelError)
    assert "none.toml" in str(result.exception)
    assert result.stdout == ""
    assert not out.exists()
    assert not (tmp_path / "w.xlsx").exists()


def test_a_kept_heater_that_must_be_replaced_is_told(tmp_path: Path) -> None:
    anyway = 'replaced_anyway = { name = "baseboards", cost = 900, year = 3 }\n'
    present, _, rest = NOW.partition("heating =")
    text = present + anyway + "heating =" + rest
    told = [note.text for note in run(tmp_path, text + ALIKE).notices if "replaced" in note.text]
    assert len(told) == 1
    assert told[0].startswith("Alike keeps the heating of Now, which must be replaced in year 3")
    again = run(tmp_path, text + ALIKE + anyway)
    assert not any("must be replaced" in note.text for note in again.notices)


def test_a_payback_no_equipment_lives_to_see_is_told_as_over_a_hundred_years(
    tmp_path: Path,
) -> None:
    run(tmp_path, NOW + PUMP.replace("COST", "installed_cost = 1e9"))
    row = next(
        line
        for line in printed(str(tmp_path / "room.toml")).splitlines()
        if line.startswith("Pump")
    )
    assert ">100" in row.split()
    assert simple_payback(extra_cost=1e9, yearly_saving=100.0).words == "over 100 years"


def test_a_tariff_in_another_currency_is_refused(tmp_path: Path) -> None:
    rate = data_file("examples", "flat-rate.toml").read_text("utf-8")
    (tmp_path / "rate.toml").write_text(rate.replace('"USD"', '"EUR"'), "utf-8")
    with pytest.raises(EnergyModelError) as caught:
        run(tmp_path, NOW + ALIKE, price='tariff = "rate.toml"')
    assert "is in EUR, the scenario in USD" in str(caught.value)
    assert "price.electricity.tariff" in str(caught.value)


def test_without_any_installed_cost_the_files_are_written_without_a_cash_flow(
    tmp_path: Path,
) -> None:
    run(tmp_path, NOW + PUMP.replace("COST", ""))
    printed(str(tmp_path / "room.toml"), "--out", str(tmp_path / "out"))
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"annual.csv", "result.json", "yearly-cost.png"} <= names
    assert not any(name.startswith("cash-flow") for name in names)


def test_the_lowest_that_carries_is_not_called_less_when_it_costs_more(tmp_path: Path) -> None:
    dear = PUMP.replace("COST", "installed_cost = 60000")
    comparison = run(tmp_path, NOW + dear, cooling="9.5 kBtu/h")
    assert named(comparison, "Now").short_of == ("cooling",)
    text = " ".join(printed(str(tmp_path / "room.toml"), "--money").split())
    assert "Pump of those that carry the load has the lowest life-cycle cost: about $" in text
    assert "more than what is there now over 15 years" in text
    assert "$-" not in text
