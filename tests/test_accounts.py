"""Fuel accounts in a comparison: gas tariffs, other use, and what closing an account saves."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from energymodel.errors import EnergyModelError
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.cost_parts import CostPart, cost_parts
from energymodel.study.comparison.outcome import Comparison, Outcome
from energymodel.units import KWH_PER_THERM

# House, prices and tariffs of this file are invented; relations between results are checked.
ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "76 degF" }
heating = { ua = "300 Btu/(h degF)", design_temperature = "17 degF", balance_temperature = "62 degF" }
[price.electricity]
energy = 0.14
per = "kWh"
[[option]]
name = "Gas heater"
present = true
heating = { kind = "room heater", fuel = "natural gas", afue = 0.80, in_service = 1.0 }
[[option]]
name = "Baseboard"
installed_cost = 1000
heating = { kind = "electric resistance" }
CLOSES
"""  # noqa: E501 - inline tables of TOML stand on one line
FLAT = '[price.natural_gas]\nenergy = 1.20\nper = "therm"\nfixed = "15 per month"\n'
BY_TARIFF = '[price.natural_gas]\ntariff = "gas.toml"\n'
GAS = """
name = "Residential gas"
unit = "therm"
effective = 2026-01-01
[[fixed]]
name = "Customer charge"
price = "15 per month"
[[energy]]
name = "Delivery"
blocks = [{ up_to = "50 therm per month", price = 0.60 }, { price = 0.35 }]
[[energy]]
name = "Commodity"
price = 0.45
[[percent]]
name = "Tax"
percent = 5
"""
THERMS = [20.0, 18.0, 18.0, 16.0, 15.0, 14.0, 13.0, 13.0, 14.0, 15.0, 17.0, 19.0]
OTHER = f"other_use = {THERMS}\n"
CLOSES = 'closes_account = ["natural gas"]\n'
KWH = [300.0] * 12
MONTHS = pd.date_range("2023-01-01", periods=8760, freq="h").month.to_numpy()

Run = Callable[..., Comparison]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    def of(price: str, closes: str = "", *, tariff: str = GAS, room: str = ROOM) -> Comparison:
        (tmp_path / "gas.toml").write_text(tariff, "utf-8")
        (tmp_path / "room.toml").write_text(room.replace("CLOSES", closes) + price, "utf-8")
        return compare(tmp_path / "room.toml")

    return of


def named(comparison: Comparison, name: str) -> Outcome:
    return next(one for one in comparison.outcomes if one.name == name)


def words(comparison: Comparison, topic: str) -> str:
    return " ".join(note.text for note in comparison.notices if note.topic == topic)


def gas_bill(therms: np.ndarray) -> np.ndarray:
    """Twelve bills under the tariff, by hand."""
    delivery = np.where(therms <= 50.0, 0.60 * therms, 30.0 + 0.35 * (therms - 50.0))
    return np.asarray(1.05 * (15.0 + delivery + 0.45 * therms))


def therms_by_month(outcome: Outcome) -> np.ndarray:
    # without a zone that changes its clocks in the bills of gas, months are those of the hours
    used = outcome.result.month_totals("heating_fuel_natural_gas_kwh")
    return np.asarray(used / KWH_PER_THERM)


def test_a_gas_tariff_bills_the_house_with_the_heat_less_the_house_without(run: Run) -> None:
    one = named(run(BY_TARIFF + OTHER), "Gas heater")
    added, other = therms_by_month(one), np.array(THERMS)
    by_hand = gas_bill(other + added) - gas_bill(other)
    # daylight saving moves one hour at the end of March and of October to the next bill
    assert one.cost_by_month["heating"].sum() == pytest.approx(by_hand.sum(), rel=1e-3)
    assert one.cost_by_month["heating"][[0, 1, 11]] == pytest.approx(by_hand[[0, 1, 11]])
    assert one.standing_charges == {}
    whole = one.bills["natural gas"].whole
    assert sum(float(line.amount.sum()) for line in whole.lines) == pytest.approx(
        one.cost_by_month["heating"].sum()
    )
    assert {line.label for line in whole.lines if line.unit == "therm"} >= {"Commodity"}
    # a kWh in the second block costs less than the mean of the whole bill
    assert float(whole.marginal_price_per_kwh) < float(whole.average_price_per_kwh)


def test_a_gas_account_for_heating_alone_is_billed_from_its_first_therm(run: Run) -> None:
    comparison = run(BY_TARIFF)
    one = named(comparison, "Gas heater")
    assert one.yearly_cost == pytest.approx(gas_bill(therms_by_month(one)).sum(), rel=1e-3)
    assert one.standing_charges == {"natural gas": pytest.approx(12 * 15 * 1.05)}
    assert named(comparison, "Baseboard").standing_charges == {}
    assert any("counted for who uses it" in used.value for used in comparison.model.defaults)


def test_a_flat_gas_tariff_costs_what_the_flat_price_costs(run: Run) -> None:
    flat = 'name = "Flat"\nunit = "ccf"\nbilling_factor = "1.04 therm/ccf"\n' + (
        '[[fixed]]\nname = "C"\nprice = "15 per month"\n[[energy]]\nname = "E"\nprice = 1.248\n'
    )
    by_tariff = named(run(BY_TARIFF + OTHER, tariff=flat), "Gas heater")
    by_price = named(run(FLAT + "other_uses = true\n"), "Gas heater")
    assert by_tariff.yearly_cost == pytest.approx(by_price.yearly_cost, rel=1e-9)
    price = run(BY_TARIFF, tariff=flat).model.prices["natural gas"]
    assert price.per_kwh == pytest.approx(1.20 / KWH_PER_THERM)
    assert price.per == "ccf"
    assert price.kwh_per_unit == pytest.approx(1.04 * KWH_PER_THERM)


def test_propane_with_rent_and_prices_by_season_is_a_tariff_in_gallons(run: Run) -> None:
    room = ROOM.replace("natural gas", "propane")
    tariff = (
        'name = "Delivered propane"\nunit = "gal"\nbilling_factor = "91500 Btu/gal"\n'
        '[[fixed]]\nname = "Tank rent"\nprice = "96 per year"\n'
        '[[energy]]\nname = "Propane"\nprice = 2.40\n'
        '[[rider]]\nname = "Delivery"\nprice = 0.08\n'
    )
    price = '[price.propane]\ntariff = "gas.toml"\n'
    one = named(run(price, tariff=tariff, room=room), "Gas heater")
    gallons = one.energy_kwh["propane"] * 3412.141633 / 91_500.0
    assert one.yearly_cost == pytest.approx(96.0 + 2.48 * gallons, rel=1e-6)


def test_heat_alone_that_leaves_saves_energy_and_not_the_charge(run: Run) -> None:
    for price in (FLAT + "other_uses = true\n", BY_TARIFF + OTHER):
        comparison = run(price)
        one, present = named(comparison, "Baseboard"), named(comparison, "Gas heater")
        assert one.standing_charges == {}
        assert one.closed_accounts == ()
        assert one.against_present is not None
        saving = present.cost_by_month["heating"].sum() - one.cost_by_month["heating"].sum()
        assert one.against_present.payback.yearly_saving == pytest.approx(saving)
        text = words(comparison, "charges")
        assert "are paid in any case and not counted" in text
        assert "stays open for other uses" in text
        assert "saves energy alone" in text


def test_the_last_appliance_that_leaves_saves_the_charge(run: Run) -> None:
    price = FLAT + 'other_uses = true\nother_appliances = ["water heater"]\n'
    keeps, leaves = run(price), run(price, CLOSES)
    before, after = named(keeps, "Baseboard"), named(leaves, "Baseboard")
    assert after.standing_charges == {"natural gas": pytest.approx(-180.0)}
    assert after.yearly_cost == pytest.approx(before.yearly_cost - 180.0)
    assert named(leaves, "Gas heater").yearly_cost == named(keeps, "Gas heater").yearly_cost
    assert before.against_present is not None
    assert after.against_present is not None
    saved = after.against_present.payback.yearly_saving
    assert saved == pytest.approx(before.against_present.payback.yearly_saving + 180.0)
    text = words(leaves, "saving")
    assert "Baseboard: the natural gas account closes, $180 a year of charges end" in text
    assert "energy of what replaces water heater is not counted" in text


def test_an_exit_fee_of_1400_against_15_a_month_takes_almost_eight_years(run: Run) -> None:
    # case T6 of the tariffs collection: forum and press, two places, illustration only (quoted);
    # 7.78 years (computed)
    comparison = run(FLAT + "other_uses = true\nexit_fee = 1400\n", CLOSES)
    (account,) = named(comparison, "Baseboard").closed_accounts
    assert account.years_to_break_even == pytest.approx(7.78, abs=0.005)
    assert "earns back the exit fee of $1,400 in 7.8 years" in words(comparison, "saving")
    like = named(comparison, "Baseboard").against_present
    assert like is not None
    assert like.payback.extra_cost == pytest.approx(1000.0 + 1400.0)


def test_what_replaces_the_last_appliance_is_counted_on_both_sides(run: Run) -> None:
    closes = CLOSES + f"appliance_cost = 1900\nappliance_use_kwh = {KWH}\n"
    for price, ended, charges in (
        (FLAT + OTHER, 1.20 * sum(THERMS), 180.0),
        (BY_TARIFF + OTHER, gas_bill(np.array(THERMS)).sum() - 189.0, 189.0),
    ):
        comparison = run(price, closes)
        one = named(comparison, "Baseboard")
        heat = one.cost_by_month["heating"].sum()
        new = 0.14 * sum(KWH)
        assert one.yearly_cost == pytest.approx(heat + new - ended - charges)
        assert one.first_cost == pytest.approx(1000.0 + 1900.0)
        (account,) = one.closed_accounts
        assert account.yearly_saving == pytest.approx(charges + ended - new)
        assert one.closing_saving == pytest.approx(account.yearly_saving)
        assert "year of electricity instead of" in account.words()


def test_new_appliances_stand_on_the_electricity_tariff_after_the_heat(
    run: Run, tmp_path: Path
) -> None:
    (tmp_path / "power.toml").write_text(
        'name = "Rising"\n[[energy]]\nname = "E"\n'
        'blocks = [{ up_to = "100 kWh per month", price = 0.10 }, { price = 0.30 }]\n',
        "utf-8",
    )
    room = ROOM.replace('energy = 0.14\nper = "kWh"', 'tariff = "power.toml"')
    closes = CLOSES + f"appliance_use_kwh = {KWH}\n"
    comparison = run(FLAT + OTHER, closes, room=room)
    one = named(comparison, "Baseboard")
    used = one.result.month_totals("heating_electricity_resistance_kwh")

    def bill(kwh: np.ndarray) -> float:
        return float((0.10 * np.minimum(kwh, 100.0) + 0.30 * np.maximum(kwh - 100.0, 0.0)).sum())

    assert one.other_use_cost["electricity"] == pytest.approx(
        bill(used + 300.0) - bill(used), rel=1e-2
    )
    assert one.billed is not None
    parts = sum(v.sum() for v in one.cost_by_month.values()) + one.other_use_cost["electricity"]
    assert float(one.billed.whole.total) == pytest.approx(parts)


def test_an_account_for_heating_alone_closes_by_itself_with_its_exit_fee(run: Run) -> None:
    comparison = run(FLAT + "exit_fee = 90\n")
    one, present = named(comparison, "Baseboard"), named(comparison, "Gas heater")
    assert present.standing_charges == {"natural gas": 180.0}
    assert one.standing_charges == {}
    assert one.first_cost == pytest.approx(1090.0)
    assert "earns back the exit fee of $90 in 0.5 years" in words(comparison, "saving")
    assert present.closed_accounts == ()


def test_closing_an_account_is_no_saving_on_heat_that_could_not_be(run: Run) -> None:
    # an account that costs far more than the heat: the guard against impossible savings counts
    # what the account saves to the limit
    dear = FLAT.replace("15 per month", "400 per month") + "other_uses = true\n"
    small = ROOM.replace("300 Btu", "3 Btu")
    comparison = run(dear, CLOSES, room=small)
    one = named(comparison, "Baseboard")
    assert one.yearly_cost < 0
    assert one.against_present is not None
    assert one.against_present.payback.yearly_saving > 4_000
    assert not any("cannot be" in note.text for note in one.against_present.payback.notices)


def test_parts_add_up_where_an_account_closes(run: Run) -> None:
    comparison = run(FLAT + "other_uses = true\n", CLOSES)
    one = named(comparison, "Baseboard")
    parts = cost_parts(one, comparison.model.prices)
    assert parts[CostPart.STANDING] == pytest.approx(np.full(12, -15.0))
    assert sum(values.sum() for values in parts.values()) == pytest.approx(one.yearly_cost)


@pytest.mark.parametrize(
    ("price", "closes", "fault"),
    [
        (FLAT, 'closes_account = ["propane"]\n', "there is no account of"),
        (FLAT, 'closes_account = ["electricity"]\n', "cannot be closed"),
        (FLAT, "appliance_cost = 900\n", "no account that closes"),
        (FLAT + OTHER, CLOSES, "what replaces it is not given"),
        (FLAT, CLOSES, "nothing but heat is on the account"),
        (FLAT + "other_uses = true\n", CLOSES + f"appliance_use_kwh = {KWH}\n",
         "that of the old ones is not"),
        (FLAT + OTHER + "other_uses = false\n", "", "other_uses = false stands beside"),
        (FLAT + OTHER.replace("20.0", "-20.0"), "", "other_use"),
        (FLAT + OTHER.replace(", 19.0", ""), "", "other_use"),
        (BY_TARIFF + OTHER + f"other_use_kwh = {KWH}\n", "", "both given"),
        (BY_TARIFF + 'heat_content = "1.04 therm/ccf"\n', "", "beside a tariff"),
    ],
)  # fmt: skip
def test_an_account_that_cannot_be_is_refused(
    run: Run, price: str, closes: str, fault: str
) -> None:
    with pytest.raises(EnergyModelError) as caught:
        run(price, closes)
    assert fault in str(caught.value)


def test_an_option_that_still_burns_gas_cannot_close_its_account(run: Run) -> None:
    room = (
        ROOM.replace("CLOSES", "")
        + ROOM[ROOM.index("[[option]]") : ROOM.index('[[option]]\nname = "Base')]
    )
    room = room.replace("present = true", "", 1).replace(
        '"Gas heater"', '"New heater"\n' + CLOSES.strip(), 1
    )
    with pytest.raises(EnergyModelError) as caught:
        run(FLAT + "other_uses = true\n", room=room)
    assert "it still uses natural gas" in str(caught.value)


@pytest.mark.parametrize(
    ("unit", "fault"),
    [
        ('unit = "gal"\nbilling_factor = "91500 Btu/gal"', "gal"),
        ('unit = "ccf"', "the energy in it is not given"),
        ('unit = "kWh"\n', None),
    ],
)
def test_a_tariff_is_in_a_unit_in_which_its_fuel_is_sold(
    run: Run, unit: str, fault: str | None
) -> None:
    tariff = f'name = "T"\n{unit}\n[[energy]]\nname = "E"\nprice = 1.0\n'
    if fault is None:
        assert run(BY_TARIFF, tariff=tariff).model.prices["natural gas"].per == "kWh"
        return
    with pytest.raises(EnergyModelError) as caught:
        run(BY_TARIFF, tariff=tariff)
    assert fault in str(caught.value)


def test_other_use_of_electricity_is_asked_for_in_kwh(run: Run) -> None:
    room = ROOM.replace('per = "kWh"', 'per = "kWh"\n' + OTHER.strip(), 1)
    with pytest.raises(EnergyModelError) as caught:
        run(FLAT, room=room)
    assert "other_use_kwh" in str(caught.value)
