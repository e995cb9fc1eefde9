"""Messy lists of readings: a doubled row, printed days, months without days, another carrier.

The kinds of mess are those that users report; all figures are invented.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from energymodel.errors import InputError
from energymodel.meters.periods import REPAIR, MeterPeriods
from energymodel.meters.reading_file import read_readings
from energymodel.meters.reading_files import read_house_readings
from energymodel.meters.reading_rows import ReadingFacts

BILLS = [
    "2013-01-02,2013-02-02,155,actual",
    "2013-02-02,2013-03-03,148,actual",
    "2013-03-03,2013-04-04,130,actual",
]


def listed(folder: Path, *lines: str, name: str = "list.csv") -> Path:
    path = folder / name
    path.write_text("\n".join([*lines, ""]), encoding="utf-8")
    return path


def repairs(found: MeterPeriods) -> list[str]:
    return [notice.text for notice in found.notices if notice.topic == REPAIR]


def test_a_row_that_stands_twice_counts_once_and_is_listed(tmp_path: Path) -> None:
    path = listed(tmp_path, "from,to,use (therm),read", *BILLS, BILLS[0])
    found = read_readings(path, carrier="natural gas")
    assert found.amount.tolist() == [155.0, 148.0, 130.0]
    assert repairs(found) == [
        "list.csv, line 5: the row stands twice, first in line 2; expected: each row once; done: "
        "counted once."
    ]


def test_a_fill_that_stands_twice_may_be_two_fills_and_is_asked_about(tmp_path: Path) -> None:
    rows = ["2013-01-02,100.5", "2013-02-02,90.5", "2013-02-02,90.5", "2013-03-02,80.5"]
    path = listed(tmp_path, "date,filled (gallon)", *rows)
    with pytest.raises(InputError, match="stands twice, first in line 3") as refused:
        read_readings(path, carrier="propane")
    assert refused.value.where == "list.csv, line 4"


def test_a_corrected_row_behind_the_others_is_named_and_no_spreadsheet_blamed(
    tmp_path: Path,
) -> None:
    path = listed(tmp_path, "from,to,use (therm),read", *BILLS, BILLS[0].replace("155", "165"))
    with pytest.raises(InputError) as refused:
        read_readings(path, carrier="natural gas")
    assert "'2013-01-02' stands again after line 2" in refused.value.what
    assert refused.value.where == "list.csv, line 5"
    assert "spreadsheet" not in str(refused.value)


def test_printed_days_give_the_first_period_its_length(tmp_path: Path) -> None:
    path = listed(
        tmp_path, "read date,days,therms", "2013-02-02,31,155", "2013-03-03,29,148",
        "2013-04-04,32,130",
    )  # fmt: skip
    found = read_readings(path, carrier="natural gas")
    assert found.periods[0].first_day == date(2013, 1, 2)
    assert found.days.tolist() == [31, 29, 32]
    assert found.amount.tolist() == [155.0, 148.0, 130.0]
    assert repairs(found) == [
        "The first row has no read before it; its 31 days begin it: 2013-01-02 to 2013-02-01."
    ]


def test_without_printed_days_the_first_row_still_only_opens_the_list(tmp_path: Path) -> None:
    path = listed(
        tmp_path, "read date,therms", "2013-02-02,155", "2013-03-03,148", "2013-04-04,130"
    )
    found = read_readings(path, carrier="natural gas")
    assert found.amount.tolist() == [148.0, 130.0]


def test_days_after_an_estimate_that_was_left_out_do_not_open_the_list(tmp_path: Path) -> None:
    rows = ["2013-02-02,31,155,E", "2013-03-03,29,148,A", "2013-04-04,32,130,A"]
    path = listed(tmp_path, "read date,days,therms,read", *rows)
    assert read_readings(path, carrier="natural gas").amount.tolist() == [130.0]


def test_days_that_differ_from_the_dates_are_listed(tmp_path: Path) -> None:
    rows = ["2013-02-02,31,155", "2013-03-03,30,148", "2013-05-04,30,51"]
    path = listed(tmp_path, "read date,days,therms", *rows)
    found = read_readings(path, carrier="natural gas")
    assert found.days.tolist() == [31, 29, 62]
    # one day more is another way of counting; thirty for sixty-two is a row that is missing
    assert repairs(found)[1] == (
        "The days printed differ from the dates, which were taken: 30 days for 62 (list.csv, line "
        "4)."
    )


@pytest.mark.parametrize("month", ["Jan 2013", "January", "2013-01", "01/2013", "Jan-13"])
def test_months_without_days_ask_for_read_dates(tmp_path: Path, month: str) -> None:
    path = listed(tmp_path, "billing month,therms", f"{month},155", f"{month},148")
    with pytest.raises(InputError) as refused:
        read_readings(path, carrier="natural gas")
    assert f"months without a day, such as {month!r}" in refused.value.what
    assert refused.value.where == "list.csv, line 2"
    assert "read dates from the bills" in refused.value.remedy


def test_headings_alone_are_said_to_have_no_rows(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="headings but no rows below them"):
        read_readings(listed(tmp_path, "from,to,use (therm),read"), carrier="natural gas")


def test_a_unit_of_another_carrier_is_named(tmp_path: Path) -> None:
    path = listed(tmp_path, "from,to,use (therm),read", *BILLS)
    with pytest.raises(InputError) as refused:
        read_readings(path, carrier="electricity")
    assert refused.value.what == (
        "the heading says therm, a unit of natural gas and not of electricity"
    )
    assert "`energymodel bill` takes them under a tariff that counts therm" in refused.value.remedy


def test_a_missing_unit_says_how_to_give_it(tmp_path: Path) -> None:
    path = listed(tmp_path, "from,to,use,read", *BILLS)
    with pytest.raises(InputError, match="have no unit") as refused:
        read_readings(path, carrier="natural gas")
    assert "--unit" in refused.value.remedy


@pytest.mark.parametrize("heading", ["use ($)", "amount due", "cost"])
def test_money_is_named_before_the_fuel_is_asked_for(tmp_path: Path, heading: str) -> None:
    path = listed(tmp_path, f"from,to,{heading},read", *BILLS)
    with pytest.raises(InputError, match="money, which is not energy"):
        read_house_readings([path])


def test_an_amount_with_a_unit_is_no_money(tmp_path: Path) -> None:
    path = listed(tmp_path, "from,to,amount (therm),read", *BILLS)
    assert list(read_house_readings([path]).meters) == ["natural gas"]


def test_interval_data_among_readings_are_named_as_such(tmp_path: Path) -> None:
    rows = [f"2013-01-{day:02d} {hour:02d}:00,{hour}.5" for day in (1, 2) for hour in range(24)]
    path = listed(tmp_path, "start,use (kWh)", *rows)
    with pytest.raises(InputError, match="about 24 rows a day: these are interval data"):
        read_readings(path, carrier="electricity")


def test_all_commas_with_three_digits_are_refused_unless_the_mark_is_said(tmp_path: Path) -> None:
    rows = ["2013-01-02;2013-02-02;13,588", "2013-02-02;2013-03-03;12,990"]
    path = listed(tmp_path, "from;to;gas use (kWh)", *rows)
    with pytest.raises(InputError, match=r"'13,588' is 13.588 with a decimal comma or 13588"):
        read_readings(path, carrier="natural gas")
    for mark, first in ((",", 13.588), (".", 13588.0)):
        facts = ReadingFacts(decimal_mark=mark)  # type: ignore[arg-type]
        found = read_readings(path, carrier="natural gas", facts=facts)
        assert found.amount[0] == pytest.approx(first)


def test_thousands_beside_whole_numbers_are_a_listed_repair(tmp_path: Path) -> None:
    rows = ['2013-01-02;2013-02-02;"4,529"', '2013-02-02;2013-03-03;"683"']
    found = read_readings(listed(tmp_path, "from;to;use (kWh)", *rows), carrier="electricity")
    assert found.amount.tolist() == [4529.0, 683.0]
    assert any("'4,529' is 4529, not 4.529" in one for one in repairs(found))
