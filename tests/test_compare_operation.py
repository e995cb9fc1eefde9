"""What runs in a comparison: backup with and instead, lock-outs, idle power, load factor."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from energymodel.datafiles import data_file
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.units import KWH_PER_THERM, c_from_f

ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
ua = "400 Btu/(h degF)"
design_temperature = "17 degF"
balance_temperature = "62 degF"
[room.cooling]
design_load = "16 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
[price.electricity]
energy = 0.20
per = "kWh"
[price.natural_gas]
energy = 1.50
per = "therm"
fixed = "10 per month"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
"""
PUMP = """
[[option]]
name = "Pump"
cooling = { kind = "heat pump", unit = "single-speed-24" }
[option.heating]
kind = "heat pump"
unit = "single-speed-24"
"""
STRIPS = 'backup = { heater = { kind = "electric resistance" } }\n'
FURNACE = """off = "30 degF"
ducts = { efficiency = 0.80 }
backup = { runs = "RUNS", heater = { kind = "furnace", fuel = "natural gas", afue = 0.90,
  output = "60 kBtu/h", blower = "300 W", in_service = 1.0 } }
""".replace(",\n ", ",")
MONTHS = pd.date_range("2023-01-01", periods=8760, freq="h").month.to_numpy()
OFF_C = c_from_f(30.0)
Run = Callable[[str], Comparison]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    def of(text: str) -> Comparison:
        file = tmp_path / "room.toml"
        file.write_text(text, "utf-8")
        return compare(file)

    return of


def pump(comparison: Comparison) -> Outcome:
    return next(one for one in comparison.outcomes if one.name == "Pump")


def test_a_load_factor_scales_the_load_and_the_cost_of_resistance(run: Run) -> None:
    sealed = """
[[option]]
name = "Sealed"
heating = { kind = "electric resistance" }
load_factor = 0.85
installed_cost = 500
"""
    comparison = run(ROOM + sealed)
    present = comparison.present
    one = next(one for one in comparison.outcomes if one.name == "Sealed")
    assert present is not None
    assert one.yearly_cost == pytest.approx(0.85 * present.yearly_cost)
    assert one.against_present is not None
    assert one.against_present.payback.years == pytest.approx(500 / 0.15 / present.yearly_cost)


def test_strips_take_what_the_heat_pump_leaves(run: Run) -> None:
    one = pump(run(ROOM + PUMP + STRIPS))
    table = one.result.hourly()
    strips = table["heating_electricity_backup_kwh"]
    left = table["heating_load_kwh"] - table["heating_pump_heat_kwh"]
    assert strips.to_numpy() == pytest.approx(left.to_numpy(), abs=1e-9)
    assert strips.sum() > 0
    assert one.coverage is not None
    assert one.coverage.unmet_kwh == pytest.approx(0.0, abs=1e-9)
    assert one.failure is not None
    assert not one.failure.borrowed
    month = table["heating_load_kwh"].groupby(MONTHS).sum().max()
    assert one.failure.cost == pytest.approx(0.20 * month)


def test_a_furnace_instead_takes_over_below_the_cut_out(run: Run) -> None:
    one = pump(run(ROOM + PUMP + FURNACE.replace("RUNS", "instead")))
    table = one.result.hourly()
    cold = (table["outdoor_c"] <= OFF_C).to_numpy()
    load = table["heating_load_kwh"].to_numpy()
    assert table["heating_pump_heat_kwh"].to_numpy()[cold].sum() == 0.0
    assert table["heating_delivered_kwh"].to_numpy()[cold] == pytest.approx(load[cold])
    # Furnace at full fire: output + blower heat; fuel = run share x input; ducts 0.80.
    output_kw = 60.0 / 3.412141633
    share = load[cold] / 0.80 / (output_kw + 0.3)
    fuel = table["heating_fuel_natural_gas_kwh"].to_numpy()
    assert fuel[cold] == pytest.approx(share * output_kw / 0.90)
    mild = table["outdoor_c"].to_numpy() > OFF_C + 15.0
    assert fuel[mild].sum() == 0.0


def test_a_separate_furnace_runs_with_the_heat_pump_and_closes_the_hour(run: Run) -> None:
    text = FURNACE.replace("RUNS", "with")
    one = pump(run(ROOM + PUMP + text))
    table = one.result.hourly()
    given = table["heating_delivered_kwh"] + table["heating_unmet_kwh"]
    assert given.to_numpy() == pytest.approx(table["heating_load_kwh"].to_numpy())
    instead = pump(run(ROOM + PUMP + text.replace('"with"', '"instead"')))
    burned = [each.energy_kwh["natural gas"] for each in (one, instead)]
    assert burned[0] < burned[1]


def test_two_carriers_are_priced_apart_and_open_the_gas_account(run: Run) -> None:
    comparison = run(ROOM + PUMP + FURNACE.replace("RUNS", "instead"))
    one = pump(comparison)
    gas = one.energy_kwh["natural gas"] / KWH_PER_THERM * 1.50
    power = one.energy_kwh["electricity"] * 0.20
    assert one.yearly_cost == pytest.approx(gas + power + 120.0)
    assert one.standing_charges == {"natural gas": 120.0}
    assert comparison.present is not None
    assert comparison.present.standing_charges == {}
    assert one.failure is not None
    assert one.failure.cost != pytest.approx(one.failure.normal_cost)


def test_baseboards_behind_a_ducted_heat_pump_are_strips_and_a_boiler_is_not(run: Run) -> None:
    ducts = "ducts = { efficiency = 0.80 }\n"
    boiler = 'backup = { heater = { kind = "boiler", fuel = "natural gas", afue = 0.90 } }\n'
    inside = pump(run(ROOM + PUMP + ducts + STRIPS)).result.hourly()
    cold = inside["heating_electricity_backup_kwh"].to_numpy()
    lost = inside["heating_duct_loss_kwh"].to_numpy()
    whole = inside["heating_delivered_kwh"].to_numpy()
    assert lost[cold > 0] == pytest.approx(0.25 * whole[cold > 0])
    outside = pump(run(ROOM + PUMP + ducts + boiler)).result.hourly()
    at_pump = outside["heating_pump_heat_kwh"].to_numpy()
    assert outside["heating_duct_loss_kwh"].to_numpy() == pytest.approx(0.20 * at_pump)


def test_a_backup_lock_out_leaves_mild_shortfalls_to_nobody(run: Run) -> None:
    locked = STRIPS.replace(" } }", ' }, off_above = "8 degF" }')
    one = pump(run(ROOM + PUMP + locked))
    table = one.result.hourly()
    strips = table["heating_electricity_backup_kwh"].to_numpy()
    assert strips[table["outdoor_c"].to_numpy() > c_from_f(8.0)].sum() == 0.0
    assert one.coverage is not None
    assert one.coverage.unmet_kwh > 0
    assert not one.carries


def test_months_without_cooling_cool_nothing(run: Run) -> None:
    closed = ROOM.replace(
        'balance_temperature = "68 degF"',
        'balance_temperature = "68 degF"\nmonths_without = ["Apr", "May", "Oct"]',
    )
    with_all, one = pump(run(ROOM + PUMP + STRIPS)), pump(run(closed + PUMP + STRIPS))
    before = with_all.result.month_totals("cooling_load_kwh")
    after = one.result.month_totals("cooling_load_kwh")
    gone = np.array([3, 4, 9])
    assert before[gone].min() > 0
    assert after[gone] == pytest.approx(0.0)
    kept = np.setdiff1d(np.arange(12), gone)
    assert after[kept] == pytest.approx(before[kept])
    assert one.yearly_cost < with_all.yearly_cost


def test_a_unit_that_is_switched_off_in_named_months_draws_nothing_idle(run: Run) -> None:
    off = PUMP.replace('name = "Pump"', 'name = "Pump"\nmonths_off = ["Apr", "Oct"]')
    always, one = pump(run(ROOM + PUMP + STRIPS)), pump(run(ROOM + off + STRIPS))

    def idle(outcome: Outcome) -> np.ndarray:
        return np.asarray(
            outcome.result.idle_by_month("heating") + outcome.result.idle_by_month("cooling")
        )

    assert idle(always).min() > 0
    assert idle(one)[[3, 9]] == pytest.approx(0.0)
    kept = [0, 1, 2, 4, 5, 6, 7, 8, 10, 11]
    assert idle(one)[kept] == pytest.approx(idle(always)[kept])


def test_idle_power_of_a_month_belongs_to_its_larger_load(run: Run) -> None:
    one = pump(run(ROOM + PUMP + STRIPS)).result
    heats = one.month_totals("heating_load_kwh") > one.month_totals("cooling_load_kwh")
    assert heats.tolist() == [True] * 4 + [False] * 5 + [True] * 3
    heating, cooling = one.idle_by_month("heating"), one.idle_by_month("cooling")
    assert (heating > 0).tolist() == heats.tolist()
    assert (cooling > 0).tolist() == (~heats).tolist()
    # Greensboro, single-speed-24: idle power of waiting hours is its controls and its crankcase
    # heater, so a month of it lies between controls alone and both (744 h).
    table = one.hourly()
    columns = [name for name in table if str(name).startswith("idle_electricity_")]
    by_month = table[columns].sum(axis=1).groupby(MONTHS).sum().to_numpy()
    assert heating + cooling == pytest.approx(by_month)


def test_the_seasonal_cop_has_idle_power_in_it_and_the_system_cop_has_not(run: Run) -> None:
    one = pump(run(ROOM + PUMP + STRIPS)).result
    heat = one.total("heating_delivered_kwh")
    own = sum(one.total(name) for name in one.names("heating", "electricity"))
    assert one.cop_system("heating") == pytest.approx(heat / own)
    season = heat / (own + one.idle_by_month("heating").sum())
    assert one.cop_season("heating") == pytest.approx(season)
    unit, system = one.cop_unit("heating"), one.cop_system("heating")
    assert unit is not None
    assert system is not None
    assert season < system < unit


def test_a_dry_room_loads_a_moist_unit_by_its_sensible_part(run: Run) -> None:
    unit = data_file("equipment", "window-8.toml").read_text("utf-8")
    unit = unit.replace("[cooling]", "[cooling]\nsensible_heat_ratio = 0.70")
    lines = unit.replace("[cooling]", "[unit.own.cooling]").replace("[idle]", "[unit.own.idle]")
    lines = "[unit.own]\n" + lines.replace("[sources]", "[unit.own.sources]")
    option = '[[option]]\nname = "Pump"\ncooling = { kind = "air conditioner", unit = "own" }\n'
    small = ROOM.replace("16 kBtu/h", "5 kBtu/h")
    loads = []
    for ratio in ("", "\nsensible_heat_ratio = 0.84", "\nsensible_heat_ratio = 0.60"):
        room = small.replace('temperature = "68 degF"', f'temperature = "68 degF"{ratio}')
        comparison = run(room + option + lines)
        loads.append(pump(comparison).result.total("cooling_load_kwh"))
    # Load on the unit = max(total, sensible / ratio of the unit): 0.84 / 0.70 = 1.2 times.
    assert loads[1] == pytest.approx(1.2 * loads[0])
    assert loads[2] == pytest.approx(loads[0])
    assert any(note.topic == "moisture" for note in comparison.notices)


def test_the_example_house_runs_and_its_old_furnace_is_as_by_hand() -> None:
    comparison = compare(data_file("scenarios", "house.toml"))
    present = comparison.present
    assert present is not None
    assert len(comparison.outcomes) == 7
    table = present.result.hourly()
    load = table["heating_load_kwh"].to_numpy()
    # Output 60 kBtu/h and blower 450 W into ducts of 0.80; steady state 0.78, cycling 0.10, pilot
    # 180 W all year, in service 0.98.
    output_kw = 60.0 / 3.412141633
    share = load / 0.80 / (output_kw + 0.45)
    firing = share / (1.0 - 0.10 * (1.0 - share)) * output_kw / 0.78 / 0.98
    by_hand = firing.sum() + 0.180 * 8760
    assert present.energy_kwh["natural gas"] == pytest.approx(by_hand, rel=1e-6)
    zone = next(one for one in comparison.outcomes if one.name.startswith("Ductless"))
    hours = zone.result.hourly()
    given = hours["heating_pump_heat_kwh"].to_numpy()
    # zone 0.45 of the house, doors open to 0.30 of the rest
    assert np.all(given <= (0.45 + 0.30 * 0.55) * load + 1e-9)
    assert 0.0 < zone.energy_kwh["natural gas"] < present.energy_kwh["natural gas"]
    leaves = next(one for one in comparison.outcomes if one.closed_accounts)
    assert leaves.standing_charges == {"natural gas": pytest.approx(-144.0)}
