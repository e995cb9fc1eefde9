"""Readings of a house in several files: whose they are, and the three outcomes of an import."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from energymodel.errors import InputError, ManyFaultsError
from energymodel.meters.import_report import Outcome
from energymodel.meters.reading_files import (
    carriers_of_file,
    read_house_readings,
    reading_files,
)
from energymodel.meters.reading_rows import ReadingFacts


def listed(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, "utf-8")
    return path


GAS = "from,to,use (therm)\n2024-01-15,2024-02-14,90\n2024-02-15,2024-03-14,80\n"
POWER = "date,index (kWh)\n2024-01-10,1000\n2024-02-09,1400\n2024-03-10,1750\n"


@pytest.mark.parametrize(
    ("name", "text", "carrier"),
    [
        ("bills.csv", "date,use (therm)\n2024-01-05,50\n2024-02-05,60\n", "natural gas"),
        ("bills.csv", POWER, "electricity"),
        ("propane.csv", "date,filled (gallon)\n2024-01-05,50\n2024-02-05,60\n", "propane"),
        ("2024.csv", "date,heating oil (gallon)\n2024-01-05,50\n2024-02-05,60\n", "heating oil"),
        ("gas_2024.csv", "date,use (kWh)\n2024-01-05,50\n2024-02-05,60\n", "natural gas"),
    ],
)
def test_the_carrier_is_told_by_file_name_heading_or_unit(
    tmp_path: Path, name: str, text: str, carrier: str
) -> None:
    assert carriers_of_file(listed(tmp_path, name, text)) == (carrier,)


def test_a_gallon_may_be_oil_or_propane_and_is_asked_about(tmp_path: Path) -> None:
    path = listed(tmp_path, "2024.csv", "date,filled (gallon)\n2024-01-05,50\n2024-02-05,60\n")
    with pytest.raises(InputError, match="say what was metered") as refused:
        carriers_of_file(path)
    assert "--fuel" in refused.value.remedy
    assert carriers_of_file(path, expected="propane") == ("propane",)


def test_a_column_may_name_several_carriers(tmp_path: Path) -> None:
    path = listed(
        tmp_path,
        "house.csv",
        "date,fuel,used,unit\n2024-01-05,gas,50,ccf\n2024-01-05,electricity,400,kWh\n"
        "2024-02-05,gas,60,ccf\n2024-02-05,electricity,420,kWh\n",
    )
    found = read_house_readings([path])
    assert found.meters["natural gas"].amount.tolist() == [60.0]
    assert found.meters["electricity"].amount.tolist() == [420.0]


def test_a_folder_gives_one_meter_for_each_carrier(tmp_path: Path) -> None:
    listed(tmp_path, "gas.csv", GAS)
    listed(tmp_path, "power.csv", POWER)
    (tmp_path / "notes.pdf").write_text("not read", "utf-8")
    found = read_house_readings([tmp_path])
    assert set(found.meters) == {"natural gas", "electricity"}
    assert found.meters["electricity"].amount.tolist() == [400.0, 350.0]
    assert [report.outcome for report in found.reports] == [Outcome.ACCEPTED] * 2
    assert [path.name for path in reading_files([tmp_path])] == ["gas.csv", "power.csv"]


def test_single_bills_are_joined_and_their_dates_read_in_one_way(tmp_path: Path) -> None:
    # 03/04/2024 alone could be 3 April or 4 March; its neighbour tells
    listed(tmp_path, "gas-1.csv", "from,to,use (therm)\n02/03/2024,03/04/2024,80\n")
    listed(tmp_path, "gas-2.csv", "from,to,use (therm)\n03/04/2024,03/28/2024,60\n")
    found = read_house_readings([tmp_path]).meters["natural gas"]
    assert [(period.first_day, period.days) for period in found.periods] == [
        (date(2024, 2, 3), 30),
        (date(2024, 3, 4), 24),
    ]


def test_the_order_of_dates_can_be_given_where_no_file_tells(tmp_path: Path) -> None:
    listed(tmp_path, "gas-1.csv", "from,to,use (therm)\n02/03/2024,03/04/2024,80\n")
    listed(tmp_path, "gas-2.csv", "from,to,use (therm)\n03/04/2024,04/05/2024,60\n")
    with pytest.raises(ManyFaultsError, match="2 faults"):
        read_house_readings([tmp_path])
    found = read_house_readings([tmp_path], facts=ReadingFacts(date_order="mdy"))
    assert found.meters["natural gas"].days.tolist() == [30.0, 32.0]


def test_a_bill_that_stands_in_two_files_counts_once(tmp_path: Path) -> None:
    listed(tmp_path, "gas-1.csv", GAS)
    listed(tmp_path, "gas-2.csv", GAS + "2024-03-15,2024-04-14,40\n")
    found = read_house_readings([tmp_path])
    assert found.meters["natural gas"].amount.tolist() == [90.0, 80.0, 40.0]
    together = found.reports[-1]
    assert together.name == "2 files together"
    assert together.outcome is Outcome.REPAIRED
    assert "count once: 2 left out" in together.repairs[0]


def test_files_of_different_units_or_kinds_are_not_joined(tmp_path: Path) -> None:
    listed(tmp_path, "gas-1.csv", GAS)
    listed(tmp_path, "gas-2.csv", "from,to,use (ccf)\n2024-03-15,2024-04-14,40\n")
    with pytest.raises(InputError, match="do not belong together: natural gas in therm"):
        read_house_readings([tmp_path])


def test_each_file_has_one_of_three_outcomes(tmp_path: Path) -> None:
    listed(tmp_path, "gas.csv", "from,to,use (therm),read\n2024-01-15,2024-02-14,90,E\n"
           "2024-02-15,2024-03-14,80,A\n")  # fmt: skip
    listed(tmp_path, "power.csv", POWER)
    listed(tmp_path, "wood.csv", "date,cost\n2024-01-15,120.00\n")
    found = {report.name: report for report in read_house_readings([tmp_path]).reports}
    assert found["gas.csv"].outcome is Outcome.REPAIRED
    assert "merged with the next actual one" in found["gas.csv"].repairs[0]
    assert found["power.csv"].outcome is Outcome.ACCEPTED
    assert found["wood.csv"].outcome is Outcome.REJECTED
    assert "money" in found["wood.csv"].repairs[0]


def test_facts_of_a_fuel_are_not_put_on_the_electricity(tmp_path: Path) -> None:
    listed(tmp_path, "gas.csv", GAS.replace(" (therm)", ""))
    listed(tmp_path, "power.csv", POWER)
    found = read_house_readings([tmp_path], fuel="natural gas", facts=ReadingFacts(unit="ccf"))
    units = {carrier: meter.meter.unit for carrier, meter in found.meters.items()}
    assert units == {"natural gas": "ccf", "electricity": "kWh"}


def test_comments_are_skipped_and_an_empty_folder_is_refused(tmp_path: Path) -> None:
    listed(tmp_path, "gas.csv", "# invented\n" + GAS)
    assert read_house_readings([tmp_path]).reports[0].outcome is Outcome.ACCEPTED
    empty = tmp_path / "empty"
    empty.mkdir()
    with pytest.raises(InputError, match="no readings in this folder"):
        read_house_readings([empty])
