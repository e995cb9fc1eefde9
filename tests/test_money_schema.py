"""The table [money] and the money keys of options: what is refused, and with which words."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from energymodel.economics.rates import Money
from energymodel.errors import EnergyModelError
from energymodel.scenario.files import read_scenario
from energymodel.scenario.schema import ScenarioFile

_TOOLS = runpy.run_path(str(Path(__file__).with_name("money_room.py")))
PLACE, NOW = _TOOLS["PLACE"], _TOOLS["NOW"]
option, electricity = _TOOLS["option"], _TOOLS["electricity"]


def read(folder: Path, table: str = "", keys: str = "", *, cost: float = 4000.0) -> ScenarioFile:
    file = folder / "room.toml"
    text = PLACE + electricity(0.14) + f"[money]\n{table}\n" + NOW + option(0.5, keys, cost=cost)
    file.write_text(text, "utf-8")
    return read_scenario(file).content


def refused(folder: Path, table: str = "", keys: str = "", *, cost: float = 4000.0) -> str:
    with pytest.raises(EnergyModelError) as caught:
        read(folder, table, keys, cost=cost)
    message = str(caught.value)
    for word in ("pydantic", "Input should", "instance of", "None"):
        assert word not in message
    return message


def test_everything_that_may_be_given_is_read(tmp_path: Path) -> None:
    table = """study_years = 20
discount_rate = 0.05
rates = "nominal"
inflation = 0.02
escalation = { electricity = 0.03 }
installed_on = 2026-06-01
longest_payback_years = 8
bills_now = "1800 per year"
other_use_now = "65 per month"
"""
    keys = """upkeep = "120 per year"
service_costs = [{ name = "chimney sweep", cost = 150, every_years = 2, first_year = 2 }]
lasts_years = 15
replacement_cost = 3500
residual = "straight line"
replaced_anyway = { name = "blower", cost = 400, year = 3 }
incentives = [{ name = "R", amount = 500, source = "page", as_of = 2026-01-02, ends = 2026-12-31 }]
loan = { sum = 3000, interest = 0.06, years = 10 }
claim = { by = "dealer", saving = "250 per year", payback_years = 9.1, total = 3750, years = 15 }
"""
    content = read(tmp_path, table, keys)
    study = content.money.study()
    assert study.money is Money.CURRENT
    assert (study.years, study.discount.per_year, study.inflation) == (20, 0.05, 0.02)
    one = content.option[1]
    assert (one.upkeep, one.lasts_years, one.residual) == (120.0, 15, "straight line")
    assert one.incentives[0].incentive().amount == 500.0
    assert content.money.other_use_now == 780.0
    assert content.money.defaults() == []


def test_a_scenario_without_money_keys_has_the_default_study() -> None:
    content = read_scenario().content
    assert content.money.study_years == 15
    assert content.money.discount_rate == 0.03
    assert len(content.money.defaults()) == 3


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("discount_rate = 3", "write 3 % as 0.03"),
        ('rates = "nominal"', 'rates = "nominal" without discount_rate and inflation'),
        ('rates = "norminal"', 'did you mean "nominal"?'),
        ("study_years = 0", "money.study_years"),
        ("discount = 0.03", 'did you mean "discount_rate"?'),
        ('installed_on = "2026-06-01"', "a day without quotes, such as 2025-06-01"),
        ("escalation = { electricity = { index = [1.0, 1.1], source = \"x\" } }",
         "the price index of electricity has 2 years, the study 15"),
        ("escalation = { electricity = { index = [1.0, 1.1] } }", "without its source"),
        ("escalation = { electricity = { } }", "both a rate and an index, or with neither"),
        ('escalation = { electricity = "3 %" }', "is not an escalation"),
        ("escalation = { propane = 0.03 }", "money.escalation names propane, which has no price"),
        ('other_use_now = "65 per month"', "other_use_now stands without bills_now"),
        ('bills_now = "100 per year"\nother_use_now = "65 per month"',
         "other_use_now, 780 a year, is more than bills_now, 100 a year"),
        ("bills_now = 1800", "1800 is not an amount with its period"),
    ],
)  # fmt: skip
def test_a_study_that_cannot_be_is_refused(tmp_path: Path, table: str, words: str) -> None:
    assert words in refused(tmp_path, table)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ("upkeep = 120", "120 is not an amount with its period"),
        ("replacement_cost = 3000", "replacement_cost without lasts_years"),
        ('residual = "straight line"', 'residual = "straight line" without lasts_years'),
        ('residual = "half"', '"half" is not a residual'),
        ("lasts_years = 12.5", "lasts_years"),
        ('incentives = [{ name = "R", amount = 500, as_of = 2026-01-02 }]', "source"),
        ('incentives = [{ name = "R", amount = 500, source = "page" }]', "as_of"),
        ('replaced_anyway = { name = "furnace", cost = 3500, year = 15 }',
         '"Option": furnace is replaced in year 15, the study ends with year 15'),
        ("loan = { interest = 0.06, years = 10 }", "give the inflation in [money]"),
        ("loan = { interest = 6, years = 10 }", "write 6 % as 0.06"),
        ("claim = { }", "a claim that names neither a saving nor a payback"),
        ("claim = { payback_years = 4, total = 5400 }",
         "a claimed total without its years and its yearly saving"),
        ('service_costs = [{ name = "sweep", cost = 150, first_year = 4, last_year = 2 }]',
         "last_year 2 lies before first_year 4"),
    ],
)  # fmt: skip
def test_money_of_an_option_that_cannot_be_is_refused(
    tmp_path: Path, keys: str, words: str
) -> None:
    assert words in refused(tmp_path, "", keys)


def test_what_costs_nothing_has_no_life_and_no_loan_of_its_own(tmp_path: Path) -> None:
    assert "neither the installation nor a replacement" in refused(
        tmp_path, "", "lasts_years = 15", cost=0.0
    )
    table, keys = "inflation = 0.02", "loan = { interest = 0.06, years = 10 }"
    assert "no installed cost to take it from" in refused(tmp_path, table, keys, cost=0.0)
    assert read(tmp_path, table, keys).option[1].loan is not None


def test_an_incentive_that_ends_before_the_installation_is_refused(tmp_path: Path) -> None:
    # NEEDS, need 33: dated user inputs, never built in.
    keys = (
        'incentives = [{ name = "Tax credit", amount = 500, source = "page", as_of = 2025-12-01,'
        " ends = 2025-12-31 }]"
    )
    message = refused(tmp_path, "installed_on = 2026-03-01", keys)
    assert "Tax credit ended on 2025-12-31, the installation is on 2026-03-01" in message
    assert read(tmp_path, "installed_on = 2025-12-15", keys).option[1].incentives


def test_all_that_does_not_fit_the_study_is_told_at_once(tmp_path: Path) -> None:
    keys = (
        'incentives = [{ name = "R", amount = 9, source = "p", as_of = 2026-01-02, year = 12 }]\n'
        'replaced_anyway = { name = "furnace", cost = 3500, year = 11 }'
    )
    message = refused(tmp_path, "study_years = 10\nescalation = { propane = 0.01 }", keys)
    for words in ("propane", "furnace is replaced in year 11", "R is paid in year 12", "inflation"):
        assert words in message
