"""Options billed under a tariff: the whole bill with them, less the bill without."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from energymodel.errors import EnergyModelError
from energymodel.report.comparison.tariff_table import print_ranking
from energymodel.scenario.files import read_scenario
from energymodel.study.comparison.compare import compare
from energymodel.study.comparison.outcome import Comparison
from energymodel.study.comparison.tariff_ranking import TariffRanking, rank_tariffs

# Room, prices and tariffs of this file are invented; only relations between results are checked.
ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
heating = { ua = "170 Btu/(h degF)", balance_temperature = "60 degF" }
[room.cooling]
design_load = "7 kBtu/h"
design_temperature = "91 degF"
balance_temperature = "68 degF"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-standard-12" }
cooling = { kind = "heat pump", unit = "inverter-standard-12" }
installed_cost = 3600
"""
FLAT = '[price.electricity]\nenergy = 0.14\nper = "kWh"\n'
BY_TARIFF = '[price.electricity]\ntariff = "rate.toml"\nother_use_kwh = [OTHER]\n'
HEAD = 'name = "Rate"\ncurrency = "USD"\neffective = 2026-01-01\n'
OTHER = ",".join(["500.0"] * 12)


def _run(folder: Path, price: str, rate: str = "", other: str = OTHER) -> Comparison:
    (folder / "rate.toml").write_text(HEAD + rate, "utf-8")
    (folder / "room.toml").write_text(ROOM + price.replace("OTHER", other), "utf-8")
    return compare(folder / "room.toml")


def test_a_flat_tariff_costs_what_the_flat_price_costs(tmp_path: Path) -> None:
    rate = (
        '[[fixed]]\nname = "Customer"\nprice = "12 per month"\n'
        '[[energy]]\nname = "E"\nprice = 0.14\n'
    )
    flat = _run(tmp_path, FLAT)
    billed = _run(tmp_path, BY_TARIFF, rate)
    for one, other in zip(flat.outcomes, billed.outcomes, strict=True):
        assert one.name == other.name
        for service, months in one.cost_by_month.items():
            # the wall clock moves an hour across a month's end: the year is equal, months nearly
            assert other.cost_by_month[service].sum() == pytest.approx(months.sum(), rel=1e-9)


def test_services_add_up_to_the_difference_of_the_two_whole_bills(tmp_path: Path) -> None:
    rate = """
[[energy]]
name = "E"
[[energy.period]]
name = "on"
price = 0.30
when = [ { days = "weekdays", hours = "17-20" } ]
[[energy.period]]
name = "off"
blocks = [ { up_to = "600 kWh per month", price = 0.08 }, { price = 0.12 } ]
[[demand]]
name = "D"
price = 4
interval = "60 min"
"""
    for outcome in _run(tmp_path, BY_TARIFF, rate).outcomes:
        assert outcome.billed is not None
        services = sum(float(months.sum()) for months in outcome.billed.cost_by_month.values())
        assert services == pytest.approx(float(outcome.billed.whole.total), rel=1e-9)
        lines = sum(float(line.amount.sum()) for line in outcome.billed.whole.lines)
        assert lines == pytest.approx(services, rel=1e-9)


def test_added_use_is_priced_in_the_upper_block_not_at_the_average(tmp_path: Path) -> None:
    # with 520 kWh a month of other use the first block is full before the room begins
    rate = (
        '[[energy]]\nname = "E"\n'
        'blocks = [ { up_to = "500 kWh per month", price = 0.08 }, { price = 0.20 } ]\n'
    )
    other = ",".join(["520.0"] * 12)
    outcomes = _run(tmp_path, BY_TARIFF, rate, other).outcomes
    baseboard = next(outcome for outcome in outcomes if outcome.present)
    used = baseboard.energy_kwh["electricity"]
    assert baseboard.billed is not None
    assert baseboard.yearly_cost == pytest.approx(0.20 * used, rel=1e-9)
    assert float(baseboard.billed.whole.marginal_price_per_kwh) == pytest.approx(0.20)
    average = (0.08 * 6000.0 + 0.20 * (240.0 + used)) / (6240.0 + used)
    assert float(baseboard.billed.whole.average_price_per_kwh) == pytest.approx(average)


def test_a_demand_charge_counts_the_peak_that_the_option_adds(tmp_path: Path) -> None:
    rate = (
        '[[energy]]\nname = "E"\nprice = 0.0\n'
        '[[demand]]\nname = "D"\nprice = 10\ninterval = "60 min"\n'
    )
    baseboard = next(o for o in _run(tmp_path, BY_TARIFF, rate).outcomes if o.present)
    peaks = baseboard.result.hourly_electricity_kwh()
    assert baseboard.cost_by_month["heating"].max() <= 10.0 * peaks.max() + 1e-9
    january = peaks[: 31 * 24].max()
    assert baseboard.cost_by_month["heating"][0] == pytest.approx(10.0 * january, rel=1e-9)
    assert np.all(baseboard.cost_by_month["heating"] >= -1e-9)


@pytest.mark.parametrize(
    ("price", "words"),
    [
        (BY_TARIFF + "energy = 0.1\n", "a tariff stands beside a flat price"),
        ("[price.electricity]\nenergy = 0.1\n", "the price has no per"),
        (FLAT + f"other_use_kwh = [{OTHER}]\n", "other_use_kwh stands beside a flat price"),
        ('[price.electricity]\ntariff = "missing.toml"\n', "missing.toml"),
    ],
)
def test_a_price_that_cannot_be_used_is_refused(tmp_path: Path, price: str, words: str) -> None:
    with pytest.raises(EnergyModelError) as caught:
        _run(tmp_path, price, '[[energy]]\nname = "E"\nprice = 0.1\n')
    assert words in str(caught.value)


def _printed(ranking: TariffRanking) -> str:
    console = Console(width=100, record=True, file=io.StringIO())
    print_ranking(console, ranking)
    return console.export_text()


def test_each_option_gets_the_tariff_with_the_smallest_whole_bill(tmp_path: Path) -> None:
    # a rate with a high charge and a low price suits the option with the larger use
    (tmp_path / "low.toml").write_text(
        HEAD.replace("Rate", "High charge") + '[[fixed]]\nname = "C"\nprice = "40 per month"\n'
        '[[energy]]\nname = "E"\nprice = 0.08\n',
        "utf-8",
    )
    (tmp_path / "high.toml").write_text(
        HEAD.replace("Rate", "No charge") + '[[energy]]\nname = "E"\nprice = 0.20\n', "utf-8"
    )
    (tmp_path / "room.toml").write_text(ROOM + FLAT, "utf-8")
    ranking = rank_tariffs(
        read_scenario(tmp_path / "room.toml"), [tmp_path / "low.toml", tmp_path / "high.toml"]
    )
    # 480 a year of charge is worth it from 480 / 0.12 = 4,000 kWh: neither option uses as much
    assert ranking.best("Inverter") == "No charge"
    low, high = ranking.option_cost["Baseboard"]
    assert low == pytest.approx(high * 0.08 / 0.20, rel=1e-9)
    shown = _printed(ranking)
    row = next(line for line in shown.split("Whole electricity bill")[1].splitlines()
               if line.startswith("Inverter"))  # fmt: skip
    dear, cheap = (f"{bill:,.0f}" for bill in ranking.house_bill["Inverter"])
    assert row.split() == ["Inverter", dear, "*", cheap]
    with_charge, without = ranking.house_bill["Baseboard"]
    assert with_charge - low == pytest.approx(480.0, rel=1e-9)
    assert without == pytest.approx(high, rel=1e-9)
