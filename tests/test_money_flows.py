"""What stands in the cash flow of an option: each line of a scenario once, at its place."""

from __future__ import annotations

import runpy
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import numpy_financial as npf
import pytest

from energymodel.economics.present_value import uniform_factor
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.money import AgainstPresent, OptionMoney, option_money
from energymodel.study.comparison.money_flows import cost_by_carrier
from energymodel.study.comparison.outcome import Comparison

_TOOLS = runpy.run_path(str(Path(__file__).with_name("money_room.py")))
PLACE, NOW, LOAD_KWH = _TOOLS["PLACE"], _TOOLS["NOW"], _TOOLS["load_kwh"]()
run, option, price_for, electricity = (
    _TOOLS[name] for name in ("run", "option", "price_for", "electricity")
)


def money(folder: Path, text: str) -> dict[str, OptionMoney]:
    return {one.name: one for one in option_money(run(folder, text))}


def against(found: OptionMoney) -> AgainstPresent:
    assert found.against_present is not None
    return found.against_present


def _gas_option(name: str, afue: float, cost: float, more: str = "") -> str:
    return (
        f'[[option]]\nname = "{name}"\ninstalled_cost = {cost}\n{more}\n'
        f'heating = {{ kind = "room heater", fuel = "natural gas", afue = {afue},'
        " in_service = 1.0 }\n"
    )


def _gas(per_mmbtu: float) -> str:
    return f'[price.natural_gas]\nenergy = {per_mmbtu!r}\nper = "MMBtu"\n'


@cache
def _case(now: float, share: float, cost: float, table: str = "", keys: str = "") -> Comparison:
    with TemporaryDirectory() as folder:
        text = PLACE + price_for(now) + f"[money]\n{table}\n" + NOW + option(share, keys, cost=cost)
        return run(Path(folder), text)


def _measured(now: float, share: float, cost: float, table: str = "") -> AgainstPresent:
    _, one = option_money(_case(now, share, cost, table))
    return against(one)


def test_every_unit_of_money_stands_in_one_line_of_the_cash_flow() -> None:
    keys = (
        'lasts_years = 6\nupkeep = "90 per year"\n'
        'service_costs = [{ name = "sweep", cost = 150, every_years = 3 }]\n'
        'incentives = [{ name = "R", amount = 500, source = "page", as_of = 2026-01-02 }]'
    )
    case = _case(1000.0, 0.4, 3000.0, "study_years = 10", keys)
    _, found = option_money(case)
    # by hand: 3000 - 500; 400 + 90 a year; 150 in years 1, 4, 7, 10; 3000 in year 6, of which a
    # third of its life is left in year 10
    by_hand = -np.array([2500.0, *[490.0] * 10])
    by_hand[[1, 4, 7, 10]] -= 150.0
    by_hand[6] -= 3000.0
    by_hand[10] += 3000.0 * 2 / 6
    assert found.flow.by_year() == pytest.approx(by_hand)
    one = against(found)
    assert one.gain == pytest.approx(by_hand + np.array([0.0, *[1000.0] * 10]))
    assert one.extra_at_start == 2500.0
    assert one.yearly_saving == pytest.approx(600.0 - 90.0 - 50.0)
    assert (
        "R, $500, is counted as entered (page, as of 2026-01-02; may end)" in found.notices[0].text
    )


def test_what_must_be_replaced_anyway_shortens_the_payback(tmp_path: Path) -> None:
    # NEEDS, need 32: an explicit input. $6,000, $500 a year saved; $3,500 would go anyway.
    def paid(keys: str) -> AgainstPresent:
        text = PLACE + price_for(900.0) + NOW + keys + option(4.0 / 9.0, cost=6000.0)
        return against(money(tmp_path, text)["Option"])

    assert paid("").simple.years == pytest.approx(12.0)
    worn = paid('replaced_anyway = { name = "furnace", cost = 3500 }\n')
    assert worn.simple.years == pytest.approx(5.0)
    later = paid('replaced_anyway = { name = "furnace", cost = 3500, year = 4 }\n')
    assert later.simple.years == pytest.approx(12.0)
    assert later.measures.simple_payback.years == pytest.approx(5.0)


def test_a_later_replacement_lives_on_to_the_end_of_the_study(tmp_path: Path) -> None:
    keys = 'replaced_anyway = { name = "furnace", cost = 3500, year = 4 }\nlasts_years = 8\n'
    text = PLACE + price_for(900.0) + "[money]\nstudy_years = 15\n" + NOW + keys
    flow = money(tmp_path, text)["Now"].flow.by_year() + np.array([0.0, *[900.0] * 15])
    # new in year 4 and 12; of the second 8 - 3 years are left
    by_hand = np.zeros(16)
    by_hand[[4, 12]] = -3500.0
    by_hand[15] = 3500.0 * 5 / 8
    assert flow == pytest.approx(by_hand, abs=1e-9)


def test_a_loan_is_a_way_to_pay_and_stands_beside_the_saving() -> None:
    keys = "loan = { sum = 6000, interest = 0.06, years = 10 }"
    case = _case(3000.0, 0.5, 7500.0, "inflation = 0.02", keys)
    one, without = (against(option_money(each)[1]) for each in (case, _case(3000.0, 0.5, 7500.0)))
    assert one.loan is not None
    assert one.loan.monthly_payment == pytest.approx(-npf.pmt(0.06 / 12, 120, 6000.0))
    assert one.loan.monthly_saving == pytest.approx(125.0)
    assert one.measures.net_savings == pytest.approx(without.measures.net_savings)
    assert one.gain_with_loan[0] - one.gain[0] == 6000.0
    paid = (one.gain - one.gain_with_loan)[1:11] * 1.02 ** np.arange(1, 11)
    assert paid == pytest.approx(12 * one.loan.monthly_payment)


def test_several_rates_of_return_are_told_in_words(tmp_path: Path) -> None:
    # -1000, 2300, -1320: both 10 % and 20 % make it zero (computed).
    keys = 'service_costs = [{ name = "last", cost = 1320, first_year = 2 }]'
    text = (
        PLACE
        + price_for(2300.0)
        + "[money]\nstudy_years = 2\nescalation = { electricity ="
        + ' { index = [1, 0], source = "made up: nothing is used in year 2" } }\n'
        + NOW
        + option(1e-12, keys, cost=1000.0)
    )
    found = against(money(tmp_path, text)["Option"]).measures.rate_of_return
    assert found.rate is None
    assert found.rates == pytest.approx((0.10, 0.20), abs=1e-6)
    assert (
        found.words == "no single rate of return: 10.0 % and 20.0 % a year all fit; use net savings"
    )


def test_new_cooling_is_counted_apart_from_the_services_there_now() -> None:
    found = {one.name: one for one in option_money(_demo())}
    one = against(found["Inverter 12 kBtu/h, standard"])
    outcome = next(each for each in _demo().outcomes if each.name == one.flow.name)
    assert one.services == ("heating",)
    like = outcome.against_present
    assert like is not None
    assert one.yearly_saving == pytest.approx(like.payback.yearly_saving)
    assert one.simple.years == pytest.approx(like.payback.years)
    assert one.with_added_comfort is not None
    cooling = outcome.service_cost["cooling"] * uniform_factor(0.03, 15)
    assert one.with_added_comfort.net_savings == pytest.approx(one.measures.net_savings - cooling)


@cache
def _demo() -> Comparison:
    return compare()


def test_energy_by_carrier_adds_up_to_the_cost_of_the_services() -> None:
    prices = _demo().model.prices
    for outcome in _demo().outcomes:
        whole = cost_by_carrier(outcome, prices, ("heating", "cooling"))
        assert sum(whole.values()) == pytest.approx(outcome.yearly_cost, rel=1e-12)
        for service, cost in outcome.service_cost.items():
            assert sum(cost_by_carrier(outcome, prices, (service,)).values()) == pytest.approx(cost)
    propane = next(one for one in _demo().outcomes if one.name.startswith("Propane"))
    by_carrier = cost_by_carrier(propane, prices, ("heating",))
    burned = propane.energy_kwh["propane"] * prices["propane"].per_kwh
    assert by_carrier["propane"] == pytest.approx(burned)


def test_standing_charges_of_an_account_that_opens_are_in_its_cash_flow(tmp_path: Path) -> None:
    gas = _gas(12.0) + 'fixed = "10 per month"\n'
    text = PLACE + electricity(0.2) + gas + NOW + _gas_option("Gas", 0.80, 1000.0)
    comparison = run(tmp_path, text)
    one = against(option_money(comparison)[1])
    gas_cost = comparison.outcomes[1].cost_by_month["heating"].sum()
    assert one.flow.by_year()[1] == pytest.approx(-gas_cost - 120.0)


def test_closing_an_account_costs_its_fee_and_saves_its_charges(tmp_path: Path) -> None:
    gas = _gas(12.0) + 'fixed = "10 per month"\nexit_fee = 400\nother_uses = true\n'
    text = (
        PLACE + electricity(0.12) + gas + _gas_option("Gas", 0.80, 0.0, "present = true")
        + option(0.4, 'closes_account = ["natural gas"]', cost=3000.0)
    )  # fmt: skip
    comparison = run(tmp_path, text)
    like, one = comparison.outcomes[1].against_present, against(option_money(comparison)[1])
    assert like is not None
    assert one.extra_at_start == like.payback.extra_cost == 3400.0
    assert one.yearly_saving == pytest.approx(like.payback.yearly_saving)
    assert one.gain == pytest.approx(np.array([-3400.0, *[one.yearly_saving] * 15]))


def test_without_a_present_option_there_are_costs_and_no_savings(tmp_path: Path) -> None:
    text = (
        PLACE + price_for(1000.0) + NOW.replace("present = true\n", "") + option(0.5, cost=2000.0)
    )
    found = money(tmp_path, text)
    assert all(one.against_present is None for one in found.values())
    assert found["Now"].cost.total == pytest.approx(1000.0 * uniform_factor(0.03, 15))
    assert found["Option"].cost.total == pytest.approx(2000.0 + 500.0 * uniform_factor(0.03, 15))


def test_the_longest_payback_of_interest_is_held_against_the_simple_one() -> None:
    verdicts = [
        _measured(3000.0, 0.5, 7500.0, f"longest_payback_years = {years}").soon_enough
        for years in (4, 5.5)
    ]
    assert verdicts == [False, True]
    assert _measured(3000.0, 0.5, 7500.0).soon_enough is None


def test_defaults_of_the_study_are_listed_with_their_source() -> None:
    _, one = option_money(_case(3000.0, 0.5, 7500.0))
    names = {entry.name: entry for entry in one.defaults}
    assert names["study period"].value == "15 years"
    assert "10 CFR 436.14(a)(2)" in names["discount rate"].source
    assert names["service life of Option"].value.startswith("the 15 years of the study")
    given = "study_years = 10\ndiscount_rate = 0.04\nescalation = { electricity = 0.01 }"
    _, all_given = option_money(_case(3000.0, 0.5, 7500.0, given, "lasts_years = 10\nresidual = 0"))
    assert [entry.name for entry in all_given.defaults] == ["replacement cost of Option"]
