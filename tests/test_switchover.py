"""Heat pumps against other heat in whole scenarios: break-even COP, three balances, what to run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from energymodel.building.load import LoadLine
from energymodel.equipment.burner import Burner
from energymodel.equipment.curves import Function
from energymodel.equipment.ducts import Ducted
from energymodel.equipment.furnace import Furnace
from energymodel.equipment.resistance import Resistance
from energymodel.errors import InputError
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.switchover.heat_cost import HeatCost, HeatPrices, season_break_even
from energymodel.study.switchover.pair_flips import FlipValue, Moved, PairFlips, pair_flips
from energymodel.study.switchover.pairs import SwitchPair, switch_pairs
from energymodel.study.switchover.switchover import switchover
from energymodel.study.switchover.zones import Runs
from energymodel.units import KWH_PER_THERM, c_from_f, w_from_btu_h

# Rooms and prices of this file are invented, but for the cases that name their source.
ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
ua = "400 Btu/(h degF)"
balance_temperature = "60 degF"
design_temperature = "15 degF"
"""
PRICES = """
[price.electricity]
energy = 0.135
per = "kWh"
[price.natural_gas]
energy = 1.32
per = "therm"
"""
DUAL = """
[[option]]
name = "Dual"
installed_cost = 9000
[option.heating]
kind = "heat pump"
unit = "two-stage-36"
SWITCH
ducts = { efficiency = 0.80 }
[option.heating.backup]
runs = "instead"
heater = { kind = "furnace", fuel = "natural gas", afue = 0.95, output = "60 kBtu/h", \
blower = "400 W" }
"""
FURNACE = """
[[option]]
name = "Furnace"
present = true
heating = { kind = "furnace", fuel = "natural gas", afue = 0.80, output = "60 kBtu/h", \
blower = "400 W", ducts = { efficiency = 0.80 } }
installed_cost = 3000
"""
DUCTLESS = """
[[option]]
name = "Ductless"
heating = { kind = "heat pump", unit = "inverter-cold-climate-24", in_service = 1.0 }
installed_cost = 6000
"""
OFF = 'off = "30 degF"'


def run(folder: Path, *parts: str) -> Comparison:
    text = ROOM + "".join(parts).replace("SWITCH", OFF)
    (folder / "room.toml").write_text(text, "utf-8")
    return compare(folder / "room.toml")


def pair_of(comparison: Comparison, heat_pump: str, other: str) -> SwitchPair:
    return next(
        pair
        for pair in switch_pairs(comparison)
        if (pair.heat_pump, pair.other) == (heat_pump, other)
    )


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return run(tmp_path_factory.mktemp("house"), PRICES, FURNACE, DUAL, DUCTLESS)


@pytest.fixture(scope="module")
def dear(tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    small = DUCTLESS.replace("inverter-cold-climate-24", "inverter-cold-climate-12")
    prices = PRICES.replace("0.135", "0.20").replace("1.32", "1.55")
    return run(tmp_path_factory.mktemp("dear"), prices, FURNACE, small)


@pytest.fixture(scope="module")
def flips(house: Comparison) -> tuple[PairFlips, ...]:
    return pair_flips(house, limit_years=7.0)


def _a1_furnace() -> HeatCost:
    burner = Burner.from_afue(carrier="natural gas", afue=0.93, input_w=w_from_btu_h(75_000.0))
    return HeatCost(
        source=Furnace(burner=burner, blower_w=500.0, auxiliary_w=0.0),
        line=LoadLine(slope_w_per_k=300.0, balance_c=15.0, indoor_c=21.0, heating=True),
        indoor_c=21.0,
        humidity_pct=80.0,
        prices=HeatPrices(
            electricity_per_kwh=0.085, fuel_per_kwh={"natural gas": 0.96 / KWH_PER_THERM}
        ),
    )


def test_a1_year_of_a_furnace_gives_the_three_break_even_cops() -> None:
    # User problem A1 (forum): gas 0.96/therm, 93 %, 75,000 Btu/h, fan 0.5 kW, 0.085/kWh; printed
    # break-even COP 2.28; 2.413 without the fan and 2.334 with its heat credited are computed.
    found = season_break_even(_a1_furnace(), np.linspace(-15.0, 25.0, 400))
    assert found.cops.fan_counted == pytest.approx(2.279, abs=0.01)
    assert found.cops.without_fan == pytest.approx(2.413, abs=0.01)
    assert found.cops.default == pytest.approx(2.334, abs=0.01)
    assert "fan counted, its heat credited" in found.words


def test_ducts_around_the_furnace_divide_the_break_even_cop_in_the_room() -> None:
    # cost of the heat in the room rises by 1/0.80, the same for every convention
    bare = _a1_furnace()
    ducted = replace(
        bare, source=Ducted(source=bare.source, efficiency=0.80, function=Function.HEATING)
    )
    at = np.linspace(-15.0, 10.0, 50)
    one, other = season_break_even(bare, at).cops, season_break_even(ducted, at).cops
    for name in ("fan_credited", "fan_counted", "without_fan"):
        assert getattr(other, name) == pytest.approx(0.80 * getattr(one, name), rel=1e-12)


def test_resistance_heat_has_a_break_even_cop_of_one_and_no_fan_to_speak_of() -> None:
    found = season_break_even(replace(_a1_furnace(), source=Resistance()), np.array([-5.0, 5.0]))
    assert found.cops.default == pytest.approx(1.0, rel=1e-15)
    assert found.words == "break-even COP 1.00"


def test_a_year_without_load_has_no_break_even() -> None:
    with pytest.raises(InputError, match="no hour"):
        season_break_even(_a1_furnace(), np.array([20.0, 30.0]))


def test_a3_cop_of_one_cold_temperature_is_not_that_of_the_season(house: Comparison) -> None:
    # User problem A3 (forum): a COP of 2.05 "at about 20 F" was used as if seasonal.
    pair = pair_of(house, "Ductless", "Furnace")
    cold = float(pair.pump_cost.cop(np.array([c_from_f(20.0)]))[0])
    assert pair.season_cop > 1.1 * cold


def test_a15_printed_saving_is_wrong_and_the_heat_pump_is_nowhere_cheaper(tmp_path: Path) -> None:
    # User problem A15 (trade article): gas 36.46 c/m3, electricity 15 c, printed "30-50 % less".
    # Break-even COP 4.05 computed; 10.35 kWh/m3 from memory.
    prices = """
    [price.electricity]
    energy = 0.15
    per = "kWh"
    [price.natural_gas]
    energy = 0.364614
    per = "m3"
    heat_content = "10.35 kWh/m3"
    """
    boiler = """
    [[option]]
    name = "Boiler"
    present = true
    heating = { kind = "boiler", fuel = "natural gas", afue = 0.95, output = "15 kW", \
in_service = 1.0 }
    """
    single = DUCTLESS.replace("inverter-cold-climate-24", "single-speed-24")
    pair = pair_of(run(tmp_path, prices, boiler, single), "Ductless", "Boiler")
    assert pair.break_even.cops.default == pytest.approx(4.05, abs=0.01)
    assert pair.answer == "never cheaper"
    assert [zone.runs for zone in pair.zones] == [Runs.OTHER]
    assert pair.advice() == "the boiler alone at all temperatures"


@pytest.mark.parametrize(
    ("fuel", "afue", "cop"), [("propane", 0.95, 3.63), ("heating oil", 0.85, 4.92)]
)
def test_b2_at_47_cents_this_heat_pump_needs_more_than_it_has(
    tmp_path: Path, fuel: str, afue: float, cop: float
) -> None:
    # User problem B2 (forum): 47 c/kWh, propane and oil 3.30; break-even COPs computed.
    content = {"propane": "91,500 Btu/gal", "heating oil": "138,690 Btu/gal"}[fuel]
    prices = f"""
    [price.electricity]
    energy = 0.47
    per = "kWh"
    [price.{fuel.replace(" ", "_")}]
    energy = 3.30
    per = "gallon"
    heat_content = "{content}"
    """
    boiler = f"""
    [[option]]
    name = "Boiler"
    present = true
    heating = {{ kind = "boiler", fuel = "{fuel}", afue = {afue}, output = "15 kW", \
in_service = 1.0 }}
    """
    pair = pair_of(run(tmp_path, prices, boiler, DUCTLESS), "Ductless", "Boiler")
    assert pair.break_even.cops.default == pytest.approx(cop, abs=0.01)
    assert pair.season_cop < pair.break_even.cops.default
    assert Runs.OTHER in [zone.runs for zone in pair.zones]


def test_at_the_cost_balance_the_cop_is_the_break_even_cop(house: Comparison) -> None:
    pair = pair_of(house, "Dual", "Dual")
    at = pair.balance.single_c
    assert at is not None
    assert pair.balance_cops[0] == pytest.approx(pair.break_even.cops.default, rel=1e-6)
    here = np.array([at])
    assert pair.pump_cost.per_kwh_heat(here) == pytest.approx(pair.other_cost.per_kwh_heat(here))
    assert pair.pump_cost.per_kwh_heat(here - 3.0)[0] > pair.other_cost.per_kwh_heat(here - 3.0)[0]


def test_three_balances_have_three_values_and_lie_in_order(dear: Comparison) -> None:
    pair = pair_of(dear, "Ductless", "Furnace")
    cost_c, capacity_c = pair.balance.single_c, pair.capacity_balances_c[0]
    assert cost_c is not None
    assert cost_c < capacity_c < pair.load_balance_c == pytest.approx(c_from_f(60.0))
    assert [zone.runs for zone in pair.zones] == [Runs.OTHER, Runs.BOTH, Runs.HEAT_PUMP]
    text = pair.advice("{:.0f} degC".format)
    assert text.startswith(f"the furnace alone below {cost_c:.0f} degC, both from")
    assert text.endswith(f"the heat pump alone above {capacity_c:.0f} degC")


def test_between_cost_and_capacity_balance_running_both_costs_least_per_hour(
    dear: Comparison,
) -> None:
    pair = pair_of(dear, "Ductless", "Furnace")
    both = next(zone for zone in pair.zones if zone.runs is Runs.BOTH)
    at = np.array([(both.from_c + both.to_c) / 2.0])
    load_w = pair.pump_cost.line.load_w(at)
    met_w = pair.pump_cost.flows(at).delivered_w
    assert met_w[0] < load_w[0]
    rest = (load_w - met_w) / 1000.0 * pair.other_cost.per_kwh_heat(at)
    assert (pair.pump_cost.per_hour(at) + rest)[0] < pair.other_cost.per_hour(at)[0]


def test_the_switch_that_is_set_does_not_hide_the_cost_balance(tmp_path: Path) -> None:
    found = []
    for off in ("20 degF", "40 degF"):
        (tmp_path / "room.toml").write_text(
            ROOM + PRICES + DUAL.replace("SWITCH", f'off = "{off}"'), "utf-8"
        )
        found.append(pair_of(compare(tmp_path / "room.toml"), "Dual", "Dual").balance.single_c)
    assert found[0] == found[1] is not None


def test_prices_that_rise_together_leave_the_balance_and_dearer_electricity_moves_it_up(
    tmp_path: Path, house: Comparison
) -> None:
    twice = PRICES.replace("0.135", "0.27").replace("1.32", "2.64")
    dearer = PRICES.replace("0.135", "0.15")
    base = pair_of(house, "Dual", "Dual").balance.single_c
    same = pair_of(run(tmp_path, twice, DUAL), "Dual", "Dual").balance.single_c
    moved = pair_of(run(tmp_path, dearer, DUAL), "Dual", "Dual").balance.single_c
    assert base is not None
    assert same == pytest.approx(base, abs=1e-6)
    assert moved is not None
    assert moved > base + 1.0


def test_a_lower_in_service_factor_and_more_frost_move_the_balance_up(
    tmp_path: Path, house: Comparison
) -> None:
    base = pair_of(house, "Dual", "Dual")
    worn = DUAL.replace("SWITCH", "SWITCH\nin_service = 0.80")
    lower = pair_of(run(tmp_path, PRICES, worn), "Dual", "Dual")
    assert base.balance.single_c is not None
    assert lower.balance.single_c is not None
    assert lower.balance.single_c > base.balance.single_c
    assert "in-service factor 0.80" in lower.balance.basis
    assert "furnace fan counted, its heat credited" in lower.balance.basis


def test_heaters_that_are_the_same_stand_in_one_row(tmp_path: Path) -> None:
    again = FURNACE.replace('"Furnace"', '"Again"').replace("present = true", "")
    found = switch_pairs(run(tmp_path, PRICES, FURNACE, again, DUCTLESS))
    assert [(pair.other, pair.also) for pair in found] == [("Furnace", ("Again",))]


def test_a_scenario_without_a_heat_pump_says_so(tmp_path: Path) -> None:
    result = switchover(run(tmp_path, PRICES, FURNACE))
    assert (result.pairs, result.lockouts, result.flips) == ((), (), ())
    texts = " ".join(note.text for note in result.notices)
    assert "No heat pump" in texts
    assert "no ranking" in texts


# ---- values at which two options change places: put in, they must make the costs equal


def _costs(comparison: Comparison) -> dict[str, float]:
    return {one.name: one.like_cost for one in comparison.outcomes}


def _values(flips: Sequence[PairFlips], second: str) -> tuple[PairFlips, dict[Moved, FlipValue]]:
    pair = next(one for one in flips if one.second == second)
    return pair, {value.moved: value for value in pair.values if value.unit != "USD per therm"}


@pytest.mark.parametrize(("place", "old"), [(0, "energy = 0.135"), (1, "energy = 1.32")])
def test_at_the_flip_price_both_options_cost_the_same(
    tmp_path: Path, flips: tuple[PairFlips, ...], place: int, old: str
) -> None:
    pair = next(one for one in flips if one.second == "Dual")
    value = [one for one in pair.values if one.moved is Moved.PRICE][place].same_cost
    assert value is not None
    there = _costs(
        run(tmp_path, PRICES.replace(old, f"energy = {value!r}"), FURNACE, DUAL, DUCTLESS)
    )
    assert there["Dual"] == pytest.approx(there["Furnace"], rel=1e-9)


def test_price_and_installed_cost_at_the_limit_pay_back_in_just_so_many_years(
    tmp_path: Path, flips: tuple[PairFlips, ...]
) -> None:
    _, values = _values(flips, "Ductless")
    cost = values[Moved.INSTALLED_COST].pays_back
    assert cost is not None
    ductless = DUCTLESS.replace("6000", repr(cost))
    there = run(tmp_path, PRICES, FURNACE, DUAL, ductless)
    option = next(one for one in there.outcomes if one.name == "Ductless")
    assert option.against_present is not None
    assert option.against_present.payback.years == pytest.approx(7.0, rel=1e-9)
    assert values[Moved.INSTALLED_COST].same_cost is None


def test_at_the_flip_load_and_the_flip_factor_a_new_run_agrees(tmp_path: Path) -> None:
    room = ROOM.replace("400 Btu", "250 Btu")
    parts = PRICES + FURNACE + DUCTLESS.replace("6000", "4500")
    (tmp_path / "room.toml").write_text(room + parts, "utf-8")
    found = pair_flips(compare(tmp_path / "room.toml"), limit_years=12.0)
    pair, values = _values(found, "Ductless")
    needed = pair.extra_cost / 12.0
    load, factor = values[Moved.LOAD].pays_back, values[Moved.IN_SERVICE].pays_back
    assert load is not None
    assert factor is not None
    for old, new in (
        ("250 Btu", f"{250.0 * load!r} Btu"),
        ("in_service = 1.0", f"in_service = {factor!r}"),
    ):
        (tmp_path / "room.toml").write_text((room + parts).replace(old, new), "utf-8")
        there = compare(tmp_path / "room.toml")
        saving = _costs(there)["Furnace"] - _costs(there)["Ductless"]
        unmet = max(one.result.total("heating_unmet_kwh") for one in there.outcomes)
        assert unmet == 0.0
        assert saving == pytest.approx(needed, rel=1e-6)


def test_a22_gas_at_the_price_of_electric_heat_is_2_93_per_therm_and_less_at_80_percent(
    tmp_path: Path,
) -> None:
    # User problem A22 (homeowner blog): electricity 0.10; a therm of electric heat is 2.93
    # (computed). The source leaves the gas unit's efficiency out: at 80 % it is 2.34.
    prices = PRICES.replace("0.135", "0.10").replace("1.32", "0.67")
    text = """
    [[option]]
    name = "Electric"
    present = true
    heating = { kind = "electric resistance" }
    [[option]]
    name = "Gas"
    heating = { kind = "room heater", fuel = "natural gas", afue = AFUE, in_service = 1.0 }
    installed_cost = 1000
    """
    for afue, price in (("1.0", 2.93), ("0.80", 2.34)):
        pair = next(iter(pair_flips(run(tmp_path, prices, text.replace("AFUE", afue)))))
        gas = next(one for one in pair.values if "gas" in one.name and one.moved is Moved.PRICE)
        assert gas.same_cost == pytest.approx(price, abs=0.005)
        assert gas.change(gas.same_cost) == pytest.approx(price / 0.67 - 1.0, abs=0.01)


def test_a_limit_of_no_years_is_refused(house: Comparison) -> None:
    with pytest.raises(InputError, match="payback limit"):
        pair_flips(house, limit_years=0.0)
