"""Interruptible rates in a scenario: hours without supply, what carries them, what is said.

Loads, rates and prices are invented; what is expected of them is computed beside each check.
"""

from __future__ import annotations

import runpy
from dataclasses import replace
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from energymodel.errors import EnergyModelError
from energymodel.report.comparison.tariff_table import print_ranking
from energymodel.scenario.assemble import assemble
from energymodel.scenario.changes import changed
from energymodel.scenario.files import read_scenario
from energymodel.scenario.supply import ControlledHours
from energymodel.season.annual import annual
from energymodel.season.states import every_hour
from energymodel.study.batch.costs import CostVariants, batch_costs
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.comparison.tariff_ranking import rank_tariffs
from energymodel.study.sweep.sweep import sweep
from energymodel.tariffs.interruption import metered_as_it_was
from energymodel.tariffs.tariff import Tariff
from energymodel.tariffs.toml_form import tariff_from_toml
from energymodel.weather.library import shipped_year

_TOOLS = runpy.run_path(str(Path(__file__).with_name("interruptible_house.py")))
TIERS = _TOOLS["TIERS"]
SEASONS = _TOOLS["SEASONS"]
CONTROL = _TOOLS["CONTROL"]
BY_TARIFF = _TOOLS["BY_TARIFF"]
HEAT_METER = _TOOLS["HEAT_METER"]
write = _TOOLS["write"]
outcome = _TOOLS["outcome"]
hours = _TOOLS["hours"]
electricity = _TOOLS["electricity"]
WEATHER = shipped_year("greensboro-nc")


@pytest.fixture(scope="module")
def on_one_meter(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    rate = TIERS.replace("[[fixed]]", SEASONS + "[[fixed]]", 1) + CONTROL
    return compare(write(tmp_path_factory.mktemp("one"), BY_TARIFF, house=rate))


@pytest.mark.parametrize("name", ["Strips", "Electric furnace"])
def test_compare_runs_no_electric_heat_in_the_hours_that_the_house_tariff_cuts(
    on_one_meter: Comparison, name: str
) -> None:
    one = outcome(on_one_meter, name)
    table = hours(one)
    assert table["cut"].sum() == 64  # computed: hours of the rule in this typical year
    assert (electricity(table)[table["cut"]] == 0.0).all(axis=None)
    unmet = table["heating_unmet_kwh"][table["cut"]]
    assert (unmet == table["heating_load_kwh"][table["cut"]]).all()
    assert one.coverage is not None
    assert one.coverage.unmet_kwh == pytest.approx(unmet.sum(), rel=1e-9)
    assert not one.carries
    assert "heating" in one.short_of
    assert on_one_meter.cheapest is not one
    hourly_path = annual(one.planned.option, WEATHER, indexing=every_hour)
    assert hourly_path.total("heating_unmet_kwh") == pytest.approx(unmet.sum(), rel=1e-12)


def test_the_notice_names_hours_heat_and_what_carries_it(on_one_meter: Comparison) -> None:
    texts = [one.text for one in on_one_meter.notices if one.topic == "interruption"]
    by_option = {text.partition(":")[0]: text for text in texts}
    assert by_option.keys() == {"Electric furnace", "Strips", "Dual fuel"}
    table = hours(outcome(on_one_meter, "Dual fuel"))
    load = table["heating_load_kwh"][table["cut"]].sum()
    assert f"64 h, with a load of {load:,.0f} kWh of heat" in by_option["Dual fuel"]
    assert f"natural gas carries {load:,.0f} kWh of it" in by_option["Dual fuel"]
    assert f"nothing else of the option carries it. {load:,.0f} kWh stay" in by_option["Strips"]
    assert all("The utility decides the real hours" in text for text in texts)
    capacity = [one.text for one in on_one_meter.notices if one.topic == "capacity"]
    assert any("gives 0% of it while its supply is cut" in text for text in capacity)
    assert not [one for one in on_one_meter.notices if one.topic == "units"]
    used = {one.name: one.value for one in on_one_meter.model.defaults}
    assert used["the household's other use under an interruptible rate"] == "never cut"
    assert "never cut" in used["supply of the fans and pumps of fuel burners"]


def test_the_furnace_burns_gas_in_the_cut_hours_and_carries_the_load(
    on_one_meter: Comparison,
) -> None:
    one = outcome(on_one_meter, "Dual fuel")
    table = hours(one)
    cut = table[table["cut"]]
    assert (cut["heating_fuel_natural_gas_kwh"] > 0).all()
    assert (cut["heating_electricity_compressor_kwh"] == 0.0).all()
    assert one.carries
    # heat from gas: AFUE 0.80, in service 0.98, blower 400 W credited, ducts 0.85
    heat = cut["heating_fuel_natural_gas_kwh"] * 0.80 * 0.98
    heat = (heat + cut["heating_electricity_blower_kwh"]) * 0.85
    assert heat.to_numpy() == pytest.approx(cut["heating_load_kwh"].to_numpy(), rel=1e-9)


@pytest.mark.parametrize("name", ["Strips", "Dual fuel"])
def test_variants_at_once_cost_what_a_comparison_of_each_gives(
    on_one_meter: Comparison, name: str
) -> None:
    comparison = on_one_meter
    one = outcome(comparison, name)
    model = assemble(comparison.model.scenario)
    found = batch_costs(model, one.planned, CostVariants(heating_load_factor=np.array([1.0, 0.7])))
    assert found.total_cost[0] == pytest.approx(one.yearly_cost, rel=1e-9)
    assert found.exact_by == "cells"
    unmet = one.result.total("heating_unmet_kwh") + one.cooling_unmet_kwh
    assert found.unmet_kwh[0] == pytest.approx(unmet, rel=1e-9, abs=1e-9)
    assert found.total_cost[1] < found.total_cost[0]


@pytest.mark.slow
def test_a_sweep_of_loads_equals_the_comparison_of_each_variant(tmp_path: Path) -> None:
    rate = TIERS.replace("[[fixed]]", SEASONS + "[[fixed]]", 1) + CONTROL
    path = write(tmp_path, BY_TARIFF, house=rate)
    loads = [f"{load} kBtu/h" for load in range(20, 28)]
    grid = f"\n[sweep.grid]\nroom.heating.design_load = {loads}\n"
    path.write_text(path.read_text("utf-8") + grid, "utf-8")
    scenario = read_scenario(path)
    years = sweep(scenario).years
    for place in (0, -1):
        comparison = compare(changed(scenario, {"room.heating.design_load": loads[place]}))
        for name in ("Strips", "Dual fuel"):
            wanted, row = outcome(comparison, name), years[years["option"] == name].iloc[place]
            assert row["yearly_cost"] == pytest.approx(wanted.yearly_cost, rel=1e-9)
            assert bool(row["carries"]) == wanted.carries
            unmet = wanted.result.total("heating_unmet_kwh")
            assert row["heating_unmet_kwh"] == pytest.approx(unmet, rel=1e-9, abs=1e-9)


def test_a_tariff_that_leaves_the_load_unmet_is_never_the_best(tmp_path: Path) -> None:
    path = write(tmp_path, BY_TARIFF)
    rate = TIERS.replace("[[fixed]]", SEASONS + "[[fixed]]", 1).replace("0.11", "0.05") + CONTROL
    (tmp_path / "cut.toml").write_text(rate.replace("Tiers", "Cut at times"), "utf-8")
    tariffs = [tmp_path / "house.toml", tmp_path / "cut.toml"]
    ranking = rank_tariffs(read_scenario(path), tariffs)
    assert ranking.house_bill["Strips"][1] < ranking.house_bill["Strips"][0]
    assert ranking.best("Strips") == "Tiers"
    assert ranking.best("Dual fuel") == "Cut at times"
    printed = StringIO()
    print_ranking(Console(file=printed, width=100), ranking)
    (row, _) = (line for line in printed.getvalue().splitlines() if line.startswith("Strips"))
    assert "* " in row
    assert "! " in row


def controlled(rule: str) -> ControlledHours:
    text = f'name = "rate"\n{SEASONS}[[energy]]\nname = "E"\nprice = 0.1\n[[interruption]]\n{rule}'
    tariff: Tariff = tariff_from_toml(text)
    return ControlledHours(tariff=tariff, year_of=tariff)


@pytest.mark.parametrize(
    ("rule", "design_c", "wanted"),
    [
        ('name = "cold"\nat_or_below = "20 degF"', -8.0, True),
        ('name = "cold"\nat_or_below = "20 degF"', -5.0, False),
        ('name = "summer"\nwhen = [{ seasons = "rest", hours = "14-18" }]', -8.0, False),
        ('name = "winter"\nwhen = [{ seasons = "winter", hours = "17-20" }]', -8.0, True),
        # colder than any hour of this year: its coldest month counts
        ('name = "deep"\nat_or_below = "-20 degF"', -30.0, True),
    ],
)
def test_the_design_day_is_cut_where_the_rules_reach_it(
    rule: str, design_c: float, wanted: bool
) -> None:
    assert controlled(rule).possible_at(design_c, WEATHER) is wanted


def test_hours_of_the_clock_need_the_zone_of_the_place() -> None:
    nowhere = replace(WEATHER, site=replace(WEATHER.site, zone=None))
    clock = controlled('name = "evening"\nwhen = [{ hours = "17-20" }]')
    with pytest.raises(EnergyModelError, match="the time zone of the place is not known"):
        clock.hours(nowhere)
    assert controlled('name = "c"\nat_or_below = "20 degF"').hours(nowhere).sum() > 0


def test_a_bill_of_meter_data_says_that_nothing_is_taken_away() -> None:
    (notice,) = metered_as_it_was(tariff_from_toml(HEAT_METER))
    assert "billed as it was metered" in notice.text
    assert "Control" in notice.text
    assert metered_as_it_was(tariff_from_toml(TIERS)) == ()
