"""Options side by side: costs that close with the hours, like services, order, failure."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import UNMET_LIMIT, Comparison, Outcome
from energymodel.units import BTU_PER_KWH, KWH_PER_MMBTU, KWH_PER_THERM, c_from_f

PLACE = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
"""
HEATING = """
[room.heating]
ua = "150 Btu/(h degF)"
design_temperature = "17 degF"
balance_temperature = "62 degF"
"""
COOLING = """
[room.cooling]
design_load = "7 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
"""
POWER_PRICE = """
[price.electricity]
energy = 0.20
per = "kWh"
"""
GAS_PRICE = """
[price.natural_gas]
energy = 1.50
per = "therm"
fixed = "10 per month"
"""
BASEBOARD = """
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
"""
INVERTER = """
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-cold-climate-12" }
cooling = { kind = "heat pump", unit = "inverter-cold-climate-12" }
installed_cost = 4000
"""
HEATER = """
[[option]]
name = "Gas heater"
heating = { kind = "room heater", fuel = "natural gas", afue = 0.80, in_service = 1.0 }
installed_cost = 2000
"""
ROOM = PLACE + HEATING + COOLING + POWER_PRICE + GAS_PRICE
MONTHS = pd.date_range("2023-01-01", periods=8760, freq="h").month.to_numpy()
WINTER_MONTH = 1

Run = Callable[[str], Comparison]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    def of(text: str) -> Comparison:
        file = tmp_path / "room.toml"
        file.write_text(text, "utf-8")
        return compare(file)

    return of


@pytest.fixture(scope="module")
def demo() -> Comparison:
    return compare()


def named(comparison: Comparison, name: str) -> Outcome:
    return next(one for one in comparison.outcomes if one.name == name)


def electricity_kwh(outcome: Outcome, function: str) -> np.ndarray:
    """Electricity of each hour from the hourly table, with the idle power that belongs to it."""
    table = outcome.result.hourly()
    own = [name for name in table if str(name).startswith(f"{function}_electricity_")]
    idle = [name for name in table if str(name).startswith("idle_electricity_")]
    load = {
        service: table.get(f"{service}_load_kwh", pd.Series(np.zeros(8760))).groupby(MONTHS).sum()
        for service in ("heating", "cooling")
    }
    heats = (load["heating"] > load["cooling"]) | (load["cooling"].sum() == 0)
    # a unit that only cools waits for the summer: its idle power is a cost of cooling
    if outcome.planned.heating is None or outcome.planned.heating.idle is None:
        heats = heats & (load["cooling"].sum() == 0)
    belongs = np.isin(MONTHS, heats.index[heats if function == "heating" else ~heats])
    return np.asarray(table[own].sum(axis=1) + table[idle].sum(axis=1) * belongs)


def test_the_demo_puts_what_is_there_first_and_ranks_the_rest_by_cost(demo: Comparison) -> None:
    first, *others = demo.outcomes
    assert first.present
    assert demo.present is first
    able = [one.like_cost for one in others if one.carries]
    assert able == sorted(able)
    assert [one.carries for one in others] == sorted((one.carries for one in others), reverse=True)
    assert demo.cheapest is not None
    assert demo.cheapest.like_cost == min(one.like_cost for one in demo.outcomes if one.carries)


def test_the_demo_costs_are_the_hours_times_the_prices(demo: Comparison) -> None:
    # Propane 91,452 Btu/gal (EIA, Units and calculators, 2019 edition, published).
    propane = 2.60 / (91_452 / BTU_PER_KWH)
    for one in demo.outcomes:
        table = one.result.hourly()
        fuel = [name for name in table if "_fuel_" in str(name)]
        for service, cost in one.service_cost.items():
            burned = (
                table[[name for name in fuel if str(name).startswith(service)]].to_numpy().sum()
            )
            by_hand = electricity_kwh(one, service).sum() * 0.14 + burned * propane
            assert cost == pytest.approx(by_hand, rel=1e-12), (one.name, service)
        whole = one.result.hourly_electricity_kwh().sum() * 0.14
        whole += table[fuel].to_numpy().sum() * propane
        assert one.yearly_cost == pytest.approx(whole, rel=1e-12)
        assert one.energy_kwh["electricity"] == pytest.approx(
            one.result.hourly_electricity_kwh().sum(), rel=1e-12
        )


def test_every_hour_of_the_demo_closes(demo: Comparison) -> None:
    for one in demo.outcomes:
        table = one.result.hourly()
        for service in one.cost_by_month:
            given = table[f"{service}_delivered_kwh"] + table[f"{service}_unmet_kwh"]
            assert given.to_numpy() == pytest.approx(table[f"{service}_load_kwh"].to_numpy())


def test_a_resistance_room_costs_its_degree_hours(run: Run) -> None:
    # Greensboro TMY3 723170 as shipped with pvlib: 4050.4 F d below 65 F by hours (computed).
    room = HEATING.replace('"150 Btu/(h degF)"', '"1 W/K"').replace('"62 degF"', '"65 degF"')
    (one,) = run(PLACE + room + POWER_PRICE + BASEBOARD).outcomes
    kwh = 4050.4 * 24.0 * 5.0 / 9.0 / 1000.0
    assert one.energy_kwh["electricity"] == pytest.approx(kwh, abs=0.05 * 24 / 1800)
    assert one.yearly_cost == pytest.approx(0.20 * kwh, rel=2e-5)
    assert one.service_cost == {"heating": pytest.approx(0.20 * kwh, rel=2e-5)}


def test_the_path_the_scenario_and_nothing_lead_to_the_same_comparison(demo: Comparison) -> None:
    again = compare(read_scenario())
    assert [one.name for one in again.outcomes] == [one.name for one in demo.outcomes]
    assert [one.yearly_cost for one in again.outcomes] == [one.yearly_cost for one in demo.outcomes]


def test_a_gas_heater_costs_load_over_efficiency_times_price(run: Run) -> None:
    one = named(run(ROOM + BASEBOARD + HEATER), "Gas heater")
    load = one.result.total("heating_load_kwh")
    burned = load / 0.80
    assert one.energy_kwh == {"natural gas": pytest.approx(burned)}
    assert one.cost_by_month["heating"].sum() == pytest.approx(burned / KWH_PER_THERM * 1.50)
    # $/MMBtu = price of a million Btu over efficiency: 15.00 / 0.80.
    assert one.cost_per_mmbtu() == pytest.approx(18.75)


@pytest.mark.parametrize(
    ("other_uses", "charge"), [("", 120.0), ("other_uses = false", 120.0), ("other_uses = true", 0)]
)
def test_a_fuel_account_charges_where_an_option_opens_it(
    run: Run, other_uses: str, charge: float
) -> None:
    comparison = run(ROOM.replace("[price.natural_gas]", f"[price.natural_gas]\n{other_uses}")
                     + BASEBOARD + HEATER)  # fmt: skip
    one = named(comparison, "Gas heater")
    energy = one.cost_by_month["heating"].sum()
    assert one.yearly_cost - energy == pytest.approx(charge)
    assert one.cost_per_mmbtu() == pytest.approx(18.75)
    present = named(comparison, "Baseboard")
    assert present.standing_charges == {}
    assert one.against_present is not None
    assert one.against_present.payback.yearly_saving == pytest.approx(
        present.yearly_cost - energy - charge
    )


@pytest.mark.parametrize(("other_uses", "charge"), [("", 0.0), ("other_uses = false", 60.0)])
def test_the_electric_account_is_kept_unless_the_file_says_otherwise(
    run: Run, other_uses: str, charge: float
) -> None:
    price = POWER_PRICE + f'fixed = "5 per month"\n{other_uses}\n'
    (one,) = run(PLACE + HEATING + price + BASEBOARD).outcomes
    assert one.yearly_cost - one.cost_by_month["heating"].sum() == pytest.approx(charge)


def test_payback_counts_like_services_and_lists_new_cooling_apart(run: Run) -> None:
    comparison = run(ROOM + BASEBOARD + INVERTER)
    present, one = named(comparison, "Baseboard"), named(comparison, "Inverter")
    like = one.against_present
    assert like is not None
    saving = present.service_cost["heating"] - one.service_cost["heating"]
    assert like.payback.yearly_saving == pytest.approx(saving)
    assert like.payback.years == pytest.approx(4000.0 / saving)
    assert like.added_comfort == {"cooling": pytest.approx(one.service_cost["cooling"])}
    assert like.with_added_comfort is not None
    assert like.with_added_comfort.years == pytest.approx(
        4000.0 / (saving - one.service_cost["cooling"])
    )
    assert one.like_cost == pytest.approx(one.service_cost["heating"])


def test_the_installed_cost_of_what_is_there_is_subtracted(run: Run) -> None:
    kept = BASEBOARD + "installed_cost = 1000\n"
    like = named(run(ROOM + kept + INVERTER), "Inverter").against_present
    assert like is not None
    assert like.payback.extra_cost == 3000.0


def test_an_option_that_loses_a_service_is_not_ranked_first(run: Run) -> None:
    present = INVERTER.replace("installed_cost = 4000", "present = true")
    comparison = run(ROOM + present + BASEBOARD.replace("present = true\n", "")
                     + HEATER.replace("2000", "0"))  # fmt: skip
    for name in ("Baseboard", "Gas heater"):
        one = named(comparison, name)
        assert one.missing_services == ("cooling",)
        assert not one.carries
        assert one.against_present is not None
        assert one.against_present.lost_services == ("cooling",)
    assert comparison.cheapest is comparison.present
    text = " ".join(str(note) for note in comparison.notices)
    assert "Baseboard gives no cooling, which it is compared on" in text


def test_without_a_present_option_all_services_of_the_room_are_compared(run: Run) -> None:
    comparison = run(ROOM + BASEBOARD.replace("present = true\n", "") + INVERTER)
    assert comparison.present is None
    first, second = comparison.outcomes
    assert (first.name, second.name) == ("Inverter", "Baseboard")
    assert second.missing_services == ("cooling",)
    assert first.like_cost == pytest.approx(first.yearly_cost)
    assert first.against_present is None


def _short(kilowatt: float, design_f: float) -> str:
    """A room with 100 W/K below 65 F, and a resistance heater of limited output."""
    room = HEATING.replace("150 Btu/(h degF)", "100 W/K").replace("62 degF", "65 degF")
    room = room.replace("17 degF", f"{design_f} degF")
    small = (f'[[option]]\nname = "Small"\nheating = {{ kind = "electric resistance",'
             f' capacity = "{kilowatt} kW" }}\n')  # fmt: skip
    return PLACE + room + POWER_PRICE + BASEBOARD + small


@pytest.mark.parametrize(
    ("kilowatt", "design_f", "carries"),
    [
        (4.0, 32.0, True),  # carries 65 F - 4 kW / (100 W/K) = -7 F
        (3.4, 32.0, True),  # short in a few colder hours only, far below half a percent
        (3.4, 2.0, False),  # the same heater, where the design temperature is colder
        (2.0, 40.0, False),  # carries the design temperature and leaves more than 0.5 % unmet
    ],
)
def test_who_carries_the_load_meets_the_design_and_nearly_all_of_the_year(
    run: Run, kilowatt: float, design_f: float, *, carries: bool
) -> None:
    comparison = run(_short(kilowatt, design_f))
    one, weather = named(comparison, "Small"), comparison.model.weather
    load_kw = 0.1 * np.maximum(c_from_f(65.0) - weather.outdoor_c, 0.0)
    unmet = np.maximum(load_kw - kilowatt, 0.0).sum()
    coverage = one.coverage
    assert coverage is not None
    assert coverage.unmet_kwh == pytest.approx(unmet)
    assert coverage.unmet_share == pytest.approx(unmet / load_kw.sum())
    assert coverage.cover_cost == pytest.approx(0.20 * unmet)
    assert one.carries is carries
    design_load_kw = 0.1 * (65.0 - design_f) * 5.0 / 9.0
    within = unmet <= UNMET_LIMIT * load_kw.sum()
    assert carries == (within and kilowatt >= design_load_kw)
    assert (unmet > 0) == (kilowatt < 3.5)


def test_who_does_not_carry_the_load_is_marked_and_never_first(run: Run) -> None:
    comparison = run(_short(1.0, 20.0))
    small = named(comparison, "Small")
    assert small.yearly_cost < named(comparison, "Baseboard").yearly_cost
    assert comparison.outcomes[-1] is small
    assert comparison.cheapest is comparison.present
    assert small.coverage is not None
    text = " ".join(str(note) for note in comparison.notices)
    assert "Small does not carry the heating load" in text
    assert f"cost about ${small.coverage.cover_cost:.0f} a year" in text


def test_a_cooling_unit_that_is_too_small_does_not_carry_the_load(run: Run) -> None:
    room = ROOM.replace('design_load = "7 kBtu/h"', 'design_load = "30 kBtu/h"')
    one = named(run(room + BASEBOARD + INVERTER), "Inverter")
    assert one.cooling_unmet_share > UNMET_LIMIT
    assert not one.carries


def test_the_failure_line_is_the_coldest_month_on_resistance(run: Run) -> None:
    comparison = run(ROOM + BASEBOARD + INVERTER)
    failure, present = named(comparison, "Inverter").failure, named(comparison, "Baseboard")
    assert failure is not None
    months = present.result.month_totals("heating_load_kwh")
    assert failure.month == int(np.argmax(months)) + 1 == WINTER_MONTH
    assert failure.cost == pytest.approx(0.20 * months.max())
    assert failure.borrowed
    normal = named(comparison, "Inverter").cost_by_month["heating"][failure.month - 1]
    assert failure.normal_cost == pytest.approx(normal)
    assert present.failure is None


def test_dollars_per_million_btu_are_price_over_seasonal_cop(demo: Comparison) -> None:
    for one in demo.outcomes:
        cop = one.result.cop_season("heating")
        if set(one.energy_kwh) == {"electricity"} and cop is not None:
            assert one.cost_per_mmbtu() == pytest.approx(0.14 * KWH_PER_MMBTU / cop)
    # Resistance at 0.14 $/kWh: 0.14 x 293.07 = 41.03 $/MMBtu (computed).
    assert demo.outcomes[0].cost_per_mmbtu() == pytest.approx(41.03, abs=0.005)


def test_emissions_are_energy_times_factor(run: Run) -> None:
    text = ROOM + BASEBOARD + HEATER + '[emissions]\ngrid = "0.5 kg/kWh"\ngrid_loss = 0.05\n'
    comparison = run(text)
    present, one = named(comparison, "Baseboard"), named(comparison, "Gas heater")
    assert present.emissions.co2e_kg == pytest.approx(
        present.energy_kwh["electricity"] * 0.5 / 0.95
    )
    # 53.1145 kg CO2e per MMBtu of natural gas: 40 CFR 98 Tables C-1 and C-2 with the potentials of
    # the fifth assessment report (computed).
    mmbtu = one.energy_kwh["natural gas"] / KWH_PER_MMBTU
    assert one.emissions.co2e_kg == pytest.approx(53.1145 * mmbtu, rel=1e-5)


@pytest.mark.parametrize(("grid", "kg"), [("370 g/kWh", 0.37), ("0.8 lb/kWh", 0.8 * 0.45359237),
                                          ("370kg/MWh", 0.37)])  # fmt: skip
def test_a_grid_rate_counts_in_its_own_units(run: Run, grid: str, kg: float) -> None:
    (one,) = run(f'{PLACE}{HEATING}{POWER_PRICE}{BASEBOARD}[emissions]\ngrid = "{grid}"\n').outcomes
    assert one.emissions.co2e_kg == pytest.approx(one.energy_kwh["electricity"] * kg)
