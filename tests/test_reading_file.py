"""Lists of readings on disk: headings, formats, units, money."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from energymodel.errors import InputError
from energymodel.meters.periods import MeterPeriods
from energymodel.meters.reading_file import ReadingFacts, read_readings


def listed(folder: Path, text: str, *, name: str = "gas.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def texts(found: MeterPeriods) -> str:
    return " ".join(notice.text for notice in found.notices)


def test_bills_with_two_dates_estimates_and_costs_are_read(tmp_path: Path) -> None:
    path = listed(
        tmp_path,
        "from,to,use (therm),estimated,cost\n"
        '12/15/2023,01/14/2024,"1,012.5",,$1210.00\n'
        "01/15/2024,02/13/2024,95.2,E,$130.00\n"
        "02/14/2024,03/15/2024,80.1,,$100.00\n",
    )
    found = read_readings(path, carrier="natural gas")
    assert found.meter.unit == "therm"
    assert [period.first_day for period in found.periods] == [date(2023, 12, 15), date(2024, 1, 15)]
    assert found.amount.tolist() == pytest.approx([1012.5, 175.3])
    assert found.days.tolist() == [31, 61]
    assert found.merged == 1
    assert "month, day, year" in texts(found)


def test_tank_fills_newest_first_with_decimal_commas_are_read(tmp_path: Path) -> None:
    path = listed(
        tmp_path,
        "date;filled (gallon);full\n15.03.2024;100,5;yes\n02.02.2024;150,2;yes\n"
        "13.01.2024;50,0;no\n01.12.2023;180,0;yes\n",
    )
    found = read_readings(path, carrier="propane")
    assert found.amount.tolist() == pytest.approx([200.2, 100.5])
    assert found.merged == 1
    assert "newest first: turned round" in texts(found)


def test_a_counter_with_read_types_is_read(tmp_path: Path) -> None:
    path = listed(
        tmp_path,
        "read date,reading (kWh),type\n2024-01-15,99800,A\n2024-02-15,99950,E\n2024-03-15,120,A\n",
    )
    with pytest.raises(InputError, match="line 4: the index falls"):
        read_readings(path, carrier="electricity")
    found = read_readings(path, carrier="electricity", facts=ReadingFacts(dials=5))
    assert found.amount.tolist() == [320.0]


def test_a_unit_column_and_a_fuel_column_choose_the_rows(tmp_path: Path) -> None:
    path = listed(
        tmp_path,
        "date,fuel,used,unit\n2024-01-05,gas,50,ccf\n2024-01-05,electricity,400,kWh\n"
        "2024-02-05,gas,60,ccf\n2024-02-05,electricity,420,kWh\n"
        "2024-03-06,gas,40,ccf\n2024-03-06,electricity,380,kWh\n",
    )
    gas = read_readings(path, carrier="natural gas")
    power = read_readings(path, carrier="electricity")
    assert (gas.meter.unit, gas.amount.tolist()) == ("ccf", [60.0, 40.0])
    assert (power.meter.unit, power.amount.tolist()) == ("kWh", [420.0, 380.0])
    with pytest.raises(InputError, match="no row of the list is of propane"):
        read_readings(path, carrier="propane")


def test_two_units_in_one_list_are_refused(tmp_path: Path) -> None:
    path = listed(
        tmp_path, "date,used,unit\n2024-01-05,50,ccf\n2024-02-05,60,therm\n2024-03-06,40,ccf\n"
    )
    with pytest.raises(InputError, match="ccf and of therm"):
        read_readings(path, carrier="natural gas")


def test_a_list_without_a_unit_asks_for_it(tmp_path: Path) -> None:
    path = listed(tmp_path, "date,use\n2024-01-05,50\n2024-02-05,60\n2024-03-06,40\n")
    with pytest.raises(InputError, match="no unit"):
        read_readings(path, carrier="natural gas")
    found = read_readings(path, carrier="natural gas", facts=ReadingFacts(unit="m3"))
    assert found.meter.unit == "m3"


# seen in homeowner blogs: dollars are rejected as energy
@pytest.mark.parametrize(
    "text",
    [
        "read date,amount\n2024-01-15,$120.11\n2024-02-15,$110.22\n2024-03-15,$99.00\n",
        "read date,cost\n2024-01-15,120.11\n2024-02-15,110.22\n2024-03-15,99.00\n",
        "from,to,amount due\n2024-01-15,2024-02-14,120.11\n2024-02-15,2024-03-14,110.22\n",
    ],
)
def test_a_list_of_money_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(InputError, match="money, which is not energy"):
        read_readings(listed(tmp_path, text), carrier="natural gas")


def test_personal_lines_before_the_list_are_never_repeated(tmp_path: Path) -> None:
    path = listed(
        tmp_path,
        "Customer,Personal Name\nAddress,1 Personal Street\n"
        "date,use (kWh)\n2024-01-05,500\n2024-02-05,600\n2024-03-06,400\n",
    )
    found = read_readings(path, carrier="electricity")
    assert "2 lines before the table" in texts(found)
    assert "ersonal Name" not in texts(found)
    assert "Street" not in texts(found)


def test_dates_that_can_be_read_in_two_ways_are_asked_about(tmp_path: Path) -> None:
    path = listed(
        tmp_path, "date,use (kWh)\n03/04/2024,500\n04/05/2024,600\n05/06/2024,400\n06/07/2024,410\n"
    )
    with pytest.raises(InputError, match="two ways"):
        read_readings(path, carrier="electricity")
    found = read_readings(path, carrier="electricity", facts=ReadingFacts(date_order="mdy"))
    assert found.periods[0].first_day == date(2024, 3, 4)


def test_a_list_without_headings_says_which_ones_it_needs(tmp_path: Path) -> None:
    path = listed(tmp_path, "2024-01-05,500\n2024-02-05,600\n2024-03-06,400\n")
    with pytest.raises(InputError, match="no line of headings"):
        read_readings(path, carrier="electricity")


def test_a_row_without_a_number_is_named(tmp_path: Path) -> None:
    path = listed(tmp_path, "date,use (kWh)\n2024-01-05,500\n2024-02-05,\n2024-03-06,400\n")
    with pytest.raises(InputError, match="a row has a date but no number") as refused:
        read_readings(path, carrier="electricity")
    assert refused.value.where == "gas.csv, line 3"


def test_an_unclear_kind_of_read_is_refused(tmp_path: Path) -> None:
    path = listed(
        tmp_path,
        "date,use (kWh),estimated\n2024-01-05,500,A\n2024-02-05,600,maybe\n2024-03-06,4,A\n",
    )
    with pytest.raises(InputError, match="does not say whether the read was estimated"):
        read_readings(path, carrier="electricity")


def test_several_columns_of_use_ask_which_one(tmp_path: Path) -> None:
    path = listed(
        tmp_path,
        "date,day use (kWh),night use (kWh)\n"
        "2024-01-05,500,90\n2024-02-05,600,80\n2024-03-06,4,70\n",
    )
    with pytest.raises(InputError, match="column 2, column 3"):
        read_readings(path, carrier="electricity")
    facts = ReadingFacts(value_column="night use (kWh)")
    assert read_readings(path, carrier="electricity", facts=facts).amount.tolist() == [80.0, 70.0]
    with pytest.raises(InputError, match="no column 9"):
        read_readings(path, carrier="electricity", facts=ReadingFacts(value_column=9))
