"""Money over the years as a table, in the command and in the record for other programs."""

from __future__ import annotations

import json
import re
import runpy
from functools import cache
from io import StringIO
from pathlib import Path

import numpy as np
import numpy_financial as npf
import pytest
from rich.console import Console
from typer.testing import CliRunner

from energymodel.cli.main import app
from energymodel.datafiles import data_file
from energymodel.report.comparison.files import slugs
from energymodel.report.comparison.money_table import lowest, money_lines, print_money, study_line
from energymodel.report.comparison.record import result_text
from energymodel.scenario.files import STARTER
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.money import option_money
from energymodel.study.comparison.outcome import Comparison

_TOOLS = runpy.run_path(str(Path(__file__).with_name("money_room.py")))
PLACE, NOW = _TOOLS["PLACE"], _TOOLS["NOW"]
run, option, price_for, electricity = (
    _TOOLS[name] for name in ("run", "option", "price_for", "electricity")
)


@cache
def _demo() -> Comparison:
    return compare()


def printed(comparison: Comparison, *, details: bool = False) -> str:
    text = StringIO()
    print_money(Console(file=text, width=100, no_color=True), comparison, details=details)
    return text.getvalue()


def row(text: str, name: str) -> list[str]:
    """Cells of an option whose name fits on one line."""
    line = next(line for line in text.splitlines() if line.startswith(name))
    return line.removeprefix(name).split()


def test_the_row_of_a_worked_case_shows_its_measures(tmp_path: Path) -> None:
    # Cases sheet, case A6 [F]: $7,500, $1,500 a year, 7 %: 5.0 years simple, 6.4 discounted.
    text = PLACE + price_for(3000.0) + "[money]\ndiscount_rate = 0.07\n" + NOW
    found = printed(run(tmp_path, text + option(0.5, cost=7500.0)))
    flows = [-7500.0, *[1500.0] * 15]
    net, irr = npf.npv(0.07, flows), npf.irr(flows)
    ratio = (net + 7500.0) / 7500.0
    life = 7500.0 - npf.pv(0.07, 15, 1500.0)
    assert row(found, "Option (lowest life cost)") == [
        "7,500",
        "1,500",
        "5.0",
        "6.4",
        f"{life:,.0f}",
        f"{net:,.0f}",
        f"{ratio:.2f}",
        f"{100 * (1.07 * ratio ** (1 / 15) - 1):.1f}",
        f"{100 * irr:.1f}",
        f"{-npf.pmt(0.07, 15, life):,.0f}",
    ]
    assert "discounted at 7.0 % a year (constant money, real rate)" in found


def test_no_line_is_wider_than_100_columns() -> None:
    assert max(len(line.rstrip()) for line in printed(_demo(), details=True).splitlines()) <= 100


def test_what_is_never_paid_back_says_so_in_its_cell(tmp_path: Path) -> None:
    text = PLACE + price_for(3000.0) + NOW
    dear = option(1.0 - 400 / 3000, name="Dear", cost=7500.0)
    worse = option(1.0, 'upkeep = "50 per year"', name="Worse", cost=500.0)
    found = printed(run(tmp_path, text + dear + worse))
    # 18.75 years at even savings; the discounted one lies beyond the 15 years of the study
    assert row(found, "Dear")[2:4] == ["18.8", ">15"]
    assert row(found, "Worse")[2:4] == ["never", "never"]
    assert row(found, "Worse")[-3:-1] == ["none", "none"]
    assert "Worse: no rate of return: it costs more and saves nothing" in found


def test_the_option_with_the_lowest_life_cycle_cost_is_named_first_in_words() -> None:
    options = option_money(_demo())
    best = lowest(options)
    assert best is not None
    assert best.cost.total == min(one.cost.total for one in options if one.carries)
    first = money_lines(options, _demo())[0]
    assert first.startswith(f"{best.name} has the lowest life-cycle cost: about $")
    assert "in money of today" in first


def test_an_option_that_does_not_carry_the_load_shows_no_figures(tmp_path: Path) -> None:
    small = (
        '[[option]]\nname = "Small"\ninstalled_cost = 10\n'
        'heating = { kind = "electric resistance", capacity = "1 kW" }\n'
    )
    found = printed(run(tmp_path, PLACE + price_for(3000.0) + NOW + small))
    assert row(found, "Small") == ["(does", "not", "carry", "the"]  # "heating load)" below


def test_a7_output_says_cooling_only_and_the_hours_it_implies(tmp_path: Path) -> None:
    # Cases sheet, case A7 [F]: the output must print "cooling only" and the hours.
    room = PLACE.partition("[room.heating]")[0] + (
        '[room.cooling]\ndesign_load = "2 kW"\ndesign_temperature = "91 degF"\n'
        'balance_temperature = "68 degF"\n'
    )
    units = (
        '[[option]]\nname = "Window"\npresent = true\ninstalled_cost = 210\n'
        'cooling = { kind = "air conditioner", unit = "window-8" }\n'
        '[[option]]\nname = "Ductless"\ninstalled_cost = 2100\n'
        'cooling = { kind = "heat pump", unit = "inverter-standard-9" }\n'
    )
    comparison = run(tmp_path, room + electricity(0.2) + units)
    load_kwh = comparison.outcomes[0].result.total("cooling_load_kwh")
    text = " ".join(printed(comparison).split())
    assert f"Cooling only: {load_kwh:,.0f} kWh of heat removed in the year" in text
    assert f"as much as {load_kwh / 2.0:,.0f} h at the design load" in text


def test_loan_incentive_and_longest_payback_stand_under_the_table(tmp_path: Path) -> None:
    keys = (
        "loan = { sum = 6000, interest = 0.06, years = 10 }\n"
        'incentives = [{ name = "Rebate", amount = 1500, source = "page", as_of = 2026-01-02 }]'
    )
    table = "[money]\ninflation = 0.02\nlongest_payback_years = 5\n"
    text = PLACE + price_for(3000.0) + table + NOW + option(0.5, keys, cost=7500.0)
    found = " ".join(printed(run(tmp_path, text)).split())
    payment = -npf.pmt(0.06 / 12, 120, 6000.0)
    assert f"loan of 10 years: ${payment:.0f} a month against a saving of $125" in found
    assert "Rebate, $1,500, is counted as entered (page, as of 2026-01-02; may end)" in found
    assert "Paid back within the 5 years asked for: Option." in found


def test_the_study_is_told_in_one_line(tmp_path: Path) -> None:
    index = ", ".join(["1.1"] * 10)
    table = (
        '[money]\nstudy_years = 10\nrates = "nominal"\ndiscount_rate = 0.05\ninflation = 0.02\n'
        f'escalation = {{ electricity = {{ index = [{index}], source = "made up" }} }}\n'
    )
    line = study_line(run(tmp_path, PLACE + price_for(3000.0) + table + NOW))
    assert line == (
        "Over 10 years, discounted at 5.0 % a year (current money, nominal rate), prices a year:"
        " electricity by its index"
    )


def test_the_command_prints_the_table_with_money_and_with_details() -> None:
    plain, with_money, with_details = (
        CliRunner().invoke(app, ["compare", *more]).output
        for more in ([], ["--money"], ["--details"])
    )
    assert "Electric baseboard" in plain
    assert "lowest life-cycle cost" not in plain
    assert "Inverter 12 kBtu/h, standard has the lowest life-cycle cost" in with_money
    assert "Defaults of the study" not in with_money
    assert "Defaults of the study" in with_details
    assert "Cash flow by year, against what is there now" in with_details


def test_the_record_carries_every_measure_and_each_line_of_the_cash_flow() -> None:
    names = slugs(one.name for one in _demo().outcomes)
    record = json.loads(result_text(_demo(), names))["money"]
    assert (record["study_years"], record["discount_rate"]) == (15, 0.03)
    assert [one["name"] for one in record["options"]] == [one.name for one in _demo().outcomes]
    assert record["options"][0]["against_present"] is None
    for one in record["options"][1:]:
        found = one["against_present"]
        assert npf.npv(0.03, found["gain_by_year"]) == pytest.approx(found["net_savings"])
        assert np.cumsum(found["gain_by_year"]) == pytest.approx(found["cumulative"])
        lines = np.sum([line["by_year"] for line in one["cash_flow"]], axis=0)
        assert npf.npv(0.03, lines) == pytest.approx(-one["life_cycle_cost"]["total"])
    assert any("10 CFR 436.14" in entry["source"] for entry in record["defaults"])


_KEYS = (
    "[money]", "study_years", "discount_rate", "inflation", "installed_on", "longest_payback",
    "bills_now", "other_use_now", "replaced_anyway", "upkeep", "service_costs", "lasts_years",
    "residual", "incentives", "loan", "claim",
)  # fmt: skip


def test_the_examples_in_the_starter_run_when_their_comment_marks_are_taken_away(
    tmp_path: Path,
) -> None:
    starter = data_file(*STARTER).read_text("utf-8")
    opened = re.sub(rf"^# (?=(?:{'|'.join(map(re.escape, _KEYS))}))", "", starter, flags=re.M)
    file = tmp_path / "room.toml"
    file.write_text(opened, "utf-8")
    comparison = compare(file)
    content = comparison.model.scenario.content
    assert content.money.defaults() == [content.money.defaults()[0]]
    pump = next(one for one in content.option if one.loan is not None)
    assert (pump.lasts_years, pump.upkeep, len(pump.incentives)) == (15, 80.0, 1)
    assert any(note.topic == "claim" for note in comparison.notices)
    assert "Rebate, $400, is counted as entered" in " ".join(printed(comparison).split())
