"""Sweeps: the same numbers as single comparisons, by whichever path."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.scenario.changes import changed
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.scenario.place import Place, place_weather
from energymodel.season.result import AnnualResult
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Outcome
from energymodel.study.sweep.sweep import SweepResult, sweep
from energymodel.weather.year import WeatherYear

ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9.5 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[room.cooling]
design_load = "8 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
months_without = ["Apr"]
[price.electricity]
energy = 0.14
per = "kWh"
fixed = "12 per month"
[price.natural_gas]
energy = 1.25
per = "therm"
fixed = "15 per month"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Furnace"
heating = { kind = "furnace", fuel = "natural gas", afue = 0.80, ducts = { efficiency = 0.75 } }
installed_cost = 2900
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-standard-9" }
cooling = { kind = "heat pump", unit = "inverter-standard-9" }
installed_cost = 3600
[emissions]
grid = "SRVC"
"""
TARIFF = """
name = "Invented time of use"
currency = "USD"
effective = 2026-01-01
[[fixed]]
name = "Customer charge"
price = "12 per month"
[[energy]]
name = "Energy"
[[energy.period]]
name = "on-peak"
price = 0.24
when = [ { days = "weekdays", hours = ["6-9", "17-20"] } ]
[[energy.period]]
name = "off-peak"
blocks = [ { up_to = "500 kWh per month", price = 0.09 }, { price = 0.12 } ]
"""
COLUMNS = {
    "yearly_cost": lambda one: one.yearly_cost,
    "like_cost": lambda one: one.like_cost,
    "installed_cost": lambda one: one.planned.table.installed_cost,
    "heating_cost": lambda one: one.service_cost.get("heating"),
    "cooling_cost": lambda one: one.service_cost.get("cooling"),
    "heating_cop": lambda one: one.result.cop_season("heating"),
    "cooling_cop": lambda one: one.result.cop_season("cooling"),
    "heating_unmet_kwh": lambda one: one.result.total("heating_unmet_kwh"),
    "co2e_kg": lambda one: one.emissions.co2e_kg,
    "electricity_kwh": lambda one: one.energy_kwh.get("electricity", 0.0),
    "natural_gas_kwh": lambda one: one.energy_kwh.get("natural gas", 0.0),
    "saving": lambda one: one.against_present and one.against_present.payback.yearly_saving,
    "payback_years": lambda one: one.against_present and one.against_present.payback.years,
    "carries": lambda one: one.carries,
    "present": lambda one: one.present,
}


def _scenario(folder: Path, sweep_table: str, text: str = ROOM) -> Scenario:
    file = folder / "room.toml"
    file.write_text(text + sweep_table, "utf-8")
    return read_scenario(file)


def _values(row: Mapping[str, object], paths: tuple[str, ...]) -> dict[str, object]:
    return {path: row[path] for path in paths}


def _check_rows(result: SweepResult, scenario: Scenario, every: int = 1) -> None:
    """Hold rows of a sweep against comparisons of scenarios changed by hand."""
    assert result.years is not None
    good = result.years[result.years["option"].notna()]
    for number in good["variant"].unique()[::every]:
        rows = good[good["variant"] == number]
        changes = {**_values(rows.iloc[0].to_dict(), result.plan.paths), "sweep": None}
        outcomes = {one.name: one for one in compare(changed(scenario, changes)).outcomes}
        for row in rows.to_dict("records"):
            _check_row(row, outcomes[str(row["option"])])


def _check_row(row: Mapping[str, object], outcome: Outcome) -> None:
    for name, get in COLUMNS.items():
        expected = get(outcome)
        if expected is None:
            assert np.isnan(row[name]), name  # type: ignore[call-overload]
        else:
            assert row[name] == pytest.approx(expected, rel=1e-12, abs=1e-10), name


LOADS = """
[sweep]
[sweep.grid]
price.electricity.energy = [0.10, 0.20]
price.natural_gas.energy = [0.9, 1.8]
room.heating.design_load = { from = "7 kBtu/h", to = "14 kBtu/h", steps = 3 }
room.cooling.balance_temperature = ["66 degF", "70 degF"]
"""
FACTORS = """
[sweep]
[sweep.grid]
option.Inverter.heating.in_service = [0.8, 0.9]
option.Inverter.cooling.in_service = [0.85, 0.95]
option.Furnace.heating.in_service = [0.9, 0.98]
option.Inverter.load_factor = [0.7, 1.0]
option.Inverter.installed_cost = [0, 5000]
"""


@pytest.mark.parametrize("grid", [LOADS, FACTORS], ids=["loads and prices", "factors and costs"])
def test_a_batch_gives_the_numbers_of_single_comparisons(tmp_path: Path, grid: str) -> None:
    scenario = _scenario(tmp_path, grid)
    result = sweep(scenario)
    assert result.years is not None
    assert set(result.years["run"]) == {"batch"}
    assert result.summary.batch == result.plan.count
    _check_rows(result, scenario, every=5)


def test_places_and_units_run_one_by_one_where_few_variants_share_them(tmp_path: Path) -> None:
    scenario = _scenario(
        tmp_path,
        '\n[sweep.grid]\nplace.weather = ["miami-fl", "greensboro-nc"]\n'
        '"option.Inverter.heating.unit, option.Inverter.cooling.unit" ='
        ' ["inverter-standard-9", "inverter-cold-climate-9"]\n',
    )
    result = sweep(scenario)
    assert result.years is not None
    assert len(result.years) == 2 * 2 * 3
    assert set(result.years["run"]) == {"one by one"}
    units = result.years["option.Inverter.heating.unit"]
    assert (units == result.years["option.Inverter.cooling.unit"]).all()
    _check_rows(result, scenario)


def test_the_weather_of_a_place_is_read_once_whatever_varies(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from energymodel.scenario import assemble
    from energymodel.study.sweep import weather as sweep_weather

    read: list[str] = []

    def noted(place: Place, folder: Path) -> WeatherYear:
        read.append(place.weather)
        return place_weather(place, folder)

    monkeypatch.setattr(assemble, "place_weather", noted)
    monkeypatch.setattr(sweep_weather, "place_weather", noted)
    grid = """
[sweep.grid]
place.weather = ["miami-fl", "greensboro-nc"]
room.indoor.heating = ["68 degF", "70 degF"]
"""
    result = sweep(_scenario(tmp_path, grid))
    assert result.summary.variants == 4
    assert read == ["miami-fl", "greensboro-nc"]


def test_tariffs_run_in_a_batch_and_as_single_comparisons_bill_them(tmp_path: Path) -> None:
    (tmp_path / "day.toml").write_text(TARIFF, "utf-8")
    (tmp_path / "dear.toml").write_text(TARIFF.replace("0.24", "0.40"), "utf-8")
    grid = """
[sweep.grid]
price.electricity.tariff = ["day.toml", "dear.toml"]
price.natural_gas.energy = [0.9, 1.8]
room.heating.design_load = { from = "7 kBtu/h", to = "14 kBtu/h", steps = 4 }
"""
    scenario = _scenario(tmp_path, grid)
    result = sweep(scenario)
    assert result.summary.batch == 16
    _check_rows(result, scenario, every=7)


def test_month_rows_add_up_to_the_years_and_are_those_of_a_comparison(tmp_path: Path) -> None:
    scenario = _scenario(tmp_path, LOADS.replace("[sweep]\n", "[sweep]\nmonths = true\n"))
    result = sweep(scenario)
    assert result.years is not None
    assert result.months is not None
    assert len(result.months) == 12 * len(result.years)
    sums = result.months.groupby(["variant", "option"], observed=True)
    kwh = sums[["electricity_kwh", "natural_gas_kwh"]].sum().to_numpy()
    years = result.years.set_index(["variant", "option"])
    assert np.allclose(kwh, years[["electricity_kwh", "natural_gas_kwh"]].to_numpy(), rtol=1e-12)
    one = compare(
        changed(scenario, {"price.electricity.energy": 0.1, "sweep": None, **_first(result)})
    )
    outcome = next(one_ for one_ in one.outcomes if one_.name == "Inverter")
    rows = result.months[(result.months["variant"] == 1) & (result.months["option"] == "Inverter")]
    for service in ("heating", "cooling"):
        cost = outcome.cost_by_month[service]
        assert rows[f"{service}_cost"].to_numpy() == pytest.approx(cost, rel=1e-12, abs=1e-12)


def _first(result: SweepResult) -> dict[str, object]:
    assert result.years is not None
    return _values(result.years.iloc[0].to_dict(), result.plan.paths)


def test_refused_variants_are_listed_with_their_reason_and_do_not_stop_the_rest(
    tmp_path: Path,
) -> None:
    grid = """
[sweep.grid]
room.heating.balance_temperature = ["60 degF", "69 degF"]
price.electricity.energy = [0.1, -0.1, 0.2, 0.3, 0.4]
"""
    result = sweep(_scenario(tmp_path, grid))
    assert result.years is not None
    refused = result.years[result.years["option"].isna()]
    assert len(result.years) == 4 * 3 + 6
    assert result.summary.refused == len(refused) == 6
    reasons = dict(zip(refused["variant"], refused["refused"], strict=True))
    assert "-0.1 cannot be used" in reasons[2]
    assert "69 degF (20.6 degC), lies above the cooling balance" in reasons[6]
    assert refused["yearly_cost"].isna().all()


def test_all_variants_refused_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="every one of the 2 variants is refused"):
        sweep(_scenario(tmp_path, "\n[sweep.grid]\nprice.electricity.energy = [-1, -2]\n"))


def test_a_table_names_its_variants_and_an_empty_cell_means_as_written(tmp_path: Path) -> None:
    (tmp_path / "variants.csv").write_text(
        "label,price.electricity.energy,room.heating.design_load,place.weather\n"
        "base,,,\ndear,0.2,8 kBtu/h,\nsouth,,,miami-fl\n",
        "utf-8",
    )
    scenario = _scenario(tmp_path, '\n[sweep]\ntable = "variants.csv"\n')
    result = sweep(scenario)
    assert result.years is not None
    rows = result.years[result.years["option"] == "Inverter"].set_index("label")
    base = compare(changed(scenario, {"sweep": None}))
    expected = next(one for one in base.outcomes if one.name == "Inverter").yearly_cost
    assert rows.loc["base", "yearly_cost"] == expected
    assert rows["price.electricity.energy"].tolist() == [0.14, 0.2, 0.14]
    assert rows.loc["south", "yearly_cost"] != expected


def test_a_table_may_name_a_tariff_in_one_row_and_a_flat_price_in_another(tmp_path: Path) -> None:
    (tmp_path / "day.toml").write_text(TARIFF, "utf-8")
    (tmp_path / "variants.csv").write_text(
        "label,price.electricity.tariff,price.electricity.energy\na,day.toml,\nb,,0.2\nc,,\n,,\n",
        "utf-8",
    )
    scenario = _scenario(tmp_path, '\n[sweep]\ntable = "variants.csv"\n')
    result = sweep(scenario)
    assert result.years is not None
    costs = result.years[result.years["option"] == "Baseboard"]["yearly_cost"].tolist()
    singles = [
        {"price.electricity.tariff": "day.toml"}, {"price.electricity.energy": 0.2}, {},
    ]  # fmt: skip
    for cost, changes in zip(costs, singles, strict=True):
        present = compare(changed(scenario, {"sweep": None, **changes})).present
        assert present is not None
        assert cost == pytest.approx(present.yearly_cost, rel=1e-12)


WRONG = [
    ("price.electricity.enrgy = [1]", "did you mean price.electricity.energy?"),
    ("option.Invertr.installed_cost = [1]", "did you mean option.Inverter?"),
    ("price.electricity.energy = 0.1", "has one value"),
    ("price.electricity.energy = []", "has no value"),
    ("price.electricity.energy = [0.1, 0.1]", "lists 0.1 twice"),
    ("price.electricity.energy = { from = 1, to = 2 }", "from, to and steps"),
    ('price.electricity.energy = { from = 1, to = "2 kW", steps = 3 }', "with the same unit"),
    ("option.Inverter.name = ['a', 'b']", "cannot vary"),
    ('"price..energy" = [1]', "not the name of a field"),
]


@pytest.mark.parametrize(("line", "message"), WRONG, ids=[line for line, _ in WRONG])
def test_a_sweep_that_makes_no_sense_is_refused(tmp_path: Path, line: str, message: str) -> None:
    with pytest.raises(EnergyModelError) as caught:
        sweep(_scenario(tmp_path, f"\n[sweep.grid]\n{line}\n"))
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ("price.electricity.enrgy\n1\n", "did you mean price.electricity.energy?"),
        ("price.electricity.energy\n", "no rows"),
        ("", "the table is empty"),
        ("price.electricity.energy,label\n1\n", "row 2 has 1 cells"),
        ("price.electricity.energy,price.electricity.energy\n1,2\n", "stands twice"),
    ],
)
def test_a_table_that_cannot_be_read_says_why(tmp_path: Path, table: str, message: str) -> None:
    (tmp_path / "t.csv").write_text(table, "utf-8")
    with pytest.raises(EnergyModelError) as caught:
        sweep(_scenario(tmp_path, '\n[sweep]\ntable = "t.csv"\n'))
    assert message in str(caught.value)
    assert "t.csv" in str(caught.value)


def test_a_scenario_without_a_sweep_is_told_how_to_write_one(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="has no sweep"):
        sweep(_scenario(tmp_path, ""))
    with pytest.raises(ManyFaultsError, match="neither a table nor a grid"):
        sweep(_scenario(tmp_path, "\n[sweep]\nmonths = true\n"))


def test_a_range_has_both_ends_and_even_steps(tmp_path: Path) -> None:
    grid = """
[sweep.grid]
price.electricity.energy = { from = 0.1, to = 0.3, steps = 5 }
price.electricity.fixed = { from = "10 per month", to = "11 per month", steps = 3 }
"""
    scenario = _scenario(tmp_path, grid)
    assert scenario.content.sweep is not None
    assert scenario.content.sweep.grid == {
        "price.electricity.energy": [0.1, 0.15, 0.2, 0.25, 0.3],
        "price.electricity.fixed": ["10 per month", "10.5 per month", "11 per month"],
    }


def test_a_batch_that_differs_from_single_comparisons_is_not_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A rule that the batch does not know shows at its first and last variant."""
    scenario = _scenario(tmp_path, LOADS)
    expected = sweep(scenario)
    own = AnnualResult.idle_by_month

    def otherwise(self: AnnualResult, function: str) -> object:
        return own(self, function) + 0.001

    monkeypatch.setattr(AnnualResult, "idle_by_month", otherwise)
    result = sweep(scenario)
    assert result.years is not None
    assert expected.years is not None
    assert set(result.years["run"]) == {"one by one"}
    assert (result.years["electricity_kwh"] > expected.years["electricity_kwh"]).all()


def test_the_summary_counts_the_cheapest_option_of_every_variant(tmp_path: Path) -> None:
    result = sweep(_scenario(tmp_path, LOADS))
    years = result.years
    assert years is not None
    able = years[years["carries"]]
    best = able.loc[able.groupby("variant")["like_cost"].idxmin()]
    counts = best["option"].value_counts()
    assert {name: counts[name] for name in result.summary.options} == dict(
        zip(result.summary.options, result.summary.cheapest, strict=True)
    )
    field = result.summary.fields[0]
    by_value = pd.crosstab(best["price.electricity.energy"], best["option"])
    assert field.cheapest.tolist() == by_value.reindex(
        columns=list(result.summary.options), fill_value=0
    ).to_numpy().tolist()  # fmt: skip
    savings = years.groupby("option", observed=False)["saving"]
    assert np.allclose(result.summary.saving[:, 0], savings.min(), equal_nan=True)
    assert np.allclose(result.summary.saving[:, 1], savings.max(), equal_nan=True)
    assert result.summary.price_map is not None
    assert result.summary.price_map.sum() == result.summary.cheapest.sum()
